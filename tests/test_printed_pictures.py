"""Real sheets as a printer shows them: pages that agree where they meet, edges dark enough to follow."""

from __future__ import annotations

import itertools
import math
import shutil
import subprocess
from functools import lru_cache
from io import BytesIO
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from paper_jobs import all_sheets, one_page
from pdf_ink import MM, Line, PageInk, read
from PIL import Image
from shapely import MultiLineString, box
from shapely.ops import unary_union
from svgelements import SVG, Circle, Group
from svgelements import Path as SvgPath

from generator.drawing.bars import PrinterScale
from generator.drawing.sheet import Sheet
from generator.drawing.tiling import OVERLAP, Tile, TilePlan, best_plans, both_plans, page_window, tile_pages
from generator.formats.pdf.write import pdf_bytes
from generator.formats.svg.write import svg_text
from generator.job.model.job import Paper

CASES = [
    ("tilted", Paper.A4, PrinterScale()),
    ("forward", Paper.LETTER, PrinterScale()),
    ("tilted", Paper.LETTER, PrinterScale(1.0043, 0.9968)),
]
each_case = pytest.mark.parametrize(("job", "paper", "correction"), CASES)
SCALE = 10  # pixels a millimetre: pages and the steps between joins are whole pixels


@lru_cache(maxsize=8)
def taped(job: str, paper: Paper, correction: PrinterScale) -> list[tuple[TilePlan, bytes]]:
    """The sheets of a job that need more than one page, each with its pages as PDF."""
    plans = [best_plans([both_plans(sheet, paper, correction)])[0] for sheet in all_sheets(job)]
    several = [plan for plan in plans if len(plan.tiles) > 1]
    return [(plan, pdf_bytes(tile_pages(plan, 1, len(plan.tiles)), plan.sheet.title, job)) for plan in several]


def neighbours(plan: TilePlan) -> list[tuple[int, int]]:
    """Indices of pages that lie side by side or one under the other."""
    pairs = itertools.combinations(range(len(plan.tiles)), 2)
    return [(i, j) for i, j in pairs if _steps(plan.tiles[i], plan.tiles[j]) == 1]


def _steps(one: Tile, other: Tile) -> int:
    return abs(one.row - other.row) + abs(one.column - other.column)


def crosses(page: PageInk) -> dict[str, tuple[float, float]]:
    """Middles of the numbered register crosses by the number beside each, page mm."""
    straight = [ln for ln in page.lines if len(ln.points) == 2 and abs(ln.width - 0.25) < 0.01]
    level = [ln for ln in straight if abs(ln.length - 8.0) < 0.06 and abs(ln.points[0][1] - ln.points[1][1]) < 1e-3]
    upright = [ln for ln in straight if abs(ln.length - 8.0) < 0.06 and abs(ln.points[0][0] - ln.points[1][0]) < 1e-3]
    middles = [ln.shape.centroid for ln in level]
    middles = [m for m in middles if any(ln.shape.centroid.distance(m) < 0.01 for ln in upright)]
    found = {}
    for text in page.texts:
        near = [m for m in middles if text.text.isdigit() and text.quad.distance(m) < 3.0]
        if len(near) == 1:
            found[text.text] = (near[0].x, near[0].y)
    return found


@each_case
def test_neighbours_laid_by_their_crosses_agree(job: str, paper: Paper, correction: PrinterScale) -> None:
    """Laid by the numbered crosses alone, all lines in the strip two pages share lie on each other within 0.05 mm."""
    compared = 0.0
    for plan, data in taped(job, paper, correction):
        found = read(data)
        for i, j in neighbours(plan):
            mine, yours = crosses(found[i]), crosses(found[j])
            shared = sorted(mine.keys() & yours.keys())
            assert len(shared) >= 2, (plan.sheet.name, i, j)
            shifts = np.array([np.subtract(mine[name], yours[name]) for name in shared])
            assert np.ptp(shifts, axis=0).max() < 0.02, plan.sheet.name
            dx, dy = shifts.mean(axis=0)
            strip = _strip(plan, i, j, correction)
            one, other = _within(found[i].lines, strip, 0.0, 0.0), _within(found[j].lines, strip, dx, dy)
            assert one.difference(other.buffer(0.05)).length < 0.02, (plan.sheet.name, i, j)
            assert other.difference(one.buffer(0.05)).length < 0.02, (plan.sheet.name, i, j)
            compared += one.length
    assert compared > 200.0


def _strip(plan: TilePlan, i: int, j: int, correction: PrinterScale) -> box:
    """What pages i and j share, in page mm of page i, a little inside; without the crosses' arms' ends."""
    a, b, window = plan.tiles[i].window, plan.tiles[j].window, page_window(plan.page)
    x = [window.x0 + (v - a.x0) * correction.x for v in (max(a.x0, b.x0), min(a.x1, b.x1))]
    y = [window.y1 - (a.y1 - v) * correction.y for v in (max(a.y0, b.y0), min(a.y1, b.y1))]
    return box(x[0] + 0.2, y[0] + 0.2, x[1] - 0.2, y[1] - 0.2)


def _within(lines: tuple[Line, ...], strip: box, dx: float, dy: float) -> MultiLineString:
    moved = [[(x + dx, y + dy) for x, y in line.points] for line in lines]
    return unary_union([line for line in (MultiLineString(moved).intersection(strip),) if not line.is_empty])


@lru_cache(maxsize=32)
def picture(data: bytes, number: int) -> np.ndarray:
    page = pypdfium2.PdfDocument(data)[number]
    return np.asarray(page.render(scale=SCALE / MM * (1 - 1e-6)).to_pil().convert("L")).astype(int)


def patch(pixels: np.ndarray, area: tuple[float, float, float, float]) -> np.ndarray:
    """Part of a page's picture, corners in mm from its lower left."""
    x0, y0, x1, y1 = (round(v * SCALE) for v in area)
    return pixels[pixels.shape[0] - y1 : pixels.shape[0] - y0, x0:x1]


@pytest.mark.parametrize(("job", "paper"), [("tilted", Paper.A4), ("forward", Paper.LETTER)])
def test_overlaps_xor_to_nothing(job: str, paper: Paper) -> None:
    """Pixel by pixel, letters included: two neighbouring pages show the same in what they share, on every sheet."""
    dark = 0
    for plan, data in taped(job, paper, PrinterScale()):
        window = page_window(plan.page)
        for i, j in neighbours(plan):
            a, b = plan.tiles[i].window, plan.tiles[j].window
            area = (max(a.x0, b.x0) + 0.5, max(a.y0, b.y0) + 0.5, min(a.x1, b.x1) - 0.5, min(a.y1, b.y1) - 0.5)
            assert min(area[2] - area[0], area[3] - area[1]) == pytest.approx(OVERLAP - 1.0, abs=1e-6)
            moves = [(window.x0 - w.x0, window.y1 - w.y1) for w in (a, b)]
            one, other = (
                patch(picture(data, n), (area[0] + dx, area[1] + dy, area[2] + dx, area[3] + dy))
                for n, (dx, dy) in zip((i, j), moves, strict=True)
            )
            assert one.shape == other.shape
            assert (abs(one - other) > 100).sum() == 0, (plan.sheet.name, i, j)
            dark += (one < 128).sum()
    assert dark > 1000


@each_case
def test_pages_laid_together_are_the_sheet(job: str, paper: Paper, correction: PrinterScale) -> None:
    """The lines of all pages, each moved to its place, cover every line of the sheet's own page within 0.05 mm."""
    for plan, data in taped(job, paper, correction):
        window = page_window(plan.page)
        laid = []
        for tile, page in zip(plan.tiles, read(data), strict=True):
            shown = box(window.x0 - 0.3, window.y0 - 0.3, window.x1 + 0.3, window.y1 + 0.3)
            for line in page.lines:
                if shown.contains(line.shape):
                    laid.append([_back(point, tile, plan) for point in line.points])
        whole = MultiLineString([line.points for line in read(one_page(plan.sheet))[0].lines])
        missing = whole.difference(MultiLineString(laid).buffer(0.05))
        assert missing.length < 0.05, (plan.sheet.name, missing.bounds)


def _back(point: tuple[float, float], tile: Tile, plan: TilePlan) -> tuple[float, float]:
    """A point of a page where it lies on the sheet."""
    window, f = page_window(plan.page), plan.correction
    return tile.window.x0 + (point[0] - window.x0) / f.x, tile.window.y1 - (window.y1 - point[1]) / f.y


def by_pdfium(data: bytes, folder: Path) -> Image.Image:
    return pypdfium2.PdfDocument(data)[0].render(scale=150 / 72).to_pil().convert("L")


def by_poppler(data: bytes, folder: Path) -> Image.Image:
    if not shutil.which("pdftoppm"):
        pytest.skip("poppler is not on this machine")
    (folder / "sheet.pdf").write_bytes(data)
    done = subprocess.run(["pdftoppm", "-r", "150", "-gray", folder / "sheet.pdf"], capture_output=True, check=True)
    return Image.open(BytesIO(done.stdout))


@pytest.mark.parametrize("job", ["tilted", "forward"])
@pytest.mark.parametrize("render", [by_pdfium, by_poppler])
def test_every_cut_line_is_dark_at_150_dpi(render: object, job: str, tmp_path: Path) -> None:
    """Every half millimetre of every edge to cut, as the SVG has it, is dark in the picture of the PDF."""
    tested = 0
    for sheet in all_sheets(job):
        points = cut_points(sheet)
        if not points:
            assert sheet.name in ("side_elevation", "plate_layers", "cut_list")
            continue
        image = np.asarray(render(one_page(sheet), tmp_path))
        per_mm = 150 / 25.4
        for x, y in points:
            column, row = int(x * per_mm), int(y * per_mm)
            around = image[max(row - 1, 0) : row + 2, max(column - 1, 0) : column + 2]
            assert around.min() < 110, (sheet.name, x, y)
        tested += len(points)
    assert tested > 5000


@lru_cache(maxsize=64)
def cut_points(sheet: Sheet) -> list[tuple[float, float]]:
    """Points half a millimetre apart on the edges to cut, mm from the upper left."""
    document = SVG.parse(BytesIO(svg_text(sheet).encode()), ppi=25.4)
    out = []
    for group in document:
        if isinstance(group, Group) and group.id == "cut":
            for shape in group:
                for segment in SvgPath(shape) if isinstance(shape, Circle) else shape:
                    steps = math.ceil(segment.length(error=1e-2) / 0.5) if segment.start is not None else 0
                    ends = [segment.point(i / steps) for i in range(steps + 1)] if steps else []
                    out += [(point.x, point.y) for point in ends]
    return out
