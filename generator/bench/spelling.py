"""How the setup sheet spells a number: millimetres, inches to the nearest 1/64, thousandths where a 1/64 is too coarse.

A builder sets a router with a rule and a block with a caliper, so lengths come in two kinds: *coarse*, which a 1/64
serves, and *fine*, whose inch figure is decimal with the nearest 1/64 beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.model.job import UnitsChoice
from generator.units import format_mm, inch_fraction, to_inches

#: Below this (mm) a 1/64 says too little: thousandths of an inch stand instead.
_SMALL = 1.5
_COARSE_DECIMALS, _FINE_DECIMALS = 3, 4


@dataclass(frozen=True)
class Speller:
    """Numbers in the units a job prints."""

    units: UnitsChoice

    def length(self, mm: float) -> str:
        """A length with its unit: "22.225 mm (7/8 in)"; in inches "0.875 in (7/8)"."""
        if self.units is UnitsChoice.MM:
            return f"{_mm(mm)} mm"
        if self.units is UnitsChoice.INCH:
            return f"{_inch(mm)} in" if _is_small(mm) else f"{_inch(mm)} in ({_fraction(mm)})"
        return f"{_mm(mm)} mm ({_inch(mm) if _is_small(mm) else _fraction(mm)} in)"

    def fine(self, mm: float) -> str:
        """A length set or read with a caliper: "22.37 mm (0.8807 in, nearest 57/64)"."""
        inches = f"{_inch(mm, _FINE_DECIMALS)} in"
        near = "" if _is_small(mm) else f"nearest {_fraction(mm)}"
        if self.units is UnitsChoice.MM:
            return f"{_mm(mm)} mm"
        if self.units is UnitsChoice.INCH:
            return f"{inches} ({near}; {_mm(mm)} mm)" if near else f"{inches} ({_mm(mm)} mm)"
        return f"{_mm(mm)} mm ({inches}, {near})" if near else f"{_mm(mm)} mm ({inches})"

    def cell(self, mm: float, signed: bool = False, fine: bool = False) -> str:
        """A figure in a table whose heading names the unit: mm, and with both units the inch figure in brackets.

        Small, `signed` and `fine` figures have decimal inches, others a fraction.
        """
        plus = "+" if signed and mm > 0 else ""
        metric, inch = f"{plus}{_mm(mm)}", f"{plus}{_inch(mm)}"
        if self.units is UnitsChoice.MM:
            return metric
        if self.units is UnitsChoice.INCH:
            return inch
        return f"{metric} ({inch if _is_small(mm) or signed or fine else _fraction(mm)})"

    @property
    def heading(self) -> str:
        """The unit of a table's figures."""
        return {UnitsChoice.MM: "mm", UnitsChoice.INCH: "in", UnitsChoice.BOTH: "mm (in)"}[self.units]

    @staticmethod
    def angle(degrees: float) -> str:
        """An angle with its sign of degree."""
        return f"{_minus(format_mm(degrees))}°"


def _mm(mm: float) -> str:
    return _minus(format_mm(mm))


def _inch(mm: float, decimals: int = _COARSE_DECIMALS) -> str:
    return _minus(format_mm(to_inches(mm), decimals))


def _fraction(mm: float) -> str:
    return _minus(inch_fraction(mm))


def _is_small(mm: float) -> bool:
    return abs(mm) < _SMALL


def _minus(text: str) -> str:
    """With a real minus sign, which a reader does not take for a dash."""
    return text.replace("-", "−")
