"""What the title block asks of edges and surfaces: never more than the thinnest part of the sheet bears."""

from __future__ import annotations

from collections.abc import Sequence

from generator.drawing.callout import Notation, length_words
from generator.jig.part import Part
from generator.job.model.job import PartsJob, UnitsChoice
from generator.job.model.stock import CutBy

#: How far an edge is broken, mm (common practice).
_BROKEN = 0.3
#: An edge is broken where its part is at least so many times as thick as the edge is broken (common practice).
_TIMES = 10.0
#: Roughness Ra of milled faces: µm, and that step in µin (ISO 21920, ASME B46.1).
_MILLED = ("3.2 µm", "125 µin")
#: Roughness Ra of walls that the bushing runs on: µm, and that step in µin (ISO 21920, ASME B46.1).
_GUIDING = ("1.6 µm", "63 µin")


def edge_words(parts: Sequence[Part], shims: Sequence[Part], notation: Notation) -> str:
    """How the edges are left: broken where every part bears it, else only free of burrs."""
    if any(part.thickness < _TIMES * _BROKEN for part in parts):
        return "free of burrs"
    words = f"broken {length_words(_BROKEN, notation)}"
    return f"{words}; shims only free of burrs" if shims else words


def finish_words(parts: Sequence[Part], job: PartsJob, notation: Notation) -> str:
    """Roughness of what is milled, and how wood is left."""
    milled = [CutBy.MILL in job.stocks[part.stock].cut_by for part in parts]
    rough, wall = (f"Ra {both[notation.units is UnitsChoice.INCH]}" for both in (_MILLED, _GUIDING))
    if not any(milled):
        return "planed, clean"
    guided = any(part.openings for part, mill in zip(parts, milled, strict=True) if mill)
    words = f"{rough}, openings {wall}" if guided else rough
    return words if all(milled) else f"milled {words}; wood planed"
