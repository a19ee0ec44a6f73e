"""The ribs: two boards on edge behind the bed that carry its pins and the nose rod.

Drawn from the side in u (jig X) and v (height over the pivot), origin on the pivot line. Both ribs are one part.
"""

from __future__ import annotations

from generator.geometry2d import P2, Path
from generator.geometry3d import P3, X_AXIS, Z_AXIS, Placement
from generator.model.jig import Joinery
from generator.parts import dims
from generator.parts.base import Carrier, Dimension, Hole, Part, Side, Tolerance
from generator.parts.joinery import PRESS_FIT
from generator.parts.layout import Layout
from generator.shapes2d import eased_polygon

#: Room behind the bed for the rest strips' nuts and screw ends, mm.
_NUT_ROOM = 14.0
#: Material behind the nose's hole, and the least step worth cutting into the outline, mm.
_NOSE_LAND, _STEP = 9.0, 2.0
_PIVOT = Tolerance(-0.05, 0.05, "the pins carry the bed about the join line")


def rib(layout: Layout) -> Part:
    """One rib; its front edge joins the bed's back."""
    pin_size = layout.pin_hole
    foot, top = _front_edge(layout)
    upper, lower = layout.pins
    holes = [Hole("pin", pin, pin_size, why="pin through the cheek's slot") for pin in (upper, lower)]
    fit = PRESS_FIT if layout.spec.joinery is Joinery.TAPPED else None
    holes.append(Hole("nose", layout.nose, layout.spec.nose_diameter, why="nose rod, push fit", fit=fit))
    return Part(
        name="rib",
        title="Rib",
        stock=layout.spec.cheek_stock,
        thickness=layout.thick.cheek,
        outline=rib_outline(layout),
        holes=tuple(holes),
        edge_holes=layout.rib_joint.edge_holes(foot, top),
        edge_cuts=layout.rib_joint.edge_cuts(foot, top),
        points={"pivot": P2(0.0, 0.0), "nose": layout.nose},
        dimensions=_dimensions(layout, holes),
        shop_dimensions=(
            dims.across("datum_before_back", foot, P2(0.0, foot.y), layout.thick.bed, Side.BELOW, note="to the pivot"),
            dims.along("datum_above_foot", foot, P2(foot.x, 0.0), -foot.y, Side.RIGHT, note="to the pivot"),
        ),
        quantity=2,
        carrier=Carrier.BED,
        purpose="stiffens the bed; carries its pins and the nose rod",
    )


def _front_edge(layout: Layout) -> tuple[P2, P2]:
    """Lower and upper end of the edge on the bed's back."""
    return P2(-layout.thick.bed, layout.rib_foot), P2(-layout.thick.bed, layout.rib_top)


def rib_outline(layout: Layout) -> Path:
    """The rib seen from the side, tabs included."""
    foot, top = _front_edge(layout)
    run = [(corner, 0.0) for corner in layout.rib_joint.edge_run(foot, top)]
    corners = [*run, (top, 0.0), *_back(layout)]
    return eased_polygon([p for p, _ in corners], [r for _, r in corners])


def _back(layout: Layout) -> list[tuple[P2, float]]:
    """Corners and radii behind the bed, from the rib's top round to its foot.

    The head that carries the upper pin rises over the rib's top behind the nuts of the rest strips, unless the pin
    stands so low that the top itself is high enough; the foot is narrower, behind the nose.
    """
    upper, lower = layout.pins
    land, top, nuts = layout.pin_land, layout.rib_top, -layout.thick.bed - _NUT_ROOM
    head = upper.y + land
    back = min(upper.x, lower.x) - land
    waist = min(layout.nose.x - layout.nose_radius, -layout.thick.bed) - _NOSE_LAND
    corners = [(P2(back, max(head, top)), land / 2.0)]
    if head - top > _STEP:
        corners = [(P2(nuts, top), 4.0), (P2(nuts, head), 4.0), *corners]
    if waist - back > _STEP and lower.y - land - layout.rib_foot > _STEP:
        corners += [(P2(back, lower.y - land), land / 2.0), (P2(waist, lower.y - land), 4.0)]
    else:
        waist = min(waist, back)
    return [*corners, (P2(waist, layout.rib_foot), 4.0)]


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
