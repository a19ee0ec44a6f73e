"""Whether the jig's sizes leave every part, slot and screw the room it needs: checks that name the keys to change.

A job may move any size of the jig. What can adapt does (tabs shorten, small strips are stuck on); what cannot is judged
here, in words, before a part is made.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from generator.checks.base import Check, at_least, mm
from generator.errors import CheckFailed, Fault
from generator.geometry2d import P2, Box
from generator.model.jig import Joinery
from generator.parts.bed import side_stop_positions
from generator.parts.body_rest import has_rest
from generator.parts.holders import SIDE_STOP_HALF_HEIGHT
from generator.parts.joinery import LEAST_ROOM, LEAST_TAB, EdgeJoint
from generator.parts.layout import LEAST_SEAT, Layout, jig_layout
from generator.parts.rail_screws import rail_screw
from generator.parts.swing import room_beside_ribs, swept_ribs
from generator.parts.truss_key import key_length
from generator.solution import Solution

#: Least material round a slot, a hole's countersink and a screw in an edge, mm.
_SLOT_WALL, _SINK_WALL, _EDGE_WALL = 2.5, 1.0, 1.5
#: Least room between parts that move past one another, mm.
_PASSING = 0.5
#: The shortest key that still points the neck, mm.
_LEAST_KEY = 40.0


def with_standing(solution: Solution) -> Solution:
    """`solution` with the checks of the jig's sizes after its own."""
    return replace(solution, checks=(*solution.checks, *standing_checks(jig_layout(solution))))


def refuse_unbuildable(layout: Layout) -> None:
    """Raise CheckFailed naming every size of the jig that leaves no room."""
    name = layout.solution.job.name
    failed = [check for check in standing_checks(layout) if check.value < check.limit - 1e-9]
    if failed:
        raise CheckFailed(
            [
                Fault(name, check.name, f"{check.value:g}", f"at least {check.limit:g}: {check.message}")
                for check in failed
            ]
        )


def standing_checks(layout: Layout) -> tuple[Check, ...]:
    """A check for every size that matters; none warns, for what fails here cannot be built."""
    return (*_cheeks(layout), *_frame(layout), *_bed(layout), *_joints(layout), *_plate(layout))


def _room(name: str, room: float, least: float, what: str, keys: str) -> Check:
    return at_least(name, room, least, least, f"{what}: {mm(room)}, at least {mm(least)}; change {keys}")


# --- cheeks and frame ------------------------------------------------------------------------------------------------


def _cheeks(layout: Layout) -> Iterator[Check]:
    front, back = _slot_walls(layout)
    slots = "material between a pin's arc slot and the cheek's"
    yield _room(
        "pin slots, front", front, _SLOT_WALL, f"{slots} front edge", "jig.pin_back, jig.cheek_gap or jig.angle_low"
    )
    yield _room("pin slots, back", back, _SLOT_WALL, f"{slots} back edge", "jig.cheek_depth or jig.pin_back")
    yield _room(
        "wing nuts and rails",
        _wing_room(layout),
        _PASSING,
        "room between the upper pins' wing nuts and the rails",
        "jig.pin_below, jig.pin_back or jig.rail_gap",
    )


def _slot_walls(layout: Layout) -> tuple[float, float]:
    """Least material in front of and behind the cheeks' arc slots, mm."""
    half = layout.pin_hole / 2.0
    front, back = math.inf, math.inf
    for pin in layout.pins:
        for at in layout.swing(pin):
            # The edge leans by no more than a few degrees, so level is square enough.
            front = min(front, layout.cheek_front_at(at.y) - at.x - half)
            back = min(back, at.x - layout.cheek_back - half)
    return front, back


def _wing_room(layout: Layout) -> float:
    """Room (mm) from the upper pins' wing nuts to the rails, which lap the cheeks' front corner."""
    corner = P2(layout.rail_start, layout.pivot_depth - layout.rail_height)
    return min(max(corner.x - at.x, corner.y - at.y) for at in layout.swing(layout.pins[0])) - layout.wing_radius


def _frame(layout: Layout) -> Iterator[Check]:
    spec = layout.spec
    tie = Box(layout.tie_front - layout.thick.frame, layout.tie_foot, layout.tie_front, layout.tie_top)
    spine = Box(layout.spine_back, layout.cheek_foot - spec.vise_tongue, layout.spine_front, layout.spine_top)
    plate = Box(-2.0 * spec.cheek_depth, layout.pivot_depth, 0.0, layout.pivot_depth + layout.thick.plate)
    room, sweep = "room beside the swinging ribs:", swept_ribs(layout)
    yield _room(
        "ribs and tie", room_beside_ribs(sweep, tie), _PASSING, f"{room} the tie", "jig.cheek_depth or jig.pin_back"
    )
    yield _room(
        "ribs and spine",
        room_beside_ribs(sweep, spine),
        _PASSING,
        f"{room} the spine",
        "jig.block_at_zero, jig.pin_below or jig.sine_distance",
    )
    yield _room(
        "ribs and plate",
        room_beside_ribs(sweep, plate),
        _PASSING,
        f"{room} the plate",
        "jig.pin_below, jig.pin_back, jig.sine_distance or joint.mortise_depth",
    )
    yield _room(
        "spine under the pins",
        layout.spine_top - layout.nose.y,
        0.0,
        "how far the spine, ending under the swing of the lower pins, reaches above the nose's level",
        "jig.pin_below (the lower pin) or jig.sine_distance",
    )
    yield _spine_in_cheeks(layout)
    yield from _ledge(layout)


def _spine_in_cheeks(layout: Layout) -> Check:
    """Material before and behind the spine's slots and screws in the cheeks; the ribs keep the tie well inside."""
    half = max(layout.thick.frame, layout.screw.head_diameter) / 2.0
    spine = (layout.spine_front + layout.spine_back) / 2.0
    front, back = layout.cheek_front_at(layout.cheek_foot), layout.cheek_back
    return _room(
        "spine in the cheeks",
        min(front - spine, spine - back) - half,
        _SLOT_WALL,
        "material round the slots and screws of the spine",
        "jig.cheek_depth, jig.nose_offset, jig.block_at_zero or jig.cheek_gap",
    )


def _ledge(layout: Layout) -> Iterator[Check]:
    spec = layout.spec
    yield _room(
        "ledge under the pins",
        layout.ledge_top - layout.nose.y,
        LEAST_SEAT,
        "how far the stop ledge, ending under the swing of the lower pins' heads, reaches above the nose's level",
        "jig.pin_below (the lower pin), jig.sine_distance or jig.ledge_height",
    )
    ledge = layout.rib_inner - 1.0
    needed = max(layout.screw.head_diameter / 2.0 + 2.0, layout.thick.block / 2.0)
    yield _room(
        "ledge between the ribs",
        ledge,
        needed,
        "half the stop ledge's width",
        "jig.cheek_inner, jig.cheek_stock or jig.block_stock",
    )
    yield _room(
        "nut slots in the spine",
        spec.cheek_inner - max(layout.spine_joint.bite, layout.tie_joint.bite) - layout.screw.clearance / 2.0,
        LEAST_ROOM,
        "material between the ledge's screws and what is sunk into the spine's edges",
        "jig.cheek_inner or jig.screw_thread",
    )


# --- bed -------------------------------------------------------------------------------------------------------------


def _bed(layout: Layout) -> Iterator[Check]:
    spec = layout.spec
    yield _room(
        "nose behind the bed",
        spec.nose_offset - layout.nose_radius - layout.thick.bed,
        _PASSING,
        "room between the nose rod and the bed's back",
        "jig.nose_offset, jig.nose_diameter or jig.bed_stock",
    )
    yield _room(
        "ribs under the nose",
        layout.nose.y - layout.nose_radius - layout.rib_foot,
        _SLOT_WALL,
        "material of the ribs below the nose rod",
        "jig.bed_tail or jig.nose_diameter",
    )
    yield _room(
        "pins behind the bed",
        min(spec.pin_back) - layout.thick.bed - layout.rib_joint.bite - layout.pin_hole / 2.0,
        _SLOT_WALL,
        "material of the ribs between a pin and what is sunk into their edges at the bed",
        "jig.pin_back, jig.bed_stock or jig.screw_thread",
    )
    yield from _hold_down(layout)
    if layout.solution.job.instrument.truss_rod_slot_width is None:
        yield from _side_stops(layout)
    else:
        yield _room(
            "key on the bed",
            key_length(layout),
            _LEAST_KEY,
            "length of the truss-rod key that the bed has room for",
            "jig.key_length, jig.sine_distance, jig.bed_tail or jig.rest_height",
        )


def _hold_down(layout: Layout) -> Iterator[Check]:
    stud, spec = layout.stud, layout.spec
    rest = layout.bed_top - (spec.rest_height if has_rest(layout) else 0.0)
    yield _room(
        "studs and bed foot",
        layout.hold_down_v - layout.bed_foot - stud.washer_diameter / 2.0,
        _PASSING,
        "bed below the hold-down studs' washers",
        "jig.hold_down_depth, jig.sine_distance or jig.bed_tail",
    )
    yield _room(
        "studs and bed sides",
        spec.bed_width / 2.0 - layout.stud_y - stud.washer_diameter / 2.0,
        _PASSING,
        "bed beside the hold-down studs' washers",
        "jig.bed_width, jig.cheek_inner or jig.stud_thread",
    )
    yield _room(
        "studs and rest",
        rest - layout.hold_down_v - stud.washer_diameter / 2.0,
        _PASSING,
        "bed above the hold-down studs' washers, below the rest strips",
        "jig.hold_down_depth or jig.rest_height",
    )


def _side_stops(layout: Layout) -> Iterator[Check]:
    at, washer = side_stop_positions(layout)[0], layout.screw.washer_diameter / 2.0
    yield _room(
        "side stops and bed sides",
        layout.spec.bed_width / 2.0 - at.x - washer,
        _PASSING,
        "bed beside the side stops' screws",
        "jig.bed_width or jig.cheek_inner, for instrument.heel_width",
    )
    yield _room(
        "side stops and studs",
        at.y - SIDE_STOP_HALF_HEIGHT - layout.hold_down_v - layout.stud.washer_diameter / 2.0,
        _PASSING,
        "room between the side stops and the hold-down studs",
        "jig.hold_down_depth or jig.rest_height",
    )


# --- joints and plate ------------------------------------------------------------------------------------------------


def _joints(layout: Layout) -> Iterator[Check]:
    spec = layout.spec
    joints: tuple[tuple[EdgeJoint, float, str, str], ...] = (
        (layout.plate_joint, spec.cheek_depth, "jig.cheek_depth", "jig.cheek_stock or jig.plate_stock"),
        (
            layout.spine_joint,
            layout.spine_top - layout.cheek_foot,
            "jig.sine_distance, jig.bed_tail or jig.pin_below",
            "jig.frame_stock or jig.cheek_stock",
        ),
        (layout.tie_joint, spec.tie_height, "jig.tie_height", "jig.frame_stock or jig.cheek_stock"),
        (
            layout.rib_joint,
            layout.rib_top - layout.rib_foot,
            "jig.sine_distance or jig.rest_height",
            "jig.cheek_stock or jig.bed_stock",
        ),
    )
    for joint, span, keys, stocks in joints:
        pieces = "tab and screws" if joint.style is Joinery.TABS else "dowels and screws"
        yield _room(
            f"joint {joint.id}",
            joint.room(span),
            LEAST_ROOM,
            f"material between {pieces} along an edge of {mm(span)}",
            f"{keys}, jig.screw_thread" + (" or jig.tab_length" if joint.tab_length > LEAST_TAB else ""),
        )
        yield _room(
            f"sheets of {joint.id}",
            joint.wall,
            _EDGE_WALL,
            f"material beside the thread in an edge of {mm(joint.edge_thickness)} or under the head in a face of "
            f"{mm(joint.face_thickness)}",
            f"jig.screw_thread, jig.dowel_diameter, jig.tab_sink, {stocks}",
        )


def _plate(layout: Layout) -> Iterator[Check]:
    routing, spec = layout.solution.routing, layout.spec
    openings = max(routing.window_half_width, routing.opening_width / 2.0)
    head = layout.screw.head_diameter / 2.0
    middle = spec.cheek_inner + layout.thick.cheek / 2.0
    if middle - head < openings:
        yield _room(
            "plate screws and openings",
            routing.opening_start - layout.cheek_front + min(layout.plate_joint.screws) - head,
            _SINK_WALL,
            "material between the plate's openings and the screws over the cheeks",
            "jig.cheek_gap, jig.bed_stock, jig.cheek_depth or jig.cheek_inner",
        )
    found = rail_screw(layout)
    if found is not None:
        yield _room(
            "rails",
            layout.rail_end - layout.rail_start,
            4.0 * found.screw.head_diameter,
            "length of the rails",
            "jig.margin_end or jig.corner_radius",
        )
