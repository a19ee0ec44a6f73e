"""The board under the plate's middle: square to it, carrying the rests on one face for the neck, on the other one."""

from __future__ import annotations

from generator.base.annotation import Dimension, EngravedText, Side, Tolerance, within
from generator.base.geometry3d import P3, Y_AXIS, Z_AXIS, Placement
from generator.base.points2d import P2
from generator.base.shapes2d import polyline, rectangle
from generator.jig import dims
from generator.jig.fixings import (
    DOWEL,
    DOWEL_DEPTH,
    bitten_hole,
    board_to_angle_rest,
    board_to_brackets,
    board_to_upper_rest,
    body_rest_to_board,
    dowel_places,
    plate_to_board,
)
from generator.jig.layout import Layout
from generator.jig.part import EdgeHole, Face, Hole, Part
from generator.jig.record import Record
from generator.jig.traits import Serves, Traits, WayIn

#: Tolerance of the places of the screws for rests and brackets in the board's faces, mm.
_FACE = Tolerance(-0.3, 0.3, "its screws find the rests and brackets")


def board_placement(layout: Layout) -> Placement:
    """The board under the plate, its front face towards the body."""
    return Placement(P3(-layout.board.face, 0.0, 0.0), Y_AXIS, Z_AXIS)


def board(layout: Layout) -> Part:
    """The board; its origin is the middle of its upper edge, its front face the body's side."""
    half, high = layout.board.width / 2.0, layout.board.height
    outline = rectangle(-half, -high, half, 0.0)
    at = board_placement(layout)
    rows = [board_to_brackets(layout), board_to_upper_rest(layout), board_to_angle_rest(layout)]
    holes = tuple(hole for row in rows for hole in row.face_holes(at, Face.FRONT))
    return Part(
        name=BOARD.name,
        title="Board",
        stock=layout.spec.board_stock,
        thickness=layout.thick.board,
        outline=outline,
        holes=(*holes, *_body_rest_pilots(layout, at)),
        edge_holes=(*plate_to_board(layout).edge_holes(at), *_dowels(layout, at)),
        engraved_lines=(polyline([P2(0.0, -high + 1.0), P2(0.0, -layout.rests.angle_level + 20.0)]),),
        engraved_texts=(
            EngravedText(
                f"{'BODY' if layout.cuts_body else 'BENCH'} SIDE - UP", P2(0.0, -(layout.rests.upper_level + 34.0)), 5.0
            ),
            EngravedText(layout.solution.job.name.upper(), P2(0.0, -(layout.rests.upper_level + 48.0)), 3.5),
        ),
        dimensions=(
            *dims.overall(outline.box(), "board_width", "board_height", 2.0 * half, high),
            *_levels(layout, half),
        ),
        requirements=(
            within("Faces flat within {} between the rests", 0.1),
            within("Upper edge square to both faces within {}: it carries the plate's squareness", 0.1),
        ),
        purpose="stands square under the plate and carries the rests; its edges take the clamps",
    )


def _levels(layout: Layout, half: float) -> tuple[Dimension, ...]:
    """Depths of the rests' screws below the upper edge, and their distance apart."""
    edge = P2(half, 0.0)
    found = []
    for row in (board_to_upper_rest(layout), board_to_angle_rest(layout)):
        head = row.heads[0]
        at = P2(abs(head.y), head.z)
        name = row.takes
        found.append(dims.along(f"{name}_screws_down", at, edge, -head.z, Side.RIGHT, _FACE))
    apart = 2.0 * abs(head.y)
    found.append(dims.across("rest_screws_apart", P2(-at.x, at.y), at, apart, Side.BELOW, _FACE))
    bracket = board_to_brackets(layout).heads[0]
    y = abs(bracket.y)
    found.append(dims.across("bracket_screws_apart", P2(-y, bracket.z), P2(y, bracket.z), 2.0 * y, Side.ABOVE, _FACE))
    return tuple(found)


def _body_rest_pilots(layout: Layout, at: Placement) -> tuple[Hole, ...]:
    """Pilot or tapped holes for the body rest's screws, from the body's side."""
    if not layout.cuts_body:
        return ()
    row = body_rest_to_board(layout)
    places = (at.to_part(head) for head in row.heads)
    return tuple(
        bitten_hole(row.fastener, row.id, P2(place.x, place.y), row.bite, layout.thick.board, row.purpose)
        for place in places
    )


def _dowels(layout: Layout, at: Placement) -> tuple[EdgeHole, ...]:
    found = []
    for place in dowel_places(layout):
        point = at.to_part(place)
        found.append(
            EdgeHole(
                "dowel",
                P2(point.x, point.y),
                point.z,
                P2(0.0, -1.0),
                DOWEL,
                DOWEL_DEPTH,
                why="dowel, drilled and reamed through the plate at assembly",
                fit="H7",
            )
        )
    return tuple(found)


#: The board under the plate's middle, which carries the rests.
BOARD = Record(
    "board",
    board,
    Traits(decides_joint=True, serves=Serves.FRAME, way_in=WayIn(1), caption="board"),
    stands=board_placement,
)
