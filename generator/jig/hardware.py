"""What must be bought, counted from the model, and the order in which the jig goes together."""

from __future__ import annotations

from collections import Counter

from generator.base.geometry3d import P3, Z_AXIS
from generator.base.units import format_mm
from generator.jig.fixings import DOWEL, DOWEL_DEPTH, Fixing, dowel_places, fixings
from generator.jig.layout import Layout
from generator.jig.part import Bought, Hardware
from generator.jig.plug import plug_screw_length
from generator.jig.template_plate import tip_counterbore

#: How far the tip screw reaches into the neck's end, mm.
_TIP_BITE = 20.0
#: How far the plug's screw reaches into the end face, mm.
_HANG_BITE = 20.0


def hardware(layout: Layout) -> tuple[Hardware, ...]:
    """The hardware list, in the order of assembly; ids H1, H2, ..."""
    found = [*_rows(layout), *_dowels(layout), *_loose(layout)]
    return tuple(
        Hardware(f"H{i}", item.title, item.thread, item.length, item.count, item.purpose, item.pieces)
        for i, item in enumerate(found, 1)
    )


def _rows(layout: Layout) -> list[Hardware]:
    """The jig's screws, equal ones in one line."""
    by_length: dict[float, list[Fixing]] = {}
    for row in fixings(layout):
        by_length.setdefault(row.length, []).append(row)
    return [
        Hardware(
            "",
            layout.screw.title,
            layout.screw.thread,
            length,
            sum(len(row.heads) for row in rows),
            ", ".join(row.purpose for row in rows),
            tuple(piece for row in rows for piece in _pieces(row)),
        )
        for length, rows in by_length.items()
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
    return [Hardware("", "Dowel pin", f"⌀{format_mm(DOWEL)}", length, len(pins), "plate to board", pins)]


def _loose(layout: Layout) -> list[Hardware]:
    """The tip screw, and the plug's own."""
    found = []
    tip, plate = layout.tip_screw, layout.thick.plate
    if layout.spec.tip_pin and not layout.spec.bridged:
        length = tip.longest_within(plate - tip_counterbore(layout)[1] + _TIP_BITE)
        words = f"tongue's end to the {layout.solution.joint.neck_outline.name}'s end"
        found.append(Hardware("", "Pan-head wood screw with washer", tip.thread, length, 1, words))
    screw = layout.screw
    across = plug_screw_length(layout)
    found.append(Hardware("", screw.title, screw.thread, across, 2, "crosspiece to plug"))
    wood = layout.tip_screw
    hang = wood.longest_within(plate + _HANG_BITE)
    found.append(Hardware("", "Pan-head wood screw with washer", wood.thread, hang, 1, "plug to the body's end face"))
    return found


def screw_count(layout: Layout) -> Counter[str]:
    """Bought pieces by title."""
    return Counter({item.title: item.count for item in hardware(layout)})


def assembly_steps(layout: Layout) -> tuple[str, ...]:
    """The order of assembly, in words, for the drawing and the setup sheet."""
    cradle = layout.cradle
    join = "Screw" if layout.tapped else "Glue and screw"
    hold = "and clamp them" if layout.tapped else "glue and clamp them"
    fix = "" if layout.tapped else ", glue on the joint"
    teeth = "" if layout.tooth_width is None else ", its tooth on the scribed centreline"
    return (
        "Scribe the board's centreline on both faces and the lower edge from one setting of the square.",
        f"{join} both brackets to the board's neck face, upper edges flush.",
        "Lay the plate top down on a flat table. Set board and brackets on it, square to the neck face, "
        f"{hold}; paper under a bracket corrects the square while the joint is open. Turn the jig over and drive the "
        "plate's screws from its top.",
        f"Screw the upper rest to the neck face{fix}{teeth}. "
        "Screw the body rest over its screw heads on the other face.",
        "Turn the jig upside down on the flat table and measure the stand-off with a square: see the zero check.",
        f"Cut the angle rest to its width. Screw it on with the {format_mm(cradle.nominal_shim)} mm shim behind it"
        + (", both teeth in line." if teeth else "."),
        "Glue the caul's two layers. Glue and screw the crosspiece on the plug.",
        "Make the scrap joint with the zero rest before any neck.",
    )
