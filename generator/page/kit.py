"""The kit for the page: what `make` writes, told by the same steps and shares as the terminal's bar."""

from __future__ import annotations

import os
from pathlib import Path

from generator.base.store import users_store
from generator.job.model.job import Job
from generator.kit.crew import crew_of, processors
from generator.kit.groups import Group
from generator.kit.share import Steps
from generator.page.apart import Made, Teller


def make_kit_apart(teller: Teller, job: Job) -> Made:
    """In a process of its own: the kit of `job` in the working folder."""
    from generator.kit.pipeline import kit_steps, write_kit

    steps = Steps()
    steps.expect(job.name, kit_steps(tuple(Group)))
    said = _Said(teller, steps, job.name)
    with crew_of(processors()) as crew:
        made = write_kit(job, Path(), progress=said.begin, done=said.end, crew=crew, store=users_store(os.environ))
    return Made(made.folder)


class _Said:
    """Says each step as it begins and the share as it ends."""

    def __init__(self, teller: Teller, steps: Steps, job: str) -> None:
        self._teller, self._steps, self._job = teller, steps, job

    def begin(self, words: str) -> None:
        if self._steps.begin(self._job, words):
            self._tell()

    def end(self, step: str) -> None:
        self._steps.end(self._job, step)
        self._tell()

    def _tell(self) -> None:
        doing = self._steps.doing
        if doing:
            self._teller.step(doing[self._job], self._steps.share)
