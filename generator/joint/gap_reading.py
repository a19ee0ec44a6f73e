"""How the gap at the saddle is read: round which value, and over which spacers a straightedge clears a domed top.

A dome rises faster at the join than the gluing face's plane does and stands over it there: a straightedge on the bare
gluing face would ride on the top and read the gap too high. Lengths mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.joint.neck_set import NeckSet
from generator.joint.solution import Solution

#: Step from reading to reading, mm.
STEP = 0.25
#: How far round the wanted gap the readings reach at least, mm.
LEAST_REACH = 1.0
#: How far round the wanted gap the readings reach at most, mm.
MOST_REACH = 1.5
#: A gap lower than this cannot be read under a straightedge.
_LEAST_READ = 0.4
#: A top that stands over the plane by no more than this does not lift a straightedge, mm.
_TOUCH = 0.02
#: A straightedge over spacers passes the top by at least this, mm.
_CLEAR = 0.1


@dataclass(frozen=True)
class Hump:
    """Where the top stands highest over a plane through the gluing face's edge: so high, so far from the join."""

    height: float
    station: float


def gaps_read(solution: Solution) -> tuple[float, ...]:
    """Gaps round the wanted one, lowest first, as far as 95 of 100 first fits read, in whole steps."""
    reach = min(MOST_REACH, max(LEAST_REACH, solution.uncertainty.gap_likely))
    count = math.ceil(reach / STEP - 1e-9)
    return tuple(solution.neck_set.saddle_gap + STEP * n for n in range(-count, count + 1))


def hump(neck_set: NeckSet, gap: float, end: float) -> Hump:
    """Where the top is highest over the neck plane with that saddle gap, from the join to `end`; exact, no search."""
    top, span = neck_set.top, neck_set.join_to_saddle
    slope = (gap + top.height(span) - neck_set.neck_rise) / span
    stations = [0.0, end, *(x for x in top.turns_at(slope) if 0.0 < x < end)]
    return max((Hump(top.height(x) - neck_set.neck_rise - slope * x, x) for x in stations), key=lambda one: one.height)


def spacer_height(solution: Solution) -> float:
    """How high, in whole millimetres, the straightedge is lifted so that every reading can be taken; 0 without need."""
    neck_set, lowest = solution.neck_set, gaps_read(solution)[0]
    over = hump(neck_set, lowest, neck_set.join_to_saddle).height
    needed = max(_LEAST_READ - lowest, over + _CLEAR if over > _TOUCH else 0.0)
    return float(max(0, math.ceil(needed)))
