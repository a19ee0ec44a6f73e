"""What the headings of a class table mean: the job's keys, dotted or bare, and the two columns of its own."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass

from generator.base.errors import Fault
from generator.classes.cells import Cell, column_letter
from generator.classes.faults import row_fault
from generator.job.model.field_types import PRINTED_TEXT, FieldType, shown
from generator.job.model.instrument import Target
from generator.job.model.joint import BoltSpec
from generator.job.tables import KEYS, TOPS, WHOLE_KEYS, field_types_of

#: Column of the student's name.
STUDENT = "student"
#: Column of the day.
DATE = "date"
#: Column of the job's name; without one it is made of the student's.
NAME = "job.name"
#: Columns that every table has, and one it may have.
_OWN = (STUDENT, DATE)
#: Tables whose bare keys give way to another table's of the same name.
_LAST = "tolerances."
#: Less alike than this (1 for the same text) a key is no suggestion.
_ALIKE = 0.6
#: Factor by which a likeness to a key's beginning alone counts.
_SHORTENED = 0.95
#: Kinds of the values of the tables that are taken whole, by their dotted keys.
_WHOLE_KINDS: dict[str, FieldType] = {
    **{f"target.{key}": kind for key, kind in field_types_of(Target).items()},
    **{f"joint.bolts.{key}": kind for key, kind in field_types_of(BoltSpec).items()},
    **{f"instrument.top.{key}": kind for model in TOPS.values() for key, kind in field_types_of(model).items()},
}


@dataclass(frozen=True)
class Column:
    """A column: its place counted from 0, its heading as it stands, the dotted key it means."""

    place: int
    heading: str
    key: str

    @property
    def shown(self) -> str:
        """How a fault names it: "column D (instrument.frets)"."""
        return f"column {column_letter(self.place)} ({self.key})"


def known_keys() -> tuple[str, ...]:
    """Every key a heading may mean, dotted."""
    plain = [f"{table}.{key}" for table, keys in KEYS.items() if table not in ("stock", "job") for key in keys]
    whole = [f"{table}.{key}" for table, keys in WHOLE_KEYS.items() for key in keys]
    return (*_OWN, NAME, *plain, *whole)


def kind_of(key: str) -> FieldType | None:
    """The kind of value a key holds; None for a choice that its own reader judges, such as a top's form."""
    if key == STUDENT:
        return PRINTED_TEXT
    table, _, name = key.rpartition(".")
    return _WHOLE_KINDS.get(key) or KEYS.get(table, {}).get(name)


def read_headings(file: str, cells: Sequence[Cell], used: frozenset[int]) -> tuple[tuple[Column, ...], list[Fault]]:
    """The columns of the first row, and what is wrong with it; `used` are the columns that hold anything below."""
    columns: list[Column] = []
    faults: list[Fault] = []
    taken: dict[str, str] = {}
    for place in range(max([len(cells), *(i + 1 for i in used)])):
        heading = cells[place] if place < len(cells) else ""

        def wrong(found: str, allowed: str, where: str = f"column {column_letter(place)}") -> None:
            faults.append(row_fault(file, 1, where, "", found, allowed))

        if heading == "":
            if place in used:
                wrong("no heading over cells that hold something", "a heading")
            continue
        key, allowed = _key(str(heading))
        if key is None:
            wrong(f"the unknown heading {shown(str(heading))}", allowed)
        elif key in taken:
            wrong(shown(str(heading)), f"each key once: column {taken[key]} has {key} too")
        else:
            taken[key] = column_letter(place)
            columns.append(Column(place, str(heading), key))
    if STUDENT not in taken and not any(STUDENT in fault.allowed for fault in faults):
        faults.append(row_fault(file, 1, "", "", "no column student", "a column student with each student's name"))
    return tuple(columns), faults


def _key(heading: str) -> tuple[str | None, str]:
    """The key a heading means, or None and what is allowed."""
    text = "_".join(heading.lower().replace("-", " ").split())
    known = known_keys()
    if text in known:
        return text, ""
    ends = [key for key in known if key.endswith(f".{text}")]
    ends = [key for key in ends if not key.startswith(_LAST)] or ends
    if len(ends) == 1:
        return ends[0], ""
    if ends:
        return None, "the whole key, one of " + ", ".join(ends)
    bare = {key.rpartition(".")[2]: key for key in reversed(known)}
    near = max([*known, *bare], key=lambda name: _likeness(text, name))
    if _likeness(text, near) >= _ALIKE:
        return None, f"the nearest known key is {shown(bare.get(near, near))}"
    return None, "student, date, or a key of a job file: heelwright new writes one with all of them"


def _likeness(text: str, name: str) -> float:
    """How alike a heading is to a key, or to as much of the key as it is long: people shorten headings."""
    whole, start = (difflib.SequenceMatcher(None, text, one).ratio() for one in (name, name[: len(text)]))
    return max(whole, start * _SHORTENED)
