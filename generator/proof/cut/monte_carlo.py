"""What the tolerances do to gap and centreline, tried out: the whole chain computed with random errors.

The estimate of `tolerance` adds causes that it has made straight lines of. Here every trial turns the neck with its own
wrong rest, tilts its shoulder and reads its gap, with nothing made linear. The random numbers come from a generator
with a fixed seed, so the same kit always gives the same numbers.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from random import Random

from generator.base.units import mm
from generator.job.model.job import Tolerances
from generator.joint.checks.base import Check, at_least, at_most
from generator.joint.tolerance import CONFIDENCE, Acts, Cause, ErrorChain, Uncertainty, gap_causes, sideways_asides

#: Seed of the random draws: the same job gives the same trials.
_SEED = 20_000
#: Trials of one job.
TRIALS = 10_000
#: A trial bends what the straight-line estimate adds up; it may pass that sum by this share.
_BENT = 0.02


@dataclass(frozen=True)
class Spread:
    """Errors of all trials, mm, in rising order: `deviation` is their standard deviation, `half_range` what 95 of 100
    stay inside, `largest` the largest of all.
    """

    errors: tuple[float, ...]
    deviation: float
    half_range: float
    largest: float


@dataclass(frozen=True)
class Trials:
    """Spreads over all trials: the gap as read, the gap as built, and the centreline at the saddle."""

    read: Spread
    built: Spread
    sideways: Spread


@lru_cache(maxsize=1)  # the proof judges them, and its picture shows them
def try_out(tolerances: Tolerances, chain: ErrorChain, trials: int = TRIALS) -> Trials:
    """Draw every tolerance evenly from its range, `trials` times, and put each trial through the whole chain."""
    rng = Random(_SEED)
    causes = gap_causes(tolerances, chain)
    misses = [aside.sideways for aside in sideways_asides(tolerances, chain)]
    read, built, aside = [], [], []
    for _ in range(trials):
        drawn = _drawn(causes, rng)
        gap = _gap_error(drawn, chain)
        built.append(gap)
        read.append(gap + drawn[Acts.GAP])
        aside.append(math.fsum(rng.uniform(-miss, miss) for miss in misses))
    return Trials(spread_of(read), spread_of(built), spread_of(aside))


def spread_of(errors: Sequence[float]) -> Spread:
    """Standard deviation about the mean, half range of 95 of 100 about nought, and largest size of errors (mm)."""
    count = len(errors)
    mean = math.fsum(errors) / count
    sizes = sorted(abs(error) for error in errors)
    deviation = math.sqrt(math.fsum((error - mean) ** 2 for error in errors) / count)
    return Spread(tuple(sorted(errors)), deviation, sizes[math.ceil(CONFIDENCE * count) - 1], sizes[-1])


def _drawn(causes: Sequence[Cause], rng: Random) -> dict[Acts, float]:
    """One random error for each cause, summed by where they act."""
    sums = dict.fromkeys(Acts, 0.0)
    for cause in causes:
        sums[cause.acts] += rng.uniform(-cause.size, cause.size)
    return sums


def _gap_error(drawn: dict[Acts, float], chain: ErrorChain) -> float:
    """The gap of one trial less the wanted one, mm."""
    wanted = math.radians(chain.set_angle)
    cradle = math.radians(chain.cradle_angle)
    rests = math.atan(math.tan(cradle) + drawn[Acts.REST] / chain.rest_spacing) - cradle
    shoulder = math.atan(drawn[Acts.HEEL] / chain.heel_length)
    turned = wanted + rests + shoulder + math.radians(drawn[Acts.ANGLE])
    return chain.join_to_saddle * (math.tan(turned) - math.tan(wanted))


def monte_carlo_checks(
    found: Uncertainty,
    trials: Trials,
    *,
    hold_back: float,
    wedge_needed: float,
    rest_change: float,
    finest_shim: float,
    lay: Callable[[float], float],
) -> Iterator[Check]:
    """Whether the estimate holds, and whether hold-back and shims take care of the worst case.

    `wedge_needed` is what the worst case takes off over the heel, `rest_change` by how much 95 of 100 first fits ask
    to change the angle rest at most, mm; `lay` says what the kit's shims make of a wanted change.
    """
    words = (
        f"95 of 100 first fits come within {mm(trials.built.half_range)} of the target and read within "
        f"{mm(trials.read.half_range)}, none of {len(trials.read.errors)} trials further off than "
        f"{mm(trials.read.largest)}; estimated {mm(found.gap_likely)}, worst case {mm(found.gap_worst)}; "
        f"most of it from {found.dominant.name}"
    )
    limit = found.gap_worst * (1.0 + _BENT)
    yield at_most("error: gap by trials", trials.read.largest, limit, limit, words)
    words = (
        f"95 of 100 centrelines miss the saddle's middle by less than {mm(trials.sideways.half_range)}, none by more "
        f"than {mm(trials.sideways.largest)}; worst case {mm(found.sideways_worst)}; most of it from "
        f"{found.dominant_aside.name}"
    )
    limit = found.sideways_worst * (1.0 + _BENT)
    yield at_most("error: sideways by trials", trials.sideways.largest, limit, limit, words)
    words = f"{mm(hold_back)} held back; the worst case takes {mm(wedge_needed)} over the heel"
    yield at_least("error: hold-back", hold_back, wedge_needed, 0.0, words)
    yield _shims(rest_change, finest_shim, lay)


def _shims(rest_change: float, finest: float, lay: Callable[[float], float]) -> Check:
    """How far from any change that is likely to be asked, either way, the shims leave the rest: half the finest."""
    steps = [rest_change * i / 10.0 for i in range(-10, 11)]
    missed = max(abs(lay(step) - step) for step in steps)
    words = (
        f"95 of 100 first fits ask for up to {mm(abs(rest_change))} at the angle rest; the shims come within "
        f"{mm(missed)} of any change up to that"
    )
    return at_most("error: trim shims", missed, finest / 2.0 + 1e-6, max(abs(rest_change), finest), words)
