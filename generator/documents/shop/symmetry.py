"""The sign of symmetry (ISO 128-3) on parts whose contours mirror about their datum: sizes then need no place of their
own across that axis.
"""

from __future__ import annotations

from collections.abc import Iterator

from generator.base.points2d import P2, Transform
from generator.documents.shop.contours import contours
from generator.drawing.sheet import Item
from generator.drawing.style import Role
from generator.drawing.symbols import line
from generator.jig.part import Part

#: The axis stands out of the outline by this, mm on the paper.
_OUT = 5.5
#: Half length of the strokes across the axis, mm on the paper.
_HALF = 1.4
#: Two strokes cross the axis this far out of the outline, mm on the paper.
_STROKES = (2.6, 3.8)
#: Places of a contour (mm) are compared to so many decimals.
_DIGITS = 5


def symmetry_items(part: Part, to_sheet: Transform) -> list[Item]:
    """The ends of each axis of symmetry through the part's datum, outside its outline."""
    box = part.box
    found: list[Item] = []
    if is_symmetric(part, across=True):
        ends = P2(part.datum.x, box.y0), P2(part.datum.x, box.y1)
        found += _ends(*map(to_sheet.apply, ends))
    if is_symmetric(part, across=False):
        ends = P2(box.x0, part.datum.y), P2(box.x1, part.datum.y)
        found += _ends(*map(to_sheet.apply, ends))
    return found


def is_symmetric(part: Part, *, across: bool) -> bool:
    """True where every contour of the part mirrors in x (`across`) or in y about its datum."""
    turn = P2(-1.0, 1.0) if across else P2(1.0, -1.0)
    found = {(at.x - part.datum.x, at.y - part.datum.y, radius) for at, radius in _marks(part)}
    return {_rounded(*one) for one in found} == {_rounded(turn.x * x, turn.y * y, r) for x, y, r in found}


def _marks(part: Part) -> Iterator[tuple[P2, float]]:
    """What tells its contours: the ends of their lines and arcs, and each arc's centre with its radius, mm."""
    for segment in (segment for path in contours(part) for segment in path.segments()):
        yield segment.start, 0.0
        if segment.is_arc:
            yield segment.center, segment.radius


def _rounded(*values: float) -> tuple[float, ...]:
    return tuple(round(value, _DIGITS) + 0.0 for value in values)


def _ends(low: P2, high: P2) -> Iterator[Item]:
    way = high.minus(low).unit()
    for end, out in ((low, way.times(-1.0)), (high, way)):
        yield line(end, end.plus(out.times(_OUT)), Role.CENTRE)
        for far in _STROKES:
            middle, half = end.plus(out.times(far)), out.left().times(_HALF)
            yield line(middle.minus(half), middle.plus(half), Role.DIMENSION)
