"""Whether the jig can take the work: angles, blocks, body rest, room for the cutter, stiffness."""

from __future__ import annotations

import math

from generator.checks.base import Bound, Check, CheckStatus, Worked, at_least, at_most, degrees, mm, within
from generator.cradle import LEAST_BLOCK, SHIM_COPIES
from generator.frame import cheek_front
from generator.model.instrument import FlatTop
from generator.model.jig import Joinery
from generator.shoulder import angle_of_gap
from generator.stiffness import TILT_LIMITS, TONGUE_LIMITS, plate_tilt, tongue_give

#: Rest strips begin this far beside the mortise and end this far inside the neck block, mm.
REST_BESIDE_MORTISE, REST_INSIDE_BLOCK = 6.0, 3.0
#: (warn, fail) limits in mm, common practice.
_REST_WIDTH = (8.0, 3.0)
_TOP_CLEAR = (0.5, 0.0)
_SWEEP_CLEAR = (0.5, 0.1)
_STEPS = 200
#: Young's modulus, GPa, that metals pass and no sheet of wood, fibre or plastic reaches (aluminium 70, phenolic 9).
_METAL = 30.0


def setting_checks(work: Worked) -> tuple[Check, ...]:
    """Bed angles, blocks, shims, body rest, cutter room, stiffness of tongue and plate, threads in edges."""
    return (*_angles(work), *_blocks(work), *_rest(work), *_sweep(work), *_stiffness(work), *_tapped_edges(work))


def _angles(work: Worked) -> tuple[Check, ...]:
    spec, cradle = work.job.jig, work.cradle
    low, high = spec.angle_low, spec.angle_high
    span = f"the jig turns from {degrees(low)} to {degrees(high)}"
    return tuple(
        within(name, angle, low, high, f"bed at {degrees(angle)}; {span}", CheckStatus.FAIL, "deg")
        for name, angle in (("neck bed angle", cradle.neck_bed_angle), ("body bed angle", cradle.body_bed_angle))
    )


def _blocks(work: Worked) -> tuple[Check, ...]:
    cradle = work.cradle
    neck, body = f"the neck's block is {mm(cradle.set_block)}", f"the body's block is {mm(cradle.body_block)}"
    thin = f"{mm(cradle.thinnest_block)} is the thinnest block over the jig's range"
    return (
        at_least("set block", cradle.set_block, LEAST_BLOCK, LEAST_BLOCK, neck),
        at_least("body block", cradle.body_block, LEAST_BLOCK, LEAST_BLOCK, body),
        at_least("thinnest block", cradle.thinnest_block, LEAST_BLOCK, LEAST_BLOCK, thin),
        _shims(work),
    )


def _shims(work: Worked) -> Check:
    neck_set, cradle = work.neck_set, work.cradle
    total = SHIM_COPIES * math.fsum(work.job.jig.shims)
    worst = angle_of_gap(neck_set, neck_set.saddle_gap + work.uncertainty.gap_worst) - neck_set.end_face_tilt
    needed = cradle.block(worst) - cradle.set_block
    words = f"the shims lay up to {mm(total)}; the worst-case gap error asks for {mm(needed)}"
    return at_least("trim shims", total, needed, 0.0, words)


def _rest(work: Worked) -> tuple[Check, ...]:
    spec, cradle, instrument = work.job.jig, work.cradle, work.job.instrument
    inner = work.joint.mortise_width / 2.0 + REST_BESIDE_MORTISE
    width = min(instrument.neck_block_width / 2.0 - REST_INSIDE_BLOCK, spec.bed_width / 2.0) - inner
    foot = cradle.bed_top_depth + spec.rest_height
    block = instrument.neck_block_thickness
    return (
        at_least("rest width", width, *_REST_WIDTH, f"each rest strip bears over {mm(width)} of the neck block"),
        at_most(
            "rest depth",
            foot,
            block,
            block + spec.rest_height / 2.0,
            f"the rest bears from {mm(cradle.bed_top_depth)} to {mm(foot)} in from the end face, "
            f"the neck block is {mm(block)} thick",
        ),
        _top_clear(work),
    )


def _top_clear(work: Worked) -> Check:
    """Room between the bed and the top beyond the rest; nothing else of the bed may touch."""
    spec, top = work.job.jig, work.job.instrument.top
    if spec.rest_thickness == 0:
        flat = isinstance(top, FlatTop)
        words = (
            "a flat top lies on the bed" if flat else "a top that is not flat needs the rest, or it rocks on the bed"
        )
        return Check(
            "top clears the bed", CheckStatus.OK if flat else CheckStatus.FAIL, 0.0, 0.0, words, bound=Bound.AT_LEAST
        )
    room = least_top_room(work)
    return at_least("top clears the bed", room, *_TOP_CLEAR, f"beyond the rest the top stays {mm(room)} off the bed")


def least_top_room(work: Worked) -> float:
    """Least distance (mm) from the bed's face to the top along the centreline, from the rest's end to the bed's foot.

    A dome falls away to both sides, so the centreline is where it comes nearest.
    """
    spec, cradle, neck_set = work.job.jig, work.cradle, work.neck_set
    turn, tilt = math.radians(cradle.body_bed_angle), math.radians(neck_set.end_face_tilt)
    first = cradle.bed_top_depth + spec.rest_height
    last = cradle.pivot_depth + spec.sine_distance + spec.bed_tail

    def room(depth: float) -> float:
        top = cradle.body_join_x + depth * math.tan(tilt) - neck_set.top.height(depth)
        return (top - (depth - cradle.pivot_depth) * math.tan(turn)) * math.cos(turn)

    return min(room(first + (last - first) * step / _STEPS) for step in range(_STEPS + 1))


def _sweep(work: Worked) -> tuple[Check, ...]:
    """The bit runs out over the bed's edge; beside it the cheeks must stand further back than it reaches."""
    routing, spec = work.routing, work.job.jig
    half = routing.window_half_width - (routing.bushing_od - routing.bit_diameter) / 2.0
    if half < spec.cheek_inner:
        return ()
    room = routing.sweep_start - cheek_front(work.job)
    words = (
        f"where it runs out the bit passes the cheeks by {mm(room)}; a thicker bed or a larger jig.cheek_gap adds to it"
    )
    return (at_least("bit and cheeks", room, *_SWEEP_CLEAR, words),)


def _tapped_edges(work: Worked) -> tuple[Check, ...]:
    """Whether the sheets whose edges are tapped are metal: in wood, fibre and plastic threads strip and split them."""
    if work.job.jig.joinery is not Joinery.TAPPED:
        return ()
    stocks = {f"jig.{group}_stock": work.job.stock(group) for group in ("cheek", "frame", "rail")}
    soft = {key: stock for key, stock in stocks.items() if stock.youngs_modulus < _METAL}
    found = ", ".join(f"{key} is {stock.material}" for key, stock in soft.items())
    words = f"{found}: threads tapped into its edges strip or split it; take metal, or jig.joinery tabs"
    least = min(stock.youngs_modulus for stock in stocks.values())
    return (at_least("tapped edges", least, _METAL, 0.0, words if soft else "the tapped edges are metal", "GPa"),)


def _stiffness(work: Worked) -> tuple[Check, ...]:
    give = tongue_give(work.job, work.routing)
    tilt = plate_tilt(work.job, work.joint, work.routing)
    bare = plate_tilt(work.job, work.joint, work.routing, rails=False)
    at_saddle = math.radians(tilt) * work.neck_set.join_to_saddle
    held = "bridged" if work.job.jig.bridged else "its end pinned" if work.job.jig.tip_pin else "its end free"
    return (
        at_most(
            "tongue stiffness",
            give.held,
            *TONGUE_LIMITS,
            f"the tongue gives {give.held:.3f} mm sideways under 30 N with {held}, {give.free:.3f} mm with it free",
        ),
        at_most(
            "plate sag",
            tilt,
            *TILT_LIMITS,
            f"the plate tilts {tilt:.3f}° under the router, {mm(at_saddle)} at the saddle; without rails {bare:.3f}°",
            "deg",
        ),
    )
