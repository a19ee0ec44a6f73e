"""The corners of a contour before they were rounded or relieved, read off its arcs and lines."""

from __future__ import annotations

from dataclasses import dataclass

from generator.base.contours2d import Path
from generator.base.points2d import P2
from generator.base.segments2d import Segment

_SAME = 1e-6


@dataclass(frozen=True)
class Corner:
    """A corner of a contour before rounding or relieving, and the radius; of a round end the circle's centre, mm."""

    at: P2
    radius: float
    relief: bool = False


def corners(path: Path) -> tuple[Corner, ...]:
    """The corners of a closed contour in its own order: sharp ones, rounded ones, and round reliefs."""
    found: list[Corner] = []
    segments = list(path.segments())
    for before, here, after in zip([segments[-1], *segments], segments, [*segments[1:], segments[0]], strict=False):
        if here.is_arc:
            found.append(_relieved(before, here, after) or _rounded(here))
        elif not before.is_arc:
            found.append(Corner(here.start, 0.0))
    return tuple(found)


def _relieved(before: Segment, arc: Segment, after: Segment) -> Corner | None:
    """The corner that a round relief takes away: where the lines beside an inward half turn meet."""
    if before.is_arc or after.is_arc or arc.sweep > -180.0 + _SAME:
        return None
    into, out = before.tangent_at(1.0), after.tangent_at(0.0)
    if abs(into.cross(out)) < _SAME:
        return None
    share = after.start.minus(before.end).cross(out) / into.cross(out)
    return Corner(before.end.plus(into.times(share)), arc.radius, relief=True)


def _rounded(arc: Segment) -> Corner:
    """Where the tangents at an arc's ends meet; an arc of half a turn or more stands for itself."""
    if abs(arc.sweep) >= 180.0 - _SAME:
        return Corner(arc.center, arc.radius, relief=True)
    into, out = arc.tangent_at(0.0), arc.tangent_at(1.0)
    share = arc.end.minus(arc.start).cross(out) / into.cross(out)
    return Corner(arc.start.plus(into.times(share)), arc.radius)
