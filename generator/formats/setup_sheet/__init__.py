"""The setup sheet, as a page to open and a PDF to print, and the bench card: one rendering of a template feeds both.

The template's marks are a small strict set of HTML. The page takes them as they are, the PDF sets them line by line,
so the two cannot say different things.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from generator.base.store import NO_STORE, Store
from generator.documents.setup.pictures import setup_pictures
from generator.documents.setup.setup import setup_context
from generator.drawing.sheet import Sheet
from generator.formats.setup_sheet.words import Content, rendered
from generator.jig.part import Jig
from generator.job.model.job import Paper, UnitsChoice
from generator.joint.checks import Check
from generator.joint.solution import Solution

__all__ = ["bench_card_pdf", "setup_sheet_html", "setup_sheet_pdf", "write_setup_sheet"]

#: File name of the setup sheet as a web page.
HTML_NAME = "setup_sheet.html"
#: File name of the setup sheet for printing.
PDF_NAME = "setup_sheet.pdf"
#: File name of the bench card.
CARD_NAME = "bench_card.pdf"


def write_setup_sheet(
    solution: Solution,
    jig: Jig,
    folder: Path,
    paper: Paper,
    proof: Sequence[Check] | None = None,
    place: Path | None = None,
    stages: Sequence[Sheet] = (),
    store: Store = NO_STORE,
) -> None:
    """Write setup_sheet.html, setup_sheet.pdf and bench_card.pdf into `folder`.

    LayoutError when one takes more pages than it may. `proof`: the results of the virtual cut for the last box, where
    it has been made; `place`: where the kit will stand; `stages`: its pictures in space, where they are at hand.
    What the `store` keeps is not set again.
    """
    content = setup_content(solution, jig, paper, proof, place, stages)
    for name, data in store.kept(setup_sheet_files, content).items():
        (folder / name).write_bytes(data)


def setup_sheet_files(content: Content) -> Mapping[str, bytes]:
    """The three files by name."""
    page = setup_sheet_html(content).encode("utf-8")
    return {HTML_NAME: page, PDF_NAME: setup_sheet_pdf(content), CARD_NAME: bench_card_pdf(content)}


def setup_content(
    solution: Solution,
    jig: Jig,
    paper: Paper | None = None,
    proof: Sequence[Check] | None = None,
    place: Path | None = None,
    stages: Sequence[Sheet] = (),
) -> Content:
    """The sheet's words and pictures, ready for either file."""
    sheet = setup_context(solution, jig, paper, proof, place)
    pictures = dict(setup_pictures(solution, jig, sheet.layout, spaced=sheet.spacer > 0.0, stages=stages))
    card = replace(sheet, units=_card_units(solution.job.output.units))
    return rendered(sheet, card, pictures)


def _card_units(units: UnitsChoice) -> UnitsChoice:
    """The bench card has one unit, so that its letters can be large."""
    return UnitsChoice.MM if units is UnitsChoice.BOTH else units


def setup_sheet_html(content: Content) -> str:
    """One self-contained page: its font and pictures stand in it."""
    from generator.formats.setup_sheet.html import html_page

    return html_page(content)


def setup_sheet_pdf(content: Content) -> bytes:
    """The printable sheet on its paper size; the same content gives the same bytes."""
    from generator.formats.setup_sheet.pdf import pdf_document

    return pdf_document(content)


def bench_card_pdf(content: Content) -> bytes:
    """One page with the settings and the table of readings, in letters that are read from a stand."""
    from generator.formats.setup_sheet.pdf import card_document

    return card_document(content)
