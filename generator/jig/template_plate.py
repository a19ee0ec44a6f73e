"""The template plate: the body's opening one way from the board, the neck's window with its tongue the other way.

A plate that cuts nothing in the body has a plain half there, by which it is clamped; where nothing stays on the neck
the window has no tongue.

Drawn with its origin over the board's mid-plane, x along its length, seen from above (the router's side). The jig frame
of the body's cut lies at x = +a with direction +1, that of the neck's at x = −a with direction −1.
"""

from __future__ import annotations

from generator.base.annotation import Dimension, EngravedText, Side, Tolerance, within
from generator.base.contours2d import Path
from generator.base.geometry3d import Z_AXIS, Placement
from generator.base.points2d import P2
from generator.base.shapes2d import polyline, rectangle
from generator.base.units import format_mm
from generator.jig import dims
from generator.jig.fixings import DOWEL, dowel_places, plate_to_board, plate_to_brackets
from generator.jig.layout import Layout
from generator.jig.part import Face, Hole, Opening, Part
from generator.jig.record import Record
from generator.jig.traits import Leg, Serves, Traits, WayIn
from generator.job.limits import HELD_BY_HAND
from generator.joint.outlines import end_radius
from generator.joint.stations import Use

#: Capital height of the lettering that names the cut of each half, mm.
_TITLE_HEIGHT = 6.0
#: Capital height of all other lettering on the plate, mm.
_NOTE_HEIGHT = 3.5
#: Radius of the plate's corners, mm.
_CORNER = 8.0
#: How far the body half's lettering stands off the opening's middle, away from the board: there pages join, mm.
_FROM_BOARD = 8.0
#: What a machine shop holds the widths to, mm.
_MILLED = 0.03
#: Tolerance of the opening's and the tongue's length from the fence line, mm.
_PLACE = Tolerance(-0.1, 0.1, "sets the length of the cut from the join")
#: Tolerance of the fence lines' distance from the board's mid-plane, mm.
_FENCE = Tolerance(-0.1, 0.1, "the rests' face comes to lie on it")


def template_plate(layout: Layout) -> Part:
    """The plate of the job: an opening for the body one way from the board, a window for the neck the other way."""
    half_wide = layout.plate_half_width
    outline = rectangle(-layout.plate_half(Use.NECK), -half_wide, layout.plate_half(Use.BODY), half_wide, _CORNER)
    rows = (plate_to_board(layout), plate_to_brackets(layout))
    screws = tuple(hole for row in rows for hole in row.face_holes(Placement(), Face.FRONT))
    return Part(
        name=TEMPLATE_PLATE.name,
        title="Template plate",
        stock=layout.spec.plate_stock,
        thickness=layout.thick.plate,
        outline=outline,
        openings=(*_body_opening(layout), *_neck_window(layout)),
        holes=(*screws, *_dowels(layout), *_tip_screw(layout)),
        engraved_lines=_centre_lines(layout),
        engraved_texts=_lettering(layout),
        points=_points(layout),
        dimensions=_dimensions(layout, outline),
        shop_dimensions=_shop_dimensions(layout),
        requirements=(
            within(
                f"Both faces flat within {{}} over the {'tongue' if layout.has_tongue else 'window'}'s length: "
                "the router rides on the upper one",
                HELD_BY_HAND,
            ),
            within("Walls of the openings square to the face within {}: the bushing bears on them", HELD_BY_HAND),
        ),
        purpose=_purpose(layout),
    )


def _purpose(layout: Layout) -> str:
    joint = layout.solution.joint
    opening = "" if joint.body_outline is None else f"{joint.body_outline.name} opening over the body; "
    tongue = (
        "window, with its tongue, over the neck" if layout.has_tongue else "window over the whole of the neck's end"
    )
    return f"guides the bushing: {opening}{joint.neck_outline.name} {tongue}"


def _points(layout: Layout) -> dict[str, P2]:
    """Where rests come to lie, and the ends by which the board is set."""
    routing, neck = layout.routing, {"neck_fence": layout.on_plate(Use.NECK, 0.0, 0.0)}
    if not layout.has_tongue:
        return neck | {"window_start": layout.on_plate(Use.NECK, routing.opening_start, 0.0)}
    return {
        "body_fence": layout.on_plate(Use.BODY, 0.0, 0.0),
        **neck,
        "opening_end": layout.on_plate(Use.BODY, routing.opening_length, 0.0),
        "tongue_end": layout.on_plate(Use.NECK, routing.tongue_length, 0.0),
    }


def _body_opening(layout: Layout) -> tuple[Opening, ...]:
    body, opening = layout.solution.joint.body_outline, layout.routing.opening
    if body is None or opening is None:
        return ()
    contour = opening.transformed(layout.to_plate(Use.BODY))
    return (Opening(f"{body.name}-opening", contour, f"guides the {body.name} cut"),)


def _neck_window(layout: Layout) -> tuple[Opening, ...]:
    """One U-shaped window round the tongue, or two slots beside a bridged tongue."""
    routing, to_plate, name = layout.routing, layout.to_plate(Use.NECK), layout.solution.joint.neck_outline.name
    if layout.spec.bridged:
        return tuple(
            Opening(f"{name}-window-{side}", slot.transformed(to_plate), f"guides one {name} cheek")
            for side, slot in zip("ab", routing.bridged_windows, strict=True)
        )
    window = routing.window.transformed(to_plate)
    why = f"guides the {name} cut round its tongue" if layout.has_tongue else "guides the facing of the neck's end"
    return (Opening(f"{name}-window", window, why),)


def _dowels(layout: Layout) -> tuple[Hole, ...]:
    why = "dowel into the board, drilled and reamed at assembly"
    return tuple(Hole("dowel", P2(at.x, at.y), DOWEL, why=why, fit="H7") for at in dowel_places(layout))


def tip_counterbore(layout: Layout) -> tuple[float, float]:
    """Diameter and depth (mm) of the flat counterbore that takes the tip screw's head and washer."""
    return (6.5, 3.0) if layout.screws.tip.name == "3" else (9.5, 4.0)


def _tip_screw(layout: Layout) -> tuple[Hole, ...]:
    if not layout.spec.tip_pin or layout.spec.bridged or not layout.has_tongue:
        return ()
    wide, deep = tip_counterbore(layout)
    neck, body = layout.solution.joint.neck_outline.name, layout.solution.joint.cut_in_body.name
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
    end = layout.plate_half(Use.BODY) - 2.0
    over_body = [(-inner + 3.0, inner - 3.0), (opening_end + 2.0, end)] if layout.cuts_body else [(-inner + 3.0, end)]
    lines = [
        *(polyline([P2(x0, 0.0), P2(x1, 0.0)]) for x0, x1 in over_body),
        polyline([P2(-layout.plate_half(Use.NECK) + 2.0, 0.0), P2(window_end - 2.0, 0.0)]),
    ]
    for x in (layout.fence, -layout.fence) if layout.cuts_body else (-layout.fence,):
        lines += [polyline([P2(x, sign * (half_wide - 14.0)), P2(x, sign * (half_wide - 2.0))]) for sign in (1.0, -1.0)]
    return tuple(lines)


def _lettering(layout: Layout) -> tuple[EngravedText, ...]:
    """Names, the bushing and bit it is for, the width to check before each use, feed, and where each cut starts."""
    router, routing, joint = layout.solution.job.router, layout.routing, layout.solution.joint
    half_wide = layout.plate_half_width
    neck_x = layout.on_plate(Use.NECK, routing.window_end / 2.0, 0.0).x
    start_x = layout.on_plate(Use.NECK, routing.window_end, 0.0).x - 9.0
    top, low = half_wide - 10.0, half_wide - 18.0
    kit = f"BUSHING {format_mm(router.bushing_od)}  BIT {format_mm(router.bit_diameter)}"
    check = f"{kit}  CHECK TONGUE {format_mm(routing.tongue_width)}" if layout.has_tongue else kit
    ways = "ROUND THE TONGUE" if layout.has_tongue else "FROM THE EDGE INWARDS"
    return (
        *_body_lettering(layout, kit, top, low),
        EngravedText(f"{joint.neck_outline.name.upper()} - NECK", P2(neck_x, top), _TITLE_HEIGHT),
        EngravedText(check, P2(neck_x, low), _NOTE_HEIGHT),
        EngravedText(f"FEED → COUNTERCLOCKWISE {ways}", P2(neck_x, -top), _NOTE_HEIGHT),
        EngravedText("START - BIT IN THE AIR", P2(start_x, 0.0), _NOTE_HEIGHT, -90.0),
        EngravedText(layout.solution.job.name.upper(), P2(neck_x, -low), _NOTE_HEIGHT),
    )


def _body_lettering(layout: Layout, kit: str, top: float, low: float) -> tuple[EngravedText, ...]:
    """What the body's half says; one that cuts nothing says what it is for."""
    body, routing = layout.solution.joint.body_outline, layout.routing
    if body is None:
        at = P2(layout.plate_half(Use.BODY) / 2.0, top)
        return (EngravedText("CLAMP THIS HALF ON THE BENCH", at, _NOTE_HEIGHT),)
    x = layout.on_plate(Use.BODY, routing.opening_length / 2.0 + _FROM_BOARD, 0.0).x
    return (
        EngravedText(f"{body.name.upper()} - BODY", P2(x, top), _TITLE_HEIGHT),
        EngravedText(f"{kit}  CHECK WIDTH {format_mm(routing.opening_width)}", P2(x, low), _NOTE_HEIGHT),
        EngravedText("FEED ← CLOCKWISE", P2(x, -top), _NOTE_HEIGHT),
        EngravedText("START ← AT THE OPEN END", P2(x, -low), _NOTE_HEIGHT),
    )


def _shop_dimensions(layout: Layout) -> tuple[Dimension, ...]:
    """What is left standing between the two openings, its place and the plate's on the line of dowels, the tongue's
    round corners; of a plate with a window alone its place on the line of dowels.
    """
    routing = layout.routing
    if not layout.cuts_body:
        return _window_places(layout)
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


def _window_places(layout: Layout) -> tuple[Dimension, ...]:
    end, start = layout.plate_half(Use.BODY), layout.fence + layout.routing.opening_start
    line, low = P2(0.0, -layout.plate_half_width), -layout.routing.window_half_width / 2.0
    return (
        dims.across("window_start", P2(-start, low), P2(0.0, low), start, Side.BELOW),
        dims.across("plate_end", line, P2(end, line.y), end, Side.BELOW),
    )


def _held(layout: Layout, what: str, cut: str) -> Tolerance:
    """The tolerance on a width that the way of making holds: a machine shop's is closer."""
    most = _MILLED if layout.screws.tapped else HELD_BY_HAND
    return Tolerance(-most, most, f"the {what}'s width sets the {cut}'s width one for one")


def _dimensions(layout: Layout, outline: Path) -> tuple[Dimension, ...]:
    body_half, neck_half = layout.plate_half(Use.BODY), layout.plate_half(Use.NECK)
    found = dims.overall(
        outline.box(), "plate_length", "plate_width", body_half + neck_half, 2.0 * layout.plate_half_width
    )
    opening, corner = _opening_dimensions(layout) if layout.cuts_body else ((), ())
    return (*found, *opening, *_neck_dimensions(layout), *corner, _window_corner(layout))


def _opening_dimensions(layout: Layout) -> tuple[tuple[Dimension, ...], tuple[Dimension, ...]]:
    """The body's opening: its sizes and its fence; its corners."""
    routing, half = layout.routing, layout.routing.opening_width / 2.0
    end_x = layout.on_plate(Use.BODY, routing.opening_length, 0.0).x
    fence = layout.on_plate(Use.BODY, 0.0, 0.0)
    sizes = (
        dims.along(
            "opening_width",
            P2(end_x, -half),
            P2(end_x, half),
            routing.opening_width,
            Side.RIGHT,
            _held(layout, "opening", layout.solution.joint.cut_in_body.name),
        ),
        dims.across(
            "opening_length", fence, P2(end_x, 0.0), routing.opening_length, Side.ABOVE, _PLACE, "from the fence line"
        ),
        dims.across("body_fence", P2(0.0, 0.0), fence, layout.fence, Side.ABOVE, _FENCE, "to the fence line"),
    )
    root = end_radius(routing.opening_corner_radius, half)
    center = layout.on_plate(Use.BODY, routing.opening_length - root, half - root)
    count = 4 if root == end_radius(routing.bushing_od / 2.0, half) else 2
    return sizes, (dims.radius("opening_corner_radius", center, root, 45.0, count=count),)


def _neck_dimensions(layout: Layout) -> tuple[Dimension, ...]:
    """The neck's window, its fence, and its tongue."""
    routing, window = layout.routing, layout.routing.window_half_width
    fence = layout.on_plate(Use.NECK, 0.0, 0.0)
    tongue_long, tongue_wide = _tongue_dimensions(layout, fence) if layout.has_tongue else ((), ())
    return (
        dims.across("neck_fence", fence, P2(0.0, 0.0), layout.fence, Side.ABOVE, _FENCE, "to the fence line"),
        *tongue_long,
        dims.across(
            "window_length",
            layout.on_plate(Use.NECK, routing.window_end, -window),
            layout.on_plate(Use.NECK, routing.opening_start, -window),
            routing.window_end - routing.opening_start,
            Side.BELOW,
        ),
        *tongue_wide,
        dims.along(
            "window_width",
            layout.on_plate(Use.NECK, routing.window_end, window),
            layout.on_plate(Use.NECK, routing.window_end, -window),
            2.0 * window,
            Side.LEFT,
        ),
    )


def _tongue_dimensions(layout: Layout, fence: P2) -> tuple[tuple[Dimension, ...], tuple[Dimension, ...]]:
    """The tongue's length from the fence line, and its width."""
    routing, half = layout.routing, layout.routing.tongue_width / 2.0
    end = layout.on_plate(Use.NECK, routing.tongue_length, 0.0)
    name = layout.solution.joint.neck_outline.name
    upper, lower = (layout.on_plate(Use.NECK, routing.tongue_length, y) for y in (half, -half))
    long = dims.across("tongue_length", end, fence, routing.tongue_length, Side.ABOVE, _PLACE, "from the fence line")
    wide = dims.along("tongue_width", upper, lower, routing.tongue_width, Side.LEFT, _held(layout, "tongue", name))
    return (long,), (wide,)


def _window_corner(layout: Layout) -> Dimension:
    routing, radius = layout.routing, layout.routing.bushing_od / 2.0
    at = layout.on_plate(Use.NECK, routing.window_end - radius, routing.window_half_width - radius)
    count = 8 if layout.spec.bridged else 6 if layout.has_tongue else 4
    return dims.radius("window_corner_radius", at, radius, 225.0, count=count)


def plate_placement(layout: Layout) -> Placement:
    """The plate as it is drawn: its frame is the jig's."""
    return Placement()


#: The plate whose openings guide the bushing.
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
