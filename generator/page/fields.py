"""The form, made from the model of a job: a new key of the model is a new field, with its kind and what it allows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from generator.job.keys import TOP_FORM, Key, job_keys
from generator.job.model.field_types import ChoiceType, FieldType, FlagType, ListType
from generator.job.model.meaning import KeyGroup
from generator.job.presets import PresetKind, list_presets
from generator.job.tables import TOPS
from generator.page.words import catalogue, field_words

#: Each key that names a preset to the preset's kind.
PRESET_OF: Mapping[str, PresetKind] = {
    "instrument.preset": PresetKind.INSTRUMENTS,
    "router.preset": PresetKind.ROUTERS,
    "jig.preset": PresetKind.JIGS,
}
#: The group of the guitar's keys that a job needs; it is open.
_GUITAR = "guitar"
#: The group of the guitar's other keys; it is folded, under another heading.
_GUITAR_MORE = "guitar_more"
#: Open groups, in the form's order.
_OPEN = (_GUITAR, KeyGroup.TOP.value, KeyGroup.TARGET.value)
#: Folded groups, in the form's order; they come after the open ones.
_FOLDED = (
    _GUITAR_MORE,
    *(group.value for group in KeyGroup if group is not KeyGroup.START and group.value not in _OPEN),
)

#: What the form for a guitar that exists asks, each with the key whose dimension shows where it is read.
GUIDED = {
    "join": "instrument.neck_rise",
    "saddle": "instrument.top.zero_angle_gap",
    "bridge": "instrument.bridge_thickness",
    "projection": "instrument.saddle_projection",
    "bass": "target.action_bass",
    "treble": "target.action_treble",
}


@dataclass(frozen=True)
class Choice:
    """One option of a list to pick from."""

    value: str
    label: str


@dataclass(frozen=True)
class Field:
    """One field: its key in a job ("table.key"), its kind, and how it reads.

    `needed`: a job has it, of its own or from a preset. `only` names the form of the top, the way of the target or the
    kind of joint that it belongs to. `choices` is empty for a field that is typed.
    """

    key: str
    kind: FieldType
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
        return isinstance(self.kind, FlagType)

    @property
    def is_list(self) -> bool:
        return isinstance(self.kind, ListType)

    @property
    def may_be_empty(self) -> bool:
        return self.kind.optional or not self.needed


@dataclass(frozen=True)
class FieldGroup:
    """Fields under one heading; `folded` ones wait behind it."""

    name: str
    title: str
    fields: tuple[Field, ...]
    folded: bool


def pickers() -> tuple[Field, ...]:
    """The fields that pick a ready instrument, router kit and jig."""
    return tuple(_field(job_keys()[name]) for name in PRESET_OF)


def groups() -> tuple[FieldGroup, ...]:
    """Every other field of a job under its heading: what must be measured first, the rest folded."""
    titles, fields = catalogue()["group"], _grouped()
    listed = (name for name in (*_OPEN, *_FOLDED) if name in fields)
    return tuple(FieldGroup(name, titles[name], fields[name], name in _FOLDED) for name in listed)


def _grouped() -> dict[str, tuple[Field, ...]]:
    found: dict[str, tuple[Field, ...]] = {}
    for key in job_keys().values():
        if key.group is not KeyGroup.START:
            name = _GUITAR_MORE if key.group is KeyGroup.GUITAR and not key.needed else key.group.value
            found[name] = (*found.get(name, ()), _field(key))
    return found


@lru_cache(maxsize=1)
def all_fields() -> Mapping[str, Field]:
    """Every field of the form by its key; what a preset folder holds is not looked at again."""
    name = _field(job_keys()["job.name"])
    return {field.key: field for field in (name, *pickers(), *(field for group in groups() for field in group.fields))}


def _field(key: Key) -> Field:
    return Field(key.name, key.kind, key.needed, *field_words(key), _choices(key), key.only)


def _choices(key: Key) -> tuple[Choice, ...]:
    if key.name in PRESET_OF:
        return _presets(PRESET_OF[key.name])
    if key.group is KeyGroup.STOCK:
        return _presets(PresetKind.STOCK)
    if key.name == TOP_FORM:
        return tuple(Choice(form, catalogue()["top_form"][form]) for form in TOPS)
    if isinstance(key.kind, ChoiceType):
        words = catalogue()["choice"]
        return tuple(Choice(member.value, words.get(member.value, member.value)) for member in key.kind.choices)
    return ()


@lru_cache(maxsize=len(PresetKind))
def _presets(kind: PresetKind) -> tuple[Choice, ...]:
    return tuple(
        Choice(preset.name, str(preset.tables().get("title", preset.name.replace("-", " "))))
        for preset in list_presets(kind)
    )
