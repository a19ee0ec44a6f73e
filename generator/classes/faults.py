"""A fault of a class table: which row, which column, whose, so that it can be told as a line or stand in a table."""

from __future__ import annotations

from dataclasses import dataclass

from generator.base.errors import Fault
from generator.job.model.field_types import shown


@dataclass(frozen=True)
class RowFault(Fault):
    """A fault in row `row` (as the spreadsheet counts) at `place`, a column or a check; `student` as the row has it."""

    row: int = 0
    place: str = ""
    student: str = ""


def row_fault(file: str, row: int, place: str, student: str, found: str, allowed: str) -> RowFault:
    """The fault with its row, place and student also in its key, where there are any."""
    who = f"student {shown(student)}" if student else ""
    key = ", ".join(part for part in (f"row {row}", place, who) if part)
    return RowFault(file, key, found, allowed, row, place, student)
