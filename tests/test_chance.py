"""Errors tried out by lot: against the law of sums of even spreads, and against the estimate's own series."""

from __future__ import annotations

import math
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from generator.formats.svg.write import svg_text
from generator.job.model.job import Making, Tolerances, tolerances_of
from generator.joint.checks import CheckStatus
from generator.joint.tolerance import ErrorChain, solve_uncertainty
from generator.proof.cut.monte_carlo import monte_carlo_checks, try_out
from generator.proof.cut.spread_picture import SpreadPlan, spread_picture

SAW = tolerances_of(Making.SAW)
BEFORE = ErrorChain(289.8861, 1.6654, 1.6654, 150, 92, 60)
CHAINS = {
    "before the zero check": BEFORE,
    "after it": replace(BEFORE, stand_off=17.0),
    "ukulele": ErrorChain(194.4341, 0.7367, 0.7367, 100, 71.6, 44),
    "steep": ErrorChain(327.0, -3.9, -3.9, 150, 83, 60),
}
WANTED = SpreadPlan("orchestra", 3.5, 3.175, (-5.0, 12.0))


@pytest.mark.parametrize("chain", CHAINS.values(), ids=CHAINS)
def test_the_spread_is_that_of_a_sum_of_even_errors(chain: ErrorChain) -> None:
    """An even spread of half range g has the standard deviation g/√3; independent ones add as squares."""
    found, trials = solve_uncertainty(SAW, chain), try_out(SAW, chain)
    assert trials.read.deviation == pytest.approx(found.gap_rss / math.sqrt(3), rel=0.03)
    assert trials.built.deviation == pytest.approx(found.built_rss / math.sqrt(3), rel=0.03)
    assert trials.sideways.deviation == pytest.approx(found.sideways_rss / math.sqrt(3), rel=0.03)


@pytest.mark.parametrize("chain", CHAINS.values(), ids=CHAINS)
def test_ninety_five_of_a_hundred(chain: ErrorChain) -> None:
    """Trials with nothing made linear hold 95 of 100 where the estimate's series says."""
    found, trials = solve_uncertainty(SAW, chain), try_out(SAW, chain)
    assert trials.read.half_range == pytest.approx(found.gap_likely, rel=0.02)
    assert trials.built.half_range == pytest.approx(found.built_likely, rel=0.02)
    assert trials.sideways.half_range == pytest.approx(found.sideways_likely, rel=0.02)


def test_no_trial_passes_the_worst_case_and_all_are_the_same_again() -> None:
    """With the chain left bent no trial is off by more than all limits added; the lots are drawn alike each time."""
    found, trials = solve_uncertainty(SAW, BEFORE), try_out(SAW, BEFORE)
    assert trials.read.largest <= found.gap_worst * 1.02
    assert trials.sideways.largest <= found.sideways_worst
    assert trials == try_out(SAW, BEFORE)


def statuses(**changes: object) -> dict[str, CheckStatus]:
    given = {"hold_back": 3.0, "wedge_needed": 0.5, "rest_change": 0.8, "finest_shim": 0.1} | changes
    lay = given.pop("lay", lambda change: round(change, 1))
    found, trials = solve_uncertainty(SAW, BEFORE), try_out(SAW, BEFORE, 500)
    return {c.name: c.status for c in monte_carlo_checks(found, trials, lay=lay, **given)}  # type: ignore[arg-type]


def test_hold_back_and_shims_are_judged_by_the_worst_case() -> None:
    """A thin hold-back warns; shims that cannot lay the change warn, as do those that only make the rest wider."""
    assert set(statuses().values()) == {CheckStatus.OK}
    assert statuses(hold_back=0.2)["error: hold-back"] is CheckStatus.WARN
    assert statuses(lay=lambda change: round(change))["error: trim shims"] is CheckStatus.WARN
    assert statuses(lay=lambda change: max(round(change, 1), 0.0))["error: trim shims"] is CheckStatus.WARN


def test_an_estimate_that_is_too_small_fails() -> None:
    """Trials of a worse jig than the estimate was made for pass its worst case, and that fails."""
    found = solve_uncertainty(tolerances_of(Making.SHOP), CHAINS["after it"])
    trials = try_out(SAW, BEFORE, 2000)
    checks = monte_carlo_checks(
        found, trials, hold_back=3.0, wedge_needed=0.5, rest_change=0.1, finest_shim=0.1, lay=lambda change: change
    )
    status = {check.name: check.status for check in checks}
    assert status["error: gap by trials"] is status["error: sideways by trials"] is CheckStatus.FAIL


def test_the_picture_shows_every_cause_largest_first() -> None:
    """Bars stand in falling order, each with its figure, and the longest cause is the one the results name."""
    found = solve_uncertainty(SAW, BEFORE)
    root = ElementTree.fromstring(svg_text(spread_picture(WANTED, found, try_out(SAW, BEFORE))))
    texts = [text.text or "" for text in root.iter("{http://www.w3.org/2000/svg}text")]
    causes = [item.name for item in sorted(found.contributions, key=lambda item: -item.gap)]
    assert [text for text in texts if text in causes] == causes
    assert causes[0] == found.dominant.name
    asides = [aside.name for aside in sorted(found.asides, key=lambda aside: -aside.sideways)]
    assert [text for text in texts if text in asides] == asides
    assert any("95 of 100" in text for text in texts)


@pytest.mark.parametrize("changes", [{"gap_reading": 5.0}, {"gap_reading": 0.0, "bushing_eccentricity": 0.0}])
def test_the_picture_holds_any_tolerances(changes: dict[str, float]) -> None:
    """One cause that drowns all others, and none of the largest: all ink stays on the sheet."""
    tolerances = Tolerances.model_validate(changes)
    found = solve_uncertainty(tolerances, BEFORE)
    assert spread_picture(WANTED, found, try_out(tolerances, BEFORE, 1000)).items
