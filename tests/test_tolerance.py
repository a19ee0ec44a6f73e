"""Tolerance stacks against a published example, and each contribution by nudging what causes it."""

from __future__ import annotations

import math

import pytest
from worked_examples import example_a, example_b, make_job

from generator.solution import solve
from generator.tolerance import root_sum_square, worst_case


def test_published_stack() -> None:
    """40 ±.10 − 25 ±.05 − 2 ±.03 − 10 ±.05: worst case .23, root-sum-square .1261.

    Method: F. Scholz, *Tolerance Stack Analysis Methods*, 1995; the result is arithmetic on the inputs.
    """
    sizes = [0.10, 0.05, 0.03, 0.05]
    assert worst_case(sizes) == pytest.approx(0.23)
    assert root_sum_square(sizes) == pytest.approx(0.1261, abs=5e-5)


def test_a_degree_at_the_saddle() -> None:
    """A degree moves the gap by about 5 mm at 290 mm; exactly, by the difference of two tangents."""
    solution = solve(example_a())
    s, angle = solution.neck_set.join_to_saddle, solution.neck_set.set_angle
    half = (math.tan(math.radians(angle + 0.5e-3)) - math.tan(math.radians(angle - 0.5e-3))) * s * 1e3
    assert solution.uncertainty.gap_per_degree == pytest.approx(half, rel=1e-6)
    assert solution.uncertainty.gap_per_degree == pytest.approx(5.0, abs=0.1)


def contribution(name: str, **tables: dict[str, float]) -> float:
    solution = solve(make_job(**tables))  # type: ignore[arg-type]
    return next(item.gap for item in solution.uncertainty.contributions if item.name == name)


def test_block_error_by_a_wrong_block() -> None:
    """A block 0.05 mm too high turns the bed, and with it the gap, by what the sine setting and the tangent say."""
    p, c, base, s = 150.0, 25.0, 18.0, 289.88610849770954
    right = math.radians(1.6654257941896438)

    def gap(block: float) -> float:
        low, high = -0.2, 0.2
        for _ in range(80):
            turn = (low + high) / 2
            short = base + p * math.sin(turn) + c * (1 - math.cos(turn)) < block
            low, high = (turn, high) if short else (low, turn)
        return s * math.tan(low)

    block = base + p * math.sin(right) + c * (1 - math.cos(right))
    wanted = gap(block + 0.05) - gap(block)
    assert contribution("set block height") == pytest.approx(wanted, rel=1e-3)
    assert contribution("pivot play") == pytest.approx(wanted, rel=1e-3)


def test_heel_errors_by_their_wedge() -> None:
    """Something 0.05 mm thick at one end of a 92 mm shoulder turns the neck by that wedge."""
    s, right = 289.88610849770954, math.radians(1.6654257941896438)
    wanted = s * (math.tan(right + math.atan(0.05 / 92)) - math.tan(right))
    assert contribution("flatness of the end face") == pytest.approx(wanted, rel=1e-3)
    wanted = s * (math.tan(right + math.atan(0.03 / 92)) - math.tan(right))
    assert contribution("evenness of the last pass") == pytest.approx(wanted, rel=1e-3)


def test_known_faults_count_when_they_are_larger() -> None:
    """A measured eccentricity beyond the tolerance counts; so does a plate that sags more than assumed."""
    assert contribution("bushing eccentricity") == 0.05
    assert contribution("bushing eccentricity", router={"eccentricity": 0.4}) == 0.4
    assert contribution("plate sag", tolerances={"plate_sag": 0.5}) == pytest.approx(
        289.886 * math.radians(0.5), rel=1e-2
    )
    weak = contribution("plate sag", jig={"plate_stock": "ply-12"})
    assert weak > contribution("plate sag")


def test_sums_and_the_dominant_one() -> None:
    """Worst case adds, the likely one does not; the reading of the gap dominates a well-made joint."""
    found = solve(example_b()).uncertainty
    sizes = [item.gap for item in found.contributions]
    assert found.gap_worst == pytest.approx(sum(sizes))
    assert found.gap_rss == pytest.approx(math.sqrt(sum(size**2 for size in sizes)))
    assert found.gap_rss < found.gap_worst
    assert found.dominant.name == "reading of the gap"
    assert len(sizes) == 7


def test_key_play_sideways() -> None:
    """0.1 mm of play over a 120 mm key misses the saddle's centre by 0.1·s/120."""
    assert solve(example_a()).uncertainty.sideways == pytest.approx(0.1 * 289.8861 / 120, abs=1e-6)
