"""Making a class: the documents at once, then the kits in several processes, the useful groups first.

A kit that cannot be made stops no other; a kit whose job has not changed is not made again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple

from generator import __version__
from generator.base.csv_text import csv_text
from generator.base.errors import Fault, HeelwrightError, refusal_of
from generator.base.store import NO_STORE, Store
from generator.classes.folder import (
    HANDOUTS,
    JOBS,
    KITS,
    ORDER,
    ClassRecord,
    Pupil,
    clear_former,
    clear_left,
    held_at,
    kit_is_whole,
    mark_of,
    refuse_changed,
    write_documents,
    write_record,
)
from generator.classes.handout import handout_pdf
from generator.classes.order import Order, class_order
from generator.classes.plan import ClassPlan, Place
from generator.classes.status import bench_state, jig_states, read_bench
from generator.classes.summary import summary, summary_csv, summary_html, summary_pdf
from generator.jig.laser_coupon import laser_coupon
from generator.job.command_line import command_line
from generator.job.effective import job_copy
from generator.job.model.job import Job, Paper
from generator.kit.crew import Crew, Task
from generator.kit.groups import Group

#: What the first days need, before everything else of any kit.
FIRST = (Group.LASER, Group.SHEET)
#: Called with what is done, how many of how many, and the faults of what failed; first when no kit is begun, with none.
Told = Callable[[str, int, int, tuple[Fault, ...]], None]


@dataclass(frozen=True)
class ClassMaking:
    """How a class is to be made: its folder, the groups of the kits, paper sizes in place of the jobs' own.

    What is expensive comes from the `store` where it is kept there.
    """

    folder: Path
    groups: tuple[Group, ...] = tuple(Group)
    papers: tuple[Paper, ...] = ()
    store: Store = NO_STORE


def settled(plan: ClassPlan, folder: Path) -> ClassPlan:
    """The plan with every job at home in the class's folder: commands and logs go by that file."""

    def at_home(job: Job) -> Job:
        return job.model_copy(update={"source_path": folder / JOBS / f"{job.name}.toml", "shop_path": None})

    places = []
    for place in plan.places:
        places.append(replace(place, solution=replace(place.solution, job=at_home(place.solution.job))))
    jigs = tuple(
        replace(jig, solution=replace(jig.solution, job=at_home(jig.solution.job))) for jig in plan.sharing.jigs
    )
    own = {jig.number: jig for jig in jigs}
    return replace(
        plan,
        places=tuple(replace(place, jig=own[place.jig.number]) for place in places),
        sharing=replace(plan.sharing, jigs=jigs),
    )


def make_class(
    plan: ClassPlan, making: ClassMaking, crew: Crew, told: Told, refused: Sequence[Fault] = ()
) -> list[Fault]:
    """Make the whole class in its folder; the faults of what could not be made, none of which stopped the others.

    InputError for a folder that holds something else, or a file changed by hand; nothing is written then.
    """
    folder = making.folder
    plan = settled(plan, folder)
    held = held_at(folder)
    order = class_order(plan)
    documents = {**_summaries(plan, order, refused), **_to_cut_and_buy(plan, order, making.store)}
    refuse_changed(folder, held, documents)
    faults: list[Fault] = []
    documents |= _handouts(plan, order, crew, faults)
    pupils = tuple(Pupil(one.name, one.student.name, one.student.date, one.jig.folder) for one in plan.places)
    jobs = _kit_jobs(plan)
    made = {job.name: dict(held.made.get(job.name, {})) for job in jobs}
    record = ClassRecord(plan.name, pupils, {name: mark_of(data) for name, data in documents.items()}, made)
    clear_left(folder, held)
    write_documents(folder, held, record, documents)
    clear_former(folder, held, documents)
    try:
        faults += _kits(jobs, making, made, crew, told)
    finally:
        write_record(folder, replace(record, made=made))
    if faults:  # the summary was written before the kits: it tells now what could not be made
        told_too = _summaries(plan, order, [*refused, *faults])
        files = {**record.files, **{name: mark_of(data) for name, data in told_too.items()}}
        write_documents(folder, record, replace(record, files=files, made=made), told_too)
    return faults


def _kit_jobs(plan: ClassPlan) -> list[Job]:
    """A kit for each jig that several share, then one for each student."""
    shared = [jig.solution.job for jig in plan.sharing.jigs if len(jig.members) > 1]
    return [*shared, *(place.solution.job for place in plan.places)]


# --- documents -----------------------------------------------------------------------------------------------------


def _summaries(plan: ClassPlan, order: Order, refused: Sequence[Fault]) -> dict[str, bytes]:
    """The class's summary in its three forms, by path under the class's folder."""
    benches = [read_bench(place.student.name, place.jig.folder, place.solution) for place in plan.places]
    states = [bench_state(bench) for bench in benches]
    found = summary(plan, order, states, jig_states(benches), refused)
    paper = plan.places[0].solution.job.output.paper[0]
    return {
        "index.html": summary_html(found).encode("utf-8"),
        "summary.csv": summary_csv(found).encode("utf-8"),
        "summary.pdf": summary_pdf(found, paper),
    }


def _to_cut_and_buy(plan: ClassPlan, order: Order, store: Store) -> dict[str, bytes]:
    """The order and the jobs, by path under the class's folder."""
    from generator.formats.dxf.write import coupon_dxf, coupon_file_name, sheet_dxf, sheet_file_name

    documents = {
        f"{ORDER}/buy.csv": buy_csv(order).encode("utf-8"),
        f"{ORDER}/sheets.csv": sheets_csv(plan, order).encode("utf-8"),
    }
    for sheet in order.sheets:
        data = store.kept(sheet_dxf, sheet, order.by_name[sheet.stock], plan.name)
        documents[f"{ORDER}/{sheet_file_name(sheet)}"] = data
    for name in order.coupons:
        data = store.kept(coupon_dxf, laser_coupon(order.by_name[name]), plan.name)
        documents[f"{ORDER}/{coupon_file_name(name)}"] = data
    for job in _kit_jobs(plan):
        documents[f"{JOBS}/{job.name}.toml"] = job_copy(job, command_line("make", job)).encode("utf-8")
    return documents


def sheets_csv(plan: ClassPlan, order: Order) -> str:
    """Which part lies on which sheet, whose it is, and where its lower left corner lies, mm."""
    from generator.formats.dxf.write import sheet_file_name

    known = {one.part.name: one for one in order.parts}
    names = {place.name: place.student.name for place in plan.places}
    rows: list[Sequence[object]] = [
        ("file", "stock", "sheet", "of", "part", "copy", "belongs to", "used by", "x mm", "y mm")
    ]
    for sheet in order.sheets:
        for place in sheet.places:
            one = known[place.part.name]
            users = "; ".join(names[user] for user in one.users) or "everybody"
            corner = (f"{place.box.x0:.1f}", f"{place.box.y0:.1f}")
            owner = names.get(one.holder, one.holder)
            where = (sheet_file_name(sheet), sheet.stock, sheet.number, sheet.count)
            rows.append((*where, one.part.title, place.copy, owner, users, *corner))
    return csv_text(rows)


def buy_csv(order: Order) -> str:
    """What to buy: whole sheets of each stock with what of them is waste, then the pieces."""
    rows: list[Sequence[object]] = [("count", "what", "boxes", "for", "area m2", "waste percent")]
    for use in order.stocks:
        stock = use.stock
        what = f"sheet {stock.name} {stock.sheet_length:g} x {stock.sheet_width:g} mm"
        rows.append((use.sheets, what, "", f"{use.parts} parts", f"{use.area:.4f}", f"{100.0 * use.waste:.1f}"))
    rows += [(one.count, one.what, one.packed, one.purpose, "", "") for one in order.buy]
    return csv_text(rows)


def _handouts(plan: ClassPlan, order: Order, crew: Crew, faults: list[Fault]) -> dict[str, bytes]:
    tasks = []
    for place in plan.places:
        others = [one.student.name for one in plan.users(place.jig) if one.name != place.name]
        own = [one.part.title.lower() for one in order.parts if one.holder == place.name] if others else []
        tasks.append(Task(f"{place.name}: hand-out", _handout, (place, others, own)))
    found: dict[str, bytes] = {}
    for number, (data, fault) in crew.as_done(tasks):
        if fault:
            faults += fault
        else:
            found[f"{HANDOUTS}/{plan.places[number].name}.pdf"] = data
    return dict(sorted(found.items()))


def _handout(place: Place, others: list[str], own: list[str]) -> tuple[bytes, tuple[Fault, ...]]:
    try:
        return handout_pdf(place, others, own), ()
    except Exception as error:
        return b"", _faults_of(f"{place.name}: hand-out", error)


# --- kits ----------------------------------------------------------------------------------------------------------


def _kits(
    jobs: Sequence[Job], making: ClassMaking, made: dict[str, dict[str, str]], crew: Crew, told: Told
) -> Iterator[Fault]:
    """Make what is missing or of another job, all kits' first groups before any other; the faults."""
    first = tuple(group for group in making.groups if group in FIRST)
    later = tuple(group for group in making.groups if group not in FIRST)
    stages = [_stage(groups, jobs, making, made) for groups in (first, later)]
    count = sum(len(stage) for stage in stages)
    if count:
        told("kits", 0, count, ())
    broken: set[str] = set()
    done = 0
    for stage in stages:  # one after the other, so that no two processes work on one kit
        for number, found in crew.as_done([one.task for one in stage]):
            work, done = stage[number], done + 1
            told(work.task.name, done, count, found)
            if found and work.job not in broken:  # the same check would be told again by the kit's other groups
                broken.add(work.job)
                yield from found
            elif not found:
                made[work.job].update(dict.fromkeys((group.value for group in work.groups), work.mark))


class _Work(NamedTuple):
    """Groups of one kit to make: the job's name and mark, and the task that makes them."""

    job: str
    mark: str
    groups: tuple[Group, ...]
    task: Task


def _stage(
    stage: Sequence[Group], jobs: Sequence[Job], making: ClassMaking, made: Mapping[str, Mapping[str, str]]
) -> list[_Work]:
    """What of these groups is missing or of another job, kit by kit."""
    found = []
    for job in jobs:
        mark = _mark(job, making.papers)
        groups = _wanting(stage, made[job.name], mark, making.folder / KITS / job.name)
        if groups:
            names = ", ".join(group.value for group in groups)
            arguments = (job, making.folder / KITS, groups, making.papers, making.store)
            found.append(_Work(job.name, mark, groups, Task(f"{job.name}: {names}", _make_one, arguments)))
    return found


def _mark(job: Job, papers: tuple[Paper, ...]) -> str:
    """What a kit is made of: the effective job, the papers, the program's version."""
    return mark_of("\n".join([__version__, *(paper.value for paper in papers), job_copy(job, "")]))


def _wanting(stage: Sequence[Group], made: Mapping[str, str], mark: str, kit: Path) -> tuple[Group, ...]:
    """The groups of a stage that are not there, or not of this job."""
    wanting = tuple(group for group in stage if made.get(group.value) != mark)
    if wanting or not stage:
        return wanting
    return () if kit_is_whole(kit, [group.value for group in stage]) else tuple(stage)


def _make_one(
    job: Job, out: Path, groups: tuple[Group, ...], papers: tuple[Paper, ...], store: Store
) -> tuple[Fault, ...]:
    """Make groups of one kit; its faults, whatever went wrong, so that the others go on."""
    from generator.kit.pipeline import write_kit

    try:
        write_kit(job, out, groups, papers, store=store)
    except Exception as error:
        return _faults_of(job.name, error)
    return ()


def _faults_of(name: str, error: Exception) -> tuple[Fault, ...]:
    faults: tuple[Fault, ...] = getattr(error, "faults", ())
    if faults:
        return tuple(replace(one, file=one.file if name in one.file else f"{name}: {one.file}") for one in faults)
    if isinstance(error, HeelwrightError):
        return (Fault(name, "", str(error), ""),)
    if isinstance(error, OSError):
        return (Fault(name, "", f"could not be written ({refusal_of(error)})", ""),)
    return (Fault(name, "", f"{type(error).__name__}: {error}", "a kit: this is a fault of the program"),)
