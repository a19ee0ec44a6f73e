"""What a machine cuts of a part: every feature as lines on the layers of a cutting file.

A laser or a hand-held router only follows lines, so each feature gets the line that helps most:

* outline on `cut-outside`; openings and the bores of through holes on `cut-inside` (a threaded hole at its tap drill);
* counterbores and blind holes as circles on `pocket-<depth>`, with `-back` where they start at the back;
* a blind hole also as a small engraved cross, which drilling removes; a countersink as a ring at its largest width;
* lines and lettering on `engrave`;
* holes into the edge cannot be shown in this view; `left_out` names them, and the shop drawing has them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from generator.base.annotation import Anchor, EngravedText
from generator.base.contours2d import Circle, Contour
from generator.base.errors import GeometryError
from generator.base.offset import offset_contour
from generator.base.points2d import P2, Transform
from generator.base.shapes2d import polyline, rectangle
from generator.cutting.cut_layers import CUT_INSIDE, CUT_OUTSIDE, ENGRAVE, CutLine, pocket_layer
from generator.cutting.making import Process, process
from generator.cutting.nesting import NestedSheet
from generator.drawing.strokefont import known_characters, placed_text, text_width
from generator.jig.part import Face, Hole, Part
from generator.job.model.stock import Stock

#: Arm of the cross that marks a blind hole, as a share of the hole's radius: drilling takes it away.
_CROSS_ARM = 0.6
#: Height of the letters beside the parts of a sheet, mm.
_MARK = 5.0
#: Between copies of a coupon, mm.
_APART = 6.0


def cut_lines(part: Part, kerf: float = 0.0) -> tuple[CutLine, ...]:
    """The lines of a part in its own coordinates (mm), in the order to cut them: engraving first, the outline last.

    `kerf` is the whole width of the cut in mm; above 0 the outline grows and everything cut through inside it shrinks
    by half of it, so that the part comes out at its nominal size. GeometryError names the part and the feature.
    """
    if kerf < 0:
        raise GeometryError(f"part {part.name}: a kerf of {kerf:g} mm")
    lines = list(_engraved(part))
    lines += _sunk(part)
    for opening in part.openings:
        lines.append(CutLine(CUT_INSIDE, _compensated(part, opening.id, opening.contour, -kerf / 2.0)))
    for hole in part.holes:
        if hole.depth is None:
            lines.append(CutLine(CUT_INSIDE, _compensated(part, hole.id, hole.circle, -kerf / 2.0)))
    lines.append(CutLine(CUT_OUTSIDE, _compensated(part, "outline", part.outline, kerf / 2.0)))
    return tuple(lines)


def coupon_lines(coupon: Part) -> tuple[CutLine, ...]:
    """The kerf coupon of one stock, as often as it is cut, one over the other; never compensated."""
    step = coupon.box.height + _APART
    copies = [Transform.move(0.0, step * n) for n in range(coupon.quantity)]
    lines = [CutLine(line.layer, line.shape.transformed(move)) for move in copies for line in cut_lines(coupon)]
    lines.sort(key=lambda line: line.layer == CUT_OUTSIDE)
    return tuple(lines)


def said_of_part(part: Part) -> dict[str, str]:
    """What a part's cutting file says it is of, for who cuts it."""
    return {
        "Part": part.name,
        "Stock": part.stock,
        "Thickness": f"{part.thickness:g} mm",
        "Quantity": str(part.quantity),
        **{f"Not shown {i}": text for i, text in enumerate(left_out(part), start=1)},
    }


def said_of_coupon(coupon: Part) -> dict[str, str]:
    """What a kerf coupon's file says it is of."""
    return {"Part": coupon.name, "Stock": coupon.stock, "Quantity": str(coupon.quantity)}


def said_of_sheet(sheet: NestedSheet) -> dict[str, str]:
    """What a nested sheet's file says it is of."""
    return {
        "Stock": sheet.stock,
        "Cut by": sheet.cut_by.value,
        "Sheet": f"{sheet.number} of {sheet.count}",
        "Size": f"{sheet.width:g} x {sheet.length:g} mm",
        "Parts": ", ".join(place.part.name for place in sheet.places),
    }


def said_of_cut(kerf: float) -> dict[str, str]:
    """What a cutting file says of its lines: their unit, and the width of cut (mm) they allow for."""
    outlines = f"compensated for a cut {kerf:g} mm wide" if kerf else "nominal, no allowance for the width of the cut"
    return {"Units": "mm", "Outlines": outlines, "Kerf": f"{kerf:g} mm"}


@dataclass(frozen=True)
class SheetMark:
    """What is engraved on a nested sheet beside its parts: its own outline, and what it is."""

    length: float
    width: float
    margin: float
    text: str

    def lines(self) -> tuple[CutLine, ...]:
        """The outline of the sheet, and one line of letters in its lower margin, as large as it allows."""
        room = self.length - 2.0 * self.margin
        height = min(_MARK, 0.6 * self.margin, _MARK * room / max(text_width(self.text, _MARK), 1e-9))
        letters = EngravedText(self.text, P2(self.margin, self.margin / 2.0), height, anchor=Anchor.LEFT)
        frame = CutLine(ENGRAVE, rectangle(0.0, 0.0, self.length, self.width))
        return frame, *(CutLine(ENGRAVE, stroke) for stroke in placed_text(letters))


def sheet_mark(stock: Stock, margin: float, number: int, count: int, pieces: int, job: str) -> SheetMark:
    """The mark of sheet `number` of `count` of a stock, with `pieces` parts on it, cut `margin` mm inside its edges."""
    cut_by = process(stock) or Process.ROUTER
    many = f"{pieces} PART{'S' if pieces > 1 else ''}"
    words = (stock.name, cut_by.value, f"SHEET {number} OF {count}", many, job)
    known = known_characters()
    text = " - ".join(words).upper()
    return SheetMark(stock.sheet_length, stock.sheet_width, margin, "".join(c if c in known else " " for c in text))


def left_out(part: Part) -> tuple[str, ...]:
    """What of a part a cutting file cannot show, in words for the person who cuts it."""
    count = len(part.edge_holes)
    return (f"{count} hole{'s' if count > 1 else ''} into the edge: see the shop drawing",) if count else ()


def _compensated(part: Part, feature: str, contour: Contour, by: float) -> Contour:
    try:
        return offset_contour(contour, by)
    except GeometryError as error:
        raise GeometryError(f"part {part.name}, {feature}: {error}") from error


def _engraved(part: Part) -> Iterator[CutLine]:
    for line in part.engraved_lines:
        yield CutLine(ENGRAVE, line)
    for text in part.engraved_texts:
        try:
            strokes = placed_text(text)
        except GeometryError as error:
            raise GeometryError(f"part {part.name}: {error}") from error
        yield from (CutLine(ENGRAVE, stroke) for stroke in strokes)
    for hole in part.holes:
        if hole.face is not Face.FRONT:
            continue
        if hole.depth is not None:
            yield from _cross(hole)
        if hole.countersink_diameter is not None:
            yield CutLine(ENGRAVE, Circle(hole.at, hole.countersink_diameter / 2.0))


def _cross(hole: Hole) -> Iterator[CutLine]:
    arm = _CROSS_ARM * hole.diameter / 2.0
    x, y = hole.at
    yield CutLine(ENGRAVE, polyline([P2(x - arm, y), P2(x + arm, y)]))
    yield CutLine(ENGRAVE, polyline([P2(x, y - arm), P2(x, y + arm)]))


def _sunk(part: Part) -> Iterator[CutLine]:
    for hole in part.holes:
        from_back = hole.face is Face.BACK
        if hole.counterbore_diameter is not None and hole.counterbore_depth is not None:
            sunk = Circle(hole.at, hole.counterbore_diameter / 2.0)
            yield CutLine(pocket_layer(hole.counterbore_depth, from_back), sunk)
        if hole.depth is not None:
            yield CutLine(pocket_layer(hole.depth, from_back), hole.circle)
