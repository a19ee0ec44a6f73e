"""The set of shop drawings of a jig: the assembly first, then a sheet for every part."""

from __future__ import annotations

from collections.abc import Iterator

from generator.drawing.sheet import Sheet
from generator.parts.base import Jig
from generator.shopdrawings.assembly_drawing import assembly_drawing
from generator.shopdrawings.part_drawing import SheetNumber, part_drawing
from generator.solution import Solution


def shop_drawings(solution: Solution, jig: Jig) -> Iterator[Sheet]:
    """Every drawing of the set, numbered through. Raises LayoutError for one that cannot be laid out."""
    count = len(jig.parts) + 1
    yield assembly_drawing(solution, jig, SheetNumber(1, count))
    for number, part in enumerate(jig.parts, 2):
        yield part_drawing(part, solution.job, SheetNumber(number, count))
