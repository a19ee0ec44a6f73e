"""Straight lines and circular arcs of the plane.

Standard library only. Lengths are mm, angles degrees, counter-clockwise positive. An arc carries its
*bulge*: tan(sweep / 4), positive when it turns counter-clockwise, 0 for a straight line. That is the one curve form a
cutting DXF knows, so an arc drawn here reaches every file unapproximated.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from generator.base.points2d import P2, Box, bounding_box, polar

#: A line or arc this short (mm) is dirt that stalls a machine or burns a spot: none is designed, and none passes.
SHORTEST = 0.01


@dataclass(frozen=True)
class Segment:
    """One straight line (bulge 0) or circular arc from `start` to `end`."""

    start: P2
    end: P2
    bulge: float = 0.0

    @property
    def is_arc(self) -> bool:
        return self.bulge != 0.0

    @cached_property
    def sweep(self) -> float:
        """Signed angle of the arc in degrees, counter-clockwise positive; 0 for a line."""
        return math.degrees(4.0 * math.atan(self.bulge))

    @cached_property
    def radius(self) -> float:
        chord = self.start.distance(self.end)
        return chord * (1.0 + self.bulge**2) / (4.0 * abs(self.bulge))

    @cached_property
    def center(self) -> P2:
        chord = self.end.minus(self.start)
        rise = (1.0 - self.bulge**2) / (4.0 * self.bulge)
        middle = P2((self.start.x + self.end.x) / 2, (self.start.y + self.end.y) / 2)
        return middle.plus(chord.left().times(rise))

    @cached_property
    def start_angle(self) -> float:
        """Direction from the arc's centre to its start, degrees in (−180, 180]."""
        out = self.start.minus(self.center)
        return math.degrees(math.atan2(out.y, out.x))

    @property
    def length(self) -> float:
        if not self.is_arc:
            return self.start.distance(self.end)
        return self.radius * math.radians(abs(self.sweep))

    def point_at(self, fraction: float) -> P2:
        """The point at `fraction` (0 to 1) of the segment's length."""
        if not self.is_arc:
            return self.start.plus(self.end.minus(self.start).times(fraction))
        return self.center.plus(polar(self.start_angle + self.sweep * fraction, self.radius))

    def tangent_at(self, fraction: float) -> P2:
        """Unit direction of travel at `fraction` of the length."""
        if not self.is_arc:
            return self.end.minus(self.start).unit()
        turn = 90.0 if self.bulge > 0 else -90.0
        return polar(self.start_angle + self.sweep * fraction + turn)

    def reversed(self) -> Segment:
        return Segment(self.end, self.start, -self.bulge)

    def box(self) -> Box:
        points = [self.start, self.end]
        if self.is_arc:
            points += [p for p in self._compass_points() if self._holds(p)]
        return bounding_box(points)

    def _compass_points(self) -> list[P2]:
        c, r = self.center, self.radius
        return [P2(c.x + r, c.y), P2(c.x, c.y + r), P2(c.x - r, c.y), P2(c.x, c.y - r)]

    def _holds(self, on_circle: P2) -> bool:
        out = on_circle.minus(self.center)
        turn = math.degrees(math.atan2(out.y, out.x)) - self.start_angle
        along = turn % 360.0 if self.sweep > 0 else (-turn) % 360.0
        return along <= abs(self.sweep)

    def flatten(self, max_error: float) -> list[P2]:
        """Points along the segment without its start, never further than `max_error` mm from the arc."""
        if not self.is_arc:
            return [self.end]
        ratio = min(1.0, max_error / self.radius)
        step = 2.0 * math.acos(1.0 - ratio) if ratio < 1.0 else math.pi / 2
        count = max(1, math.ceil(math.radians(abs(self.sweep)) / step))
        return [self.point_at(i / count) for i in range(1, count)] + [self.end]
