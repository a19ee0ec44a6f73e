"""Everything drawn in a kit's folder, paper and shop drawings, read file by file and held against the parts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TypeVar

from generator.base.errors import OutputError
from generator.cutting.making import template_parts
from generator.documents.shop.drawing_set import sheet_parts
from generator.formats.dxf.read_drawing import read_dxf_drawing
from generator.formats.svg.read import SvgFile, read_svg
from generator.job.model.job import Paper
from generator.proof.files.agree_claims import claim_findings, cutting_claims, pdf_claims, svg_claims
from generator.proof.files.agree_drawings import DrawnSheet, ShopPage, drawing_findings
from generator.proof.files.agree_joint import joint_findings
from generator.proof.files.agree_paper import Printing, page_findings, part_findings
from generator.proof.files.outline_compare import Drawn
from generator.proof.findings import Finding, Topic
from generator.proof.kit_files import Kit

#: A kit's folder of paper sheets.
PAPER = "paper"
#: A kit's folder of shop drawings.
DRAWINGS = "drawings"
#: A kit's folder of the proof's pictures.
PICTURES = "proof"
#: The shop drawing of the assembled jig.
ASSEMBLY = "jig"
#: The document of all shop drawings.
SET = "set"
#: The document of all paper sheets.
BOOKLET = "booklet"
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
    wanted = {part.name for part in template_parts(kit.jig.parts, kit.solution.job)}
    yield from part_findings(sheets, {name: one for name, one in drawn.items() if name in wanted})
    yield from joint_findings(sheets, kit.results)
    yield from _page_findings(kit, sheets)


def _page_findings(kit: Kit, sheets: Mapping[str, SvgFile]) -> Iterator[Finding]:
    from generator.formats.pdf.read import read_pdf

    printer = kit.solution.job.printer
    for path in kit.files(f"{PAPER}/*.pdf"):
        label, (stem, _, size) = f"{PAPER}/{path.name}", path.stem.partition(".")
        document, faults = _read(read_pdf, path, PAPER)
        yield from faults
        if document is None:
            continue
        yield from claim_findings(kit, label, *pdf_claims(document.subject, document.creator))
        if size not in {paper.value for paper in Paper}:
            yield Finding(Topic.PRINT, label, f'"{size}" is no paper size')
            continue
        printing = Printing(Paper(size), printer.x_factor, printer.y_factor)
        yield from page_findings(document, sheets if stem == BOOKLET else {}, printing)


def drawing_file_findings(kit: Kit, drawn: Mapping[str, Drawn]) -> Iterator[Finding]:
    """Every sheet of the set in its two files and on its page of the one document."""
    from generator.formats.pdf.read import read_pdf

    document, faults = _read(read_pdf, kit.folder / DRAWINGS / f"{SET}.pdf", DRAWINGS)
    yield from faults
    if document is not None:
        yield from claim_findings(kit, f"{DRAWINGS}/{document.name}", *pdf_claims(document.subject, document.creator))
    planned = {ASSEMBLY: (), **sheet_parts(kit.solution, kit.jig)}
    if document is not None and len(document.pages) != len(planned):
        words = f"{len(document.pages)} pages; the set has {len(planned)} sheets"
        yield Finding(Topic.PRINT, document.name, words)
        document = None
    for number, (name, parts) in enumerate(planned.items()):
        path = kit.folder / DRAWINGS / name
        dxf, dxf_faults = _read(read_dxf_drawing, path.with_suffix(".dxf"), DRAWINGS)
        svg, svg_faults = _read(read_svg, path.with_suffix(".svg"), DRAWINGS)
        yield from (*dxf_faults, *svg_faults)
        if dxf is not None:
            yield from claim_findings(kit, f"{DRAWINGS}/{dxf.name}", *cutting_claims(dxf.properties))
        if svg is not None:
            yield from claim_findings(kit, f"{DRAWINGS}/{svg.name}", *svg_claims(svg.description))
        page = ShopPage(document.name, document.pages[number]) if document is not None else None
        yield from drawing_findings(DrawnSheet(dxf, svg, page), [drawn[part.name] for part in parts])


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
        return None, (Finding(Topic.UNREADABLE, f"{group}/{path.name}", str(error)),)
