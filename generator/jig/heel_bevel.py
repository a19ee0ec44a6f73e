"""The bevel for the rough heel cut: two straight legs at the heel angle, one along the neck plane, one the saw line."""

from __future__ import annotations

from generator.base.annotation import Dimension, DimKind, EngravedText, Side, Tolerance
from generator.base.contours2d import Path
from generator.base.points2d import P2, polar
from generator.base.shapes2d import polyline, rounded_polygon
from generator.base.units import format_mm
from generator.jig import dims
from generator.jig.layout import Layout
from generator.jig.part import Part
from generator.jig.record import Record
from generator.jig.traits import ShopSheet, Traits

#: Width of the two legs, mm.
_ARM = 25.0
#: How far the second leg runs past the heel's length, mm.
_LONGER_THAN_HEEL = 8.0
#: Length of the first leg, along the neck plane, mm.
_ALONG_NECK = 120.0
#: Where the tick at the join ends, mm from the neck plane.
_TICK = 6.0
#: Tolerance of the heel angle, degrees.
_ANGLE = Tolerance(-0.1, 0.1, "rough cut; the jig cuts the shoulder")


def heel_bevel(layout: Layout) -> Part:
    """Origin at the apex, where neck plane and shoulder meet; +x along the neck plane towards the headstock.

    A tick on the first leg stands as far from the apex as the blank runs past the join: tick on the join's mark, the
    second leg is the saw line. Turned over it serves the heel's other side.
    """
    joint, angle = layout.solution.joint, layout.solution.neck_set.heel_angle
    down = joint.heel_length + _LONGER_THAN_HEEL
    past = joint.neck_blank_overlength
    tip = polar(angle, down)
    return Part(
        name=HEEL_BEVEL.name,
        title="Heel bevel",
        stock=layout.spec.guide_stock,
        thickness=layout.thick.guide,
        outline=_legs(angle, down),
        engraved_lines=(polyline([P2(past, 0.5), P2(past, _TICK)]),),
        engraved_texts=(
            EngravedText(f"HEEL {format_mm(angle)} DEG", P2(past + (_ALONG_NECK - past) / 2.0, 16.5), 3.0),
            EngravedText("NECK PLANE, JOIN AT TICK", P2(past + (_ALONG_NECK - past) / 2.0, 9.5), 2.5),
            EngravedText("SAW LINE", tip.times(0.6).plus(polar(angle - 90.0, _ARM / 2.0)), 3.0, angle - 180.0),
        ),
        points={"apex": P2(0.0, 0.0), "join_tick": P2(past, 0.0)},
        dimensions=(
            Dimension(
                "heel_angle",
                DimKind.ANGLE,
                (P2(0.0, 0.0), P2(_ALONG_NECK, 0.0), tip),
                angle,
                Side.INSIDE,
                _ANGLE,
            ),
            dims.across("bevel_along_neck", P2(0.0, 0.0), P2(_ALONG_NECK, 0.0), _ALONG_NECK),
            dims.across("neck_past_join", P2(0.0, 0.0), P2(past, 0.0), past, Side.BELOW, note="tick"),
            Dimension("bevel_down_heel", DimKind.ALIGNED, (P2(0.0, 0.0), tip), down, Side.LEFT),
        ),
        purpose="marks the rough heel cut: long leg on the neck plane with its tick at the join, saw along the other",
    )


def _legs(angle: float, down: float) -> Path:
    """The outline, counter-clockwise from the apex."""
    along, inward = polar(angle), polar(angle - 90.0)
    # The inner corner lies on both inner edges: y = arm, and one arm inward of the second leg.
    up = _ARM * (1.0 + along.x) / along.y
    inner = along.times(up).plus(inward.times(_ARM))
    tip = along.times(down)
    corners = [P2(0.0, 0.0), P2(_ALONG_NECK, 0.0), P2(_ALONG_NECK, _ARM), inner, tip.plus(inward.times(_ARM)), tip]
    return rounded_polygon(corners, [0.0, 2.0, 2.0, 6.0, 2.0, 2.0])


#: The bevel for the saw line of the rough heel cut.
HEEL_BEVEL = Record("heel_bevel", heel_bevel, Traits(shop_sheet=ShopSheet.GUIDES))
