"""Paper sizes in mm (ISO 216, ASME Y14.1) and what of a page a printer can be trusted with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from generator.base.points2d import Box
from generator.base.units import inches
from generator.job.model.job import Paper

#: No ink comes closer to the page's edge than this, mm: many printers cannot reach further out.
INK_MARGIN = 10.0

#: Middle lines keep this much more, so that half of the widest pen still stays inside INK_MARGIN.
_PEN_ROOM = 0.5

#: Width and height in upright position, mm.
PAPER_SIZES: Mapping[Paper, tuple[float, float]] = MappingProxyType(
    {
        Paper.A4: (210.0, 297.0),
        Paper.A3: (297.0, 420.0),
        Paper.LETTER: (inches(8.5), inches(11)),
        Paper.TABLOID: (inches(11), inches(17)),
    }
)


@dataclass(frozen=True)
class PageFormat:
    """A paper size, upright or turned."""

    paper: Paper
    turned: bool = False

    @property
    def width(self) -> float:
        return PAPER_SIZES[self.paper][1 if self.turned else 0]

    @property
    def height(self) -> float:
        return PAPER_SIZES[self.paper][0 if self.turned else 1]

    @property
    def ink(self) -> Box:
        """Where middle lines and text may stand."""
        return Box(0.0, 0.0, self.width, self.height).grown(-INK_MARGIN - _PEN_ROOM)


def both_ways(paper: Paper) -> tuple[PageFormat, PageFormat]:
    """Upright first."""
    return PageFormat(paper), PageFormat(paper, turned=True)
