"""Dimensions before they are placed: what is to be shown, in which view, and every place where it could be drawn.

A *request* says what to show. `linear_placements` and its like yield its candidates, cheapest first and not yet on
the sheet; `layout` picks one that clears everything else. Spacing follows the practice taught for ISO 129-1: first
dimension line 8 mm from the outline, the next at least 5 mm on, extension lines 2 mm past the dimension line.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cached_property, partial
from typing import NamedTuple

from generator.base.annotation import DIMENSION_SLACK, Anchor, Dimension, DimKind, Side
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box, Transform
from generator.drawing import font
from generator.drawing.gaps import TEXT_MARGIN
from generator.drawing.scene import Quad
from generator.drawing.sheet import DimensionMark, Item, Label
from generator.drawing.style import Role
from generator.drawing.symbols import arrowhead, line

#: What standing on a side it was not meant for costs a dimension, against 1.5 for a level further out.
_OTHER_SIDE_COST = 14.0
#: What text on a shelf costs a dimension that is alone on its side.
_SHELF_COST = 1.0
#: What text on a shelf costs a dimension that shares its side with others.
_SHELF_AMONG_OTHERS_COST = 3.0

#: How many dimension lines may stand beside each other on one side of a view.
LEVELS = 14


@dataclass(frozen=True)
class DimensionStyle:
    """Sizes on the paper, mm. Letters over 1.8 mm need more than the least spacing: see `spacing`."""

    text: float = 2.5
    first: float = 8.0
    least_spacing: float = 5.0
    overrun: float = 2.0
    foot_gap: float = 1.0

    @property
    def spacing(self) -> float:
        """From one dimension line to the next: room for the overrun of the inner one and the text of the outer one."""
        return max(self.least_spacing, self.overrun + self.text_gap + font.ascent(self.text) + TEXT_MARGIN + 0.05)

    @property
    def text_gap(self) -> float:
        """From a dimension line up to the baseline of its text."""
        return 0.42 * self.text

    @property
    def arrow(self) -> float:
        return max(2.5, 0.8 * self.text)


@dataclass(frozen=True)
class View:
    """A view on the sheet: the map from model to sheet (turn, move, even scale) and the outline's box on the sheet.

    In a view that `keeps_sides` a dimension leaves the side it was meant for only where no other one can make room for
    it there: its extension lines would run right across the view, and read as edges.
    """

    to_sheet: Transform
    box: Box
    keeps_sides: bool = False

    @property
    def scale(self) -> float:
        """Paper length of one model millimetre."""
        return math.hypot(self.to_sheet.a, self.to_sheet.b)


@dataclass(frozen=True)
class Show:
    """Show one dimension with that callout."""

    dimension: Dimension
    text: str


@dataclass(frozen=True)
class DimensionChain:
    """Dimensions that follow each other on one line: all stand at one level."""

    members: tuple[Show, ...]


@dataclass(frozen=True)
class Ordinates:
    """Distances of `points` from `datum` along one axis of the sheet, at the ends of lines drawn out to one side.

    `texts` holds the callout of each point; `side` is ABOVE or BELOW for distances along x, LEFT or RIGHT along y.
    """

    name: str
    datum: P2
    points: tuple[P2, ...]
    texts: tuple[str, ...]
    side: Side


class Tip(Enum):
    """How a leader ends, as ISO 128-2 has it: in an arrowhead on a line, in a dot within an outline."""

    ARROW = "arrow"
    DOT = "dot"


@dataclass(frozen=True)
class Note:
    """Words on a leader that ends at `target`, or on the circle of `radius` about it (model coordinates, mm)."""

    text: str
    target: P2
    radius: float = 0.0
    tip: Tip = Tip.ARROW


Request = Show | DimensionChain | Ordinates | Note


@dataclass(frozen=True)
class Placement:
    """One complete placement of a request: its text, the straight lines layout must judge, and how unwelcome it is.

    `lines` are the dimension line, leader or arc in straight pieces; `witness` the extension lines, not yet in the
    mark, because they may be broken where lettering of the part lies in their way. `span` is the dimension line
    itself, which no other dimension line may cover; `shelf` the level line under a leader's words, which would be read
    on as an edge of the part where it ran along one; `inner` a dimension line that runs inside the part; `strayed` says
    that it stands on another side than it was meant for. `draw` makes the mark: most are judged and never drawn.
    """

    label: Label
    lines: tuple[tuple[P2, P2], ...]
    witness: tuple[tuple[P2, P2], ...]
    span: tuple[P2, P2] | None
    cost: float
    draw: Callable[[], DimensionMark]
    shelf: tuple[P2, P2] | None = None
    inner: tuple[P2, P2] | None = None
    strayed: bool = False

    @cached_property
    def clear(self) -> Quad:
        """The text's rectangle with the room that it needs."""
        return self.label.corners(TEXT_MARGIN)


class Candidate(NamedTuple):
    """A placement not yet worked out: its cost before crossings, and what works it out. Most are never looked at."""

    cost: float
    work_out: Callable[[], Placement]


class CandidateGroup(NamedTuple):
    """Options that all cost `least` or more, made on demand."""

    least: float
    options: Callable[[], Iterable[Candidate]]


def cheapest_first(bundles: Iterable[CandidateGroup]) -> Iterator[Candidate]:
    """The options of all `bundles` by rising cost; equal ones in the order in which the bundles hold them.

    A bundle is opened only when it could hold the next one.
    """
    opened: list[tuple[float, int, Candidate]] = []
    count = itertools.count()
    for bundle in sorted(bundles, key=lambda bundle: bundle.least):
        while opened and opened[0][0] < bundle.least:
            yield heapq.heappop(opened)[2]
        for option in bundle.options():
            heapq.heappush(opened, (option.cost, next(count), option))
    while opened:
        yield heapq.heappop(opened)[2]


#: Side of a view to the unit direction away from the outline there, x right and y up.
OUTWARD = {
    Side.ABOVE: P2(0.0, 1.0),
    Side.BELOW: P2(0.0, -1.0),
    Side.LEFT: P2(-1.0, 0.0),
    Side.RIGHT: P2(1.0, 0.0),
}


def outward(side: Side, view: View) -> P2 | None:
    """The direction on the sheet of a side named in the part's own view; None for INSIDE.

    Raises LayoutError where the view is turned by anything but quarter turns, because a side then has no name.
    """
    if side is Side.INSIDE:
        return None
    t = view.to_sheet
    way = OUTWARD[side]
    out = P2(t.a * way.x + t.c * way.y, t.b * way.x + t.d * way.y).times(1.0 / view.scale)
    if min(abs(out.x), abs(out.y)) > 1e-9:
        raise LayoutError(f"a view turned by an odd angle has no side {side.value}")
    return P2(round(out.x), round(out.y))


def sheet_points(dimension: Dimension, view: View) -> tuple[P2, ...]:
    """The measured points on the sheet. Raises LayoutError where the view does not show the length true."""
    points = tuple(view.to_sheet.apply(p) for p in dimension.points)
    measured = _measured(dimension.kind, points, axis(dimension.kind, view))
    factor = 1.0 if dimension.kind is DimKind.ANGLE else view.scale
    if abs(measured - dimension.value * factor) > DIMENSION_SLACK:
        raise LayoutError(f"dimension {dimension.name}: this view does not show {dimension.value:g} in its true length")
    return points


def axis(kind: DimKind, view: View) -> P2 | None:
    """The direction on the sheet along which a horizontal or vertical dimension measures; None for other kinds."""
    if kind is DimKind.HORIZONTAL:
        return P2(view.to_sheet.a, view.to_sheet.b).times(1.0 / view.scale)
    if kind is DimKind.VERTICAL:
        return P2(view.to_sheet.c, view.to_sheet.d).times(1.0 / view.scale)
    return None


def _measured(kind: DimKind, points: Sequence[P2], along: P2 | None) -> float:
    if along is not None:
        return abs(points[1].minus(points[0]).dot(along))
    if kind is DimKind.ANGLE:
        u, v = points[1].minus(points[0]), points[2].minus(points[0])
        return math.degrees(abs(math.atan2(u.cross(v), u.dot(v))))
    return points[0].distance(points[1]) * (2.0 if kind is DimKind.DIAMETER else 1.0)


@dataclass(frozen=True)
class Linear:
    """A linear dimension on the sheet: measured points, direction along the dimension line, direction outwards."""

    show: Show
    a: P2
    b: P2
    along: P2
    out: P2 | None
    view: View
    shelf_cost: float

    @staticmethod
    def of(show: Show, view: View, shelf_cost: float = 0.0) -> Linear:
        a, b = sheet_points(show.dimension, view)
        along = axis(show.dimension.kind, view) or b.minus(a).unit()
        along = readable(along)
        if b.minus(a).dot(along) < 0:
            a, b = b, a
        out = outward(show.dimension.side, view)
        if out is not None and show.dimension.kind is DimKind.ALIGNED:
            square = along.left()
            out = square if square.dot(out) > 0 else square.times(-1.0)
        elif out is not None and abs(out.dot(along)) > 0.5:
            out = None  # a side the dimension runs towards cannot carry it
        return Linear(show, a, b, along, out, view, shelf_cost)

    @property
    def span(self) -> float:
        return self.b.minus(self.a).dot(self.along)

    @property
    def aligned(self) -> bool:
        return self.show.dimension.kind is DimKind.ALIGNED

    def ends(self, out: P2, distance: float) -> tuple[P2, P2]:
        """The ends of a dimension line `distance` mm along `out`."""
        a, b = self.a, self.b
        return a.plus(out.times(distance - a.dot(out))), b.plus(out.times(distance - b.dot(out)))

    def foot_base(self, out: P2) -> float:
        """Distance along `out` from which levels count: the view's box, or for an aligned one its own points."""
        if self.aligned:
            return max(self.a.dot(out), self.b.dot(out))
        box = self.view.box
        return max(P2(x, y).dot(out) for x in (box.x0, box.x1) for y in (box.y0, box.y1))


def readable(direction: P2) -> P2:
    """`direction` or its reverse, whichever is read from below or from the right."""
    angle = math.degrees(math.atan2(direction.y, direction.x))
    return direction if -90.0 + 1e-9 < angle <= 90.0 + 1e-9 else direction.times(-1.0)


def linear_placements(
    show: Show,
    view: View,
    style: DimensionStyle,
    frame: Box | None = None,
    level: int | None = None,
    alone: bool = True,
) -> Iterator[Candidate]:
    """Every way to draw a linear dimension in the `frame`, cheapest first; with `level` only those on that level.

    On its own side from the outline outwards, or inside from its points onwards; then, at a price, on other sides.
    `alone` on its side, it may well spread its text outwards; among others it had better not.
    """
    linear = Linear.of(show, view, shelf_cost=_SHELF_COST if alone else _SHELF_AMONG_OTHERS_COST)

    def bundle(out: P2, distance: float, cost: float) -> CandidateGroup:
        return CandidateGroup(cost, lambda: _line_placements(linear, out, distance, style, cost))

    places = _line_places(linear, style, level)
    return cheapest_first(
        bundle(out, distance, cost)
        for out, distance, cost in places
        if frame is None or all(frame.contains(end) for end in linear.ends(out, distance))
    )


def _line_places(linear: Linear, style: DimensionStyle, level: int | None) -> Iterator[tuple[P2, float, float]]:
    """Where the dimension line may lie: so far (mm) along a direction, at that cost."""
    square = linear.along.left()
    if linear.out is None:
        middle = (linear.a.dot(square) + linear.b.dot(square)) / 2.0
        for step in range(40):
            for sign in (1.0,) if step == 0 else (1.0, -1.0):
                yield square, middle + sign * step * 2.0, 0.35 * step
    sides = [linear.out, linear.out.times(-1.0)] if linear.out else [square, square.times(-1.0)]
    for side, extra in zip(sides, (0.0, _OTHER_SIDE_COST) if linear.out else (_OTHER_SIDE_COST,) * 2, strict=True):
        base = linear.foot_base(side)
        for i in range(LEVELS) if level is None else (level,):
            yield side, base + style.first + i * style.spacing, extra + 1.5 * i


@dataclass(frozen=True)
class _Text:
    """A dimension's text: on its line, past the line's end (`tail`), or level on a `shelf` off the line's middle."""

    label: Label
    tail: P2 | None = None
    shelf: tuple[P2, P2] | None = None


def _line_placements(
    linear: Linear, out: P2, distance: float, style: DimensionStyle, cost: float
) -> Iterator[Candidate]:
    """All places of the text on a dimension line that lies `distance` along `out`."""
    p, q = linear.ends(out, distance)

    def option(text: Callable[[], _Text], extra: float) -> Candidate:
        return Candidate(cost + extra, lambda: _linear_way(linear, (p, q), text(), style, cost + extra))

    along, words = linear.along, linear.show.text
    width = font.text_width(words, style.text)
    room = linear.span - width

    def text_at(start: P2, on: float, tail: float | None = None) -> _Text:
        """The text's middle `on` mm along from `start`, just above the line."""
        centre = start.plus(along.times(on)).plus(along.left().times(style.text_gap))
        label = Label(words, centre, style.text, Role.DIMENSION, angle_of(along), Anchor.MIDDLE)
        return _Text(label, tail=None if tail is None else start.plus(along.times(tail)))

    if room > 1.5 and _arrows_inside(linear, style):
        for share, extra in ((0.5, 0.0), (0.35, 0.6), (0.65, 0.6), (0.2, 1.0), (0.8, 1.0), (0.05, 1.2), (0.95, 1.2)):
            yield option(partial(text_at, p, 0.75 + width / 2.0 + share * (room - 1.5)), extra)
    beyond, reach = style.arrow + 1.5 + width / 2.0, style.arrow + 2.0 + width
    yield option(partial(text_at, q, beyond, reach), 1.4)
    yield option(partial(text_at, p, -beyond, -reach), 1.5)
    if abs(along.y) > 0.5:
        middle = P2((p.x + q.x) / 2.0, (p.y + q.y) / 2.0)
        for sign in (1.0, -1.0):
            if linear.out is None or sign * out.x >= 0:
                yield option(partial(_shelf_text, words, middle, sign * (width + 3.0), style), linear.shelf_cost)


def _shelf_text(words: str, middle: P2, reach: float, style: DimensionStyle) -> _Text:
    """Level text on a shelf that runs `reach` mm to the right of the line's middle, or to the left where negative."""
    end = middle.plus(P2(reach, 0.0))
    label = Label(words, P2(min(end.x, middle.x + 2.5), middle.y + style.text_gap), style.text, Role.DIMENSION)
    return _Text(label, shelf=(middle, end))


def _arrows_inside(linear: Linear, style: DimensionStyle) -> bool:
    return linear.span >= 3.0 * style.arrow


def _linear_way(linear: Linear, line_ends: tuple[P2, P2], text: _Text, style: DimensionStyle, cost: float) -> Placement:
    """The extents of one placement; the extension lines are left to the layout."""
    p, q = line_ends
    along = linear.along
    stub = along.times(0.0 if _arrows_inside(linear, style) else style.arrow + 2.0)
    ends = [p.minus(stub), q.plus(stub), *([text.tail] if text.tail else [])]
    ends.sort(key=lambda end: end.dot(along))
    span = (ends[0], ends[-1])
    lines = (span, text.shelf) if text.shelf else (span,)
    witness = tuple(e for foot, knee in ((linear.a, p), (linear.b, q)) if (e := _extension(foot, knee, style)))
    return Placement(
        text.label,
        lines,
        witness,
        span,
        cost,
        lambda: _linear_mark(linear, line_ends, text.label, lines, style),
        inner=None if linear.out else span,
        strayed=linear.out is not None and p.minus(linear.a).dot(linear.out) < 0.0,
    )


def _linear_mark(
    linear: Linear, line_ends: tuple[P2, P2], label: Label, lines: Iterable[tuple[P2, P2]], style: DimensionStyle
) -> DimensionMark:
    """Dimension line, arrows, text."""
    p, q = line_ends
    inwards = linear.along.times(-1.0 if _arrows_inside(linear, style) else 1.0)
    items: list[Item] = [
        *(line(a, b, Role.DIMENSION) for a, b in lines),
        arrowhead(p, inwards, style.arrow),
        arrowhead(q, inwards.times(-1.0), style.arrow),
    ]
    return mark_of(linear.show, linear.view, (linear.a, linear.b), p, label, items)


def _extension(foot: P2, knee: P2, style: DimensionStyle) -> tuple[P2, P2] | None:
    """From just off the measured point to just past the dimension line; None where the two coincide."""
    distance = foot.distance(knee)
    if distance < style.foot_gap + 0.2:
        return None
    way = knee.minus(foot).unit()
    return foot.plus(way.times(style.foot_gap)), knee.plus(way.times(style.overrun))


def mark_of(
    show: Show, view: View, points: tuple[P2, ...], line_at: P2, label: Label, items: Sequence[Item]
) -> DimensionMark:
    dimension = show.dimension
    kind, along = dimension.kind, axis(dimension.kind, view)
    if along is not None:
        kind = DimKind.HORIZONTAL if abs(along.x) > abs(along.y) else DimKind.VERTICAL
    return DimensionMark(
        dimension.name, kind, dimension.value, show.text, points, line_at, label, view.scale, (*items, label)
    )


def angle_of(direction: P2) -> float:
    return math.degrees(math.atan2(direction.y, direction.x))
