"""A class from a table dropped on the page: read as `heelwright class` reads it, its plan shown, then made.

Each request carries the table whole; nothing is kept between two.
"""

from __future__ import annotations

import base64
import binascii
import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generator.base.errors import Fault, HeelwrightError, InputError
from generator.base.store import users_store
from generator.classes.cells import ALLOWED, TableFile
from generator.classes.faults import RowFault
from generator.classes.plan import ClassPlan, check_rows, plan_of
from generator.classes.table import BaseTables, ClassTable, read_table, slug
from generator.drawing.templates import environment
from generator.job.tables import SCHEMA
from generator.kit.crew import crew_of, processors
from generator.page.apart import Made, Teller
from generator.page.form import PAGE, Form, Opened, job_place, tables_of
from generator.page.refusals import faults_of

#: A table's file name has at most this many characters.
_MOST_NAME = 200
#: Matches the folders before a file name, with slashes or backslashes.
_PATH = re.compile(r"^.*[/\\]", re.DOTALL)


@dataclass(frozen=True)
class AskedClass:
    """What the page asks of a table: what supplies the rows' other keys, and whether the good rows go alone."""

    table: TableFile
    base: BaseTables
    shop: Path | None
    good_only: bool

    @property
    def name(self) -> str:
        """The class's name and its folder's: the table's, as the command makes it."""
        return slug(Path(self.table.name).stem) or "class"

    def read(self) -> ClassTable:
        return read_table(self.table, self.base, self.shop)


def asked_class(content: Mapping[str, Any], form: Form, opened: Opened) -> AskedClass:
    """The class that a request asks for. InputError for a request that no page of ours sends, and for a form that is to
    supply what rows leave out and lacks something itself."""
    table = _table(content.get("table"))
    base = _base(form, opened) if content.get("base") is True else _no_base(table)
    return AskedClass(table, base, opened.shop, content.get("good_only") is True)


def _table(sent: object) -> TableFile:
    """The table in a request. Its name is for messages only: no path comes of it."""
    name, data = (sent.get("name"), sent.get("data")) if isinstance(sent, dict) else (None, None)
    if not isinstance(name, str) or not isinstance(data, str) or len(name) > _MOST_NAME or not name.isprintable():
        raise InputError([Fault(PAGE, "", "something that is no table", ALLOWED)])
    try:
        return TableFile(_PATH.sub("", name), base64.b64decode(data, validate=True))
    except binascii.Error:
        raise InputError([Fault(PAGE, "", "something that is no table", ALLOWED)]) from None


def _no_base(table: TableFile) -> BaseTables:
    """An empty job, as if beside the table in the working folder."""
    return BaseTables({"schema": SCHEMA}, Path("class.csv"), table.name)


def _base(form: Form, opened: Opened) -> BaseTables:
    tables, faults = tables_of(form)
    if faults:
        raise InputError(faults)
    return BaseTables(tables, job_place(form, opened, tables), PAGE)


# --- the plan ------------------------------------------------------------------------------------------------------


def class_page(asked: AskedClass, words: Mapping[str, Any]) -> str:
    """What the page shows of a table, as markup: every fault of every row in a table, and the plan of what is right."""
    good, plan = 0, None
    faults: Sequence[Fault]
    try:
        read = asked.read()
        students, faults = check_rows(read)
        good = len(students)
        if students and (asked.good_only or not faults):
            plan = _shown(plan_of(read, students, faults, asked.name, good_only=asked.good_only))
    except HeelwrightError as error:
        plan, faults = None, faults_of(error)
    return (
        environment(escaped=True)
        .get_template("page/class_plan.html.j2")
        .render(words=words, good=good, faults=[_cells(fault) for fault in faults], plan=plan)
    )


def _cells(fault: Fault) -> tuple[str, ...]:
    """A fault's cells: row, column, student, what was found, what is allowed."""
    if isinstance(fault, RowFault):
        return str(fault.row), fault.place, fault.student, fault.found, fault.allowed
    return "", " ".join(part for part in (fault.file, fault.key) if part), "", fault.found, fault.allowed


@dataclass(frozen=True)
class _Shown:
    """The plan's tables, spelt."""

    headings: tuple[str, ...]
    students: tuple[tuple[str, ...], ...]
    jigs: tuple[str, ...]
    savings: tuple[str, ...]
    stocks: tuple[tuple[str, ...], ...]
    buy: tuple[tuple[str, ...], ...]
    sheets: int


def _shown(plan: ClassPlan) -> _Shown:
    from generator.classes.order import class_order
    from generator.classes.summary import HEADINGS, buy_lines, jig_lines, place_cells, stock_lines

    order = class_order(plan)
    return _Shown(
        HEADINGS[:-1],
        tuple(place_cells(place) for place in plan.places),
        jig_lines(plan),
        tuple(str(saving) for saving in plan.savings),
        stock_lines(order),
        buy_lines(order),
        len(order.sheets),
    )


# --- making --------------------------------------------------------------------------------------------------------


def make_class_apart(teller: Teller, read: ClassTable, name: str, good_only: bool, steps: Mapping[str, str]) -> Made:
    """In a process of its own: the class in the working folder. `steps` are the words for what comes before the kits.

    InputError where rows are wrong and the good ones were not asked for alone.
    """
    from generator.classes.make import ClassMaking, make_class
    from generator.kit.groups import Group

    teller.step(steps["sharing"])
    good, refused = check_rows(read)
    plan = plan_of(read, good, refused, name, good_only=good_only)
    teller.step(steps["documents"])
    making = ClassMaking(Path(name), tuple(Group), (), users_store(os.environ))

    def told(kit: str, done: int, count: int, faults: tuple[Fault, ...]) -> None:
        teller.say({"step": kit, "done": done, "count": count, "share": round(done / count, 4)})

    with crew_of(processors()) as crew:
        faults = make_class(plan, making, crew, told, refused)
    return Made(making.folder, (*refused, *faults))
