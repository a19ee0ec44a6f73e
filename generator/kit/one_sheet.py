"""One sheet on its own, as SVG when its file ends so, else as PDF: plots and templates a command writes."""

from __future__ import annotations

from pathlib import Path

from generator.base.atomic_file import write_atomically
from generator.drawing.bars import PrinterScale
from generator.drawing.booklet import tiled_document
from generator.drawing.page import Page, sheet_page
from generator.drawing.sheet import Sheet
from generator.drawing.tiling import both_plans
from generator.formats.pdf.write import pdf_bytes
from generator.formats.svg.write import svg_text
from generator.job.model.job import Job


def write_sheet_file(sheet: Sheet, path: Path, job: Job, *, full_size: bool) -> None:
    """Write `sheet` to `path`, whole or not at all.

    A `full_size` sheet goes on the job's first paper with check bars and the printer's correction; a picture is one
    page of its own size. OutputError when it cannot be written.
    """
    if path.suffix.lower() == ".svg":
        write_atomically(path, svg_text(sheet))
        return
    pages = _pages(sheet, job) if full_size else [sheet_page(sheet)]
    write_atomically(path, pdf_bytes(pages, sheet.title, job.name))


def _pages(sheet: Sheet, job: Job) -> list[Page]:
    correction = PrinterScale(job.printer.x_factor, job.printer.y_factor)
    return tiled_document(both_plans(sheet, job.output.paper[0], correction))
