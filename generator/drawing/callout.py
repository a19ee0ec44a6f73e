"""Numbers and callouts as text: Python makes every figure, the templates decide how a callout reads.

Millimetres carry as many decimals as keep the print within 0.005 of the model. On shop drawings inches carry three
decimals, or four where three would spoil a tolerance or, standing alone, stray further than that from the model; on
sheets for the bench they stand to the nearest 1/64.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from typing import Any

from generator.base.annotation import Dimension, DimKind, Requirement, Tolerance
from generator.base.units import format_mm, inch_fraction, inches, to_inches
from generator.job.model.job import UnitsChoice

#: How far a print may be from the model, mm.
_PRINT_SLACK = 0.005
#: How far a printed tolerance may be from the one meant, as a share of it.
_TOLERANCE_SLACK = 0.1
#: Kind of dimension to the sign before its number; other kinds have none.
_SIGNS = {DimKind.DIAMETER: "⌀", DimKind.RADIUS: "R"}


@dataclass(frozen=True)
class Notation:
    """Which units a sheet prints, and whether for the bench (inch fractions) or a machine shop (inch decimals)."""

    units: UnitsChoice = UnitsChoice.MM
    bench: bool = True


@dataclass(frozen=True)
class Figure:
    """One number as printed, and its tolerance as printed or empty."""

    value: str
    tolerance: str = ""


def dimension_text(dimension: Dimension, notation: Notation) -> str:
    """The callout of a dimension: count, sign, number in the wanted units, tolerance, note."""
    if dimension.kind is DimKind.ANGLE:
        return angle_text(dimension.value, dimension.tolerance, dimension.count, dimension.note)
    sign = _SIGNS.get(dimension.kind, "")
    return length_text(dimension.value, notation, sign, dimension.tolerance, dimension.count, dimension.note)


def length_text(
    value: float,
    notation: Notation,
    sign: str = "",
    tolerance: Tolerance | None = None,
    count: int = 1,
    note: str = "",
) -> str:
    """The callout of a length of `value` mm behind `sign` (⌀, R or nothing)."""
    context = quantity(value, notation, sign, tolerance)
    return say("length", context | {"count": count_sign(count), "note": note})


def tolerance_text(tolerance: Tolerance, notation: Notation) -> str:
    """A tolerance alone, as the callouts that carry it print it: "±0.1", with both units "±0.1 [±0.004]"."""
    figures = quantity(0.0, notation, "", tolerance)
    mm, inch = (str(figures[unit]["tolerance"]) for unit in ("mm", "inch"))
    return {UnitsChoice.MM: mm, UnitsChoice.INCH: inch, UnitsChoice.BOTH: f"{mm} [{inch}]"}[notation.units]


def length_words(value: float, notation: Notation) -> str:
    """A length of `value` mm inside a sentence, with its unit."""
    return say("words", quantity(value, notation, ""))


def requirement_text(requirement: Requirement, notation: Notation) -> str:
    """A requirement as a sentence without its full stop, its lengths in the drawing's units and always decimal."""
    shop = replace(notation, bench=False)
    return requirement.words.format(*(_listed(lengths, shop, requirement.bare) for lengths in requirement.lengths))


def _listed(lengths: tuple[float, ...], notation: Notation, bare: bool) -> str:
    """Lengths in mm one after another with their unit behind the last; `bare` ones without it where all is mm."""
    figures = [quantity(value, notation, "") for value in lengths]
    joined = {unit: {"value": ", ".join(figure[unit]["value"] for figure in figures)} for unit in ("mm", "inch")}
    if bare and notation.units is UnitsChoice.MM:
        return joined["mm"]["value"]
    return say("words", figures[0] | joined)


def angle_text(value: float, tolerance: Tolerance | None = None, count: int = 1, note: str = "") -> str:
    """The callout of an angle of `value` degrees."""
    context = {"degrees": format_mm(value), "count": count_sign(count), "note": note}
    return say("angle", context | {"tolerance": _tolerance(tolerance, format_mm) if tolerance else ""})


def quantity(value: float, notation: Notation, sign: str, tolerance: Tolerance | None = None) -> dict[str, Any]:
    """A length of `value` mm behind `sign`, as the templates of callouts take it."""
    return {
        "units": notation.units.value,
        "bench": notation.bench,
        "sign": sign,
        "mm": asdict(Figure(format_mm(value), _tolerance(tolerance, format_mm))),
        "inch": asdict(_inch_figure(value, tolerance, notation)),
    }


def _inch_figure(value: float, tolerance: Tolerance | None, notation: Notation) -> Figure:
    if notation.bench:
        return Figure(inch_fraction(value))
    places = _inch_places(value, tolerance, notation)

    def shown(mm: float) -> str:
        return format_mm(to_inches(mm), places)

    return Figure(shown(value), _tolerance(tolerance, shown))


def _inch_places(value: float, tolerance: Tolerance | None, notation: Notation) -> int:
    """How many decimals of an inch say what is meant: three where they do, else four."""
    limits = (tolerance.upper, tolerance.lower) if tolerance else ()
    keeps = all(_strays(limit) <= _TOLERANCE_SLACK * abs(limit) for limit in limits)
    alone = notation.units is UnitsChoice.INCH
    return 3 if keeps and (not alone or _strays(value) <= _PRINT_SLACK) else 4


def _strays(mm: float) -> float:
    """How far three decimals of an inch are from a length, mm."""
    return abs(inches(round(to_inches(mm), 3)) - mm)


def _tolerance(tolerance: Tolerance | None, shown: Any) -> str:
    """ "±0.1", or upper over lower as "+0.2/−0.1", each by `shown`; empty without a tolerance."""
    if tolerance is None:
        return ""
    if tolerance.upper == -tolerance.lower:
        return f"±{shown(tolerance.upper)}"
    return f"{signed(tolerance.upper, shown)}/{signed(tolerance.lower, shown)}"


def signed(value: float, shown: Any) -> str:
    """A deviation as printed, by `shown`: with its sign, or 0 where no digit is left."""
    text = shown(abs(value))
    if not any(digit in text for digit in "123456789"):
        return "0"
    return f"+{text}" if value > 0 else f"−{text}"


def count_sign(count: int) -> str:
    """How often a feature stands, empty for once."""
    return str(count) if count > 1 else ""


def say(macro: str, context: dict[str, Any]) -> str:
    """The text that the template `macro` makes of `context`."""
    return str(getattr(_callouts(), macro)(context)).strip()


@lru_cache(maxsize=1)
def _callouts() -> Any:
    from generator.drawing.templates import environment

    return environment().get_template("callouts.j2").module
