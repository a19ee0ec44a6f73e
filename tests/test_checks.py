"""Every check, seen to warn or fail on the fault it is there for, and quiet on a sound job."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from worked_examples import example_a, example_b, example_c, example_d, make_job

from generator.job.load import job_from_tables
from generator.joint.checks.base import Check
from generator.joint.solution import CheckStatus, Solution, solve


def check(solution: Solution, name: str) -> Check:
    return next(item for item in solution.checks if item.name == name)


@pytest.mark.parametrize("make", [example_a, example_b, example_d])
def test_sound_jobs_pass(make: Any) -> None:
    """The worked examples warn of nothing and fail nothing."""
    solution = solve(make())
    assert solution.warned == ()
    assert solution.failed == ()
    assert solution.ok


def test_playing_values_warn_and_never_fail() -> None:
    """An action of 0.92 mm is low and a base of 88 mm small, so it is said; the files may still be made."""
    solution = solve(example_c())
    assert [item.name for item in solution.warned] == ["action", "router base"]
    assert solution.ok
    wild = solve(make_job(target={"saddle_gap": 9.0}))
    assert {"action", "bridge clearance", "fretboard extension"} >= {item.name for item in wild.warned}
    assert wild.ok


THIN_PLY = {"plate_stock": "ply-12", "bracket_stock": "ply-12", "margin_side": 15}
THIN_ACRYLIC = {"plate_stock": "acrylic-12", "bracket_stock": "acrylic-12", "margin_side": 15}
#: What is changed, the check that must speak, how it must come out.
FAULTS: list[tuple[dict[str, dict[str, Any]], str, CheckStatus]] = [
    ({"target": {"saddle_gap": 9.0}}, "action", CheckStatus.WARN),
    ({"target": {"saddle_gap": 0.5}}, "bridge clearance", CheckStatus.WARN),
    ({"instrument": {"saddle_to_string_hole": 30}}, "string break", CheckStatus.WARN),
    ({"instrument": {"string_hole_depth": 7}}, "string break", CheckStatus.WARN),
    (
        {"target": {"saddle_gap": 3.5}, "instrument": {"top": {"form": "flat"}, "neck_rise": 4.5}},
        "fretboard extension",
        CheckStatus.WARN,
    ),
    ({"joint": {"mortise_length": 94}}, "mortise length", CheckStatus.WARN),
    ({"joint": {"mortise_length": 96}}, "mortise length", CheckStatus.FAIL),
    ({"instrument": {"neck_block_thickness": 30}}, "mortise floor", CheckStatus.WARN),
    ({"instrument": {"neck_block_thickness": 26}}, "mortise floor", CheckStatus.FAIL),
    ({"instrument": {"neck_block_width": 40}}, "mortise sides", CheckStatus.WARN),
    ({"instrument": {"neck_block_width": 30}}, "mortise sides", CheckStatus.FAIL),
    ({"joint": {"corner_radius": 11}}, "mortise corners", CheckStatus.FAIL),
    ({"instrument": {"neck_rise": -0.9}}, "tenon end", CheckStatus.WARN),
    ({"instrument": {"neck_rise": -1.5}}, "tenon end", CheckStatus.FAIL),
    ({"instrument": {"heel_width": 22}}, "heel shoulder", CheckStatus.WARN),
    ({"instrument": {"heel_width": 20}}, "heel shoulder", CheckStatus.FAIL),
    ({"instrument": {"heel_width_at_cap": 20}}, "heel shoulder at the cap", CheckStatus.WARN),
    ({"instrument": {"heel_width_at_cap": 18}}, "heel shoulder at the cap", CheckStatus.FAIL),
    ({"instrument": {"heel_blank": 91.5}}, "heel blank", CheckStatus.WARN),
    ({"instrument": {"heel_blank": 90}}, "heel blank", CheckStatus.FAIL),
    ({"instrument": {"heel_cap_thickness": 7}}, "heel cap", CheckStatus.WARN),
    (
        {"joint": {"bolts": {"thread": "1/4-20", "kind": "insert", "from_top": [82]}}},
        "bolt 1 end distance",
        CheckStatus.WARN,
    ),
    (
        {"joint": {"bolts": {"thread": "1/4-20", "kind": "insert", "from_top": [85]}}},
        "bolt 1 end distance",
        CheckStatus.FAIL,
    ),
    (
        {"joint": {"mortise_width": 15, "bolts": {"thread": "1/4-20", "kind": "insert", "from_top": [28.5]}}},
        "bolt 1 side wall",
        CheckStatus.WARN,
    ),
    (
        {"joint": {"mortise_width": 15, "bolts": {"thread": "M8", "kind": "insert", "from_top": [28.5]}}},
        "bolt 1 side wall",
        CheckStatus.FAIL,
    ),
    (
        {"joint": {"bolts": {"thread": "1/4-20", "kind": "insert", "from_top": [16]}}},
        "bolt 1 and truss rod",
        CheckStatus.WARN,
    ),
    (
        {"joint": {"bolts": {"thread": "1/4-20", "kind": "insert", "from_top": [14]}}},
        "bolt 1 and truss rod",
        CheckStatus.FAIL,
    ),
    (
        {"joint": {"bolts": {"thread": "1/4-20", "kind": "insert", "from_top": [28, 42]}}},
        "bolts 1 and 2",
        CheckStatus.WARN,
    ),
    (
        {"joint": {"bolts": {"thread": "1/4-20", "kind": "insert", "from_top": [28, 38]}}},
        "bolts 1 and 2",
        CheckStatus.FAIL,
    ),
    ({"router": {"max_step": 3.0}}, "deepest pass", CheckStatus.FAIL),
    ({"router": {"hold_back": 0.2}}, "thinnest pass", CheckStatus.WARN),
    ({"router": {"hold_back": 0.2}}, "hold-back", CheckStatus.WARN),
    ({"router": {"reach": 40}}, "reach", CheckStatus.FAIL),
    ({"router": {"bushing_length": 17.6}}, "bushing length", CheckStatus.FAIL),
    ({"router": {"bushing_id": 13.2}}, "bit in the bushing", CheckStatus.FAIL),
    ({"router": {"shank_diameter": 13}}, "shank in the bushing", CheckStatus.WARN),
    ({"router": {"shank_diameter": 14}}, "shank in the bushing", CheckStatus.FAIL),
    ({"router": {"eccentricity": 0.1}}, "bushing eccentricity", CheckStatus.WARN),
    ({"router": {"eccentricity": 0.3}}, "bushing eccentricity", CheckStatus.FAIL),
    ({"router": {"base_diameter": 66}}, "router base", CheckStatus.FAIL),
    ({"router": {"cutting_length": 22, "shank_diameter": 12.8}}, "cutting length", CheckStatus.FAIL),
    ({"router": {"cutting_length": 3}}, "cutting length", CheckStatus.FAIL),
    ({"router": {"stick_out": 43}}, "collet nut and bushing", CheckStatus.WARN),
    ({"router": {"stick_out": 40}}, "collet nut and bushing", CheckStatus.FAIL),
    ({"router": {"bushing_od": 26}}, "tongue width", CheckStatus.FAIL),
    ({"joint": {"mortise_width": 13.5}}, "bushing in the opening", CheckStatus.WARN),
    ({"joint": {"mortise_width": 12.5}}, "bushing in the opening", CheckStatus.FAIL),
    ({"target": {"saddle_gap": -38}, "jig": {"nominal_shim": 2.5}}, "angle rest", CheckStatus.WARN),
    ({"target": {"saddle_gap": -38}, "jig": {"nominal_shim": 3, "stand_off": 30}}, "angle rest", CheckStatus.FAIL),
    ({"jig": {"shims": [0.5]}}, "trim shims", CheckStatus.WARN),
    ({"instrument": {"neck_block_width": 50}}, "body rest", CheckStatus.WARN),
    ({"instrument": {"neck_block_width": 40}}, "body rest", CheckStatus.FAIL),
    ({"instrument": {"neck_block_thickness": 38}}, "body rest depth", CheckStatus.WARN),
    ({"instrument": {"neck_block_thickness": 36}}, "body rest depth", CheckStatus.FAIL),
    ({"joint": {"mortise_length": 95.5}}, "mortise and back", CheckStatus.FAIL),
    ({"target": {"saddle_gap": 50}, "instrument": {"body_fret": 20}}, "bit past the edge", CheckStatus.WARN),
    ({"jig": {"bench_gap": 70}, "router": {"base_diameter": 200}}, "router base and clamps", CheckStatus.WARN),
    ({"router": {"base_diameter": 220}}, "router base and clamps", CheckStatus.FAIL),
    ({"instrument": {"truss_rod_slot_width": 2.5}}, "slot for the teeth", CheckStatus.WARN),
    ({"instrument": {"truss_rod_slot_depth": 1.5}}, "slot for the teeth", CheckStatus.FAIL),
    ({"jig": {"tip_pin": False}, "joint": {"mortise_width": 24}}, "tongue stiffness", CheckStatus.WARN),
    ({"jig": {"tip_pin": False}}, "tongue stiffness", CheckStatus.FAIL),
    ({"jig": THIN_PLY}, "plate tilt", CheckStatus.WARN),
    ({"jig": THIN_ACRYLIC, "joint": {"mortise_depth": 12}}, "plate tilt", CheckStatus.FAIL),
    ({"jig": THIN_PLY}, "plate tilt beside the tongue", CheckStatus.WARN),
    ({"jig": THIN_ACRYLIC, "joint": {"mortise_depth": 12}}, "plate tilt beside the tongue", CheckStatus.FAIL),
    ({"jig": {"board_stock": "acrylic-12"}}, "board stiffness", CheckStatus.WARN),
    ({"jig": {"board_stock": "acrylic-12", "rest_spacing": 200}}, "board stiffness", CheckStatus.FAIL),
    ({"jig": {"joinery": "tapped"}}, "tapped edges", CheckStatus.WARN),
]


@pytest.mark.parametrize(
    ("changes", "name", "status"), FAULTS, ids=[f"{name}-{status.value}" for _, name, status in FAULTS]
)
def test_each_fault_is_seen(changes: dict[str, dict[str, Any]], name: str, status: CheckStatus) -> None:
    """The check speaks for this fault; on the sound job it is quiet."""
    sound = next((item for item in solve(example_a()).checks if item.name == name), None)
    assert sound is None or sound.status is CheckStatus.OK
    found = check(solve(make_job(**changes)), name)
    assert found.status is status, found.message


def test_the_nut_is_judged_only_where_the_stick_out_is_known() -> None:
    """22.225 deep through 18 mm of plate the tip is 40.225 below the base (sum by hand): 43.225 out keeps 3 mm."""
    assert "collet nut and bushing" not in {item.name for item in solve(example_a()).checks}
    found = check(solve(make_job(router={"stick_out": 43.225})), "collet nut and bushing")
    assert found.status is CheckStatus.OK
    assert found.value == pytest.approx(3.0)


def test_metal_edges_may_be_tapped() -> None:
    """The machined jig's threads stand in aluminium: no warning; one sheet of plywood among them is named."""
    raw: dict[str, Any] = {
        "schema": 2,
        "job": {"name": "machined"},
        "instrument": {"preset": "orchestra-14"},
        "target": {"saddle_gap": 3.5},
        "router": {"preset": "inch-half"},
        "jig": {"preset": "machined"},
    }
    assert check(solve(job_from_tables(raw, Path("m.toml"))), "tapped edges").status is CheckStatus.OK
    raw["jig"] |= {"bracket_stock": "birch-ply-12"}
    spoken = check(solve(job_from_tables(raw, Path("m.toml"))), "tapped edges")
    assert spoken.status is CheckStatus.WARN
    assert spoken.message.startswith("jig.bracket_stock is birch plywood: ")
    assert "board" not in spoken.message


def test_every_check_has_been_seen_to_speak() -> None:
    """No check of the sound job is left without a fault that sets it off."""
    named = {name for _, name, _ in FAULTS}
    same_as_first = {"bolt 2 end distance", "bolt 2 side wall", "bolt 2 and truss rod"}
    assert {item.name for item in solve(example_a()).checks} - same_as_first <= named


def test_forward_sets_are_judged_as_such() -> None:
    """A nylon-string's straightedge runs into the bridge, as it should; on a steel-string it warns."""
    nylon = solve(make_job(target={"saddle_gap": -2.5}, instrument={"top": {"form": "flat"}}))
    found = check(nylon, "bridge clearance")
    assert found.value < -4
    assert found.status is CheckStatus.OK
    assert "into it" in found.message


def test_no_slot_no_rod_check() -> None:
    """A neck without a truss rod has no slot for a bolt to meet."""
    names = {item.name for item in solve(example_c()).checks}
    assert not any("truss rod" in name for name in names)


def test_extension_words() -> None:
    """A gap under the last fret asks for a wedge, the opposite for a relief."""
    assert "wedge of 0.62 mm" in check(solve(example_c()), "fretboard extension").message
    nylon = solve(make_job(target={"saddle_gap": -2.5}, instrument={"top": {"form": "flat"}}))
    assert "relief" in check(nylon, "fretboard extension").message


def test_a_check_is_a_judgement() -> None:
    """A value that is no number cannot be judged, so it cannot become a check."""
    with pytest.raises(ValueError, match="no judgement"):
        Check("x", CheckStatus.OK, float("nan"), 0.0, "")
