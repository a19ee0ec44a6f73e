"""What a rule refuses by the keys alone, the check of the solved job fails too, at one and the same size."""

from __future__ import annotations

import pytest
from made_once import solved

from generator.job.model.job import Job
from generator.job.rules import breaches
from generator.joint.checks import CheckStatus
from generator.joint.solution import solve

JOB = "orchestra-14"


def moved(key: str, value: float) -> Job:
    job, (table, name) = solved(JOB).job, key.split(".")
    return job.model_copy(update={table: getattr(job, table).model_copy(update={name: value})})


def refused(job: Job) -> set[str]:
    """The keys that the rules blame, with every value of the job at hand."""
    values = {
        f"{table}.{key}": value
        for table in ("instrument", "joint", "router", "jig")
        for key, value in getattr(job, table)
    }
    return {rule.blame for rule, _ in breaches(values | {"plate": job.stock("plate")})}


def failed(job: Job) -> set[str]:
    return {check.name for check in solve(job).checks if check.status is CheckStatus.FAIL}


def edge(key: str, low: float, high: float, check: str) -> float:
    """Where the check begins to fail between two values of which it passes one, to a thousandth."""
    low_fails = check in failed(moved(key, low))
    assert low_fails is not (check in failed(moved(key, high)))
    while high - low > 1e-3:
        middle = (low + high) / 2.0
        low, high = (middle, high) if (check in failed(moved(key, middle))) is low_fails else (low, middle)
    return (low + high) / 2.0


@pytest.mark.parametrize(
    ("key", "low", "high", "check", "blamed"),
    [
        ("router.bit_diameter", 10.0, 17.0, "bit in the bushing", "router.bit_diameter"),
        ("router.bushing_length", 5.0, 30.0, "bushing length", "router.bushing_length"),
        ("router.reach", 20.0, 80.0, "reach", "router.reach"),
        ("router.cutting_length", 1.0, 60.0, "cutting length", "router.cutting_length"),
        ("router.bushing_od", 17.0, 26.0, "tongue width", "router.bushing_od"),
    ],
)
def test_rule_and_check_part_at_the_same_size(key: str, low: float, high: float, check: str, blamed: str) -> None:
    """A hundredth to one side of the check's limit the rule refuses, a hundredth to the other it does not."""
    at = edge(key, low, high, check)
    sides = [blamed in refused(moved(key, at + by)) for by in (-0.01, 0.01)]
    fails = [check in failed(moved(key, at + by)) for by in (-0.01, 0.01)]
    assert sides == fails
    assert sorted(fails) == [False, True]
