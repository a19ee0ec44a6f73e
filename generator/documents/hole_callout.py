"""The callout of a hole: count, diameter or thread, depth, counterbore, countersink, fit."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from generator.base.units import format_mm, mm, to_inches
from generator.drawing.callout import Figure, Notation, count_sign, quantity, say, signed
from generator.jig.part import Face, Hole
from generator.job.fasteners import hole_limits
from generator.job.model.job import UnitsChoice


def hole_text(hole: Hole, notation: Notation, count: int = 1) -> str:
    """The callout of a hole: count, diameter or thread, depth, counterbore, countersink."""

    # The nearest 1/64 is no drill for a thread: a tap drill keeps its own size in every unit.
    drill = Notation(notation.units, bench=False) if hole.thread else notation

    def size(value: float | None, sign: str) -> dict[str, Any] | None:
        return None if value is None else quantity(value, notation, sign)

    return say(
        "hole",
        {
            "count": count_sign(count),
            "thread": hole.thread,
            "thread_depth": size(hole.thread_depth, ""),
            "diameter": quantity(hole.diameter, drill, "⌀") | _finer(hole, notation),
            "depth": size(hole.depth, ""),
            "counterbore": size(hole.counterbore_diameter, "⌀"),
            "counterbore_depth": size(hole.counterbore_depth, ""),
            "countersink": size(hole.countersink_diameter, "⌀"),
            "countersink_angle": format_mm(hole.countersink_angle),
            "metric": _metric(hole, notation),
            "fit": _fit(hole.fit, hole.diameter, notation.units) if hole.fit and not notation.bench else "",
            "from_back": hole.face is Face.BACK and hole.depth is not None,
        },
    )


def _metric(hole: Hole, notation: Notation) -> str:
    """The metric size of a tap drill or reamer, which a sheet in inches says too: that is what its hardware takes."""
    metric = hole.fit is not None or (hole.thread or "").startswith("M")
    asked = metric and notation.units is UnitsChoice.INCH and not notation.bench
    return mm(hole.diameter) if asked else ""


def _finer(hole: Hole, notation: Notation) -> dict[str, Any]:
    """A fitted hole's inches to a ten-thousandth, as its limits are."""
    return {} if hole.fit is None or notation.bench else {"inch": asdict(Figure(_ten_thousandths(hole.diameter)))}


def _fit(fit: str, diameter: float, units: UnitsChoice) -> str:
    """A tolerance class with its limits, mm to a thousandth or inches to a ten-thousandth: "H7 (+0.012/0)"."""
    limits = hole_limits(fit, diameter)
    shown = _ten_thousandths if units is UnitsChoice.INCH else _thousandths
    return f"{fit} ({signed(limits.upper, shown)}/{signed(limits.lower, shown)})"


def _thousandths(mm: float) -> str:
    return format_mm(mm, 3)


def _ten_thousandths(mm: float) -> str:
    return format_mm(to_inches(mm), 4)
