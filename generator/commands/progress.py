"""What `make` tells while it works: one bar on a terminal, plain lines where they go into a file or a pipe."""

from __future__ import annotations

import itertools
import sys
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import typer


class Lines:
    """A plain line on standard error for each step."""

    def expect(self, job: str, steps: Mapping[str, float]) -> None:
        """The steps to come of a job and about how long each takes, in any unit."""

    def say(self, job: str, words: str) -> None:
        """A step that begins, or something to know."""
        typer.echo(f"{job}: {words}", err=True)

    def done(self, job: str, step: str) -> None:
        """A step that has ended."""

    def print(self, words: str) -> None:
        """Something for standard output."""
        typer.echo(words)


class Bar(Lines):
    """One bar: what is being written, the share done, the time left. What is no step is a line above it."""

    def __init__(self, bar: Any) -> None:
        self._bar = bar
        self._row = bar.add_task("reading the job", total=None)
        self._steps: dict[tuple[str, str], float] = {}
        self._begun: dict[tuple[str, str], None] = {}
        self._lock = threading.Lock()  # several kits at a time report from threads of their own

    def expect(self, job: str, steps: Mapping[str, float]) -> None:
        with self._lock:
            self._steps |= {(job, step): weight for step, weight in steps.items()}
            self._bar.update(self._row, total=sum(self._steps.values()))

    def say(self, job: str, words: str) -> None:
        with self._lock:
            if (job, words) not in self._steps:
                self._bar.console.print(f"{job}: {words}", highlight=False, markup=False, soft_wrap=True)
                return
            self._begun[job, words] = None
            self._show()

    def done(self, job: str, step: str) -> None:
        with self._lock:
            self._begun.pop((job, step), None)
            self._bar.advance(self._row, self._steps.get((job, step), 0.0))
            if self._begun:
                self._show()

    def print(self, words: str) -> None:
        with self._lock:
            self._bar.stop()
            typer.echo(words)
            self._bar.start()

    def _show(self) -> None:
        """All that is being done, each verb and each job named once."""
        by_job: dict[str, list[str]] = {}
        for job, step in self._begun:
            by_job.setdefault(job, []).append(step)
        said = (f"{job}: {_together(steps)}" for job, steps in by_job.items())
        self._bar.update(self._row, description="; ".join(said))


def _together(steps: list[str]) -> str:
    """ "writing step, drawings" for "writing step" and "writing drawings"."""
    later = (step.removeprefix(f"{before.partition(' ')[0]} ") for before, step in itertools.pairwise(steps))
    return ", ".join([steps[0], *later])


@contextmanager
def progress() -> Iterator[Lines]:
    """A bar where standard error is a terminal, else lines."""
    if not sys.stderr.isatty():
        yield Lines()
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}", markup=False), BarColumn(), TaskProgressColumn(), TimeRemainingColumn())
    # Standard output may go elsewhere: it is never drawn into the bar.
    console = Console(stderr=True)
    bar = Progress(*columns, console=console, transient=True, redirect_stdout=False, refresh_per_second=4)
    with bar:
        yield Bar(bar)
