"""The sizes that decide the joint, for a set that has no sheet of the parts: a table on the assembly's own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from generator.base.annotation import Dimension
from generator.drawing.callout import Notation, dimension_text, requirement_text
from generator.drawing.tables import Table
from generator.jig.part import Jig, Part
from generator.job.limits import HELD_BY_HAND


def decisive_sizes(jig: Jig, numbers: Mapping[str, str], notation: Notation) -> Table:
    """Every size of the jig's parts that must be held within `HELD_BY_HAND`, and the form of the plate, by part."""
    rows = tuple((numbers[part.name], part.title, text) for part in jig.parts for text in _asked(part, notation))
    return Table("These must be accurate; all else as general tolerances", ("No", "Part", "Size"), rows)


def _asked(part: Part, notation: Notation) -> Iterator[str]:
    if not part.traits.decides_joint:
        return
    for dimension in filter(_is_close, part.dimensions):
        name = dimension.name.removeprefix(f"{part.name}_").replace("_", " ")
        yield f"{name} {dimension_text(replace(dimension, note=''), notation)}"
    if part.traits.guides_cutter:
        for requirement in part.requirements:
            yield requirement_text(requirement, notation).partition(":")[0].lower()


def _is_close(dimension: Dimension) -> bool:
    tolerance = dimension.tolerance
    return tolerance is not None and max(abs(tolerance.lower), abs(tolerance.upper)) <= HELD_BY_HAND
