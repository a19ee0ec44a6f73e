"""The cut list: parts for hands that are plain rectangles, in numbers instead of templates, and where their holes go."""

from __future__ import annotations

from collections.abc import Sequence

from generator.drawing.callout import Notation, hole_text, length_text
from generator.drawing.compose import Block, captioned, compose_sheet
from generator.drawing.sheet import Item, Sheet
from generator.drawing.style import Role
from generator.drawing.tables import Table
from generator.drawing.view import part_view
from generator.geometry2d import Transform
from generator.making import listed_parts
from generator.model.job import Job
from generator.parts.base import Hole, Jig, Part
from generator.sheets.rooms import Rooms
from generator.sheets.words import Speller, caliper_speller, sheet_words, words
from generator.solution import Solution

#: Height of a part's small picture, mm on the paper.
_PICTURE = 34.0
#: A hole this near (mm) to an edge that it goes into lies on it.
_ON_EDGE = 1e-6


def cut_list(solution: Solution, jig: Jig, rooms: Rooms) -> tuple[Sheet, ...]:
    """The sheet `cut_list`; none where no part is listed."""
    job, spell, width = solution.job, caliper_speller(solution.job), rooms.upright.width
    parts = listed_parts(jig.parts, job)
    if not parts:
        return ()
    said = sheet_words("cut_list")
    drilled = [part for part in parts if part.holes or part.edge_holes]
    blocks = [_table(_list_table(parts, job, spell), width)]
    blocks += [_picture(part) for part in drilled]
    blocks += [_table(_hole_table(part, spell.notation), width) for part in drilled]
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
    scale = _PICTURE / max(part.box.height, part.box.width / 2.0)
    items: list[Item] = part_view(part, Transform.scale(scale), Role.EDGE, lettering=False)
    return captioned(Block(tuple(items), (), scale), words("front_face", title=part.title))


def _hole_table(part: Part, notation: Notation) -> Table:
    """Every hole from the left and the upper edge of the front face, those of one kind together."""
    box = part.box
    rows = [
        (
            length_text(hole.at.x - box.x0, notation),
            length_text(box.y1 - hole.at.y, notation),
            hole_text(hole, notation),
            hole.why,
        )
        for hole in sorted(part.holes, key=_by_kind)
    ]
    rows += [
        (
            length_text(hole.at.x - box.x0, notation),
            length_text(box.y1 - hole.at.y, notation),
            words("edge_hole", hole=hole_text(hole.drilled, notation)),
            f"{hole.why}; {length_text(hole.z, notation)} from the back face",
        )
        for hole in sorted(part.edge_holes, key=lambda hole: (hole.id, hole.at.x))
    ]
    heading = ("From the left", "From above", "Drill", "For")
    return Table(f"Holes of the {part.title.lower()}, front face seen", heading, tuple(rows))


def _by_kind(hole: Hole) -> tuple[str, float, float]:
    return hole.id, -hole.at.y, hole.at.x
