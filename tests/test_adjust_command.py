"""`adjust` and `reset` on the command line: words, JSON, refusals and exit statuses."""

from __future__ import annotations

import json
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from generator.cli import program

JOB = "orchestra-14"


def run(*arguments: str) -> Result:
    return CliRunner().invoke(program(arguments[0]), list(arguments))


def as_json(*arguments: str) -> Any:
    result = run(*arguments, "--json")
    return json.loads(result.stdout)


def test_adjust_prints_one_object() -> None:
    """With --json standard output is one object; found, wanted and stage are what was said."""
    found = as_json("adjust", JOB, "--gap", "2.6")
    assert found["gap_found_mm"] == 2.6
    assert found["gap_wanted_mm"] == 3.5
    assert found["stage"] == "shy"
    assert found["set_block_change_mm"] == pytest.approx(0.4673, abs=5.1e-5)


def test_adjust_takes_the_job_files_units() -> None:
    """Lengths are read as in a job file: inches, fractions, negative readings."""
    assert as_json("adjust", JOB, "--gap", "1/8 in")["gap_found_mm"] == pytest.approx(3.175)
    assert as_json("adjust", JOB, "--gap", "-0.5")["gap_found_mm"] == -0.5
    assert as_json("adjust", JOB, "--gap", "3.5", "--block", "22 mm")["set_block_new_mm"] == pytest.approx(22.0)


def test_adjust_in_words() -> None:
    """The words say block, shims and turns at the shy stage; taper, string length and edge at the final one."""
    shy = run("adjust", JOB, "--gap", "2.6").stdout
    assert "22.837 mm" in shy
    assert "trim shims 0.5 mm" in shy
    assert "off the back edge of the tenon's end" in shy
    final = run("adjust", JOB, "--gap", "4.3", "--stage", "final", "--sideways", "1.2").stdout
    assert "0.25 mm (0.0098 in) off the shoulder at the join" in final
    assert "shoulder's treble edge" in final
    assert "towards the tail" in final
    assert all(len(line) <= 100 for line in (shy + final).split("\n"))


def test_adjust_refuses_what_cannot_work() -> None:
    """Beyond the hold-back: status 1, the fault on standard error and in the object, with what can be done."""
    result = run("adjust", JOB, "--gap", "-9")
    assert result.exit_code == 1
    assert "--stage final" in result.stderr
    fault = as_json("adjust", JOB, "--gap", "-9")["errors"][0]
    assert fault["key"] == "--gap"
    assert "--stage final" in fault["allowed"]
    assert run("adjust", JOB, "--gap", "-9", "--stage", "final").exit_code == 0


@pytest.mark.parametrize("arguments", [("--gap", "3 parsecs"), ("--gap", "3", "--sideways", "2,500")])
def test_adjust_refuses_what_it_cannot_read(arguments: tuple[str, ...]) -> None:
    """A length that cannot be read is refused with the forms that can."""
    result = run("adjust", JOB, *arguments)
    assert result.exit_code == 1
    assert "2.2 cm" in result.stderr


@pytest.mark.parametrize("arguments", [("adjust", JOB), ("adjust", JOB, "--gap", "3", "--stage", "half")])
def test_wrong_usage(arguments: tuple[str, ...]) -> None:
    """A missing reading or an unknown stage is wrong usage: status 2."""
    assert run(*arguments).exit_code == 2


def test_reset_by_either_reading() -> None:
    """Clearance or action: one object, a taper from the join to the heel's end."""
    found = as_json("reset", JOB, "--clearance-now", "-3")
    again = as_json("reset", JOB, "--action-now", f"{found['action_now_mm']}")
    assert again["shoulder"]["back_end_mm"] == pytest.approx(found["shoulder"]["back_end_mm"])
    assert found["taper"][-1]["from_join_mm"] == pytest.approx(92.0)
    words = run("reset", JOB, "--clearance-now", "-3").stdout
    assert "0.94 mm (1/32 in) at the heel's back end" in words
    assert "lowering the saddle alone would leave" in words


def test_reset_wants_one_reading() -> None:
    """Neither reading, or both, is refused."""
    assert run("reset", JOB).exit_code == 1
    assert run("reset", JOB, "--clearance-now", "1", "--action-now", "2").exit_code == 1
