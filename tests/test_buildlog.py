"""The build log keeps what was measured, and many builds together say what drifts, wears or is off."""

from __future__ import annotations

import statistics
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from worked_examples import example_a

from generator.base.errors import InputError
from generator.job.load import load_job
from generator.joint.build_log import Build, DryFit, append_build, log_file, predictions, read_log
from generator.joint.build_review import review, trend_of
from generator.joint.readings import Measured
from generator.joint.solution import Solution, solve


@pytest.fixture(scope="module")
def solution() -> Solution:
    return solve(example_a())


def builds(solution: Solution, **measured: list[float]) -> list[Build]:
    """One build a day, with the errors of each quantity added to what the job predicts."""
    predicted = predictions(solution)
    count = max(len(errors) for errors in measured.values())
    return [
        Build(
            f"2024-05-{day + 1:02d}",
            {Measured(key): predicted[key] + errors[day] for key, errors in measured.items() if day < len(errors)},
            predicted,
        )
        for day in range(count)
    ]


def test_what_is_logged_is_read_back(tmp_path: Path, solution: Solution) -> None:
    """An entry keeps date, label, readings, fit, note and the prediction of its day; a second one follows it."""
    path = tmp_path / "orchestra.log.toml"
    first = Build("2024-05-31", {Measured.GAP_SHY: 3.1, Measured.SIDEWAYS: -0.4}, predictions(solution), 22.5,
                  DryFit.SNUG, "no. 12", 'said "fine"')  # fmt: skip
    append_build(path, first)
    append_build(path, Build("2024-06-02", {Measured.GAP_FINAL: 3.45}, predictions(solution)))
    found = read_log(path)
    assert [build.date for build in found] == ["2024-05-31", "2024-06-02"]
    assert (found[0].angle_rest, found[0].fit, found[0].label, found[0].note) == (
        22.5,
        DryFit.SNUG,
        "no. 12",
        'said "fine"',
    )
    assert found[0].measured == first.measured
    assert found[0].error(Measured.GAP_SHY) == pytest.approx(-0.4)
    assert found[1].error(Measured.GAP_SHY) is None


def test_a_log_of_before_is_still_read(tmp_path: Path) -> None:
    """An entry that knows fewer readings and predictions than today's keeps all that it had."""
    path = tmp_path / "x.log.toml"
    path.write_text(
        '[[build]]\ndate = "2024-05-31"\nmortise_length = 169.0\nsideways = -0.4\nangle_rest = 22.5\n'
        "[build.predicted]\nsideways = 0.0\nedge_offset = 1.5875\n"
    )
    (build,) = read_log(path)
    assert dict(build.measured) == {Measured.MORTISE_LENGTH: 169.0, Measured.SIDEWAYS: -0.4}
    assert (build.error(Measured.SIDEWAYS), build.error(Measured.MORTISE_LENGTH)) == (-0.4, None)


def test_faults_in_a_log_are_all_named(tmp_path: Path) -> None:
    """A misspelt key, an impossible width and a missing date are refused together."""
    path = tmp_path / "x.log.toml"
    path.write_text("[[build]]\nmortise_widht = 19\nmortise_width = 1900\n")
    with pytest.raises(InputError) as refused:
        read_log(path)
    assert [fault.key for fault in refused.value.faults] == [
        "build 1.mortise_widht",
        "build 1.mortise_width",
        "build 1.date",
    ]


def test_another_rest_predicts_another_gap(solution: Solution) -> None:
    """With the rest 0.4657 wider than the 21.3613 of 3.5 the gap rises to 3.5 + 289.8861·0.4657/150 = 4.4 (by hand)."""
    assert predictions(solution)["angle_rest"] == pytest.approx(21.3613, abs=1e-4)
    assert predictions(solution, 21.8270)["gap_shy"] == pytest.approx(4.4, abs=1e-3)
    assert predictions(solution)["gap_shy"] == pytest.approx(3.5)


def test_a_rest_no_jig_can_have_is_not_logged(tmp_path: Path, solution: Solution) -> None:
    """The option is named and nothing written: the log could not be read again."""
    path = tmp_path / "x.log.toml"
    with pytest.raises(InputError, match="--rest"):
        append_build(path, Build("2024-05-31", {}, predictions(solution), 1e6))
    assert not path.exists()


def test_the_log_stands_beside_the_job_but_never_inside_the_library() -> None:
    """A job file's log is its neighbour; a ready job's log goes into the working folder."""
    assert log_file(Path("/bench/mine.toml"), "any") == Path("/bench/mine.log.toml")
    ready = load_job("orchestra-14")
    assert log_file(ready.source_path, ready.name) == Path("orchestra-14.log.toml")


@given(st.lists(st.floats(-2, 2), min_size=2, max_size=12))
def test_trend_agrees_with_the_standard_library(errors: list[float]) -> None:
    """Mean, sample deviation and least-squares slope are those of the statistics module."""
    trend = trend_of(Measured.GAP_FINAL, errors)
    assert trend.mean == pytest.approx(statistics.fmean(errors), abs=1e-9)
    assert trend.spread == pytest.approx(statistics.stdev(errors), abs=1e-9)
    assert trend.drift == pytest.approx(statistics.linear_regression(range(len(errors)), errors).slope, abs=1e-9)


def test_widening_mortises_are_wear(solution: Solution) -> None:
    """Slots that widen by 0.022 mm a build mean a worn template; at 0.1 mm altogether it is to be cut anew."""
    wear = [0.022 * n + noise for n, noise in enumerate([0.0, 0.004, -0.003, 0.002, -0.004, 0.003])]
    found = review(builds(solution, mortise_width=wear), solution)
    trend = found.trend(Measured.MORTISE_WIDTH)
    assert trend is not None
    assert trend.drifting
    assert any("template's edges wear. Re-cut the plate" in line for line in found.advice)


def test_noise_is_no_drift(solution: Solution) -> None:
    """Readings that only scatter call nothing worn and suggest nothing."""
    found = review(builds(solution, mortise_width=[0.01, -0.012, 0.008, -0.006, 0.002]), solution)
    assert not found.trends[0].drifting
    assert found.edge_offset is None
    assert found.advice == ()


def test_suggested_offset_is_what_a_test_cut_would_have_found(solution: Solution) -> None:
    """With a true offset 0.05 below the nominal 1.5875 mortises come out 0.1 wide and tenons 0.1 narrow."""
    found = review(builds(solution, mortise_width=[0.1, 0.1], tenon_width=[-0.1, -0.1]), solution)
    assert found.edge_offset == pytest.approx(1.5375)


def test_a_plate_cut_too_large_is_not_taken_for_an_offset(solution: Solution) -> None:
    """Mortise and tenon both 0.2 wide is the plate's own error: the offset stays, and the plate is blamed."""
    found = review(builds(solution, mortise_width=[0.2, 0.2], tenon_width=[0.2, 0.2]), solution)
    assert found.edge_offset is None
    assert any("the plate as it was cut" in line for line in found.advice)


def test_a_steady_miss_of_the_gap_becomes_shims(solution: Solution) -> None:
    """0.9 mm low on the mean asks for 0.4657 mm more behind the angle rest, the worked shim of example A.

    The same figure on the stand-off, 17, would explain it, and the advice says which to measure.
    """
    found = review(builds(solution, gap_shy=[-0.9, -0.88, -0.92]), solution)
    assert found.angle_rest_change == pytest.approx(0.4657, abs=1e-4)
    (line,) = (line for line in found.advice if "stand-off" in line)
    assert "lay 0.47 mm more of shims" in line
    assert "17.47 mm" in line


def test_other_jobs_count_in_what_router_and_plate_cut(solution: Solution) -> None:
    """Two mortises here and two of another job make four; the gap and the sideways miss stay this job's own."""
    here = builds(solution, mortise_width=[0.1, 0.1], gap_shy=[0.2, 0.2])
    there = builds(solution, mortise_width=[0.14, 0.14], gap_shy=[-0.9, -0.9])
    found = review(here, solution, there)
    width, gap = found.trend(Measured.MORTISE_WIDTH), found.trend(Measured.GAP_SHY)
    assert width is not None
    assert (width.count, width.mean) == (4, pytest.approx(0.12))
    assert gap is not None
    assert gap.errors == pytest.approx((0.2, 0.2))
    assert found.edge_offset == pytest.approx(1.5875 - 0.06)


def test_builds_are_taken_by_date_not_by_place_in_the_file(solution: Solution) -> None:
    """A build entered late still stands where it belongs."""
    ordered = builds(solution, gap_final=[0.1, 0.2, 0.3])
    assert review([ordered[2], ordered[0], ordered[1]], solution).trends[0].errors == pytest.approx((0.1, 0.2, 0.3))
