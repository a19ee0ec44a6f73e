"""Whether the router stands on the plate while it cuts the neck, where the window leaves it least to stand on.

Jig frame, mm. The base rests on what of it lies over the plate, and over the tongue where the heel's end lies under it.
It cannot tip while its centre stays well inside the convex hull of that contact.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from generator.base.geometry2d import P2, Box
from generator.joint.checks.base import Check, Worked, at_least, mm
from generator.joint.router_template import stand_needed
from generator.joint.stations import Use, fence_offset, plate_half_length, plate_half_width

#: Places looked at along and across the window, points on the base's rim and on the tongue's round corners.
_ALONG, _ACROSS, _RIM, _NOSE = 8, 3, 36, 4
_CIRCLE = tuple((math.cos(turn), math.sin(turn)) for turn in (2.0 * math.pi * i / _RIM for i in range(_RIM)))
#: A base that stands less than this share of what is wanted inside its contact tips too easily to be used.
TIPS = 0.75


#: Tens of thousands of points are looked at for one job, so they are bare pairs: x and y, mm.
_Point = tuple[float, float]


@dataclass(frozen=True)
class _Plate:
    """What there is to stand on: the plate, the window in it, the tongue where it is carried, and the bushing.

    `nose` is the radius of the corners at the tongue's end.
    """

    outside: Box
    window: Box
    tongue: Box
    carried: Box
    nose: float
    bushing: float

    @staticmethod
    def of(work: Worked) -> _Plate:
        routing, job = work.routing, work.job
        fence, half = fence_offset(job, work.cradle), plate_half_width(job, routing)
        far = plate_half_length(Use.NECK, job, work.cradle, routing) - fence
        near = -plate_half_length(Use.BODY, job, work.cradle, routing) - fence
        tip = routing.window_end if job.jig.bridged else routing.tongue_length
        side, wide = routing.tongue_width / 2.0, routing.window_half_width
        return _Plate(
            Box(near, -half, far, half),
            Box(routing.opening_start, -wide, routing.window_end, wide),
            Box(routing.opening_start, -side, tip, side),
            Box(0.0, -side, min(tip, routing.heel_blank), side),
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
        """The corners that carry, wherever the base stands; those of the tongue's end along their rounding."""
        corners = [
            (x, y)
            for box in (self.outside, self.window, self.carried)
            for x in (box.x0, box.x1)
            for y in (box.y0, box.y1)
        ]
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


def router_stand_checks(work: Worked) -> tuple[Check, ...]:
    """The router's stand over the neck's window."""
    plate, base = _Plate.of(work), work.job.router.base_diameter
    needed = stand_needed(base)
    inside, where = min((_inside(plate, at, base / 2.0), at) for at in plate.places(base / 2.0))
    words = (
        f"with the bushing at ({where.x:.0f}, {where.y:.0f}) the middle of the base, {mm(base)} across, stands "
        f"{mm(inside)} inside what carries it; a wider base screwed under the router would stand better"
    )
    return (at_least("router base", inside, needed, TIPS * needed, words),)


def _inside(plate: _Plate, at: P2, radius: float) -> float:
    """How far the base's centre lies inside the hull of its contact, mm; negative outside."""
    hull = _hull(_contact(plate, at, radius))
    if len(hull) < 3:
        return -radius
    x, y = at
    return min(
        ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / max(math.hypot(bx - ax, by - ay), 1e-9)
        for (ax, ay), (bx, by) in zip(hull, [*hull[1:], hull[0]], strict=True)
    )


def _contact(plate: _Plate, at: P2, radius: float) -> Iterator[_Point]:
    """Outermost points of the contact: on the base's rim, and where edges of the plate end or pass under the rim."""
    cx, cy = at
    reach = radius + 1e-9
    for x, y in plate.footing:
        if math.hypot(x - cx, y - cy) <= reach:
            yield x, y
    for cosine, sine in _CIRCLE:
        x, y = cx + cosine * radius, cy + sine * radius
        if plate.carries(x, y):
            yield x, y
    for box in (plate.outside, plate.window, plate.carried):
        for x, y in _crossings(box, cx, cy, radius):
            if plate.carries(x, y):
                yield x, y


def _crossings(box: Box, cx: float, cy: float, radius: float) -> Iterator[_Point]:
    """Where a circle passes the lines of a box's edges, on the edges."""
    for x in (box.x0, box.x1):
        if abs(x - cx) < radius:
            reach = math.sqrt(radius**2 - (x - cx) ** 2)
            yield from ((x, y) for y in (cy - reach, cy + reach) if box.y0 <= y <= box.y1)
    for y in (box.y0, box.y1):
        if abs(y - cy) < radius:
            reach = math.sqrt(radius**2 - (y - cy) ** 2)
            yield from ((x, y) for x in (cx - reach, cx + reach) if box.x0 <= x <= box.x1)


def _hull(points: Iterable[_Point]) -> list[_Point]:
    """The convex hull, counter-clockwise; points closer than a hundred-thousandth are one."""
    ordered = sorted({(round(x, 5), round(y, 5)) for x, y in points})
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
