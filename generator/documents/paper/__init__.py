"""What is printed full-scale on paper: templates of the jig's parts and drawings of the instrument's joint."""

from __future__ import annotations

from collections.abc import Sequence

from generator.base.store import NO_STORE, Store
from generator.cutting.making import glued_by_hand, listed_parts, template_parts
from generator.documents.paper.body_end_face import body_end_face
from generator.documents.paper.cut_list import cut_list
from generator.documents.paper.heel import heel
from generator.documents.paper.part_sheets import part_sheets
from generator.documents.paper.plate_layers import plate_layers
from generator.documents.paper.rooms import page_rooms
from generator.documents.paper.side_elevation import side_elevation
from generator.drawing.sheet import Sheet
from generator.jig.part import Jig
from generator.jig.template_plate import TEMPLATE_PLATE
from generator.job.model.job import Paper
from generator.joint.solution import Solution

__all__ = ["paper_sheets", "sheet_names"]


def paper_sheets(
    solution: Solution, jig: Jig, papers: Sequence[Paper] = (), store: Store = NO_STORE
) -> tuple[Sheet, ...]:
    """All paper sheets of a job in reading order: the instrument first, then the jig's parts as they are made.

    Laid out for the smallest of `papers`, by default the job's own. Templates are at full scale; no two sheets share a
    name or a title. Raises LayoutError when one cannot be laid out. What the `store` keeps is not laid out again.
    """
    rooms = page_rooms(solution.job, papers or solution.job.output.paper)
    drawn = solution.unplaced
    instrument = (
        store.kept(side_elevation, drawn, rooms),
        store.kept(body_end_face, drawn, rooms),
        *store.kept(heel, drawn, rooms),
    )
    by_hand = (*plate_layers(drawn, jig, rooms), *cut_list(drawn, jig, rooms))
    return (*instrument, *part_sheets(drawn, jig, rooms, store), *by_hand)


def sheet_names(solution: Solution, jig: Jig) -> tuple[str, ...]:
    """The sheets that a job has on every paper size: small parts may take more pages on a small paper than on a large.

    They are told without laying anything out.
    """
    job = solution.job
    names = ["side_elevation", "body_end_face", "heel"]
    if template_parts(jig.parts, job):
        names.append("parts_1")
    if glued_by_hand(jig.part(TEMPLATE_PLATE.name), solution):
        names.append("plate_layers")
    if listed_parts(jig.parts, job):
        names.append("cut_list")
    return tuple(names)
