"""The checks with hands: solids of plane figures against sampled points, and every check seen to fail once."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from proof_kits import ready_kit
from shapely import Point, Polygon, box
from worked_examples import make_job

from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.cutting.cut_layers import CUT_INSIDE
from generator.joint.checks import Check, CheckStatus
from generator.joint.solution import Solution, solve
from generator.joint.stations import Use
from generator.proof.cut.nominal_cut import cutter_of, fences, nominal_cut
from generator.proof.cut.virtual_cut import Sweep, guides, sweep
from generator.proof.jig import holding, motions
from generator.proof.jig.checks import hand_checks
from generator.proof.jig.measured_jig import measure_setting
from generator.proof.jig.motions import AssemblyStep, blocked_screws, steps
from generator.proof.jig.pieces import Pieces
from generator.proof.jig.posed_jig import area_of, material
from generator.proof.jig.solids import Solid, block, flat_part, left_round, meet, room_between, round_bar
from generator.proof.kit_files import Kit, open_kit

# --- solids ----------------------------------------------------------------------------------------------------------

ANGLE = Polygon([(0, 0), (40, 0), (40, 10), (15, 30), (0, 30)], [[(5, 5), (12, 5), (12, 12), (5, 12)]])


def holds(solid: Solid, at: P3) -> bool:
    planes = {"x": (at.y, at.z, at.x), "y": (at.x, at.z, at.y), "z": (at.x, at.y, at.z)}
    first, second, along = planes[solid.axis]
    return solid.low < along < solid.high and bool(solid.outline.contains(Point(first, second)))


def held(solid: Solid, points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """`holds` for many points, a row each."""
    first, second, along = {"x": (1, 2, 0), "y": (0, 2, 1), "z": (0, 1, 2)}[solid.axis]
    level = (solid.low < points[:, along]) & (points[:, along] < solid.high)
    inside: NDArray[np.bool_] = level & shapely.contains_xy(solid.outline, points[:, first], points[:, second])
    return inside


@given(st.sampled_from("xyz"), st.sampled_from("xyz"), st.integers(0, 10_000))
def test_two_solids_meet_where_a_point_lies_in_both(axis: str, other_axis: str, seed: int) -> None:
    """Points drawn at random: where one lies in both solids they meet; where none of many does they hardly overlap."""
    draw = random.Random(seed)
    one = Solid("one", axis, ANGLE, 0.0, 20.0)
    shift = [draw.uniform(-45.0, 45.0) for _ in range(3)]
    other = Solid("other", other_axis, shapely.affinity.translate(ANGLE, *shift[:2]), shift[2], shift[2] + 15.0)
    points = np.random.default_rng(seed).uniform(-5.0, 45.0, (3000, 3))
    shared = bool((held(one, points) & held(other, points)).any())
    assert meet(one, other) is meet(other, one)
    if shared:
        assert meet(one, other)
    elif not meet(one.grown(-2.0), other.grown(-2.0)):
        assert room_between(one, other, 5.0) > -5.0


@given(st.sampled_from("xyz"), st.sampled_from([X_AXIS, Y_AXIS, Z_AXIS]), st.booleans(), st.integers(0, 10_000))
def test_a_way_in_holds_the_solid_at_every_moment(axis: str, way: P3, back: bool, seed: int) -> None:
    """Any point of the solid, carried back along its way by any stretch up to its length, lies in what is swept."""
    draw = random.Random(seed)
    solid, way = Solid("one", axis, ANGLE, 0.0, 20.0), way.times(-1.0 if back else 1.0)
    swept = solid.swept(way, 70.0).grown(1e-6)
    for _ in range(80):
        at = P3(*(draw.uniform(0.0, 40.0) for _ in range(3)))
        if holds(solid, at):
            assert holds(swept, at.minus(way.times(draw.uniform(0.0, 70.0))))
    far = P3(20.0, 20.0, 10.0).minus(way.times(140.0))
    assert not holds(swept, far)


def test_room_and_overlap_by_hand() -> None:
    """Two blocks 3 mm apart have a room of 3; one 2 mm into the other must shrink by 2; flush faces only touch."""
    one = block("one", P3(0, 0, 0), P3(10, 10, 10))
    assert room_between(one, block("b", P3(13, 0, 0), P3(20, 10, 10)), 5.0) == pytest.approx(3.0, abs=0.02)
    assert room_between(one, block("b", P3(8, -9, -9), P3(20, 19, 19)), 5.0) == pytest.approx(-2.0, abs=0.02)
    assert not meet(one, block("b", P3(10, 0, 0), P3(20, 10, 10)))
    assert room_between(one, block("b", P3(30, 0, 0), P3(40, 10, 10)), 5.0) == 5.0


def test_what_is_left_round_a_screw() -> None:
    """⌀4 in the middle of an 18 mm edge leaves 7 on either side; across a hole in the sheet it stands out."""
    sheet = box(0, 0, 100, 60).difference(Point(50, 20).buffer(5.0))
    board = flat_part("board", sheet, 18.0, Placement(P3(-9, 0, 0), Y_AXIS, Z_AXIS))
    into = round_bar("screw", P3(0, 20, 58), Z_AXIS.times(-1.0), 20.0, 4.0)
    assert left_round(into, board) == pytest.approx(2.0)
    assert left_round(round_bar("screw", P3(0, 20, 50), Z_AXIS.times(-1.0), 20.0, 4.0), board) == pytest.approx(7.0)
    assert left_round(round_bar("screw", P3(0, 50, 50), Z_AXIS.times(-1.0), 30.0, 4.0), board) < 0.0
    through = round_bar("screw", P3(-12, 20, 30), X_AXIS, 20.0, 4.0)
    assert left_round(through, board) == pytest.approx(-3.0)


def test_what_stands_askew_is_refused() -> None:
    """A part that leans has no outline in a plane of the frame."""
    lean = Placement(P3(0, 0, 0), P3(math.cos(0.1), 0.0, math.sin(0.1)), Y_AXIS)
    with pytest.raises(GeometryError, match="none of the axes"):
        flat_part("leaning", box(0, 0, 10, 10), 5.0, lean)


# --- one kit, one thing spoilt ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Bench:
    """One kit with everything the checks look at; `checks` are those of it, by name."""

    pieces: Pieces
    sweeps: dict[Use, Sweep]
    opening: Polygon
    plug: Polygon

    @property
    def solution(self) -> Solution:
        return self.pieces.kit.solution

    def checks(self) -> dict[str, Check]:
        return {check.name: check for check in hand_checks(self.pieces, self.sweeps, self.opening, self.plug)}

    def with_parts(self, **parts: Solid) -> Bench:
        return replace(self, pieces=replace(self.pieces, parts={**self.pieces.parts, **parts}))

    def with_setting(self, **changes: Any) -> Bench:
        return replace(self, pieces=replace(self.pieces, setting=replace(self.pieces.setting, **changes)))

    def with_solution(self, **changes: Any) -> Bench:
        kit = self.pieces.kit
        made = replace(kit, made=(replace(kit.solution, **changes), kit.jig))
        return replace(self, pieces=replace(self.pieces, kit=made))

    def with_job(self, table: str, **changes: Any) -> Bench:
        job = self.solution.job
        return self.with_solution(job=job.model_copy(update={table: getattr(job, table).model_copy(update=changes)}))

    def with_row(self, name: str, **changes: Any) -> Bench:
        rows = tuple(replace(row, **changes) if row.id == name else row for row in self.pieces.rows)
        return replace(self, pieces=replace(self.pieces, rows=rows))


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return bench_of(open_kit(ready_kit("orchestra-14", tmp_path_factory.mktemp("hands"))))


def bench_of(kit: Kit) -> Bench:
    shapes = {name: material(file) for name, file in kit.cutting.items()}
    pieces = Pieces.of(kit, shapes, measure_setting(kit))
    sweeps, areas = {}, {}
    for use in Use:
        contours = kit.cutting["template_plate"].contours(CUT_INSIDE)
        found = guides(contours, fences(kit.results)[use], nominal_cut(kit.results, use))
        sweeps[use] = sweep(found, cutter_of(kit.results))
        areas[use] = shapely.union_all([area_of(contour) for contour in found])
    return Bench(pieces, sweeps, areas[Use.BODY], shapes["plug"])


def moved(solid: Solid, x: float = 0.0, y: float = 0.0) -> Solid:
    """A solid elsewhere in x and y."""
    planes = {"x": (y, 0.0, x), "y": (x, 0.0, y), "z": (x, y, 0.0)}
    first, second, along = planes[solid.axis]
    outline = shapely.affinity.translate(solid.outline, first, second)
    return Solid(solid.label, solid.axis, outline, solid.low + along, solid.high + along)


def wide_rest(bench: Bench) -> Bench:
    """An upper rest 140 mm long: it stands across the brackets."""
    rest = bench.pieces.parts["upper_rest"]
    x0, y0, x1, y1 = rest.outline.bounds
    return bench.with_parts(upper_rest=replace(rest, outline=box(x0, 2.0 * y0, x1, 2.0 * y1)))


def no_holes(bench: Bench) -> Bench:
    """A board without a hole: its screws meet wood before they bite."""
    board = bench.pieces.parts["board"]
    return bench.with_parts(board=replace(board, outline=Polygon(board.outline.exterior)))


def screws_crossing(bench: Bench) -> Bench:
    """The plate's outer screws over those that cross the board into the brackets."""
    (row,) = (row for row in bench.pieces.rows if row.id == "plate-board")
    y = bench.pieces.layout.bracket.middle
    heads = tuple(head if abs(head.y) < 40.0 else P3(head.x, math.copysign(y, head.y), head.z) for head in row.heads)
    return bench.with_row("plate-board", heads=heads)


def short_plate(bench: Bench) -> Bench:
    """30 mm sawn off the mortise half's end."""
    plate = bench.pieces.parts["template_plate"]
    x0, y0, x1, y1 = plate.outline.bounds
    return bench.with_parts(template_plate=replace(plate, outline=plate.outline.intersection(box(x0, y0, x1 - 30, y1))))


def bolts_at_the_tip(bench: Bench) -> Bench:
    joint, tip = bench.solution.joint, bench.pieces.layout.screws.tip_x
    return bench.with_solution(joint=replace(joint, bolts=(replace(joint.bolts[0], on_neck_end=tip + 1.0),)))


def face(bench: Bench, name: str, x: float) -> Any:
    rest = getattr(bench.pieces.setting, name)
    return replace(rest, x=rest.x + x)


SPOILT: dict[str, tuple[Callable[[Bench], Bench], set[str]]] = {
    "a rest longer than its room": (wide_rest, {"jig: parts go in"}),
    "a bracket in the rests' way": (
        lambda b: b.with_parts(bracket_left=moved(b.pieces.parts["bracket_left"], y=-35.0)),
        {"jig: parts go in", "jig: work clear of the jig, neck"},
    ),
    "a board without holes": (no_holes, {"jig: screws go in"}),
    "screws 10 mm too long": (
        lambda b: b.with_row("board-angle-rest", length=40.0),
        {"jig: screws end inside"},
    ),
    "screws beside the edge they bite in": (
        lambda b: b.with_parts(bracket_left=moved(b.pieces.parts["bracket_left"], y=8.0)),
        {"jig: screws end inside"},
    ),
    "screws across each other": (screws_crossing, {"jig: screws clear of each other"}),
    "rests twice as far apart": (
        lambda b: b.with_setting(lower=replace(b.pieces.setting.lower, top=324.0, foot=336.0)),
        {"jig: zero check's square fits"},
    ),
    "a router that reaches 30 mm": (lambda b: b.with_job("router", reach=30.0), {"jig: zero reaches the bench"}),
    "a barrel as long as the plate is thick": (
        lambda b: b.with_job("router", bushing_length=18.5),
        {"jig: bushing off the bench"},
    ),
    "a body rest that stands out too little": (
        lambda b: b.with_setting(body=face(b, "body", -14.0)),
        {"jig: top off the board"},
    ),
    "a bolt under the tip screw": (bolts_at_the_tip, {"jig: tip screw"}),
    "a plug 0.4 mm too wide": (lambda b: replace(b, plug=b.plug.buffer(0.2)), {"jig: plug goes in"}),
    "a heel blank 10 mm too long": (
        lambda b: replace(b, sweeps={**b.sweeps, Use.NECK: shorter(b.sweeps[Use.NECK], 10.0)}),
        {"jig: bit clear at the start, neck"},
    ),
    "a mortise opening that begins 3 mm late": (
        lambda b: replace(b, sweeps={**b.sweeps, Use.BODY: later(b.sweeps[Use.BODY], 3.0)}),
        {"jig: bit clear at the start, body"},
    ),
    "brackets where the jaws bite": (
        lambda b: b.with_parts(bracket_left=moved(b.pieces.parts["bracket_left"], y=12.0)),
        {"jig: clamps clear, body"},
    ),
    "a cut 4 mm too deep": (
        lambda b: b.with_setting(neck_cut_depth=b.pieces.setting.neck_cut_depth + 4.0),
        {"jig: bit clear of caul and clamps, neck"},
    ),
    "a bench under the work": (
        lambda b: b.with_job("jig", bench_gap=-60.0),
        {"jig: work clear of the bench, neck", "jig: work clear of the bench, body", "jig: clamps clear, neck"},
    ),
    "a board that fills the rests' room": (
        lambda b: b.with_parts(board=replace(b.pieces.parts["board"], low=-27.0, high=27.0)),
        {"jig: work clear of the jig, neck", "jig: work clear of the jig, body"},
    ),
    "a base of 200 mm": (
        lambda b: b.with_job("router", base_diameter=200.0),
        {"jig: base clear of the bench clamps, neck", "jig: base clear of the bench clamps, body"},
    ),
    "a plate 30 mm too short": (short_plate, {"jig: plate on the bench, neck"}),
    "a neck of 900 mm to the nut": (
        lambda b: b.with_solution(neck_set=replace(b.solution.neck_set, nut_to_join=900.0)),
        {"jig: work clear of the floor, neck"},
    ),
    "rests 30 mm wider than stated": (
        lambda b: b.with_setting(body=face(b, "body", 30.0)),
        {"jig: clamps' opening, body"},
    ),
    "a body with no waist at the neck": (
        lambda b: b.with_job("instrument", shoulder_half_width=250.0),
        {"jig: clamps' throat, neck", "jig: clamps' throat, body"},
    ),
}


def shorter(swept: Sweep, by: float) -> Sweep:
    """The bit's places without the far `by` mm."""
    x0, y0, x1, y1 = swept.bit_centres.bounds
    return replace(swept, bit_centres=swept.bit_centres.intersection(box(x0, y0, x1 - by, y1)))


def later(swept: Sweep, by: float) -> Sweep:
    x0, y0, x1, y1 = swept.bit_centres.bounds
    return replace(swept, bit_centres=swept.bit_centres.intersection(box(x0 + by, y0, x1, y1)))


@pytest.mark.parametrize("name", SPOILT)
def test_each_check_fails_on_its_own_fault(bench: Bench, name: str) -> None:
    """One thing spoilt, and the check that stands for it does not pass; unspoilt it does."""
    spoil, expected = SPOILT[name]
    found = spoil(bench).checks()
    for check in expected:
        assert found[check].status is CheckStatus.FAIL, (check, found[check])


def test_every_check_of_the_hands_has_been_seen_to_fail(bench: Bench) -> None:
    """No check is there that nothing can spoil: each has its fault above, in a test of its own, or in its other use."""
    own = {"jig: angle rest's screws in reach"}
    seen = own | {check for _, expected in SPOILT.values() for check in expected}
    both = {name.replace(", neck", ", body") for name in seen} | {name.replace(", body", ", neck") for name in seen}
    found = bench.checks()
    assert {*found} <= seen | both
    assert {check.status for check in found.values()} == {CheckStatus.OK}


def test_screws_through_the_plates_top_wait_until_it_is_turned(bench: Bench) -> None:
    """Driven while the plate lies top down on the table, every one of them meets the table."""
    order = list(steps(bench.pieces))
    (at,) = (number for number, step in enumerate(order) if step.on_table)
    early = [*order[:at], replace(order[at], rows=order[at + 1].rows), *order[at + 2 :]]
    assert list(blocked_screws(bench.pieces)) == []
    faults = set(blocked_screws(bench.pieces, early))
    assert "head of a screw plate to board meets the table" in faults
    assert "driver of a screw plate to brackets meets the table" in faults


def test_the_brackets_screws_go_in_before_the_plate(bench: Bench) -> None:
    """The uppermost of them lies 15 mm under the plate: with the plate there, no hand comes behind the driver."""
    order = list(steps(bench.pieces))
    late = [replace(step, rows=()) if "bracket_left" in step.parts else step for step in order]
    late.append(AssemblyStep((), (), ("board-bracket",)))
    faults = set(blocked_screws(bench.pieces, late))
    assert "hand behind a screw board to brackets meets template_plate" in faults


def test_a_shim_comes_in_beside_the_rest_and_down(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its slots are open below, so it drops on the screws from above; from below it has no way past them."""
    assert list(motions.blocked_parts(bench.pieces)) == []
    up = tuple(
        replace(step, legs=(motions.Leg(Z_AXIS.times(-1.0), 400.0),)) if step.parts == bench.pieces.shims else step
        for step in steps(bench.pieces)
    )
    monkeypatch.setattr(motions, "steps", lambda pieces: up)
    assert "trim_shim_1 meets upper_rest on its way in" in set(motions.blocked_parts(bench.pieces))


def test_a_deep_bench_hides_the_angle_rests_screws(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """They are undone between first fit and last pass: behind a bench 200 mm thick no hand gets to them."""
    monkeypatch.setattr(holding, "BENCH_TOP", 200.0)
    assert bench.checks()["jig: angle rest's screws in reach"].status is CheckStatus.FAIL


@pytest.mark.parametrize("radius", [3048.0, 3657.6, 4572.0, 8534.4])
@pytest.mark.parametrize("crown", [120.0, 290.0, 450.0])
@pytest.mark.parametrize("tilt", [-5.0, -2.0, 0.0, 2.0, 5.0])
def test_every_top_that_can_be_entered_clears_the_board(radius: float, crown: float, tilt: float) -> None:
    """Domes down to 10 ft, any crown, end faces tilted by up to 5°: 0.5 mm and more off the board, on the sphere."""
    top = {"form": "dome", "radius": radius, "crown_from_join": crown}
    solution = solve(make_job(instrument={"top": top, "end_face_tilt": tilt}))
    cradle, turn = solution.cradle, math.radians(tilt)
    start = math.sqrt(radius**2 - crown**2)
    least = math.inf
    for x in range(0, 260, 4):
        for y in range(0, 110, 10):
            z = math.sqrt(radius**2 - (x - crown) ** 2 - y**2) - start
            if x * math.cos(turn) + z * math.sin(turn) <= cradle.board_height:
                least = min(least, cradle.body_join_x - z * math.cos(turn) + x * math.sin(turn))
    assert cradle.upper_rest + least >= 0.5
