"""Whether the jig can take the work: rests, room for cutter and top, holding, stiffness, threads in edges."""

from __future__ import annotations

import math

from generator.checks.base import Check, Worked, at_least, at_most, mm
from generator.cradle import LEAST_REST, TOP_ROOM, shim_change, shim_stack
from generator.frame import (
    PLATE_ON_BENCH,
    body_rest_end,
    fence_offset,
    mortise_half_length,
    tenon_half_length,
)
from generator.model.jig import Joinery
from generator.shoulder import angle_of_gap
from generator.stiffness import TILT_LIMITS, TONGUE_LIMITS, plate_tilt, tongue_give

#: (warn, fail) limits in mm, common practice.
_REST_WIDTH = (8.0, 3.0)
_TOP_CLEAR = (TOP_ROOM, 0.5)
_BIT_PAST_EDGE = (1.5, 0.5)
_BIT_TO_BOARD = (2.0, 1.0)
_WEB = (12.0, 8.0)
#: The body rest and the mortise end this far short of the neck block's and the body's far side, mm.
_INSIDE_BLOCK, _INSIDE_BODY = 2.0, 3.0
#: The blank's sides stay this far off the bit's reach as the bushing runs along the window's side, mm.
_BESIDE_BLANK = (1.0, 0.0)
#: Readings within this of the wanted gap are trimmed from the kit's own shims, to within the second, mm.
TRIM_RANGE, _TRIM_MISS = 1.5, 0.06
#: A slot narrower or shallower than this takes no tooth, mm.
_LEAST_SLOT_WIDTH, _LEAST_SLOT_DEPTH = 3.0, 3.0
#: Young's modulus, GPa, that metals pass and no sheet of wood, fibre or plastic reaches (aluminium 70, phenolic 9).
_METAL = 30.0


def setting_checks(work: Worked) -> tuple[Check, ...]:
    """Rests and shims, body rest, cutter room, plate on the bench, stiffness, threads in edges."""
    return (
        *_rests(work),
        *_body(work),
        *_cutter(work),
        *_bench(work),
        *_slot(work),
        *_stiffness(work),
        *_tapped_edges(work),
    )


def _rests(work: Worked) -> tuple[Check, ...]:
    cradle = work.cradle
    width = cradle.angle_rest_drawn
    words = f"the angle rest is {mm(width)} wide; its screws want {mm(LEAST_REST)}"
    return (at_least("angle rest", width, LEAST_REST, LEAST_REST - 2.0, words), _trim(work))


def _trim(work: Worked) -> Check:
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


def _body(work: Worked) -> tuple[Check, ...]:
    cradle, instrument, joint = work.cradle, work.job.instrument, work.joint
    width = body_rest_end(work.job) - cradle.rest_beside
    foot, block = cradle.rest_depth + cradle.rest_thickness, instrument.neck_block_thickness - _INSIDE_BLOCK
    depth = instrument.body_depth_at_neck - _INSIDE_BODY
    room = cradle.upper_rest - cradle.bulge
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
            "mortise and back",
            joint.mortise_length,
            depth,
            depth,
            f"a mortise {mm(joint.mortise_length)} long leaves {mm(depth + _INSIDE_BODY - joint.mortise_length)} to "
            "the back; at least 3 mm",
        ),
        at_least("top clears the board", room, *_TOP_CLEAR, f"the top stays {mm(room)} off the board"),
    )


def _cutter(work: Worked) -> tuple[Check, ...]:
    routing, cradle, job = work.routing, work.cradle, work.job
    lean = cradle.contact_depth * math.tan(math.radians(cradle.angle))
    past = routing.run_out - max(0.0, lean)
    board = cradle.upper_rest + routing.sweep_start
    web = 2.0 * (fence_offset(job, cradle) + routing.opening_start)
    reach = routing.window_half_width - routing.bushing_od / 2.0 - routing.bit_diameter / 2.0
    beside = reach - work.joint.heel_blank_width / 2.0
    return (
        at_least(
            "bit past the edge",
            past,
            *_BIT_PAST_EDGE,
            f"where it runs out the bit's centre passes the neck plane's nearest edge by {mm(past)}",
        ),
        at_least("bit to the board", board, *_BIT_TO_BOARD, f"the bit runs out {mm(board)} in front of the board"),
        at_least("between the openings", web, *_WEB, f"{mm(web)} of plate stands between the two openings"),
        at_least(
            "heel blank in the window",
            beside,
            *_BESIDE_BLANK,
            f"the bit's edge passes {mm(beside)} outside the heel blank, {mm(work.joint.heel_blank_width)} wide",
        ),
    )


def _bench(work: Worked) -> tuple[Check, ...]:
    """Plate on the bench for two clamps, outside the reach of the router's base on the other half."""
    job, cradle, routing, gap = work.job, work.cradle, work.routing, work.job.jig.bench_gap
    edge = job.stock("board").actual_thickness / 2.0 + gap
    halves = (tenon_half_length(job, cradle, routing), mortise_half_length(job, cradle, routing))
    lying = min(halves) - edge
    base = job.router.base_diameter / 2.0
    over = base - (fence_offset(job, cradle) - routing.run_out)
    return (
        at_least(
            "plate on the bench",
            lying,
            PLATE_ON_BENCH,
            PLATE_ON_BENCH - 10.0,
            f"{mm(lying)} of the plate lies on the bench",
        ),
        at_most(
            "router base and clamps",
            over,
            edge,
            edge + 10.0,
            f"the router's base, {mm(job.router.base_diameter)} across, reaches {mm(over)} past the board's middle; the "
            f"bench's edge, and with it the clamps, is {mm(edge)} away",
        ),
    )


def _slot(work: Worked) -> tuple[Check, ...]:
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


def _tapped_edges(work: Worked) -> tuple[Check, ...]:
    """Whether the sheets whose edges are tapped are metal: in wood, fibre and plastic threads strip and split them."""
    if work.job.jig.joinery is not Joinery.TAPPED:
        return ()
    stocks = {f"jig.{group}_stock": work.job.stock(group) for group in ("board", "bracket")}
    soft = {key: stock for key, stock in stocks.items() if stock.youngs_modulus < _METAL}
    found = ", ".join(f"{key} is {stock.material}" for key, stock in soft.items())
    words = f'{found}: threads tapped into its edges strip or split it; take metal, or jig.joinery "screwed"'
    least = min(stock.youngs_modulus for stock in stocks.values())
    return (at_least("tapped edges", least, _METAL, 0.0, words if soft else "the tapped edges are metal", "GPa"),)


def _stiffness(work: Worked) -> tuple[Check, ...]:
    give = tongue_give(work.job, work.routing)
    tilt = plate_tilt(work.job, work.joint, work.cradle, work.routing)
    at_saddle = math.radians(tilt) * work.neck_set.join_to_saddle
    held = "bridged" if work.job.jig.bridged else "its end screwed" if work.job.jig.tip_pin else "its end free"
    return (
        at_most(
            "tongue stiffness",
            give.held,
            *TONGUE_LIMITS,
            f"the tongue gives {give.held:.3f} mm sideways under 30 N with {held}, {give.free:.3f} mm with it free",
        ),
        at_most(
            "plate tilt",
            tilt,
            *TILT_LIMITS,
            f"the plate tilts {tilt:.3f}° under the router, {mm(at_saddle)} at the saddle",
            "deg",
        ),
    )
