"""The object of results.json: every number of a job under a key that carries its unit.

Full precision, plain dicts, lists, numbers and text; nothing in it is rounded and nothing is NaN or infinite.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Any

from generator import __version__
from generator.base.keyed import InMm, Key, Mm, Told, keyed, keys_of
from generator.jig.part import Jig, Part
from generator.joint.checks import Check
from generator.joint.cradle import Cradle
from generator.joint.joint import BoltHole, Joint
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
        "neck_set": keyed(solution.neck_set),
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


def _joint(joint: Joint) -> dict[str, Any]:
    bolts = [_bolt(bolt, stands=joint.stands) for bolt in joint.bolts]
    return {**joint.results, **keyed(joint, Joint), "bolts": bolts}


def _bolt(bolt: BoltHole, *, stands: bool) -> dict[str, Any]:
    """One bolt, with its place on the tenon's end where a tenon `stands`; else it is that on the shoulder."""
    keys = keys_of(BoltHole)
    left_out = {keys["on_neck_end"]} if not stands else set()
    left_out |= {keys["cross_hole"]} if bolt.cross_hole is None else set()
    return {key: value for key, value in keyed(bolt).items() if key not in left_out}


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
    found = keyed(cradle)
    if solution.joint.body_outline is None:
        del found[keys_of(Cradle)["body_join_x"]]
    found |= {
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


@dataclass(frozen=True)
class PartEntry:
    """What the results say of a part, mm and mm³."""

    name: Told[str]
    stock: Told[str]
    thickness: Mm
    volume: Annotated[float, Key("{}_mm3")]
    size: InMm[tuple[float, ...]]
    quantity: Told[int]


def _part(part: Part) -> dict[str, Any]:
    return keyed(PartEntry(part.name, part.stock, part.thickness, part.volume, part.size, part.quantity))


def _uncertainty(uncertainty: Uncertainty, action: ActionSpread) -> dict[str, Any]:
    return {
        **keyed(uncertainty),
        "action_worst_mm": action.worst,
        "action_rss_mm": action.rss,
        "zero_checked": uncertainty.zero_checked,
        "dominant": uncertainty.dominant.name,
        "contributions": [keyed(item) for item in uncertainty.contributions],
        "sideways_contributions": [keyed(item) for item in uncertainty.asides],
    }
