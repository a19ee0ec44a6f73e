"""The top along the centreline: its height over the rim-plane level of the join, and where it stands furthest out.

Lengths mm, x from the join towards the tail, heights positive out of the top.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

from generator.base.errors import Fault, InputError
from generator.job.model.instrument import DomeTop, FlatTop, MeasuredTop


class TopLine(Protocol):
    """The top along the centreline at stations x (mm from the join, 0 or more)."""

    def height(self, x: float) -> float:
        """Height over the level of the join, mm; 0 at the join."""

    def turns_at(self, slope: float) -> tuple[float, ...]:
        """Stations where the top can stand furthest out against a line of that slope, ends apart, mm from the join."""

    def falls_beside(self, y: float) -> float:
        """How much lower (mm) the top lies `y` mm beside the centreline."""


@dataclass(frozen=True)
class FlatLine:
    """A top that stays at the level of the join."""

    def height(self, x: float) -> float:
        return 0.0

    def turns_at(self, slope: float) -> tuple[float, ...]:
        return ()

    def falls_beside(self, y: float) -> float:
        return 0.0


@dataclass(frozen=True)
class DomeLine:
    """Flat up to `start`, then an arc of `radius` whose crown stands at `crown`, all mm from the join."""

    radius: float
    crown: float
    start: float = 0.0

    def height(self, x: float) -> float:
        return 0.0 if x <= self.start else self._arc(x) - self._arc(self.start)

    def turns_at(self, slope: float) -> tuple[float, ...]:
        return (self.start, self.crown - self.radius * slope / math.hypot(1.0, slope))

    def falls_beside(self, y: float) -> float:
        return self.radius - math.sqrt(self.radius**2 - y**2)

    def _arc(self, x: float) -> float:
        return math.sqrt(self.radius**2 - (x - self.crown) ** 2)


@dataclass(frozen=True)
class ParabolaLine:
    """The top known only by its `rise` at the saddle, `length` mm from the join: a parabola with its crown there."""

    rise: float
    length: float

    def height(self, x: float) -> float:
        t = x / self.length
        return self.rise * (2.0 * t - t * t)

    def turns_at(self, slope: float) -> tuple[float, ...]:
        if self.rise == 0.0:
            return ()
        return (self.length * (1.0 - slope * self.length / (2.0 * self.rise)),)

    def falls_beside(self, y: float) -> float:
        # Nothing is known beside the centreline.
        return 0.0


def station_at_depth(top: TopLine, tilt: float, depth: float) -> float:
    """Station x (mm from the join) of the top that lies `depth` mm below the plate, the end face on it.

    `tilt` is the end face's, degrees: depth = x·cos(tilt) + z(x)·sin(tilt). Newton's iteration with a fixed slope,
    which converges as the top rises little over its length.
    """
    turn = math.radians(tilt)
    x = depth / math.cos(turn)
    for _ in range(60):
        miss = x * math.cos(turn) + top.height(x) * math.sin(turn) - depth
        x -= miss / math.cos(turn)
        if abs(miss) < 1e-12:
            break
    return x


def reach_out(top: TopLine, tilt: float, x: float) -> float:
    """How far (mm) the top at x stands out from the end face's normal through the join: z·cos(tilt) − x·sin(tilt)."""
    turn = math.radians(tilt)
    return top.height(x) * math.cos(turn) - x * math.sin(turn)


def furthest_out(top: TopLine, tilt: float, first: float, last: float) -> float:
    """The most (mm) the top stands out between two depths below the plate, on the centreline; exact, no search."""
    low, high = station_at_depth(top, tilt, first), station_at_depth(top, tilt, last)
    between = [x for x in top.turns_at(math.tan(math.radians(tilt))) if low < x < high]
    return max(reach_out(top, tilt, x) for x in (low, high, *between))


def top_line(
    top: FlatTop | DomeTop | MeasuredTop, join_to_saddle: float, neck_rise: float, end_face_tilt: float
) -> TopLine:
    """The top's line between join and saddle.

    `join_to_saddle` and `neck_rise` in mm, `end_face_tilt` in degrees. A measured top takes whatever dome and tilt do
    from its one reading: rise at the saddle = neck_rise + s·tan(tilt) − zero_angle_gap. InputError when a dome's flat
    part does not end before its crown.
    """
    if isinstance(top, DomeTop):
        return _dome_line(top, join_to_saddle)
    if isinstance(top, MeasuredTop):
        rise = neck_rise + join_to_saddle * math.tan(math.radians(end_face_tilt)) - top.zero_angle_gap
        return ParabolaLine(rise, join_to_saddle)
    return FlatLine()


def _dome_line(top: DomeTop, join_to_saddle: float) -> DomeLine:
    crown = join_to_saddle if top.crown_from_join is None else top.crown_from_join
    if top.flat_until >= crown:
        found, allowed = f"{top.flat_until:g} mm", f"less than the crown's {crown:g} mm"
        raise InputError([Fault("job", "instrument.top.flat_until", found, allowed)])
    return DomeLine(top.radius, crown, top.flat_until)
