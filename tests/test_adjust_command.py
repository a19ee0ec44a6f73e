"""`adjust` and `reset` on the command line: words, JSON, refusals and exit statuses."""

from __future__ import annotations

import json
from typing import Any

import pytest
from jobs_by_hand import FULL, written
from typer.testing import CliRunner, Result

from generator.commands.cli import program


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A job file with the figures of the worked example A."""
    return str(written(tmp_path_factory.mktemp("adjust"), FULL))


def run(*arguments: str) -> Result:
    return CliRunner().invoke(program(arguments[0]), list(arguments))


def as_json(*arguments: str) -> Any:
    result = run(*arguments, "--json")
    return json.loads(result.stdout)


def test_adjust_prints_one_object(job: str) -> None:
    """With --json standard output is one object; found, wanted and stage are what was said."""
    found = as_json("adjust", job, "--gap", "2.6")
    assert found["gap_found_mm"] == 2.6
    assert found["gap_wanted_mm"] == 3.5
    assert found["stage"] == "shy"
    assert found["angle_rest_change_mm"] == pytest.approx(0.4657, abs=5.1e-5)
    assert found["trim_shims_mm"] == [1.0, 0.5]


def test_adjust_takes_the_job_files_units(job: str) -> None:
    """Lengths are read as in a job file: inches, fractions, negative readings."""
    assert as_json("adjust", job, "--gap", "1/8 in")["gap_found_mm"] == pytest.approx(3.175)
    assert as_json("adjust", job, "--gap", "-0.5")["gap_found_mm"] == -0.5
    assert as_json("adjust", job, "--gap", "3.5", "--rest", "22 mm")["angle_rest_new_mm"] == pytest.approx(22.0)


def test_adjust_in_words(job: str) -> None:
    """The words say rest and shims at the shy stage; taper, string length and edge at the final one."""
    shy = run("adjust", job, "--gap", "2.6").stdout
    assert "21.827 mm" in shy
    assert "lay shims 1 + 0.5 mm behind it" in shy
    assert "off the back edge of the tenon's end" in shy
    final = run("adjust", job, "--gap", "4.3", "--stage", "final", "--sideways", "1.2").stdout
    assert "0.25 mm (0.0100 in) off the shoulder at the join" in final
    assert "shoulder's treble edge" in final
    assert "towards the tail" in final
    far = run("adjust", job, "--gap", "5.8").stdout
    assert "plane a new angle rest, 19.171 mm wide" in far
    assert all(len(line) <= 100 for line in (shy + final + far).split("\n"))


def test_adjust_refuses_what_cannot_work(job: str) -> None:
    """Beyond the hold-back: status 1, the fault on standard error and in the object, with what can be done."""
    result = run("adjust", job, "--gap", "-9")
    assert result.exit_code == 1
    assert "--stage final" in result.stderr
    fault = as_json("adjust", job, "--gap", "-9")["errors"][0]
    assert fault["key"] == "--gap"
    assert "--stage final" in fault["allowed"]
    assert run("adjust", job, "--gap", "-9", "--stage", "final").exit_code == 0


@pytest.mark.parametrize("arguments", [("--gap", "3 parsecs"), ("--gap", "3", "--sideways", "2,500")])
def test_adjust_refuses_what_it_cannot_read(job: str, arguments: tuple[str, ...]) -> None:
    """A length that cannot be read is refused with the forms that can."""
    result = run("adjust", job, *arguments)
    assert result.exit_code == 1
    assert "2.2 cm" in result.stderr


def test_absurd_readings_are_refused_together(job: str) -> None:
    """A slip of the unit ends in a refusal that names each option, never in an error of arithmetic."""
    result = run("adjust", job, "--gap=-1000000", "--rest", "1000000", "--sideways", "2000 in")
    assert result.exit_code == 1
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert all(option in result.stderr for option in ("--gap", "--rest", "--sideways"))


@pytest.mark.parametrize("arguments", [(), ("--gap", "3", "--stage", "half")])
def test_wrong_usage(job: str, arguments: tuple[str, ...]) -> None:
    """A missing reading or an unknown stage is wrong usage: status 2."""
    assert run("adjust", job, *arguments).exit_code == 2


def test_reset_by_either_reading(job: str) -> None:
    """Clearance or action: one object, a taper from the join to the heel's end."""
    found = as_json("reset", job, "--clearance-now", "-3")
    again = as_json("reset", job, "--action-now", f"{found['action_now_mm']}")
    assert again["shoulder"]["back_end_mm"] == pytest.approx(found["shoulder"]["back_end_mm"])
    assert found["taper"][-1]["from_join_mm"] == pytest.approx(92.0)
    words = run("reset", job, "--clearance-now", "-3").stdout
    assert "0.94 mm (1/32 in) at the heel's back end" in words
    assert "lowering the saddle alone would leave" in words


def test_reset_wants_one_reading(job: str) -> None:
    """Neither reading, or both, is refused."""
    assert run("reset", job).exit_code == 1
    assert run("reset", job, "--clearance-now", "1", "--action-now", "2").exit_code == 1
