"""The command line: what it prints, where, and with which exit status; and how little it loads."""

from __future__ import annotations

import json
import math
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from jobs_by_hand import PRESETS_ONLY, changed, written
from typer.testing import CliRunner

from generator.commands.cli import command_modules, program
from generator.job.load import job_from_tables, load_job
from generator.job.presets import PresetKind, list_presets
from generator.joint.solution import solve

ROOT = Path(__file__).parent.parent


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def run(*arguments: str) -> Any:
    return CliRunner().invoke(program(), list(arguments))


def process(*arguments: str) -> subprocess.CompletedProcess[str]:
    env = os.environ | {"PYTHONPATH": str(ROOT)}
    return subprocess.run([sys.executable, *arguments], capture_output=True, text=True, env=env, check=False)


# --- new -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("instrument", [preset.name for preset in list_presets(PresetKind.INSTRUMENTS)])
def test_a_new_job_loads_as_it_is(instrument: str) -> None:
    """`new` writes NAME.toml, which loads as it stands, on the presets that were asked for."""
    result = run("new", "bench-1", "--instrument", instrument)
    assert result.exit_code == 0, result.output
    job = load_job("bench-1.toml")
    assert job.name == "bench-1"
    assert job.instrument.preset == instrument


def test_every_line_of_a_new_job_can_be_switched_on() -> None:
    """With the # taken from every commented key the job is the same job: each shows a value of the job in hand."""
    run("new", "bench")
    before = load_job("bench.toml")
    text = Path("bench.toml").read_text(encoding="utf-8")
    switched = re.sub(r"^# (?=[a-z_]+ = )", "", text, flags=re.M)
    assert switched.count("\n") == text.count("\n")
    Path("bench.toml").write_text(switched, encoding="utf-8")
    after = load_job("bench.toml")
    for part in ("instrument", "target", "joint", "router", "jig", "output", "tolerances"):
        assert getattr(after, part) == getattr(before, part)
    assert after.inputs["instrument"]["scale_length"]["source"] == "job"


@pytest.mark.parametrize("router", [preset.name for preset in list_presets(PresetKind.ROUTERS)])
def test_the_examples_of_a_new_job_are_marked_and_of_this_router(router: str) -> None:
    """What nobody measured stands behind "# example:", no TOML as it stands; switched on it changes no size.

    A fixed edge offset of another kit would cut the tenon 3.65 mm wider than the mortise, 4 (2.5 - 1.55) less 0.15 mm.
    """
    if run("new", "bench", "--router", router).exit_code:
        pytest.skip("a kit that does not go with this instrument")
    text = Path("bench.toml").read_text(encoding="utf-8")
    before = solve(load_job("bench.toml"))
    for key in ("edge_offset", "stick_out"):
        assert len(re.findall(rf"^# example: {key} = ", text, flags=re.M)) == 1
        assert not re.search(rf"^(# )?{key} = ", text, flags=re.M)
    switched = re.sub(r"^# example: (?=(?:edge_offset|stick_out) = )", "", text, flags=re.M)
    Path("bench.toml").write_text(switched, encoding="utf-8")
    after = solve(load_job("bench.toml"))
    assert after.job.router.edge_offset is not None
    for size in ("opening_width", "opening_length", "tongue_width", "tongue_length"):
        assert getattr(after.routing, size) == pytest.approx(getattr(before.routing, size), abs=1e-3)
    assert not [check for check in after.checks if check.status.value != "ok"]


def test_the_other_targets_shown_are_this_jobs() -> None:
    """The ways of saying the target that are not used show what this one comes to: switching over changes nothing."""
    run("new", "bench")
    text = Path("bench.toml").read_text(encoding="utf-8")
    assert "saddle_gap = 2.85" in text
    shown = re.search(r"^# example: (bridge_clearance = \S+)", text, flags=re.M)
    assert shown
    Path("bench.toml").write_text(text.replace("saddle_gap = 2.85", shown[1], 1), encoding="utf-8")
    assert solve(load_job("bench.toml")).neck_set.saddle_gap == pytest.approx(2.85, abs=1e-3)


def test_new_never_overwrites() -> None:
    """A file that is there already stays as it is."""
    Path("bench.toml").write_text("mine", encoding="utf-8")
    assert run("new", "bench").exit_code == 1
    assert Path("bench.toml").read_text(encoding="utf-8") == "mine"


def test_new_writes_where_it_is_told() -> None:
    """-o names the file; the job keeps its own name."""
    assert run("new", "bench", "-o", "other.toml", "--router", "metric-17").exit_code == 0
    assert load_job("other.toml").name == "bench"
    assert load_job("other.toml").router.preset == "metric-17"


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (["../up"], "NAME"),
        (["con"], "NAME"),
        (["a", "--instrument", "lute"], "--instrument"),
        (["a", "--router", "lute"], "--router"),
        (["a", "-o", "no/such/folder/a.toml"], "no/such/folder"),
    ],
)
def test_new_refuses_and_writes_nothing(arguments: list[str], named: str) -> None:
    """Unsafe names, unknown presets and folders: status 1, no file."""
    result = run("new", *arguments)
    assert result.exit_code == 1
    assert named in result.stderr
    assert not list(Path().iterdir())


# --- presets -------------------------------------------------------------------------------------------------------


def test_presets_lists_every_kind_and_name() -> None:
    """Without arguments everything is listed; with a kind, that kind."""
    everything = run("presets").stdout
    for kind in PresetKind:
        one = run("presets", kind.value)
        assert one.exit_code == 0
        for preset in list_presets(kind):
            assert f"  {preset.name} " in one.stdout
            assert f"  {preset.name} " in everything


def test_a_preset_is_printed_with_its_sources() -> None:
    """The keys stand beside the numbers, and below them author, title and year."""
    text = run("presets", "instruments", "orchestra-14").stdout
    assert re.search(r"scale_length = \"25.4 in\" +# ref 3", text)
    assert "ref 1: M. Koch, after W. Cumpiano and J. Natelson, Determining the neck angle" in text
    assert "common practice" in text


@pytest.mark.parametrize("arguments", [["lutes"], ["routers", "lute"], ["instruments", "../jobs/orchestra-14"]])
def test_an_unknown_preset_is_a_refusal(arguments: list[str]) -> None:
    """Status 1, and the message lists what there is."""
    result = run("presets", *arguments)
    assert result.exit_code == 1
    assert "one of " in result.stderr
    assert not result.stdout


# --- solve ---------------------------------------------------------------------------------------------------------


def test_solve_prints_a_report_and_writes_nothing() -> None:
    """A readable report on standard output, status 0, no file."""
    result = run("solve", "orchestra-14")
    assert result.exit_code == 0
    for text in ("20.051 mm", "88.453°", "2.900 mm"):
        assert text in result.stdout
    assert not result.stderr
    assert not list(Path().iterdir())


def test_solve_json_is_one_object_and_nothing_else() -> None:
    """--json: one object with the promised tables on standard output."""
    result = run("solve", "orchestra-14", "--json")
    assert result.exit_code == 0
    found = json.loads(result.stdout)
    assert set(found) >= {
        "schema", "program", "version", "job", "inputs", "neck_set", "joint", "router", "cradle", "template", "parts",
        "uncertainty", "checks",
    }  # fmt: skip
    assert found["inputs"]["instrument"]["scale_length"] == {
        "value": 645.16,
        "source": "preset instruments/orchestra-14",
    }
    lean = math.tan(math.radians(found["neck_set"]["cradle_angle_deg"]))
    assert found["cradle"]["angle_rest_mm"] == pytest.approx(16.0 + 150.0 * lean, abs=1e-9)
    assert not result.stderr


def test_solve_takes_a_path_and_a_shop_file() -> None:
    """JOB may be a file; --shop names a shop file, and the report says what it changed."""
    path = written(Path(), PRESETS_ONLY)
    Path("mine.toml").write_text("[router.inch-half]\nedge_offset = 3.1\n", encoding="utf-8")
    result = run("solve", str(path), "--shop", "mine.toml", "--json")
    assert json.loads(result.stdout)["router"]["edge_offset_mm"] == 3.1
    assert "edge_offset = 3.1" in run("solve", str(path), "--shop", "mine.toml").stdout


def test_a_refusal_lists_all_faults() -> None:
    """Status 1; every fault on standard error; with --json also as one object with file, key, found, allowed."""
    path = str(written(Path(), changed(instrument={"frets": 99, "hieght": 1}, router={"reach": 30})))
    plain = run("solve", path)
    assert plain.exit_code == 1
    assert not plain.stdout
    keys = ["instrument.frets", "instrument.hieght", "router.reach"]
    for key in keys:
        assert f"{path}: {key}: found" in plain.stderr
    as_json = run("solve", path, "--json")
    assert as_json.exit_code == 1
    errors = json.loads(as_json.stdout)["errors"]
    assert sorted(error["key"] for error in errors) == keys
    for error in errors:
        assert set(error) == {"file", "key", "found", "allowed"}
        assert error["file"] == path


@pytest.mark.parametrize("job", ["missing.toml", "no-such-job"])
def test_a_missing_job_is_refused(job: str) -> None:
    """A job that is not there: status 1, not 2."""
    result = run("solve", job, "--json")
    assert result.exit_code == 1
    assert json.loads(result.stdout)["errors"][0]["file"] == job


def test_a_failed_check_still_prints_the_results() -> None:
    """A job whose numbers fail a check: the object is printed all the same, and the status is 1."""
    thin = changed(jig={"preset": "plywood", "plate_stock": "birch-ply-12", "tip_pin": False})
    path = str(written(Path(), thin))
    result = run("solve", path, "--json")
    assert result.exit_code == 1
    checks = {check["name"]: check["status"] for check in json.loads(result.stdout)["checks"]}
    assert "fail" in checks.values()
    plain = run("solve", path)
    assert plain.exit_code == 1
    assert "FAILS" in plain.stdout.split("\n\n")[0]


def test_unusual_playing_values_warn_and_never_fail() -> None:
    """An action or clearance outside the usual range is the builder's choice: warnings, status 0."""
    raw = {**changed(target=None), "target": {"action_bass": 6, "action_treble": 5}}
    result = run("solve", str(written(Path(), raw)))
    assert result.exit_code == 0
    assert "warning: action" in result.stdout.split("\n\n")[0]


# --- usage and process ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("arguments", [["nonsense"], ["solve"], ["solve", "orchestra-14", "--nonsense"], ["new"]])
def test_wrong_usage_is_status_two(arguments: list[str]) -> None:
    """Unknown commands and options, missing arguments: status 2."""
    assert run(*arguments).exit_code == 2


def test_help_and_version() -> None:
    """--help lists the commands, --version prints the version; both leave with 0."""
    shown = run("--help")
    assert shown.exit_code == 0
    for name in ("new", "presets", "solve"):
        assert name in shown.stdout
    assert run("--version").stdout.startswith("heelwright ")


def test_every_command_has_its_place() -> None:
    """Each command module names itself, and no two share a name."""
    names = [module.NAME for module in command_modules()]
    assert len(set(names)) == len(names)
    for module in command_modules():
        assert hasattr(module, "run") != hasattr(module, "group")


def test_only_the_wanted_command_is_loaded() -> None:
    """Asked for one command, the program imports no other."""
    assert [module.NAME for module in command_modules("solve")] == ["solve"]
    assert len(command_modules("refusal")) == len(command_modules())


def test_the_module_is_the_command() -> None:
    """`python -m generator` is the same program, in a process of its own, with the same statuses."""
    done = process("-m", "generator", "solve", "ukulele-tenor", "--json")
    assert done.returncode == 0
    assert json.loads(done.stdout)["job"] == "ukulele-tenor"
    refused = process("-m", "generator", "solve", "nothing", "--json")
    assert refused.returncode == 1
    assert json.loads(refused.stdout)["errors"]
    assert process("-m", "generator", "nonsense").returncode == 2


HEAVY = (
    "cadquery",
    "OCP",
    "ezdxf",
    "reportlab",
    "svgwrite",
    "numpy",
    "shapely",
    "fontTools",
    "pypdfium2",
    "svgelements",
)


def test_solve_loads_no_heavy_library() -> None:
    """Solving, with --json and without, never loads the CAD kernel, a file library or numpy."""
    code = (
        "import sys\nfrom generator.commands.cli import program\n"
        "for flags in ([], ['--json']):\n"
        "    program('solve')(['solve', 'orchestra-14', *flags], standalone_mode=False)\n"
        f"print(sorted(set(sys.modules) & set({HEAVY!r})), file=sys.stderr)\n"
    )
    done = process("-c", code)
    assert done.returncode == 0, done.stderr
    assert done.stderr.strip() == "[]"


def test_solve_takes_a_fifth_of_importing_the_kernel() -> None:
    """The whole process of `solve` takes at most a fifth of `import cadquery`, on whatever machine this is.

    Processor time of the two, in turns and each at its best, so that a machine busy for a while does not decide.
    """
    turns = [
        (
            processor_seconds("-c", "import cadquery"),
            *(processor_seconds("-m", "generator", "solve", "orchestra-14", "--json") for _ in range(3)),
        )
        for _ in range(3)
    ]
    kernel, solving = min(turn[0] for turn in turns), min(min(turn[1:]) for turn in turns)
    assert solving <= kernel / 5.0, f"solve {solving:.3f} s, import cadquery {kernel:.3f} s"


def processor_seconds(*arguments: str) -> float:
    """User and system time of one Python process, s."""
    code = (
        "import resource, subprocess, sys\n"
        "subprocess.run([sys.executable, *sys.argv[1:]], check=True, stdout=subprocess.DEVNULL)\n"
        "used = resource.getrusage(resource.RUSAGE_CHILDREN)\n"
        "print(used.ru_utime + used.ru_stime)\n"
    )
    return float(process("-c", code, *arguments).stdout)


def test_a_job_typed_by_hand_gives_the_presets_numbers() -> None:
    """Every value typed by hand, or every value from presets: the same joint."""
    job = load_job("orchestra-14")
    typed = {name: {key: entry["value"] for key, entry in job.inputs[name].items()} for name in TYPED}
    for table in typed.values():
        table.pop("preset", None)
    typed["instrument"]["top"] = {key: entry["value"] for key, entry in job.inputs["instrument.top"].items()}
    raw = {"schema": 2, "job": {"name": "orchestra-14"}, **typed}
    by_hand = solve(job_from_tables(drop_none(raw), Path("typed.toml")))
    by_preset = solve(job)
    assert by_hand.neck_set == by_preset.neck_set
    assert by_hand.joint == by_preset.joint
    assert by_hand.routing == by_preset.routing
    assert by_hand.cradle == by_preset.cradle


TYPED = ("instrument", "target", "joint", "router", "jig")


def drop_none(raw: Any) -> Any:
    """Keys that are left out, left out."""
    if isinstance(raw, dict):
        return {key: drop_none(value) for key, value in raw.items() if value is not None}
    return raw
