"""Whether the router stands on the plate while it cuts the neck, where the window leaves it least to stand on.

Jig frame, mm. The base rests on what of it lies over the plate, and over the tongue where the heel's end lies under it.
It cannot tip while its centre stays well inside the convex hull of that contact.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise

from generator.base.points2d import P2, Box
from generator.base.units import mm
from generator.joint.checks.base import Check, CheckInput, at_least
from generator.joint.router_template import stand_needed
from generator.joint.stations import Use, fence_offset, plate_half_length, plate_half_width

#: Equal steps along the window from place to place that is looked at.
_ALONG = 8
#: Equal steps across the window from place to place that is looked at.
_ACROSS = 3
#: Equal steps from point to point on each round corner of the tongue.
_NOSE = 4
#: Arcs of less, radians, are a touch.
_TOUCH = 1e-9
#: Places that stand as far inside within this, mm, stand alike.
_ALIKE = 1e-6
#: A base that stands less than this share of what is wanted inside its contact tips too easily to be used.
TIPS = 0.75


#: Thousands of points are looked at for one job, so they are bare pairs: x and y, mm.
_Point = tuple[float, float]


@dataclass(frozen=True)
class Plate:
    """What there is to stand on: the plate, the window in it, the tongue where it is carried, and the bushing.

    `nose` is the radius of the corners at the tongue's end. A window without a tongue has an empty one at its start.
    """

    outside: Box
    window: Box
    tongue: Box
    carried: Box
    nose: float
    bushing: float

    @staticmethod
    def of(work: CheckInput) -> Plate:
        routing, job = work.routing, work.job
        fence, half = fence_offset(job, work.cradle), plate_half_width(job, routing)
        far = plate_half_length(Use.NECK, job, work.cradle, routing) - fence
        near = -plate_half_length(Use.BODY, job, work.cradle, routing) - fence
        tip = routing.window_end if job.jig.bridged else routing.tongue_length
        side, wide = routing.tongue_width / 2.0, routing.window_half_width
        if routing.tongue is None:
            tip = routing.opening_start
        return Plate(
            Box(near, -half, far, half),
            Box(routing.opening_start, -wide, routing.window_end, wide),
            Box(routing.opening_start, -side, tip, side),
            Box(min(0.0, tip), -side, min(tip, routing.heel_blank), side),
            0.0 if job.jig.bridged or tip > routing.heel_blank else min(routing.tongue_corner_radius, side),
            routing.bushing_od / 2.0,
        )

    def carries(self, x: float, y: float) -> bool:
        plate, hole, tongue = self.outside, self.window, self.carried
        if plate.x0 <= x <= plate.x1 and plate.y0 <= y <= plate.y1:
            in_window = hole.x0 + 1e-9 <= x <= hole.x1 - 1e-9 and hole.y0 + 1e-9 <= y <= hole.y1 - 1e-9
            if not in_window:
                return True
        on_tongue = tongue.x0 - 1e-9 <= x <= tongue.x1 + 1e-9 and tongue.y0 - 1e-9 <= y <= tongue.y1 + 1e-9
        return on_tongue and not self._cut_off(x, y)

    def _cut_off(self, x: float, y: float) -> bool:
        """True beyond the round corners at the tongue's end."""
        out_x, out_y = x - self.carried.x1 + self.nose, abs(y) - self.carried.y1 + self.nose
        return out_x > 0.0 and out_y > 0.0 and math.hypot(out_x, out_y) > self.nose + 1e-9

    @cached_property
    def footing(self) -> tuple[_Point, ...]:
        """The corners that carry, wherever the base stands; those of the tongue's end along their rounding.

        The window's own corners point inwards: no hull has them.
        """
        corners = [(x, y) for box in (self.outside, self.carried) for x in (box.x0, box.x1) for y in (box.y0, box.y1)]
        x, y = self.carried.x1 - self.nose, self.carried.y1 - self.nose
        for turn in (math.pi / 2.0 * i / _NOSE for i in range(_NOSE + 1)):
            out = y + math.sin(turn) * self.nose
            corners += [(x + math.cos(turn) * self.nose, side * out) for side in (1.0, -1.0)]
        return tuple(point for point in corners if self.carries(*point))

    def places(self, radius: float) -> Iterator[P2]:
        """Places of the bushing's centre on one side of the tongue; the other is its mirror image.

        Evenly spread, and where the base (its radius in mm) just lets go of an edge of the window.
        """
        free, r = self.window.grown(-self.bushing), self.bushing
        lets_go = (self.window.x0 + radius, self.window.x1 - radius)
        for x in _spread(free.x0, free.x1, _ALONG, lets_go):
            low = self.tongue.y1 + r if x < self.tongue.x1 + r else 0.0
            for y in _spread(low, free.y1, _ACROSS, (self.window.y1 - radius, radius - self.window.y1)):
                yield P2(x, y)


def _spread(low: float, high: float, count: int, extra: tuple[float, ...]) -> list[float]:
    """`count` + 1 stations from end to end, and a hair to either side of each `extra` one between them."""
    even = [low + (high - low) * i / count for i in range(count + 1)]
    return even + [at + hair for at in extra for hair in (-1e-3, 1e-3) if low < at + hair < high]


def router_stand_checks(work: CheckInput) -> tuple[Check, ...]:
    """The router's stand over the neck's window."""
    plate, base = Plate.of(work), work.job.router.base_diameter
    needed = stand_needed(base)
    inside, where = _worst(plate, base / 2.0)
    words = (
        f"with the bushing at ({where.x:.0f}, {where.y:.0f}) the middle of the base, {mm(base)} across, stands "
        f"{mm(inside)} inside what carries it; a wider base screwed under the router would stand better"
    )
    return (at_least("router base", inside, needed, TIPS * needed, words),)


@lru_cache(maxsize=16)
def _worst(plate: Plate, radius: float) -> tuple[float, P2]:
    """Where the base, its radius in mm, stands least far inside, and how far; of places alike the first looked at."""
    least, where = math.inf, P2(0.0, 0.0)
    for at in plate.places(radius):
        found = stands_inside(plate, at, radius, least)
        if found < least - _ALIKE:
            least, where = found, at
    return least, where


def stands_inside(plate: Plate, at: P2, radius: float, enough: float = math.inf) -> float:
    """How far the base's centre lies inside the hull of its contact, mm; negative outside; at most `enough`.

    The base's rim carries along arcs, which are corners of the hull all along: its straight edges lie only where arcs
    are apart, from one arc's end to the next one's beginning, round what of the footing stands out between them.
    """
    cx, cy = at
    gaps = _gaps(plate, cx, cy, radius)
    if gaps is None:
        near = _near(plate, cx, cy, radius)
        return _least_distance([*(hull := _hull(near)), *hull[:1]]) if len(near) > 2 else -radius
    least = min(enough, radius)
    for end, begin in gaps:
        # What stands out of the chord can only bring the hull's edge further out.
        if radius * math.cos((begin - end) / 2.0) < least:
            a, b = ((radius * math.cos(turn), radius * math.sin(turn)) for turn in (end, begin))
            least = min(least, _least_distance(_round(a, b, _near(plate, cx, cy, radius))))
    return least


def _near(plate: Plate, cx: float, cy: float, radius: float) -> list[_Point]:
    """The footing under the base, from its centre."""
    reach = radius + 1e-9
    return [(x - cx, y - cy) for x, y in plate.footing if math.hypot(x - cx, y - cy) <= reach]


def _gaps(plate: Plate, cx: float, cy: float, radius: float) -> list[tuple[float, float]] | None:
    """Where the base's rim does not carry: angles (radians) from the end of an arc to the next; None: nowhere does it.

    What carries changes only where the rim passes an edge, so that an arc's middle speaks for the whole of it.
    """
    turns = sorted(_crossings(plate, cx, cy, radius))
    if not turns:
        return [] if plate.carries(cx + radius, cy) else None
    arcs = list(zip(turns, [*turns[1:], turns[0] + 2.0 * math.pi], strict=True))
    carried = [arc for arc in arcs if arc[1] - arc[0] > _TOUCH and _middle_carries(plate, cx, cy, radius, arc)]
    if not carried:
        return None
    following = [*(begin for begin, _ in carried[1:]), carried[0][0] + 2.0 * math.pi]
    return [(end, begin) for (_, end), begin in zip(carried, following, strict=True) if begin - end > _TOUCH]


def _middle_carries(plate: Plate, cx: float, cy: float, radius: float, arc: tuple[float, float]) -> bool:
    turn = (arc[0] + arc[1]) / 2.0
    return plate.carries(cx + radius * math.cos(turn), cy + radius * math.sin(turn))


def _crossings(plate: Plate, cx: float, cy: float, radius: float) -> list[float]:
    """The angles, radians, at which the base's rim passes edges of plate, window and tongue."""
    found = []
    for box in (plate.outside, plate.window, plate.carried):
        x0, y0, x1, y1 = box.x0 - cx, box.y0 - cy, box.x1 - cx, box.y1 - cy
        for x in (x0, x1):
            if -radius < x < radius:
                reach = math.sqrt(radius * radius - x * x)
                found += [math.atan2(y, x) for y in (-reach, reach) if y0 <= y <= y1]
        for y in (y0, y1):
            if -radius < y < radius:
                reach = math.sqrt(radius * radius - y * y)
                found += [math.atan2(y, x) for x in (-reach, reach) if x0 <= x <= x1]
    if plate.nose > 0.0:
        x = plate.carried.x1 - plate.nose - cx
        for side in (1.0, -1.0):
            found += _circle_crossings(x, side * (plate.carried.y1 - plate.nose) - cy, plate.nose, radius)
    return found


def _circle_crossings(x: float, y: float, other: float, radius: float) -> Iterator[float]:
    """The angles at which a circle of `radius` about the origin meets one of radius `other` about (x, y)."""
    apart = math.hypot(x, y)
    if abs(radius - other) < apart < radius + other:
        half = math.acos((radius**2 + apart**2 - other**2) / (2.0 * radius * apart))
        turn = math.atan2(y, x)
        yield from (math.remainder(turn + side * half, 2.0 * math.pi) for side in (1.0, -1.0))


def _round(a: _Point, b: _Point, near: Iterable[_Point]) -> list[_Point]:
    """The hull's corners from a to b, counter-clockwise: what stands out of their chord lies to its right."""
    (ax, ay), (bx, by) = a, b
    out = [(x, y) for x, y in near if (bx - ax) * (y - ay) - (by - ay) * (x - ax) < -1e-9]
    if not out:
        return [a, b]
    hull = _hull([a, b, *out])
    first = hull.index(a)
    return [*hull[first:], *hull[:first]]


def _least_distance(corners: Sequence[_Point]) -> float:
    """The least distance of the origin from the lines through successive corners, mm; positive to their left."""
    return min(
        (ax * by - ay * bx) / max(math.hypot(bx - ax, by - ay), 1e-9) for (ax, ay), (bx, by) in pairwise(corners)
    )


def _hull(points: Iterable[_Point]) -> list[_Point]:
    """The convex hull, counter-clockwise."""
    ordered = sorted(set(points))
    return [*_chain(ordered)[:-1], *_chain(ordered[::-1])[:-1]]


def _chain(points: Sequence[_Point]) -> list[_Point]:
    found: list[_Point] = []
    for px, py in points:
        while len(found) > 1:
            (ax, ay), (bx, by) = found[-2], found[-1]
            if (bx - ax) * (py - ay) - (by - ay) * (px - ax) > 0.0:
                break
            found.pop()
        found.append((px, py))
    return found
