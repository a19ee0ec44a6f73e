"""What holds and guides the neck on the bed: the bar over it, and the side stops of a neck without a slot.

All lie flat on or before the bed: x is the jig's Y, y is v (height over the pivot).
"""

from __future__ import annotations

from generator.geometry2d import P2
from generator.geometry3d import P3, Y_AXIS, Z_AXIS, Placement
from generator.parts import dims
from generator.parts.base import Carrier, EngravedText, Hole, Opening, Part, Side, Use
from generator.parts.bed import side_stop_positions
from generator.parts.layout import Layout
from generator.shapes2d import polyline, rectangle, straight_slot

#: Half the height of a side stop, mm.
SIDE_STOP_HALF_HEIGHT = 9.0
_NECK_ONLY = frozenset({Use.NECK})


def hold_down_bar(layout: Layout) -> Part:
    """The padded bar across the neck; origin at its middle."""
    half = layout.stud_y + 14.0
    high = layout.spec.hold_down_height / 2.0
    outline = rectangle(-half, -high, half, high, min(layout.spec.corner_radius, high))
    holes = tuple(
        Hole("stud", P2(sign * layout.stud_y, 0.0), layout.stud.clearance, why="stud, wing nut in front")
        for sign in (-1.0, 1.0)
    )
    return Part(
        name="hold_down_bar",
        title="Hold-down bar",
        stock=layout.spec.frame_stock,
        thickness=layout.thick.frame,
        outline=outline,
        holes=holes,
        engraved_texts=(EngravedText("PAD THIS BAR - HOLDS THE NECK", P2(0.0, -high / 2.0), 3.5),),
        dimensions=(
            *dims.overall(outline.box(), "bar_length", "bar_height", 2.0 * half, 2.0 * high),
            dims.across("stud_spacing", holes[0].at, holes[1].at, 2.0 * layout.stud_y, Side.ABOVE),
            dims.diameter("stud_hole", holes[1].at, layout.stud.clearance, 2),
        ),
        carrier=Carrier.BED,
        uses=_NECK_ONLY,
        purpose="presses the neck on the bed; comes off with its studs for the body",
    )


def hold_down_placement(layout: Layout) -> Placement:
    z = -layout.pivot_depth + layout.hold_down_v
    return Placement(P3(layout.spec.hold_down_lift, 0.0, z), Y_AXIS, Z_AXIS)


def side_stop(layout: Layout) -> Part:
    """A sliding stop beside a neck without a truss-rod slot; origin at the middle of its rounded inner end."""
    screw, high = layout.screw, SIDE_STOP_HALF_HEIGHT
    heel = layout.solution.job.instrument.heel_width / 2.0
    long = layout.spec.bed_width / 2.0 - heel + 12.0
    near = side_stop_positions(layout)[0].x - heel
    start, end = P2(max(near - 14.0, 8.0), 0.0), P2(near + 8.0, 0.0)
    slot = straight_slot(start, end, screw.clearance)
    ticks = tuple(
        polyline([P2(x, -high + 0.5), P2(x, -high + (4.0 if x % 5 == 0 else 2.5))]) for x in range(5, int(long) - 4)
    )
    outline = rectangle(0.0, -high, long, high, 4.0)
    return Part(
        name="side_stop",
        title="Side stop",
        stock=layout.spec.guide_stock,
        thickness=layout.thick.guide,
        outline=outline,
        openings=(Opening("side-stop-slot", slot, "lets the stop slide to the neck's side"),),
        engraved_lines=ticks,
        dimensions=(
            *dims.overall(outline.box(), "stop_length", "stop_height", long, 2.0 * high),
            dims.across(
                "slot_from_end", P2(0.0, 0.0), P2(max(near - 14.0, 8.0), 0.0), max(near - 14.0, 8.0), Side.ABOVE
            ),
        ),
        quantity=2,
        carrier=Carrier.BED,
        uses=_NECK_ONLY,
        purpose="centres a neck that has no truss-rod slot: set both to the same reading at the bed's edge",
    )


def side_stop_placements(layout: Layout) -> tuple[Placement, Placement]:
    """+Y stop first; the −Y one is turned half round. Inner ends at the heel's sides."""
    at = layout.solution.job.instrument.heel_width / 2.0
    z = -layout.pivot_depth + side_stop_positions(layout)[0].y
    return (
        Placement(P3(0.0, at, z), Y_AXIS, Z_AXIS),
        Placement(P3(0.0, -at, z), Y_AXIS.times(-1.0), Z_AXIS.times(-1.0)),
    )
