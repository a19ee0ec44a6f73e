"""Where a sheet is cut into rows and columns of pages: where the least is torn apart.

The fewest pages decide how many joins there are; what room is left over lets each join move to a quiet place, between
two views rather than through one, between two lines of text rather than through the letters.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType
from typing import NamedTuple

from generator.drawing.sheet import Item, Label, Stroke
from generator.drawing.style import Role

#: How far apart the places are that a join may take, mm.
_PLACE = 1.0
#: What it costs to run through a text, and through lines: most through an edge that will be cut or laid on the work.
_THROUGH_TEXT = 12.0
_THROUGH_LINE: Mapping[Role, float] = MappingProxyType({Role.CUT: 8.0, Role.VISIBLE: 4.0, Role.EDGE: 2.0})
_THROUGH_OTHER = 0.5
#: Joins stand off the letters by this, mm.
_OFF_TEXT = 0.3


class Axis(Enum):
    """Along which coordinate pages follow each other: to the right, or downwards (−y)."""

    ACROSS = "across"
    DOWN = "down"


@dataclass(frozen=True)
class Step:
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
    found = []
    for item in items:
        if not isinstance(item, Stroke | Label):
            continue
        box = item.box().grown(_OFF_TEXT if isinstance(item, Label) else 0.0)
        low, high = (box.x0, box.x1) if axis is Axis.ACROSS else (-box.y1, -box.y0)
        cost = _THROUGH_TEXT if isinstance(item, Label) else _THROUGH_LINE.get(item.role, _THROUGH_OTHER)
        found.append(Span(low, high, cost))
    return found


def steps(low: float, high: float, size: float, overlap: float, ink: Sequence[Span] = ()) -> list[Step]:
    """The fewest windows of at most `size` that cover low … high and overlap by `overlap`, joined where `ink` is thin.

    Without ink each window but the last is full. A single window is centred on what it shows.
    """
    count = max(1, math.ceil((high - low - overlap) / (size - overlap) - 1e-9))
    if count == 1:
        start = (low + high - size) / 2.0
        return [Step(start, start + size, start, start + size)]
    half = overlap / 2.0
    joins: list[float] = []
    start = low
    for left in range(count - 1, 0, -1):
        latest = start + size - half
        earliest = max(high - left * size + (left - 1) * overlap + half, start + half + _PLACE)
        join = _quietest(earliest, latest, ink)
        joins.append(join)
        start = join - half
    lows = [low, *(join - half for join in joins)]
    highs = [*(join + half for join in joins), lows[-1] + size]
    owned = [low, *joins, highs[-1]]
    return [Step(lows[i], highs[i], owned[i], owned[i + 1]) for i in range(count)]


def _quietest(earliest: float, latest: float, ink: Sequence[Span]) -> float:
    """The place from `latest` down to `earliest` that tears the least; of equal ones the latest, so that pages fill."""
    places = [latest - i * _PLACE for i in range(max(0, math.floor((latest - earliest) / _PLACE)) + 1)]
    return min(places, key=lambda place: sum(span.cost for span in ink if span.low < place < span.high))
