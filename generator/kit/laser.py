"""The laser group: a cutting DXF of every part, and nested sheets of every stock that a laser or router cuts."""

from __future__ import annotations

from pathlib import Path

from generator.nesting import nest_all
from generator.parts.base import Jig
from generator.solution import Solution
from generator.writers.dxf import part_dxf, part_file_name, sheet_dxf, sheet_file_name


def write_laser_files(solution: Solution, jig: Jig, folder: Path) -> None:
    """Write `folder`/<part>.dxf and `folder`/sheet-<stock>-<n>.dxf, all at nominal size."""
    folder.mkdir()
    job = solution.job
    for part in jig.parts:
        (folder / part_file_name(part)).write_bytes(part_dxf(part, job.name))
    for sheet in nest_all(jig.parts, job.stocks):
        (folder / sheet_file_name(sheet)).write_bytes(sheet_dxf(sheet, job.name))
