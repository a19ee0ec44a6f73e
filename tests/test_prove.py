"""The proof of a kit from its written files: good kits pass, and each spoilt one fails by the right name."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from made_once import READY, made, unlike
from proof_kits import (
    Plan,
    Vertices,
    add_step,
    compared,
    double_one,
    edit_results,
    failed,
    laser_kit,
    map_file,
    open_one,
    proved,
    put,
    ready_kit,
    reshape,
    spoilt,
    words_of,
)
from ready_jobs import WITH_TENON
from typer.testing import CliRunner

from generator.base.errors import InputError
from generator.base.points2d import Transform
from generator.commands.cli import program
from generator.formats.step.write import part_step
from generator.job.shop import Shop, ShopEntry
from generator.joint.checks import CheckStatus
from generator.kit.manifest import write_manifest
from generator.proof import prove
from generator.proof.prove import prove_draft, prove_folder, prove_template_of
from generator.proof.verdict import Proof

pytestmark = pytest.mark.usefixtures("one_process", "proved_once")


@pytest.fixture(scope="module")
def kit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return ready_kit("orchestra-14", tmp_path_factory.mktemp("kits"))


@pytest.fixture(scope="module")
def other(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A kit of another instrument, to take files from."""
    return ready_kit("scrap-test", tmp_path_factory.mktemp("others"))


@pytest.mark.parametrize("name", READY)
def test_every_ready_job_proves_clean(name: str, tmp_path: Path) -> None:
    """Nothing fails and nothing is to be minded in the kit of a ready job: cut, jig, hands in both uses, fit.

    Each is proved as `make` does it; the unlike ones as `prove` does, with all their files.
    """
    solution, jig = made(name)
    whole = name in unlike()
    kit = laser_kit(solution, jig, tmp_path / name, sheets=whole)
    proof = proved(kit) if whole else Proof(prove_draft(kit, Plan(solution, jig)).checks)
    assert [str(check) for check in proof.checks if check.status is not CheckStatus.OK] == []
    assert proof.ok
    names = [check.name for check in proof.checks]
    assert len(set(names)) == len(names)
    assert {"jig: parts go in", "jig: screws go in", "jig: zero check's square fits"} <= {*names}
    assert ("files: nesting" in names) == whole
    in_use = [one for one in names if one.startswith("jig: ") and one.endswith(("neck", "body"))]
    assert len(in_use) >= (20 if name in WITH_TENON else 12)


# --- spoilt cutting files --------------------------------------------


def widened(points: Vertices) -> Vertices:
    """The mortise opening, the one contour wholly on the right of the plate, 0.3 mm wider."""
    if min(x for x, _, _ in points) > 5.0 and max(abs(y) for _, y, _ in points) < 20.0:
        return [(x, y + (0.15 if y > 0 else -0.15), bulge) for x, y, bulge in points]
    return points


def tongue_moved(points: Vertices) -> Vertices:
    """The tongue's sides, 7.425 mm from the centreline, moved across by 0.2 mm."""
    if len(points) < 12:
        return points
    return [(x, y + (0.2 if abs(y) < 10.0 else 0.0), bulge) for x, y, bulge in points]


def tightened(points: Vertices) -> Vertices:
    """The mortise opening with square corners: no bushing gets into them."""
    if min(x for x, _, _ in points) > 5.0 and max(abs(y) for _, y, _ in points) < 20.0:
        xs, ys = [x for x, _, _ in points], [y for _, y, _ in points]
        corners = [(min(xs), min(ys)), (max(xs), min(ys)), (max(xs), max(ys)), (min(xs), max(ys))]
        return [(x, y, 0.0) for x, y in corners]
    return points


def wider_rest(points: Vertices) -> Vertices:
    """The angle rest of a gap 1 mm higher: 0.52 mm wider, its tooth with it."""
    return [(x, y + (0.52 if y > 5.0 else 0.0), bulge) for x, y, bulge in points]


def tooth_moved(points: Vertices) -> Vertices:
    """A rest's tooth 0.3 mm aside."""
    return [(x + (0.3 if abs(x) < 10.0 else 0.0), y, bulge) for x, y, bulge in points]


def low_rail(points: Vertices) -> Vertices:
    """A bracket's rail, 21 mm high, 1 mm too low."""
    return [(x, y + (1.0 if x > 100.0 and y < -10.0 else 0.0), bulge) for x, y, bulge in points]


def holes_lower(folder: Path) -> None:
    """The board's screws for the angle rest, the lowest of its holes, 2 mm lower."""
    path = folder / "laser" / "board.dxf"
    document = ezdxf.readfile(path)
    for circle in document.modelspace().query("CIRCLE"):
        if circle.dxf.center.y < -150.0:
            circle.dxf.center = circle.dxf.center - ezdxf.math.Vec3(0.0, 2.0, 0.0)
    document.saveas(path)


def stretched(points: Vertices) -> Vertices:
    """A depth block 4 mm too high: the bit comes down into the rests, 3 mm under the cut."""
    high = max(y for _, y, _ in points)
    return [(x, y + (4.0 if y > high - 1.0 else 0.0), bulge) for x, y, bulge in points]


PLATE = "template_plate"
SPOILT: dict[str, tuple[Callable[[Path], None], set[str]]] = {
    "opening 0.3 mm wide": (
        reshape(PLATE, widened),
        {"cut: mortise too much", "fit: side clearance", "files: one outline"},
    ),
    "tongue shifted": (reshape(PLATE, tongue_moved), {"cut: tenon too much", "fit: sideways", "files: one outline"}),
    "corner tighter than the bushing": (reshape(PLATE, tightened), {"cut: mortise unreached", "files: one outline"}),
    "plate mirrored end for end": (
        map_file(PLATE, lambda x, y: (-x, y), flips=True),
        {"files: handedness", "cut: mortise too much"},
    ),
    "plate mirrored side for side": (map_file(PLATE, lambda x, y: (x, -y), flips=True), {"files: handedness"}),
    "one contour opened": (open_one(PLATE), {"files: open contour"}),
    "outline drawn twice": (double_one("board"), {"files: doubled line"}),
    "inches for millimetres": (map_file(PLATE, lambda x, y: (25.4 * x, 25.4 * y)), {"files: scale"}),
    "metres for millimetres": (map_file("caul", lambda x, y: (x / 1000.0, y / 1000.0)), {"files: scale"}),
    "angle rest of another gap": (
        reshape("angle_rest", wider_rest, "cut-outside"),
        {"jig: angle rest", "jig: neck angle", "fit: saddle gap", "files: one outline"},
    ),
    "upper rest too wide": (
        reshape("upper_rest", wider_rest, "cut-outside"),
        {"jig: rests on the fence lines", "jig: neck angle", "fit: saddle gap"},
    ),
    "body rest too wide": (
        reshape("body_rest", wider_rest, "cut-outside"),
        {"jig: rests on the fence lines", "fit: end clearance"},
    ),
    "tooth aside": (reshape("angle_rest", tooth_moved, "cut-outside"), {"fit: sideways", "files: one outline"}),
    "angle rest lower on the board": (holes_lower, {"jig: rest spacing", "fit: saddle gap", "files: one outline"}),
    "rail too low": (reshape("bracket_left", low_rail, "cut-outside"), {"jig: rails", "files: one outline"}),
    "depth block too high": (
        reshape("depth_block", stretched, "cut-outside"),
        {"jig: depth block", "jig: cutter clear of the jig, neck", "jig: cutter clear of the jig, body"},
    ),
    "bracket mirrored": (map_file("bracket_left", lambda x, y: (-x, y), flips=True), {"files: handedness"}),
}


@pytest.fixture(scope="module")
def plan() -> Plan:
    return Plan(*made("orchestra-14"))


@pytest.mark.parametrize("name", SPOILT)
def test_each_fault_of_a_cutting_file_stops_make(name: str, kit: Path, plan: Plan, tmp_path: Path) -> None:
    """A draft with one file spoilt fails, and among the failed checks are those that name the fault.

    Asked is the half of the proof that has them, of the files or of the joint; one that fails stops `make`.
    """
    fault, expected = SPOILT[name]
    copy = spoilt(kit, tmp_path, fault)
    of_files = {check for check in expected if check.startswith("files: ")}
    found = failed(Proof(prove.prove_files(copy, plan))) if of_files else set()
    if expected - of_files:
        found |= failed(Proof(prove.prove_joint(copy, plan).checks))
    assert expected <= found


@pytest.fixture(scope="module")
def wide(kit: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A kit whose mortise opening is too wide."""
    return spoilt(kit, tmp_path_factory.mktemp("wide"), reshape(PLATE, widened))


def test_a_finished_kit_is_judged_as_its_draft_was(wide: Path, plan: Plan) -> None:
    """The command fails by the same names, and the manifest, written after the fault, is not among them."""
    names = failed(proved(wide))
    assert names == failed(Proof(prove_draft(wide, plan).checks))
    assert "files: as listed" not in names


def test_the_words_name_file_part_and_cause(kit: Path, plan: Plan, tmp_path: Path) -> None:
    """A scale fault says how many times and why; the cutter's sweep names the part and by how much it is hit."""
    scaled = compared(spoilt(kit, tmp_path / "a", map_file("caul", lambda x, y: (25.4 * x, 25.4 * y))))
    assert "laser/caul.dxf: 25.4 times too large: inches where millimetres are meant" in words_of(
        scaled, "files: scale"
    )
    low = spoilt(kit, tmp_path / "b", reshape("depth_block", stretched, "cut-outside"))
    hit = Proof(prove.prove_joint(low, plan).checks)
    name = "jig: cutter clear of the jig, neck"
    assert "the bit runs 1 mm into upper_rest" in words_of(hit, name)
    # The rests begin 3 mm under the cut, and the block is 4 mm too high.
    assert next(check.value for check in hit.checks if check.name == name) == pytest.approx(-1.0, abs=0.02)


def test_a_stale_angle_rest_is_read_as_the_gap_it_gives(kit: Path, plan: Plan, tmp_path: Path) -> None:
    """A rest 0.52 mm too wide lifts the neck plane by 0.52 / 150 of the way to the saddle, about 1.0 mm."""
    stale = prove.prove_joint(spoilt(kit, tmp_path, reshape("angle_rest", wider_rest, "cut-outside")), plan)
    gap = next(check for check in stale.checks if check.name == "fit: saddle gap")
    assert gap.value - gap.limit == pytest.approx(0.52 / 150.0 * 289.886, rel=0.01)


def test_an_eccentric_bushing_fails_the_kit_it_is_to_cut(kit: Path) -> None:
    """The shop file's eccentricity of 0.4 mm moves the neck by twice as much; another kit's does not."""
    bad = proved(kit, Shop(router={"metric-17": ShopEntry({"eccentricity": 0.4})}))
    assert failed(bad) == {"cut: bushing eccentric"}
    assert "the neck by 0.80 mm" in words_of(bad, "cut: bushing eccentric")
    assert failed(cut_with(kit, "inch-half", eccentricity=0.4)) == set()


def test_an_offset_measured_since_is_cut_with(kit: Path) -> None:
    """A bushing and bit that really cut 2.36 mm from the template leave the joint 0.56 mm loose: that fails."""
    assert failed(cut_with(kit, "metric-17", edge_offset=2.36))


def cut_with(kit: Path, router: str, **measured: float) -> Proof:
    """The cut alone, with what the shop measured of a router."""
    cut = prove_template_of(kit, Shop(router={router: ShopEntry(measured)}))
    assert cut is not None
    return Proof(tuple(cut.checks))


# --- files that do not belong together -------------------------------


def test_a_changed_missing_or_added_file_is_told(kit: Path, tmp_path: Path) -> None:
    """The manifest's sizes and hashes are held against the folder; a file of the user's own is not judged."""
    copy = spoilt(kit, tmp_path)
    (copy / "laser" / "caul.dxf").unlink()
    with (copy / "laser" / "board.dxf").open("a", encoding="utf-8") as file:
        file.write("999\nlooked at\n")
    proof = compared(copy)
    assert failed(proof) == {"files: as listed", "files: complete"}
    words = words_of(proof, "files: as listed")
    assert "laser/caul.dxf: listed, but not there" in words
    assert "laser/board.dxf: changed since it was made" in words
    extra = spoilt(kit, tmp_path / "extra")
    (extra / "notes.txt").write_text("walnut")
    added = compared(extra)
    assert added.ok
    assert "files: as listed" not in {check.name for check in added.warned}


def test_results_of_another_job_are_stale(kit: Path, other: Path, tmp_path: Path) -> None:
    """results.json of another kit: every file says of which job it is, and that is not it."""
    proof = compared(spoilt(kit, tmp_path, put(other, "results.json")))
    assert "files: of one job and version" in failed(proof)
    assert "of job orchestra-14; results.json is of scrap-test" in words_of(proof, "files: of one job and version")


def test_one_file_of_another_job_is_stale(kit: Path, other: Path, plan: Plan, tmp_path: Path) -> None:
    """An angle rest left over from another instrument is named, and the gap that it gives is wrong."""
    proof = Proof(prove_draft(spoilt(kit, tmp_path, put(other, "laser/angle_rest.dxf")), plan).checks)
    assert {"files: of one job and version", "jig: angle rest", "fit: saddle gap"} <= failed(proof)


def test_a_number_of_the_results_that_its_inputs_do_not_give_fails(kit: Path, tmp_path: Path) -> None:
    """results.json is worked out again from its own inputs."""
    proof = compared(spoilt(kit, tmp_path, edit_results(lambda r: r["cradle"].update(angle_rest_mm=22.9))))
    assert "files: results of these inputs" in failed(proof)
    assert "cradle.angle_rest_mm is 22.9" in words_of(proof, "files: results of these inputs")


def test_notes_of_loading_are_no_fault(kit: Path, tmp_path: Path) -> None:
    """What the loader remarked on a job does not follow from its inputs: it is not worked out again."""
    assert compared(
        spoilt(kit, tmp_path, edit_results(lambda r: r.update(notes=["the shop's offset is left aside"])))
    ).ok


def refused(kit: Path, folder: Path, change: Callable[[dict[str, Any]], None]) -> str:
    """How results that are no kit's are refused."""
    with pytest.raises(InputError) as caught:
        proved(spoilt(kit, folder, edit_results(change)))
    return str(caught.value)


def test_results_of_another_shape_are_refused_by_their_key(kit: Path, tmp_path: Path) -> None:
    """What is no number, not there, out of range or of no stock is named; nothing ends in a fault of the program."""
    said = refused(kit, tmp_path / "a", lambda r: r["joint"].update(mortise_width_mm="wide"))
    assert "joint.mortise_width_mm: found 'wide'; allowed: a number" in said
    said = refused(kit, tmp_path / "b", lambda r: r.update(template={}))
    assert "template.mortise: found nothing; allowed: a table" in said
    said = refused(kit, tmp_path / "c", lambda r: r["inputs"]["printer"]["x_factor"].update(value=1.3))
    assert "inputs.printer.x_factor: found 1.3; allowed: a number from 0.9 to 1.1" in said
    assert "https" not in said
    said = refused(kit, tmp_path / "d", lambda r: r["inputs"]["jig"]["plate_stock"].update(value="teak-18"))
    assert 'inputs.jig.plate_stock: found "teak-18"; allowed: birch-ply-18' in said


def test_a_kit_of_another_version_is_told(kit: Path, tmp_path: Path) -> None:
    """Files of one version and results of another do not belong together."""
    proof = compared(spoilt(kit, tmp_path, edit_results(lambda r: r.update(version="0.0.1"))))
    assert "files: of one job and version" in failed(proof)


def test_a_file_that_is_no_dxf_is_named(kit: Path, plan: Plan, tmp_path: Path) -> None:
    """A broken file fails by its own check, and the rest is proved all the same."""

    def garble(folder: Path) -> None:
        (folder / "laser" / "caul.dxf").write_text("no drawing")

    proof = Proof(prove_draft(spoilt(kit, tmp_path, garble), plan).checks)
    assert failed(proof) == {"files: readable"}
    assert len(proof.checks) > 50


def test_only_what_is_in_the_folder_is_compared(kit: Path, tmp_path: Path) -> None:
    """A kit without cutting files is told that nothing was cut; that is no failure."""

    def empty(folder: Path) -> None:
        shutil.rmtree(folder / "laser")

    proof = proved(spoilt(kit, tmp_path, empty))
    assert proof.ok
    assert [check.name for check in proof.warned] == ["cut: template file"]


def test_a_folder_that_is_no_kit_is_refused(tmp_path: Path) -> None:
    """No folder, no results, no JSON and no kit's results are refused with the file's name."""
    for text in (None, "no json", "[]", "{}"):
        if text is not None:
            (tmp_path / "results.json").write_text(text)
        with pytest.raises(InputError, match=r"results\.json"):
            prove_folder(tmp_path)


# --- STEP ------------------------------------------------------------


@pytest.fixture(scope="module")
def step_kit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = ready_kit("ukulele-tenor", tmp_path_factory.mktemp("step"))
    add_step(folder, "ukulele-tenor", PLATE, "angle_rest", "bracket_right", "body_rest")
    return folder


def test_a_good_step_file_agrees_with_its_cutting_file(step_kit: Path) -> None:
    """Thickness, volume, outline and bores of the solids are those of the cutting files; some are there."""
    proof = compared(step_kit, kernel=True)
    assert failed(proof) == {"files: complete"}
    assert {"files: thickness", "files: solid"} <= {check.name for check in proof.checks}


def swap(part: str, old: str, new: str) -> Callable[[Path], None]:
    """A fault: numbers of a STEP file written over, as text."""

    def spoil(folder: Path) -> None:
        path = folder / "step" / f"{part}.step"
        text = path.read_text(encoding="ascii")
        assert old in text
        path.write_text(text.replace(old, new), encoding="ascii")

    return spoil


STEP_FAULTS: dict[str, tuple[Callable[[Path], None], str]] = {
    # The rest is of 12 mm stock: every upper corner stands at z = 12.
    "wrong thickness": (swap("angle_rest", ",12.)", ",15.)"), "files: thickness"),
    "not in millimetres": (swap("angle_rest", "SI_UNIT(.MILLI.,.METRE.)", "SI_UNIT($,.METRE.)"), "files: scale"),
    "another product": (swap("angle_rest", "'angle_rest','angle_rest'", "'zero_rest','zero_rest'"), "files: solid"),
    "a corner elsewhere": (swap("angle_rest", "-25.,", "-25.4,"), "files: one outline"),
    "no STEP": (lambda folder: (folder / "step" / "body_rest.step").write_text("solid"), "files: readable"),
}  # fmt: skip


@pytest.mark.parametrize("name", STEP_FAULTS)
def test_each_fault_of_a_step_file_is_named(name: str, step_kit: Path, tmp_path: Path) -> None:
    """A STEP file that is not the part of its cutting file fails by the right check."""
    fault, expected = STEP_FAULTS[name]
    assert expected in failed(compared(spoilt(step_kit, tmp_path, fault), kernel=True))


def test_a_solid_of_another_part_is_found_by_the_kernel(step_kit: Path, tmp_path: Path) -> None:
    """The mirror image of a bracket, under the bracket's name, is no file of that bracket."""
    part = made("ukulele-tenor")[1].part("bracket_right")
    flip = Transform.mirror_x()
    mirrored = replace(
        part,
        outline=part.outline.transformed(flip).reversed(),
        edge_holes=(),
        engraved_lines=(),
        engraved_texts=(),
        dimensions=(),
    )
    copy = spoilt(step_kit, tmp_path)
    (copy / "step" / "bracket_right.step").write_bytes(part_step(mirrored))
    write_manifest(copy)
    assert "files: handedness" in failed(compared(copy, kernel=True))


# --- make and the command --------------------------------------------


def test_the_draft_is_proved_as_the_kit(kit: Path, plan: Plan) -> None:
    """What `make` waits for judges a good kit good, and by the checks of the finished one."""
    checks = prove_draft(kit, plan).checks
    assert {check.status for check in checks} == {CheckStatus.OK}
    assert {check.name for check in checks} <= {check.name for check in proved(kit).checks}


def run(*arguments: str) -> tuple[int, str]:
    done = CliRunner().invoke(program("prove"), ["prove", *arguments])
    return done.exit_code, done.stdout


@pytest.fixture
def nothing_drawn_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """`prove` leaves out the half that draws the kit again (test_anew)."""
    monkeypatch.setattr("generator.kit.anew.anew_checks", lambda folder, room: ())


def test_the_command_answers_in_words_and_in_json(kit: Path, tmp_path: Path) -> None:
    """Status 0 and a verdict for a good kit; one JSON object of `ok` and `checks`; the picture only where asked for."""
    before = sorted(path.name for path in kit.iterdir())
    status, text = run(str(kit))
    assert status == 0
    assert text.startswith("orchestra-14: the files make the joint that was asked for")
    assert max(len(line) for line in text.splitlines()) <= 80
    status, text = run(str(kit), "--json", "--picture", str(tmp_path / "cut.svg"))
    answer = json.loads(text)
    assert status == 0
    assert answer["ok"] is True
    assert {"name", "status", "value", "limit", "message"} <= set(answer["checks"][0])
    assert (tmp_path / "cut.svg").read_text(encoding="utf-8").count("<svg") == 1
    assert sorted(path.name for path in kit.iterdir()) == before


def test_the_command_fails_with_a_spoilt_kit_and_refuses_what_is_none(
    wide: Path, tmp_path: Path, nothing_drawn_anew: None
) -> None:
    """Status 1 with the failed checks first; a folder that is no kit is a refusal; no folder is wrong usage."""
    status, text = run(str(wide))
    assert status == 1
    assert "FAILS: cut: mortise too much" in text
    status, text = run(str(wide), "--json")
    assert status == 1
    assert json.loads(text)["ok"] is False
    status, text = run(str(tmp_path / "nowhere"), "--json")
    assert status == 1
    assert json.loads(text)["errors"][0]["file"].endswith("results.json")
    assert run()[0] == 2


def test_the_shop_file_beside_the_kit_is_taken(
    kit: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, nothing_drawn_anew: None
) -> None:
    """shop.toml beside the kit's folder, or named, says how the bushing really runs."""
    taken: list[Shop] = []

    def prove(folder: Path, shop: Shop) -> Proof:
        taken.append(shop)
        return Proof(())

    monkeypatch.setattr("generator.proof.prove.prove_folder", prove)
    copy = spoilt(kit, tmp_path)
    measured = "[router.metric-17]\neccentricity = 0.4\n"
    named = tmp_path / "measured.toml"
    for beside, asked in ((measured, ()), ("", ()), ("", ("--shop", str(named)))):
        (tmp_path / "shop.toml").write_text(beside)
        named.write_text(measured)
        assert run(str(copy), *asked)[0] == 0
    said = [shop.router.get("metric-17", ShopEntry()).values.get("eccentricity") for shop in taken]
    assert said == [0.4, None, 0.4]
