"""What `make` tells while it works: one bar on a terminal, plain lines where they go into a file or a pipe."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import typer

from generator.kit.share import Steps


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
        self._steps = Steps()
        self._lock = threading.Lock()  # several kits at a time report from threads of their own

    def expect(self, job: str, steps: Mapping[str, float]) -> None:
        with self._lock:
            self._steps.expect(job, steps)
            self._bar.update(self._row, total=self._steps.total)

    def say(self, job: str, words: str) -> None:
        with self._lock:
            if self._steps.begin(job, words):
                self._show()
            else:
                self._bar.console.print(f"{job}: {words}", highlight=False, markup=False, soft_wrap=True)

    def done(self, job: str, step: str) -> None:
        with self._lock:
            self._bar.advance(self._row, self._steps.end(job, step))
            self._show()

    def print(self, words: str) -> None:
        with self._lock:
            self._bar.stop()
            typer.echo(words)
            self._bar.start()

    def _show(self) -> None:
        doing = self._steps.doing
        if doing:
            self._bar.update(self._row, description="; ".join(f"{job}: {steps}" for job, steps in doing.items()))


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
