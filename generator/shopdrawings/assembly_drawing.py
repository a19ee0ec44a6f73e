"""The drawing of the assembled jig: seen from the front, the side and two corners, with parts and hardware lists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from generator.drawing.callout import Notation, angle_text, length_words
from generator.drawing.font import ascent, wrapped
from generator.drawing.projection import JigView, Projection, project_assembly
from generator.drawing.sheet import Label, Sheet, SheetBuilder, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.titleblock import TitleBlock, fitting_scale, frame_items, scale_text, title_block_items
from generator.errors import LayoutError
from generator.geometry2d import P2, Box, Path, Transform
from generator.model.job import Projection as Arrangement
from generator.parts.base import Jig, Use
from generator.shopdrawings.balloons import balloon_items, target_on
from generator.shopdrawings.formats import DrawingFormat, formats_for
from generator.shopdrawings.part_drawing import SheetNumber
from generator.shopdrawings.tables import Table
from generator.solution import Solution

if TYPE_CHECKING:
    from generator.solid import Assembly, Solids

_NOTE = 2.5
_CAPTION = 3.5
_LINE = 4.2
#: Room round a pictorial view for its balloons, mm on the paper.
_BALLOON_ROOM = 24.0


def assembly_drawing(solution: Solution, jig: Jig, place: SheetNumber, solids: Solids | None = None) -> Sheet:
    """The jig as it stands to cut the neck, on the smallest sheet that holds views and lists.

    Raises LayoutError when no sheet does.
    """
    from generator.solid import assembly  # the CAD kernel takes a second to load, and only the drawings need it

    model = assembly(jig, solution.neck_set.cradle_angle, Use.NECK, solids=solids)
    failure: LayoutError | None = None
    for format_ in formats_for(solution.job.output.paper)[1:]:
        try:
            return _draw(solution, jig, place, model, format_)
        except LayoutError as error:
            failure = error
    raise LayoutError(f"assembly drawing: {failure}")


def _draw(solution: Solution, jig: Jig, place: SheetNumber, model: Assembly, format_: DrawingFormat) -> Sheet:
    job = solution.job
    notation = Notation(job.output.units, bench=False)
    builder = SheetBuilder("jig", "Jig, assembly drawing")
    builder.add(frame_items(format_.width, format_.height))
    numbers = {part.name: number for number, part in enumerate(jig.parts, 1)}
    room = format_.views
    half = Box(room.x0, room.center.y, room.x1, room.y1)
    scale = _orthographic(builder, model, Box(room.x0, room.y0, room.x1, room.center.y - 6.0), job.output.projection)
    split = half.center.x
    front, back = Box(half.x0, half.y0, split, half.y1), Box(split, half.y0, half.x1, half.y1)
    _pictorial(builder, model, JigView.ISOMETRIC_FRONT, front, numbers, set())
    shown = _labels_in(front, builder)
    _pictorial(builder, model, JigView.ISOMETRIC_BELOW, back, numbers, shown)
    builder.add(title_block_items(_title_block(solution, place, format_, scale), format_.width, format_.height))
    foot = _lists(builder, jig, numbers, notation, format_.column)
    _steps(builder, solution, jig, notation, format_.column, foot)
    return builder.sheet(format_.width, format_.height, job=job.name, scale=scale)


def _title_block(solution: Solution, place: SheetNumber, format_: DrawingFormat, scale: float) -> TitleBlock:
    output = solution.job.output
    return TitleBlock(
        title="Neck-joint router jig",
        identification=f"{solution.job.name} / jig",
        material="see the parts list",
        scale=scale_text(scale),
        paper=format_.name,
        projection=output.projection,
        units=output.units,
        document="Assembly drawing",
        finish="-",
        sheet_number=place.number,
        sheet_count=place.count,
    )


def _orthographic(builder: SheetBuilder, model: Assembly, room: Box, arrangement: Arrangement) -> float:
    """Front view and view from the left, side by side as the arrangement asks; returns their scale."""
    front = project_assembly(model, JigView.FRONT.value)
    side = project_assembly(model, JigView.LEFT.value)
    # First angle puts what is seen from the left on the right of the front view, third angle on its left.
    order = (front, side) if arrangement is Arrangement.FIRST else (side, front)
    names = {id(front): "From the work's side", id(side): "From the left"}
    gap = 20.0
    whole = Box(0.0, 0.0, front.box.width + side.box.width, max(front.box.height, side.box.height))
    scale = fitting_scale(whole, Box(room.x0 + gap, room.y0 + 8.0, room.x1 - gap, room.y1))
    used = whole.width * scale + gap
    x = room.center.x - used / 2.0
    top = room.y1
    for view in order:
        move = Transform.scale(scale).then(Transform.move(x - view.box.x0 * scale, top - view.box.y1 * scale))
        _ink(builder, view, move)
        builder.label(names[id(view)], P2(x, top - whole.height * scale - 2.0 - ascent(_CAPTION)), _CAPTION)
        x += view.box.width * scale + gap
    return scale


def _ink(builder: SheetBuilder, view: Projection, move: Transform) -> None:
    for paths, role in ((view.visible, Role.EDGE), (view.smooth, Role.HATCH)):
        builder.add([Stroke(path.transformed(move), role, PENS[role]) for path in paths])


def _pictorial(
    builder: SheetBuilder,
    model: Assembly,
    seen_from: JigView,
    room: Box,
    numbers: Mapping[str, int],
    shown: set[int],
) -> None:
    """A view from a corner with a balloon for every part not yet `shown` that it lets be seen well."""
    view = project_assembly(model, seen_from.value)
    inner = Box(room.x0 + _BALLOON_ROOM, room.y0 + 4.0, room.x1 - _BALLOON_ROOM, room.y1 - 4.0)
    # A pictorial view measures nothing, so it may take the room there is.
    scale = min(inner.width / view.box.width, inner.height / view.box.height)
    center = view.box.center
    move = Transform.scale(scale).then(
        Transform.move(room.center.x - center.x * scale, room.center.y - center.y * scale)
    )
    _ink(builder, view, move)
    targets: dict[int, P2] = {}
    for piece in model.pieces:
        number = numbers.get(piece.product)
        paths: Sequence[Path] = view.by_piece.get(piece.label, ())
        if number is None or number in shown or number in targets or not paths:
            continue
        targets[number] = move.apply(target_on(paths))
    if targets:
        low, high = move.apply(P2(view.box.x0, view.box.y0)), move.apply(P2(view.box.x1, view.box.y1))
        builder.add(balloon_items(targets, Box(low.x, low.y, high.x, high.y)))


def _labels_in(room: Box, builder: SheetBuilder) -> set[int]:
    """Numbers of the balloons that already stand in `room`."""
    labels = (item for item in builder.items if isinstance(item, Label))
    return {int(label.text) for label in labels if label.text.isdigit() and room.contains(label.at)}


def _lists(builder: SheetBuilder, jig: Jig, numbers: Mapping[str, int], notation: Notation, column: Box) -> float:
    """Hardware list at the column's foot, parts list over it; returns where free room begins."""
    parts = Table(
        "Parts",
        ("No", "Make", "Part", "Stock"),
        tuple(
            (
                str(numbers[part.name]),
                str(part.quantity),
                part.title,
                f"{part.stock}, {length_words(part.thickness, notation)}",
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
                f"{item.thread} × {length_words(item.length, notation)}",
                f"{item.title}: {item.purpose}",
            )
            for item in jig.hardware
        ),
    )
    foot = column.y0
    for table in (hardware, parts):
        items, high = table.items(column.x0, foot, column.width)
        builder.add(items)
        foot += high + 4.0
        if foot > column.y1:
            raise LayoutError("the lists are taller than the sheet")
    return foot


def _steps(builder: SheetBuilder, solution: Solution, jig: Jig, notation: Notation, column: Box, foot: float) -> None:
    """The order of assembly over the lists."""
    angle = angle_text(solution.neck_set.cradle_angle)
    notes = [f"{number}. {step}" for number, step in enumerate(jig.assembly_steps, 1)]
    notes.append(f"Shown with the bed at {angle} for the neck; loose gauges and shims are listed, not shown.")
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
