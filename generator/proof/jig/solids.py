"""Solids whose faces stand square to the plate frame's axes but for one outline: what flat parts, benches, clamps are.

Such a solid is an outline in a plane square to one axis, and two levels along that axis. Whether two of them meet is
then a question of plane figures: cut each outline by the other's levels and look at what both keep along the axis that
their outlines share. Lengths mm, plate frame.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely import Polygon, box
from shapely.geometry.base import BaseGeometry

from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, Placement

#: The plane coordinates of an outline square to each axis: for x the outline lies in y and z, and so on.
_PLANES = {"x": ("y", "z"), "y": ("x", "z"), "z": ("x", "y")}
#: A way's direction differs from an axis by less than this; a strip of no larger area (mm²) is none.
_SQUARE = 1e-9
#: Half the length of a strip that reaches past every solid, mm.
_FAR = 1e5
#: A room between two solids is measured this closely, mm.
_STEP = 0.01
#: What overlaps by no more than this only touches, mm or mm².
_TOUCH = 1e-6


@dataclass(frozen=True)
class Solid:
    """An outline in the plane square to `axis` ("x", "y" or "z"), from `low` to `high` along it."""

    label: str
    axis: str
    outline: BaseGeometry
    low: float
    high: float

    def grown(self, by: float) -> Solid:
        """Larger by `by` mm on every side (smaller where negative), corners kept square."""
        outline = self.outline.buffer(by, join_style="mitre") if by else self.outline
        return Solid(self.label, self.axis, outline, self.low - by, self.high + by)

    def extent(self, axis: str) -> tuple[float, float]:
        """From and to along an axis, mm."""
        if axis == self.axis:
            return self.low, self.high
        place = _PLANES[self.axis].index(axis)
        return float(self.outline.bounds[place]), float(self.outline.bounds[place + 2])

    def swept(self, way: P3, length: float) -> Solid:
        """Everything it passes through on its way of `length` mm into its place; `way` is one of the axes, ±."""
        name, sign = _along(way)
        if name == self.axis:
            back = length if sign > 0 else 0.0
            return Solid(self.label, self.axis, self.outline, self.low - back, self.high + length - back)
        return Solid(
            self.label, self.axis, _drawn_out(self.outline, self.axis, name, -sign * length), self.low, self.high
        )


def _along(way: P3) -> tuple[str, float]:
    for name, size in zip("xyz", way, strict=True):
        if abs(abs(size) - 1.0) < _SQUARE:
            return name, size
    raise GeometryError(f"a way along {tuple(way)}, which is none of the axes")


def _drawn_out(outline: BaseGeometry, axis: str, along: str, by: float) -> BaseGeometry:
    """An outline with all that lies between it and itself moved by `by` mm along one of its own axes."""
    dx, dy = (by, 0.0) if _PLANES[axis].index(along) == 0 else (0.0, by)
    pieces = [outline, shapely.affinity.translate(outline, dx, dy)]
    for ring in _rings(outline):
        for (ax, ay), (bx, by_) in pairwise(ring):
            side = Polygon([(ax, ay), (bx, by_), (bx + dx, by_ + dy), (ax + dx, ay + dy)])
            if side.area > _SQUARE:
                pieces.append(side if side.is_valid else side.buffer(0.0))
    return shapely.union_all(pieces)


def _rings(outline: BaseGeometry) -> Iterable[list[tuple[float, float]]]:
    for piece in getattr(outline, "geoms", [outline]):
        if isinstance(piece, Polygon):
            yield from (list(ring.coords) for ring in (piece.exterior, *piece.interiors))


def block(label: str, low: P3, high: P3) -> Solid:
    """An axis-parallel block between two corners."""
    return Solid(label, "z", box(low.x, low.y, high.x, high.y), low.z, high.z)


def flat_part(label: str, profile: Polygon, thickness: float, place: Placement) -> Solid:
    """A flat part as it stands: its profile (part frame) with everything up to its front face at `thickness` mm.

    GeometryError where it stands square to none of the axes.
    """
    name, sign = _along(place.z_axis)
    first, second = _PLANES[name]
    u, v, start = place.x_axis, place.y_axis, place.origin
    matrix = [_of(u, first), _of(v, first), _of(u, second), _of(v, second), _of(start, first), _of(start, second)]
    outline = shapely.affinity.affine_transform(profile, matrix)
    level = _of(start, name)
    far = level + sign * thickness
    return Solid(label, name, outline, min(level, far), max(level, far))


def _of(point: P3, axis: str) -> float:
    return point["xyz".index(axis)]


def round_bar(label: str, start: P3, way: P3, length: float, diameter: float) -> Solid:
    """A round bar from `start` along one of the axes."""
    name, sign = _along(way)
    first, second = _PLANES[name]
    outline = shapely.Point(_of(start, first), _of(start, second)).buffer(diameter / 2.0)
    level = _of(start, name)
    far = level + sign * length
    return Solid(label, name, outline, min(level, far), max(level, far))


def meet(one: Solid, other: Solid) -> bool:
    """True where the two share space; touching is no meeting."""
    if one.axis == other.axis:
        if min(one.high, other.high) - max(one.low, other.low) <= _TOUCH:
            return False
        return float(one.outline.intersection(other.outline).area) > _TOUCH
    (shared,) = set(_PLANES[one.axis]) & set(_PLANES[other.axis])
    kept = _kept(one, other, shared), _kept(other, one, shared)
    return any(min(a1, b1) - max(a0, b0) > _TOUCH for a0, a1 in kept[0] for b0, b1 in kept[1])


def _kept(one: Solid, other: Solid, shared: str) -> list[tuple[float, float]]:
    """Where along the shared axis `one` has material between the levels of `other`."""
    first = _PLANES[one.axis].index(other.axis) == 0
    strip = box(other.low, -_FAR, other.high, _FAR) if first else box(-_FAR, other.low, _FAR, other.high)
    cut = one.outline.intersection(strip)
    place = _PLANES[one.axis].index(shared)
    pieces = (piece for piece in getattr(cut, "geoms", [cut]) if piece.area > _TOUCH)
    return [(float(piece.bounds[place]), float(piece.bounds[place + 2])) for piece in pieces]


def room_between(one: Solid, other: Solid, enough: float) -> float:
    """How far `one` could grow on every side before the two meet, mm, up to `enough`; negative: it must shrink."""
    if not meet(one.grown(enough), other):
        return enough
    low, high = (0.0, enough) if not meet(one, other) else (-enough, 0.0)
    while high - low > _STEP:
        middle = (low + high) / 2.0
        low, high = (low, middle) if meet(one.grown(middle), other) else (middle, high)
    return low if low > 0.0 else high


def left_round(bar: Solid, taker: Solid) -> float:
    """How much of `taker` is left round a bar inside it, mm, to any face or opening; negative: it stands out."""
    if bar.axis == taker.axis:
        beyond = min(bar.low - taker.low, taker.high - bar.high)
        return min(beyond, _inside(bar.outline, _filled(taker.outline, bar.outline)))
    aside = min(bar.extent(taker.axis)[0] - taker.low, taker.high - bar.extent(taker.axis)[1])
    first, second = _PLANES[taker.axis]
    (x0, x1), (y0, y1) = bar.extent(first), bar.extent(second)
    return min(aside, _inside(box(x0, y0, x1, y1), taker.outline))


def _filled(outline: BaseGeometry, bar: BaseGeometry) -> BaseGeometry:
    """`outline` less the holes that a bar's section covers: the tapped hole that a screw's thread bites in."""
    rings = (ring for part in getattr(outline, "geoms", [outline]) for ring in part.interiors)
    return shapely.union_all([outline, *(hole for hole in map(Polygon, rings) if bar.covers(hole))])


def _inside(shape: BaseGeometry, outline: BaseGeometry) -> float:
    if not outline.covers(shape):
        return -float(shape.difference(outline).area ** 0.5)
    return float(shape.distance(outline.boundary))
