"""Everything drawn in a kit's folder, paper and shop drawings, read file by file and held against the parts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TypeVar

from generator.errors import OutputError
from generator.model.job import Paper
from generator.proof.agree_drawings import ShopSheet, drawing_findings
from generator.proof.agree_joint import joint_findings
from generator.proof.agree_paper import Printing, page_findings, part_findings
from generator.proof.agree_results import claim_findings, cutting_claims, pdf_claims, svg_claims
from generator.proof.findings import Finding, Kind
from generator.proof.kitfiles import Kit
from generator.proof.likeness import Drawn
from generator.readers.dxf_drawing import read_dxf_drawing
from generator.readers.svg import SvgFile, read_svg

PAPER, DRAWINGS, PICTURES = "paper", "drawings", "proof"
ASSEMBLY = "jig"
#: Parts that stand on no paper sheet: they measure the laser.
LASER_ONLY = "laser_coupon"
_Read = TypeVar("_Read")


def paper_findings(kit: Kit, drawn: Mapping[str, Drawn]) -> Iterator[Finding]:
    """The full-scale sheets against the cutting files, the joint on them, and their printed pages."""
    sheets: dict[str, SvgFile] = {}
    for path in kit.files(f"{PAPER}/*.svg"):
        sheet, faults = _read(read_svg, path, PAPER)
        yield from faults
        if sheet is not None:
            sheets[path.stem] = sheet
            yield from claim_findings(kit, f"{PAPER}/{path.name}", *svg_claims(sheet.description))
    yield from part_findings(sheets, {n: d for n, d in drawn.items() if not n.startswith(LASER_ONLY)})
    yield from joint_findings(sheets, kit.results)
    yield from _page_findings(kit, sheets)


def _page_findings(kit: Kit, sheets: Mapping[str, SvgFile]) -> Iterator[Finding]:
    from generator.readers.pdf import read_pdf

    printer = kit.solution.job.printer
    for path in kit.files(f"{PAPER}/*.pdf"):
        label, (stem, _, size) = f"{PAPER}/{path.name}", path.stem.partition(".")
        document, faults = _read(read_pdf, path, PAPER)
        yield from faults
        if document is None:
            continue
        yield from claim_findings(kit, label, *pdf_claims(document.subject, document.creator))
        if size not in {paper.value for paper in Paper}:
            yield Finding(Kind.PRINT, label, f'"{size}" is no paper size')
            continue
        printing = Printing(Paper(size), printer.x_factor, printer.y_factor)
        yield from page_findings(document, sheets.get(stem), printing)


def drawing_file_findings(kit: Kit, drawn: Mapping[str, Drawn]) -> Iterator[Finding]:
    """The shop drawing of every part and of the assembled jig, in its three files."""
    from generator.readers.pdf import read_pdf

    for name in (ASSEMBLY, *drawn):
        path = kit.folder / DRAWINGS / name
        dxf, dxf_faults = _read(read_dxf_drawing, path.with_suffix(".dxf"), DRAWINGS)
        svg, svg_faults = _read(read_svg, path.with_suffix(".svg"), DRAWINGS)
        pdf, pdf_faults = _read(read_pdf, path.with_suffix(".pdf"), DRAWINGS)
        yield from (*dxf_faults, *svg_faults, *pdf_faults)
        if dxf is not None:
            yield from claim_findings(kit, f"{DRAWINGS}/{dxf.name}", *cutting_claims(dxf.properties))
        if svg is not None:
            yield from claim_findings(kit, f"{DRAWINGS}/{svg.name}", *svg_claims(svg.description))
        if pdf is not None:
            yield from claim_findings(kit, f"{DRAWINGS}/{pdf.name}", *pdf_claims(pdf.subject, pdf.creator))
        yield from drawing_findings(ShopSheet(dxf, svg, pdf), drawn.get(name))


def picture_findings(kit: Kit) -> Iterator[Finding]:
    """The proof's own pictures: of this job and version."""
    for path in kit.files(f"{PICTURES}/*.svg"):
        picture, faults = _read(read_svg, path, PICTURES)
        yield from faults
        if picture is not None:
            yield from claim_findings(kit, f"{PICTURES}/{path.name}", *svg_claims(picture.description))


def _read(reader: Callable[[Path], _Read], path: Path, group: str) -> tuple[_Read | None, tuple[Finding, ...]]:
    """What a reader makes of a file; None for a file that is not there, and for one it cannot read, which is told."""
    if not path.is_file():
        return None, ()
    try:
        return reader(path), ()
    except OutputError as error:
        return None, (Finding(Kind.UNREADABLE, f"{group}/{path.name}", str(error)),)
