"""Views kept to the width of a page where they can be, so that nothing needs to be taped that one page could hold."""

from __future__ import annotations

from generator.drawing.compose import ALONG_GAP
from generator.geometry2d import Box

#: What an upright and a turned page show across on A4 and on letter, mm.
PAGE_WIDTH = 180.0
TURNED_PAGE = 250.0
TWO_TURNED = 2.0 * TURNED_PAGE - ALONG_GAP
#: Dimensions beside a view need at least this much of a column, mm.
_LEAST_BESIDE = 20.0
#: More than any sheet is high, mm: a column bounds the width alone.
_ANY = 1000.0


def column(box: Box, width: float) -> Box | None:
    """A column of `width` mm with `box` in its middle; None where its dimensions find no room beside it."""
    spare = width - box.width
    if spare < _LEAST_BESIDE:
        return None
    left = box.x0 - spare / 2.0
    return Box(left, box.y0 - _ANY, left + width, box.y1 + _ANY)
