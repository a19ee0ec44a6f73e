"""From a job to its kit: solve, refuse what fails, build the jig, write the groups, prove, put the folder in place."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import replace
from pathlib import Path

from generator.errors import CheckFailed, Fault
from generator.kit.folder import whole_folder
from generator.kit.groups import WRITERS, Group, KitPlan
from generator.kit.manifest import RESULTS, write_json, write_manifest
from generator.model.job import Job, Paper
from generator.nesting import refuse_oversize
from generator.parts.jig import build_jig
from generator.parts.standing import with_standing
from generator.results import checks_list, results_dict
from generator.solution import Check, CheckStatus, Solution, solve

#: Called with what is being done, in words, before each step.
Progress = Callable[[str], None]


def make_kit(
    job: Job,
    out: Path,
    groups: Collection[Group] = tuple(Group),
    papers: tuple[Paper, ...] = (),
    progress: Progress = lambda step: None,
) -> Path:
    """Write the kit of `job` under `out` and return its folder.

    `papers` replaces the job's own list when given. The folder appears whole or not at all. Raises CheckFailed when a
    check of the numbers or of the written files fails, GeometryError, LayoutError or OutputError when a file cannot be
    made.
    """
    progress("solving")
    solution = with_standing(solve(job))
    refuse_failed(solution, solution.checks)
    jig = build_jig(solution)
    refuse_oversize(jig.parts, job)
    plan = KitPlan(solution, jig, papers or job.output.paper)
    target = out / job.name
    with whole_folder(target) as draft:
        for group in (group for group in WRITERS if group in groups and group is not Group.SHEET):
            progress(f"writing {group.value}")
            WRITERS[group](plan, draft)
        results = results_dict(solution, jig)
        write_json(draft / RESULTS, results)
        if Group.LASER in groups:
            progress("proving")
            plan = replace(plan, proof=prove_written(plan, draft))
            write_json(draft / RESULTS, results | {"checks": checks_list((*solution.checks, *(plan.proof or ())))})
        if Group.SHEET in groups:
            progress("writing sheet")
            WRITERS[Group.SHEET](plan, draft)
        write_manifest(draft)
    return target


def prove_written(plan: KitPlan, draft: Path) -> tuple[Check, ...]:
    """The joint cut virtually from the files in `draft`. Raises CheckFailed when it is not the one asked for."""
    from generator.proof.prove import prove_draft

    checks = prove_draft(draft, plan)
    refuse_failed(plan.solution, checks)
    return checks


def refuse_failed(solution: Solution, checks: Collection[Check]) -> None:
    """Raise CheckFailed naming every check in `checks` that failed."""
    faults = [
        Fault(solution.job.name, check.name, f"{check.value:g}", f"{check.limit}: {check.message}")
        for check in checks
        if check.status is CheckStatus.FAIL
    ]
    if faults:
        raise CheckFailed(faults)
