"""Ways to draw what is not a straight dimension: radii, diameters, angles, notes on leaders, ordinates."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from generator.drawing.dimension import (
    DimensionStyle,
    Note,
    Option,
    Ordinates,
    Show,
    Tip,
    View,
    Way,
    angle_of,
    mark_of,
    outward,
    readable,
    sheet_points,
)
from generator.drawing.sheet import DimensionMark, Fill, Item, Label, Level, Measure, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import arrowhead
from generator.errors import LayoutError
from generator.geometry2d import P2, Circle, Path, Segment, Vertex, polar
from generator.parts.base import Anchor, DimKind
from generator.shapes2d import arc_about, polyline

_LEADER_LENGTHS = (6.0, 9.0, 13.0, 18.0, 25.0, 34.0, 45.0, 60.0, 80.0)
_TURNS = (0.0, 15.0, -15.0, 30.0, -30.0, 50.0, -50.0, 75.0, -75.0, 110.0, -110.0, 145.0, -145.0, 180.0)
_SHELF_PAD = 0.5
#: Radius of a leader's dot, mm.
_DOT = 0.6


#: Tells whether a line is already drawn through a point of the sheet.
Drawn = Callable[[P2], bool]


def leader_ways(show: Show, view: View, style: DimensionStyle, drawn: Drawn) -> Iterator[Option]:
    """A radius or diameter on a leader in line with the centre.

    It may turn about the centre as far as the curve reaches: a diameter's all round, a radius's where its arc is drawn.
    """
    centre, on_curve = sheet_points(show.dimension, view)
    radial = on_curve.minus(centre)
    radius, first = radial.length(), angle_of(radial)
    round_about = show.dimension.kind is DimKind.DIAMETER
    for length in _LEADER_LENGTHS:
        for turn in _TURNS:
            out = polar(first + turn)
            tip = centre.plus(out.times(radius))
            if turn and not round_about and not all(drawn(p) for p in _beside(centre, radius, first + turn)):
                continue
            for sign in (1.0, -1.0):
                if sign < 0 and (round_about or length > radius - 1.0):
                    continue
                cost = 0.08 * length + 0.008 * abs(turn) + (0.3 if sign < 0 else 0.0)
                yield from _leader(show, view, (centre, on_curve), tip, out.times(sign), length, style, cost)


def _beside(centre: P2, radius: float, angle: float) -> list[P2]:
    """A point of the circle and two close by: a line through all three is the arc, not one that crosses it."""
    nudge = math.degrees(1.0 / radius)
    return [centre.plus(polar(angle + turn, radius)) for turn in (-nudge, 0.0, nudge)]


def note_ways(note: Note, view: View, style: DimensionStyle) -> Iterator[Option]:
    """Words at the end of a leader to the note's target or the circle about it, in any direction."""
    target, radius = view.to_sheet.apply(note.target), note.radius * view.scale
    for length in _LEADER_LENGTHS:
        for turn in _TURNS:
            out = polar(45.0 + turn)
            tip = target.plus(out.times(radius))
            cost = 0.08 * length + 0.004 * abs(turn)
            yield from _leader(note, view, (tip,), tip, out, length, style, cost)


def _leader(
    request: Show | Note,
    view: View,
    points: tuple[P2, ...],
    tip: P2,
    out: P2,
    length: float,
    style: DimensionStyle,
    cost: float,
) -> Iterator[Option]:
    """The end at `tip`, knee `length` mm along `out`, text on a level shelf to either side of the knee."""
    natural = 1.0 if out.x >= 0 else -1.0

    def way(side: float, cost: float) -> Option:
        return Option(cost, lambda: _shelf_way(request, view, points, tip, out, length, side, style, cost))

    yield way(natural, cost)
    yield way(-natural, cost + 0.7)


def _shelf_way(
    request: Show | Note,
    view: View,
    points: tuple[P2, ...],
    tip: P2,
    out: P2,
    length: float,
    side: float,
    style: DimensionStyle,
    cost: float,
) -> Way:
    knee = tip.plus(out.times(length))
    width = Label(request.text, knee, style.text).width + 2.0 * _SHELF_PAD
    end = knee.plus(P2(side * width, 0.0))
    base = P2(min(knee.x, end.x) + _SHELF_PAD, knee.y + style.text_gap)
    label = Label(request.text, base, style.text, Role.DIMENSION)
    items: list[Item] = [
        Stroke(polyline([tip, knee, end]), Role.DIMENSION, PENS[Role.DIMENSION]),
        _leader_end(request, tip, out, style),
    ]
    mark = _leader_mark(request, view, points, knee, label, items)
    return Way(mark, ((tip, knee), (knee, end)), (), None, cost, (knee, end))


def _leader_end(request: Show | Note, tip: P2, out: P2, style: DimensionStyle) -> Item:
    if isinstance(request, Note) and request.tip is Tip.DOT:
        return Fill(Circle(tip, _DOT).as_path(), Role.DIMENSION)
    return arrowhead(tip, out.times(-1.0), style.arrow)


def _leader_mark(
    request: Show | Note, view: View, points: tuple[P2, ...], knee: P2, label: Label, items: list[Item]
) -> DimensionMark:
    if isinstance(request, Show):
        return mark_of(request, view, points, knee, label, items)
    return DimensionMark("note", Measure.NOTE, 0.0, request.text, points, knee, label, view.scale, (*items, label))


def angle_ways(show: Show, view: View, style: DimensionStyle, drawn: Drawn) -> Iterator[Option]:
    """An angle as an arc about its apex, near first; where the legs are too close the arrows come from outside.

    An arc that meets both legs where nothing shows them is unwelcome: beyond the measured points it is better read.
    """
    apex, p, q = sheet_points(show.dimension, view)
    first, second = angle_of(p.minus(apex)), angle_of(q.minus(apex))
    sweep = (second - first) % 360.0
    if sweep > 180.0:
        p, q, first, sweep = q, p, second, 360.0 - sweep
    for radius in (14.0, 20.0, 28.0, 38.0, 50.0, 65.0, 85.0, 110.0, 140.0, 180.0, 230.0):
        legs = [leg for point in (p, q) if (leg := _leg(apex, point, radius, style, drawn))]
        bare = sum(1 for point in (p, q) if apex.distance(point) > radius and not drawn(_on_leg(apex, point, radius)))
        cost = 0.03 * radius + 4.0 * bare
        frame = _AngleFrame(show, view, (apex, p, q), first, sweep, radius, tuple(legs))
        if math.radians(sweep) * radius >= 3.0 * style.arrow + 1.0:
            yield from _wide_angle(frame, style, cost)
        yield from _narrow_angle(frame, style, cost + 3.0)


@dataclass(frozen=True)
class _AngleFrame:
    """What all ways of one angle at one radius share: apex and measured points, first leg, sweep, witness lines."""

    show: Show
    view: View
    points: tuple[P2, P2, P2]
    first: float
    sweep: float
    radius: float
    legs: tuple[tuple[P2, P2], ...]

    def option(self, arc: Segment, heads: Sequence[Item], label: Label, cost: float) -> Option:
        return Option(cost, lambda: self._way(arc, heads, label, cost))

    def _way(self, arc: Segment, heads: Sequence[Item], label: Label, cost: float) -> Way:
        path = Path((Vertex(*arc.start, arc.bulge), Vertex(*arc.end)), closed=False)
        stroke = Stroke(path, Role.DIMENSION, PENS[Role.DIMENSION])
        items: list[Item] = [stroke, *heads]
        chords = [arc.start, *arc.flatten(0.5)]
        mark = mark_of(self.show, self.view, self.points, arc.point_at(0.5), label, items)
        return Way(mark, tuple(itertools.pairwise(chords)), self.legs, None, cost)


def _wide_angle(frame: _AngleFrame, style: DimensionStyle, cost: float) -> Iterator[Option]:
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


def _narrow_angle(frame: _AngleFrame, style: DimensionStyle, cost: float) -> Iterator[Option]:
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
    half = Label(text, start, style.text).width / 2.0
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


def ordinate_ways(request: Ordinates, view: View, style: DimensionStyle) -> Iterator[tuple[Way, ...]]:
    """The whole set at growing distance from the view: one Way a point, spread where they stand too close."""
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
        ways = []
        for i, seat in zip(order, seats, strict=True):
            ways.append(_ordinate(request, i, view, feet[i], datum, (along, out), seat, start, style))
        yield tuple(ways)


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
) -> Way:
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
    measure = Measure.ORDINATE_X if along.x else Measure.ORDINATE_Y
    value = foot.minus(datum).dot(along) / view.scale
    mark = DimensionMark(
        f"{request.name}[{i}]", measure, value, request.texts[i], (datum, foot), end, label, view.scale, (stroke, label)
    )
    return Way(mark, tuple(itertools.pairwise(run)), (), None, 0.0)


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
