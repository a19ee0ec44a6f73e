"""What every printed page of real sheets holds, on every paper: read by pdfium and pdfplumber, rendered by pdfium."""

from __future__ import annotations

import io
import itertools
import re
from collections import Counter
from functools import lru_cache

import numpy as np
import pdfplumber
import pypdfium2
import pytest
from paper_jobs import JOBS, all_sheets
from pdf_ink import MM, PageInk, read
from pdfminer.pdftypes import resolve1

from generator.drawing.bars import PrinterScale
from generator.drawing.booklet import booklet, tiled_document
from generator.drawing.sheet import Sheet
from generator.drawing.style import Role
from generator.drawing.tiling import both_plans
from generator.formats.pdf.write import pdf_bytes
from generator.job.model.job import Paper

#: Upright sizes, mm, from the standards themselves: ISO 216, ASME Y14.1 (8.5 × 11 and 11 × 17 in).
SIZES = {
    Paper.A4: (210.0, 297.0),
    Paper.A3: (297.0, 420.0),
    Paper.LETTER: (215.9, 279.4),
    Paper.TABLOID: (279.4, 431.8),
}
#: Each job on papers of its own, so that all four are seen, the last stretched for a printer.
PRINTS = [
    ("orchestra", Paper.A4, PrinterScale()),
    ("tilted", Paper.A3, PrinterScale()),
    ("tilted", Paper.LETTER, PrinterScale(1.0043, 0.9968)),
    ("forward", Paper.TABLOID, PrinterScale()),
]
each_print = pytest.mark.parametrize(("job", "paper", "correction"), PRINTS)
#: Fewer pages need no map: the page labels say which is left or above.
FEWEST_MAPPED = 3
PLACE = re.compile(r"(.+) · row (\d+) of (\d+), column (\d+) of (\d+) · page (\d+) of (\d+) · (\S+)")


@lru_cache(maxsize=64)
def document(job: str, name: str, paper: Paper, correction: PrinterScale) -> bytes:
    """A sheet's PDF, or the booklet of all."""
    if name == "booklet":
        plans = [both_plans(sheet, paper, correction) for sheet in all_sheets(job)]
        return pdf_bytes(booklet(plans, "All sheets"), "All sheets", job)
    sheet = next(sheet for sheet in all_sheets(job) if sheet.name == name)
    return pdf_bytes(tiled_document(both_plans(sheet, paper, correction)), sheet.title, job)


@lru_cache(maxsize=64)
def pages(job: str, name: str, paper: Paper, correction: PrinterScale) -> list[PageInk]:
    return read(document(job, name, paper, correction))


def names(job: str) -> list[str]:
    return ["booklet", *(sheet.name for sheet in all_sheets(job))]


@each_print
def test_pages_are_the_paper(job: str, paper: Paper, correction: PrinterScale) -> None:
    """Every MediaBox is the paper within 0.01 pt, upright or turned, the same on all pages of a file."""
    wide, high = (side * MM for side in SIZES[paper])
    for name in names(job):
        boxes = {page.media for page in pages(job, name, paper, correction)}
        (x0, y0, x1, y1) = next(iter(boxes))
        assert len(boxes) == 1, name
        assert (x0, y0) == (0, 0)
        assert sorted((x1, y1)) == pytest.approx([wide, high], abs=0.01), name


@each_print
def test_printers_are_told_not_to_scale(job: str, paper: Paper, correction: PrinterScale) -> None:
    """Each catalog says /PrintScaling /None, and no page carries a UserUnit."""
    for name in names(job):
        with pdfplumber.open(io.BytesIO(document(job, name, paper, correction))) as opened:
            assert resolve1(opened.doc.catalog["ViewerPreferences"])["PrintScaling"].name == "None", name
            assert all("UserUnit" not in page.page_obj.attrs for page in opened.pages)


@each_print
def test_the_outer_10_mm_of_every_page_are_blank(job: str, paper: Paper, correction: PrinterScale) -> None:
    """By every stroke's place and pen, and by the picture at 4 pixels a millimetre."""
    for name in names(job):
        for page in pages(job, name, paper, correction):
            wide, high = (side / MM for side in page.media[2:])
            for line in page.lines:
                half = line.width / 2.0 - 1e-3
                assert all(x - half >= 10.0 and x + half <= wide - 10.0 for x, _ in line.points), name
                assert all(y - half >= 10.0 and y + half <= high - 10.0 for _, y in line.points), name
    opened = pypdfium2.PdfDocument(document(job, "booklet", paper, correction))
    for number in range(len(opened)):
        picture = np.asarray(opened[number].render(scale=4.0 / MM).to_pil().convert("L"))
        edge = 4 * 10 - 1
        for strip in (picture[:edge], picture[-edge:], picture[:, :edge], picture[:, -edge:]):
            assert strip.min() > 250, number + 1


@each_print
def test_two_bars_on_every_page_stretched_with_the_printer(job: str, paper: Paper, correction: PrinterScale) -> None:
    """A level bar of 100 mm times x and an upright one of 100 times y, one each, on every page; labels nominal."""
    for name in names(job):
        for page in pages(job, name, paper, correction):
            ends = [line.points for line in page.lines if len(line.points) == 2 and line.length > 99.0]
            level = [b[0] - a[0] for a, b in ends if abs(a[1] - b[1]) < 1e-3 and abs(a[1] - 12.0) < 0.01]
            upright = [b[1] - a[1] for a, b in ends if abs(a[0] - b[0]) < 1e-3 and abs(a[0] - 12.0) < 0.01]
            assert level == [pytest.approx(100.0 * correction.x, abs=0.002)], name
            assert upright == [pytest.approx(100.0 * correction.y, abs=0.002)], name
            assert sum(text.text == "100 mm" for text in page.texts) >= 2


@each_print
def test_every_page_names_itself(job: str, paper: Paper, correction: PrinterScale) -> None:
    """Job, sheet, row and column, page of how many, paper, print rule on every page; the cutting rule on templates."""
    for sheet in all_sheets(job):
        found = pages(job, sheet.name, paper, correction)
        cut = any(item.role is Role.CUT for item in sheet.items)
        places = []
        for number, page in enumerate(found, start=1):
            texts = [text.text for text in page.texts]
            assert sheet.title in texts
            (rule,) = (text for text in texts if text.startswith("print at 100 %, actual size"))
            assert ("cut on the middle of the line" in rule) == cut
            label = next(text for text in texts if f"page {number} of {len(found)}" in text)
            assert label.startswith(f"{job} · ")
            assert label.endswith(f" · {paper.value}")
            if number > 1:
                row, rows, column, columns = (int(part) for part in PLACE.fullmatch(label).groups()[1:5])
                assert 1 <= row <= rows
                assert 1 <= column <= columns
                places.append((row, column))
        assert places == sorted(set(places)), sheet.name


@each_print
def test_the_cover_maps_the_pages(job: str, paper: Paper, correction: PrinterScale) -> None:
    """On the cover of a sheet of three pages and more each number stands once, placed as its row and column say."""
    for sheet in all_sheets(job):
        cover, *rest = pages(job, sheet.name, paper, correction)
        mapped = {}
        for text in cover.texts:
            if found := re.fullmatch(r"(?:page )?(\d+)(?:: row .*)?", text.text):
                assert found[1] not in mapped, sheet.name
                mapped[found[1]] = text.quad.centroid
        numbers = [str(number) for number in range(2, len(rest) + 2)] if len(rest) >= FEWEST_MAPPED else []
        assert sorted(mapped, key=int) == numbers, sheet.name
        places = {}
        for number, page in enumerate(rest, start=2):
            label = next(found for text in page.texts if (found := PLACE.fullmatch(text.text)))
            places[str(number)] = int(label[2]), int(label[4])
        for one, other in itertools.permutations(mapped, 2):
            if places[one][0] < places[other][0]:
                assert mapped[one].y > mapped[other].y, sheet.name
            if places[one][1] < places[other][1]:
                assert mapped[one].x < mapped[other].x, sheet.name


@each_print
def test_the_booklet_holds_every_sheet_once(job: str, paper: Paper, correction: PrinterScale) -> None:
    """Contents in the sheets' order; the pages they name carry that sheet, all others none of it."""
    found = pages(job, "booklet", paper, correction)
    entries = [
        (int(entry[1]), int(entry[2] or entry[1]), entry[3])
        for text in found[0].texts
        if (entry := re.fullmatch(r"pages? (\d+)(?: to (\d+))?: (.*)", text.text))
    ]
    assert [title for _, _, title in entries] == [sheet.title for sheet in all_sheets(job)]
    assert [first for first, _, _ in entries] == [2, *(last + 1 for _, last, _ in entries[:-1])]
    assert entries[-1][1] == len(found)
    for first, last, title in entries:
        for number, page in enumerate(found[1:], start=2):
            assert (title in [text.text for text in page.texts]) == (first <= number <= last)


@each_print
def test_no_stroke_is_a_hairline(job: str, paper: Paper, correction: PrinterScale) -> None:
    """Nothing is thinner than 0.1 mm in the printed file."""
    for page in pages(job, "booklet", paper, correction):
        assert min(line.width for line in page.lines) >= 0.1


@pytest.mark.parametrize("job", JOBS)
def test_cut_lines_are_as_wide_as_can_be_followed(job: str) -> None:
    """Every edge to cut is a continuous black line 0.25 to 0.35 mm wide."""
    for sheet in all_sheets(job):
        for item in sheet.every_item():
            if item.role is Role.CUT:
                assert 0.25 <= item.pen.width <= 0.35
                assert not item.pen.dashes
                assert item.pen.grey == 0.0


@each_print
def test_all_words_of_a_sheet_are_on_its_pages(job: str, paper: Paper, correction: PrinterScale) -> None:
    """Every label of a sheet is on its pages as often as on the sheet or more, and beside them only pages' marks."""
    for sheet in all_sheets(job):
        printed = Counter(text.text for page in pages(job, sheet.name, paper, correction)[1:] for text in page.texts)
        wanted = _labels(sheet)
        assert not wanted - printed, sheet.name
        for text in set(printed) - set(wanted) - {sheet.title, "100 mm"}:
            assert PLACE.fullmatch(text) or text.isdigit() or text.startswith("print at 100 %"), (sheet.name, text)


def _labels(sheet: Sheet) -> Counter[str]:
    # pdfium gives one blank for several.
    return Counter(" ".join(label.text.split()) for label in sheet.labels())
