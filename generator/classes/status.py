"""How far a class is: from each bench's build log, who has cut what, the gaps read, what to change next, what drifts.

Nothing here writes. Lengths mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

from generator.base.errors import InputError
from generator.base.units import mm
from generator.joint.build_log import Build, DryFit, log_file, read_log
from generator.joint.build_review import review
from generator.joint.corrections import Edge, Stage, correct
from generator.joint.cradle import stack_words
from generator.joint.readings import Measured
from generator.joint.solution import Solution

#: Readings any of which shows that the mortise is cut.
_MORTISE = (Measured.MORTISE_WIDTH, Measured.MORTISE_LENGTH, Measured.MORTISE_DEPTH)
#: Readings any of which shows that the tenon is cut.
_TENON = (Measured.TENON_WIDTH, Measured.TENON_LENGTH)


class Progress(Enum):
    """How far a bench is, in the order of the work."""

    NOTHING = "nothing cut"
    MORTISE = "mortise cut"
    TENON = "tenon cut"
    READ = "gap read, last pass to take"
    FINISHED = "finished"
    UNREADABLE = "log cannot be read"


@dataclass(frozen=True)
class BenchState:
    """One bench: how far it is, its last readings (mm), the day of the last, what to do next.

    `attention` says why the teacher is needed, in words; empty where he is not. `aside` is the miss of the centreline.
    """

    job: str
    student: str
    progress: Progress
    gap_wanted: float
    gap_shy: float | None = None
    gap_final: float | None = None
    aside: float | None = None
    last_day: str = ""
    next_step: str = ""
    attention: str = ""


@dataclass(frozen=True)
class JigState:
    """What the logs of all who share a jig say of it, in words; `builds` is how many entries were counted."""

    jig: str
    builds: int
    advice: tuple[str, ...]


@dataclass(frozen=True)
class Bench:
    """Whose bench, which jig, the solved job, and the builds of its log; None where the log cannot be read."""

    student: str
    jig: str
    solution: Solution
    builds: tuple[Build, ...] | None
    trouble: str = ""


def read_bench(student: str, jig: str, solution: Solution) -> Bench:
    """The bench with the log beside its job; a log with faults is told, never raised: it is one bench of many."""
    path = log_file(solution.job.source_path, solution.job.name)
    if not path.exists():
        return Bench(student, jig, solution, ())
    try:
        return Bench(student, jig, solution, read_log(path))
    except InputError as error:
        return Bench(student, jig, solution, None, str(error.faults[0]))


def bench_state(bench: Bench) -> BenchState:
    """How far one bench is. A reading entered later takes the place of an earlier one of the same quantity."""
    solution, name = bench.solution, bench.solution.job.name
    wanted = solution.neck_set.saddle_gap
    if bench.builds is None:
        return BenchState(name, bench.student, Progress.UNREADABLE, wanted, attention=bench.trouble)
    found: dict[Measured, float] = {}
    for build in bench.builds:
        found |= build.measured
    progress = _progress(found)
    step, trouble = _next(progress, found, bench)
    return BenchState(
        name,
        bench.student,
        progress,
        wanted,
        found.get(Measured.GAP_SHY),
        found.get(Measured.GAP_FINAL),
        found.get(Measured.SIDEWAYS),
        max((build.date for build in bench.builds), default=""),
        step,
        trouble,
    )


def _progress(found: Mapping[Measured, float]) -> Progress:
    if Measured.GAP_FINAL in found:
        return Progress.FINISHED
    if Measured.GAP_SHY in found:
        return Progress.READ
    if any(what in found for what in _TENON):
        return Progress.TENON
    return Progress.MORTISE if any(what in found for what in _MORTISE) else Progress.NOTHING


def _next(progress: Progress, found: Mapping[Measured, float], bench: Bench) -> tuple[str, str]:
    """The next step, and why the teacher is needed."""
    plain = {
        Progress.NOTHING: "cut the mortise",
        Progress.MORTISE: "cut the tenon",
        Progress.TENON: "dry fit: read the gap",
    }
    loose = any(build.fit is DryFit.LOOSE for build in bench.builds or ())
    trouble = "the tenon went in loose" if loose else ""
    if progress in plain:
        return plain[progress], trouble
    if progress is Progress.READ:
        step, more = _last_pass(found[Measured.GAP_SHY], found.get(Measured.SIDEWAYS, 0.0), bench)
    else:
        step, more = _after(found[Measured.GAP_FINAL], found.get(Measured.SIDEWAYS, 0.0), bench.solution)
    return step, "; ".join(one for one in (trouble, more) if one)


def _last_pass(gap: float, aside: float, bench: Bench) -> tuple[str, str]:
    rest = next((build.angle_rest for build in reversed(bench.builds or ()) if build.angle_rest is not None), None)
    try:
        found = correct(bench.solution, gap, sideways=aside, stage=Stage.SHY, rest=rest)
    except InputError as error:
        return "ask the teacher", error.faults[0].allowed
    trim = found.trim
    shims = f"{stack_words(trim.shims)} mm" if trim.shims else "no shim"
    miss = abs(gap - bench.solution.neck_set.saddle_gap)
    far = miss > bench.solution.uncertainty.gap_worst
    words = f"the gap is {mm(miss)} off, more than the worst case expected" if far else ""
    if trim.new_rest is not None:
        step = f"last pass with a new angle rest of {mm(trim.new_rest)} and {shims}"
        return step, "; ".join(one for one in (words, "a new angle rest is to be made") if one)
    return f"last pass with {shims} behind the angle rest", words


def _after(gap: float, aside: float, solution: Solution) -> tuple[str, str]:
    """A finished joint within what a reading tells is done; else the shoulder is to be corrected."""
    miss = abs(gap - solution.neck_set.saddle_gap)
    if miss <= solution.job.tolerances.gap_reading and not aside:
        return "done", ""
    try:
        found = correct(solution, gap, sideways=aside, stage=Stage.FINAL)
    except InputError as error:
        return "ask the teacher", error.faults[0].allowed
    steps = []
    if miss > solution.job.tolerances.gap_reading:
        end = "back end" if found.angle_change > 0 else "join"
        steps.append(f"{mm(found.shoulder.most)} off the shoulder at the {end}, to nothing at the other")
    if found.sideways.edge is not Edge.NONE:
        steps.append(f"{mm(found.sideways.remove)} off the {found.sideways.edge.value} edge")
    far = miss > solution.job.tolerances.gap_reading
    return "; ".join(steps), f"the finished gap is {mm(miss)} off" if far else ""


def jig_states(benches: Sequence[Bench]) -> tuple[JigState, ...]:
    """What the logs say of each jig: sizes of all who share it count together, in the order of their days."""
    found = []
    for jig in dict.fromkeys(bench.jig for bench in benches):
        mine = [bench for bench in benches if bench.jig == jig and bench.builds]
        builds = [build for bench in mine for build in bench.builds or ()]
        advice: tuple[str, ...] = ()
        if mine:
            others = [build for bench in mine[1:] for build in bench.builds or ()]
            advice = review(mine[0].builds or (), mine[0].solution, others).advice
        found.append(JigState(jig, len(builds), advice))
    return tuple(found)


def in_need(states: Iterable[BenchState]) -> list[BenchState]:
    """Sorted by what needs the teacher: trouble first, then who is furthest, then by name."""
    order = list(Progress)
    return sorted(states, key=lambda one: (not one.attention, -order.index(one.progress), one.student, one.job))
