"""The rests: two carry the neck's gluing face, one the body's top, and one makes the scrap joint without an angle.

All lie level, screwed to the board by their back edge; what of them stands out of the board is their width in the
sheet's plane. A rest's origin is the middle of its back edge, y outwards from the board, its front face up.
"""

from __future__ import annotations

from dataclasses import replace

from generator.base.annotation import Dimension, EngravedText, Requirement, Side, Tolerance
from generator.base.contours2d import Path
from generator.base.geometry3d import P3, X_AXIS, Y_AXIS, Placement
from generator.base.points2d import P2
from generator.base.shapes2d import rounded_polygon
from generator.base.units import format_mm, mm
from generator.jig import dims
from generator.jig.fixings import (
    BODY_REST_HEAD,
    BODY_REST_HOLLOW,
    COUNTERBORE_PLAY,
    Fixing,
    board_to_angle_rest,
    board_to_upper_rest,
    body_rest_to_board,
)
from generator.jig.layout import Layout
from generator.jig.part import EdgeHole, Part
from generator.jig.record import Record, cuts_body
from generator.jig.relief import CUTTER, needs_relief, relief_fits, relief_note, relieved
from generator.jig.traits import Leg, Serves, Shimmed, ShopSheet, Traits, WayIn
from generator.job.model.stock import Stock
from generator.joint.cradle import rest_width
from generator.joint.stations import Use

#: How far a tooth stands out of its rest, mm: less where the slot is shallow.
_TOOTH = 6.0
#: A tooth ends at least this far short of the slot's floor, mm.
_OFF_FLOOR = 1.0
#: First line of letters below a rest's front edge, mm: clear of the reliefs.
_FIRST_LINE = 4.7
#: Pitch of a rest's lines of letters, mm.
_NEXT_LINE = 3.3
#: Tolerance of the width of the angle rest and of the zero rest, mm.
_WIDTH = Tolerance(-0.05, 0.05, "0.05 mm here is about 0.1 mm at the saddle")
#: Tolerance of the width of the upper rest and of the body rest, mm.
_UPPER = Tolerance(-0.3, 0.3, "measured on the built jig, not trusted")
#: Tolerance of a tooth's width, mm.
_TEETH = Tolerance(-0.05, 0.0, "play here turns the neck away from the saddle")


def upper_rest(layout: Layout) -> Part:
    """The rest under the join: w wide."""
    return _neck_rest(
        layout,
        UPPER_REST.name,
        "Upper rest",
        layout.cradle.upper_rest,
        board_to_upper_rest(layout),
        upper_rest_placement(layout),
        _UPPER,
        "carries the neck's gluing face near the join; glued and screwed once",
    )


def angle_rest(layout: Layout) -> Part:
    """The rest that sets the angle; personal to an instrument."""
    cradle = layout.cradle
    return _neck_rest(
        layout,
        ANGLE_REST.name,
        "Angle rest",
        cradle.angle_rest_drawn,
        board_to_angle_rest(layout),
        angle_rest_placement(layout),
        _WIDTH,
        f"with a {mm(cradle.nominal_shim)} shim behind it sets the neck's angle; one for each instrument",
        (layout.solution.job.name.upper(), f"{format_mm(cradle.angle)} DEG"),
    )


def zero_rest_width(layout: Layout) -> float:
    """Width of the zero rest, the nominal shim behind it, mm."""
    cradle = layout.cradle
    return rest_width(0.0, cradle.rest_spacing, cradle.stand_off) - cradle.nominal_shim


def zero_rest(layout: Layout) -> Part:
    """The angle rest of the scrap joint: no angle at all."""
    return _neck_rest(
        layout,
        ZERO_REST.name,
        "Zero rest",
        zero_rest_width(layout),
        replace(board_to_angle_rest(layout), purpose="board to zero rest"),
        angle_rest_placement(layout),
        _WIDTH,
        "takes the angle rest's place for the scrap joint: no angle",
        ("SCRAP 0 DEG",),
    )


def upper_rest_placement(layout: Layout) -> Placement:
    """The upper rest against the board's neck face."""
    return _neck_placement(layout, layout.cradle.rest_depth, 0.0)


def angle_rest_placement(layout: Layout) -> Placement:
    """The angle rest, its shim between it and the board."""
    return _neck_placement(layout, layout.cradle.angle_rest_depth, layout.rests.behind_angle)


def _neck_placement(layout: Layout, depth: float, behind: float) -> Placement:
    low = -(depth + layout.thick.rest)
    return Placement(P3(-layout.board.face - behind, 0.0, low), Y_AXIS, X_AXIS.times(-1.0))


def body_rest_placement(layout: Layout) -> Placement:
    """The body rest against the board's other face."""
    low = -(layout.cradle.rest_depth + layout.thick.rest)
    return Placement(P3(layout.board.face, 0.0, low), Y_AXIS.times(-1.0), X_AXIS)


def _neck_rest(
    layout: Layout,
    name: str,
    title: str,
    width: float,
    row: Fixing,
    at: Placement,
    tolerance: Tolerance,
    purpose: str,
    labels: tuple[str, ...] = (),
) -> Part:
    half = layout.spec.rest_length / 2.0
    upper = layout.cradle.angle >= 0.0
    working = "upper one, along the face marked UP" if upper else "lower one, away from the face marked UP"
    found = [
        dims.across(f"{name}_length", P2(-half, 0.0), P2(half, 0.0), 2.0 * half),
        dims.along(f"{name}_width", P2(-half, 0.0), P2(-half, width), width, Side.LEFT, tolerance),
    ]
    return Part(
        name=name,
        title=title,
        stock=layout.spec.rest_stock,
        thickness=layout.thick.rest,
        outline=_toothed(layout, half, width),
        edge_holes=row.edge_holes(at),
        engraved_texts=(
            *(
                EngravedText(text, P2(0.0, width - _FIRST_LINE - _NEXT_LINE * n), 2.5)
                for n, text in enumerate((*labels, f"{title.upper()} {format_mm(width)}"))
            ),
            EngravedText("UP", P2(-half * 0.72, width * 0.66), 3.5),
        ),
        dimensions=(*found, *_tooth_dimensions(layout, width)),
        requirements=(
            Requirement(f"Working edge: the {working}, left sharp. Plane the other front edge back by {{}}", ((0.2,),)),
            *(relief_note(_stock(layout)) if _has_reliefs(layout) else ()),
        ),
        purpose=purpose,
    )


def tooth_height(layout: Layout) -> float:
    """How far the teeth stand out of their rests, mm."""
    slot = layout.solution.job.instrument.truss_rod_slot_depth or 0.0
    return min(_TOOTH, slot - _OFF_FLOOR)


def _has_reliefs(layout: Layout) -> bool:
    return layout.rests.tooth_width is not None and relief_fits(tooth_height(layout))


def _toothed(layout: Layout, half: float, width: float) -> Path:
    corners = [P2(-half, 0.0), P2(half, 0.0), P2(half, width)]
    tooth = layout.rests.tooth_width
    if tooth is not None:
        out = width + tooth_height(layout)
        corners += [P2(tooth / 2.0, width), P2(tooth / 2.0, out), P2(-tooth / 2.0, out), P2(-tooth / 2.0, width)]
    corners.append(P2(-half, width))
    return relieved(corners, _stock(layout))


def _stock(layout: Layout) -> Stock:
    return layout.solution.job.stocks[layout.spec.rest_stock]


def _root_radius(layout: Layout) -> float:
    """Radius of the body rest's inner corners, mm: nothing bears there, so a cutter leaves its own."""
    return CUTTER / 2.0 if needs_relief(_stock(layout)) else 0.0


def _tooth_dimensions(layout: Layout, width: float) -> tuple[Dimension, ...]:
    tooth = layout.rests.tooth_width
    if tooth is None:
        return ()
    out, side = width + tooth_height(layout), tooth / 2.0
    return (
        dims.across("tooth_width", P2(-side, out), P2(side, out), tooth, Side.ABOVE, _TEETH),
        dims.along("tooth_height", P2(side, width), P2(side, out), out - width, Side.RIGHT),
    )


def body_rest(layout: Layout) -> Part:
    """The rest that locates the body: it bears beside the cut in the body, its middle set back."""
    half, w, hollow = layout.rests.body_end, layout.cradle.upper_rest, layout.cradle.rest_beside
    back, cut = w - BODY_REST_HOLLOW, layout.solution.joint.cut_in_body.name
    corners = [
        P2(-half, 0.0),
        P2(half, 0.0),
        P2(half, w),
        P2(hollow, w),
        P2(hollow, back),
        P2(-hollow, back),
        P2(-hollow, w),
        P2(-half, w),
    ]
    root = _root_radius(layout)
    return Part(
        name=BODY_REST.name,
        title="Body rest",
        stock=layout.spec.rest_stock,
        thickness=layout.thick.rest,
        outline=rounded_polygon(corners, [0.0, 0.0, 0.0, 0.0, root, root, 0.0, 0.0]),
        edge_holes=_from_hollow(layout),
        engraved_texts=(
            EngravedText("BODY", P2(-(half + hollow) / 2.0, w * 0.45), 2.5),
            EngravedText("UP", P2((half + hollow) / 2.0, w * 0.45), 3.0),
        ),
        dimensions=(
            dims.across("body_rest_length", P2(-half, 0.0), P2(half, 0.0), 2.0 * half),
            dims.along("body_rest_width", P2(-half, 0.0), P2(-half, w), w, Side.LEFT, _UPPER),
            dims.across("hollow_length", P2(-hollow, back), P2(hollow, back), 2.0 * hollow, Side.ABOVE),
            dims.along("hollow_depth", P2(hollow, back), P2(half, w), BODY_REST_HOLLOW, Side.RIGHT),
        ),
        shop_dimensions=(dims.radius("hollow_radius", P2(root - hollow, back + root), root, 225.0, count=2),)
        if root
        else (),
        purpose=f"the body's top touches it beside the {cut}, inside the neck block",
    )


def _from_hollow(layout: Layout) -> tuple[EdgeHole, ...]:
    """Counterbores from the hollow for the heads, and clearance holes from the back edge that meet them."""
    row, at = body_rest_to_board(layout), body_rest_placement(layout)
    found = []
    for head in row.heads:
        face = at.to_part(head)
        front, back = P2(face.x, face.y), P2(face.x, 0.0)
        found += [
            EdgeHole(
                "body-rest-head",
                front,
                face.z,
                P2(0.0, -1.0),
                row.fastener.head_diameter + COUNTERBORE_PLAY,
                BODY_REST_HEAD,
                why="takes the head, its floor flat",
            ),
            EdgeHole(
                "body-rest-screw",
                back,
                face.z,
                P2(0.0, 1.0),
                row.fastener.clearance,
                face.y - BODY_REST_HEAD,
                why=row.purpose,
            ),
        ]
    return tuple(found)


#: The rest under the neck's gluing face near the join.
UPPER_REST = Record(
    "upper_rest",
    upper_rest,
    Traits(
        decides_joint=True,
        serves=Serves.JIG,
        bears=Use.NECK,
        way_in=WayIn(4, (Leg(X_AXIS),), ("board-upper-rest",)),
        shop_sheet=ShopSheet.RESTS,
        caption="upper rest",
    ),
    stands=upper_rest_placement,
)
#: The rest that sets the neck's angle; each instrument has its own.
ANGLE_REST = Record(
    "angle_rest",
    angle_rest,
    Traits(
        decides_joint=True,
        serves=Serves.OWN,
        shimmed=Shimmed("angle_rest_width", "behind the one at hand, in place of the nominal one", True),
        bears=Use.NECK,
        way_in=WayIn(6, (Leg(X_AXIS),), ("board-angle-rest",)),
        shop_sheet=ShopSheet.RESTS,
        caption="angle rest",
    ),
    stands=angle_rest_placement,
)
#: The rest for the body's top, beside the cut.
BODY_REST = Record(
    "body_rest",
    body_rest,
    Traits(
        decides_joint=True,
        serves=Serves.FRAME,
        bears=Use.BODY,
        way_in=WayIn(5, (Leg(X_AXIS.times(-1.0)),), ("body-rest-board",)),
        shop_sheet=ShopSheet.RESTS,
        caption="body rest",
    ),
    stands=body_rest_placement,
    when=cuts_body,
)
#: The rest in the angle rest's place for the scrap joint, which has no angle.
ZERO_REST = Record("zero_rest", zero_rest, Traits(shop_sheet=ShopSheet.RESTS))
