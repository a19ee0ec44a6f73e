"""Whether every group in a kit's folder is whole."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from generator.cutting.making import cutting_parts, laser_stocks, nested_parts
from generator.cutting.nesting import nest_all
from generator.documents.paper import sheet_names
from generator.documents.shop.drawing_set import sheet_parts
from generator.proof.files.agree_said import kerfs_of, sheet_stem
from generator.proof.files.sheet_files import ASSEMBLY, BOOKLET, DRAWINGS, PAPER, SET
from generator.proof.findings import Finding, Topic
from generator.proof.kit_files import LASER, Kit


def complete_findings(kit: Kit) -> Iterator[Finding]:
    """Every group that is in the folder has a file of every part and sheet that belongs in it."""
    job, parts = kit.solution.job, kit.jig.parts
    wanted: list[Path] = []
    if kit.holds(LASER):
        wanted += [Path(LASER, f"{part.name}.dxf") for part in cutting_parts(parts, job)]
        wanted += [Path(LASER, f"kerf-coupon-{stock.name}.dxf") for stock in laser_stocks(parts, job)]
        wanted += _sheet_files(kit)
    if kit.holds("step"):
        wanted += [Path("step", f"{name}.step") for name in (ASSEMBLY, *(part.name for part in parts))]
        wanted.append(Path("jig.glb"))
    if kit.holds(DRAWINGS):
        names = (ASSEMBLY, *sheet_parts(kit.solution, kit.jig))
        wanted += [Path(DRAWINGS, f"{name}.{kind}") for name in names for kind in ("svg", "dxf")]
        wanted.append(Path(DRAWINGS, f"{SET}.pdf"))
    if kit.holds(PAPER):
        wanted += _paper_files(kit)
    sheets = [kit.folder / name for name in ("setup_sheet.html", "setup_sheet.pdf", "bench_card.pdf")]
    if kit.files("setup_sheet.*"):
        wanted += [sheet.relative_to(kit.folder) for sheet in sheets]
    for path in wanted:
        if not (kit.folder / path).is_file():
            yield Finding(Topic.COMPLETE, path.as_posix(), "not there, where the rest of its group is")
        elif kit.listed is not None and path.as_posix() not in kit.listed:
            yield Finding(Topic.COMPLETE, path.as_posix(), "there, but not listed where the rest of its group is")


def _sheet_files(kit: Kit) -> Iterator[Path]:
    """The file of every nested sheet: at nominal size, unless one that is compensated for the kerf stands there."""
    job = kit.solution.job
    for sheet in nest_all(nested_parts(kit.jig.parts, job), job.stocks):
        names = [Path(LASER, f"{sheet_stem(sheet, kerf)}.dxf") for kerf in kerfs_of(sheet, job.stocks[sheet.stock])]
        there = [name for name in names if (kit.folder / name).is_file()]
        yield from there or names[:1]


def _paper_files(kit: Kit) -> Iterator[Path]:
    """Every sheet that the job has for certain, and a booklet: of which papers, `make` was told on its own."""
    yield from (Path(PAPER, f"{name}.svg") for name in sheet_names(kit.solution, kit.jig))
    if not list((kit.folder / PAPER).glob(f"{BOOKLET}.*.pdf")):
        yield from (Path(PAPER, f"{BOOKLET}.{paper.value}.pdf") for paper in kit.solution.job.output.paper)
