"""Which parts of a kit already made serve the next instrument, judged by their shapes."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import pytest
from worked_examples import example_a, example_b, example_d, make_job

from generator.base.annotation import EngravedText
from generator.base.contours2d import Path
from generator.base.points2d import P2
from generator.jig.build import build_jig
from generator.jig.compare import PartVerdict, Verdict, compare_jigs, shared_jig
from generator.jig.part import Face, Hole, Jig
from generator.job.load import load_job
from generator.job.model.instrument import Handed, Target
from generator.job.model.job import Job
from generator.joint.solution import Solution, solve


def jig(job: Job) -> Jig:
    return build_jig(solve(job))


def changed(job: Job, **instrument: object) -> Job:
    return job.model_copy(update={"instrument": job.instrument.model_copy(update=instrument)})


def verdicts(have: Jig, wanted: Jig) -> dict[str, PartVerdict]:
    return {one.name: one for one in compare_jigs(have, wanted, example_a().jig)}


def new_parts(found: dict[str, PartVerdict]) -> set[str]:
    return {name for name, one in found.items() if one.verdict is not Verdict.SERVES}


@pytest.fixture(scope="module")
def kit() -> Jig:
    return jig(example_a())


def test_the_same_job_needs_nothing(kit: Jig) -> None:
    """Every part of a kit serves the job it was made for, without a remark."""
    found = compare_jigs(kit, jig(example_a()))
    assert {one.verdict for one in found} == {Verdict.SERVES}
    assert {one.why for one in found} == {""}


def test_another_gap_needs_an_angle_rest_and_the_aids_that_carry_it(kit: Jig) -> None:
    """A gap of 4.1 in place of 3.5 moves the angle alone: angle rest, gap wedge and heel bevel, nothing else."""
    found = verdicts(kit, jig(example_a().model_copy(update={"target": Target(saddle_gap=4.1)})))
    assert new_parts(found) == {"angle_rest", "gap_wedge", "heel_bevel"}
    assert found["angle_rest"].why.startswith("angle rest width 20.36 → 20.67")


@pytest.mark.parametrize(("gap", "shims"), [(4.1, "1 + 0.2 + 0.1"), (3.0, "0.5 + 0.2"), (1.6, None), (12.0, None)])
def test_the_old_angle_rest_may_serve_on_shims(kit: Jig, gap: float, shims: str | None) -> None:
    """Both ways: 1 + 150·(4.1 − 3.5)/289.8861 is 1.3105, 1 − 150·0.5/289.8861 is 0.7413; the hint names the stack.

    Without any shim the old rest is 0.0169 too wide for 1.6; no tower of shims reaches 12.
    """
    why = verdicts(kit, jig(example_a().model_copy(update={"target": Target(saddle_gap=gap)})))["angle_rest"].why
    if gap == 1.6:
        assert why.endswith("; or the one at hand without a shim")
    elif shims is None:
        assert "or " not in why
    else:
        assert why.endswith(f"; or lay shims {shims} mm behind the one at hand, in place of the nominal one")


def test_a_deeper_cut_may_be_set_with_the_old_depth_block_and_shims(kit: Jig) -> None:
    """22.225 and shims of 0.5 and 0.2 are 22.925, the 22.9 wanted within half the thinnest shim: the hint says so."""
    job = example_a()
    wanted = jig(job.model_copy(update={"joint": job.joint.model_copy(update={"mortise_depth": 22.9})}))
    assert verdicts(kit, wanted)["depth_block"].why.endswith(
        "; or lay shims 0.5 + 0.2 mm on the one at hand to set a plunge"
    )


def test_a_deeper_body_needs_a_plate(kit: Jig) -> None:
    """A longer heel lengthens tongue and opening: the plate is new, and the reason names its dimensions."""
    found = verdicts(kit, jig(changed(example_a(), body_depth_at_neck=102.0)))
    assert found["template_plate"].verdict is Verdict.MAKE_NEW
    assert "tongue length 89.33 → 93.33" in found["template_plate"].why
    assert found["board"].verdict is found["upper_rest"].verdict is Verdict.SERVES


# --- the jig as a whole --------------------------------------------------------------------------------------------


def of_class(job: Job) -> Solution:
    """The job with the mortise length that a class agrees on, 75 mm, and one length of heel blank."""
    joint = job.joint.model_copy(update={"mortise_length": 75.0})
    instrument = job.instrument.model_copy(update={"heel_blank": 104.0})
    return solve(job.model_copy(update={"joint": joint, "instrument": instrument}))


def test_one_jig_serves_a_class() -> None:
    """Jobs A and D with mortises of 75: the tongue is 0.07 shorter than D's own, the opening 0.886 longer.

    Closed ends by the worked examples of the jig: X_t 72.33 to 72.41, X_m 76.87 to 77.77. So D's end clearance of 1
    becomes 1.97, plate, board and brackets serve, and only the angle rest is D's own.
    """
    have, wanted = of_class(example_a()), of_class(example_d())
    assert (have.routing.tongue_length, wanted.routing.tongue_length) == pytest.approx((72.33, 72.41), abs=0.006)
    shared = shared_jig(have, wanted)
    assert shared.reasons == ()
    assert shared.end_clearance == pytest.approx(1.97, abs=0.005)
    found = {one.name: one for one in compare_jigs(build_jig(have), build_jig(wanted), None, None, shared)}
    plate = found["template_plate"]
    assert (plate.verdict, plate.why) == (Verdict.SERVES, "made for another heel: the end clearance becomes 1.97")
    standing = {"board", "bracket_left", "bracket_right", "upper_rest", "body_rest", "caul"}
    assert {found[name].verdict for name in standing} == {Verdict.SERVES}
    assert found["angle_rest"].verdict is Verdict.MAKE_NEW


def test_a_plate_that_leaves_no_end_clearance_does_not_serve() -> None:
    """The other way round D's opening is 0.886 short of A's: 0.03 would be left at the tenon's end."""
    shared = shared_jig(of_class(example_d()), of_class(example_a()))
    assert shared.reasons == ("end clearance 1 → 0.03",)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"joint": {"mortise_depth": 20.0}}, "depth of cut 22.225 → 20"),
        ({"joint": {"mortise_width": 20.0}}, "opening width 22.225 → 23.175"),
        ({"jig": {"rest_spacing": 140}}, "rest spacing 150 → 140"),
        ({"instrument": {"heel_width": 66}}, "window half width 50.29, wanted 53.29"),
        ({"instrument": {"neck_block_width": 70}}, "room for the body rest on the neck block 32, wanted 37"),
    ],
)
def test_what_keeps_a_jig_from_serving(change: dict[str, dict[str, float]], reason: str) -> None:
    """Depth, widths, the rests' places, room for a wider blank or on a narrower block: each is named."""
    assert reason in shared_jig(solve(make_job()), solve(make_job(**change))).reasons
    assert shared_jig(solve(make_job()), solve(example_b())).reasons


# --- part by part --------------------------------------------------------------------------------------------------


def test_a_mirrored_hand_changes_no_part(kit: Jig) -> None:
    """The jig is the same for a left-handed instrument."""
    assert not new_parts(verdicts(kit, jig(changed(example_a(), handed=Handed.LEFT))))


def test_another_size_of_instrument_needs_nearly_everything(kit: Jig) -> None:
    """A ukulele's jig shares no main part with a guitar's, and what it does without is named as such."""
    found = verdicts(kit, jig(load_job("ukulele-tenor")))
    assert {"template_plate", "angle_rest", "depth_block"} <= new_parts(found)


def test_a_measured_sheet_of_other_thickness_is_a_reason(kit: Jig) -> None:
    """Reach and the fixed base's notch follow the measured sheet: 17.6 mm plywood is not the plate made for 18."""
    part = kit.part("template_plate")
    thin = replace(part, thickness=17.6)
    other = replace(kit, parts=tuple(thin if one.name == part.name else one for one in kit.parts))
    assert verdicts(kit, other)["template_plate"].why == "thickness 18 → 17.6"


def test_engraving_alone_is_no_reason_to_make_a_part(kit: Jig) -> None:
    """Letters that say something else are remarked on; the part serves."""
    part = kit.part("board")
    lettered = replace(part, engraved_texts=(EngravedText("ANOTHER", P2(0, 0), 3.0),))
    other = replace(kit, parts=tuple(lettered if one.name == part.name else one for one in kit.parts))
    found = verdicts(kit, other)["board"]
    assert (found.verdict, found.why) == (Verdict.SERVES, "its engraving says other values: mark it")


def test_a_moved_hole_is_found_even_where_no_dimension_names_it(kit: Jig) -> None:
    """0.1 mm counts, 0.01 mm does not: no part is cut that finely."""
    part = kit.part("board")
    for by, expected in ((0.1, Verdict.MAKE_NEW), (0.01, Verdict.SERVES)):
        first: Hole = part.holes[0]
        moved = replace(part, holes=(replace(first, at=P2(first.at.x + by, first.at.y)), *part.holes[1:]))
        other = replace(kit, parts=tuple(moved if one.name == part.name else one for one in kit.parts))
        assert verdicts(kit, other)["board"].verdict is expected


@pytest.mark.parametrize("feature", ["holes", "edge_holes", "openings"])
def test_every_size_of_a_feature_counts(feature: str) -> None:
    """Whatever field of a hole or opening changes, its part is not the same one; its words alone do not."""
    made = [part for job in ("orchestra-14", "orchestra-left") for part in jig(load_job(job)).parts]
    part = next(part for part in made if getattr(part, feature))
    have = Jig((part,), (), (), ())
    first, *others = getattr(part, feature)
    for field in fields(first):
        moved = replace(first, **{field.name: _another(getattr(first, field.name))})
        wanted = Jig((replace(part, **{feature: (moved, *others)}),), (), (), ())
        serves = compare_jigs(have, wanted)[0].verdict is Verdict.SERVES
        assert serves is (field.name in ("id", "why", "fit")), field.name


def _another(value: Any) -> Any:
    """A value of the same kind, far enough from this one to count."""
    if value is None:
        return 1.5
    if isinstance(value, Face):
        return Face.BACK if value is Face.FRONT else Face.FRONT
    if isinstance(value, P2):
        return value.plus(P2(0.1, 0.0))
    if isinstance(value, str):
        return value + "x"
    return value.moved(0.1, 0.0) if isinstance(value, Path) else value + 0.1


def test_more_pieces_than_there_are(kit: Jig) -> None:
    """A part wanted twice and there once is to be made."""
    part = kit.part("caul")
    other = replace(kit, parts=tuple(replace(part, quantity=4) if one.name == "caul" else one for one in kit.parts))
    assert verdicts(kit, other)["caul"].why == "4 wanted, 2 there"


def test_a_kit_of_another_version_is_left_to_the_builder(kit: Jig) -> None:
    """Where the results give a part another volume than this program builds, nothing is promised."""
    volumes = {part.name: part.volume for part in kit.parts} | {"board": kit.part("board").volume * 1.01}
    found = {one.name: one for one in compare_jigs(kit, kit, None, volumes)}
    assert found["board"].verdict is Verdict.CHECK
    assert new_parts(found) == {"board"}


def test_parts_that_come_and_go_are_named(kit: Jig) -> None:
    """A second depth block is added, and a kit that had one is told that it is no longer needed."""
    two = jig(make_job(jig={"second_depth_block": True}))
    assert verdicts(kit, two)["depth_block_tenon"].verdict is Verdict.ADD
    assert verdicts(two, kit)["depth_block_tenon"].verdict is Verdict.NOT_NEEDED
