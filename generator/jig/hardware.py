"""What must be bought, counted from the model, and the order in which the jig goes together."""

from __future__ import annotations

from generator.base.geometry3d import P3, Z_AXIS
from generator.base.units import format_mm, mm
from generator.jig.crosspiece import crosspiece_screw_length
from generator.jig.fixings import DOWEL, DOWEL_DEPTH, Fixing, dowel_places, fixings
from generator.jig.layout import Layout
from generator.jig.part import Bought, Hardware
from generator.jig.screws import Fastener
from generator.jig.template_plate import tip_counterbore

#: How far the tip screw reaches into the neck's end, mm.
_TIP_BITE = 20.0
#: How far the plug's screw reaches into the end face, mm.
_HANG_BITE = 20.0
_PAN_HEAD = "Pan-head wood screw with washer"
#: Wood left between the point of the plug's screw and the floor that is routed, mm.
_SHORT_OF_FLOOR = 1.0


def hardware(layout: Layout) -> tuple[Hardware, ...]:
    """The hardware list, in the order of assembly; ids H1, H2, ..."""
    found = [*_rows(layout), *_dowels(layout), *_loose(layout)]
    return tuple(
        Hardware(f"H{i}", item.title, item.thread, item.length, item.count, item.purpose, item.pieces)
        for i, item in enumerate(found, 1)
    )


def _rows(layout: Layout) -> list[Hardware]:
    """The jig's screws, equal ones in one line."""
    alike: dict[tuple[Fastener, float], list[Fixing]] = {}
    for row in fixings(layout):
        alike.setdefault((row.fastener, row.length), []).append(row)
    return [
        Hardware(
            "",
            screw.title,
            screw.thread,
            length,
            sum(len(row.heads) for row in rows),
            ", ".join(row.purpose for row in rows),
            tuple(piece for row in rows for piece in _pieces(row)),
        )
        for (screw, length), rows in alike.items()
    ]


def _pieces(row: Fixing) -> tuple[Bought, ...]:
    screw = row.fastener
    return tuple(
        Bought(
            head.plus(row.into.times(row.sunk)),
            row.into,
            row.length,
            screw.diameter,
            screw.head_diameter,
            screw.head_height,
        )
        for head in row.heads
    )


def _dowels(layout: Layout) -> list[Hardware]:
    places = dowel_places(layout)
    if not places:
        return []
    length = layout.thick.plate + DOWEL_DEPTH - 2.0
    pins = tuple(Bought(P3(at.x, at.y, layout.thick.plate), Z_AXIS.times(-1.0), length, DOWEL) for at in places)
    return [Hardware("", "Dowel pin", f"⌀{format_mm(DOWEL)} m6", length, len(pins), "plate to board", pins)]


def _loose(layout: Layout) -> list[Hardware]:
    """The screws of what holds the work up meanwhile: the tip screw and the plug's own, or the heel stop's."""
    found, wood, screw = [], layout.screws.tip, layout.screws.own
    if layout.spec.tip_pin and not layout.spec.bridged and layout.has_tongue:
        words = f"tongue's end to the {layout.solution.joint.neck_outline.name}'s end"
        found.append(Hardware("", _PAN_HEAD, wood.thread, _tip_length(layout), 1, words))
    if layout.cuts_body:
        found.append(Hardware("", screw.title, screw.thread, crosspiece_screw_length(layout), 2, "crosspiece to plug"))
        found.append(Hardware("", _PAN_HEAD, wood.thread, _hang_length(layout), 1, "plug to the body's end face"))
    if not layout.has_tongue:
        found.append(
            Hardware("", screw.title, screw.thread, crosspiece_screw_length(layout), 2, "crosspiece to heel stop")
        )
        found.append(Hardware("", _PAN_HEAD, wood.thread, _tip_length(layout), 1, "heel stop to the neck's end"))
    return found


def _tip_length(layout: Layout) -> float:
    return layout.screws.tip.longest_within(_under_tip_head(layout) + _TIP_BITE)


def _under_tip_head(layout: Layout) -> float:
    """What of the tongue, or of the heel stop, the tip screw passes through, mm."""
    if not layout.has_tongue:
        return layout.thick.plate
    return layout.thick.plate - tip_counterbore(layout)[1]


def _hang_length(layout: Layout) -> float:
    """Its hole is routed away: it ends short of the mortise's floor."""
    waste = layout.solution.joint.depth_of_cut - _SHORT_OF_FLOOR
    return layout.screws.tip.longest_within(layout.thick.plate + min(_HANG_BITE, waste))


def tip_bite(layout: Layout) -> float:
    """How far the tip screw reaches into the neck's end, mm: the depth of its pilot hole."""
    return _tip_length(layout) - _under_tip_head(layout)


def hang_bite(layout: Layout) -> float:
    """How far the plug's screw reaches into the body's end face, mm: the depth of its pilot hole."""
    return _hang_length(layout) - layout.thick.plate


def assembly_steps(layout: Layout) -> tuple[str, ...]:
    """The order of assembly, in words, for the drawing and the setup sheet."""
    cradle = layout.cradle
    ends = "the ends of tongue and opening" if layout.cuts_body else "the window's near end"
    dowels = (
        f" Set the board by its distances from {ends}, drill and ream the dowel holes through "
        "the plate, and press the dowels in."
        if layout.screws.tapped
        else ""
    )
    join = "Screw" if layout.screws.tapped else "Glue and screw"
    hold = "and clamp them" if layout.screws.tapped else "glue and clamp them"
    dry = (
        ""
        if layout.screws.tapped
        else "First dry: board in a vice, the plate on its edge, two screws from above; knife round board and brackets "
        "on the plate's underside, part them. "
    )
    lines = "it, the holes in their edges over the plate's" if layout.screws.tapped else "their lines"
    fix = "" if layout.screws.tapped else ", glue on the joint"
    teeth = "" if layout.rests.tooth_width is None else ", its tooth on the scribed centreline"
    pinned = layout.spec.tip_pin and not layout.spec.bridged and layout.has_tongue
    widths = "the widths of its opening and its tongue" if layout.has_tongue else "its window's width"
    body_rest = " Screw the body rest on the other face, over the heads." if layout.cuts_body else ""
    held = "plug's" if layout.cuts_body else "heel stop's"
    drilled = "Drill the tip screw's hole in the tongue's end, its seat flat. " if pinned else ""
    return (
        f"Make the template plate; check {widths} with a caliper.",
        "Scribe the board's centreline on both faces and the lower edge from one setting of the square.",
        f"{join} both brackets to the board's neck face, upper edges flush.",
        f"{dry}Lay the plate top down on a flat table. Set board and brackets on {lines}, square to the neck face, "
        f"{hold}; paper under a bracket corrects the square while the joint is open. Turn it over, drive the plate's "
        f"screws.{dowels}",
        f"Screw the upper rest to the neck face{fix}{teeth}.{body_rest}",
        "Turn the jig upside down on two blocks and measure the stand-off with a square: the zero check.",
        "Cut the angle rest only now, to the zero check's width; one cut before: plane it, or glue the difference "
        f"behind it, a part of it from then on. Screw it on, the {mm(cradle.nominal_shim)} shim behind it"
        + (", both teeth in line." if teeth else "."),
        f"{drilled}Glue the caul's layers, the {held} crosspiece with screws.",
        "Make the scrap joint, the zero rest in the angle rest's place, before you touch the instrument's wood.",
    )
