"""Where ink already stands, and whether a text or a line may go somewhere.

Lines lie in a grid of square cells in short pieces (arcs within FLAT_ERROR of themselves), so a question looks only at
its own neighbourhood. All lengths are mm on the sheet.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from generator.drawing.sheet import Fill, Item, Label, Stroke
from generator.geometry2d import P2, Box, bounding_box

#: Arcs are judged as chords this close to them, mm: well under the clearance kept round a text.
FLAT_ERROR = 0.05
_CELL = 8.0

Quad = tuple[P2, P2, P2, P2]

#: A rectangle, or a straight piece of a line.
Figure = Quad | tuple[P2, P2]
Grid = dict[tuple[int, int], list[tuple[Box, Figure]]]


class Scene:
    """Lines and texts on a sheet under work."""

    def __init__(self, items: Iterable[Item] = ()) -> None:
        self._lines: Grid = {}
        self._texts: Grid = {}
        self.add(items)

    def add(self, items: Iterable[Item]) -> None:
        for item in items:
            if isinstance(item, Label):
                self.add_text(item.corners())
            elif isinstance(item, Stroke):
                closed = getattr(item.path, "closed", True)
                self.add_run(item.path.flatten(FLAT_ERROR), closed)
            elif isinstance(item, Fill):
                self.add_run(item.contour.flatten(FLAT_ERROR), closed=True)

    def add_run(self, points: list[P2], closed: bool = False) -> None:
        """A run of straight lines."""
        ends = [*points[1:], points[0]] if closed else points[1:]
        for a, b in zip(points, ends, strict=False):
            for piece in _pieces(a, b):
                _enter(self._lines, piece)

    def add_text(self, quad: Quad) -> None:
        """The rectangle of a text."""
        _enter(self._texts, quad)

    def text_fits(self, quad: Quad) -> bool:
        """True when no line touches the rectangle and no text overlaps it."""
        return not any(_touching(self._texts, quad)) and not any(_touching(self._lines, quad))

    def lines_in(self, quad: Quad) -> int:
        """How many pieces of line touch the rectangle."""
        return sum(_touching(self._lines, quad))

    def line_at(self, point: P2) -> bool:
        """True when a line runs through `point` (within a tenth of a millimetre)."""
        return any(_touching(self._lines, square(point, 0.1)))

    def texts_in(self, quad: Quad) -> int:
        """How many texts overlap the rectangle."""
        return sum(_touching(self._texts, quad))

    def texts_under(self, a: P2, b: P2) -> int:
        """How many texts the straight line from `a` to `b` runs over."""
        return sum(_touching(self._texts, (a, b)))

    def crossings(self, a: P2, b: P2) -> int:
        """How many pieces of line the straight line from `a` to `b` crosses or covers, its own ends left out."""
        length = a.distance(b)
        if length < 0.5:
            return 0
        step = b.minus(a).times(0.2 / length)
        return sum(_touching(self._lines, (a.plus(step), b.minus(step))))


def square(at: P2, half: float) -> Quad:
    """The upright square about `at` with sides of 2·`half` mm."""
    return at.plus(P2(-half, -half)), at.plus(P2(half, -half)), at.plus(P2(half, half)), at.plus(P2(-half, half))


def _enter(grid: Grid, figure: Figure) -> None:
    box = bounding_box(figure)
    for cell in _cells(box):
        grid.setdefault(cell, []).append((box, figure))


def _touching(grid: Grid, figure: Figure) -> Iterator[bool]:
    """True once for each entry of `grid` that shares a point with `figure`."""
    box = bounding_box(figure)
    seen: set[int] = set()
    for cell in _cells(box):
        for entry in grid.get(cell, ()):
            around, other = entry
            if around.x0 > box.x1 or around.x1 < box.x0 or around.y0 > box.y1 or around.y1 < box.y0:
                continue
            if id(entry) not in seen and _touches(figure, other):
                seen.add(id(entry))
                yield True


def _cells(box: Box) -> Iterator[tuple[int, int]]:
    for column in range(math.floor(box.x0 / _CELL), math.floor(box.x1 / _CELL) + 1):
        for row in range(math.floor(box.y0 / _CELL), math.floor(box.y1 / _CELL) + 1):
            yield column, row


def _pieces(a: P2, b: P2) -> Iterator[tuple[P2, P2]]:
    """The line from `a` to `b` in pieces no longer than a cell."""
    count = max(1, math.ceil(a.distance(b) / _CELL))
    way = b.minus(a).times(1.0 / count)
    for i in range(count):
        yield a.plus(way.times(i)), a.plus(way.times(i + 1))


def _touches(first: Figure, second: Figure) -> bool:
    """True when two convex figures (rectangles or lines) share a point: no axis separates them."""
    for axis in (*_axes(first), *_axes(second)):
        low1, high1 = _span(first, axis)
        low2, high2 = _span(second, axis)
        if high1 < low2 or high2 < low1:
            return False
    return True


def _axes(figure: Figure) -> Iterator[P2]:
    if len(figure) == 2:
        way = figure[1].minus(figure[0])
        yield from (way, way.left())
        return
    yield figure[1].minus(figure[0])
    yield figure[2].minus(figure[1])


def _span(figure: Figure, axis: P2) -> tuple[float, float]:
    along = [p.dot(axis) for p in figure]
    return min(along), max(along)
