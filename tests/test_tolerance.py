"""Tolerance stacks against a published example, a worked budget, and each contribution by nudging what causes it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from worked_examples import example_a, make_job

from generator.job.model.job import Making, Tolerances, tolerances_of
from generator.joint.solution import solve
from generator.joint.tolerance import (
    ErrorChain,
    Uncertainty,
    action_spread,
    likely_range,
    root_sum_square,
    solve_uncertainty,
    worst_case,
)

SAW = tolerances_of(Making.SAW)
#: Example A: s, angles, p, heel, width.
ORCHESTRA = ErrorChain(289.8861, 1.6654, 1.6654, 150, 92, 60)
#: A 12-fret parlour (heel 80): s, angles, p, heel, width.
PARLOUR = ErrorChain(307.3, 1.6, 1.6, 150, 80, 56)
#: A tenor ukulele (example C with a heel of 71.6): s, angles, p, heel, width.
UKULELE = ErrorChain(194.4341, 0.7367, 0.7367, 100, 71.6, 44)


def checked(chain: ErrorChain) -> ErrorChain:
    return replace(chain, stand_off=17.0)


def item(found: Uncertainty, name: str) -> float:
    return next(cause.gap for cause in found.contributions if cause.name == name)


def test_published_stack() -> None:
    """40 ±.10 − 25 ±.05 − 2 ±.03 − 10 ±.05: worst case .23, root-sum-square .1261.

    Method: F. Scholz, *Tolerance Stack Analysis Methods*, 1995; the result is arithmetic on the inputs.
    """
    sizes = [0.10, 0.05, 0.03, 0.05]
    assert worst_case(sizes) == pytest.approx(0.23)
    assert root_sum_square(sizes) == pytest.approx(0.1261, abs=5e-5)


@pytest.mark.parametrize(
    ("sizes", "held"),
    [([1.0, 1.0], 2.0 - math.sqrt(0.2)), ([2.0, 2.0, 0.0], 4.0 - 2.0 * math.sqrt(0.2)), ([0.0], 0.0), ([], 0.0)],
)
def test_likely_range_of_a_triangle(sizes: list[float], held: float) -> None:
    """Two even spreads ± 1 add up to a triangle on ± 2: 95 % lie inside 2 − √0.2; one that is nought adds nothing."""
    assert likely_range(sizes) == pytest.approx(held, abs=2e-4)


@pytest.mark.parametrize(
    "sizes", [[0.6, 0.3, 0.3, 0.2, 0.1], [0.25, 0.16, 0.16, 0.1, 0.1, 0.1, 0.08], [1.0, 1e-3, 1e-3]]
)
def test_likely_range_by_convolution(sizes: list[float]) -> None:
    """The series holds the share that a convolution of the even spreads on a fine grid holds."""
    step = sum(sizes) / 4000
    density = np.array([1.0])
    for size in sizes:
        density = np.convolve(density, np.full(max(1, round(2 * size / step)), 1.0))
    density /= density.sum()
    places = np.abs(np.arange(len(density)) - (len(density) - 1) / 2) * step
    assert density[places <= likely_range(sizes)].sum() == pytest.approx(0.95, abs=3e-3)


def test_a_degree_at_the_saddle() -> None:
    """A degree moves the gap by about 5 mm at 290 mm; exactly, by the difference of two tangents."""
    found = solve(example_a())
    s, angle = found.neck_set.join_to_saddle, found.neck_set.set_angle
    half = (math.tan(math.radians(angle + 0.5e-3)) - math.tan(math.radians(angle - 0.5e-3))) * s * 1e3
    assert found.uncertainty.gap_per_degree == pytest.approx(half, rel=1e-6)
    assert found.uncertainty.gap_per_degree == pytest.approx(5.0, abs=0.1)


# --- the worked budget: its items and sums for the checked jig are given; what makes the unchecked one is assumed ----


@pytest.mark.parametrize(
    ("name", "gap"),
    [
        ("angle rest against the zero check", 0.135),
        ("clamping", 0.10),
        ("flatness of the plate", 0.16),
        ("deflection of plate and tongue", 0.10),
        ("evenness of the last pass", 0.10),
        ("dented edges of the rests", 0.08),
        ("bow of the gluing face", 0.10),
        ("flatness of the end face", 0.16),
        ("reading of the gap", 0.25),
    ],
)
def test_items_of_the_worked_budget(name: str, gap: float) -> None:
    """Each as printed there for example A, to its last digit."""
    assert item(solve_uncertainty(SAW, checked(ORCHESTRA)), name) == pytest.approx(gap, abs=0.0055)


@pytest.mark.parametrize(
    ("chain", "worst", "rss", "sideways"),
    [(ORCHESTRA, 0.92, 0.34, 0.38), (PARLOUR, 1.04, 0.38, 0.40), (UKULELE, 0.80, 0.29, 0.37)],
)
def test_sums_of_the_worked_budget_after_the_check(
    chain: ErrorChain, worst: float, rss: float, sideways: float
) -> None:
    """As printed there to the last digit, reading apart; the ukulele's sideways is 0.35 there, its inputs not given."""
    found = solve_uncertainty(SAW, checked(chain))
    assert found.zero_checked
    assert found.built_worst == pytest.approx(worst, abs=0.0055)
    assert found.built_rss == pytest.approx(rss, abs=0.0055)
    assert found.sideways_rss == pytest.approx(sideways, abs=0.0055)


def test_the_reading_comes_on_top() -> None:
    """0.34 of the joint becomes 0.42 with a reading of 0.25."""
    found = solve_uncertainty(SAW, checked(ORCHESTRA))
    assert found.gap_rss == pytest.approx(0.42, abs=0.005)
    assert found.gap_worst == pytest.approx(found.built_worst + 0.25)


def test_as_sawn_nothing_measured() -> None:
    """Worst 2.5, root-sum-square 0.88, 95 of 100 within 0.97; sideways 0.66 and 0.72 there, 0.67 and 0.72 here.

    The single tolerances of the unchecked jig are not given there; those of `tolerances_of` are assumed so.
    """
    found = solve_uncertainty(SAW, ORCHESTRA)
    assert not found.zero_checked
    assert found.built_worst == pytest.approx(2.5, abs=0.05)
    assert found.built_rss == pytest.approx(0.88, abs=0.005)
    assert found.built_likely == pytest.approx(0.97, abs=0.01)
    assert found.sideways_rss == pytest.approx(0.66, abs=0.01)
    assert found.sideways_likely == pytest.approx(0.72, abs=0.01)
    assert found.dominant.name == "board square to the plate"


def test_likely_after_the_check() -> None:
    """95 of 100 within 0.38 (0.36 elsewhere in the requirements), sideways 0.43: as tried out there 4000 times."""
    found = solve_uncertainty(SAW, checked(ORCHESTRA))
    assert found.built_likely == pytest.approx(0.38, abs=0.005)
    assert found.sideways_likely == pytest.approx(0.43, abs=0.015)


@pytest.mark.parametrize("chain", [ORCHESTRA, PARLOUR, UKULELE])
@pytest.mark.parametrize("way", [Making.SAW, Making.LASER])
def test_the_zero_check_at_least_halves_it(chain: ErrorChain, way: Making) -> None:
    """Of the joint itself: what a jig made in the shop's own way is off by is mostly what the check measures."""
    tolerances = tolerances_of(way)
    before, after = solve_uncertainty(tolerances, chain), solve_uncertainty(tolerances, checked(chain))
    assert after.built_rss <= before.built_rss / 2.0


def test_ways_of_making_in_their_order() -> None:
    """A shop holds no less than a laser, a laser no less than a saw, key by key and in every sum."""
    ways = [tolerances_of(way) for way in (Making.SAW, Making.LASER, Making.SHOP)]
    for key, annotation in Tolerances.model_fields.items():
        if annotation.annotation is float:
            sizes = [getattr(way, key) for way in ways]
            assert sizes == sorted(sizes, reverse=True), key
    for chain in (ORCHESTRA, checked(ORCHESTRA)):
        found = [solve_uncertainty(way, chain) for way in ways]
        assert [u.gap_rss for u in found] == sorted((u.gap_rss for u in found), reverse=True)
        assert [u.sideways_rss for u in found] == sorted((u.sideways_rss for u in found), reverse=True)


# --- single causes --------------------------------------------------------------------------------------------------


def test_a_rest_error_by_a_wrong_rest() -> None:
    """A rest 0.15 too wide turns the neck by the arc tangent of its width over the distance."""
    right = math.radians(1.6654)
    wrong = math.atan(math.tan(right) + 0.15 / 150)
    wanted = 289.8861 * (math.tan(wrong) - math.tan(right))
    assert item(solve_uncertainty(SAW, ORCHESTRA), "width of the angle rest") == pytest.approx(wanted, rel=1e-3)
    tilted = replace(ORCHESTRA, cradle_angle=6.0)
    turned = math.atan(math.tan(math.radians(6.0)) + 0.15 / 150) - math.radians(6.0)
    wanted = 289.8861 * (math.tan(right + turned) - math.tan(right))
    assert item(solve_uncertainty(SAW, tilted), "width of the upper rest") == pytest.approx(wanted, rel=1e-3)


def test_heel_errors_by_their_wedge() -> None:
    """Something 0.05 mm thick at one end of a 92 mm shoulder turns the neck by that wedge."""
    right = math.radians(1.6654)
    found = solve_uncertainty(SAW, ORCHESTRA)
    for name, thick in (("flatness of the end face", 0.05), ("evenness of the last pass", 0.03)):
        wanted = 289.8861 * (math.tan(right + math.atan(thick / 92)) - math.tan(right))
        assert item(found, name) == pytest.approx(wanted, rel=1e-3)


def test_known_faults_count_when_they_are_larger() -> None:
    """A plate that gives more than assumed counts, and so does a measured eccentricity, which mirrors double."""
    weak = solve_uncertainty(SAW, replace(ORCHESTRA, plate_give=0.06))
    assert item(weak, "deflection of plate and tongue") == pytest.approx(289.9 * math.radians(0.06), rel=1e-2)
    off = solve_uncertainty(SAW, replace(ORCHESTRA, eccentricity=0.4))
    asides = {aside.name: aside.sideways for aside in off.asides}
    assert asides["bushing eccentricity"] == pytest.approx(0.8)
    assert off.dominant_aside.name == "bushing eccentricity"


def test_teeth_turn_the_neck() -> None:
    """Teeth out of line by 0.05 over 150 miss the saddle by s / 3000; 0.05 of play at each tooth by twice that."""
    asides = {aside.name: aside.sideways for aside in solve_uncertainty(SAW, checked(ORCHESTRA)).asides}
    assert asides["teeth out of line"] == pytest.approx(289.8861 * 0.05 / 150)
    assert asides["play on the teeth"] == pytest.approx(2 * 289.8861 * 0.05 / 150)


def test_what_trimming_leaves() -> None:
    """Nothing moves between first fit and last pass: reading, clamping and the last pass itself are left."""
    found = solve_uncertainty(SAW, ORCHESTRA)
    left = [c.gap for c in found.contributions if not c.repeats]
    assert found.trimmed_rss == pytest.approx(math.hypot(0.25, *(g for g in left if g != 0.25)))
    assert found.trimmed_rss == solve_uncertainty(SAW, checked(ORCHESTRA)).trimmed_rss
    assert found.trimmed_rss < found.gap_rss / 3


def test_action_follows_by_half() -> None:
    """± 0.5 of string pull alone spreads the action at the 12th fret by ± 0.249; a gap of ± 0.4 adds 0.199."""
    spread = action_spread(0.4, SAW, scale_length=645.16, compensation=2.5)
    assert spread.worst == pytest.approx(0.2490 + 0.1992, abs=2e-4)
    assert spread.rss == pytest.approx(math.hypot(0.2490, 0.1992), abs=2e-4)
    calm = action_spread(0.0, SAW, scale_length=645.16, compensation=2.5)
    assert calm.worst == pytest.approx(0.2490, abs=1e-4)


def test_the_job_says_how_its_jig_is_made() -> None:
    """`made_by` fills what the job leaves out, and what it gives itself stays."""
    shop = solve(make_job(tolerances={"made_by": "shop"})).uncertainty
    assert shop.gap_rss < solve(example_a()).uncertainty.gap_rss
    mixed = solve(make_job(tolerances={"made_by": "shop", "end_face_flatness": 0.5})).uncertainty
    assert item(mixed, "flatness of the end face") == pytest.approx(10 * item(shop, "flatness of the end face"))


def test_sums() -> None:
    """Worst case adds, the likely one does not; both take in every contribution that is listed."""
    found = solve_uncertainty(SAW, ORCHESTRA)
    sizes = [cause.gap for cause in found.contributions]
    assert found.gap_worst == pytest.approx(sum(sizes))
    assert found.gap_rss == pytest.approx(math.sqrt(sum(size**2 for size in sizes)))
    assert found.gap_rss < found.gap_likely < found.gap_worst
    assert found.sideways_worst == pytest.approx(sum(aside.sideways for aside in found.asides))
