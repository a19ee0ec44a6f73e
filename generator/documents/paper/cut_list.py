"""The cut list: parts for hands that are plain rectangles, in numbers instead of templates, and their holes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.base.geometry2d import P2, Box, Transform
from generator.cutting.making import listed_parts
from generator.documents.hole_callout import hole_text
from generator.documents.paper.rooms import Rooms
from generator.documents.paper.words import Speller, caliper_speller, sheet_words, words
from generator.documents.part_view import part_view
from generator.drawing.callout import Notation, length_text
from generator.drawing.compose import NOTE_TEXT, Block, compose_sheet
from generator.drawing.font import ascent
from generator.drawing.sheet import Item, Label, Sheet, union_box
from generator.drawing.style import Role
from generator.drawing.tables import Table
from generator.jig.part import EdgeHole, Hole, Jig, Part
from generator.job.model.job import Job
from generator.joint.solution import Solution

#: A part's small picture is at most so high and so wide, mm on the paper.
_HIGH, _WIDE = 26.0, 40.0
#: Stands for a drilling that is the row's above.
_SAME = "the same"
#: Holes on one level that share a row: the left one and the right one.
_A_ROW = 2


def cut_list(solution: Solution, jig: Jig, rooms: Rooms) -> tuple[Sheet, ...]:
    """The sheet `cut_list`; none where no part is listed."""
    job, spell, width = solution.job, caliper_speller(solution.job), rooms.upright.width
    parts = listed_parts(jig.parts, job)
    if not parts:
        return ()
    said = sheet_words("cut_list")
    drilled = [part for part in parts if part.holes or part.edge_holes]
    blocks = [_table(_list_table(parts, job, spell), width)]
    blocks += [_picture(part) for part in drilled if len(part.holes) + len(part.edge_holes) > _A_ROW]
    blocks += [_table(_hole_table(drilled, spell.notation), width)] if drilled else []
    return (
        compose_sheet("cut_list", said.title, said.instruction, job.name, blocks, said.notes, spell.notation, width),
    )


def _table(table: Table, width: float) -> Block:
    items, _ = table.items(0.0, 0.0, width)
    return Block(tuple(items), ())


def _list_table(parts: Sequence[Part], job: Job, spell: Speller) -> Table:
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


def _picture(part: Part) -> Block:
    """The part small, its front face seen, so that left and upper edge are told apart."""
    scale = min(_HIGH / part.box.height, _WIDE / part.box.width)
    items: list[Item] = part_view(part, Transform.scale(scale), Role.EDGE, lettering=False)
    box, name = union_box(items), words("front_face", title=part.title)
    below = P2(box.x0, box.y0 - 2.0 - ascent(NOTE_TEXT))
    return Block((*items, Label(name, below, NOTE_TEXT, Role.NOTE)), (), scale)


def _hole_table(parts: Sequence[Part], notation: Notation) -> Table:
    """Every hole from the left and the upper edge of the front face, those of one kind under each other."""
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
    return Table("Holes, from the left and the upper edge", ("Part", "From the left", "Down", "Drill"), tuple(rows))


def _drillings(part: Part, notation: Notation) -> Iterator[tuple[P2, str]]:
    """Where each hole is, and how it is drilled and what for."""
    for hole in sorted(part.holes, key=_by_kind):
        yield hole.at, f"{hole_text(hole, notation)}: {hole.why}"
    for edge in sorted(part.edge_holes, key=_by_kind):
        drill = words("edge_hole", hole=hole_text(edge.drilled, notation))
        yield edge.at, f"{drill}, {length_text(edge.z, notation)} from the back face: {edge.why}"


def _by_kind(hole: Hole | EdgeHole) -> tuple[str, float, float]:
    return hole.id, -hole.at.y, hole.at.x


def _place(at: P2, box: Box, notation: Notation) -> tuple[str, str]:
    return length_text(at.x - box.x0, notation), length_text(box.y1 - at.y, notation)
