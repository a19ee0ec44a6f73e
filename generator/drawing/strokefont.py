"""Single-stroke lettering for engraving: text as lines and true arcs, the way a laser or an engraver can follow it.

The letters are our own (`strokeglyphs`), upright and of one weight, in the proportions of ISO 3098 lettering: small
letters two thirds of the capital height, descenders one third. They stay legible down to 3 mm.
"""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

from generator.base.annotation import Anchor, EngravedText
from generator.base.contours2d import Circle, Path, Vertex
from generator.base.errors import GeometryError
from generator.base.points2d import P2, Transform
from generator.drawing.strokeglyphs import FRACTIONS, GLYPHS, SAME_AS

#: Units of the glyph drawings in one capital height.
CAP_UNITS = 12.0
#: Clear space between the ink of two neighbouring letters, in glyph units (a quarter of the capital height).
LETTER_GAP = 3.0
#: Size of the figures of a built-up fraction against ordinary ones.
_FRACTION_FIGURE = 0.58


class Glyph(NamedTuple):
    """One letter in glyph units: the width of its ink and its strokes."""

    width: float
    strokes: tuple[Path, ...]


def known_characters() -> frozenset[str]:
    """Every character that can be engraved."""
    return frozenset(GLYPHS) | frozenset(FRACTIONS) | frozenset(SAME_AS)


def text_strokes(text: str, height: float) -> tuple[Path, ...]:
    """Letter `text` with capitals `height` mm tall.

    Returns open and closed paths, in mm; the first letter's ink starts at x = 0 and the baseline is y = 0. Raises
    GeometryError for a height that is not positive or a character that is not drawn.
    """
    if not (math.isfinite(height) and height > 0):
        raise GeometryError(f"engraved text {text!r}: capital height {height} mm")
    scale = Transform.scale(height / CAP_UNITS)
    strokes: list[Path] = []
    x = 0.0
    for glyph in _glyphs_of(text):
        place = Transform.move(x, 0.0).then(scale)
        strokes += [stroke.transformed(place) for stroke in glyph.strokes]
        x += glyph.width + LETTER_GAP
    return tuple(strokes)


def text_width(text: str, height: float) -> float:
    """Width in mm of `text` with capitals `height` mm tall, from the first letter's ink to the last one's."""
    glyphs = _glyphs_of(text)
    units = math.fsum(glyph.width for glyph in glyphs) + LETTER_GAP * max(0, len(glyphs) - 1)
    return units * height / CAP_UNITS


def placed_text(engraved: EngravedText) -> tuple[Path, ...]:
    """The strokes of an engraved text where the part wants it: its anchor on `at`, its capitals' middle on the line."""
    width = text_width(engraved.text, engraved.height)
    left = {Anchor.LEFT: 0.0, Anchor.MIDDLE: -width / 2.0, Anchor.RIGHT: -width}[engraved.anchor]
    place = (
        Transform.move(left, -engraved.height / 2.0)
        .then(Transform.rotate(engraved.angle))
        .then(Transform.move(engraved.at.x, engraved.at.y))
    )
    return tuple(stroke.transformed(place) for stroke in text_strokes(engraved.text, engraved.height))


def _glyphs_of(text: str) -> list[Glyph]:
    unknown = sorted({char for char in text if char not in known_characters()})
    if unknown:
        shown = " ".join(f"{char!r}" for char in unknown)
        raise GeometryError(f"engraved text {text!r}: no stroke letter for {shown}")
    return [_glyph(char) for char in text]


@cache
def _glyph(char: str) -> Glyph:
    char = SAME_AS.get(char, char)
    if char in FRACTIONS:
        return _fraction(*FRACTIONS[char])
    width, *strokes = GLYPHS[char].split(" | ")
    return Glyph(float(width), tuple(_stroke(text) for text in strokes))


def _stroke(text: str) -> Path:
    """One stroke of the glyph notation as a path."""
    if text.startswith("o "):
        x, y, radius = (float(value) for value in text[2:].split(","))
        return Circle(P2(x, y), radius).as_path()
    steps = text.split()
    closed = steps[-1].startswith("z")
    points: list[P2] = []
    bulges: list[float] = []
    for step in steps:
        where, _, sweep = step.partition("~")
        if points:
            bulges.append(math.tan(math.radians(float(sweep)) / 4.0) if sweep else 0.0)
        if where != "z":
            points.append(P2(*(float(value) for value in where.split(","))))
    bulges += [0.0] * (len(points) - len(bulges))
    return Path(tuple(Vertex(p.x, p.y, b) for p, b in zip(points, bulges, strict=True)), closed)


def _fraction(over: str, under: str) -> Glyph:
    """A fraction of two small figures and a slanted bar, as tall as a capital."""
    top, bottom = _glyph(over), _glyph(under)
    small = Transform.scale(_FRACTION_FIGURE)
    figure = top.width * _FRACTION_FIGURE
    lower_x = figure + 3.5
    raised = small.then(Transform.move(0.0, CAP_UNITS * (1.0 - _FRACTION_FIGURE)))
    lowered = small.then(Transform.move(lower_x, 0.0))
    bar = Path((Vertex(figure - 0.5, 0.0), Vertex(lower_x, CAP_UNITS)), closed=False)
    strokes = (
        *(stroke.transformed(raised) for stroke in top.strokes),
        bar,
        *(stroke.transformed(lowered) for stroke in bottom.strokes),
    )
    return Glyph(lower_x + bottom.width * _FRACTION_FIGURE, strokes)
