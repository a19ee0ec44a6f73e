"""The end of `heelwright make`: proved or not, what to mind and which key to change, what to open, what to do next."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path

from generator.base.plain_text import LINE_WIDTH
from generator.job.command_line import READING, command_line, kit_command, path_argument
from generator.kit.pipeline import MadeKit
from generator.kit.report import passed, to_mind

#: What to open first: the first of these that the kit has.
_FIRST = ("index.html", "setup_sheet.html")


def closing_words(made: MadeKit) -> tuple[str, ...]:
    """What to say of a kit that was made, in lines of at most 100 columns; a command stands whole in its line."""
    checks = (*made.solution.checks, *(made.proof or ()))
    lines = [f"wrote {made.folder}", _verdict(made), *to_mind(made.solution, checks), *_stale(made), *_open(made)]
    lines.append("Next:")
    for number, step in enumerate(_steps(made), start=1):
        first, *command = step.split("\n")
        lines += textwrap.wrap(first, LINE_WIDTH, initial_indent=f"  {number}. ", subsequent_indent="     ")
        lines += [f"       {line}" for line in command]
    return tuple(lines)


def _verdict(made: MadeKit) -> str:
    if made.proof is None:
        return f"NOT proved, for want of cutting files of this job; of the numbers {passed(made.solution.checks)}"
    return f"proved: the written files make the joint; {passed((*made.solution.checks, *made.proof))}"


def _stale(made: MadeKit) -> list[str]:
    if not made.stale:
        return []
    groups = " ".join(f"--only {group}" for group in made.stale)
    return [
        f"STALE, made of an earlier job, not to be used: {', '.join(made.stale)}. To make them anew:",
        f"       {command_line('make', made.solution.job, *_out(made), *groups.split())}",
    ]


def _out(made: MadeKit) -> tuple[str, ...]:
    parent = made.folder.parent
    return () if parent == Path() else ("-o", path_argument(parent))


def _open(made: MadeKit) -> Iterator[str]:
    first = next((name for name in _FIRST if (made.folder / name).is_file()), None)
    if first is not None:
        yield f"Open first: {made.folder / first}"


def _steps(made: MadeKit) -> Iterator[str]:
    folder, job = made.folder, made.solution.job
    booklet = next(iter(sorted((folder / "paper").glob("booklet.*.pdf"))), None)
    if booklet is not None:
        yield f"Print {booklet} at 100 %, and measure the check square on its first page."
    laser, drawings = (folder / group for group in ("laser", "drawings"))
    if laser.is_dir():
        # With the assembly alone in it, a set asks no shop for anything.
        use = "is for a machine shop" if len(list(drawings.glob("*.dxf"))) > 1 else "shows it put together"
        shop = f"; {drawings} {use}" if drawings.is_dir() else ""
        yield f"Have the jig cut from the files in {laser}{shop}."
    elif drawings.is_dir():
        yield f"Have the jig made from {drawings}."
    else:
        yield f"Write the files the jig is cut from:\n{command_line('make', job, *_out(made), '--only', 'laser')}"
    if booklet is None:
        yield f"Before wood is cut, read every file back:\n{kit_command('prove', folder)}"
    adjust = command_line("adjust", job, "--gap", READING)
    yield f"After the first dry fit say what the gap at the saddle reads:\n{adjust}"
