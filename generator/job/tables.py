"""The tables of a job file or preset: which keys they know, and how one file's tables are read with all its faults."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from generator.base.errors import Fault
from generator.job.model.field_types import FieldType, Model, NotAllowed, shown
from generator.job.model.instrument import ONE_TARGET, DomeTop, FlatTop, Instrument, MeasuredTop, Target, target_fault
from generator.job.model.jig import JigSpec
from generator.job.model.job import Issue, Job, OutputSpec, Tolerances
from generator.job.model.joint import JOINTS, BoltSpec, JointSpec
from generator.job.model.router import Router
from generator.job.model.stock import Stock

#: Version of the job file. Version 1 described another jig, so its [jig] table cannot be read as it stands.
SCHEMA = 2
#: What a job of version 1 must change.
SCHEMA_CHANGE = (
    '2, with [jig] written anew: keep preset, tip_pin, bridged and second_depth_block, take preset "plywood" for '
    '"sheet", "plywood-small" for "sheet-small", and drop every other key of [jig]'
)


def field_types_of(model: type[Model]) -> dict[str, FieldType]:
    """Each key of a model with the kind of value it holds, in the model's order."""
    found = {}
    for name, info in model.model_fields.items():
        kind = next((item for item in info.metadata if isinstance(item, FieldType)), None)
        if kind is not None:
            found[name] = kind
    return found


#: Tables merged key by key; of [joint] what every kind of joint is told.
MODELS: dict[str, type[Model]] = {
    "instrument": Instrument,
    "joint": JointSpec,
    "router": Router,
    "jig": JigSpec,
    "output": OutputSpec,
    "tolerances": Tolerances,
}
#: Every table's keys; [stock] stands in a stock preset only, whose file name is the stock's name.
KEYS: dict[str, dict[str, FieldType]] = {
    "job": {**field_types_of(Job), **field_types_of(Issue)},
    **{table: field_types_of(model) for table, model in MODELS.items()},
    "joint": {key: kind for model in JOINTS.values() for key, kind in field_types_of(model).items()},
    "stock": {key: kind for key, kind in field_types_of(Stock).items() if key != "name"},
}

#: Keys by the name they had before, which job files and presets may still use.
OLD_NAMES: dict[str, dict[str, str]] = {"instrument": {"overstand": "neck_rise"}}

#: Tables that are taken whole and have one form, each to its model.
_WHOLE_MODELS: dict[str, type[Model]] = {"target": Target, "joint.bolts": BoltSpec}
#: Forms of a top, each to its model.
TOPS: dict[str, type[Model]] = {"flat": FlatTop, "dome": DomeTop, "measured": MeasuredTop}
#: Tables taken whole: the layer that has one supplies all of it.
WHOLE = ("instrument.top", "target", "joint.bolts")
#: The keys of each table that is taken whole.
WHOLE_KEYS: dict[str, tuple[str, ...]] = {
    "instrument.top": tuple(dict.fromkeys(key for model in TOPS.values() for key in model.model_fields)),
    "target": tuple(Target.model_fields),
    "joint.bolts": tuple(BoltSpec.model_fields),
}


@dataclass(frozen=True)
class SourceLayer:
    """What one file says: its good values by table and key, the whole tables as models, and what could not be read."""

    source: str
    file: str
    values: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    whole: Mapping[str, Model] = field(default_factory=dict)
    bad: frozenset[str] = frozenset()
    faults: tuple[Fault, ...] = ()


class _Reader:
    """Collects the values and faults of one file."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.faults: list[Fault] = []
        self.bad: set[str] = set()

    def fault(self, key: str, found: str, allowed: str) -> None:
        self.faults.append(Fault(self.file, key, found, allowed))
        self.bad.add(key)

    def table(self, name: str, raw: object) -> dict[str, Any]:
        """`raw` as a table; a fault and an empty one when it is something else."""
        if isinstance(raw, dict):
            return raw
        self.fault(name, shown(raw), f"a table, [{name}]")
        return {}

    def key(self, table: str, key: str, kind: FieldType, raw: object) -> dict[str, Any]:
        """{key: value}, or a fault and nothing."""
        try:
            return {key: kind.read(raw)}
        except NotAllowed as error:
            self.fault(f"{table}.{key}", error.found, error.allowed)
            return {}

    def unknown(self, table: str, key: str, known: Iterable[str]) -> None:
        where = f"{table}.{key}" if table else key
        what = "key" if table else "table or key"
        self.fault(where, f"the unknown {what} {shown(key)}", suggestion(table, key, tuple(known)))


def suggestion(table: str, key: str, known: tuple[str, ...]) -> str:
    """What was probably meant by an unknown key: the nearest known one, or the table it belongs to."""
    import difflib

    elsewhere = (*KEYS.items(), *WHOLE_KEYS.items())
    home = next((name for name, keys in elsewhere if key in keys and name not in (table, "stock")), None)
    nearest = difflib.get_close_matches(key, known, n=1, cutoff=0.6)
    if home and not nearest:
        return f"{key} stands in [{home}]"
    if nearest:
        return f"the nearest known key is {shown(nearest[0])}"
    return "one of " + ", ".join(known)


def read_layer(
    source: str, file: str, raw: Mapping[str, Any], tables: Iterable[str], extra: Iterable[str] = ()
) -> SourceLayer:
    """Read the tables named in `tables` from a parsed TOML file; `extra` top-level keys are somebody else's to read.

    Every key goes through its kind. Faults (unknown table or key, value not allowed) are collected, never raised.
    """
    reader = _Reader(file)
    tables = tuple(tables)
    values: dict[str, dict[str, Any]] = {}
    whole: dict[str, Model] = {}
    for name, content in raw.items():
        if name in extra:
            continue
        if name not in tables:
            reader.unknown("", name, (*tables, *extra))
        elif name in WHOLE:
            _read_whole(reader, whole, name, content)
        else:
            values[name] = _read_keys(reader, whole, name, content)
    return SourceLayer(source, file, values, whole, frozenset(reader.bad), tuple(reader.faults))


def _read_keys(reader: _Reader, whole: dict[str, Model], table: str, raw: object) -> dict[str, Any]:
    found: dict[str, Any] = {}
    kinds = KEYS[table]
    inner = {name.partition(".")[2]: name for name in WHOLE if name.startswith(f"{table}.")}
    given, old = reader.table(table, raw), OLD_NAMES.get(table, {})
    for key, content in given.items():
        if key in old and old[key] in given:
            reader.fault(f"{table}.{key}", f"both {key} and {old[key]}, two names of one key", f"{old[key]} alone")
        elif key in old:
            for value in reader.key(table, key, kinds[old[key]], content).values():
                found[old[key]] = value
        elif key in inner:
            _read_whole(reader, whole, inner[key], content)
        elif key in kinds:
            found |= reader.key(table, key, kinds[key], content)
        else:
            reader.unknown(table, key, (*kinds, *inner))
    return found


def _read_whole(reader: _Reader, whole: dict[str, Model], name: str, raw: object) -> None:
    model = _WHOLE_MODELS.get(name) or _top_model(reader, raw)
    if model is None or not isinstance(raw, dict):
        reader.table(name, raw)
        reader.bad.add(name)
        return
    before = len(reader.faults)
    kinds = field_types_of(model)
    found: dict[str, Any] = {}
    for key, content in raw.items():
        if key in kinds:
            found |= reader.key(name, key, kinds[key], content)
        elif key not in model.model_fields:
            reader.unknown(name, key, tuple(model.model_fields))
    for key, info in model.model_fields.items():
        if info.is_required() and key not in raw:
            reader.fault(f"{name}.{key}", "nothing", kinds[key].allowed)
    if name == "target" and len(reader.faults) == before:
        wrong = target_fault(set(found))
        if wrong:
            reader.fault(name, wrong, ONE_TARGET)
    if len(reader.faults) == before:
        whole[name] = model(**found)
    else:
        reader.bad.add(name)


def _top_model(reader: _Reader, raw: object) -> type[Model] | None:
    if not isinstance(raw, dict):
        return None
    form = raw.get("form")
    model = TOPS.get(form) if isinstance(form, str) else None
    if model is None:
        found = shown(form) if "form" in raw else "nothing"
        reader.fault("instrument.top.form", found, ", ".join(shown(name) for name in TOPS))
    return model
