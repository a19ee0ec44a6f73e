"""Places dimensions on a view so that nothing is written over anything else.

Short dimensions go nearest the outline, so that extension lines cross as few dimension lines as possible. Each request
takes the cheapest of its ways that is clear of every text and line placed before it and keeps off the extension lines
of those still to come. A request that finds no place is moved to the front and everything is laid out anew; then the
letters shrink one ISO size; when that does not help either, the drawing is refused: a LayoutError, never a bad drawing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from generator.drawing.dimension import (
    TEXT_MARGIN,
    Chain,
    DimensionStyle,
    Linear,
    Note,
    Option,
    Ordinates,
    Request,
    Show,
    View,
    Way,
    linear_ways,
)
from generator.drawing.leaders import angle_ways, leader_ways, note_ways, ordinate_ways
from generator.drawing.scene import Scene
from generator.drawing.sheet import DimensionMark, Item
from generator.drawing.style import HEIGHTS
from generator.errors import LayoutError
from generator.geometry2d import P2, Box, bounding_box
from generator.parts.base import DimKind

#: What one crossed line costs against one level further out.
_CROSSING_COST = 0.5
_SMALLEST_TEXT = 2.5
_ROUNDS = 12


def lay_out(
    requests: Sequence[Request],
    view: View,
    drawn: Iterable[Item],
    style: DimensionStyle | None = None,
    frame: Box | None = None,
) -> tuple[DimensionMark, ...]:
    """Lays out `requests` on `view`.

    `drawn` is the ink already on the sheet, which no text may touch; `frame` (sheet mm) bounds everything where given.
    Returns one mark a request (one a member of chains and ordinates). Raises LayoutError naming the request that
    cannot be placed, or that the view does not show in its true length.
    """
    style = style or DimensionStyle()
    drawn = list(drawn)
    heights = [h for h in sorted(HEIGHTS, reverse=True) if _SMALLEST_TEXT <= h <= style.text] or [style.text]
    failure: LayoutError | None = None
    for height in heights:
        try:
            return _with_letters(requests, view, drawn, replace(style, text=height), frame)
        except NoPlace as error:
            failure = error
    raise failure or LayoutError("no dimension style")


class NoPlace(LayoutError):
    """One request found no clear place; `request` is it."""

    def __init__(self, request: Request) -> None:
        self.request = request
        super().__init__(f"no clear place for {_name(request)}")


def _with_letters(
    requests: Sequence[Request], view: View, drawn: list[Item], style: DimensionStyle, frame: Box | None
) -> tuple[DimensionMark, ...]:
    order = sorted(range(len(requests)), key=lambda i: _rank(requests[i], view))
    for attempt in range(_ROUNDS):
        placer = _Placer(view, style, frame, Scene(drawn))
        chosen: dict[int, tuple[DimensionMark, ...]] = {}
        for position, i in enumerate(order):
            later = [requests[j] for j in order[position + 1 :]]
            try:
                chosen[i] = placer.place(requests[i], later)
            except NoPlace:
                if attempt == _ROUNDS - 1 or position == 0:
                    raise
                order.insert(0, order.pop(position))
                break
        else:
            return tuple(mark for i in range(len(requests)) for mark in chosen[i])
    raise LayoutError("no order of placing leaves room")


def _rank(request: Request, view: View) -> tuple[int, float]:
    """Ordinates and outside lines first (short before long), then lines inside, then leaders, which can move most."""
    if isinstance(request, Ordinates):
        return 0, 0.0
    if isinstance(request, Note):
        return 5, 0.0
    if isinstance(request, Chain):
        return 1, min(Linear.of(member, view).span for member in request.members)
    kind = request.dimension.kind
    if kind in (DimKind.RADIUS, DimKind.DIAMETER):
        return 4, 0.0
    if kind is DimKind.ANGLE:
        return 3, 0.0
    linear = Linear.of(request, view)
    return (2 if linear.out is None else 1), linear.span


def _name(request: Request) -> str:
    if isinstance(request, Show):
        return f"dimension {request.dimension.name} ({request.text})"
    if isinstance(request, Chain):
        return "the chain " + ", ".join(member.dimension.name for member in request.members)
    return f"the ordinates {request.name}" if isinstance(request, Ordinates) else f"the note {request.text!r}"


def _ways(show: Show | Note, view: View, style: DimensionStyle, scene: Scene) -> Iterator[Option]:
    if isinstance(show, Note):
        return note_ways(show, view, style)
    if show.dimension.kind in (DimKind.RADIUS, DimKind.DIAMETER):
        return leader_ways(show, view, style, scene.line_at)
    if show.dimension.kind is DimKind.ANGLE:
        return angle_ways(show, view, style, scene.line_at)
    return linear_ways(show, view, style)


@dataclass
class _Placer:
    """The sheet as it fills up."""

    view: View
    style: DimensionStyle
    frame: Box | None
    scene: Scene
    spans: list[tuple[P2, P2]] = field(default_factory=list)

    def place(self, request: Request, later: Sequence[Request]) -> tuple[DimensionMark, ...]:
        """Puts `request` down. Raises NoPlace."""
        reserved = Scene()
        for a, b in self._extensions_to_come(later):
            reserved.add_run([a, b])
        ways = self._choose(request, reserved)
        if ways is None:
            raise NoPlace(request)
        for way in ways:
            self.scene.add(way.mark.items)
            if way.span:
                self.spans.append(way.span)
        return tuple(way.mark for way in ways)

    def _extensions_to_come(self, later: Sequence[Request]) -> Iterator[tuple[P2, P2]]:
        """Where extension lines of the outside dimensions still to be placed will run, close to the view."""
        for request in later:
            for show in request.members if isinstance(request, Chain) else (request,):
                if not isinstance(show, Show) or show.dimension.kind not in _OUTSIDE_KINDS:
                    continue
                linear = Linear.of(show, self.view)
                if linear.out is None:
                    continue
                reach = linear.foot_base(linear.out) + self.style.first + 2.0 * self.style.spacing
                for foot in (linear.a, linear.b):
                    yield foot, foot.plus(linear.out.times(reach - foot.dot(linear.out)))

    def _choose(self, request: Request, reserved: Scene) -> tuple[Way, ...] | None:
        if isinstance(request, Ordinates):
            sets = ordinate_ways(request, self.view, self.style)
            return next((ways for ways in sets if self._fits_together(ways)), None)
        if isinstance(request, Chain):
            return self._chain(request, reserved)
        way = self._cheapest(_ways(request, self.view, self.style, self.scene), reserved, ())
        return None if way is None else (way,)

    def _chain(self, chain: Chain, reserved: Scene) -> tuple[Way, ...] | None:
        """All members at the nearest level where each finds a clear way."""
        for level in range(10):
            ways: list[Way] = []
            for member in chain.members:
                way = self._cheapest(linear_ways(member, self.view, self.style, level), reserved, ways)
                if way is None:
                    break
                ways.append(way)
            else:
                return tuple(ways)
        return None

    def _cheapest(self, options: Iterable[Option], reserved: Scene, beside: Sequence[Way]) -> Way | None:
        best: Way | None = None
        best_cost = float("inf")
        for option in options:
            if option.cost >= best_cost:
                continue
            way = option.draw()
            cost = self._cost(way, reserved, beside, best_cost)
            if cost is not None and cost < best_cost:
                best, best_cost = way, cost
        return best

    def _cost(self, way: Way, reserved: Scene, beside: Sequence[Way], limit: float) -> float | None:
        """What the way costs, or None where it would not be clear."""
        quad = way.label.corners(TEXT_MARGIN)
        if not self._in_frame(way) or not self.scene.text_fits(quad) or reserved.lines_in(quad):
            return None
        if any(self.scene.texts_under(a, b) for a, b in way.lines):
            return None
        if way.span and any(_covers(way.span, other) for other in self.spans):
            return None
        if beside and not _clear_of(way, beside):
            return None
        cost = way.cost
        for a, b in way.lines:
            cost += _CROSSING_COST * self.scene.crossings(a, b)
            if cost >= limit:
                return None
        return cost

    def _fits_together(self, ways: tuple[Way, ...]) -> bool:
        nothing = Scene()
        return all(self._cost(way, nothing, (), float("inf")) is not None for way in ways)

    def _in_frame(self, way: Way) -> bool:
        if self.frame is None:
            return True
        points = [*way.label.corners(TEXT_MARGIN), *(p for pair in way.lines for p in pair)]
        box = bounding_box(points)
        return self.frame.contains(P2(box.x0, box.y0)) and self.frame.contains(P2(box.x1, box.y1))


_OUTSIDE_KINDS = (DimKind.HORIZONTAL, DimKind.VERTICAL, DimKind.ALIGNED)


def _clear_of(way: Way, beside: Sequence[Way]) -> bool:
    """True when the ways of one chain leave each other's text alone and do not cover each other's line."""
    quad = way.label.corners(TEXT_MARGIN)
    others = Scene(item for other in beside for item in other.mark.items)
    if not others.text_fits(quad) or any(others.texts_under(a, b) for a, b in way.lines):
        return False
    return not any(way.span and other.span and _covers(way.span, other.span) for other in beside)


def _covers(first: tuple[P2, P2], second: tuple[P2, P2]) -> bool:
    """True when two dimension lines lie on one line and share more than a point."""
    a, b = first
    way = b.minus(a)
    length = way.length()
    if length < 1e-9:
        return False
    unit = way.times(1.0 / length)
    offsets = [abs(p.minus(a).cross(unit)) for p in second]
    if max(offsets) > 0.6:
        return False
    low, high = sorted(p.minus(a).dot(unit) for p in second)
    return min(high, length) - max(low, 0.0) > 0.05
