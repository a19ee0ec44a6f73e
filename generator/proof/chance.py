"""What the tolerances do to the saddle gap, tried out: the whole chain computed with errors drawn by lot.

The estimate of `tolerance` adds causes that it has made straight lines of. Here every trial leans the neck with its own
wrong rest, tilts the shoulder and reads the gap, with nothing made linear. The lots come from a generator with a
fixed seed, so the same kit always gives the same numbers.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from generator.checks.base import Check, Worked, at_least, at_most, mm
from generator.checks.cutting import worst_wedge
from generator.cradle import shim_change, shim_stack, shim_stock
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
    give = solve_give(jig_body(solution.job, solution.joint, solution.cradle, solution.routing))
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

    rest = drawn(within.block_height) + drawn(within.pivot_play)
    leaning = cradle.angle_with(rest) - cradle.angle
    sag = drawn(most_sag)
    wedge = drawn(within.end_face_flatness) + drawn(within.hold_back)
    shoulder = math.degrees(math.atan(wedge / joint.heel_length))
    angle = neck_set.set_angle + leaning + sag + shoulder
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
    """How far the shims leave the angle rest from any change that the worst case may ask for, either way.

    Held against half the finest shim.
    """
    spec = solution.job.jig
    worst = solution.uncertainty.gap_worst
    finest = min(spec.shims)
    needed = [_rest_change(solution, worst * share / 10.0) for share in range(-10, 11)]
    missed = max(abs(_nearest_stack(solution, change) - change) for change in needed)
    count = len(shim_stock(spec.shims, spec.nominal_shim))
    words = (
        f"the worst case asks for a change of {mm(needed[0])} to {mm(needed[-1])} behind the angle rest; {count} shims "
        f"come within {mm(missed)} of any between"
    )
    return at_most("error: trim shims", missed, finest / 2.0 + 1e-6, max(*needed, finest), words)


def _rest_change(solution: Solution, miss: float) -> float:
    """Change behind the angle rest (mm) that puts right a gap read `miss` mm too low."""
    neck_set, tilt = solution.neck_set, solution.neck_set.end_face_tilt
    found = angle_of_gap(neck_set, neck_set.saddle_gap - miss)
    return shim_change(solution.cradle.rest_spacing, tilt, found, neck_set.set_angle)


def _nearest_stack(solution: Solution, change: float) -> float:
    """The change (mm) that the kit's own shims come to, the nominal one among them."""
    spec = solution.job.jig
    return math.fsum(shim_stack(spec.nominal_shim + change, spec.shims, spec.nominal_shim)) - spec.nominal_shim


def _worked(solution: Solution) -> Worked:
    return Worked(
        solution.job,
        solution.neck_set,
        solution.joint,
        solution.routing,
        solution.cradle,
        solution.uncertainty,
    )
