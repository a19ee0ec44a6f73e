"""Where ink already stands, and whether a text or a line may go somewhere.

Figures lie in a grid of square cells, lines in short pieces (arcs within FLAT_ERROR of themselves), so a question looks
only at its own neighbourhood. Laying out a sheet asks tens of thousands of questions: what a figure's own sides say is
worked out once, and the innermost loops are plain numbers. All lengths are mm on the sheet.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from generator.base.points2d import P2
from generator.drawing.sheet import Item, Label, Stroke

#: Arcs are judged as chords this close to them, mm: well under the clearance kept round a text.
FLAT_ERROR = 0.05
#: Side of the grid's square cells and greatest length of a piece of line, mm.
_CELL = 8.0
#: A side whose ends differ by less than this in x or in y is upright or level, mm.
_LEVEL = 1e-9

Quad = tuple[P2, P2, P2, P2]

#: A rectangle, or a straight piece of a line.
Figure = Quad | tuple[P2, P2]

#: Whose ink it is: a number that its adder chose.
Owner = int


class _Shape(NamedTuple):
    """A convex figure, the box around it, and its axes: each a direction and how far the figure reaches along it.

    A figure that fills its box, as nearly all do, needs no axes.
    """

    x0: float
    y0: float
    x1: float
    y1: float
    points: Figure
    axes: tuple[tuple[float, float, float, float], ...]
    owner: Owner


class Scene:
    """Lines and texts on a sheet under work, each with its owner."""

    def __init__(self, items: Iterable[Item] = (), owner: Owner = 0) -> None:
        self._lines = _Grid()
        self._texts = _Grid()
        self.add(items, owner)

    def add(self, items: Iterable[Item], owner: Owner = 0) -> None:
        for item in items:
            if isinstance(item, Label):
                self.add_text(item.corners(), owner)
            elif isinstance(item, Stroke):
                closed = getattr(item.path, "closed", True)
                self.add_run(item.path.flatten(FLAT_ERROR), closed, owner)
            else:
                self.add_run(item.contour.flatten(FLAT_ERROR), True, owner)

    def add_run(self, points: list[P2], closed: bool = False, owner: Owner = 0) -> None:
        """A run of straight lines."""
        ends = [*points[1:], points[0]] if closed else points[1:]
        for a, b in zip(points, ends, strict=False):
            for piece in _pieces(a, b):
                self._lines.enter(_shape(piece, owner))

    def add_text(self, quad: Quad, owner: Owner = 0) -> None:
        """The rectangle of a text."""
        self._texts.enter(_shape(quad, owner))

    def remove(self, owner: Owner) -> None:
        """Takes away all that `owner` has added."""
        self._lines.remove(owner)
        self._texts.remove(owner)

    def text_fits(self, quad: Quad) -> bool:
        """True when no line touches the rectangle and no text overlaps it."""
        shape = _shape(quad)
        return not self._texts.touched(shape) and not self._lines.touched(shape)

    def under_text(self, quad: Quad) -> Iterator[Owner]:
        """The owner of each text and each piece of line that the rectangle touches."""
        shape = _shape(quad)
        yield from self._texts.touching(shape)
        yield from self._lines.touching(shape)

    def lines_in(self, quad: Quad) -> int:
        """How many pieces of line touch the rectangle."""
        return sum(1 for _ in self._lines.shapes_touching(_shape(quad)))

    def line_at(self, point: P2) -> bool:
        """True when a line runs through `point` (within a tenth of a millimetre)."""
        return self.lines_in(square(point, 0.1)) > 0

    def texts_in(self, quad: Quad) -> int:
        """How many texts overlap the rectangle."""
        return sum(1 for _ in self._texts.shapes_touching(_shape(quad)))

    def texts_under(self, a: P2, b: P2) -> Iterator[Owner]:
        """The owner of each text that the straight line from `a` to `b` runs over."""
        return self._texts.touching(_shape((a, b))) if self._texts.holds_any else iter(())

    def crossings(self, a: P2, b: P2) -> int:
        """How many pieces of line the straight line from `a` to `b` crosses or covers, its own ends left out."""
        length = a.distance(b)
        if length < 0.5:
            return 0
        step = b.minus(a).times(0.2 / length)
        return sum(1 for _ in self._lines.shapes_touching(_shape((a.plus(step), b.minus(step)))))

    def runs_along(self, a: P2, b: P2, reach: float) -> set[Owner]:
        """The owners of the lines that run the way of that from `a` to `b` and beside it, closer than `reach` mm."""
        way = b.minus(a).unit()
        side = way.left().times(reach)
        strip = _shape((a.minus(side), b.minus(side), b.plus(side), a.plus(side)))
        return {shape.owner for shape in self._lines.shapes_touching(strip) if _along(shape.points, way)}


def square(at: P2, half: float) -> Quad:
    """The upright square about `at` with sides of 2·`half` mm."""
    return at.plus(P2(-half, -half)), at.plus(P2(half, -half)), at.plus(P2(half, half)), at.plus(P2(-half, half))


def touch(one: Figure, other: Figure) -> bool:
    """True when two figures share a point."""
    return _meet(_shape(one), _shape(other))


class _Grid:
    """Shapes by column and row of the cells they lie in."""

    def __init__(self) -> None:
        self._columns: dict[int, dict[int, list[_Shape]]] = {}
        self._owned: dict[Owner, list[_Shape]] = {}

    def enter(self, shape: _Shape) -> None:
        x0, y0, x1, y1, _, _, owner = shape
        self._owned.setdefault(owner, []).append(shape)
        for column in range(int(x0 // _CELL), int(x1 // _CELL) + 1):
            cells = self._columns.setdefault(column, {})
            for row in range(int(y0 // _CELL), int(y1 // _CELL) + 1):
                cells.setdefault(row, []).append(shape)

    def remove(self, owner: Owner) -> None:
        for x0, y0, x1, y1, *_ in self._owned.pop(owner, ()):
            for column in range(int(x0 // _CELL), int(x1 // _CELL) + 1):
                for row in range(int(y0 // _CELL), int(y1 // _CELL) + 1):
                    cell = self._columns[column][row]
                    cell[:] = [other for other in cell if other.owner != owner]

    @property
    def holds_any(self) -> bool:
        return bool(self._owned)

    def touched(self, shape: _Shape) -> bool:
        """True where any shape shares a point with `shape`."""
        return next(self.shapes_touching(shape), None) is not None

    def touching(self, shape: _Shape) -> Iterator[Owner]:
        """The owner of each shape that shares a point with `shape`."""
        return (other.owner for other in self.shapes_touching(shape))

    def shapes_touching(self, shape: _Shape) -> Iterator[_Shape]:
        """Each shape that shares a point with `shape`, once."""
        x0, y0, x1, y1, points, axes, _ = shape
        rows = range(int(y0 // _CELL), int(y1 // _CELL) + 1)
        for column in range(int(x0 // _CELL), int(x1 // _CELL) + 1):
            cells = self._columns.get(column)
            if not cells:
                continue
            for row in rows:
                for other in cells.get(row, ()):
                    ox0, oy0, ox1, oy1, others, other_axes, _ = other
                    if ox0 > x1 or ox1 < x0 or oy0 > y1 or oy1 < y0:
                        continue
                    # Boxes that meet in several cells are looked at in the one with their common lower left corner.
                    if (ox0 if ox0 > x0 else x0) // _CELL != column or (oy0 if oy0 > y0 else y0) // _CELL != row:
                        continue
                    if not (axes and _apart(axes, others)) and not (other_axes and _apart(other_axes, points)):
                        yield other


def _pieces(a: P2, b: P2) -> Iterator[tuple[P2, P2]]:
    """The line from `a` to `b` in pieces no longer than a cell."""
    count = max(1, math.ceil(a.distance(b) / _CELL))
    if count == 1:
        yield a, b
        return
    dx, dy = (b.x - a.x) / count, (b.y - a.y) / count
    stops = [P2(a.x + dx * i, a.y + dy * i) for i in range(count + 1)]
    yield from itertools.pairwise(stops)


def _shape(figure: Figure, owner: Owner = 0) -> _Shape:
    """The figure with its box and, where it does not fill it, its axes."""
    (ax, ay), (bx, by) = figure[0], figure[1]
    if len(figure) == 2:
        x0, x1 = (ax, bx) if ax < bx else (bx, ax)
        y0, y1 = (ay, by) if ay < by else (by, ay)
    else:
        (cx, cy), (dx, dy) = figure[2], figure[3]
        x0, x1 = min(ax, bx, cx, dx), max(ax, bx, cx, dx)
        y0, y1 = min(ay, by, cy, dy), max(ay, by, cy, dy)
    fills = abs(bx - ax) < _LEVEL or abs(by - ay) < _LEVEL
    return _Shape(x0, y0, x1, y1, figure, () if fills else _axes(figure), owner)


def _axes(figure: Figure) -> tuple[tuple[float, float, float, float], ...]:
    """The directions that may part a slanting figure from another: a line's normal, a rectangle's two sides.

    Two lines on one carrier are parted by their boxes.
    """
    (ax, ay), (bx, by) = figure[0], figure[1]
    x, y = bx - ax, by - ay
    across = (-y, x, *_span(figure, -y, x))
    return (across,) if len(figure) == 2 else ((x, y, *_span(figure, x, y)), across)


def _span(points: Figure, x: float, y: float) -> tuple[float, float]:
    along = [px * x + py * y for px, py in points]
    return min(along), max(along)


def _meet(one: _Shape, other: _Shape) -> bool:
    if one.x0 > other.x1 or one.x1 < other.x0 or one.y0 > other.y1 or one.y1 < other.y0:
        return False
    return not _apart(one.axes, other.points) and not _apart(other.axes, one.points)


def _along(points: Figure, way: P2) -> bool:
    """True for a line that runs along a unit vector, within some 3 degrees."""
    run = points[1].minus(points[0])
    return abs(run.cross(way)) < 0.05 * run.length()


def _apart(axes: tuple[tuple[float, float, float, float], ...], points: Figure) -> bool:
    """True when one of `axes` has all `points` before or behind the figure it belongs to."""
    for x, y, low, high in axes:
        along = [px * x + py * y for px, py in points]
        if max(along) < low or high < min(along):
            return True
    return False
