"""Whether the jig can take the work: rests, room for cutter and clamps, stiffness, threads in edges."""

from __future__ import annotations

import math

from generator.base.units import mm
from generator.job.limits import MOST_STAND_OFF_ERROR
from generator.job.model.jig import Joinery
from generator.joint.checks.base import Check, CheckInput, at_least, at_most
from generator.joint.checks.stiffness import stiffness_checks
from generator.joint.cradle import LEAST_REST, shim_change, shim_stack
from generator.joint.shoulder import angle_of_gap
from generator.joint.stations import body_rest_end, fence_offset, jig_body
from generator.joint.stiffness import solve_deflection

#: (warn, fail) limits in mm, common practice: how wide the body rest bears on the neck block on either side.
_REST_WIDTH = (8.0, 3.0)
#: (warn, fail) limits in mm, common practice: how far the bit's centre passes the neck plane's nearest edge.
_BIT_PAST_EDGE = (1.5, 0.5)
#: The body rest ends this far short of the neck block's far side, mm.
_INSIDE_BLOCK = 2.0
#: The cut in the body ends this far short of the body's far side, mm.
_INSIDE_BODY = 3.0
#: Readings within this of the wanted gap are trimmed from the kit's own shims, mm.
TRIM_RANGE = 1.5
#: The kit's own shims trim such a reading to within this at the angle rest, mm.
_TRIM_MISS = 0.06
#: A stand-off this far off the upper rest's width: the board leans, or another jig was measured, mm.
_STAND_OFF_ERROR = (1.0, MOST_STAND_OFF_ERROR)
#: A truss-rod slot narrower than this takes no tooth, mm.
_LEAST_SLOT_WIDTH = 3.0
#: A truss-rod slot shallower than this takes no tooth, mm.
_LEAST_SLOT_DEPTH = 3.0
#: Young's modulus, GPa, that metals pass and no sheet of wood, fibre or plastic reaches (aluminium 70, phenolic 9).
_METAL = 30.0


def setting_checks(work: CheckInput) -> tuple[Check, ...]:
    """Rests and shims, body rest, room for bit and base, teeth, stiffness, threads in edges."""
    return (
        *_rests(work),
        *_body(work),
        *_cutter(work),
        *_slot(work),
        *_stiffness(work),
        *_tapped_edges(work),
    )


def _rests(work: CheckInput) -> tuple[Check, ...]:
    cradle = work.cradle
    width = cradle.angle_rest_drawn
    words = f"the angle rest is {mm(width)} wide; its screws want {mm(LEAST_REST)}"
    return (at_least("angle rest", width, LEAST_REST, LEAST_REST - 2.0, words), _trim(work), *_stand_off(work))


def _stand_off(work: CheckInput) -> tuple[Check, ...]:
    """A measured stand-off must be of this jig, and near the width it stands for."""
    cradle, spec = work.cradle, work.job.jig
    if spec.stand_off is None:
        return ()
    w, of = cradle.upper_rest, spec.stand_off_upper_rest
    if cradle.stand_off_measured is None and of is not None:
        words = (
            f"the stand-off {mm(spec.stand_off)} was measured on a jig whose upper rest is {mm(of)} wide; this one's "
            f"is {mm(w)}: it is left aside, measure this jig too"
        )
        return (at_most("stand-off", abs(of - w), 0.0, math.inf, words),)
    off = abs(spec.stand_off - w)
    words = f"the stand-off {mm(spec.stand_off)} is {mm(off)} off the upper rest's {mm(w)}; more than that is a slip"
    return (at_most("stand-off", off, *_STAND_OFF_ERROR, words),)


def _trim(work: CheckInput) -> Check:
    """Every reading near the wanted gap must be put right from the kit's own shims."""
    neck_set, cradle, spec = work.neck_set, work.cradle, work.job.jig
    worst = 0.0
    for step in range(-10, 11):
        found = neck_set.saddle_gap + TRIM_RANGE * step / 10.0
        change = shim_change(
            cradle.rest_spacing, neck_set.end_face_tilt, angle_of_gap(neck_set, found), neck_set.set_angle
        )
        total = cradle.nominal_shim + change
        worst = max(worst, abs(math.fsum(shim_stack(total, spec.shims, spec.nominal_shim)) - total))
    words = (
        f"gaps up to {mm(TRIM_RANGE)} off are trimmed from the kit's shims to within {mm(worst)} at the angle rest; "
        "more jig.shims trim closer"
    )
    return at_most("trim shims", worst, _TRIM_MISS, 0.5, words)


def _body(work: CheckInput) -> tuple[Check, ...]:
    cradle, instrument, body = work.cradle, work.job.instrument, work.joint.body_outline
    if body is None:
        return ()
    width = body_rest_end(work.job) - cradle.rest_beside
    foot, block = cradle.rest_depth + cradle.rest_thickness, instrument.neck_block_thickness - _INSIDE_BLOCK
    depth = instrument.body_depth_at_neck - _INSIDE_BODY
    return (
        at_least(
            "body rest", width, *_REST_WIDTH, f"the body rest bears over {mm(width)} of the neck block on either side"
        ),
        at_most(
            "body rest depth",
            foot,
            block,
            block + _INSIDE_BLOCK,
            f"the body rest bears down to {mm(foot)} in from the end face; instrument.neck_block_thickness less "
            f"{mm(_INSIDE_BLOCK)} is {mm(block)}",
        ),
        at_most(
            f"{body.name} and back",
            body.length,
            depth,
            depth,
            f"a {body.name} {mm(body.length)} long leaves {mm(depth + _INSIDE_BODY - body.length)} to the back; "
            f"at least {mm(_INSIDE_BODY)}",
        ),
    )


def _cutter(work: CheckInput) -> tuple[Check, ...]:
    """How far the bit's centre passes a neck that leans towards the board, and the router's base the bench clamps."""
    routing, cradle, job = work.routing, work.cradle, work.job
    lean = cradle.contact_depth * math.tan(math.radians(cradle.angle))
    past = routing.run_out - max(0.0, lean)
    edge = job.stock("board").actual_thickness / 2.0 + job.jig.bench_gap
    over = job.router.base_diameter / 2.0 - (fence_offset(job, cradle) - routing.run_out)
    return (
        at_least(
            "bit past the edge",
            past,
            *_BIT_PAST_EDGE,
            f"where it runs out the bit's centre passes the neck plane's nearest edge by {mm(past)}",
        ),
        at_most(
            "router base and clamps",
            over,
            edge,
            edge + 10.0,
            f"the router's base, {mm(job.router.base_diameter)} across, reaches {mm(over)} past the board's middle; "
            f"the bench's edge, and with it the clamps, is {mm(edge)} away",
        ),
    )


def _slot(work: CheckInput) -> tuple[Check, ...]:
    instrument = work.job.instrument
    width, depth = instrument.truss_rod_slot_width, instrument.truss_rod_slot_depth
    if width is None or depth is None:
        return ()
    return (
        at_least(
            "slot for the teeth",
            min(width - _LEAST_SLOT_WIDTH, depth - _LEAST_SLOT_DEPTH),
            0.0,
            -1.0,
            f"the truss-rod slot is {mm(width)} wide and {mm(depth)} deep; it must be open to the heel's end over "
            f"{mm(work.cradle.rest_depth + work.cradle.rest_thickness)} for the upper tooth",
        ),
    )


def _tapped_edges(work: CheckInput) -> tuple[Check, ...]:
    """Whether the sheets whose edges are tapped are metal: in wood, fibre and plastic threads strip and split them."""
    if work.job.jig.joinery is not Joinery.TAPPED:
        return ()
    stocks = {f"jig.{group}_stock": work.job.stock(group) for group in ("board", "bracket")}
    soft = {key: stock for key, stock in stocks.items() if stock.youngs_modulus < _METAL}
    found = ", ".join(f"{key} is {stock.material}" for key, stock in soft.items())
    words = f'{found}: threads tapped into its edges strip or split it; take metal, or jig.joinery "screwed"'
    least = min(stock.youngs_modulus for stock in stocks.values())
    return (at_least("tapped edges", least, _METAL, 0.0, words if soft else "the tapped edges are metal", "GPa"),)


def _stiffness(work: CheckInput) -> tuple[Check, ...]:
    jig = jig_body(work.job, work.joint, work.cradle, work.routing)
    return stiffness_checks(solve_deflection(jig), jig.hold, work.neck_set.join_to_saddle)
