"""The boards that tie the cheeks into a frame: the spine (with the tongue for the vise), the tie, and the stop ledge.

All three stand across the jig: x is the jig's Y, y is v (height over the pivot), seen from the bed's side.
"""

from __future__ import annotations

from typing import NamedTuple

from generator.geometry2d import P2, Path
from generator.geometry3d import P3, Y_AXIS, Z_AXIS, Placement
from generator.parts import dims
from generator.parts.base import Carrier, EdgeCut, EdgeHole, EngravedText, Face, Hole, Part, Side, within
from generator.parts.joinery import EdgeJoint
from generator.parts.layout import Layout
from generator.shapes2d import eased_polygon, rectangle


class _Sides(NamedTuple):
    """A board between the cheeks: outline, holes in its edges, tabs and nut slots described."""

    outline: Path
    holes: tuple[EdgeHole, ...]
    cuts: tuple[EdgeCut, ...]


def spine(layout: Layout) -> Part:
    """The board between the cheeks that carries the ledge; its lower end goes into the vise."""
    half = layout.spec.cheek_inner
    end = layout.cheek_foot - layout.spec.vise_tongue
    a, b = layout.cheek_foot, layout.spine_top
    sides = _between_cheeks(layout, layout.spine_joint, a, b, end)
    ledge = tuple(
        Hole("ledge-screw", at, layout.screw.clearance, why="holds the stop ledge, nut behind")
        for at in ledge_screws(layout)
    )
    return Part(
        name="spine",
        title="Spine",
        datum=P2(-half, end),
        stock=layout.spec.frame_stock,
        thickness=layout.thick.frame,
        outline=sides.outline,
        holes=ledge,
        edge_holes=sides.holes,
        edge_cuts=sides.cuts,
        engraved_texts=(EngravedText("VISE", P2(0.0, (end + a) / 2.0), 6.0),),
        dimensions=(
            dims.across("spine_width", P2(-half, end), P2(half, end), 2.0 * half),
            dims.along("spine_length", P2(-half, end), P2(-half, b), b - end, Side.LEFT),
            dims.along("vise_tongue", P2(half, end), P2(half, a), a - end, Side.RIGHT),
            dims.along("ledge_screws", ledge[1].at, ledge[0].at, ledge[0].at.y - ledge[1].at.y, Side.RIGHT),
            dims.along("ledge_screw_from_top", ledge[0].at, P2(half, b), b - ledge[0].at.y, Side.RIGHT),
        ),
        carrier=Carrier.FRAME,
        purpose="carries the stop ledge and holds the jig in the vise, its back against the bench's front",
    )


def tie(layout: Layout) -> Part:
    """The board that squares the cheeks at the back, under the plate."""
    half = layout.spec.cheek_inner
    sides = _between_cheeks(layout, layout.tie_joint, layout.tie_foot, layout.tie_top, layout.tie_foot)
    return Part(
        name="tie",
        title="Tie",
        datum=P2(-half, layout.tie_foot),
        stock=layout.spec.frame_stock,
        thickness=layout.thick.frame,
        outline=sides.outline,
        edge_holes=sides.holes,
        edge_cuts=sides.cuts,
        dimensions=(
            dims.across("tie_width", P2(-half, layout.tie_foot), P2(half, layout.tie_foot), 2.0 * half),
            dims.along(
                "tie_height", P2(half, layout.tie_foot), P2(half, layout.tie_top), layout.spec.tie_height, Side.RIGHT
            ),
        ),
        carrier=Carrier.FRAME,
        purpose="squares the cheeks at the back",
    )


def ledge_screws(layout: Layout) -> tuple[P2, P2]:
    """Centres (x, v) of the ledge's two screws, in the middle, clear of the nut slots from either side."""
    upper, lower = layout.ledge_levels
    return P2(0.0, upper), P2(0.0, lower)


def stop_ledge(layout: Layout) -> Part:
    """The hard stop the set blocks hang on; its origin lies in its middle, level with the nose."""
    half, level = layout.rib_inner - 1.0, layout.nose.y
    outline = rectangle(-half, layout.ledge_foot - level, half, layout.ledge_top - level, 1.0)
    holes = tuple(
        Hole(
            "ledge-screw",
            P2(0.0, at.y - level),
            layout.screw.clearance,
            face=Face.FRONT,
            countersink_diameter=layout.screw.head_diameter,
            why="head below the face",
        )
        for at in ledge_screws(layout)
    )
    return Part(
        name="stop_ledge",
        title="Stop ledge",
        stock=layout.spec.cheek_stock,
        thickness=layout.thick.cheek,
        outline=outline,
        holes=holes,
        dimensions=(
            *dims.overall(outline.box(), "ledge_width", "ledge_height", 2.0 * half),
            dims.along("ledge_screws", holes[1].at, holes[0].at, holes[0].at.y - holes[1].at.y, Side.RIGHT),
        ),
        carrier=Carrier.FRAME,
        requirements=(within("Front face flat within {}: the set blocks bear on it", 0.05),),
        purpose="the set blocks hang on its upper edge and bear on its face",
    )


def spine_placement(layout: Layout) -> Placement:
    return Placement(P3(layout.spine_back, 0.0, -layout.pivot_depth), Y_AXIS, Z_AXIS)


def tie_placement(layout: Layout) -> Placement:
    return Placement(P3(layout.tie_front - layout.thick.frame, 0.0, -layout.pivot_depth), Y_AXIS, Z_AXIS)


def ledge_placement(layout: Layout) -> Placement:
    return Placement(P3(layout.spine_front, 0.0, -layout.pivot_depth + layout.nose.y), Y_AXIS, Z_AXIS)


def _between_cheeks(layout: Layout, joint: EdgeJoint, foot: float, top: float, end: float) -> _Sides:
    """Outline from `end` up to `top` whose sides join the cheeks between `foot` and `top`, with what is cut there."""
    half = layout.spec.cheek_inner
    right, left = (P2(half, foot), P2(half, top)), (P2(-half, top), P2(-half, foot))
    other = joint.from_other_end(top - foot)
    corners = [(p, 0.0) for p in joint.edge_run(*right)] + [(right[1], 0.0)]
    corners += [(p, 0.0) for p in other.edge_run(*left)]
    if end < foot - 1.0:
        radius = layout.spec.corner_radius
        corners += [(P2(-half, end), radius), (P2(half, end), radius)]
        # The joint's start is no corner of the outline here: the side runs straight on into the tongue.
        corners = [c for c in corners if c[0] != right[0]]
    else:
        corners.append((left[1], 0.0))
    outline = eased_polygon([p for p, _ in corners], [r for _, r in corners])
    holes = (*joint.edge_holes(*right), *other.edge_holes(*left))
    return _Sides(outline, holes, (*joint.edge_cuts(*right), *other.edge_cuts(*left)))
