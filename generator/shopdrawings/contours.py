"""What a contour is, read off its arcs and lines, so that tables can say it in numbers: corners, slots, arc slots."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from generator.geometry2d import P2, Path, Segment

_SAME = 1e-6


@dataclass(frozen=True)
class Corner:
    """A corner of a contour before rounding, and its radius; of a relief the circle's centre, mm."""

    at: P2
    radius: float
    relief: bool = False


def corners(path: Path) -> tuple[Corner, ...]:
    """The corners of a closed contour in its own order: sharp ones, rounded ones, and round reliefs."""
    found: list[Corner] = []
    segments = list(path.segments())
    for before, here in pairwise([segments[-1], *segments]):
        if here.is_arc:
            found.append(_rounded(here))
        elif not before.is_arc:
            found.append(Corner(here.start, 0.0))
    return tuple(found)


def _rounded(arc: Segment) -> Corner:
    """Where the tangents at an arc's ends meet; an arc of half a turn or more stands for itself."""
    if abs(arc.sweep) >= 180.0 - _SAME:
        return Corner(arc.center, arc.radius, relief=True)
    into, out = arc.tangent_at(0.0), arc.tangent_at(1.0)
    share = arc.end.minus(arc.start).cross(out) / into.cross(out)
    return Corner(arc.start.plus(into.times(share)), arc.radius)


@dataclass(frozen=True)
class Oblong:
    """A rectangle square to the drawing, its corners sharp or all of one radius, mm."""

    at: P2
    width: float
    height: float
    radius: float


def oblong(path: Path) -> Oblong | None:
    """`path` as an oblong, or None where it is something else."""
    found = corners(path)
    box = path.box()
    if len(found) != 4 or any(corner.relief for corner in found):
        return None
    if max(c.radius for c in found) - min(c.radius for c in found) > _SAME:
        return None
    ends = {(round(x, 6) + 0.0, round(y, 6) + 0.0) for x in (box.x0, box.x1) for y in (box.y0, box.y1)}
    if {(round(c.at.x, 6) + 0.0, round(c.at.y, 6) + 0.0) for c in found} != ends:
        return None
    return Oblong(box.center, box.width, box.height, found[0].radius)


@dataclass(frozen=True)
class RoundSlot:
    """A slot with round ends, straight or along an arc: its end centres and width, and the arc's centre and radius."""

    ends: tuple[P2, P2]
    width: float
    center: P2 | None
    radius: float


def round_slot(path: Path) -> RoundSlot | None:
    """`path` as a slot with round ends, or None where it is something else."""
    segments = list(path.segments())
    caps = [i for i, seg in enumerate(segments) if seg.is_arc and abs(abs(seg.sweep) - 180.0) < _SAME]
    if len(segments) != 4 or len(caps) < 2 or caps[0] % 2 != caps[1] % 2:
        return None
    first, second = segments[caps[0]], segments[caps[1]]
    if abs(first.radius - second.radius) > _SAME:
        return None
    walls = [seg for i, seg in enumerate(segments) if i not in caps[:2]]
    ends = (first.center, second.center)
    if not walls[0].is_arc:
        return RoundSlot(ends, 2.0 * first.radius, None, 0.0)
    return RoundSlot(ends, 2.0 * first.radius, walls[0].center, ends[0].distance(walls[0].center))


def outside(found: Iterable[Corner], taken: Iterable[P2]) -> tuple[Corner, ...]:
    """Those corners that are none of the points `taken`."""
    points = list(taken)
    return tuple(corner for corner in found if all(corner.at.distance(point) > 1e-4 for point in points))
