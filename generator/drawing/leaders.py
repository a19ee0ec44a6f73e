"""Ways to draw what is not a straight dimension: radii, diameters, angles, notes on leaders, ordinates."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from generator.base.annotation import Anchor, DimKind
from generator.base.contours2d import Circle, Path, Vertex
from generator.base.errors import LayoutError
from generator.base.points2d import P2, polar
from generator.base.segments2d import Segment
from generator.base.shapes2d import arc_about, polyline
from generator.drawing.dimension import (
    Candidate,
    CandidateGroup,
    DimensionStyle,
    Note,
    Ordinates,
    Placement,
    Show,
    Tip,
    View,
    angle_of,
    cheapest_first,
    mark_of,
    outward,
    readable,
    sheet_points,
)
from generator.drawing.font import text_width
from generator.drawing.sheet import DimensionMark, Fill, Item, Label, Level, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import arrowhead

#: Lengths that a leader tries, mm.
_LEADER_LENGTHS = (6.0, 9.0, 13.0, 18.0, 25.0, 34.0, 45.0, 60.0, 80.0)
#: Turns from its own direction that a leader tries, degrees.
_TURNS = (0.0, 15.0, -15.0, 30.0, -30.0, 50.0, -50.0, 75.0, -75.0, 110.0, -110.0, 145.0, -145.0, 180.0)
#: Radii that an angle's dimension arc tries, mm.
_ARC_RADII = (14.0, 20.0, 28.0, 38.0, 50.0, 65.0, 85.0, 110.0, 140.0, 180.0, 230.0)
#: How far a shelf runs past its words at either end, mm.
_SHELF_PAD = 0.5
#: Radius of a leader's dot, mm.
_DOT = 0.6


#: Tells whether a line is already drawn through a point of the sheet.
Drawn = Callable[[P2], bool]


class _Pose(NamedTuple):
    """How a leader lies: its length in mm, its turn in degrees, outwards (1) or inwards (−1), its shelf's side."""

    length: float
    turn: float
    sign: float
    natural: bool


def _poses(per_degree: float, signs: tuple[float, ...]) -> tuple[tuple[float, _Pose], ...]:
    """All poses with their costs, cheapest first; a turn costs `per_degree`."""
    poses = (
        _Pose(length, turn, sign, natural)
        for length in _LEADER_LENGTHS
        for turn in _TURNS
        for sign in signs
        for natural in (True, False)
    )

    def cost(pose: _Pose) -> float:
        aside = (0.3 if pose.sign < 0 else 0.0) + (0.0 if pose.natural else 0.7)
        return 0.08 * pose.length + per_degree * abs(pose.turn) + aside

    return tuple(sorted(((cost(pose), pose) for pose in poses), key=lambda found: found[0]))


#: Ways to lay a radius's leader, from outside or inside its arc, with their costs.
_RADIUS_POSES = _poses(0.008, (1.0, -1.0))
#: Ways to lay a diameter's leader, from outside its circle, with their costs.
_DIAMETER_POSES = _poses(0.008, (1.0,))
#: Ways to lay a note's leader, with their costs: a turn costs half of what it costs a diameter's.
_NOTE_POSES = _poses(0.004, (1.0,))


def leader_placements(show: Show, view: View, style: DimensionStyle, drawn: Drawn) -> Iterator[Candidate]:
    """A radius or diameter on a leader in line with the centre, cheapest first.

    It may turn about the centre as far as the curve reaches: a diameter's all round, a radius's where its arc is drawn.
    """
    centre, on_curve = sheet_points(show.dimension, view)
    radial = on_curve.minus(centre)
    radius, first = radial.length(), angle_of(radial)
    round_about = show.dimension.kind is DimKind.DIAMETER

    @cache
    def on_arc(turn: float) -> bool:
        return not turn or round_about or all(drawn(p) for p in _beside(centre, radius, first + turn))

    for cost, pose in _DIAMETER_POSES if round_about else _RADIUS_POSES:
        if (pose.sign < 0 and pose.length > radius - 1.0) or not on_arc(pose.turn):
            continue
        out = polar(first + pose.turn)
        leader = _Leader(show, view, (centre, on_curve), centre.plus(out.times(radius)), out.times(pose.sign), style)
        yield leader.option(pose, cost)


def _beside(centre: P2, radius: float, angle: float) -> list[P2]:
    """A point of the circle and two close by: a line through all three is the arc, not one that crosses it."""
    nudge = math.degrees(1.0 / radius)
    return [centre.plus(polar(angle + turn, radius)) for turn in (-nudge, 0.0, nudge)]


def note_placements(note: Note, view: View, style: DimensionStyle) -> Iterator[Candidate]:
    """Words at the end of a leader to the note's target or the circle about it, in any direction, cheapest first."""
    target, radius = view.to_sheet.apply(note.target), note.radius * view.scale
    for cost, pose in _NOTE_POSES:
        out = polar(45.0 + pose.turn)
        tip = target.plus(out.times(radius))
        yield _Leader(note, view, (tip,), tip, out, style).option(pose, cost)


class _Leader(NamedTuple):
    """The end at `tip`, a leg along the unit vector `out`, text on a level shelf to one side of the knee."""

    request: Show | Note
    view: View
    points: tuple[P2, ...]
    tip: P2
    out: P2
    style: DimensionStyle

    def option(self, pose: _Pose, cost: float) -> Candidate:
        side = 1.0 if (self.out.x >= 0) == pose.natural else -1.0
        return Candidate(cost, lambda: self._way(pose.length, side, cost))

    def _way(self, length: float, side: float, cost: float) -> Placement:
        tip, style = self.tip, self.style
        knee = tip.plus(self.out.times(length))
        width = text_width(self.request.text, style.text) + 2.0 * _SHELF_PAD
        end = knee.plus(P2(side * width, 0.0))
        base = P2(min(knee.x, end.x) + _SHELF_PAD, knee.y + style.text_gap)
        label = Label(self.request.text, base, style.text, Role.DIMENSION)
        lines = ((tip, knee), (knee, end))
        return Placement(label, lines, (), None, cost, lambda: self._mark(knee, end, label), (knee, end))

    def _mark(self, knee: P2, end: P2, label: Label) -> DimensionMark:
        request = self.request
        items: list[Item] = [
            Stroke(polyline([self.tip, knee, end]), Role.DIMENSION, PENS[Role.DIMENSION]),
            _leader_end(request, self.tip, self.out, self.style),
        ]
        if isinstance(request, Show):
            return mark_of(request, self.view, self.points, knee, label, items)
        ink = (*items, label)
        return DimensionMark("note", None, 0.0, request.text, self.points, knee, label, self.view.scale, ink)


def _leader_end(request: Show | Note, tip: P2, out: P2, style: DimensionStyle) -> Item:
    if isinstance(request, Note) and request.tip is Tip.DOT:
        return Fill(Circle(tip, _DOT).as_path(), Role.DIMENSION)
    return arrowhead(tip, out.times(-1.0), style.arrow)


def angle_placements(show: Show, view: View, style: DimensionStyle, drawn: Drawn) -> Iterator[Candidate]:
    """An angle as an arc about its apex, cheapest first; where the legs are close the arrows come from outside.

    An arc that meets both legs where nothing shows them is unwelcome: beyond the measured points it is better read.
    """
    apex, p, q = sheet_points(show.dimension, view)
    first, second = angle_of(p.minus(apex)), angle_of(q.minus(apex))
    sweep = (second - first) % 360.0
    if sweep > 180.0:
        p, q, first, sweep = q, p, second, 360.0 - sweep

    def bundle(radius: float) -> CandidateGroup:
        legs = [leg for point in (p, q) if (leg := _leg(apex, point, radius, style, drawn))]
        bare = sum(1 for point in (p, q) if apex.distance(point) > radius and not drawn(_on_leg(apex, point, radius)))
        cost = 0.03 * radius + 4.0 * bare
        frame = _AngleFrame(show, view, (apex, p, q), first, sweep, radius, tuple(legs))
        return CandidateGroup(cost, lambda: _angle_options(frame, style, cost))

    return cheapest_first(bundle(radius) for radius in _ARC_RADII)


def _angle_options(frame: _AngleFrame, style: DimensionStyle, cost: float) -> Iterator[Candidate]:
    if math.radians(frame.sweep) * frame.radius >= 3.0 * style.arrow + 1.0:
        yield from _wide_angle(frame, style, cost)
    yield from _narrow_angle(frame, style, cost + 3.0)


@dataclass(frozen=True)
class _AngleFrame:
    """What one angle's placements at one radius share: apex and measured points, first leg, sweep, witness lines."""

    show: Show
    view: View
    points: tuple[P2, P2, P2]
    first: float
    sweep: float
    radius: float
    legs: tuple[tuple[P2, P2], ...]

    def option(self, arc: Segment, heads: Sequence[Item], label: Label, cost: float) -> Candidate:
        return Candidate(cost, lambda: self._way(arc, heads, label, cost))

    def _way(self, arc: Segment, heads: Sequence[Item], label: Label, cost: float) -> Placement:
        chords = [arc.start, *arc.flatten(0.5)]
        return Placement(
            label, tuple(itertools.pairwise(chords)), self.legs, None, cost, lambda: self._mark(arc, heads, label)
        )

    def _mark(self, arc: Segment, heads: Sequence[Item], label: Label) -> DimensionMark:
        path = Path((Vertex(*arc.start, arc.bulge), Vertex(*arc.end)), closed=False)
        items: list[Item] = [Stroke(path, Role.DIMENSION, PENS[Role.DIMENSION]), *heads]
        return mark_of(self.show, self.view, self.points, arc.point_at(0.5), label, items)


def _wide_angle(frame: _AngleFrame, style: DimensionStyle, cost: float) -> Iterator[Candidate]:
    """Arc between the legs, arrows inside, level text outside or inside the arc at its middle."""
    apex, first, sweep, radius = frame.points[0], frame.first, frame.sweep, frame.radius
    arc = arc_about(apex, radius, first, sweep)
    lean = math.degrees(style.arrow / radius) / 2.0
    heads = [
        arrowhead(arc.start, polar(first + lean - 90.0), style.arrow),
        arrowhead(arc.end, polar(first + sweep - lean + 90.0), style.arrow),
    ]
    for share, sign in ((0.5, 1.0), (0.5, -1.0), (0.3, 1.0), (0.7, 1.0)):
        out = polar(first + sweep * share)
        label = _level_label(frame.show.text, apex.plus(out.times(radius)), out.times(sign), style)
        yield frame.option(arc, heads, label, cost + 0.3 * (sign < 0))


def _narrow_angle(frame: _AngleFrame, style: DimensionStyle, cost: float) -> Iterator[Candidate]:
    """Arc run on past both legs, arrows from outside, level text beyond one end."""
    apex, first, sweep, radius = frame.points[0], frame.first, frame.sweep, frame.radius
    stub = math.degrees((2.0 * style.arrow + 2.0) / radius)
    arc = arc_about(apex, radius, first - stub, sweep + 2.0 * stub)
    lean = math.degrees(style.arrow / radius) / 2.0
    heads = [
        arrowhead(apex.plus(polar(first, radius)), polar(first - lean + 90.0), style.arrow),
        arrowhead(apex.plus(polar(first + sweep, radius)), polar(first + sweep + lean - 90.0), style.arrow),
    ]
    for end, way in ((arc.end, polar(first + sweep + stub + 90.0)), (arc.start, polar(first - stub - 90.0))):
        yield frame.option(arc, heads, _level_label(frame.show.text, end, way, style), cost)


def _level_label(text: str, start: P2, way: P2, style: DimensionStyle) -> Label:
    """Level text beyond `start` along the unit vector `way`, just clear of it."""
    half = text_width(text, style.text) / 2.0
    clear = abs(way.x) * (half + 1.0) + abs(way.y) * (style.text / 2.0 + style.text_gap + 0.5)
    at = start.plus(way.times(clear))
    return Label(text, at, style.text, Role.DIMENSION, anchor=Anchor.MIDDLE, level=Level.MIDDLE)


def _on_leg(apex: P2, point: P2, radius: float) -> P2:
    return apex.plus(point.minus(apex).unit().times(radius))


def _leg(apex: P2, point: P2, radius: float, style: DimensionStyle, drawn: Drawn) -> tuple[P2, P2] | None:
    """The witness line of a leg: from its measured point outwards, or from the apex where the arc lies nearer.

    None where the arc meets a line that is drawn already.
    """
    out = point.minus(apex).unit()
    if apex.distance(point) >= radius and drawn(_on_leg(apex, point, radius)):
        return None
    foot = point if apex.distance(point) < radius else apex
    return foot.plus(out.times(style.foot_gap)), apex.plus(out.times(radius + style.overrun))


def ordinate_placements(request: Ordinates, view: View, style: DimensionStyle) -> Iterator[tuple[Placement, ...]]:
    """The whole set at growing distance from the view: one placement a point, spread where they stand too close."""
    out = outward(request.side, view)
    if out is None:
        raise LayoutError(f"ordinates {request.name}: they need a side of the view")
    along = P2(abs(out.y), abs(out.x))
    datum = view.to_sheet.apply(request.datum)
    feet = [view.to_sheet.apply(p) for p in request.points]
    order = sorted(range(len(feet)), key=lambda i: feet[i].dot(along))
    wanted = [feet[i].dot(along) for i in order]
    seats = spread(wanted, 1.7 * style.text)
    box = view.box
    edge = max(P2(x, y).dot(out) for x in (box.x0, box.x1) for y in (box.y0, box.y1))
    for level in range(6):
        start = edge + style.first * 0.5 + level * style.spacing
        placements = []
        for i, seat in zip(order, seats, strict=True):
            placements.append(_ordinate(request, i, view, feet[i], datum, (along, out), seat, start, style))
        yield tuple(placements)


def _ordinate(
    request: Ordinates,
    i: int,
    view: View,
    foot: P2,
    datum: P2,
    axes: tuple[P2, P2],
    seat: float,
    start: float,
    style: DimensionStyle,
) -> Placement:
    """Line out of the foot, a jog to its seat, the number at its end in the line's own direction."""
    along, out = axes
    knee1 = along.times(foot.dot(along)).plus(out.times(start))
    knee2 = along.times(seat).plus(out.times(start + 4.0))
    end = along.times(seat).plus(out.times(start + 7.0))
    run = [foot.plus(out.times(style.foot_gap)), knee1, knee2, end]
    direction = readable(out)
    anchor = Anchor.LEFT if direction.dot(out) > 0 else Anchor.RIGHT
    at = end.plus(out.times(1.0))
    label = Label(request.texts[i], at, style.text, Role.DIMENSION, angle_of(direction), anchor, Level.MIDDLE)
    stroke = Stroke(polyline(run), Role.DIMENSION, PENS[Role.DIMENSION])
    value = foot.minus(datum).dot(along) / view.scale
    mark = DimensionMark(
        f"{request.name}[{i}]", None, value, request.texts[i], (datum, foot), end, label, view.scale, (stroke, label)
    )
    return Placement(label, tuple(itertools.pairwise(run)), (), None, 0.0, lambda: mark)


def spread(wanted: list[float], least: float) -> list[float]:
    """Sorted seats at least `least` apart, as near as can be to the sorted `wanted` ones.

    Seats that push each other share the push: each cluster is centred on what its members wanted.
    """
    clusters: list[list[float]] = []  # each: [sum of (wanted − own offset), count]
    for want in wanted:
        clusters.append([want, 1.0])
        while len(clusters) > 1 and _start(clusters[-2]) + clusters[-2][1] * least > _start(clusters[-1]):
            total, count = clusters.pop()
            clusters[-1][0] += total - clusters[-1][1] * least * count
            clusters[-1][1] += count
    return [_start(cluster) + i * least for cluster in clusters for i in range(int(cluster[1]))]


def _start(cluster: list[float]) -> float:
    return cluster[0] / cluster[1]
