"""Which parts of a kit already made serve the next instrument, judged by their shapes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from worked_examples import example_a, make_job

from generator.compare import PartVerdict, Verdict, compare_jigs
from generator.geometry2d import P2
from generator.load import load_job
from generator.model.instrument import Handed, Target
from generator.model.job import Job
from generator.parts.base import EngravedText, Hole, Jig
from generator.parts.jig import build_jig
from generator.solution import solve


def jig(job: Job) -> Jig:
    return build_jig(solve(job))


def changed(job: Job, **instrument: object) -> Job:
    return job.model_copy(update={"instrument": job.instrument.model_copy(update=instrument)})


def verdicts(have: Jig, wanted: Jig, *shims: float) -> dict[str, PartVerdict]:
    return {one.name: one for one in compare_jigs(have, wanted, shims)}


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


def test_another_gap_needs_a_set_block_and_the_aids_that_carry_it(kit: Jig) -> None:
    """A gap of 4.1 in place of 3.5 moves the angle alone: block, gap gauge and heel bevel, nothing else."""
    wanted = jig(example_a().model_copy(update={"target": Target(saddle_gap=4.1)}))
    found = verdicts(kit, wanted)
    assert new_parts(found) == {"set_block", "gap_gauge", "heel_bevel"}
    assert found["set_block"].why == "set block 22.37 → 22.68"


def test_a_thicker_block_may_be_the_old_one_on_shims(kit: Jig) -> None:
    """22.37 on 0.2 and 0.1 is 22.67, nearer than half of the thinnest shim to 22.6816: the hint says so."""
    wanted = jig(example_a().model_copy(update={"target": Target(saddle_gap=4.1)}))
    assert verdicts(kit, wanted, 0.1, 0.2, 0.5, 1.0)["set_block"].why.endswith(
        "; or lay shims 0.2 + 0.1 mm under the one at hand"
    )
    thinner = jig(example_a().model_copy(update={"target": Target(saddle_gap=3.0)}))
    assert "shims" not in verdicts(kit, thinner, 0.1, 0.2)["set_block"].why


def test_a_deeper_cut_may_be_set_with_the_old_depth_block_and_shims(kit: Jig) -> None:
    """22.225 and shims of 0.5 and 0.2 are 22.925, the 22.9 wanted within half the thinnest shim: the hint says so."""
    job = example_a()
    wanted = jig(job.model_copy(update={"joint": job.joint.model_copy(update={"mortise_depth": 22.9})}))
    assert verdicts(kit, wanted, 0.1, 0.2, 0.5, 1.0)["depth_block"].why.endswith(
        "; or lay shims 0.5 + 0.2 mm on the one at hand to set a plunge"
    )


def test_a_deeper_body_needs_a_plate(kit: Jig) -> None:
    """A longer heel lengthens tongue and opening: the plate is new, and the reason names its dimensions."""
    found = verdicts(kit, jig(changed(example_a(), body_depth_at_neck=102.0)))
    assert found["template_plate"].verdict is Verdict.MAKE_NEW
    assert "tongue length 89.41 → 93.41" in found["template_plate"].why
    assert found["cheek_left"].verdict is Verdict.SERVES


def test_a_mirrored_hand_changes_no_part(kit: Jig) -> None:
    """The jig is the same for a left-handed instrument."""
    assert not new_parts(verdicts(kit, jig(changed(example_a(), handed=Handed.LEFT))))


def test_another_size_of_instrument_needs_nearly_everything(kit: Jig) -> None:
    """A ukulele's jig shares no main part with a guitar's, and what it does without is named as such."""
    found = verdicts(kit, jig(load_job("ukulele-tenor")))
    assert {"template_plate", "set_block", "depth_block"} <= new_parts(found)


def test_a_measured_sheet_of_other_thickness_is_a_reason(kit: Jig) -> None:
    """Tabs and notch follow the measured sheet: 17.6 mm plywood does not take parts made for 18."""
    part = kit.part("bed")
    thin = replace(part, thickness=17.6)
    other = replace(kit, parts=tuple(thin if one.name == "bed" else one for one in kit.parts))
    assert verdicts(kit, other)["bed"].why == "thickness 18 → 17.6"


def test_engraving_alone_is_no_reason_to_make_a_part(kit: Jig) -> None:
    """Letters that say something else are remarked on; the part serves."""
    part = kit.part("hold_down_bar")
    lettered = replace(part, engraved_texts=(EngravedText("ANOTHER", P2(0, 0), 3.0),))
    other = replace(kit, parts=tuple(lettered if one.name == part.name else one for one in kit.parts))
    found = verdicts(kit, other)["hold_down_bar"]
    assert (found.verdict, found.why) == (Verdict.SERVES, "its engraving says other values: mark it")


def test_a_moved_hole_is_found_even_where_no_dimension_names_it(kit: Jig) -> None:
    """0.1 mm counts, 0.01 mm does not: no part is cut that finely."""
    part = kit.part("cheek_left")
    for by, expected in ((0.1, Verdict.MAKE_NEW), (0.01, Verdict.SERVES)):
        first: Hole = part.holes[0]
        moved = replace(part, holes=(replace(first, at=P2(first.at.x + by, first.at.y)), *part.holes[1:]))
        other = replace(kit, parts=tuple(moved if one.name == part.name else one for one in kit.parts))
        assert verdicts(kit, other)["cheek_left"].verdict is expected


def test_more_pieces_than_there_are(kit: Jig) -> None:
    """A part wanted twice and there once is to be made."""
    part = kit.part("rail")
    other = replace(kit, parts=tuple(replace(part, quantity=4) if one.name == "rail" else one for one in kit.parts))
    assert verdicts(kit, other)["rail"].why == "4 wanted, 2 there"


def test_a_kit_of_another_version_is_left_to_the_builder(kit: Jig) -> None:
    """Where the results give a part another volume than this program builds, nothing is promised."""
    volumes = {part.name: part.volume for part in kit.parts} | {"bed": kit.part("bed").volume * 1.01}
    found = {one.name: one for one in compare_jigs(kit, kit, (), volumes)}
    assert found["bed"].verdict is Verdict.CHECK
    assert new_parts(found) == {"bed"}


def test_parts_that_come_and_go_are_named(kit: Jig) -> None:
    """A second depth block is added; the truss-rod key is not needed by a neck without a slot."""
    job = make_job()
    found = verdicts(kit, jig(changed(job, truss_rod_slot_width=None, truss_rod_slot_depth=None)))
    assert found["side_stop"].verdict is Verdict.ADD
