"""The template plate: the body's opening one way from the board, the neck's window with its tongue the other way.

Drawn with its origin over the board's mid-plane, x along its length, seen from above (the router's side). The jig frame
of the body's cut lies at x = +a with direction +1, that of the neck's at x = −a with direction −1.
"""

from __future__ import annotations

from generator.base.annotation import Dimension, EngravedText, Side, Tolerance, within
from generator.base.geometry2d import P2, Path
from generator.base.geometry3d import Z_AXIS, Placement
from generator.base.shapes2d import polyline, rectangle
from generator.base.units import format_mm
from generator.jig import dims
from generator.jig.fixings import DOWEL, dowel_places, plate_to_board, plate_to_brackets
from generator.jig.layout import Layout
from generator.jig.part import Face, Hole, Opening, Part
from generator.jig.record import Record
from generator.jig.traits import Leg, Serves, Traits, WayIn
from generator.joint.outlines import end_radius
from generator.joint.stations import Use

_TITLE_HEIGHT = 6.0
_NOTE_HEIGHT = 3.5
#: Radius of the plate's corners, mm.
_CORNER = 8.0
#: What the widths are held to by hand, mm: by a machine shop closer.
_PLANED, _MILLED = 0.05, 0.03
_PLACE = Tolerance(-0.1, 0.1, "sets the length of the cut from the join")
_FENCE = Tolerance(-0.1, 0.1, "the rests' face comes to lie on it")


def template_plate(layout: Layout) -> Part:
    """The plate of the job: an opening for the body one way from the board, a window for the neck the other way."""
    half_wide, joint = layout.plate_half_width, layout.solution.joint
    outline = rectangle(-layout.plate_half(Use.NECK), -half_wide, layout.plate_half(Use.BODY), half_wide, _CORNER)
    rows = (plate_to_board(layout), plate_to_brackets(layout))
    screws = tuple(hole for row in rows for hole in row.face_holes(Placement(), Face.FRONT))
    return Part(
        name=TEMPLATE_PLATE.name,
        title="Template plate",
        stock=layout.spec.plate_stock,
        thickness=layout.thick.plate,
        outline=outline,
        openings=(_body_opening(layout), *_neck_window(layout)),
        holes=(*screws, *_dowels(layout), *_tip_screw(layout)),
        engraved_lines=_centre_lines(layout),
        engraved_texts=_lettering(layout),
        points={
            "body_fence": layout.on_plate(Use.BODY, 0.0, 0.0),
            "neck_fence": layout.on_plate(Use.NECK, 0.0, 0.0),
            "opening_end": layout.on_plate(Use.BODY, layout.routing.opening_length, 0.0),
            "tongue_end": layout.on_plate(Use.NECK, layout.routing.tongue_length, 0.0),
        },
        dimensions=_dimensions(layout, outline),
        shop_dimensions=_shop_dimensions(layout),
        requirements=(
            within("Both faces flat within {} over the tongue's length: the router rides on the upper one", 0.05),
            within("Walls of the openings square to the face within {}: the bushing bears on them", 0.05),
        ),
        purpose=(
            f"guides the bushing: {joint.body_outline.name} opening over the body; "
            f"{joint.neck_outline.name} window, with its tongue, over the neck"
        ),
    )


def _body_opening(layout: Layout) -> Opening:
    contour = layout.routing.opening.transformed(layout.to_plate(Use.BODY))
    name = layout.solution.joint.body_outline.name
    return Opening(f"{name}-opening", contour, f"guides the {name} cut")


def _neck_window(layout: Layout) -> tuple[Opening, ...]:
    """One U-shaped window round the tongue, or two slots beside a bridged tongue."""
    routing, to_plate, name = layout.routing, layout.to_plate(Use.NECK), layout.solution.joint.neck_outline.name
    if layout.spec.bridged:
        return tuple(
            Opening(f"{name}-window-{side}", slot.transformed(to_plate), f"guides one {name} cheek")
            for side, slot in zip("ab", routing.bridged_windows, strict=True)
        )
    window = routing.window.transformed(to_plate)
    return (Opening(f"{name}-window", window, f"guides the {name} cut round its tongue"),)


def _dowels(layout: Layout) -> tuple[Hole, ...]:
    why = "dowel into the board, drilled and reamed at assembly"
    return tuple(Hole("dowel", P2(at.x, at.y), DOWEL, why=why, fit="H7") for at in dowel_places(layout))


def tip_counterbore(layout: Layout) -> tuple[float, float]:
    """Diameter and depth (mm) of the flat counterbore that takes the tip screw's head and washer."""
    return (6.5, 3.0) if layout.screws.tip.name == "3" else (9.5, 4.0)


def _tip_screw(layout: Layout) -> tuple[Hole, ...]:
    if not layout.spec.tip_pin or layout.spec.bridged:
        return ()
    wide, deep = tip_counterbore(layout)
    neck, body = layout.solution.joint.neck_outline.name, layout.solution.joint.body_outline.name
    return (
        Hole(
            "tip-screw",
            layout.on_plate(Use.NECK, layout.screws.tip_x, 0.0),
            layout.screws.tip.diameter + 1.0,
            face=Face.FRONT,
            counterbore_diameter=wide,
            counterbore_depth=deep,
            why=f"holds the tongue's end to the {neck}'s end by friction; its hole hides in the {body}",
        ),
    )


def _centre_lines(layout: Layout) -> tuple[Path, ...]:
    """The centreline where there is material, a fence line across the plate at each cut's X = 0, and START's stroke."""
    routing, half_wide = layout.routing, layout.plate_half_width
    inner = layout.fence + routing.opening_start
    opening_end = layout.fence + routing.opening_length
    window_end = -layout.fence - routing.window_end
    lines = [
        polyline([P2(-inner + 3.0, 0.0), P2(inner - 3.0, 0.0)]),
        polyline([P2(opening_end + 2.0, 0.0), P2(layout.plate_half(Use.BODY) - 2.0, 0.0)]),
        polyline([P2(-layout.plate_half(Use.NECK) + 2.0, 0.0), P2(window_end - 2.0, 0.0)]),
    ]
    for x in (layout.fence, -layout.fence):
        lines += [polyline([P2(x, sign * (half_wide - 14.0)), P2(x, sign * (half_wide - 2.0))]) for sign in (1.0, -1.0)]
    return tuple(lines)


def _lettering(layout: Layout) -> tuple[EngravedText, ...]:
    """Names, the bushing and bit it is for, the width to check before each use, feed, and where each cut starts."""
    router, routing, joint = layout.solution.job.router, layout.routing, layout.solution.joint
    half_wide = layout.plate_half_width
    body_x = layout.on_plate(Use.BODY, routing.opening_length / 2.0, 0.0).x
    neck_x = layout.on_plate(Use.NECK, routing.window_end / 2.0, 0.0).x
    start_x = layout.on_plate(Use.NECK, routing.window_end, 0.0).x - 9.0
    top, low = half_wide - 10.0, half_wide - 18.0
    kit = f"BUSHING {format_mm(router.bushing_od)}  BIT {format_mm(router.bit_diameter)}"
    return (
        EngravedText(f"{joint.body_outline.name.upper()} - BODY", P2(body_x, top), _TITLE_HEIGHT),
        EngravedText(f"{kit}  CHECK WIDTH {format_mm(routing.opening_width)}", P2(body_x, low), _NOTE_HEIGHT),
        EngravedText("FEED ← CLOCKWISE", P2(body_x, -top), _NOTE_HEIGHT),
        EngravedText("START ← AT THE OPEN END", P2(body_x, -low), _NOTE_HEIGHT),
        EngravedText(f"{joint.neck_outline.name.upper()} - NECK", P2(neck_x, top), _TITLE_HEIGHT),
        EngravedText(f"{kit}  CHECK TONGUE {format_mm(routing.tongue_width)}", P2(neck_x, low), _NOTE_HEIGHT),
        EngravedText("FEED → COUNTERCLOCKWISE ROUND THE TONGUE", P2(neck_x, -top), _NOTE_HEIGHT),
        EngravedText("START - BIT IN THE AIR", P2(start_x, 0.0), _NOTE_HEIGHT, -90.0),
        EngravedText(layout.solution.job.name.upper(), P2(neck_x, -low), _NOTE_HEIGHT),
    )


def _shop_dimensions(layout: Layout) -> tuple[Dimension, ...]:
    """What is left standing between the two openings, its place and the plate's on the line of dowels, the tongue's
    round corners.
    """
    routing = layout.routing
    inner, end, half_wide = layout.fence + routing.opening_start, layout.plate_half(Use.BODY), layout.plate_half_width
    low = -routing.opening_width / 4.0
    line = P2(0.0, -half_wide)
    found = [
        dims.across("web", P2(-inner, low), P2(inner, low), 2.0 * inner, Side.BELOW, note="web"),
        dims.across("opening_end", P2(0.0, low), P2(inner, low), inner, Side.BELOW),
        dims.across("plate_end", line, P2(end, -half_wide), end, Side.BELOW),
    ]
    nose = end_radius(routing.tongue_corner_radius, routing.tongue_width / 2.0)
    if nose and not layout.spec.bridged:
        center = layout.on_plate(Use.NECK, routing.tongue_length - nose, routing.tongue_width / 2.0 - nose)
        found.append(dims.radius("tongue_corner_radius", center, nose, 225.0, count=2))
    return tuple(found)


def _held(layout: Layout, what: str, cut: str) -> Tolerance:
    """The tolerance on a width that the way of making holds: a machine shop's is closer."""
    most = _MILLED if layout.screws.tapped else _PLANED
    return Tolerance(-most, most, f"the {what}'s width sets the {cut}'s width one for one")


def _dimensions(layout: Layout, outline: Path) -> tuple[Dimension, ...]:
    routing = layout.routing
    body_half, neck_half = layout.plate_half(Use.BODY), layout.plate_half(Use.NECK)
    box = outline.box()
    half = routing.opening_width / 2.0
    tongue = routing.tongue_width / 2.0
    window = routing.window_half_width
    end_x = layout.on_plate(Use.BODY, routing.opening_length, 0.0).x
    origin = P2(0.0, 0.0)
    bushing_radius = layout.solution.job.router.bushing_od / 2.0
    found = [
        *dims.overall(box, "plate_length", "plate_width", body_half + neck_half, 2.0 * layout.plate_half_width),
        dims.along(
            "opening_width",
            P2(end_x, -half),
            P2(end_x, half),
            routing.opening_width,
            Side.RIGHT,
            _held(layout, "opening", layout.solution.joint.body_outline.name),
        ),
        dims.across(
            "opening_length",
            layout.on_plate(Use.BODY, 0.0, 0.0),
            P2(end_x, 0.0),
            routing.opening_length,
            Side.ABOVE,
            _PLACE,
            "from the fence line",
        ),
        dims.across(
            "body_fence",
            origin,
            layout.on_plate(Use.BODY, 0.0, 0.0),
            layout.fence,
            Side.ABOVE,
            _FENCE,
            "to the fence line",
        ),
        dims.across(
            "neck_fence",
            layout.on_plate(Use.NECK, 0.0, 0.0),
            origin,
            layout.fence,
            Side.ABOVE,
            _FENCE,
            "to the fence line",
        ),
        dims.across(
            "tongue_length",
            layout.on_plate(Use.NECK, routing.tongue_length, 0.0),
            layout.on_plate(Use.NECK, 0.0, 0.0),
            routing.tongue_length,
            Side.ABOVE,
            _PLACE,
            "from the fence line",
        ),
        dims.across(
            "window_length",
            layout.on_plate(Use.NECK, routing.window_end, -window),
            layout.on_plate(Use.NECK, routing.opening_start, -window),
            routing.window_end - routing.opening_start,
            Side.BELOW,
        ),
        dims.along(
            "tongue_width",
            layout.on_plate(Use.NECK, routing.tongue_length, tongue),
            layout.on_plate(Use.NECK, routing.tongue_length, -tongue),
            routing.tongue_width,
            Side.LEFT,
            _held(layout, "tongue", layout.solution.joint.neck_outline.name),
        ),
        dims.along(
            "window_width",
            layout.on_plate(Use.NECK, routing.window_end, window),
            layout.on_plate(Use.NECK, routing.window_end, -window),
            2.0 * window,
            Side.LEFT,
        ),
    ]
    root = end_radius(routing.opening_corner_radius, half)
    center = layout.on_plate(Use.BODY, routing.opening_length - root, half - root)
    count = 4 if root == end_radius(bushing_radius, half) else 2
    found.append(dims.radius("opening_corner_radius", center, root, 45.0, count=count))
    corner = layout.on_plate(Use.NECK, routing.window_end - bushing_radius, window - bushing_radius)
    found.append(
        dims.radius("window_corner_radius", corner, bushing_radius, 225.0, count=8 if layout.spec.bridged else 6)
    )
    return tuple(found)


def plate_placement(layout: Layout) -> Placement:
    """The plate as it is drawn: its frame is the jig's."""
    return Placement()


TEMPLATE_PLATE = Record(
    "template_plate",
    template_plate,
    Traits(
        decides_joint=True,
        guides_cutter=True,
        serves=Serves.FRAME,
        way_in=WayIn(3, (Leg(Z_AXIS.times(-1.0)),), on_table=True, turned=("plate-board", "plate-bracket")),
        caption="template plate",
        bench_note="This face up, towards the router.",
    ),
    stands=plate_placement,
)
