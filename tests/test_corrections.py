"""Corrections and neck resets: worked figures, published ones, and the neck turned as vectors until it fits."""

from __future__ import annotations

import json
import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from worked_examples import example_a, example_b, example_c, example_d, make_job

from generator.corrections import Edge, Stage, adjust, correct, edge_towards
from generator.errors import InputError
from generator.model.instrument import Handed
from generator.model.job import Job
from generator.reset import reset, solve_reset
from generator.solution import Solution, solve

EXAMPLES = [example_a, example_b, example_c, example_d]


# --- worked figures ------------------------------------------------------------------------------------------------


def test_gap_found_too_small() -> None:
    """Example A, 2.6 found for 3.5: +0.1777°, block +0.4673 to 22.8373, or 0.2854 off the heel's back end."""
    found = correct(solve(example_a()), 2.6)
    assert found.angle_change == pytest.approx(0.1777, abs=5.1e-5)
    assert found.set_block_change == pytest.approx(0.4673, abs=5.1e-5)
    assert found.set_block_new == pytest.approx(22.8373, abs=5.1e-5)
    assert found.shoulder.back_end == pytest.approx(0.2854, abs=5.1e-5)
    assert found.shoulder.join == 0.0


def test_gap_found_too_large() -> None:
    """Example A, 4.3 found for 3.5: −0.1580°, block −0.4155 to 21.9545, or 0.2537 off at the join."""
    found = correct(solve(example_a()), 4.3)
    assert found.angle_change == pytest.approx(-0.1580, abs=5.1e-5)
    assert found.set_block_change == pytest.approx(-0.4155, abs=5.1e-5)
    assert found.set_block_new == pytest.approx(21.9545, abs=5.1e-5)
    assert found.shoulder.join == pytest.approx(0.2537, abs=5.1e-5)
    assert found.shoulder.back_end == 0.0


def test_sideways_figure() -> None:
    """Example A, 1.2 mm off at a heel 60 mm wide: 0.2484 off one edge, the nut moves by half of that."""
    found = correct(solve(example_a()), 3.5, sideways=1.2)
    assert found.sideways.remove == pytest.approx(0.2484, abs=5.1e-5)
    assert found.sideways.nut_moves == pytest.approx(0.1242, abs=5.1e-5)
    assert found.sideways.tenon_turns == pytest.approx(21.025 * 1.2 / 289.8861, abs=1e-6)
    assert found.string_length_change == pytest.approx(-0.1242, abs=5.1e-5)


def test_screw_turns() -> None:
    """A screw in place of the block turns by change over pitch: 0.4673 mm on M5 (pitch 0.8 mm) is 0.584 turns."""
    found = correct(solve(example_a()), 2.6)
    assert found.screw_turns == pytest.approx(0.4673 / 0.8, abs=1e-4)
    assert found.screw_thread == "M5"


def test_a_right_reading_asks_for_nothing() -> None:
    """The wanted gap, found, changes nothing and takes nothing off."""
    for stage in Stage:
        found = correct(solve(example_b()), solve(example_b()).neck_set.saddle_gap, stage=stage)
        assert found.angle_change == pytest.approx(0.0, abs=1e-12)
        assert found.trim_shims == ()
        assert found.shoulder.most == pytest.approx(0.0, abs=1e-12)
        assert found.string_length_change == pytest.approx(0.0, abs=1e-12)
        assert found.sideways.edge is Edge.NONE


# --- the neck itself, as vectors -----------------------------------------------------------------------------------


def gap_of_bed(solution: Solution, bed: float) -> float:
    """Gap of a neck cut at a bed angle: its plane laid on a bed turned as a vector, seen from the end face.

    In the jig the plane runs down the bed and the shoulder lies square to the plate; on the body the shoulder lies on
    the end face, so the whole neck turns by the end face's tilt.
    """
    tilt = math.radians(solution.neck_set.end_face_tilt)
    up_bed = complex(-math.sin(math.radians(bed)), math.cos(math.radians(bed)))  # (jig X, jig Z), towards the plate
    along_face, into_body = up_bed.real, up_bed.imag
    x = along_face * math.sin(tilt) + into_body * math.cos(tilt)
    z = -along_face * math.cos(tilt) + into_body * math.sin(tilt)
    rise = z / x * solution.neck_set.join_to_saddle
    return solution.neck_set.overstand + rise - solution.neck_set.top_rise_at_saddle


def bed_of_block(solution: Solution, block: float) -> float:
    """Bed angle at which the turned nose leaves room for just this block, by bisection."""
    spec = solution.job.jig
    low, high = -15.0, 15.0
    for _ in range(80):
        bed = (low + high) / 2
        spun = complex(-spec.nose_offset, -spec.sine_distance) * complex(
            math.cos(math.radians(bed)), math.sin(math.radians(bed))
        )
        room = spun.real + spec.nose_offset + spec.block_at_zero
        low, high = (bed, high) if room < block else (low, bed)
    return low


def bed_of_gap(solution: Solution, gap: float) -> float:
    """Bed angle whose neck shows this gap, by bisection."""
    low, high = -10.0, 10.0
    for _ in range(80):
        bed = (low + high) / 2
        low, high = (bed, high) if gap_of_bed(solution, bed) < gap else (low, bed)
    return low


@pytest.mark.parametrize("make", EXAMPLES)
@pytest.mark.parametrize("off", [-1.3, -0.4, 0.4, 1.3])
def test_new_block_lands_on_the_target(make: Callable[[], Job], off: float) -> None:
    """A jig whose blocks come out wrong by some fixed height is put right by the advised change, within 0.02 mm.

    The jig's fault is found by bisection on turned vectors, the corrected block goes into that same faulty jig.
    """
    solution = solve(make())
    wanted, block = solution.neck_set.saddle_gap, solution.cradle.set_block
    fault = next_block(solution, bed_of_gap(solution, wanted + off)) - block
    advice = correct(solution, wanted + off)
    landed = gap_of_bed(solution, bed_of_block(solution, advice.set_block_new + fault))
    assert landed == pytest.approx(wanted, abs=0.02)
    assert advice.gap_predicted == pytest.approx(landed, abs=0.02)


def next_block(solution: Solution, bed: float) -> float:
    """Block height that would give a bed angle, by turning the nose."""
    spec = solution.job.jig
    turn = math.radians(bed)
    spun = complex(-spec.nose_offset, -spec.sine_distance) * complex(math.cos(turn), math.sin(turn))
    return spun.real + spec.nose_offset + spec.block_at_zero


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
    slope = (neck_set.saddle_gap + off - neck_set.overstand + neck_set.top_rise_at_saddle) / neck_set.join_to_saddle
    plane = complex(1.0, slope) * turn
    gap = neck_set.overstand + plane.imag / plane.real * neck_set.join_to_saddle - neck_set.top_rise_at_saddle
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
    """Lowering on the shoulder shortens the string by what comes off at the join; raising and the cradle do not."""
    solution = solve(example_a())
    assert correct(solution, 4.3, stage=Stage.FINAL).string_length_change == pytest.approx(-0.2537, abs=5.1e-5)
    assert correct(solution, 2.6, stage=Stage.FINAL).string_length_change == 0.0
    assert correct(solution, 4.3).string_length_change == 0.0


def test_hold_back_left() -> None:
    """What the shoulder's wedge leaves of 3.175 mm; nothing is left once the last pass is taken."""
    solution = solve(example_a())
    assert correct(solution, 2.6).hold_back_left == pytest.approx(3.175 - 0.2854, abs=5.1e-5)
    assert correct(solution, 2.6, stage=Stage.FINAL).hold_back_left == 0.0


def test_another_block_in_use() -> None:
    """With another block in the jig the change is the same and counts from that block."""
    found = correct(solve(example_a()), 2.6, block=22.0)
    assert found.set_block_new == pytest.approx(22.4673, abs=5.1e-5)


def test_shims_say_what_they_give() -> None:
    """Shims come as near as a tenth of a millimetre; the predicted gap with them is theirs, not the exact block's."""
    found = correct(solve(example_a()), 2.6)
    assert found.trim_shims == (0.5,)
    bed = bed_of_block(solve(example_a()), next_block(solve(example_a()), 1.4876921) + 0.5)
    assert found.gap_with_shims == pytest.approx(gap_of_bed(solve(example_a()), bed), abs=1e-4)
    assert correct(solve(example_a()), 4.3).trim_shims == (-0.2, -0.2)


def test_forward_sets_keep_their_signs() -> None:
    """On a forward set with a negative reading, too little gap still asks for a larger block and the heel's back."""
    nylon = solve(make_job(target={"saddle_gap": -2.5}, instrument={"top": {"form": "flat"}}))
    low = correct(nylon, -3.1)
    assert nylon.neck_set.set_angle < 0
    assert low.set_block_change > 0
    assert low.shoulder.back_end > 0
    high = correct(nylon, -1.9)
    assert high.set_block_change < 0
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


def test_a_block_too_thin_is_refused() -> None:
    """A correction that would need a block under 5 mm is refused and says so."""
    with pytest.raises(InputError, match=r"asks for a block of 4\.\d+ mm"):
        correct(solve(example_a()), 4.3, block=5.1)


def test_adjust_is_the_contracts_object() -> None:
    """Every key of the contract, plain JSON, signs as in the worked figures."""
    found = adjust(solve(example_a()), 2.6, 1.2)
    assert {
        "gap_found_mm", "gap_wanted_mm", "stage", "angle_change_deg", "set_block_change_mm", "set_block_new_mm",
        "trim_shims_mm", "shoulder", "sideways", "hold_back_left_mm", "gap_predicted_mm", "string_length_change_mm",
    } <= set(found)  # fmt: skip
    assert found["stage"] == "shy"
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


def test_reset_as_json() -> None:
    """Plain JSON, every key with its unit."""
    found = reset(solve(example_a()), action_now=3.4)
    assert json.loads(json.dumps(found, allow_nan=False)) == found
    assert all(key.endswith(("_mm", "_deg")) for key in found if key not in ("shoulder", "taper"))
