"""Whether the router stands on the plate while it cuts the tenon, where the window leaves it least to stand on.

Jig frame, mm. The base rests on what of it lies over the plate, and over the tongue where the heel's end lies under it.
It cannot tip while its centre stays well inside the convex hull of that contact.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from generator.checks.base import Check, Worked, at_least, mm
from generator.frame import fence_offset, mortise_half_length, plate_half_width, tenon_half_length
from generator.geometry2d import P2, Box
from generator.routing import stand_needed

#: Places looked at along and across the window, points on the base's rim and on the tongue's round corners.
_ALONG, _ACROSS, _RIM, _NOSE = 8, 3, 36, 4
#: A base that stands less than this share of what is wanted inside its contact tips too easily to be used.
TIPS = 0.75


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
        far = tenon_half_length(job, work.cradle, routing) - fence
        near = -mortise_half_length(job, work.cradle, routing) - fence
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

    def carries(self, at: P2) -> bool:
        on_plate = self.outside.contains(at) and not self.window.contains(at, -1e-9)
        return on_plate or (self.carried.contains(at, 1e-9) and not self._cut_off(at))

    def _cut_off(self, at: P2) -> bool:
        """True beyond the round corners at the tongue's end."""
        centre = P2(self.carried.x1 - self.nose, self.carried.y1 - self.nose)
        out = P2(at.x - centre.x, abs(at.y) - centre.y)
        return out.x > 0.0 and out.y > 0.0 and out.length() > self.nose + 1e-9

    def rounding(self) -> Iterator[P2]:
        """Points along the round corners at the tongue's end."""
        centre = P2(self.carried.x1 - self.nose, self.carried.y1 - self.nose)
        for i in range(_NOSE + 1):
            turn = math.pi / 2.0 * i / _NOSE
            at = centre.plus(P2(math.cos(turn), math.sin(turn)).times(self.nose))
            yield from (at, P2(at.x, -at.y))

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
    """The router's stand over the tenon window."""
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
    sides = zip(hull, [*hull[1:], hull[0]], strict=True)
    return min(b.minus(a).cross(at.minus(a)) / max(a.distance(b), 1e-9) for a, b in sides)


def _contact(plate: _Plate, at: P2, radius: float) -> Iterator[P2]:
    """Outermost points of the contact: on the base's rim, and where edges of the plate end or pass under the rim."""
    rim = [P2(math.cos(turn), math.sin(turn)).times(radius) for turn in _turns()]
    points = [at.plus(out) for out in rim] + list(plate.rounding())
    for box in (plate.outside, plate.window, plate.carried):
        points += _corners(box)
        points += _crossings(box, at, radius)
    for point in points:
        if point.distance(at) <= radius + 1e-9 and plate.carries(point):
            yield point


def _turns() -> list[float]:
    return [2.0 * math.pi * i / _RIM for i in range(_RIM)]


def _corners(box: Box) -> list[P2]:
    return [P2(box.x0, box.y0), P2(box.x1, box.y0), P2(box.x1, box.y1), P2(box.x0, box.y1)]


def _crossings(box: Box, at: P2, radius: float) -> Iterator[P2]:
    """Where a circle passes the lines of a box's edges, on the edges."""
    for x in (box.x0, box.x1):
        if abs(x - at.x) < radius:
            reach = math.sqrt(radius**2 - (x - at.x) ** 2)
            yield from (P2(x, y) for y in (at.y - reach, at.y + reach) if box.y0 <= y <= box.y1)
    for y in (box.y0, box.y1):
        if abs(y - at.y) < radius:
            reach = math.sqrt(radius**2 - (y - at.y) ** 2)
            yield from (P2(x, y) for x in (at.x - reach, at.x + reach) if box.x0 <= x <= box.x1)


def _hull(points: Iterable[P2]) -> list[P2]:
    """The convex hull, counter-clockwise; points closer than a hundred-thousandth are one."""
    ordered = sorted({P2(round(point.x, 5), round(point.y, 5)) for point in points})
    return [*_chain(ordered)[:-1], *_chain(ordered[::-1])[:-1]]


def _chain(points: Sequence[P2]) -> list[P2]:
    found: list[P2] = []
    for point in points:
        while len(found) > 1 and found[-1].minus(found[-2]).cross(point.minus(found[-2])) <= 0.0:
            found.pop()
        found.append(point)
    return found
