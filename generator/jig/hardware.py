"""What must be bought, counted from the model, and the order in which the jig goes together."""

from __future__ import annotations

from generator.base.geometry3d import P3, Z_AXIS
from generator.base.units import format_mm, mm
from generator.jig.fixings import DOWEL, DOWEL_DEPTH, Fixing, dowel_places, fixings
from generator.jig.layout import Layout
from generator.jig.loose_screws import hang_length, loose_screws, tip_length, under_tip_head
from generator.jig.part import Bought, Hardware
from generator.jig.screws import Fastener


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
            screw.conical,
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
    """The screws of what holds the work up meanwhile."""
    return [
        Hardware("", one.fastener.title, one.fastener.thread, one.length, one.count, one.use)
        for one in loose_screws(layout)
    ]


def tip_bite(layout: Layout) -> float:
    """How far the tip screw reaches into the neck's end, mm: the depth of its pilot hole."""
    return tip_length(layout) - under_tip_head(layout)


def hang_bite(layout: Layout) -> float:
    """How far the plug's screw reaches into the body's end face, mm: the depth of its pilot hole."""
    return hang_length(layout) - layout.thick.plate


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
    middle = ", the board's centreline in the tongue's middle" if layout.has_tongue else ""
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
        f"{dry}Lay the plate top down on a flat table. Set board and brackets on {lines}{middle}, square to the neck "
        f"face, {hold}; paper under a bracket corrects the square while the joint is open. Turn it over, drive the "
        f"plate's screws.{dowels}",
        f"Screw the upper rest to the neck face{fix}{teeth}.{body_rest}",
        "Turn the jig upside down on two blocks and measure the stand-off with a square: the zero check.",
        "Cut the angle rest only now, to the zero check's width; one cut before: plane it, or glue the difference "
        f"behind it, a part of it from then on. Screw it on, the {mm(cradle.nominal_shim)} shim behind it"
        + (", both teeth in line." if teeth else "."),
        f"{drilled}Glue the caul's layers, the {held} crosspiece with screws.",
        "Make the scrap joint, the zero rest in the angle rest's place, before you touch the instrument's wood.",
    )
