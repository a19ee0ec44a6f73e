"""Plane figures built from points, radii and angles: polygons, rounded corners, slots, arcs; mm and degrees."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generator.base.contours2d import Path, Vertex
from generator.base.errors import GeometryError
from generator.base.points2d import P2, SAME_POINT, polar
from generator.base.segments2d import Segment


def arc_about(center: P2, radius: float, start_angle: float, sweep: float) -> Segment:
    """The arc about `center` from `start_angle` on through `sweep`, counter-clockwise where that is positive."""
    start, end = center.plus(polar(start_angle, radius)), center.plus(polar(start_angle + sweep, radius))
    return Segment(start, end, math.tan(math.radians(sweep) / 4.0))


def polygon(points: Sequence[P2]) -> Path:
    return Path(tuple(Vertex(p.x, p.y) for p in points))


def polyline(points: Sequence[P2]) -> Path:
    """An open run of straight lines."""
    return Path(tuple(Vertex(p.x, p.y) for p in points), closed=False)


def rectangle(x0: float, y0: float, x1: float, y1: float, radius: float = 0.0) -> Path:
    """An axis-parallel rectangle, counter-clockwise from (x0, y0), with rounded corners where `radius` > 0."""
    corners = [P2(x0, y0), P2(x1, y0), P2(x1, y1), P2(x0, y1)]
    return rounded_polygon(corners, [radius] * 4)


def rounded_polygon(corners: Sequence[P2], radii: Sequence[float]) -> Path:
    """A closed polygon with each corner replaced by a tangent arc of the given radius (0 keeps it sharp).

    Raises GeometryError where two fillets need more than the edge between them.
    """
    return rounded_corners(polygon(corners), radii)


def rounded_corners(path: Path, radii: Sequence[float]) -> Path:
    """A closed path with the corners between its straight lines replaced by tangent arcs, one radius a vertex.

    A radius of 0 keeps a corner as it is; one beside an arc must be 0. Raises GeometryError where two fillets need more
    than the edge between them.
    """
    corners = [vertex.point for vertex in path.vertices]
    count = len(corners)
    setback: list[float] = []
    turn: list[float] = []
    for i, corner in enumerate(corners):
        into = corner.minus(corners[i - 1]).unit()
        out = corners[(i + 1) % count].minus(corner).unit()
        angle = math.atan2(into.cross(out), into.dot(out))
        turn.append(angle)
        setback.append(radii[i] * math.tan(abs(angle) / 2.0))
    vertices: list[Vertex] = []
    for i, corner in enumerate(corners):
        edge = corners[(i + 1) % count].minus(corner)
        if setback[i] + setback[(i + 1) % count] > edge.length() + SAME_POINT:
            raise GeometryError(
                f"fillets of {radii[i]:g} and {radii[(i + 1) % count]:g} mm do not fit an edge of {edge.length():g} mm"
            )
        into = corner.minus(corners[i - 1]).unit()
        if setback[i] < SAME_POINT:
            vertices.append(path.vertices[i])
            continue
        bulge = math.tan(turn[i] / 4.0)
        vertices.append(Vertex(*corner.minus(into.times(setback[i])), bulge))
        vertices.append(Vertex(*corner.plus(edge.unit().times(setback[i]))))
    kept = [v for i, v in enumerate(vertices) if v.point.distance(vertices[i - 1].point) >= SAME_POINT or v.bulge]
    # A full-round end makes the line between two fillets vanish: its zero-length vertex goes, the arc's start stays.
    kept = [v for i, v in enumerate(kept) if v.point.distance(kept[(i + 1) % len(kept)].point) >= SAME_POINT]
    return Path(tuple(kept))
