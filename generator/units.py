"""Lengths and angles as people write them, and back: the one place that knows the inch.

Inside the program every length is mm and every angle degrees; this module stands at the door. Standard library only.
A number is taken exactly (as a fraction) and rounded once, so "25.4 in" is 645.16 mm and no digit off.
"""

from __future__ import annotations

import math
import re
import unicodedata
from fractions import Fraction

#: Millimetres in one inch, exact by definition; nothing else in the program writes this number.
MM_PER_INCH = 25.4

_MM_PER: dict[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "in": Fraction(254, 10),
    '"': Fraction(254, 10),
    "″": Fraction(254, 10),
    "ft": Fraction(254 * 12, 10),
}

_ABSURD = 1e15

LENGTH_FORMS = 'a number in mm, or text such as "22 mm", "2.2 cm", "7/8 in", "1 3/4 in", "28 ft"'
ANGLE_FORMS = 'a number in degrees, or text such as "1.5 deg"'

_NUMBER = re.compile(
    r"(?P<sign>[+-]?)"
    r"(?:(?P<whole>\d+) +(?P<top>\d+)/(?P<bottom>\d+)"
    r"|(?P<only_top>\d+)/(?P<only_bottom>\d+)"
    r"|(?P<decimal>\d+(?:\.\d+)?|\.\d+))"
    r" *(?P<unit>[^\d\s.,/+-].*)?",
    re.ASCII,
)
#: A comma is a decimal sign where it cannot part thousands: nothing but digits round it, and not just three after it.
_DECIMAL_COMMA = re.compile(r"(?<![\d.,])(\d*),(\d+)(?![\d.,])", re.ASCII)
_VULGAR = re.compile("[¼½¾⅐-⅞]")


class UnitError(ValueError):
    """A length or angle that cannot be read; `allowed` says which forms can, with a hint where one fits."""

    def __init__(self, allowed: str) -> None:
        self.allowed = allowed
        super().__init__(allowed)


def parse_length(raw: object) -> float:
    """Read a length as a job file carries it.

    `raw` is a number (mm) or text with a unit: mm, cm, in, " or ft; decimals (point or comma), fractions (7/8 or ⅞) and
    mixed numbers, where a leading minus belongs to the whole of a mixed number. Returns mm. UnitError for anything else, never a guess.
    """
    return _parse(raw, _MM_PER, LENGTH_FORMS)


def parse_angle(raw: object) -> float:
    """Read an angle: a number (degrees) or text such as "1.5 deg". Returns degrees; UnitError for anything else."""
    return _parse(raw, {"deg": Fraction(1), "°": Fraction(1)}, ANGLE_FORMS)


def parse_length_argument(text: str) -> float:
    """Read a length typed on the command line, where a bare number arrives as text and means mm. Returns mm."""
    return parse_length(bare_number(text))


def bare_number(text: str) -> float | str:
    """Typed text that is a number without a unit as that number; any other text as it stands."""
    plain = _plain(text.strip())
    match = _NUMBER.fullmatch(plain)
    return float(plain) if match and match["decimal"] and not match["unit"] else text


def _parse(raw: object, scale: dict[str, Fraction], forms: str) -> float:
    if isinstance(raw, int | float) and not isinstance(raw, bool):
        if not abs(raw) < _ABSURD:  # not a number, endless, or too large for a float
            raise UnitError(forms)
        return float(raw)
    if not isinstance(raw, str):
        raise UnitError(forms)
    match = _NUMBER.fullmatch(_plain(raw.strip(" ")))
    if match is None:
        raise UnitError(forms + _hint(raw))
    unit = match["unit"]
    if unit is None:
        raise UnitError(f"{forms}; this text has no unit")
    if unit not in scale:
        raise UnitError(f"{forms}; known units are {', '.join(scale)}")
    try:
        return float(_exact(match) * scale[unit])
    except (ZeroDivisionError, OverflowError):
        raise UnitError(forms) from None


def _exact(match: re.Match[str]) -> Fraction:
    if match["decimal"]:
        size = Fraction(match["decimal"])
    elif match["only_top"]:
        size = Fraction(int(match["only_top"]), int(match["only_bottom"]))
    else:
        part = Fraction(int(match["top"]), int(match["bottom"]))
        if part >= 1:
            raise UnitError('a mixed number whose fraction is below one, such as "1 3/4 in"')
        size = int(match["whole"]) + part
    return -size if match["sign"] == "-" else size


def _plain(text: str) -> str:
    """`text` with vulgar fractions spelt out and a decimal comma as a point; a comma that could part thousands stays."""
    text = _VULGAR.sub(lambda sign: " " + unicodedata.normalize("NFKC", sign[0]).replace("⁄", "/"), text)
    return _DECIMAL_COMMA.sub(_point, text).strip(" ")


def _point(comma: re.Match[str]) -> str:
    thousands = len(comma[2]) == 3 and comma[1] not in ("", "0")
    return comma[0] if thousands else f"{comma[1]}.{comma[2]}"


def _hint(text: str) -> str:
    if re.search(r"\d,\d{3}", text):
        return "; a comma before three digits could part thousands: write a point, or no comma"
    if "−" in text:
        return "; the minus sign is a plain hyphen"
    return ""


def inches(count: float | Fraction) -> float:
    """`count` inches in mm."""
    return float(Fraction(count) * _MM_PER["in"])


def to_inches(mm: float) -> float:
    """`mm` in decimal inches."""
    return mm / MM_PER_INCH


def format_mm(value: float, decimals: int | None = None) -> str:
    """A length (mm) or angle (degrees) as a plain decimal, without a unit.

    With `decimals` left out it carries just as many, up to four, as keep the printed figure within 0.005 of `value`;
    with `decimals` given exactly that many. Never prints −0.
    """
    if decimals is None:
        decimals = next((d for d in range(4) if abs(round(value, d) - value) < 0.004999), 4)
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0 else text


def inch_fraction(mm: float, denominator: int = 64) -> str:
    """`mm` as inches to the nearest 1/`denominator`, reduced, without a unit: "1 3/4", "-5/64", "0".

    Rounds once, half away from zero, to a whole count of ticks; reducing and carrying are exact after that.
    """
    ticks = math.floor(abs(mm) / MM_PER_INCH * denominator + 0.5)
    whole, rest = divmod(ticks, denominator)
    sign = "-" if mm < 0 and ticks else ""
    if not rest:
        return f"{sign}{whole}"
    part = Fraction(rest, denominator)
    lead = f"{whole} " if whole else ""
    return f"{sign}{lead}{part.numerator}/{part.denominator}"


def format_inches(mm: float, denominator: int = 64) -> str:
    """`mm` as inches to the nearest 1/`denominator` with its unit: "7/8 in"."""
    return f"{inch_fraction(mm, denominator)} in"
