"""Paper against cutting files: the program's own templates agree, and each spoilt one is called by its fault."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from made_once import paper
from proof_kits import failed, proved, ready_kit, spoilt, words_of

from generator.base.points2d import Transform
from generator.drawing.bars import PrinterScale
from generator.drawing.booklet import booklet, tiled_document
from generator.drawing.sheet import Sheet
from generator.drawing.tiling import both_plans
from generator.formats.pdf.read import PdfFile, read_pdf
from generator.formats.pdf.write import pdf_bytes
from generator.formats.svg.read import SvgFile, read_svg
from generator.formats.svg.write import write_svg
from generator.jig.build import build_jig
from generator.job.load import load_job
from generator.job.model.job import Paper
from generator.job.shop import Shop
from generator.joint.solution import solve
from generator.kit.manifest import write_manifest
from generator.proof.files.agree_cutting import drawn_by_model
from generator.proof.files.agree_paper import Printing, page_findings, part_findings
from generator.proof.findings import Finding, Topic

pytestmark = pytest.mark.usefixtures("proved_once")
JOB = "orchestra-14"
AS_IS = Printing(Paper.A4, 1.0, 1.0)
#: The sheet that the bracket lies on.
BRACKET = "parts_1"
#: The sheet that the rests lie on.
REST = "parts_1"


@pytest.fixture(scope="module")
def sheets() -> dict[str, Sheet]:
    return {sheet.name: sheet for sheet in paper(JOB)}


@pytest.fixture(scope="module")
def kit(sheets: dict[str, Sheet], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A kit with cutting files and paper: every SVG, and the booklet."""
    folder = ready_kit(JOB, tmp_path_factory.mktemp("paper"))
    (folder / "paper").mkdir()
    for name, sheet in sheets.items():
        write_svg(sheet, folder / "paper" / f"{name}.svg")
    plans = [both_plans(sheet, Paper.A4) for sheet in sheets.values()]
    (folder / "paper" / "booklet.A4.pdf").write_bytes(pdf_bytes(booklet(plans, "All sheets"), "All sheets", JOB))
    write_manifest(folder)
    return folder


def printed(sheet: Sheet, path: Path, correction: PrinterScale | None = None) -> PdfFile:
    path.write_bytes(pdf_bytes(tiled_document(both_plans(sheet, Paper.A4, correction)), sheet.title, sheet.job))
    return read_pdf(path)


def read_again(sheet: Sheet, folder: Path, change: Callable[[str], str] = str) -> SvgFile:
    path = folder / f"{sheet.name}.svg"
    write_svg(sheet, path)
    path.write_text(change(path.read_text(encoding="utf-8")), encoding="utf-8")
    return read_svg(path)


def kinds(findings: object) -> list[Topic]:
    return [finding.kind for finding in findings if isinstance(finding, Finding)]  # type: ignore[attr-defined]


def test_a_kit_with_paper_proves_clean(kit: Path) -> None:
    """Every part lies on a sheet as its cutting file has it, and the printed pages that there are, the sheets."""
    proof = proved(kit)
    assert failed(proof) == set()
    assert "files: print" in {check.name for check in proof.checks}


def parts_on(sheet: SvgFile, name: str) -> list[Topic]:
    """What is found of one part on one sheet."""
    part = build_jig(solve(load_job(JOB, Shop()))).part(name)
    return kinds(part_findings({sheet.name.removesuffix(".svg"): sheet}, {name: drawn_by_model(part)}))


def shrunk(text: str) -> str:
    """The sheet's size on paper in screen dots, as some programs write it: 25.4 / 96 of its size."""
    return re.sub(r'(width|height)="([\d.]+)mm"', r'\1="\2px"', text, count=2)


def test_a_sheet_at_another_scale_is_named(sheets: dict[str, Sheet], tmp_path: Path) -> None:
    """A template whose millimetres became screen dots is a fault of scale."""
    assert parts_on(read_again(sheets["template_plate"], tmp_path), "template_plate") == []
    assert parts_on(read_again(sheets["template_plate"], tmp_path, shrunk), "template_plate") == [Topic.SCALE]


def mirrored(sheet: Sheet) -> Sheet:
    """The strokes of a sheet turned over, its words where they were."""
    flip = Transform(a=-1.0, e=sheet.width)
    return replace(sheet, items=tuple(item.transformed(flip) for item in sheet.items), dimensions=())


def test_a_mirrored_sheet_is_named(sheets: dict[str, Sheet], tmp_path: Path) -> None:
    """A bracket's template printed through its back is a fault of handedness."""
    assert parts_on(read_again(mirrored(sheets[BRACKET]), tmp_path), "bracket_left") == [Topic.MIRRORED]


def test_a_stale_sheet_is_named(sheets: dict[str, Sheet], tmp_path: Path) -> None:
    """An angle rest of another angle is not the rest of the cutting file."""
    part = build_jig(solve(load_job(JOB, Shop()))).part("angle_rest")
    wider = part.outline.transformed(Transform(a=1.03))
    stale = drawn_by_model(replace(part, outline=wider, dimensions=()))
    sheet = read_again(sheets[REST], tmp_path)
    assert kinds(part_findings({REST: sheet}, {"angle_rest": stale})) == [Topic.OUTLINE]


@pytest.mark.parametrize("name", ["template_plate", "parts_1", "side_elevation", "heel"])
def test_pages_laid_together_are_the_sheet(name: str, sheets: dict[str, Sheet], tmp_path: Path) -> None:
    """Every line of the sheet is on some page, and no page has a line that is not there; stretched paper included."""
    svg = {name: read_again(sheets[name], tmp_path)}
    assert kinds(page_findings(printed(sheets[name], tmp_path / "a.pdf"), svg, AS_IS)) == []
    stretched = printed(sheets[name], tmp_path / "b.pdf", PrinterScale(1.004, 0.997))
    assert kinds(page_findings(stretched, svg, Printing(Paper.A4, 1.004, 0.997))) == []


def test_each_fault_of_a_print_is_named(sheets: dict[str, Sheet], tmp_path: Path) -> None:
    """A wrong stretch, a wrong paper, a missing page, the pages of another sheet, and no cover."""
    plate = sheets["template_plate"]
    svg, good = {plate.name: read_again(plate, tmp_path)}, printed(plate, tmp_path / "plate.pdf")
    stretched = printed(plate, tmp_path / "s.pdf", PrinterScale(1.02, 1.02))
    assert kinds(page_findings(stretched, svg, AS_IS)) == [Topic.SCALE]
    assert Topic.PRINT in kinds(page_findings(good, svg, Printing(Paper.LETTER, 1.0, 1.0)))
    without = replace(good, pages=good.pages[:1] + good.pages[2:])
    assert kinds(page_findings(without, svg, AS_IS)) == [Topic.PRINT]
    other = replace(good, pages=(good.pages[0], *printed(sheets["heel"], tmp_path / "heel.pdf").pages[1:]))
    assert kinds(page_findings(other, svg, AS_IS)) == [Topic.PRINT]
    assert kinds(page_findings(replace(good, pages=good.pages[1:]), svg, AS_IS)) != []


def test_paper_of_another_job_is_stale(kit: Path, tmp_path: Path) -> None:
    """A drawing says of which job it is; one of another job does not belong to the kit."""

    def relabelled(folder: Path) -> None:
        path = folder / "paper" / "heel.svg"
        path.write_text(path.read_text(encoding="utf-8").replace(f"job {JOB}", "job mandola-3"), encoding="utf-8")

    proof = proved(spoilt(kit, tmp_path, relabelled))
    assert failed(proof) == {"files: of one job and version"}
    assert "paper/heel.svg: of job mandola-3" in words_of(proof, "files: of one job and version")
