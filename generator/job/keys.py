"""Every key there is, with all that its field in the model says: what it allows, needs, defaults to and means."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from pydantic_core import PydanticUndefined

from generator.job.model.field_types import FieldType, LengthType, Model, TextType
from generator.job.model.instrument import Target
from generator.job.model.job import Issue, Job, Printer
from generator.job.model.joint import JOINTS, BoltSpec
from generator.job.model.meaning import KeyGroup, Meaning
from generator.job.model.stock import Stock
from generator.job.tables import MODELS, TOPS, field_types_of

#: The table of the instrument's top.
TOP = "instrument.top"
#: The table of the target.
TARGET = "target"
#: The table of the joint's bolts.
BOLTS = "joint.bolts"
#: The key of the top's form.
TOP_FORM = f"{TOP}.form"
#: The ways of saying a target, each by the keys it is said with.
WAYS: Mapping[str, tuple[str, ...]] = {
    "saddle_gap": ("saddle_gap",),
    "bridge_clearance": ("bridge_clearance",),
    "action": ("action_bass", "action_treble"),
}
#: Tables that stand in no job file, each with the file it stands in.
ELSEWHERE: Mapping[str, str] = {"stock": "a stock preset", "printer": "the shop file"}


@dataclass(frozen=True)
class Key:
    """One key: `name` with its table ("router.reach"), its kind and meaning.

    `needed`: a job has it, of its own or from a preset. `only` names the form of the top, the way of saying the target
    or the kind of joint that it belongs to. `default` is what a job has that leaves it out, as a file
    writes it; None for nothing.
    """

    name: str
    kind: FieldType
    meaning: Meaning
    group: KeyGroup
    needed: bool
    only: str = ""
    default: Any = None

    @property
    def table(self) -> str:
        """The table it stands in."""
        return self.name.rpartition(".")[0]

    @property
    def bare(self) -> str:
        """Its name within the table."""
        return self.name.rpartition(".")[2]


@cache
def all_keys() -> Mapping[str, Key]:
    """Every key of a job file, then those of ELSEWHERE, by its name with the table."""
    return {key.name: key for key in _walked()}


@cache
def job_keys() -> Mapping[str, Key]:
    """Every key of a job file."""
    return {name: key for name, key in all_keys().items() if key.table not in ELSEWHERE}


def _walked() -> Iterator[Key]:
    yield from _keys("job", Job)
    yield from _keys("job", Issue)
    for table, model in MODELS.items():
        yield from _keys(table, model)
        if table == "joint":
            yield from _of_one_kind(model)
        if table == "instrument":
            yield from _top()
            yield from _target()
        elif table == "joint":
            yield from _keys(BOLTS, BoltSpec)
    yield from _keys("stock", Stock)
    yield from _keys("printer", Printer)


def _of_one_kind(every: type[Model]) -> Iterator[Key]:
    """Keys that one kind of joint has besides those of `every` kind."""
    for kind, model in JOINTS.items():
        yield from (key for key in _keys("joint", model, only=kind.value) if key.bare not in every.model_fields)


def _top() -> Iterator[Key]:
    forms = TextType(pattern="|".join(TOPS), form=", ".join(TOPS))
    first = next(iter(TOPS.values()))
    yield Key(TOP_FORM, forms, meaning_of(first, "form"), first.GROUP, True)
    for form, model in TOPS.items():
        yield from _keys(TOP, model, only=form)


def _target() -> Iterator[Key]:
    for way, keys in WAYS.items():
        for key in keys:
            yield _key(TARGET, Target, key, field_types_of(Target)[key], True, way)


def _keys(table: str, model: type[Model], only: str = "") -> Iterator[Key]:
    kinds = field_types_of(model)
    # What follows from another size may be left out; any size serves to see which keys do.
    follows = model.derived({key: 20.0 for key, kind in kinds.items() if isinstance(kind, LengthType)})
    for key, kind in kinds.items():
        yield _key(table, model, key, kind, model.model_fields[key].is_required() and key not in follows, only)


def _key(table: str, model: type[Model], key: str, kind: FieldType, needed: bool, only: str) -> Key:
    info, meaning = model.model_fields[key], meaning_of(model, key)
    default = None if info.default is PydanticUndefined else kind.written(info.default)
    group = meaning.group or model.GROUP
    return Key(f"{table}.{key}", kind, meaning, group, needed, only or meaning.only, default)


def meaning_of(model: type[Model], key: str) -> Meaning:
    """What a model's field means; LookupError where nobody has said it."""
    found = next((item for item in model.model_fields[key].metadata if isinstance(item, Meaning)), None)
    if found is None:
        raise LookupError(f"{model.__name__}.{key} has no meaning")
    return found
