"""The bed: the flat board that both the neck and the body lie against, below the plate and on its X < 0 side.

Drawn seen from the work's side: x is the jig's Y, y is the height over the pivot line (v), origin on the centreline
at the pivot.
"""

from __future__ import annotations

from generator.geometry2d import P2, Path
from generator.geometry3d import P3, Y_AXIS, Z_AXIS, Placement
from generator.parts import dims
from generator.parts.base import Carrier, Dimension, EngravedText, Face, Hole, Opening, Part, Side, Tolerance, within
from generator.parts.body_rest import rest_screw_positions
from generator.parts.layout import Layout
from generator.parts.truss_key import key_pin_positions, key_screw_positions, uses_key_strip
from generator.shapes2d import eased_polygon, polyline

#: Least length of a side stop between its screw and the neck, mm.
_STOP_NOSE = 22.0
_FLAT = Tolerance(-0.1, 0.1, "the bed's upper edge must stay below the deepest cut")


def bed(layout: Layout) -> Part:
    """The bed with slots for the ribs and holes for rest, key, hold-down and side stops."""
    half = layout.spec.bed_width / 2.0
    corners = [
        P2(-half, layout.bed_foot),
        P2(half, layout.bed_foot),
        P2(half, layout.bed_top),
        P2(-half, layout.bed_top),
    ]
    radius = layout.spec.corner_radius
    outline = eased_polygon(corners, [radius, radius, 0.0, 0.0])
    slots, rib_holes = _rib_fixing(layout)
    return Part(
        name="bed",
        title="Bed",
        datum=P2(0.0, layout.bed_top),
        stock=layout.spec.bed_stock,
        thickness=layout.thick.bed,
        outline=outline,
        openings=slots,
        holes=(*rib_holes, *_rest_holes(layout), *_centring_holes(layout), *_stud_holes(layout)),
        engraved_lines=_lines(layout),
        engraved_texts=_texts(layout),
        points={"pivot": P2(0.0, 0.0), "top": P2(0.0, layout.bed_top)},
        dimensions=_dimensions(layout, outline),
        carrier=Carrier.BED,
        purpose="carries the neck on its face and the body on the rest strips; its upper edge stays below the cut",
        requirements=(
            within("Front face flat within {}: neck and body take their angle from it", 0.1),
            within("Upper edge straight and square to the face within {}: it runs along the cut", 0.1),
        ),
    )


def bed_placement(layout: Layout) -> Placement:
    """Face on X = 0, origin on the pivot line."""
    return Placement(P3(-layout.thick.bed, 0.0, -layout.pivot_depth), Y_AXIS, Z_AXIS)


def rib_line(layout: Layout, side: float) -> tuple[P2, P2]:
    """Middle line of a rib's front edge on the bed, from its foot up; `side` is +1 or −1."""
    y = side * (layout.rib_inner + layout.thick.cheek / 2.0)
    return P2(y, layout.rib_foot), P2(y, layout.rib_top)


def _rib_fixing(layout: Layout) -> tuple[tuple[Opening, ...], tuple[Hole, ...]]:
    slots: tuple[Opening, ...] = ()
    holes: tuple[Hole, ...] = ()
    for side in (1.0, -1.0):
        a, b = rib_line(layout, side)
        slots += layout.rib_joint.face_openings(a, b)
        holes += layout.rib_joint.face_holes(a, b, Face.FRONT)
    return slots, holes


def _rest_holes(layout: Layout) -> tuple[Hole, ...]:
    size = layout.strip_screw.clearance
    return tuple(Hole("rest-screw", at, size, why="rest strip, nut behind") for at in rest_screw_positions(layout))


def _centring_holes(layout: Layout) -> tuple[Hole, ...]:
    """Screws of the truss-rod key, two pins where the slot is too narrow for it, or the side stops' screws."""
    slot = layout.solution.job.instrument.truss_rod_slot_width
    if slot is None:
        size = layout.screw.clearance
        return tuple(Hole("side-stop-screw", at, size, why="side stop") for at in side_stop_positions(layout))
    if uses_key_strip(layout):
        size = layout.strip_screw.clearance
        return tuple(Hole("key-screw", at, size, why="truss-rod key") for at in key_screw_positions(layout))
    size = slot - layout.spec.fit_play
    return tuple(Hole("key-pin", at, size, why="pin in the truss-rod slot") for at in key_pin_positions(layout))


def side_stop_positions(layout: Layout) -> tuple[P2, ...]:
    """Screw centres of the two side stops, +Y first."""
    heel = layout.solution.job.instrument.heel_width / 2.0
    y = layout.rib_top - (layout.rib_top - layout.hold_down_v) / 2.0
    x = max(layout.cheek_outer + 1.5 * layout.screw.washer_diameter, heel + _STOP_NOSE)
    return P2(x, y), P2(-x, y)


def _stud_holes(layout: Layout) -> tuple[Hole, ...]:
    size = layout.stud.clearance
    return tuple(
        Hole("stud", P2(sign * layout.stud_y, layout.hold_down_v), size, why="hold-down stud") for sign in (1.0, -1.0)
    )


def _lines(layout: Layout) -> tuple[Path, ...]:
    """The centreline above and below whatever stands on it, clear of the holes there."""
    on_line = [hole for hole in _centring_holes(layout) if abs(hole.at.x) < hole.diameter / 2.0]
    gap_top = max([layout.rib_top - 2.0, *(hole.at.y + hole.diameter / 2.0 + 2.0 for hole in on_line)])
    gap_foot = layout.rib_top - 2.0 - layout.spec.key_length - 4.0
    gap_foot = min([gap_foot, *(hole.at.y - hole.diameter / 2.0 - 2.0 for hole in on_line)])
    top, foot = layout.bed_top - 1.0, layout.bed_foot + 1.0
    stretches = ((top, gap_top), (gap_foot, foot))
    return tuple(polyline([P2(0.0, high), P2(0.0, low)]) for high, low in stretches if high - low > 2.0)


def _texts(layout: Layout) -> tuple[EngravedText, ...]:
    half = layout.spec.bed_width / 2.0
    return (
        EngravedText("UP", P2(-(layout.rest_outer + half) / 2.0, layout.bed_top - 7.0), 4.0),
        EngravedText("CLAMP LAND", P2(half - 14.0, -layout.spec.sine_distance * 0.45), 3.5, 90.0),
        EngravedText("CLAMP LAND", P2(-half + 14.0, -layout.spec.sine_distance * 0.45), 3.5, 90.0),
    )


def _dimensions(layout: Layout, outline: Path) -> tuple[Dimension, ...]:
    half = layout.spec.bed_width / 2.0
    studs = [P2(-layout.stud_y, layout.hold_down_v), P2(layout.stud_y, layout.hold_down_v)]
    box = outline.box()
    return (
        *dims.overall(box, "bed_width", "bed_length", layout.spec.bed_width, layout.bed_top - layout.bed_foot),
        dims.across("stud_spacing", studs[0], studs[1], 2.0 * layout.stud_y, Side.BELOW),
        dims.along(
            "stud_from_top", studs[1], P2(half, layout.bed_top), layout.bed_top - layout.hold_down_v, Side.RIGHT
        ),
        *_rest_dimensions(layout, P2(half, layout.bed_top)),
        dims.diameter("stud_hole", studs[1], layout.stud.clearance, 2, angle=-45.0),
    )


def _rest_dimensions(layout: Layout, corner: P2) -> tuple[Dimension, ...]:
    """Where the rest strips' screws lie, where they have any; `corner` is the bed's upper right one."""
    rests = rest_screw_positions(layout)
    if not rests:
        return ()
    inner, outer, _, other = rests
    found = [
        dims.along("rest_screw_from_top", outer, corner, corner.y - outer.y, Side.RIGHT),
        dims.across("rest_screw_outer", P2(-outer.x, other.y), outer, 2.0 * outer.x, Side.ABOVE),
        dims.across("rest_screw_inner", P2(-inner.x, other.y), inner, 2.0 * inner.x, Side.ABOVE),
    ]
    if outer.y - inner.y > 0.5:
        found.append(dims.along("rest_screw_lower", inner, corner, corner.y - inner.y, Side.RIGHT))
    return tuple(found)
