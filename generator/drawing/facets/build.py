"""Builders of plane-faced solids from figures: blocks, prisms, cylinders, turned pieces, lofts.

Arcs become chords that stay within `max_error` mm of the arc; their corners lie on it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from generator.base.contours2d import Circle, Contour
from generator.base.errors import GeometryError
from generator.base.geometry3d import ORIGIN, P3, Placement
from generator.base.points2d import P2, polar
from generator.base.segments2d import Segment
from generator.base.shapes2d import rectangle
from generator.drawing.facets.base import Facets, Ring, Shell, area_vector, eased, frame_along, turned

#: Arcs stray from their chords by no more than this, mm, unless a caller says otherwise.
MAX_ERROR = 0.1
#: Directions nearer than this (1 − cosine: a quarter of a degree) run on tangentially.
_TANGENT = 1e-5
#: A round has at least this many corners, however small it is.
_LEAST = 8
#: Bands of a turned piece that turn by less than this (degrees) belong to one round surface.
_ROUND = 30.0
#: Heights that differ by less (mm), volumes (mm³) and normals (mm²) smaller than this count as none.
_FLAT = 1e-9


def check_error(max_error: float) -> float:
    """`max_error` as it is. GeometryError unless it is a length above zero."""
    if not (math.isfinite(max_error) and max_error > 0):
        raise GeometryError(f"the largest error of an arc's chords: found {max_error}; allowed: above 0 mm")
    return max_error


def corners(contour: Contour, max_error: float) -> tuple[list[P2], list[bool]]:
    """A closed contour's corners counter-clockwise, and at which of them the contour runs on smoothly.

    Corners in the middle of a straight run are left out.
    """
    check_error(max_error)
    if isinstance(contour, Circle):
        count = round_count(contour.radius, max_error)
        return [contour.center.plus(polar(360.0 * i / count, contour.radius)) for i in range(count)], [True] * count
    points: list[P2] = []
    soft: list[bool] = []
    segments = list(contour.counter_clockwise().segments())
    for before, segment in zip([segments[-1], *segments[:-1]], segments, strict=True):
        tangent = before.tangent_at(1.0).dot(segment.tangent_at(0.0)) > 1.0 - _TANGENT
        if not tangent or before.is_arc or segment.is_arc:
            points.append(segment.start)
            soft.append(tangent)
        if segment.is_arc:
            inner = _inner(segment, max_error)
            points += inner
            soft += [True] * len(inner)
    return points, soft


def round_count(radius: float, max_error: float) -> int:
    """How many corners a full circle needs to stay within `max_error` mm, a multiple of four."""
    step = 2.0 * math.acos(max(0.0, 1.0 - max_error / radius)) if max_error < radius else math.pi / 2.0
    return max(_LEAST, 4 * math.ceil(math.pi / 2.0 / step - 1e-9))


def _inner(arc: Segment, max_error: float) -> list[P2]:
    count = max(1, math.ceil(abs(arc.sweep) / 360.0 * round_count(arc.radius, max_error) - 1e-9))
    return [arc.point_at(i / count) for i in range(1, count)]


def block(x0: float, y0: float, z0: float, x1: float, y1: float, z1: float, place: Placement | None = None) -> Facets:
    """An axis-parallel block, in the frame of `place` when given."""
    return prism(rectangle(x0, y0, x1, y1), z0, z1, place)


def prism(
    outline: Contour,
    z0: float,
    z1: float,
    place: Placement | None = None,
    holes: Sequence[Contour] = (),
    lean: P2 | None = None,
    max_error: float = MAX_ERROR,
) -> Facets:
    """The outline less its holes, swept from z0 up to z1 in the frame of `place`; its top moved by `lean` when given.

    Holes lie inside the outline and apart from each other.
    """
    if not z1 > z0:
        raise GeometryError(f"a prism from {z0:g} up to {z1:g} mm")
    shell = Shell()
    dx, dy = lean or P2(0.0, 0.0)
    tops: list[Ring] = []
    bottoms: list[Ring] = []
    for number, contour in enumerate((outline, *holes)):
        points, soft = corners(contour, max_error)
        lower = shell.ring(P3(p.x, p.y, z0) for p in points)
        upper = shell.ring(P3(p.x + dx, p.y + dy, z1) for p in points)
        if number == 0:
            shell.band(lower, upper, soft)
            tops.append(upper)
            bottoms.append(turned(lower))
        else:
            shell.band(upper, lower, soft)
            tops.append(turned(upper))
            bottoms.append(lower)
    shell.face(*tops)
    shell.face(*bottoms)
    return shell.facets(place)


def cylinder(start: P3, direction: P3, length: float, diameter: float, max_error: float = MAX_ERROR) -> Facets:
    """A round bar from `start` along `direction` (any length), mm."""
    return turned_piece(start, direction, ((diameter / 2.0, 0.0), (diameter / 2.0, length)), max_error)


def turned_piece(
    start: P3, direction: P3, profile: Sequence[tuple[float, float]], max_error: float = MAX_ERROR
) -> Facets:
    """A turned piece on the axis from `start` along `direction`: (radius, height) pairs from its foot to its top, mm.

    The piece ends in flat faces at the first and last pair; two pairs of one height make a step. All radii are above 0.
    """
    check_error(max_error)
    if len(profile) < 2 or min(r for r, _ in profile) <= 0.0:
        raise GeometryError(f"a turned piece needs two radii above 0 mm or more, found {list(profile)}")
    return _turned(tuple(profile), max_error).placed(frame_along(start, direction))


@lru_cache(maxsize=128)
def _turned(profile: tuple[tuple[float, float], ...], max_error: float) -> Facets:
    """The piece on its own Z axis: a stage holds many of few shapes, and the next one the same again."""
    shell = Shell()
    count = round_count(max(r for r, _ in profile), max_error)
    way = [polar(360.0 * i / count) for i in range(count)]
    rings = [shell.ring(P3(r * w.x, r * w.y, h) for w in way) for r, h in profile]
    soft = [True] * count
    for (lower, upper), ((ra, ha), (rb, hb)) in zip(pairwise(rings), pairwise(profile), strict=True):
        if abs(hb - ha) > _FLAT:
            shell.band(lower, upper, soft)
        elif rb > ra:
            shell.face(turned(upper), lower)
        else:
            shell.face(lower, turned(upper))
    shell.face(turned(rings[0]))
    shell.face(rings[-1])
    for i in _round_rings(profile):
        shell.smooth |= {(min(a, b), max(a, b)) for a, b in zip(rings[i], (*rings[i][1:], rings[i][0]), strict=True)}
    return shell.facets()


def _round_rings(profile: Sequence[tuple[float, float]]) -> list[int]:
    """Which inner corners of a half profile belong to a rounding broken up into cones."""
    way = [math.degrees(math.atan2(hb - ha, rb - ra)) for (ra, ha), (rb, hb) in pairwise(profile)]
    return [i + 1 for i, (a, b) in enumerate(pairwise(way)) if abs((b - a + 180.0) % 360.0 - 180.0) < _ROUND]


def loft(sections: Sequence[Sequence[P3]], crease: float = _ROUND) -> Facets:
    """A solid through plane sections of equally many corners each, closed by the first and the last one.

    Corner i of one section is joined to corner i of the next; a four-sided patch that is not plane becomes two
    triangles. Edges whose faces turn by less than `crease` degrees are smooth. GeometryError where sections differ in
    number of corners or enclose no volume.
    """
    counts = {len(section) for section in sections}
    if len(sections) < 2 or len(counts) != 1 or min(counts) < 3:
        raise GeometryError(f"a loft needs two sections or more of equally many corners, found {sorted(counts)}")
    shell = Shell()
    rings = [shell.ring(section) for section in sections]
    for lower, upper in pairwise(rings):
        for i in range(len(lower)):
            _patch(shell, lower[i], lower[i - len(lower) + 1], upper[i - len(lower) + 1], upper[i])
    shell.face(turned(rings[0]))
    shell.face(rings[-1])
    solid = shell.facets()
    if abs(solid.volume) < _FLAT:
        raise GeometryError("a loft that encloses no volume")
    if solid.volume < 0.0:
        solid = Facets(solid.points, tuple(tuple(turned(ring) for ring in face) for face in solid.faces))
    return eased(solid, crease)


def _patch(shell: Shell, a: int, b: int, c: int, d: int) -> None:
    """A four-sided patch, as one face where it is plane; a side of no length leaves a triangle."""
    p = [shell.points[i] for i in (a, b, c, d)]
    normal = area_vector(p)
    lift = abs(p[3].minus(p[0]).dot(normal)) / max(normal.length(), _FLAT)
    if lift < 1e-7:
        shell.face((a, b, c, d))
    else:
        shell.face((a, b, c))
        shell.face((a, c, d))


def section_at(place: Placement, points: Sequence[P2]) -> list[P3]:
    """Corners of a plane section in space: `points` in the plane of `place`."""
    return [place.to_space(p.x, p.y) for p in points]


def upright(x: float, y: float, z: float) -> Placement:
    """A frame at a point, its axes those of the outer frame."""
    return Placement(ORIGIN.plus(P3(x, y, z)))
