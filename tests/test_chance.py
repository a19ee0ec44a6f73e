"""Errors tried out by lot: against the law of sums of even spreads, and against a numerical convolution."""

from __future__ import annotations

import math
from xml.etree import ElementTree

import numpy as np
import pytest
from worked_examples import example_a, example_b, example_d, make_job

from generator.checks import CheckStatus
from generator.proof.chance import chance_checks, try_out
from generator.proof.chance_picture import chance_picture
from generator.solution import solve
from generator.writers.svg import svg_text


@pytest.mark.parametrize("make", [example_a, example_b, example_d])
def test_the_spread_is_that_of_a_sum_of_even_errors(make: object) -> None:
    """An even spread of half range g has the standard deviation g/√3; independent ones add as squares."""
    solution = solve(make())  # type: ignore[operator]
    expected = math.sqrt(math.fsum(item.gap**2 for item in solution.uncertainty.contributions) / 3.0)
    assert try_out(solution).spread == pytest.approx(expected, rel=0.03)


def test_ninety_five_of_a_hundred_by_convolution() -> None:
    """The half range holds 95 % of the convolution of all even spreads, worked out on a grid."""
    solution = solve(example_a())
    step = 0.0005
    density = np.array([1.0])
    for item in solution.uncertainty.contributions:
        width = max(1, round(2.0 * item.gap / step))
        density = np.convolve(density, np.full(width, 1.0 / width))
    middle = (len(density) - 1) / 2.0
    distance = np.abs(np.arange(len(density)) - middle) * step
    order = np.argsort(distance)
    held = np.cumsum(density[order])
    expected = distance[order][np.searchsorted(held, 0.95)]
    assert try_out(solution).half_range == pytest.approx(expected, abs=0.01)


def test_no_trial_passes_the_worst_case_and_all_are_the_same_again() -> None:
    """With the chain left bent no trial is off by more than all limits added; the lots are drawn alike each time."""
    solution = solve(example_a())
    trials = try_out(solution)
    assert trials.largest <= solution.uncertainty.gap_worst * 1.02
    assert trials == try_out(solution)


def test_hold_back_and_shims_are_judged_by_the_worst_case() -> None:
    """A hold-back thinner than the worst case's wedge warns, and so does a stack that cannot lay the change."""

    def status(name: str, **changes: object) -> CheckStatus:
        solution = solve(make_job(**changes))  # type: ignore[arg-type]
        return next(c.status for c in chance_checks(solution, try_out(solution, 500)) if c.name == name)

    assert status("error: hold-back") is CheckStatus.OK
    assert status("error: hold-back", router={"hold_back": 0.2}) is CheckStatus.WARN
    assert status("error: trim shims") is CheckStatus.OK
    assert status("error: trim shims", jig={"shims": [0.1, 1.0]}) is CheckStatus.WARN


def test_the_picture_shows_every_cause_largest_first() -> None:
    """Bars stand in falling order, each with its figure, and the longest cause is the one the results name."""
    solution = solve(example_a())
    sheet = chance_picture(solution, try_out(solution))
    root = ElementTree.fromstring(svg_text(sheet))
    texts = [text.text or "" for text in root.iter("{http://www.w3.org/2000/svg}text")]
    causes = [item.name for item in sorted(solution.uncertainty.contributions, key=lambda item: -item.gap)]
    shown = [text for text in texts if text in causes]
    assert shown == causes
    assert causes[0] == solution.uncertainty.dominant.name
    assert any("95 of 100" in text for text in texts)


@pytest.mark.parametrize("tolerances", [{"gap_reading": 5.0}, {"gap_reading": 0.0, "bushing_eccentricity": 0.0}])
def test_the_picture_holds_any_tolerances(tolerances: dict[str, float]) -> None:
    """One cause that drowns all others, and none of the largest: all ink stays on the sheet."""
    solution = solve(make_job(tolerances=tolerances))
    assert chance_picture(solution, try_out(solution, 1000)).items
