"""The paper templates against the cutting files: every SVG, and every PDF page laid back on its sheet."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from generator.base.contours2d import Circle, Contour, Path
from generator.base.points2d import P2, Transform
from generator.drawing.bars import CHECK_LENGTH
from generator.drawing.paper import PAPER_SIZES
from generator.drawing.style import PENS, Role
from generator.formats.pdf.read import PdfFile, PdfPage, PdfStroke
from generator.formats.svg.read import SvgFile
from generator.job.model.job import Paper
from generator.proof.files.agree_cutting import outline_finding
from generator.proof.files.lines import farthest, line_of
from generator.proof.files.outline_compare import (
    Compared,
    Drawn,
    Likeness,
    closed_shapes,
    compare,
    contained,
    nested,
    same_size,
    scale_words,
)
from generator.proof.findings import Finding, Topic

#: A sheet carries four decimals; its outlines agree with the cutting files within this, mm.
EXACT = 3e-3
#: Pages carry single precision and curves as Béziers; a line of a page lies on the sheet's within this, mm.
_ON_THE_LINE = 0.03
#: The check square's sides are right within this, mm.
_SQUARE = 0.01
#: A page's width and height are right within this, mm.
_PAGE = 0.01
#: Finer than this (mm) the shifts of page points against sheet points are not told apart.
_VOTE = 0.05
#: So many of the shifts that lay most ends on corners are tried.
_TRIES = 200
#: Pens that draw the pattern; a page's own marks have finer ones.
_PATTERN = (Role.CUT, Role.VISIBLE)
#: A quarter turn: a part may lie either way on its sheet.
_QUARTER = Transform.rotate(90.0)
#: How a page says which part of its sheet it shows.
_PLACE = re.compile(r"row (\d{1,6}) of \d+, column (\d{1,6}) of")


# --- sheets against the parts ----------------------------------------------------------------------------------------


def part_findings(sheets: Mapping[str, SvgFile], parts: Mapping[str, Drawn]) -> Iterator[Finding]:
    """Every part of `parts` (as the cutting files have them) is on one sheet, at full size and not mirrored.

    A part has the sheet of its name; the others lie together on sheets of several.
    """
    own = {name: sheet for name, sheet in sheets.items() if name in parts}
    shared = {name: sheet for name, sheet in sheets.items() if name not in parts and _cut(sheet)}
    for name, sheet in own.items():
        outlines = _outlines(sheet)
        if not outlines:
            yield Finding(Topic.OPEN, sheet.name, "no closed outline to cut")
            continue
        yield from outline_finding(sheet.name, _compared(parts[name], outlines[0]), "its cut file")
    if not shared:
        return
    packed = [(sheet.name, drawn) for sheet in shared.values() for drawn in nested(_cut(sheet))]
    for name in sorted(set(parts) - set(own)):
        yield from _packed_finding(name, parts[name], packed)


def _packed_finding(name: str, part: Drawn, packed: Sequence[tuple[str, Drawn]]) -> Iterator[Finding]:
    """Where no outline among those packed together is the part's, what the nearest one does wrong."""
    if any(_compared(part, drawn).likeness is Likeness.SAME for _, drawn in packed if _as_large(part, drawn)):
        return
    seen = [(sheet, _compared(part, drawn)) for sheet, drawn in packed]
    telling = [pair for pair in seen if pair[1].likeness in (Likeness.MIRRORED, Likeness.SCALED)]
    if not telling:
        telling = [(packed[0][0], Compared(Likeness.DIFFERENT, "no outline is like it"))]
    sheet, compared = telling[0]
    yield from outline_finding(f"{sheet}, {name}", compared, "its cut file")


def _as_large(part: Drawn, drawn: Drawn) -> bool:
    """True where two outlines are of one size, whichever way round they lie."""
    return same_size(part, drawn, EXACT) or same_size(part.transformed(_QUARTER), drawn, EXACT)


def _compared(part: Drawn, drawn: Drawn) -> Compared:
    """How a drawing on paper compares with its part: a template may lie turned by a quarter."""
    straight, turned = (compare(way, drawn, EXACT, anchored=False) for way in (part, part.transformed(_QUARTER)))
    if turned.likeness is Likeness.SAME or straight.likeness is Likeness.DIFFERENT:
        return turned
    return straight


def _cut(sheet: SvgFile) -> tuple[Contour, ...]:
    return closed_shapes(sheet.shapes(Role.CUT.value))


def _outlines(sheet: SvgFile) -> list[Drawn]:
    """The parts on a sheet, largest first: outlines that lie in no other, each with what is cut inside it."""
    shapes = sorted(_cut(sheet), key=lambda shape: -shape.area)
    found: list[Drawn] = []
    inner: set[int] = set()
    for i, shape in enumerate(shapes):
        if i not in inner:
            inside = tuple(contained(shape, shapes[i + 1 :]))
            inner |= {j for j, other in enumerate(shapes) if other in inside}
            found.append(Drawn(shape, inside))
    return found


# --- pages against the sheets ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Printing:
    """How the kit's pages are printed: paper, and the printer's factors along x and y."""

    paper: Paper
    x_factor: float
    y_factor: float


def page_findings(document: PdfFile, sheets: Mapping[str, SvgFile], printing: Printing) -> Iterator[Finding]:
    """A booklet's page sizes and check square, and whether each sheet's pages laid together are that sheet."""
    yield from _size_findings(document, printing)
    square = _check_square(document.pages[0], printing)
    if square is None:
        yield Finding(Topic.PRINT, document.name, "no check square on its first page")
        return
    if max(abs(side - CHECK_LENGTH) for side in square) > _SQUARE:
        scale = math.sqrt(square[0] * square[1]) / CHECK_LENGTH
        size = f"its check square is {square[0]:.3f} by {square[1]:.3f} mm"
        yield Finding(Topic.SCALE, document.name, f"{size}: {scale_words(scale)}")
        return
    for sheet in sheets.values():
        yield from _laid_together(document, sheet, printing)


def _pages_of(document: PdfFile, sheet: SvgFile) -> list[tuple[int, PdfPage]]:
    """The pages that show a part of the sheet at full size, with their numbers: cover and page maps are none."""
    title = sheet.title.rpartition(" (")[0]
    return [
        (number, page)
        for number, page in enumerate(document.pages, start=1)
        if title in page.text and _PLACE.search(" ".join(page.text))
    ]


def _size_findings(document: PdfFile, printing: Printing) -> Iterator[Finding]:
    wanted = sorted(PAPER_SIZES[printing.paper])
    for number, page in enumerate(document.pages, start=1):
        has = sorted((page.width, page.height))
        if max(abs(a - b) for a, b in zip(wanted, has, strict=True)) > _PAGE:
            words = f"page {number} is {page.width:.2f} by {page.height:.2f} mm; {printing.paper.value} is wanted"
            yield Finding(Topic.PRINT, document.name, words)
            return


def _check_square(page: PdfPage, printing: Printing) -> tuple[float, float] | None:
    """Sides (mm) of the first page's check square as the printer leaves them: its largest square of four corners."""
    sides = []
    for stroke in page.strokes:
        if stroke.closed and len(stroke.ends) in (4, 5) and stroke.pen == PENS[Role.CUT].width:
            xs, ys = [p.x for p in stroke.ends], [p.y for p in stroke.ends]
            wide, high = (max(xs) - min(xs)) / printing.x_factor, (max(ys) - min(ys)) / printing.y_factor
            if math.isclose(wide, high, rel_tol=0.02):
                sides.append((wide, high))
    return max(sides, default=None)


def _laid_together(document: PdfFile, sheet: SvgFile, printing: Printing) -> Iterator[Finding]:
    """Every page back on the sheet: nothing on a page that is not there, nothing there that is on no page.

    A sheet may lie sideways on its page.
    """
    pens = {PENS[role].width for role in _PATTERN}
    shapes = [stroke.shape for stroke in sheet.strokes if stroke.pen in pens and not stroke.dashed]
    if not shapes:
        return
    lines = shapely.multilinestrings([line_of(shape) for shape in shapes])
    corners = [corner for shape in shapes for corner in _corners(shape)]
    pages = [_PageLines.of(number, page, pens, printing) for number, page in _pages_of(document, sheet)]
    label = f"{document.name}, {sheet.name}"
    tries = [_laid(label, pages, lines, corners)]
    if tries[0] and len(pages) == 1:
        tries.append(_laid(label, [pages[0].turned_back()], lines, corners))
    yield from min(tries, key=len)


def _laid(label: str, pages: Sequence[_PageLines], lines: BaseGeometry, corners: Sequence[P2]) -> list[Finding]:
    laid: list[BaseGeometry] = []
    grid = _Grid()
    # Pages that show many corners are laid first: they tell where the rows and columns of the others lie.
    for page in sorted((page for page in pages if page.strokes), key=lambda page: -len(page.ends)):
        shifts = grid.shifts(page) or _shifts(page.ends, corners)
        moved, off, shift = _best(page, shifts, lines)
        if off > _ON_THE_LINE:
            return [Finding(Topic.PRINT, label, f"page {page.number}: a line {off:.3f} mm from the sheet's")]
        grid.learn(page, shift)
        laid += moved
    missed = farthest([lines], shapely.union_all(laid)) if laid else math.inf
    if missed > _ON_THE_LINE:
        words = "no page shows it" if math.isinf(missed) else f"lines {missed:.2f} mm long or more are on no page"
        return [Finding(Topic.PRINT, label, words)]
    return []


@dataclass(frozen=True)
class _PageLines:
    """The pattern's lines on one page, the printer's stretch taken out, and the page's place in the grid of pages."""

    number: int
    row: int
    column: int
    strokes: tuple[tuple[P2, ...], ...]
    ends: tuple[P2, ...]

    @staticmethod
    def of(number: int, page: PdfPage, pens: set[float], printing: Printing) -> _PageLines:
        strokes = [_back(stroke, printing) for stroke in page.strokes if stroke.pen in pens and not stroke.dashed]
        place = _PLACE.search(" ".join(page.text))
        row, column = (int(place.group(1)), int(place.group(2))) if place else (number, number)
        return _PageLines(
            number,
            row,
            column,
            tuple(points for points, _ in strokes),
            tuple(end for _, ends in strokes for end in ends),
        )

    def turned_back(self) -> _PageLines:
        """The page turned by a quarter, clockwise: how a sheet lies that was printed sideways."""
        strokes = tuple(tuple(P2(p.y, -p.x) for p in points) for points in self.strokes)
        return replace(self, strokes=strokes, ends=tuple(P2(p.y, -p.x) for p in self.ends))

    def moved(self, shift: P2) -> list[BaseGeometry]:
        return [shapely.linestrings([(p.x + shift.x, p.y + shift.y) for p in points]) for points in self.strokes]


class _Grid:
    """What is known of where rows and columns of pages lie on the sheet."""

    def __init__(self) -> None:
        self._x: dict[int, float] = {}
        self._y: dict[int, float] = {}

    def learn(self, page: _PageLines, shift: P2) -> None:
        self._x.setdefault(page.column, shift.x)
        self._y.setdefault(page.row, shift.y)

    def shifts(self, page: _PageLines) -> list[P2]:
        """The page's move, where its row and its column are known."""
        if page.column in self._x and page.row in self._y:
            return [P2(self._x[page.column], self._y[page.row])]
        return []


def _best(page: _PageLines, shifts: Sequence[P2], lines: BaseGeometry) -> tuple[list[BaseGeometry], float, P2]:
    """The first move that lays a page's lines on the sheet's, else the one that comes nearest, and how near."""
    found: tuple[list[BaseGeometry], float, P2] = ([], math.inf, P2(0.0, 0.0))
    for shift in shifts:
        moved = page.moved(shift)
        off = farthest(moved, lines)
        if off < found[1]:
            found = moved, off, shift
        if off <= _ON_THE_LINE:
            break
    return found


def _back(stroke: PdfStroke, printing: Printing) -> tuple[tuple[P2, ...], tuple[P2, ...]]:
    """A stroke's points and ends with the printer's stretch taken out."""

    def undone(points: Sequence[P2]) -> tuple[P2, ...]:
        return tuple(P2(p.x / printing.x_factor, p.y / printing.y_factor) for p in points)

    points = undone(stroke.points)
    return (points + points[:1] if stroke.closed else points), undone(stroke.ends)


def _shifts(ends: Sequence[P2], corners: Sequence[P2]) -> list[P2]:
    """Moves that lay ends of a page's lines on corners of the sheet, those that lay most of them first.

    A page that cuts its lines off shows few corners, so several moves may look alike.
    """
    if not ends:
        return []
    a, b = np.array(ends), np.array(corners)
    moves = (b[None, :, :] - a[:, None, :]).reshape(-1, 2)
    cells, counts = np.unique(np.round(moves / _VOTE), axis=0, return_counts=True)
    found = []
    for cell in cells[np.argsort(-counts, kind="stable")[:_TRIES]]:
        near = moves[np.all(np.abs(moves - cell * _VOTE) < 1.5 * _VOTE, axis=1)]
        x, y = np.median(near, axis=0)
        found.append(P2(float(x), float(y)))
    return found


def _corners(shape: Path | Circle) -> list[P2]:
    """Where lines and curves of a shape end; a circle begins at its rightmost point."""
    if isinstance(shape, Circle):
        return [P2(shape.center.x + shape.radius, shape.center.y), P2(shape.center.x - shape.radius, shape.center.y)]
    return [vertex.point for vertex in shape.vertices]
