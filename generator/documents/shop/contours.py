"""What a contour is, read off its arcs and lines: its corners before rounding, and whether it is a rectangle."""

from __future__ import annotations

from dataclasses import dataclass

from generator.base.contours2d import Path
from generator.base.points2d import P2
from generator.base.segments2d import Segment
from generator.jig.part import Part

_SAME = 1e-6


@dataclass(frozen=True)
class Corner:
    """A corner of a contour before rounding or relieving, and the radius; of a round end the circle's centre, mm."""

    at: P2
    radius: float
    relief: bool = False


def contours(part: Part) -> tuple[Path, ...]:
    """The outline of a part and what is cut into it, round holes left out."""
    return part.outline, *(one.contour for one in part.openings if isinstance(one.contour, Path))


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


def outline_radius(path: Path) -> float | None:
    """The one radius of a rectangle's four corners; None where the contour is no rectangle, or a sharp one."""
    found, box = corners(path), path.box()
    if len(found) != 4 or any(corner.relief for corner in found):
        return None
    radii = [corner.radius for corner in found]
    ends = {(round(x, 6) + 0.0, round(y, 6) + 0.0) for x in (box.x0, box.x1) for y in (box.y0, box.y1)}
    square = {(round(c.at.x, 6) + 0.0, round(c.at.y, 6) + 0.0) for c in found} == ends
    alike = max(radii) - min(radii) < _SAME
    return radii[0] if square and alike and radii[0] > 0.0 else None
