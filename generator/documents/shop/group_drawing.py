"""The shop drawing of several parts that belong together: their views at one scale, hole tables, one list of notes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from generator.base.errors import LayoutError
from generator.base.points2d import Box, Transform
from generator.documents.shop.formats import DrawingFormat, SheetNumber, Subject, filled_block, formats_for, part_sizes
from generator.documents.shop.holes import part_tables
from generator.documents.shop.part_drawing import (
    asked_lines,
    part_views,
    place_notes,
    place_tables,
    quantity_line,
    reason_lines,
    sheet_lines,
)
from generator.drawing.callout import Notation, length_text
from generator.drawing.compose import Block, captioned
from generator.drawing.sheet import Sheet, SheetBuilder
from generator.drawing.tables import Table
from generator.drawing.titleblock import frame_items, title_block_items
from generator.jig.part import Part
from generator.job.model.job import PartsJob, Projection

#: Clear space between the views of neighbouring parts and between rows of them, mm on the paper.
_GAP = 14.0
#: Between a part's front view and its upper edge, mm.
_VIEW_GAP = 10.0


@dataclass(frozen=True)
class PartGroup:
    """Parts that share a sheet: its name and title, and the shims that it lists."""

    name: str
    title: str
    parts: tuple[Part, ...]
    shims: tuple[Part, ...] = ()


def group_drawing(group: PartGroup, job: PartsJob, place: SheetNumber, formats: Sequence[DrawingFormat] = ()) -> Sheet:
    """The drawing of `group` on the smallest of `formats`, by default the job's. LayoutError when none holds it."""
    failure: LayoutError | None = None
    for format_, scale in part_sizes(formats or formats_for(job.output.paper)):
        try:
            return _draw(group, job, place, format_, scale)
        except LayoutError as error:
            failure = error
    raise LayoutError(f"drawing of {group.name}: {failure}")


def _draw(group: PartGroup, job: PartsJob, place: SheetNumber, format_: DrawingFormat, scale: float) -> Sheet:
    notation = Notation(job.output.units, bench=False)
    builder = SheetBuilder(group.name, f"{group.title}, shop drawing")
    builder.add(frame_items(format_.width, format_.height))
    subject = Subject(group.title, group.name, group.parts, group.shims)
    block = filled_block(job, subject, place, format_, scale)
    builder.add(title_block_items(block, format_.width, format_.height))
    alike = _alike(group.parts)
    _lay(builder, [_views(parts, job, notation, scale) for parts in alike], format_.views)
    tables = [
        replace(table, title=f"{'; '.join(part.title for part in parts)}: {table.title[0].lower()}{table.title[1:]}")
        for parts in alike
        for table in part_tables(parts[0], notation)
    ]
    tables += _shim_tables(group.shims, job, notation)
    foot = place_tables(builder, tables, format_.column)
    place_notes(builder, _lines(group, job, notation), format_.column, foot)
    return builder.sheet(format_.width, format_.height, job=job.name, scale=scale)


def _alike(parts: Sequence[Part]) -> list[list[Part]]:
    """Parts of one form, holes and all, share one view."""
    found: list[list[Part]] = []
    for part in parts:
        same = next((group for group in found if _form(group[0]) == _form(part)), None)
        if same is None:
            found.append([part])
        else:
            same.append(part)
    return found


def _form(part: Part) -> object:
    bores = [(hole.at, round(hole.z, 6), hole.diameter, hole.depth, hole.thread) for hole in part.edge_holes]
    return part.stock, part.thickness, part.outline, part.openings, part.holes, bores


def _views(parts: Sequence[Part], job: PartsJob, notation: Notation, scale: float) -> Block:
    """Front view and upper edge, one over the other as the projection asks, the parts' names underneath."""
    part = parts[0] if len(parts) == 1 else replace(parts[0], engraved_texts=())
    pair = part_views(part, job, notation, scale)
    upper, lower = pair[::-1] if job.output.projection is Projection.THIRD else pair
    down = Transform.move(0.0, upper.box.y0 - _VIEW_GAP - lower.box.y1)
    block = Block(
        (*upper.items, *(item.transformed(down) for item in lower.items)),
        (*upper.marks, *(mark.transformed(down) for mark in lower.marks)),
        scale,
    )
    return captioned(block, "; ".join(f"{one.title}: {quantity_line(one)}" for one in parts))


def _lay(builder: SheetBuilder, blocks: Sequence[Block], room: Box) -> None:
    """Blocks in rows from the upper left. Raises LayoutError where they do not fit."""
    x, top, row = room.x0, room.y1, 0.0
    for block in blocks:
        box = block.box
        if x > room.x0 and x + box.width > room.x1:
            x, top, row = room.x0, top - row - _GAP, 0.0
        if x + box.width > room.x1 or top - box.height < room.y0:
            raise LayoutError(f"{box.width:.0f} × {box.height:.0f} mm of views find no room")
        move = Transform.move(x - box.x0, top - box.y1)
        builder.add(block.items, move)
        for mark in block.marks:
            builder.dimension(mark, move)
        x, row = x + box.width + _GAP, max(row, box.height)


def _shim_tables(shims: Sequence[Part], job: PartsJob, notation: Notation) -> list[Table]:
    """All shims as one table: they differ in thickness alone."""
    if not shims:
        return []
    first = shims[0]
    sizes = {one.name: length_text(one.value, notation) for one in first.dimensions}
    words = (
        f"{sizes['shim_length']} × {sizes['shim_height']}; from below two slots {sizes['slot_width']} wide, "
        f"{sizes['slots_apart']} apart, over the screws"
    )
    material = job.stocks[first.stock].material
    forms = [words, *["the same"] * (len(shims) - 1)]
    rows = tuple(
        (length_text(shim.thickness, notation), str(shim.quantity), material, form)
        for shim, form in zip(shims, forms, strict=True)
    )
    return [Table("Shims behind the angle rest", ("Thick", "Make", "Of", "Form"), rows)]


def _lines(group: PartGroup, job: PartsJob, notation: Notation) -> list[str]:
    found: list[str] = []
    for part in group.parts:
        found += [f"{part.title}: {part.purpose}.", *reason_lines(part, notation)]
    asked: dict[str, list[str]] = {}
    for part in group.parts:
        for words in asked_lines(part, job, notation):
            asked.setdefault(words, []).append(part.title)
    for words, titles in asked.items():
        names = ", ".join((titles[0], *(title.lower() for title in titles[1:])))
        found.append(f"{names}: {words[0].lower()}{words[1:]}")
    return [*dict.fromkeys(found), *sheet_lines(group.parts, job, notation)]
