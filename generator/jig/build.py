"""The whole jig of one job: its parts, where each stands, what must be bought, and how it goes together."""

from __future__ import annotations

from generator.jig.blocks import trim_shims
from generator.jig.buildability import refuse_unbuildable
from generator.jig.catalog import CATALOG
from generator.jig.hardware import assembly_steps, hardware
from generator.jig.layout import jig_layout
from generator.jig.lettering import settled_lettering
from generator.jig.part import Jig, Part, Placed
from generator.joint.solution import Solution


def build_jig(solution: Solution) -> Jig:
    """Every part of the jig for `solution`.

    CheckFailed names every size that leaves no room, GeometryError a part that cannot be made.
    """
    layout = jig_layout(solution)
    refuse_unbuildable(layout)
    parts: dict[str, Part] = {}
    placed: list[Placed] = []
    for entry in CATALOG:
        if not entry.when(layout):
            continue
        part = settled_lettering(entry.build(layout))
        part = parts.setdefault(part.name, part)
        if entry.stands is not None:
            placed.append(Placed(part, entry.stands(layout), part.name))
    for part in trim_shims(layout):
        parts.setdefault(part.name, settled_lettering(part))
    return Jig(tuple(parts.values()), tuple(placed), hardware(layout), assembly_steps(layout))
