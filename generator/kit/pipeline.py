"""From a job to its kit: solve, refuse what fails, build the jig, write the groups, prove, put the folder in place."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from generator.base.errors import CheckFailed, Fault, InputError
from generator.base.store import NO_STORE, Store
from generator.cutting.nesting import refuse_oversize
from generator.jig.build import build_jig
from generator.jig.buildability import solve_standing, with_standing
from generator.jig.results import checks_list, results_dict
from generator.job.command_line import command_line, path_argument
from generator.job.effective import job_copy
from generator.job.model.job import JOB_SOURCE, Job, Paper
from generator.joint.remedy import remedies
from generator.joint.solution import Check, CheckStatus, Solution, solve
from generator.kit.bundle import HelperBundle, write_bundle
from generator.kit.crew import Crew, Task
from generator.kit.folder import carry, held_at, whole_folder
from generator.kit.front_page import write_front_page, write_pictures
from generator.kit.groups import WRITERS, Group, KitPlan
from generator.kit.manifest import (
    RESULTS_GROUP,
    Manifest,
    solved_mark,
    write_json,
    write_manifest,
)
from generator.proof.listing import JOB_COPY, RESULTS

if TYPE_CHECKING:
    from generator.proof.prove import JointProof

#: The crew that works where no other is given: this process.
_ALONE = Crew()
#: Name of the step that solves the joint and designs the jig.
_SOLVING = "solving"
#: Name of the step that draws the jig in use.
_IN_USE = "drawing the jig in use"
#: Name of the step that proves the kit.
_PROVING = "proving"
#: About how long writing a group takes, s.
_WEIGHTS = {Group.DRAWINGS: 0.6, Group.STEP: 3.0, Group.PAPER: 2.5, Group.LASER: 2.8, Group.SHEET: 1.0}
#: About how long drawing the jig in use takes, s.
_PICTURING = 1.5
#: About how long proving takes, s.
_PROOF = 0.5

#: Called with what is being done, in words, before each step.
Progress = Callable[[str], None]


@dataclass(frozen=True)
class MadeKit:
    """A kit that stands in its folder: what was solved, the proof's checks (None where the joint was not cut
    virtually), and the groups in the folder that are of an earlier job."""

    folder: Path
    solution: Solution
    proof: tuple[Check, ...] | None
    stale: tuple[str, ...]


def write_kit(
    job: Job,
    out: Path,
    groups: Collection[Group] = tuple(Group),
    papers: tuple[Paper, ...] = (),
    progress: Progress = lambda step: None,
    crew: Crew = _ALONE,
    *,
    done: Progress = lambda step: None,
    kerf: bool = False,
    full_size: bool = False,
    bundles: Collection[HelperBundle] = (),
    store: Store = NO_STORE,
) -> MadeKit:
    """Write the kit of `job` under `out`, or of a kit that stands there the `groups`, results and manifest.

    `papers` replaces the job's own list when given; with `full_size` the side elevation is drawn at full size. The
    folder changes over whole or not at all; the other groups stay, and so does every file that the folder's manifest
    does not list. Raises InputError for a folder that holds files and
    no manifest of a kit, CheckFailed when a check of the numbers or of the written files fails, GeometryError,
    LayoutError or OutputError when a file cannot be made. The files are the same whoever is in the `crew`. With `kerf`
    the laser's sheets are compensated for the width of their cut; `bundles` are zipped into the kit. What is
    expensive comes from the `store` where it is kept there, the same bytes; the proof reads the written files alone.
    `progress` hears of each step that begins (`kit_steps`) and of what else there is to know, `done` of each that ends.
    """
    target = out / job.name
    refuse_own_job(job, target, held_at(target))
    progress(_SOLVING)
    job = with_output(job, papers, full_size=full_size)
    solution = with_standing(solve(job))
    refuse_failed(solution, solution.checks)
    jig = build_jig(solution)
    refuse_oversize(jig.parts, job)
    plan = KitPlan(solution, jig, job.output.paper, target, kerf=kerf, store=store)
    results = results_dict(solution, jig)
    done(_SOLVING)
    with whole_folder(target, progress) as draft:
        held = held_at(target)
        kept = [group for group in held.groups if group not in {group.value for group in groups}]
        stale = tuple(group for group in kept if held.solved.get(group) != solved_mark(results, group))
        write_json(draft / RESULTS, results)
        cut = Group.LASER in groups or (Group.LASER.value in kept and Group.LASER.value not in stale)
        made = crew.do_all(_first_tasks(plan, draft, groups, cut), progress, done)
        plan = replace(plan, stages=made[-1].stages, sheets=made[-1].sheets)
        carried = _carried(target, draft, held, [group for group in kept if group not in stale])
        if cut:
            joint = made[0] if Group.LASER in groups else None
            (proof,) = crew.do_all([Task(_PROVING, prove_written, (plan, draft, joint))], progress, done)
            plan = replace(plan, proof=proof)
            write_json(draft / RESULTS, results | {"checks": checks_list((*solution.checks, *(plan.proof or ())))})
        if Group.SHEET in groups:
            crew.do_all([_writing(Group.SHEET, plan, draft)], progress, done)
        copy = job_copy(job, command_line("make", job), path_argument(target))
        (draft / JOB_COPY).write_text(copy, encoding="utf-8", newline="\n")
        carried |= _carried(target, draft, held, stale)
        for bundle in bundles:
            write_bundle(solution, jig, draft, bundle)
        write_front_page(solution, jig, draft, plan.proof, stale, plan.sheets, target)
        present = {group.value for group in groups} | {*kept}
        marks = {group: solved_mark(results, group) for group in present - {*stale}}
        marks |= {group: held.solved[group] for group in stale if group in held.solved}
        write_manifest(draft, [held.files[name] for name in carried], marks, stale, held.libraries)
    store.trim()
    return MadeKit(target, solution, plan.proof, stale)


def _first_tasks(plan: KitPlan, draft: Path, groups: Collection[Group], cut: bool) -> list[Task]:
    """What needs no proof: the laser's group and the cut of its joint first, the pictures last.

    The nested sheets are pictured where the kit has files of them (`cut`).
    """
    asked = [group for group in WRITERS if group in groups and group is not Group.SHEET]
    tasks = [_writing(group, plan, draft) for group in asked]
    if Group.LASER in groups:
        place, pictured = asked.index(Group.LASER), Group.SHEET in groups
        laser = tasks.pop(place)._replace(function=write_and_cut, arguments=(plan, draft, pictured))
        tasks.insert(0, laser)
    return [*tasks, Task(_IN_USE, write_pictures, (plan.solution, plan.jig, draft, plan.store, cut), _PICTURING)]


def _writing(group: Group, plan: KitPlan, draft: Path) -> Task:
    return Task(_step(group), WRITERS[group], (plan, draft), _WEIGHTS[group])


def _step(group: Group) -> str:
    return f"writing {group.value}"


def kit_steps(groups: Collection[Group]) -> dict[str, float]:
    """The steps to a kit of these groups, as `write_kit` names them, and about how many seconds each takes."""
    proving = {_PROVING: _PROOF} if Group.LASER in groups else {}
    return {_SOLVING: 0.3, _IN_USE: _PICTURING, **{_step(group): _WEIGHTS[group] for group in groups}, **proving}


def _carried(target: Path, draft: Path, held: Manifest, groups: Collection[str]) -> set[str]:
    """Link the files of these groups from the kit that stands at `target` into `draft`; their paths."""
    names = [entry.path for group in groups for entry in held.of_group(group)]
    return set(carry(target, draft, names))


def with_output(job: Job, papers: tuple[Paper, ...], *, full_size: bool) -> Job:
    """The job with these paper sizes in place of its own, where any are given, and its side elevation at full size
    where that is asked for; the job itself where neither is."""
    asked: dict[str, tuple[object, object]] = {}
    if papers:
        asked["paper"] = papers, [paper.value for paper in papers]
    if full_size:
        asked["full_size"] = True, True
    if not asked:
        return job
    inputs = {table: dict(keys) for table, keys in job.inputs.items()}
    told = {key: {"value": value, "source": JOB_SOURCE} for key, (_, value) in asked.items()}
    inputs["output"] = inputs.get("output", {}) | told
    output = job.output.model_copy(update={key: value for key, (value, _) in asked.items()})
    return job.model_copy(update={"output": output, "inputs": inputs})


def refuse_own_job(job: Job, target: Path, held: Manifest) -> None:
    """Raise InputError where the job's file is one that this kit would replace, and not as the kit wrote it."""
    source = job.source_path
    if source is None or not source.resolve().is_relative_to(target.resolve()):
        return
    name = source.resolve().relative_to(target.resolve()).as_posix()
    entry = held.files.get(name)
    if entry is not None and entry.group == RESULTS_GROUP and not entry.unchanged(target):
        found = "a job file changed by hand inside the kit that it would replace"
        allowed = f"a job file outside of {target}: copy it out, for example as {job.name}.toml, and make that"
        raise InputError([Fault(str(source), "", found, allowed)])


def write_and_cut(plan: KitPlan, draft: Path, pictured: bool) -> JointProof:
    """Write the laser's group into `draft` and cut the joint virtually from it, with the pictures of that if wanted.

    What fails is not raised: the whole proof tells it.
    """
    from generator.proof.prove import prove_joint

    WRITERS[Group.LASER](plan, draft)
    joint = prove_joint(draft, plan)
    if pictured and not any(check.status is CheckStatus.FAIL for check in joint.checks):
        from generator.kit.proof import write_proof_pictures

        write_proof_pictures(draft, plan.solution, joint.template)
    return replace(joint, template=None)


def prove_written(plan: KitPlan, draft: Path, joint: JointProof | None) -> tuple[Check, ...]:
    """Every check of the files in `draft`; `joint` is what is proved of its cutting files, where that was done.

    Raises CheckFailed when the joint is not the one asked for.
    """
    from generator.proof.prove import prove_files, prove_joint

    joint = joint or prove_joint(draft, plan)
    checks = (*joint.checks, *prove_files(draft, plan, joint.read))
    refuse_failed(plan.solution, checks)
    return checks


def refuse_failed(solution: Solution, checks: Collection[Check]) -> None:
    """Raise CheckFailed naming every check in `checks` that failed, and the nearest value that mends it."""
    faults = [
        Fault(solution.job.name, check.name, check.found, f"{check.allowed}: {_told(solution, check)}")
        for check in checks
        if check.status is CheckStatus.FAIL
    ]
    if faults:
        raise CheckFailed(faults)


def _told(solution: Solution, check: Check) -> str:
    units = solution.job.output.units
    return "; ".join([check.message, *(one.words(units) for one in remedies(solution, check, solve_standing))])
