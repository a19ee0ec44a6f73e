"""A small picture of each nested sheet: its outline, the parts as its cutting file lays them, their names inside."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from generator.base.annotation import Anchor
from generator.base.contours2d import Area, Contour
from generator.base.points2d import P2, Box, Transform
from generator.base.shapes2d import polygon, rectangle
from generator.cutting.making import cutting_parts, nested_parts
from generator.cutting.nesting import NestedPart, NestedSheet, nest_all
from generator.documents.paper.strokes import break_line, run, stroke
from generator.documents.paper.words import bench_format
from generator.drawing.compose import Identity, view_block
from generator.drawing.dimension import View
from generator.drawing.sheet import Fill, Item, Label, Level, Sheet, SheetBuilder
from generator.drawing.style import Role
from generator.jig.part import Jig
from generator.joint.solution import Solution

#: Length of the longer side of what is drawn, mm: its letters can be read on a telephone's screen.
_LONGER = 110.0
#: Width of the white edge round what is drawn, mm.
_EDGE = 1.0
#: Of a sheet that is not filled the rest is drawn only as long as this share of what is used.
_REST = 0.15
#: A sheet is drawn to its end where what would be shown is at least this share of its length.
_MOSTLY = 0.85
#: Room of a break line's zigzag, mm.
_TOOTH = 3.0
#: Height of a part's number, mm.
_NUMBER_TEXT = 2.5
#: About the distance between the places tried for a part's number, mm.
_STEP = 1.0
#: Where a part's wood is, is asked of its outline this close, mm on the picture.
_FLAT = 0.02


@dataclass(frozen=True)
class SheetPreview:
    """One nested sheet's picture and, in words, which parts a number stands for where a name found no room."""

    sheet: NestedSheet
    picture: Sheet
    key: tuple[str, ...]


@dataclass(frozen=True)
class SheetFigure:
    """A preview in words and ink: the sheet's name, its size, what its numbers stand for, its picture (SVG)."""

    name: str
    size: str
    key: tuple[str, ...]
    picture: str


def sheet_figures(solution: Solution, jig: Jig) -> tuple[SheetFigure, ...]:
    """The previews as a page shows them, sizes in the job's units."""
    from generator.formats.svg.write import svg_text

    spell = bench_format(solution.job)
    return tuple(
        SheetFigure(
            preview.picture.title,
            " × ".join(spell.length(side) for side in (preview.sheet.length, preview.sheet.width)),
            preview.key,
            svg_text(preview.picture),
        )
        for preview in sheet_previews(solution, jig)
    )


def sheet_previews(solution: Solution, jig: Jig) -> tuple[SheetPreview, ...]:
    """A preview of every sheet that the laser group lays out, in its order."""
    job = solution.job
    parts = nested_parts(cutting_parts(jig.parts, job), job)
    return tuple(_preview(sheet, job.name) for sheet in nest_all(parts, job.stocks))


def _preview(sheet: NestedSheet, job: str) -> SheetPreview:
    shown = _shown_length(sheet)
    scale = _LONGER / max(shown, sheet.width)
    to_paper = Transform.scale(scale).then(Transform.move(_EDGE, _EDGE))
    title = f"{sheet.stock}, sheet {sheet.number} of {sheet.count}"
    builder = SheetBuilder(f"sheet-{sheet.stock}-{sheet.number}", title)
    builder.add(_edges(sheet, shown, to_paper))
    numbered: dict[str, str] = {}
    for place in sheet.places:
        builder.add(_part(place, to_paper, numbered))
    width, height = shown * scale + 2.0 * _EDGE, sheet.width * scale + 2.0 * _EDGE
    return SheetPreview(sheet, builder.sheet(width, height, job, scale), tuple(numbered.values()))


def _shown_length(sheet: NestedSheet) -> float:
    """How much of the sheet's length is drawn, mm: what the parts take and a piece of the rest, which stays whole."""
    used = max(place.box.x1 for place in sheet.places) + sheet.margin
    shown = used + max(_REST * used, 2.0 * sheet.margin)
    return shown if shown < _MOSTLY * sheet.length else sheet.length


def _edges(sheet: NestedSheet, shown: float, to_paper: Transform) -> list[Item]:
    """The sheet's outline, ended by a break line where it is not drawn to its end."""
    low, high = to_paper.apply(P2(shown, 0.0)), to_paper.apply(P2(shown, sheet.width))
    if shown == sheet.length:
        return [stroke(rectangle(0.0, 0.0, sheet.length, sheet.width).transformed(to_paper), Role.EDGE)]
    corners = [low, to_paper.apply(P2(0.0, 0.0)), to_paper.apply(P2(0.0, sheet.width)), high]
    # The zigzag leans a tooth to either side: it stands that far inside the picture.
    back = P2(-_TOOTH, 0.0)
    inner = [corners[0].plus(back), *corners[1:3], corners[3].plus(back)]
    return [run(inner, Role.EDGE), break_line(inner[0], inner[3])]


def _part(place: NestedPart, to_paper: Transform, numbered: dict[str, str]) -> Sequence[Item]:
    """A part's lines with its name, or a number that `numbered` gets by the part's name."""
    to_sheet = place.transform.then(to_paper)
    contours = [(contour.transformed(to_sheet), role) for contour, role in _contours(place)]
    ink: list[Item] = [stroke(contour, role) for contour, role in contours]
    outline = contours[0][0]
    wood, *openings = (Area.of(contour, _FLAT) for contour, _ in contours)

    def holds(point: P2) -> bool:
        return wood.holds(point) and not any(opening.holds(point) for opening in openings)

    title = place.part.title
    block = view_block(ink, View(to_sheet, outline.box()), identity=Identity(title, holds))
    if any(isinstance(item, Label) for item in block.items):
        return block.items
    number = numbered.setdefault(place.part.name, f"{len(numbered) + 1} {title}").split(" ")[0]
    return [*ink, *_numbered(number, outline.box(), holds)]


def _numbered(number: str, box: Box, holds: Callable[[P2], bool]) -> list[Item]:
    """The number on the part's wood near its middle, on a patch of paper: a narrow part's lines do not cross it."""
    columns, rows = (max(1, round(side / _STEP)) for side in (box.width, box.height))
    spots = [P2(box.x0 + i * box.width / columns, box.y0 + j * box.height / rows)
             for i in range(columns + 1) for j in range(rows + 1)]  # fmt: skip
    spots.sort(key=lambda spot: (round(spot.distance(box.center), 6), spot))
    labels = [Label(number, spot, _NUMBER_TEXT, Role.NOTE, 0.0, Anchor.MIDDLE, Level.MIDDLE) for spot in spots]
    clear = (label for label in labels if all(holds(corner) for corner in label.corners()))
    on_wood = (label for label in labels if holds(label.at))
    label = next(clear, None) or next(on_wood, labels[0])
    return [Fill(polygon(label.corners()), Role.NOTE, grey=1.0), label]


def _contours(place: NestedPart) -> Iterator[tuple[Contour, Role]]:
    """What is cut of a part, in its own coordinates: its outline first, then openings and holes."""
    yield place.part.outline, Role.CUT
    for contour in place.part.through_contours():
        yield contour, Role.HATCH
