"""Every kind of joint: how it is solved and checked. A kind is its own folder and a line here."""

from __future__ import annotations

from generator.job.model.job import Job
from generator.job.model.joint import ButtSpec
from generator.joint.checks.base import Check, CheckInput
from generator.joint.joint import Joint
from generator.joint.kinds.butt.checks import butt_checks
from generator.joint.kinds.butt.joint import Butt, solve_butt
from generator.joint.kinds.mortise_tenon.checks import mortise_tenon_checks
from generator.joint.kinds.mortise_tenon.joint import MortiseTenon, solve_mortise_tenon
from generator.joint.neck_set import NeckSet


def solve_joint(job: Job, neck_set: NeckSet, edge_offset: float) -> Joint:
    """The joint of the kind that the job asks for; `edge_offset` (mm): the cut's edge to the template's."""
    if isinstance(job.joint, ButtSpec):
        return solve_butt(job, job.joint, neck_set)
    return solve_mortise_tenon(job, job.joint, neck_set, edge_offset)


def kind_checks(work: CheckInput) -> tuple[Check, ...]:
    """What the kind of joint asks of the wood. TypeError for a kind that is not listed."""
    joint = work.joint
    if isinstance(joint, MortiseTenon):
        return mortise_tenon_checks(work, joint)
    if isinstance(joint, Butt):
        return butt_checks(work, joint)
    raise TypeError(f"no checks of a joint of kind {joint.kind.value}")
