"""The template plate: mortise opening one way from the middle, tenon window with its tongue the other way.

Drawn with its origin at the centre, x along its length, seen from above (the router's side). The jig frame of the
mortise lies at x = +a with direction +1, that of the tenon at x = −a with direction −1.
"""

from __future__ import annotations

import math

from generator.geometry2d import P2, Path
from generator.geometry3d import P3, X_AXIS, Y_AXIS, Placement
from generator.linework import SHORTEST
from generator.parts import dims
from generator.parts.base import (
    Carrier,
    Dimension,
    EngravedText,
    Face,
    Hole,
    Opening,
    Part,
    Side,
    Tolerance,
    within,
)
from generator.parts.layout import Layout
from generator.parts.rail_screws import rail_screw, rail_screw_stations
from generator.shapes2d import polyline, rectangle, rounded_polygon
from generator.units import format_mm

_TITLE_HEIGHT = 6.0
_NOTE_HEIGHT = 3.5
#: Material between a window's sharp corner and the plate's rounded one, mm.
_CORNER_WALL = 6.0
_OPENING = Tolerance(-0.05, 0.05, "the opening's width sets the mortise's width one for one")
_TONGUE = Tolerance(-0.05, 0.05, "the tongue's width sets the tenon's width one for one")
_PLACE = Tolerance(-0.1, 0.1, "sets the length of the cut from the join")


def mortise_point(layout: Layout, jig_x: float, jig_y: float) -> P2:
    """A jig-frame point of the mortise side, in the plate's drawing."""
    return P2(layout.fence_offset + jig_x, jig_y)


def tenon_point(layout: Layout, jig_x: float, jig_y: float) -> P2:
    """A jig-frame point of the tenon side, in the plate's drawing: turned by half a turn."""
    return P2(-layout.fence_offset - jig_x, -jig_y)


def template_plate(layout: Layout) -> Part:
    """The plate of the job, with the frame's locating pattern symmetric under the half turn."""
    half_long, half_wide = layout.plate_half_length, layout.plate_half_width
    outline = rectangle(-half_long, -half_wide, half_long, half_wide, _corner_radius(layout))
    slots, holes = _cheek_fixing(layout)
    return Part(
        name="template_plate",
        title="Template plate",
        stock=layout.spec.plate_stock,
        thickness=layout.thick.plate,
        outline=outline,
        openings=(_mortise_opening(layout), *_tenon_window(layout), *slots),
        holes=(*holes, *_rail_screws(layout), *_tip_pin(layout)),
        engraved_lines=_centre_lines(layout),
        engraved_texts=_lettering(layout),
        points={
            "mortise_fence": mortise_point(layout, 0.0, 0.0),
            "tenon_fence": tenon_point(layout, 0.0, 0.0),
            "mortise_end": mortise_point(layout, layout.solution.routing.opening_length, 0.0),
            "tongue_end": tenon_point(layout, layout.solution.routing.tongue_length, 0.0),
        },
        dimensions=_dimensions(layout, outline),
        carrier=Carrier.PLATE,
        requirements=(
            within("Underside flat within {}: the work's end lies against it", 0.1),
            within("Walls of the openings square to the face within {}: the bushing bears on them", 0.05),
        ),
        purpose="guides the bushing: mortise opening over the body, turned end for end the tenon window over the neck",
    )


def _corner_radius(layout: Layout) -> float:
    """Radius of the plate's corners, mm: twice the jig's, but never so large that it nears a window's corner."""
    margin = min(layout.spec.margin_end, layout.plate_half_width - layout.solution.routing.window_half_width)
    return min(2.0 * layout.spec.corner_radius, (margin * math.sqrt(2.0) - _CORNER_WALL) / (math.sqrt(2.0) - 1.0))


def plate_placement(layout: Layout) -> Placement:
    """The plate as it stands over the neck: underside on Z = 0, the tenon half over X > 0."""
    return Placement(P3(-layout.fence_offset, 0.0, 0.0), X_AXIS.times(-1.0), Y_AXIS.times(-1.0))


def _mortise_opening(layout: Layout) -> Opening:
    routing = layout.solution.routing
    half = routing.opening_width / 2.0
    start, end = routing.opening_start, routing.opening_length
    corners = [(start, -half), (end, -half), (end, half), (start, half)]
    root = _end_radius(routing.opening_corner_radius, half)
    contour = rounded_polygon([mortise_point(layout, x, y) for x, y in corners], [root] * 4)
    return Opening("mortise-opening", contour, "guides the mortise cut")


def _end_radius(radius: float, half_width: float) -> float:
    """Corner radius (mm) at the end of something `half_width` wide either way.

    What is almost round becomes round and what is almost sharp sharp: else a line or arc too short for any machine
    would be left there.
    """
    if radius < SHORTEST:
        return 0.0
    return half_width if half_width - radius < SHORTEST else radius


def _tenon_window(layout: Layout) -> tuple[Opening, ...]:
    """One U-shaped window round the tongue, or two slots beside a bridged tongue."""
    routing = layout.solution.routing
    corner = layout.solution.job.router.bushing_od / 2.0
    half, tongue = routing.window_half_width, routing.tongue_width / 2.0
    start, end, tip = routing.opening_start, routing.window_end, routing.tongue_length
    if layout.spec.bridged:
        slots = []
        for sign, name in ((1.0, "a"), (-1.0, "b")):
            low, high = sorted((sign * tongue, sign * half))
            points = [(start, low), (end, low), (end, high), (start, high)]
            slots.append(
                Opening(f"tenon-window-{name}", _tenon_contour(layout, points, [corner] * 4), "guides one tenon cheek")
            )
        return tuple(slots)
    points = [
        (start, -half),
        (end, -half),
        (end, half),
        (start, half),
        (start, tongue),
        (tip, tongue),
        (tip, -tongue),
        (start, -tongue),
    ]
    nose = _end_radius(routing.tongue_corner_radius, tongue)
    radii = [corner] * 5 + [nose, nose] + [corner]
    return (Opening("tenon-window", _tenon_contour(layout, points, radii), "guides the tenon cut round its tongue"),)


def _tenon_contour(layout: Layout, points: list[tuple[float, float]], radii: list[float]) -> Path:
    return rounded_polygon([tenon_point(layout, x, y) for x, y in points], radii)


def _cheek_fixing(layout: Layout) -> tuple[tuple[Opening, ...], tuple[Hole, ...]]:
    """Slots and screw holes over both cheeks; their pattern is its own half turn."""
    joint, half = layout.plate_joint, layout.spec.cheek_depth / 2.0
    middle = layout.spec.cheek_inner + layout.thick.cheek / 2.0
    slots: tuple[Opening, ...] = ()
    holes: tuple[Hole, ...] = ()
    for y in (middle, -middle):
        a, b = P2(-half, y), P2(half, y)
        slots += joint.face_openings(a, b)
        holes += joint.face_holes(a, b, Face.FRONT)
    return slots, holes


def _rail_screws(layout: Layout) -> tuple[Hole, ...]:
    found = rail_screw(layout)
    if found is None:
        return ()
    screw, y = found.screw, layout.rail_inner + layout.thick.rail / 2.0
    return tuple(
        Hole(
            "rail-screw",
            tenon_point(layout, x, sign * y),
            screw.clearance,
            face=Face.FRONT,
            countersink_diameter=screw.head_diameter,
            why="holds a rail, head flush",
        )
        for x in rail_screw_stations(layout)
        for sign in (1.0, -1.0)
    )


def tip_pin_x(layout: Layout) -> float:
    """Jig X of the tip pin: near the tongue's end, clear of the joint bolts it would otherwise meet in the tenon."""
    screw, tip = layout.strip_screw, layout.solution.routing.tongue_length
    farthest = tip - screw.head_diameter / 2.0 - 1.5
    apart = screw.diameter + 5.0
    bolts = [bolt.from_top for bolt in layout.solution.joint.bolts]
    tries = [farthest - 0.5 * step for step in range(int(farthest))]
    return next((x for x in tries if all(abs(x - at) >= apart for at in bolts)), farthest)


def _tip_pin(layout: Layout) -> tuple[Hole, ...]:
    if not layout.spec.tip_pin or layout.spec.bridged:
        return ()
    screw = layout.strip_screw
    at = tenon_point(layout, tip_pin_x(layout), 0.0)
    return (
        Hole(
            "tip-pin",
            at,
            screw.clearance,
            face=Face.FRONT,
            countersink_diameter=screw.head_diameter,
            why="pins the tongue's end to the tenon; the hole hides in the mortise",
        ),
    )


def _centre_lines(layout: Layout) -> tuple[Path, ...]:
    """The centreline where there is material, and a fence line across the plate at each join."""
    routing = layout.solution.routing
    half_long, half_wide = layout.plate_half_length, layout.plate_half_width
    inner = layout.fence_offset + routing.opening_start
    mortise_end = layout.fence_offset + routing.opening_length
    window_end = -layout.fence_offset - routing.window_end
    lines = [
        polyline([P2(-inner + 3.0, 0.0), P2(-13.0, 0.0)]),
        polyline([P2(13.0, 0.0), P2(inner - 3.0, 0.0)]),
        polyline([P2(mortise_end + 2.0, 0.0), P2(half_long - 2.0, 0.0)]),
        polyline([P2(-half_long + 2.0, 0.0), P2(window_end - 2.0, 0.0)]),
    ]
    for x in (layout.fence_offset, -layout.fence_offset):
        lines += [polyline([P2(x, sign * (half_wide - 14.0)), P2(x, sign * (half_wide - 2.0))]) for sign in (1.0, -1.0)]
    return tuple(lines)


def _lettering(layout: Layout) -> tuple[EngravedText, ...]:
    """Names, the bushing and bit it is for, and the width to check before each use."""
    router, routing = layout.solution.job.router, layout.solution.routing
    half_wide = layout.plate_half_width
    mortise_x = mortise_point(layout, routing.opening_length / 2.0, 0.0).x
    tenon_x = tenon_point(layout, routing.tongue_length / 2.0, 0.0).x
    top, low = half_wide - 10.0, half_wide - 18.0
    kit = f"BUSHING {format_mm(router.bushing_od)}  BIT {format_mm(router.bit_diameter)}"
    return (
        EngravedText("MORTISE - BODY", P2(mortise_x, top), _TITLE_HEIGHT),
        EngravedText(f"{kit}  CHECK WIDTH {format_mm(routing.opening_width)}", P2(mortise_x, low), _NOTE_HEIGHT),
        EngravedText("FEED ← CLOCKWISE", P2(mortise_x, -top), _NOTE_HEIGHT),
        EngravedText("TENON - NECK", P2(tenon_x, top), _TITLE_HEIGHT),
        EngravedText(f"{kit}  CHECK TONGUE {format_mm(routing.tongue_width)}", P2(tenon_x, low), _NOTE_HEIGHT),
        EngravedText("FEED → COUNTERCLOCKWISE ROUND THE TONGUE", P2(tenon_x, -top), _NOTE_HEIGHT),
        EngravedText(layout.solution.job.name.upper(), P2(0.0, half_wide * 0.75), _NOTE_HEIGHT, 90.0),
    )


def _dimensions(layout: Layout, outline: Path) -> tuple[Dimension, ...]:
    routing = layout.solution.routing
    box = outline.box()
    half = routing.opening_width / 2.0
    tongue = routing.tongue_width / 2.0
    window = routing.window_half_width
    end_x = mortise_point(layout, routing.opening_length, 0.0).x
    origin = P2(0.0, 0.0)
    bushing_radius = layout.solution.job.router.bushing_od / 2.0
    found = [
        *dims.overall(
            box, "plate_length", "plate_width", 2.0 * layout.plate_half_length, 2.0 * layout.plate_half_width
        ),
        dims.along("opening_width", P2(end_x, -half), P2(end_x, half), routing.opening_width, Side.RIGHT, _OPENING),
        dims.across(
            "opening_length",
            mortise_point(layout, 0.0, 0.0),
            P2(end_x, 0.0),
            routing.opening_length,
            Side.ABOVE,
            _PLACE,
            "from the fence line",
        ),
        dims.across(
            "mortise_fence",
            origin,
            mortise_point(layout, 0.0, 0.0),
            layout.fence_offset,
            Side.ABOVE,
            note="to the fence line",
        ),
        dims.across(
            "tenon_fence",
            tenon_point(layout, 0.0, 0.0),
            origin,
            layout.fence_offset,
            Side.ABOVE,
            note="to the fence line",
        ),
        dims.across(
            "tongue_length",
            tenon_point(layout, routing.tongue_length, 0.0),
            tenon_point(layout, 0.0, 0.0),
            routing.tongue_length,
            Side.ABOVE,
            _PLACE,
            "from the fence line",
        ),
        dims.across(
            "window_length",
            tenon_point(layout, routing.window_end, -window),
            tenon_point(layout, routing.opening_start, -window),
            routing.window_end - routing.opening_start,
            Side.BELOW,
        ),
        dims.along(
            "tongue_width",
            tenon_point(layout, routing.tongue_length, tongue),
            tenon_point(layout, routing.tongue_length, -tongue),
            routing.tongue_width,
            Side.LEFT,
            _TONGUE,
        ),
        dims.along(
            "window_width",
            tenon_point(layout, routing.window_end, window),
            tenon_point(layout, routing.window_end, -window),
            2.0 * window,
            Side.LEFT,
        ),
    ]
    root = _end_radius(routing.opening_corner_radius, half)
    center = mortise_point(layout, routing.opening_length - root, half - root)
    found.append(dims.radius("opening_corner_radius", center, root, 45.0, count=4))
    corner = tenon_point(layout, routing.window_end - bushing_radius, window - bushing_radius)
    found.append(dims.radius("window_corner_radius", corner, bushing_radius, 225.0))
    return tuple(found)
