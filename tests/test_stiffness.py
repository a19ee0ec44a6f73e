"""The stiffness formulas against numerical integration and plain limits; finite elements have a file of their own."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from worked_examples import example_a, make_job

from generator.job.model.router import RouterKind
from generator.joint.checks import CheckStatus
from generator.joint.checks.stiffness import stiffness_checks
from generator.joint.solution import solve
from generator.joint.stiffness import (
    PLATE_LOADS,
    Board,
    JigBody,
    PlateStand,
    PlySheet,
    Tongue,
    TongueHold,
    bare,
    beside_tilt,
    board_tilt,
    plate_tilt,
    solve_deflection,
    tongue_bridged,
    tongue_free,
    tongue_pinned,
)

PLY = PlySheet(18, 9.0, 0.65, 0.2)
#: So stiff in shear that only bending is left.
STIFF = PlySheet(18, 9.0, 1e9, 1e9)
STAND = PlateStand(PLY, 106.3, 38, 88.3, 18, PLY, 22.225, 94.2)
TONGUE = Tongue(PLY, 15.7, 105)
JIG = JigBody(STAND, TONGUE, Board(PLY, 205, 181), TongueHold.PINNED, RouterKind.PLUNGE)


def test_a_tongue_that_only_bends() -> None:
    """Without shear the free tongue is a cantilever: F·L³/3EI, 0.22 mm for 15.7 × 18 × 105 of 9 GPa under 30 N."""
    plain = 30 * 105**3 / (3 * 9000 * 18 * 15.7**3 / 12)
    assert plain == pytest.approx(0.22, abs=0.005)
    assert tongue_free(replace(TONGUE, sheet=STIFF)) == pytest.approx(plain, rel=1e-3)
    assert tongue_free(TONGUE) == pytest.approx(1.5 * plain, rel=0.02)


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
    """Pinned 10 before its end it gives most under a load at 0.586 of that length; the neck adds 0.015."""
    stiffness = 1000 * 9.0 * 18 * 15.7**3 / 12
    worst = max(propped(95 * share / 50, 95, stiffness, 30.0) for share in range(1, 50))
    assert tongue_pinned(replace(TONGUE, sheet=STIFF)) - 0.015 == pytest.approx(worst, rel=2e-3)
    assert tongue_pinned(TONGUE) < 0.035


def test_bridged_tongue() -> None:
    """Joined at both ends it is a beam on two supports: F·L³/48EI and F·L/4 of shear, the latter by 6/5."""
    bending = 30 * 105**3 / (48 * 1000 * 9.0 * 18 * 15.7**3 / 12)
    shear = 1.2 * 30 * 105 / (4 * 650 * 18 * 15.7)
    assert tongue_bridged(TONGUE) == pytest.approx(bending + shear, rel=1e-12)


def test_plate_bending_by_integration() -> None:
    """With no shear left a side's turn is 1.53 times moment over stiffness, summed in small steps along its bracket."""
    stand = replace(STAND, plate=STIFF, bracket=STIFF)
    step, turn = 0.01, 0.0
    for i in range(10630):
        x = (i + 0.5) * step
        high = 22.225 + (94.2 - 22.225) * (1 - 0.85 * x / 50) if x < 50 else 22.225
        strip, rail = 38 * 18.0, 18 * high
        inertia = 38 * 18**3 / 12 + 18 * high**3 / 12 + strip * rail / (strip + rail) * ((18 + high) / 2) ** 2
        turn += 50 * (106.3 - x) / (9000 * inertia) * step
    assert plate_tilt(stand, 100) == pytest.approx(math.degrees(1.53 * turn), rel=1e-3)


def test_what_makes_a_plate_stiffer() -> None:
    """Brackets, thickness, a shorter overhang and stiffer shear each lower the tilt; load scales it; one side adds."""
    usual = plate_tilt(STAND, 100)
    assert usual < 0.04
    assert plate_tilt(bare(STAND), 100) > 0.10
    assert plate_tilt(replace(STAND, plate=replace(PLY, thickness=12)), 100) > usual
    assert plate_tilt(replace(STAND, overhang=90.0), 100) < usual
    assert plate_tilt(replace(STAND, bracket=replace(PLY, rolling=0.5)), 100) < usual
    assert plate_tilt(STAND, 60) == pytest.approx(0.6 * usual)
    assert beside_tilt(STAND, 100) > 1.5 * usual


def test_a_board_that_only_bends() -> None:
    """Without shear and with brackets down to the rest only the seats are left, and they too are stiff then."""
    stiff = replace(STAND, plate=STIFF, bracket=STIFF)
    assert board_tilt(Board(STIFF, 205, 94.2), stiff) < 1e-6
    free = 181 - 94.2
    bent = 1.2 * 30 * free**2 / (2 * 9000 * 205 * 18**3 / 12)
    assert board_tilt(Board(STIFF, 205, 181), stiff) == pytest.approx(math.degrees(bent), rel=1e-3)


def test_all_of_it_is_judged() -> None:
    """18 mm with brackets keeps every limit; each weakness has its own check that warns and then fails."""

    def status(jig: JigBody) -> dict[str, CheckStatus]:
        return {check.name: check.status for check in stiffness_checks(solve_deflection(jig), jig.hold, 290)}

    assert set(status(JIG).values()) == {CheckStatus.OK}
    assert status(replace(JIG, hold=TongueHold.FREE))["tongue stiffness"] is CheckStatus.FAIL
    thin = replace(JIG, tongue=Tongue(PLY, 12, 66), hold=TongueHold.FREE)
    assert status(thin)["tongue stiffness"] is CheckStatus.WARN
    lone = status(replace(JIG, stand=bare(STAND)))
    assert lone["plate tilt"] is lone["plate tilt beside the tongue"] is CheckStatus.FAIL
    soft = replace(STAND, overhang=150.0)
    assert status(replace(JIG, stand=soft))["plate tilt"] is CheckStatus.WARN
    assert status(replace(JIG, board=Board(replace(PLY, thickness=9), 205, 181)))["board stiffness"] is CheckStatus.WARN
    assert status(replace(JIG, board=Board(replace(PLY, thickness=6), 155, 220)))["board stiffness"] is CheckStatus.FAIL


def test_a_jigs_own_sizes_are_taken() -> None:
    """The job decides whether the tongue is judged free, pinned or bridged."""

    def tongue(**jig: object) -> float:
        solution = solve(make_job(jig=jig))
        return next(check.value for check in solution.checks if check.name == "tongue stiffness")

    assert tongue(tip_pin=False) > 0.25
    assert tongue() < 0.04
    assert tongue(bridged=True) < 0.04
    assert solve(example_a()).checks


def test_a_trim_router_weighs_less() -> None:
    """60 N instead of 100 N on the plate."""
    assert PLATE_LOADS[RouterKind.TRIM] / PLATE_LOADS[RouterKind.PLUNGE] == pytest.approx(0.6)
