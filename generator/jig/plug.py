"""The plug: it hangs the body from its opening on one screw, sets its centreline, and later guides the drill.

Its origin is the middle of its closed end, which fits the opening's closed end; y runs towards the open end.
"""

from __future__ import annotations

from collections.abc import Sequence

from generator.base.annotation import Side, Tolerance
from generator.base.contours2d import Path
from generator.base.points2d import P2
from generator.base.shapes2d import polyline, rounded_polygon
from generator.jig import dims
from generator.jig.crosspiece import CROSSPIECE, crosspiece, crosspiece_screw_length
from generator.jig.fixings import bitten_hole
from generator.jig.layout import Layout
from generator.jig.part import Hole, Part
from generator.jig.record import Record, cuts_body
from generator.jig.traits import ShopSheet, Traits
from generator.joint.joint import BoltHole

#: Whole play of the plug in the opening, mm.
PLAY = 0.12
#: Material past the uppermost bolt's hole, mm.
_PAST_BOLT = 8.0
#: Least room for the plug to slide in the opening, mm.
_SLIDE = 4.0
#: How far the crosspiece laps the plate on either side, mm.
_LAP = 30.0
#: Distance of the crosspiece's screws from the centreline, mm: more where their heads would come too close.
_SCREW_ASIDE = 5.0
#: Least distance between the heads of the crosspiece's screws, mm.
_HEADS_APART = 1.0
#: Plug left round the hole of the screw that hangs the body, mm.
_HANG_WALL = 1.5
#: Plug left beside a crosspiece's screw, mm.
_SCREW_WALL = 1.5
#: Length of the centreline's mark before the crosspiece, mm.
_MARK_BEFORE = 2.0
#: Length of the centreline's mark under the crosspiece, mm.
_MARK_UNDER = 4.0
#: Least distance from the centreline's mark to a hole, mm.
_MARK_APART = 0.3
#: Tolerance of the plug's width, mm.
_WIDE = Tolerance(-0.05, 0.05, "its play is the body's centreline error")


def plug_length(layout: Layout) -> float:
    """Length of the plug, mm: past the uppermost bolt, and the crosspiece; but it must slide in the opening."""
    highest = min(bolt.from_top for bolt in layout.solution.joint.bolts)
    # Its square end stays off the round corners of the opening's open end.
    slide = max(_SLIDE, layout.solution.job.router.bushing_od / 2.0)
    room = layout.routing.opening_length - layout.routing.opening_start - slide
    return min(_from_end(layout, highest) + _PAST_BOLT + CROSSPIECE, room)


def guided_bolts(layout: Layout) -> tuple[BoltHole, ...]:
    """The bolts whose drill the plug guides: one that stands so high that the crosspiece covers it is left out."""
    end = plug_length(layout) - CROSSPIECE
    bolts = layout.solution.joint.bolts
    return tuple(b for b in bolts if _from_end(layout, b.from_top) + b.clearance_hole / 2.0 <= end - 1.0)


def hang_from_end(layout: Layout) -> float:
    """Where the plug's own screw goes, mm from its closed end."""
    return _from_end(layout, hang_from_top(layout))


def hang_from_top(layout: Layout) -> float:
    """Where on the end face the plug's screw goes, mm below the top edge: in the waste, between the bolts.

    Under a single bolt it keeps its wall from that one's hole; what is left to the closed end `hang_walls` tells.
    """
    joint = layout.solution.joint
    first = joint.bolts[0]
    if len(joint.bolts) > 1:
        return (first.from_top + joint.bolts[1].from_top) / 2.0
    clear = first.from_top + (first.clearance_hole + layout.screws.own.clearance) / 2.0 + _HANG_WALL
    return max((first.from_top + joint.cut_in_body.length) / 2.0, clear)


def hang_walls(layout: Layout) -> float:
    """The least material round the plug's screw hole, mm: to the closed end, and to the bolts' holes that it has."""
    at, radius = hang_from_end(layout), layout.screws.own.clearance / 2.0
    bolts = [
        abs(at - _from_end(layout, bolt.from_top)) - radius - bolt.clearance_hole / 2.0 for bolt in guided_bolts(layout)
    ]
    return min(at - radius, *bolts) if bolts else at - radius


def _from_end(layout: Layout, from_top: float) -> float:
    """A place below the body's top edge, mm from the opening's closed end."""
    return layout.routing.opening_length - layout.cradle.body_join_x - from_top


def plug(layout: Layout) -> Part:
    """The plug itself, of the plate's own stock."""
    half = (layout.routing.opening_width - PLAY) / 2.0
    long = plug_length(layout)
    radius = min(layout.routing.opening_corner_radius, half)
    corners = [P2(-half, 0.0), P2(half, 0.0), P2(half, long), P2(-half, long)]
    bolts, cut = guided_bolts(layout), layout.solution.joint.cut_in_body.name
    holes = [
        Hole("bolt", P2(0.0, _from_end(layout, bolt.from_top)), bolt.clearance_hole, why="guides the bolt's drill")
        for bolt in bolts
    ]
    hang = Hole("hang", P2(0.0, hang_from_end(layout)), layout.screws.own.clearance, why="hangs the body")
    drilled = (*holes, hang, *_crosspiece_pilots(layout, long))
    return Part(
        name=PLUG.name,
        title="Plug",
        stock=layout.spec.plate_stock,
        thickness=layout.thick.plate,
        outline=rounded_polygon(corners, [radius, radius, 0.0, 0.0]),
        holes=drilled,
        engraved_lines=(_centre_mark(drilled, long - CROSSPIECE),),
        dimensions=(
            dims.across("plug_width", P2(-half, long), P2(half, long), 2.0 * half, Side.ABOVE, _WIDE),
            dims.along("plug_length", P2(-half, 0.0), P2(-half, long), long),
            *(
                dims.along(f"plug_bolt_{n}", P2(half, 0.0), hole.at, hole.at.y, Side.RIGHT)
                for n, hole in enumerate(holes, 1)
            ),
        ),
        shop_dimensions=(dims.radius("plug_radius", P2(half - radius, radius), radius, -45.0, count=2),),
        purpose=f"hangs the body in the {cut} opening on one screw; at the closed end it guides the bolts' drill",
    )


def _centre_mark(holes: Sequence[Hole], edge: float) -> Path:
    """The centreline where the crosspiece's edge lies, at `edge`, as far as the holes on it leave room."""
    on_it = [hole for hole in holes if abs(hole.at.x) < hole.rim + _MARK_APART]
    low = [hole.at.y + hole.rim + _MARK_APART for hole in on_it if hole.at.y < edge]
    high = [hole.at.y - hole.rim - _MARK_APART for hole in on_it if hole.at.y >= edge]
    return polyline([P2(0.0, max([edge - _MARK_BEFORE, *low])), P2(0.0, min([edge + _MARK_UNDER, *high]))])


def _crosspiece_pilots(layout: Layout, long: float) -> tuple[Hole, ...]:
    bite = crosspiece_screw_length(layout) - layout.thick.rest
    middle = P2(0.0, long - CROSSPIECE / 2.0)
    return tuple(
        bitten_hole(
            layout.screws.own,
            "crosspiece",
            _screw_at(layout, side).plus(middle),
            bite,
            layout.thick.plate,
            "holds the crosspiece",
        )
        for side in (1.0, -1.0)
    )


def _screw_at(layout: Layout, side: float) -> P2:
    """One of the crosspiece's two screws, seen from its middle: beside the centreline, or on it in a narrow plug.

    Their heads keep clear of each other, and a wall stays between each and the plug's side.
    """
    apart = max(_SCREW_ASIDE, (layout.screws.own.head_diameter + _HEADS_APART) / 2.0)
    wall = (layout.routing.opening_width - PLAY - layout.screws.own.pilot) / 2.0 - apart
    return P2(side * apart, 0.0) if wall >= _SCREW_WALL else P2(0.0, side * apart)


def plug_crosspiece(layout: Layout) -> Part:
    """The crosspiece that lies over the plate; its length across the opening."""
    return crosspiece(
        layout,
        PLUG_CROSSPIECE.name,
        "plug",
        half=layout.routing.opening_width / 2.0 + _LAP,
        screws=tuple(_screw_at(layout, side) for side in (1.0, -1.0)),
        text_at=0.6,
        purpose="glued and screwed across the plug's open end; lies on the plate and carries the body",
    )


#: The piece that hangs the body from its opening on one screw and guides the bolts' drill.
PLUG = Record("plug", plug, Traits(decides_joint=True, shop_sheet=ShopSheet.PLUG_AND_BLOCKS), when=cuts_body)
#: The crosspiece by which the plug hangs on the plate.
PLUG_CROSSPIECE = Record(
    "plug_crosspiece", plug_crosspiece, Traits(shop_sheet=ShopSheet.PLUG_AND_BLOCKS), when=cuts_body
)
