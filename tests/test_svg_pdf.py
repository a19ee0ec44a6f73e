"""The two files of a sheet, read back by programs that did not write them."""

from __future__ import annotations

import base64
import io
import itertools
import math
import re
from collections import Counter
from xml.etree import ElementTree

import pdfplumber
import pytest
from fontTools.ttLib import TTFont
from pdf_ink import read
from pdfminer.pdftypes import resolve1
from sample_plate import JOB, plate_sheet
from svgelements import SVG, Arc
from svgelements import Path as SvgPath

from generator import __version__
from generator.base.contours2d import Circle, Path, Vertex
from generator.base.errors import LayoutError, OutputError
from generator.base.points2d import P2
from generator.base.shapes2d import rectangle
from generator.drawing.page import Page, PageLayer, sheet_page
from generator.drawing.sheet import Sheet, SheetBuilder
from generator.drawing.style import Role
from generator.formats.pdf.write import pdf_bytes
from generator.formats.svg.write import svg_text

NS = "{http://www.w3.org/2000/svg}"
NASTY = "3/4\" & <rib> 'A' > B"


def _pdf(sheet: Sheet) -> bytes:
    return pdf_bytes([sheet_page(sheet)], sheet.title, sheet.job)


def _square() -> Sheet:
    builder = SheetBuilder("check", f"Check {NASTY}")
    builder.stroke(rectangle(30.125, 40.25, 130.125, 140.25), Role.CUT)
    builder.label(NASTY, P2(30, 200), 5.0)
    return builder.sheet(210, 297, JOB)


@pytest.mark.parametrize(("width", "height"), [(210.0, 297.0), (215.9, 279.4), (297.0, 420.0), (279.4, 431.8)])
def test_media_box_is_the_paper(width: float, height: float) -> None:
    """The MediaBox equals the paper in points within 0.01 pt (A4 = 595.276 × 841.890, ISO 216 by 72/25.4)."""
    builder = SheetBuilder("a", "A")
    builder.stroke(rectangle(20, 20, 120, 120), Role.CUT)
    (page,) = read(_pdf(builder.sheet(width, height, JOB)))
    x0, y0, x1, y1 = page.media
    assert (x0, y0) == (0, 0)
    assert x1 == pytest.approx(width * 72 / 25.4, abs=0.01)
    assert y1 == pytest.approx(height * 72 / 25.4, abs=0.01)


def test_100_mm_are_100_mm_in_pdf_by_two_readers() -> None:
    """A 100 mm square is 100 mm within 0.01 in pdfium's path and in pdfplumber's rectangle."""
    data = _pdf(_square())
    (page,) = read(data)
    xs = [x for line in page.lines for x, _ in line.points]
    ys = [y for line in page.lines for _, y in line.points]
    assert max(xs) - min(xs) == pytest.approx(100.0, abs=0.001)
    assert max(ys) - min(ys) == pytest.approx(100.0, abs=0.001)
    assert min(xs) == pytest.approx(30.125, abs=0.001)
    with pdfplumber.open(io.BytesIO(data)) as document:
        (rect,) = [*document.pages[0].rects, *document.pages[0].curves]
        assert rect["width"] / 72 * 25.4 == pytest.approx(100.0, abs=0.001)
        assert rect["height"] / 72 * 25.4 == pytest.approx(100.0, abs=0.001)


def test_100_mm_are_100_mm_in_svg() -> None:
    """Width and height are in mm, the viewBox is one to one, and the square's path spans 100 mm exactly."""
    text = svg_text(_square())
    root = ElementTree.fromstring(text)
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("210mm", "297mm", "0 0 210 297")
    (path,) = root.findall(f".//{NS}g[@id='cut']/{NS}path")
    x0, y0, x1, y1 = SvgPath(path.get("d")).bbox()
    assert (x1 - x0, y1 - y0) == (pytest.approx(100, abs=1e-9), pytest.approx(100, abs=1e-9))
    assert (x0, y1) == (pytest.approx(30.125), pytest.approx(297 - 40.25))
    # Another parser's idea of the same file at 96 dpi.
    shape = next(e for e in SVG.parse(io.StringIO(text)).elements() if isinstance(e, SvgPath))
    bx0, _, bx1, _ = shape.bbox(with_stroke=False)
    assert (bx1 - bx0) / 96 * 25.4 == pytest.approx(100, abs=0.01)


@pytest.mark.parametrize("sweep", [30.0, -90.0, 179.0, 180.0, 200.0, -300.0])
def test_arcs_are_true_arcs_in_svg(sweep: float) -> None:
    """An arc arrives with its own centre, radius, sense and size (svgelements as the judge)."""
    radius, centre = 20.0, P2(60, 80)
    start = P2(centre.x + radius, centre.y)
    end = P2(centre.x + radius * math.cos(math.radians(sweep)), centre.y + radius * math.sin(math.radians(sweep)))
    builder = SheetBuilder("arc", "Arc")
    bulge = math.tan(math.radians(sweep) / 4)
    builder.stroke(Path((Vertex(*start, bulge), Vertex(*end)), closed=False), Role.CUT)
    d = ElementTree.fromstring(svg_text(builder.sheet(150, 150))).find(f".//{NS}path").get("d")
    arcs = [s for s in SvgPath(d) if isinstance(s, Arc)]
    for arc in arcs:
        assert (arc.center.x, 150 - arc.center.y) == (pytest.approx(60, abs=1e-3), pytest.approx(80, abs=1e-3))
        assert arc.rx == pytest.approx(20, abs=1e-3)
    assert -math.degrees(sum(arc.sweep for arc in arcs)) == pytest.approx(sweep, abs=0.01)


def test_circle_in_pdf_is_round() -> None:
    """Every sampled point of a circle in the PDF lies within 0.001 mm of it."""
    builder = SheetBuilder("c", "C")
    builder.stroke(Circle(P2(100, 150), 80.0), Role.CUT)
    (page,) = read(_pdf(builder.sheet(210, 297)))
    (ring,) = page.lines
    assert max(abs(math.dist(p, (100, 150)) - 80) for p in ring.points) < 0.001


def test_text_in_svg_equals_text_in_pdf() -> None:
    """Both files of the plate's sheet carry the same labels, each as often, with ⌀ ± ° × whole."""
    sheet = plate_sheet()
    svg = Counter(e.text for e in ElementTree.fromstring(svg_text(sheet)).iter(f"{NS}text"))
    (page,) = read(_pdf(sheet))
    pdf = Counter(text.text for text in page.texts)
    assert svg == pdf
    assert any("⌀" in text and "×" in text for text in pdf)


def test_text_stands_in_the_same_place_in_both() -> None:
    """Baseline starts in the SVG lie within the PDF text's box, grown by a letter's side bearing."""
    sheet = _square()
    element = ElementTree.fromstring(svg_text(sheet)).find(f".//{NS}text")
    (page,) = read(_pdf(sheet))
    x0, y0, _, _ = page.texts[0].quad.bounds
    assert float(element.get("x")) == pytest.approx(x0, abs=0.8)
    assert 297 - float(element.get("y")) == pytest.approx(y0, abs=1.5)


def test_signs_that_mean_something_in_xml_survive() -> None:
    """`" & < > '` in names and notes parse and come back unchanged in both formats and in the title."""
    sheet = _square()
    root = ElementTree.fromstring(svg_text(sheet))
    assert root.find(f".//{NS}text").text == NASTY
    assert NASTY in root.find(f"{NS}title").text
    (page,) = read(_pdf(sheet))
    assert [t.text for t in page.texts] == [NASTY]


def test_files_say_job_and_version_and_no_path() -> None:
    """Every file names the job and the program's version, and no folder of the machine that made it."""
    sheet = plate_sheet()
    text = svg_text(sheet)
    assert f"Heelwright {__version__}, job {JOB}" in text
    data = _pdf(sheet)
    with pdfplumber.open(io.BytesIO(data)) as document:
        meta = document.metadata
    assert meta["Creator"] == f"Heelwright {__version__}"
    assert JOB in meta["Title"]
    for content in (text.encode(), data):
        assert b"/home/" not in content
        assert b"site-packages" not in content


def test_same_sheet_same_bytes() -> None:
    """Writing twice gives identical files: no clock, no random, no counter that goes on."""
    sheet = plate_sheet()
    assert svg_text(sheet) == svg_text(sheet)
    first = _pdf(sheet)
    _pdf(_square())
    assert _pdf(sheet) == first


def test_print_dialogs_are_told_not_to_scale() -> None:
    """The catalog says /PrintScaling /None and no page carries a UserUnit (read by pdfplumber's parser)."""
    data = _pdf(_square())
    with pdfplumber.open(io.BytesIO(data)) as document:
        preferences = resolve1(document.doc.catalog["ViewerPreferences"])
        assert preferences["PrintScaling"].name == "None"
        assert all("UserUnit" not in page.page_obj.attrs for page in document.pages)


def test_the_pdf_embeds_its_only_font() -> None:
    """One font, a subset of DejaVu Sans with its font file inside."""
    with pdfplumber.open(io.BytesIO(_pdf(plate_sheet()))) as document:
        names = set()
        for page in document.pages:
            for reference in resolve1(page.page_obj.resources["Font"]).values():
                entry = resolve1(reference)
                names.add(entry["BaseFont"].name)
                assert resolve1(entry["FontDescriptor"])["FontFile2"] is not None
    assert {re.sub(r"^[A-Z]{6}\+", "", name) for name in names} == {"DejaVuSans"}


def test_the_svg_embeds_the_signs_it_uses() -> None:
    """The font in the SVG has a glyph with an outline for every printing character of its labels."""
    text = svg_text(plate_sheet())
    data = base64.b64decode(re.search(r"base64,([A-Za-z0-9+/=]+)\)", text).group(1))
    face = TTFont(io.BytesIO(data))
    cmap = face.getBestCmap()
    for label in plate_sheet().labels():
        for character in label.text:
            assert ord(character) in cmap
            assert character == " " or face["glyf"][cmap[ord(character)]].numberOfContours != 0


def test_no_hairlines() -> None:
    """No stroke of either file is thinner than 0.1 mm; cut lines are 0.25 to 0.35 mm."""
    sheet = plate_sheet()
    (page,) = read(_pdf(sheet))
    assert min(line.width for line in page.lines) >= 0.1
    root = ElementTree.fromstring(svg_text(sheet))
    widths = {
        g.get("id"): {float(e.get("stroke-width", 1)) for e in g if e.get("stroke") != "none"}
        for g in root.iter(f"{NS}g")
    }
    assert all(width >= 0.1 for group in widths.values() for width in group)
    assert widths["cut"] <= {0.25, 0.35}


def test_dashes_are_equal_in_both() -> None:
    """A hidden line has the same dash and gap, in mm, in SVG and PDF."""
    builder = SheetBuilder("d", "D")
    builder.line(P2(20, 20), P2(120, 20), Role.HIDDEN)
    sheet = builder.sheet(150, 50)
    svg = ElementTree.fromstring(svg_text(sheet)).find(f".//{NS}path").get("stroke-dasharray")
    with pdfplumber.open(io.BytesIO(_pdf(sheet))) as document:
        pattern, _ = document.pages[0].lines[0]["dash"]
    assert [v / 72 * 25.4 for v in pattern] == pytest.approx([float(v) for v in svg.split()], abs=1e-4)


def test_a_page_over_200_inches_is_refused() -> None:
    """A side over 14 400 PDF units (200 in) is refused: readers show such pages blank."""
    builder = SheetBuilder("long", "Long")
    builder.stroke(rectangle(20, 20, 5200, 60), Role.CUT)
    with pytest.raises(LayoutError, match="tile it"):
        sheet_page(builder.sheet(5300, 100))


def test_pages_of_two_sizes_are_refused() -> None:
    """All pages of one PDF have one size and orientation."""
    items = tuple(_square().every_item())
    with pytest.raises(OutputError, match="one size"):
        pdf_bytes([Page(210, 297, (PageLayer(items),)), Page(297, 210, (PageLayer(items),))], "x", JOB)


def test_every_cut_line_prints_dark() -> None:
    """At 150 dpi every half millimetre of every cut line is dark in the picture (rendered by pdfium)."""
    import pypdfium2

    sheet = plate_sheet()
    image = pypdfium2.PdfDocument(_pdf(sheet))[0].render(scale=150 / 72).to_pil().convert("L")
    per_mm = 150 / 25.4
    for item in sheet.items:
        if item.role is not Role.CUT:
            continue
        corners = item.path.flatten(0.01)
        for a, b in itertools.pairwise([*corners, corners[0]]):
            steps = math.ceil(2.0 * a.distance(b)) or 1
            for point in (a.plus(b.minus(a).times(i / steps)) for i in range(steps)):
                column, row = int(point.x * per_mm), int(image.height - point.y * per_mm)
                around = image.crop((column - 1, row - 1, column + 2, row + 2))
                assert around.getextrema()[0] < 110, point
