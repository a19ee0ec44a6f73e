"""The paper template of a neck reset: the taper on both sides of the heel, at full scale.

Sheet coordinates of each block: x along the neck, y up the shoulder from the join. The paper's edge at x = 0 is laid
on the shoulder's edge; the line inside it is where the shoulder must come to lie.
"""

from __future__ import annotations

from generator.base.annotation import Anchor, Side
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Transform
from generator.base.shapes2d import polygon, rectangle
from generator.documents.paper.sides import side_name
from generator.documents.paper.strokes import area, arrow, run, stroke
from generator.documents.paper.words import CalloutFormat, caliper_format, sheet_words
from generator.drawing.compose import NOTE_TEXT, Block, compose_sheet, view_block
from generator.drawing.dimension import View
from generator.drawing.sheet import Item, Label, Level, Sheet
from generator.drawing.style import Role
from generator.jig import dims
from generator.joint.reset import Reset, TaperStation
from generator.joint.solution import Solution

#: Name of the sheet, and of its words' template.
NAME = "reset_taper"
#: Width of the paper on the heel's side, mm.
_PAPER = 62.0
#: A tick at each station of the taper, mm.
_TICK = 8.0
#: A taper thinner than this is nothing to file, mm.
_NOTHING = 0.005
#: Stations at the very ends are named this far inside them, mm.
_INSIDE = 3.0


def reset_sheet(solution: Solution, found: Reset) -> Sheet:
    """The sheet `reset_taper`. LayoutError when nothing is to come off."""
    if found.shoulder.most < _NOTHING:
        raise LayoutError("reset template: the gap is as wanted, nothing is to come off the shoulder")
    job, spell = solution.job, caliper_format(solution.job)
    raising = found.shoulder.back_end > 0.0
    words = sheet_words(
        NAME,
        handed=job.instrument.handed.value,
        most=spell.length(found.shoulder.most),
        raising=raising,
        change=spell.angle(abs(found.angle_change)),
        saddle=spell.length(found.saddle_left),
        shorter=spell.length(-found.string_length_change) if found.string_length_change < -_NOTHING else "",
        wedge=spell.size(found.extension_wedge) if found.extension_wedge > _NOTHING else "",
    )
    blocks = [_side(solution, found, sign, spell) for sign in (-1.0, 1.0)]
    return compose_sheet(NAME, words.title, words.instruction, job.name, blocks, words.notes, spell.notation)


def _side(solution: Solution, found: Reset, y_sign: float, spell: CalloutFormat) -> Block:
    """One side of the heel, seen from outside; the body's −Y side shows the neck on the left of its shoulder."""
    high = solution.joint.heel_length
    out = -1.0 if y_sign < 0.0 else 1.0
    name = side_name(y_sign, solution.job.instrument.handed)
    paper = rectangle(min(0.0, out * _PAPER), -high, max(0.0, out * _PAPER), 0.0)
    join, back = P2(out * found.shoulder.join, 0.0), P2(out * found.shoulder.back_end, -high)
    wedge = [P2(0.0, 0.0), P2(0.0, -high), *(p for p in (back, join) if abs(p.x) > 1e-9)]
    ink: list[Item] = [
        area(wedge if polygon(wedge).signed_area > 0 else wedge[::-1], 0.8),
        stroke(paper, Role.CUT),
        run([join, back], Role.VISIBLE),
        *(item for station in found.taper for item in _station(station, high, out, spell)),
        *arrow("top", P2(out * 50.0, -4.0), P2(0.0, 1.0), NOTE_TEXT),
        *arrow("nut", P2(out * 58.0, -high * 0.62), P2(out, 0.0), NOTE_TEXT),
        Label(name, P2(out * 46.0, -high * 0.87), NOTE_TEXT, Role.NOTE, anchor=Anchor.MIDDLE, level=Level.MIDDLE),
    ]
    side = Side.LEFT if out < 0.0 else Side.RIGHT
    length = dims.along("heel_length", P2(out * _PAPER, -high), P2(out * _PAPER, 0.0), high, side)
    return view_block(ink, View(Transform(), paper.box()), [spell.show(length)])


def _station(station: TaperStation, high: float, out: float, spell: CalloutFormat) -> list[Item]:
    """A tick from the taper's line into the paper, and how much comes off there."""
    y = -station.from_join
    start = out * (station.remove + 0.6)
    level = min(max(y, -high + _INSIDE), -_INSIDE)
    text = spell.callout(station.remove, "") if station.remove > _NOTHING else "nothing"
    anchor = Anchor.LEFT if out > 0.0 else Anchor.RIGHT
    return [
        *([run([P2(start, y), P2(out * _TICK, y)], Role.DIMENSION)] if level == y else []),
        Label(text, P2(out * (_TICK + 1.5), level), NOTE_TEXT, Role.NOTE, anchor=anchor, level=Level.MIDDLE),
    ]
