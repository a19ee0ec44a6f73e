"""The live pictures of router kit and jig: where each of their measurements is taken.

The router is cut through its axis, the jig along its middle with the neck in it, both drawn from the job's own numbers.
"""

from __future__ import annotations

from collections.abc import Iterator

from generator.base.points2d import P2
from generator.jig.layout import Layout, jig_layout
from generator.joint.solution import Solution
from generator.joint.stations import Use, bracket_inner, caul_thickness, caul_top
from generator.page.sketchink import Shape, Sketch, SketchMeasure, rectangle, sketch

#: The set of pictures of the router and of its cut.
_ROUTER = "router"
#: The set of pictures of the jig.
_JIG = "jig"
#: Height of the router's base, indicated only, mm.
_BASE = 9.0
#: Height of the collet nut, indicated only, mm.
_NUT = 16.0
#: Height of the motor over the collet nut, indicated only, mm.
_MOTOR = 30.0
#: The collet nut stands at least so far over the bit's edges where nobody has measured how far the bit stands out, mm.
_NUT_OVER_EDGES = 6.0
#: The collet nut stands at least so far over the base's underside where nobody has measured how far the bit stands
#: out, mm.
_NUT_OVER_BUSHING = 3.0
#: Width of plate and wood drawn on either side of the test cut, mm.
_BESIDE = 26.0
#: Height of bench drawn below the plate, mm.
_BENCH = 45.0


def router_sketch(solution: Solution) -> Sketch:
    """Router, bushing and bit, cut through their axis, at full plunge."""
    router = solution.job.router
    half, tip, hole = router.base_diameter / 2.0, -router.reach, _base_hole(solution)
    nut = _nut_end(solution)
    shapes = [
        *_both(rectangle("visible", hole, 0.0, half, _BASE)),
        *_both(
            rectangle("visible", router.bushing_id / 2.0, -router.bushing_length, router.bushing_od / 2.0, 0.0),
        ),
        *_both(rectangle("visible", router.bushing_id / 2.0, 0.0, hole, 2.0)),
        rectangle("edge", -router.shank_diameter / 2.0, tip + router.cutting_length, router.shank_diameter / 2.0, nut),
        rectangle("visible", -router.bit_diameter / 2.0, tip, router.bit_diameter / 2.0, tip + router.cutting_length),
        rectangle("visible", -router.collet_diameter / 2.0, nut, router.collet_diameter / 2.0, nut + _NUT),
        rectangle("phantom", -0.3 * half, nut + _NUT, 0.3 * half, nut + _NUT + _MOTOR),
    ]
    return sketch("router", _ROUTER, shapes, list(_router_measures(solution)))


def _base_hole(solution: Solution) -> float:
    """Half the hole in the base: bushing's flange and collet nut pass."""
    router = solution.job.router
    return min(max(router.collet_diameter, router.bushing_od) / 2.0 + 4.0, 0.45 * router.base_diameter)


def _nut_end(solution: Solution) -> float:
    """Height of the collet nut's end over the base's underside, mm; negative below it."""
    router = solution.job.router
    if router.stick_out is not None:
        return router.stick_out - router.reach
    return max(router.cutting_length + _NUT_OVER_EDGES - router.reach, _NUT_OVER_BUSHING)


def _both(shape: Shape) -> tuple[Shape, Shape]:
    """The shape and its mirror image beside the axis."""
    return shape, Shape(shape.role, [P2(-p.x, p.y) for p in shape.points], shape.closed)


def _router_measures(solution: Solution) -> Iterator[SketchMeasure]:
    router = solution.job.router
    base, od, bore = router.base_diameter / 2.0, router.bushing_od / 2.0, router.bushing_id / 2.0
    tip, nut, edges = -router.reach, _nut_end(solution), -router.reach + router.cutting_length
    bit, shank, collet = router.bit_diameter / 2.0, router.shank_diameter / 2.0, router.collet_diameter / 2.0
    yield _across("router.base_diameter", base, _BASE + 4.0)
    yield _across("router.bushing_od", od, -router.bushing_length - 3.0)
    yield _across("router.bushing_id", bore, -router.bushing_length / 2.0)
    yield _upright("router.bushing_length", od + 4.0, 0.0, -router.bushing_length)
    yield _across("router.bit_diameter", bit, tip - 4.0)
    yield _upright("router.cutting_length", bit + 5.0, tip, edges)
    yield _across("router.shank_diameter", shank, (edges + nut) / 2.0)
    yield _upright("router.reach", od + 14.0, 0.0, tip)
    yield _across("router.collet_diameter", collet, nut + _NUT + 3.0)
    yield _upright("router.stick_out", -collet - 4.0, tip, nut)


def cut_sketch(solution: Solution) -> Sketch:
    """The cut under the plate: bushing at the template, bit in the wood, the first pass and the last one."""
    router, routing = solution.job.router, solution.routing
    plate = solution.job.stock("plate").actual_thickness
    opening, slot = _test_cut(solution)
    bottom = -plate - routing.passes.neck[-1]
    axis = -opening / 2.0 + router.bushing_od / 2.0
    far, wood = opening / 2.0 + _BESIDE, (opening - slot) / 2.0
    bit = axis + router.eccentricity
    shapes = [
        rectangle("visible", -far, -plate, -opening / 2.0, 0.0),
        rectangle("visible", opening / 2.0, -plate, far, 0.0),
        Shape("visible", _trough(far, opening / 2.0 - wood, -plate, bottom), closed=False),
        rectangle("edge", axis - router.bushing_od / 2.0, -router.bushing_length, axis + router.bushing_od / 2.0, 0.0),
        rectangle("phantom", bit - router.bit_diameter / 2.0, bottom, bit + router.bit_diameter / 2.0, 6.0),
        Shape("centre", (P2(axis, 12.0), P2(axis, bottom - 6.0)), closed=False),
    ]
    return sketch("cut", _ROUTER, shapes, list(_cut_measures(solution)))


def _test_cut(solution: Solution) -> tuple[float, float]:
    """Width of a template's opening and of the slot cut through it: as measured, or as this kit would cut them, mm."""
    router, offset = solution.job.router, solution.routing.edge_offset
    opening = router.test_template or max(60.0, 2.0 * router.bushing_od)
    return opening, router.test_slot or opening - 2.0 * offset


def _trough(far: float, half: float, top: float, bottom: float) -> list[P2]:
    return [P2(-far, top), P2(-half, top), P2(-half, bottom), P2(half, bottom), P2(half, top), P2(far, top)]


def _cut_measures(solution: Solution) -> Iterator[SketchMeasure]:
    router, routing = solution.job.router, solution.routing
    plate = solution.job.stock("plate").actual_thickness
    opening, slot = _test_cut(solution)
    bottom = -plate - routing.passes.neck[-1]
    axis = -opening / 2.0 + router.bushing_od / 2.0
    yield _across("router.test_template", opening / 2.0, 4.0)
    yield _across("router.test_slot", slot / 2.0, bottom - 4.0)
    edge = P2(-opening / 2.0, -plate - 4.0)
    yield SketchMeasure(("router.edge_offset",), edge, edge.plus(P2((opening - slot) / 2.0, 0.0)))
    yield SketchMeasure(("router.eccentricity",), P2(axis, 9.0), P2(axis + router.eccentricity, 9.0))
    yield _upright("router.max_step", slot / 2.0 - 4.0, -plate, -plate - router.max_step)
    yield _upright("router.hold_back", slot / 2.0 - 12.0, bottom, bottom + router.hold_back)


def side_of_jig(solution: Solution) -> Sketch:
    """The jig from the side, cut along its middle: the neck half to the left."""
    layout = jig_layout(solution)
    return sketch("jig", _JIG, [*_plate(layout), *_under_plate(layout)], list(_side_measures(layout)))


def _plate(layout: Layout) -> list[Shape]:
    top, routing, a = layout.thick.plate, layout.routing, layout.fence
    tongue = -a - (routing.window_end if layout.spec.bridged else _tip(layout))
    neck, body = layout.plate_half(Use.NECK), layout.plate_half(Use.BODY)
    shapes = [rectangle("visible", -neck, 0.0, -a - routing.window_end, top)]
    if not layout.cuts_body:
        return [*shapes, rectangle("visible", tongue, 0.0, body, top)]
    return [
        *shapes,
        rectangle("visible", tongue, 0.0, a + routing.opening_start, top),
        rectangle("visible", a + routing.opening_length, 0.0, body, top),
    ]


def _tip(layout: Layout) -> float:
    """Jig X of the tongue's end; of the window's start where there is none."""
    return layout.routing.tongue_length if layout.has_tongue else layout.routing.opening_start


def _under_plate(layout: Layout) -> list[Shape]:
    """Board, rests, bracket, and in thin lines bench, caul and neck blank."""
    cradle, face, r = layout.cradle, layout.board.face, layout.thick.rest
    d1, angle = cradle.rest_depth, cradle.angle_rest_depth
    behind, heel, bracket = layout.rests.behind_angle, _heel(layout), _bracket(layout)
    caul, high = -caul_top(layout.solution.job, cradle, Use.NECK), layout.spec.caul_height
    bench, low = face + layout.spec.bench_gap, -layout.board.height
    return [
        rectangle("visible", -face, low, face, 0.0),
        rectangle("visible", -face - cradle.upper_rest, -d1 - r, -face, -d1),
        *([rectangle("visible", face, -d1 - r, face + cradle.upper_rest, -d1)] if layout.cuts_body else []),
        rectangle("visible", -face - cradle.angle_rest, -angle - r, -face - behind, -angle),
        rectangle("edge", -face - behind, -angle - r, -face, -angle),
        Shape("hidden", bracket),
        rectangle("phantom", heel - caul_thickness(layout.solution.job), caul - high, heel, caul),
        Shape("phantom", _neck(layout), closed=False),
        rectangle("phantom", bench, -_BENCH, layout.plate_half(Use.BODY), 0.0),
    ]


def _heel(layout: Layout) -> float:
    return -layout.fence - layout.solution.joint.heel_blank


def _neck(layout: Layout) -> list[P2]:
    """Gluing face on both rests, heel's end and back."""
    low = -layout.board.height
    face = [P2(-layout.fence - layout.cradle.neck_plane_x(depth), -depth) for depth in (-low, 0.0)]
    return [*face, P2(_heel(layout), 0.0), P2(_heel(layout), low / 2.0)]


def _bracket(layout: Layout) -> list[P2]:
    foot, rail, deep = layout.spec.bracket_foot, layout.bracket.rail, layout.bracket.depth
    corners = (
        (0.0, 0.0),
        (layout.bracket.length, 0.0),
        (layout.bracket.length, -rail),
        (foot, -rail),
        (0.4 * foot, -deep),
        (0.0, -deep),
    )
    return [P2(-layout.board.face - x, y) for x, y in corners]


def _side_measures(layout: Layout) -> Iterator[SketchMeasure]:
    spec, cradle, face, r = layout.spec, layout.cradle, layout.board.face, layout.thick.rest
    d1, angle, top = cradle.rest_depth, cradle.angle_rest_depth, layout.thick.plate
    behind, heel = layout.rests.behind_angle, _heel(layout)
    caul = -caul_top(layout.solution.job, cradle, Use.NECK)
    yield _upright("jig.rest_spacing", -face - cradle.upper_rest - 8.0, -d1, -angle)
    yield SketchMeasure(("jig.bench_gap",), P2(face, -20.0), P2(face + spec.bench_gap, -20.0))
    yield _upright("jig.caul_height", heel + 5.0, caul, caul - spec.caul_height)
    under = -layout.bracket.rail - 5.0
    yield SketchMeasure(("jig.bracket_foot",), P2(-face, under), P2(-face - spec.bracket_foot, under))
    below = -angle - r - 8.0
    yield SketchMeasure(("jig.stand_off",), P2(-face - (spec.stand_off or cradle.upper_rest), below), P2(-face, below))
    own = -d1 - r - 4.0
    upper = spec.stand_off_upper_rest or cradle.upper_rest
    yield SketchMeasure(("jig.stand_off_upper_rest",), P2(-face - upper, own), P2(-face, own))
    shim = -angle - r / 2.0
    yield SketchMeasure(("jig.nominal_shim", "jig.shims", "jig.shim_stock"), P2(-face - behind, shim), P2(-face, shim))
    tip = -layout.fence - layout.screws.tip_x
    yield SketchMeasure(("jig.tip_pin",), P2(tip, top), P2(tip, -20.0))
    yield _upright("jig.plate_stock", -layout.plate_half(Use.NECK) + 8.0, 0.0, top)
    foot = -layout.board.height + 8.0
    yield SketchMeasure(("jig.board_stock",), P2(-face, foot), P2(face, foot))
    yield _upright("jig.rest_stock", -face - cradle.upper_rest / 2.0, -d1, -d1 - r)
    middle = caul - spec.caul_height / 2.0
    thick = caul_thickness(layout.solution.job)
    yield SketchMeasure(("jig.caul_stock",), P2(heel - thick, middle), P2(heel, middle))


def plan_of_jig(solution: Solution) -> Sketch:
    """The template plate from above, with what lies under it in broken lines."""
    layout = jig_layout(solution)
    routing, a, wide = layout.routing, layout.fence, layout.plate_half_width
    tongue, window = routing.tongue_width / 2.0, routing.window_half_width
    tip = -a - (routing.window_end if layout.spec.bridged else _tip(layout))
    start, end = -a - routing.opening_start, -a - routing.window_end
    inner, thick = bracket_inner(routing), layout.thick.bracket
    face, rest = layout.board.face, layout.spec.rest_length / 2.0
    opening = routing.opening_width / 2.0
    hole = rectangle("visible", a + routing.opening_start, -opening, a + routing.opening_length, opening)
    shapes = [
        rectangle("visible", -layout.plate_half(Use.NECK), -wide, layout.plate_half(Use.BODY), wide),
        *([hole] if layout.cuts_body else []),
        *_window(start, end, tip, window, tongue, bridged=layout.spec.bridged),
        rectangle("hidden", -face, -layout.board.width / 2.0, face, layout.board.width / 2.0),
        rectangle("hidden", -face - layout.cradle.upper_rest, -rest, -face, rest),
        rectangle("hidden", -face - layout.bracket.length, inner, -face, inner + thick),
        rectangle("hidden", -face - layout.bracket.length, -inner - thick, -face, -inner),
    ]
    return sketch("plan", _JIG, shapes, list(_plan_measures(layout)))


def _window(start: float, end: float, tip: float, half: float, tongue: float, *, bridged: bool) -> list[Shape]:
    """The tenon window round its tongue, or the two slots beside a tongue that is held at both ends."""
    if bridged:
        return [rectangle("visible", end, side * tongue, start, side * half) for side in (1.0, -1.0)]
    around = [(start, half), (end, half), (end, -half), (start, -half)]
    return [
        Shape("visible", [P2(*p) for p in (*around, (start, -tongue), (tip, -tongue), (tip, tongue), (start, tongue))])
    ]


def _plan_measures(layout: Layout) -> Iterator[SketchMeasure]:
    spec, routing, a = layout.spec, layout.routing, layout.fence
    window, inner = routing.window_half_width, bracket_inner(layout.routing)
    end, middle = -a - routing.window_end, -a - routing.window_end / 2.0
    yield _upright("jig.margin_side", middle, window, window + spec.margin_side)
    yield SketchMeasure(("jig.margin_end",), P2(end, 0.0), P2(end - spec.margin_end, 0.0))
    across = -layout.board.face - layout.cradle.upper_rest / 2.0
    yield _upright("jig.rest_length", across, -spec.rest_length / 2.0, spec.rest_length / 2.0)
    yield _upright("jig.bracket_stock", -layout.board.face - 20.0, inner, inner + layout.thick.bracket)
    if layout.has_tongue:
        yield SketchMeasure(("jig.bridged",), P2(-a - routing.tongue_length, 0.0), P2(end, 0.0))
    yield SketchMeasure(("jig.tip_pin",), P2(-a - layout.screws.tip_x, 0.0), P2(-a - layout.screws.tip_x, 0.0))


def _across(key: str, half: float, height: float) -> SketchMeasure:
    return SketchMeasure((key,), P2(-half, height), P2(half, height))


def _upright(key: str, x: float, low: float, high: float) -> SketchMeasure:
    return SketchMeasure((key,), P2(x, low), P2(x, high))
