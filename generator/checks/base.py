"""What a check is, and the few ways of judging a number."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from generator.cradle import Cradle
from generator.joint import Joint
from generator.model.job import Job
from generator.neckset import NeckSet
from generator.routing import Routing
from generator.tolerance import Uncertainty
from generator.units import format_mm

#: Numbers this close to a limit keep it.
_SLACK = 1e-9


class CheckStatus(Enum):
    """How a check came out: `FAIL` stops the files, `WARN` is the builder's to decide."""

    OK = "ok"
    WARN = "warn"
    FAIL = "fail"


@dataclass(frozen=True)
class Check:
    """One judged number: what was found, the limit it was held against, and what that means, in words."""

    name: str
    status: CheckStatus
    value: float
    limit: float
    message: str
    unit: str = "mm"

    def __post_init__(self) -> None:
        if not (math.isfinite(self.value) and math.isfinite(self.limit)):
            raise ValueError(f"check {self.name}: {self.value} against {self.limit} is no judgement")


class Judged:
    """What carries checks: whether any failed, and which did."""

    checks: tuple[Check, ...]

    @property
    def ok(self) -> bool:
        """True when no check failed; warnings are the builder's to decide."""
        return not self.failed

    @property
    def failed(self) -> tuple[Check, ...]:
        """The checks that failed."""
        return tuple(check for check in self.checks if check.status is CheckStatus.FAIL)

    @property
    def warned(self) -> tuple[Check, ...]:
        """The checks that warn."""
        return tuple(check for check in self.checks if check.status is CheckStatus.WARN)


@dataclass(frozen=True)
class Worked:
    """A job and every number worked out of it: what the checks look at."""

    job: Job
    neck_set: NeckSet
    joint: Joint
    routing: Routing
    cradle: Cradle
    uncertainty: Uncertainty


def mm(value: float) -> str:
    """A length in words: "22.37 mm"."""
    return f"{format_mm(value)} mm"


def degrees(value: float) -> str:
    """An angle in words: "1.67°"."""
    return f"{format_mm(value)}°"


def at_least(name: str, value: float, warn: float, fail: float, message: str, unit: str = "mm") -> Check:
    """Judge a number that must be large: below `warn` a warning, below `fail` a failure (`fail` <= `warn`)."""
    if value < fail - _SLACK:
        return Check(name, CheckStatus.FAIL, value, fail, message, unit)
    if value < warn - _SLACK:
        return Check(name, CheckStatus.WARN, value, warn, message, unit)
    return Check(name, CheckStatus.OK, value, warn, message, unit)


def at_most(name: str, value: float, warn: float, fail: float, message: str, unit: str = "mm") -> Check:
    """Judge a number that must be small: above `warn` a warning, above `fail` a failure (`fail` >= `warn`)."""
    if value > fail + _SLACK:
        return Check(name, CheckStatus.FAIL, value, fail, message, unit)
    if value > warn + _SLACK:
        return Check(name, CheckStatus.WARN, value, warn, message, unit)
    return Check(name, CheckStatus.OK, value, warn, message, unit)


def within(
    name: str, value: float, low: float, high: float, message: str, outside: CheckStatus, unit: str = "mm"
) -> Check:
    """Judge a number that must lie from `low` to `high`; the limit reported is the nearer of the two."""
    inside = low - _SLACK <= value <= high + _SLACK
    limit = low if abs(value - low) <= abs(value - high) else high
    return Check(name, CheckStatus.OK if inside else outside, value, limit, message, unit)
