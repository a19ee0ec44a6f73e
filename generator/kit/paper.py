"""The paper group: every sheet as SVG, and all of them in one booklet for each paper size."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from generator.base.store import NO_STORE, Store
from generator.documents.paper import paper_sheets
from generator.documents.paper.elsewhere import parts_elsewhere
from generator.drawing.bars import PrinterScale
from generator.drawing.booklet import booklet
from generator.drawing.sheet import Sheet
from generator.drawing.tiling import both_plans
from generator.jig.part import Jig
from generator.job.model.job import Paper, Printer
from generator.joint.solution import Solution

#: Beginning of a booklet's file name; the paper size follows.
BOOKLET = "booklet"


def write_paper(solution: Solution, jig: Jig, folder: Path, papers: tuple[Paper, ...], store: Store = NO_STORE) -> None:
    """Write `folder`/<sheet>.svg, and `folder`/booklet.<size>.pdf for each of `papers`.

    Raises LayoutError for a sheet that cannot be laid out or cut into pages.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for name, data in store.kept(paper_files, solution.unplaced, jig, papers, store).items():
        (folder / name).write_bytes(data)


def paper_files(solution: Solution, jig: Jig, papers: tuple[Paper, ...], store: Store) -> Mapping[str, bytes]:
    """The group's files by name; of sheets that the `store` has only the files are made."""
    elsewhere = parts_elsewhere(jig.parts, solution.job)
    return files_of(paper_sheets(solution, jig, papers, store), papers, solution.job.printer, elsewhere)


def files_of(
    sheets: Sequence[Sheet], papers: Sequence[Paper], printer: Printer, not_in_here: Sequence[str] = ()
) -> Mapping[str, bytes]:
    """The files of some sheets by name; `not_in_here` says on the booklet's cover which parts the sheets have not.

    The printer's correction is in the PDF pages, which are printed at the bench; the SVG keeps its nominal size.
    """
    from generator.formats.pdf.write import pdf_bytes
    from generator.formats.svg.write import svg_bytes

    files = {f"{sheet.name}.svg": svg_bytes(sheet) for sheet in sheets}
    title, correction = "All full-scale sheets of one job", PrinterScale(printer.x_factor, printer.y_factor)
    for paper in papers:
        pages = booklet([both_plans(sheet, paper, correction) for sheet in sheets], title, not_in_here)
        files[f"{BOOKLET}.{paper.value}.pdf"] = pdf_bytes(pages, title, sheets[0].job)
    return files
