"""Whether the jig's sizes leave every part and screw the room it needs: checks that name the keys to change.

A job may move any size of the jig. What can adapt does (screws come in the lengths that are sold); what cannot is
judged here, in words, before a part is made.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from generator.checks.base import Check, at_least, mm
from generator.errors import CheckFailed, Fault
from generator.parts.fixings import (
    BODY_REST_HEAD,
    BODY_REST_HOLLOW,
    DOWEL,
    REST_SCREW_FROM_END,
    Fixing,
    board_to_brackets,
    body_rest_to_board,
    bracket_stations,
    fixings,
    plate_to_board,
)
from generator.parts.layout import Layout, jig_layout
from generator.parts.plug import CROSSPIECE, hang_from_end, plug_length
from generator.parts.rests import tooth_height
from generator.parts.template_plate import tip_counterbore
from generator.solution import Solution

#: A screw bites at least this deep in wood and in metal, and ends at least this far before the far side, mm.
_BITE, _BITE_TAPPED, _SHORT = 7.0, 5.0, 0.5
#: Least material beside a screw's hole in an edge, beside a head, and round the tip screw in the tongue, mm.
_EDGE_WALL, _HEAD_WALL, _TONGUE_WALL = 1.5, 0.8, 0.9
#: The lowest tooth that still guides, and the body rest's least width over its heads, mm.
_LEAST_TOOTH, _OVER_HEAD = 2.0, 3.0


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
    return (
        *_screws(layout),
        *_brackets(layout),
        *_rests(layout),
        *_plate(layout),
        *_plug(layout),
    )


def _room(name: str, room: float, least: float, what: str, keys: str) -> Check:
    return at_least(name, room, least, least, f"{what}: {mm(room)}, at least {mm(least)}; change {keys}")


def _screws(layout: Layout) -> Iterator[Check]:
    """Every screw bites and stays inside what takes it."""
    for row in fixings(layout):
        words = f"the screws {row.purpose} bite"
        yield _room(f"{row.id} bite", row.bite, _BITE_TAPPED if row.fastener.tapped else _BITE, words, _keys_of(row))
        left = _taken(layout, row) - row.bite
        yield _room(
            f"{row.id} point", left, _SHORT, f"what the screws {row.purpose} leave before the far side", _keys_of(row)
        )
        yield _room(
            f"{row.id} edge",
            (_edge(layout, row) - row.fastener.pilot) / 2.0,
            _EDGE_WALL,
            f"material beside the screws {row.purpose}",
            f"jig.{_stock_of(row)}_stock",
        )


def _keys_of(row: Fixing) -> str:
    return {
        "bracket": "joint.mortise_depth or jig.plate_stock",
        "angle_rest": "target, instrument.end_face_tilt or jig.nominal_shim",
    }.get(row.takes, "jig.board_stock or jig.plate_stock")


def _stock_of(row: Fixing) -> str:
    return {"bracket": "bracket", "board": "board"}.get(row.takes, "rest")


def _taken(layout: Layout, row: Fixing) -> float:
    """How far (mm) the material goes on behind the face that a row's screws enter."""
    cradle = layout.cradle
    along = {
        "plate-board": layout.board_height,
        "plate-bracket": layout.rail_height,
        "board-bracket": layout.spec.bracket_foot,
        "board-upper-rest": cradle.upper_rest,
        "board-angle-rest": cradle.angle_rest_drawn,
        "body-rest-board": layout.thick.board,
    }
    return along[row.id]


def _edge(layout: Layout, row: Fixing) -> float:
    """Thickness (mm) of the sheet whose edge a row's screws enter; the board's face is wide enough for any."""
    if row.id == "body-rest-board":
        return layout.thick.rest
    stock = _stock_of(row)
    return {"bracket": layout.thick.bracket, "board": layout.thick.board, "rest": layout.thick.rest}[stock]


def _brackets(layout: Layout) -> Iterator[Check]:
    first, _, last = bracket_stations(layout)
    yield _room(
        "bracket screws apart",
        last - first,
        3.0 * layout.screw.head_diameter,
        "first to last screw along a bracket",
        "joint.mortise_length or jig.margin_end",
    )
    beyond = first - board_to_brackets(layout).bite - layout.screw.diameter / 2.0
    yield _room(
        "bracket screws crossing",
        beyond,
        1.0,
        "between the plate's first screw into a bracket and the board's",
        "jig.bracket_foot",
    )


def _rests(layout: Layout) -> Iterator[Check]:
    screw, hollow = layout.screw, layout.cradle.rest_beside
    row = body_rest_to_board(layout)
    y = abs(row.heads[0].y)
    head = (screw.head_diameter + 0.5) / 2.0
    yield _room(
        "body rest heads",
        min(y - head, hollow - y - head),
        0.2,
        "material round the body rest's screw heads in its hollow",
        "joint.mortise_width",
    )
    deep = layout.cradle.upper_rest - BODY_REST_HOLLOW - BODY_REST_HEAD
    yield _room(
        "body rest under its heads", deep, _OVER_HEAD, "the body rest under its screw heads", "router.bit_diameter"
    )
    beside = (
        layout.spec.rest_length / 2.0 - REST_SCREW_FROM_END - screw.head_diameter / 2.0 - (y + screw.clearance / 2.0)
    )
    yield _room(
        "upper and body rest screws",
        beside,
        0.3,
        "between the upper rest's screw heads and the body rest's screws",
        "jig.rest_length or joint.mortise_width",
    )
    yield _room(
        "rests between the brackets",
        layout.bracket_inner - layout.spec.rest_length / 2.0,
        1.0,
        "room beside the rests to the brackets",
        "jig.rest_length or instrument.heel_width",
    )
    if layout.tooth_width is not None:
        yield _room(
            "teeth", tooth_height(layout), _LEAST_TOOTH, "height of the teeth", "instrument.truss_rod_slot_depth"
        )
        side = layout.spec.rest_length / 2.0 - layout.tooth_width / 2.0
        yield _room("rest beside its tooth", side, 8.0, "rest beside its tooth", "jig.rest_length")


def _plate(layout: Layout) -> Iterator[Check]:
    outer = abs(plate_to_board(layout).heads[2].y)
    inner = abs(plate_to_board(layout).heads[0].y)
    head = layout.screw.head_diameter
    yield _room(
        "plate screws apart",
        outer - inner - head,
        2.0,
        "between the plate's screws into the board",
        "instrument.heel_width",
    )
    if layout.tapped:
        apart = (outer - inner - head - DOWEL) / 2.0
        yield _room("dowels", apart, 1.0, "between a dowel and the nearest screw's head", "instrument.heel_width")
    web = layout.fence + layout.routing.opening_start - head / 2.0
    yield _room(
        "plate over the board", web, _HEAD_WALL, "plate between a screw's head and the openings", "router.bushing_od"
    )
    if layout.spec.tip_pin and not layout.spec.bridged:
        wall = (layout.routing.tongue_width - tip_counterbore(layout)[0]) / 2.0
        yield _room("tip screw", wall, _TONGUE_WALL, "tongue beside the tip screw's head", "jig.tip_pin")
        rest = layout.thick.plate - tip_counterbore(layout)[1]
        yield _room("tip screw head", rest, 3.0, "plate under the tip screw's head", "jig.plate_stock")


def _plug(layout: Layout) -> Iterator[Check]:
    room = plug_length(layout) - CROSSPIECE - hang_from_end(layout) - layout.screw.clearance / 2.0
    yield _room("plug", room, 1.0, "plug between its screw and its crosspiece", "joint.mortise_length")
