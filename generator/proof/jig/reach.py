"""What eye, square and router must reach: start of the bit, the top off the board, the zero check, the depth's zero."""

from __future__ import annotations

from collections.abc import Iterator

from generator.checks.base import Check, at_least, mm
from generator.frame import Use
from generator.proof.dryfit import body_plane, down_the_face
from generator.proof.jig.pieces import Pieces
from generator.proof.virtual_cut import Sweep
from generator.proof.wanted import WantedCut

#: The bit's edge stands clear of the wood by this where the tenon's cut starts and stops, mm; (warn, fail).
START_CLEAR = (2.0, 1.0)
#: In the mortise the opening's walls hold the bushing while the bit comes down in front of the top: (warn, fail), mm.
PLUNGE_CLEAR = (1.0, 0.0)
#: Nothing but the body rest comes nearer to the top, mm: (warn, fail); how finely the top is looked at.
TOP_OFF, _DOWN, _ASIDE = (0.5, 0.25), 60, 6
#: Combination squares: length of the rule, length and thickness of the head (common practice, from memory).
SQUARES = ((150.0, 70.0, 16.0), (300.0, 100.0, 22.0), (400.0, 110.0, 24.0))
#: What a rule must stand out past the angle rest's working edge, mm, and its room beside tongue and window.
_PAST, _BESIDE = 3.0, 1.0
#: A barrel ends this far above the bench when the base lies on offcuts of the plate, mm.
_BARREL_OFF = 0.5


def start_checks(swept: Sweep, wanted: WantedCut, bit: float, use: Use) -> Check:
    """How far the bit's edge can stand from the wood, its centre at the opening's far (mortise: open) end."""
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
    board = pieces.parts["board"]
    deep, wide = -board.extent("z")[0], board.extent("y")[1]
    front = board.high - pieces.fence
    least = min(
        join + down_the_face(deep * i / _DOWN, wide * j / _ASIDE, solution.neck_set.top, face) - front
        for i in range(_DOWN + 1)
        for j in range(_ASIDE + 1)
    )
    return at_least("jig: top off the board", least, *TOP_OFF, f"the top comes within {mm(least)} of the board")


def square_check(pieces: Pieces) -> Check:
    """The zero check: plate's top on the table, a square beside the tongue, its rule past both rests' working edges."""
    solution, setting = pieces.kit.solution, pieces.setting
    plate, plane = pieces.parts["template_plate"], setting.neck_plane
    edge = setting.lower.top if plane.slope >= 0.0 else setting.lower.foot
    rule = plate.high + edge + _PAST
    routing = solution.routing
    along = routing.window_end - max(setting.upper.x, 0.0)
    across = routing.window_half_width - routing.tongue_width / 2.0 - 2.0 * _BESIDE
    # The rule stands over the middle of the head, and must meet both rests, which end there.
    reach = solution.job.jig.rest_length / 2.0 - routing.tongue_width / 2.0 - _BESIDE
    fits = [
        min(long - rule, along - head, across - thick, reach - thick / 2.0) for long, head, thick in SQUARES
    ]
    best = max(range(len(SQUARES)), key=lambda i: (fits[i] >= 0.0, -i if fits[i] >= 0.0 else fits[i]))
    long, head, thick = SQUARES[best]
    words = (
        f"the rule must stand {mm(rule)} over the table, with {mm(along)} by {mm(across)} for its head in the window; "
        f"a square with a {mm(long)} rule has a head {mm(head)} by {mm(thick)}"
    )
    return at_least("jig: zero check's square fits", fits[best], 0.0, 0.0, words)


def zero_checks(pieces: Pieces) -> Iterator[Check]:
    """The router on two offcuts of the plate: the bit reaches the bench, the barrel does not, and full depth is left."""
    router = pieces.kit.solution.job.router
    thick = pieces.parts["template_plate"].high
    left = router.reach - thick - pieces.setting.mortise_depth
    words = f"zeroed on the bench {mm(thick)} down, the bit reaches {mm(left)} further than the cut is deep"
    yield at_least("jig: zero reaches the bench", left, 0.0, 0.0, words)
    off = thick - router.bushing_length
    words = f"between the offcuts the bushing's barrel ends {mm(off)} over the bench"
    yield at_least("jig: bushing off the bench", off, _BARREL_OFF, 0.0, words)
