"""Lengths and angles as people write them, and back: the one place that knows the inch.

Inside the program every length is mm and every angle degrees; this module stands at the door. Standard library only.
A number is taken exactly (as a fraction) and rounded once, so "25.4 in" is 645.16 mm and no digit off.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

#: Millimetres in one inch, exact by definition; nothing else in the program writes this number.
MM_PER_INCH = 25.4

#: Each spelling of a unit of length to its exact size in mm.
_MM_PER: dict[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "in": Fraction(254, 10),
    "inch": Fraction(254, 10),
    "inches": Fraction(254, 10),
    '"': Fraction(254, 10),
    "″": Fraction(254, 10),
    "”": Fraction(254, 10),
    "ft": Fraction(254 * 12, 10),
}
#: Each spelling of a unit of angle to its exact size in degrees.
_DEGREES: dict[str, Fraction] = {"deg": Fraction(1), "°": Fraction(1)}

#: A bare number (mm, degrees) must be smaller than this.
_ABSURD = 1e15
#: Below this many inches a fraction says too little.
_LEAST_TICK = 1 / 32
#: A size is on a tick that is no further off than this share of the step between ticks.
_ON_A_TICK = 1e-9

#: What a length may be written as, for errors.
LENGTH_FORMS = 'a number in mm, or text such as "22 mm", "2.2 cm", "98,5 mm", "7/8 in", "1 3/4 in", "28 ft"'
#: What an angle may be written as, for errors.
ANGLE_FORMS = 'a number in degrees, or text such as "1.5 deg"'

#: Fractions that have a sign of their own.
_SIGNS = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
    "⅙": "1/6", "⅚": "5/6", "⅐": "1/7", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅑": "1/9", "⅒": "1/10",
}  # fmt: skip
#: No length or angle takes more letters than this.
_LONGEST = 100
#: Matches a number with or without a sign and a unit: a mixed number, a fraction, or a decimal with point or comma.
_NUMBER = re.compile(
    r"(?P<sign>[+-]?)"
    r"(?:(?P<whole>\d+)(?: +|-)(?P<top>\d+)/(?P<bottom>\d+)"
    r"|(?P<only_top>\d+)/(?P<only_bottom>\d+)"
    r"|(?P<decimal>\d+(?:[.,]\d+)?|[.,]\d+))"
    r" *(?P<unit>[^\d\s.,/+-].*)?",
    re.ASCII,
)
#: A comma before three digits may part thousands as well as decimals; after a lone 0 it parts decimals.
_EITHER = re.compile(r"[1-9]\d{0,2},\d{3}", re.ASCII)


class UnitError(ValueError):
    """A length or angle that cannot be read; `allowed` says which forms can, with a hint where one fits."""

    def __init__(self, allowed: str) -> None:
        self.allowed = allowed
        super().__init__(allowed)


def parse_length(raw: object) -> float:
    """Read a length as a job file carries it.

    `raw` is a number (mm) or text with a unit: mm, cm, in (inch, inches, "), ft; decimals with point or comma,
    fractions (also by their own signs, "⅞ in") and mixed numbers ("1 3/4 in", "1-3/4 in"), where a leading minus
    belongs to the whole. Returns mm. UnitError for anything else, never a guess: "1,234 mm" may be two numbers.
    """
    return _parse(raw, _MM_PER, LENGTH_FORMS)


def parse_angle(raw: object) -> float:
    """Read an angle: a number (degrees) or text such as "1.5 deg". Returns degrees; UnitError for anything else."""
    return _parse(raw, _DEGREES, ANGLE_FORMS)


def parse_length_argument(text: str) -> float:
    """Read a length typed on the command line, where a bare number arrives as text and means mm. Returns mm."""
    return parse_length(bare_number(text))


def bare_number(text: str) -> float | str:
    """Typed text that is a number without a unit as that number; any other text as it stands."""
    match = _NUMBER.fullmatch(text.strip())
    if match is None or not match["decimal"] or match["unit"] or _EITHER.fullmatch(match["decimal"]):
        return text
    return float(text.replace(",", "."))


def _parse(raw: object, scale: dict[str, Fraction], forms: str) -> float:
    if isinstance(raw, int | float) and not isinstance(raw, bool):
        if not abs(raw) < _ABSURD:  # not a number, endless, or too large for a float
            raise UnitError(forms)
        return float(raw)
    if not isinstance(raw, str):
        raise UnitError(forms)
    if len(raw) > _LONGEST:
        raise UnitError(forms)
    text = _spelt_out(raw.strip(" "))
    match = _NUMBER.fullmatch(text)
    if match is None:
        raise UnitError(forms + _hint(raw, scale))
    if match["decimal"] and _EITHER.fullmatch(match["decimal"]):
        unit = match["unit"] or next(iter(scale))
        one, other = (f'"{match["decimal"].replace(",", sign)} {unit}"' for sign in (".", ""))
        raise UnitError(f"{forms}; the comma may part decimals or thousands: write {one} or {other}")
    unit = match["unit"]
    if unit is None:
        raise UnitError(f'{forms}; this text has no unit: write "{raw.strip()} {next(iter(scale))}"')
    if unit not in scale:
        raise UnitError(
            f"{forms}; known units are {', '.join(unit for unit in scale if unit.isascii())}{_hint(raw, scale)}"
        )
    try:
        return float(_exact(match) * scale[unit])
    except (ZeroDivisionError, OverflowError):
        raise UnitError(forms) from None


def _spelt_out(text: str) -> str:
    """With the signs of fractions as numbers: "1⅞ in" is "1 7/8 in"."""
    for sign, fraction in _SIGNS.items():
        if sign in text:
            lead, _, rest = text.partition(sign)
            lead = lead.rstrip(" ")
            return f"{lead}{' ' if lead[-1:].isdigit() else ''}{fraction}{rest}"
    return text


def _exact(match: re.Match[str]) -> Fraction:
    if match["decimal"]:
        size = Fraction(match["decimal"].replace(",", "."))
    elif match["only_top"]:
        size = Fraction(int(match["only_top"]), int(match["only_bottom"]))
    else:
        part = Fraction(int(match["top"]), int(match["bottom"]))
        if part >= 1:
            raise UnitError('a mixed number whose fraction is below one, such as "1 3/4 in"')
        size = int(match["whole"]) + part
    return -size if match["sign"] == "-" else size


def _hint(text: str, scale: dict[str, Fraction]) -> str:
    """The text to write instead, where another spelling of the same can be read."""
    plain = text.strip().replace("−", "-").lower().removesuffix(".")
    match = _NUMBER.fullmatch(_spelt_out(plain))
    if plain != text and match is not None and match["unit"] in scale:
        return f'; write "{plain}"'
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


def mm(value: float, decimals: int | None = None) -> str:
    """A length in words: "22.37 mm"; `decimals` as of `format_mm`."""
    return f"{format_mm(value, decimals)} mm"


def degrees(value: float, decimals: int | None = None) -> str:
    """An angle in words: "1.67°"."""
    return f"{format_mm(value, decimals)}°"


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


def in_both(value: float) -> str:
    """A length in words, the inches beside it: "22.225 mm (7/8 in)"."""
    return f"{mm(value)} ({format_inches(value)})"


def is_fraction(mm: float) -> bool:
    """Whether the nearest 1/64 in is the number itself, to half of the third decimal of an inch."""
    return abs(inches(Fraction(round(to_inches(mm) * 64), 64)) - mm) < inches(0.0005)


def format_inches(mm: float, denominator: int = 64) -> str:
    """`mm` as inches to the nearest 1/`denominator` with its unit: "7/8 in"; below 1/32 in decimal, "0.0059 in".

    A size that small is no rule's, and its nearest tick would hide it; four decimals, more where those say nothing.
    """
    size = abs(mm) / MM_PER_INCH
    if size >= _LEAST_TICK or abs(size * denominator - round(size * denominator)) < _ON_A_TICK:
        return f"{inch_fraction(mm, denominator)} in"
    decimals = next((d for d in range(4, 10) if round(size, d) > 0), 9)
    return f"{'-' if mm < 0 else ''}{size:.{decimals}f} in"
