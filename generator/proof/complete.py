"""Whether every group in a kit's folder is whole."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from generator.proof.findings import Finding, Kind
from generator.proof.kitfiles import LASER, Kit
from generator.proof.sheetfiles import ASSEMBLY, DRAWINGS, LASER_ONLY, PAPER

_BOOKLET = "booklet"
_SHEETS_OF_THE_INSTRUMENT = ("body_end_face", "heel", "side_elevation")


def complete_findings(kit: Kit) -> Iterator[Finding]:
    """Every group that is in the folder has a file of every part, and a sheet its page.

    Coupons measure the laser, not the joint, and may be left out of the cutting files.
    """
    parts = [part.name for part in kit.jig.parts]
    wanted: list[Path] = []
    if kit.holds(LASER):
        wanted += [Path(LASER, f"{name}.dxf") for name in parts if not name.startswith(LASER_ONLY)]
    if kit.holds("step"):
        wanted += [Path("step", f"{name}.step") for name in (ASSEMBLY, *parts)]
    if kit.holds(DRAWINGS):
        wanted += [Path(DRAWINGS, f"{name}.{kind}") for name in (ASSEMBLY, *parts) for kind in ("svg", "pdf", "dxf")]
    if kit.holds(PAPER):
        wanted += _paper_files(kit)
    sheets = [kit.folder / f"setup_sheet.{kind}" for kind in ("html", "pdf")]
    if kit.files("setup_sheet.*"):
        wanted += [sheet.relative_to(kit.folder) for sheet in sheets]
    for path in wanted:
        if not (kit.folder / path).is_file():
            yield Finding(Kind.COMPLETE, path.as_posix(), "not there, where the rest of its group is")


def _paper_files(kit: Kit) -> Iterator[Path]:
    """The instrument's sheets, and of every sheet the drawing and a document for each paper size that there is."""
    found = kit.files(f"{PAPER}/*.pdf")
    sizes = sorted({path.stem.rpartition(".")[2] for path in found})
    names = {path.stem for path in kit.files(f"{PAPER}/*.svg")} | {path.stem.rpartition(".")[0] for path in found}
    for name in sorted({*names, *_SHEETS_OF_THE_INSTRUMENT}):
        if name != _BOOKLET:
            yield Path(PAPER, f"{name}.svg")
        yield from (Path(PAPER, f"{name}.{size}.pdf") for size in sizes)
    yield from (Path(PAPER, f"{_BOOKLET}.{size}.pdf") for size in sizes)
