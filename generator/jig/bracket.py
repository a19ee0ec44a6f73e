"""The two brackets on the neck's side: a rail along the plate, and a deep part that makes the corner stiff and square.

The rails are exactly as high as the cut is deep: they are the jig's feet for the body's cut, and gauge the depth.
"""

from __future__ import annotations

import math
from dataclasses import replace

from generator.base.annotation import EngravedText, Side, Tolerance, within
from generator.base.geometry3d import P3, X_AXIS, Z_AXIS, Placement
from generator.base.points2d import P2
from generator.base.segments2d import Segment
from generator.base.shapes2d import rounded_polygon
from generator.jig import dims
from generator.jig.fixings import BRACKET_FLAT, Fixing, board_to_brackets, plate_to_brackets
from generator.jig.layout import Layout
from generator.jig.part import Part
from generator.jig.record import Record
from generator.jig.traits import Leg, Serves, ShopSheet, Traits, WayIn

#: Radius at the foot and in the inner corner, mm: cutters reach it.
_ROUND = 3.0
#: Tolerance of a rail's height where the body is cut, mm.
_RAIL = Tolerance(-0.1, 0.1, "gauges the depth of cut on the bench")


def bracket_left(layout: Layout) -> Part:
    """The bracket at y > 0."""
    return _bracket(layout, BRACKET_LEFT.name, "Bracket, left", bracket_left_placement(layout))


def bracket_right(layout: Layout) -> Part:
    """The bracket at y < 0: the same part on the other side."""
    return _bracket(layout, BRACKET_RIGHT.name, "Bracket, right", bracket_right_placement(layout))


def bracket_left_placement(layout: Layout) -> Placement:
    return Placement(P3(-layout.board.face, layout.bracket.inner, 0.0), X_AXIS.times(-1.0), Z_AXIS)


def bracket_right_placement(layout: Layout) -> Placement:
    outer = layout.bracket.inner + layout.thick.bracket
    return Placement(P3(-layout.board.face, -outer, 0.0), X_AXIS.times(-1.0), Z_AXIS)


def _bracket(layout: Layout, name: str, title: str, at: Placement) -> Part:
    """A bracket; its origin is the corner between plate and board, x along the plate, y up."""
    long, deep, rail, foot = layout.bracket.length, layout.bracket.depth, layout.bracket.rail, layout.spec.bracket_foot
    flat = BRACKET_FLAT * foot
    corners = [P2(0.0, -deep), P2(flat, -deep), P2(foot, -rail), P2(long, -rail), P2(long, 0.0), P2(0.0, 0.0)]
    outline = rounded_polygon(corners, [0.0, _ROUND, _ROUND, 0.0, 0.0, 0.0])
    root = next(segment for segment in outline.segments() if segment.is_arc and segment.sweep < 0.0)
    rows = (plate_to_brackets(layout), board_to_brackets(layout))
    return Part(
        name=name,
        title=title,
        stock=layout.spec.bracket_stock,
        thickness=layout.thick.bracket,
        outline=outline,
        edge_holes=tuple(hole for row in rows for hole in _mine(row, at, layout).edge_holes(at)),
        engraved_texts=(EngravedText(title.upper(), P2(long * 0.6, -rail / 2.0), 3.5),),
        dimensions=(
            dims.across("bracket_length", P2(0.0, 0.0), P2(long, 0.0), long, Side.ABOVE),
            dims.along("bracket_depth", P2(0.0, -deep), P2(0.0, 0.0), deep),
            dims.along("rail_height", P2(long, -rail), P2(long, 0.0), rail, Side.RIGHT, _rail_held(layout)),
            dims.across("bracket_foot", P2(0.0, -deep), P2(foot, -rail), foot, Side.BELOW),
        ),
        shop_dimensions=(
            dims.across("bracket_flat", P2(0.0, -deep), P2(flat, -deep), flat, Side.BELOW),
            dims.radius("bracket_radius", root.center, root.radius, _middle(root), count=2),
        ),
        requirements=(within("Corner between plate and board square within {} over the deep part", 0.1),),
        purpose=f"stiffens the corner between plate and board; its rail {_rail_is(layout)}",
    )


def _rail_is(layout: Layout) -> str:
    return (
        "is the foot and depth gauge for the body's cut" if layout.cuts_body else "carries the plate beside the window"
    )


def _rail_held(layout: Layout) -> Tolerance | None:
    return _RAIL if layout.cuts_body else None


def _middle(arc: Segment) -> float:
    """The direction from an arc's centre to its middle, degrees."""
    out = arc.point_at(0.5).minus(arc.center)
    return math.degrees(math.atan2(out.y, out.x))


def _mine(row: Fixing, at: Placement, layout: Layout) -> Fixing:
    """The screws of a row that meet the bracket standing at `at`."""
    low = at.origin.y
    return replace(row, heads=tuple(head for head in row.heads if low < head.y < low + layout.thick.bracket))


#: Both brackets: parts of the frame, slid to the board along the plate in step 2.
_TRAITS = Traits(
    decides_joint=True,
    serves=Serves.FRAME,
    way_in=WayIn(2, (Leg(X_AXIS),), ("board-bracket",)),
    shop_sheet=ShopSheet.BRACKETS,
    caption="bracket",
)
#: The bracket at y > 0.
BRACKET_LEFT = Record("bracket_left", bracket_left, _TRAITS, stands=bracket_left_placement)
#: The bracket at y < 0.
BRACKET_RIGHT = Record("bracket_right", bracket_right, _TRAITS, stands=bracket_right_placement)
