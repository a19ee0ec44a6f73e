"""Pictures and templates that a command writes beside its answer."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from generator.base.atomic_file import refuse_irregular
from generator.base.errors import COMMAND_LINE, Fault, InputError

if TYPE_CHECKING:
    from generator.drawing.sheet import Sheet
    from generator.job.model.job import Job

#: Endings of the pictures that a command writes.
ENDINGS = (".svg", ".pdf")


def picture_path(option: str, path: Path | None) -> Path | None:
    """`path` when a picture can stand there: an ending this program writes, no pipe or device; else InputError."""
    if path is not None:
        refuse_irregular(path)
    if path is None or path.suffix.lower() in ENDINGS:
        return path
    raise InputError([Fault(COMMAND_LINE, option, f'"{path}"', "a file name ending in .svg or .pdf")])


def write_picture(sheet: Sheet, path: Path, job: Job, *, full_size: bool) -> None:
    """Write the sheet; a `full_size` one is a template, on the job's paper with check bars."""
    from generator.kit.one_sheet import write_sheet_file

    write_sheet_file(sheet, path, job, full_size=full_size)
