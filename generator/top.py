"""The top along the centreline: its height over the rim-plane level of the join, and its slope.

Lengths mm, x from the join towards the tail, heights positive out of the top.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

from generator.errors import Fault, InputError
from generator.model.instrument import DomeTop, FlatTop, MeasuredTop


class TopLine(Protocol):
    """Height and slope of the top at a station x (mm from the join, 0 or more)."""

    def height(self, x: float) -> float:
        """Height over the level of the join, mm; 0 at the join."""

    def slope(self, x: float) -> float:
        """Rise per mm towards the tail, positive while the top still climbs."""


@dataclass(frozen=True)
class FlatLine:
    """A top that stays at the level of the join."""

    def height(self, x: float) -> float:
        return 0.0

    def slope(self, x: float) -> float:
        return 0.0


@dataclass(frozen=True)
class DomeLine:
    """Flat up to `start`, then an arc of `radius` whose crown stands at `crown`, all mm from the join."""

    radius: float
    crown: float
    start: float = 0.0

    def height(self, x: float) -> float:
        return 0.0 if x <= self.start else self._arc(x) - self._arc(self.start)

    def slope(self, x: float) -> float:
        return 0.0 if x < self.start else (self.crown - x) / self._arc(x)

    def bridging_slope(self, first: float, last: float) -> float:
        """Slope of a straight strip from `first` on the flat part to `last` on the arc, bearing on both.

        It ends on the flat at `first` and touches the arc where the tangent from there does, or with its far end
        where that lies beyond.
        """
        over, under = self.crown - first, -self._arc(self.start)
        reach = math.hypot(over, under)
        tangent = math.atan2(under, over) + math.asin(self.radius / reach)
        touches = first + math.sqrt(reach**2 - self.radius**2) * math.cos(tangent)
        return math.tan(tangent) if touches <= last else self.height(last) / (last - first)

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

    def slope(self, x: float) -> float:
        return 2.0 * self.rise / self.length * (1.0 - x / self.length)


@dataclass(frozen=True)
class Seat:
    """How a straight strip lies on the top: its slope, and its height at its middle, mm."""

    slope: float
    height: float


def seat(top: TopLine, first: float, last: float) -> Seat:
    """A strip from station `first` to `last`, mm from the join, laid on the top along the centreline.

    On a flat or a bulge it bears at its middle, its slope being the bed's to choose; over the valley where a dome's
    flat part ends it bears at both sides of it.
    """
    middle = (first + last) / 2.0
    if isinstance(top, DomeLine) and first < top.start < last:
        slope = top.bridging_slope(first, last)
        return Seat(slope, slope * (middle - first))
    return Seat(top.slope(middle), top.height(middle))


def top_line(
    top: FlatTop | DomeTop | MeasuredTop, join_to_saddle: float, overstand: float, end_face_tilt: float
) -> TopLine:
    """The top's line between join and saddle.

    `join_to_saddle` and `overstand` in mm, `end_face_tilt` in degrees. A measured top takes whatever dome and tilt do
    from its one reading: rise at the saddle = overstand + s·tan(tilt) − zero_angle_gap. InputError when a dome's flat
    part does not end before its crown.
    """
    if isinstance(top, DomeTop):
        return _dome_line(top, join_to_saddle)
    if isinstance(top, MeasuredTop):
        rise = overstand + join_to_saddle * math.tan(math.radians(end_face_tilt)) - top.zero_angle_gap
        return ParabolaLine(rise, join_to_saddle)
    return FlatLine()


def _dome_line(top: DomeTop, join_to_saddle: float) -> DomeLine:
    crown = join_to_saddle if top.crown_from_join is None else top.crown_from_join
    if top.flat_until >= crown:
        found, allowed = f"{top.flat_until:g} mm", f"less than the crown's {crown:g} mm"
        raise InputError([Fault("job", "instrument.top.flat_until", found, allowed)])
    return DomeLine(top.radius, crown, top.flat_until)
