"""Documents for the printer: a cover that checks the print, a map of the pages, then the pattern.

The cover comes first and carries the check square, because a print at the wrong scale is best found before the
pattern is taped together. All pages of a document have one size and one orientation.
"""

from __future__ import annotations

from collections.abc import Sequence

from generator.base.annotation import Anchor
from generator.base.contours2d import Circle
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box, Transform, box_around
from generator.base.shapes2d import rectangle
from generator.base.units import format_mm
from generator.drawing.bars import CHECK_LENGTH, PrinterScale, check_square, inch_bar
from generator.drawing.font import ascent, largest_height, text_width, wrapped
from generator.drawing.page import Page, PageLayer
from generator.drawing.paper import PageFormat
from generator.drawing.scene import Scene
from generator.drawing.sheet import Fill, Item, Label, Level, Stroke
from generator.drawing.style import PENS, Pen, Role
from generator.drawing.tiling import (
    ACTUAL_SIZE,
    CUT_RULE,
    LEFT_STRIP,
    LOWER_STRIP,
    BothPlans,
    TilePlan,
    best_plans,
    is_cut,
    page_strip,
    tile_pages,
)
from generator.job.command_line import CALIBRATE_PRINTER

#: Two pages are laid together without a map; three and more want one.
MAPPED = 3
#: Capital height of titles and of the rule to print at actual size, mm.
_TITLE = 7.0
#: Capital height of the job's name and of the heading over the contents, mm.
_WORDS = 5.0
#: Capital height of instructions, and of lists that have the room, mm.
_TEXT = 3.5
#: Capital height of lists in less room and of the numbers on a page map, mm.
_SMALL = 2.5
#: Line pitch over capital height.
_PITCH = 1.8
#: Roles a page map leaves out: at its small scale they would only be a blur.
_TOO_FINE = frozenset({Role.DIMENSION, Role.NOTE, Role.CENTRE, Role.HATCH, Role.ENGRAVE, Role.TITLE})


def tiled_document(plans: BothPlans) -> list[Page]:
    """One sheet for the printer: cover with check square and page map, then its pages at full scale."""
    (plan,) = best_plans([plans])
    count = len(plan.tiles) + 1
    return [_cover(plan, count), *tile_pages(plan, 2, count)]


def booklet(sheets: Sequence[BothPlans], title: str, not_in_here: Sequence[str] = ()) -> list[Page]:
    """All sheets on one paper size: a cover with check square, contents and what is `not_in_here`, then the pages.

    A sheet of MAPPED pages and more is preceded by its own page map. Raises LayoutError without sheets or for sheets of
    different jobs.
    """
    jobs = {plan.sheet.job for plan, _ in sheets}
    if len(jobs) != 1:
        raise LayoutError(f"a booklet holds the sheets of one job; found {len(jobs)}")
    plans = best_plans(sheets)
    lengths = [len(plan.tiles) + _is_mapped(plan) for plan in plans]
    firsts = [2 + sum(lengths[:i]) for i in range(len(plans))]
    count = 1 + sum(lengths)
    pages = [_contents(plans, firsts, title, count, not_in_here)]
    for plan, first in zip(plans, firsts, strict=True):
        if _is_mapped(plan):
            pages += [_map_page(plan, first, count), *tile_pages(plan, first + 1, count)]
        else:
            pages += tile_pages(plan, first, count)
    return pages


def _is_mapped(plan: TilePlan) -> bool:
    return len(plan.tiles) >= MAPPED


class _Column:
    """Text set downwards from the top left corner of a box."""

    def __init__(self, x: float, top: float, width: float) -> None:
        self.items: list[Item] = []
        self.x, self.top, self.width = x, top, width

    def say(self, text: str, height: float, gap: float = 0.0) -> None:
        for text_line in wrapped(text, height, self.width):
            base = self.top - ascent(height)
            fitting = min(height, largest_height(text_line, self.width, height))
            self.items.append(Label(text_line, P2(self.x, base), fitting, Role.MARK))
            self.top -= _PITCH * height
        self.top -= gap


def _page(page: PageFormat, correction: PrinterScale, title: str, label: str, cut: bool, items: list[Item]) -> Page:
    strip = page_strip(page, correction, title, label, cut)
    return Page(page.width, page.height, (PageLayer((*items, *strip)),), label)


def _open_box(page: PageFormat) -> Box:
    """What the strips at the left and below leave free, page mm."""
    ink = page.ink
    return Box(ink.x0 + LEFT_STRIP + 2.0, ink.y0 + LOWER_STRIP, ink.x1, ink.y1)


def _cover(plan: TilePlan, count: int) -> Page:
    """Title, how to print, check square and inch bar, then the map of the pages where there are several."""
    sheet, area = plan.sheet, _open_box(plan.page)
    joined = len(plan.tiles) > 1
    items, rest = _check_part(area, sheet.title, sheet.job, plan.correction, plan.page, is_cut(sheet), joined)
    if _is_mapped(plan):
        items += _page_map(plan, rest, 2)
    label = f"{sheet.job} · cover · page 1 of {count} · {plan.page.paper.value}"
    return _page(plan.page, plan.correction, sheet.title, label, is_cut(sheet), items)


def _map_page(plan: TilePlan, number: int, count: int) -> Page:
    """The layout of one sheet of a booklet."""
    sheet, area = plan.sheet, _open_box(plan.page)
    column = _Column(area.x0, area.y1, area.width)
    column.say(sheet.title, _TITLE, 2.0)
    column.say(_how_to_join(), _TEXT, 4.0)
    rest = Box(area.x0, area.y0, area.x1, column.top)
    label = f"{sheet.job} · page map · page {number} of {count} · {plan.page.paper.value}"
    items = [*column.items, *_page_map(plan, rest, number + 1)]
    return _page(plan.page, plan.correction, sheet.title, label, is_cut(sheet), items)


def _contents(
    plans: Sequence[TilePlan], firsts: Sequence[int], title: str, count: int, not_in_here: Sequence[str]
) -> Page:
    """The booklet's cover: check square, which sheet stands on which pages, and where to find what stands on none."""
    first = plans[0]
    page, correction, job = first.page, first.correction, first.sheet.job
    cut = any(is_cut(plan.sheet) for plan in plans)
    joined = any(len(plan.tiles) > 1 for plan in plans)
    items, rest = _check_part(_open_box(page), title, job, correction, page, cut, joined)
    column = _Column(rest.x0, rest.y1, rest.width)
    column.say("What is in here", _WORDS, 1.0)
    entries = [*(_entry(plan, at) for plan, at in zip(plans, firsts, strict=True)), *not_in_here]
    height = _list_height(entries, rest.width, column.top - rest.y0)
    if not height:
        raise LayoutError(f"{title}: {len(plans)} sheets do not fit into the list on the cover")
    for entry in entries:
        column.say(entry, height)
    label = f"{job} · cover · page 1 of {count} · {page.paper.value}"
    return _page(page, correction, title, label, cut, [*items, *column.items])


def _entry(plan: TilePlan, first_page: int) -> str:
    last = first_page + len(plan.tiles) - (not _is_mapped(plan))
    pages = f"page {first_page}" if last == first_page else f"pages {first_page} to {last}"
    return f"{pages}: {plan.sheet.title}"


def _list_height(entries: Sequence[str], width: float, room: float) -> float:
    """The largest letters in which all entries fit into `width` × `room` mm; 0 when none do."""
    for height in (_TEXT, _SMALL, 1.8):
        lines = sum(len(wrapped(entry, height, width)) for entry in entries)
        if lines * _PITCH * height <= room:
            return height
    return 0.0


def _check_part(
    area: Box, title: str, job: str, correction: PrinterScale, page: PageFormat, cut: bool, joined: bool
) -> tuple[list[Item], Box]:
    """Title, print rule, check square, inch bar and instructions at the top; returns them and the box left over."""
    head = _Column(area.x0, area.y1, area.width)
    head.say(title, _TITLE, 0.5)
    head.say(f"Job {job}", _WORDS, 1.5)
    head.say(f"{ACTUAL_SIZE[0].upper()}{ACTUAL_SIZE[1:]}", _TITLE, 2.0)
    corner = P2(area.x0, head.top - CHECK_LENGTH * correction.y)
    square, bar = check_square(corner, correction), inch_bar(corner.minus(P2(0.0, 8.0)), correction)
    # The inch bar is the longer of the two: its own label reaches furthest to the right.
    right = max(item.box().x1 for item in [*square, *bar])
    beside = _Column(right + 6.0, head.top, area.x1 - right - 6.0)
    for text in _instructions(correction, page, cut, joined):
        beside.say(text, _TEXT, 1.2)
    # What comes next stands under the square on an upright page, under the instructions on a turned one.
    if page.turned:
        rest = Box(beside.x, area.y0, area.x1, beside.top - 2.0)
    else:
        rest = Box(area.x0, area.y0, area.x1, min(corner.y - 12.0, beside.top) - 2.0)
    return [*head.items, *square, *bar, *beside.items], rest


def _instructions(correction: PrinterScale, page: PageFormat, cut: bool, joined: bool) -> list[str]:
    out = [
        f"Paper: {page.paper.value}. Switch off every kind of fitting or scaling.",
        "Print this page first. Lay a steel rule on the square: 100 mm on both sides. Then print the rest.",
        "If it is not 100 mm, do not use the print. Set the printer, or give the readings across and up where you made "
        f"the kit, and make it again: {CALIBRATE_PRINTER}",
    ]
    if (correction.x, correction.y) != (1.0, 1.0):
        out.append(f"Printer correction in use: x {_factor(correction.x)}, y {_factor(correction.y)}.")
    if cut:
        out.append(f"{CUT_RULE[0].upper()}{CUT_RULE[1:]}.")
    if joined:
        out.append(_how_to_join())
    return out


def _how_to_join() -> str:
    return "Trim one of two neighbouring pages on the dashed join line, lay cross on cross, tape."


def _factor(value: float) -> str:
    return format_mm(value, 4).rstrip("0").rstrip(".")


def _page_map(plan: TilePlan, area: Box, first_page: int) -> list[Item]:
    """The whole layout reduced into `area`: every page's own part as a rectangle with its page number and place."""
    whole = box_around(tile.core for tile in plan.tiles)
    scale = min(area.width / whole.width, area.height / whole.height)
    if scale <= 0.0:
        raise LayoutError(f"sheet {plan.sheet.name}: no room for its page map")
    move = Transform.move(-whole.x0, -whole.y1).then(Transform.scale(scale)).then(Transform.move(area.x0, area.y1))
    items: list[Item] = [
        Stroke(item.path.transformed(move), Role.EDGE, Pen(PENS[Role.EDGE].width, grey=0.35))
        for item in plan.sheet.every_item()
        if isinstance(item, Stroke) and item.role not in _TOO_FINE
    ]
    frames: list[Item] = []
    boxes = [_mapped(tile.core, move) for tile in plan.tiles]
    frames += [Stroke(rectangle(*box), Role.MARK, PENS[Role.MARK]) for box in boxes]
    scene = Scene([*items, *frames])
    for number, (tile, box) in enumerate(zip(plan.tiles, boxes, strict=True), start=first_page):
        frames += _map_label(number, plan.place_of(tile), box, scene)
    return [*items, *frames]


def _map_label(number: int, place: str, box: Box, scene: Scene) -> list[Item]:
    """Page number and place in a clear spot of the page's rectangle, else on a white ground in its corner."""
    words = f"page {number}: {place}"
    for text in (words, f"page {number}", str(number)):
        for height in (_TEXT, _SMALL):
            width = text_width(text, height)
            for i in range(8):
                for at in (
                    P2(box.x0 + 1.5, box.y1 - 1.5 - ascent(height) - i * 4.0),
                    P2(box.x1 - 1.5 - width, box.y1 - 1.5 - ascent(height) - i * 4.0),
                    P2(box.center.x - width / 2.0, box.y1 - 1.5 - ascent(height) - i * 4.0),
                ):
                    label = Label(text, at, height, Role.MARK)
                    if box.contains(P2(label.box().x0, label.box().y0)) and scene.text_fits(label.corners(0.5)):
                        scene.add([label])
                        return [label]
    disc = Circle(box.center, 3.5)
    label = Label(str(number), box.center, _SMALL, Role.MARK, anchor=Anchor.MIDDLE, level=Level.MIDDLE)
    return [Fill(disc, Role.MARK, grey=1.0), Stroke(disc, Role.MARK, PENS[Role.MARK]), label]


def _mapped(box: Box, move: Transform) -> Box:
    low, high = move.apply(P2(box.x0, box.y0)), move.apply(P2(box.x1, box.y1))
    return Box(*low, *high)
