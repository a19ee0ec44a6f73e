"""The cut list: parts for hands that are plain rectangles, in numbers instead of templates, and their holes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from generator.base.annotation import Anchor
from generator.base.points2d import P2, Box, Transform
from generator.cutting.making import listed_parts
from generator.documents.hole_callout import hole_text
from generator.documents.paper.rooms import Rooms, first_on_a_page
from generator.documents.paper.words import CalloutFormat, caliper_format, sheet_words, words
from generator.documents.part_view import part_view
from generator.drawing.callout import Notation, length_text
from generator.drawing.compose import NOTE_TEXT, Block, compose_sheet, table_block
from generator.drawing.font import ascent, text_width, wrapped
from generator.drawing.sheet import Item, Label, Sheet, union_box
from generator.drawing.style import Role
from generator.drawing.tables import Table
from generator.jig.part import EdgeHole, Hole, Jig, Part
from generator.jig.rests import ANGLE_REST
from generator.job.model.job import PartsJob
from generator.joint.solution import Solution

#: A part's picture is at most so high and wide, mm on the paper: the first that leaves the list on one page.
_SIZES = (62.0, 46.0, 30.0, 24.0)
#: Distance of words from the picture they stand beside, mm.
_ASIDE = 6.0
#: Distance from line to line of words beside a picture, mm.
_LINE = 4.25
#: Words over a picture's edge: their distance from it, mm.
_OFF = 1.5
#: Stands for a drilling that is the row's above.
_SAME = "the same"
#: Holes on one level that share a row: the left one and the right one.
_A_ROW = 2


def cut_list(solution: Solution, jig: Jig, rooms: Rooms) -> tuple[Sheet, ...]:
    """The sheet `cut_list`; none where no part is listed. Its pictures are as large as leave it on one page."""
    parts = listed_parts(jig.parts, solution.job)
    if not parts:
        return ()
    body = solution.joint.body_outline is not None
    return (first_on_a_page(rooms, partial(_composed, parts, solution.job, rooms.table_width, body=body), _SIZES),)


def _composed(parts: Sequence[Part], job: PartsJob, width: float, size: float, *, body: bool) -> Sheet:
    """The list with pictures at most `size` mm high and wide; `body`: one comes to the jig."""
    spell, said = (
        caliper_format(job),
        sheet_words("cut_list", angle_rest=any(part.name == ANGLE_REST.name for part in parts)),
    )
    drilled = [part for part in parts if part.holes or part.edge_holes]
    blocks = [table_block(_list_table(parts, job, spell), width)]
    shown = [part for part in drilled if len(part.holes) + len(part.edge_holes) > _A_ROW]
    blocks += [_picture(part, size, width, spell.notation, body=body) for part in shown]
    blocks += [table_block(_hole_table(drilled, spell.notation), width)] if drilled else []
    return compose_sheet("cut_list", said.title, said.instruction, job.name, blocks, said.notes, spell.notation, width)


def _list_table(parts: Sequence[Part], job: PartsJob, spell: CalloutFormat) -> Table:
    rows = tuple(
        (
            part.title,
            str(part.quantity),
            length_text(max(part.size[:2]), spell.notation),
            length_text(min(part.size[:2]), spell.notation),
            length_text(part.thickness, spell.notation),
            job.stocks[part.stock].material,
        )
        for part in parts
    )
    return Table("Cut list", ("Part", "Make", "Long", "Wide", "Thick", "Of"), rows)


def _edge_words(box: Box, across: str, down: str) -> Iterator[Label]:
    """Names and lengths of a picture's upper and left edge; words longer than their edge keep off the other's."""
    upper, left = f"upper edge {across}", f"left edge {down}"
    if text_width(upper, NOTE_TEXT) <= box.width:
        yield Label(upper, P2(box.center.x, box.y1 + _OFF), NOTE_TEXT, Role.NOTE, anchor=Anchor.MIDDLE)
    else:
        yield Label(upper, P2(box.x0, box.y1 + _OFF), NOTE_TEXT, Role.NOTE)
    lines = (left,) if text_width(left, NOTE_TEXT) <= box.height else (down, "left edge")
    for n, text in enumerate(lines):
        yield Label(text, P2(box.x0 - _OFF - _LINE * n, box.center.y), NOTE_TEXT, Role.NOTE, 90.0, Anchor.MIDDLE)


def _picture(part: Part, size: float, width: float, notation: Notation, *, body: bool) -> Block:
    """The part small, the face seen that it is drilled from, its left and upper edge named with their lengths.

    Beside it stands what it shows. A list of long and wide pieces does not say which of the two an edge is.
    """
    scale = min(size / part.box.height, size / part.box.width)
    items: list[Item] = part_view(part, Transform.scale(scale), Role.EDGE, lettering=False)
    box = union_box(items)
    items += _edge_words(box, *(length_text(length, notation) for length in (part.box.width, part.box.height)))
    left, top = box.x1 + _ASIDE, box.y1 - ascent(NOTE_TEXT)
    lines = wrapped(
        words("front_face", name=part.name, title=part.title, body=body), NOTE_TEXT, width - box.width - 3.0 * _ASIDE
    )
    said = [Label(text, P2(left, top - _LINE * n), NOTE_TEXT, Role.NOTE) for n, text in enumerate(lines)]
    return Block((*items, *said), (), scale)


def _hole_table(parts: Sequence[Part], notation: Notation) -> Table:
    """Every hole from the left and the upper edge of the face shown, those of one kind under each other."""
    rows: list[tuple[str, str, str, str]] = []
    for part in parts:
        level: dict[tuple[str, str], list[str]] = {}
        for at, drill in _drillings(part, notation):
            left, down = _place(at, part.box, notation)
            level.setdefault((drill, down), []).append(left)
        before = ""
        for (drill, down), lefts in level.items():
            name = "" if before else part.title
            for n in range(0, len(lefts), _A_ROW):
                said = drill if drill != before else _SAME
                rows.append((name, ", ".join(lefts[n : n + _A_ROW]), down, said))
                name, before = "", drill
    return Table(
        "Holes, from the left and the upper edge of the face shown",
        ("Part", "From the left", "Down", "Drill"),
        tuple(rows),
    )


def _drillings(part: Part, notation: Notation) -> Iterator[tuple[P2, str]]:
    """Where each hole is, and how it is drilled and what for."""
    for hole in sorted(part.holes, key=_by_kind):
        yield hole.at, f"{hole_text(hole, notation)}: {_other(part, hole.why)}"
    for edge in sorted(part.edge_holes, key=_by_kind):
        drill = words("edge_hole", hole=hole_text(edge.drilled, notation))
        yield (
            edge.at,
            f"{drill}, {length_text(part.thickness - edge.z, notation)} from the face shown: {_other(part, edge.why)}",
        )


def _other(part: Part, why: str) -> str:
    """Which part a screw of "one to the other" joins to `part`, whose row says itself; any other reason as it is."""
    ends = why.split(" to ")
    others = [end for end in ends if end != part.title.lower()]
    return others[0] if len(ends) == 2 and len(others) == 1 else why


def _by_kind(hole: Hole | EdgeHole) -> tuple[str, float, float]:
    return hole.id, -hole.at.y, hole.at.x


def _place(at: P2, box: Box, notation: Notation) -> tuple[str, str]:
    return length_text(at.x - box.x0, notation), length_text(box.y1 - at.y, notation)
