"""What is printed full-scale on paper: templates of the jig's parts and drawings of the instrument's joint."""

from __future__ import annotations

from generator.drawing.sheet import Sheet
from generator.parts.base import Jig
from generator.sheets.body_end_face import body_end_face
from generator.sheets.heel import heel
from generator.sheets.part_sheets import part_sheets
from generator.sheets.side_elevation import side_elevation
from generator.solution import Solution

__all__ = ["paper_sheets"]


def paper_sheets(solution: Solution, jig: Jig) -> tuple[Sheet, ...]:
    """All paper sheets of a job in reading order: the instrument first, then the jig's parts as they are made.

    Every sheet is at full scale; no two share a name or a title. Raises LayoutError when one cannot be laid out.
    """
    return (side_elevation(solution), body_end_face(solution), heel(solution), *part_sheets(solution, jig))
