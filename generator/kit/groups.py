"""What `make` can write: each group of files, and the function that writes it into a kit's folder.

The heavy libraries load inside the writer that needs them, so a kit without STEP never starts the CAD kernel.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from types import MappingProxyType

from generator.base.store import NO_STORE, Store
from generator.drawing.sheet import Sheet
from generator.jig.part import Jig
from generator.job.model.job import Paper
from generator.joint.checks import Check
from generator.joint.solution import Solution
from generator.kit.sheet_preview import SheetFigure


class Group(Enum):
    """The groups of files a kit can hold."""

    STEP = "step"
    LASER = "laser"
    PAPER = "paper"
    DRAWINGS = "drawings"
    SHEET = "sheet"


@dataclass(frozen=True)
class KitPlan:
    """One kit to write: the solved job, its jig, the paper sizes wanted, the folder it will stand in.

    `proof` holds the checks once the joint was cut virtually; `stages` and `sheets` are the pictures of the jig in use
    and of the nested sheets once they are drawn. With `kerf` the laser's sheets are compensated for the
    width of their cut. What is expensive comes from the `store` where it is kept there.
    """

    solution: Solution
    jig: Jig
    papers: tuple[Paper, ...]
    place: Path = Path()
    proof: tuple[Check, ...] | None = None
    stages: tuple[Sheet, ...] = ()
    sheets: tuple[SheetFigure, ...] = ()
    kerf: bool = False
    store: Store = NO_STORE

    @property
    def name(self) -> str:
        return self.solution.job.name


def _write_step(plan: KitPlan, folder: Path) -> None:
    from generator.kit.model import write_model_file
    from generator.kit.step import write_step_files

    write_step_files(plan.solution, plan.jig, folder / "step", plan.store)
    write_model_file(plan.solution.job.for_makers, plan.jig, folder, plan.store)


def _write_laser(plan: KitPlan, folder: Path) -> None:
    from generator.kit.laser import write_laser_files

    write_laser_files(plan.solution, plan.jig, folder / "laser", kerf=plan.kerf, store=plan.store)


def _write_paper(plan: KitPlan, folder: Path) -> None:
    from generator.kit.paper import write_paper

    write_paper(plan.solution, plan.jig, folder / "paper", plan.papers, plan.store)


def _write_drawings(plan: KitPlan, folder: Path) -> None:
    from generator.kit.drawings import write_drawing_files

    write_drawing_files(plan.solution, plan.jig, folder / "drawings", plan.store)


def _write_sheet(plan: KitPlan, folder: Path) -> None:
    from generator.formats.setup_sheet import write_setup_sheet

    write_setup_sheet(plan.solution, plan.jig, folder, plan.papers[0], plan.proof, plan.place, plan.stages, plan.store)


#: In the order of writing: the setup sheet comes after the proof, which reads what the others wrote.
WRITERS: Mapping[Group, Callable[[KitPlan, Path], None]] = MappingProxyType(
    {
        Group.LASER: _write_laser,
        Group.PAPER: _write_paper,
        Group.STEP: _write_step,
        Group.DRAWINGS: _write_drawings,
        Group.SHEET: _write_sheet,
    }
)
