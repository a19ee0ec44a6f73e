"""Ways to draw what is not a straight dimension: radii, diameters, angles, notes on leaders, ordinates."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from generator.drawing.dimension import (
    DimensionStyle,
    Note,
    Ordinates,
    Show,
    View,
    Way,
    angle_of,
    mark_of,
    outward,
    readable,
    sheet_points,
)
from generator.drawing.sheet import DimensionMark, Item, Label, Level, Measure, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import arrowhead, line
from generator.errors import LayoutError
from generator.geometry2d import P2, Path, Segment, Vertex, polar, polyline
from generator.parts.base import Anchor, DimKind

_LEADER_LENGTHS = (6.0, 9.0, 13.0, 18.0, 25.0, 34.0, 45.0, 60.0, 80.0)
_TURNS = (0.0, 15.0, -15.0, 30.0, -30.0, 50.0, -50.0, 75.0, -75.0, 110.0, -110.0, 145.0, -145.0, 180.0)
_SHELF_PAD = 0.5


def leader_ways(show: Show, view: View, style: DimensionStyle) -> Iterator[Way]:
    """A radius or diameter on a leader that points at the centre; a diameter's leader may stand anywhere around."""
    centre, on_curve = sheet_points(show.dimension, view)
    radial = on_curve.minus(centre)
    radius, first = radial.length(), angle_of(radial)
    round_about = show.dimension.kind is DimKind.DIAMETER
    for length in _LEADER_LENGTHS:
        for turn in _TURNS if round_about else (0.0,):
            out = polar(first + turn)
            tip = centre.plus(out.times(radius))
            for sign in (1.0, -1.0):
                if sign < 0 and (round_about or length > radius - 1.0):
                    continue
                cost = 0.08 * length + 0.008 * abs(turn) + (0.3 if sign < 0 else 0.0)
                yield from _leader(show, view, (centre, on_curve), tip, out.times(sign), length, style, cost)


def note_ways(note: Note, view: View, style: DimensionStyle) -> Iterator[Way]:
    """Words at the end of a leader to the note's target, in any direction."""
    tip = view.to_sheet.apply(note.target)
    for length in _LEADER_LENGTHS:
        for turn in _TURNS:
            out = polar(45.0 + turn)
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
) -> Iterator[Way]:
    """Arrow at `tip`, knee `length` mm along `out`, text on a level shelf to either side of the knee."""
    knee = tip.plus(out.times(length))
    width = Label(request.text, knee, style.text).width + 2.0 * _SHELF_PAD
    natural = 1.0 if out.x >= 0 else -1.0
    for side in (natural, -natural):
        end = knee.plus(P2(side * width, 0.0))
        base = P2(min(knee.x, end.x) + _SHELF_PAD, knee.y + style.text_gap)
        label = Label(request.text, base, style.text, Role.DIMENSION)
        items: list[Item] = [
            Stroke(polyline([tip, knee, end]), Role.DIMENSION, PENS[Role.DIMENSION]),
            arrowhead(tip, out.times(-1.0), style.arrow),
        ]
        extra = 0.0 if side == natural else 0.7
        mark = _leader_mark(request, view, points, knee, label, items)
        yield Way(mark, ((tip, knee), (knee, end)), None, cost + extra)


def _leader_mark(
    request: Show | Note, view: View, points: tuple[P2, ...], knee: P2, label: Label, items: list[Item]
) -> DimensionMark:
    if isinstance(request, Show):
        return mark_of(request, view, points, knee, label, items)
    return DimensionMark(
        "note", Measure.NOTE, 0.0, request.text, points, knee, label, view.scale, (*items, label)
    )


def angle_ways(show: Show, view: View, style: DimensionStyle) -> Iterator[Way]:
    """An angle as an arc about its apex, near first; where the legs are too close the arrows come from outside."""
    apex, p, q = sheet_points(show.dimension, view)
    first, second = angle_of(p.minus(apex)), angle_of(q.minus(apex))
    sweep = (second - first) % 360.0
    if sweep > 180.0:
        p, q, first, sweep = q, p, second, 360.0 - sweep
    for radius in (14.0, 20.0, 28.0, 38.0, 50.0, 65.0, 85.0, 110.0, 140.0, 180.0, 230.0):
        cost = 0.03 * radius
        room = math.radians(sweep) * radius
        if room >= 3.0 * style.arrow + 1.0:
            yield from _wide_angle(show, view, (apex, p, q), first, sweep, radius, style, cost)
        yield from _narrow_angle(show, view, (apex, p, q), first, sweep, radius, style, cost + 3.0)


def _wide_angle(
    show: Show,
    view: View,
    points: tuple[P2, P2, P2],
    first: float,
    sweep: float,
    radius: float,
    style: DimensionStyle,
    cost: float,
) -> Iterator[Way]:
    """Arc between the legs, arrows inside, level text outside or inside the arc at its middle."""
    apex = points[0]
    arc = _arc(apex, radius, first, sweep)
    lean = math.degrees(style.arrow / radius) / 2.0
    heads = [
        arrowhead(arc.start, polar(first + lean - 90.0), style.arrow),
        arrowhead(arc.end, polar(first + sweep - lean + 90.0), style.arrow),
    ]
    half = Label(show.text, apex, style.text).width / 2.0
    for share, sign in ((0.5, 1.0), (0.5, -1.0), (0.3, 1.0), (0.7, 1.0)):
        out = polar(first + sweep * share)
        clear = abs(out.x) * (half + 1.0) + abs(out.y) * (style.text / 2.0 + style.text_gap + 0.5)
        at = apex.plus(out.times(radius + sign * clear))
        label = Label(show.text, at, style.text, Role.DIMENSION, anchor=Anchor.MIDDLE, level=Level.MIDDLE)
        yield _angle_way(show, view, points, arc, heads, label, radius, style, cost + 0.3 * (sign < 0))


def _narrow_angle(
    show: Show,
    view: View,
    points: tuple[P2, P2, P2],
    first: float,
    sweep: float,
    radius: float,
    style: DimensionStyle,
    cost: float,
) -> Iterator[Way]:
    """Arc run on past both legs, arrows from outside, level text beyond one end."""
    apex = points[0]
    stub = math.degrees((2.0 * style.arrow + 2.0) / radius)
    arc = _arc(apex, radius, first - stub, sweep + 2.0 * stub)
    lean = math.degrees(style.arrow / radius) / 2.0
    low, high = apex.plus(polar(first, radius)), apex.plus(polar(first + sweep, radius))
    heads = [
        arrowhead(low, polar(first - lean + 90.0), style.arrow),
        arrowhead(high, polar(first + sweep + lean - 90.0), style.arrow),
    ]
    half = Label(show.text, apex, style.text).width / 2.0
    for end, way in ((arc.end, polar(first + sweep + stub + 90.0)), (arc.start, polar(first - stub - 90.0))):
        clear = abs(way.x) * (half + 1.0) + abs(way.y) * (style.text / 2.0 + style.text_gap + 0.5)
        at = end.plus(way.times(clear))
        label = Label(show.text, at, style.text, Role.DIMENSION, anchor=Anchor.MIDDLE, level=Level.MIDDLE)
        yield _angle_way(show, view, points, arc, heads, label, radius, style, cost)


def _angle_way(
    show: Show,
    view: View,
    points: tuple[P2, P2, P2],
    arc: Segment,
    heads: Sequence[Item],
    label: Label,
    radius: float,
    style: DimensionStyle,
    cost: float,
) -> Way:
    apex = points[0]
    path = Path((Vertex(*arc.start, arc.bulge), Vertex(*arc.end)), closed=False)
    stroke = Stroke(path, Role.DIMENSION, PENS[Role.DIMENSION])
    legs = [leg for point in points[1:] if (leg := _leg(apex, point, radius, style))]
    items: list[Item] = [stroke, *heads, *(line(a, b, Role.DIMENSION) for a, b in legs)]
    chords = [arc.start, *arc.flatten(0.5)]
    lines = (*itertools.pairwise(chords), *legs)
    mark = mark_of(show, view, points, arc.point_at(0.5), label, items)
    return Way(mark, lines, None, cost)


def _leg(apex: P2, point: P2, radius: float, style: DimensionStyle) -> tuple[P2, P2] | None:
    """The extension of a leg from its measured point to just past the arc; None where the arc lies on the leg."""
    reach, out = apex.distance(point), point.minus(apex).unit()
    if reach >= radius:
        return None
    return point.plus(out.times(style.foot_gap)), apex.plus(out.times(radius + style.overrun))


def _arc(centre: P2, radius: float, first: float, sweep: float) -> Segment:
    start, end = centre.plus(polar(first, radius)), centre.plus(polar(first + sweep, radius))
    return Segment(start, end, math.tan(math.radians(sweep) / 4.0))


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
    return Way(mark, tuple(itertools.pairwise(run)), None, 0.0)


def spread(wanted: list[float], least: float) -> list[float]:
    """Sorted seats at least `least` apart, as near as can be to the sorted `wanted` ones.

    Seats that push each other share the push: each cluster is centred on what its members wanted.
    """
    clusters: list[list[float]] = []        # each: [sum of (wanted − own offset), count]
    for want in wanted:
        clusters.append([want, 1.0])
        while len(clusters) > 1 and _start(clusters[-2]) + clusters[-2][1] * least > _start(clusters[-1]):
            total, count = clusters.pop()
            clusters[-1][0] += total - clusters[-1][1] * least * count
            clusters[-1][1] += count
    return [_start(cluster) + i * least for cluster in clusters for i in range(int(cluster[1]))]


def _start(cluster: list[float]) -> float:
    return cluster[0] / cluster[1]
