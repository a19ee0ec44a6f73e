"""Points of the plane, the boxes around them, and the moves that carry them.

Standard library only. Lengths are mm, angles degrees, counter-clockwise positive.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from generator.base.errors import GeometryError

#: Two points closer than this (mm) are one point.
SAME_POINT = 1e-7


class P2(NamedTuple):
    """A point or vector in the plane, mm."""

    x: float
    y: float

    def plus(self, other: P2) -> P2:
        return P2(self.x + other.x, self.y + other.y)

    def minus(self, other: P2) -> P2:
        return P2(self.x - other.x, self.y - other.y)

    def times(self, factor: float) -> P2:
        return P2(self.x * factor, self.y * factor)

    def dot(self, other: P2) -> float:
        return self.x * other.x + self.y * other.y

    def cross(self, other: P2) -> float:
        return self.x * other.y - self.y * other.x

    def length(self) -> float:
        return math.hypot(self.x, self.y)

    def distance(self, other: P2) -> float:
        return math.hypot(self.x - other.x, self.y - other.y)

    def unit(self) -> P2:
        size = self.length()
        if size < SAME_POINT:
            raise GeometryError("a direction of zero length")
        return P2(self.x / size, self.y / size)

    def left(self) -> P2:
        """The vector turned 90° counter-clockwise."""
        return P2(-self.y, self.x)


def polar(angle: float, radius: float = 1.0) -> P2:
    """The point at `angle` degrees and `radius` mm from the origin."""
    return P2(radius * math.cos(math.radians(angle)), radius * math.sin(math.radians(angle)))


class Box(NamedTuple):
    """An axis-parallel rectangle, mm."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        return self.y1 - self.y0

    @property
    def center(self) -> P2:
        return P2((self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2)

    def union(self, other: Box) -> Box:
        return Box(min(self.x0, other.x0), min(self.y0, other.y0), max(self.x1, other.x1), max(self.y1, other.y1))

    def grown(self, by: float) -> Box:
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def contains(self, point: P2, slack: float = 0.0) -> bool:
        return self.x0 - slack <= point.x <= self.x1 + slack and self.y0 - slack <= point.y <= self.y1 + slack

    def holds(self, other: Box) -> bool:
        """Whether all of another box lies in this one."""
        return self.contains(P2(other.x0, other.y0)) and self.contains(P2(other.x1, other.y1))

    def overlaps(self, other: Box, slack: float = 0.0) -> bool:
        """True when the two share area deeper than `slack` mm."""
        return (
            self.x0 + slack < other.x1
            and other.x0 + slack < self.x1
            and self.y0 + slack < other.y1
            and other.y0 + slack < self.y1
        )


def box_around(boxes: Iterable[Box]) -> Box:
    """The smallest box around some. GeometryError where there are none."""
    found = list(boxes)
    if not found:
        raise GeometryError("no boxes, so no box around them")
    x0, y0, x1, y1 = zip(*found, strict=True)
    return Box(min(x0), min(y0), max(x1), max(y1))


def bounding_box(points: Iterable[P2]) -> Box:
    found = list(points)
    if not found:
        raise GeometryError("no points, so no bounding box")
    xs, ys = zip(*found, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True)
class Transform:
    """A plane affine map: (x, y) -> (a·x + c·y + e, b·x + d·y + f). Compose with `then`."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    @staticmethod
    def move(dx: float, dy: float) -> Transform:
        return Transform(e=dx, f=dy)

    @staticmethod
    def rotate(angle: float, about: P2 | None = None) -> Transform:
        """Counter-clockwise by `angle` degrees about a point (the origin unless told); quarter turns are exact."""
        x, y = about or (0.0, 0.0)
        quarter = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
        co, si = quarter.get(angle % 360.0, (math.cos(math.radians(angle)), math.sin(math.radians(angle))))
        return Transform(co, si, -si, co, x - co * x + si * y, y - si * x - co * y)

    @staticmethod
    def mirror_y() -> Transform:
        """(x, y) -> (x, −y)."""
        return Transform(d=-1.0)

    @staticmethod
    def mirror_x() -> Transform:
        """(x, y) -> (−x, y)."""
        return Transform(a=-1.0)

    @staticmethod
    def scale(factor: float) -> Transform:
        return Transform(a=factor, d=factor)

    def then(self, nxt: Transform) -> Transform:
        """This map first, `nxt` after it."""
        return Transform(
            nxt.a * self.a + nxt.c * self.b,
            nxt.b * self.a + nxt.d * self.b,
            nxt.a * self.c + nxt.c * self.d,
            nxt.b * self.c + nxt.d * self.d,
            nxt.a * self.e + nxt.c * self.f + nxt.e,
            nxt.b * self.e + nxt.d * self.f + nxt.f,
        )

    def apply(self, point: P2) -> P2:
        return P2(self.a * point.x + self.c * point.y + self.e, self.b * point.x + self.d * point.y + self.f)

    @property
    def mirrors(self) -> bool:
        return self.a * self.d - self.b * self.c < 0
