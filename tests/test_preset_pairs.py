"""Instruments, router kits and jigs that ship go together, or another jig is taken and the output says so."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from generator.base.errors import InputError
from generator.commands.cli import program
from generator.jig.buildability import with_standing
from generator.job.load import job_from_tables
from generator.job.merge import DEFAULT_JIG, JIGS
from generator.job.model.job import Job
from generator.job.presets import PresetKind, list_presets
from generator.job.shop import Shop
from generator.job.tables import SCHEMA
from generator.joint.checks import CheckStatus
from generator.joint.solution import solve

#: The instrument that the trim router is paired with.
GUITAR = "orchestra-14"
#: A trim router, which the usual jig does not suit.
TRIM = "trim-metric-10"
#: The jig that is taken in the usual one's place.
OTHER = "plywood-small"
INSTRUMENTS, ROUTERS, SHIPPED = (
    [preset.name for preset in list_presets(kind)]
    for kind in (PresetKind.INSTRUMENTS, PresetKind.ROUTERS, PresetKind.JIGS)
)


def loaded(instrument: str, router: str, **jig: Any) -> Job:
    tables = {
        "schema": SCHEMA, "job": {"name": "x"}, "instrument": {"preset": instrument}, "router": {"preset": router}
    }  # fmt: skip
    return job_from_tables(tables | ({"jig": jig} if jig else {}), Path("x.toml"), Shop())


#: What a bushing too wide for a ukulele's narrow tenon fails: nothing is left of the tongue for its end's screw, and a
#: mortise as narrow as the bit leaves the bushing no play in its opening.
NARROW = {"tip screw", "tongue width", "bushing in the opening"}


@pytest.mark.parametrize("router", ROUTERS)
def test_every_router_kit_makes_every_instrument(router: str) -> None:
    """Each pair loads without a jig named, and fails no check but one: a wide bushing on a ukulele's narrow tenon."""
    for instrument in INSTRUMENTS:
        solution = with_standing(solve(loaded(instrument, router)))
        failed = {check.name for check in solution.checks if check.status is CheckStatus.FAIL}
        narrow = solution.routing.tongue_width < 12.0 and instrument.startswith("ukulele")
        assert failed <= (NARROW if narrow else set()), (instrument, failed)


def test_a_short_reach_takes_a_thinner_plate_and_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A trim router reaches 36 mm, a plate of 18 mm and a mortise of 21 mm ask for 39 mm."""
    job = loaded(GUITAR, TRIM)
    assert job.jig.preset == OTHER
    (note,) = job.notes
    assert note.startswith(f'jig.preset = "{OTHER}" is taken, because with the usual one: router.reach 36 mm')
    assert loaded(GUITAR, "metric-17").notes == ()
    monkeypatch.chdir(tmp_path)
    made = CliRunner().invoke(program("new"), ["new", "mine", "--instrument", GUITAR, "--router", TRIM])
    assert made.exit_code == 0
    assert f'preset = "{OTHER}"' in Path("mine.toml").read_text(encoding="utf-8")
    Path("bare.toml").write_text(
        f'schema = {SCHEMA}\n[job]\nname = "bare"\n[instrument]\npreset = "{GUITAR}"\n[router]\npreset = "{TRIM}"\n'
    )
    for words in (["solve", "bare.toml"], ["make", "bare.toml", "--only", "laser", "--workers", "1", "--no-cache"]):
        said = CliRunner().invoke(program(words[0]), words, env={"COLUMNS": "300"}).output
        assert f'"{OTHER}" is taken' in " ".join(said.split()), said


def test_a_jig_that_is_named_is_kept_and_the_refusal_names_one_that_works() -> None:
    """Nothing of the job's own is changed; a job that no preset mends names none."""
    with pytest.raises(InputError, match=rf'router\.reach.*or jig\.preset = "{OTHER}"'):
        loaded(GUITAR, TRIM, preset=DEFAULT_JIG)
    with pytest.raises(InputError) as refused:
        loaded(GUITAR, TRIM, preset=DEFAULT_JIG, plate_stock="birch-ply-18")
    assert "jig.preset" not in str(refused.value)
    with pytest.raises(InputError, match=r"jig\.preset"):
        loaded(GUITAR, TRIM, preset="teak")


def test_every_shipped_jig_may_be_taken() -> None:
    """The jigs that are tried are those that ship."""
    assert sorted(JIGS) == sorted(SHIPPED)
