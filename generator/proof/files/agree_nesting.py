"""Nested sheets of a stock: every part on them whole, with its engraving, clear of the others, as often as needed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from shapely import Polygon

from generator.base.contours2d import Contour
from generator.base.points2d import Transform
from generator.cutting.cut_layers import CUT_INSIDE, CUT_OUTSIDE
from generator.cutting.cut_lines import SheetMark, coupon_lines, cut_lines
from generator.formats.dxf.read import CuttingFile
from generator.jig.part import Part
from generator.job.model.stock import Stock
from generator.proof.files.agree_cutting import EXACT, drawn_by_model, odd_strokes
from generator.proof.files.outline_compare import Drawn, Likeness, compare, contained, scale_words
from generator.proof.files.strokes import CutStroke, Strokes
from generator.proof.findings import Finding, Topic

#: Outlines overlap where they share more than this, mm².
_SHARED = 0.05
#: Curves are broken up this finely to be laid over each other, mm.
_FLAT = 0.01
#: Sizes that differ in one proportion by more than this share are at another scale.
_SCALED = 2e-3
#: Angles at which a part may lie on a sheet, degrees counter-clockwise.
_TURNS = (0.0, 90.0, 180.0, 270.0)


def sheet_findings(
    name: str, file: CuttingFile, parts: Sequence[Part], stock: Stock, mark: SheetMark
) -> Iterator[Finding]:
    """A nested sheet against the parts of its stock: every outline is one of them, laid any way round, not mirrored.

    Beside them stands `mark` and nothing else.
    """
    marks, left, strays = Strokes.of(mark.lines()), Strokes.of(file.lines), []
    unmarked = marks.without(left)
    if unmarked:
        yield odd_strokes(name, unmarked, "of the sheet's own mark are missing")
    left = Strokes(tuple(left.without(marks)))
    for outline in file.contours(CUT_OUTSIDE):
        found = Drawn(outline, tuple(contained(outline, file.contours(CUT_INSIDE))))
        ways = [(part, way) for part in parts for way in _ways_to_lie(part, found)]
        if not ways:
            strays.append(found)
            continue
        missing, left = min((_engraved(part, way, left) for part, way in ways), key=lambda pair: len(pair[0]))
        if missing:
            yield odd_strokes(name, missing, "are not where they belong")
    if left.strokes and not strays:
        yield odd_strokes(name, left.strokes, "do not belong there")
    yield from _stray_findings(name, strays, parts)
    yield from _room_findings(name, file, stock)


def _ways_to_lie(part: Part, found: Drawn) -> Iterator[Transform]:
    """Turns and moves that carry a part from its own drawing onto an outline of the sheet."""
    if not _same_outline(part, found.outline):
        return
    drawn = drawn_by_model(part)
    for angle in _TURNS:
        turned = drawn.transformed(Transform.rotate(angle))
        if compare(turned, found, 2.0 * EXACT, anchored=False).likeness is Likeness.SAME:
            off = found.center.minus(turned.center)
            yield Transform.rotate(angle).then(Transform.move(off.x, off.y))


def _engraved(part: Part, way: Transform, lines: Strokes) -> tuple[list[CutStroke], Strokes]:
    """What of a part's engraving is not among the lines, and the lines that are left for other parts."""
    wanted = Strokes.of(cut_lines(part)).transformed(way)
    return wanted.without(lines), Strokes(tuple(lines.without(wanted)))


def _room_findings(name: str, file: CuttingFile, stock: Stock) -> Iterator[Finding]:
    """Outlines within the sheet's length and width, and none over another."""
    outlines = file.contours(CUT_OUTSIDE)
    for outline in outlines:
        box = outline.box()
        if min(box.x0, box.y0) < 0.0 or box.x1 > stock.sheet_length or box.y1 > stock.sheet_width:
            reach = f"to ({box.x1:.0f}, {box.y1:.0f}) on a sheet of {stock.sheet_length:g} by {stock.sheet_width:g} mm"
            yield Finding(Topic.NESTING, name, f"a part reaches from ({box.x0:.0f}, {box.y0:.0f}) {reach}")
            return
    for one, other in combinations(outlines, 2):
        if one.box().overlaps(other.box()) and _area(one).intersection(_area(other)).area > _SHARED:
            at = other.box().center
            yield Finding(Topic.NESTING, name, f"parts lie over each other at ({at.x:.0f}, {at.y:.0f})")
            return


def _area(contour: Contour) -> Polygon:
    return Polygon([(p.x, p.y) for p in contour.flatten(_FLAT)])


def _stray_findings(name: str, strays: Sequence[Drawn], parts: Sequence[Part]) -> Iterator[Finding]:
    """Outlines that are no part's as it should lie: mirrored ones each, of the others the first."""
    odd = []
    for found in strays:
        drawn = (drawn_by_model(part) for part in parts if _same_outline(part, found.outline))
        if any(_lies_mirrored(one, found) for one in drawn):
            at = found.center
            yield Finding(Topic.MIRRORED, name, f"the part at ({at.x:.0f}, {at.y:.0f}) lies mirrored")
        else:
            odd.append(found)
    if odd:
        yield _stray_finding(name, odd, parts)


def _lies_mirrored(drawn: Drawn, found: Drawn) -> bool:
    turned = (drawn.transformed(Transform.mirror_x().then(Transform.rotate(angle))) for angle in _TURNS)
    return any(compare(one, found, 2.0 * EXACT, anchored=False).likeness is Likeness.SAME for one in turned)


def sheet_place(stem: str) -> tuple[str, int]:
    """Stock and number of a nested sheet by its file's stem, whatever kerf it says behind them."""
    stock, _, number = stem.partition(".kerf-")[0].removeprefix("sheet-").rpartition("-")
    return stock, int(number) if number.isdecimal() else 0


def sheet_counts(files: Mapping[str, CuttingFile], parts: Sequence[Part]) -> Iterator[Finding]:
    """All sheets together against the quantities: each of `parts`, those that are nested, as often as it is needed."""
    for part in parts:
        want, name = part.quantity, f"sheet-{part.stock}"
        sheets = [file for key, file in files.items() if sheet_place(key)[0] == part.stock]
        areas = [outline for file in sheets for outline in file.contours(CUT_OUTSIDE)]
        count = sum(_same_outline(part, outline) for outline in areas)
        twins = sum(
            other.quantity for other in parts if other.stock == part.stock and _same_outline(part, other.outline)
        )
        if count != max(want, twins):
            yield Finding(Topic.OUTLINE, name, f"{part.name} lies there {count} times; wanted: {max(want, twins)}")


def coupon_findings(name: str, file: CuttingFile, coupon: Part) -> Iterator[Finding]:
    """A coupon's file: every outline on it is the coupon at nominal size, as often as it is cut, its scale engraved."""
    outlines = file.contours(CUT_OUTSIDE)
    alike = [one for one in outlines if _same_outline(coupon, one)]
    same = [
        one
        for one in alike
        if compare(Drawn(coupon.outline), Drawn(one), EXACT, anchored=False).likeness is Likeness.SAME
    ]
    if len(same) != coupon.quantity or len(outlines) != coupon.quantity:
        words = f"{len(same)} coupons at nominal size among {len(outlines)} outlines; wanted: {coupon.quantity}"
        yield Finding(Topic.OUTLINE, name, words)
    marks, found_marks = Strokes.of(coupon_lines(coupon)), Strokes.of(file.lines)
    missing, strange = marks.without(found_marks), found_marks.without(marks)
    if missing or strange:
        yield odd_strokes(name, missing or strange, "are not where they belong" if missing else "do not belong there")


def _same_outline(part: Part, outline: Contour) -> bool:
    a, b = part.outline.box(), outline.box()
    sizes = zip(sorted((a.width, a.height)), sorted((b.width, b.height)), strict=True)
    return all(abs(p - q) < EXACT for p, q in sizes) and abs(part.outline.area - outline.area) < 1.0


def _stray_finding(name: str, strays: Sequence[Drawn], parts: Sequence[Part]) -> Finding:
    """An outline that is no part's: of another scale where its proportions are a part's."""
    found = strays[0].outline.box()
    for part in parts:
        scale = math.sqrt(strays[0].outline.area / part.outline.area)
        box = part.outline.box()
        sizes = zip(sorted((found.width, found.height)), sorted((box.width, box.height)), strict=True)
        if abs(scale - 1.0) > _SCALED and all(math.isclose(p, q * scale, rel_tol=1e-4) for p, q in sizes):
            return Finding(Topic.SCALE, name, f"{part.name} is drawn {scale_words(scale)}")
    at = strays[0].center
    words = f"{len(strays)} outlines that are no part's, the first at ({at.x:.0f}, {at.y:.0f})"
    return Finding(Topic.OUTLINE, name, words)
