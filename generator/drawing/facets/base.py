"""A solid bounded by plane faces: points, faces with holes, and which of its edges are smooth.

Standard library only; a triangulation is asked for when needed. Lengths are mm. A face is a tuple of rings of point
numbers: the outer ring counter-clockwise seen from outside, then the rings of its holes, clockwise. Where a round
surface is broken up into flats, the edges between its flats are *smooth*: drawn only where they are an outline.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import pairwise
from types import MappingProxyType
from typing import NamedTuple

from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, Placement

Ring = tuple[int, ...]
Face = tuple[Ring, ...]
#: An edge by its two point numbers, the smaller one first.
Edge = tuple[int, int]
#: A corner of a face, by the numbers of face and point.
Corner = tuple[int, int]


class Bounds3(NamedTuple):
    """An axis-parallel block, mm."""

    low: P3
    high: P3


class Shading(NamedTuple):
    """A solid as a screen draws it: corners, each by its point and the faces that share it, and three a triangle."""

    corners: tuple[tuple[int, tuple[int, ...]], ...]
    triangles: tuple[int, ...]


@dataclass(frozen=True)
class Facets:
    """A closed solid, or several that do not touch, by its plane faces. Points are mm, in the frame it was built in.

    `moved` is the solid that this one is a rigid move of, and where it stands: what no move changes is found once.
    """

    points: tuple[P3, ...]
    faces: tuple[Face, ...]
    smooth: frozenset[Edge] = frozenset()
    moved: tuple[Facets, Placement] | None = field(default=None, compare=False, repr=False)

    @cached_property
    def normals(self) -> tuple[P3, ...]:
        """The unit normal of each face, out of the solid. GeometryError for a face without area."""
        if self.moved is not None:
            solid, place = self.moved
            return _turned_by(place, solid.normals)
        return tuple(self._normal(face) for face in self.faces)

    def _normal(self, face: Face) -> P3:
        total = area_vector([self.points[i] for i in face[0]])
        size = total.length()
        if size < 1e-12:
            raise GeometryError(f"a face without area at {tuple(self.points[face[0][0]])}")
        return total.times(1.0 / size)

    @cached_property
    def edges(self) -> Mapping[Edge, tuple[int, int]]:
        """Each edge with the numbers of its two faces. GeometryError where the surface does not close."""
        if self.moved is not None:
            return self.moved[0].edges
        left: dict[tuple[int, int], int] = {}
        for number, face in enumerate(self.faces):
            for ring in face:
                for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
                    if (a, b) in left:
                        raise GeometryError(f"two faces run along one edge the same way at {tuple(self.points[a])}")
                    left[a, b] = number
        open_ = next((a for a, b in left if (b, a) not in left), None)
        if open_ is not None:
            raise GeometryError(f"a surface that does not close at {tuple(self.points[open_])}")
        return MappingProxyType({(a, b): (left[a, b], left[b, a]) for a, b in left if a < b})

    @cached_property
    def triangles(self) -> tuple[tuple[int, int, int, int], ...]:
        """Every face cut into triangles: three point numbers, counter-clockwise from outside, and the face's number."""
        if self.moved is not None:
            return self.moved[0].triangles
        from generator.drawing.facets.triangles import face_triangles

        return tuple(
            (*triangle, number)
            for number, (face, normal) in enumerate(zip(self.faces, self.normals, strict=True))
            for triangle in face_triangles(self.points, face, normal)
        )

    @cached_property
    def shading(self) -> Shading:
        """The triangles by corners that share point and normal: those of one face, or of faces that meet smoothly."""
        if self.moved is not None:
            return self.moved[0].shading
        first = self._joined_corners()
        faces: dict[Corner, list[int]] = {}
        for corner, root in sorted(first.items()):
            faces.setdefault(root, []).append(corner[0])
        number: dict[Corner, int] = {}
        indices = []
        for *triangle, face in self.triangles:
            for point in triangle:
                corner = (face, point)
                indices.append(number.setdefault(first.get(corner, corner), len(number)))
        corners = ((point, tuple(faces.get((face, point), (face,)))) for face, point in number)
        return Shading(tuple(corners), tuple(indices))

    def _joined_corners(self) -> dict[Corner, Corner]:
        """For each corner that a smooth edge joins to others the first of them."""
        parent: dict[Corner, Corner] = {}

        def root(corner: Corner) -> Corner:
            at = parent.setdefault(corner, corner)
            while parent[at] != at:
                parent[at] = at = parent[parent[at]]
            return at

        for edge in sorted(self.smooth):
            f, g = self.edges[edge]
            for point in edge:
                a, b = root((f, point)), root((g, point))
                if a != b:
                    parent[max(a, b)] = min(a, b)
        return {corner: root(corner) for corner in parent}

    @property
    def volume(self) -> float:
        """Enclosed volume, mm³; exact for the plane faces."""
        total = 0.0
        for face in self.faces:
            for ring in face:
                corners = [self.points[i] for i in ring]
                total += corners[0].dot(area_vector(corners))
        return total / 3.0

    @property
    def area(self) -> float:
        """Area of the whole surface, mm²."""
        total = 0.0
        for face, normal in zip(self.faces, self.normals, strict=True):
            total += math.fsum(area_vector([self.points[i] for i in ring]).dot(normal) for ring in face)
        return total

    @property
    def bounds(self) -> Bounds3:
        xs, ys, zs = zip(*self.points, strict=True)
        return Bounds3(P3(min(xs), min(ys), min(zs)), P3(max(xs), max(ys), max(zs)))

    def placed(self, placement: Placement) -> Facets:
        """The solid moved from its own frame to where `placement` stands."""
        o, x, y, z = placement.origin, placement.x_axis, placement.y_axis, placement.z_axis
        points = tuple(
            P3(
                o.x + x.x * p.x + y.x * p.y + z.x * p.z,
                o.y + x.y * p.x + y.y * p.y + z.y * p.z,
                o.z + x.z * p.x + y.z * p.y + z.z * p.z,
            )
            for p in self.points
        )
        return replace(self, points=points, moved=(self, placement))


def _turned_by(place: Placement, directions: Iterable[P3]) -> tuple[P3, ...]:
    x, y, z = place.x_axis, place.y_axis, place.z_axis
    return tuple(
        P3(
            x.x * n.x + y.x * n.y + z.x * n.z,
            x.y * n.x + y.y * n.y + z.y * n.z,
            x.z * n.x + y.z * n.y + z.z * n.z,
        )
        for n in directions
    )


def area_vector(corners: Sequence[P3]) -> P3:
    """The area of a plane ring as a vector along its normal, mm² (Newell's sum)."""
    o = corners[0]
    x = y = z = 0.0
    for a, b in pairwise(corners):
        ax, ay, az, bx, by, bz = a.x - o.x, a.y - o.y, a.z - o.z, b.x - o.x, b.y - o.y, b.z - o.z
        x += ay * bz - az * by
        y += az * bx - ax * bz
        z += ax * by - ay * bx
    return P3(x / 2.0, y / 2.0, z / 2.0)


def joined(solids: Iterable[Facets]) -> Facets:
    """Several solids as one; they may touch but not run into each other."""
    points: list[P3] = []
    faces: list[Face] = []
    smooth: set[Edge] = set()
    for solid in solids:
        start = len(points)
        points += solid.points
        faces += [tuple(tuple(i + start for i in ring) for ring in face) for face in solid.faces]
        smooth |= {(a + start, b + start) for a, b in solid.smooth}
    return Facets(tuple(points), tuple(faces), frozenset(smooth))


def eased(solid: Facets, crease: float) -> Facets:
    """The solid with every edge smooth whose faces turn by less than `crease` degrees."""
    least = math.cos(math.radians(crease))
    normals = solid.normals
    found = {edge for edge, (a, b) in solid.edges.items() if normals[a].dot(normals[b]) > least}
    return replace(solid, smooth=solid.smooth | found, moved=None)


@dataclass
class Shell:
    """Collects points and faces of one solid, then freezes them."""

    points: list[P3] = field(default_factory=list)
    faces: list[Face] = field(default_factory=list)
    smooth: set[Edge] = field(default_factory=set)

    def ring(self, corners: Iterable[P3]) -> Ring:
        start = len(self.points)
        self.points += corners
        return tuple(range(start, len(self.points)))

    def face(self, outer: Ring, *holes: Ring) -> None:
        self.faces.append((outer, *holes))

    def band(self, lower: Ring, upper: Ring, soft: Sequence[bool]) -> int:
        """Flats between two rings of equally many points, both counter-clockwise seen from the upper one's side.

        The flats look away from the rings' middle. `soft` says at which points the edge between two flats is smooth.
        Returns the number of the first flat's face; the others follow in order.
        """
        first, count = len(self.faces), len(lower)
        for i in range(count):
            j = (i + 1) % count
            self.faces.append(((lower[i], lower[j], upper[j], upper[i]),))
            if soft[i]:
                a, b = lower[i], upper[i]
                self.smooth.add((min(a, b), max(a, b)))
        return first

    def facets(self, placement: Placement | None = None) -> Facets:
        """The finished solid, at `placement` when given."""
        solid = Facets(tuple(self.points), tuple(self.faces), frozenset(self.smooth))
        return solid if placement is None else solid.placed(placement)


def turned(ring: Ring) -> Ring:
    """The ring run the other way round."""
    return ring[::-1]


def frame_along(start: P3, direction: P3) -> Placement:
    """A frame at `start` whose z axis runs along `direction` (any length); its x axis is level where that can be."""
    size = direction.length()
    if size < 1e-12:
        raise GeometryError(f"a direction of zero length at {tuple(start)}")
    z = direction.times(1.0 / size)
    level = P3(-z.y, z.x, 0.0)
    x = level.times(1.0 / level.length()) if level.length() > 1e-9 else P3(1.0, 0.0, 0.0)
    return Placement(start, x, z.cross(x))
