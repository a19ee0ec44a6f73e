"""The bar across a loose piece that hangs in the plate: it lies on the plate and carries what hangs from that piece."""

from __future__ import annotations

from generator.base.annotation import EngravedText
from generator.base.points2d import P2
from generator.base.shapes2d import rectangle
from generator.jig import dims
from generator.jig.layout import Layout
from generator.jig.part import Face, Hole, Part

#: Width of the bar, along the piece that it is screwed to, mm.
CROSSPIECE = 24.0


def crosspiece_screw_length(layout: Layout) -> float:
    """Length of the screws through the crosspiece into a piece as thick as the plate, mm."""
    return layout.screws.own.longest_within(layout.thick.rest + layout.thick.plate - 1.0)


def crosspiece(
    layout: Layout, name: str, of: str, *, half: float, screws: tuple[P2, ...], text_at: float, purpose: str
) -> Part:
    """The bar of the piece that is called `of`; origin in its middle, `half` its length to either side, mm.

    `screws` are its holes; its piece's name stands at the share `text_at` of `half`.
    """
    outline, screw = rectangle(-half, -CROSSPIECE / 2.0, half, CROSSPIECE / 2.0, 3.0), layout.screws.own
    return Part(
        name=name,
        title=f"{of.capitalize()} crosspiece",
        stock=layout.spec.rest_stock,
        thickness=layout.thick.rest,
        outline=outline,
        holes=tuple(
            Hole(
                "crosspiece",
                at,
                screw.clearance,
                face=Face.FRONT,
                countersink_diameter=screw.cone,
                why=f"into the {of}",
            )
            for at in screws
        ),
        engraved_texts=(EngravedText(of.upper(), P2(half * text_at, 0.0), 3.0),),
        dimensions=dims.overall(outline.box(), "crosspiece_length", "crosspiece_width", 2.0 * half, CROSSPIECE),
        purpose=purpose,
    )
