"""A part, and a bought piece, as plane-faced solids: read off the one description that every file of it is read off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, Placement
from generator.base.points2d import P2, polar
from generator.drawing.facets.base import Facets, Ring, Shell, turned
from generator.drawing.facets.build import MAX_ERROR, corners, round_count, turned_piece
from generator.jig.part import Bought, EdgeHole, Face, Hole, Part

#: Depths of a bore that differ by no more are one depth, mm: a flat ring lies between their radii.
_SAME = 1e-9
#: An edge hole's middle lies on its edge within this, mm.
_ON_EDGE = 1e-6


def part_facets(part: Part, place: Placement | None = None, max_error: float = MAX_ERROR) -> Facets:
    """The part's solid in its own frame (z 0 at the back face), or at `place`; arcs within `max_error` mm.

    Features do not run into each other. GeometryError names the part and an edge hole that lies on no straight edge.
    """
    made = _PartShell(part, max_error)
    made.profile()
    for hole in part.holes:
        made.hole(hole)
    for edge_hole in part.edge_holes:
        made.edge_hole(edge_hole)
    return made.finished(place)


def bought_facets(piece: Bought) -> Facets:
    """A screw or pin where it stands, in the plate frame: its head and its shank as one turned piece."""
    return turned_piece(piece.start, piece.direction, piece.profile[1:-1], MAX_ERROR)


@dataclass(frozen=True)
class _Wall:
    """A straight stretch of the profile's wall: the material lies on the left of the way from `start` to `end`."""

    face: int
    start: P2
    end: P2

    def off(self, hole: EdgeHole) -> float | None:
        """How far the hole's middle lies off this wall; None where the hole does not fit on it, square to it."""
        way = self.end.minus(self.start)
        unit = way.unit()
        along, off = hole.at.minus(self.start).dot(unit), abs(unit.cross(hole.at.minus(self.start)))
        fits = hole.diameter / 2.0 < along < way.length() - hole.diameter / 2.0
        return off if fits and unit.left().dot(hole.into) > 1.0 - _ON_EDGE else None


class _PartShell:
    """The part's faces as they come: walls are complete, the two broad faces get their holes at the end."""

    def __init__(self, part: Part, max_error: float) -> None:
        self._part = part
        self._error = max_error
        self._shell = Shell()
        self._front: list[Ring] = []
        self._back: list[Ring] = []
        self._walls: list[_Wall] = []

    def profile(self) -> None:
        """Outline and openings, from the back face to the front face."""
        for contour in (self._part.outline, *(opening.contour for opening in self._part.openings)):
            points, soft = corners(contour, self._error)
            inner = contour is not self._part.outline
            if inner:
                points, soft = points[::-1], soft[::-1]
            lower, upper = self._level(points, 0.0), self._level(points, self._part.thickness)
            first = self._shell.band(lower, upper, soft)
            self._walls += [
                _Wall(first + i, a, b) for i, (a, b) in enumerate(zip(points, points[1:] + points[:1], strict=True))
            ]
            self._front.append(upper)
            self._back.append(turned(lower))

    def hole(self, hole: Hole) -> None:
        """A hole as rings from its mouth down; a step between two radii is a flat ring."""
        thick, front = self._part.thickness, hole.face is Face.FRONT
        profile = _bore(hole, thick)
        count = round_count(hole.rim, self._error)
        way = [polar(360.0 * i / count) for i in range(count)]
        rings = [
            self._shell.ring(
                P3(hole.at.x + r * w.x, hole.at.y + r * w.y, thick - depth if front else depth) for w in way
            )
            for r, depth in profile
        ]
        if not front:  # seen from its mouth a hole in the back face is the mirror image of one in the front face
            rings = [turned(ring) for ring in rings]
        self._bored(rings, profile)
        (self._front if front else self._back).append(turned(rings[0]))
        if hole.depth is None:
            (self._back if front else self._front).append(rings[-1])
        else:
            self._shell.face(rings[-1])

    def edge_hole(self, hole: EdgeHole) -> None:
        wall = self._wall_of(hole)
        along = hole.into.left().times(-1.0)
        count = round_count(hole.diameter / 2.0, self._error)
        profile = ((hole.diameter / 2.0, 0.0), (hole.diameter / 2.0, hole.depth))
        rings = []
        for r, depth in profile:
            middle = hole.at.plus(hole.into.times(depth))
            way = [polar(360.0 * i / count, r) for i in range(count)]
            rings.append(
                self._shell.ring(P3(middle.x + along.x * w.x, middle.y + along.y * w.x, hole.z + w.y) for w in way)
            )
        self._bored(rings, profile)
        self._shell.face(rings[-1])
        self._shell.faces[wall.face] = (*self._shell.faces[wall.face], turned(rings[0]))

    def _bored(self, rings: Sequence[Ring], profile: Sequence[tuple[float, float]]) -> None:
        """The hole's own surface between rings that run counter-clockwise seen from its mouth."""
        soft = [True] * len(rings[0])
        for i in range(len(rings) - 1):
            (ra, da), (rb, db) = profile[i], profile[i + 1]
            if db - da > _SAME:
                self._shell.band(rings[i], rings[i + 1], soft)
            elif rb < ra:
                self._shell.face(rings[i], turned(rings[i + 1]))
            else:
                self._shell.face(turned(rings[i + 1]), rings[i])

    def _wall_of(self, hole: EdgeHole) -> _Wall:
        offs = [(off, wall) for wall in self._walls if (off := wall.off(hole)) is not None]
        near = min(offs, key=lambda found: found[0], default=None)
        if near is None or near[0] > _ON_EDGE:
            raise GeometryError(
                f"part {self._part.name}: {hole.id}: found at {tuple(hole.at)}; "
                "allowed: on a straight edge that has room for it"
            )
        return near[1]

    def _level(self, points: Sequence[P2], z: float) -> Ring:
        return self._shell.ring(P3(p.x, p.y, z) for p in points)

    def finished(self, place: Placement | None) -> Facets:
        self._shell.face(*self._front)
        self._shell.face(*self._back)
        return self._shell.facets(place)


def _bore(hole: Hole, thickness: float) -> list[tuple[float, float]]:
    """(radius, depth below its face) of a hole's own outline, from its mouth to its bottom."""
    bore = hole.diameter / 2.0
    bottom = thickness if hole.depth is None else hole.depth
    if hole.counterbore_diameter is not None and hole.counterbore_depth is not None:
        wide = hole.counterbore_diameter / 2.0
        return [(wide, 0.0), (wide, hole.counterbore_depth), (bore, hole.counterbore_depth), (bore, bottom)]
    if hole.countersink_diameter is not None:
        return [(hole.countersink_diameter / 2.0, 0.0), (bore, hole.countersink_depth), (bore, bottom)]
    return [(bore, 0.0), (bore, bottom)]
