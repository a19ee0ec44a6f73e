"""How far a class is, told from its logs."""

from __future__ import annotations

from pathlib import Path

import pytest
from class_of_twelve import read_text

from generator.classes.status import Bench, Progress, bench_state, in_need, jig_states, read_bench
from generator.joint.build_log import Build, DryFit, append_build, predictions
from generator.joint.corrections import correct
from generator.joint.readings import Measured
from generator.joint.solution import Solution, solve

_TEXT = "student,saddle_gap\nAda,2.9\nBo,2.9\n"


@pytest.fixture
def solved(tmp_path: Path) -> Solution:
    return solve(read_text(_TEXT, tmp_path, "orchestra-14").students[0].job)


def _build(solution: Solution, day: int, fit: DryFit | None = None, **found: float) -> Build:
    measured = {Measured(key): value for key, value in found.items()}
    return Build(f"2024-05-{day:02d}", measured, predictions(solution), fit=fit)


def _bench(solution: Solution, *builds: Build) -> Bench:
    return Bench("Ada", "jig-1", solution, builds)


def test_progress_follows_the_work(solved: Solution) -> None:
    """Nothing, mortise, tenon, gap read, finished: each entry of the log takes the bench further."""
    steps = [
        _build(solved, 1, mortise_width=20.0),
        _build(solved, 1, tenon_width=19.85),
        _build(solved, 2, gap_shy=3.1),
        _build(solved, 3, gap_final=2.95),
    ]
    states = [bench_state(_bench(solved, *steps[:n])) for n in range(5)]
    assert [one.progress for one in states] == [
        Progress.NOTHING, Progress.MORTISE, Progress.TENON, Progress.READ, Progress.FINISHED,
    ]  # fmt: skip
    assert [one.next_step for one in states[:3]] == ["cut the mortise", "cut the tenon", "dry fit: read the gap"]
    assert states[4].next_step == "done"
    assert [one.last_day for one in states] == ["", "2024-05-01", "2024-05-01", "2024-05-02", "2024-05-03"]
    assert all(one.attention == "" for one in states)


def test_the_next_step_is_what_adjust_says(solved: Solution) -> None:
    """The shims told are the correction's own, and the last reading counts."""
    state = bench_state(_bench(solved, _build(solved, 1, gap_shy=9.0), _build(solved, 2, gap_shy=3.4)))
    shims = " + ".join(f"{shim:g}" for shim in correct(solved, 3.4).trim.shims)
    assert state.gap_shy == 3.4
    assert f"with {shims} mm behind the angle rest" in state.next_step


def test_who_needs_the_teacher_stands_first(solved: Solution) -> None:
    """A reading past the worst case, a loose tenon, a log that cannot be read: each tells why."""
    worst = solved.uncertainty.gap_worst
    far = bench_state(_bench(solved, _build(solved, 1, gap_shy=2.9 + worst + 0.3)))
    loose = bench_state(_bench(solved, _build(solved, 1, DryFit.LOOSE, tenon_width=19.5)))
    done = bench_state(_bench(solved, _build(solved, 1, gap_final=2.9)))
    broken = bench_state(Bench("Cleo", "jig-1", solved, None, "class.log.toml: found nonsense"))
    assert "worst case" in far.attention
    assert "loose" in loose.attention
    assert broken.progress is Progress.UNREADABLE
    assert in_need([done, loose, far, broken])[-1] is done
    assert in_need([done, broken])[0] is broken


def test_a_shared_jig_drifts_for_all(solved: Solution) -> None:
    """Widths that two students cut on one jig, day after day wider, are one trend; on two jigs they are none."""
    wide = [20.0 + 0.04 * n for n in range(6)]
    first = Bench("Ada", "jig-1", solved, tuple(_build(solved, n + 1, mortise_width=wide[n]) for n in (0, 2, 4)))
    second = Bench("Bo", "jig-1", solved, tuple(_build(solved, n + 1, mortise_width=wide[n]) for n in (1, 3, 5)))
    (shared,) = jig_states([first, second])
    assert shared.builds == 6
    assert any("wear" in words for words in shared.advice)
    apart = jig_states([first, Bench("Bo", "jig-2", solved, second.builds)])
    assert [one.jig for one in apart] == ["jig-1", "jig-2"]
    assert not any("wear" in words for one in apart for words in one.advice)


def test_a_log_is_found_beside_its_job(solved: Solution, tmp_path: Path) -> None:
    """What the bench wrote is read; a log that is no log is that bench's trouble alone."""
    job = solved.job.model_copy(update={"source_path": tmp_path / "ada.toml"})
    solution = solve(job)
    assert read_bench("Ada", "jig-1", solution).builds == ()
    append_build(tmp_path / "ada.log.toml", _build(solution, 1, gap_shy=3.0))
    assert bench_state(read_bench("Ada", "jig-1", solution)).gap_shy == 3.0
    (tmp_path / "ada.log.toml").write_text("[[build]]\ndate = 7\nnonsense = 1\n")
    assert bench_state(read_bench("Ada", "jig-1", solution)).progress is Progress.UNREADABLE
