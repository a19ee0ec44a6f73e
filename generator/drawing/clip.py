"""Cutting ink at the edge of a rectangle, exactly: lines stay lines, arcs stay arcs, dashes keep their rhythm."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import NamedTuple

from generator.base.contours2d import Circle, Path, Vertex
from generator.base.points2d import P2, SAME_POINT, Box
from generator.base.segments2d import Segment
from generator.base.shapes2d import polygon
from generator.drawing.sheet import Fill, Item, Stroke

#: A filled area is cut as a polygon within this of its arcs, mm: arrowheads and dots, never an edge to cut along.
FILL_ERROR = 0.001


def clipped(items: Iterable[Item], box: Box) -> Iterator[Item]:
    """The part of each item's ink inside `box`, mm.

    Strokes are cut by their middle line and areas by their outline. A label that touches the box is kept whole: its
    letters cannot be cut, the page's window hides what reaches past.
    """
    for item in items:
        if isinstance(item, Stroke):
            yield from clip_stroke(item, box)
        elif isinstance(item, Fill):
            yield from clip_fill(item, box)
        elif box.overlaps(item.box()):
            yield item


def clip_stroke(stroke: Stroke, box: Box) -> list[Stroke]:
    """The pieces of `stroke` inside `box`, each with the dash phase it has there."""
    if box.holds(stroke.path.box()):
        return [stroke]
    path = stroke.path.as_path() if isinstance(stroke.path, Circle) else stroke.path
    runs = _runs(path, box)
    if path.closed and not stroke.pen.dashes:
        # Where the path's own start lies inside, the last run goes on in the first: one stroke with a joined corner.
        runs = _round_the_start(runs, path.start)
    return [replace(stroke, path=_joined(run), phase=stroke.phase + run[0].along) for run in runs]


def clip_fill(fill: Fill, box: Box) -> list[Fill]:
    """The part of `fill` inside `box`; arcs become polygons within FILL_ERROR where they are cut."""
    if box.holds(fill.box()):
        return [fill]
    corners = fill.contour.flatten(FILL_ERROR)
    for normal, limit in (
        (P2(1.0, 0.0), box.x1),
        (P2(-1.0, 0.0), -box.x0),
        (P2(0.0, 1.0), box.y1),
        (P2(0.0, -1.0), -box.y0),
    ):
        corners = _half_plane(corners, normal, limit)
    corners = [p for i, p in enumerate(corners) if p.distance(corners[i - 1]) > SAME_POINT]
    return [replace(fill, contour=polygon(corners))] if len(corners) > 2 else []


def _half_plane(corners: list[P2], normal: P2, limit: float) -> list[P2]:
    """The polygon's part where normal · p is at most `limit`."""
    out: list[P2] = []
    for i, here in enumerate(corners):
        before = corners[i - 1]
        over_before, over_here = before.dot(normal) - limit, here.dot(normal) - limit
        if (over_before > 0) != (over_here > 0):
            out.append(before.plus(here.minus(before).times(over_before / (over_before - over_here))))
        if over_here <= 0:
            out.append(here)
    return out


class _Piece(NamedTuple):
    """A kept part of a segment, and how far along the path it starts, mm."""

    segment: Segment
    along: float


def _runs(path: Path, box: Box) -> list[list[_Piece]]:
    """The kept pieces, in connected runs."""
    runs: list[list[_Piece]] = []
    along = 0.0
    for segment in path.segments():
        for low, high in _kept(segment, box):
            piece = _Piece(_part(segment, low, high), along + low * segment.length)
            if runs and runs[-1][-1].segment.end.distance(piece.segment.start) < SAME_POINT:
                runs[-1].append(piece)
            else:
                runs.append([piece])
        along += segment.length
    return runs


def _round_the_start(runs: list[list[_Piece]], start: P2) -> list[list[_Piece]]:
    if len(runs) < 2 or runs[0][0].segment.start != start or runs[-1][-1].segment.end != start:
        return runs
    return [runs[-1] + runs[0], *runs[1:-1]]


def _joined(run: list[_Piece]) -> Path:
    vertices = [Vertex(*piece.segment.start, piece.segment.bulge) for piece in run]
    return Path((*vertices, Vertex(*run[-1].segment.end)), closed=False)


def _part(segment: Segment, low: float, high: float) -> Segment:
    if (low, high) == (0.0, 1.0):
        return segment
    start = segment.start if low == 0.0 else segment.point_at(low)
    end = segment.end if high == 1.0 else segment.point_at(high)
    return Segment(start, end, math.tan(math.radians(segment.sweep) * (high - low) / 4.0))


def _kept(segment: Segment, box: Box) -> Iterator[tuple[float, float]]:
    """Intervals of the segment's length (as fractions) that lie inside `box`."""
    cuts = sorted({0.0, 1.0, *(f for f in _crossings(segment, box) if 0.0 < f < 1.0)})
    start: float | None = None
    for low, high in itertools.pairwise(cuts):
        inside = box.contains(segment.point_at((low + high) / 2.0), SAME_POINT)
        if inside and start is None:
            start = low
        if not inside and start is not None:
            yield from _if_long(segment, start, low)
            start = None
    if start is not None:
        yield from _if_long(segment, start, 1.0)


def _if_long(segment: Segment, low: float, high: float) -> Iterator[tuple[float, float]]:
    if (high - low) * segment.length > 10.0 * SAME_POINT:
        yield low, high


def _crossings(segment: Segment, box: Box) -> Iterator[float]:
    """Fractions of the segment's length at which it meets the lines the box's sides lie on."""
    if not segment.is_arc:
        way = segment.end.minus(segment.start)
        yield from ((x - segment.start.x) / way.x for x in (box.x0, box.x1) if way.x)
        yield from ((y - segment.start.y) / way.y for y in (box.y0, box.y1) if way.y)
        return
    center, radius = segment.center, segment.radius
    for angle in _circle_angles(center, radius, box):
        turn = (angle - segment.start_angle) % 360.0
        yield (turn if segment.sweep > 0 else (turn - 360.0) % -360.0) / segment.sweep


def _circle_angles(center: P2, radius: float, box: Box) -> Iterator[float]:
    for x in (box.x0, box.x1):
        if abs(x - center.x) <= radius:
            half = math.degrees(math.acos((x - center.x) / radius))
            yield from (half, -half)
    for y in (box.y0, box.y1):
        if abs(y - center.y) <= radius:
            rise = math.degrees(math.asin((y - center.y) / radius))
            yield from (rise, 180.0 - rise)
