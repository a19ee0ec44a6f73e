"""Exact parallel offsets of closed contours of lines and arcs: for the width of a cut, and for a bushing's template.

Arcs stay arcs of a changed radius and sharp corners stay sharp: neighbouring curves are prolonged until they meet. The
offset is meant for distances small against the features; a contour that a distance would pinch off, swallow or
turn inside out is refused.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from generator.base.contours2d import Circle, Contour, Path, Vertex
from generator.base.errors import GeometryError
from generator.base.points2d import P2
from generator.base.segments2d import Segment

#: Two curves that pass each other within this (mm) touch: arcs and their tangent lines are drawn to rounding only.
_TOUCH = 1e-6
#: A prolonged corner may stand this many offsets away from the old one (a corner of about 6 degrees).
_LONGEST_MITRE = 20.0


def offset_contour(contour: Contour, distance: float) -> Contour:
    """Move a closed contour outward by `distance` mm everywhere (inward where it is negative).

    Returns a contour running the same way round. Raises GeometryError where the result would not be one simple contour.
    """
    if isinstance(contour, Circle):
        if contour.radius + distance <= 0:
            raise GeometryError(f"a circle of radius {contour.radius:g} mm has no offset of {distance:g} mm")
        return Circle(contour.center, contour.radius + distance)
    return offset_path(contour, distance)


def offset_path(contour: Path, distance: float) -> Path:
    """As `offset_contour`, for a contour of lines and arcs."""
    if distance == 0.0:
        return contour
    if not contour.closed:
        raise GeometryError("an open path has no inside, so no offset")
    # Right of the direction of travel is outside on a counter-clockwise contour, inside on a clockwise one.
    to_right = distance if contour.signed_area > 0 else -distance
    moved = _joined([_Curve.beside(seg, to_right) for seg in contour.segments()], abs(distance))
    _demand_simple(contour, moved, distance)
    return moved


@dataclass(frozen=True)
class _Curve:
    """An offset line (through `a` and `b`) or circle about `center`, waiting to be cut off by its neighbours."""

    source: Segment
    a: P2
    b: P2
    center: P2 | None = None
    radius: float = 0.0

    @staticmethod
    def beside(seg: Segment, to_right: float) -> _Curve:
        if not seg.is_arc:
            shift = seg.tangent_at(0.0).left().times(-to_right)
            return _Curve(seg, seg.start.plus(shift), seg.end.plus(shift))
        center = seg.center
        radius = seg.radius + (to_right if seg.bulge > 0 else -to_right)
        if radius <= 0.0:
            # The arc vanishes to its centre or beyond: a negative radius marks it for removal.
            return _Curve(seg, center, center, center, radius)
        grow = radius / seg.radius
        return _Curve(
            seg,
            center.plus(seg.start.minus(center).times(grow)),
            center.plus(seg.end.minus(center).times(grow)),
            center,
            radius,
        )

    def between(self, start: P2, end: P2) -> Segment | None:
        """This curve from `start` to `end`, or None where it would have to run backwards."""
        if self.center is None:
            ahead = end.minus(start).dot(self.source.tangent_at(0.0))
            return Segment(start, end) if ahead > _TOUCH else None
        sweep = _turn(start.minus(self.center), end.minus(self.center), self.source.bulge > 0)
        # Corners move by little, so an arc that suddenly goes nearly all the way round has been turned inside out.
        if abs(sweep - abs(self.source.sweep)) > 180.0:
            return None
        return Segment(start, end, math.copysign(math.tan(math.radians(sweep) / 4.0), self.source.bulge))


def _turn(start: P2, end: P2, counter_clockwise: bool) -> float:
    """Positive angle in degrees from direction `start` to `end`, going the given way round."""
    turn = math.degrees(math.atan2(start.cross(end), start.dot(end)))
    return (turn if counter_clockwise else -turn) % 360.0


def _joined(curves: list[_Curve], reach: float) -> Path:
    """Cut the curves off where neighbours meet, dropping those that the offset swallows."""
    curves = [curve for curve in curves if curve.center is None or curve.radius > _TOUCH]
    while len(curves) >= 2:
        corners = [_corner(curves[i - 1], curves[i], reach) for i in range(len(curves))]
        count = len(curves)
        pieces = [curves[i].between(corners[i], corners[(i + 1) % count]) for i in range(count)]
        swallowed = [i for i, piece in enumerate(pieces) if piece is None]
        if not swallowed:
            return Path(tuple(Vertex(*piece.start, piece.bulge) for piece in pieces if piece is not None))
        shortest = min(swallowed, key=lambda i: curves[i].source.length)
        del curves[shortest]
    raise GeometryError(f"nothing is left of a contour offset by {reach:g} mm")


def _corner(before: _Curve, after: _Curve, reach: float) -> P2:
    """Where two neighbouring offset curves meet."""
    if before.b.distance(after.a) < _TOUCH:
        # A line's end is exact, an arc's is not.
        return before.b if before.center is None else after.a
    old = before.source.end
    near = P2((before.b.x + after.a.x) / 2.0, (before.b.y + after.a.y) / 2.0)
    found = min(_meetings(before, after), key=near.distance, default=None)
    if found is None or (before.source.end == after.source.start and found.distance(old) > _LONGEST_MITRE * reach):
        raise GeometryError(f"the corner at ({old.x:.3f}, {old.y:.3f}) cannot be offset by {reach:g} mm and stay sharp")
    return found


def _meetings(one: _Curve, two: _Curve) -> Iterator[P2]:
    if one.center is None and two.center is None:
        yield from _line_line(one.a, one.b, two.a, two.b)
    elif one.center is None and two.center is not None:
        yield from line_circle(one.a, one.b, two.center, two.radius)
    elif two.center is None and one.center is not None:
        yield from line_circle(two.a, two.b, one.center, one.radius)
    elif one.center is not None and two.center is not None:
        yield from circle_circle(one.center, one.radius, two.center, two.radius)


def _line_line(a: P2, b: P2, c: P2, d: P2) -> Iterator[P2]:
    u, v = b.minus(a), d.minus(c)
    across = u.cross(v)
    if abs(across) > 1e-12 * u.length() * v.length():
        found = a.plus(u.times(c.minus(a).cross(v) / across))
        # On a level or upright line one coordinate is known without any rounding.
        yield P2(c.x if v.x == 0.0 else found.x, c.y if v.y == 0.0 else found.y)


def line_circle(a: P2, b: P2, center: P2, radius: float) -> Iterator[P2]:
    """Where the endless line through `a` and `b` meets a circle: none, one (touching) or two points."""
    along = b.minus(a).unit()
    foot = a.plus(along.times(center.minus(a).dot(along)))
    half = radius**2 - foot.distance(center) ** 2
    if abs(radius - foot.distance(center)) < _TOUCH:
        yield foot
    elif half > 0:
        yield foot.plus(along.times(math.sqrt(half)))
        yield foot.minus(along.times(math.sqrt(half)))


def circle_circle(c1: P2, r1: float, c2: P2, r2: float) -> Iterator[P2]:
    """Where two circles meet: none, one (touching) or two points; none for circles of one centre."""
    apart = c1.distance(c2)
    if apart < _TOUCH:
        return
    along = c2.minus(c1).unit()
    to_foot = (apart**2 + r1**2 - r2**2) / (2.0 * apart)
    foot = c1.plus(along.times(to_foot))
    half = r1**2 - to_foot**2
    if abs(r1 - abs(to_foot)) < _TOUCH:
        yield foot
    elif half > 0:
        side = along.left().times(math.sqrt(half))
        yield foot.plus(side)
        yield foot.minus(side)


def _demand_simple(before: Path, after: Path, distance: float) -> None:
    """Refuse an offset that turned inside out or that crosses or touches itself."""
    if before.signed_area * after.signed_area <= 0:
        raise GeometryError(f"an offset of {distance:g} mm turns the contour inside out: it is narrower than that")
    segs = list(after.segments())
    boxes = [seg.box().grown(_TOUCH) for seg in segs]
    count = len(segs)
    for i in range(count):
        for j in range(i + 2, count):
            neighbours = i == 0 and j == count - 1
            if not neighbours and boxes[i].overlaps(boxes[j]) and segments_meet(segs[i], segs[j]):
                where = segs[j].start
                raise GeometryError(
                    f"an offset of {distance:g} mm makes the contour cross itself near ({where.x:.3f}, {where.y:.3f})"
                )


def segments_meet(one: Segment, two: Segment) -> bool:
    """True where two lines or arcs cross or touch."""
    return any(_on(one, point) and _on(two, point) for point in _meetings(_bare(one), _bare(two)))


def _bare(seg: Segment) -> _Curve:
    if not seg.is_arc:
        return _Curve(seg, seg.start, seg.end)
    return _Curve(seg, seg.start, seg.end, seg.center, seg.radius)


def _on(seg: Segment, point: P2) -> bool:
    """True where a point of the segment's endless line or full circle lies on the segment itself."""
    if min(point.distance(seg.start), point.distance(seg.end)) < _TOUCH:
        return True
    if not seg.is_arc:
        along = seg.end.minus(seg.start)
        return 0.0 <= point.minus(seg.start).dot(along) <= along.dot(along)
    return _turn(seg.start.minus(seg.center), point.minus(seg.center), seg.bulge > 0) <= abs(seg.sweep)
