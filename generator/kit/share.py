"""What share of the work on one or several kits is done, by the steps that `write_kit` names and about how long each
takes. A terminal's bar and the page tell the same share."""

from __future__ import annotations

import itertools
import math
import threading
from collections.abc import Mapping


class Steps:
    """The steps to come, those begun and those done; several kits at a time report from threads of their own."""

    def __init__(self) -> None:
        self._weights: dict[tuple[str, str], float] = {}
        self._begun: dict[tuple[str, str], None] = {}
        self._done = 0.0
        self._lock = threading.Lock()

    def expect(self, job: str, steps: Mapping[str, float]) -> None:
        """The steps to come of a job and about how long each takes, in any unit."""
        with self._lock:
            self._weights |= {(job, step): weight for step, weight in steps.items()}

    def begin(self, job: str, words: str) -> bool:
        """A step that begins; False for words that are no step."""
        with self._lock:
            if (job, words) not in self._weights:
                return False
            self._begun[job, words] = None
            return True

    def end(self, job: str, step: str) -> float:
        """A step that has ended, and how long it was expected to take."""
        with self._lock:
            self._begun.pop((job, step), None)
            weight = self._weights.get((job, step), 0.0)
            self._done += weight
            return weight

    @property
    def total(self) -> float:
        """How long all of it was expected to take."""
        with self._lock:
            return math.fsum(self._weights.values())

    @property
    def share(self) -> float:
        """The share done, 0 to 1."""
        return self._done / (self.total or 1.0)

    @property
    def doing(self) -> dict[str, str]:
        """All that is being done, by job; each verb named once."""
        by_job: dict[str, list[str]] = {}
        with self._lock:
            for job, step in self._begun:
                by_job.setdefault(job, []).append(step)
        return {job: _together(steps) for job, steps in by_job.items()}


def _together(steps: list[str]) -> str:
    """ "writing step, drawings" for "writing step" and "writing drawings"."""
    later = (step.removeprefix(f"{before.partition(' ')[0]} ") for before, step in itertools.pairwise(steps))
    return ", ".join([steps[0], *later])
