"""Beam formulas against numerical integration, and against rough figures a builder can check with a dial gauge."""

from __future__ import annotations

import math

import pytest
from worked_examples import example_a, make_job

from generator.model.router import RouterKind
from generator.solution import solve
from generator.stiffness import (
    PLATE_LOADS,
    Plank,
    Stretch,
    bridge_deflection,
    plate_tilt,
    railed_stiffness,
    tilt_under_load,
    tongue_deflection,
    tongue_give,
)


@pytest.mark.parametrize(
    ("width", "length", "thick", "modulus", "give", "slack"),
    [
        (15.7, 105, 12, 9.5, 0.32, 0.01),
        (15.7, 105, 18, 9.5, 0.21, 0.01),
        (15.7, 105, 10, 70, 0.05, 0.005),
        (15.7, 105, 12, 3, 1.0, 0.01),
        (8.6, 73, 12, 9.5, 0.64, 0.01),
    ],
)
def test_tongue_orientation(
    width: float, length: float, thick: float, modulus: float, give: float, slack: float
) -> None:
    """A free tongue under 30 N: plywood, aluminium, acrylic, and a ukulele's (common practice, moduli from memory)."""
    assert tongue_deflection(width, length, thick, modulus) == pytest.approx(give, abs=slack)


def propped(load_at: float, length: float, stiffness: float, force: float) -> float:
    """Largest deflection of a beam fixed at 0 and pinned at `length`, by superposing tip load and integrating twice."""
    count = 2000
    step = length / count

    def shape(at: float, push: float) -> list[float]:
        slope = sag = 0.0
        found = [0.0]
        for i in range(count):
            x = (i + 0.5) * step
            bend = push * max(at - x, 0.0) / stiffness
            sag += slope * step + bend * step**2 / 2
            slope += bend * step
            found.append(sag)
        return found

    loaded, unit = shape(load_at, force), shape(length, 1.0)
    hold = loaded[-1] / unit[-1]
    return max(abs(a - hold * b) for a, b in zip(loaded, unit, strict=True))


def test_pinned_tongue_by_integration() -> None:
    """With its end pinned the tongue gives most under a load at 0.586 of its length: the closed form's maximum."""
    width, length, thick, modulus = 15.7, 105.0, 18.0, 9.5
    stiffness = 1000 * modulus * thick * width**3 / 12
    worst = max(propped(length * share / 50, length, stiffness, 30.0) for share in range(1, 50))
    found = tongue_deflection(width, length, thick, modulus, pinned=True)
    assert found == pytest.approx(worst, rel=2e-3)
    assert found < 0.02


def test_bridged_tongue_is_far_stiffer() -> None:
    """Joined at both ends over 131 mm instead of free over 105 mm, a tongue is about 32 times stiffer."""
    free = tongue_deflection(15.7, 105, 18, 9.5)
    assert free / bridge_deflection(15.7, 131.5, 18, 9.5) == pytest.approx(32, abs=1)


def test_tilt_by_integration() -> None:
    """The slope at the load is the moment over the stiffness, summed along the beam in small steps."""
    stretches = [Stretch(0.0, 10.0, 3e8), Stretch(10.0, 120.0, 1.2e8)]
    step, turn = 0.01, 0.0
    for i in range(11000):
        x = (i + 0.5) * step
        turn += 100.0 * (110.0 - x) / (3e8 if x < 10.0 else 1.2e8) * step
    assert tilt_under_load(stretches, 110.0, 100.0) == pytest.approx(math.degrees(turn), rel=1e-6)


def test_composite_section() -> None:
    """Glued without slip, plate and rails bend as one section: the parallel-axis sum about the common middle.

    Reference: the section cut into thin layers, each weighted with its own modulus.
    """
    plate, rails = Plank(88, 18, 9.5), Plank(24, 19.2, 70.0)
    layers = [(0.01 * (i + 0.5), 9500.0 * 88 if i < 1800 else 70000.0 * 24) for i in range(3720)]
    middle = sum(z * weight for z, weight in layers) / sum(weight for _, weight in layers)
    whole = sum(weight * 0.01 * (z - middle) ** 2 for z, weight in layers)
    assert railed_stiffness(plate, rails) == pytest.approx(whole, rel=1e-5)
    assert railed_stiffness(plate, None) == plate.own_stiffness


def test_plate_sag_orientation() -> None:
    """12 mm plywood on the cheeks alone tilts by about a third of a degree, and rails bring a plate to a third.

    Common practice; with rails 18 mm plywood keeps the limits, 12 mm does not.
    """
    thin, usual = solve(make_job(jig={"plate_stock": "ply-12"})), solve(example_a())
    assert plate_tilt(thin.job, thin.joint, thin.routing, rails=False) == pytest.approx(0.33, abs=0.02)
    for solution in (thin, usual):
        bare = plate_tilt(solution.job, solution.joint, solution.routing, rails=False)
        assert plate_tilt(solution.job, solution.joint, solution.routing) == pytest.approx(bare / 3)
    assert plate_tilt(usual.job, usual.joint, usual.routing) < 0.04
    assert plate_tilt(thin.job, thin.joint, thin.routing) > 0.10


def test_weak_rails_are_worth_what_they_are() -> None:
    """Rails that help less than by two thirds are counted as the composite beam says, between bare and a third."""
    weak = solve(make_job(joint={"mortise_depth": 10.0}))
    bare = plate_tilt(weak.job, weak.joint, weak.routing, rails=False)
    assert bare / 3 < plate_tilt(weak.job, weak.joint, weak.routing) < bare


def test_tongue_as_built() -> None:
    """The job decides whether the tongue is judged free, pinned or bridged."""
    free = solve(make_job(jig={"tip_pin": False}))
    pinned, bridged = solve(example_a()), solve(make_job(jig={"bridged": True}))
    found = tongue_give(free.job, free.routing)
    assert found.held == found.free == pytest.approx(0.216, abs=0.002)
    assert tongue_give(pinned.job, pinned.routing).held < 0.02
    assert tongue_give(bridged.job, bridged.routing).held < 0.02


def test_a_trim_router_weighs_less() -> None:
    """60 N instead of 100 N on the plate."""
    assert PLATE_LOADS[RouterKind.TRIM] / PLATE_LOADS[RouterKind.PLUNGE] == pytest.approx(0.6)
