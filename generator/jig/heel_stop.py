"""The heel stop: without a tongue nothing else meets the neck's end, so a loose piece in the window holds it up.

It is of the plate's own sheet, and its crosspiece lies on the plate, so that its underside is flush with the plate's.
One screw draws the sawn end against it, where a bolt's hole will be drilled later; once the clamps hold the neck the
screw and the stop come out. Drawn with its origin in the middle of the edge nearest the board: x along the board, y
away from it.
"""

from __future__ import annotations

from generator.base.annotation import EngravedText, Side
from generator.base.points2d import P2
from generator.base.shapes2d import polyline, rectangle
from generator.jig import dims
from generator.jig.crosspiece import CROSSPIECE, crosspiece, crosspiece_screw_length
from generator.jig.fixings import bitten_hole
from generator.jig.layout import Layout
from generator.jig.part import Hole, Part
from generator.jig.record import Record
from generator.jig.traits import ShopSheet, Traits

#: Whole play of the stop across the window, mm.
PLAY = 0.5
#: Length of the stop along the window, mm.
LONG = 52.0
#: Distance of the stop's screw from the edge nearest the board, mm.
HANG = 14.0
#: How far the crosspiece laps the plate on either side, mm: less where the plate's margin is narrow.
_LAP = 25.0
#: What the crosspiece leaves free of the plate's margin at least, mm.
_FREE = 5.0
#: The crosspiece's screws from the stop's sides, mm.
_SCREW_IN = 14.0


def no_tongue(layout: Layout) -> bool:
    """Only a window without a tongue needs it."""
    return not layout.has_tongue


def stop_half(layout: Layout) -> float:
    """Half the stop's width across the window, mm."""
    return layout.routing.window_half_width - PLAY / 2.0


def stop_from(layout: Layout) -> float:
    """Jig X of the stop's edge nearest the board once its screw stands over its place, mm."""
    return layout.screws.tip_x - HANG


def stop_room(layout: Layout) -> float:
    """Room (mm) between the stop and the window's round corners, at the tighter end of the window."""
    corner = layout.solution.job.router.bushing_od / 2.0
    start, end = layout.routing.opening_start + corner, layout.routing.window_end - corner
    return min(stop_from(layout) - start, end - stop_from(layout) - LONG)


def heel_stop(layout: Layout) -> Part:
    """The stop itself, of the plate's own stock."""
    half = stop_half(layout)
    # Wide enough for the joint's own bolt, which holds a neck whose end has an insert in it.
    through = layout.solution.joint.bolts[0].clearance_hole
    hang = Hole("hang", P2(0.0, HANG), through, why="draws the neck's end against the stop")
    bite = crosspiece_screw_length(layout) - layout.thick.rest
    pilots = tuple(
        bitten_hole(
            layout.screws.own, "crosspiece", P2(x, LONG - CROSSPIECE / 2.0), bite, layout.thick.plate,
            "holds the crosspiece",
        )
        for x in (_screw_x(layout), -_screw_x(layout))
    )  # fmt: skip
    outline = rectangle(-half, 0.0, half, LONG)
    return Part(
        name=HEEL_STOP.name,
        title="Heel stop",
        stock=layout.spec.plate_stock,
        thickness=layout.thick.plate,
        outline=outline,
        holes=(hang, *pilots),
        engraved_lines=(polyline([P2(0.0, 1.0), P2(0.0, HANG - 5.0)]),),
        engraved_texts=(EngravedText("HEEL STOP - OUT BEFORE ROUTING", P2(half / 2.0, HANG / 2.0 + 2.0), 3.0),),
        dimensions=(
            *dims.overall(outline.box(), "stop_width", "stop_length", 2.0 * half, LONG),
            dims.along("stop_screw", P2(half, 0.0), hang.at, HANG, Side.RIGHT),
        ),
        purpose="hangs the neck in the window, flush with the plate's underside, until the clamps hold; then comes out",
    )


def heel_stop_crosspiece(layout: Layout) -> Part:
    """The bar that lies over the plate; its length across the window."""
    return crosspiece(
        layout,
        HEEL_STOP_CROSSPIECE.name,
        "heel stop",
        half=layout.routing.window_half_width + min(_LAP, layout.spec.margin_side - _FREE),
        screws=(P2(_screw_x(layout), 0.0), P2(-_screw_x(layout), 0.0)),
        text_at=0.35,
        purpose="glued and screwed across the heel stop; lies on the plate and carries the neck",
    )


def _screw_x(layout: Layout) -> float:
    return stop_half(layout) - _SCREW_IN


#: The loose piece in the window that the neck's end meets where there is no tongue.
HEEL_STOP = Record(
    "heel_stop", heel_stop, Traits(decides_joint=True, shop_sheet=ShopSheet.PLUG_AND_BLOCKS), when=no_tongue
)
#: The crosspiece by which the heel stop hangs on the plate.
HEEL_STOP_CROSSPIECE = Record(
    "heel_stop_crosspiece", heel_stop_crosspiece, Traits(shop_sheet=ShopSheet.PLUG_AND_BLOCKS), when=no_tongue
)
