"""One thing at a time is spoilt in a made kit's files: each fault is named by the check that stands for it.

The files are spoilt with other tools (ezdxf, text substitution, pdfium), never with the program's own writers.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import pypdfium2
import pytest
from made_once import store
from proof_kits import Fault, compared, dxf, failed

from generator.base.geometry3d import P3
from generator.documents.paper import paper_sheets
from generator.formats.svg.write import write_svg
from generator.jig.build import build_jig
from generator.jig.buildability import with_standing
from generator.jig.results import results_dict
from generator.job.load import load_job
from generator.job.shop import Shop
from generator.joint.checks import CheckStatus
from generator.joint.solution import solve
from generator.kit.groups import WRITERS, Group, KitPlan
from generator.kit.manifest import write_json, write_manifest
from generator.proof.findings import Topic
from generator.proof.verdict import Proof

pytestmark = pytest.mark.usefixtures("proved_once")
#: The job whose kit is sabotaged.
JOB = "orchestra-14"
#: The job whose shop drawings are sabotaged.
SHOP_JOB = "orchestra-left"
ON_PAPER = ("heel", "sawn_end", "body_end_face", "side_elevation", "template_plate")
#: Files of the kit that a whole one would have besides: the kit here is kept small.
SMALL = {"files: complete", "files: one outline"}


@pytest.fixture(scope="module")
def kit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Cutting files, setup sheet and five paper sheets of a jig sawn by hand."""
    folder, plan = started(JOB, tmp_path_factory.mktemp("sabotage"))
    WRITERS[Group.LASER](plan, folder)
    WRITERS[Group.SHEET](plan, folder)
    (folder / "paper").mkdir()
    for sheet in paper_sheets(plan.solution, plan.jig, store=store()):
        if sheet.name in ON_PAPER:
            write_svg(sheet, folder / "paper" / f"{sheet.name}.svg")
    return finished(folder, plan)


@pytest.fixture(scope="module")
def shop_kit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The drawings of a jig that a machine shop makes."""
    folder, plan = started(SHOP_JOB, tmp_path_factory.mktemp("shop"))
    WRITERS[Group.DRAWINGS](plan, folder)
    return finished(folder, plan)


def started(name: str, where: Path) -> tuple[Path, KitPlan]:
    folder = where / name
    folder.mkdir()
    solution = with_standing(solve(load_job(name, Shop())))
    return folder, KitPlan(solution, build_jig(solution), solution.job.output.paper, store=store())


def finished(folder: Path, plan: KitPlan) -> Path:
    write_json(folder / "results.json", results_dict(plan.solution, plan.jig))
    write_manifest(folder)
    return folder


def spoil(kit: Path, folder: Path, fault: Fault) -> Path:
    copy = folder / kit.name
    shutil.copytree(kit, copy)
    fault(copy)
    write_manifest(copy)
    return copy


def text(path: str, old: str, new: str | Callable[[re.Match[str]], str]) -> Fault:
    """One substitution in a text file."""

    def fault(folder: Path) -> None:
        whole = (folder / path).read_text(encoding="utf-8")
        changed = re.sub(old, new, whole, count=1)
        assert changed != whole
        (folder / path).write_text(changed, encoding="utf-8")

    return fault


def more(by: float) -> Callable[[re.Match[str]], str]:
    """The first group, a number, larger by `by`."""
    return lambda found: found[0].replace(found[1], f"{float(found[1]) + by:.4f}")


def swapped(one: str, other: str) -> Fault:
    def fault(folder: Path) -> None:
        kept = (folder / one).read_bytes()
        (folder / one).write_bytes((folder / other).read_bytes())
        (folder / other).write_bytes(kept)

    return fault


def mirrored(path: str) -> Fault:
    def fault(folder: Path) -> None:
        document = pypdfium2.PdfDocument(str(folder / path))
        for page in document:
            for item in page.get_objects():
                item.transform(pypdfium2.PdfMatrix(-1, 0, 0, 1, page.get_width(), 0))
            page.gen_content()
        document.save(str(folder / "spoilt.pdf"))
        document.close()
        (folder / "spoilt.pdf").replace(folder / path)

    return fault


def point_moved(document: Any) -> None:
    dimension = document.modelspace().query("DIMENSION")[0]
    dimension.dxf.defpoint2 = dimension.dxf.defpoint2 + ezdxf.math.Vec3(0.2, 0.2, 0.0)


def number_changed(document: Any) -> None:
    dimension = document.modelspace().query("DIMENSION")[0]
    dimension.dxf.text = str(float(dimension.dxf.text.split()[0]) + 1)


def drawn_hole_moved(document: Any) -> None:
    circle = next(circle for circle in document.modelspace().query("CIRCLE") if circle.dxf.layer == "visible")
    circle.dxf.center = circle.dxf.center + ezdxf.math.Vec3(0.2, 0.0, 0.0)


def off_the_sheet(document: Any) -> None:
    for entity in document.modelspace():
        entity.translate(5000.0, 0.0, 0.0)


def outline_dropped(document: Any) -> None:
    space = document.modelspace()
    space.delete_entity(next(e for e in space.query("LWPOLYLINE") if e.dxf.layer == "cut-outside"))


def in_inches(document: Any) -> None:
    document.header["$INSUNITS"] = 1


def number_in_results(*keys: str) -> Fault:
    def fault(folder: Path) -> None:
        results = json.loads((folder / "results.json").read_text(encoding="utf-8"))
        table = results
        for key in keys[:-1]:
            table = table[key]
        table[keys[-1]] += 0.3
        write_json(folder / "results.json", results)

    return fault


@pytest.fixture(scope="module")
def unspoilt(kit: Path) -> Proof:
    return compared(kit, pages=True, nested=True)


@pytest.fixture(scope="module")
def unspoilt_shop(shop_kit: Path) -> Proof:
    return compared(shop_kit, pages=True)


def test_the_small_kit_itself_has_no_fault_but_its_smallness(unspoilt: Proof) -> None:
    """Nothing is found in the kit as made, but that files are missing: a fault found below is the one that was made."""
    proof = unspoilt
    assert failed(proof) <= SMALL
    looked_for = {check.name for check in proof.checks if check.status is CheckStatus.OK}
    assert {"files: joint on paper", "files: setup sheet"} <= looked_for
    assert {"files: nesting", "files: results of these inputs"} <= looked_for


SHOP_FAULTS: dict[str, tuple[Fault, str]] = {
    "a dimension's point": (dxf("drawings/board.dxf", point_moved), "files: dimensions"),
    "a dimension's number": (dxf("drawings/board.dxf", number_changed), "files: dimensions"),
    "a hole on one drawing file": (dxf("drawings/board.dxf", drawn_hole_moved), "files: drawings"),
    "a drawing in inches": (dxf("drawings/board.dxf", in_inches), "files: scale"),
    "a word on one drawing file": (text("drawings/board.svg", r">(\d+\.\d+)", more(1.0)), "files: drawings"),
    "two drawings swapped": (swapped("drawings/board.svg", "drawings/template_plate.svg"), "files: drawings"),
    "a drawing mirrored": (mirrored("drawings/set.pdf"), "files: drawings"),
}
FAULTS: dict[str, tuple[Fault, str]] = {
    "a bolt on the end face": (text("paper/body_end_face.svg", r'cy="([\d.]+)"', more(0.3)), "files: joint on paper"),
    "a stock sheet off its sheet": (dxf("laser/sheet-maple-12-1.dxf", off_the_sheet), "files: nesting"),
    "a part left off its stock": (dxf("laser/sheet-birch-ply-18-1.dxf", outline_dropped), "files: one outline"),
    "a number of the results": (
        number_in_results("cradle", "angle_rest_mm"),
        "files: results of these inputs",
    ),
    "a cutting file missing": (lambda folder: (folder / "laser" / "caul.dxf").unlink(), "laser/caul.dxf"),
    "a setup sheet cut short": (
        lambda folder: (folder / "setup_sheet.pdf").write_bytes((folder / "setup_sheet.pdf").read_bytes()[:900]),
        "files: readable",
    ),
    "a wrong figure on the setup sheet": (text("setup_sheet.html", r"(19\.05)", "20.05"), "files: setup sheet"),
}


#: Faults of what is read page by page; for the others the pages need not be read.
PAGES = {"a bolt on the end face", "a setup sheet cut short", "a wrong figure on the setup sheet"}
#: Faults of nested sheets; for the others those need not be read.
NESTED = {"a stock sheet off its sheet", "a part left off its stock"}


def test_the_shop_kit_has_no_fault(unspoilt_shop: Proof) -> None:
    """Its drawings agree in all their files."""
    assert failed(unspoilt_shop) == set()
    looked_for = {check.name for check in unspoilt_shop.checks}
    assert {"files: dimensions", "files: drawings"} <= looked_for


@pytest.mark.parametrize("name", SHOP_FAULTS)
def test_each_fault_of_a_drawing_is_named(shop_kit: Path, unspoilt_shop: Proof, tmp_path: Path, name: str) -> None:
    """As below, for the shop's drawings."""
    fault, check = SHOP_FAULTS[name]
    assert check not in failed(unspoilt_shop)
    assert check in failed(compared(spoil(shop_kit, tmp_path, fault), pages=True))


@pytest.mark.parametrize("name", FAULTS)
def test_each_fault_is_named(kit: Path, unspoilt: Proof, tmp_path: Path, name: str) -> None:
    """The check that stands for the fault fails and names the file; nothing crashes on it."""
    fault, check = FAULTS[name]
    proof = compared(spoil(kit, tmp_path, fault), pages=name in PAGES, nested=name in NESTED)
    if check.startswith("files:"):
        before = {c.name: c.message for c in unspoilt.checks}
        found = {c.name: c.message for c in proof.checks if c.status is CheckStatus.FAIL}
        assert check in found
        assert found[check] != before.get(check)
    else:
        assert check in " ".join(c.message for c in proof.checks if c.name == "files: complete")


@pytest.fixture(scope="module")
def standing(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Any, dict[str, float]]:
    """jig.step as made, the jig it is of, and its parts' volumes."""
    from generator.formats.step.write import assembly_step
    from generator.solid import assembly

    jig = build_jig(solve(load_job(JOB, Shop())))
    path = tmp_path_factory.mktemp("standing") / "jig.step"
    path.write_bytes(assembly_step(assembly(jig)))
    return path, jig, {part.name: part.volume for part in jig.parts}


def test_the_assembled_jig_is_its_parts_where_they_stand(
    standing: tuple[Path, Any, dict[str, float]], tmp_path: Path
) -> None:
    """jig.step has every part and screw once; one dropped from it is told, or the file refused that still names it."""
    from generator.proof.files.agree_assembly import assembly_findings

    path, jig, volumes = standing
    assert list(assembly_findings(path, jig, volumes)) == []
    whole = path.read_text(encoding="utf-8")
    # One of several screws alike: a part that stands only once would stay in the file as a product of its own.
    dropped = r"#\d+\s*=\s*NEXT_ASSEMBLY_USAGE_OCCURRENCE\(\s*'\d+'\s*,\s*'H1_1'.*?\);"
    fewer = re.sub(dropped, "", whole, count=1, flags=re.DOTALL)
    assert fewer != whole
    spoilt = tmp_path / "jig.step"
    spoilt.write_text(fewer, encoding="utf-8")
    found = {finding.kind for finding in assembly_findings(spoilt, jig, volumes)}
    assert found in ({Topic.ASSEMBLY}, {Topic.UNREADABLE})


def test_a_piece_elsewhere_or_of_another_size_is_told(standing: tuple[Path, Any, dict[str, float]]) -> None:
    """A rest half a millimetre aside, a screw turned end for end, one with another head: each by its label."""
    from generator.proof.files.agree_assembly import assembly_findings

    path, jig, volumes = standing

    def told(placed: Any = None, hardware: Any = None) -> str:
        other = replace(jig, placed=placed or jig.placed, hardware=hardware or jig.hardware)
        return " ".join(str(finding) for finding in assembly_findings(path, other, volumes))

    aside = [
        replace(item, placement=replace(item.placement, origin=item.placement.origin.plus(P3(0.0, 0.5, 0.0))))
        if item.label == "angle_rest"
        else item
        for item in jig.placed
    ]
    assert "angle_rest stands elsewhere" in told(placed=tuple(aside))
    line, screw = jig.hardware[0], jig.hardware[0].pieces[0]
    ends = screw.start.plus(screw.direction.times(screw.length)), screw.direction.times(-1.0)
    for change in (
        {"start": ends[0], "direction": ends[1]},
        {"head_diameter": screw.head_diameter + 0.5},
        {"length": screw.length + 5.0},
    ):
        changed = replace(line, pieces=(replace(screw, **change), *line.pieces[1:]))
        assert f"{line.id}_1 stands elsewhere or has another size" in told(hardware=(changed, *jig.hardware[1:]))
