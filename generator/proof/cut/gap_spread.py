"""The tolerances of one solved job, tried out: what its kit has to put them right, and the picture of them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.drawing.sheet import Sheet
from generator.joint.checks.base import Check, CheckInput
from generator.joint.checks.cutting import worst_wedge
from generator.joint.cradle import shim_change, shim_stack
from generator.joint.shoulder import angle_of_gap, covered_gaps
from generator.joint.solution import Solution
from generator.joint.stations import error_chain, jig_body
from generator.joint.stiffness import solve_deflection
from generator.proof.cut.monte_carlo import Trials, monte_carlo_checks, try_out
from generator.proof.cut.spread_picture import SpreadPlan, spread_picture


def trials_of(solution: Solution) -> Trials:
    """Its tolerances through its chain."""
    deflection = solve_deflection(jig_body(solution.job, solution.joint, solution.cradle, solution.routing))
    chain = error_chain(solution.job, solution.neck_set, solution.joint, solution.cradle, deflection.plate_tilt)
    return try_out(solution.job.tolerances, chain)


def spread_checks(solution: Solution) -> Iterator[Check]:
    """How far random errors take the gap, against what the kit has to put them right."""
    spec, cradle, neck_set = solution.job.jig, solution.cradle, solution.neck_set
    found = solution.uncertainty

    def change(miss: float) -> float:
        """Change of the angle rest (mm) that puts right a gap read `miss` mm off."""
        read = angle_of_gap(neck_set, neck_set.saddle_gap + miss)
        return shim_change(cradle.rest_spacing, neck_set.end_face_tilt, read, neck_set.set_angle)

    def lay(wanted: float) -> float:
        """The change that the kit's own shims come to, the nominal one among them."""
        stack = shim_stack(spec.nominal_shim + wanted, spec.shims, spec.nominal_shim)
        return math.fsum(stack) - spec.nominal_shim

    return monte_carlo_checks(
        found,
        trials_of(solution),
        hold_back=solution.job.router.hold_back,
        wedge_needed=worst_wedge(CheckInput(solution.job, neck_set, solution.joint, solution.routing, cradle, found)),
        rest_change=max(abs(change(found.gap_likely)), abs(change(-found.gap_likely))),
        finest_shim=min(spec.shims),
        lay=lay,
    )


def picture_of(solution: Solution) -> Sheet:
    """The picture of `spread_picture` for this job."""
    held, neck_set = solution.job.router.hold_back, solution.neck_set
    covered = covered_gaps(neck_set, solution.joint.heel_length, held)
    wanted = SpreadPlan(solution.job.name, neck_set.saddle_gap, held, covered)
    return spread_picture(wanted, solution.uncertainty, trials_of(solution))
