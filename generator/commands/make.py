"""`heelwright make`: write the kit of one job or several, a folder a job."""

from __future__ import annotations

import os
from dataclasses import dataclass
from enum import Enum
from functools import partial
from pathlib import Path
from typing import Annotated, TypeVar

import typer

from generator.base.errors import COMMAND_LINE, Fault, HeelwrightError, InputError
from generator.base.store import Store, users_store
from generator.commands.progress import Lines, progress
from generator.commands.refusal import demand_plain, faults_of, refusals, refuse
from generator.job.load import load_jobs
from generator.job.model.job import Job, Paper
from generator.kit.bundle import HelperBundle
from generator.kit.crew import MOST_WORKERS, Crew, crew_of, processors
from generator.kit.groups import Group

NAME = "make"
ORDER = 40
EXAMPLE = "heelwright make orchestra-14 -o kits"

Choice = TypeVar("Choice", bound=Enum)


def _names(choices: type[Enum]) -> str:
    return ", ".join(choice.value for choice in choices)


def run(
    jobs: Annotated[list[str], typer.Argument(metavar="JOB...", help="Job files, or names of ready jobs.")],
    out: Annotated[Path, typer.Option("-o", metavar="DIR", help="Folder the kits go into.")] = Path(),
    only: Annotated[
        list[str] | None,
        typer.Option(metavar="GROUP", help="Write this group only (may be repeated): " + _names(Group) + "."),
    ] = None,
    paper: Annotated[
        list[str] | None,
        typer.Option(metavar="SIZE", help="Paper size in place of the job's (may be repeated): " + _names(Paper) + "."),
    ] = None,
    full_size: Annotated[
        bool, typer.Option("--full-size", help="Draw the side elevation at full size, on several pages; else at 1:2.")
    ] = False,
    bundle: Annotated[
        list[str] | None,
        typer.Option(
            metavar="HELPER",
            help="Zip this helper's files with a note, into bundles/ (may be repeated): " + _names(HelperBundle) + ".",
        ),
    ] = None,
    kerf: Annotated[
        bool, typer.Option("--kerf", help="Compensate the laser's sheets for the kerf of their stock.")
    ] = False,
    workers: Annotated[
        int | None,
        typer.Option(
            min=1,
            max=MOST_WORKERS,
            metavar="N",
            help="Processes that write at the same time; else one for each processor.",
        ),
    ] = None,
    no_cache: Annotated[
        bool, typer.Option("--no-cache", help="Make everything anew; keep nothing in the user's cache directory.")
    ] = False,
    shop: Annotated[Path | None, typer.Option(metavar="FILE", help="The shop file; else shop.toml.")] = None,
) -> None:
    """Write the kit of each job: STEP, laser DXF, paper templates, drawings, setup sheet, results."""
    with refusals():
        demand_plain("-o", out)
        groups = chosen("--only", only, Group) or tuple(Group)
        asked = _Asked(
            groups, chosen("--paper", paper, Paper), chosen("--bundle", bundle, HelperBundle), kerf, full_size
        )
        store = users_store(os.environ, asked=not no_cache)
        faults: list[Fault] = []
        with progress() as told:
            loaded = load_jobs(jobs, shop)
            with crew_of(workers or processors()) as crew:
                for outcome in crew.for_each(loaded, lambda job: _make_one(job, out, asked, crew, told, store)):
                    faults += outcome.faults
                    if outcome.words:
                        told.print("\n".join(outcome.words))
        if faults:
            refuse(faults)


def chosen(option: str, given: list[str] | None, choices: type[Choice]) -> tuple[Choice, ...]:
    """The members named on the command line, each once; InputError listing what is allowed."""
    known = {choice.value: choice for choice in choices}
    wrong = [text for text in given or () if text not in known]
    if wrong:
        raise InputError([Fault(COMMAND_LINE, option, f'"{text}"', ", ".join(known)) for text in wrong])
    return tuple(dict.fromkeys(known[text] for text in given or ()))


@dataclass(frozen=True)
class _Asked:
    """What of each kit is asked for."""

    groups: tuple[Group, ...]
    papers: tuple[Paper, ...]
    bundles: tuple[HelperBundle, ...]
    kerf: bool
    full_size: bool


@dataclass(frozen=True)
class _Outcome:
    """What came of one job: the faults that refused it, or what to say of the kit."""

    faults: tuple[Fault, ...] = ()
    words: tuple[str, ...] = ()


def _make_one(job: Job, out: Path, asked: _Asked, crew: Crew, told: Lines, store: Store) -> _Outcome:
    """Make one kit, telling each step."""
    from generator.commands.closing import closing_words
    from generator.kit.pipeline import kit_steps, write_kit

    for note in job.notes:
        told.say(job.name, note)
    told.expect(job.name, kit_steps(asked.groups))
    say, done = partial(told.say, job.name), partial(told.done, job.name)
    try:
        made = write_kit(
            job,
            out,
            asked.groups,
            asked.papers,
            say,
            crew,
            done=done,
            kerf=asked.kerf,
            full_size=asked.full_size,
            bundles=asked.bundles,
            store=store,
        )
        return _Outcome(words=closing_words(made))
    except HeelwrightError as error:
        return _Outcome(faults_of(error))
