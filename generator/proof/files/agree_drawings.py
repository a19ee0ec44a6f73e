"""The shop drawings: each part's outline against its cutting file, the three files of a sheet against each other,
and every dimension's number against the points it is drawn from.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from shapely.geometry.base import BaseGeometry

from generator.base.contours2d import Contour
from generator.base.points2d import Transform
from generator.base.units import inches
from generator.drawing.style import Role
from generator.formats.dxf.read_drawing import DrawingFile, ReadDimension
from generator.formats.pdf.read import PdfPage
from generator.formats.svg.read import SvgFile
from generator.proof.files.agree_cutting import outline_finding
from generator.proof.files.lines import COARSE, apart, line_of, run_of
from generator.proof.files.outline_compare import Compared, Drawn, Likeness, closed_shapes, compare, nested, same_size
from generator.proof.findings import Finding, Topic

#: Sheets carry four decimals, at half size or less; outlines agree with the cutting files within this, mm of the part.
EXACT = 0.01
#: Lines of two files of one sheet lie on each other within this, mm on the paper.
_ON_THE_LINE = 0.06
#: A dimension's stated number is the distance of its points within this, mm or degrees.
_MEASURED = 1e-6
#: A printed number keeps within this of the one it stands for, mm or degrees.
_PRINTED = 0.005
#: A printed number of three decimals keeps within this of the one it stands for, inches.
_PRINTED_INCHES = 0.0005
#: Signs that the plain font of a DXF reader lacks, and what stands for them.
_PLAIN = str.maketrans({"⌀": "Ø", "×": "x", "−": "-", "·": "-"})
#: How many features a dimension stands for, before its size.
_COUNT = re.compile(r"^\d+[x×] ")
#: A number in a dimension's text.
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@dataclass(frozen=True)
class ShopPage:
    """A sheet's page of the set, and the name of the document it is in."""

    name: str
    page: PdfPage


@dataclass(frozen=True)
class DrawnSheet:
    """The files of one sheet as read; None for one that is not there or cannot be read."""

    dxf: DrawingFile | None
    svg: SvgFile | None
    pdf: ShopPage | None


def drawing_findings(sheet: DrawnSheet, parts: Sequence[Drawn]) -> Iterator[Finding]:
    """Everything wrong with one sheet; `parts` are what their cutting files have, none for the assembled jig."""
    if sheet.dxf is not None:
        yield from _dxf_findings(sheet.dxf, parts)
    if sheet.svg is not None:
        yield from _svg_findings(sheet.svg, parts)
    yield from _picture_findings(sheet)


def _dxf_findings(file: DrawingFile, parts: Sequence[Drawn]) -> Iterator[Finding]:
    if not file.metric:
        yield Finding(Topic.SCALE, file.name, "its unit is not the millimetre")
    for part in parts:
        yield from _outline_findings(file.name, file.closed(Role.VISIBLE.value), part)
    yield from dimension_findings(file)


def _svg_findings(file: SvgFile, parts: Sequence[Drawn]) -> Iterator[Finding]:
    scale = stated_scale(file.texts)
    if scale is None:
        yield Finding(Topic.SCALE, file.name, "its title block states no scale")
    else:
        full = Transform.scale(1.0 / scale)
        shapes = closed_shapes(file.shapes(Role.VISIBLE.value))
        for part in parts:
            yield from _outline_findings(file.name, [shape.transformed(full) for shape in shapes], part)


def stated_scale(texts: Sequence[str]) -> float | None:
    """Length on paper of one millimetre of the part, from the ratio under the title block's word; None without one."""
    for word, ratio in pairwise(texts):
        found = re.fullmatch(r"([1-9]\d{0,5}):([1-9]\d{0,5})", ratio)
        if word == "Scale" and found:
            return int(found.group(1)) / int(found.group(2))
    return None


def _outline_findings(name: str, shapes: Sequence[Contour], part: Drawn) -> Iterator[Finding]:
    """One of the closed visible shapes is the part, seen from its front; the others are other views of it."""
    drawn = nested(shapes)
    alike = [one for one in drawn if same_size(part, one, EXACT)]
    if any(compare(part, one, EXACT, anchored=False).likeness is Likeness.SAME for one in alike):
        return
    seen = [compare(part, one, EXACT, anchored=False) for one in drawn]
    telling = [compared for compared in seen if compared.likeness in (Likeness.MIRRORED, Likeness.SCALED)]
    yield from outline_finding(
        name, (telling or [Compared(Likeness.DIFFERENT, "no outline is like the part's")])[0], "its cutting file"
    )


def dimension_findings(file: DrawingFile) -> Iterator[Finding]:
    """Each dimension's number, as stated and as printed, against the distance of its own definition points."""
    for dimension in file.dimensions:
        if not abs(dimension.stated - dimension.measured) <= _MEASURED:
            words = f'"{dimension.text}" states {dimension.stated:.4f}, its points give {dimension.measured:.4f}'
            yield Finding(Topic.DIMENSIONS, file.name, words)
        elif not prints(dimension):
            words = f'"{dimension.text}" is printed where its points give {dimension.measured:.4f}'
            yield Finding(Topic.DIMENSIONS, file.name, words)
        elif dimension.shown != (dimension.text,):
            shown = " ".join(dimension.shown) or "nothing"
            yield Finding(Topic.DIMENSIONS, file.name, f'"{shown}" is shown for a dimension of "{dimension.text}"')


def prints(dimension: ReadDimension) -> bool:
    """Whether the printed numbers are the measured one, in mm or inches, and those in brackets in inches."""
    text, _, bracket = _COUNT.sub("", dimension.text).partition("[")
    first, value = _first(text), dimension.measured
    if first is None:
        return False
    if dimension.measures.is_angle:
        return abs(first - value) <= _PRINTED
    if bracket:
        return abs(first - value) <= _PRINTED and _is_inches(_first(bracket), value)
    return abs(first - value) <= _PRINTED or _is_inches(first, value)


def _first(text: str) -> float | None:
    found = _NUMBER.search(text)
    return None if found is None else float(found.group())


def _is_inches(number: float | None, value: float) -> bool:
    return number is not None and abs(inches(number) - value) <= inches(_PRINTED_INCHES) + _MEASURED


# --- the three files of one sheet ------------------------------------------------------------------------------------


def _picture_findings(sheet: DrawnSheet) -> Iterator[Finding]:
    """DXF and PDF show the lines and words of the SVG, at the same places."""
    svg = sheet.svg
    if svg is None or not svg.strokes:
        return
    lines = [line_of(stroke.shape, COARSE) for stroke in svg.strokes]
    scale = stated_scale(svg.texts)
    if sheet.dxf is not None and scale is not None:
        paper = Transform.scale(scale)
        drawn = [line_of(shape.transformed(paper), COARSE) for _, shape in sheet.dxf.lines]
        yield from _lines_differ(sheet.dxf.name, drawn, lines)
        yield from _words_differ(sheet.dxf.name, Counter(sheet.dxf.texts), Counter(_plain(svg.texts)))
    if sheet.pdf is not None:
        yield from _page_differs(sheet.pdf, svg, lines)


def _page_differs(pdf: ShopPage, svg: SvgFile, lines: Sequence[BaseGeometry]) -> Iterator[Finding]:
    page = pdf.page
    if max(abs(page.width - svg.width), abs(page.height - svg.height)) > _ON_THE_LINE:
        size = f"its page is {page.width:.2f} by {page.height:.2f} mm"
        yield Finding(Topic.PRINT, pdf.name, f"{size}, the SVG {svg.width:.2f} by {svg.height:.2f}")
    yield from _lines_differ(pdf.name, [run_of(stroke.points, closed=stroke.closed) for stroke in page.strokes], lines)
    # A page's words come back line by line, whatever label they stood in: letters are counted.
    yield from _words_differ(pdf.name, _letters(page.text), _letters(svg.texts))


def _lines_differ(name: str, found: Sequence[BaseGeometry], wanted: Sequence[BaseGeometry]) -> Iterator[Finding]:
    off = apart(found, wanted) if found else math.inf
    if off > _ON_THE_LINE:
        words = "no line in it" if math.isinf(off) else f"a line {off:.2f} mm from the SVG's, on the paper"
        yield Finding(Topic.PICTURE, name, words)


def _words_differ(name: str, found: Counter[str], wanted: Counter[str]) -> Iterator[Finding]:
    if found != wanted:
        odd = [f'"{text}"' for text in (*(found - wanted), *(wanted - found))]
        yield Finding(Topic.PICTURE, name, f"other words than in the SVG: {', '.join(odd[:4])}")


def _plain(texts: Iterable[str]) -> list[str]:
    return [text.translate(_PLAIN) for text in texts]


def _letters(texts: Iterable[str]) -> Counter[str]:
    return Counter("".join("".join(texts).split()))
