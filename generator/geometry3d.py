"""Points and rigid placements in space: how a flat part stands in the jig frame.

Standard library only. Lengths are mm, angles degrees. Axes of the jig frame: X away from the bed, Y along the bed,
Z up towards the router; the origin lies on the underside of the template plate.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple


class P3(NamedTuple):
    """A point or vector in space, mm."""

    x: float
    y: float
    z: float

    def plus(self, other: P3) -> P3:
        return P3(self.x + other.x, self.y + other.y, self.z + other.z)

    def minus(self, other: P3) -> P3:
        return P3(self.x - other.x, self.y - other.y, self.z - other.z)

    def times(self, factor: float) -> P3:
        return P3(self.x * factor, self.y * factor, self.z * factor)

    def dot(self, other: P3) -> float:
        return self.x * other.x + self.y * other.y + self.z * other.z

    def cross(self, other: P3) -> P3:
        return P3(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )

    def length(self) -> float:
        return math.sqrt(self.dot(self))


ORIGIN = P3(0.0, 0.0, 0.0)
X_AXIS = P3(1.0, 0.0, 0.0)
Y_AXIS = P3(0.0, 1.0, 0.0)
Z_AXIS = P3(0.0, 0.0, 1.0)


def turned_by_bed(point: P3, angle: float, pivot_z: float) -> P3:
    """`point` after the bed turns by `angle` degrees about the Y-parallel axis through (0, ·, pivot_z).

    A positive angle moves the bed's lower end towards +X.
    """
    co, si = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    x, z = point.x, point.z - pivot_z
    return P3(x * co - z * si, point.y, x * si + z * co + pivot_z)


@dataclass(frozen=True)
class Placement:
    """Where a part's own frame stands: its origin and the directions of its x and y axes (unit, square)."""

    origin: P3 = ORIGIN
    x_axis: P3 = X_AXIS
    y_axis: P3 = Y_AXIS

    @property
    def z_axis(self) -> P3:
        """Direction of the part's face normal, out of its front face."""
        return self.x_axis.cross(self.y_axis)

    def to_space(self, x: float, y: float, z: float = 0.0) -> P3:
        """A point of the part's frame, in the frame the placement is given in."""
        return self.origin.plus(self.x_axis.times(x)).plus(self.y_axis.times(y)).plus(self.z_axis.times(z))

    def to_part(self, point: P3) -> P3:
        """A point of the outer frame, in the part's own frame."""
        out = point.minus(self.origin)
        return P3(out.dot(self.x_axis), out.dot(self.y_axis), out.dot(self.z_axis))

    def turned_by_bed(self, angle: float, pivot_z: float) -> Placement:
        """This placement carried along by the bed as it turns (see `turned_by_bed`)."""
        origin = turned_by_bed(self.origin, angle, pivot_z)
        x_tip = turned_by_bed(self.origin.plus(self.x_axis), angle, pivot_z)
        y_tip = turned_by_bed(self.origin.plus(self.y_axis), angle, pivot_z)
        return Placement(origin, x_tip.minus(origin), y_tip.minus(origin))
