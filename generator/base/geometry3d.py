"""Points and rigid placements in space: how a flat part stands in the jig. Standard library only; lengths are mm."""

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


#: Point (0, 0, 0).
ORIGIN = P3(0.0, 0.0, 0.0)
#: Unit vector along x.
X_AXIS = P3(1.0, 0.0, 0.0)
#: Unit vector along y.
Y_AXIS = P3(0.0, 1.0, 0.0)
#: Unit vector along z.
Z_AXIS = P3(0.0, 0.0, 1.0)


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
