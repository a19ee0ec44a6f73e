"""Where a sheet is cut into rows and columns of pages: where the least is torn apart.

The fewest pages decide how many joins there are; what room is left over lets each join move to a quiet place, between
two views rather than through one, between two lines of text rather than through the letters.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType
from typing import NamedTuple

from generator.base.contours2d import Circle
from generator.base.points2d import Box, bounding_box
from generator.drawing.sheet import Item, Label, Stroke
from generator.drawing.style import Role

#: How far apart the places are that a join may take, mm.
_PLACE = 1.0
#: What it costs to run through a text.
_THROUGH_TEXT = 12.0
#: What it costs to run through an edge, by its role: most through one that will be cut or laid on the work.
_THROUGH_LINE: Mapping[Role, float] = MappingProxyType({Role.CUT: 8.0, Role.VISIBLE: 4.0, Role.EDGE: 2.0})
#: What it costs to run through a line of any other role.
_THROUGH_OTHER = 0.5
#: A join along a line is worse than one across it: the least of that factor.
_LEAST_LENGTHWISE = 0.3
#: A join along a line is worse than one across it: the most of that factor.
_MOST_LENGTHWISE = 10.0
#: What it is worth to move a join on by one place when all else is equal, so that the first pages fill.
_FILL = 1e-6
#: Rounding error of lengths, mm: smaller differences are none.
_EXACT = 1e-9
#: Joins stand off the letters by this, mm.
_OFF_TEXT = 0.3
#: Closer than this (half of what two pages share, and a little) the other page shows slivers, mm.
_BESIDE = 6.5
#: What it costs to run as close as that to a text.
_NEAR_TEXT = 1.0
#: What it costs to run along an edge as close as that, by its role: both would be cut or read as one. Beside a hole it
#: costs a quarter of it.
_ALONG_LINE: Mapping[Role, float] = MappingProxyType({Role.CUT: 10.0, Role.VISIBLE: 6.0, Role.EDGE: 3.0})
#: What it costs to run closely along a line of no edge. Beside a hole it costs a quarter of it.
_ALONG_OTHER = 0.5
#: Lines of no edge may come as near as this, mm.
_BESIDE_OTHER = 1.5
#: Only straight lines as long as this, mm, run along a join.
_SHORTEST_ALONG = 4.0


class Axis(Enum):
    """Along which coordinate pages follow each other: to the right, or downwards (−y)."""

    ACROSS = "across"
    DOWN = "down"


@dataclass(frozen=True)
class JoinStep:
    """One column or row: what its page shows (low to high) and what it owns (up to the join lines), mm."""

    low: float
    high: float
    own_low: float
    own_high: float


class Span(NamedTuple):
    """What one item covers along an axis, mm, and what a join through it costs."""

    low: float
    high: float
    cost: float


def spans(items: Iterable[Item], axis: Axis) -> list[Span]:
    """The strokes and labels of a sheet along `axis`."""
    found: list[Span] = []
    for item in items:
        if isinstance(item, Label):
            low, high = _extent(item.box(), axis)
            found.append(Span(low - _OFF_TEXT, high + _OFF_TEXT, _THROUGH_TEXT))
            found.append(Span(low - _BESIDE, high + _BESIDE, _NEAR_TEXT))
        elif isinstance(item, Stroke):
            found.append(_through(item, axis))
            found += _beside(item, axis)
    return found


def _extent(box: Box, axis: Axis) -> tuple[float, float]:
    return (box.x0, box.x1) if axis is Axis.ACROSS else (-box.y1, -box.y0)


def _through(stroke: Stroke, axis: Axis) -> Span:
    """Where a join would cross the stroke."""
    box = stroke.box()
    low, high = _extent(box, axis)
    across, along = (box.width, box.height) if axis is Axis.ACROSS else (box.height, box.width)
    return Span(low, high, _THROUGH_LINE.get(stroke.role, _THROUGH_OTHER) * _lengthwise(along, across))


def _beside(stroke: Stroke, axis: Axis) -> list[Span]:
    """Where a join would run along a straight part of the stroke, or past a hole, so near that it confuses."""
    edge = stroke.role in _ALONG_LINE
    off, cost = (_BESIDE, _ALONG_LINE[stroke.role]) if edge else (_BESIDE_OTHER, _ALONG_OTHER)
    if isinstance(stroke.path, Circle):
        low, high = _extent(stroke.path.box(), axis)
        return [Span(low - off, high + off, cost / 4.0)]
    levels = set()
    for segment in stroke.path.segments():
        low, high = _extent(bounding_box((segment.start, segment.end)), axis)
        if not segment.is_arc and high - low < _EXACT and segment.length >= _SHORTEST_ALONG:
            levels.add(round(low, 6))
    return [Span(level - off, level + off, cost) for level in sorted(levels)]


def _lengthwise(along: float, across: float) -> float:
    """How much worse a join is that runs `along` a flat shape than one that crosses a slim one."""
    return min(max(along / max(across, _EXACT), _LEAST_LENGTHWISE), _MOST_LENGTHWISE)


def steps(low: float, high: float, size: float, overlap: float, ink: Sequence[Span] = ()) -> list[JoinStep]:
    """The fewest windows of at most `size` that cover low … high and overlap by `overlap`, joined where `ink` is thin.

    Without ink each window but the last is full, to a millimetre. A single window is centred on what it shows.
    """
    count = max(1, math.ceil((high - low - overlap) / (size - overlap) - 1e-9))
    if count == 1:
        start = (low + high - size) / 2.0
        return [JoinStep(start, start + size, start, start + size)]
    half = overlap / 2.0
    joins = _quietest(low, high, count - 1, size - half, size - overlap, ink)
    lows = [low, *(join - half for join in joins)]
    highs = [*(join + half for join in joins), lows[-1] + size]
    owned = [low, *joins, highs[-1]]
    return [JoinStep(lows[i], highs[i], owned[i], owned[i + 1]) for i in range(count)]


def page_break(found: Sequence[JoinStep], ink: Sequence[Span]) -> float:
    """What the joins between `found` cost in all."""
    return math.fsum(_costs([step.own_high for step in found[:-1]], ink))


def _quietest(low: float, high: float, count: int, outer: float, inner: float, ink: Sequence[Span]) -> list[float]:
    """The `count` joins between `low` and `high` that tear the least in all; of equal ones those that fill pages first.

    The first and the last page own at most `outer` mm, the pages between two joins at most `inner`.
    """
    number = math.ceil((high - low) / _PLACE)
    places = [low + i * _PLACE for i in range(number)]
    costs = [cost - _FILL * i for i, cost in enumerate(_costs(places, ink))]
    best = [cost if place - low <= outer + _EXACT else math.inf for place, cost in zip(places, costs, strict=True)]
    came: list[list[int]] = []
    reach = math.floor(inner / _PLACE + _EXACT)
    for _ in range(count - 1):
        before = [min(range(max(0, i - reach), i), key=best.__getitem__, default=0) for i in range(number)]
        came.append(before)
        best = [best[before[i]] + costs[i] if before[i] < i else math.inf for i in range(number)]
    last = min((i for i in range(number) if high - places[i] <= outer + _EXACT), key=best.__getitem__)
    if math.isinf(best[last]):
        # Less than a place's room is left over: every page but the last is full.
        return [low + outer + i * inner for i in range(count)]
    chosen = [last]
    for before in reversed(came):
        chosen.append(before[chosen[-1]])
    return [places[i] for i in reversed(chosen)]


def _costs(places: Sequence[float], ink: Sequence[Span]) -> list[float]:
    """What a join costs at each of the rising `places`."""
    changes = [0.0] * (len(places) + 1)
    for span in ink:
        changes[bisect_right(places, span.low)] += span.cost
        changes[bisect_left(places, span.high)] -= span.cost
    return list(itertools.accumulate(changes[:-1]))
