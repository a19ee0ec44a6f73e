"""The object of results.json: every number of a job under a key that carries its unit.

Full precision, plain dicts, lists, numbers and text; nothing in it is rounded and nothing is NaN or infinite.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from generator import __version__
from generator.jig.part import Jig, Part
from generator.joint.checks import Check
from generator.joint.joint import BoltHole, Joint
from generator.joint.neck_set import NeckSet
from generator.joint.router_template import Routing
from generator.joint.solution import Solution, action_off
from generator.joint.stations import Use, board_width, caul_top, clamp_opening, clamp_throat, fence_offset
from generator.joint.tolerance import ActionSpread, Uncertainty

SCHEMA = 2
PROGRAM = "heelwright"


def results_dict(solution: Solution, jig: Jig | None = None) -> dict[str, Any]:
    """The results of a solved job; `parts` is filled from `jig` and empty without one."""
    job = solution.job
    return {
        "schema": SCHEMA,
        "program": PROGRAM,
        "version": __version__,
        "job": job.name,
        "inputs": {table: {key: dict(entry) for key, entry in keys.items()} for table, keys in job.inputs.items()},
        "notes": list(job.notes),
        "neck_set": _neck_set(solution.neck_set),
        "joint": _joint(solution.joint),
        "router": _router(solution.joint, solution.routing),
        "cradle": _cradle(solution),
        "template": _template(solution),
        "parts": [_part(part) for part in jig.parts] if jig else [],
        "uncertainty": _uncertainty(solution.uncertainty, action_off(solution)),
        "checks": checks_list(solution.checks),
    }


def checks_list(checks: Iterable[Check]) -> list[dict[str, Any]]:
    """Checks as the results and `prove --json` carry them; `unit` says what value and limit are in.

    `bound` says which way the limit is meant; "between" goes from `limit` to `other`, in either order.
    """
    return [_check(check) for check in checks]


def _check(check: Check) -> dict[str, Any]:
    found = {
        "name": check.name,
        "status": check.status.value,
        "value": check.value,
        "bound": check.bound.value,
        "limit": check.limit,
    }
    other = {} if check.other is None else {"other": check.other}
    return found | other | {"unit": check.unit, "message": check.message}


def _neck_set(neck_set: NeckSet) -> dict[str, Any]:
    return {
        "join_to_saddle_mm": neck_set.join_to_saddle,
        "nut_to_join_mm": neck_set.nut_to_join,
        "saddle_gap_mm": neck_set.saddle_gap,
        "bridge_clearance_mm": neck_set.bridge_clearance,
        "action_mm": neck_set.action,
        "set_angle_deg": neck_set.set_angle,
        "heel_angle_deg": neck_set.heel_angle,
        "cradle_angle_deg": neck_set.cradle_angle,
        "clearance_before_stringing_mm": neck_set.clearance_before_stringing,
        "top_rise_at_saddle_mm": neck_set.top_rise_at_saddle,
        "string_over_frets_at_saddle_mm": neck_set.string_over_frets_at_saddle,
        "string_height_at_saddle_mm": neck_set.string_height_at_saddle,
        "string_break_deg": neck_set.string_break,
        "relief_at_12th_mm": neck_set.relief_at_12th,
        "extension_length_mm": neck_set.extension_length,
        "extension_gap_mm": neck_set.extension_gap,
    }


def _joint(joint: Joint) -> dict[str, Any]:
    return {
        **joint.results,
        "heel_length_mm": joint.heel_length,
        "heel_cap_lap_mm": joint.heel_cap_lap,
        "heel_blank_mm": joint.heel_blank,
        "heel_blank_width_mm": joint.heel_blank_width,
        "neck_blank_overlength_mm": joint.neck_blank_overlength,
        "bolts": [_bolt(bolt, stands=joint.stands) for bolt in joint.bolts],
    }


def _bolt(bolt: BoltHole, *, stands: bool) -> dict[str, Any]:
    """One bolt, with its place on the tenon's end where a tenon `stands`; else it is that on the shoulder."""
    found: dict[str, Any] = {
        "from_top_mm": bolt.from_top,
        "from_neck_plane_mm": bolt.from_neck_plane,
        **({"on_tenon_end_mm": bolt.on_neck_end} if stands else {}),
        "clearance_hole_mm": bolt.clearance_hole,
        "pilot_hole_mm": bolt.pilot_hole,
        "thread": bolt.thread,
        "kind": bolt.kind.value,
        "grip_mm": bolt.grip,
    }
    if bolt.cross_hole is not None:
        found["cross_hole_mm"] = bolt.cross_hole
    return found


def _router(joint: Joint, routing: Routing) -> dict[str, Any]:
    body, neck, found = joint.body_outline, joint.neck_outline, {"edge_offset_mm": routing.edge_offset}
    if routing.opening is not None:
        found |= {"opening_width_mm": routing.opening_width, "opening_length_mm": routing.opening_length}
    found["opening_start_mm"] = routing.opening_start
    if routing.opening is not None:
        found["opening_corner_radius_mm"] = routing.opening_corner_radius
    if routing.tongue is not None:
        found |= {
            "tongue_length_mm": routing.tongue_length,
            "tongue_width_mm": routing.tongue_width,
            "tongue_corner_radius_mm": routing.tongue_corner_radius,
            f"{neck.name}_corner_radius_mm": neck.corner_radius,
        }
    in_body = {} if body is None else {body.name: list(routing.passes.body)}
    return {
        **found,
        "window_half_width_mm": routing.window_half_width,
        "window_end_mm": routing.window_end,
        "run_out_mm": routing.run_out,
        "reach_needed_mm": routing.reach_needed,
        "passes": {**in_body, neck.name: list(routing.passes.neck)},
    }


def _cradle(solution: Solution) -> dict[str, Any]:
    cradle, job, routing = solution.cradle, solution.job, solution.routing
    found: dict[str, Any] = {
        "rest_spacing_mm": cradle.rest_spacing,
        "rest_depth_mm": cradle.rest_depth,
        "rest_thickness_mm": cradle.rest_thickness,
        "upper_rest_mm": cradle.upper_rest,
        "angle_rest_mm": cradle.angle_rest,
        "angle_rest_drawn_mm": cradle.angle_rest_drawn,
        "stand_off_measured_mm": cradle.stand_off_measured,
        "nominal_shim_mm": cradle.nominal_shim,
        "contact_depth_mm": cradle.contact_depth,
        "shoulder_x_mm": cradle.shoulder_x,
        **({} if solution.joint.body_outline is None else {"body_join_x_mm": cradle.body_join_x}),
        "depth_block_mm": cradle.depth_block,
        "board_height_mm": cradle.board_height,
        "board_width_mm": board_width(job, routing),
        "bench_gap_mm": job.jig.bench_gap,
        "caul_depth_mm": caul_top(job, cradle, Use.NECK),
        "clamp_throat_mm": clamp_throat(job, solution.cradle, routing),
        "clamp_opening_mm": clamp_opening(job, cradle, solution.joint),
    }
    if cradle.second_depth_block is not None:
        found["tenon_depth_block_mm"] = cradle.second_depth_block
    return found


def _template(solution: Solution) -> dict[str, Any]:
    fence = fence_offset(solution.job, solution.cradle)
    body, neck = solution.joint.body_outline, solution.joint.neck_outline
    in_body = {} if body is None else {body.name: {"fence_x_mm": fence, "direction": 1}}
    return {**in_body, neck.name: {"fence_x_mm": -fence, "direction": -1}}


def _part(part: Part) -> dict[str, Any]:
    return {
        "name": part.name,
        "stock": part.stock,
        "thickness_mm": part.thickness,
        "volume_mm3": part.volume,
        "size_mm": list(part.size),
        "quantity": part.quantity,
    }


def _uncertainty(uncertainty: Uncertainty, action: ActionSpread) -> dict[str, Any]:
    return {
        "gap_worst_mm": uncertainty.gap_worst,
        "gap_rss_mm": uncertainty.gap_rss,
        "gap_per_degree_mm": uncertainty.gap_per_degree,
        "gap_likely_mm": uncertainty.gap_likely,
        "built_worst_mm": uncertainty.built_worst,
        "built_rss_mm": uncertainty.built_rss,
        "built_likely_mm": uncertainty.built_likely,
        "trimmed_rss_mm": uncertainty.trimmed_rss,
        "sideways_worst_mm": uncertainty.sideways_worst,
        "sideways_rss_mm": uncertainty.sideways_rss,
        "sideways_likely_mm": uncertainty.sideways_likely,
        "action_worst_mm": action.worst,
        "action_rss_mm": action.rss,
        "zero_checked": uncertainty.zero_checked,
        "dominant": uncertainty.dominant.name,
        "contributions": [{"name": item.name, "gap_mm": item.gap} for item in uncertainty.contributions],
        "sideways_contributions": [{"name": item.name, "sideways_mm": item.sideways} for item in uncertainty.asides],
    }
