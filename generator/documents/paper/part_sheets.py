"""The jig's parts at full scale: a part larger than a page on its own pages, all others together, stock by stock."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from generator.base.errors import LayoutError
from generator.base.store import NO_STORE, Store
from generator.cutting.making import Maker, glued_by_hand, maker, template_parts
from generator.documents.paper.part_blocks import shown_part, shown_ways
from generator.documents.paper.rooms import Room, Rooms, fits
from generator.documents.paper.turning import turned_part
from generator.documents.paper.words import CalloutFormat, caliper_format, sheet_words, words
from generator.drawing.compose import HALF_WIDTH, Block, captioned, compose_sheet
from generator.drawing.sheet import Sheet
from generator.jig.lettering import carries_figures
from generator.jig.part import Jig, Part
from generator.jig.relief import CUTTER, relief_note
from generator.jig.rests import ANGLE_REST
from generator.jig.template_plate import TEMPLATE_PLATE
from generator.job.model.job import PartsJob, UnitsChoice
from generator.joint.solution import Solution
from generator.joint.stations import fence_offset

#: Height that dimensions and texts take of a page besides a large part, mm.
_TEXTS = 90.0
#: An edge that lies farther than this off its fence line is seen there, and would be put right, mm.
_SEEN = 0.2


def part_sheets(solution: Solution, jig: Jig, rooms: Rooms, store: Store = NO_STORE) -> tuple[Sheet, ...]:
    """A template of every part of `jig` that paper helps to make, each part on exactly one sheet.

    What the `store` keeps is not laid out again.
    """
    job, guides = solution.job.for_makers, _guides(solution, jig)
    parts = template_parts(jig.parts, job)
    large = [part for part in parts if _is_large(part, rooms)]
    small = tuple(part for part in parts if part not in large)
    templates = (store.kept(_template, part, job, guides, rooms) for part in large)
    return (*templates, *store.kept(_shared, small, job, rooms.upright, store))


@dataclass(frozen=True)
class _Guides:
    """What a template plate is made for: widths of its opening and tongue (0 without), outside of the bushing, bit, mm.

    `opening` is the cut that the opening guides, empty without one. `fence` is how far from the board's middle a fence
    line is; `top_off` and `neck_off` how far off it, on the plate's underside, the edge of the body's top and that of
    the gluing face come to lie, away from the board. `layered`: hands glue the plate up of two layers.
    """

    opening: str
    opening_width: float
    tongue_width: float
    bushing: float
    bit: float
    fence: float
    top_off: float
    neck_off: float
    layered: bool


def _guides(solution: Solution, jig: Jig) -> _Guides:
    routing, body = solution.routing, solution.joint.body_outline
    return _Guides(
        "" if body is None else body.name,
        routing.opening_width,
        routing.tongue_width,
        routing.bushing_od,
        routing.bit_diameter,
        fence_offset(solution.job, solution.cradle),
        0.0 if body is None else solution.cradle.body_join_x,
        solution.cradle.neck_plane_x(0.0),
        glued_by_hand(jig.part(TEMPLATE_PLATE.name), solution),
    )


def _fences_bare(part: Part) -> Part:
    """The part, its fences' dimensions without words: a note has them, and pages join where they would stand."""
    bare = (replace(one, note="") if one.name.endswith("_fence") else one for one in part.dimensions)
    return replace(part, dimensions=tuple(bare))


def _off_lines(guides: _Guides, spell: CalloutFormat) -> list[tuple[str, str, bool]]:
    """What lies off its fence line far enough to be seen: its name, how far, and whether away from the board."""
    edges = ("top", guides.top_off), ("gluing face", guides.neck_off)
    return [(name, spell.size(off), off > 0.0) for name, off in edges if abs(off) > _SEEN]


def _is_large(part: Part, rooms: Rooms) -> bool:
    """True for a part that no page shows whole with its dimensions and texts, any way round."""
    sides = part.box.width, part.box.height
    return not any(rooms.upright.holds(wide, high + _TEXTS) for wide, high in (sides, sides[::-1]))


def _template(part: Part, job: PartsJob, guides: _Guides, rooms: Rooms) -> Sheet:
    """The sheet of one large part, its length down the page, so that one join cuts it across."""
    spell = caliper_format(job)
    stock = job.stocks[part.stock]
    said = sheet_words(
        "part",
        title=part.title,
        purpose=part.purpose,
        guides=part.traits.guides_cutter,
        note=part.traits.bench_note,
        opened=bool(part.openings),
        quantity=part.quantity,
        material=stock.material,
        thickness=spell.length(part.thickness),
        machined=maker(part, job) is Maker.SHOP,
        layered=part.traits.guides_cutter and guides.layered,
        opening=guides.opening,
        opening_width=spell.length(guides.opening_width),
        tongue_width=spell.length(guides.tongue_width),
        bushing=spell.length(guides.bushing),
        bit=spell.length(guides.bit),
        fence=spell.length(guides.fence),
        off_lines=_off_lines(guides, spell),
        marked_mm=_marked_mm([part], job),
    )
    # Sizes and notes stand on the first page, over the shorter half, so that the second holds the longer one.
    *notes, caution = said.notes
    flat, upright = sorted((part, turned_part(part)), key=lambda lies: -lies.box.width)
    # A name that is engraved on the part is on its template already.
    named = any(job.name.upper() in text.text for text in part.engraved_texts)
    sheets: list[Sheet] = []
    for lies, width in ((upright, rooms.upright.width), (flat, rooms.sideways.width)):
        if sheets and lies.box.width > width:
            continue
        shown = shown_part(
            _fences_bare(lies), spell, max(width, lies.box.width), "" if named else f"{part.title} · {job.name}"
        )
        texts = said.title, said.instruction, job.name, [shown.block], [caution]
        sheets.append(compose_sheet(part.name, *texts, spell.notation, width, above=[*shown.said, *notes]))
        if fits(rooms, sheets[-1]):
            return sheets[-1]
    return sheets[0]


def _marked_mm(parts: Sequence[Part], job: PartsJob) -> bool:
    """True where figures engraved on the parts, always millimetres, stand among numbers in inches."""
    return job.output.units is UnitsChoice.INCH and any(carries_figures(part, job.name) for part in parts)


# --- several parts on a page -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _View:
    """One outline on a shared page, and the parts that are made by it."""

    block: Block
    parts: tuple[Part, ...]


def _shared(parts: tuple[Part, ...], job: PartsJob, room: Room, store: Store) -> tuple[Sheet, ...]:
    """Pages of several parts each, stock by stock unless another order spares a page: sheets parts_1, parts_2 ..."""
    stocks, spell = list(dict.fromkeys(part.stock for part in parts)), caliper_format(job)
    views = [
        _View(store.kept(_captioned, alike, job.stocks[alike[0].stock].material, spell, room.width), tuple(alike))
        for alike in _alike(parts)
    ]
    orders: tuple[Callable[[_View], tuple[float, ...]], ...] = (
        lambda view: (stocks.index(view.parts[0].stock), -view.block.box.height),
        lambda view: (view.block.box.width <= HALF_WIDTH, -view.block.box.height),
        lambda view: (view.block.box.height,),
    )
    pages = min((_pages(sorted(views, key=order), job, room) for order in orders), key=len)
    return tuple(_page(page, number, len(pages), job, room.width) for number, page in enumerate(pages, start=1))


def _pages(views: Sequence[_View], job: PartsJob, room: Room) -> list[list[_View]]:
    """`views` on as few pages as filling one after the other takes."""
    pages: list[list[_View]] = []
    left = list(views)
    while left:
        page, left = _filled(left, job, room)
        pages.append(page)
    return pages


def _filled(views: Sequence[_View], job: PartsJob, room: Room) -> tuple[list[_View], list[_View]]:
    """The first of `views` and every later one that still finds room on its page; and those that do not."""
    taken: list[_View] = [views[0]]
    left: list[_View] = []
    for view in views[1:]:
        ink = _page([*taken, view], 1, len(views), job, room.width).ink_box()
        (taken if room.holds(ink.width, ink.height) else left).append(view)
    return taken, left


def _page(views: Sequence[_View], number: int, count: int, job: PartsJob, width: float) -> Sheet:
    parts = [part for view in views for part in view.parts]
    said = sheet_words(
        "parts",
        number=number if count > 1 else 0,
        count=count,
        acrylic=any("acrylic" in job.stocks[part.stock].material for part in parts),
        marked_mm=_marked_mm(parts, job),
        angle_rest=any(part.name == ANGLE_REST.name for part in parts),
        cutter=caliper_format(job).length(CUTTER) if any(_relieved(part, job) for part in parts) else "",
    )
    blocks, notation = [view.block for view in views], caliper_format(job).notation
    return compose_sheet(f"parts_{number}", said.title, said.instruction, job.name, blocks, said.notes, notation, width)


def _relieved(part: Part, job: PartsJob) -> bool:
    return any(note in part.requirements for note in relief_note(job.stocks[part.stock]))


def _alike(parts: Sequence[Part]) -> list[list[Part]]:
    """Parts that differ in thickness or lettering alone share one outline on the paper."""
    found: list[list[Part]] = []
    for part in parts:
        same = next((group for group in found if _same_shape(group[0], part)), None)
        if same is None:
            found.append([part])
        else:
            same.append(part)
    return found


def _same_shape(one: Part, other: Part) -> bool:
    shape = (one.stock, one.outline, one.openings, one.holes)
    return shape == (other.stock, other.outline, other.openings, other.holes)


def _captioned(alike: list[Part], material: str, spell: CalloutFormat, width: float) -> Block:
    """The view of parts that are alike, in half a page's width where it fits there, their names underneath."""
    first = alike[0]
    lettered = all(part.engraved_texts == first.engraved_texts for part in alike)
    part = first if lettered else replace(first, engraved_texts=())
    caption = words(
        "caption",
        parts=[(one.title, one.quantity, spell.length(one.thickness)) for one in alike],
        material=material,
        purpose=first.purpose,
    )
    for room in (HALF_WIDTH, width):
        ways = [
            captioned(shown.block, " ".join([caption, *shown.said]))
            for lies in (part, turned_part(part))
            for shown in shown_ways(lies, spell, room)
        ]
        if ways:
            # Lying or standing, with callouts or without: whichever leaves more of the page to the others.
            return min(ways, key=lambda block: block.box.height)
    raise LayoutError(f"part {first.name}: no page holds it")
