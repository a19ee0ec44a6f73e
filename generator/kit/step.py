"""The STEP group: the assembled jig as it stands, in the plate frame, and a file of every part."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from generator.parts.base import Jig
from generator.solution import Solution
from generator.writers.step import assembly_step, part_step, part_step_name


def write_step_files(solution: Solution, jig: Jig, folder: Path) -> None:
    """Write `folder`/<part>.step of every part and `folder`/jig.step.

    Raises GeometryError where a part cannot be built, OutputError where a file reads back as something else.
    """
    from generator.solid import assembly, jig_solids

    folder.mkdir()
    colours: Mapping[str, tuple[float, float, float]] = {
        name: stock.colour for name, stock in solution.job.stocks.items()
    }
    solids = jig_solids(jig)
    for part in jig.parts:
        data = part_step(part, colours.get(part.stock), solids.by_name[part.name])
        (folder / part_step_name(part)).write_bytes(data)
    model = assembly(jig, colours=colours, solids=solids)
    (folder / "jig.step").write_bytes(assembly_step(model))
