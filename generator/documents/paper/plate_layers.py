"""A template plate glued up by hand of two layers: the upper one's pieces in a picture and a table, then the order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain

from generator.base.annotation import Anchor, Side
from generator.base.points2d import P2, Transform
from generator.base.shapes2d import rectangle
from generator.cutting.making import glued_by_hand
from generator.documents.paper.rooms import Rooms, first_on_a_page
from generator.documents.paper.words import CalloutFormat, caliper_format, sheet_words
from generator.drawing.callout import length_text
from generator.drawing.compose import INSTRUCTION_TEXT, Block, compose_sheet, table_block, view_block
from generator.drawing.dimension import View
from generator.drawing.sheet import Fill, Item, Label, Level, Sheet, Stroke, union_box
from generator.drawing.style import PENS, Role
from generator.drawing.tables import Table
from generator.jig import dims
from generator.jig.hand_plate import KEEPS_BACK, HandPlate, Piece
from generator.jig.layout import jig_layout
from generator.jig.part import Jig
from generator.jig.template_plate import TEMPLATE_PLATE
from generator.joint.solution import Solution

#: The plate's length in the picture, as a share of the page's width: the first that leaves all on one page.
_SIZES = (0.8, 0.7, 0.6, 0.5, 0.42)
#: Wood in the picture, from 0 (black) to 1 (white).
_WOOD = 0.9
#: What makes no width of the joint is told to this many decimals of a millimetre.
_DECIMALS = 1


def plate_layers(solution: Solution, jig: Jig, rooms: Rooms) -> tuple[Sheet, ...]:
    """The sheet `plate_layers`; none where a machine makes the plate, or no width of it makes a joint."""
    if not glued_by_hand(jig.part(TEMPLATE_PLATE.name), solution):
        return ()
    layout, job = jig_layout(solution), solution.job
    plate, spell = HandPlate(layout), caliper_format(job)
    said = sheet_words(
        "plate_layers",
        length=spell.length(plate.length),
        width=spell.length(plate.width),
        upper=spell.length(plate.upper),
        lower=spell.length(plate.lower),
        keeps_back=spell.length(KEEPS_BACK),
        opening=spell.length(layout.routing.opening_width),
        between=spell.length(plate.between),
        free=spell.length(plate.free),
        tongue=spell.length(layout.routing.tongue_width),
        corner=spell.length(round(layout.routing.tongue_corner_radius, _DECIMALS)),
        bridged=layout.spec.bridged,
        aids={part.name for part in jig.parts},
    )
    width = rooms.table_width

    def composed(share: float) -> Sheet:
        blocks = [_picture(plate, spell, share * width), table_block(_table(plate, spell), width)]
        texts = "plate_layers", said.title, said.instruction, job.name, blocks, said.notes
        return compose_sheet(*texts, spell.notation, width)

    return (first_on_a_page(rooms, composed, _SIZES),)


def _picture(plate: HandPlate, spell: CalloutFormat, size: float) -> Block:
    """The upper layer from above, `size` mm long, each piece with its letter; packings in thin lines."""
    to_sheet = Transform.scale(size / plate.length)
    items = [*_wood(plate.pieces, to_sheet), *_named(plate.pieces, Role.EDGE, to_sheet)]
    items += _named(plate.packings, Role.PHANTOM, to_sheet)
    lies = {piece.letter: piece.places[-1] for piece in plate.pieces}
    across, closing, beside, tongue, window, far = (lies[letter] for letter in "ABCDEF")
    low, high = P2(0.0, far.y0), P2(0.0, far.y1)
    shown = [
        *(
            dims.across(f"piece_{name}", P2(box.x0, low.y), P2(box.x1, low.y), box.width)
            for name, box in (("f", far), ("e", window), ("a", across), ("c", beside))
        ),
        dims.across("free", P2(tongue.x0, high.y), P2(tongue.x1, high.y), plate.free, Side.ABOVE),
        dims.across("between", P2(across.x1, high.y), P2(closing.x0, high.y), plate.between, Side.ABOVE),
        dims.along("piece_b", P2(closing.x1, closing.y0), P2(closing.x1, closing.y1), closing.height, Side.RIGHT),
    ]
    return view_block(items, View(to_sheet, union_box(items)), [spell.show(one) for one in shown])


def _wood(pieces: Iterable[Piece], to_sheet: Transform) -> Iterator[Item]:
    for place in chain.from_iterable(piece.places for piece in pieces):
        yield Fill(rectangle(*place).transformed(to_sheet), Role.HATCH, _WOOD)


def _named(pieces: Iterable[Piece], role: Role, to_sheet: Transform) -> Iterator[Item]:
    for piece in pieces:
        for place in piece.places:
            at = to_sheet.apply(place.center)
            yield Stroke(rectangle(*place).transformed(to_sheet), role, PENS[role])
            yield Label(piece.letter, at, INSTRUCTION_TEXT, Role.ENGRAVE, 0.0, Anchor.MIDDLE, Level.MIDDLE)


def _table(plate: HandPlate, spell: CalloutFormat) -> Table:
    rows = tuple(
        (
            piece.letter,
            str(len(piece.places)),
            length_text(round(piece.long, _DECIMALS), spell.notation),
            length_text(piece.wide if piece.makes_joint else round(piece.wide, _DECIMALS), spell.notation),
            piece.title,
        )
        for piece in (*plate.pieces, *plate.packings)
    )
    return Table("Pieces of the upper layer", ("", "Make", "Long", "Wide", "What"), rows)
