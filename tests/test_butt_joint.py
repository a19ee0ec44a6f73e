"""A bolted butt joint from its keys to its proof: the witness that a kind of joint is one folder.

Formulas are those of the geometry reference (sections 3 and 6); M6 in its hole are ISO 68-1's 6.0 and ISO 273's 6.6,
medium series. Where bolts stand (a third and seven tenths of the heel) is common practice.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from jobs_by_hand import BUTT, changed, load
from made_once import made, shop_sheets, store
from proof_kits import Fault, Plan, compared, dxf, edit_results, failed, proved, ready_kit, reshape, spoilt, words_of

from generator.base.errors import InputError
from generator.documents.paper import paper_sheets
from generator.documents.setup.bolts import neck_bolts
from generator.documents.setup.setup import setup_context
from generator.documents.setup.words import worded
from generator.drawing.sheet import Label, Sheet
from generator.jig.build import build_jig
from generator.jig.buildability import solve_standing
from generator.jig.compare import shared_jig
from generator.jig.layout import jig_layout
from generator.jig.part import Jig
from generator.jig.results import results_dict
from generator.job.effective import job_copy
from generator.job.keys import job_keys
from generator.job.load import job_from_tables, load_job
from generator.job.model.job import Job
from generator.job.model.joint import JointKind
from generator.job.shop import Shop
from generator.joint.build_log import predictions
from generator.joint.checks import CheckStatus
from generator.joint.corrections import Stage, correct
from generator.joint.kinds.butt.joint import Butt
from generator.joint.readings import Measured
from generator.joint.remedy import remedies
from generator.joint.solution import Solution, solve
from generator.joint.stations import Use, uses
from generator.kit.report import report
from generator.page import answers
from generator.page.form import Form, Opened, base_texts
from generator.page.jigsketch import cut_sketch, plan_of_jig, side_of_jig
from generator.page.sketch import end_face_sketch, side_sketch
from generator.proof.prove import prove_joint
from generator.proof.verdict import Proof

pytestmark = pytest.mark.usefixtures("proved_once")
NAME = "folk-butt"
#: Words of a joint that this one is not.
OTHER = re.compile(r"tenon|mortise|tongue|\bplug\b|body rest", re.IGNORECASE)


@pytest.fixture(scope="module")
def solution() -> Solution:
    return solve_standing(load_job(NAME, Shop()))


@pytest.fixture(scope="module")
def jig(solution: Solution) -> Jig:
    return build_jig(solution)


@pytest.fixture(scope="module")
def kit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return ready_kit(NAME, tmp_path_factory.mktemp("butt"))


def joint_of(solution: Solution) -> Butt:
    assert isinstance(solution.joint, Butt)
    return solution.joint


def with_joint(solution: Solution, **changes: Any) -> Job:
    job = solution.job
    return job.model_copy(update={"joint": job.joint.model_copy(update=changes)})


def with_router(solution: Solution, **changes: Any) -> Job:
    job = solution.job
    return job.model_copy(update={"router": job.router.model_copy(update=changes)})


# --- numbers ----------------------------------------------------------------------------------------------------------


def test_the_angle_is_that_of_any_joint(solution: Solution) -> None:
    """Heel angle 90 − θ + β, angle rest w + p·tan α, blank P/cos α past the join: the kind of joint changes none."""
    other = solve(load_job(NAME, Shop()).model_copy(update={"joint": load(changed()).joint}))
    neck_set, cradle = solution.neck_set, solution.cradle
    assert neck_set == other.neck_set
    assert neck_set.heel_angle == pytest.approx(90.0 - neck_set.set_angle + neck_set.end_face_tilt, abs=1e-12)
    lean = cradle.angle_rest - cradle.upper_rest
    assert lean == pytest.approx(150.0 * math.tan(math.radians(neck_set.cradle_angle)), abs=1e-12)
    past = 5.0 / math.cos(math.radians(neck_set.cradle_angle))
    assert solution.joint.neck_blank_overlength == pytest.approx(past, abs=1e-12)


def test_bolts_stand_by_the_rule_over_the_heel(solution: Solution) -> None:
    """Body 85 deep, back binding 5.5: a heel of 79.5, bolts at 26.5 and 55.5 (a third, seven tenths, half mm)."""
    joint = joint_of(solution)
    assert joint.heel_length == pytest.approx(79.5)
    assert [bolt.from_top for bolt in joint.bolts] == [26.5, 55.5]
    assert [bolt.on_neck_end for bolt in joint.bolts] == [bolt.from_neck_plane for bolt in joint.bolts]
    assert {bolt.grip for bolt in joint.bolts} == {solution.job.instrument.neck_block_thickness}


def test_nothing_is_cut_in_the_body(solution: Solution, jig: Jig) -> None:
    """No opening, no tongue, no use for the body, and none of the parts that would serve it."""
    assert uses(solution.joint) == (Use.NECK,)
    assert solution.joint.body_outline is None
    assert solution.joint.neck_outline.contour is None
    assert (solution.routing.opening, solution.routing.tongue, solution.routing.passes.body) == (None, None, ())
    names = {part.name for part in jig.parts}
    assert not names & {"body_rest", "plug", "plug_crosspiece", "centre_sight", "bushing_slip", "story_stick"}
    assert {"heel_stop", "heel_stop_crosspiece", "drill_guide", "zero_rest", "heel_bevel"} <= names
    assert [opening.id for opening in jig.part("template_plate").openings] == ["shoulder-window"]
    with pytest.raises(ValueError, match="nothing in the body"):
        assert solution.joint.cut_in_body


def test_rails_and_rests_keep_a_height_of_their_own(solution: Solution) -> None:
    """A shallow facing leaves the rails 22 mm for their screws, and the rests 3 mm below them, as a deep cut does."""
    assert (solution.joint.depth_of_cut, solution.joint.rail_height) == (5.0, 22.0)
    assert jig_layout(solution).bracket.rail == 22.0
    assert solution.cradle.rest_depth == 25.0
    assert solution.cradle.depth_block == 5.0


def test_the_bit_goes_over_all_of_the_blank(solution: Solution) -> None:
    """The bit's edge passes the blank's sides and far end by 2 mm and more, its centre the sides by 1 mm alone."""
    routing, router, joint = solution.routing, solution.job.router, solution.joint
    inside = (router.bushing_od - router.bit_diameter) / 2.0
    assert routing.window_half_width - inside >= joint.heel_blank_width / 2.0 + 2.0
    assert routing.window_end - inside >= joint.heel_blank + 2.0
    assert routing.opening_start + inside <= -1.5
    assert routing.window_half_width - router.bushing_od / 2.0 == joint.heel_blank_width / 2.0 + 1.0


def test_bolts_in_their_holes_locate_the_neck(solution: Solution) -> None:
    """M6 in 6.6 stands 0.3 aside every way; that stands in the budget in place of mortise, tenon and bushing."""
    asides = {item.name: item.sideways for item in solution.uncertainty.asides}
    assert asides["bolts in their holes"] == pytest.approx((6.6 - 6.0) / 2.0)
    assert not any("mortise" in name or "tenon" in name or "bushing" in name for name in asides)
    assert not any("tongue" in item.name for item in solution.uncertainty.contributions)


def test_results_say_only_what_the_joint_has(solution: Solution, jig: Jig) -> None:
    """results.json carries the facing's depth, one cut, its passes, and the kind among the inputs."""
    results = results_dict(solution, jig)
    assert results["joint"]["facing_depth_mm"] == 5.0
    assert set(results["template"]) == {"shoulder"}
    assert results["router"]["passes"] == {"shoulder": [2.5, 5.0]}
    assert results["inputs"]["joint"]["kind"] == {"value": "butt", "source": "job"}
    keys = {key for section in ("joint", "router", "cradle") for key in results[section]}
    assert not {key for key in keys if OTHER.search(key) or "opening_width" in key or "body_join" in key}


def test_a_mortise_and_tenon_says_nothing_of_kinds() -> None:
    """A job that names no kind has a mortise and a tenon, and its inputs list the keys they always listed."""
    job = load_job("orchestra-14", Shop())
    assert job.joint.kind is JointKind.MORTISE_TENON
    assert not {"kind", "facing_depth"} & set(job.inputs["joint"])


def test_a_copy_of_the_job_is_the_job(solution: Solution, tmp_path: Path) -> None:
    """The kit's own job.toml loads to the same joint, the preset's mortise left aside again."""
    path = tmp_path / "job.toml"
    path.write_text(job_copy(solution.job, "made", "there"), encoding="utf-8")
    again = load_job(path, Shop())
    assert again.joint == solution.job.joint
    assert again.inputs["joint"].keys() == solution.job.inputs["joint"].keys()


def test_each_key_knows_its_kind() -> None:
    """Keys of one kind alone say so, and the page's form shows what they are where the kind is chosen."""
    only = {key.bare: key.only for key in job_keys().values() if key.table == "joint"}
    assert only["facing_depth"] == "butt"
    assert (only["mortise_depth"], only["floor_clearance"]) == ("mortise-tenon", "mortise-tenon")
    assert (only["kind"], only.get("bolts", "")) == ("", "")
    texts = base_texts(Form({"instrument.preset": "size-00"}))
    assert float(texts["joint.facing_depth"]) == 5.0
    assert texts["joint.kind"] == "mortise-tenon"


OTHERS = {
    "tolerances": ("mortise_centreline", "tenon_centreline", "bushing_eccentricity"),
    "jig": ("tip_pin", "bridged", "second_depth_block"),
}


def test_keys_that_a_butt_joint_has_no_use_for_are_not_listed(solution: Solution) -> None:
    """Neither among the job's inputs nor in its copy, nor are they a part of its error budget; all others are."""
    tenon = load_job("orchestra-14", Shop()).inputs
    for table, keys in OTHERS.items():
        assert tuple(key for key in tenon[table] if key not in solution.job.inputs[table]) == keys
        assert {job_keys()[f"{table}.{key}"].only for key in keys} == {"mortise-tenon"}
    told = job_copy(solution.job, "made", "there")
    assert not [key for keys in OTHERS.values() for key in keys if key in told]
    assert not [item.name for item in solution.uncertainty.asides if OTHER.search(item.name)]


def test_an_error_that_a_butt_joint_has_not_is_refused(tmp_path: Path) -> None:
    """A tolerance that no number of this joint would move is no key of the job, and the fault names it."""
    raw = changed(joint=BUTT) | {"tolerances": {"mortise_centreline": 0.2, "twist": 0.1}}
    with pytest.raises(InputError) as caught:
        job_from_tables(raw, tmp_path / "bench.toml", Shop())
    assert [fault.key for fault in caught.value.faults] == ["tolerances.mortise_centreline"]
    del raw["tolerances"]["mortise_centreline"]
    assert job_from_tables(raw, tmp_path / "bench.toml", Shop()).tolerances.twist == 0.1


# --- checks -----------------------------------------------------------------------------------------------------------


def status(job: Job, name: str) -> CheckStatus:
    return next(check.status for check in solve_standing(job).checks if check.name == name)


def test_the_ready_job_has_nothing_to_mind(solution: Solution) -> None:
    assert not [check.name for check in solution.checks if check.status is not CheckStatus.OK]


def test_saw_marks_must_be_gone_by_the_dry_fit(solution: Solution) -> None:
    """What comes off before the held-back pass: 1.2 mm warns, 0.4 fails, and the remedy deepens the facing."""
    shallow = solve_standing(with_joint(solution, facing_depth=3.7))
    assert status(with_joint(solution, facing_depth=3.7), "facing") is CheckStatus.WARN
    assert status(with_joint(solution, facing_depth=2.9), "facing") is CheckStatus.FAIL
    (remedy,) = remedies(shallow, next(one for one in shallow.checks if one.name == "facing"), solve_standing)
    assert (remedy.key, remedy.then) == ("joint.facing_depth", pytest.approx(4.0, abs=0.051))


def test_one_bolt_lets_the_neck_turn(solution: Solution) -> None:
    one = solution.job.joint.bolts.model_copy(update={"count": 1})
    assert status(with_joint(solution, bolts=one), "bolts that hold the neck") is CheckStatus.WARN


def test_a_bolt_keeps_wood_round_it(solution: Solution) -> None:
    """An insert's hole of 9.5 at 76 in a heel that ends at 79.5 has no wood to its end."""
    low = solution.job.joint.bolts.model_copy(update={"from_top": (26.5, 76.0)})
    assert status(with_joint(solution, bolts=low), "bolt 2 end distance") is CheckStatus.FAIL


def test_a_narrow_block_does_not_back_the_shoulder(solution: Solution) -> None:
    narrow = solution.job.instrument.model_copy(update={"neck_block_width": 56.0})
    job = solution.job.model_copy(update={"instrument": narrow})
    assert status(job, "block behind the shoulder") is CheckStatus.FAIL


def test_a_small_base_tips_over_the_open_window(solution: Solution) -> None:
    """A base of 90 mm falls into a window 85 mm wide that no tongue bridges: refused, and a wider base is named."""
    small = solve_standing(with_router(solution, base_diameter=90.0))
    check = next(one for one in small.checks if one.name == "router base")
    assert check.status is CheckStatus.FAIL
    assert "a wider base" in check.message


@pytest.mark.parametrize("facing", [2.0, 5.0, 9.5])
@pytest.mark.parametrize("held", [0.0, 0.8, 1.9])
def test_no_pass_can_meet_an_insert(solution: Solution, facing: float, held: float) -> None:
    """Its rim lies deeper under the dry fit's shoulder than a whole facing goes; its hole takes it and the bolt."""
    job = with_joint(solution, facing_depth=facing)
    job = job.model_copy(update={"router": job.router.model_copy(update={"hold_back": held})})
    found = solve(job)
    bolts, hole = neck_bolts(found), found.joint.bolts[0]
    assert bolts.sunk >= facing + 1.0
    assert bolts.drill_depth >= bolts.sunk + hole.engagement
    # At the dry fit the thread is entered by a diameter; drawn up at last the bolt does not touch the hole's end.
    washer = 1.6
    assert bolts.length - hole.grip - washer - bolts.sunk >= 6.0 - 1e-9
    assert bolts.drill_depth - held >= bolts.length - hole.grip - washer


def test_a_reading_is_put_right_as_with_any_joint(solution: Solution) -> None:
    """Shims p·(tan(θ1 − β) − tan(θ0 − β)), shoulder h·tan Δθ; nothing goes deeper, turns or is eased."""
    neck_set, s = solution.neck_set, solution.neck_set.join_to_saddle
    read, top = 2.3, neck_set.top_rise_at_saddle
    wanted, found = (math.atan((gap + top) / s) for gap in (neck_set.saddle_gap, read))
    shy = correct(solution, read, sideways=1.2)
    assert shy.trim.change == pytest.approx(150.0 * (math.tan(wanted) - math.tan(found)), abs=1e-9)
    final = correct(solution, read, stage=Stage.FINAL)
    assert final.shoulder.back_end == pytest.approx(79.5 * math.tan(wanted - found), abs=1e-9)
    for one in (shy, final):
        assert (one.tenon_end_relief, one.tenon_deeper, one.ease_floor) == (0.0, 0.0, 0.0)
        assert (one.sideways.tenon_turns, one.sideways.ease_side) == (0.0, 0.0)
    assert shy.sideways.remove == pytest.approx(solution.job.instrument.heel_width * 1.2 / s)


def test_a_log_predicts_what_the_joint_has(solution: Solution) -> None:
    """No mortise and no tenon is predicted; the gap, the action and the heel's angle are."""
    found = predictions(solution)
    assert not [key for key in found if OTHER.search(key) or key == Measured.OPENING_WIDTH.value]
    assert found[Measured.GAP_FINAL.value] == solution.neck_set.saddle_gap


def test_jigs_of_two_kinds_are_not_shared(solution: Solution) -> None:
    """A butt joint's jig serves no mortise and tenon; another instrument with the same heel blank it serves."""
    other = solve(load_job(NAME, Shop()).model_copy(update={"joint": load(changed()).joint}))
    assert shared_jig(solution, other).reasons
    assert shared_jig(other, solution).reasons
    assert not shared_jig(solution, replace(solution, job=solution.job)).reasons


# --- proof ------------------------------------------------------------------------------------------------------------


def test_the_files_make_the_joint(kit: Path) -> None:
    """Every check of the cutting files passes, with the names that this joint has."""
    proof = proved(kit)
    assert failed(proof) == set()
    names = {check.name for check in proof.checks}
    assert {"cut: shoulder too little", "fit: saddle gap", "fit: sideways", "jig: heel stop goes in"} <= names
    assert not {name for name in names if OTHER.search(name)}


def narrower_window(by: float) -> Fault:
    """The window's walls at +Y brought in by `by` mm."""
    return reshape(
        "template_plate", lambda points: [(x, y - by if y > 20.0 else y, bulge) for x, y, bulge in points], "cut-inside"
    )


def left_standing(folder: Path) -> None:
    """A bar of plate left standing in the window, as a tongue would be."""
    path = folder / "laser/template_plate.dxf"
    document = ezdxf.readfile(path)
    (window,) = document.modelspace().query("LWPOLYLINE[layer=='cut-inside']")
    points = list(window.get_points("xyb"))  # type: ignore[attr-defined]
    far = min(x for x, _, _ in points)
    bar = [(far, 6.0, 0.0), (far + 60.0, 6.0, 0.0), (far + 60.0, -6.0, 0.0), (far, -6.0, 0.0)]
    at = next(i for i, (x, y, _) in enumerate(points) if abs(x - far) < 1e-6 and y > 0.0)
    upper = points[at][1] > 0.0 and points[(at + 1) % len(points)][1] < 0.0
    window.set_points([*points[: at + 1], *(bar if upper else bar[::-1]), *points[at + 1 :]], format="xyb")  # type: ignore[attr-defined]
    document.saveas(path)


def moved_pilot(document: Any) -> None:
    circles = sorted(document.modelspace().query("CIRCLE"), key=lambda one: one.dxf.center.y)
    circles[0].dxf.center = (circles[0].dxf.center.x, circles[0].dxf.center.y + 0.4, 0.0)


SPOILT: dict[str, tuple[Fault, str]] = {
    "wood left at a side": (narrower_window(16.0), "cut: shoulder too little"),
    "a bar over the heel": (left_standing, "cut: shoulder too little"),
    "a wider heel stop": (
        reshape("heel_stop", lambda points: [(1.02 * x, y, b) for x, y, b in points], "cut-outside"),
        "jig: heel stop goes in",
    ),
    "a rest of another width": (
        reshape("angle_rest", lambda points: [(x, y + 0.3 if y > 10.0 else y, b) for x, y, b in points], "cut-outside"),
        "jig: angle rest",
    ),
    "a pilot hole beside its place": (dxf("laser/drill_guide.dxf", moved_pilot), "fit: bolt 2 on the drilling guide"),
    "a shallower depth block": (
        reshape("depth_block", lambda points: [(x, min(y, 27.5), b) for x, y, b in points], "cut-outside"),
        "jig: depth block",
    ),
    "results of a deeper facing": (
        edit_results(lambda results: results["joint"].update(facing_depth_mm=6.0)),
        "files: results of these inputs",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", SPOILT)
def test_what_is_spoilt_is_named(kit: Path, tmp_path: Path, case: str) -> None:
    """One thing changed in the files by other tools is told by the check that stands for it."""
    fault, named = SPOILT[case]
    copy = spoilt(kit, tmp_path, fault)
    proof = compared(copy) if named.startswith("files: ") else Proof(prove_joint(copy, Plan(*made(NAME))).checks)
    assert named in failed(proof), (failed(proof), words_of(proof, named) if named else "")


# --- documents --------------------------------------------------------------------------------------------------------


def words_on(sheets: tuple[Sheet, ...]) -> str:
    return "\n".join(item.text for sheet in sheets for item in sheet.items if isinstance(item, Label))


def test_no_document_speaks_of_another_joint(solution: Solution, jig: Jig) -> None:
    """Report, paper, drawings, setup sheet and bench card: no tenon, mortise, tongue, plug or body rest in any."""
    context = setup_context(solution, jig)
    bench = [worded(name, context) for name in ("setup_sheet.j2", "bench_card.j2")]
    told = [report(solution, every_check=True), words_on(paper_sheets(solution, jig, store=store())), *bench]
    told += [words_on(shop_sheets(solution, jig)), "\n".join(jig.assembly_steps)]
    told += [f"{part.title} {part.purpose} {part.engraved_texts}" for part in jig.parts]
    for text in told:
        assert not OTHER.findall(text), OTHER.findall(text)


def test_the_sheet_tells_what_keeps_hands_and_insert_safe(solution: Solution, jig: Jig) -> None:
    """Stop out before the bit turns; the last pass has a packing as thick as what is gone; inserts lie deep."""
    context = setup_context(solution, jig)
    text = " ".join(worded("setup_sheet.j2", context).split())
    assert "Take screw and heel stop out." in text
    assert "packing of 2.5 mm" in text
    assert "Bolt, packing and stop out" in text
    assert "6 mm (0.236 in) under the shoulder" in text
    assert text.index("Unplugged:") < text.index("START at the far end")
    assert text.index("1 × M6 × 35 mm for the heel stop") < text.index("one on each side of the bolt M6 × 35 mm")
    assert text.index("Fit, draw up, read again") < text.index("hollow the middle of the shoulder")
    assert {fact.name: fact.value for fact in context.facts}["depth of cut"] == "5 mm (0.197 in)"


def test_the_sheet_for_a_neck_that_stands_over_the_top(solution: Solution) -> None:
    """With a neck rise the drill guide's end lies below the gluing face's edge, by as much along the end face."""
    high = solution.job.instrument.model_copy(update={"neck_rise": 0.6})
    found = solve_standing(solution.job.model_copy(update={"instrument": high}))
    context = setup_context(found, build_jig(found))
    text = " ".join(worded("setup_sheet.j2", context).split())
    assert re.search(r"its TOP end 0\.6 mm \([^)]*\) below the gluing face's edge \(neck rise\)", text)


def test_a_preset_may_name_the_kind(tmp_path: Path) -> None:
    """FULL's own joint with the kind alone is whole: nothing else is needed."""
    job = job_from_tables(changed(joint=BUTT), tmp_path / "bench.toml", Shop())
    assert isinstance(solve(job).joint, Butt)


# --- page -------------------------------------------------------------------------------------------------------------

FORM = Form(
    {
        "job.name": "mine",
        "instrument.preset": "size-00",
        "router.preset": "metric-17",
        "joint.kind": "butt",
        "joint.bolts.thread": "M6",
        "joint.bolts.kind": "insert",
    }
)


def test_the_page_shows_the_cut_that_there_is() -> None:
    """Asked for the body's cut, which this joint has not, the page shows the neck's."""
    assert answers.still(FORM, Opened(), Use.BODY) == answers.still(FORM, Opened(), Use.NECK)


def test_the_page_measures_what_the_joint_has(solution: Solution) -> None:
    """Its sketches point at the facing and at no mortise, tongue or bridge."""
    drawn = [draw(solution) for draw in (side_sketch, end_face_sketch, side_of_jig, plan_of_jig, cut_sketch)]
    keys = {key for sketch in drawn for key in sketch.keys}
    assert "joint.facing_depth" in keys
    assert not {key for key in keys if OTHER.search(key) or key in ("jig.bridged", "joint.end_clearance")}
