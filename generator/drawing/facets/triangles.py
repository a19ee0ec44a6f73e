"""Plane faces as triangles: a fan where the face is convex, ear clipping by mapbox_earcut where it is not."""

from __future__ import annotations

from collections.abc import Sequence

import mapbox_earcut
import numpy as np

from generator.base.geometry3d import P3
from generator.drawing.facets.base import Face, Ring

Triangle = tuple[int, int, int]


def face_triangles(points: Sequence[P3], face: Face, normal: P3) -> list[Triangle]:
    """The triangles of one face, by point numbers, counter-clockwise seen from the side of `normal`."""
    if len(face) == 1 and _convex(points, face[0], normal):
        ring = face[0]
        return [(ring[0], ring[i], ring[i + 1]) for i in range(1, len(ring) - 1)]
    numbers = [i for ring in face for i in ring]
    flat = np.array([_flat(points[i], normal) for i in numbers])
    ends = np.cumsum([len(ring) for ring in face]).astype(np.uint32)
    found = mapbox_earcut.triangulate_float64(flat, ends).tolist()
    # Ear clipping turns every triangle one way; which way is seen in the first one with area.
    forward = _forward(flat, found)
    return [
        (numbers[a], numbers[b], numbers[c]) if forward else (numbers[a], numbers[c], numbers[b])
        for a, b, c in zip(found[0::3], found[1::3], found[2::3], strict=True)
    ]


def _flat(p: P3, normal: P3) -> tuple[float, float]:
    """Plane coordinates of `p`: the axis that the normal follows most is left out, the others kept in order."""
    x, y, z = abs(normal.x), abs(normal.y), abs(normal.z)
    if z >= x and z >= y:
        return (p.x, p.y) if normal.z > 0 else (p.y, p.x)
    if x >= y:
        return (p.y, p.z) if normal.x > 0 else (p.z, p.y)
    return (p.z, p.x) if normal.y > 0 else (p.x, p.z)


def _forward(flat: np.ndarray, found: list[int]) -> bool:
    a, b, c = (flat[np.array(found[k::3])] for k in range(3))
    u, v = b - a, c - a
    return float((u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]).sum()) > 0.0


def _convex(points: Sequence[P3], ring: Ring, normal: P3) -> bool:
    """Whether a ring turns the same way at every corner and goes round once; a fan of it then has no gap."""
    if len(ring) == 3:
        return True
    if len(ring) > 4:
        return False
    turns = []
    for i in range(4):
        a, b, c = points[ring[i - 1]], points[ring[i]], points[ring[(i + 1) % 4]]
        ux, uy, uz, vx, vy, vz = b.x - a.x, b.y - a.y, b.z - a.z, c.x - b.x, c.y - b.y, c.z - b.z
        turns.append((uy * vz - uz * vy) * normal.x + (uz * vx - ux * vz) * normal.y + (ux * vy - uy * vx) * normal.z)
    return min(turns) > 0.0
