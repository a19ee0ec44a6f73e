"""How lines and letters look: ISO 128 widths and line types, ISO 3098 heights, one pen for each role.

A drawing says what a line *is* (a cut, a hidden edge, a dimension); this table alone says how that looks, so SVG and
PDF cannot differ. Lengths are mm on the paper.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType

#: ISO 128-2 line widths, mm.
WIDTHS: tuple[float, ...] = (0.18, 0.25, 0.35, 0.5, 0.7, 1.0)

#: ISO 3098-1 nominal sizes, the height of a capital, mm.
HEIGHTS: tuple[float, ...] = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)


class LineType(Enum):
    """ISO 128-2 basic line types, each as dash, gap, dash, gap … in line widths; empty is continuous.

    A dot is drawn as long as it is wide: the shorter one the standard allows is lost on an office printer.
    """

    CONTINUOUS = ()
    DASHED = (12.0, 3.0)
    CHAIN = (24.0, 3.0, 1.0, 3.0)
    DOUBLE_CHAIN = (24.0, 3.0, 1.0, 3.0, 1.0, 3.0)


class Role(Enum):
    """What a stroke, fill or label is for. The values name the groups of the SVG and the layers of a drawing."""

    CUT = "cut"  # edge of a paper template: cut on the middle of the line
    VISIBLE = "visible"  # visible edge on a shop drawing
    EDGE = "edge"  # visible edge that is not cut through: counterbore, countersink, bend
    HIDDEN = "hidden"  # edge behind the face looked at
    CENTRE = "centre"  # axes, hole centres, the instrument's centreline
    PHANTOM = "phantom"  # neighbouring or moved part
    SECTION = "section"  # cutting plane
    FOLD = "fold"
    ENGRAVE = "engrave"  # lines and letters engraved on the part
    HATCH = "hatch"
    DIMENSION = "dimension"
    NOTE = "note"  # leaders, arrows and plain text
    TITLE = "title"
    FRAME = "frame"
    MARK = "mark"  # check bars, register crosses, page labels
    JOIN = "join"  # where one page of a tiled sheet is trimmed and laid on the next


@dataclass(frozen=True)
class Pen:
    """One kind of line: `width` mm (one of WIDTHS), line type, and `grey` from 0 (black) to 1 (white)."""

    width: float
    line: LineType = LineType.CONTINUOUS
    grey: float = 0.0

    @property
    def dashes(self) -> tuple[float, ...]:
        """Dash, gap, dash, gap … in mm; empty for a continuous line."""
        return tuple(part * self.width for part in self.line.value)


_THIN, _NARROW, _MIDDLE, _WIDE, _BROAD = WIDTHS[:5]

#: The pen of each role. No pen is under 0.1 mm: such hairlines vanish in print.
PENS: Mapping[Role, Pen] = MappingProxyType(
    {
        Role.CUT: Pen(_MIDDLE),
        Role.VISIBLE: Pen(_WIDE),
        Role.EDGE: Pen(_NARROW),
        Role.HIDDEN: Pen(_NARROW, LineType.DASHED),
        Role.CENTRE: Pen(_THIN, LineType.CHAIN),
        Role.PHANTOM: Pen(_THIN, LineType.DOUBLE_CHAIN),
        Role.SECTION: Pen(_MIDDLE, LineType.CHAIN),
        Role.FOLD: Pen(_NARROW, LineType.DASHED),
        Role.ENGRAVE: Pen(_THIN),
        Role.HATCH: Pen(_THIN),
        Role.DIMENSION: Pen(_THIN),
        Role.NOTE: Pen(_THIN),
        Role.TITLE: Pen(_MIDDLE),
        Role.FRAME: Pen(_BROAD),
        Role.MARK: Pen(_NARROW),
        Role.JOIN: Pen(_THIN, LineType.DASHED, grey=0.45),
    }
)
