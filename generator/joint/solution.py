"""From a job to every number of its joint and jig, checked."""

from __future__ import annotations

from dataclasses import dataclass, replace

from generator.job.model.job import Job
from generator.joint.checks import Check, CheckInput, CheckStatus, Judged, run_checks
from generator.joint.cradle import Cradle, solve_cradle
from generator.joint.joint import Joint
from generator.joint.kinds.catalog import kind_checks, solve_joint
from generator.joint.neck_set import NeckSet, solve_neck_set
from generator.joint.router_template import Routing, edge_offset, solve_routing
from generator.joint.stations import error_chain, jig_body
from generator.joint.stiffness import solve_deflection
from generator.joint.tolerance import ActionSpread, Uncertainty, action_spread, solve_uncertainty

__all__ = ["Check", "CheckStatus", "Solution", "solve", "work_out"]


@dataclass(frozen=True)
class Solution(Judged):
    """A job with everything worked out of it, and how the checks came out."""

    job: Job
    neck_set: NeckSet
    joint: Joint
    routing: Routing
    cradle: Cradle
    uncertainty: Uncertainty
    checks: tuple[Check, ...]

    @property
    def unplaced(self) -> Solution:
        """The same of a job that no file tells: what is drawn of it is the same wherever the file lies."""
        job = self.job.model_copy(update={"source_path": None, "shop_path": None})
        return replace(self, job=job)


def action_off(solution: Solution) -> ActionSpread:
    """What the gap as built and the string pull, never known well, do to the action at the 12th fret, ± mm."""
    job = solution.job
    return action_spread(
        solution.uncertainty.built_likely,
        job.tolerances,
        scale_length=job.instrument.scale_length,
        compensation=job.instrument.saddle_compensation,
    )


def solve(job: Job) -> Solution:
    """Work out and check a job. Nothing is written; failed checks are reported, not raised.

    InputError when the top cannot exist, a thread stands in no table, or the bushing leaves nothing of the joint.
    """
    found = work_out(job)
    work = CheckInput(job, found.neck_set, found.joint, found.routing, found.cradle, found.uncertainty)
    return replace(found, checks=run_checks(work, kind_checks(work)))


def work_out(job: Job) -> Solution:
    """`solve` without the checks, for who compares many jobs and makes none of them: it takes a tenth of the time."""
    neck_set = solve_neck_set(job.instrument, job.target)
    joint = solve_joint(job, neck_set, edge_offset(job.router))
    cradle = solve_cradle(
        job.jig,
        job.instrument,
        neck_set,
        joint,
        job.router,
        board=job.stock("board").actual_thickness,
        rest=job.stock("rest").actual_thickness,
    )
    routing = solve_routing(job.router, joint, cradle, plate_thickness=job.stock("plate").actual_thickness)
    deflection = solve_deflection(jig_body(job, joint, cradle, routing))
    chain = error_chain(job, neck_set, joint, cradle, deflection.plate_tilt)
    uncertainty = solve_uncertainty(job.tolerances, chain)
    return Solution(job, neck_set, joint, routing, cradle, uncertainty, ())
