"""What a machine, a shop or a builder acts on is proved: each of it changed once, by other tools, is told by its name.

The kits are listed anew after the change, as somebody would who meant to deceive, so that the hashes tell nothing.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from made_once import made as made_ready
from proof_kits import Fault, add_step, dxf, edit_results, failed, ready_kit

from generator.jig.part import Jig
from generator.job.effective import job_copy
from generator.joint.solution import Solution
from generator.kit.manifest import write_manifest
from generator.proof.files.agree import FileCare, file_checks
from generator.proof.files.agree_checks import stated_checks
from generator.proof.files.agree_step import shared_findings
from generator.proof.kit_files import open_kit
from generator.proof.verdict import Proof

pytestmark = pytest.mark.usefixtures("proved_once")
JOB = "orchestra-14"
PLATE = "laser/template_plate.dxf"
SHEET = "laser/sheet-birch-ply-18-1.dxf"
COUPON = "laser/kerf-coupon-acrylic-3.dxf"
CARE = FileCare(kernel=False, pages=False, nested=False, listed=True)
Made = tuple[Solution, Jig]


@pytest.fixture(scope="module")
def made() -> Made:
    return made_ready(JOB)


@pytest.fixture(scope="module")
def kit(tmp_path_factory: pytest.TempPathFactory, made: Made) -> Path:
    folder = ready_kit(JOB, tmp_path_factory.mktemp("refuses"))
    (folder / "job.toml").write_text(job_copy(made[0].job, "made", "there"), encoding="utf-8")
    write_manifest(folder)
    return folder


def judged(folder: Path, made: Made | None, *files: str) -> Proof:
    """The checks of the lists, of the results and, to be quick, of these cutting files alone.

    Without `made` the job is rebuilt from the results.
    """
    plate = frozenset({"template_plate"} if PLATE in files else ())
    nested = [file for file in files if file != PLATE]
    for path in (folder / "laser").glob("*-*.dxf") if nested else ():
        if f"laser/{path.name}" not in nested:
            path.unlink()
    kit = replace(open_kit(folder), made=made, only=plate)
    return Proof((*file_checks(kit, replace(CARE, nested=bool(nested))), stated_checks(kit, ())))


def spoil(kit: Path, folder: Path, fault: Fault, *, listed: bool = True) -> Path:
    copy = folder / kit.name
    shutil.copytree(kit, copy)
    fault(copy)
    if listed:
        write_manifest(copy)
    return copy


def layer(change: Callable[[Any], None]) -> Fault:
    return dxf(PLATE, lambda document: change(document.layers.get("cut-inside")))


def opening(key: str, value: float) -> Fault:
    """One opening of the plate with an attribute set (DXF reference, group codes 60, 43 and 39)."""

    def change(document: Any) -> None:
        line = next(e for e in document.modelspace().query("LWPOLYLINE") if e.dxf.layer == "cut-inside")
        line.dxf.set(key, value)

    return dxf(PLATE, change)


def says(path: str, key: str, value: str) -> Fault:
    return dxf(path, lambda document: document.header.custom_vars.replace(key, value))


def without_a_mark(document: Any) -> None:
    space = document.modelspace()
    space.delete_entity(next(e for e in space if e.dxf.layer == "engrave"))


def no_sheets(folder: Path) -> None:
    for path in (folder / "laser").glob("sheet-*.dxf"):
        path.unlink()


def set_in(*keys: str | int, to: Any) -> Fault:
    def change(results: dict[str, Any]) -> None:
        table: Any = results
        for key in keys[:-1]:
            table = table[key]
        table[keys[-1]] = to

    return edit_results(change)


LINES = "files: clean cutting lines"
SAID = "files: what they say of themselves"
RESULTS = "files: results of these inputs"
COMPLETE = "files: complete"
FAULTS: dict[str, tuple[Fault, str] | tuple[Fault, str, str]] = {
    "a layer switched off": (layer(lambda one: one.off()), LINES, PLATE),
    "a layer frozen": (layer(lambda one: one.freeze()), LINES, PLATE),
    "a layer not plotted": (layer(lambda one: one.dxf.set("plot", 0)), LINES, PLATE),
    "an opening invisible": (opening("invisible", 1), LINES, PLATE),
    "a line with a width": (opening("const_width", 2.0), LINES, PLATE),
    "a line with a thickness": (opening("thickness", 2.0), LINES, PLATE),
    "a kerf in words": (says(PLATE, "Kerf", "none"), SAID, PLATE),
    "another thickness": (says(PLATE, "Thickness", "12 mm"), SAID, PLATE),
    "another stock": (says(PLATE, "Stock", "maple-12"), SAID, PLATE),
    "another part": (says(PLATE, "Part", "board"), SAID, PLATE),
    "another quantity": (says(PLATE, "Quantity", "7"), SAID, PLATE),
    "a sheet of another stock": (says(SHEET, "Stock", "maple-12"), SAID, SHEET),
    "a coupon cut more often": (says(COUPON, "Quantity", "9"), SAID, COUPON),
    "an engraving of a part missing": (dxf(PLATE, without_a_mark), "files: engraving", PLATE),
    "an engraving of a sheet missing": (dxf(SHEET, without_a_mark), "files: engraving", SHEET),
    "an engraving of a coupon missing": (dxf(COUPON, without_a_mark), "files: engraving", COUPON),
    "no nested sheets": (no_sheets, COMPLETE),
    "another schema": (set_in("schema", to=3), RESULTS),
    "another program": (set_in("program", to="other"), RESULTS),
    "the template turned round": (set_in("template", "tenon", "direction", to=1), RESULTS),
    "a source from nowhere": (set_in("inputs", "instrument", "scale_length", "source", to="hearsay"), RESULTS),
    "another source": (set_in("inputs", "instrument", "scale_length", "source", to="job"), RESULTS),
    "a check renamed": (set_in("checks", 0, "name", to="weather"), RESULTS),
    "a strange key": (set_in("extra", to=1), RESULTS),
}


def test_the_kit_itself_has_no_fault(kit: Path, made: Made) -> None:
    """Nothing is found in the kit as made: a fault found below is the one that was made."""
    whole = replace(open_kit(kit), made=made)
    checks = (*file_checks(whole, replace(CARE, nested=True)), stated_checks(whole, ()))
    assert [str(check) for check in Proof(checks).failed] == []


@pytest.mark.parametrize("name", FAULTS)
def test_each_change_is_told(kit: Path, made: Made, tmp_path: Path, name: str) -> None:
    """The check that stands for the change fails, although the manifest lists the changed file."""
    fault, check, *file = FAULTS[name]
    assert check in failed(judged(spoil(kit, tmp_path, fault), made, *file))


def test_another_thickness_of_a_stock_is_told(kit: Path, tmp_path: Path) -> None:
    """An input changed in results.json alone is not what the kit's own job.toml says."""
    fault = set_in("inputs", "stock.birch-ply-18", "thickness", "value", to=17.0)
    found = judged(spoil(kit, tmp_path, fault), None)
    assert any("job.toml: line" in check.message for check in found.failed if check.name == RESULTS)


def test_a_check_that_no_proof_makes_is_told(kit: Path, made: Made, tmp_path: Path) -> None:
    """A check of the cut in results.json, where no file of the plate was cut, is not believed."""
    strange = {"name": "cut: mortise too much", "status": "ok", "value": 0.0, "limit": 0.1, "message": ""}
    fault = edit_results(lambda results: results["checks"].append(strange))
    assert "files: checks of the results" in failed(judged(spoil(kit, tmp_path, fault), made))


def list_with(change: Callable[[dict[str, Any]], None]) -> Fault:
    def fault(folder: Path) -> None:
        path = folder / "manifest.json"
        content = json.loads(path.read_text(encoding="utf-8"))
        change(content)
        path.write_text(json.dumps(content), encoding="utf-8")

    return fault


def entry(path: str) -> dict[str, Any]:
    return {"path": path, "bytes": 0, "sha256": "0" * 64, "group": "laser"}


def nudged(folder: Path) -> None:
    """The first coordinate of the plate's file (group code 10) 0.001 mm larger, the file as long as it was."""
    path = folder / PLATE
    text = path.read_text(encoding="utf-8")
    body = text.index("ENTITIES")
    moved = re.sub(
        r"(\n 10\n-?\d+\.\d\d)(\d)", lambda found: found[1] + str((int(found[2]) + 1) % 10), text[body:], count=1
    )
    assert moved != text[body:]
    path.write_text(text[:body] + moved, encoding="utf-8")


LISTS: dict[str, Fault] = {
    "a file gone": lambda folder: (folder / COUPON).unlink(),
    "the laser folder gone": lambda folder: shutil.rmtree(folder / "laser"),
    "a way out": list_with(lambda content: content["files"].append(entry("../other/results.json"))),
    "an absolute path": list_with(lambda content: content["files"].append(entry("/etc/hostname"))),
    "no files": list_with(lambda content: content["files"].clear()),
    "another schema": list_with(lambda content: content.update(schema=2)),
    "a file twice": list_with(lambda content: content["files"].append(content["files"][0])),
    "another group": list_with(lambda content: content["files"][0].update(group="paper")),
    "a coordinate 0.001 mm off": nudged,
}


@pytest.mark.parametrize("name", LISTS)
def test_a_folder_that_is_not_as_listed_is_not_proved(kit: Path, made: Made, tmp_path: Path, name: str) -> None:
    """The manifest lists files of the kit alone, all of them, each with its hash: anything else fails by name."""
    assert "files: as listed" in failed(judged(spoil(kit, tmp_path, LISTS[name], listed=False), made))


def test_a_file_that_the_manifest_leaves_out_is_not_proved(kit: Path, made: Made, tmp_path: Path) -> None:
    """A sheet that lies there and is not listed may be anything: its group is not complete."""
    unlisted = list_with(
        lambda content: content["files"].remove(next(f for f in content["files"] if f["path"] == SHEET))
    )
    assert COMPLETE in failed(judged(spoil(kit, tmp_path, unlisted, listed=False), made))


def test_a_point_of_the_assembled_jig_moved_is_told(tmp_path: Path, made: Made) -> None:
    """jig.step has every point of its parts' files; one half a millimetre off in either is told by its part."""
    from generator.formats.step.write import assembly_step
    from generator.solid import assembly

    (tmp_path / "results.json").write_text("{}", encoding="utf-8")
    add_step(tmp_path, JOB, "angle_rest")
    part, whole = tmp_path / "step" / "angle_rest.step", tmp_path / "jig.step"
    whole.write_bytes(assembly_step(assembly(made[1])))
    assert list(shared_findings(whole, [part])) == []
    point = re.search(r"CARTESIAN_POINT\('',\((-?[\d.]+),(-?\d+\.\d{9,}),", part.read_text(encoding="ascii"))
    assert point is not None
    moved = point[0].replace(point[2], repr(float(point[2]) + 0.5))
    whole.write_text(whole.read_text(encoding="ascii").replace(point[0], moved, 1), encoding="ascii")
    assert ["of angle_rest.step" in finding.words for finding in shared_findings(whole, [part])] == [True]
