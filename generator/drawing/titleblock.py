"""Frame and title block of a shop drawing: ISO 5457 border, ISO 7200 fields, ISO 5456-2 projection symbol.

The border's ink starts 10 mm inside the sheet (20 mm on the filing side, the left), so a shop printer reaches it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from generator.base.annotation import Anchor
from generator.base.contours2d import Circle
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box
from generator.base.shapes2d import polygon, rectangle
from generator.drawing.font import ascent, largest_height, text_width, wrapped
from generator.drawing.sheet import Item, Label, Level, Stroke
from generator.drawing.style import HEIGHTS, PENS, Pen, Role
from generator.drawing.symbols import line
from generator.drawing.templates import environment
from generator.job.model.job import Projection, UnitsChoice

#: ISO 5457: width of the border on the left, the filing margin, mm.
FILING_MARGIN = 20.0
#: ISO 5457: width of the border on the other three sides, mm.
BORDER = 10.0

#: ISO 7200: the title block is 180 mm wide, so that it fits an upright A4.
BLOCK_WIDTH = 180.0
#: Height of the title block, mm.
BLOCK_HEIGHT = 45.0

#: ISO 5455: drawing scales, paper length of one model millimetre, as they are written.
SCALES: tuple[tuple[float, str], ...] = (
    (5.0, "5:1"),
    (2.0, "2:1"),
    (1.0, "1:1"),
    (0.5, "1:2"),
    (0.2, "1:5"),
    (0.1, "1:10"),
)

#: Key, left edge, foot, width, height of each cell, mm from the block's lower left corner.
_CELLS: tuple[tuple[str, float, float, float, float], ...] = (
    ("material", 0.0, 36.0, 50.0, 9.0),
    ("finish", 50.0, 36.0, 50.0, 9.0),
    ("tolerance", 100.0, 36.0, 40.0, 9.0),
    ("edges", 140.0, 36.0, 40.0, 9.0),
    ("creator", 0.0, 27.0, 45.0, 9.0),
    ("approved", 45.0, 27.0, 45.0, 9.0),
    ("document", 90.0, 27.0, 50.0, 9.0),
    ("units", 140.0, 27.0, 40.0, 9.0),
    ("owner", 0.0, 9.0, 45.0, 18.0),
    ("title", 45.0, 9.0, 95.0, 18.0),
    ("projection", 140.0, 9.0, 40.0, 18.0),
    ("identification", 0.0, 0.0, 60.0, 9.0),
    ("revision", 60.0, 0.0, 20.0, 9.0),
    ("date", 80.0, 0.0, 30.0, 9.0),
    ("sheet", 110.0, 0.0, 22.0, 9.0),
    ("scale", 132.0, 0.0, 22.0, 9.0),
    ("paper", 154.0, 0.0, 26.0, 9.0),
)
#: Capital height of the captions in the cells, mm.
_CAPTION = 1.8
#: Cells higher than this take larger letters, mm.
_TALL_CELL = 10.0
#: A line to write on stands this far inside its empty cell, mm.
_WRITING = 1.6
#: Line pitch over capital height, where a value takes two lines.
_LINE = 1.35


@dataclass(frozen=True)
class TitleBlock:
    """What the title block says.

    `date` and `revision` are the job's: nothing reads a clock. What is empty shows a line to write on.
    """

    title: str
    identification: str
    material: str
    scale: str
    paper: str
    projection: Projection
    units: UnitsChoice
    document: str = "Part drawing"
    finish: str = ""
    tolerance: str = "ISO 2768-m, ISO 8015"
    edges: str = ""
    creator: str = "Heelwright"
    owner: str = ""
    approved: str = ""
    revision: str = ""
    date: str = ""
    sheet_number: int = 1
    sheet_count: int = 1


def frame_box(width: float, height: float) -> Box:
    """The middle line of the border on a sheet of that size; its ink ends at the standard's margins."""
    half = PENS[Role.FRAME].width / 2.0
    return Box(FILING_MARGIN + half, BORDER + half, width - BORDER - half, height - BORDER - half)


def frame_items(width: float, height: float) -> list[Item]:
    """Border and centring marks of a sheet."""
    box = frame_box(width, height)
    middle = P2(width / 2.0, height / 2.0)
    marks = [
        (P2(box.x0, middle.y), P2(box.x0 + 5.0, middle.y)),
        (P2(box.x1 - 5.0, middle.y), P2(box.x1, middle.y)),
        (P2(middle.x, box.y1 - 5.0), P2(middle.x, box.y1)),
    ]
    return [Stroke(rectangle(*box), Role.FRAME, PENS[Role.FRAME]), *(line(a, b, Role.FRAME) for a, b in marks)]


def title_block_items(block: TitleBlock, width: float, height: float) -> list[Item]:
    """The title block in the lower right corner of the border of a `width` × `height` mm sheet.

    A text too long for its cell takes two small lines, and is shortened in its middle if that is not enough. Raises
    LayoutError when the sheet is too narrow for the block.
    """
    frame = frame_box(width, height)
    if frame.width < BLOCK_WIDTH - 1.0:
        raise LayoutError(f"a sheet {width:g} mm wide has no room for a title block of {BLOCK_WIDTH:g} mm")
    corner = P2(max(frame.x1 - BLOCK_WIDTH, frame.x0), frame.y0)
    reads = _template()
    context = {**vars(block), "units": block.units.value, "projection": block.projection.value}
    items: list[Item] = []
    for key, x, y, cell_width, cell_height in _CELLS:
        cell = Box(corner.x + x, corner.y + y, min(corner.x + x + cell_width, frame.x1), corner.y + y + cell_height)
        items.append(Stroke(rectangle(*cell), Role.TITLE, _cell_pen()))
        items += _cell_text(cell, str(reads.caption(key)), str(reads.value(key, context)))
        if key == "projection":
            items += projection_symbol(block.projection, P2(cell.center.x + 4.0, cell.y0 + 7.8))
    return items


def projection_symbol(projection: Projection, centre: P2, size: float = 4.0) -> list[Item]:
    """The truncated cone seen from the side and from its small end, as first- or third-angle projection places them.

    `size` is the small end's diameter, mm; `centre` the middle of the whole symbol.
    """
    apart = 2.2 * size
    first = projection is Projection.FIRST
    # The small end points left in both: first angle puts the view from the left on the right, third angle on the left.
    cone = centre.plus(P2(-apart if first else apart, 0.0).times(0.5))
    rings = centre.plus(P2(apart if first else -apart, 0.0).times(0.5 * 1.2))
    side = polygon(
        [
            cone.plus(P2(-size, -size / 2.0)),
            cone.plus(P2(size, -size)),
            cone.plus(P2(size, size)),
            cone.plus(P2(-size, size / 2.0)),
        ]
    )
    pen = PENS[Role.TITLE]
    items: list[Item] = [
        Stroke(side, Role.TITLE, pen),
        Stroke(Circle(rings, size / 2.0), Role.TITLE, pen),
        Stroke(Circle(rings, size), Role.TITLE, pen),
    ]
    reach = size + 1.0
    for a, b in (
        (P2(cone.x - reach, centre.y), P2(cone.x + reach, centre.y)),
        (P2(rings.x - reach, centre.y), P2(rings.x + reach, centre.y)),
        (P2(rings.x, centre.y - reach), P2(rings.x, centre.y + reach)),
    ):
        items.append(line(a, b, Role.CENTRE))
    return items


def _cell_text(cell: Box, caption: str, value: str) -> list[Item]:
    """Small caption at the cell's top, the value under it as large as the cell allows."""
    top = cell.y1 - 0.7 - ascent(_CAPTION)
    items: list[Item] = [Label(caption, P2(cell.x0 + 1.0, top), _CAPTION, Role.TITLE)]
    if not value:
        return [*items, _writing_line(cell)]
    tall = cell.height > _TALL_CELL
    limit = 5.0 if tall and caption == "Title" else 3.5 if tall else 2.5
    lines, height = _fitting_lines(value, cell.width - 2.0, limit)
    if caption == "Projection":
        at = P2(cell.x0 + 1.0, cell.y1 - 1.4 - 2.0 * ascent(_CAPTION) - 1.0)
        return [*items, *_split_label(value, at)]
    pitch = _LINE * height
    foot = cell.y0 + (1.2 if not tall else (cell.height - 4.0 - height - pitch * (len(lines) - 1)) / 2.0)
    if len(lines) > 1 and not tall:
        foot = cell.y0 + 1.3
    places = [P2(cell.x0 + 1.0, foot + pitch * i) for i in reversed(range(len(lines)))]
    return [*items, *(Label(text, place, height, Role.TITLE) for text, place in zip(lines, places, strict=True))]


def _writing_line(cell: Box) -> Stroke:
    """Where a hand writes what nobody has said yet."""
    foot = cell.y0 + _WRITING
    return line(P2(cell.x0 + _WRITING, foot), P2(cell.x1 - _WRITING, foot), Role.DIMENSION)


def _fitting_lines(value: str, width: float, limit: float) -> tuple[tuple[str, ...], float]:
    """A value on one line as large as it fits; one too long for that on two small lines, its middle left out if needed.

    The document's own properties carry names in full, so a long name may be shortened here but never refuses a drawing.
    """
    try:
        return (value,), largest_height(value, width, limit)
    except LayoutError:
        small = min(HEIGHTS)
    head, slash, tail = value.rpartition(" / ")
    lines = (f"{head} /", tail) if slash else _halves(value, small, width)
    return tuple(_shortened(text, small, width) for text in lines), small


def _halves(value: str, height: float, width: float) -> tuple[str, ...]:
    """At most two lines, broken at spaces where there are any."""
    lines = wrapped(value, height, width)
    return lines if len(lines) <= 2 else (lines[0], " ".join(lines[1:]))


def _shortened(text: str, height: float, width: float) -> str:
    """`text` with as much of its middle left out as it is too wide."""
    keep = len(text)
    short = text
    while text_width(short, height) > width:
        keep -= 1
        short = f"{text[: (keep + 1) // 2]}…{text[len(text) - keep // 2 :]}"
    return short


def _split_label(value: str, at: P2) -> list[Item]:
    """The projection's name, one word under the other, beside its symbol."""
    return [
        Label(word, at.minus(P2(0.0, i * 3.6)), 1.8, Role.TITLE, anchor=Anchor.LEFT, level=Level.BASE)
        for i, word in enumerate(value.split())
    ]


def _cell_pen() -> Pen:
    return Pen(PENS[Role.EDGE].width)


@lru_cache(maxsize=1)
def _template() -> Any:
    return environment().get_template("titleblock.j2").module


def scale_text(scale: float) -> str:
    """ "1:2" for 0.5. Raises LayoutError for what is no scale of ISO 5455."""
    for value, text in SCALES:
        if abs(value - scale) < 1e-9:
            return text
    raise LayoutError(f"scale {scale:g}: allowed are {', '.join(text for _, text in SCALES)}")
