"""The caul: a stout strip across the work's back, two layers glued, that the clamps press on at its ends."""

from __future__ import annotations

from generator.base.annotation import EngravedText
from generator.base.points2d import P2
from generator.base.shapes2d import polyline, rectangle
from generator.jig import dims
from generator.jig.layout import Layout
from generator.jig.part import Part
from generator.jig.record import Record
from generator.jig.traits import Serves, Traits
from generator.joint.stations import jaw_y

#: How far a jaw's marks stand from its middle, mm.
_JAW_HALF = 15.0


def caul(layout: Layout) -> Part:
    """One of the caul's two layers; origin in its middle. Marks show where the jaws bite."""
    half, high = layout.board.width / 2.0, layout.spec.caul_height
    outline = rectangle(-half, -high / 2.0, half, high / 2.0, 2.0)
    jaw = jaw_y(layout.solution.job, layout.routing) - _JAW_HALF
    marks = tuple(polyline([P2(y, -high / 2.0 + 2.0), P2(y, high / 2.0 - 2.0)]) for y in (-jaw, 0.0, jaw))
    return Part(
        name=CAUL.name,
        title="Caul",
        stock=layout.spec.caul_stock,
        thickness=layout.thick.caul,
        outline=outline,
        engraved_lines=marks,
        engraved_texts=(EngravedText("CAUL - OPPOSITE THE UPPER REST", P2(half * 0.4, 0.0), 3.0),),
        dimensions=dims.overall(outline.box(), "caul_length", "caul_height", 2.0 * half, high),
        quantity=2,
        purpose="two layers glued face to face, padded; presses the work on the board, no metal in its upper 10 mm",
    )


#: The strip across the work's back that the clamps press on.
CAUL = Record("caul", caul, Traits(decides_joint=True, serves=Serves.FRAME, caption="caul"))
