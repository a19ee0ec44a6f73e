"""What eye, square and router must reach: start of the bit, the top off the board, the zero check, the depth's zero."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Polygon
from shapely.affinity import affine_transform

from generator.base.units import mm
from generator.jig.board import BOARD
from generator.jig.heel_stop import HANG, HEEL_STOP
from generator.jig.template_plate import tip_counterbore
from generator.jig.zero_square import BLOCKS, beside, square_room, square_stand
from generator.joint.checks.base import Check, at_least
from generator.joint.stations import Use
from generator.proof.cut.dry_fit import body_plane, down_the_face
from generator.proof.cut.nominal_cut import NominalCut
from generator.proof.cut.virtual_cut import Sweep
from generator.proof.jig.measured_jig import nearest_holes
from generator.proof.jig.pieces import Pieces
from generator.proof.kit_files import PLATE

#: The bit's edge stands clear of the wood by this where the neck's cut starts and stops, mm; (warn, fail).
START_CLEAR = (2.0, 1.0)
#: In the body's cut the opening's walls hold the bushing while the bit comes down before the top: (warn, fail), mm.
PLUNGE_CLEAR = (1.0, 0.0)
#: (warn, fail) limits of the room between top and board, mm: nothing but the body rest comes nearer to the top.
TOP_OFF = (0.5, 0.25)
#: The top is looked at in so many steps down the board.
_DOWN = 60
#: The top is looked at in so many steps from the centreline to the board's edge.
_ASIDE = 6
#: Tongue round the tip screw's head, and wood between its thread and a bolt's hole: (warn, fail), mm.
TIP_ROOM = (0.8, 0.3)
#: A plug that stands out of its opening by less than this (mm²) touches it: arcs are broken up.
_HAIR = 0.05
#: A heel stop as thick as the plate within this ends flush with it, mm.
_FLUSH = 0.05
#: A barrel ends this far above the bench when the base lies on offcuts of the plate, mm.
_BARREL_OFF = 0.5


def start_checks(swept: Sweep, wanted: NominalCut, bit: float, use: Use) -> Check:
    """How far the bit's edge can stand from the wood, its centre at the opening's far (body: open) end."""
    x0, _, x1, _ = swept.bit_centres.bounds
    if use is Use.NECK:
        room = x1 - bit / 2.0 - wanted.far
        words = f"at START the bit's edge is {mm(room)} clear of the heel blank, its centre a radius more"
        return at_least("jig: bit clear at the start, neck", room, *START_CLEAR, words)
    room = wanted.edge - x0 - bit / 2.0
    words = f"the bit comes down {mm(room)} in front of the top, held by the opening's walls"
    return at_least("jig: bit clear at the start, body", room, *PLUNGE_CLEAR, words)


def top_check(pieces: Pieces) -> Check:
    """The room between the top and the board's face, over all the board; the body rest alone touches."""
    solution = pieces.kit.solution
    join, face = body_plane(pieces.setting, solution.neck_set.top, solution.neck_set.end_face_tilt)
    board = pieces.parts[BOARD.name]
    deep, wide = -board.extent("z")[0], board.extent("y")[1]
    front = board.high - pieces.fence
    least = min(
        join + down_the_face(deep * i / _DOWN, wide * j / _ASIDE, solution.neck_set.top, face) - front
        for i in range(_DOWN + 1)
        for j in range(_ASIDE + 1)
    )
    return at_least("jig: top off the board", least, *TOP_OFF, f"the top comes within {mm(least)} of the board")


def square_check(pieces: Pieces) -> Check:
    """The zero check's square, by what the parts measure (`jig.zero_square`)."""
    solution, setting, plane = pieces.kit.solution, pieces.setting, pieces.setting.neck_plane
    routing = solution.routing
    there = square_room(
        pieces.parts[PLATE].high,
        setting.lower.top if plane.slope >= 0.0 else setting.lower.foot,
        routing.window_half_width,
        beside(pieces.layout),
        solution.job.jig.rest_length,
    )
    stand = square_stand(there)
    there_is = "tongue" if pieces.layout.has_tongue else "teeth"
    words = (
        f"a square with a {mm(stand.rule)} rule beside the {there_is}, the plate on two blocks of {mm(BLOCKS)}: the "
        f"rule must stand {mm(there.rule)} over the plate's top, and has {mm(there.across)} in the window"
    )
    return at_least("jig: zero check's square fits", stand.room, 0.0, 0.0, words)


def tip_check(pieces: Pieces) -> Check:
    """The tip screw as the plate's file has it: inside the tongue's end, clear of the joint's bolts in the neck."""
    layout, fence = pieces.layout, pieces.fence
    (at,) = nearest_holes(pieces.kit, pieces.kit.jig, PLATE, ("tip-screw",))
    x, radius = -at.x - fence, layout.screws.tip.diameter / 2.0
    bolts = pieces.kit.solution.joint.bolts
    apart = min(abs(x - bolt.on_neck_end) - radius - bolt.widest_metal / 2.0 for bolt in bolts)
    wide = tip_counterbore(layout)[0] / 2.0
    wall = min(layout.routing.tongue_width / 2.0 - abs(at.y) - wide, layout.routing.tongue_length - x - wide)
    words = f"the tip screw's head has {mm(wall)} of tongue round it; its thread passes the nearest bolt by {mm(apart)}"
    return at_least("jig: tip screw", min(wall, apart), *TIP_ROOM, words)


def plug_check(opening: Polygon, plug: Polygon) -> Check:
    """The plug, its closed end in the opening's, drops in from above; `opening` lies in the body's jig frame.

    The plug's drawing has its closed end at y 0, open end at y > 0.
    """
    end = opening.bounds[2]
    laid = affine_transform(plug, [0.0, -1.0, 1.0, 0.0, end, 0.0])
    out = laid.difference(opening)
    room = float(laid.distance(opening.boundary)) if out.area < _HAIR else -float(out.area**0.5)
    sides = (float(opening.bounds[3] - opening.bounds[1]) - float(laid.bounds[3] - laid.bounds[1])) / 2.0
    words = f"the plug fits the opening with {mm(2.0 * sides)} play" if out.area < _HAIR else "the plug does not go in"
    return at_least("jig: plug goes in", min(sides, room) if out.area >= _HAIR else sides, 0.02, 0.0, words)


def stop_check(pieces: Pieces, window: Polygon, stop: Polygon) -> Check:
    """The heel stop in the `window`, which lies in the neck's jig frame: it drops in, and ends flush with the plate.

    Its drawing has x along the board and y away from it, its screw where the first bolt's hole will be.
    """
    solution = pieces.kit.solution
    at = solution.cradle.shoulder_x + solution.joint.bolts[0].from_neck_plane - HANG
    low = stop.bounds[1]
    laid = affine_transform(stop, [0.0, 1.0, 1.0, 0.0, at - low, 0.0])
    inside = laid.difference(window).area < _HAIR
    room = float(laid.distance(window.boundary)) if inside else -float(laid.difference(window).area ** 0.5)
    entries = pieces.kit.part_entries
    proud = float(entries[HEEL_STOP.name].thickness) - float(entries[PLATE].thickness)
    words = f"the heel stop drops into the window with {mm(room)} on either side" if inside else "it does not go in"
    if abs(proud) > _FLUSH:
        words = f"the heel stop ends {mm(abs(proud))} off the plate's underside"
    return at_least("jig: heel stop goes in", room if abs(proud) <= _FLUSH else -abs(proud), 0.1, 0.0, words)


def zero_checks(pieces: Pieces) -> Iterator[Check]:
    """The router on two offcuts of the plate: the bit reaches the bench with full depth left, the barrel does not."""
    router = pieces.kit.solution.job.router
    thick = pieces.parts[PLATE].high
    left = router.reach - thick - pieces.setting.body_cut_depth
    words = f"zeroed on the bench {mm(thick)} down, the bit reaches {mm(left)} further than the cut is deep"
    yield at_least("jig: zero reaches the bench", left, 0.0, 0.0, words)
    off = thick - router.bushing_length
    words = f"between the offcuts the bushing's barrel ends {mm(off)} over the bench"
    yield at_least("jig: bushing off the bench", off, _BARREL_OFF, 0.0, words)
