"""The truss-rod key: a strip on the bed's centreline that fits the neck's slot and points the neck at the saddle.

Where the slot is too narrow to take a screw, two pins in the bed do the same work.
"""

from __future__ import annotations

from generator.geometry2d import P2
from generator.geometry3d import P3, Y_AXIS, Z_AXIS, Placement
from generator.parts import dims
from generator.parts.base import Carrier, Face, Hole, Part, Side, Tolerance, Use
from generator.parts.layout import Layout
from generator.shapes2d import rectangle

_FIT = Tolerance(-0.05, 0.0, "play here turns the neck away from the saddle")


def uses_key_strip(layout: Layout) -> bool:
    """True when the neck has a slot and the strip that fits it has room for its countersunk screws."""
    slot, screw = layout.solution.job.instrument.truss_rod_slot_width, layout.strip_screw
    if slot is None:
        return False
    cone = (screw.head_diameter - screw.clearance) / 2.0
    return key_width(layout) >= screw.head_diameter + 0.5 and _strip_height(layout) >= cone + 0.3


def key_width(layout: Layout) -> float:
    """Width of the strip, or diameter of the pins, mm."""
    slot = layout.solution.job.instrument.truss_rod_slot_width
    assert slot is not None, "asked only where the neck has a slot"
    return slot - layout.spec.fit_play


def key_height(layout: Layout) -> float:
    """How far key or pins stand over the bed, mm: 1 mm short of the slot's floor, in a shallow slot a quarter short."""
    depth = layout.solution.job.instrument.truss_rod_slot_depth or 0.0
    return max(depth - 1.0, 0.75 * depth)


def _strip_height(layout: Layout) -> float:
    """Thickness of the strip, mm: its sheet's, or less where the slot is shallow."""
    return min(layout.thick.strip, key_height(layout))


def key_top(layout: Layout) -> float:
    """v of the key's upper end: below the rest strips, so that neither is in the other's way."""
    return layout.bed_top - layout.spec.rest_height - 4.0


def key_length(layout: Layout) -> float:
    """The strip's length, mm: as asked, but no longer than the bed."""
    return min(layout.spec.key_length, key_top(layout) - layout.bed_foot - 4.0)


def key_screw_positions(layout: Layout) -> tuple[P2, ...]:
    """Screw centres on the bed, mm over the pivot line."""
    top, size = key_top(layout), key_length(layout)
    return P2(0.0, top - 0.12 * size), P2(0.0, top - 0.88 * size)


def key_pin_positions(layout: Layout) -> tuple[P2, ...]:
    """Centres of the two pins that stand in for the strip, as far apart as it is long."""
    top, half = key_top(layout), key_width(layout) / 2.0
    return P2(0.0, top - half), P2(0.0, top - key_length(layout) + half)


def truss_key(layout: Layout) -> Part:
    """The key strip; its own origin lies on its centreline at its upper end."""
    width, size = key_width(layout), key_length(layout)
    outline = rectangle(-width / 2.0, -size, width / 2.0, 0.0, min(1.0, width / 4.0))
    screw = layout.strip_screw
    top = key_top(layout)
    holes = tuple(
        Hole(
            "key-screw",
            P2(0.0, at.y - top),
            screw.clearance,
            face=Face.FRONT,
            countersink_diameter=screw.head_diameter,
            why="countersunk screw into the bed",
        )
        for at in key_screw_positions(layout)
    )
    return Part(
        name="truss_key",
        title="Truss-rod key",
        stock=layout.spec.strip_stock,
        thickness=_strip_height(layout),
        outline=outline,
        holes=holes,
        dimensions=(
            *dims.overall(outline.box(), "key_width", "key_length", width, size)[1:],
            dims.across("key_width", P2(-width / 2.0, -size), P2(width / 2.0, -size), width, Side.BELOW, _FIT),
        ),
        carrier=Carrier.BED,
        uses=frozenset({Use.NECK}),
        purpose="centres the neck by its truss-rod slot; comes off for the body",
    )


def truss_key_placement(layout: Layout) -> Placement:
    return Placement(P3(0.0, 0.0, -layout.pivot_depth + key_top(layout)), Y_AXIS, Z_AXIS)
