"""The ribs: two boards on edge behind the bed that carry its pins and the nose rod.

Drawn from the side in u (jig X) and v (height over the pivot), origin on the pivot line. Both ribs are one part.
"""

from __future__ import annotations

from generator.geometry2d import P2, rounded_polygon
from generator.geometry3d import P3, X_AXIS, Z_AXIS, Placement
from generator.parts import dims
from generator.parts.base import Carrier, Dimension, Hole, Part, Side, Tolerance
from generator.parts.layout import Layout

#: Room behind the bed for the rest strips' nuts and screw ends, mm.
_NUT_ROOM = 14.0
_PIVOT = Tolerance(-0.05, 0.05, "the pins carry the bed about the join line")


def rib(layout: Layout) -> Part:
    """One rib; its front edge joins the bed's back."""
    joint, pin_size = layout.rib_joint, layout.pin.close_clearance
    front = -layout.thick.bed
    foot, top = P2(front, layout.rib_foot), P2(front, layout.rib_top)
    upper, lower = layout.pins
    land, head = layout.pin_land, upper.y + layout.pin_land
    waist = layout.nose.x - layout.nose_radius - 9.0
    back = min(upper.x, lower.x) - land
    rest = [
        (top, 0.0),
        (P2(front - _NUT_ROOM, top.y), 4.0),
        (P2(front - _NUT_ROOM, head), 4.0),
        (P2(back, head), land / 2.0),
        (P2(back, lower.y - land), land / 2.0),
        (P2(waist, lower.y - land), 4.0),
        (P2(waist, layout.rib_foot), 4.0),
    ]
    run = [(corner, 0.0) for corner in joint.edge_run(foot, top)]
    outline = rounded_polygon([p for p, _ in run + rest], [r for _, r in run + rest])
    holes = [Hole("pin", pin, pin_size, why="pin through the cheek's slot") for pin in (upper, lower)]
    holes.append(Hole("nose", layout.nose, layout.spec.nose_diameter, why="nose rod, push fit"))
    return Part(
        name="rib",
        title="Rib",
        stock=layout.spec.cheek_stock,
        thickness=layout.thick.cheek,
        outline=outline,
        holes=tuple(holes),
        edge_holes=joint.edge_holes(foot, top),
        points={"pivot": P2(0.0, 0.0), "nose": layout.nose},
        dimensions=_dimensions(layout, holes),
        quantity=2,
        carrier=Carrier.BED,
        purpose="stiffens the bed; carries its pins and the nose rod",
    )


def rib_placements(layout: Layout) -> tuple[Placement, Placement]:
    """+Y rib first; sheet normal along −Y."""
    outer = layout.rib_inner + layout.thick.cheek
    z = -layout.pivot_depth
    return (
        Placement(P3(0.0, outer, z), X_AXIS, Z_AXIS),
        Placement(P3(0.0, -layout.rib_inner, z), X_AXIS, Z_AXIS),
    )


def _dimensions(layout: Layout, holes: list[Hole]) -> tuple[Dimension, ...]:
    upper, lower, nose = (hole.at for hole in holes)
    front = P2(-layout.thick.bed, layout.rib_foot)
    foot = layout.rib_foot
    return (
        dims.along("rib_length", P2(front.x, foot), P2(front.x, layout.rib_top), layout.rib_top - foot, Side.RIGHT),
        dims.across("upper_pin_behind", upper, front, front.x - upper.x, Side.ABOVE, _PIVOT, "from the bed's back"),
        dims.across("lower_pin_behind", lower, front, front.x - lower.x, Side.BELOW, _PIVOT, "from the bed's back"),
        dims.across("nose_behind", nose, front, front.x - nose.x, Side.BELOW, _PIVOT, "from the bed's back"),
        dims.along("pin_spacing", upper, lower, upper.y - lower.y, Side.LEFT, _PIVOT),
        dims.along("nose_below_pin", upper, nose, upper.y - nose.y, Side.LEFT, _PIVOT),
        dims.diameter("pin_hole", upper, holes[0].diameter, 2, angle=135.0),
        dims.diameter("nose_hole", nose, holes[2].diameter, angle=-135.0),
    )
