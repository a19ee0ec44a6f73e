"""Corrections and neck resets: worked figures, published ones, and the neck turned as vectors until it fits."""

from __future__ import annotations

import cmath
import json
import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from worked_examples import example_a, example_b, example_c, example_d, example_n, make_job

from generator.base.errors import InputError
from generator.job.load import load_job
from generator.job.model.instrument import Handed
from generator.job.model.job import Job
from generator.job.presets import PresetKind, list_presets
from generator.joint.corrections import Edge, Stage, adjust, correct, edge_towards
from generator.joint.cradle import shim_stock
from generator.joint.reset import reset, solve_reset
from generator.joint.solution import Solution, solve

EXAMPLES = [example_a, example_b, example_c, example_d, example_n]
READY = [preset.name for preset in list_presets(PresetKind.JOBS)]


# --- worked figures ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("make", "gap", "change"),
    [
        (example_a, 2.6, 0.4657),
        (example_a, 4.3, -0.4140),
        (example_b, 2.0, 0.3896),
        (example_d, 2.4, 0.3164),
        (example_n, -3.0, 0.2294),
        (example_c, 2.1, 0.2057),
    ],
)
def test_worked_shims(make: Callable[[], Job], gap: float, change: float) -> None:
    """The worked shims of the jig's requirements; put back into the geometry each gives the target to 1e-6."""
    solution = solve(make())
    trim = correct(solution, gap).trim
    assert trim.change == pytest.approx(change, abs=5.1e-5)
    jig_fault = rest_of_gap(solution, gap) - trim.in_use
    assert gap_of_rest(solution, trim.new + jig_fault) == pytest.approx(solution.neck_set.saddle_gap, abs=1e-6)


def test_gap_found_too_small() -> None:
    """Example A, 2.6 found for 3.5: +0.1777°, rest 21.3613 to 21.8270, or 0.2854 off the heel's back end."""
    found = correct(solve(example_a()), 2.6)
    assert found.angle_change == pytest.approx(0.1777, abs=5.1e-5)
    assert found.trim.in_use == pytest.approx(21.3613, abs=5.1e-5)
    assert found.trim.new == pytest.approx(21.8270, abs=5.1e-5)
    assert found.shoulder.back_end == pytest.approx(0.2854, abs=5.1e-5)
    assert found.shoulder.join == 0.0


def test_gap_found_too_large() -> None:
    """Example A, 4.3 found for 3.5: −0.1580°, rest 21.3613 to 20.9473, or 0.2537 off at the join."""
    found = correct(solve(example_a()), 4.3)
    assert found.angle_change == pytest.approx(-0.1580, abs=5.1e-5)
    assert found.trim.new == pytest.approx(20.9473, abs=5.1e-5)
    assert found.shoulder.join == pytest.approx(0.2537, abs=5.1e-5)
    assert found.shoulder.back_end == 0.0


def test_sideways_figure() -> None:
    """Example A, 1.2 mm off at a heel 60 mm wide: 0.2484 off one edge, the nut moves by half of that."""
    found = correct(solve(example_a()), 3.5, sideways=1.2)
    assert found.sideways.remove == pytest.approx(0.2484, abs=5.1e-5)
    assert found.sideways.nut_moves == pytest.approx(0.1242, abs=5.1e-5)
    assert found.sideways.tenon_turns == pytest.approx(21.025 * 1.2 / 289.8861, abs=1e-6)
    assert found.string_length_change == pytest.approx(-0.1242, abs=5.1e-5)


def test_a_right_reading_asks_for_nothing() -> None:
    """The wanted gap, found, changes nothing and takes nothing off."""
    for stage in Stage:
        found = correct(solve(example_b()), solve(example_b()).neck_set.saddle_gap, stage=stage)
        assert found.angle_change == pytest.approx(0.0, abs=1e-12)
        assert found.trim.shims == (1.0,)
        assert found.trim.join_moves == pytest.approx(0.0, abs=1e-12)
        assert found.shoulder.most == pytest.approx(0.0, abs=1e-12)
        assert found.string_length_change == pytest.approx(0.0, abs=1e-12)
        assert found.sideways.edge is Edge.NONE


# --- the neck itself, as vectors -----------------------------------------------------------------------------------


def gap_of_rest(solution: Solution, rest: float) -> float:
    """Gap of a neck cut on two rests, by points: both edges it touches, and the saddle over the line through them.

    Jig X and Z of the edges; the shoulder lies square to the plate, so on the body the whole neck turns by the end
    face's tilt, and jig X then runs down the end face, jig Z into the body.
    """
    cradle = solution.cradle
    upper = complex(0.0, -cradle.rest_depth)
    lower = complex(rest - cradle.upper_rest, -cradle.rest_depth - cradle.rest_spacing)
    towards_plate = upper - lower
    into_body = cmath.rect(1.0, math.radians(solution.neck_set.end_face_tilt))
    plane = towards_plate.imag * into_body + towards_plate.real * into_body * -1j
    rise = plane.imag / plane.real * solution.neck_set.join_to_saddle
    return solution.neck_set.neck_rise + rise - solution.neck_set.top_rise_at_saddle


def rest_of_gap(solution: Solution, gap: float) -> float:
    """The angle rest, shims included, whose neck shows this gap, by bisection."""
    low, high = 0.0, 60.0
    for _ in range(80):
        rest = (low + high) / 2
        low, high = (rest, high) if gap_of_rest(solution, rest) < gap else (low, rest)
    return low


@pytest.mark.parametrize("make", EXAMPLES)
@pytest.mark.parametrize("off", [-1.3, -0.4, 0.4, 1.3])
def test_new_rest_lands_on_the_target(make: Callable[[], Job], off: float) -> None:
    """A jig whose rests come out wrong by some fixed width is put right by the advised change, to 1e-6.

    The jig's fault is found by bisection on points of its rests; the corrected rest goes into that same faulty jig.
    """
    solution = solve(make())
    wanted = solution.neck_set.saddle_gap
    advice = correct(solution, wanted + off)
    fault = rest_of_gap(solution, wanted + off) - advice.trim.in_use
    landed = gap_of_rest(solution, advice.trim.new + fault)
    assert landed == pytest.approx(wanted, abs=1e-6)
    assert advice.gap_predicted == pytest.approx(landed, abs=1e-6)


@pytest.mark.parametrize("name", READY)
@pytest.mark.parametrize("tenths", range(-15, 16, 3))
def test_the_kits_shims_trim_both_ways(name: str, tenths: int) -> None:
    """Every gap within 1.5 mm of the target is put right from the kit's own shims, to half the thinnest of them.

    The stack holds no more of a thickness than the kit has, and what it is said to give is what its sum gives.
    """
    solution = solve(load_job(name))
    wanted, cradle, spec = solution.neck_set.saddle_gap, solution.cradle, solution.job.jig
    found = correct(solution, wanted + tenths / 10, stage=Stage.FINAL)
    stock = shim_stock(spec.shims, spec.nominal_shim)
    assert found.trim.new_rest is None
    assert all(found.trim.shims.count(size) <= stock.count(size) for size in found.trim.shims)
    stack = math.fsum(found.trim.shims)
    assert stack == pytest.approx(spec.nominal_shim + found.trim.change, abs=min(stock) / 2 + 1e-9)
    fault = rest_of_gap(solution, wanted + tenths / 10) - cradle.angle_rest
    landed = gap_of_rest(solution, cradle.angle_rest - spec.nominal_shim + stack + fault)
    assert found.gap_with_shims == pytest.approx(landed, abs=1e-6)
    assert landed == pytest.approx(wanted, abs=0.051 * solution.neck_set.join_to_saddle / cradle.rest_spacing)


@pytest.mark.parametrize(("make", "gap"), [(example_a, 2.6), (example_n, -3.0), (example_d, 2.4)])
def test_the_shoulder_line_moves(make: Callable[[], Job], gap: float) -> None:
    """By (P_r − d_c)·q/p; where the plane changes its lean the edge that carries it changes too (example D).

    Reference: the plane through the edges as a straight line, its X at the shoulder's depth before and after.
    """
    solution = solve(make())
    cradle, trim = solution.cradle, correct(solution, gap).trim
    lines = []
    for rest in (rest_of_gap(solution, gap), cradle.angle_rest):
        lean = (rest - cradle.upper_rest) / cradle.rest_spacing
        edge = cradle.rest_depth + (0.0 if lean >= 0 else cradle.rest_thickness)
        lines.append((solution.joint.tenon_projection_routed - edge) * lean)
    assert trim.join_moves == pytest.approx(lines[1] - lines[0], abs=1e-6)
    assert trim.other_edges is (make is example_d)
    if not trim.other_edges:
        rule = (solution.joint.tenon_projection_routed - trim.contact_depth) * trim.change / cradle.rest_spacing
        assert trim.join_moves == pytest.approx(rule, abs=1e-9)


@pytest.mark.parametrize("make", EXAMPLES)
@pytest.mark.parametrize("off", [-1.3, 0.9])
def test_shoulder_taper_lands_on_the_target(make: Callable[[], Job], off: float) -> None:
    """Cut back by the taper and pushed home, the neck shows the wanted gap within 0.02 mm.

    Reference: the shoulder as two points, the neck turned until both lie on the end face again.
    """
    solution = solve(make())
    neck_set, heel = solution.neck_set, solution.joint.heel_length
    advice = correct(solution, neck_set.saddle_gap + off, stage=Stage.FINAL)
    tilt = math.radians(neck_set.end_face_tilt)
    down, into = complex(math.sin(tilt), -math.cos(tilt)), complex(math.cos(tilt), math.sin(tilt))
    top = -into * advice.shoulder.join
    back = down * heel - into * advice.shoulder.back_end
    turn = down / ((back - top) / abs(back - top))
    slope = (neck_set.saddle_gap + off - neck_set.neck_rise + neck_set.top_rise_at_saddle) / neck_set.join_to_saddle
    plane = complex(1.0, slope) * turn
    gap = neck_set.neck_rise + plane.imag / plane.real * neck_set.join_to_saddle - neck_set.top_rise_at_saddle
    assert gap == pytest.approx(neck_set.saddle_gap, abs=0.02)
    assert advice.gap_predicted == pytest.approx(gap, abs=0.02)


@pytest.mark.parametrize("miss", [1.2, -0.8])
@pytest.mark.parametrize("handed", list(Handed))
def test_sideways_by_turning_the_shoulder(miss: float, handed: Handed) -> None:
    """Turned until the centreline meets the saddle, the shoulder digs into the body on the side the neck missed to.

    Reference: the shoulder's two edges turned about the join in the plane of the top; body +Y is on the left of one
    looking towards the tail with the top up, so it is the treble side of a right-handed instrument.
    """
    solution = solve(make_job(instrument={"handed": handed.value}))
    back = -math.atan2(miss, solution.neck_set.join_to_saddle)
    half = solution.job.instrument.heel_width / 2
    plus, minus = (complex(0.0, y) * complex(math.cos(back), math.sin(back)) for y in (half, -half))
    deep, shallow = (plus, minus) if plus.real > minus.real else (minus, plus)
    cut = correct(solution, solution.neck_set.saddle_gap, sideways=miss).sideways
    assert cut.remove == pytest.approx(deep.real - shallow.real, rel=1e-4)
    treble_is_plus = handed is Handed.RIGHT
    wanted = Edge.TREBLE if (deep.imag > 0) is treble_is_plus else Edge.BASS
    assert cut.edge is wanted


@given(miss=st.floats(0.01, 3))
def test_handedness_mirrors_the_edges(miss: float) -> None:
    """A miss lies on the other string side of a left-handed instrument, and the opposite miss on the other edge."""
    right, left = (make_job(instrument={"handed": hand}).instrument for hand in ("right", "left"))
    assert edge_towards(right, miss) is edge_towards(left, -miss) is Edge.TREBLE
    assert edge_towards(right, -miss) is edge_towards(left, miss) is Edge.BASS


# --- what goes with a correction -----------------------------------------------------------------------------------


def test_tenon_turns_with_the_neck() -> None:
    """Raising takes the tenon's back end deeper by its length's wedge, lowering all of it by what came off the join."""
    up = correct(solve(example_a()), 2.6, stage=Stage.FINAL)
    assert up.tenon_deeper == pytest.approx(91 * math.tan(math.radians(up.angle_change)))
    assert up.ease_floor == 0.0
    down = correct(solve(example_a()), 4.3, stage=Stage.FINAL)
    assert down.tenon_deeper == pytest.approx(0.2537, abs=5.1e-5)
    deep = correct(solve(example_a()), -1.5, stage=Stage.FINAL)
    assert deep.ease_floor == pytest.approx(deep.tenon_deeper - 1.2)


def test_a_second_pass_wants_room_at_the_tenons_end() -> None:
    """Only before a second pass at a larger angle the back edge of the tenon's end comes off first."""
    solution = solve(example_a())
    assert correct(solution, 2.6).tenon_end_relief == pytest.approx(91 * math.tan(math.radians(0.17773)), abs=1e-4)
    assert correct(solution, 4.3).tenon_end_relief == 0.0
    assert correct(solution, 2.6, stage=Stage.FINAL).tenon_end_relief == 0.0


def test_string_length() -> None:
    """Lowering on the shoulder shortens the string by what comes off at the join; raising and the rests do not."""
    solution = solve(example_a())
    assert correct(solution, 4.3, stage=Stage.FINAL).string_length_change == pytest.approx(-0.2537, abs=5.1e-5)
    assert correct(solution, 2.6, stage=Stage.FINAL).string_length_change == 0.0
    assert correct(solution, 4.3).string_length_change == 0.0


def test_hold_back_left() -> None:
    """What the shoulder's wedge leaves of 3.175 mm; nothing is left once the last pass is taken."""
    solution = solve(example_a())
    assert correct(solution, 2.6).hold_back_left == pytest.approx(3.175 - 0.2854, abs=5.1e-5)
    assert correct(solution, 2.6, stage=Stage.FINAL).hold_back_left == 0.0


def test_another_rest_in_use() -> None:
    """A rest of 21.8613 is the one drawn on 1.5 mm of shims: the change counts from there, and the stack grows to 2."""
    trim = correct(solve(example_a()), 2.6, rest=21.3613 + 0.5).trim
    assert trim.new == pytest.approx(21.8270 + 0.5, abs=1e-4)
    assert trim.shims == (1.0, 1.0)


def test_a_measured_stand_off_counts() -> None:
    """A board out of square by 0.3 at the angle rest: rest in use and new rest both carry the 0.3, the shims do not."""
    plain, measured = (solve(make_job(jig={"stand_off": c})) for c in (None, 17.3))
    first, second = (correct(solution, 2.6).trim for solution in (plain, measured))
    assert second.in_use == pytest.approx(first.in_use + 0.3)
    assert second.new == pytest.approx(first.new + 0.3)
    assert second.shims == first.shims == (1.0, 0.5)


def test_shims_say_what_they_give() -> None:
    """Shims come as near as a tenth of a millimetre; the gap with them is theirs, not the exact rest's."""
    solution = solve(example_a())
    found = correct(solution, 2.6)
    assert found.trim.shims == (1.0, 0.5)
    assert found.gap_with_shims == pytest.approx(gap_of_rest(solution, rest_of_gap(solution, 2.6) + 0.5), abs=1e-6)
    assert correct(solution, 4.3).trim.shims == (0.5, 0.1)


@pytest.mark.parametrize(("gap", "planed"), [(5.8, 19.1712), (-4.5, 24.5009)])
def test_beyond_the_shims_a_new_rest_is_planed(gap: float, planed: float) -> None:
    """Thinner than without any shim, thicker than with all of them: the new width is stated, with the nominal shim.

    Example A: 21.3613 − 1 + 150·(3.5 − 5.8)/289.8861 and 21.3613 − 1 + 150·(3.5 + 4.5)/289.8861 (arithmetic).
    """
    solution = solve(make_job(router={"hold_back": 3.0}))
    found = correct(solution, gap)
    assert found.trim.new_rest == pytest.approx(planed, abs=1e-4)
    assert found.trim.shims == (1.0,)
    fault = rest_of_gap(solution, gap) - found.trim.in_use
    assert gap_of_rest(solution, planed + 1.0 + fault) == pytest.approx(3.5, abs=1e-3)
    assert found.gap_with_shims == found.gap_predicted


def test_forward_sets_keep_their_signs() -> None:
    """On a forward set with a negative reading, too little gap still asks for a wider rest and the heel's back."""
    nylon = solve(make_job(target={"saddle_gap": -2.5}, instrument={"top": {"form": "flat"}}))
    low = correct(nylon, -3.1)
    assert nylon.neck_set.set_angle < 0
    assert low.trim.change > 0
    assert low.shoulder.back_end > 0
    high = correct(nylon, -1.9)
    assert high.trim.change < 0
    assert high.shoulder.join > 0


# --- refusals ------------------------------------------------------------------------------------------------------


def test_a_reading_beyond_the_hold_back_is_refused_with_what_works() -> None:
    """The refusal names the readings the hold-back covers, and the way out; just inside them it is taken."""
    solution = solve(make_job(router={"hold_back": 0.5, "max_step": 0.5}))
    with pytest.raises(InputError) as refused:
        correct(solution, 1.0)
    fault = refused.value.faults[0]
    assert fault.key == "--gap"
    assert "takes 0.79 mm of the 0.5 mm held back" in fault.found
    assert "1.92 to 5.08 mm" in fault.allowed
    assert "--stage final" in fault.allowed
    correct(solution, 1.93)
    correct(solution, 5.07)
    assert correct(solution, 1.0, stage=Stage.FINAL).shoulder.back_end == pytest.approx(0.793, abs=1e-3)


def test_a_rest_too_narrow_is_refused() -> None:
    """A correction that would need an angle rest under 12 mm is refused at the shy stage and says so."""
    with pytest.raises(InputError, match=r"asks for an angle rest of 11\.\d+ mm"):
        correct(solve(example_a()), 5.0, rest=13.5)
    assert correct(solve(example_a()), 5.0, stage=Stage.FINAL, rest=13.5).shoulder.join > 0


@pytest.mark.parametrize(
    ("readings", "keys"),
    [
        ({"gap": -1e6}, ["--gap"]),
        ({"gap": 50.001, "sideways": -1e9}, ["--gap", "--sideways"]),
        ({"gap": math.nan}, ["--gap"]),
        ({"gap": 3.5, "rest": 1e6}, ["--rest"]),
        ({"gap": 1e6, "rest": -3.0}, ["--gap", "--rest"]),
    ],
)
@pytest.mark.parametrize("stage", list(Stage))
def test_readings_that_cannot_be_are_refused_by_key(readings: dict[str, float], keys: list[str], stage: Stage) -> None:
    """No instrument shows such a gap, no jig has such a rest: every one is named, whatever the stage."""
    with pytest.raises(InputError) as refused:
        correct(solve(example_a()), stage=stage, **readings)
    assert [fault.key for fault in refused.value.faults] == keys
    assert all(" to " in fault.allowed for fault in refused.value.faults)


def test_adjust_is_the_contracts_object() -> None:
    """Every key of the contract, plain JSON, signs as in the worked figures."""
    found = adjust(solve(example_a()), 2.6, 1.2)
    assert {
        "gap_found_mm", "gap_wanted_mm", "stage", "angle_change_deg", "angle_rest_change_mm",
        "angle_rest_new_mm", "trim_shims_mm", "shoulder", "sideways", "hold_back_left_mm",
        "gap_predicted_mm", "string_length_change_mm",
    } <= set(found)  # fmt: skip
    assert found["stage"] == "shy"
    assert found["trim_shims_mm"] == [1.0, 0.5]
    assert set(found["shoulder"]) == {"back_end_mm", "join_mm"}
    assert {"edge", "remove_mm"} <= set(found["sideways"])
    assert json.loads(json.dumps(found, allow_nan=False)) == found


# --- neck reset ----------------------------------------------------------------------------------------------------


def test_published_reset_rule() -> None:
    """Shoulder removal h·ΔG/s: 88.9, 3.0 and 291.2 mm give 0.9159 mm (rule from memory; the value is arithmetic)."""
    job = make_job(
        target={"saddle_gap": 1.5},
        instrument={
            "saddle_compensation": 291.2 - 645.16 * 0.5 ** (14 / 12),
            "body_depth_at_neck": 94.9,
            "top": {"form": "flat"},
        },
    )
    solution = solve(job)
    now = -1.5 - 9.5 + 6.35 + 1.1 - 1.5
    found = solve_reset(solution, clearance_now=now)
    assert found.gap_now == pytest.approx(-1.5)
    assert found.shoulder.back_end == pytest.approx(0.9159, abs=1e-4)
    assert found.shoulder.join == 0.0


def test_reset_by_action_equals_reset_by_clearance() -> None:
    """Two readings of one instrument give one reset."""
    solution = solve(example_a())
    first = solve_reset(solution, clearance_now=-3.0)
    second = solve_reset(solution, action_now=first.action_now)
    assert second.shoulder.back_end == pytest.approx(first.shoulder.back_end)
    assert second.clearance_now == pytest.approx(-3.0)
    assert first.clearance_wanted == pytest.approx(-0.05)


def test_reset_taper_is_straight() -> None:
    """The taper runs straight from nothing at the join to the full removal at the heel's end."""
    found = solve_reset(solve(example_a()), clearance_now=-3.0)
    assert [item.from_join for item in found.taper] == [0.0, 23.0, 46.0, 69.0, 92.0]
    full = found.shoulder.back_end
    assert [item.remove for item in found.taper] == pytest.approx([0, full / 4, full / 2, full * 3 / 4, full])
    too_high = solve_reset(solve(example_a()), clearance_now=2.0)
    assert too_high.taper[0].remove == pytest.approx(too_high.shoulder.join)
    assert too_high.taper[-1].remove == pytest.approx(0.0)
    assert too_high.string_length_change == -too_high.shoulder.join


def test_saddle_left() -> None:
    """Lowering the saddle alone to the wanted action costs as much saddle as the gap is short."""
    found = solve_reset(solve(example_a()), clearance_now=-2.05)
    assert found.saddle_left == 3.2
    assert found.saddle_without_reset == pytest.approx(1.2)
    lowered = solve(make_job(target={"saddle_gap": 1.5}, instrument={"saddle_projection": 1.2}))
    assert lowered.neck_set.action == pytest.approx(found.action_wanted)


def test_extension_wedge() -> None:
    """Tipping the neck back lifts the fretboard's end by its share of the way to the saddle."""
    solution = solve(example_a())
    found = solve_reset(solution, clearance_now=-3.0)
    before = solve(make_job(target={"saddle_gap": found.gap_now}))
    assert found.extension_wedge == pytest.approx(
        solution.neck_set.extension_gap - before.neck_set.extension_gap, abs=1e-9
    )


@pytest.mark.parametrize("readings", [{}, {"clearance_now": 1.0, "action_now": 2.0}])
def test_reset_takes_one_reading(readings: dict[str, float]) -> None:
    """Neither or both readings are refused."""
    with pytest.raises(InputError, match="exactly one of the two"):
        solve_reset(solve(example_a()), **readings)


@pytest.mark.parametrize("readings", [{"clearance_now": -1e6}, {"action_now": 51.0}])
def test_reset_refuses_a_reading_that_cannot_be(readings: dict[str, float]) -> None:
    """The option is named with what is allowed."""
    with pytest.raises(InputError, match="allowed: -50 to 50 mm") as refused:
        solve_reset(solve(example_a()), **readings)
    assert refused.value.faults[0].key == "--" + next(iter(readings)).replace("_", "-")


def test_reset_as_json() -> None:
    """Plain JSON, every key with its unit."""
    found = reset(solve(example_a()), action_now=3.4)
    assert json.loads(json.dumps(found, allow_nan=False)) == found
    assert all(key.endswith(("_mm", "_deg")) for key in found if key not in ("shoulder", "taper"))
