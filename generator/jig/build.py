"""The whole jig of one job: its parts, where each stands, what must be bought, and how it goes together."""

from __future__ import annotations

from collections.abc import Iterable

from generator.jig.buildability import refuse_unbuildable
from generator.jig.catalog import CATALOG
from generator.jig.hardware import assembly_steps, hardware
from generator.jig.layout import jig_layout
from generator.jig.lettering import settled_lettering
from generator.jig.part import Jig, Part, Placed
from generator.jig.record import Record
from generator.joint.solution import Solution


def build_jig(solution: Solution, catalog: Iterable[Record] = CATALOG) -> Jig:
    """Every part of the jig for `solution`, as the records of `catalog` have them.

    CheckFailed names every size that leaves no room, GeometryError a part that cannot be made.
    """
    layout = jig_layout(solution)
    refuse_unbuildable(layout)
    parts: list[Part] = []
    placed: list[Placed] = []
    for record in catalog:
        built = [settled_lettering(part) for part in record.parts(layout)]
        parts += built
        if record.stands is not None:
            placed += [Placed(part, record.stands(layout), part.name) for part in built]
    return Jig(tuple(parts), tuple(placed), hardware(layout), assembly_steps(layout))
