"""The setup sheet's pictures: those drawn from the job's own numbers are here, the rest are `sketches`."""

from __future__ import annotations

import math
from collections.abc import Mapping

from generator.bench.canvas import DASHED, GONE, JIG, WIDE, WOOD, Canvas, fitted
from generator.bench.sketches import depth_fixed, depth_plunge, gap_reading, shoulder_taper, sideways_taper, tenon_end
from generator.drawing.sheet import Sheet
from generator.drawing.style import LineType, Pen, Role
from generator.geometry2d import P2, Box, Circle, Transform
from generator.model.router import RouterKind
from generator.parts.base import Anchor
from generator.parts.layout import Layout
from generator.shapes2d import rectangle, rounded_polygon
from generator.solution import Solution

_BOLD = Pen(0.7)
#: Plate drawn round an opening, mm of the model.
_BORDER = 14.0
#: A plate from above: width, most height, room for its caption, mm.
FEED_WIDTH, MOST_PLAN, _UNDER = 72.0, 35.0, 5.0


def setup_pictures(solution: Solution, layout: Layout, *, spaced: bool) -> Mapping[str, Sheet]:
    """Every picture of the sheet by the name its template calls it; `spaced` as `gap_reading` takes it."""
    plunge = solution.job.router.kind is RouterKind.PLUNGE
    pictures = (
        feed_mortise(solution),
        feed_tenon(solution),
        work_in_jig(solution, layout, body=True),
        work_in_jig(solution, layout, body=False),
        depth_plunge() if plunge else depth_fixed(),
        gap_reading(spaced=spaced),
        shoulder_taper(raise_gap=True),
        shoulder_taper(raise_gap=False),
        sideways_taper(),
        tenon_end(),
    )
    return {picture.name: picture for picture in pictures}


# --- feed ----------------------------------------------------------------------------------------------------------


def feed_mortise(solution: Solution) -> Sheet:
    """The mortise opening from above: in at the open end, clockwise along its edge."""
    r = solution.routing
    half, start, end = r.opening_width / 2.0, r.opening_start, r.opening_length
    model = Box(start, -half, end, half).grown(_BORDER)
    canvas = _plan("feed_mortise", "Feed in the mortise opening", model)
    canvas.area(rectangle(*model), JIG)
    corner = min(r.opening_corner_radius, half)
    canvas.area(rounded_polygon(_corners(start, end, half), [corner] * 4), 1.0)
    _bed_edge(canvas, model)
    ring = r.bushing_od / 2.0
    at = P2(start + ring + 1.0, half - ring)
    _ring(canvas, at, ring, r.bit_diameter / 2.0)
    lane = half - min(half * 0.4, 6.0)
    near, far = at.x + ring + 3.0, end - max(corner, 4.0)
    _feed(canvas, [P2(near, lane), P2(far, lane)])
    _feed(canvas, [P2(far, -lane), P2(near, -lane)])
    canvas.words("clockwise, seen from above", P2(FEED_WIDTH / 2.0, 2.6), Anchor.MIDDLE)
    return canvas.sheet()


def feed_tenon(solution: Solution) -> Sheet:
    """The tenon window from above: counter-clockwise round the tongue."""
    r = solution.routing
    half, start, end = r.window_half_width, r.opening_start, r.window_end
    model = Box(start, -half, end, half).grown(_BORDER)
    canvas = _plan("feed_tenon", "Feed round the tongue", model)
    canvas.area(rectangle(*model), JIG)
    canvas.area(rounded_polygon(_corners(start, end, half), [r.bushing_od / 2.0] * 4), 1.0)
    tongue, tip = r.tongue_width / 2.0, r.tongue_length
    root = model.x0 + 0.01 if not solution.job.jig.bridged else start
    length = end if solution.job.jig.bridged else tip
    canvas.area(rounded_polygon(_corners(root, length, tongue), [0.0, 0.0, 0.0, 0.0]), JIG)
    _bed_edge(canvas, model)
    ring = r.bushing_od / 2.0
    lane = tongue + ring
    _ring(canvas, P2(tip * 0.45, -lane), ring, r.bit_diameter / 2.0)
    _feed(canvas, [P2(start + ring, -lane), P2(tip * 0.45 - ring - 1.0, -lane)])
    _feed(canvas, [P2(tip * 0.45 + ring + 1.0, -lane), P2(tip - 2.0, -lane)])
    if not solution.job.jig.bridged:
        _feed(canvas, [P2(tip + ring, -tongue), P2(tip + ring, tongue)])
    _feed(canvas, [P2(tip - 2.0, lane), P2(start + ring, lane)])
    canvas.words("counter-clockwise, seen from above", P2(FEED_WIDTH / 2.0, 2.6), Anchor.MIDDLE)
    return canvas.sheet()


def _plan(name: str, title: str, model: Box) -> Canvas:
    """A picture as wide as the others and as high as its model needs, with room for a line of words below."""
    high = min(model.height * (FEED_WIDTH - 2.0) / model.width, MOST_PLAN)
    frame = Box(1.0, _UNDER, FEED_WIDTH - 1.0, _UNDER + high)
    return fitted(name, title, model, frame, FEED_WIDTH, _UNDER + high + 0.5)


def _corners(x0: float, x1: float, half: float) -> list[P2]:
    return [P2(x0, -half), P2(x1, -half), P2(x1, half), P2(x0, half)]


def _bed_edge(canvas: Canvas, model: Box) -> None:
    """The bed's face under the plate."""
    canvas.line([P2(0.0, model.y0), P2(0.0, model.y1)], Role.HIDDEN, DASHED)
    canvas.words("bed", canvas.at(-2.5, model.y0 + _BORDER / 2.0), Anchor.RIGHT, height=1.8)


def _ring(canvas: Canvas, center: P2, outer: float, inner: float) -> None:
    """The bushing and the bit in it."""
    canvas.area(Circle(center, outer), WOOD)
    canvas.area(Circle(center, inner), 0.35)


def _feed(canvas: Canvas, points: list[P2]) -> None:
    canvas.arrow([canvas.place.apply(p) for p in points], pen=_BOLD, head=3.4)


# --- the work in the jig -------------------------------------------------------------------------------------------


def work_in_jig(solution: Solution, layout: Layout, *, body: bool) -> Sheet:
    """The jig from the side with the body or the neck in it, drawn from the jig's own stations."""
    cradle, instrument = solution.cradle, solution.job.instrument
    depth = max(instrument.body_depth_at_neck, solution.joint.heel_blank)
    left, right = layout.cheek_back - 6.0, depth + 58.0
    model = Box(left, layout.bed_foot - 6.0, right, layout.pivot_depth + layout.thick.plate + 14.0)
    name, title = ("stand_body", "The body in the jig") if body else ("stand_neck", "The neck in the jig")
    canvas = fitted(name, title, model, Box(1, 1, WIDE - 1, 49), WIDE, 50.0)
    _frame(canvas, layout, right)
    angle = cradle.body_bed_angle if body else cradle.neck_bed_angle
    _bed(canvas, layout, angle, body)
    _block(canvas, layout, angle)
    if body:
        _body(canvas, solution, layout)
    else:
        _neck(canvas, solution, layout)
    return canvas.sheet()


def _frame(canvas: Canvas, layout: Layout, right: float) -> None:
    """Plate, ledge and spine; the cheeks that carry the bed are left out, or nothing else could be seen."""
    under = layout.pivot_depth
    canvas.area(rectangle(layout.cheek_back - 4.0, under, right - 4.0, under + layout.thick.plate), JIG)
    canvas.area(rectangle(layout.spine_front, layout.ledge_foot, layout.ledge_front, layout.ledge_top), JIG)
    canvas.area(rectangle(layout.spine_back, layout.cheek_foot, layout.spine_front, layout.spine_top), JIG)


def _turned(angle: float) -> Transform:
    """The bed's own plane into the picture's: its lower end moves to +x by a positive angle."""
    return Transform.rotate(angle)


def _bed(canvas: Canvas, layout: Layout, angle: float, body: bool) -> None:
    turn = _turned(angle)
    thick = layout.thick.bed
    board = rectangle(-thick, layout.bed_foot, 0.0, layout.bed_top)
    canvas.area(board.transformed(turn), JIG)
    canvas.area(Circle(turn.apply(layout.nose), layout.nose_radius), 0.55)
    canvas.path(Circle(P2(0.0, 0.0), 2.2), Role.NOTE)
    if body and layout.spec.rest_thickness > 0.0:
        rest = rectangle(0.0, layout.bed_top - layout.spec.rest_height, layout.spec.rest_thickness, layout.bed_top)
        canvas.area(rest.transformed(turn), GONE)


def _block(canvas: Canvas, layout: Layout, angle: float) -> None:
    """The set block between ledge and nose."""
    nose = _turned(angle).apply(layout.nose)
    high = layout.ledge_top - layout.nose.y - 3.0
    canvas.area(
        rectangle(layout.ledge_front, layout.nose.y - high, nose.x - layout.nose_radius, layout.nose.y + high), GONE
    )


def _body(canvas: Canvas, solution: Solution, layout: Layout) -> None:
    """The body hanging on its end face: top against the rest, back to the right."""
    cradle, instrument = solution.cradle, solution.job.instrument
    foot, under = layout.bed_foot - 4.0, layout.pivot_depth
    lean = math.tan(math.radians(instrument.end_face_tilt))
    depth = instrument.body_depth_at_neck

    def side(x: float) -> list[P2]:
        return [P2(cradle.body_join_x + x, under), P2(cradle.body_join_x + x + (under - foot) * lean, foot)]

    top, back = side(0.0), side(depth)
    canvas.area([top[0], top[1], back[1], back[0]], WOOD)
    block = solution.job.instrument.neck_block_thickness
    canvas.line([P2(top[0].x, under - block), P2(back[0].x, under - block)], Role.HIDDEN, DASHED)
    cut = under - solution.joint.mortise_depth
    end = cradle.body_join_x + solution.joint.mortise_length
    canvas.line([P2(top[0].x, cut), P2(end, cut), P2(end, under)], Role.CUT, Pen(0.35, LineType.DASHED))
    _lead_right(canvas, "mortise", P2(end - 6.0, (cut + under) / 2.0), back[0].x)
    shift = (under + 100.0) * lean
    canvas.words("body", canvas.at(top[0].x + depth / 2.0 + shift, -60.0), Anchor.MIDDLE)
    canvas.words("top", canvas.at(top[0].x + 4.0 + shift, -100.0), height=1.8)
    canvas.words("back", canvas.at(back[0].x - 4.0 + shift, -100.0), Anchor.RIGHT, height=1.8)
    low = P2(layout.spec.rest_thickness / 2.0, layout.bed_top - layout.spec.rest_height / 2.0)
    _clamp(canvas, P2(back[0].x, under - 36.0), "clamp")
    _jig_words(canvas, layout, ("rest strip", low), "body block", solution.cradle.body_bed_angle)


def _neck(canvas: Canvas, solution: Solution, layout: Layout) -> None:
    """The neck hanging on the bed, its heel's end against the plate."""
    cradle, joint = solution.cradle, solution.joint
    turn = _turned(cradle.neck_bed_angle)
    under, foot = layout.pivot_depth, layout.bed_foot - 4.0
    heel = joint.heel_blank
    face = turn.apply(P2(0.0, foot))
    start = turn.apply(P2(0.0, under / math.cos(math.radians(cradle.neck_bed_angle))))
    body = [
        P2(start.x, under),
        face,
        P2(face.x + 22.0, foot),
        P2(start.x + 24.0, -40.0),
        P2(heel, -8.0),
        P2(heel, under),
    ]
    canvas.area(body, WOOD)
    shoulder = 0.0
    canvas.line([P2(0.0, shoulder), P2(heel, shoulder)], Role.CUT, Pen(0.35, LineType.DASHED))
    _lead_right(canvas, "tenon", P2(heel * 0.7, under / 2.0), heel)
    canvas.lead("shoulder", canvas.at(heel, -30.0).plus(P2(3.0, 0.0)), canvas.at(heel - 12.0, shoulder))
    canvas.lead("neck", canvas.at(heel - 20.0, -66.0), canvas.at(14.0, -70.0))
    bar = P2(face.x * 0.7 + 24.0, -layout.spec.hold_down_depth)
    canvas.area(rectangle(bar.x, bar.y - 12.0, bar.x + 12.0, bar.y + 12.0), JIG)
    canvas.lead("hold-down bar", canvas.at(bar.x + 22.0, bar.y - 18.0), canvas.at(bar.x + 10.0, bar.y))
    _jig_words(canvas, layout, ("join", P2(0.0, 0.0)), "set block", cradle.neck_bed_angle)


def _lead_right(canvas: Canvas, text: str, to: P2, edge: float) -> None:
    """Words to the right of the work's `edge` (model x), under the plate, with a line to a model point."""
    under = canvas.at(edge, to.y)
    canvas.lead(text, under.plus(P2(4.0, -2.2)), canvas.place.apply(to))


def _clamp(canvas: Canvas, at: P2, text: str) -> None:
    tip = canvas.place.apply(at)
    canvas.arrow([tip.plus(P2(9.0, 0.0)), tip], pen=_BOLD, head=3.0)
    canvas.words(text, tip.plus(P2(0.6, -3.0)), height=1.8)


def _jig_words(canvas: Canvas, layout: Layout, own: tuple[str, P2], block: str, angle: float) -> None:
    """Names down the left side, each with a line to its piece; `own` belongs to the work."""
    turn = _turned(angle)
    nose = turn.apply(layout.nose)
    named = (
        ("plate", P2(layout.spine_front, layout.pivot_depth + layout.thick.plate / 2.0)),
        own,
        ("bed", turn.apply(P2(-layout.thick.bed / 2.0, layout.nose.y * 0.48))),
        (block, P2((layout.ledge_front + nose.x - layout.nose_radius) / 2.0, layout.nose.y)),
    )
    top = canvas.at(0.0, layout.pivot_depth).y - 4.0
    for i, (text, at) in enumerate(named):
        canvas.lead(text, P2(1.0, top - 5.6 * i), canvas.place.apply(at))
