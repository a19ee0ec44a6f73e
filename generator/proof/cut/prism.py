"""A flat part, or a round rod, standing in the jig, and how much of it rises over a level.

Whatever the router carries reaches down to some level over some area of the plate. So a part is in its way exactly
where the shadow, seen from above, of what rises over that level falls into the area: the swept volume never has to be
built.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely import Polygon
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from generator.base.geometry3d import P3, Placement

#: Faces whose shadow is smaller than this (mm²) stand upright: the others cast the shadow.
_NO_SHADOW = 1e-9
#: Shadows are put together on a grid this fine, mm.
_GRID = 1e-6
#: Reaches across any part, mm.
_FAR = 1e4


@dataclass(frozen=True)
class Prism:
    """`profile` (part frame, mm) with everything between its faces at 0 and `thickness` along the placement's z."""

    label: str
    profile: Polygon
    thickness: float
    placement: Placement

    @property
    def top(self) -> float:
        """Height of its highest point at most, mm: that of the box around it."""
        x0, y0, x1, y1 = self.profile.bounds
        corners = ((x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (0.0, self.thickness))
        return max(self.placement.to_space(*corner).z for corner in corners)

    def shadow(self, level: float) -> BaseGeometry:
        """The area, seen from above, of the part's material over `level`; empty when it stays below."""
        if self.top <= level:
            return Polygon()
        # A wall seen almost edge-on is a sliver whose corners rounding may swap; the grid keeps the union sound.
        return shapely.union_all(shapely.make_valid([face.shadow for face in self.faces(level)]), grid_size=_GRID)

    def highest_in(self, area: BaseGeometry, level: float) -> float:
        """Height (mm) of the highest point over `level` inside `area`; `level` where there is none."""
        found = level
        for face in self.faces(level):
            meets = face.shadow.intersection(area)
            if not meets.is_empty:
                found = max(found, *(face.height(x, y) for x, y in shapely.get_coordinates(meets)))
        return found

    def faces(self, level: float) -> Iterator[PrismFace]:
        """What lies over `level` of the two faces and of every wall between them, without upright ones."""
        for z in (0.0, self.thickness):
            yield from _flat_face(self.profile, self.placement, z, level)
        for ring in (self.profile.exterior, *self.profile.interiors):
            yield from _walls(list(ring.coords), self.thickness, self.placement, level)


@dataclass(frozen=True)
class PrismFace:
    """A plane face seen from above: z = `a`·x + `b`·y + `c` over its shadow."""

    shadow: BaseGeometry
    a: float
    b: float
    c: float

    def height(self, x: float, y: float) -> float:
        return self.a * x + self.b * y + self.c


def _flat_face(profile: Polygon, place: Placement, z: float, level: float) -> Iterator[PrismFace]:
    normal = place.z_axis
    if abs(normal.z) < 1e-9:
        return
    origin = place.to_space(0.0, 0.0, z)
    u, v = place.x_axis, place.y_axis
    left = _over(profile, u.z, v.z, level - origin.z)
    if not left.is_empty:
        shadow = affine_transform(left, [u.x, v.x, u.y, v.y, origin.x, origin.y])
        yield _face(shadow, normal, origin)


def _over(profile: Polygon, rise_x: float, rise_y: float, height: float) -> BaseGeometry:
    """The part of a profile where rise_x·x + rise_y·y exceeds `height`."""
    steep = math.hypot(rise_x, rise_y)
    if steep < 1e-12:
        return profile if height < 0.0 else Polygon()
    ux, uy, start = rise_x / steep, rise_y / steep, height / steep
    if start < -_FAR:
        return profile
    ends = ((start, -_FAR), (start, _FAR), (_FAR, _FAR), (_FAR, -_FAR))
    return profile.intersection(Polygon([(ux * s - uy * t, uy * s + ux * t) for s, t in ends]))


def _walls(ring: Sequence[tuple[float, ...]], thickness: float, place: Placement, level: float) -> Iterator[PrismFace]:
    u, v, rise = place.x_axis, place.y_axis, max(0.0, place.z_axis.z) * thickness
    start = level - place.origin.z - rise
    for (x0, y0, *_), (x1, y1, *_) in pairwise(ring):
        # Out of the wall points dy·u − dx·v; a wall that stays below the level, or stands upright, casts no shadow.
        upwards = (y1 - y0) * u.z - (x1 - x0) * v.z
        if max(x0 * u.z + y0 * v.z, x1 * u.z + y1 * v.z) < start or abs(upwards) < 1e-9 * math.hypot(x1 - x0, y1 - y0):
            continue
        corners = [place.to_space(x0, y0), place.to_space(x1, y1)]
        corners += [place.to_space(x1, y1, thickness), place.to_space(x0, y0, thickness)]
        kept = _clipped(corners, level)
        if len(kept) > 2:
            shadow = Polygon([(p.x, p.y) for p in kept])
            if shadow.area > _NO_SHADOW:
                yield _face(shadow, u.times(y1 - y0).minus(v.times(x1 - x0)), corners[0])


def _clipped(corners: Sequence[P3], level: float) -> list[P3]:
    """The part of a convex polygon over `level`."""
    kept: list[P3] = []
    for here, there in zip(corners, [*corners[1:], corners[0]], strict=True):
        if here.z >= level:
            kept.append(here)
        if (here.z >= level) != (there.z >= level):
            share = (level - here.z) / (there.z - here.z)
            kept.append(here.plus(there.minus(here).times(share)))
    return kept


def _face(shadow: BaseGeometry, normal: P3, through: P3) -> PrismFace:
    a, b = -normal.x / normal.z, -normal.y / normal.z
    return PrismFace(shadow, a, b, through.z - a * through.x - b * through.y)
