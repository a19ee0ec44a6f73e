"""Full-scale sheets for the bench, put together from blocks: a plain title saying what to do, views, notes.

A *block* is one view with its dimensions, arrows and caption, laid out in its own coordinates. A sheet stacks blocks
under its title and grows to hold them; it is cut into pages later, so it has no size of its own to obey.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from generator.base.annotation import Anchor
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box, Transform
from generator.drawing.callout import Notation
from generator.drawing.dimension import DimensionStyle, Request, View
from generator.drawing.font import ascent, descent, wrapped
from generator.drawing.layout import lay_out
from generator.drawing.paper import INK_MARGIN
from generator.drawing.scene import Quad, Scene
from generator.drawing.sheet import DimensionMark, Item, Label, Level, Sheet, SheetBuilder, union_box
from generator.drawing.style import Role
from generator.drawing.symbols import pointer
from generator.drawing.tables import Table
from generator.drawing.tiling import CUT_RULE
from generator.job.model.job import UnitsChoice

#: Letters of a bench sheet, mm: capitals of 2.5 are ten-point type, read at arm's length.
BENCH_STYLE = DimensionStyle(text=2.5)
#: Capital height of a sheet's title, mm.
TITLE_TEXT = 5.0
#: Capital height of the instruction under the title and of the words at an arrow, mm.
INSTRUCTION_TEXT = 3.5
#: Capital height of captions and notes, mm.
NOTE_TEXT = 2.5
#: A sheet's texts wrap at this width, mm, where it is given no other: it fits on an upright A4 or letter page.
TEXT_WIDTH = 180.0
#: Between blocks that stand side by side, mm.
ALONG_GAP = 12.0
#: Two captions of this width stand side by side, mm.
HALF_WIDTH = (TEXT_WIDTH - ALONG_GAP) / 2.0
#: Between rows of blocks, and between them and the texts, mm.
ROW_GAP = 6.0
#: Line pitch over capital height.
_LINE = 1.7
#: Least clear space round an arrow and its words, mm.
_POINTER_MARGIN = 3.0


@dataclass(frozen=True)
class Pointer:
    """An arrow with words: which way is up, where the saddle lies, which is the bass side."""

    text: str
    direction: P2
    near: P2 | None = None


@dataclass(frozen=True)
class Identity:
    """What is written on the part itself, so that a cut-out template still says what it is; `holds` tells material."""

    text: str
    holds: Callable[[P2], bool]


@dataclass(frozen=True)
class Block:
    """A laid-out view in its own coordinates, mm at the scale of the sheet."""

    items: tuple[Item, ...]
    marks: tuple[DimensionMark, ...]
    scale: float = 1.0

    @property
    def box(self) -> Box:
        return union_box([*self.items, *(item for mark in self.marks for item in mark.items)])


def view_block(
    drawn: Sequence[Item],
    view: View,
    requests: Sequence[Request] = (),
    caption: str = "",
    pointers: Sequence[Pointer] = (),
    style: DimensionStyle = BENCH_STYLE,
    identity: Identity | None = None,
    frame: Box | None = None,
) -> Block:
    """Lays out `requests` round the ink of a view, then finds room for names and arrows, then sets the caption.

    `frame` bounds the dimensions where given.
    """
    marks = lay_out(requests, view, drawn, style, frame)
    items = list(drawn)
    scene = Scene([*items, *(item for mark in marks for item in mark.items)])
    if identity:
        name = _place_identity(identity, view.box, scene)
        scene.add(name)
        items += name
    for arrow in pointers:
        placed = _place_pointer(arrow, view.box, scene)
        scene.add(placed)
        items += placed
    block = Block(tuple(items), marks, view.scale)
    return captioned(block, caption) if caption else block


def table_block(table: Table, width: float) -> Block:
    """A ruled table `width` mm wide as a block."""
    items, _ = table.items(0.0, 0.0, width)
    return Block(tuple(items), ())


def captioned(block: Block, caption: str) -> Block:
    """`block` with a paragraph underneath that starts at its left edge."""
    box = block.box
    lines = wrapped(caption, NOTE_TEXT, min(max(box.width, HALF_WIDTH), TEXT_WIDTH))
    at = P2(box.x0, box.y0 - 2.0 - ascent(NOTE_TEXT))
    below = (at.minus(P2(0.0, i * _LINE * NOTE_TEXT)) for i in range(len(lines)))
    words = (Label(text, base, NOTE_TEXT, Role.NOTE) for text, base in zip(lines, below, strict=True))
    return Block((*block.items, *words), block.marks, block.scale)


def compose_sheet(
    name: str,
    title: str,
    instruction: str,
    job: str,
    blocks: Sequence[Block],
    notes: Sequence[str],
    notation: Notation,
    width: float = TEXT_WIDTH,
    above: Sequence[str] = (),
) -> Sheet:
    """Title and instruction on top, blocks in rows under them, notes at the foot; the sheet is as large as all that.

    Notes `above` the blocks leave the foot free. Texts and rows keep to `width` mm, or to the widest
    block. Raises LayoutError without a block.
    """
    if not blocks:
        raise LayoutError(f"sheet {name}: no view to show")
    width = max(width, *(block.box.width for block in blocks))
    builder = SheetBuilder(name, title)
    cut = any(item.role is Role.CUT for block in blocks for item in block.items)
    rules = [f"{CUT_RULE[0].upper()}{CUT_RULE[1:]}."] if cut else []
    said = [(note, NOTE_TEXT) for note in (*rules, *(_sentence(note) for note in notes))]
    heads = [(title, TITLE_TEXT), (instruction, INSTRUCTION_TEXT), (f"Job {job}. {_units_note(notation)}", NOTE_TEXT)]
    heads += [(_sentence(note), NOTE_TEXT) for note in above]
    cursor = _paragraphs(builder, heads, 0.0, width) - ROW_GAP
    for row in _rows(blocks, width):
        cursor = _set_row(builder, row, cursor) - ROW_GAP
    _paragraphs(builder, said, cursor, width)
    return _closed(builder, job, blocks[0].scale)


def _closed(builder: SheetBuilder, job: str, scale: float) -> Sheet:
    """All that `builder` holds on a sheet just large enough."""
    items = builder.items + [item for mark in builder.dimensions for item in mark.items]
    box = union_box(items).grown(INK_MARGIN)
    move = Transform.move(-box.x0, -box.y0)
    final = SheetBuilder(builder.name, builder.title)
    final.add(builder.items, move)
    for mark in builder.dimensions:
        final.dimension(mark, move)
    return final.sheet(box.width, box.height, job, scale)


def _units_note(notation: Notation) -> str:
    both = "millimetres (inches to the nearest 1/64)" if notation.bench else "millimetres [inches]"
    return {
        UnitsChoice.MM: "Numbers: millimetres.",
        UnitsChoice.INCH: f"Numbers: inches{' to the nearest 1/64' if notation.bench else ''}.",
        UnitsChoice.BOTH: f"Numbers: {both}.",
    }[notation.units]


def _sentence(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _paragraphs(builder: SheetBuilder, texts: Sequence[tuple[str, float]], top: float, width: float) -> float:
    """Sets texts of their capital heights, `width` mm wide, from `top` downwards; returns where the next may start."""
    for text, height in texts:
        for text_line in wrapped(text, height, width):
            base = top - ascent(height)
            builder.label(text_line, P2(0.0, base), height, Role.TITLE if height > NOTE_TEXT else Role.NOTE)
            top = base - descent(height) - 0.2 * height
    return top


def _rows(blocks: Sequence[Block], width: float) -> list[list[Block]]:
    """Blocks side by side as long as they fit into `width`, in their given order."""
    rows: list[list[Block]] = [[]]
    used = 0.0
    for block in blocks:
        need = block.box.width + (ALONG_GAP if rows[-1] else 0.0)
        if rows[-1] and used + need > width:
            rows.append([])
            used, need = 0.0, block.box.width
        rows[-1].append(block)
        used += need
    return rows


def _set_row(builder: SheetBuilder, row: Sequence[Block], top: float) -> float:
    """Puts a row of blocks with their tops at `top`; returns the row's foot."""
    x, foot = 0.0, top
    for block in row:
        box = block.box
        move = Transform.move(x - box.x0, top - box.y1)
        builder.add(block.items, move)
        for mark in block.marks:
            builder.dimension(mark, move)
        x += box.width + ALONG_GAP
        foot = min(foot, top - box.height)
    return foot


def _place_identity(identity: Identity, box: Box, scene: Scene) -> list[Item]:
    """The text somewhere clear on the material, large if it can be; nothing where there is no room for words."""
    spots = _spots(box.grown(-3.0), box.center)
    for height in (5.0, 3.5, 2.5):
        for angle in (0.0, 90.0):
            label = Label(identity.text, P2(0.0, 0.0), height, Role.NOTE, angle, Anchor.MIDDLE, Level.MIDDLE)
            a, b, c, d = label.corners(1.5)
            for at in spots:
                if scene.text_fits((a.plus(at), b.plus(at), c.plus(at), d.plus(at))) and identity.holds(a.plus(at)):
                    return [replace(label, at=at)]
    return []


def _place_pointer(arrow: Pointer, box: Box, scene: Scene) -> list[Item]:
    """The arrow at the clear spot nearest to where it is wanted: inside the view's box, else around it."""
    near = arrow.near or box.center
    for region in (box.grown(-2.0), box.grown(40.0), box.grown(120.0)):
        for at in _spots(region, near):
            items = pointer(at, arrow.direction, 14.0, arrow.text, INSTRUCTION_TEXT)
            whole = union_box(items).grown(_POINTER_MARGIN)
            if scene.text_fits(_corners(whole)):
                return items
    raise LayoutError(f"no clear place for the arrow {arrow.text!r}")


def _spots(region: Box, near: P2, step: float = 4.0) -> Iterable[P2]:
    """A grid of points of `region`, those close to `near` first."""
    if region.width <= 0 or region.height <= 0:
        return []
    columns, rows = math.floor(region.width / step), math.floor(region.height / step)
    points = [P2(region.x0 + i * step, region.y0 + j * step) for i in range(columns + 1) for j in range(rows + 1)]
    return sorted(points, key=lambda p: (round(p.distance(near), 6), p))


def _corners(box: Box) -> Quad:
    return P2(box.x0, box.y0), P2(box.x1, box.y0), P2(box.x1, box.y1), P2(box.x0, box.y1)
