"""Arcs through a curve that is neither line nor circle, with an explicit largest error."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from generator.base.points2d import P2
from generator.base.segments2d import Segment

#: Parameter steps and bulges below this are none.
NOTHING = 1e-9


def fitted_arcs(at: Callable[[float], P2], first: float, last: float, max_error: float) -> Iterator[Segment]:
    """A run of arcs, each through start, middle and end of its stretch, within `max_error` mm of the curve `at`.

    Stretches are halved until points at the eighths lie close enough.
    """
    arc = _arc_through(at(first), at((first + last) / 2.0), at(last))
    if last - first < NOTHING or _off(arc, [at(first + (last - first) * k / 8.0) for k in range(1, 8)]) <= max_error:
        yield arc
        return
    middle = (first + last) / 2.0
    yield from fitted_arcs(at, first, middle, max_error)
    yield from fitted_arcs(at, middle, last, max_error)


def _arc_through(start: P2, middle: P2, end: P2) -> Segment:
    u, v = start.minus(middle), end.minus(middle)
    inscribed = math.atan2(abs(u.cross(v)), u.dot(v))
    bulge = math.tan((math.pi - inscribed) / 2.0)
    if bulge < NOTHING:
        return Segment(start, end)
    return Segment(start, end, math.copysign(bulge, -end.minus(start).cross(middle.minus(start))))


def _off(segment: Segment, points: Sequence[P2]) -> float:
    """Largest distance of the points from the segment's line or circle, mm."""
    if segment.is_arc:
        return max(abs(p.distance(segment.center) - segment.radius) for p in points)
    chord = segment.end.minus(segment.start)
    size = chord.length()
    return max(
        abs(chord.cross(p.minus(segment.start))) / size if size > 0 else p.distance(segment.start) for p in points
    )
