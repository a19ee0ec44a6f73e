"""Tiled templates: pages that agree where they meet, and a cover that checks the print."""

from __future__ import annotations

import itertools
import re
from functools import lru_cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from pdf_ink import PageInk, read
from sample_plate import JOB, plate_sheet
from shapely import MultiLineString
from typer.testing import CliRunner

from generator.base.contours2d import Circle
from generator.base.errors import LayoutError
from generator.base.points2d import P2
from generator.base.shapes2d import rectangle
from generator.commands.cli import program
from generator.drawing.bars import PrinterScale
from generator.drawing.booklet import booklet, tiled_document
from generator.drawing.clip import clip_stroke
from generator.drawing.joins import Span, steps
from generator.drawing.page import Page, PageLayer, Placing
from generator.drawing.paper import PAPER_SIZES, PageFormat
from generator.drawing.sheet import Sheet, SheetBuilder, Stroke
from generator.drawing.style import Role
from generator.drawing.tiling import OVERLAP, both_plans, join_marks, page_window, plan_tiles, tile_pages
from generator.formats.pdf.write import pdf_bytes
from generator.job.command_line import CALIBRATE_PRINTER, DATE, READING
from generator.job.load import load_job
from generator.job.model.job import Paper
from generator.job.shop import read_shop

PER_MM = 10  # pixels: page and step sizes of A4 are whole pixels then, so pages can be compared pixel by pixel
A4 = PageFormat(Paper.A4)


@lru_cache(maxsize=1)
def big() -> Sheet:
    """A plate-like pattern of 2 × 3 A4 pages with dashes, arcs, circles and lettering across every border."""
    builder = SheetBuilder("big", "Big plate: glue, drill, saw")
    builder.stroke(rectangle(5, 5, 455, 395, 37.3), Role.CUT)
    builder.stroke(Circle(P2(180.7, 262.2), 61.9), Role.HIDDEN)
    for x in range(20, 450, 45):
        builder.stroke(Circle(P2(x, 205 + x * 0.07), 6.35), Role.CUT)
        builder.line(P2(x, 12), P2(x + 23, 388), Role.CENTRE)
    builder.label("this line of words runs over the border of two pages", P2(110, 150), 7.0)
    builder.label("and this one too", P2(190, 100), 7.0, angle=90.0)
    return builder.sheet(460, 400, JOB)


def _pdf(pages: list[Page]) -> bytes:
    return pdf_bytes(pages, "big", JOB)


def _pixels(data: bytes, number: int) -> np.ndarray:
    """A page's picture; the scale is a hair under the mark, so that the page's own size rounds up to whole pixels."""
    page = pypdfium2.PdfDocument(data)[number]
    return np.asarray(page.render(scale=PER_MM * 25.4 / 72 * (1 - 1e-6)).to_pil().convert("L")).astype(int)


def _patch(pixels: np.ndarray, x0: float, y0: float, x1: float, y1: float) -> np.ndarray:
    """The part of a page's picture between two corners given in mm from its lower left."""
    height = pixels.shape[0]
    return pixels[height - round(y1 * PER_MM) : height - round(y0 * PER_MM), round(x0 * PER_MM) : round(x1 * PER_MM)]


def test_the_tiles_cover_the_sheet_in_reading_order() -> None:
    """Rows count from the top, columns from the left, and the cores meet without gap or overlap."""
    plan = plan_tiles(big(), A4)
    assert (plan.rows, plan.columns) == (2, 3)
    assert [(t.row, t.column) for t in plan.tiles] == [(1, 1), (1, 2), (1, 3), (2, 1), (2, 2), (2, 3)]
    first, second, below = plan.tile_at(1, 1), plan.tile_at(1, 2), plan.tile_at(2, 1)
    assert first.core.x1 == pytest.approx(second.core.x0)
    assert first.core.y0 == pytest.approx(below.core.y1)
    assert first.window.x1 - second.window.x0 == pytest.approx(OVERLAP)
    assert plan.place_of(below) == "row 2 of 2, column 1 of 3"


def test_lengths_of_all_cores_add_up_to_the_sheet() -> None:
    """What the pages own is the untiled sheet: stroke lengths add up exactly, arcs included."""
    plan = plan_tiles(big(), A4)
    for item in big().items:
        if isinstance(item, Stroke):
            total = sum(p.path.length for t in plan.tiles for p in clip_stroke(item, t.core))
            assert total == pytest.approx(item.path.length, abs=1e-4)


@pytest.mark.parametrize(("one", "other"), [((1, 1), (1, 2)), ((1, 2), (1, 3)), ((1, 2), (2, 2)), ((1, 1), (2, 2))])
def test_what_two_pages_share_is_the_same_picture(one: tuple[int, int], other: tuple[int, int]) -> None:
    """Neighbours XOR to nothing in the overlap, pixel by pixel, lettering, join lines and crosses included."""
    plan = plan_tiles(big(), A4)
    data = _pdf(tile_pages(plan, 1, 6))
    order = [(t.row, t.column) for t in plan.tiles]
    pictures = {place: _pixels(data, order.index(place)) for place in (one, other)}
    window = page_window(A4)
    a, b = plan.tile_at(*one), plan.tile_at(*other)
    shared = (
        max(a.window.x0, b.window.x0) + 0.5,
        max(a.window.y0, b.window.y0) + 0.5,
        min(a.window.x1, b.window.x1) - 0.5,
        min(a.window.y1, b.window.y1) - 0.5,
    )
    patches = []
    for place, tile in ((one, a), (other, b)):
        dx, dy = window.x0 - tile.window.x0, window.y1 - tile.window.y1
        patches.append(_patch(pictures[place], shared[0] + dx, shared[1] + dy, shared[2] + dx, shared[3] + dy))
    assert patches[0].shape == patches[1].shape
    assert (patches[0] < 128).sum() > 100, "nothing to compare"
    assert (abs(patches[0] - patches[1]) > 100).sum() == 0


def test_pages_laid_together_are_the_untiled_sheet() -> None:
    """The six pages composed by their places equal one picture of the whole pattern."""
    plan = plan_tiles(big(), A4)
    data = _pdf(tile_pages(plan, 1, 6))
    window = page_window(A4)
    left, low = plan.tile_at(2, 1).window.x0, plan.tile_at(2, 1).window.y0
    width = plan.tile_at(1, 3).window.x1 - left
    height = plan.tile_at(1, 1).window.y1 - low
    pattern = (*big().every_item(), *join_marks(plan))
    whole = _pixels(_pdf([Page(round(width), round(height), (PageLayer(pattern, Placing(1, 1, -left, -low)),))]), 0)
    for number, tile in enumerate(plan.tiles):
        picture = _pixels(data, number)
        core, w = tile.core, tile.window
        dx, dy = window.x0 - w.x0, window.y1 - w.y1
        inset = 0.5  # the outermost page edge cuts pens in half
        box = (core.x0 + inset, core.y0 + inset, core.x1 - inset, core.y1 - inset)
        ours = _patch(picture, box[0] + dx, box[1] + dy, box[2] + dx, box[3] + dy)
        theirs = _patch(whole, box[0] - left, box[1] - low, box[2] - left, box[3] - low)
        rows, columns = min(ours.shape[0], theirs.shape[0]), min(ours.shape[1], theirs.shape[1])
        differing = abs(ours[-rows:, :columns] - theirs[-rows:, :columns]) > 140
        assert differing.sum() <= 0.0005 * differing.size


def _crosses(page: PageInk) -> list[tuple[float, float]]:
    """Centres of the register crosses: a level and an upright 8 mm line with one middle."""
    level, upright = [], []
    for line in page.lines:
        (ax, ay), (bx, by) = line.points[0], line.points[-1]
        if len(line.points) == 2 and abs(line.length - 8.0) < 0.06 and abs(line.width - 0.25) < 0.01:
            (level if abs(ay - by) < 1e-3 else upright).append(((ax + bx) / 2, (ay + by) / 2))
    return [p for p in level if any(abs(p[0] - q[0]) < 1e-2 and abs(p[1] - q[1]) < 1e-2 for q in upright)]


def test_neighbours_laid_by_their_crosses_agree() -> None:
    """Laying two pages by the crosses they share brings the pattern together within 0.05 mm, stretched prints too."""
    for correction in (PrinterScale(), PrinterScale(1.005, 0.998)):
        plan = plan_tiles(big(), A4, correction)
        pages = read(_pdf(tile_pages(plan, 1, 6)))
        left, right = pages[0], pages[1]
        shared = page_window(A4).x0 + (plan.tiles[0].core.x1 - plan.tiles[0].window.x0) * correction.x
        mine = [p for p in _crosses(left) if abs(p[0] - shared) < 0.5]
        yours = [p for p in _crosses(right) if abs(p[0] - (16.5 + OVERLAP / 2)) < 0.5]
        assert len(mine) == len(yours) == 3
        mine.sort(key=lambda p: p[1])
        yours.sort(key=lambda p: p[1])
        shifts = [(m[0] - y[0], m[1] - y[1]) for m, y in zip(mine, yours, strict=True)]
        assert max(abs(s[0] - shifts[0][0]) + abs(s[1] - shifts[0][1]) for s in shifts) < 0.01
        dx, dy = shifts[0]
        # Outline and dashed circle cross this border: compare points of the one page with the other's lines.
        theirs = MultiLineString([[(x + dx, y + dy) for x, y in line.points] for line in right.lines])
        tested = 0
        for line in left.lines:
            for step in range(int(line.length)):
                point = line.shape.interpolate(step)
                if abs(point.x - mine[0][0]) < OVERLAP / 2 - 0.5 and line.width > 0.2:
                    assert theirs.distance(point) < 0.05
                    tested += 1
        assert tested > 20


def test_crosses_have_numbers_on_both_pages() -> None:
    """The same cross carries the same number on each page that shows it."""
    plan = plan_tiles(big(), A4)
    pages = read(_pdf(tile_pages(plan, 1, 6)))
    numbers = [{t.text for t in page.texts if re.fullmatch(r"\d+", t.text)} for page in pages]
    assert numbers[0] & numbers[1]
    assert numbers[1] & numbers[2]
    assert numbers[0] & numbers[3]


def test_joins_run_between_views_where_pages_have_room() -> None:
    """Two plates and a line of text 20 mm apart: no join runs through any of them, and no page is added for it."""
    builder = SheetBuilder("apart", "Apart")
    for y in (20, 240):
        builder.stroke(rectangle(20, y, 160, y + 190), Role.CUT)
    builder.label("between the plates", P2(20, 218), 5.0)
    sheet = builder.sheet(180, 450, JOB)
    plan = plan_tiles(sheet, A4)
    assert (plan.rows, plan.columns) == (2, 1)
    join = plan.tile_at(1, 1).core.y0
    assert 210 < join < 240
    assert not 216.5 < join < 223.5


@pytest.mark.parametrize("spare", [0.0, 0.4, 1.3, 40.0])
@pytest.mark.parametrize("paper", list(Paper))
def test_pages_cover_a_sheet_that_leaves_them_no_room(paper: Paper, spare: float) -> None:
    """Three full pages less `spare`: three windows, none larger than a page shows, joined without a gap."""
    size = page_window(PageFormat(paper)).height
    high = 3 * size - 2 * OVERLAP - spare
    found = steps(0.0, high, size, OVERLAP, [Span(size - 30.0, size - 4.0, 5.0)])
    assert len(found) == 3
    assert found[0].low == 0.0
    assert found[-1].high >= high - 1e-9
    for one, other in itertools.pairwise(found):
        assert one.own_high == pytest.approx(other.own_low)
        assert one.high - other.low == pytest.approx(OVERLAP)
    assert all(step.high - step.low <= size + 1e-9 for step in found)


def test_empty_pages_are_skipped() -> None:
    """A ring leaves the middle page out, and the pages left keep their row and column."""
    builder = SheetBuilder("ring", "Ring")
    builder.stroke(rectangle(5, 5, 505, 695), Role.CUT)
    plan = plan_tiles(builder.sheet(520, 700, JOB), A4)
    assert (plan.rows, plan.columns) == (3, 3)
    assert len(plan.tiles) == 8
    assert plan.tile_at(2, 2) is None
    assert plan.place_of(plan.tile_at(2, 3)) == "row 2 of 3, column 3 of 3"


@pytest.mark.parametrize("paper", list(Paper))
def test_all_ink_stays_10_mm_inside(paper: Paper) -> None:
    """Rendered at 10 pixels a millimetre, the outer 10 mm of every page are blank on every paper size."""
    data = _pdf(tiled_document(both_plans(plate_sheet(), paper)))
    for number in range(len(pypdfium2.PdfDocument(data))):
        pixels = _pixels(data, number)
        edge = 10 * PER_MM - 1
        for strip in (pixels[:edge], pixels[-edge:], pixels[:, :edge], pixels[:, -edge:]):
            assert strip.min() > 250


@pytest.mark.parametrize("paper", list(Paper))
def test_strokes_stay_10_mm_inside(paper: Paper) -> None:
    """No stroke's ink comes nearer than 10 mm to the page's edge, by its coordinates and its width."""
    data = _pdf(tiled_document(both_plans(plate_sheet(), paper)))
    for page in read(data):
        width, height = (v / 72 * 25.4 for v in page.media[2:])
        for line in page.lines:
            half = line.width / 2
            assert all(x - half >= 10 and x + half <= width - 10 for x, _ in line.points)
            assert all(y - half >= 10 and y + half <= height - 10 for _, y in line.points)


@pytest.mark.parametrize("paper", list(Paper))
def test_the_cover_comes_first_with_what_checks_the_print(paper: Paper) -> None:
    """Page 1 carries the 100 mm square, a 4 in bar, the words, the paper's name; the pattern starts on page 2."""
    pages = read(_pdf(tiled_document(both_plans(plate_sheet(), paper))))
    cover = pages[0]
    words = " ".join(t.text for t in cover.texts)
    assert "Print at 100 %, actual size" in words
    assert "4 in" in words
    assert f"Paper: {paper.value}" in words
    squares = [ln for ln in cover.lines if len(ln.points) == 5 and abs(ln.length - 400) < 0.05]
    (square,) = squares
    xs, ys = [p[0] for p in square.points], [p[1] for p in square.points]
    assert max(xs) - min(xs) == pytest.approx(100, abs=0.01)
    assert max(ys) - min(ys) == pytest.approx(100, abs=0.01)
    assert any(len(ln.points) == 2 and abs(ln.length - 101.6) < 0.01 for ln in cover.lines)
    assert {tuple(page.media) for page in pages} == {tuple(cover.media)}
    sides = sorted(v / 72 * 25.4 for v in cover.media[2:])
    assert sides == pytest.approx(sorted(PAPER_SIZES[paper]), abs=0.004)


@pytest.mark.parametrize("paper", list(Paper))
def test_the_cover_says_where_its_readings_go(paper: Paper, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The command beside the square runs as printed, and the next kit's factors are 100 over what was read."""
    monkeypatch.chdir(tmp_path)
    cover = read(_pdf(tiled_document(both_plans(plate_sheet(), paper))))[0]
    words = " ".join(" ".join(t.text for t in cover.texts).split())
    assert CALIBRATE_PRINTER in words
    asked = CALIBRATE_PRINTER.replace(DATE, "2024-05-31").replace(READING, "99.5", 1).replace(READING, "100.4", 1)
    verb = asked.split()[1:]
    done = CliRunner().invoke(program(verb[0]), verb)
    assert done.exit_code == 0, done.output
    printer = load_job("orchestra-14", read_shop(tmp_path / "shop.toml")).printer
    assert (printer.x_factor, printer.y_factor) == pytest.approx((100.0 / 99.5, 100.0 / 100.4), abs=1e-4)


def test_every_page_says_what_it_is() -> None:
    """Each page carries the job, the sheet's name, row and column, page number, print rule and cutting rule."""
    pages = read(_pdf(tiled_document(both_plans(plate_sheet(), Paper.A4))))
    count = len(pages)
    for number, page in enumerate(pages, start=1):
        words = " | ".join(t.text for t in page.texts)
        assert JOB in words
        assert "Template plate" in words
        assert f"page {number} of {count}" in words
        assert "print at 100 %, actual size" in words
        assert "cut on the middle of the line" in words
        if number > 1:
            assert re.search(r"row \d of \d, column \d of \d", words)


def _bars(page: PageInk, length: float) -> tuple[int, int]:
    """How many straight level and upright lines of that length the page has."""
    level = upright = 0
    for line in page.lines:
        if len(line.points) == 2 and abs(line.length - length) < 0.01:
            if abs(line.points[0][1] - line.points[1][1]) < 1e-3:
                level += 1
            else:
                upright += 1
    return level, upright


def test_two_bars_at_right_angles_on_every_page() -> None:
    """Every page has a level and an upright bar of 100 mm, each labelled."""
    for page in read(_pdf(tiled_document(both_plans(plate_sheet(), Paper.A4)))):
        level, upright = _bars(page, 100.0)
        assert level == 1
        assert upright == 1
        assert sum(t.text == "100 mm" for t in page.texts) >= 2


def test_an_x_correction_changes_x_only() -> None:
    """With x 1.005 the level bar is drawn 100.5 mm and the upright one 100, labels stay nominal; so the pattern."""
    plain = read(_pdf(tiled_document(both_plans(plate_sheet(), Paper.A3))))
    stretched = read(_pdf(tiled_document(both_plans(plate_sheet(), Paper.A3, PrinterScale(x=1.005)))))
    assert len(plain) == len(stretched)
    for page in stretched:
        assert _bars(page, 100.5)[0] == 1
        assert _bars(page, 100.0) == (0, 1)
        assert sum(t.text == "100 mm" for t in page.texts) >= 2
    # The plate's through holes: circles become 0.5 % wider and no taller.
    for a, b in zip(plain[1:], stretched[1:], strict=True):
        for one, two in zip(_rings(a), _rings(b), strict=True):
            assert two[0] / one[0] == pytest.approx(1.005, abs=2e-4)
            assert two[1] / one[1] == pytest.approx(1.0, abs=2e-4)
    assert any("x 1.005, y 1" in t.text for t in stretched[0].texts)


def _rings(page: PageInk) -> list[tuple[float, float]]:
    """Width and height of the closed 5.5 mm screw holes, in order of drawing."""
    out = []
    for line in page.lines:
        xs, ys = [p[0] for p in line.points], [p[1] for p in line.points]
        if len(line.points) > 40 and line.points[0] == line.points[-1] and abs(max(ys) - min(ys) - 5.5) < 0.01:
            out.append((max(xs) - min(xs), max(ys) - min(ys)))
    return out


def test_booklet_joins_all_sheets_of_a_size() -> None:
    """A booklet has one cover with contents, a map before each sheet of several pages, and one page size."""
    small = SheetBuilder("rest", "Body rest: saw two")
    small.stroke(rectangle(10, 10, 60, 40), Role.CUT)
    sheets = [plate_sheet(), small.sheet(80, 60, JOB), big()]
    pages = read(_pdf(booklet([both_plans(sheet, Paper.A4) for sheet in sheets], "All templates")))
    assert len({tuple(p.media) for p in pages}) == 1
    contents = [t.text for t in pages[0].texts]
    tiles = sum(1 for p in pages if any("row " in t.text and "column" in t.text for t in p.texts))
    assert any(re.fullmatch(r"page \d+: Body rest: saw two", t) for t in contents)
    for entry in (re.match(r"pages? (\d+)(?: to (\d+))?: (.*)", t) for t in contents):
        if entry:
            for number in {int(entry[1]), int(entry[2] or entry[1])}:
                assert any(t.text == entry[3] for t in pages[number - 1].texts)
    assert tiles >= len(pages) - 1 - 2
    assert f"page {len(pages)} of {len(pages)}" in " ".join(t.text for t in pages[-1].texts)


def test_a_booklet_mixes_no_jobs() -> None:
    """Sheets of two jobs in one booklet would be confused at the bench: refused."""
    builder = SheetBuilder("x", "X")
    builder.label("x", P2(20, 20), 5.0)
    sheets = [plate_sheet(), builder.sheet(50, 50, "another")]
    with pytest.raises(LayoutError, match="one job"):
        booklet([both_plans(sheet, Paper.A4) for sheet in sheets], "Mixed")


def test_same_tiles_same_bytes() -> None:
    """Tiling twice gives the same document."""
    first, second = (_pdf(tiled_document(both_plans(plate_sheet(), Paper.LETTER))) for _ in range(2))
    assert first == second
