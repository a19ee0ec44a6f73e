"""`heelwright class`: a table of students in; shared jigs, kits, one laser order, hand-outs, summary and status out."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from generator.base.atomic_file import write_new
from generator.base.errors import Fault, InputError
from generator.base.store import users_store
from generator.base.units import format_mm
from generator.classes.folder import ClassState, class_state
from generator.classes.make import ClassMaking, Told, make_class
from generator.classes.plan import ClassPlan, check_rows, plan_of
from generator.classes.table import read_base, read_class, slug
from generator.classes.template import template_text
from generator.commands.make import chosen
from generator.commands.refusal import demand_plain, echo_json, refusals, refuse
from generator.job.model.job import Paper
from generator.kit.crew import MOST_WORKERS, crew_of, processors
from generator.kit.groups import Group

NAME = "class"
ORDER = 45
EXAMPLE = "heelwright class class.csv --template"


def run(
    table: Annotated[
        Path, typer.Argument(metavar="TABLE|DIR", help="A table (CSV, XLSX, ODS); with --status a class's folder.")
    ],
    base: Annotated[str | None, typer.Option(metavar="JOB", help="A job that supplies what a row leaves out.")] = None,
    out: Annotated[
        Path | None, typer.Option("-o", metavar="DIR", help="The class's folder; else the table's name.")
    ] = None,
    template: Annotated[bool, typer.Option("--template", help="Write a table to start from, and leave.")] = False,
    good_only: Annotated[
        bool, typer.Option("--good-only", help="Make the rows that are right, list the others.")
    ] = False,
    status: Annotated[
        bool, typer.Option("--status", help="Read the build logs: who has cut what, what is next.")
    ] = False,
    only: Annotated[
        list[str] | None, typer.Option(metavar="GROUP", help="Write this group of the kits only (may be repeated).")
    ] = None,
    paper: Annotated[
        list[str] | None, typer.Option(metavar="SIZE", help="Paper size in place of the jobs' (may be repeated).")
    ] = None,
    workers: Annotated[
        int | None,
        typer.Option(
            min=1, max=MOST_WORKERS, metavar="N", help="Processes at the same time; else one for each processor."
        ),
    ] = None,
    shop: Annotated[Path | None, typer.Option(metavar="FILE", help="The shop file; else shop.toml.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="With --status: print one JSON object.")] = False,
) -> None:
    """Make everything for a class from one table, or tell how far it is."""
    with refusals(as_json):
        if template:
            _write_template(table)
            return
        if status:
            state = class_state(table)
            if as_json:
                echo_json(state.content())
            else:
                typer.echo("\n".join(_state_lines(state)))
            return
        demand_plain("-o", out or Path())
        folder = out or Path(slug(table.stem) or "class")
        groups = chosen("--only", only, Group) or tuple(Group)
        making = ClassMaking(folder, groups, chosen("--paper", paper, Paper), users_store(os.environ))
        read = read_class(table, read_base(base, table), shop)
        good, refused = check_rows(read)
        plan = plan_of(read, good, refused, slug(folder.resolve().name) or "class", good_only=good_only)
        with crew_of(workers or processors()) as crew, _bar() as told:
            faults = make_class(plan, making, crew, told, refused)
        typer.echo("\n".join(_plan_lines(plan)))
        typer.echo(f"wrote {folder}: open {folder / 'index.html'}")
        if faults or refused:
            refuse([*refused, *faults])


def _write_template(path: Path) -> None:
    try:
        write_new(path, template_text())
    except FileExistsError:
        raise InputError([Fault(str(path), "", "a file that is there already", "a name not yet taken")]) from None
    typer.echo(f"wrote {path}")


@contextmanager
def _bar() -> Iterator[Told]:
    """A bar with rate and time left in a terminal, else a line for each kit; all on standard error."""
    if not sys.stderr.isatty():
        yield lambda name, done, count, faults: typer.echo(
            f"{done} of {count}: {name}{' FAILED' if faults else ''}", err=True
        )
        return
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        ProgressColumn,
        Task,
        TextColumn,
        TimeRemainingColumn,
    )
    from rich.text import Text

    class Rate(ProgressColumn):
        """Pieces of work a minute."""

        def render(self, task: Task) -> Text:
            return Text("" if not task.speed else f"{60.0 * task.speed:.1f} a minute")

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), Rate(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True)) as progress:
        bar = progress.add_task("kits", total=None)

        def told(name: str, done: int, count: int, faults: tuple[Fault, ...]) -> None:
            progress.update(bar, completed=done, total=count, description=name)
            if faults:
                progress.console.print(f"{name}: failed", markup=False)

        yield told


def _plan_lines(plan: ClassPlan) -> list[str]:
    lines = []
    for jig in plan.sharing.jigs:
        users = plan.users(jig)
        joint = jig.solution.joint
        lines.append(f"{jig.label}, {joint.called}: {'; '.join(place.student.name for place in users)}")
        if len(users) > 1:
            rests = (f"{one.student.name} {format_mm(one.solution.cradle.angle_rest_drawn, 2)}" for one in users)
            lines.append(f"  own angle rests: {'; '.join(rests)}")
    return [*lines, *(f"saving: {saving}" for saving in plan.savings)]


def _state_lines(state: ClassState) -> list[str]:
    lines = [f"class {state.name}: {len(state.benches)} students"]
    for one in state.benches:
        gap = one.gap_final if one.gap_final is not None else one.gap_shy
        read = "" if gap is None else f", gap {format_mm(gap)} (wanted {format_mm(one.gap_wanted)})"
        lines.append(f"  {one.student}: {one.progress.value}{read}; {one.next_step}".rstrip("; "))
        if one.attention:
            lines.append(f"    MIND: {one.attention}")
    for jig in state.jigs:
        lines += [f"  {jig.jig}, {jig.builds} entries: {words}" for words in jig.advice]
    return lines
