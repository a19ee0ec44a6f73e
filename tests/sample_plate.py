"""A plate for the drawing tests: asymmetric, non-round sizes, openings, counterbores, threads, many dimensions."""

from __future__ import annotations

import math
from functools import lru_cache

from slots import arc_slot

from generator.base.annotation import Dimension, DimKind, EngravedText, Side, Tolerance
from generator.base.contours2d import Path
from generator.base.points2d import P2, polar
from generator.base.shapes2d import polyline, rectangle, rounded_polygon
from generator.documents.part_view import part_block
from generator.drawing.callout import Notation
from generator.drawing.compose import Pointer, compose_sheet
from generator.drawing.sheet import Sheet
from generator.jig.part import EdgeHole, Face, Hole, Opening, Part
from generator.job.model.job import UnitsChoice

H = DimKind.HORIZONTAL
V = DimKind.VERTICAL
A = DimKind.ALIGNED
R = DimKind.RADIUS
D = DimKind.DIAMETER
G = DimKind.ANGLE


def _show(name: str, kind: DimKind, side: Side, *points: P2, **more: object) -> Dimension:
    return Dimension(name, kind, points, _length(kind, points), side, **more)  # type: ignore[arg-type]


def _length(kind: DimKind, points: tuple[P2, ...]) -> float:
    a, b = points[:2]
    if kind is G:
        first, second = (math.degrees(math.atan2(p.y - a.y, p.x - a.x)) for p in points[1:])
        return abs((second - first + 180) % 360 - 180)
    plain = {H: abs(b.x - a.x), V: abs(b.y - a.y), D: 2 * math.dist(a, b)}
    return plain.get(kind, math.dist(a, b))


def _window() -> Path:
    corners = [
        P2(-141.3, -32),
        P2(-40, -32),
        P2(-40, -8),
        P2(-103.4, -8),
        P2(-103.4, 8),
        P2(-40, 8),
        P2(-40, 32),
        P2(-141.3, 32),
    ]
    return rounded_polygon(corners, [7.9375] * 2 + [7.9375, 3.2, 3.2, 7.9375] + [7.9375] * 2)


def plate() -> Part:
    """A plate of 333.3 × 142.875 mm with two openings, an arc slot, holes and counterbores from both faces."""
    outline = rounded_polygon(
        [P2(-166.65, -71.4375), P2(166.65, -71.4375), P2(166.65, 40), P2(140, 71.4375), P2(-166.65, 71.4375)],
        [12, 12, 0, 0, 12],
    )
    mortise = rectangle(40, -12.7, 137.15, 12.7, 7.9375)
    corner_holes = tuple(
        Hole(f"cheek-{i}", P2(x, y), 5.5, countersink_diameter=10.4)
        for i, (x, y) in enumerate([(-150, -57.15), (150, -57.15), (-150, 57.15), (120, 57.15)])
    )
    threads = tuple(
        Hole(f"rail-{i}", P2(x, 47.625), 5.0, depth=12.0, thread="M6", thread_depth=9.0)
        for i, x in enumerate((-60.0, -20.0))
    )
    back = Hole("dowel", P2(20, -50), 6.0, depth=8.0, face=Face.BACK)
    caps = (
        Hole("cap", P2(0, -62), 5.5, counterbore_diameter=10.0, counterbore_depth=6.0),
        Hole("nut", P2(-115, 49), 5.5, counterbore_diameter=11.0, counterbore_depth=5.0, face=Face.BACK),
    )
    slot = arc_slot(P2(85, -90), 55.0, 60.0, 120.0, 6.35)
    edge = EdgeHole("stud", P2(166.65, -30), 9.0, P2(-1, 0), 6.8, 20.0, thread="M8")
    return Part(
        name="template_plate",
        title="Template plate",
        stock="birch plywood",
        thickness=18.0,
        outline=outline,
        openings=(Opening("mortise", mortise), Opening("window", _window()), Opening("slot", slot)),
        holes=(*corner_holes, *threads, back, *caps),
        edge_holes=(edge,),
        engraved_lines=(polyline([P2(-35, 0), P2(35, 0)]),),
        engraved_texts=(
            EngravedText('mortise · 5/8" bushing', P2(85, 20), 5.0),
            EngravedText("tenon", P2(-120, 0), 5.0, 90.0),
        ),
        dimensions=_dimensions(),
        quantity=1,
    )


JOB = "orchestra-14"


@lru_cache(maxsize=1)
def plate_sheet() -> Sheet:
    """The plate's bench template in both units, with arrows and notes."""
    notation = Notation(UnitsChoice.BOTH, bench=True)
    pointers = [Pointer("up", P2(0, 1)), Pointer("towards the saddle", P2(1, 0)), Pointer("bass side", P2(0, -1))]
    part = plate()
    block = part_block(part, notation, pointers=pointers, identity=f"{part.title} · {JOB}")
    do = "Glue to 18 mm birch plywood, drill, saw, file to the line"
    notes = ["Right-handed instrument; this face looks up, towards the router"]
    return compose_sheet(part.name, part.title, do, JOB, [block], notes, notation)


def _dimensions() -> tuple[Dimension, ...]:
    fit = Tolerance(-0.05, 0.05, "sets the width of the cut")
    up = Tolerance(0.0, 0.1, "the insert must not bind")
    return (
        _show("plate_length", H, Side.BELOW, P2(-166.65, -71.4375), P2(166.65, -71.4375)),
        _show("plate_width", V, Side.LEFT, P2(-166.65, -71.4375), P2(-166.65, 71.4375)),
        _show("mortise_length", H, Side.ABOVE, P2(40, 12.7), P2(137.15, 12.7)),
        _show("mortise_width", V, Side.RIGHT, P2(137.15, -12.7), P2(137.15, 12.7), tolerance=fit),
        _show("mortise_place", H, Side.ABOVE, P2(0, 0), P2(40, 12.7)),
        _show("window_length", H, Side.BELOW, P2(-141.3, -32), P2(-40, -32)),
        _show("window_width", V, Side.LEFT, P2(-141.3, -32), P2(-141.3, 32)),
        _show("tongue_width", V, Side.INSIDE, P2(-70, -8), P2(-70, 8), tolerance=fit),
        _show("tongue_length", H, Side.INSIDE, P2(-103.4, 8), P2(-40, 8)),
        _show("hole_pitch_x", H, Side.BELOW, P2(-150, -57.15), P2(150, -57.15)),
        _show("hole_pitch_y", V, Side.LEFT, P2(-150, -57.15), P2(-150, 57.15)),
        _show("hole_edge", H, Side.ABOVE, P2(120, 57.15), P2(140, 71.4375)),
        _show("rail_a", H, Side.ABOVE, P2(-166.65, 71.4375), P2(-60, 47.625)),
        _show("rail_b", H, Side.ABOVE, P2(-60, 47.625), P2(-20, 47.625)),
        _show("rail_y", V, Side.RIGHT, P2(-20, 0), P2(-20, 47.625)),
        _show("chamfer", A, Side.RIGHT, P2(166.65, 40), P2(140, 71.4375)),
        _show("corner_radius", R, Side.INSIDE, P2(154.65, -59.4375), P2(154.65, -59.4375).plus(polar(-45, 12))),
        _show(
            "mortise_corner",
            R,
            Side.INSIDE,
            P2(129.2125, -4.7625),
            P2(129.2125, -4.7625).plus(polar(-45, 7.9375)),
            count=4,
        ),
        _show(
            "screw_holes",
            D,
            Side.INSIDE,
            P2(-150, 57.15),
            P2(-150, 57.15).plus(polar(-45, 2.75)),
            count=4,
            tolerance=up,
        ),
        _show("dowel_hole", D, Side.INSIDE, P2(20, -50), P2(20, -50).plus(polar(45, 3)), note="8 deep from the back"),
        _show(
            "slot_angle", G, Side.INSIDE, P2(85, -90), P2(85, -90).plus(polar(60, 55)), P2(85, -90).plus(polar(120, 55))
        ),
        _show("slot_radius", R, Side.INSIDE, P2(85, -90), P2(85, -90).plus(polar(90, 55))),
        _show("corner_angle", G, Side.INSIDE, P2(166.65, 40), P2(140, 71.4375), P2(166.65, 0)),
        _show("cap_place", H, Side.BELOW, P2(-150, -57.15), P2(0, -62)),
    )
