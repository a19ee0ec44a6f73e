"""`calibrate`, `log`, `solve --have` and the pictures of `adjust` and `reset`, as a person at the bench uses them."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pypdfium2 as pdfium
import pytest
from jobs_by_hand import FULL, PRESETS_ONLY, changed, written
from typer.testing import CliRunner

from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box
from generator.commands.cli import program
from generator.documents.setup.chart import Chart
from generator.documents.setup.record import BOXES, BoxKind, box, job_checksum
from generator.drawing.sheet import Label, Sheet
from generator.jig.build import build_jig
from generator.jig.results import results_dict
from generator.job.load import load_job
from generator.joint.build_log import DryFit, predictions, read_log
from generator.joint.readings import Measured
from generator.joint.solution import solve
from generator.kit.manifest import write_json

DAY = "2024-06-01"


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def run(*arguments: str) -> Any:
    return CliRunner().invoke(program(), list(arguments))


def shop() -> dict[str, Any]:
    return tomllib.loads(Path("shop.toml").read_text(encoding="utf-8"))


# --- calibrate -----------------------------------------------------------------------------------------------------


def test_printer_factors_are_kept_and_applied() -> None:
    """Bars of 99.5 and 100.2 mm give factors of 100/99.5 and 100/100.2, which the next job carries from "shop"."""
    result = run("calibrate", "printer", "--bar-x", "99.5", "--bar-y", "100.2", "--date", "2024-05-31")
    assert result.exit_code == 0, result.output
    assert shop()["printer"] == {
        "x_factor": 1.00503,
        "y_factor": 0.998,
        "date": "2024-05-31",
        "measured": {"bar_x": 99.5, "bar_y": 100.2},
    }
    inputs = load_job("orchestra-14").inputs["printer"]
    assert inputs["x_factor"] == {"value": 1.00503, "source": "shop"}


def test_measuring_a_corrected_page_keeps_the_factors() -> None:
    """A second page, printed with the factors, measures 100 mm: nothing changes; --uncorrected starts from scratch."""
    run("calibrate", "printer", "--bar-x", "99.5", "--bar-y", "100", "--date", "2024-05-31")
    run("calibrate", "printer", "--bar-x", "100", "--bar-y", "100", "--date", "2024-06-01")
    assert shop()["printer"]["x_factor"] == pytest.approx(1.00503, abs=1e-5)
    run("calibrate", "printer", "--bar-x", "100", "--bar-y", "100", "--date", "2024-06-02", "--uncorrected")
    assert shop()["printer"]["x_factor"] == 1.0


def test_solve_shows_what_a_calibration_changed() -> None:
    """An edge offset and a kerf from the shop file stand in the results with "shop" as their source."""
    arguments = ["--template-width", "25", "--slot-width", "19.8", "--gap-left", "2.6", "--gap-right", "2.6"]
    assert run("calibrate", "router", "metric-17", *arguments, "--date", "2024-06-01").exit_code == 0
    assert run("calibrate", "laser", "acrylic-3", "--slot", "0.2", "--date", "2024-06-01").exit_code == 0
    assert run("calibrate", "stock", "birch-ply-18", "17.7", "17.8", "0.7 in", "--date", "2024-06-01").exit_code == 0
    inputs = json.loads(run("solve", "orchestra-14", "--json").stdout)["inputs"]
    assert inputs["router"]["edge_offset"] == {"value": 2.6, "source": "shop"}
    assert inputs["stock.acrylic-3"]["kerf"] == {"value": 0.2125, "source": "shop"}
    assert inputs["stock.birch-ply-18"]["measured_thickness"]["value"] == pytest.approx(17.76, abs=1e-3)
    assert "shop.toml" in run("solve", "orchestra-14").stdout


def test_the_zero_check_is_kept_and_changes_the_next_rest() -> None:
    """Both turns of the square averaged; what solve then gives is cut to it: 17.3 and 16.9 are 17.1 for 17."""
    job = str(written(Path(), FULL))
    before = json.loads(run("solve", job, "--json").stdout)["cradle"]
    arguments = ["--stand-off", "17.3", "--stand-off-turned", "16.9", "--upper-rest", "17", "--sideways=-0.05"]
    assert run("calibrate", "jig", "plywood", *arguments, "--date", "2024-06-01").exit_code == 0
    assert shop()["jig"]["plywood"] == {
        "stand_off": 17.1,
        "stand_off_upper_rest": 17.0,
        "date": "2024-06-01",
        "measured": {"stand_off_1": 17.3, "stand_off_2": 16.9, "sideways_1": -0.05},
    }
    after = json.loads(run("solve", job, "--json").stdout)["cradle"]
    assert (before["stand_off_measured_mm"], after["stand_off_measured_mm"]) == (None, 17.1)
    assert after["angle_rest_drawn_mm"] == pytest.approx(before["angle_rest_drawn_mm"] + 0.1)
    assert after["angle_rest_mm"] == before["angle_rest_mm"]
    assert "measured on the built jig" in " ".join(run("solve", job).stdout.split())


def test_lengths_on_the_command_line_carry_units() -> None:
    """0.7 in is 17.78 mm; what may be two numbers is refused with its option named."""
    assert run("calibrate", "stock", "birch-ply-18", "0.7in", "--date", "2024-06-01").exit_code == 0
    assert shop()["stock"]["birch-ply-18"]["measured"] == {"thickness_1": 17.78}
    refused = run("calibrate", "stock", "birch-ply-18", "17,800", "--date", "2024-06-01")
    assert refused.exit_code == 1
    assert "THICKNESS" in refused.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ["printer", "--bar-x", "94", "--bar-y", "94", "--date", "2024-05-31"],
        ["printer", "--bar-x", "100", "--bar-y", "100", "--date", "31.5.2024"],
        ["laser", "acrylic-3", "--date", "2024-05-31"],
        ["jig", "plywood", "--stand-off", "27", "--upper-rest", "17", "--date", "2024-05-31"],
        ["jig", "plywod", "--stand-off", "17", "--upper-rest", "17", "--date", "2024-05-31"],
        ["jig", "plywood", "--stand-off", "17", "--upper-rest", "17", "--sideways-turned", "0", "--date", "2024-05-31"],
        ["laser", "acrylic-9", "--slot", "0.2", "--date", "2024-05-31"],
        ["stock", "birch-ply-18", "1.78", "--date", "2024-05-31"],
        ["router", "inch-half", "--template-width", "22", "--slot-width", "23", "--gap-left", "1", "--gap-right", "1",
         "--date", "2024-05-31"],
    ],
)  # fmt: skip
def test_refusals_write_nothing(arguments: list[str]) -> None:
    """A reading that cannot be, a bad date, an unknown stock: status 1, an error object, and no shop file."""
    result = run("calibrate", *arguments, "--json")
    assert result.exit_code == 1
    assert json.loads(result.stdout)["errors"]
    assert not Path("shop.toml").exists()


def test_a_date_is_needed() -> None:
    """Without a date the usage is wrong: status 2."""
    assert run("calibrate", "printer", "--bar-x", "100", "--bar-y", "100").exit_code == 2


def test_another_shop_file_and_json() -> None:
    """--shop names the file; --json prints what was written as one object."""
    result = run(
        "calibrate", "laser", "acrylic-3", "--tab-width", "5.8", "--date", "2024-05-31", "--shop", "a.toml", "--json"
    )
    assert json.loads(result.stdout) == {
        "file": "a.toml",
        "table": "stock.acrylic-3",
        "date": "2024-05-31",
        "values": {"kerf": 0.2},
        "measured_mm": {"coupon_tab": 5.8},
        "advice": json.loads(result.stdout)["advice"],
    }
    assert Path("a.toml").is_file()
    assert not Path("shop.toml").exists()


# --- log -----------------------------------------------------------------------------------------------------------


def test_builds_are_recorded_and_compared() -> None:
    """Two builds with their readings; the table gives the mean error of each quantity."""
    gap = load_job("orchestra-14").target.saddle_gap
    assert gap is not None
    first, second = f"{gap - 0.4}", f"{gap - 0.2}"
    run("log", "orchestra-14", "--date", "2024-06-01", "--gap-shy", first, "--mortise-width", "20.1", "--fit", "snug")
    result = run("log", "orchestra-14", "--date", "2024-06-05", "--gap-shy", second, "--label", "no. 4", "--json")
    assert result.exit_code == 0, result.output
    found = json.loads(result.stdout)
    assert found["builds"] == 2
    assert found["file"] == "orchestra-14.log.toml"
    trend = next(one for one in found["trends"] if one["quantity"] == "gap_shy")
    assert (trend["count"], trend["mean_error_mm"]) == (2, pytest.approx(-0.3))


def test_logs_of_other_jobs_are_counted_in() -> None:
    """--also reads another job's log once; the job's own log beside itself adds nothing, and a missing one is refused.

    A refused one leaves nothing written.
    """
    for job in ("orchestra-14", "dreadnought-tilted"):
        run("log", job, "--date", "2024-06-01", "--mortise-width", "19.1")
    twice = ["--also", "dreadnought-tilted.log.toml", "--also", "orchestra-14.log.toml"]
    found = json.loads(run("log", "orchestra-14", *twice, "--json").stdout)
    (trend,) = found["trends"]
    assert (found["builds"], trend["count"]) == (1, 2)
    assert found["also"] == ["dreadnought-tilted.log.toml"]
    before = Path("orchestra-14.log.toml").read_bytes()
    lost = run("log", "orchestra-14", "--date", "2024-06-02", "--gap-shy", "3.1", "--also", "lost.log.toml")
    assert lost.exit_code == 1
    assert "lost.log.toml" in lost.stderr
    assert Path("orchestra-14.log.toml").read_bytes() == before


def test_without_readings_the_log_is_only_read() -> None:
    """The file stays as it is; where there is none yet, it says how to begin."""
    assert "a first build" in run("log", "orchestra-14").stderr
    run("log", "orchestra-14", "--date", "2024-06-01", "--gap-final", "3.45")
    before = Path("orchestra-14.log.toml").read_bytes()
    result = run("log", "orchestra-14")
    assert result.exit_code == 0
    assert "gap, finished" in result.stdout
    assert Path("orchestra-14.log.toml").read_bytes() == before


def exported(values: Mapping[str, float | str], job: str = "orchestra-14", head: str = "", day: str = DAY) -> str:
    """The name of a record as the setup sheet's page exports it, written into the working folder."""
    own = head or f'checksum = "{job_checksum(load_job("orchestra-14"))}"'
    lines = [f'job = "{job}"', own, 'unit = "mm"', *([f'date = "{day}"'] if day else []), 'label = "no. 7"', "[boxes]"]
    lines += [f"{key} = {json.dumps(value)}" for key, value in values.items()]
    Path("sheet.record.toml").write_text("\n".join([*lines, "[done]", '"3" = true', ""]), encoding="utf-8")
    return "sheet.record.toml"


def wanted_boxes() -> dict[str, float | str]:
    """Every box of the sheet, filled with what the job predicts; the rest as a bench would fill them."""
    told = predictions(solve(load_job("orchestra-14")))
    unasked: dict[str, float | str] = {"rest_gap": 1.2, "heel_blank": 95.0, "shims_used": 2.5, "fit": "snug"}
    return {box.key: told.get(box.key, unasked.get(box.key, 6.0)) for box in BOXES}


def test_every_box_of_the_sheet_reaches_the_log() -> None:
    """--record writes each filled box under its own key, with date and label; read back, none is missing."""
    values = wanted_boxes()
    done = run("log", "orchestra-14", "--record", exported(values))
    assert (done.exit_code, done.stderr) == (0, ""), done.output
    (build,) = read_log(Path("orchestra-14.log.toml"))
    assert {what.value: value for what, value in build.measured.items()} | {"fit": "snug"} == pytest.approx(values)
    assert {what.value for what in Measured} | {"fit"} == {box.key for box in BOXES}
    assert all(box(what.value).kind is (BoxKind.ANGLE if what.is_angle else BoxKind.LENGTH) for what in Measured)
    assert (build.date, build.label, build.fit) == (DAY, "no. 7", DryFit.SNUG)


def test_a_record_is_logged_once() -> None:
    """The same file again adds no build and says which one it is; changed in one box, or by hand, it is another."""
    log, file = Path("orchestra-14.log.toml"), exported({"gap_final": 3.0, "fit": "snug"})
    run("log", "orchestra-14", "--date", "2024-06-01", "--gap-final", "2.9")
    assert run("log", "orchestra-14", "--record", file).stderr == ""
    before = log.read_bytes()
    again = run("log", "orchestra-14", "--record", file)
    assert again.exit_code == 0
    assert "are build 2 of orchestra-14.log.toml already; nothing was added" in again.stderr
    assert log.read_bytes() == before
    assert run("log", "orchestra-14", "--record", exported({"gap_final": 3.1, "fit": "snug"})).stderr == ""
    assert run("log", "orchestra-14", "--record", file, "--note", "read again").stderr == ""
    run("log", "orchestra-14", "--date", "2024-06-01", "--gap-final", "2.9")
    assert len(read_log(log)) == 5


def test_an_option_stands_above_the_record() -> None:
    """A reading given by hand, its day too, replaces the box's; an angle's error is told in degrees."""
    file = exported({"gap_final": 3.0, "heel_angle": 88.0}, day="")
    assert "--date" in run("log", "orchestra-14", "--record", file).stderr
    done = run("log", "orchestra-14", "--record", file, "--date", "2024-07-01", "--gap-final", "3.2", "--json")
    assert done.exit_code == 0, done.output
    (build,) = read_log(Path("orchestra-14.log.toml"))
    assert (build.date, build.measured[Measured.GAP_FINAL]) == ("2024-07-01", 3.2)
    trend = next(one for one in json.loads(done.stdout)["trends"] if one["quantity"] == "heel_angle")
    heel = solve(load_job("orchestra-14")).neck_set.heel_angle
    assert trend["mean_error_deg"] == pytest.approx(88.0 - heel, abs=1e-3)


@pytest.mark.parametrize(
    ("values", "job", "key"),
    [
        ({"gap_final": 3.0}, "parlour-12", "job"),
        ({"mortise_width": 31.0}, "orchestra-14", "boxes.mortise_width"),
        ({"shims_used": 300.0}, "orchestra-14", "boxes.shims_used"),
        ({}, "orchestra-14", "boxes"),
    ],
)
def test_a_record_that_cannot_be_of_this_joint_is_refused(values: dict[str, float | str], job: str, key: str) -> None:
    """Another job's record, a slip of the pen and an empty sheet: the file and its key are named, nothing is kept."""
    done = run("log", "orchestra-14", "--record", exported(values, job), "--json")
    assert done.exit_code == 1
    assert [(one["file"], one["key"]) for one in json.loads(done.stdout)["errors"]] == [("sheet.record.toml", key)]
    assert not Path("orchestra-14.log.toml").exists()


def test_a_record_of_an_older_state_of_the_job_is_kept_with_a_warning() -> None:
    """The readings are never lost, and both checksums are told."""
    done = run("log", "orchestra-14", "--record", exported({"gap_final": 3.0}, head='checksum = "0123"'))
    assert done.exit_code == 0
    for word in ("mind:", '"0123"', job_checksum(load_job("orchestra-14"))):
        assert word in done.stderr
    assert len(read_log(Path("orchestra-14.log.toml"))) == 1


@pytest.mark.parametrize(
    "arguments",
    [
        ["--gap-shy", "3.1"],
        ["--gap-shy", "31", "--date", "2024-06-01"],
        ["--mortise-width", "0.75", "--date", "2024-06-01"],
        ["--gap-shy", "3.1", "--date", "2024-06-01", "--plot", "gap.png"],
        ["--note", "two\nlines", "--date", "2024-06-01"],
    ],
)
def test_a_refused_record_is_not_kept(arguments: list[str]) -> None:
    """No date, a slip of the pen, inches typed as mm, a picture of unknown kind: nothing is written."""
    assert run("log", "orchestra-14", *arguments).exit_code == 1
    assert not list(Path().iterdir())


def test_the_log_stands_beside_the_job_file() -> None:
    """A job of one's own has its log next to it."""
    Path("jobs").mkdir()
    run("new", "mine", "-o", "jobs/mine.toml")
    result = run("log", "jobs/mine.toml", "--date", "2024-06-01", "--sideways=-0.4")
    assert result.exit_code == 0, result.output
    assert sorted(path.name for path in Path("jobs").iterdir()) == ["mine.log.toml", "mine.toml"]


def test_the_gap_error_is_drawn() -> None:
    """--plot writes an SVG whose text names both axes."""
    run("log", "orchestra-14", "--date", "2024-06-01", "--gap-shy", "3.1", "--gap-final", "3.45")
    assert run("log", "orchestra-14", "--plot", "gap.svg").exit_code == 0
    assert "gap error, mm" in Path("gap.svg").read_text(encoding="utf-8")


# --- pictures of adjust and reset ----------------------------------------------------------------------------------


def test_adjust_draws_the_reading_and_the_new_shims() -> None:
    """Example A read at 2.6: the picture names the reading and the stack to lay."""
    job = str(written(Path(), FULL))
    result = run("adjust", job, "--gap", "2.6", "--plot", "gap.svg", "--json")
    assert json.loads(result.stdout)["angle_rest_new_mm"] == pytest.approx(21.8270, abs=1e-4)
    text = Path("gap.svg").read_text(encoding="utf-8")
    assert "reading 2.6" in text
    assert "shims 1 + 0.5" in text


@pytest.mark.parametrize(
    ("gap", "rest"),
    [("4.82421875", "23.26"), ("4.82421875", "23.259765625"), ("-49.9", "99.9"), ("50", "5"), ("1/8 in", "3/4 in")],
)
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_no_reading_makes_words_leave_the_chart(gap: str, rest: str, units: str) -> None:
    """Whatever was read over whatever rest: a tick's number stands inside the picture, and the picture is written."""
    job = str(written(Path(), changed(output={"units": units})))
    result = run("adjust", job, f"--gap={gap}", "--rest", rest, "--stage", "final", "--plot", "gap.svg")
    assert result.exit_code == 0, result.output
    assert Path("gap.svg").is_file()


@pytest.mark.parametrize("x", [(22.0, 23.2502), (1199.9, 1200.0001), (-0.02501, 0.07)])
def test_a_number_at_the_frames_edge_stays_on_the_chart(x: tuple[float, float]) -> None:
    """A tick that falls on the frame's corner has a number wider than the margin: it is moved in, whole."""
    chart = Chart("edge", "Edge", 120.0, 78.0, x, (2.0, 5.0), Box(15.0, 16.0, 117.5, 70.0))
    chart.grid("x", "y", x_steps=5)
    chart.words("reading", P2(119.0, 40.0))
    labels = [item for item in chart.sheet().items if isinstance(item, Label)]
    assert all(one.box().x0 >= 0.0 and one.box().x1 <= 120.0 for one in labels)
    assert any(one.text == "reading" for one in labels)


def test_ink_off_a_sheet_is_named_in_words() -> None:
    """A message shows a person the words that do not fit, not the program's own record of them."""
    with pytest.raises(LayoutError, match=r'the words "far off" outside the 60 × 40 sheet') as refused:
        Sheet("chart", "Chart", 60.0, 40.0, (Label("far off", P2(70.0, 10.0), 2.0),))
    assert "P2(" not in str(refused.value)


def test_reset_writes_a_full_scale_template() -> None:
    """The PDF is on the job's paper, its first page carries the check square before the pattern."""
    result = run("reset", "orchestra-14", "--clearance-now=-3", "--template", "taper.pdf")
    assert result.exit_code == 0, result.output
    document = pdfium.PdfDocument(Path("taper.pdf").read_bytes())
    assert document[0].get_size() == pytest.approx((595.276, 841.890), abs=0.01)
    words = "".join(document[i].get_textpage().get_text_range() for i in range(len(document)))
    assert "100 mm" in words
    assert "Neck reset" in words


def test_a_picture_of_unknown_kind_is_refused() -> None:
    """Only .svg and .pdf; the option is named and nothing written."""
    for arguments in (
        ("adjust", "orchestra-14", "--gap", "2.6", "--plot", "gap.png"),
        ("reset", "orchestra-14", "--clearance-now=-3", "--template", "taper.dxf"),
    ):
        result = run(*arguments)
        assert result.exit_code == 1
        assert arguments[-2] in result.stderr
    assert not list(Path().iterdir())


# --- solve --have --------------------------------------------------------------------------------------------------


@pytest.fixture
def kit() -> Path:
    """The folder of a kit as far as the comparison reads it, of the job with example A's figures."""
    folder = Path("bench")
    folder.mkdir()
    solution = solve(load_job(written(Path(), FULL)))
    write_json(folder / "results.json", results_dict(solution, build_jig(solution)))
    return folder


def test_solve_says_which_parts_serve(kit: Path) -> None:
    """The same job: everything serves. Another gap: an angle rest, or shims behind the old one."""
    same = json.loads(run("solve", "bench.toml", "--have", str(kit), "--json").stdout)
    assert {part["verdict"] for part in same["have"]["parts"]} == {"serves"}
    other = run("solve", str(written(Path(), changed(target={"saddle_gap": 4.1}))), "--have", str(kit))
    assert other.exit_code == 0, other.output
    assert "angle rest width 20.36 → 20.67; or lay shims 1 + 0.2 + 0.1 mm" in " ".join(other.stdout.split())


@pytest.mark.parametrize(
    ("correction", "new"),
    [
        ("[router.inch-half]\nedge_offset = 3.1\n", {"template_plate", "plug", "bushing_slip"}),
        ("[jig.plywood]\nstand_off = 17.3\nstand_off_upper_rest = {w}\n", {"angle_rest", "zero_rest"}),
    ],
)
def test_a_corrected_shop_shows_in_the_comparison(correction: str, new: set[str]) -> None:
    """What the shop measured after the kit was made: another offset widens no old plate, a stand-off no old rest."""
    job, folder = written(Path(), PRESETS_ONLY), Path("bench")
    folder.mkdir()
    solution = solve(load_job(job))
    write_json(folder / "results.json", results_dict(solution, build_jig(solution)))
    Path("shop.toml").write_text(correction.format(w=solution.cradle.upper_rest))
    found = json.loads(run("solve", str(job), "--have", str(folder), "--json").stdout)["have"]["parts"]
    assert new <= {part["name"] for part in found if part["verdict"] == "make new"}
    assert "board" not in {part["name"] for part in found if part["verdict"] == "make new"}


def test_no_kit_is_refused() -> None:
    """A folder without results is named."""
    result = run("solve", "orchestra-14", "--have", "nowhere")
    assert result.exit_code == 1
    assert "nowhere/results.json" in result.stderr
