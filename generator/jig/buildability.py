"""Whether the jig's sizes leave every part and screw the room it needs: checks that name the keys to change.

A job may move any size of the jig. What can adapt does (screws come in the lengths that are sold); what cannot is
judged here, in words, before a part is made.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from generator.base.errors import CheckFailed, Fault
from generator.base.units import mm
from generator.jig.crosspiece import CROSSPIECE
from generator.jig.fixings import (
    COUNTERBORE_PLAY,
    DOWEL,
    REST_SCREW_FROM_END,
    Fixing,
    body_rest_to_board,
    bracket_run,
    fixings,
    plate_to_board,
)
from generator.jig.heel_stop import stop_room
from generator.jig.layout import Layout, jig_layout
from generator.jig.plug import hang_from_end, hang_walls, plug_length
from generator.jig.rests import tooth_height
from generator.jig.template_plate import tip_counterbore
from generator.jig.zero_square import BLOCKS, designed_room, square_stand
from generator.job.model.job import Job
from generator.joint.checks.base import Check, at_least
from generator.joint.solution import Solution, solve

#: Least bite of a screw in wood, mm.
_BITE = 7.0
#: Least bite of a machine screw in a tapped hole, as in metal, mm.
_BITE_TAPPED = 5.0
#: A screw ends at least this far before the far side of what it bites in, mm.
_SHORT = 0.5
#: Least material beside a screw's hole in an edge, mm.
_EDGE_WALL = 1.5
#: Least material round the head of the tip screw in the tongue, mm.
_TONGUE_WALL = 0.9
#: Least plate beside the heads of its outer screws, mm.
_PLATE_RIM = 2.0
#: Least of the body rest beside the bores of its screws' heads, mm.
_HEAD_WALL = 0.8
#: Least material round the hole in the plug that the body hangs by, mm.
_PLUG_WALL = 1.0
#: The lowest tooth that still guides, mm.
_LEAST_TOOTH = 2.0
#: Rows whose screws may not bite, or come through, and the keys that help.
_TAKEN = {
    "plate-bracket": "joint.mortise_depth or jig.plate_stock",
    "board-bracket": "jig.bracket_foot",
    "body-rest-board": "jig.board_stock",
    "board-angle-rest": "jig.nominal_shim or jig.rest_stock",
}


def with_standing(solution: Solution) -> Solution:
    """`solution` with the checks of the jig's sizes after its own."""
    return replace(solution, checks=(*solution.checks, *standing_checks(jig_layout(solution))))


def solve_standing(job: Job) -> Solution:
    """The job solved, with the checks of the jig's sizes."""
    return with_standing(solve(job))


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
    found = (*_screws(layout), *_rests(layout), *_zero_check(layout), *_plate(layout))
    holding = (*_plug(layout),) if layout.cuts_body else ()
    return (*found, *holding, *(() if layout.has_tongue else _heel_stop(layout)))


def _room(name: str, room: float, least: float, what: str, keys: str) -> Check:
    return at_least(name, room, least, least, f"{what}: {mm(room)}, at least {mm(least)}; change {keys}")


def _screws(layout: Layout) -> Iterator[Check]:
    """Every screw stands in enough material; those into rails, board and angle rest bite and do not come through."""
    for row in fixings(layout):
        wall = (_edge(layout, row) - row.fastener.pilot) / 2.0
        key = f"jig.{_stock_of(row)}_stock"
        yield _room(f"{row.id} edge", wall, _EDGE_WALL, f"material beside the screws {row.purpose}", key)
        if row.id in _TAKEN:
            least = _BITE_TAPPED if row.fastener.tapped else _BITE
            keys = _helping(layout, row)
            yield _room(f"{row.id} bite", row.bite, least, f"the screws {row.purpose} bite", keys)
            left = _taken(layout, row) - row.bite
            yield _room(f"{row.id} point", left, _SHORT, f"left behind the points of the screws {row.purpose}", keys)


def _helping(layout: Layout, row: Fixing) -> str:
    """The keys that help a row; the rails of a jig that cuts nothing in the body have a height of their own."""
    keys = _TAKEN[row.id]
    return keys if layout.cuts_body else keys.removeprefix("joint.mortise_depth or ")


def _stock_of(row: Fixing) -> str:
    return {"bracket": "bracket", "board": "board"}.get(row.takes, "rest")


def _taken(layout: Layout, row: Fixing) -> float:
    """How far (mm) the material goes on behind the face that a row's screws enter."""
    if row.id == "plate-bracket":
        return layout.bracket.rail
    if row.id == "board-bracket":
        return min(bracket_run(layout, -head.z + row.fastener.diameter / 2.0) for head in row.heads)
    return layout.thick.board if row.id == "body-rest-board" else layout.cradle.angle_rest_drawn


def _edge(layout: Layout, row: Fixing) -> float:
    """Thickness (mm) of the sheet whose edge a row's screws enter; the board's face is wide enough for any."""
    if row.id == "body-rest-board":
        return layout.thick.rest
    stock = _stock_of(row)
    return {"bracket": layout.thick.bracket, "board": layout.thick.board, "rest": layout.thick.rest}[stock]


def _rests(layout: Layout) -> Iterator[Check]:
    if layout.cuts_body:
        yield from _body_rest(layout)
    yield _room(
        "rests between the brackets",
        layout.bracket.inner - layout.spec.rest_length / 2.0,
        1.0,
        "room beside the rests to the brackets",
        "jig.rest_length or instrument.heel_width",
    )
    if layout.rests.tooth_width is not None:
        key = "instrument.truss_rod_slot_depth"
        yield _room("teeth", tooth_height(layout), _LEAST_TOOTH, "height of the teeth", key)


def _body_rest(layout: Layout) -> Iterator[Check]:
    screw = layout.screws.own
    y = abs(body_rest_to_board(layout).heads[0].y)
    upper = layout.spec.rest_length / 2.0 - REST_SCREW_FROM_END
    beside = upper - screw.head_diameter / 2.0 - y - layout.screws.in_rest.clearance / 2.0
    words = "between the upper rest's screw heads and the body rest's screws"
    yield _room("upper and body rest screws", beside, 0.3, words, "jig.rest_length or joint.mortise_width")
    bore = layout.screws.in_rest.head_diameter + COUNTERBORE_PLAY
    walls = (layout.thick.rest - bore) / 2.0
    yield _room("body rest heads", walls, _HEAD_WALL, "body rest beside its screws' heads", "jig.rest_stock")


def _zero_check(layout: Layout) -> Iterator[Check]:
    stand = square_stand(designed_room(layout))
    words = f"room of the zero check's square, its rule {mm(stand.rule)} long, the plate on two blocks of {mm(BLOCKS)}"
    keys = "jig.rest_length, jig.rest_spacing or instrument.heel_blank_width"
    yield _room("zero check's square", stand.room, 0.0, words, keys)


def _plate(layout: Layout) -> Iterator[Check]:
    heads = sorted(abs(head.y) for head in plate_to_board(layout).heads)
    head = layout.screws.own.head_diameter
    rim = layout.plate_half_width - heads[-1] - head / 2.0
    yield _room("plate beside its screws", rim, _PLATE_RIM, "plate beside its outer screws' heads", "jig.margin_side")
    if layout.screws.tapped:
        apart = (heads[-1] - heads[0] - head - DOWEL) / 2.0
        yield _room("dowels", apart, 1.0, "between a dowel and the nearest screw's head", "instrument.heel_width")
    if layout.spec.tip_pin and not layout.spec.bridged and layout.has_tongue:
        wall = (layout.routing.tongue_width - tip_counterbore(layout)[0]) / 2.0
        words = "tongue beside the tip screw's head"
        yield _room("tip screw", wall, _TONGUE_WALL, words, "router.bushing_od, joint.mortise_width or jig.tip_pin")


def _plug(layout: Layout) -> Iterator[Check]:
    room = plug_length(layout) - CROSSPIECE - hang_from_end(layout) - layout.screws.own.clearance / 2.0
    yield _room("plug", room, 1.0, "plug between its screw and its crosspiece", "joint.mortise_length")
    keys = "joint.mortise_length or joint.bolts"
    yield _room("plug screw", hang_walls(layout), _PLUG_WALL, "plug round the screw that hangs the body", keys)


def _heel_stop(layout: Layout) -> Iterator[Check]:
    yield _room(
        "heel stop", stop_room(layout), 0.5, "window beside the heel stop", "joint.bolts or instrument.heel_blank"
    )
    hole, own = layout.solution.joint.bolts[0].pilot_hole, layout.screws.tip.diameter
    words = "the first bolt's hole over the heel stop's screw, which it must swallow"
    yield _room("heel stop's screw", hole - own, 0.0, words, "joint.bolts")
