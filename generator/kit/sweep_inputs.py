"""The inputs of a sweep: which keys can be varied, how KEY=FROM:TO:N is read, and the job with other values in it.

A key is a job file's own, dotted or its last part: `bridge_thickness`, `target.saddle_gap`, `joint.bolts.count`. A
number in a list has its place after the key, counted from 1: `joint.bolts.from_top.2`. Lengths mm, angles degrees.
"""

from __future__ import annotations

import contextlib
import difflib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from generator.base.errors import COMMAND_LINE, Fault, InputError
from generator.job.merge import DEFAULT_SOURCE
from generator.job.model.field_types import FieldType, ListType, Model, NotAllowed, RangedType, WholeType, shown
from generator.job.model.instrument import Target
from generator.job.model.job import Job
from generator.job.model.joint import BoltSpec
from generator.job.rules import breaches
from generator.job.tables import KEYS, MODELS, TOPS, WHOLE_KEYS, field_types_of
from generator.joint.solution import work_out

#: A sweep has at most this many points.
MOST_POINTS = 100_000
#: Tables inside tables, each with the keys it may have.
_INNER: dict[str, tuple[type[Model], ...]] = {
    "target": (Target,), "joint.bolts": (BoltSpec,), "instrument.top": tuple(TOPS.values()),
}  # fmt: skip
#: The list whose numbers the program places where the job leaves them out.
_BOLTS = "joint.bolts.from_top"
#: Matches a count of values, or a place in a list.
_COUNT = re.compile(r"\d{1,9}", re.ASCII)
#: So many keys are named in an error; `heelwright keys` lists the others.
_NAMED = 6


@dataclass(frozen=True)
class Vary:
    """One input to vary: its dotted key and the values it takes, in mm or degrees."""

    key: str
    values: tuple[float, ...]


class Refused(ValueError):
    """A combination of values that the job's rules do not allow."""


def read_vary(text: str) -> Vary:
    """KEY=FROM:TO:N as the command line has it: N values evenly from FROM to TO. InputError otherwise."""
    name, equals, span = text.partition("=")
    parts = span.split(":")
    if not equals or len(parts) != 3:
        raise InputError(
            [Fault(COMMAND_LINE, "--vary", shown(text), "KEY=FROM:TO:N, such as bridge_thickness=8:10:21")]
        )
    key, kind = _key(name.strip())
    low, high = (_number(key, kind, part) for part in parts[:2])
    count = int(parts[2]) if _COUNT.fullmatch(parts[2].strip()) else 0
    if not 2 <= count <= MOST_POINTS:
        raise InputError(
            [Fault(COMMAND_LINE, "--vary", shown(parts[2]), f"a number of values from 2 to {MOST_POINTS}")]
        )
    values = tuple(low + (high - low) * i / (count - 1) for i in range(count))
    return Vary(key, tuple(float(round(one)) for one in values) if isinstance(kind, WholeType) else values)


def _every_kind() -> dict[str, FieldType]:
    """Every key of a job file by its dotted name, whatever it holds."""
    inner: dict[str, FieldType] = {}
    for table, models in _INNER.items():
        for model in models:
            inner |= {f"{table}.{key}": kind for key, kind in field_types_of(model).items()}
    plain = {f"{table}.{key}": kind for table in MODELS for key, kind in KEYS[table].items()}
    return {key: kind for key, kind in (plain | inner).items() if key not in _INNER}


def _numbers() -> dict[str, FieldType]:
    """Every input that is a number, by its dotted key; a number in a list has its place at the end."""
    found: dict[str, FieldType] = {}
    for key, kind in _every_kind().items():
        if isinstance(kind, RangedType):
            found[key] = kind
        elif isinstance(kind, ListType) and isinstance(kind.item, RangedType):
            found |= {f"{key}.{place}": kind.item for place in range(1, kind.most + 1)}
    return found


def _meant(name: str, known: Sequence[str]) -> list[str]:
    """The keys that a name means, whole or the key's end; a tolerance gives way to another key of its name."""
    meant = [key for key in known if key == name or key.endswith(f".{name}")]
    return [key for key in meant if not key.startswith("tolerances.")] or meant


def _key(name: str) -> tuple[str, FieldType]:
    """The dotted key that a name means, and its kind. InputError names what can be varied instead."""
    known = _numbers()
    meant = _meant(name, tuple(known))
    if len(meant) == 1:
        return meant[0], known[meant[0]]
    if meant:
        raise _refused(f"{shown(name)}, a part of several keys", f"one of {', '.join(meant)}")
    kinds = _every_kind()
    inside = [key for key in known if key.startswith(f"{name}.") or f".{name}." in key]
    if inside:
        what = "a list" if any(key in kinds for key in _meant(name, tuple(kinds))) else "a table"
        more = f" and {len(inside) - _NAMED} more: see heelwright keys" if len(inside) > _NAMED else ""
        raise _refused(f"{shown(name)}, {what}", f"a number in it: {', '.join(inside[:_NAMED])}{more}")
    other = _meant(name, tuple(kinds))
    if other:
        holds = kinds[other[0]].allowed
        table = other[0].rpartition(".")[0]
        beside = [key for key in known if key.startswith(f"{table}.")][:_NAMED]
        say = f"; beside it: {', '.join(beside)}" if beside else ""
        raise _refused(f"{other[0]}, which holds {holds}", f"a key that holds a number{say}")
    near = difflib.get_close_matches(name, [*known, *(key.rpartition(".")[2] for key in known)], n=1, cutoff=0.5)
    hint = f"the nearest is {near[0]}" if near else "heelwright keys lists them"
    raise _refused(f"the unknown key {shown(name)}", f"an input that is a number; {hint}")


def _refused(found: str, allowed: str) -> InputError:
    return InputError([Fault(COMMAND_LINE, "--vary", found, allowed)])


def _number(key: str, kind: FieldType, text: str) -> float:
    raw: object = text.strip()
    with contextlib.suppress(ValueError):
        raw = float(text)
    try:
        return float(kind.read(raw))
    except NotAllowed as error:
        raise InputError([Fault(COMMAND_LINE, f"--vary {key}", error.found, error.allowed)]) from None


def _place_of(name: str) -> tuple[str, int]:
    """A key without the place at its end, and the place counted from 0; -1 for a key of no list."""
    key, _, place = name.rpartition(".")
    return (key, int(place) - 1) if _COUNT.fullmatch(place) else (name, -1)


class SweepBase:
    """The job taken apart once, so that a point only puts its own values in. InputError where it has no such input."""

    def __init__(self, job: Job, axes: Sequence[Vary]) -> None:
        self.job = job
        self.flat = {f"{table}.{key}": value for table in MODELS for key, value in _values(getattr(job, table), table)}
        self.lists = {key: self._list(key) for axis in axes for key, place in [_place_of(axis.key)] if place >= 0}
        faults = [fault for axis in axes if (fault := self._unfit(axis.key)) is not None]
        twice = {axis.key for axis in axes if sum(other.key == axis.key for other in axes) > 1}
        faults += [Fault(COMMAND_LINE, "--vary", f"{key} twice", "each input once") for key in sorted(twice)]
        if faults:
            raise InputError(faults)

    def _list(self, key: str) -> tuple[float, ...]:
        """The numbers of a list of the job; bolts that the program places stand where it places them."""
        if key == _BOLTS and self.job.joint.bolts.from_top is None:
            return tuple(bolt.from_top for bolt in work_out(self.job).joint.bolts)
        value: Any = self.job
        for name in key.split("."):
            value = getattr(value, name)
        return tuple(value)

    def _unfit(self, name: str) -> Fault | None:
        """Why this very job has no such input, None where it has."""
        key, place = _place_of(name)
        if place >= 0 and place >= len(self.lists[key]):
            there = ", ".join(f"{key}.{i}" for i in range(1, len(self.lists[key]) + 1))
            return Fault(COMMAND_LINE, "--vary", f"{name}, and the job has {len(self.lists[key])}", f"one of {there}")
        joint = self.job.joint
        if key.startswith("joint.") and key.partition(".")[2].partition(".")[0] not in type(joint).model_fields:
            kind = shown(joint.kind.value)
            return Fault(COMMAND_LINE, "--vary", f"{key}, with joint.kind {kind}", "a key that this kind of joint has")
        top = self.job.instrument.top
        if key.startswith("instrument.top.") and key.rpartition(".")[2] not in type(top).model_fields:
            has = [
                f"instrument.top.{one}"
                for one, kind in field_types_of(type(top)).items()
                if isinstance(kind, RangedType)
            ]
            allowed = f"one of {', '.join(has)}" if has else "another input: this top has no number"
            return Fault(COMMAND_LINE, "--vary", f"{key}, and the job's top is {top.form}", allowed)
        return None

    def with_values(self, values: Mapping[str, float]) -> Job:
        """The job with these values. Refused where a rule between keys is broken, ValidationError for a key's own."""
        tables: dict[str, dict[str, Any]] = {}
        for key, value in self._joined(values).items():
            table, _, name = key.partition(".")
            tables.setdefault(table, {})[name] = value
        update = {table: self._table(table, changed) for table, changed in tables.items()}
        job = self.job.model_copy(update=update)
        flat = dict(self.flat)
        for table in update:
            if table in MODELS:
                flat |= {f"{table}.{key}": value for key, value in _values(update[table], table)}
        wrong = [
            f"{rule.blame}: found {found}; allowed: {allowed}" for rule, (found, allowed) in breaches(_ruled(job, flat))
        ]
        if wrong:
            raise Refused("; ".join(wrong))
        return job

    def _joined(self, values: Mapping[str, float]) -> dict[str, Any]:
        """The values by key, numbers of a list put into the whole list."""
        found: dict[str, Any] = {}
        for name, value in values.items():
            key, place = _place_of(name)
            if place < 0:
                found[key] = value
                continue
            old = found.get(key, self.lists[key])
            found[key] = (*old[:place], value, *old[place + 1 :])
        return found

    def _table(self, table: str, changed: Mapping[str, Any]) -> Any:
        if table == "target":
            return self._target(changed)
        model = getattr(self.job, table)
        given = {key: getattr(model, key) for key in type(model).model_fields}
        plain: dict[str, Any] = {}
        for name, value in changed.items():
            inner, dot, key = name.partition(".")
            if dot:
                old = plain.get(inner, given[inner])
                values = {field: getattr(old, field) for field in type(old).model_fields} | {key: value}
                plain[inner] = type(old).model_validate(values)
            else:
                plain[name] = value
        # What only followed from another key follows it again.
        sources = self.job.inputs.get(table, {})
        follows = [
            key for key in type(model).derived(given | plain) if sources.get(key, {}).get("source") == DEFAULT_SOURCE
        ]
        kept = {key: value for key, value in given.items() if key not in follows}
        return type(model).model_validate(kept | plain)

    def _target(self, changed: Mapping[str, float]) -> Target:
        """The target said in the way that is varied: a gap takes the place of a clearance."""
        old = {key: getattr(self.job.target, key) for key in WHOLE_KEYS["target"]}
        if any(old[key] is None for key in changed):
            old = {}
        return Target.model_validate({key: value for key, value in old.items() if value is not None} | dict(changed))


def _values(model: Model, table: str) -> Iterator[tuple[str, Any]]:
    """The table's keys that this job has: those of another kind of joint it has not."""
    return ((key, getattr(model, key)) for key in KEYS[table] if key in type(model).model_fields)


def _ruled(job: Job, flat: Mapping[str, Any]) -> dict[str, Any]:
    """What the rules between keys look at, of this job."""
    whole = {"instrument.top": job.instrument.top, "target": job.target, "joint.bolts": job.joint.bolts}
    return {**flat, **whole, "plate": job.stock("plate")}
