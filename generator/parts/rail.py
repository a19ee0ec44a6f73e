"""The rails: boards on edge under the tenon half of the plate that keep it from sagging under the router.

Drawn from the side: x along the plate from the rail's start, y up, its upper edge glued and screwed to the plate.
"""

from __future__ import annotations

from generator.geometry2d import P2
from generator.geometry3d import P3, X_AXIS, Z_AXIS, Placement
from generator.parts import dims
from generator.parts.base import Carrier, Dimension, EdgeHole, Part, Side
from generator.parts.layout import Layout
from generator.parts.rail_screws import rail_screw, rail_screw_stations
from generator.shapes2d import rectangle


def rail(layout: Layout) -> Part:
    """One rail; both are alike."""
    length, high = layout.rail_end - layout.rail_start, layout.rail_height
    outline = rectangle(0.0, 0.0, length, high)
    return Part(
        name="rail",
        title="Rail",
        stock=layout.spec.rail_stock,
        thickness=layout.thick.rail,
        outline=outline,
        edge_holes=_screw_holes(layout, high),
        dimensions=_dimensions(layout, length, high),
        quantity=2,
        carrier=Carrier.PLATE,
        purpose="keeps the plate from sagging beside the window; turns with the plate",
    )


def rail_placements(layout: Layout) -> tuple[Placement, Placement]:
    """Both rails with the tenon half over the work, +Y first; sheet normal along −Y."""
    x, z = layout.rail_start, -layout.rail_height
    inner, outer = layout.rail_inner, layout.rail_inner + layout.thick.rail
    return Placement(P3(x, outer, z), X_AXIS, Z_AXIS), Placement(P3(x, -inner, z), X_AXIS, Z_AXIS)


def _screw_holes(layout: Layout, high: float) -> tuple[EdgeHole, ...]:
    """Tapped holes in metal, pilot holes for wood screws in sheet, both into the upper edge."""
    found = rail_screw(layout)
    if found is None:
        return ()
    return tuple(
        EdgeHole(
            "rail-screw",
            P2(x - layout.rail_start, high),
            layout.thick.rail / 2.0,
            P2(0.0, -1.0),
            found.drill,
            found.depth,
            found.screw.name if found.tapped else None,
            found.thread_depth,
            why="" if found.tapped else "pilot for a wood screw",
        )
        for x in rail_screw_stations(layout)
    )


def _dimensions(layout: Layout, length: float, high: float) -> tuple[Dimension, ...]:
    found = [
        dims.across("rail_length", P2(0.0, 0.0), P2(length, 0.0), length),
        dims.along("rail_height", P2(0.0, 0.0), P2(0.0, high), high),
    ]
    stations = rail_screw_stations(layout)
    if stations:
        first = stations[0] - layout.rail_start
        found.append(dims.across("first_screw", P2(0.0, high), P2(first, high), first, Side.ABOVE))
    return tuple(found)
