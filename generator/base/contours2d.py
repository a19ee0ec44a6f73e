"""Contours of the plane with true arcs: open and closed paths, circles, and what they enclose.

Standard library only. Lengths are mm, angles degrees, counter-clockwise positive. A vertex carries the
bulge of the segment that leaves it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

from generator.base.errors import GeometryError
from generator.base.points2d import P2, SAME_POINT, Box, Transform
from generator.base.segments2d import Segment


class Vertex(NamedTuple):
    """A corner of a path and the bulge of the segment that leaves it."""

    x: float
    y: float
    bulge: float = 0.0

    @property
    def point(self) -> P2:
        return P2(self.x, self.y)


def _fault_of(seg: Segment) -> str:
    """Why a path cannot have this segment."""
    if math.hypot(*seg.end.minus(seg.start)) < SAME_POINT:
        return f"a path with a segment of zero length at {seg.start}"
    return f"a path with a coordinate that is no number: {seg}"


@dataclass(frozen=True)
class Path:
    """An open or closed run of lines and arcs. A closed path never repeats its first vertex."""

    vertices: tuple[Vertex, ...]
    closed: bool = True

    def __post_init__(self) -> None:
        if len(self.vertices) < 2:
            raise GeometryError(f"a path needs two vertices or more, found {len(self.vertices)}")
        for (x0, y0, bulge), (x1, y1, _) in pairwise((*self.vertices, *self.vertices[: self.closed])):
            if not (SAME_POINT <= math.hypot(x1 - x0, y1 - y0) < math.inf and math.isfinite(bulge)):
                raise GeometryError(_fault_of(Segment(P2(x0, y0), P2(x1, y1), bulge)))

    @cached_property
    def _segments(self) -> tuple[Segment, ...]:
        points = [P2(x, y) for x, y, _ in self.vertices]
        ends = [*points[1:], points[0]] if self.closed else points[1:]
        return tuple(
            Segment(start, end, vertex.bulge) for start, end, vertex in zip(points, ends, self.vertices, strict=False)
        )

    def segments(self) -> Iterator[Segment]:
        return iter(self._segments)

    @property
    def start(self) -> P2:
        return self.vertices[0].point

    @property
    def end(self) -> P2:
        return (self.vertices[0] if self.closed else self.vertices[-1]).point

    @property
    def length(self) -> float:
        return math.fsum(seg.length for seg in self.segments())

    @property
    def signed_area(self) -> float:
        """Enclosed area in mm², positive when the path runs counter-clockwise. Exact with arcs."""
        if not self.closed:
            raise GeometryError("an open path encloses no area")
        total = 0.0
        for seg in self.segments():
            total += seg.start.cross(seg.end) / 2.0
            if seg.is_arc:
                sweep = math.radians(seg.sweep)
                total += seg.radius**2 * (sweep - math.sin(sweep)) / 2.0
        return total

    @property
    def area(self) -> float:
        return abs(self.signed_area)

    def box(self) -> Box:
        return self._box

    @cached_property
    def _box(self) -> Box:
        across, up, bulges = zip(*self.vertices, strict=True)
        out = Box(min(across), min(up), max(across), max(up))
        for seg in self._segments if any(bulges) else ():
            if seg.is_arc:
                out = out.union(seg.box())
        return out

    def transformed(self, t: Transform) -> Path:
        sign = -1.0 if t.mirrors else 1.0
        a, b, c, d, e, f = t.a, t.b, t.c, t.d, t.e, t.f
        moved = [
            Vertex(a * x + c * y + e, b * x + d * y + f, sign * bulge if bulge else 0.0)
            for x, y, bulge in self.vertices
        ]
        return Path(tuple(moved), self.closed)

    def moved(self, dx: float, dy: float) -> Path:
        return self.transformed(Transform.move(dx, dy))

    def reversed(self) -> Path:
        if not self.closed:
            back = list(reversed(self.vertices))
            bulges = [-v.bulge if v.bulge else 0.0 for v in reversed(self.vertices[:-1])] + [0.0]
            return Path(tuple(Vertex(v.x, v.y, b) for v, b in zip(back, bulges, strict=True)), False)
        segs = [seg.reversed() for seg in reversed(list(self.segments()))]
        return Path(tuple(Vertex(*seg.start, seg.bulge if seg.bulge else 0.0) for seg in segs))

    def counter_clockwise(self) -> Path:
        return self if self.signed_area > 0 else self.reversed()

    def flatten(self, max_error: float) -> list[P2]:
        """Corner points of a polygon within `max_error` mm of the path; a closed one does not repeat its first."""
        points = [self.start]
        for seg in self.segments():
            points += seg.flatten(max_error)
        return points[:-1] if self.closed else points

    def contains(self, point: P2, max_error: float = 1e-4) -> bool:
        """True when `point` lies inside a closed path (even-odd, arcs to `max_error` mm)."""
        return self.box().contains(point) and _crossed_oddly(Area.of(self, max_error).edges, point)


@dataclass(frozen=True)
class Circle:
    """A full circle, mm."""

    center: P2
    radius: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.radius) and self.radius > 0):
            raise GeometryError(f"a circle of radius {self.radius}")

    @property
    def diameter(self) -> float:
        return 2.0 * self.radius

    @property
    def area(self) -> float:
        return math.pi * self.radius**2

    @property
    def length(self) -> float:
        return 2.0 * math.pi * self.radius

    def box(self) -> Box:
        c, r = self.center, self.radius
        return Box(c.x - r, c.y - r, c.x + r, c.y + r)

    def transformed(self, t: Transform) -> Circle:
        """Only for maps that keep circles round."""
        return Circle(t.apply(self.center), self.radius * math.sqrt(abs(t.a * t.d - t.b * t.c)))

    def moved(self, dx: float, dy: float) -> Circle:
        return Circle(P2(self.center.x + dx, self.center.y + dy), self.radius)

    def flatten(self, max_error: float) -> list[P2]:
        return self.as_path().flatten(max_error)

    def contains(self, point: P2, max_error: float = 0.0) -> bool:
        return point.distance(self.center) < self.radius - max_error

    def as_path(self) -> Path:
        """The circle as two half-turn arcs."""
        return self._as_path

    @cached_property
    def _as_path(self) -> Path:
        c, r = self.center, self.radius
        return Path((Vertex(c.x + r, c.y, 1.0), Vertex(c.x - r, c.y, 1.0)))


#: Anything closed that can be cut.
Contour = Path | Circle


@dataclass(frozen=True)
class Area:
    """What a closed contour encloses, as a polygon: for many questions whether a point lies inside."""

    box: Box
    edges: tuple[tuple[P2, P2], ...]

    @staticmethod
    def of(contour: Contour, max_error: float) -> Area:
        """The polygon is within `max_error` mm of the contour."""
        corners = contour.flatten(max_error)
        return Area(contour.box(), tuple(zip([corners[-1], *corners], corners, strict=False)))

    def holds(self, point: P2) -> bool:
        """True when `point` lies inside (even-odd)."""
        return self.box.contains(point) and _crossed_oddly(self._bands[self._band(point.y)], point)

    @cached_property
    def _bands(self) -> tuple[tuple[tuple[P2, P2], ...], ...]:
        """The edges by the level bands of the box that they reach into: of a point's own band are all it can meet."""
        bands: list[list[tuple[P2, P2]]] = [[] for _ in range(self._band_count)]
        for edge in self.edges:
            low, high = sorted(self._band(end.y) for end in edge)
            for band in bands[low : high + 1]:
                band.append(edge)
        return tuple(map(tuple, bands))

    @property
    def _band_count(self) -> int:
        return 1 + len(self.edges) // 4

    def _band(self, y: float) -> int:
        """The band of a height, one that rises with it; what lies off the box is in its outermost."""
        share = (y - self.box.y0) / (self.box.height or 1.0)
        return int(min(max(share * self._band_count, 0.0), self._band_count - 1.0))


def _crossed_oddly(edges: Iterable[tuple[P2, P2]], point: P2) -> bool:
    """True when the level ray from `point` to the right crosses an odd number of the edges."""
    x, y = point
    odd = False
    for (x0, y0), (x1, y1) in edges:
        if (y1 > y) != (y0 > y):
            odd ^= x < x1 + (y - y1) / (y0 - y1) * (x0 - x1)
    return odd


@dataclass(frozen=True)
class Region:
    """One connected area: its outer contour and the contours of the holes in it, mm."""

    outer: Contour
    holes: tuple[Contour, ...] = ()

    @property
    def area(self) -> float:
        """Area in mm², exact with arcs."""
        return self.outer.area - math.fsum(hole.area for hole in self.holes)

    @property
    def contours(self) -> tuple[Contour, ...]:
        return self.outer, *self.holes

    def box(self) -> Box:
        return self.outer.box()
