"""Where ink already stands, and whether a text or a line may go somewhere.

Lines lie in a grid of square cells in short pieces (arcs within FLAT_ERROR of themselves), so a question looks only at
its own neighbourhood. Laying out a sheet asks hundreds of thousands of questions: what a figure's own sides say is
worked out once, and the innermost loops are plain numbers. All lengths are mm on the sheet.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from generator.drawing.sheet import Fill, Item, Label, Stroke
from generator.geometry2d import P2, Box, bounding_box

#: Arcs are judged as chords this close to them, mm: well under the clearance kept round a text.
FLAT_ERROR = 0.05
_CELL = 8.0

Quad = tuple[P2, P2, P2, P2]

#: A rectangle, or a straight piece of a line.
Figure = Quad | tuple[P2, P2]


class _Shape(NamedTuple):
    """A convex figure, the box around it, and its axes: each a direction and how far the figure reaches along it."""

    box: Box
    points: Figure
    axes: tuple[tuple[float, float, float, float], ...]


#: Shapes by column and row of the cells they lie in.
Grid = dict[int, dict[int, list[_Shape]]]


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
        shape = _shape(quad)
        return not any(_touching(self._texts, shape)) and not any(_touching(self._lines, shape))

    def lines_in(self, quad: Quad) -> int:
        """How many pieces of line touch the rectangle."""
        return sum(_touching(self._lines, _shape(quad)))

    def line_at(self, point: P2) -> bool:
        """True when a line runs through `point` (within a tenth of a millimetre)."""
        return any(_touching(self._lines, _shape(square(point, 0.1))))

    def texts_in(self, quad: Quad) -> int:
        """How many texts overlap the rectangle."""
        return sum(_touching(self._texts, _shape(quad)))

    def texts_under(self, a: P2, b: P2) -> int:
        """How many texts the straight line from `a` to `b` runs over."""
        return sum(_touching(self._texts, _shape((a, b))))

    def crossings(self, a: P2, b: P2) -> int:
        """How many pieces of line the straight line from `a` to `b` crosses or covers, its own ends left out."""
        length = a.distance(b)
        if length < 0.5:
            return 0
        step = b.minus(a).times(0.2 / length)
        return sum(_touching(self._lines, _shape((a.plus(step), b.minus(step)))))

    def runs_along(self, a: P2, b: P2, reach: float) -> bool:
        """True when a line runs the way of that from `a` to `b` and beside it, closer than `reach` mm."""
        way = b.minus(a).unit()
        side = way.left().times(reach)
        strip = _shape((a.minus(side), b.minus(side), b.plus(side), a.plus(side)))
        columns, rows = _cells(strip.box)
        beside = (shape for x in columns for y in rows for shape in self._lines.get(x, {}).get(y, ()))
        return any(_along(shape, way) and not _apart(strip.axes, shape.points) for shape in beside)


def square(at: P2, half: float) -> Quad:
    """The upright square about `at` with sides of 2·`half` mm."""
    return at.plus(P2(-half, -half)), at.plus(P2(half, -half)), at.plus(P2(half, half)), at.plus(P2(-half, half))


def _enter(grid: Grid, figure: Figure) -> None:
    shape = _shape(figure)
    columns, rows = _cells(shape.box)
    for column in columns:
        cells = grid.setdefault(column, {})
        for row in rows:
            cells.setdefault(row, []).append(shape)


def _touching(grid: Grid, shape: _Shape) -> Iterator[bool]:
    """True for each shape of `grid` that shares a point with `shape`, once in each cell that both reach."""
    (x0, y0, x1, y1), points, axes = shape
    columns, rows = _cells(shape.box)
    for column in columns:
        cells = grid.get(column)
        if cells is None:
            continue
        for row in rows if len(rows) < len(cells) else [row for row in cells if row in rows]:
            for box, others, other_axes in cells.get(row, ()):
                if box[0] > x1 or box[2] < x0 or box[1] > y1 or box[3] < y0:
                    continue
                if not _apart(axes, others) and not _apart(other_axes, points):
                    yield True


def _cells(box: Box) -> tuple[range, range]:
    """Columns and rows of the cells that a box reaches."""
    x0, y0, x1, y1 = box
    return (
        range(math.floor(x0 / _CELL), math.floor(x1 / _CELL) + 1),
        range(math.floor(y0 / _CELL), math.floor(y1 / _CELL) + 1),
    )


def _pieces(a: P2, b: P2) -> Iterator[tuple[P2, P2]]:
    """The line from `a` to `b` in pieces no longer than a cell."""
    count = max(1, math.ceil(a.distance(b) / _CELL))
    way = b.minus(a).times(1.0 / count)
    for i in range(count):
        yield a.plus(way.times(i)), a.plus(way.times(i + 1))


def _shape(figure: Figure) -> _Shape:
    """The figure with its axes: of a line its direction and the normal, of a rectangle its two sides."""
    first = figure[1].minus(figure[0])
    second = first.left() if len(figure) == 2 else figure[2].minus(figure[1])
    axes = tuple((way.x, way.y, *_span(figure, way.x, way.y)) for way in (first, second))
    return _Shape(bounding_box(figure), figure, axes)


def _span(points: Figure, x: float, y: float) -> tuple[float, float]:
    along = [px * x + py * y for px, py in points]
    return min(along), max(along)


def _along(shape: _Shape, way: P2) -> bool:
    """True for a line that runs along a unit vector, within some 3 degrees."""
    run = shape.points[1].minus(shape.points[0])
    return len(shape.points) == 2 and abs(run.cross(way)) < 0.05 * run.length()


def _apart(axes: tuple[tuple[float, float, float, float], ...], points: Figure) -> bool:
    """True when one of `axes` has all `points` before or behind the figure it belongs to."""
    for x, y, low, high in axes:
        along = [px * x + py * y for px, py in points]
        if max(along) < low or high < min(along):
            return True
    return False
