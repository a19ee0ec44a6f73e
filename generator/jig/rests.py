"""The rests: two carry the neck's gluing face, one the body's top, and one makes the scrap joint without an angle.

All lie level, screwed to the board by their back edge; what of them stands out of the board is their width in the
sheet's plane. A rest's origin is the middle of its back edge, y outwards from the board, its front face up.
"""

from __future__ import annotations

from generator.base.annotation import Dimension, EngravedText, Requirement, Side, Tolerance
from generator.base.geometry2d import P2, Path
from generator.base.geometry3d import P3, X_AXIS, Y_AXIS, Placement
from generator.base.shapes2d import rounded_polygon
from generator.base.units import format_mm
from generator.jig import dims
from generator.jig.fixings import (
    BODY_REST_HEAD,
    BODY_REST_HOLLOW,
    Fixing,
    board_to_angle_rest,
    board_to_upper_rest,
    body_rest_to_board,
)
from generator.jig.layout import Layout
from generator.jig.part import EdgeHole, Part
from generator.joint.cradle import rest_width

#: How far a tooth stands out of its rest, or less where the slot is shallow: 1 mm short of its floor, mm.
_TOOTH, _OFF_FLOOR = 6.0, 1.0
_WIDTH = Tolerance(-0.05, 0.05, "0.05 mm here is about 0.1 mm at the saddle")
_UPPER = Tolerance(-0.3, 0.3, "measured on the built jig, not trusted")
_TEETH = Tolerance(-0.05, 0.0, "play here turns the neck away from the saddle")


def upper_rest(layout: Layout) -> Part:
    """The rest under the join: w wide."""
    return _neck_rest(
        layout,
        "upper_rest",
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
        "angle_rest",
        "Angle rest",
        cradle.angle_rest_drawn,
        board_to_angle_rest(layout),
        angle_rest_placement(layout),
        _WIDTH,
        f"with a {format_mm(cradle.nominal_shim)} mm shim behind it sets the neck's angle; one for each instrument",
        f"{layout.solution.job.name.upper()} {format_mm(cradle.angle)} DEG",
    )


def zero_rest(layout: Layout) -> Part:
    """The angle rest of the scrap joint: no angle at all."""
    cradle = layout.cradle
    width = rest_width(0.0, cradle.rest_spacing, cradle.stand_off) - cradle.nominal_shim
    return _neck_rest(
        layout,
        "zero_rest",
        "Zero rest",
        width,
        board_to_angle_rest(layout),
        angle_rest_placement(layout),
        _WIDTH,
        "takes the angle rest's place for the scrap joint: no angle",
        "SCRAP 0 DEG",
    )


def upper_rest_placement(layout: Layout) -> Placement:
    """The upper rest against the board's neck face."""
    return _neck_placement(layout, layout.cradle.rest_depth, 0.0)


def angle_rest_placement(layout: Layout) -> Placement:
    """The angle rest, its shim between it and the board."""
    return _neck_placement(layout, layout.cradle.angle_rest_depth, layout.behind_angle_rest)


def _neck_placement(layout: Layout, depth: float, behind: float) -> Placement:
    low = -(depth + layout.thick.rest)
    return Placement(P3(-layout.board_face - behind, 0.0, low), Y_AXIS, X_AXIS.times(-1.0))


def body_rest_placement(layout: Layout) -> Placement:
    """The body rest against the board's other face."""
    low = -(layout.cradle.rest_depth + layout.thick.rest)
    return Placement(P3(layout.board_face, 0.0, low), Y_AXIS.times(-1.0), X_AXIS)


def _neck_rest(
    layout: Layout,
    name: str,
    title: str,
    width: float,
    row: Fixing,
    at: Placement,
    tolerance: Tolerance,
    purpose: str,
    label: str = "",
) -> Part:
    half = layout.spec.rest_length / 2.0
    working = "upper" if layout.cradle.angle >= 0.0 else "lower"
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
            EngravedText("UP", P2(-half * 0.72, width * 0.66), 3.5),
            EngravedText(f"{title.upper()} {format_mm(width)}", P2(0.0, width * 0.34), 2.5),
            *((EngravedText(label, P2(0.0, width * 0.68), 2.5),) if label else ()),
        ),
        dimensions=(*found, *_tooth_dimensions(layout, width)),
        requirements=(
            Requirement(f"Working edge: the {working} one. Plane the other front edge back by {{}}", ((0.2,),)),
        ),
        purpose=purpose,
    )


def tooth_height(layout: Layout) -> float:
    """How far the teeth stand out of their rests, mm."""
    slot = layout.solution.job.instrument.truss_rod_slot_depth or 0.0
    return min(_TOOTH, slot - _OFF_FLOOR)


def _toothed(layout: Layout, half: float, width: float) -> Path:
    corners = [P2(-half, 0.0), P2(half, 0.0), P2(half, width)]
    tooth = layout.tooth_width
    if tooth is not None:
        out = width + tooth_height(layout)
        corners += [P2(tooth / 2.0, width), P2(tooth / 2.0, out), P2(-tooth / 2.0, out), P2(-tooth / 2.0, width)]
    corners.append(P2(-half, width))
    return rounded_polygon(corners, [0.0] * len(corners))


def _tooth_dimensions(layout: Layout, width: float) -> tuple[Dimension, ...]:
    tooth = layout.tooth_width
    if tooth is None:
        return ()
    out, side = width + tooth_height(layout), tooth / 2.0
    return (
        dims.across("tooth_width", P2(-side, out), P2(side, out), tooth, Side.ABOVE, _TEETH),
        dims.along("tooth_height", P2(side, width), P2(side, out), out - width, Side.RIGHT),
    )


def body_rest(layout: Layout) -> Part:
    """The rest that locates the body: it bears beside the cut in the body, its middle set back."""
    half, w, hollow = layout.body_rest_end, layout.cradle.upper_rest, layout.cradle.rest_beside
    back, cut = w - BODY_REST_HOLLOW, layout.solution.joint.body_outline.name
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
    return Part(
        name="body_rest",
        title="Body rest",
        stock=layout.spec.rest_stock,
        thickness=layout.thick.rest,
        outline=rounded_polygon(corners, [0.0] * len(corners)),
        edge_holes=_from_hollow(layout),
        engraved_texts=(EngravedText("BODY REST - UP", P2(0.0, w * 0.4), 3.0),),
        dimensions=(
            dims.across("body_rest_length", P2(-half, 0.0), P2(half, 0.0), 2.0 * half),
            dims.along("body_rest_width", P2(-half, 0.0), P2(-half, w), w, Side.LEFT, _UPPER),
            dims.across("hollow_length", P2(-hollow, back), P2(hollow, back), 2.0 * hollow, Side.ABOVE),
            dims.along("hollow_depth", P2(hollow, back), P2(half, w), BODY_REST_HOLLOW, Side.RIGHT),
        ),
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
                row.fastener.head_diameter + 0.5,
                BODY_REST_HEAD,
                why="takes the head",
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
