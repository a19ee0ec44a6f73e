"""Places dimensions on a view so that nothing is written over anything else.

Short dimensions go nearest the outline, so that extension lines cross as few dimension lines as possible. Each request
takes the cheapest of its options that is clear of every text and line placed before it. One that finds no place takes
the spot that disturbs least; what stood there is evicted and finds itself another, at a price that grows each time, so
that the search ends. When it does not, the letters shrink one ISO size; when that does not help either, the drawing
is refused: a LayoutError, never a bad drawing.
"""

from __future__ import annotations

import itertools
import math
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from generator.base.annotation import DimKind, Side
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box
from generator.drawing.dimension import (
    Candidate,
    DimensionChain,
    DimensionStyle,
    Linear,
    Note,
    Ordinates,
    Placement,
    Request,
    Show,
    View,
    linear_placements,
)
from generator.drawing.gaps import broken
from generator.drawing.ground import CROSSING_COST, Choices, Ground, Possible
from generator.drawing.leaders import angle_placements, leader_placements, note_placements, ordinate_placements
from generator.drawing.scene import Scene, touch
from generator.drawing.sheet import DimensionMark, Item
from generator.drawing.style import HEIGHTS, Role
from generator.drawing.symbols import line

#: What running over one station of a later extension line costs; a level costs 1.5.
_RESERVED_COST = 4.0
#: What evicting another dimension costs.
_EVICTION_COST = 6.0
#: What evicting another dimension costs more for each time the same one was evicted before.
_EVICTED_AGAIN_COST = 4.0
#: Least capital height to which letters shrink, mm.
_SMALLEST_TEXT = 2.5
#: How many levels a chain tries, from the outline outwards.
_CHAIN_LEVELS = 10
#: Limit of cost that no placement reaches.
_NO_LIMIT = float("inf")
#: Kinds of dimension that may stand outside the outline, on extension lines.
_OUTSIDE_KINDS = (DimKind.HORIZONTAL, DimKind.VERTICAL, DimKind.ALIGNED)

Line = tuple[P2, P2]


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
    ground = Ground(list(drawn), frame)
    heights = [h for h in sorted(HEIGHTS, reverse=True) if _SMALLEST_TEXT <= h <= style.text] or [style.text]
    failure: LayoutError | None = None
    for height in heights:
        board = _Board(tuple(requests), view, replace(style, text=height), ground)
        try:
            board.fill()
        except NoPlace as error:
            failure = error
        else:
            return board.marks()
    raise failure or LayoutError("no dimension style")


class NoPlace(LayoutError):
    """One request found no clear place; `request` is it."""

    def __init__(self, request: Request) -> None:
        self.request = request
        super().__init__(f"no clear place for {_name(request)}")

    def __reduce__(self) -> tuple[type[NoPlace], tuple[Request]]:
        """Carried whole between the processes of a run with several workers."""
        return NoPlace, (self.request,)


def _name(request: Request) -> str:
    if isinstance(request, Show):
        return f"dimension {request.dimension.name} ({request.text})"
    if isinstance(request, DimensionChain):
        return "the chain " + ", ".join(member.dimension.name for member in request.members)
    return f"the ordinates {request.name}" if isinstance(request, Ordinates) else f"the note {request.text!r}"


def _rank(request: Request, view: View) -> tuple[int, float]:
    """Ordinates and outside lines first (short before long), then lines inside, then leaders, which can move most."""
    if isinstance(request, Ordinates):
        return 0, 0.0
    if isinstance(request, Note):
        return 5, 0.0
    if isinstance(request, DimensionChain):
        return 1, min(Linear.of(member, view).span for member in request.members)
    kind = request.dimension.kind
    if kind in (DimKind.RADIUS, DimKind.DIAMETER):
        return 4, 0.0
    if kind is DimKind.ANGLE:
        return 3, 0.0
    linear = Linear.of(request, view)
    return (2 if linear.out is None else 1), linear.span


@dataclass
class _Board:
    """The sheet as it fills up.

    `ink` holds what stands for each request so far under the request's number, `to_come` where extension lines of the
    requests that do not yet stand will run.
    """

    requests: tuple[Request, ...]
    view: View
    style: DimensionStyle
    ground: Ground
    ink: Scene = field(default_factory=Scene)
    to_come: Scene = field(default_factory=Scene)
    placed: dict[int, tuple[Placement, ...]] = field(default_factory=dict)
    marked: dict[int, tuple[DimensionMark, ...]] = field(default_factory=dict)
    evictions: dict[int, int] = field(default_factory=dict)
    choices: dict[tuple[int, ...], Choices] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for i in range(len(self.requests)):
            self._reserve(i)

    def fill(self) -> None:
        """Places every request. Raises NoPlace."""
        queue = deque(sorted(range(len(self.requests)), key=lambda i: _rank(self.requests[i], self.view)))
        patience = 6 * len(queue) + 20
        while queue:
            i = queue.popleft()
            self.to_come.remove(i)
            placements = self._choose(i, force=False)
            if placements is None or (self.view.keeps_sides and any(placement.strayed for placement in placements)):
                patience -= 1
                placements = self._choose(i, force=True) if patience > 0 else placements
            if placements is None:
                raise NoPlace(self.requests[i])
            for other in sorted({other for placement in placements for other in self._in_its_way(placement)}):
                self._evict(other)
                queue.append(other)
            self._put(i, placements)

    def marks(self) -> tuple[DimensionMark, ...]:
        """All marks in the order of their requests, extension lines included."""
        return tuple(mark for i in range(len(self.requests)) for mark in self.marked[i])

    def _put(self, i: int, placements: tuple[Placement, ...]) -> None:
        self.placed[i] = placements
        self.marked[i] = tuple(self._mark(placement) for placement in placements)
        for mark in self.marked[i]:
            self.ink.add(mark.items, i)

    def _evict(self, i: int) -> None:
        del self.placed[i], self.marked[i]
        self.ink.remove(i)
        self.evictions[i] = self.evictions.get(i, 0) + 1
        self._reserve(i)

    def _reserve(self, i: int) -> None:
        for a, b in self._extensions_to_come(self.requests[i]):
            self.to_come.add_run([a, b], owner=i)

    def _mark(self, placement: Placement) -> DimensionMark:
        """The mark with its extension lines, broken where lettering of the part lies in their way."""
        mark = placement.draw()
        pieces = [piece for a, b in placement.witness for piece in broken(a, b, self.ground.lettering)]
        return replace(mark, items=(*(line(a, b, Role.DIMENSION) for a, b in pieces), *mark.items))

    def _extensions_to_come(self, request: Request) -> Iterator[Line]:
        """Where extension lines of an outside dimension will run, close to the view."""
        for show in request.members if isinstance(request, DimensionChain) else (request,):
            if not isinstance(show, Show) or show.dimension.kind not in _OUTSIDE_KINDS:
                continue
            linear = Linear.of(show, self.view)
            if linear.out is None:
                continue
            reach = linear.foot_base(linear.out) + self.style.first + 2.0 * self.style.spacing
            for foot in (linear.a, linear.b):
                yield foot, foot.plus(linear.out.times(reach - foot.dot(linear.out)))

    def _choose(self, i: int, force: bool) -> tuple[Placement, ...] | None:
        """The best placements for request `i`; with `force` such as stand in others' way, as little as can be."""
        request = self.requests[i]
        if isinstance(request, Ordinates):
            for placements in ordinate_placements(request, self.view, self.style):
                judged = [self.ground.judged(placement) for placement in placements]
                if all(found and self._cost(found, (), force, _NO_LIMIT) is not None for found in judged):
                    return placements
            return None
        if isinstance(request, DimensionChain):
            return self._chain(i, request, force)
        placement = self._cheapest(self._choices((i,), lambda: self._options(request)), (), force)
        return None if placement is None else (placement,)

    def _choices(self, key: tuple[int, ...], options: Callable[[], Iterable[Candidate]]) -> Choices:
        if key not in self.choices:
            self.choices[key] = Choices(options(), self.ground)
        return self.choices[key]

    def _options(self, request: Show | Note) -> Iterator[Candidate]:
        if isinstance(request, Note):
            return note_placements(request, self.view, self.style)
        kind = request.dimension.kind
        if kind in (DimKind.RADIUS, DimKind.DIAMETER):
            return leader_placements(request, self.view, self.style, self.ground.line_at)
        if kind is DimKind.ANGLE:
            return angle_placements(request, self.view, self.style, self.ground.line_at)
        return linear_placements(request, self.view, self.style, self.ground.frame, alone=self._alone(request))

    def _alone(self, show: Show) -> bool:
        """True when no other dimension wants to stand on the same side of the view."""
        side = show.dimension.side
        members = [m for r in self.requests for m in (r.members if isinstance(r, DimensionChain) else (r,))]
        rivals = [m for m in members if isinstance(m, Show) and m is not show and m.dimension.kind in _OUTSIDE_KINDS]
        return side is Side.INSIDE or all(rival.dimension.side is not side for rival in rivals)

    def _chain(self, i: int, chain: DimensionChain, force: bool) -> tuple[Placement, ...] | None:
        """All members at the nearest level where each finds a clear place."""
        for level in range(_CHAIN_LEVELS):
            placements: list[Placement] = []
            for j, member in enumerate(chain.members):
                options = partial(linear_placements, member, self.view, self.style, self.ground.frame, level)
                placement = self._cheapest(self._choices((i, j, level), options), placements, force)
                if placement is None:
                    break
                placements.append(placement)
            else:
                return tuple(placements)
        return None

    def _cheapest(self, choices: Choices, beside: Sequence[Placement], force: bool) -> Placement | None:
        """The best of `choices`, which come by rising cost: what crossings add makes none of them cheaper."""
        best: Placement | None = None
        best_cost = _NO_LIMIT
        for i in itertools.count():
            possible = choices.at(i, best_cost)
            if possible is None:
                return best
            cost = self._cost(possible, beside, force, best_cost)
            if cost is not None:
                best, best_cost = possible.placement, cost
        return best

    def _cost(self, possible: Possible, beside: Sequence[Placement], force: bool, limit: float) -> float | None:
        """Its cost among those that stand, or None where it is not clear of them or costs `limit` or more."""
        placement, cost = possible.placement, possible.cost
        if cost >= limit:
            return None
        disturbed: set[int] = set()
        for other in self._in_its_way(placement):
            if not force:
                return None
            disturbed.add(other)
        if not all(_clear_of(placement, other) for other in beside):
            return None
        cost += math.fsum(_EVICTION_COST + _EVICTED_AGAIN_COST * self.evictions.get(other, 0) for other in disturbed)
        if self.to_come.lines_in(placement.clear):
            cost += _RESERVED_COST
        for a, b in (*placement.lines, *placement.witness):
            if cost >= limit:
                return None
            cost += CROSSING_COST * self.ink.crossings(a, b)
        return cost if cost < limit else None

    def _in_its_way(self, placement: Placement) -> Iterator[int]:
        """The requests whose present stand is not clear of `placement`; one may come several times."""
        yield from self.ink.under_text(placement.clear)
        for a, b in (*placement.lines, *placement.witness):
            yield from self.ink.texts_under(a, b)
        if placement.span:
            for i, placements in self.placed.items():
                if any(other.span and _covers(placement.span, other.span) for other in placements):
                    yield i


def _clear_of(placement: Placement, other: Placement) -> bool:
    """True when neither of two members of a chain runs over the other's text and no dimension line covers another."""
    for one, two in ((placement, other), (other, placement)):
        text = one.clear
        if any(touch(text, pair) for pair in (*two.lines, *two.witness)) or touch(text, two.label.corners()):
            return False
    return not (placement.span and other.span and _covers(placement.span, other.span))


def _covers(first: Line, second: Line) -> bool:
    """True when two dimension lines lie on one line and share more than a point."""
    a, b = first
    way = b.minus(a)
    length = way.length()
    if length < 1e-9:
        return False
    unit = way.times(1.0 / length)
    if max(abs(p.minus(a).cross(unit)) for p in second) > 0.6:
        return False
    low, high = sorted(p.minus(a).dot(unit) for p in second)
    return min(high, length) - max(low, 0.0) > 0.05
