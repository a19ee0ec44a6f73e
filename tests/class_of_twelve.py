"""A class of twelve unlike instruments as a table, ukulele to baritone: one left-handed, forward set, or measured."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from generator.classes.table import ClassTable, read_base, read_class
from generator.joint.solution import Solution, solve

TWELVE = """\
student,date,instrument.preset,handed,saddle_gap,bridge_clearance,router.preset,jig.preset,top.form,zero_angle_gap
Ada,2024-05-27,orchestra-14,,,0.8,metric-17,plywood,,
Bo,2024-05-27,orchestra-14,left,,0.8,metric-17,plywood,,
Cleo,2024-05-27,ukulele-tenor,,,0.4,trim-metric-10,plywood-small,,
Dan,2024-05-27,ukulele-baritone,,,0.4,trim-metric-10,plywood-small,,
Eve,2024-05-27,dreadnought,,,0.8,metric-17,plywood,,
Finn,2024-05-27,jumbo,,,0.8,metric-17,plywood,,
Gus,2024-05-28,nylon-650,,,,metric-17,plywood,,
Hal,2024-05-28,parlour-12,,,0.8,metric-17,plywood,,
Ida,2024-05-28,size-000,,2.8,,metric-17,plywood,measured,2.6
Jo,2024-05-28,size-00,,,0.8,metric-17,plywood,,
Kim,2024-05-28,baritone-guitar,,,0.8,metric-17,plywood,,
Lou,2024-05-28,slot-head-12,,,0.8,metric-17,plywood,,
"""


def read_text(text: str, folder: Path, base: str | None = None) -> ClassTable:
    """The table of that text, which is written into `folder`."""
    path = folder / "class.csv"
    path.write_text(text, encoding="utf-8")
    return read_class(path, read_base(base, path))


@cache
def twelve(folder: Path) -> tuple[ClassTable, tuple[Solution, ...]]:
    """The class and its solved jobs."""
    table = read_text(TWELVE, folder)
    assert table.faults == ()
    return table, tuple(solve(one.job) for one in table.students)
