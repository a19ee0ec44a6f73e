"""The STEP group: the assembled jig as it stands, in the plate frame, and a file of every part.

Where the store has every file the CAD kernel does not load at all.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from generator.base.errors import GeometryError
from generator.base.store import NO_STORE, Store
from generator.formats.step.write import jig_step, part_step, part_step_name
from generator.jig.part import Jig, Part
from generator.joint.solution import Solution

#: File name of the STEP assembly.
ASSEMBLY = "jig.step"


def write_step_files(solution: Solution, jig: Jig, folder: Path, store: Store = NO_STORE) -> None:
    """Write `folder`/<part>.step of every part and `folder`/jig.step.

    Raises one GeometryError that lists every part that cannot be built, OutputError where a file reads back as
    something else.
    """
    folder.mkdir()
    colours = {name: stock.colour for name, stock in solution.job.stocks.items()}
    faults: list[str] = []
    for part in _every_part(jig):
        try:
            data = store.kept(part_step, part, colours.get(part.stock))
        except GeometryError as fault:
            faults.append(str(fault))
        else:
            (folder / part_step_name(part)).write_bytes(data)
    if faults:
        raise GeometryError("\n".join(faults))
    (folder / ASSEMBLY).write_bytes(store.kept(jig_step, jig.placed, jig.hardware, _painted(jig, colours)))


def _painted(jig: Jig, colours: Mapping[str, tuple[float, float, float]]) -> dict[str, tuple[float, float, float]]:
    """The colours of the stocks that stand in the jig."""
    return {name: colour for name, colour in colours.items() if any(one.part.stock == name for one in jig.placed)}


def _every_part(jig: Jig) -> list[Part]:
    return list({part.name: part for part in (*jig.parts, *(placed.part for placed in jig.placed))}.values())
