"""The class table: a row a student, every row a whole job, every fault of every row found before any is told.

A base job supplies what a row leaves out. A preset that a row names in place of the base's takes the base's whole table
of it along: the measurements of another instrument, the bushing of another router are nobody's else. [joint], [target]
and the rest of the base hold for the whole class.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generator.base.errors import Fault, InputError
from generator.base.toml_file import read_toml
from generator.classes.cells import Cell, TableFile, TableRow, read_rows, table_file
from generator.classes.faults import row_fault
from generator.classes.headings import DATE, NAME, STUDENT, Column, kind_of, read_headings
from generator.classes.values import decimal_signs, is_counted, read_day, read_value, shown_cell
from generator.job.argument import job_file
from generator.job.load import job_from_tables
from generator.job.model.field_types import JOB_NAME, NotAllowed, shown
from generator.job.model.job import Job
from generator.job.tables import SCHEMA, WHOLE

#: More rows than this are a mistake in the choice of the file.
MOST_ROWS = 500
#: Presets whose change in a row sets the base's table aside.
_PRESETS = ("instrument", "router", "jig")
#: Presets without which a job has no measurements at all.
_NEEDED = ("instrument", "router")
#: Stands for a row's own job in the faults of loading it.
_THIS_ROW = "\0row"


@dataclass(frozen=True)
class Student:
    """One row that is right: the student's name, the day (YYYY-MM-DD or ""), the row's number and the job."""

    name: str
    date: str
    row: int
    job: Job


@dataclass(frozen=True)
class ClassTable:
    """A table as read: the students of the good rows in the table's order, and every fault of the others."""

    file: str
    students: tuple[Student, ...]
    faults: tuple[Fault, ...]


@dataclass(frozen=True)
class BaseTables:
    """What rows leave out: the tables of a job file, and where it stands."""

    tables: Mapping[str, Any]
    path: Path
    shown_as: str


def read_base(job: str | Path | None, table: Path) -> BaseTables:
    """The base job, not yet checked; without one an empty job beside the table. InputError where there is none."""
    if job is None:
        return BaseTables({"schema": SCHEMA}, table, str(table))
    path, name = job_file(job)
    return BaseTables(read_toml(path, name), path, name)


def read_class(path: Path, base: BaseTables, shop: Path | None = None) -> ClassTable:
    """The students of the table at `path`, as `read_table` has them."""
    return read_table(table_file(path), base, shop)


def read_table(table: TableFile, base: BaseTables, shop: Path | None = None) -> ClassTable:
    """The students of a table. InputError for a file that is no table; faults of rows are collected."""
    rows = read_rows(table)
    file = table.name
    if len(rows) < 2 or len(rows) > MOST_ROWS + 1:
        found = f"{max(0, len(rows) - 1)} rows of students"
        raise InputError([Fault(file, "", found, f"a row of headings and 1 to {MOST_ROWS} rows of students")])
    used = frozenset(i for row in rows[1:] for i, cell in enumerate(row.cells) if cell != "")
    columns, faults = read_headings(file, rows[0].cells, used)
    reader = _Reader(file, columns, base, shop, faults, used - {column.place for column in columns})
    reader.mixed_signs(rows[1:])
    students = [student for row in rows[1:] if (student := reader.student(row)) is not None]
    return ClassTable(file, tuple(students), tuple(dict.fromkeys(faults)))


class _Reader:
    """Reads row by row into one list of faults."""

    def __init__(
        self,
        file: str,
        columns: Sequence[Column],
        base: BaseTables,
        shop: Path | None,
        faults: list[Fault],
        unread: frozenset[int],
    ) -> None:
        self.file, self.columns, self.base, self.shop, self.faults = file, columns, base, shop, faults
        self.unread = unread
        self.names: dict[str, int] = {}

    def mixed_signs(self, rows: Sequence[TableRow]) -> None:
        """A fault for each cell with the rarer sign in a table of decimal points and commas: 1,250 could be either."""
        counted = [column for column in self.columns if is_counted(kind_of(column.key))]
        cells = [(row, column.key, row.cell(column.place)) for row in rows for column in counted]
        signed = [(row, key, cell, signs) for row, key, cell in cells if (signs := decimal_signs([cell]))]
        commas, points = (sum(sign in signs for *_, signs in signed) for sign in (",", "."))
        if not commas or not points:
            return
        rare, usual = (".", "comma") if points < commas else (",", "point")
        for row, key, cell, signs in signed:
            if rare in signs:
                allowed = f"one decimal sign in the whole table, and most of its cells have a {usual}"
                self._fault(row, key, shown_cell(cell), allowed)

    def student(self, row: TableRow) -> Student | None:
        """The row's student, or None when anything is wrong with it."""
        before = len(self.faults)
        values = {column.key: self._value(row, column) for column in self.columns if row.cell(column.place) != ""}
        name = str(values.pop(STUDENT, "") or "")
        date = str(values.pop(DATE, "") or "")
        if not name and not self._student_cell(row):
            self._fault(row, STUDENT, "nothing", "the student's name")
        label = self._job_name(row, name, values.pop(NAME, None))
        if any(value is None for value in values.values()):
            # Still loaded without them, so that the row's other faults are told in the same run.
            values = {key: value for key, value in values.items() if value is not None}
        job = self._job(row, label, values)
        if job is None or len(self.faults) > before or self._has_fault(row):
            return None
        return Student(name, date, row.number, job)

    def _has_fault(self, row: TableRow) -> bool:
        """True too for a row that fills a column which cannot be read."""
        return any(row.cell(place) != "" for place in self.unread) or any(
            fault.key.startswith(f"row {row.number},") for fault in self.faults
        )

    def _student_cell(self, row: TableRow) -> Cell:
        return next((row.cell(column.place) for column in self.columns if column.key == STUDENT), "")

    def _fault(self, row: TableRow, key: str, found: str, allowed: str) -> None:
        column = next((one for one in self.columns if one.key == key), None)
        student = self._student_cell(row)
        who = student if isinstance(student, str) else shown_cell(student)
        where = column.shown if column is not None else key
        self.faults.append(row_fault(self.file, row.number, where, who, found, allowed))

    def _value(self, row: TableRow, column: Column) -> object:
        """The cell as a job file's value; None, and a fault, for one that its key does not allow."""
        cell, key = row.cell(column.place), column.key
        if key == STUDENT and not isinstance(cell, str):
            cell = shown_cell(cell)
        if key == DATE:
            return self._date(row, cell)
        kind = JOB_NAME if key == NAME else kind_of(key)
        if kind is None:
            return cell
        try:
            return read_value(cell, kind)
        except NotAllowed as error:
            plain = shown_cell(cell)
            found = error.found if error.found.startswith(("a date", plain)) else plain
            self._fault(row, key, found, error.allowed)
            return None

    def _date(self, row: TableRow, cell: Cell) -> str | None:
        try:
            return read_day(cell).isoformat()
        except NotAllowed as error:
            self._fault(row, DATE, error.found, error.allowed)
            return None

    def _job_name(self, row: TableRow, student: str, given: object) -> str:
        """The job's name: the column job.name, else made of the student's name; each only once."""
        label = str(given) if given is not None else slug(student)
        if student and not label:
            allowed = f"a name with a Latin letter or a digit in it, or a column {NAME}"
            self._fault(row, STUDENT, shown(student), allowed)
        other = self.names.setdefault(label.casefold(), row.number) if label else row.number
        if other != row.number:
            key = NAME if given is not None else STUDENT
            allowed = f"each name once, and row {other} gives the job the same name: tell them apart, or add {NAME}"
            self._fault(row, key, shown(student if given is None else label), allowed)
        return label or "unnamed"

    def _job(self, row: TableRow, label: str, values: Mapping[str, object]) -> Job | None:
        raw = row_tables(self.base.tables, values)
        raw["job"] = {"name": label}
        try:
            return job_from_tables(raw, self.base.path, self.shop, _THIS_ROW)
        except InputError as error:
            known = {column.key for column in self.columns if row.cell(column.place) != ""}
            told = {fault.key for fault in self.faults}
            for fault in error.faults:
                self._loading(row, fault, known, told)
            return None

    def _loading(self, row: TableRow, fault: Fault, known: set[str], told: set[str]) -> None:
        """A fault of loading: the row's own where it gives the key or nobody does, else the base's or a preset's."""
        if fault.file != _THIS_ROW:
            self.faults.append(fault)
            return
        table, _, key = fault.key.partition(".")
        base = self.base.tables.get(table)
        if fault.key not in known and isinstance(base, dict) and (not key or key in base) and fault.found != "nothing":
            self.faults.append(Fault(self.base.shown_as, fault.key, fault.found, fault.allowed))
            return
        key, allowed = fault.key, fault.allowed
        named = f"{table}.preset"
        if fault.found == "nothing" and table in _NEEDED and named not in known and "preset" not in (base or {}):
            key, allowed = named, f"a preset's name here or in the base job, or every key of [{table}]"
        column = next((one.shown for one in self.columns if one.key == key), key)
        if not any(one.startswith(f"row {row.number}, {column}") for one in told):
            self._fault(row, key, fault.found, allowed)
            told.add(self.faults[-1].key)


def row_tables(base: Mapping[str, Any], values: Mapping[str, object]) -> dict[str, Any]:
    """The tables of a row's job: the base's, under the row's values by dotted key.

    A table that a job file has whole (top, target, bolts) comes whole from the row as soon as the row has a key of it.
    """
    raw = deepcopy(dict(base))
    for table in _PRESETS:
        own, wanted = raw.get(table), values.get(f"{table}.preset")
        if wanted is not None and isinstance(own, dict) and own.get("preset") != wanted:
            raw[table] = {}
    fresh: set[str] = set()
    for dotted, value in values.items():
        *path, key = dotted.split(".")
        whole = ".".join(path) in WHOLE
        inner = raw
        for part in path:
            inner = inner.setdefault(part, {})
            if not isinstance(inner, dict):
                break
        else:
            if whole and ".".join(path) not in fresh:
                fresh.add(".".join(path))
                inner.clear()
            inner[key] = value
    return raw


def slug(name: str) -> str:
    """A name as a folder's: small Latin letters, digits and hyphens; accents and other signs are dropped."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii").lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:64].rstrip("-")
