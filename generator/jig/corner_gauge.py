"""The corner gauge: shows whether a tenon's corner that hands have eased is round enough for the mortise's."""

from __future__ import annotations

from generator.base.annotation import EngravedText
from generator.base.points2d import P2
from generator.base.shapes2d import rounded_polygon
from generator.base.units import format_mm
from generator.jig import dims
from generator.jig.layout import Layout
from generator.jig.part import Part
from generator.jig.record import Record
from generator.jig.traits import ShopSheet, Traits
from generator.joint.solution import Solution

#: Width of the gauge's two arms, mm.
_ARM = 16.0
#: How far each arm runs past the rounding along the tenon, mm.
_PAST = 14.0
#: Radius of the outer corner where the two arms meet, mm.
_OUTER_RADIUS = 3.0


def tenon_corner(solution: Solution) -> float:
    """The least radius (mm) of a tenon's corners that clear the mortise's, the room at its sides counted."""
    return solution.joint.cut_in_body.corner_radius - solution.joint.side_room / 2.0


def corners_are_sawn(layout: Layout) -> bool:
    """True where the back end of the tenon is sawn off a bridged tongue's ridge, and its corners are eased by hand."""
    return layout.spec.bridged and layout.solution.joint.stands


def corner_gauge(layout: Layout) -> Part:
    """Two arms at a right angle; the inner corner between them is as round as the tenon's is to be."""
    size = tenon_corner(layout.solution)
    end = _ARM + size + _PAST
    corners = [P2(0.0, 0.0), P2(end, 0.0), P2(end, _ARM), P2(_ARM, _ARM), P2(_ARM, end), P2(0.0, end)]
    outline = rounded_polygon(corners, [_OUTER_RADIUS, 0.0, 0.0, size, 0.0, 0.0])
    return Part(
        name=CORNER_GAUGE.name,
        title="Corner gauge",
        stock=layout.spec.guide_stock,
        thickness=layout.thick.guide,
        outline=outline,
        engraved_texts=(EngravedText(f"R {format_mm(size)}", P2(end / 2.0, _ARM / 2.0), 3.0),),
        dimensions=(
            *dims.overall(outline.box(), "corner_gauge_length", "corner_gauge_height", end, end),
            dims.radius("rounding", P2(_ARM + size, _ARM + size), size, 225.0),
        ),
        shop_dimensions=(
            dims.across("arm_width", P2(0.0, end), P2(_ARM, end), _ARM),
            dims.radius("outer_corner", P2(_OUTER_RADIUS, _OUTER_RADIUS), _OUTER_RADIUS, 225.0),
        ),
        purpose="held on cheek and end of the tenon: no light at its corner, and the mortise's corner lets it in",
    )


#: The gauge for a tenon's corners that are eased by hand.
CORNER_GAUGE = Record("corner_gauge", corner_gauge, Traits(shop_sheet=ShopSheet.GUIDES), when=corners_are_sawn)
