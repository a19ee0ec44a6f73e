"""The drawing of the assembled jig: pictures with balloons, square views, lists, and how it goes together."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence

from generator.base.annotation import Dimension, DimKind, Side
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box, Transform, bounding_box
from generator.base.units import mm
from generator.documents.shop.controls import assembled, board_settings
from generator.documents.shop.decisive import decisive_sizes
from generator.documents.shop.formats import DrawingFormat, SheetNumber, Subject, filled_block, formats_for
from generator.documents.shop.geometric import Control, Datum, with_geometry
from generator.documents.shop.part_drawing import SHOP_STYLE
from generator.documents.shop.pictures import Shot, pictorials, standing
from generator.drawing.callout import Notation, dimension_text, length_words
from generator.drawing.compose import Block, view_block
from generator.drawing.dimension import Show, View
from generator.drawing.font import wrapped
from generator.drawing.picture import Picture, Shown, picture_items, seen
from generator.drawing.projection import JigView
from generator.drawing.sheet import Sheet, SheetBuilder
from generator.drawing.style import Role
from generator.drawing.symbols import line
from generator.drawing.tables import Table
from generator.drawing.titleblock import SCALES, frame_items, title_block_items
from generator.jig.board import BOARD
from generator.jig.part import Jig
from generator.jig.template_plate import TEMPLATE_PLATE
from generator.job.model.jig import Joinery
from generator.job.model.job import PartsJob
from generator.job.model.job import Projection as Arrangement
from generator.job.model.stock import Stock
from generator.joint.stations import Use

#: Capital height of the notes, mm.
_NOTE = 2.5
#: Capital height of the notes' heading, mm.
_CAPTION = 3.5
#: Line pitch of the notes, mm.
_LINE = 4.2
#: Clear space between the square views, mm on the paper.
_VIEW_GAP = 10.0
#: The square views take at most this share of their room's height.
_SHARE = 0.9
#: The lower picture takes this share of the width, the square views with their settings the rest.
_PICTURE_SHARE = 0.4
#: The corners the pictures look from; between them every part of the standing jig shows.
_PICTURES = (
    (JigView.ISOMETRIC_FRONT, "From above, the {other} side"),
    (JigView.ISOMETRIC_BEHIND, "From below, the neck's side"),
    (JigView.ISOMETRIC_BELOW, "From below, the {other} side"),
)


def assembly_drawing(job: PartsJob, jig: Jig, place: SheetNumber, formats: Sequence[DrawingFormat] = ()) -> Sheet:
    """The jig as it stands for its cuts, on the smallest of `formats` (by default the job's) that
    holds views and lists.

    Raises LayoutError when no sheet does.
    """
    pieces = standing(jig)
    failure: LayoutError | None = None
    for format_ in formats or formats_for(job.output.paper)[1:]:
        try:
            return _draw(job, jig, place, pieces, format_)
        except LayoutError as error:
            failure = error
    raise LayoutError(f"assembly drawing: {failure}")


def _draw(job: PartsJob, jig: Jig, place: SheetNumber, pieces: Sequence[Shown], format_: DrawingFormat) -> Sheet:
    notation = Notation(job.output.units, bench=False)
    builder = SheetBuilder("jig", "Jig, assembly drawing")
    builder.add(frame_items(format_.width, format_.height))
    numbers = {part.name: str(number) for number, part in enumerate(jig.parts, 1)}
    numbers |= {item.id: item.id for item in jig.hardware}
    *rooms, corner = _cells(format_.views)
    scale = _orthographic(builder, pieces, corner, job, _other_side(jig), *_asked(job, jig))
    views = zip(_PICTURES, rooms, strict=True)
    shots = [Shot(view.value, room, words.format(other=_other_side(jig))) for (view, words), room in views]
    shown = pictorials(builder, pieces, shots, numbers)
    subject = Subject("Neck-joint router jig", "jig", made_to=jig.parts if place.count == 1 else ())
    block = filled_block(job, subject, place, format_, scale)
    builder.add(title_block_items(block, format_.width, format_.height))
    # Sheets of parts say what they ask for themselves.
    decisive = (decisive_sizes(jig, numbers, notation),) if place.count == 1 else ()
    above = _lists(builder, jig, job.stocks, numbers, notation, format_.column, decisive)
    _steps(builder, _step_notes(jig, numbers, shown), format_.column, above)
    return builder.sheet(format_.width, format_.height, job=job.name, scale=scale)


def _serves_body(jig: Jig) -> bool:
    """Whether a body comes to the jig: a part bears it."""
    return any(part.traits.bears is Use.BODY for part in jig.parts)


def _other_side(jig: Jig) -> str:
    """Whose the board's face away from the neck is."""
    return "body's" if _serves_body(jig) else "bench's"


def _cells(room: Box) -> tuple[Box, Box, Box, Box]:
    """Three rooms for pictures and one, at the lower right, for the square views."""
    x, y = room.center.x, room.center.y
    left, right = Box(room.x0, y, x, room.y1), Box(x, y, room.x1, room.y1)
    low = room.x0 + _PICTURE_SHARE * room.width
    return left, right, Box(room.x0, room.y0, low, y), Box(low + 4.0, room.y0 + 4.0, room.x1, y)


_Controls = tuple[tuple[Control, ...], tuple[Datum, ...]]


def _asked(job: PartsJob, jig: Jig) -> tuple[_Controls, tuple[Dimension, ...]]:
    """Tolerance frames of a machined jig and what is set before its dowels; a glued one is measured as built."""
    if job.jig.joinery is not Joinery.TAPPED:
        return ((), ()), ()
    board, plate = jig.part(BOARD.name), jig.part(TEMPLATE_PLATE.name)
    return assembled(board, plate), board_settings(board, plate)


def _orthographic(
    builder: SheetBuilder,
    pieces: Sequence[Shown],
    room: Box,
    job: PartsJob,
    seen_from: str,
    controls: _Controls,
    settings: Sequence[Dimension],
) -> float:
    """Front view and view from the left with overall sizes, side by side as the arrangement asks; returns their scale.

    First angle puts what is seen from the left on the right of the front view, third angle on its left.
    """
    arrangement, notation = job.output.projection, Notation(job.output.units, bench=False)
    front, side = seen(pieces, JigView.FRONT.value), seen(pieces, JigView.LEFT.value)
    failure: LayoutError | None = None
    for scale, _ in SCALES:
        if scale > 1.0 or (front.box.width + side.box.width) * scale > room.width:
            continue
        try:
            blocks = (
                _square_view(front, f"From the {seen_from} side", scale, notation, height=True),
                with_geometry(
                    _square_view(side, "From the left", scale, notation, settings=settings), *controls, scale, notation
                ),
            )
            _side_by_side(builder, blocks if arrangement is Arrangement.FIRST else blocks[::-1], room)
            return scale
        except LayoutError as error:
            failure = error
    raise failure or LayoutError("the square views of the assembly fit at no scale")


def _square_view(
    view: Picture,
    caption: str,
    scale: float,
    notation: Notation,
    *,
    height: bool = False,
    settings: Sequence[Dimension] = (),
) -> Block:
    """One square view with its overall width, and its height where asked, both for information: parts say their sizes.

    `settings` are what the assembly itself is set to; a dashed line shows what each is measured to inside the plate.
    """
    to_sheet = Transform.scale(scale)
    # The picture's own lines lie on a grid of 0.01 mm; a size is the model's.
    box = bounding_box(view.at(point) for piece in view.solids.values() for point in piece.facets.points)
    foot, left, right = P2(box.x0, box.y0), P2(box.x0, box.y1), P2(box.x1, box.y1)
    overall = [Dimension("overall_width", DimKind.HORIZONTAL, (left, right), box.width, Side.ABOVE)]
    if height:
        overall.append(Dimension("overall_height", DimKind.VERTICAL, (foot, left), box.height, Side.LEFT))
    shown = [Show(dimension, f"({dimension_text(dimension, notation)})") for dimension in overall]
    shown += [Show(dimension, dimension_text(dimension, notation)) for dimension in settings]
    sheet_box = Box(box.x0 * scale, box.y0 * scale, box.x1 * scale, box.y1 * scale)
    items = picture_items(view, to_sheet, filled=False)
    for one in settings:
        x = one.points[0].x
        items.append(line(to_sheet.apply(P2(x, 0.0)), to_sheet.apply(P2(x, box.y1)), Role.HIDDEN))
    return view_block(items, View(to_sheet, sheet_box), shown, caption=caption, style=SHOP_STYLE)


def _side_by_side(builder: SheetBuilder, blocks: Sequence[Block], room: Box) -> None:
    """Blocks on one line, their model's height common to both, in the middle of `room`.

    Raises LayoutError where they are too wide or take too large a share of the height.
    """
    boxes = [block.box for block in blocks]
    wide = math.fsum(box.width for box in boxes) + _VIEW_GAP
    low, high = min(box.y0 for box in boxes), max(box.y1 for box in boxes)
    if wide > room.width or high - low > _SHARE * room.height:
        raise LayoutError(f"{wide:.0f} × {high - low:.0f} mm of views in {room.width:.0f} × {room.height:.0f} mm")
    x, lift = room.center.x - wide / 2.0, room.center.y - (low + high) / 2.0
    for block, box in zip(blocks, boxes, strict=True):
        move = Transform.move(x - box.x0, lift)
        builder.add(block.items, move)
        for mark in block.marks:
            builder.dimension(mark, move)
        x += box.width + _VIEW_GAP


def _lists(
    builder: SheetBuilder,
    jig: Jig,
    stocks: Mapping[str, Stock],
    numbers: Mapping[str, str],
    notation: Notation,
    column: Box,
    more: Sequence[Table],
) -> float:
    """Hardware list at the column's foot, parts list over it, then `more`; returns where free room begins."""
    parts = Table(
        "Parts",
        ("No", "Make", "Part", "Stock"),
        tuple(
            (
                numbers[part.name],
                str(part.quantity),
                part.title,
                f"{stocks[part.stock].material}, {length_words(part.thickness, notation)}",
            )
            for part in jig.parts
        ),
    )
    hardware = Table(
        "Hardware",
        ("Id", "Count", "Size", "Item and use"),
        tuple(
            (
                item.id,
                str(item.count),
                # A metric screw keeps its metric length: that is how it is sold.
                f"{item.thread} × {mm(item.length)}",
                f"{item.title}: {item.purpose}",
            )
            for item in jig.hardware
        ),
    )
    foot = column.y0
    for table in (hardware, parts, *more):
        items, high = table.items(column.x0, foot, column.width)
        builder.add(items)
        foot += high + 4.0
        if foot > column.y1:
            raise LayoutError("the lists are taller than the sheet")
    return foot


def _step_notes(jig: Jig, numbers: Mapping[str, str], shown: Collection[str]) -> list[str]:
    """The order of assembly, and what is listed but not shown."""
    notes = [f"{number}. {step}" for number, step in enumerate(jig.assembly_steps, 1)]
    missing = _runs([number for number, part in enumerate(jig.parts, 1) if numbers[part.name] not in shown])
    alike = "It stands alike for both cuts; " if _serves_body(jig) else ""
    notes.append(f"{alike}{missing} are loose or hidden. Pictures: no scale.")
    return notes


def _runs(numbers: Sequence[int]) -> str:
    """Numbers in words, three and more that follow each other as a run: "9, 13 to 25"."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    words = [f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs]
    return ", ".join(words)


def _steps(builder: SheetBuilder, notes: Sequence[str], column: Box, foot: float) -> None:
    """Notes over the lists."""
    lines = [
        text if i == 0 else f"   {text}"
        for note in notes
        for i, text in enumerate(wrapped(note, _NOTE, column.width - 4.0))
    ]
    top = foot + len(lines) * _LINE
    if top + 8.0 > column.y1:
        raise LayoutError("lists and notes are taller than the sheet")
    builder.label("Order of assembly", P2(column.x0, top + 1.0), _CAPTION, Role.TITLE)
    for i, text in enumerate(lines):
        builder.label(text, P2(column.x0, top - (i + 1) * _LINE + 1.0), _NOTE)
