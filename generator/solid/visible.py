"""Where on a picture each piece of an assembly shows best: a coarse depth buffer over the pieces' own facets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generator.geometry2d import P2
from generator.geometry3d import P3, Placement
from generator.solid.assembly import Piece

#: How far a facet may lie off the true face, mm and radians: a picture's spot needs no more.
_FACET = (0.5, 0.5)
_NOTHING = -1

_Points = NDArray[np.float64]
_Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Spot:
    """The middle of a piece's widest visible patch, in the view, and how far round it nothing else shows, mm."""

    at: P2
    room: float


def visible_spots(pieces: Sequence[Piece], view: Placement, step: float = 1.5) -> Mapping[str, Spot]:
    """By label, where each piece shows best along `view`, found on a grid of `step` mm; hidden pieces are left out."""
    facets = [_facets(piece, view) for piece in pieces]
    corners = np.concatenate([points.reshape(-1, 3) for points in facets])
    low = corners[:, :2].min(axis=0) - step
    columns, rows = np.ceil((corners[:, :2].max(axis=0) + step - low) / step).astype(int)
    depth = np.full((rows, columns), -np.inf)
    owner = np.full((rows, columns), _NOTHING)
    for number, points in enumerate(facets):
        for triangle in points:
            _paint(triangle, number, low, step, depth, owner)
    found = {}
    for number, piece in enumerate(pieces):
        spot = _best(owner == number, low, step)
        if spot is not None:
            found[piece.label] = spot
    return found


def _facets(piece: Piece, view: Placement) -> _Points:
    """Triangles of a piece in the view's coordinates: x right, y up, z towards the eye; shape (n, 3, 3)."""
    vertices, triangles = piece.placed.tessellate(*_FACET)
    seen = [view.to_part(P3(v.x, v.y, v.z)) for v in vertices]
    points: _Points = np.array(seen, dtype=float)[np.array(triangles, dtype=int)]
    return points


def _paint(triangle: _Points, number: int, low: _Points, step: float, depth: _Points, owner: NDArray[np.int64]) -> None:
    """Put one triangle into the buffer wherever it is nearer to the eye than what is there."""
    flat = (triangle[:, :2] - low) / step
    (a, b, c), z = flat, triangle[:, 2]
    area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    if abs(area) < 1e-12:
        return
    x0, y0 = np.floor(flat.min(axis=0)).astype(int)
    x1, y1 = np.ceil(flat.max(axis=0)).astype(int) + 1
    x, y = np.meshgrid(np.arange(x0, x1) + 0.5, np.arange(y0, y1) + 0.5)
    share_b = ((x - a[0]) * (c[1] - a[1]) - (y - a[1]) * (c[0] - a[0])) / area
    share_c = ((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])) / area
    height = z[0] + share_b * (z[1] - z[0]) + share_c * (z[2] - z[0])
    window = depth[y0:y1, x0:x1]
    inside = (share_b >= 0) & (share_c >= 0) & (share_b + share_c <= 1)
    nearer = inside[: window.shape[0], : window.shape[1]] & (height[: window.shape[0], : window.shape[1]] > window)
    window[nearer] = height[: window.shape[0], : window.shape[1]][nearer]
    owner[y0:y1, x0:x1][nearer] = number


def _best(shown: _Mask, low: _Points, step: float) -> Spot | None:
    """Peel the shown patch ring by ring; what is left last is where it is widest."""
    if not shown.any():
        return None
    rings, left = 0, shown
    while True:
        inner = _peeled(left)
        if not inner.any():
            break
        rings, left = rings + 1, inner
    cells = np.argwhere(left)
    row, column = min(cells, key=lambda cell: (float(np.abs(cell - cells.mean(axis=0)).sum()), tuple(cell)))
    return Spot(P2(float(low[0] + (column + 0.5) * step), float(low[1] + (row + 0.5) * step)), (rings + 0.5) * step)


def _peeled(mask: _Mask) -> _Mask:
    """The cells whose eight neighbours are all in the mask."""
    padded = np.pad(mask, 1)
    rows, columns = mask.shape
    inner = mask.copy()
    for dy in (0, 1, 2):
        for dx in (0, 1, 2):
            inner &= padded[dy : dy + rows, dx : dx + columns]
    return inner
