"""A class worked out: every student's job as the shared jig cuts it, and why a student's cannot be made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from generator.base.errors import Fault, InputError
from generator.classes.faults import row_fault
from generator.classes.headings import NAME
from generator.classes.sharing import Saving, SharedBy, Sharing, on_jig, savings, share
from generator.classes.table import ClassTable, Student
from generator.job.model.field_types import shown
from generator.joint.solution import Solution, solve


@dataclass(frozen=True)
class Place:
    """One student's place in the class: the job as asked for and as the jig he shares cuts it, both worked out."""

    student: Student
    asked: Solution
    solution: Solution
    jig: SharedBy

    @property
    def name(self) -> str:
        """The job's name, which names files and folders."""
        return self.solution.job.name

    @property
    def alone(self) -> bool:
        """True where nobody shares his jig."""
        return len(self.jig.members) == 1


@dataclass(frozen=True)
class ClassPlan:
    """The class: its name, everyone's place in the table's order, who shares which jig, what agreeing would save."""

    name: str
    places: tuple[Place, ...]
    sharing: Sharing
    savings: tuple[Saving, ...]

    def users(self, jig: SharedBy) -> tuple[Place, ...]:
        return tuple(self.places[member] for member in jig.members)


def check_rows(table: ClassTable) -> tuple[list[tuple[Student, Solution]], list[Fault]]:
    """The students whose checks all pass, solved, and every fault of the others: those found in reading the table, and
    one for each check that fails."""
    good: list[tuple[Student, Solution]] = []
    faults = [*table.faults]
    for student in table.students:
        try:
            solution = solve(student.job)
        except InputError as error:
            faults += [
                row_fault(table.file, student.row, one.key, student.name, one.found, one.allowed)
                for one in error.faults
            ]
            continue
        faults += [
            row_fault(
                table.file,
                student.row,
                f"check {one.name}",
                student.name,
                f"{one.value:g}",
                f"{one.limit}: {one.message}",
            )
            for one in solution.failed
        ]
        if not solution.failed:
            good.append((student, solution))
    return good, faults


def plan_of(
    table: ClassTable, good: Sequence[tuple[Student, Solution]], faults: Sequence[Fault], name: str, *, good_only: bool
) -> ClassPlan:
    """The plan of what `check_rows` found in the table. InputError with every fault where there is one, unless
    `good_only` and somebody is left; and for a name that is a jig's."""
    if faults and not (good_only and good):
        raise InputError(faults)
    if not good:
        raise InputError([Fault(table.file, "", "no student", "a row a student")])
    clash = [one for one, _ in good if one.job.name.startswith("jig-") and one.job.name[4:].isdigit()]
    if clash:
        raise InputError(
            row_fault(table.file, one.row, NAME, one.name, shown(one.job.name), "a name that is no jig's")
            for one in clash
        )
    return plan_class(name, good)


def plan_class(name: str, good: Sequence[tuple[Student, Solution]]) -> ClassPlan:
    """The plan of a class of students whose jobs are sound."""
    asked = [solution for _, solution in good]
    sharing = share(asked)
    places = []
    for member, (student, solution) in enumerate(good):
        jig = sharing.jig_of(member)
        made = solution if len(jig.members) == 1 else solve(on_jig(solution, jig, member))
        places.append(Place(student, solution, made, jig))
    return ClassPlan(name, tuple(places), sharing, savings(asked))
