"""What the tolerances do to the saddle gap, tried out: the whole chain computed with errors drawn by lot.

The estimate of `tolerance` adds causes that it has made straight lines of. Here every trial turns the bed with its own
wrong block, tilts the shoulder and reads the gap, with nothing made linear. The lots come from a generator with a
fixed seed, so the same kit always gives the same numbers.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from generator.checks.base import Check, Worked, at_least, at_most, mm
from generator.checks.cutting import worst_wedge
from generator.cradle import SHIM_COPIES, shim_stack
from generator.frame import jig_body
from generator.neckset import gap_at_angle
from generator.shoulder import angle_of_gap
from generator.solution import Solution
from generator.stiffness import solve_give

_SEED = 20_000
TRIALS = 10_000
#: Share of the trials that lies inside the half-range reported.
CONFIDENCE = 0.95
#: A trial bends what the straight-line estimate adds up; it may pass that sum by this share.
_BENT = 0.02


@dataclass(frozen=True)
class Trials:
    """Errors of the saddle gap over all trials, mm: `spread` is their standard deviation, `half_range` what 95 of 100
    stay inside, `largest` the largest of all; `errors` all of them in rising order.
    """

    errors: tuple[float, ...]
    spread: float
    half_range: float
    largest: float


def try_out(solution: Solution, trials: int = TRIALS) -> Trials:
    """Draw every tolerance evenly from its range, `trials` times, and put each trial through the whole chain."""
    lots = Random(_SEED)
    give = solve_give(jig_body(solution.job, solution.joint, solution.routing))
    sag = max(solution.job.tolerances.plate_sag, give.plate_tilt)
    errors = sorted(_one_error(solution, sag, lots) for _ in range(trials))
    sizes = sorted(abs(error) for error in errors)
    mean = math.fsum(errors) / trials
    spread = math.sqrt(math.fsum((error - mean) ** 2 for error in errors) / trials)
    return Trials(tuple(errors), spread, sizes[math.ceil(CONFIDENCE * trials) - 1], sizes[-1])


def _one_error(solution: Solution, most_sag: float, lots: Random) -> float:
    """The gap of one trial less the wanted one, mm; the plate tilts by up to `most_sag` degrees."""
    job, neck_set, joint, cradle = solution.job, solution.neck_set, solution.joint, solution.cradle
    within = job.tolerances

    def drawn(half_range: float) -> float:
        return lots.uniform(-half_range, half_range)

    block = cradle.set_block + drawn(within.block_height) + drawn(within.pivot_play)
    bed = cradle.angle(block) - cradle.neck_bed_angle
    sag = drawn(most_sag)
    wedge = drawn(within.end_face_flatness) + drawn(within.hold_back)
    shoulder = math.degrees(math.atan(wedge / joint.heel_length))
    angle = neck_set.set_angle + bed + sag + shoulder
    gap = gap_at_angle(angle, neck_set.join_to_saddle, neck_set.overstand, neck_set.top_rise_at_saddle)
    aside = drawn(max(within.bushing_eccentricity, job.router.eccentricity))
    return gap + aside + drawn(within.gap_reading) - neck_set.saddle_gap


def chance_checks(solution: Solution, trials: Trials) -> Iterator[Check]:
    """Whether the estimate holds, and whether hold-back and shims take care of the worst case."""
    worst, likely = solution.uncertainty.gap_worst, solution.uncertainty.gap_rss
    dominant = solution.uncertainty.dominant
    words = (
        f"95 of 100 first dry fits read within {mm(trials.half_range)} of the target, none of {len(trials.errors)} "
        f"trials further off than {mm(trials.largest)}; estimated {mm(likely)}, worst case {mm(worst)}; "
        f"most of it from {dominant.name}"
    )
    limit = worst * (1.0 + _BENT)
    yield at_most("error: gap by trials", trials.largest, limit, limit, words)
    held, needed = solution.job.router.hold_back, worst_wedge(_worked(solution))
    words = f"{mm(held)} held back; the worst case takes {mm(needed)} over the heel"
    yield at_least("error: hold-back", held, needed, 0.0, words)
    yield _shims(solution)


def _shims(solution: Solution) -> Check:
    """How far from any block change up to the worst case the shims leave the block, against half the finest shim."""
    shims, cradle, neck_set = solution.job.jig.shims, solution.cradle, solution.neck_set
    high = angle_of_gap(neck_set, neck_set.saddle_gap + solution.uncertainty.gap_worst) - neck_set.end_face_tilt
    needed = cradle.block(high) - cradle.set_block
    finest = min(shims)
    steps = [needed * i / 10.0 for i in range(1, 11)]
    missed = max(abs(math.fsum(shim_stack(change, shims)) - change) for change in steps)
    words = (
        f"the worst case asks for {mm(needed)} under the nose; {len(shims)} shims, {SHIM_COPIES} of each, come "
        f"within {mm(missed)} of any change up to that"
    )
    return at_most("error: trim shims", missed, finest / 2.0 + 1e-6, max(needed, finest), words)


def _worked(solution: Solution) -> Worked:
    return Worked(
        solution.job,
        solution.neck_set,
        solution.joint,
        solution.routing,
        solution.cradle,
        solution.uncertainty,
    )
