"""What-if tables: each point is the job with those inputs, and nothing of a point leaks into the next."""

from __future__ import annotations

import csv
import math
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from generator.base.csv_text import csv_text, guarded
from generator.base.errors import InputError
from generator.commands.cli import program
from generator.jig.results import results_dict
from generator.job.load import job_from_tables, load_job
from generator.job.model.job import Job
from generator.job.tables import KEYS
from generator.joint.solution import solve
from generator.kit.crew import crew_of
from generator.kit.sweep import sweep, sweep_plot
from generator.kit.sweep_inputs import read_vary


def test_a_lower_bridge_changes_what_geometry_says() -> None:
    """With the gap kept, a bridge 1 mm lower leaves 1 mm more over it, and the strings come down by half of that.

    The action at half the scale follows the saddle's height by similar triangles: L / 2 to L + compensation. The
    formula is elementary geometry, worked out here by hand.
    """
    job = load_job("orchestra-14")
    found = sweep(job, [read_vary("bridge_thickness=8.5:9.5:2"), read_vary("saddle_gap=2.9:3.9:2")])
    low, high = (point.results for point in (found.points[0], found.points[2]))
    assert low[1] - high[1] == pytest.approx(1.0, abs=1e-9)  # type: ignore[operator]
    scale, more = job.instrument.scale_length, job.instrument.saddle_compensation
    assert high[2] - low[2] == pytest.approx(scale / 2.0 / (scale + more), abs=2e-3)  # type: ignore[operator]
    assert [point.inputs for point in found.points] == [(8.5, 2.9), (8.5, 3.9), (9.5, 2.9), (9.5, 3.9)]
    assert [point.results[0] for point in found.points] == pytest.approx([2.9, 3.9, 2.9, 3.9])


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("instrument.heel_width", 64.0),
        ("instrument.top.radius", 9000.0),
        ("target.saddle_gap", 3.3),
        ("joint.mortise_length", 75.0),
        ("router.bit_diameter", 11.0),
        ("jig.rest_spacing", 140.0),
        ("tolerances.gap_reading", 0.4),
        ("joint.bolts.count", 1.0),
        ("joint.bolts.from_top.2", 58.0),
        ("jig.shims.1", 0.15),
    ],
)
def test_a_point_is_the_job_loaded_with_that_value(key: str, value: float) -> None:
    """Every number of results.json equals that of a job file with the value in it: another way to the same job."""
    job = load_job("orchestra-14")
    names = ["neck_set.action_mm", "cradle.angle_rest_drawn_mm", "joint.tenon_length_mm", "router.tongue_width_mm"]
    names += ["uncertainty.gap_worst_mm", "joint.heel_blank_width_mm", "joint.bolts.1.from_top_mm"]
    step = 1.0 if key.endswith("count") else 0.5
    found = sweep(job, [read_vary(f"{key}={value}:{value + step}:2")], names)
    effective = results_dict(solve(_with(job, key, value)))
    wanted = [
        effective["joint"]["bolts"][0]["from_top_mm"]
        if ".bolts." in name
        else effective[name.split(".")[0]][name.split(".")[1]]
        for name in names
    ]
    assert list(found.points[0].results) == pytest.approx(wanted, abs=1e-12)


def _with(job: Job, key: str, given: float) -> Job:
    import tomllib

    path = job.source_path
    assert path is not None
    tables = tomllib.loads(path.read_text(encoding="utf-8"))
    *where, name = key.split(".")
    if where == ["target"]:
        tables["target"] = {}
    if where == ["instrument", "top"]:
        top = job.instrument.top
        tables["instrument"]["top"] = {k: v for k, v in top.model_dump().items() if v is not None}
    value: float | list[float] = given
    place = int(name) - 1 if name.isdigit() else -1
    if place >= 0:
        *where, name = where
        old = [bolt.from_top for bolt in solve(job).joint.bolts] if name == "from_top" else list(job.jig.shims)
        value = [*old[:place], given, *old[place + 1 :]]
    if where == ["joint", "bolts"]:
        bolts = job.joint.bolts
        tables.setdefault("joint", {})["bolts"] = {"thread": bolts.thread, "kind": bolts.kind.value}
    inner = tables
    for part in where:
        inner = inner.setdefault(part, {})
    inner[name] = value
    return job_from_tables(tables, path)


def test_what_the_rules_refuse_keeps_its_row() -> None:
    """A point that cannot be says why and has no numbers; the others have theirs."""
    found = sweep(load_job("orchestra-14"), [read_vary("body_fret=14:20:2"), read_vary("frets=18:22:2")])
    assert [bool(point.refused) for point in found.points] == [False, False, True, False]
    assert found.points[2].results == (None,) * 5
    assert "body_fret" in found.points[2].refused or "frets" in found.points[2].refused


def test_checks_are_counted_when_asked_for() -> None:
    """A block left 1 mm thick under the mortise fails its check, and the row says which."""
    found = sweep(
        load_job("orchestra-14"), [read_vary("neck_block_thickness=45:22:2")], ("joint.mortise_depth_mm",), checks=True
    )
    assert found.points[0].results[1:] == (0.0, "")
    failed, names = found.points[1].results[1:]
    assert isinstance(failed, float)
    assert failed >= 1.0
    assert isinstance(names, str)
    assert "mortise floor" in names


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("bridge_thikness=8:10:3", "bridge_thickness"),
        ("bridge_thickness=8:10", "FROM:TO:N"),
        ("bridge_thickness=1:10:3", "3 to 20 mm"),
        ("bridge_thickness=8:10:1", "from 2 to"),
        ("handed=1:2:3", r'handed, which holds "right", "left"; .*a key that holds a number; beside it'),
        ("joint.bolts=1:3:3", r"a table; .*joint\.bolts\.from_top\.1, .*joint\.bolts\.count"),
        ("bolts=1:3:3", r"a table; .*joint\.bolts\.from_top\.1"),
        ("from_top=20:30:3", r"a list; .*joint\.bolts\.from_top\.1"),
        ("joint.bolts.thread=4:8:3", r"holds .*M6.*beside it: joint\.bolts\.from_top\.1"),
        ("target=1:2:3", r"a table; .*target\.saddle_gap"),
        ("instrument.top.form=1:2:3", r"instrument\.top\.form"),
        ("instrument.preset=1:2:3", r"preset"),
        ("output.paper=1:2:3", r"output\.paper, which holds a list"),
        ("stock=1:2:3", r"unknown key"),
    ],
)
def test_what_cannot_be_varied_is_refused(text: str, word: str) -> None:
    """Unknown keys name the nearest, values out of range what is allowed."""
    with pytest.raises(InputError, match=word):
        read_vary(text)


def test_every_key_of_a_job_is_varied_or_refused_by_name() -> None:
    """No key is unknown to a sweep: a number is varied, another one is refused with what it holds."""
    numbers = []
    for table, kinds in KEYS.items():
        for key in () if table in ("job", "stock") else kinds:
            try:
                numbers.append(read_vary(f"{table}.{key}=x:y:2").key)
            except InputError as error:
                (fault,) = error.faults
                assert "unknown" not in fault.found
                assert f"{table}.{key}" in f"{fault.key} {fault.found} {fault.allowed}"
    assert numbers == []


@pytest.mark.parametrize(
    ("name", "text", "word"),
    [
        ("orchestra-14", "instrument.top.zero_angle_gap=2:3:2", r"one of instrument\.top\.radius"),
        ("orchestra-14", "joint.bolts.from_top.3=60:70:2", r"the job has 2; .*joint\.bolts\.from_top\.2"),
        ("orchestra-14", "jig.shims.7=1:2:2", r"the job has 4"),
    ],
)
def test_what_this_job_has_not_is_refused_before_any_point(name: str, text: str, word: str) -> None:
    """A number of another kind of top, or past a list's end, is no row of refusals: it is refused once."""
    with pytest.raises(InputError, match=word):
        sweep(load_job(name), [read_vary(text)])


def test_one_input_is_varied_once() -> None:
    """The same key on both axes would hide one of them."""
    with pytest.raises(InputError, match="twice"):
        sweep(load_job("orchestra-14"), [read_vary("heel_width=56:60:2"), read_vary("instrument.heel_width=56:60:3")])


def test_a_point_that_breaks_a_keys_own_rule_says_so_in_plain_words() -> None:
    """Two bolts in one place: the row names the key and what it allows, on one line and without an address."""
    found = sweep(
        load_job("orchestra-14"), [read_vary("joint.bolts.from_top.1=20:50:3"), read_vary("from_top.2=50:55:2")]
    )
    refused = [point for point in found.points if point.refused]
    assert [point.inputs for point in refused] == [(50.0, 50.0)]
    assert "different" in refused[0].refused
    assert "http" not in refused[0].refused
    assert "\n" not in refused[0].refused


def test_an_unknown_result_names_the_nearest() -> None:
    """A result that results.json has not is refused before anything is worked out."""
    with pytest.raises(InputError, match=r"neck_set\.saddle_gap_mm"):
        sweep(load_job("orchestra-14"), [read_vary("bridge_thickness=8:10:3")], ("neck_set.sadle_gap",))


def test_the_command_writes_table_and_picture(tmp_path: Path) -> None:
    """A CSV that a strict reader reads, a row a point, and an SVG with a line for each value of the second input."""
    table, picture = tmp_path / "t.csv", tmp_path / "p.svg"
    words = ["sweep", "orchestra-14", "--vary", "bridge_thickness=8:10:5", "--vary", 'saddle_gap="7/64 in":3.5:3']
    words = [word.replace('"', "") for word in words]
    result = CliRunner().invoke(program("sweep"), [*words, "-o", str(table), "--plot", str(picture)])
    assert result.exit_code == 0, result.output
    with table.open(newline="") as handle:
        rows = list(csv.reader(handle, strict=True))
    assert rows[0][:3] == ["instrument.bridge_thickness", "target.saddle_gap", "neck_set.saddle_gap_mm"]
    assert len(rows) == 16
    assert float(rows[1][1]) == pytest.approx(7 / 64 * 25.4)
    assert all(math.isfinite(float(cell)) for row in rows[1:] for cell in row[:-1])
    assert picture.read_text().count("<path") >= 3


def test_processes_share_the_points_and_change_nothing() -> None:
    """Two processes give the table of one, in the same order, more than a share long."""
    axes = [read_vary("bridge_thickness=8:10:70"), read_vary("joint.bolts.from_top.1=20:50:2")]
    job = load_job("orchestra-14")
    alone = sweep(job, axes, checks=True)
    assert len(alone.points) == 140
    with crew_of(2) as crew:
        assert sweep(job, axes, checks=True, crew=crew) == alone


def test_the_same_sweep_gives_the_same_picture() -> None:
    """Same input, same sheet."""
    axes = [read_vary("bridge_thickness=8:10:5")]
    one, two = (sweep_plot(sweep(load_job("orchestra-14"), axes)) for _ in range(2))
    assert one == two


def test_a_sweep_loads_no_kernel() -> None:
    """Neither the CAD kernel nor the DXF library is loaded for a table."""
    script = (
        "import sys; from generator.job.load import load_job; from generator.kit.sweep import sweep;"
        "from generator.kit.sweep_inputs import read_vary;"
        "sweep(load_job('orchestra-14'), [read_vary('bridge_thickness=8:10:3')]);"
        "print([n for n in ('cadquery', 'OCP', 'ezdxf', 'reportlab', 'numpy') if n in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("cell", ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", "  =1+1", "=HYPERLINK(1)"])
def test_a_cell_that_a_spreadsheet_would_run_is_text(cell: str) -> None:
    """Formulas stand behind an apostrophe (the usual guard against CSV injection); numbers stay numbers."""
    assert guarded(cell) == f"'{cell}"
    assert csv_text([[cell, "-2.5", -0.02]]).endswith(",-2.5,-0.02\r\n")
