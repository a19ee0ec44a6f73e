"""The paper group: every sheet as SVG, and all of them in one booklet for each paper size."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from generator.drawing.bars import Correction
from generator.drawing.booklet import booklet
from generator.drawing.sheet import Sheet
from generator.drawing.tiling import both_plans
from generator.formats.pdf.write import write_pdf
from generator.formats.svg.write import write_svg
from generator.job.model.job import Job, Paper

BOOKLET = "booklet"


def write_paper(
    sheets: Sequence[Sheet], job: Job, folder: Path, papers: Sequence[Paper], not_in_here: Sequence[str] = ()
) -> None:
    """Write `folder`/<sheet>.svg, and `folder`/booklet.<size>.pdf for each of `papers`.

    `not_in_here` says on the cover which parts the sheets have not.
    The printer's correction is in the PDF pages, which are printed at the bench; the SVG keeps its nominal size.
    Raises LayoutError for a sheet that cannot be cut into pages.
    """
    folder.mkdir(parents=True, exist_ok=True)
    correction = Correction(job.printer.x_factor, job.printer.y_factor)
    for sheet in sheets:
        write_svg(sheet, folder / f"{sheet.name}.svg")
    title = "All full-scale sheets of one job"
    for paper in papers:
        pages = booklet([both_plans(sheet, paper, correction) for sheet in sheets], title, not_in_here)
        write_pdf(pages, folder / f"{BOOKLET}.{paper.value}.pdf", title, job.name)
