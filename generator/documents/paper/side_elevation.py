"""The side elevation of the set at half or full size: as built on the bench, and with strings on.

Drawn from a little before the join (or the 12th fret) to beyond the bridge; what is left out is said on the sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from generator.base.annotation import Anchor, Dimension, DimKind, Side
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box, Transform
from generator.documents.paper.elevation import SAME_HEIGHT, Elevation
from generator.documents.paper.rooms import Rooms, on_a_page
from generator.documents.paper.sides import side_name
from generator.documents.paper.strokes import arrow, break_line, run
from generator.documents.paper.words import CalloutFormat, caliper_format, sheet_words, words
from generator.drawing.compose import NOTE_TEXT, Block, compose_sheet, view_block
from generator.drawing.dimension import Note, Request, View
from generator.drawing.font import ascent, wrapped
from generator.drawing.sheet import Item, Label, Sheet
from generator.drawing.style import Role
from generator.drawing.titleblock import scale_text
from generator.jig import dims
from generator.job.model.instrument import MeasuredTop
from generator.joint.solution import Solution

#: A vertical dimension needs this much room between its points to be more than a dot, mm.
_LEAST_SHOWN = 0.05
#: Under the fretboard's end this much is neither wedge nor relief, mm.
_FLUSH = 0.1
#: A set angle below this is none, degrees.
_LEAST_ANGLE = 0.005
#: The back is drawn this far from the end face, mm.
_BACK_RUN = 70.0
#: Heel end and cap are drawn this far from the shoulder, mm.
_CAP_RUN = 24.0
#: Thickness of neck under the neck plane, indicated only, mm.
_NECK_THICK = 15.0
#: Capital height of the frets' numbers, mm on the paper.
_FRET_NAME = 2.5
#: Room that the dimensions of a view take on either side of it, mm on the paper.
_BESIDE = 17.0
#: Room that the dimensions of a view take under it, mm on the paper.
_UNDER = 16.0
#: Room that the dimensions of the view without strings take over it, mm on the paper.
_OVER = 16.0
#: Room that the dimensions of the view with strings on take over it, mm on the paper.
_OVER_STRUNG = 12.0
#: The notes stand off the neck block by this, mm on the paper.
_OFF_BLOCK = 8.0
#: The notes stand off the saddle by this, mm on the paper.
_OFF_SADDLE = 12.0
#: The notes stand under the top by this, mm on the paper.
_UNDER_TOP = 13.0
#: The notes' lines are this far apart, mm on the paper.
_PITCH = 3.8
#: Scale of the elevation where it is not drawn at full size (ISO 5455).
HALF = 0.5
#: Gap between the two views, mm on the paper.
_BETWEEN_VIEWS = 4.0
#: The rim plane's line ends this far before the saddle, so that the gap's figure has room under the top, mm.
_RIM_PLANE_SHORT = 30.0


@dataclass(frozen=True)
class _On:
    """What the views are drawn on: their scale, and how wide a page lying sideways is, mm."""

    scale: float
    width: float


def side_elevation(solution: Solution, rooms: Rooms) -> Sheet:
    """The sheet `side_elevation`: every height of the set, at half size on one page.

    At full size, where the job asks for it, the work itself can be laid on it and compared.
    """
    job, spell, neck_set = solution.job, caliper_format(solution.job), solution.neck_set
    instrument, target = job.instrument, job.target
    bench = Elevation(instrument, neck_set)
    strung = Elevation(instrument, neck_set, instrument.string_pull_up)
    full = job.output.full_size
    scale = 1.0 if full else HALF
    said = sheet_words(
        "side_elevation",
        full_size=full,
        ratio=scale_text(scale),
        handed=instrument.handed.value,
        seen_from=side_name(-1.0, instrument.handed),
        start=spell.length(-bench.start),
        nut=spell.length(neck_set.nut_to_join),
        scale=spell.length(neck_set.scale_length),
        set_angle=spell.angle(abs(neck_set.set_angle)) if abs(neck_set.set_angle) > _LEAST_ANGLE else "",
        forward=neck_set.set_angle < 0.0,
        heel_angle=spell.angle(neck_set.heel_angle),
        gap=spell.size(neck_set.saddle_gap),
        gap_below=neck_set.saddle_gap < 0.0,
        rise=spell.size(neck_set.top_rise_at_saddle) if abs(neck_set.top_rise_at_saddle) > SAME_HEIGHT else "",
        rises=neck_set.top_rise_at_saddle > 0.0,
        pull_up=spell.length(instrument.string_pull_up) if instrument.string_pull_up else "",
        action=spell.length(neck_set.action),
        bass=spell.length(target.action_bass) if target.action_bass is not None else "",
        treble=spell.length(target.action_treble) if target.action_treble is not None else "",
        relief=spell.length(neck_set.relief_at_12th) if neck_set.relief_at_12th else "",
        last_fret=instrument.frets,
        extension=spell.size(neck_set.extension_gap),
        measured=isinstance(instrument.top, MeasuredTop),
        wedge=neck_set.extension_gap > _FLUSH,
        relieved=neck_set.extension_gap < -_FLUSH,
        flush=spell.length(_FLUSH),
        deepest=spell.size(bench.deepest) if bench.deepest < min(0.0, neck_set.extension_gap) - 2.0 * _FLUSH else "",
    )
    on = _On(scale, rooms.sideways.width)
    upper, notes = _bench_block(solution, bench, spell, on, said.notes)
    views = _stacked(upper, _strung_block(strung, spell, on))

    def compose(width: float) -> Sheet:
        words = said.title, said.instruction, job.name
        return compose_sheet("side_elevation", *words, [views], notes, spell.notation, width)

    return on_a_page(rooms, compose)


def _stacked(upper: Block, lower: Block) -> Block:
    """Both views as one block, station under station."""
    down = Transform.move(0.0, upper.box.y0 - _BETWEEN_VIEWS - lower.box.y1)
    return Block(
        (*upper.items, *(item.transformed(down) for item in lower.items)),
        (*upper.marks, *(mark.transformed(down) for mark in lower.marks)),
        upper.scale,
    )


def _scaled(
    items: Sequence[Item], signs: Sequence[Item], box: Box, requests: Sequence[Request], on: _On, over: float
) -> Block:
    """A view drawn in the instrument's millimetres, at the scale of `on`; `signs` are on the paper already.

    Its dimensions keep near it where they can, within the page's width and at most `over` mm over it, so that both
    views stand on one page.
    """
    scale = on.scale
    to_sheet = Transform.scale(scale)
    drawn = [*(item.transformed(to_sheet) for item in items), *signs]
    view = View(to_sheet, Box(*(value * scale for value in box)))
    room = (on.width - view.box.width) / 2.0
    beside = min(_BESIDE, room) if room > 0.0 else _BESIDE
    near = Box(view.box.x0 - beside, view.box.y0 - _UNDER, view.box.x1 + beside, view.box.y1 + over)
    try:
        return view_block(drawn, view, requests, frame=near)
    except LayoutError:
        return view_block(drawn, view, requests)


def _set_in(notes: Sequence[str], room: Box) -> tuple[list[Item], list[str]]:
    """As many of `notes`, from the first, as fit into `room` under each other; and the others."""
    words: list[Item] = []
    top = room.y1
    for n, note in enumerate(notes):
        lines = wrapped(note if note.endswith(".") else f"{note}.", NOTE_TEXT, room.width) if room.width > 0.0 else ()
        if not lines or top - len(lines) * _PITCH < room.y0:
            return words, list(notes[n:])
        for text in lines:
            words.append(Label(text, P2(room.x0, top - ascent(NOTE_TEXT)), NOTE_TEXT, Role.NOTE))
            top -= _PITCH
    return words, []


def _bench_block(
    solution: Solution, set_: Elevation, spell: CalloutFormat, on: _On, notes: Sequence[str]
) -> tuple[Block, list[str]]:
    """Neck, heel, joint and body as built, fretboard on, no strings; the bridge stands in thin lines.

    `notes` stand under the top, behind the neck block, where nothing else wants the room; those that do not fit there
    come back.
    """
    body = BodyEnd(solution, set_)
    over = set_.saddle + 24.0
    items: list[Item] = [
        *set_.board_ink(),
        *set_.top_ink(),
        *set_.bridge_ink(Role.PHANTOM),
        set_.level(lambda _: 0.0, 0.0, set_.saddle - _RIM_PLANE_SHORT, Role.CENTRE),
        set_.level(set_.plane, set_.board_end, over, Role.PHANTOM),
        set_.level(set_.frets, set_.fret(set_.instrument.frets), over, Role.PHANTOM),
        *body.ink(),
        *_fret_names(set_, set_.frets),
    ]
    box = Box(set_.start, body.lowest, set_.end, set_.frets(over))
    requests: list[Request] = [
        *(spell.show(dimension) for dimension in [*_bench_dimensions(set_), *body.dimensions()]),
        Note(
            _plane_name(set_, spell),
            P2(set_.saddle - 60.0, set_.plane(set_.saddle - 60.0)),
        ),
        Note("straightedge on the frets", P2(set_.saddle - 80.0, set_.frets(set_.saddle - 80.0))),
        Note("top", P2(set_.saddle - 40.0, set_.top(set_.saddle - 40.0))),
        Note("rim plane", P2(set_.saddle - 90.0, 0.0)),
        *_extension(set_, spell),
        *body.notes(),
    ]
    scale = on.scale
    left = scale * solution.job.instrument.neck_block_thickness + _OFF_BLOCK
    room = Box(left, scale * body.lowest, scale * set_.saddle - _OFF_SADDLE, -_UNDER_TOP)
    words, over_left = _set_in(notes, room)
    return _scaled(items, words, box, requests, on, _OVER), over_left


def _strung_block(set_: Elevation, spell: CalloutFormat, on: _On) -> Block:
    """Fretboard, bridge, saddle and string with strings on."""
    scale = on.scale
    over = set_.saddle + 24.0
    face = math.radians(set_.neck_set.end_face_tilt)
    items: list[Item] = [
        *set_.board_ink(),
        *set_.top_ink(),
        *set_.bridge_ink(Role.VISIBLE),
        set_.level(set_.frets, set_.fret(set_.instrument.frets), over, Role.PHANTOM),
        set_.level(set_.string, set_.start, set_.saddle, Role.EDGE),
        run([P2(0.0, 0.0), P2(8.0 * math.tan(face), -8.0)], Role.VISIBLE),
        *_fret_names(set_, set_.string),
    ]
    box = Box(set_.start, -8.0, set_.end, set_.string(set_.saddle))
    requests: list[Request] = [
        *_heights(set_, spell),
        Note("line over the frets", P2(set_.saddle - 70.0, set_.frets(set_.saddle - 70.0))),
    ]
    signs = [
        *arrow("towards the nut", P2(scale * set_.start - 8.0, -11.0), P2(-1.0, 0.0), NOTE_TEXT),
        *arrow("towards the saddle", P2(scale * set_.saddle * 0.7, -9.0), P2(1.0, 0.0), NOTE_TEXT),
    ]
    return _scaled(items, signs, box, requests, on, _OVER_STRUNG)


def _heights(set_: Elevation, spell: CalloutFormat) -> list[Note]:
    """The heights with strings on, by leaders: they are too small to stand between two arrows.

    The string over the straight line over the frets at the 12th fret and at the saddle, that line over the bridge,
    bridge and saddle.
    """
    s, twelve, neck_set = set_.saddle, set_.fret(12), set_.neck_set
    straight = neck_set.action - neck_set.relief_at_12th
    found = [
        Note(spell.callout(straight, "string over the 12th fret"), P2(twelve, set_.string(twelve))),
        Note(spell.callout(neck_set.string_over_frets_at_saddle, "string over that line"), P2(s, set_.string(s))),
        Note(
            spell.callout(abs(neck_set.bridge_clearance), _over_bridge(neck_set.bridge_clearance)),
            P2(s - 6.0, set_.frets(s - 6.0)),
        ),
        Note(spell.callout(set_.instrument.bridge_thickness, "bridge"), P2(s + 14.0, set_.bridge_top)),
    ]
    saddle = set_.instrument.saddle_projection
    if saddle > 0.0:
        found.append(Note(spell.callout(saddle, "saddle"), P2(s + 1.0, set_.bridge_top + 0.5)))
    return found


def _plane_name(set_: Elevation, spell: CalloutFormat) -> str:
    angle = set_.neck_set.set_angle
    return words("neck_plane", angle=spell.angle(abs(angle)) if abs(angle) > _LEAST_ANGLE else "", falls=angle < 0.0)


def _fret_names(set_: Elevation, over: object) -> list[Item]:
    """Numbers of the 12th fret, the fret at the join and the last one, over the line `over`."""
    assert callable(over)
    names = dict.fromkeys((12, set_.instrument.body_fret, set_.instrument.frets))
    return [
        Label(str(n), P2(set_.fret(n), over(set_.fret(n)) + 2.0), _FRET_NAME, Role.NOTE, anchor=Anchor.MIDDLE)
        for n in names
    ]


def _upright(name: str, x: float, low: float, high: float, value: float, note: str = "") -> list[Dimension]:
    """A vertical dimension at station `x`; none where the two heights fall together."""
    if abs(high - low) < _LEAST_SHOWN:
        return []
    return [dims.along(name, P2(x, low), P2(x, high), abs(value), Side.INSIDE, note=note)]


def _bench_dimensions(set_: Elevation) -> list[Dimension]:
    s, neck_set = set_.saddle, set_.neck_set
    last = neck_set.extension_length
    found = [
        dims.across("join_to_saddle", P2(0.0, 0.0), P2(s, set_.top(s)), s, Side.BELOW),
        dims.across("join_to_last_fret", P2(0.0, set_.plane(0.0)), P2(last, set_.frets(last)), last, Side.ABOVE),
        *_upright(
            "saddle_gap",
            s,
            set_.top(s),
            set_.plane(s),
            neck_set.saddle_gap,
            "gap" if neck_set.saddle_gap > 0.0 else "gap, below the top",
        ),
        *_upright(
            "clearance_before_stringing",
            s,
            set_.bridge_top,
            set_.frets(s),
            neck_set.clearance_before_stringing,
            _over_bridge(neck_set.clearance_before_stringing),
        ),
        *_upright("neck_rise", 0.0, 0.0, set_.plane(0.0), neck_set.neck_rise, "neck rise"),
        *_upright(
            "fretboard_thickness",
            set_.start + 6.0,
            set_.plane(set_.start + 6.0),
            set_.board(set_.start + 6.0),
            set_.instrument.fretboard_thickness,
            "fretboard",
        ),
    ]
    if set_.fret(12) < -SAME_HEIGHT:
        found.append(
            dims.across(
                "fret_12_to_join",
                P2(set_.fret(12), set_.frets(set_.fret(12))),
                P2(0.0, set_.plane(0.0)),
                -set_.fret(12),
                Side.ABOVE,
            )
        )
    return found


def _extension(set_: Elevation, spell: CalloutFormat) -> list[Note]:
    """What lies under the fretboard's end, by a leader: it is too small to stand between two arrows."""
    gap, last = set_.neck_set.extension_gap, set_.neck_set.extension_length
    if abs(gap) <= _FLUSH:
        return []
    words = "wedge under the fretboard's end" if gap > 0.0 else "undercut of the fretboard's end"
    return [Note(spell.callout(abs(gap), words), P2(last, (set_.top(last) + set_.plane(last)) / 2.0))]


def _over_bridge(clearance: float) -> str:
    return "clear" if clearance > 0.0 else "into bridge"


class BodyEnd:
    """The body's end face with neck block, the heel, and the joint between them, from the side."""

    def __init__(self, solution: Solution, set_: Elevation) -> None:
        self.joint, self.instrument, self.set_ = solution.joint, solution.job.instrument, set_
        tilt = math.radians(solution.neck_set.end_face_tilt)
        self.down, self.into = P2(math.sin(tilt), -math.cos(tilt)), P2(math.cos(tilt), math.sin(tilt))
        self.face = self.instrument.body_depth_at_neck / math.cos(tilt)
        self.heel_end = self.joint.heel_length
        self.cap_end = self.heel_end + self.instrument.heel_cap_thickness

    @property
    def lowest(self) -> float:
        return self.at(max(self.face, self.cap_end)).y

    def at(self, along: float, into: float = 0.0) -> P2:
        """The point `along` mm down the end face from the join and `into` mm square to it into the body."""
        return self.down.times(along).plus(self.into.times(into))

    def ink(self) -> list[Item]:
        at, joint = self.at, self.joint
        back = at(self.face)
        block = self.instrument.neck_block_thickness
        over = self.set_.neck_set.neck_rise_along_face
        items: list[Item] = [
            run([at(0.0), back], Role.VISIBLE),
            *([run([at(-over), at(0.0)], Role.VISIBLE)] if abs(over) > SAME_HEIGHT else []),
            run([back, back.plus(P2(_BACK_RUN, 0.0))], Role.VISIBLE),
            run([at(0.0, block), at(self.face, block)], Role.HIDDEN),
            *self._cuts(),
            *self._heel(),
        ]
        for bolt in joint.bolts:
            items.append(run([at(bolt.from_top, -6.0), at(bolt.from_top, block + 6.0)], Role.CENTRE))
        return items

    def _cuts(self) -> list[Item]:
        """What is cut in the body and what stands in it, where there is such a thing."""
        body, neck = self.joint.body_outline, self.joint.neck_outline
        in_body = [] if body is None else [self._cut(body.length, body.depth)]
        return [*in_body, self._cut(neck.length, self.joint.finished_projection)] if self.joint.stands else in_body

    def _cut(self, end: float, deep: float) -> Item:
        """What the joint cuts, from the side: `end` mm down the face, `deep` mm into the body."""
        return run([self.at(0.0, deep), self.at(end, deep), self.at(end)], Role.HIDDEN)

    def _heel(self) -> list[Item]:
        """Heel end and cap are true at the shoulder; heel curve and neck are indicated in thin lines."""
        at, set_ = self.at, self.set_
        under = set_.plane(set_.start) - _NECK_THICK
        foot = at(self.cap_end, -_CAP_RUN)
        bend = P2(foot.x - 14.0, under)
        items: list[Item] = [
            run([at(self.heel_end), at(self.heel_end, -_CAP_RUN)], Role.VISIBLE),
            run([foot, bend.plus(P2(4.0, -22.0)), bend.minus(P2(12.0, 0.0)), P2(set_.start, under)], Role.PHANTOM),
            break_line(P2(set_.start, under), P2(set_.start, set_.plane(set_.start))),
        ]
        if self.cap_end - self.heel_end > SAME_HEIGHT:
            items.append(run([at(self.heel_end), at(self.cap_end), foot], Role.EDGE))
        return items

    def dimensions(self) -> list[Dimension]:
        block = self.instrument.neck_block_thickness
        a, b = self.at(self.face), self.at(self.face, block)
        return [
            dims.along("body_depth_at_neck", a, P2(0.0, 0.0), self.instrument.body_depth_at_neck, Side.INSIDE),
            Dimension("neck_block_thickness", DimKind.ALIGNED, (a, b), block, Side.BELOW, note="neck block"),
        ]

    def notes(self) -> list[Note]:
        neck, body = self.joint.neck_outline, self.joint.body_outline
        joined = ("shoulder on the end face", self.at(0.8 * self.heel_end))
        if body is not None:
            joined = (f"{neck.name} in its {body.name}", self.at(neck.length * 0.8, self.joint.finished_projection))
        return [
            Note("heel: your own shape", P2(self.at(self.cap_end, -_CAP_RUN).x - 10.0, -40.0)),
            Note(*joined),
        ]
