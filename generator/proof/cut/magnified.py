"""A cut as someone in front of the piece sees it, with its misses drawn larger than they are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.base.contours2d import Path
from generator.base.points2d import P2
from generator.base.shapes2d import polygon, polyline
from generator.joint.stations import Use
from generator.proof.cut.virtual_cut import TracePoint, VirtualCut

#: How many times too large misses may be drawn, the largest first.
_FACTORS = (10, 5, 2, 1)
#: The largest of the misses, drawn too large, may stand off by this, mm.
_STAND_OFF = 6.0
#: A gap in the trace wider than this (mm) starts a new line: there the work ends.
_GAP = 1.0


def upright(points: Sequence[P2], use: Use) -> list[P2]:
    """Points (down the face, body Y) as seen: the end face from the neck (+Y on the left), the heel from the tail."""
    across = -1.0 if use is Use.BODY else 1.0
    return [P2(across * point.y, -point.x) for point in points]


def seen(cut: VirtualCut, at: P2) -> P2:
    """A jig-frame point on the view of its piece."""
    (point,) = upright([cut.wanted.to_face(at)], cut.use)
    return point


def factor(trace: Sequence[TracePoint]) -> int:
    """How many times too large the misses of a cut are drawn."""
    worst = max((abs(point.deviation) for point in trace), default=0.0)
    return next((factor for factor in _FACTORS if worst * factor <= _STAND_OFF), _FACTORS[-1])


def magnified(cut: VirtualCut, factor: int) -> Iterator[Path]:
    """The outline as cut, upright, with each point moved square to it, so that its miss is `factor` times as wide."""
    # Wood lies outside a pocket and inside anything else, and a positive miss goes into the wood.
    left = (polygon(cut.outline).signed_area > 0) != cut.wanted.outline.pocket
    for points in _runs(cut.trace):
        moved = []
        for i, point in enumerate(points):
            along = points[min(i + 1, len(points) - 1)].at.minus(points[max(i - 1, 0)].at)
            if along.length() > 1e-9:
                into_wood = along.unit().left().times(1.0 if left else -1.0)
                moved.append(seen(cut, point.at.plus(into_wood.times((factor - 1) * point.deviation))))
        kept = _thinned([point for point in moved if point.y <= 0.0])
        if len(kept) >= 2:
            yield polyline(kept)


def _runs(trace: Sequence[TracePoint]) -> Iterator[list[TracePoint]]:
    points: list[TracePoint] = []
    for point in trace:
        if points and points[-1].at.distance(point.at) > _GAP:
            yield points
            points = []
        points.append(point)
    if points:
        yield points


def _thinned(points: Sequence[P2]) -> list[P2]:
    """Without points that add nothing to be seen: closer than a tenth of a pen to the one before."""
    kept: list[P2] = []
    for point in points:
        if not kept or kept[-1].distance(point) > 0.05:
            kept.append(point)
    return kept
