"""The object of results.json: every number of a job under a key that carries its unit.

Full precision, plain dicts, lists, numbers and text; nothing in it is rounded and nothing is NaN or infinite.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Any

from generator import __version__
from generator.base.keyed import InMm, Key, Mm, Told, keyed
from generator.jig.part import Jig, Part
from generator.job.command_line import PROGRAM
from generator.joint.checks import Check
from generator.joint.joint import BoltHole, Joint
from generator.joint.router_template import Routing
from generator.joint.solution import Solution, action_off
from generator.joint.stations import Use, board_width, caul_top, clamp_opening, clamp_throat, fence_offset
from generator.joint.tolerance import ActionSpread, Uncertainty

#: Version of the form of results.json.
SCHEMA = 2

#: A check's fields in the order in which they are told.
_CHECK = ("name", "status", "value", "bound", "limit", "other", "unit", "message")
#: What is left out where a routing has no opening.
_OF_OPENING = ("opening_width", "opening_length", "opening_corner_radius")
#: What is left out where a routing has no tongue.
_OF_TONGUE = ("tongue_length", "tongue_width", "tongue_corner_radius")


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
    return [keyed(check, only=_CHECK, without=["other"] if check.other is None else []) for check in checks]


def _joint(joint: Joint) -> dict[str, Any]:
    bolts = [_bolt(bolt, stands=joint.stands) for bolt in joint.bolts]
    return {**joint.results, **keyed(joint, Joint), "bolts": bolts}


def _bolt(bolt: BoltHole, *, stands: bool) -> dict[str, Any]:
    """One bolt, with its place on the tenon's end where a tenon `stands`; else it is that on the shoulder."""
    left_out = [] if stands else ["on_neck_end"]
    return keyed(bolt, without=[*left_out, "cross_hole"] if bolt.cross_hole is None else left_out)


@dataclass(frozen=True)
class GuideEntry:
    """What the results say of a routing's opening and tongue, mm."""

    edge_offset: Mm
    opening_width: Mm
    opening_length: Mm
    opening_start: Mm
    opening_corner_radius: Mm
    tongue_length: Mm
    tongue_width: Mm
    tongue_corner_radius: Mm


@dataclass(frozen=True)
class ReachEntry:
    """What the results say of a routing's window and of how far the router goes, mm."""

    window_half_width: Mm
    window_end: Mm
    run_out: Mm
    reach_needed: Mm


def _router(joint: Joint, routing: Routing) -> dict[str, Any]:
    """Template and router; the corner on the neck and the passes stand under the names of the joint's cuts."""
    body, neck = joint.body_outline, joint.neck_outline
    left_out = [*(() if routing.opening else _OF_OPENING), *(() if routing.tongue else _OF_TONGUE)]
    on_neck = {} if routing.tongue is None else {f"{neck.name}_corner_radius_mm": neck.corner_radius}
    in_body = {} if body is None else {body.name: list(routing.passes.body)}
    return {
        **keyed(routing, GuideEntry, without=left_out),
        **on_neck,
        **keyed(routing, ReachEntry),
        "passes": {**in_body, neck.name: list(routing.passes.neck)},
    }


@dataclass(frozen=True)
class AroundEntry:
    """What the results say of what goes round the cradle, mm."""

    board_width: Mm
    bench_gap: Mm
    caul_depth: Mm
    clamp_throat: Mm
    clamp_opening: Mm


def _cradle(solution: Solution) -> dict[str, Any]:
    cradle, job, routing = solution.cradle, solution.job, solution.routing
    around = AroundEntry(
        board_width=board_width(job, routing),
        bench_gap=job.jig.bench_gap,
        caul_depth=caul_top(job, cradle, Use.NECK),
        clamp_throat=clamp_throat(job, cradle, routing),
        clamp_opening=clamp_opening(job, cradle, solution.joint),
    )
    second = ["second_depth_block"]
    left_out = second if solution.joint.body_outline else [*second, "body_join_x"]
    return {
        **keyed(cradle, without=left_out),
        **keyed(around),
        **keyed(cradle, only=[] if cradle.second_depth_block is None else second),
    }


@dataclass(frozen=True)
class FenceEntry:
    """Where the results say that a cut's jig frame lies in the plate's drawing: origin, mm, and which way X runs."""

    fence_x: Mm
    direction: Told[int]


def _template(solution: Solution) -> dict[str, Any]:
    fence = fence_offset(solution.job, solution.cradle)
    body, neck = solution.joint.body_outline, solution.joint.neck_outline
    in_body = {} if body is None else {body.name: keyed(FenceEntry(fence, 1))}
    return {**in_body, neck.name: keyed(FenceEntry(-fence, -1))}


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
    causes = ("contributions", "asides")
    return {
        **keyed(uncertainty, without=("zero_checked", *causes)),
        **keyed(action),
        **keyed(uncertainty, only=["zero_checked"]),
        "dominant": uncertainty.dominant.name,
        **keyed(uncertainty, only=causes),
    }
