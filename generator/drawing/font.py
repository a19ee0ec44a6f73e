"""The one typeface of every sheet: DejaVu Sans, measured and subset from the file that is embedded.

The file comes from the data of an installed package (named in pyproject.toml for this reason alone) and is found
without importing it, so no font of the machine decides how a sheet looks. fontTools loads on first use.
"""

from __future__ import annotations

import importlib.util
import io
import math
import re
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path as FilePath
from typing import Any

from generator.base.errors import LayoutError, OutputError
from generator.drawing.style import HEIGHTS

#: Family name of the embedded face in an SVG's styles.
FAMILY = "DejaVu Sans"

#: Signs a sheet is likely to need: Latin with its accents, then punctuation, fractions, arrows, signs of drawing.
_COMMON = (*range(0x20, 0x180), *range(0x2010, 0x2040), *range(0x2150, 0x2160), *range(0x2190, 0x21B0), 0x2300)
#: Kerning, layout and hinting: no sheet uses them, and reading them takes longer than all else.
_NOT_WANTED = frozenset({"FFTM", "MATH", "kern", "GPOS", "GSUB", "GDEF", "fpgm", "prep", "cvt ", "gasp"})


@lru_cache(maxsize=2)
def font_file(bold: bool = False) -> FilePath:
    """Where the TrueType file lies; drawings use the regular cut, running text may set words in the bold one.

    Raises OutputError when the package that carries it is not installed.
    """
    spec = importlib.util.find_spec("matplotlib")
    if spec is None or spec.origin is None:
        raise OutputError("the font DejaVu Sans is missing: the package matplotlib, which carries it, is not installed")
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    found = FilePath(spec.origin).parent / "mpl-data" / "fonts" / "ttf" / name
    if not found.is_file():
        raise OutputError("the font DejaVu Sans is missing from the data of the package matplotlib")
    return found


@lru_cache(maxsize=1)
def _metrics() -> tuple[dict[int, float], float, float, float]:
    """Advance per code point, capital height, ascent of brackets and descent of the face, all per em."""
    from fontTools.ttLib import TTFont

    font = TTFont(font_file(), lazy=True)
    em = float(font["head"].unitsPerEm)
    advances = font["hmtx"].metrics
    widths = {code: advances[name][0] / em for code, name in font.getBestCmap().items()}
    glyphs = font["glyf"]
    capital = glyphs["H"].yMax / em
    return widths, capital, max(glyphs[g].yMax for g in ("parenleft", "bracketleft")) / em, -font["hhea"].descent / em


def font_size(height: float) -> float:
    """The em size, mm, at which capitals are `height` mm tall."""
    return height / _metrics()[1]


def descent(height: float) -> float:
    """How far the face reaches under the baseline, mm, in text of capital height `height` mm."""
    return _metrics()[3] * font_size(height)


def ascent(height: float) -> float:
    """How far brackets reach over the baseline, mm, in text of capital height `height` mm."""
    return _metrics()[2] * font_size(height)


#: A space that may be broken: not the one between a number and its unit or fraction.
_BREAK = re.compile(r" (?!(?<=\d )(?:(?:mm|in)\b|\d+/\d))")


@lru_cache(maxsize=8192)
def text_width(text: str, height: float) -> float:
    """Width of `text` in mm when capitals are `height` mm tall, no kerning.

    Raises LayoutError for a character that the font lacks: printing a box in its place would change the meaning.
    """
    widths = _metrics()[0]
    lacking = sorted({character for character in text if ord(character) not in widths})
    if lacking:
        raise LayoutError(f"the font has no sign for {', '.join(f'U+{ord(c):04X}' for c in lacking)} in {text!r}")
    return math.fsum(widths[ord(character)] for character in text) * font_size(height)


def largest_height(text: str, width: float, limit: float) -> float:
    """The largest ISO 3098 height up to `limit` mm at which `text` is at most `width` mm wide.

    Raises LayoutError when even the smallest is wider.
    """
    for height in sorted((h for h in HEIGHTS if h <= limit), reverse=True):
        if text_width(text, height) <= width:
            return height
    raise LayoutError(f"{text!r} is wider than {width:g} mm even in the smallest letters")


def wrapped(text: str, height: float, width: float) -> tuple[str, ...]:
    """`text` broken at spaces into lines no wider than `width` mm; a longer single word stays whole.

    A number keeps its unit and its fraction on its line.
    """
    lines: list[str] = []
    for word in _BREAK.split(" ".join(text.split())):
        if lines and text_width(f"{lines[-1]} {word}", height) <= width:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return tuple(lines)


def subset(text: str, bold: bool = False) -> bytes:
    """A TrueType file holding only the signs of `text`: no hinting, no kerning, the same bytes every time."""
    return _subset("".join(sorted(set(text))) or " ", bold)


@lru_cache(maxsize=256)
def _subset(signs: str, bold: bool) -> bytes:
    common = set(_COMMON).issuperset(map(ord, signs))
    return _cut(_common_face(bold) if common else _bare_face(bold), map(ord, signs))


@lru_cache(maxsize=2)
def _common_face(bold: bool) -> bytes:
    """The face with the signs of `_COMMON` alone: reading six thousand others takes longer than writing a sheet."""
    return _cut(_bare_face(bold), _COMMON)


@lru_cache(maxsize=2)
def _bare_face(bold: bool) -> bytes:
    """The face without the tables of kerning and layout; what it keeps is copied, not read."""
    from fontTools.ttLib import TTFont

    face = TTFont(font_file(bold), recalcTimestamp=False, recalcBBoxes=False, lazy=True)
    for table in _NOT_WANTED.intersection(face.keys()):
        del face[table]
    return _saved(face)


def _cut(face: bytes, codes: Iterable[int]) -> bytes:
    """`face` with the glyphs of `codes` alone."""
    from fontTools import subset as cutter
    from fontTools.ttLib import TTFont

    options: Any = cutter.Options()
    options.hinting = False
    options.layout_features = []
    options.name_IDs = [1, 2]
    options.notdef_outline = True
    font = TTFont(io.BytesIO(face), recalcTimestamp=False, recalcBBoxes=False, lazy=True)
    worker = cutter.Subsetter(options)
    worker.populate(unicodes=codes)
    worker.subset(font)
    return _saved(font)


def _saved(font: Any) -> bytes:
    out = io.BytesIO()
    font.save(out, reorderTables=True)
    return out.getvalue()
