"""The form, made from the model of a job: a new key of the model is a new field, with its kind and what it allows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from generator.job.model.field_types import ChoiceKind, FlagKind, Kind, LengthKind, TextKind
from generator.job.model.instrument import Target
from generator.job.model.job import Issue
from generator.job.model.joint import BoltSpec
from generator.job.presets import PresetKind, list_presets
from generator.job.tables import KEYS, MODELS, TOPS, kinds_of
from generator.page.words import catalogue, field_words

TOP, TARGET, BOLTS = "instrument.top", "target", "joint.bolts"
#: The tables that are taken whole: where one of its fields differs from the preset the job carries all of them.
WHOLE_TABLES = (TOP, TARGET, BOLTS)
TOP_FORM = f"{TOP}.form"
PRESET_OF: Mapping[str, PresetKind] = {
    "instrument.preset": PresetKind.INSTRUMENTS,
    "router.preset": PresetKind.ROUTERS,
    "jig.preset": PresetKind.JIGS,
}
#: The ways of saying a target, each by the keys it is said with.
WAYS: Mapping[str, tuple[str, ...]] = {
    "saddle_gap": ("saddle_gap",),
    "bridge_clearance": ("bridge_clearance",),
    "action": ("action_bass", "action_treble"),
}


@dataclass(frozen=True)
class Choice:
    """One option of a list to pick from."""

    value: str
    label: str


@dataclass(frozen=True)
class Field:
    """One field: its key in a job ("table.key"), its kind, and how it reads.

    `needed`: a job has it, of its own or from a preset. `only` names the form of the top or the way of the target that
    it belongs to. `choices` is empty for a field that is typed.
    """

    key: str
    kind: Kind
    needed: bool
    label: str
    about: str
    choices: tuple[Choice, ...] = ()
    only: str = ""

    @property
    def name(self) -> str:
        """The field's name in the page's markup."""
        return self.key.replace(".", "-")

    @property
    def is_flag(self) -> bool:
        return isinstance(self.kind, FlagKind)

    @property
    def may_be_empty(self) -> bool:
        return self.kind.optional or not self.needed


@dataclass(frozen=True)
class Group:
    """Fields under one heading; `folded` ones wait behind it."""

    name: str
    title: str
    fields: tuple[Field, ...]
    folded: bool


def pickers() -> tuple[Field, ...]:
    """The fields that pick a ready instrument, router kit and jig."""
    return tuple(
        Field(key, KEYS[key.partition(".")[0]]["preset"], False, *field_words(key), _presets(kind))
        for key, kind in PRESET_OF.items()
    )


def groups() -> tuple[Group, ...]:
    """Every other field of a job under its heading: what must be measured first, the rest folded."""
    table = {name: tuple(_table_fields(name)) for name in MODELS}
    needed = tuple(field for field in table["instrument"] if field.needed)
    stocks = tuple(field for field in table["jig"] if field.key.endswith("_stock"))
    listed = (
        ("guitar", needed, False),
        ("top", tuple(_top_fields()), False),
        ("target", tuple(_target_fields()), False),
        ("guitar_more", tuple(field for field in table["instrument"] if not field.needed), True),
        ("joint", table["joint"], True),
        ("bolts", tuple(_whole_fields(BOLTS, BoltSpec)), True),
        ("router", table["router"], True),
        ("jig", tuple(field for field in table["jig"] if field not in stocks), True),
        ("stock", stocks, True),
        ("output", (*_issue_fields(), *table["output"]), True),
        ("tolerances", table["tolerances"], True),
    )
    titles = catalogue()["group"]
    return tuple(Group(name, titles[name], fields, folded) for name, fields, folded in listed)


@lru_cache(maxsize=1)
def all_fields() -> Mapping[str, Field]:
    """Every field of the form by its key; what a preset folder holds is not looked at again."""
    name = Field("job.name", KEYS["job"]["name"], True, *field_words("job.name"))
    return {field.key: field for field in (name, *pickers(), *(field for group in groups() for field in group.fields))}


def _issue_fields() -> Iterator[Field]:
    for key, kind in kinds_of(Issue).items():
        yield Field(f"job.{key}", kind, False, *field_words(f"job.{key}"))


def _table_fields(table: str) -> Iterator[Field]:
    model = MODELS[table]
    # What follows from another size may be left out; any size serves to see which keys do.
    follows = model.derived({key: 20.0 for key, kind in KEYS[table].items() if isinstance(kind, LengthKind)})
    for key, kind in KEYS[table].items():
        if key == "preset":
            continue
        name = f"{table}.{key}"
        needed = model.model_fields[key].is_required() and key not in follows
        yield Field(name, kind, needed, *field_words(name), _choices(key, kind))


def _top_fields() -> Iterator[Field]:
    forms = tuple(Choice(form, catalogue()["top_form"][form]) for form in TOPS)
    kind = TextKind(pattern="|".join(TOPS), form=", ".join(TOPS))
    yield Field(TOP_FORM, kind, True, *field_words(TOP_FORM), forms)
    for form, model in TOPS.items():
        for key, inner in kinds_of(model).items():
            name = f"{TOP}.{key}"
            yield Field(name, inner, model.model_fields[key].is_required(), *field_words(name), only=form)


def _target_fields() -> Iterator[Field]:
    for way, keys in WAYS.items():
        for key in keys:
            name = f"{TARGET}.{key}"
            kind = kinds_of(Target)[key]
            yield Field(name, kind, True, *field_words(name), only=way)


def _whole_fields(table: str, model: type[BoltSpec]) -> Iterator[Field]:
    for key, kind in kinds_of(model).items():
        name = f"{table}.{key}"
        yield Field(name, kind, model.model_fields[key].is_required(), *field_words(name), _choices(key, kind))


def _choices(key: str, kind: Kind) -> tuple[Choice, ...]:
    if key.endswith("_stock"):
        return _presets(PresetKind.STOCK)
    if isinstance(kind, ChoiceKind):
        words = catalogue()["choice"]
        return tuple(Choice(member.value, words.get(member.value, member.value)) for member in kind.choices)
    return ()


@lru_cache(maxsize=len(PresetKind))
def _presets(kind: PresetKind) -> tuple[Choice, ...]:
    return tuple(
        Choice(preset.name, str(preset.tables().get("title", preset.name.replace("-", " "))))
        for preset in list_presets(kind)
    )
