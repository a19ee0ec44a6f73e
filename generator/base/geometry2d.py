"""Plane geometry with true arcs: points, segments, closed contours and open paths.

Standard library only. Lengths are mm, angles degrees, counter-clockwise positive. A vertex carries the *bulge* of the
segment that leaves it: tan(sweep / 4), positive when the arc turns counter-clockwise, 0 for a straight line. That is
the one curve form a cutting DXF knows, so an arc drawn here reaches every file unapproximated.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

from generator.base.errors import GeometryError

#: Two points closer than this (mm) are one point.
SAME_POINT = 1e-7
#: A line or arc this short (mm) is dirt that stalls a machine or burns a spot: none is designed, and none passes.
SHORTEST = 0.01


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

    def overlaps(self, other: Box, slack: float = 0.0) -> bool:
        """True when the two share area deeper than `slack` mm."""
        return (
            self.x0 + slack < other.x1
            and other.x0 + slack < self.x1
            and self.y0 + slack < other.y1
            and other.y0 + slack < self.y1
        )


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
        return sum(seg.length for seg in self.segments())

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
        return self.outer.area - sum(hole.area for hole in self.holes)

    @property
    def contours(self) -> tuple[Contour, ...]:
        return self.outer, *self.holes

    def box(self) -> Box:
        return self.outer.box()
