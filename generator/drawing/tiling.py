"""A full-scale sheet cut into pages that are laid together by crosses.

Neighbouring pages share OVERLAP mm. Down the middle of what they share runs a dashed join line with numbered crosses
on it; line and crosses are drawn on both pages at one place of the pattern, so two pages laid cross on cross agree.
Join lines and crosses are part of the pattern before it is cut, hence tiles laid together are the untiled sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from generator.base.annotation import Anchor
from generator.base.points2d import P2, Box
from generator.base.shapes2d import polyline
from generator.drawing.bars import PrinterScale, level_bar, upright_bar
from generator.drawing.clip import clipped
from generator.drawing.font import largest_height
from generator.drawing.joins import Axis, page_break, spans, steps
from generator.drawing.page import Page, PageLayer, Placing
from generator.drawing.paper import PageFormat, both_ways
from generator.drawing.scene import Scene, square
from generator.drawing.sheet import Item, Label, Level, Sheet, Stroke, turned
from generator.drawing.style import PENS, Role
from generator.job.model.job import Paper

#: What two neighbouring pages share, mm on the page.
OVERLAP = 12.0

#: Half the width of a cross, mm; a whole cross fits into what two pages share.
CROSS_ARM = 4.0
#: Capital height of a cross's number, mm.
_CROSS_TEXT = 2.5

#: Strip on the page's left kept free of pattern for the upright bar, mm.
LEFT_STRIP = 6.0
#: Strip at the page's foot kept free of pattern for page label and level bar, mm.
LOWER_STRIP = 15.5

#: The rule for printing, on every page.
ACTUAL_SIZE = "print at 100 %, actual size"
#: The rule for cutting, on pages with lines to cut.
CUT_RULE = "cut on the middle of the line"


@dataclass(frozen=True)
class Tile:
    """One page's place in the grid; rows count from the top, columns from the left, both from 1."""

    row: int
    column: int
    window: Box
    core: Box


@dataclass(frozen=True)
class TilePlan:
    """How a sheet is cut: all grid places with ink on them, in reading order. Boxes are in sheet millimetres.

    `window` of a tile is what its page shows; `core` is the part up to the join lines, which no other page owns.
    `torn` tells how much the joins run through (`joins`).
    """

    sheet: Sheet
    page: PageFormat
    correction: PrinterScale
    rows: int
    columns: int
    tiles: tuple[Tile, ...]
    torn: float = 0.0

    @cached_property
    def patterns(self) -> tuple[tuple[Item, ...], ...]:
        """What each tile's page shows of the sheet and its join marks."""
        pattern = [*self.sheet.every_item(), *join_marks(self)]
        return tuple(tuple(clipped(pattern, tile.window)) for tile in self.tiles)

    def tile_at(self, row: int, column: int) -> Tile | None:
        """The tile at that place, or None where the page would be empty."""
        return next((tile for tile in self.tiles if (tile.row, tile.column) == (row, column)), None)

    def place_of(self, tile: Tile) -> str:
        """ "row 2 of 3, column 1 of 4"."""
        return f"row {tile.row} of {self.rows}, column {tile.column} of {self.columns}"


#: A sheet cut into upright pages and into turned ones.
BothPlans = tuple[TilePlan, TilePlan]


def page_window(page: PageFormat) -> Box:
    """The part of the page that carries pattern, page mm."""
    ink = page.ink
    return Box(ink.x0 + LEFT_STRIP, ink.y0 + LOWER_STRIP, ink.x1, ink.y1)


def plan_tiles(sheet: Sheet, page: PageFormat, correction: PrinterScale | None = None) -> TilePlan:
    """Cuts `sheet` into pages of that format, from its upper left; pages with nothing of their own are left out.

    Joins keep away from letters and edges where the pages have room to spare (`joins`).
    """
    correction = correction or PrinterScale()
    window = page_window(page)
    ink = sheet.ink_box()
    items = list(sheet.every_item())
    columns_ink, rows_ink = spans(items, Axis.ACROSS), spans(items, Axis.DOWN)
    across = steps(ink.x0, ink.x1, window.width / correction.x, OVERLAP / correction.x, columns_ink)
    downward = steps(-ink.y1, -ink.y0, window.height / correction.y, OVERLAP / correction.y, rows_ink)
    torn = page_break(across, columns_ink) + page_break(downward, rows_ink)
    tiles: list[Tile] = []
    for row, y in enumerate(downward, start=1):
        for column, x in enumerate(across, start=1):
            window, core = Box(x.low, -y.high, x.high, -y.low), Box(x.own_low, -y.own_high, x.own_high, -y.own_low)
            if any(True for _ in clipped(items, core)):
                tiles.append(Tile(row, column, window, core))
    return TilePlan(sheet, page, correction, len(downward), len(across), tuple(tiles), torn)


def both_plans(sheet: Sheet, paper: Paper, correction: PrinterScale | None = None) -> BothPlans:
    """`sheet` cut into upright pages and into turned ones; it lies sideways on a page that it fits only so."""
    laid = correction or PrinterScale()
    upright, sideways = (plan_tiles(_laid(sheet, page, laid), page, correction) for page in both_ways(paper))
    return upright, sideways


def best_plans(plans: Sequence[BothPlans]) -> tuple[TilePlan, ...]:
    """The sheets' plans in one orientation: that which needs the fewest pages for all, then that which tears less.

    Upright where both are equal.
    """

    def burden(plans: tuple[TilePlan, ...]) -> tuple[int, float]:
        return sum(len(plan.tiles) for plan in plans), math.fsum(plan.torn for plan in plans)

    upright, sideways = zip(*plans, strict=True)
    return min(upright, sideways, key=burden)


def _laid(sheet: Sheet, page: PageFormat, correction: PrinterScale) -> Sheet:
    """`sheet`, turned by a quarter where only so it fits one page."""
    ink, window = sheet.ink_box(), page_window(page)
    wide, high = ink.width * correction.x, ink.height * correction.y
    upright = wide <= window.width and high <= window.height
    aslant = ink.height * correction.x <= window.width and ink.width * correction.y <= window.height
    return turned(sheet) if aslant and not upright else sheet


def tile_pages(plan: TilePlan, first_page: int, page_count: int) -> list[Page]:
    """One page for each tile of `plan`, numbered from `first_page` in a document of `page_count` pages."""
    pages: list[Page] = []
    for number, (tile, seen) in enumerate(zip(plan.tiles, plan.patterns, strict=True), start=first_page):
        window = page_window(plan.page)
        f = plan.correction
        placing = Placing(f.x, f.y, window.x0 - f.x * tile.window.x0, window.y1 - f.y * tile.window.y1)
        low, high = P2(tile.window.x0, tile.window.y0), P2(tile.window.x1, tile.window.y1)
        shown = Box(*placing.apply(low), *placing.apply(high))
        label = f"{plan.sheet.job} · {plan.place_of(tile)} · page {number} of {page_count} · {plan.page.paper.value}"
        strip = page_strip(plan.page, plan.correction, plan.sheet.title, label, is_cut(plan.sheet))
        pages.append(
            Page(plan.page.width, plan.page.height, (PageLayer(seen, placing, shown), PageLayer(tuple(strip))), label)
        )
    return pages


def is_cut(sheet: Sheet) -> bool:
    """True when the sheet is a template with edges to cut."""
    return any(item.role is Role.CUT for item in sheet.items)


def page_strip(page: PageFormat, correction: PrinterScale, title: str, label: str, cut: bool) -> list[Item]:
    """What every page carries outside its window: title, page label, how to print, two check bars at right angles."""
    ink = page.ink
    words = ACTUAL_SIZE if not cut else f"{ACTUAL_SIZE} · {CUT_RULE}"
    bar = level_bar(P2(ink.x0, ink.y0 + 1.5), correction)
    lines = [
        Label(text, P2(ink.x0, ink.y0 + up), largest_height(text, ink.width, 2.5), Role.MARK)
        for text, up in ((title, 11.6), (label, 7.9), (words, 4.2))
    ]
    return [*bar, *lines, *upright_bar(P2(ink.x0 + 1.5, ink.y0 + LOWER_STRIP), correction)]


def join_marks(plan: TilePlan) -> list[Item]:
    """Join lines and numbered crosses between neighbouring pages, in sheet coordinates.

    A join line leaves out the letters it would run over, and a cross moves along it until it stands clear of them.
    """
    scene = Scene(plan.sheet.every_item())
    marks: list[Item] = []
    crosses: set[P2] = set()
    for tile in plan.tiles:
        core, window, f = tile.core, tile.window, plan.correction
        if plan.tile_at(tile.row, tile.column + 1):
            marks += _join_line(P2(core.x1, core.y0), P2(core.x1, core.y1), plan.sheet)
            stations = _stations(window.y0, window.y1, f.y)
            crosses |= {_clear_station(P2(core.x1, y), P2(0.0, 1.0), window, scene) for y in stations}
        if plan.tile_at(tile.row + 1, tile.column):
            marks += _join_line(P2(core.x0, core.y0), P2(core.x1, core.y0), plan.sheet)
            stations = _stations(window.x0, window.x1, f.x)
            crosses |= {_clear_station(P2(x, core.y0), P2(1.0, 0.0), window, scene) for x in stations}
    scene.add(marks)
    placed = sorted(crosses, key=lambda p: (-p.y, p.x))
    for at in placed:
        scene.add(_cross(at))
    for number, at in enumerate(placed, start=1):
        marks += _cross(at)
        name = _cross_label(str(number), at, scene)
        if name:
            scene.add([name])
            marks.append(name)
    return marks


def _stations(low: float, high: float, correction: float) -> tuple[float, float, float]:
    """Where along a window's side (low to high) crosses stand: near both ends and half-way.

    Half an overlap from the ends is on the crossing join line where there is one, so four pages share that cross.
    """
    inset = OVERLAP / 2.0 / correction
    return low + inset, (low + high) / 2.0, high - inset


def _clear_station(at: P2, along: P2, window: Box, scene: Scene) -> P2:
    """`at`, or the nearest place along the join where a cross runs over no letters; rounded, so that joins share it."""
    room = window.grown(-CROSS_ARM)
    for step in range(60):
        for sign in (1.0, -1.0):
            tried = at.plus(along.times(sign * step))
            if step and not (room.contains(P2(tried.x, room.center.y)) and room.contains(P2(room.center.x, tried.y))):
                continue
            if not scene.texts_in(square(tried, CROSS_ARM + 0.5)):
                return P2(round(tried.x, 6), round(tried.y, 6))
    return P2(round(at.x, 6), round(at.y, 6))


def _join_line(a: P2, b: P2, sheet: Sheet) -> list[Item]:
    """The dashed line from `a` to `b` (upright or level), left open where letters stand."""
    upright = a.x == b.x
    gaps: list[tuple[float, float]] = []
    for label in sheet.labels():
        box = label.box().grown(0.8)
        if upright and box.x0 < a.x < box.x1:
            gaps.append((box.y0, box.y1))
        if not upright and box.y0 < a.y < box.y1:
            gaps.append((box.x0, box.x1))
    start, end = (a.y, b.y) if upright else (a.x, b.x)
    out: list[Item] = []
    for low, high in _left_open(start, end, gaps):
        ends = (P2(a.x, low), P2(a.x, high)) if upright else (P2(low, a.y), P2(high, a.y))
        out.append(Stroke(polyline(ends), Role.JOIN, PENS[Role.JOIN]))
    return out


def _left_open(start: float, end: float, gaps: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The parts of start … end outside all gaps, none shorter than a millimetre."""
    parts: list[tuple[float, float]] = []
    for low, high in sorted(gaps):
        if low - start > 1.0:
            parts.append((start, min(low, end)))
        start = max(start, high)
    return [(low, high) for low, high in [*parts, (start, end)] if high - low > 1.0]


def _cross(at: P2) -> list[Item]:
    arms = (P2(CROSS_ARM, 0.0), P2(0.0, CROSS_ARM))
    return [Stroke(polyline([at.minus(arm), at.plus(arm)]), Role.MARK, PENS[Role.MARK]) for arm in arms]


def _cross_label(text: str, at: P2, scene: Scene) -> Label | None:
    """The cross's number in the first clear quadrant; None where the pattern leaves no room (the cross stays)."""
    for anchor, dx in ((Anchor.LEFT, 1.2), (Anchor.RIGHT, -1.2)):
        for level, dy in ((Level.BASE, 1.2), (Level.TOP, -1.2)):
            label = Label(text, at.plus(P2(dx, dy)), _CROSS_TEXT, Role.MARK, anchor=anchor, level=level)
            if scene.text_fits(label.corners(0.2)):
                return label
    return None
