"""The setup sheet's files: pages, sizes of letters, pictures, the live page, the bench card and the exported record."""

from __future__ import annotations

import math
import re
import shutil
import subprocess
import tomllib
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from setup_sheets import SHEETS, Made, made, read_pages
from shapely import LineString, Polygon
from test_setup_sheet import readings

from generator.base.errors import InputError
from generator.documents.setup.record import BOXES, FITS, BoxKind, read_record
from generator.drawing.sheet import Label, Sheet, Stroke
from generator.drawing.style import Role
from generator.formats.setup_sheet import (
    setup_content,
    setup_sheet_pdf,
    write_setup_sheet,
)
from generator.formats.setup_sheet.words import classes
from generator.job.model.job import Paper
from generator.joint.checks import Check, CheckStatus

#: ISO 216 and ASME Y14.1 sizes in points; the large ones lie on their side.
SIZES = {
    Paper.A4: (595.276, 841.890),
    Paper.LETTER: (612.0, 792.0),
    Paper.A3: (1190.551, 841.890),
    Paper.TABLOID: (1224.0, 792.0),
}


def letter_sizes(pdf: bytes) -> list[float]:
    """Size of every letter as it stands on its page, points, after pdfium."""
    found = []
    document = pdfium.PdfDocument(pdf)
    for n in range(len(document)):
        page = document[n].get_textpage()
        for i in range(page.count_chars()):
            if raw.FPDFText_GetUnicode(page, i) in {0, 10, 13, 32}:
                continue
            matrix = raw.FS_MATRIX()
            raw.FPDFText_GetMatrix(page, i, matrix)
            scale = math.sqrt(abs(matrix.a * matrix.d - matrix.b * matrix.c))
            found.append(raw.FPDFText_GetFontSize(page, i) * scale)
    return found


# --- pages ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", SHEETS)
def test_at_most_four_pages_of_the_jobs_paper(job: str) -> None:
    """One to four pages, all of the first paper size the job names; nothing nearer than 10 mm to a page's edge."""
    one = made(job)
    document = pdfium.PdfDocument(one.pdf)
    assert 1 <= len(document) <= 4
    width, height = SIZES[one.solution.job.output.paper[0]]
    for page, ink in zip(document, one.ink, strict=True):
        assert page.get_size() == pytest.approx((width, height), abs=0.01)
        for text in ink.texts:
            x0, y0, x1, y1 = text.quad.bounds
            assert min(x0, y0, width * 25.4 / 72 - x1, height * 25.4 / 72 - y1) > 10.0 or text.quad.area < 1e-9


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("job", ["auditorium-measured", "dreadnought-tilted"])
def test_every_paper_size_holds_the_longest_sheets(job: str, paper: Paper) -> None:
    """Both units, a fixed base and a second depth block, or three bolts: still at most four pages, on letter too."""
    assert 1 <= len(made(job, paper).pages) <= 4


@pytest.mark.parametrize("job", SHEETS)
def test_no_letter_is_smaller_than_nine_points(job: str) -> None:
    """Words, tables, boxes and pictures: nothing on the sheet is set smaller."""
    assert min(letter_sizes(made(job).pdf)) >= 8.99


@pytest.mark.parametrize("job", SHEETS)
def test_no_words_lie_over_other_words(job: str) -> None:
    """The rectangles of all runs of text keep off each other, as pdfium measures them."""
    for page in made(job).ink:
        texts = [text for text in page.texts if text.text]
        for i, one in enumerate(texts):
            for other in texts[i + 1 :]:
                overlap = one.quad.intersection(other.quad).area
                assert overlap < 0.3, (one.text, other.text)


def _crossed(sheet: Sheet) -> list[str]:
    """Labels of a picture that touch another label, or a line that is not their own."""
    items = list(sheet.every_item())
    labels = [(item.text, Polygon(item.corners()).buffer(-0.25)) for item in items if isinstance(item, Label)]
    lines = []
    for item in items:
        if isinstance(item, Stroke) and item.role is not Role.HATCH:
            points = item.path.flatten(0.02)
            lines.append(LineString([*points, points[0]] if getattr(item.path, "closed", True) else points))
    found = []
    for i, (text, quad) in enumerate(labels):
        if any(quad.intersects(other) for _, other in labels[i + 1 :]) or any(quad.intersects(one) for one in lines):
            found.append(text)
    return found


@pytest.mark.parametrize("job", SHEETS)
def test_words_in_pictures_keep_off_lines_and_each_other(job: str) -> None:
    """A picture's label touches no other label and no line."""
    assert not {name: bad for name, sheet in made(job).content.pictures.items() if (bad := _crossed(sheet))}


def test_fonts_are_embedded() -> None:
    """Sheet and card carry DejaVu Sans, regular and bold, and no other face."""
    for pdf in (made("orchestra-14").pdf, made("orchestra-14").card):
        fonts = set(re.findall(rb"/BaseFont ?/([\w+-]+)", pdf))
        assert {name.split(b"+")[-1] for name in fonts} == {b"DejaVuSans", b"DejaVuSans-Bold"}
        assert all(b"+" in name for name in fonts)


def test_same_job_same_bytes(tmp_path: Path) -> None:
    """Written twice, the three files are the same, and they stand under the names the kit's list gives."""
    one = made("orchestra-14")
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        write_setup_sheet(one.solution, one.jig, tmp_path / name, Paper.A4)
    for file in ("setup_sheet.html", "setup_sheet.pdf", "bench_card.pdf"):
        assert (tmp_path / "a" / file).read_bytes() == (tmp_path / "b" / file).read_bytes()
    assert (tmp_path / "a" / "setup_sheet.pdf").read_bytes() == made("orchestra-14", Paper.A4).pdf


# --- the bench card ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", SHEETS)
def test_the_bench_card_is_one_page_of_large_letters(job: str) -> None:
    """One page on A4 or letter; settings and readings at 14 pt, only the lines at the page's edges smaller."""
    pdf = made(job).card
    document = pdfium.PdfDocument(pdf)
    assert len(document) == 1
    assert document[0].get_size() == pytest.approx(SIZES[_stands(made(job))], abs=0.01)
    sizes = letter_sizes(pdf)
    assert min(sizes) >= 8.99
    assert sum(size >= 13.99 for size in sizes) > 0.7 * len(sizes)


def _stands(one: Made) -> Paper:
    first = one.solution.job.output.paper[0]
    return {Paper.A3: Paper.A4, Paper.TABLOID: Paper.LETTER}.get(first, first)


@pytest.mark.parametrize("job", SHEETS)
def test_card_and_sheet_agree(job: str) -> None:
    """Every figure of the card's settings and of its table of readings stands on the sheet too."""
    one = made(job)
    card = one.card_text
    for fact in one.told.facts:
        value = re.sub(r" \(.*\)", "", fact.value)
        assert f"{fact.name} {value}" in card
    for row in readings(one.told):
        figures = [re.sub(r" \(.*\)", "", row[column]) for column in (one.told.reader, "gap", "shims") if column in row]
        assert " ".join(figures) in card, row


# --- the page ------------------------------------------------------------------------------------------------------


class _Page(HTMLParser):
    """The words of the sheet itself, every field by its key, targets of jumps, and what lies outside the file."""

    #: Parts of the page that the print has not.
    OWN = frozenset({"svg", "style", "title", "script", "nav", "button", "option", "select"})

    def __init__(self, text: str) -> None:
        super().__init__()
        self.words: list[str] = []
        self.boxes: list[str] = []
        self.ticks: list[str] = []
        self.jumps: list[str] = []
        self.ids: list[str] = []
        self.sources: list[str] = []
        self.cells: list[dict[str, str]] = []
        self._skip = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._skip += tag in self.OWN
        given = {key: value or "" for key, value in attrs}
        self.boxes += [given["data-box"]] if "data-box" in given else []
        self.ticks += [given["data-tick"]] if "data-tick" in given else []
        self.ids += [given["id"]] if "id" in given else []
        target = given.get("href", "")
        self.jumps += [target[1:]] if target.startswith("#") else []
        self.sources += [given["src"]] if "src" in given else []
        self.sources += [target] if target and not target.startswith("#") else []
        if tag == "td":
            self.cells.append(given)

    def handle_endtag(self, tag: str) -> None:
        self._skip -= tag in self.OWN

    def handle_data(self, data: str) -> None:
        if not self._skip:
            self.words += data.split()


@pytest.mark.parametrize("job", ["orchestra-14", "nylon-forward", "orchestra-left"])
def test_page_and_pdf_say_the_same(job: str) -> None:
    """Every word of the page stands in the PDF: one rendering feeds both."""
    page = _Page(made(job).html)
    glued = "".join(made(job).text.replace("-", "−").split())
    assert not {word for word in page.words if word.replace("-", "−") not in glued}


def test_the_page_stands_alone() -> None:
    """No file or address beside it: fonts, pictures and the one script are inside, and every figure is there."""
    html = made("orchestra-14").html
    assert not _Page(html).sources
    assert not re.search(r"url\((?!data:)", html)
    assert html.count("<script") == 1
    assert html.count("<svg") == len(re.findall(r"<figure", html)) >= 8


@pytest.mark.parametrize("job", SHEETS)
def test_every_box_and_tick_of_the_sheet_is_live(job: str) -> None:
    """The page has a field for each box of the print and a tick for each line, and its jumps arrive."""
    one = made(job)
    page = _Page(one.html)
    printed = [span.get("data-key") for span in one.content.body.iter("span") if "box" in classes(span)]
    assert page.boxes == printed
    assert len(set(printed)) == len(printed) >= 18
    lines = [item for part in one.content.body.iter("ul") for item in part]
    assert page.ticks == [str(n) for n in range(1, len(lines) + 1)]
    assert len(page.jumps) == 12
    assert set(page.jumps) <= set(page.ids)


@pytest.mark.parametrize("job", ["orchestra-14", "auditorium-measured"])
def test_a_table_can_be_read_as_a_list(job: str) -> None:
    """On a narrow screen every cell under a heading carries that heading with it."""
    html = made(job).html
    named = [cell["data-head"] for cell in _Page(html).cells if "data-head" in cell]
    assert {"first ease", "or back end", "or join", "shims, mm"} <= set(named)
    assert "td[data-head]::before { content: attr(data-head)" in html


def test_another_job_keeps_its_own_notes() -> None:
    """The browser's key holds the job's name and a checksum that moves with any of its values."""
    checksums = {job: made(job).content.checksum for job in SHEETS}
    assert len(set(checksums.values())) == len(SHEETS)
    assert f'"checksum": "{checksums["orchestra-14"]}"' in made("orchestra-14").html


_FILL = """<script>window.addEventListener("load",function(){
document.querySelectorAll("[data-box]").forEach(function(e,i){e.value=e.tagName==="SELECT"?"snug":(i+1)+",5"});
document.querySelectorAll("[data-tick]")[2].checked=true;
document.querySelector("[data-own=label]").value='no. "12" \\\\ x';
URL.createObjectURL=function(b){b.text().then(function(t){var p=document.createElement("pre");p.id="out";
p.textContent=t;document.body.appendChild(p)});return "blob:x"};
document.getElementById("export").click()});</script></body>"""


@pytest.mark.skipif(shutil.which("chromium") is None, reason="no browser here")
def test_the_browser_exports_what_the_record_reads(tmp_path: Path) -> None:
    """Fill every box of the page in a browser, press export: the reader gets every figure back, a comma as a point."""
    one = made("orchestra-14")
    page = tmp_path / "page.html"
    page.write_text(one.html.replace("</body>", _FILL), encoding="utf-8")
    command = ["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--virtual-time-budget=4000", "--dump-dom"]
    done = subprocess.run([*command, page.as_uri()], capture_output=True, text=True, check=True, timeout=120)
    said = re.search(r'<pre id="out">(.*?)</pre>', done.stdout, flags=re.DOTALL)
    assert said
    file = tmp_path / "orchestra-14.record.toml"
    file.write_text(said[1].replace("&amp;", "&"), encoding="utf-8")
    record = read_record(file)
    keys = _Page(one.html).boxes
    wanted = {key: n + 1.5 for n, key in enumerate(keys) if key != "fit"}
    assert (record.job, record.checksum, record.fit) == ("orchestra-14", one.content.checksum, "snug")
    assert dict(record.measured) == pytest.approx(wanted)
    assert record.label == 'no. "12" \\ x'
    assert record.done == ("3",)


# --- the record ----------------------------------------------------------------------------------------------------


def _written(folder: Path, text: str) -> Path:
    path = folder / "one.record.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_record_in_inches_is_read_in_millimetres(tmp_path: Path) -> None:
    """An inch is 25.4 mm by definition; angles stay degrees, the fit a word."""
    text = 'job = "x"\nchecksum = "c"\nunit = "in"\n[boxes]\ngap_shy = 0.125\nheel_angle = 88.5\nfit = "snug"\n'
    record = read_record(_written(tmp_path, text))
    assert dict(record.measured) == pytest.approx({"gap_shy": 3.175, "heel_angle": 88.5})
    assert record.fit == "snug"


def test_every_fault_of_a_record_is_named(tmp_path: Path) -> None:
    """An unknown unit, box, key and a word for a number are all refused at once, each by its key."""
    text = 'job = "x"\nunit = "ft"\ncolour = 1\n[boxes]\ngap = 1\nmortise_width = "wide"\nfit = "so so"\naction = nan\n'
    with pytest.raises(InputError) as refused:
        read_record(_written(tmp_path, text))
    keys = {fault.key for fault in refused.value.faults}
    assert keys == {"unit", "colour", "boxes.gap", "boxes.mortise_width", "boxes.fit", "boxes.action"}


def test_every_box_can_be_written_and_read(tmp_path: Path) -> None:
    """Each box that any sheet can hold comes back under its own key."""
    lines = [f'{box.key} = "{FITS[0]}"' if box.kind is BoxKind.FIT else f"{box.key} = 1.25" for box in BOXES]
    text = "\n".join(['job = "x"', 'unit = "mm"', "[boxes]", *lines, ""])
    assert tomllib.loads(text)
    record = read_record(_written(tmp_path, text))
    assert set(record.measured) == {box.key for box in BOXES if box.kind is not BoxKind.FIT}
    assert record.fit == FITS[0]


def test_a_sheet_with_many_warnings_names_them_briefly() -> None:
    """Forty long warnings would fill two pages: the sheet then names each and says where its words are."""
    one = made("auditorium-measured")
    long = tuple(
        Check(f"warning {n}", CheckStatus.WARN, 1.0, 2.0, "a sentence of many words that goes on and on " * 4)
        for n in range(40)
    )
    crowded = replace(one.solution, checks=(*one.solution.checks, *long))
    text = " ".join(" ".join(read_pages(setup_sheet_pdf(setup_content(crowded, one.jig, Paper.LETTER)))).split())
    assert "each with its words in results.json" in text
    assert all(f"warning {n}" in text for n in range(40))
    assert "results.json" not in made("auditorium-measured", Paper.LETTER).text
