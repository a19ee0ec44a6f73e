"""How the jig is held together: every screw and dowel with its place, its way in and its length, in the plate frame.

Each row of equal screws is said once, here; the holes in both parts, the hardware list, the assembly's solids and the
checks of hands are read off it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from generator.base.geometry3d import P3, X_AXIS, Z_AXIS, Placement
from generator.base.points2d import P2
from generator.jig.layout import Layout
from generator.jig.part import EdgeHole, Face, Hole
from generator.jig.screws import DRILL_PAST_THREAD, THREAD_PAST_SCREW, Fastener

#: |y| of the plate's inner screws into the board, mm.
_PLATE_INNER = 28.0
#: How far the plate's outer screws into the board lie outside the brackets' middle, mm: clear of the screws that cross
#: the board there into the brackets.
_PLATE_OUTER = 8.0
#: How far screws reach into the board's upper edge, mm.
_INTO_BOARD = 22.0
#: How far screws reach into a bracket's end, mm.
_INTO_BRACKET = 22.0
#: A screw's point stays this far from a screw that crosses below it, mm.
_POINT_OFF = 1.5
#: A screw ends this far before the far side of what it bites in, mm.
_SHORT_OF_FACE = 2.0
#: A rest's screws from its ends, mm.
REST_SCREW_FROM_END = 9.0
#: The body rest's screws stand at this share of the hollow.
_BODY_REST_SHARE = 0.45
#: Depth of the heads of the body rest's screws in the hollow, mm.
BODY_REST_HEAD = 8.0
#: Least material beside a head, mm.
_BESIDE_HEAD = 0.5
#: Play of a counterbore round its head, on diameter, mm.
COUNTERBORE_PLAY = 0.5
#: Distance of the first of the plate's screws into a bracket from the board, mm: less on a short bracket.
_BRACKET_FIRST = 32.0
#: Distance of the last of the plate's screws into a bracket from the rail's end, mm.
_BRACKET_LAST = 16.0
#: Depth below the plate of the board's first screw into a bracket, mm.
_FOOT_FIRST = 15.0
#: Height of the board's last screw into a bracket above the deep part's foot, mm.
_FOOT_LAST = 14.0
#: How far a bracket's deep part runs at its full depth before it tapers, as a share of its length along the plate.
BRACKET_FLAT = 0.4
#: Diameter of a machined jig's dowels, mm (common practice).
DOWEL = 5.0
#: Depth of the holes in the board for a machined jig's dowels, mm (common practice).
DOWEL_DEPTH = 12.0
#: A blind hole leaves this much of its part, mm.
BLIND = 1.0
#: Rounding error of lengths, mm: a drilling short of its run-out by less is deep enough.
_SLACK = 1e-9
#: Direction in which screws go through the plate: down, in the plate frame.
_DOWN = Z_AXIS.times(-1.0)


@dataclass(frozen=True)
class Fixing:
    """A row of equal screws. `heads` are points on the face that the screws go in by, `into` the direction.

    `through` mm pass the part under the heads (and what lies between), the rest bites in the part `takes`. Their length
    counts from `sunk` mm below that face: there lie conical heads flush, and there is the seat of others.
    """

    id: str
    purpose: str
    under: str
    takes: str
    heads: tuple[P3, ...]
    into: P3
    through: float
    length: float
    fastener: Fastener
    sunk: float = 0.0

    @property
    def bite(self) -> float:
        """How far a screw reaches into what takes it, mm."""
        return self.length - self.through + self.sunk

    def face_holes(self, placement: Placement, face: Face) -> tuple[Hole, ...]:
        """The screws' holes in the part under their heads, which lies square to them."""
        return tuple(
            Hole(
                self.id,
                _flat(placement.to_part(head)),
                self.fastener.clearance,
                face=face,
                countersink_diameter=self.fastener.cone,
                why=self.purpose,
            )
            for head in self.heads
        )

    def edge_holes(self, placement: Placement) -> tuple[EdgeHole, ...]:
        """The screws' holes in the edge of the part that takes them."""
        screw = self.fastener
        into = P2(self.into.dot(placement.x_axis), self.into.dot(placement.y_axis))
        thread = self.bite + THREAD_PAST_SCREW if screw.tapped else None
        depth = self.bite if thread is None else thread + DRILL_PAST_THREAD
        found = []
        for head in self.heads:
            at = placement.to_part(head.plus(self.into.times(self.through)))
            name = screw.name if screw.tapped else None
            found.append(EdgeHole(self.id, _flat(at), at.z, into, screw.pilot, depth, name, thread, why=self.purpose))
        return tuple(found)


def bitten_hole(screw: Fastener, id_: str, at: P2, bite: float, thickness: float, why: str) -> Hole:
    """The hole in a front face that takes the last `bite` mm of a screw, blind where a drill and tap have the room.

    A thread needs its run-out under it: where the part is too thin for that it is tapped right through.
    """
    if not screw.tapped:
        return Hole(id_, at, screw.pilot, min(bite, thickness - BLIND), why=why)
    thread = bite + THREAD_PAST_SCREW
    drill = min(thread + DRILL_PAST_THREAD, thickness - BLIND)
    if drill - thread < DRILL_PAST_THREAD - _SLACK:
        return Hole(id_, at, screw.pilot, thread=screw.name, why=why)
    return Hole(id_, at, screw.pilot, drill, thread=screw.name, thread_depth=thread, why=why)


def _flat(at: P3) -> P2:
    return P2(at.x, at.y)


def _mirrored(points: Iterable[P3]) -> tuple[P3, ...]:
    return tuple(side for point in points for side in (point, P3(point.x, -point.y, point.z)))


def plate_to_board(layout: Layout) -> Fixing:
    """Four screws through the plate into the board's upper edge."""
    top, screw = layout.thick.plate, layout.screws.own
    heads = (P3(0.0, y, top) for y in (_PLATE_INNER, layout.bracket.middle + _PLATE_OUTER))
    # In a shallow cut's jig the rests' screws cross the board not far below the hole's end.
    room = DRILL_PAST_THREAD + THREAD_PAST_SCREW if screw.tapped else 0.0
    above_rests = layout.rests.upper_level - screw.clearance / 2.0 - _POINT_OFF - room
    length = screw.longest_within(top + min(_INTO_BOARD, above_rests))
    return Fixing(
        "plate-board", "plate to board", "template_plate", "board", _mirrored(heads), _DOWN, top, length, screw
    )


def bracket_stations(layout: Layout) -> tuple[float, float, float]:
    """How far from the board's face the plate's screws into a bracket stand, mm."""
    last = layout.bracket.length - _BRACKET_LAST
    first = min(_BRACKET_FIRST, last / 2.0)
    return first, (first + last) / 2.0, last


def bracket_run(layout: Layout, depth: float) -> float:
    """How far a bracket's deep part goes on from the board at a depth below the plate, mm: it tapers to its foot."""
    foot, deep, rail = layout.spec.bracket_foot, layout.bracket.depth, layout.bracket.rail
    return foot * (BRACKET_FLAT + (1.0 - BRACKET_FLAT) * min(1.0, (deep - depth) / (deep - rail)))


def plate_to_brackets(layout: Layout) -> Fixing:
    """Three screws through the plate into each bracket's rail."""
    top, screw = layout.thick.plate, layout.screws.own
    heads = (P3(-layout.board.face - x, layout.bracket.middle, top) for x in bracket_stations(layout))
    room = DRILL_PAST_THREAD + THREAD_PAST_SCREW if screw.tapped else 0.0
    length = screw.longest_within(top + layout.bracket.rail - _SHORT_OF_FACE - room)
    return Fixing(
        "plate-bracket", "plate to brackets", "template_plate", "bracket", _mirrored(heads), _DOWN, top, length, screw
    )


def board_to_brackets(layout: Layout) -> Fixing:
    """Three screws through the board, from the body's side, into each bracket's end."""
    screw, last = layout.screws.own, layout.bracket.depth - _FOOT_LAST
    depths = (_FOOT_FIRST, (_FOOT_FIRST + last) / 2.0, last)
    heads = (P3(layout.board.face, layout.bracket.middle, -depth) for depth in depths)
    through = layout.thick.board
    room = DRILL_PAST_THREAD + THREAD_PAST_SCREW if screw.tapped else 0.0
    into = bracket_run(layout, last + screw.diameter / 2.0) - _SHORT_OF_FACE - room
    length = screw.longest_within(through + min(_INTO_BRACKET, into))
    return Fixing(
        "board-bracket",
        "board to brackets",
        "board",
        "bracket",
        _mirrored(heads),
        X_AXIS.times(-1.0),
        through,
        length,
        screw,
    )


def _rest_y(layout: Layout) -> float:
    return layout.spec.rest_length / 2.0 - REST_SCREW_FROM_END


def board_to_upper_rest(layout: Layout) -> Fixing:
    """Two screws through the board, from the body's side, into the upper rest; the body rest later hides the heads."""
    return _board_to_rest(
        layout, "board-upper-rest", "upper_rest", layout.rests.upper_level, layout.cradle.upper_rest, 0.0
    )


def board_to_angle_rest(layout: Layout) -> Fixing:
    """Two screws through the board, from the body's side, into the angle rest: the only ones undone between necks.

    The scrap joint's zero rest takes the same screws, so the narrower of the two limits their length.
    """
    cradle = layout.cradle
    return _board_to_rest(
        layout,
        "board-angle-rest",
        "angle_rest",
        layout.rests.angle_level,
        min(cradle.angle_rest_drawn, cradle.stand_off - cradle.nominal_shim),
        layout.rests.behind_angle,
    )


def _board_to_rest(layout: Layout, name: str, rest: str, level: float, width: float, behind: float) -> Fixing:
    screw, through = layout.screws.own, layout.thick.board + behind
    room = DRILL_PAST_THREAD + THREAD_PAST_SCREW if screw.tapped else 0.0
    return Fixing(
        name,
        f"board to {rest.replace('_', ' ')}",
        "board",
        rest,
        _mirrored([P3(layout.board.face, _rest_y(layout), -level)]),
        X_AXIS.times(-1.0),
        through,
        screw.longest_within(through + width - _SHORT_OF_FACE - room),
        screw,
    )


def _body_rest_y(layout: Layout) -> float:
    """|y| of the body rest's screws: in its hollow, clear of the upper rest's heads that they pass in the board."""
    screw = layout.screws.in_rest
    wished = _BODY_REST_SHARE * layout.cradle.rest_beside
    beside = _rest_y(layout) - (layout.screws.own.head_diameter + screw.clearance) / 2.0 - _BESIDE_HEAD
    return max(min(wished, beside), (screw.head_diameter + COUNTERBORE_PLAY) / 2.0 + _BESIDE_HEAD)


def body_rest_to_board(layout: Layout) -> Fixing:
    """Two screws from the body rest's hollow into the board, their heads deep in the rest."""
    screw, w = layout.screws.in_rest, layout.cradle.upper_rest - BODY_REST_HOLLOW
    y = _body_rest_y(layout)
    face = layout.board.face + w
    return Fixing(
        "body-rest-board",
        "body rest to board",
        "body_rest",
        "board",
        _mirrored([P3(face, y, -layout.rests.upper_level)]),
        X_AXIS.times(-1.0),
        w,
        screw.longest_within(w - BODY_REST_HEAD + layout.thick.board - _SHORT_OF_FACE),
        screw,
        BODY_REST_HEAD,
    )


#: How far the body rest's middle is set back, so that it bears beside the cut in the body only, mm.
BODY_REST_HOLLOW = 2.0


def dowel_places(layout: Layout) -> tuple[P3, ...]:
    """Where the two dowels of a machined jig stand, half-way between the plate's screws, on the plate's underside."""
    if not layout.screws.tapped:
        return ()
    heads = sorted(abs(head.y) for head in plate_to_board(layout).heads)
    return _mirrored([P3(0.0, (heads[0] + heads[-1]) / 2.0, 0.0)])


def fixings(layout: Layout) -> tuple[Fixing, ...]:
    """Every row of screws of the standing jig, in the order of assembly."""
    return (
        board_to_brackets(layout),
        plate_to_board(layout),
        plate_to_brackets(layout),
        board_to_upper_rest(layout),
        *((body_rest_to_board(layout),) if layout.cuts_body else ()),
        board_to_angle_rest(layout),
    )
