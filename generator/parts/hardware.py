"""What must be bought, counted from the model, and the order in which the jig goes together."""

from __future__ import annotations

from generator.geometry2d import P2
from generator.geometry3d import P3, X_AXIS, Y_AXIS
from generator.model.jig import Joinery
from generator.parts.base import Bought, Carrier, Hardware, Use
from generator.parts.body_rest import has_rest, rest_screw_positions
from generator.parts.joinery import EdgeJoint
from generator.parts.layout import Layout
from generator.parts.rail_screws import rail_screw, rail_screw_stations
from generator.parts.truss_key import (
    key_height,
    key_length,
    key_pin_positions,
    key_screw_positions,
    key_width,
    uses_key_strip,
)
from generator.units import format_mm

_NECK_ONLY = frozenset({Use.NECK})


def hardware(layout: Layout) -> tuple[Hardware, ...]:
    """The hardware list, in the order of assembly; ids H1, H2, ..."""
    found = [*_joint_screws(layout), *_moving(layout), *_strip_screws(layout), *_holding(layout), *_tip(layout)]
    return tuple(
        Hardware(f"H{i}", item.title, item.thread, item.length, item.count, item.purpose, item.pieces)
        for i, item in enumerate(found, 1)
    )


def _item(title: str, thread: str, length: float, count: int, purpose: str, *pieces: Bought) -> Hardware:
    return Hardware("", title, thread, length, count, purpose, pieces)


def _joint_screws(layout: Layout) -> list[Hardware]:
    """Screws (with nuts or dowels) of the edge joints, gathered by length, and the rails' screws."""
    joints: list[tuple[EdgeJoint, int, str]] = [
        (layout.plate_joint, 2, "plate to cheeks"),
        (layout.spine_joint, 2, "cheeks to spine"),
        (layout.tie_joint, 2, "cheeks to tie"),
        (layout.rib_joint, 2, "bed to ribs"),
    ]
    found = []
    for joint, edges, purpose in joints:
        count = edges * len(joint.screws)
        found.append(_item("Countersunk screw", joint.screw.name, joint.screw_length, count, purpose))
        if joint.style is Joinery.TAPPED:
            dowels = edges * len(joint.tabs)
            found.append(_item("Dowel pin", f"⌀{format_mm(joint.dowel)}", _dowel_length(joint), dowels, purpose))
        else:
            found.append(_item("Square or hexagon nut", joint.screw.name, joint.screw.nut_height, count, purpose))
    screw, ledge = layout.screw, layout.thick.cheek + layout.thick.frame
    found.append(
        _item(
            "Countersunk screw with nut",
            screw.name,
            screw.length_at_least(ledge + screw.nut_height),
            2,
            "ledge to spine",
        )
    )
    return [*found, *_rail_screws(layout)]


def _rail_screws(layout: Layout) -> list[Hardware]:
    found = rail_screw(layout)
    if found is None:
        return []
    count = 2 * len(rail_screw_stations(layout))
    if found.tapped:
        return [_item("Countersunk screw", found.screw.name, found.length, count, "plate to rails")]
    size = f"⌀{format_mm(found.screw.diameter)}"
    return [_item("Countersunk wood screw", size, found.length, count, "plate to rails, glued as well")]


def _dowel_length(joint: EdgeJoint) -> float:
    return 2.0 * joint.dowel + joint.face_thickness


def _moving(layout: Layout) -> list[Hardware]:
    """The bed's pins and the nose rod, as they stand at bed angle zero."""
    pin = layout.pin
    inner, outer = layout.rib_inner, layout.cheek_outer
    length = pin.length_at_least(outer - inner + 2.0 * pin.nut_height + 4.0)
    bolts = [
        Bought(
            _space(layout, at, side * (inner - 0.5)),
            Y_AXIS.times(side),
            outer - inner + 0.5 + pin.nut_height,
            pin.diameter,
            Carrier.BED,
        )
        for side in (1.0, -1.0)
        for at in layout.pins
    ]
    rod = 2.0 * layout.spec.cheek_inner - 2.0
    nose = Bought(_space(layout, layout.nose, -rod / 2.0), Y_AXIS, rod, layout.spec.nose_diameter, Carrier.BED)
    return [
        _item(
            "Hexagon bolt with a plain shank, two washers, wing nut",
            pin.name,
            length,
            len(bolts),
            "pins of the bed; lock it",
            *bolts,
        ),
        _item("Round steel rod", f"⌀{format_mm(layout.spec.nose_diameter)}", rod, 1, "nose, through both ribs", nose),
    ]


def _strip_screws(layout: Layout) -> list[Hardware]:
    screw = layout.strip_screw
    found = []
    rest_screws = len(rest_screw_positions(layout))
    if rest_screws:
        long = screw.length_at_least(layout.thick.bed + layout.spec.rest_thickness + screw.nut_height + 2.0)
        found.append(_item("Countersunk screw with nut", screw.name, long, rest_screws, "rest strips to bed"))
    if layout.solution.job.instrument.truss_rod_slot_width is None:
        long = layout.screw.length_at_least(layout.thick.bed + layout.thick.guide + layout.screw.nut_height + 3.0)
        found.append(
            _item("Round-head screw with washer and wing nut", layout.screw.name, long, 2, "side stops to bed")
        )
    elif uses_key_strip(layout):
        count = len(key_screw_positions(layout))
        long = layout.thick.bed + layout.thick.strip + screw.nut_height + 2.0
        found.append(_item("Countersunk screw with nut", screw.name, screw.length_at_least(long), count, "key to bed"))
    else:
        found.append(_key_pins(layout))
    return found


def _key_pins(layout: Layout) -> Hardware:
    """Two turned pins where the slot is too narrow for a strip."""
    size = key_width(layout)
    depth = key_height(layout)
    pins = [
        Bought(
            P3(-layout.thick.bed, at.x, at.y - layout.pivot_depth),
            X_AXIS,
            layout.thick.bed + depth,
            size,
            Carrier.BED,
            _NECK_ONLY,
        )
        for at in key_pin_positions(layout)
    ]
    purpose = f"truss-rod key: {format_mm(key_length(layout))} mm apart over all, in the neck's slot"
    return _item("Pin, push fit in the bed", f"⌀{format_mm(size)}", layout.thick.bed + depth, len(pins), purpose, *pins)


def _holding(layout: Layout) -> list[Hardware]:
    """The studs of the hold-down bar."""
    stud = layout.stud
    front = layout.spec.hold_down_lift + layout.thick.frame + 3.0 * stud.nut_height
    back = layout.thick.bed + 1.5 * stud.nut_height
    studs = [
        Bought(
            P3(-back, side * layout.stud_y, layout.hold_down_v - layout.pivot_depth),
            X_AXIS,
            front + back,
            stud.diameter,
            Carrier.BED,
            _NECK_ONLY,
        )
        for side in (1.0, -1.0)
    ]
    title = "Threaded rod with two nuts, two washers and a wing nut"
    return [_item(title, stud.name, round(front + back), len(studs), "hold-down bar; comes off for the body", *studs)]


def _tip(layout: Layout) -> list[Hardware]:
    if not layout.spec.tip_pin or layout.spec.bridged:
        return []
    screw = layout.strip_screw
    length = layout.thick.plate + 12.0
    return [_item("Countersunk wood screw", f"⌀{format_mm(screw.diameter)}", length, 1, "tip pin of the tongue")]


def _space(layout: Layout, at: P2, y: float) -> P3:
    """A station in u and v at jig Y `y`, in the jig frame."""
    return P3(at.x, y, at.y - layout.pivot_depth)


def assembly_steps(layout: Layout) -> tuple[str, ...]:
    """The order of assembly, in words, for the drawing and the setup sheet."""
    tapped = layout.spec.joinery is Joinery.TAPPED
    joint = "dowels and screws" if tapped else "tabs, screws and captive nuts"
    centring = "truss-rod key" if layout.solution.job.instrument.truss_rod_slot_width is not None else "side stops"
    fixed = "Glue" if rail_screw(layout) is None else "Screw" if tapped else "Glue and screw"
    rest = "; the rest strips for the body" if has_rest(layout) else ""
    return (
        "Screw the stop ledge to the spine, its screw heads below the face.",
        f"Join the spine and the tie between the two cheeks with {joint}; check that the frame is square.",
        f"Join both ribs to the back of the bed with {joint}; push the nose rod through them.",
        "Hang the bed between the cheeks: four pins, bolt heads inside, washers and wing nuts outside.",
        f"{fixed} the rails under the tenon half of the plate, flush against no edge of the window.",
        "Set the plate on the cheeks and screw it down; turn it end for end once: it must seat as well the other way.",
        f"Fit the {centring}, the studs and the hold-down bar for the neck{rest}.",
        "Clamp the spine in the vise, its back against the front of the bench, the cheeks standing on the bench.",
        "Hang the set block on the ledge, press the bed against it, lock the four pins, and check with the gap gauge.",
    )
