"""How near the ribs come to the boards beside them while the bed turns through its range."""

from __future__ import annotations

import math

from generator.geometry2d import P2, Box, Transform
from generator.parts.layout import Layout
from generator.parts.rib import rib_outline
from generator.shapes2d import polygon

_FLAT = 0.05
_STEPS = 6


def swept_ribs(layout: Layout) -> tuple[list[P2], ...]:
    """The ribs' outline, seen from the side (u, v), at bed angles all through the range."""
    corners, spec = rib_outline(layout).flatten(_FLAT), layout.spec
    turns = [spec.angle_low + (spec.angle_high - spec.angle_low) * step / _STEPS for step in range(_STEPS + 1)]
    return tuple([Transform.rotate(turn).apply(corner) for corner in corners] for turn in turns)


def room_beside_ribs(sweep: tuple[list[P2], ...], board: Box) -> float:
    """Least distance (mm) from the swept ribs to a board's section `board` (u, v); below 0 how far they meet.

    The board must stand where the ribs' planes pass it.
    """
    return min(_apart(corners, board) for corners in sweep)


def _apart(points: list[P2], board: Box) -> float:
    deepest = max(_depth(p, board) for p in points)
    if deepest > 0.0:
        return -deepest
    edges = list(zip(points, [*points[1:], points[0]], strict=True))
    corners = [P2(board.x0, board.y0), P2(board.x1, board.y0), P2(board.x1, board.y1), P2(board.x0, board.y1)]
    if polygon(points).contains(corners[0]) or any(_crosses(a, b, board) for a, b in edges):
        return -min(board.width, board.height) / 2.0
    near = min(_from_box(p, board) for p in points)
    return min(near, *(_from_edge(corner, a, b) for corner in corners for a, b in edges))


def _depth(point: P2, board: Box) -> float:
    """How deep a point lies inside the box, mm; negative outside."""
    return min(point.x - board.x0, board.x1 - point.x, point.y - board.y0, board.y1 - point.y)


def _crosses(a: P2, b: P2, board: Box) -> bool:
    """True when the stretch from a to b passes through the box (Liang-Barsky: clip against each side in turn)."""
    low, high = 0.0, 1.0
    run = b.minus(a)
    for move, before, after in ((run.x, board.x0 - a.x, board.x1 - a.x), (run.y, board.y0 - a.y, board.y1 - a.y)):
        if abs(move) < 1e-12:
            if before > 0.0 or after < 0.0:
                return False
            continue
        first, last = sorted((before / move, after / move))
        low, high = max(low, first), min(high, last)
    return low < high


def _from_box(point: P2, board: Box) -> float:
    beside = max(board.x0 - point.x, 0.0, point.x - board.x1)
    over = max(board.y0 - point.y, 0.0, point.y - board.y1)
    return math.hypot(beside, over)


def _from_edge(point: P2, a: P2, b: P2) -> float:
    run = b.minus(a)
    size = run.dot(run)
    share = 0.0 if size == 0.0 else min(1.0, max(0.0, point.minus(a).dot(run) / size))
    return point.distance(a.plus(run.times(share)))
