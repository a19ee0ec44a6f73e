"""The jig's parts at full scale: one template a part, the blocks together on one sheet, the small guides on another."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from generator.drawing.compose import HALF_WIDTH, Block, Pointer, compose_sheet, part_block
from generator.drawing.sheet import Item, Sheet
from generator.drawing.symbols import centre_cross
from generator.errors import LayoutError
from generator.geometry2d import P2, Box, bounding_box
from generator.model.job import Job, UnitsChoice
from generator.model.stock import CutBy
from generator.parts.base import Jig, Part
from generator.parts.lettering import carries_figures
from generator.sheets.columns import PAGE_WIDTH, TURNED_PAGE, TWO_TURNED, column
from generator.sheets.holes import hole_list, hole_notes
from generator.sheets.packing import packed
from generator.sheets.words import Speller, caliper_speller, sheet_words, words
from generator.solution import Solution

#: Parts packed together, by the beginning of their names; every other part has a sheet of its own.
_BLOCKS = ("set_block", "body_block", "depth_block")
_GUIDES = (
    "gap_gauge",
    "story_stick",
    "bushing_slip",
    "drill_guide",
    "centre_sight",
    "heel_bevel",
    "side_stop",
    "truss_key",
    "body_rest",
    "trim_shim",
)
#: Parts that only a laser makes: a paper template of them would measure the saw, not the laser.
_LASER_ONLY = ("laser_coupon",)
#: Parts with slots about the pivot.
_SWUNG = ("cheek_left", "cheek_right")
_CROSS = 6.0
#: What can be told apart on a gauge, mm.
_GAUGE_READING = 0.1
#: Parts that stand upright in the jig as they are drawn.
_UPRIGHT = ("bed", "cheek_left", "cheek_right", "rib", "spine", "tie", "stop_ledge")


@dataclass(frozen=True)
class PartSigns:
    """What stands on and round a part besides its dimensions."""

    caption: str = ""
    identity: str = ""
    pointers: tuple[Pointer, ...] = ()


def part_sheets(solution: Solution, jig: Jig) -> tuple[Sheet, ...]:
    """A template of every part of `jig` that paper can help to make, each part on exactly one sheet."""
    own = [part for part in jig.parts if not _among(part, (*_BLOCKS, *_GUIDES, *_LASER_ONLY))]
    return (
        *(_template(part, solution) for part in own),
        _packed("set_and_depth_blocks", "blocks", _ordered(jig.parts, _BLOCKS), solution),
        _packed("guides_and_strips", "guides", _ordered(jig.parts, _GUIDES), solution),
    )


def _among(part: Part, names: Iterable[str]) -> bool:
    return any(part.name.startswith(name) for name in names)


def _ordered(parts: Sequence[Part], names: Sequence[str]) -> list[Part]:
    """The parts whose names begin so, in the order of `names`."""
    return [part for name in names for part in parts if part.name.startswith(name)]


def _template(part: Part, solution: Solution) -> Sheet:
    """The sheet of one part: its outline to cut, every dimension and hole, and how it is made by hand."""
    job, spell, routing = solution.job, caliper_speller(solution.job), solution.routing
    said = sheet_words(
        "part",
        name=part.name,
        **_facts(part, job, spell),
        opening_width=spell.length(routing.opening_width),
        tongue_width=spell.length(routing.tongue_width),
        bushing=spell.length(routing.bushing_od),
        bit=spell.length(routing.bit_diameter),
        marked_mm=_marked_mm([part], job),
    )
    pointers = (Pointer("up", P2(0.0, 1.0)),) if part.name in _UPRIGHT else ()
    signs = PartSigns(identity=f"{part.title} · {job.name}", pointers=pointers)
    block, listed = _fitted(part, spell, (PAGE_WIDTH, TURNED_PAGE, TWO_TURNED), signs)
    return compose_sheet(
        part.name, said.title, said.instruction, job.name, [block], [*listed, *said.notes], spell.notation
    )


def _packed(name: str, template: str, parts: Sequence[Part], solution: Solution) -> Sheet:
    """Several small parts on one sheet, each with its name, number and thickness underneath."""
    job, spell = solution.job, caliper_speller(solution.job)
    blocks = packed([_small(alike, job, spell) for alike in _alike(parts)])
    error = job.tolerances.rest_width
    said = sheet_words(
        template,
        second=any(part.name == "depth_block_tenon" for part in parts),
        block_error=spell.length(error) if error else "",
        gap_error=spell.length(math.degrees(solution.uncertainty.gap_per_degree) * error / solution.cradle.block_lever),
        reading=spell.length(_GAUGE_READING),
        marked_mm=_marked_mm(parts, job),
    )
    return compose_sheet(name, said.title, said.instruction, job.name, blocks, said.notes, spell.notation)


def _marked_mm(parts: Sequence[Part], job: Job) -> bool:
    """True where figures engraved on the parts, always millimetres, stand among numbers in inches."""
    return job.output.units is UnitsChoice.INCH and any(carries_figures(part, job.name) for part in parts)


def _alike(parts: Sequence[Part]) -> list[list[Part]]:
    """Parts that differ in thickness alone share one outline on the paper."""
    found: list[list[Part]] = []
    for part in parts:
        same = next((group for group in found if _same_shape(group[0], part)), None)
        if same is None:
            found.append([part])
        else:
            same.append(part)
    return found


def _same_shape(one: Part, other: Part) -> bool:
    shape = (one.stock, one.outline, one.openings, one.holes, one.engraved_lines, one.engraved_texts)
    return shape == (
        other.stock,
        other.outline,
        other.openings,
        other.holes,
        other.engraved_lines,
        other.engraved_texts,
    )


def _small(alike: Sequence[Part], job: Job, spell: Speller) -> Block:
    part = alike[0]
    caption = words(
        "caption",
        **_facts(part, job, spell),
        thicknesses=[spell.length(other.thickness) for other in alike],
        several=len(alike) > 1,
    )
    return _fitted(part, spell, (HALF_WIDTH, PAGE_WIDTH), PartSigns(caption=caption))[0]


def _fitted(part: Part, spell: Speller, widths: Sequence[float], signs: PartSigns) -> tuple[Block, list[str]]:
    """The part's view in the first of `widths` that holds it, else as wide as it needs.

    Where the callouts of holes would not fit they come back as lines of text; a caption takes them in.
    """
    # Paper grows with the weather: the figures are checked with a caliper, tolerances stand on the shop drawing.
    shown = replace(part, dimensions=tuple(replace(found, tolerance=None) for found in part.dimensions))
    listed = hole_list(part, spell.notation)

    def build(frame: Box | None, with_holes: bool) -> Block:
        caption = signs.caption if with_holes or not signs.caption else " ".join([signs.caption, *listed])
        extra = hole_notes(part, spell.notation) if with_holes else ()
        drawn = shown, spell.notation, caption, signs.pointers, extra, signs.identity, _pivot_mark(part)
        return part_block(*drawn, frame=frame)

    free = build(None, True)
    for width in widths:
        if free.box.width <= width:
            return free, []
        frame = column(_shown_box(part), width)
        for with_holes in (True, False) if frame and listed else (True,) if frame else ():
            try:
                return build(frame, with_holes), [] if with_holes else listed
            except LayoutError:
                continue
    return free, []


def _shown_box(part: Part) -> Box:
    """The part, with every point its dimensions measure from."""
    points = [point for dimension in part.dimensions for point in dimension.points]
    return part.box.union(bounding_box(points)) if points else part.box


def _pivot_mark(part: Part) -> list[Item]:
    """A cross on the pivot, from which arc slots are swung, where it lies off the part."""
    pivot = part.points.get("pivot")
    if pivot is None or part.outline.contains(pivot) or part.name not in _SWUNG:
        return []
    return centre_cross(pivot, _CROSS)


def _facts(part: Part, job: Job, spell: Speller) -> dict[str, object]:
    """What the templates say of any part."""
    stock = job.stocks[part.stock]
    return {
        "title": part.title,
        "purpose": part.purpose,
        "quantity": part.quantity,
        "material": stock.material,
        "thickness": spell.length(part.thickness),
        "machined": CutBy.MILL in stock.cut_by,
        "lasered": CutBy.LASER in stock.cut_by,
    }
