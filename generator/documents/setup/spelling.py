"""How the setup sheet spells a number: in the job's unit or both, never rounder than a builder can set.

Millimetres stand within 0.005 of the number, inches to 0.001; a fraction of an inch stands only where it is the number
itself. What is judged by eye is spelt `about`. Metric hardware stays metric.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from generator.base.units import format_mm, inch_fraction, inches, is_fraction, mm, to_inches
from generator.job.fasteners import is_metric
from generator.job.model.job import UnitsChoice
from generator.joint.cradle import stack_words

#: Decimals of a length in inches.
_DECIMALS = 3
#: A length judged by eye is spelt in these steps, rounded up, mm.
_ABOUT_MM = 1.0
#: A length judged by eye is spelt in such parts of an inch, rounded up.
_ABOUT_PARTS = 8
#: A length set with a rule is told in these steps, mm.
_RULE_MM = 1.0
#: A length set with a rule is told in such parts of an inch.
_RULE_PARTS = 16
#: A pass on the way down is set in these steps, mm.
_PASS_MM = 0.1
#: A pass on the way down is set in these steps, inches.
_PASS_INCH = 0.005
#: Angles and clearances no larger than this are nothing at the bench, degrees and mm.
NOTHING = 0.005
#: What is no thicker than this is no wedge, mm: it is as thin as paper.
_PAPER_THIN = 0.1


@dataclass(frozen=True)
class NumberFormat:
    """Numbers in the units a job prints."""

    units: UnitsChoice

    def size(self, mm: float) -> str:
        """A length with its unit: "22.225 mm (7/8 in)", "92 mm (3.622 in)"; in inches "0.875 in (7/8)"."""
        if self.units is UnitsChoice.MM:
            return f"{_mm(mm)} mm"
        fraction = _exact_fraction(mm)
        if self.units is UnitsChoice.INCH:
            return f"{_inch(mm)} in ({fraction})" if "/" in fraction else f"{_inch(mm)} in"
        return f"{_mm(mm)} mm ({fraction or _inch(mm)} in)"

    def fine(self, mm: float) -> str:
        """A length set or read with a caliper: decimals only."""
        if self.units is UnitsChoice.MM:
            return f"{_mm(mm)} mm"
        return f"{_inch(mm)} in" if self.units is UnitsChoice.INCH else f"{_mm(mm)} mm ({_inch(mm)} in)"

    def about(self, mm: float) -> str:
        """A length that need not be exact, rounded up: "198 mm (7 7/8 in)"."""
        metric = f"{_ABOUT_MM * math.ceil(mm / _ABOUT_MM - 1e-6):.0f} mm"
        part = inches(1.0) / _ABOUT_PARTS
        inch = f"{inch_fraction(part * math.ceil(mm / part - 1e-6))} in"
        if self.units is UnitsChoice.MM:
            return metric
        return inch if self.units is UnitsChoice.INCH else f"{metric} ({inch})"

    def near(self, mm: float) -> str:
        """A length set with a rule: "24 mm (15/16 in)", the nearest."""
        metric, inch = f"{round(mm / _RULE_MM) * _RULE_MM:.0f} mm", f"{inch_fraction(mm, _RULE_PARTS)} in"
        if self.units is UnitsChoice.MM:
            return metric
        return inch if self.units is UnitsChoice.INCH else f"{metric} ({inch})"

    def area(self, *sides: float) -> str:
        """Sides of a piece, without repeating the unit: "338 × 177 mm"; in inches to 0.001."""
        if self.units is UnitsChoice.INCH:
            return f"{' × '.join(_inch(side) for side in sides)} in"
        return f"{' × '.join(_mm(side) for side in sides)} mm"

    def rough(self, *sides: float) -> str:
        """Sides of a piece to buy or of scrap, each rounded up."""
        if self.units is UnitsChoice.INCH:
            part = inches(1.0) / _ABOUT_PARTS
            return f"{' × '.join(inch_fraction(part * math.ceil(side / part - 1e-6)) for side in sides)} in"
        return f"{' × '.join(f'{math.ceil(side - 1e-6):d}' for side in sides)} mm"

    def cell(self, mm: float, signed: bool = False) -> str:
        """A figure in a table whose heading names the unit: mm, and with both units the inch figure in brackets."""
        plus = "+" if signed and mm > 0 else ""
        metric, inch = f"{plus}{_mm(mm)}", f"{plus}{_inch(mm)}"
        if self.units is UnitsChoice.MM:
            return metric
        return inch if self.units is UnitsChoice.INCH else f"{metric} ({inch})"

    def depth(self, mm: float, exact: bool) -> str:
        """A cell for a pass; on the way down it is no finer than packing under a stop rod sets it."""
        if exact:
            return self.cell(mm)
        if self.units is UnitsChoice.INCH:
            return f"{_in_steps(to_inches(mm), _PASS_INCH):.{_DECIMALS}f}"
        return self.cell(_in_steps(mm, _PASS_MM))

    def change(self, mm: float) -> str:
        """A cell for what comes off; a dash where that is nothing."""
        return "–" if nothing(mm) else self.cell(mm)

    @property
    def filters(self) -> Mapping[str, Callable[..., str]]:
        """Every way to spell a number, by the name that templates give it."""
        return {
            "size": self.size,
            "fine": self.fine,
            "about": self.about,
            "near": self.near,
            "rough": lambda sides: self.rough(*sides),
            "cell": self.cell,
            "change": self.change,
            "depth": self.depth,
            "angle": self.angle,
            "bare": format_mm,
            "metric": mm,
            "ratio": lambda share: format_mm(share, 3),
            "whole": lambda count: f"{count:.0f}",
            "drill": drill,
            "stack": lambda shims: stack_words(shims) or "none",
        }

    @property
    def heading(self) -> str:
        """The unit of a table's figures."""
        return {UnitsChoice.MM: "mm", UnitsChoice.INCH: "in", UnitsChoice.BOTH: "mm (in)"}[self.units]

    @property
    def typed(self) -> str:
        """The unit that figures are written into boxes and typed with."""
        return "in" if self.units is UnitsChoice.INCH else "mm"

    @staticmethod
    def angle(degrees: float) -> str:
        """An angle with its sign of degree."""
        return f"{_minus(format_mm(degrees))}°"


def nothing(value: float) -> bool:
    """Whether an angle (degrees) or a clearance (mm) is none at the bench."""
    return abs(value) <= NOTHING


def paper_thin(mm: float) -> bool:
    """Whether a wedge or an undercut is too thin to be made."""
    return abs(mm) <= _PAPER_THIN


def drill(mm: float | None, thread: str) -> str:
    """A drill in the unit its thread is sold by: "⌀ 6.6 mm", "⌀ 0.375 in (3/8)"."""
    unit = UnitsChoice.MM if is_metric(thread) else UnitsChoice.INCH
    return f"⌀ {NumberFormat(unit).size(mm or 0.0)}"


def _in_steps(value: float, step: float) -> float:
    return round(value / step) * step


def _mm(mm: float) -> str:
    return _minus(format_mm(mm))


def _inch(mm: float) -> str:
    return _minus(format_mm(to_inches(mm), _DECIMALS))


def _exact_fraction(mm: float) -> str:
    """The number as inches and 64ths where that is the number itself, else nothing."""
    fraction = inch_fraction(mm)
    return _minus(fraction) if fraction != "0" and is_fraction(mm) else ""


def _minus(text: str) -> str:
    """With a real minus sign, which a reader does not take for a dash."""
    return text.replace("-", "−")
