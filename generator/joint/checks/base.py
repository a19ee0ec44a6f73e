"""What a check is, and the few ways of judging a number."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from generator.base.keyed import Told
from generator.job.model.job import Job
from generator.joint.cradle import Cradle
from generator.joint.joint import Joint
from generator.joint.neck_set import NeckSet
from generator.joint.router_template import Routing
from generator.joint.tolerance import Uncertainty

#: Numbers this close to a limit keep it.
_SLACK = 1e-9
#: What the arithmetic leaves where nothing is.
_DUST = 1e-6


class CheckStatus(Enum):
    """How a check came out: `FAIL` stops the files, `WARN` is the builder's to decide."""

    OK = "ok"
    WARN = "warn"
    FAIL = "fail"


class Bound(Enum):
    """Which way a limit is meant."""

    AT_LEAST = "at least"
    AT_MOST = "at most"
    BETWEEN = "between"


@dataclass(frozen=True)
class Check:
    """One judged number: what was found, the limit it was held against, and what that means, in words.

    `bound` says which way `limit` is meant; with `BETWEEN` the value may lie from `limit` to `other`, in either order.
    """

    name: Told[str]
    status: Told[CheckStatus]
    value: Told[float]
    limit: Told[float]
    message: Told[str]
    unit: Told[str] = "mm"
    bound: Told[Bound] = Bound.AT_MOST
    other: Told[float | None] = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.value) and math.isfinite(self.limit)):
            raise ValueError(f"check {self.name}: {self.value} against {self.limit} is no judgement")
        if (self.bound is Bound.BETWEEN) != (self.other is not None):
            raise ValueError(f"check {self.name}: {self.bound.value} {self.limit} and {self.other} is no limit")

    @property
    def found(self) -> str:
        """The value with its unit."""
        return measure(self.value, self.unit)

    @property
    def allowed(self) -> str:
        """The limit in words: "at least 3 mm", "at most 0.02°", "between 1.2 and 4.2 mm"."""
        if self.other is None:
            return f"{self.bound.value} {measure(self.limit, self.unit)}"
        low, high = sorted((self.limit, self.other))
        return f"between {_figure(low, self.unit)} and {measure(high, self.unit)}"

    @property
    def excess(self) -> float:
        """How far the value lies outside its limit, in its unit; negative or zero inside."""
        if self.other is not None:
            low, high = sorted((self.limit, self.other))
            return max(low - self.value, self.value - high)
        return self.limit - self.value if self.bound is Bound.AT_LEAST else self.value - self.limit


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
class CheckInput:
    """A job and every number worked out of it: what the checks look at."""

    job: Job
    neck_set: NeckSet
    joint: Joint
    routing: Routing
    cradle: Cradle
    uncertainty: Uncertainty


def measure(value: float, unit: str) -> str:
    """A number of a check with its unit: "3.175 mm", "0.02°", "2 faults"; it never rounds to nothing."""
    return f"{_figure(value, unit)}°" if unit == "deg" else f"{_figure(value, unit)} {unit}".rstrip()


def _figure(value: float, unit: str) -> str:
    """Three decimals, four of an angle, as far as they say something; a smaller value keeps two digits, dust is 0."""
    if abs(value) < _DUST:
        return "0"
    least = 4 if unit == "deg" else 3
    decimals = max(least, 1 - math.floor(math.log10(abs(value)))) if abs(value) < 0.5 * 10.0**-least else least
    return f"{value:.{decimals}f}".rstrip("0").rstrip(".")


def at_least(name: str, value: float, warn: float, fail: float, message: str, unit: str = "mm") -> Check:
    """Judge a number that must be large: below `warn` a warning, below `fail` a failure (`fail` <= `warn`)."""
    if value < fail - _SLACK:
        return Check(name, CheckStatus.FAIL, value, fail, message, unit, Bound.AT_LEAST)
    if value < warn - _SLACK:
        return Check(name, CheckStatus.WARN, value, warn, message, unit, Bound.AT_LEAST)
    return Check(name, CheckStatus.OK, value, warn, message, unit, Bound.AT_LEAST)


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
    status = CheckStatus.OK if inside else outside
    return Check(name, status, value, limit, message, unit, Bound.BETWEEN, high if limit == low else low)
