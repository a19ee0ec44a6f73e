"""What of plane-faced solids can be seen from one direction: edges cut where they vanish, and the areas between them.

An edge is hidden where a face lies nearer to the eye; both are plane, so where that starts and ends along the edge is
the root of a linear equation, and no order of painting is needed: solids may overlap each other in a ring. The visible
edges divide the picture into cells; each shows the one face that is nearest at any of its points. This module loads
numpy and shapely and is imported where a picture is made.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from generator.base.geometry3d import Placement
from generator.drawing.facets.base import Facets

#: A face hides what lies further behind it than this, mm; what touches it stays.
DEPTH_SLACK = 1e-3
#: Points of the picture are rounded to this grid, mm of the model.
GRID = 0.01
#: A face that leans from the line of sight by less than this (sine) is seen edge-on.
_EDGE_ON = 1e-6
#: A point this far outside a face's edge (mm) still counts as behind it, so that two triangles leave no gap.
_SEAM = 1e-7
#: Stretches of an edge up to this length are neither hidden nor shown, mm.
_CRUMB = 1e-4
#: So many pairs of edge and triangle are looked at together: some megabytes, where all at once would be a hundred.
_AT_ONCE = 16384

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Mesh:
    """All solids in the view's coordinates: x right, y up, z towards the eye. Only what faces the eye is kept.

    `triangles` hold point numbers; `face_of` the face of each triangle; `solid_of` the solid of each face. `edges` hold
    point numbers, `outline` says where a face turns away from the eye, `drawn` which edges are lines of the picture,
    `faces_of` the two faces of an edge (−1 for one that is not seen).
    """

    points: Floats
    triangles: Ints
    face_of: Ints
    solid_of: Ints
    normals: Floats
    edges: Ints
    edge_solid: Ints
    outline: Bools
    drawn: Bools
    faces_of: Ints


def mesh(solids: Sequence[Facets], view: Placement) -> Mesh:
    """The solids as arrays in the view's coordinates."""
    axes = np.array([view.x_axis, view.y_axis, view.z_axis]).T
    points, triangles, face_of, normals, solid_of = [], [], [], [], []
    edges, edge_solid, faces_of, smooth = [], [], [], []
    first_point = first_face = 0
    for number, solid in enumerate(solids):
        own = (np.array(solid.points) - np.array(view.origin)) @ axes
        points.append(own)
        found = np.array(solid.triangles, dtype=np.int64)
        triangles.append(found[:, :3] + first_point)
        face_of.append(found[:, 3] + first_face)
        normals.append(np.array(solid.normals) @ axes)
        solid_of.append(np.full(len(solid.faces), number))
        edges.append(np.array(list(solid.edges), dtype=np.int64) + first_point)
        faces_of.append(np.array(list(solid.edges.values()), dtype=np.int64) + first_face)
        edge_solid.append(np.full(len(solid.edges), number))
        smooth.append(np.array([edge in solid.smooth for edge in solid.edges]))
        first_point += len(own)
        first_face += len(solid.faces)
    turned = np.concatenate(normals)
    seen = turned[:, 2] > _EDGE_ON
    pairs = np.concatenate(faces_of)
    both, one = seen[pairs[:, 0]] & seen[pairs[:, 1]], seen[pairs[:, 0]] | seen[pairs[:, 1]]
    kept = np.concatenate(face_of)
    facing = seen[kept]
    return Mesh(
        points=np.concatenate(points),
        triangles=np.concatenate(triangles)[facing],
        face_of=kept[facing],
        solid_of=np.concatenate(solid_of),
        normals=turned,
        edges=np.concatenate(edges)[one],
        edge_solid=np.concatenate(edge_solid)[one],
        outline=~both[one],
        drawn=(~both | ~np.concatenate(smooth))[one],
        faces_of=np.where(seen[pairs], pairs, -1)[one],
    )


@dataclass(frozen=True)
class Spans:
    """Visible stretches of edges: the edge's number and where on it (0 to 1) each starts and ends."""

    edge: Ints
    start: Floats
    end: Floats


def visible_spans(m: Mesh) -> Spans:
    """The stretches of every edge that no face hides, exact but for crumbs under 0.1 µm."""
    edge, triangle = _candidates(m)
    low, high = _hidden(m, edge, triangle)
    a, b = m.points[m.edges[:, 0], :2], m.points[m.edges[:, 1], :2]
    length = np.hypot(*(b - a).T)
    real = (high - low) * length[edge] > _CRUMB
    edge, low, high = edge[real], low[real], high[real]
    # Each edge gets a room of its own on one long line, so that one sort and one running maximum serve them all.
    home = 2.0 * edge
    order = np.lexsort((low, edge))
    starts, reach = (home + low)[order], np.maximum.accumulate((home + high)[order])
    fresh = np.ones(len(starts), dtype=bool)
    fresh[1:] = starts[1:] > reach[:-1] + 1e-9
    last = np.append(fresh[1:], True)
    every = 2.0 * np.arange(len(m.edges))
    begins = np.sort(np.concatenate([every, reach[last] if len(reach) else reach]))
    ends = np.sort(np.concatenate([every + 1.0, starts[fresh] if len(starts) else starts]))
    number = np.floor(begins / 2.0).astype(np.int64)
    # A stretch hidden up to the edge's end begins one step short of the next room.
    number = np.minimum(number, np.floor(ends / 2.0).astype(np.int64))
    start, end = begins - 2.0 * number, ends - 2.0 * number
    shown = (end - start) * length[number] > _CRUMB
    return Spans(number[shown], start[shown], end[shown])


def _candidates(m: Mesh) -> tuple[Ints, Ints]:
    """Pairs of edge and triangle whose boxes meet and where the triangle could lie in front."""
    tree = shapely.STRtree(shapely.polygons(m.points[m.triangles][:, :, :2]))
    edge, triangle = tree.query(shapely.linestrings(m.points[m.edges][:, :, :2]))
    z_edge, z_triangle = m.points[m.edges][:, :, 2].min(axis=1), m.points[m.triangles][:, :, 2].max(axis=1)
    front = z_triangle[triangle] > z_edge[edge] + DEPTH_SLACK
    front &= (m.faces_of[edge] != m.face_of[triangle][:, None]).all(axis=1)
    return edge[front].astype(np.int64), triangle[front].astype(np.int64)


def _hidden(m: Mesh, edge: Ints, triangle: Ints) -> tuple[Floats, Floats]:
    """From where to where (0 to 1) each edge runs behind its triangle; from above to below where it does not."""
    laws = _laws(m)
    low, high = np.zeros(len(edge)), np.ones(len(edge))
    for first in range(0, len(edge), _AT_ONCE):
        part = slice(first, first + _AT_ONCE)
        p = m.points[m.edges[edge[part], 0]]
        d = m.points[m.edges[edge[part], 1]] - p
        _narrow_all(laws[triangle[part]], p, d, low[part], high[part])
    return low, high


def _narrow_all(law: Floats, p: Floats, d: Floats, low: Floats, high: Floats) -> None:
    """Keep of [low, high] where p + t·d is inside the three sides and under the plane of its triangle's law."""
    for k in range(3):
        at = law[:, k, 0] * p[:, 0] + law[:, k, 1] * p[:, 1] + law[:, k, 2]
        _narrow(at, law[:, k, 0] * d[:, 0] + law[:, k, 1] * d[:, 1], low, high)
    over = law[:, 3, 0] * p[:, 0] + law[:, 3, 1] * p[:, 1] + law[:, 3, 2] - p[:, 2]
    _narrow(over, law[:, 3, 0] * d[:, 0] + law[:, 3, 1] * d[:, 1] - d[:, 2], low, high)


def _laws(m: Mesh) -> Floats:
    """Of each triangle four linear forms a·x + b·y + c: how far inside its three sides, and how high its plane lies.

    The slacks are in c: a point counts as inside a little beyond a side, as hidden only a little below the plane.
    """
    corner = m.points[m.triangles]
    out = np.zeros((len(corner), 4, 3))
    for k in range(3):
        a, side = corner[:, k], corner[:, (k + 1) % 3] - corner[:, k]
        size = np.hypot(side[:, 0], side[:, 1])
        size[size == 0.0] = 1.0
        out[:, k, 0], out[:, k, 1] = -side[:, 1] / size, side[:, 0] / size
        out[:, k, 2] = _SEAM - out[:, k, 0] * a[:, 0] - out[:, k, 1] * a[:, 1]
    normal, first = m.normals[m.face_of], corner[:, 0]
    out[:, 3, :2] = -normal[:, :2] / normal[:, 2:]
    out[:, 3, 2] = first[:, 2] - out[:, 3, 0] * first[:, 0] - out[:, 3, 1] * first[:, 1] - DEPTH_SLACK
    return out


def _narrow(at: Floats, by: Floats, low: Floats, high: Floats) -> None:
    """Keep of [low, high] the part where at + t·by ≥ 0."""
    level = np.abs(by) < 1e-12
    root = -at / np.where(level, 1.0, by)
    np.maximum(low, np.where(~level & (by > 0.0), root, low), out=low)
    np.minimum(high, np.where(~level & (by < 0.0), root, high), out=high)
    high[level & (at < 0.0)] = -1.0


def span_lines(m: Mesh, spans: Spans) -> NDArray[Any]:
    """The visible stretches as plane lines."""
    a, b = m.points[m.edges[spans.edge, 0], :2], m.points[m.edges[spans.edge, 1], :2]
    ends = np.stack([a + (b - a) * spans.start[:, None], a + (b - a) * spans.end[:, None]], axis=1)
    out: NDArray[Any] = shapely.linestrings(ends)
    return out


@dataclass(frozen=True)
class Cells:
    """The pieces of the picture between visible edges, and the face that shows in each; open ground is left out."""

    areas: NDArray[Any]
    face: Ints


def cells(m: Mesh, lines: NDArray[Any]) -> Cells:
    """What shows where; edges are rounded to GRID first, so that they close."""
    net = shapely.union_all(lines, grid_size=GRID)
    areas = np.array(shapely.get_parts(shapely.polygonize([net])))
    middles = shapely.point_on_surface(areas)
    at = shapely.get_coordinates(middles)
    order = np.lexsort((at[:, 1], at[:, 0]))  # the library promises no order
    areas, middles, at = areas[order], middles[order], at[order]
    face = _nearest(m, middles, at)
    real = face >= 0
    return Cells(shapely.normalize(areas[real]), face[real])


def _nearest(m: Mesh, points: NDArray[Any], at: Floats) -> Ints:
    """The face nearest to the eye at each point, −1 where there is none."""
    tree = shapely.STRtree(shapely.polygons(m.points[m.triangles][:, :, :2]))
    point, triangle = tree.query(points, predicate="intersects")
    corner = m.points[m.triangles[triangle, 0]]
    normal = m.normals[m.face_of[triangle]]
    depth = corner[:, 2] - ((at[point] - corner[:, :2]) * normal[:, :2]).sum(axis=1) / normal[:, 2]
    order = np.lexsort((triangle, depth, point))
    point, triangle = point[order], triangle[order]
    last = np.append(point[1:] != point[:-1], True) if len(point) else np.zeros(0, dtype=bool)
    found = np.full(len(points), -1, dtype=np.int64)
    found[point[last]] = m.face_of[triangle[last]]
    return found
