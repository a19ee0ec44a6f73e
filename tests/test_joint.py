"""Mortise, tenon, heel and bolts: worked by hand, and fastener sizes against the published tables."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from worked_examples import example_a, example_b, example_c, example_d, make_job

from generator.base.errors import InputError
from generator.job import fasteners
from generator.job.fasteners import (
    HoleFit,
    clearance_hole,
    countersunk,
    large_washer,
    pan_head,
    socket_cap,
    tap_drill,
    tenon_thread,
    thread,
    washer,
)
from generator.job.model.job import Job
from generator.job.model.joint import BOLT_THREADS, BoltKind
from generator.joint.solution import Solution, solve

INCH = 25.4


def test_joint_of_the_orchestra_model() -> None:
    """3/4 by 7/8 in: the tenon is narrower by the side clearance, shorter by the end's, and eased by the floor's."""
    joint = solve(example_a()).joint
    assert joint.mortise_length == 92.0
    assert joint.tenon_width == pytest.approx(18.9)
    assert joint.tenon_length == 91.0
    assert joint.tenon_projection == pytest.approx(21.025)
    assert joint.tenon_projection_routed == 22.225
    assert joint.ease_end == pytest.approx(1.2)
    assert joint.corner_radius == pytest.approx(6.35)
    assert joint.heel_blank == 100.0


def test_a_second_depth_block_routs_the_finished_tenon() -> None:
    """With a block of its own the tenon is routed to its finished projection, the shoulder standing there."""
    solution = solve(make_job(jig={"second_depth_block": True}))
    assert solution.joint.tenon_projection_routed == pytest.approx(21.025)
    assert solution.joint.ease_end == 0.0
    assert solution.cradle.second_depth_block == pytest.approx(21.025)
    assert solution.cradle.depth_block == 22.225
    assert solution.routing.passes.neck[-1] == pytest.approx(21.025)


def test_heel_runs_down_a_tilted_face() -> None:
    """The heel is measured along the end face: 89 mm of depth on a face tilted by 1.5° is 89.0305 mm long."""
    joint = solve(example_d()).joint
    assert joint.heel_length == pytest.approx(math.hypot(89.0, 89.0 * math.tan(math.radians(1.5))))
    assert joint.mortise_length == pytest.approx(89.0305, abs=5.1e-5)


def test_neck_blank_reaches_the_tenons_end() -> None:
    """Sawn at the heel angle, the blank must reach the plate: the projection seen along the neck plane."""
    solution = solve(example_a())
    turn = math.radians(solution.neck_set.cradle_angle)
    assert solution.joint.neck_blank_overlength * math.cos(turn) == pytest.approx(22.225)


def test_bolts_follow_the_neck_when_it_stands_over_the_top() -> None:
    """A hole the drilling guide puts 28.5 mm below the top edge is 28.8 mm below a neck plane 0.3 mm higher."""
    bolt = solve(example_d()).joint.bolts[0]
    assert bolt.from_top == 28.5
    assert bolt.from_neck_plane - bolt.from_top == pytest.approx(0.3, abs=5e-4)


def vectors_on_the_tenons_end(solution: Solution, from_top: float) -> float:
    """Where a bolt meets the tenon's end as routed, mm below the gluing face there: body frame, plain vectors.

    The bolt's line starts `from_top` down the end face and runs square into it; the neck plane passes `neck_rise` over
    the join and rises at the set angle.
    """
    neck_set, joint = solution.neck_set, solution.joint
    tilt, turn = math.radians(neck_set.end_face_tilt), math.radians(neck_set.set_angle)
    down, inward = (math.sin(tilt), -math.cos(tilt)), (math.cos(tilt), math.sin(tilt))
    p = joint.tenon_projection_routed
    x, z = (down[i] * from_top + inward[i] * p for i in (0, 1))
    # Up the tenon's end, against `down`, to the plane z = neck_rise + x·tan(turn).
    return (neck_set.neck_rise + x * math.tan(turn) - z) / (-down[1] + down[0] * math.tan(turn))


@pytest.mark.parametrize("example", [example_a, example_b, example_c, example_d])
def test_bolts_on_the_tenons_end_are_where_the_block_has_them(example: Callable[[], Job]) -> None:
    """Down the routed end from the gluing face each bolt stands where the block's hole meets it, within 1e-9."""
    solution = solve(example())
    for bolt in solution.joint.bolts:
        assert bolt.on_neck_end == pytest.approx(vectors_on_the_tenons_end(solution, bolt.from_top), abs=1e-9)


def test_the_gluing_face_rises_towards_the_tenons_end() -> None:
    """22.225 mm out at 1.6654 degrees are 0.6462 mm (by hand): 28.5 at the shoulder, 29.1462 on the end as routed."""
    bolt = solve(example_a()).joint.bolts[0]
    assert (bolt.from_top, bolt.from_neck_plane) == (28.5, 28.5)
    assert bolt.on_neck_end == pytest.approx(29.1462, abs=5e-5)


def test_bolts_are_sorted_and_each_has_its_holes() -> None:
    """Bolts are listed from the top down; a barrel nut adds its cross hole and lets the bolt through the tenon."""
    bolts = {"thread": "M6", "kind": "barrel", "from_top": [58, 28]}
    upper, lower = solve(make_job(joint={"bolts": bolts})).joint.bolts
    assert (upper.from_top, lower.from_top) == (28.0, 58.0)
    assert upper.clearance_hole == upper.pilot_hole == 6.6
    assert upper.cross_hole == 10.0
    assert solve(example_c()).joint.bolts[0].cross_hole is None
    assert upper.grip == pytest.approx(45 - 22.225 + 1.2)


def test_asked_mortise_sizes_are_kept() -> None:
    """A length and corner radius the job gives are the joint's."""
    joint = solve(make_job(joint={"mortise_length": 80, "corner_radius": 7})).joint
    assert (joint.mortise_length, joint.tenon_length, joint.corner_radius) == (80.0, 79.0, 7.0)


# --- fasteners -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size", "holes"),
    [("M4", (4.3, 4.5, 4.8)), ("M5", (5.3, 5.5, 5.8)), ("M6", (6.4, 6.6, 7.0)), ("M8", (8.4, 9.0, 10.0))],
)
def test_metric_clearance_holes(size: str, holes: tuple[float, ...]) -> None:
    """ISO 273:1979, fine, medium and coarse series."""
    assert tuple(clearance_hole(size, fit) for fit in (HoleFit.CLOSE, HoleFit.NORMAL, HoleFit.LOOSE)) == holes


@pytest.mark.parametrize(("size", "inches"), [("8-32", 0.196), ("10-24", 0.221), ("10-32", 0.221), ("1/4-20", 9 / 32)])
def test_unified_clearance_holes(size: str, inches: float) -> None:
    """ASME B18.2.8, normal fit: drills No. 9, No. 2 and 9/32 in (*Machinery's Handbook*, 31st ed., 2020, p. 1741)."""
    assert clearance_hole(size) == pytest.approx(inches * INCH)


@pytest.mark.parametrize(
    ("size", "drill"),
    [
        ("1/4-20", 0.2010 * INCH),
        ("8-32", 0.1360 * INCH),
        ("10-32", 0.1590 * INCH),
        ("M5", 4.2),
        ("M6", 5.0),
        ("M8", 6.8),
    ],
)
def test_tap_drills(size: str, drill: float) -> None:
    """Tap drills of *Machinery's Handbook*, 31st ed. (2020), and ISO 2306:1972."""
    assert tap_drill(size) == pytest.approx(drill)


@pytest.mark.parametrize(("size", "minor"), [("M5", 4.134), ("M6", 4.917)])
def test_tap_drills_leave_thread(size: str, minor: float) -> None:
    """The drill is a little over the basic minor diameter, ISO 724: D1 = d − 1.082532·P."""
    found = thread(size)
    assert found.diameter - 1.082532 * found.pitch == pytest.approx(minor, abs=5e-4)
    assert minor < tap_drill(size) < found.diameter


def test_heads_and_washers_hang_together() -> None:
    """Every metric size has a head and a washer wider than the hole they bear round (sizes from memory)."""
    for size in ("M3", "M4", "M5", "M6", "M8", "M10"):
        hole = clearance_hole(size, HoleFit.LOOSE)
        assert countersunk(size).head_diameter > hole
        assert countersunk(size).angle == 90.0
        assert washer(size).diameter > hole
        assert socket_cap(size).head_diameter > hole


def test_flat_heads_are_as_tables_have_them() -> None:
    """ISO 4762: a cap screw's head is as high as its thread is thick, and 1.5 times as wide to within 1 mm.

    ISO 7049 (from memory): pan heads of ST2.9 and ST4.2 are 5.6 and 8 mm wide, 2.4 and 3.1 mm high; a wood screw of
    3 or 4 mm comes near (common practice). A washer of the large series is 3 times its thread wide (ISO 7093-1).
    """
    for size in ("M3", "M4", "M5", "M6", "M8", "M10"):
        cap, wide = socket_cap(size), thread(size).diameter
        assert cap.head_height == wide
        assert cap.head_diameter == pytest.approx(1.5 * wide, abs=1.0)
    for size, near, high in (("3", 5.6, 2.4), ("4", 8.0, 3.1)):
        assert pan_head(size).head_diameter == pytest.approx(near, abs=0.5)
        assert pan_head(size).head_height == high
    for size in ("M3", "M4", "M5", "M6"):
        assert large_washer(size).diameter == 3.0 * thread(size).diameter


@pytest.mark.parametrize("size", BOLT_THREADS)
@pytest.mark.parametrize("kind", list(BoltKind))
def test_every_bolt_of_the_job_file_has_its_holes(size: str, kind: BoltKind) -> None:
    """Every thread and kind a job may name stands in the tables (common practice), with a pilot that leaves wood."""
    holes = tenon_thread(size, kind)
    if kind is BoltKind.HANGER:
        assert holes.pilot_hole < thread(size).diameter
    else:
        assert holes.pilot_hole > thread(size).diameter
    assert (holes.cross_hole is not None) is (kind is BoltKind.BARREL)


def test_an_unknown_size_lists_the_known_ones() -> None:
    """A size no table holds is refused with every size it does hold."""
    with pytest.raises(InputError, match=r'found "M7"; allowed: "M3", "M4", "M5", "M6", "M8", "M10", "8-32"'):
        clearance_hole("M7")


def test_every_table_names_its_source() -> None:
    """Each table says where its figures come from, or that they are common practice or from memory."""
    tables = (Path(fasteners.__file__).parent / "data").glob("*.toml")
    found = {path.stem: tomllib.loads(path.read_text(encoding="utf-8")).get("source", {}) for path in tables}
    assert {name for name, said in found.items() if said} == {
        "bolt_lengths",
        "boxes",
        "clearance_holes",
        "fits",
        "heads",
        "tap_drills",
        "tenon_threads",
        "threads",
        "wood_screws",
    }
    told = [text for said in found.values() for text in said.values()]
    assert all(any(word in text for word in ("ISO", "ASME", "Handbook", "common practice")) for text in told)


# --- bolts by rule -------------------------------------------------------------------------------------------------


def auto_bolts(count: int, **changes: Any) -> list[float]:
    bolts = {"thread": "M6", "kind": "insert", "from_top": None, "count": count}
    return [
        bolt.from_top for bolt in solve(make_job(joint={"bolts": bolts, "mortise_stop": 10, **changes})).joint.bolts
    ]


def test_bolts_by_rule() -> None:
    """On a heel of 92 mm (common practice): one half-way, two at a third and seven tenths, a third between them."""
    assert auto_bolts(1) == [46.0]
    assert auto_bolts(2) == [30.5, 64.5]
    assert auto_bolts(3) == [27.5, 46.0, 64.5]


def test_bolts_keep_clear_of_rod_and_end() -> None:
    """A short tenon pulls the lower bolt up, a deep slot pushes the upper one down; told places stay as told.

    By hand: an insert for M6 wants 9.5 mm, so 4.75 + 5.5 = 10.25 from the tenon's end at 59 and from a slot 9.5 deep.
    """
    assert auto_bolts(2, mortise_length=60)[1] == 49.0
    solution = solve(
        make_job(
            joint={"bolts": {"thread": "M6", "kind": "insert", "count": 2}}, instrument={"truss_rod_slot_depth": 20}
        )
    )
    assert solution.joint.bolts[0].from_top == 30.5
    deep = solve(
        make_job(
            joint={"bolts": {"thread": "M8", "kind": "barrel", "count": 3}}, instrument={"truss_rod_slot_depth": 20}
        )
    )
    assert deep.joint.bolts[0].from_top == 31.5  # 12/2 + 5.5 + 20
    assert [bolt.from_top for bolt in solve(make_job()).joint.bolts] == [28.5, 57.5]


def test_an_automatic_mortise_stops_short() -> None:
    """The mortise ends `mortise_stop` short of the heel's end, so that the neck block keeps its end."""
    assert solve(make_job(joint={"mortise_stop": 10})).joint.mortise_length == 82.0
    assert solve(make_job(joint={"mortise_stop": 10, "mortise_length": 75})).joint.mortise_length == 75.0


def test_the_heel_blank_before_carving() -> None:
    """What is routed is the blank: body depth and 2 long, the heel's greatest width and 8 wide, unless told."""
    joint = solve(make_job()).joint
    assert (joint.heel_blank, joint.heel_blank_width) == (100.0, 68.0)
    assert solve(make_job(instrument={"heel_blank_width": 61})).joint.heel_blank_width == 61.0
