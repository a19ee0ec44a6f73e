"""Jobs a tenth off those that ship: few are refused, and each refusal names the nearest value that works.

`HEELWRIGHT_FUZZ` asks for another number of them than the few of every run.
"""

from __future__ import annotations

import os

from near_presets import near_job, near_tables

from generator.jig.buildability import solve_standing
from generator.joint.checks import CheckStatus
from generator.joint.remedy import remedies

COUNT = int(os.environ.get("HEELWRIGHT_FUZZ", "60"))


def test_few_are_refused_and_each_is_told_what_works() -> None:
    """Of jobs within 10 % of a preset at most one in six is refused; a check names key and value, a rule its limit."""
    refused = 0
    for seed in range(COUNT):
        solution, faults, checks = near_job(seed)
        refused += bool(faults or checks)
        for fault in faults:
            assert any(words in fault.allowed for words in ("at least", "at most", "less than")), (seed, fault)
        for check in checks:
            assert solution is not None
            assert remedies(solution, check, solve_standing), (seed, check.name)
    assert refused <= COUNT / 6


def test_what_is_named_is_what_works() -> None:
    """The value that a refusal of a jig's size names, put into the job, passes every check of it."""
    solution, _, (check,) = near_job(15)
    assert check.name == "tip screw"
    assert solution is not None
    (remedy,) = remedies(solution, check, solve_standing)
    table, _, key = remedy.key.partition(".")
    changed = getattr(solution.job, table).model_copy(update={key: remedy.then})
    mended = solve_standing(solution.job.model_copy(update={table: changed}))
    assert [one.name for one in mended.checks if one.status is CheckStatus.FAIL] == []


def test_a_seed_is_a_job() -> None:
    """The same seed gives the same job whatever ran before, another seed another one."""
    assert near_tables(3) == near_tables(3)
    assert near_tables(3) != near_tables(4)
