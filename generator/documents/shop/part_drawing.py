"""The shop drawing of one part: dimensioned front view, view of the upper edge, picture, hole tables, notes.

The smallest sheet is taken on which everything can be laid out clear of everything else; where none is large enough,
the drawing is refused, never drawn badly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from generator.base.annotation import Anchor, Dimension, DimKind, Side, Tolerance
from generator.base.contours2d import Circle
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box, Transform
from generator.documents.part_view import part_view
from generator.documents.shop.contours import outline_radius
from generator.documents.shop.controls import is_controlled, part_geometry
from generator.documents.shop.formats import DrawingFormat, SheetNumber, Subject, filled_block, formats_for, part_sizes
from generator.documents.shop.geometric import with_geometry
from generator.documents.shop.holes import labels, numbered_holes, part_tables
from generator.documents.shop.symmetry import symmetry_items
from generator.documents.shop.views import corner_picture, upper_edge
from generator.drawing.callout import (
    Notation,
    dimension_text,
    length_text,
    length_words,
    requirement_text,
    tolerance_text,
)
from generator.drawing.compose import Block, view_block
from generator.drawing.dimension import DimensionStyle, Note, Request, Show, Tip, View
from generator.drawing.font import ascent, wrapped
from generator.drawing.sheet import Item, Sheet, SheetBuilder, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import centre_cross
from generator.drawing.tables import Table
from generator.drawing.titleblock import (
    frame_items,
    title_block_items,
)
from generator.jig.lettering import carries_figures
from generator.jig.part import Part
from generator.job.model.jig import Joinery
from generator.job.model.job import PartsJob, Projection, UnitsChoice
from generator.job.model.stock import Stock

#: Style of the dimensions on shop drawings: capital height 2.5 mm.
SHOP_STYLE = DimensionStyle(text=2.5)
#: Capital height of the notes' heading, mm.
_CAPTION = 3.5
#: Capital height of the notes and of the pictorial view's caption, mm.
_NOTE = 2.5
#: Line pitch of the notes, mm.
_NOTE_LINE = 4.2
#: Clear space between the front view and the edge view, mm on the paper.
_VIEW_GAP = 12.0
#: How deep lines and letters are engraved, mm (common practice).
_ENGRAVED = 0.2
#: How near the holes of a jig with tapped edges keep their places, mm.
_PLACES = Tolerance(-0.1, 0.1, "countersunk screws seek their own middles")
#: A dimension that ends this near a hole's middle gives its place, mm.
_SAME = 1e-6
#: Radius of the datum's ring, mm on the paper.
_DATUM = 1.5
#: Room the dimensions take round a view, mm on the paper, when a scale is chosen.
_SURROUND = 34.0
#: Most height of the column that the pictorial view and its caption take, mm.
_PICTURE_HEIGHT = 75.0
#: A pictorial view in less height than this shows too little, mm.
_LEAST_PICTURE = 25.0
#: A part is not drawn smaller than half size while a larger sheet is to be had.
_LEAST_SCALE = 0.5


def part_drawing(part: Part, job: PartsJob, place: SheetNumber, formats: Sequence[DrawingFormat] = ()) -> Sheet:
    """The drawing of `part` on the smallest of `formats`, by default the job's. LayoutError when none holds it."""
    notation = Notation(job.output.units, bench=False)
    formats = formats or formats_for(job.output.paper)
    failure: LayoutError | None = None
    for format_, scale in part_sizes(formats):
        if (scale < _LEAST_SCALE and format_ is not formats[-1]) or not _roomy(part, format_, scale):
            continue
        try:
            return _draw(part, job, place, notation, format_, scale)
        except LayoutError as error:
            failure = error
    raise LayoutError(f"drawing of {part.name}: {failure or 'no sheet is large enough'}")


def _roomy(part: Part, format_: DrawingFormat, scale: float) -> bool:
    room = format_.views
    tall = (part.box.height + part.thickness) * scale + _VIEW_GAP + 2.0 * _SURROUND
    return part.box.width * scale + 1.5 * _SURROUND <= room.width and tall <= room.height


def _draw(
    part: Part, job: PartsJob, place: SheetNumber, notation: Notation, format_: DrawingFormat, scale: float
) -> Sheet:
    builder = SheetBuilder(part.name, f"{part.title}, shop drawing")
    builder.add(frame_items(format_.width, format_.height))
    block = filled_block(job, Subject(part.title, part.name, (part,)), place, format_, scale)
    builder.add(title_block_items(block, format_.width, format_.height))
    front, second = part_views(part, job, notation, scale)
    _stack(builder, (front, second), job.output.projection, format_.views)
    column = format_.column
    foot = place_tables(builder, part_tables(part, notation), column)
    foot = place_notes(builder, _note_lines(part, job, notation), column, foot)
    _picture(builder, part, column, foot)
    return builder.sheet(format_.width, format_.height, job=job.name, scale=scale)


def part_views(part: Part, job: PartsJob, notation: Notation, scale: float) -> tuple[Block, Block]:
    """Front view and upper edge with their dimensions, datums and tolerance frames."""
    asked = part_geometry(part, job)
    front = _front_view(part, notation, scale)
    edge = _edge_view(part, job.stocks[part.stock].thickness_tolerance, notation, scale)
    return (
        with_geometry(front, asked.front, asked.front_datums, scale, notation),
        with_geometry(edge, asked.edge, asked.edge_datums, scale, notation),
    )


def _front_view(part: Part, notation: Notation, scale: float) -> Block:
    to_sheet = Transform.scale(scale)
    drawn = part_view(part, to_sheet, Role.VISIBLE, lettering=not part.edge_holes)
    box = part.box
    drawn += symmetry_items(part, to_sheet)
    drawn += _datum(to_sheet.apply(part.datum)) if _has_table(part) else []
    shown = [one for one in (*part.dimensions, *part.shop_dimensions) if not _is_tabled(one, part)]
    requests: list[Request] = [Show(dimension, dimension_text(dimension, notation)) for dimension in shown]
    requests += [Note(item.id, item.hole.at, item.hole.rim) for item in numbered_holes(part)]
    requests += [Note(label.id, label.at, tip=Tip.DOT) for label in labels(part)]
    sheet_box = Box(box.x0 * scale, box.y0 * scale, box.x1 * scale, box.y1 * scale)
    return view_block(drawn, View(to_sheet, sheet_box), requests, style=SHOP_STYLE)


def _is_tabled(dimension: Dimension, part: Part) -> bool:
    """True for the place of a hole, which the table says already."""
    places = [*(hole.at for hole in part.holes), *(hole.at for hole in part.edge_holes)]
    linear = dimension.kind in (DimKind.HORIZONTAL, DimKind.VERTICAL)
    return linear and any(point.distance(at) < _SAME for point in dimension.points for at in places)


def _shows_letters(part: Part) -> bool:
    """True for lettering that the view shows; beside holes in edges a note says it."""
    return bool(part.engraved_lines or (part.engraved_texts and not part.edge_holes))


def _has_table(part: Part) -> bool:
    return bool(part_tables(part, Notation()))


def _datum(at: P2) -> list[Item]:
    """The ringed cross from which the tables count."""
    return [Stroke(Circle(at, _DATUM), Role.DIMENSION, PENS[Role.DIMENSION]), *centre_cross(at, 2.0 * _DATUM)]


def _edge_view(part: Part, ease: float, notation: Notation, scale: float) -> Block:
    """The upper edge, with the thickness (± `ease`); it shares x with the front view."""
    to_sheet = Transform.scale(scale)
    drawn = upper_edge(part, scale)
    low, high = -part.thickness, 0.0
    tolerance = part.thickness_tolerance or (Tolerance(-ease, ease, "as the sheet comes") if ease else None)
    right = part.box.x1
    thick = Dimension(
        "thickness",
        DimKind.VERTICAL,
        (P2(right, low), P2(right, high)),
        part.thickness,
        Side.RIGHT,
        tolerance,
    )
    box = Box(part.box.x0 * scale, low * scale, part.box.x1 * scale, high * scale)
    shown = [Show(thick, dimension_text(thick, notation))]
    return view_block(drawn, View(to_sheet, box), shown, style=SHOP_STYLE)


def _stack(builder: SheetBuilder, views: tuple[Block, Block], projection: Projection, room: Box) -> None:
    """Front view and second view one over the other, as the projection asks, in the middle of the room.

    First angle puts what is seen from above below the front view, third angle above it. Raises LayoutError when the
    pair is larger than the room.
    """
    front, second = views
    order = (second, front) if projection is Projection.THIRD else (front, second)
    boxes = [block.box for block in order]
    left, right = min(box.x0 for box in boxes), max(box.x1 for box in boxes)
    total = math.fsum(box.height for box in boxes) + _VIEW_GAP
    if right - left > room.width or total > room.height:
        raise LayoutError(f"{right - left:.0f} × {total:.0f} mm of views in {room.width:.0f} × {room.height:.0f} mm")
    shift = room.center.x - (left + right) / 2.0
    top = room.center.y + total / 2.0
    for block, box in zip(order, boxes, strict=True):
        move = Transform.move(shift, top - box.y1)
        builder.add(block.items, move)
        for mark in block.marks:
            builder.dimension(mark, move)
        top -= box.height + _VIEW_GAP


def place_tables(builder: SheetBuilder, tables: Sequence[Table], column: Box) -> float:
    """Tables from the column's foot upwards; returns where free room begins."""
    foot = column.y0
    for table in tables:
        items, high = table.items(column.x0, foot, column.width)
        builder.add(items)
        foot += high + 4.0
        if foot > column.y1:
            raise LayoutError(f"table {table.title} is taller than the sheet")
    return foot


def _note_lines(part: Part, job: PartsJob, notation: Notation) -> list[str]:
    stock = job.stocks[part.stock]
    count = f"{quantity_line(part)}."
    lines = [
        f"{count} {part.purpose[0].upper()}{part.purpose[1:]}." if part.purpose else count,
        f"Stock: {stock.material}, {length_words(part.thickness, notation)} thick{_measured_words(part, stock)}.",
        *reason_lines(part, notation),
        *asked_lines(part, job, notation),
    ]
    radius = outline_radius(part.outline)
    if radius is not None:
        lines.append(f"Corners of the outline {length_text(radius, notation, 'R')}.")
    return [*lines, *sheet_lines([part], job, notation)]


def quantity_line(part: Part) -> str:
    """How many to make."""
    return f"Make {part.quantity}" if part.quantity > 1 else "Make one"


def reason_lines(part: Part, notation: Notation) -> list[str]:
    """Why the part's tolerances are asked for, and what is marked on it."""
    toleranced: dict[str, list[str]] = {}
    for dimension in (*part.dimensions, *part.shop_dimensions):
        if dimension.tolerance and not _is_tabled(dimension, part):
            toleranced.setdefault(dimension.tolerance.reason, []).append(_figure(dimension, notation))
    if part.thickness_tolerance:
        thick = length_text(part.thickness, notation, tolerance=part.thickness_tolerance)
        toleranced.setdefault(part.thickness_tolerance.reason, []).append(f"{thick} thick")
    lines = [f"{', '.join(dict.fromkeys(texts))}: {reason}." for reason, texts in toleranced.items()]
    if part.edge_holes and part.engraved_texts:
        lines.append(f"{part.title}: mark {', '.join(text.text for text in part.engraved_texts)} on the front face.")
    return lines


def asked_lines(part: Part, job: PartsJob, notation: Notation) -> list[str]:
    """What is asked of the part's form in words: nothing where frames ask for it."""
    said = () if is_controlled(part, job) else part.requirements
    return [f"{requirement_text(item, notation)}." for item in said]


def sheet_lines(parts: Sequence[Part], job: PartsJob, notation: Notation) -> list[str]:
    """What holds for all of a sheet: files, datum, units."""
    files = ", ".join(f"laser/{part.name}.dxf" for part in parts)
    lines = [f"The contours as cutting files: {files}."]
    if any(_shows_letters(part) for part in parts):
        lines.append(f"Lines and letters: engraved {length_words(_ENGRAVED, notation)} deep, as in the cutting files.")
    if any(_has_table(part) for part in parts):
        near = f", each place {tolerance_text(_PLACES, notation)}" if job.jig.joinery is Joinery.TAPPED else ""
        lines.append(f"The ringed cross is the datum 0,0 of the tables; X to the right, Y up{near}.")
    if notation.units is UnitsChoice.BOTH:
        lines.append("Dimensions in mm, in brackets inches.")
    if notation.units is UnitsChoice.INCH and any(carries_figures(part, job.name) for part in parts):
        lines.append("Figures marked on the parts are millimetres.")
    return lines


def _figure(dimension: Dimension, notation: Notation) -> str:
    """A dimension's callout without its note, for the list of reasons."""
    return dimension_text(replace(dimension, note=""), notation)


def _measured_words(part: Part, stock: Stock) -> str:
    """Whether the thickness was measured; nothing where the part asks for one of its own, as shims do."""
    if part.thickness != stock.actual_thickness:
        return ""
    measured = stock.measured_thickness is not None and stock.measured_thickness != stock.thickness
    return ", as measured" if measured else ", nominal: measure it first"


def place_notes(builder: SheetBuilder, notes: Sequence[str], column: Box, foot: float) -> float:
    lines = [
        (text if i == 0 else f"   {text}", i == 0)
        for number, note in enumerate(notes, 1)
        for i, text in enumerate(wrapped(f"{number}. {note}", _NOTE, column.width - 4.0))
    ]
    top = foot + len(lines) * _NOTE_LINE
    if top + 8.0 > column.y1:
        raise LayoutError("the notes and tables are taller than the sheet")
    builder.label("Notes", P2(column.x0, top + 1.0), _CAPTION, Role.TITLE)
    for i, (text, _) in enumerate(lines):
        builder.label(text, P2(column.x0, top - (i + 1) * _NOTE_LINE + 1.0), _NOTE)
    return top + 10.0


def _picture(builder: SheetBuilder, part: Part, column: Box, foot: float) -> None:
    """The pictorial view in what is left of the column. Raises LayoutError where that is too little to show it."""
    room = Box(column.x0, max(foot, column.y1 - _PICTURE_HEIGHT), column.x1, column.y1 - 6.0)
    if room.height < _LEAST_PICTURE:
        raise LayoutError("tables and notes leave no room for the pictorial view")
    builder.add(corner_picture(part, room))
    builder.label("Pictorial view, no scale", P2(room.x1, room.y1 + 6.0 - ascent(_NOTE)), _NOTE, anchor=Anchor.RIGHT)
