"""The layers of a job merged key by key: its own file, the presets it names, the shop file, the defaults.

Every value remembers where it came from. The job's own value stands before the shop's, that before a preset's, that
before the default.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic_core import PydanticUndefined

from generator.base.errors import Fault, InputError
from generator.job.keys import job_keys
from generator.job.kit_copy import JobCopy
from generator.job.model.field_types import FieldType, Model, shown
from generator.job.model.job import JOB_SOURCE, Issue
from generator.job.model.joint import JOINTS, JointKind
from generator.job.presets import PresetKind, find_preset
from generator.job.shop import Shop
from generator.job.tables import KEYS, MODELS, WHOLE, WHOLE_KEYS, SourceLayer, field_types_of, read_layer

#: What a job file may hold at its top level: the format's number, then the tables.
JOB_TABLES = ("schema", "job", "instrument", "target", "joint", "router", "jig", "output", "tolerances")
#: Which tables a preset of each kind may carry.
PRESET_TABLES = {
    PresetKind.INSTRUMENTS: ("instrument", "joint", "target"),
    PresetKind.ROUTERS: ("router",),
    PresetKind.JIGS: ("jig",),
}
#: The table of a job that names its preset of each kind.
NAMED_BY = {
    PresetKind.INSTRUMENTS: "instrument",
    PresetKind.ROUTERS: "router",
    PresetKind.JIGS: "jig",
}
#: The jig preset of a job that names none.
DEFAULT_JIG = "plywood"
#: Tried in this order where a jig and the rest of a job do not go together: the later ones have thinner plates.
JIGS = (DEFAULT_JIG, "plywood-small", "machined")
#: Keys of a preset file beside its tables; `start` says which router and jig a new job for an instrument begins with.
PRESET_HEAD = ("schema", "title", "about", "start")

#: Source of a value that stands in the shop file.
SHOP_SOURCE = "shop"
#: Source of a value that no file gives.
DEFAULT_SOURCE = "default"
#: The readings in the shop file that an edge offset was found from, by their keys of [router].
_TEST_CUT = {"test_template": "template_width", "test_slot": "slot_width"}


@dataclass
class Merge:
    """The merge in progress: values and sources by "table.key", keys that could not be read, faults.

    `jig` is the jig preset of a job that names none; empty until it is known.
    """

    file: str
    jig: str
    values: dict[str, Any] = field(default_factory=dict)
    sources: dict[str, str] = field(default_factory=dict)
    files: dict[str, str] = field(default_factory=dict)
    bad: set[str] = field(default_factory=set)
    faults: list[Fault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    copy: JobCopy = field(default_factory=JobCopy)

    def put(self, key: str, value: Any, source: str, file: str) -> None:
        self.values[key], self.sources[key], self.files[key] = value, source, file


def preset_layers(merge: Merge, own: SourceLayer, folders: Iterable[Path]) -> dict[PresetKind, SourceLayer | None]:
    """The presets the job names; None for one that cannot be found or read, whose keys then go unchecked."""
    layers: dict[PresetKind, SourceLayer | None] = {}
    for kind, table in NAMED_BY.items():
        key = f"{table}.preset"
        name = own.values.get(table, {}).get("preset", merge.jig or DEFAULT_JIG if kind is PresetKind.JIGS else None)
        if key in own.bad:
            layers[kind] = None
        elif name is None:
            layers[kind] = SourceLayer("", "")
        else:
            layers[kind] = _preset_layer(merge, kind, name, key, folders)
    return layers


def _preset_layer(merge: Merge, kind: PresetKind, name: str, key: str, folders: Iterable[Path]) -> SourceLayer | None:
    try:
        preset = find_preset(kind, name, folders, merge.file, key)
        tables = preset.tables()
        layer = read_layer(preset.source, preset.shown_as, tables, PRESET_TABLES[kind], PRESET_HEAD)
    except InputError as error:
        merge.faults.extend(error.faults)
        return None
    merge.faults.extend(layer.faults)
    merge.jig = merge.jig or str(tables.get("start", {}).get("jig", ""))
    return layer


def merge_tables(merge: Merge, own: SourceLayer, presets: Mapping[PresetKind, SourceLayer | None], shop: Shop) -> None:
    instrument, router = presets[PresetKind.INSTRUMENTS], presets[PresetKind.ROUTERS]
    _merge_table(merge, "job", [own])
    _merge_table(merge, "instrument", [own, instrument])
    _merge_joint(merge, own, instrument)
    _merge_table(merge, "router", [own, _shop_router(merge, own, router, shop), router])
    _merge_table(merge, "jig", [own, _shop_jig(merge, own, presets[PresetKind.JIGS], shop), presets[PresetKind.JIGS]])
    _merge_table(merge, "output", [own])
    _merge_table(merge, "tolerances", [own])
    for name in WHOLE:
        _merge_whole(merge, name, [own, instrument])


def _merge_joint(merge: Merge, own: SourceLayer, preset: SourceLayer | None) -> None:
    """The keys of the joint's kind; what a preset says of another kind is left aside, what the job says refused."""
    kind = next((k for k in (_told_kind(own), _told_kind(preset)) if k is not None), JointKind.MORTISE_TENON)
    model = JOINTS[kind]
    allowed = f"joint.kind {shown(kind.value)} takes {', '.join(model.model_fields)}"
    for key, value in own.values.get("joint", {}).items():
        if key not in model.model_fields:
            found = f"{shown(KEYS['joint'][key].written(value))}, with a joint of another kind"
            merge.faults.append(Fault(merge.file, f"joint.{key}", found, allowed))
    for key, value in own.values.get("tolerances", {}).items():
        name = f"tolerances.{key}"
        if job_keys()[name].only not in ("", kind.value):
            found = f"{shown(KEYS['tolerances'][key].written(value))}, with joint.kind {shown(kind.value)}"
            merge.faults.append(Fault(merge.file, name, found, "nothing: this kind of joint has no such error"))
    _merge_table(merge, "joint", [own, preset], model)


def _told_kind(layer: SourceLayer | None) -> JointKind | None:
    return None if layer is None else layer.values.get("joint", {}).get("kind")


def _shop_router(merge: Merge, own: SourceLayer, preset: SourceLayer | None, shop: Shop) -> SourceLayer:
    """What the shop measured for this router kit; nothing once the job puts another bushing or bit in it."""
    mine = own.values.get("router", {})
    entry = shop.router.get(mine.get("preset", ""))
    if entry is None or preset is None or not entry.values:
        return SourceLayer(SHOP_SOURCE, "")
    kit = preset.values.get("router", {})
    if any(key in mine and mine[key] != kit.get(key) for key in ("bushing_od", "bit_diameter")):
        merge.notes.append(
            f"{shop.name}: the corrections of [router.{mine['preset']}] are left aside, "
            "because the job puts another bushing or bit in that kit"
        )
        return SourceLayer(SHOP_SOURCE, "")
    cut = {key: entry.measured[reading] for key, reading in _TEST_CUT.items() if reading in entry.measured}
    values = dict(entry.values) | (cut if "edge_offset" in entry.values else {})
    return SourceLayer(SHOP_SOURCE, shop.name, {"router": values})


def _shop_jig(merge: Merge, own: SourceLayer, preset: SourceLayer | None, shop: Shop) -> SourceLayer:
    """What the shop measured on this jig; nothing where the job has a stand-off of its own or moves the rests."""
    mine = own.values.get("jig", {})
    name = mine.get("preset", merge.jig or DEFAULT_JIG)
    entry = shop.jig.get(name)
    if entry is None or preset is None or not entry.values or "stand_off" in mine:
        return SourceLayer(SHOP_SOURCE, "")
    if "rest_spacing" in mine and mine["rest_spacing"] != preset.values.get("jig", {}).get("rest_spacing"):
        merge.notes.append(
            f"{shop.name}: the stand-off of [jig.{name}] is left aside, because the job puts the rests elsewhere"
        )
        return SourceLayer(SHOP_SOURCE, "")
    return SourceLayer(SHOP_SOURCE, shop.name, {"jig": dict(entry.values)})


def _merge_table(
    merge: Merge, table: str, layers: Sequence[SourceLayer | None], model: type[Model] | None = None
) -> None:
    """The table's keys, those of `model` where it has more than one."""
    model = model or MODELS.get(table)
    fields = (model or Issue).model_fields
    keys = KEYS[table] if model is None else field_types_of(model)
    for key in keys:
        name = f"{table}.{key}"
        for layer in layers:
            if layer is None or name in layer.bad or table in layer.bad:
                merge.bad.add(name)
                break
            if key in layer.values.get(table, {}):
                value = layer.values[table][key]
                others = [one for one in layers[1:] if one and one.values.get(table, {}).get(key) == value]
                origin = _origin(merge, layer, others)
                merge.put(name, value, origin.source, origin.file)
                break
        else:
            info = fields.get(key)
            if key == "preset" and table == "jig":
                merge.put(name, merge.jig or DEFAULT_JIG, DEFAULT_SOURCE, merge.file)
            elif info is not None and info.default is not PydanticUndefined:
                merge.put(name, info.default, DEFAULT_SOURCE, merge.file)
    if model is not None:
        _derive(merge, table, model)
    _miss(merge, table, keys)


def _origin(merge: Merge, layer: SourceLayer, others: Sequence[SourceLayer]) -> SourceLayer:
    """Where a value came from: what a kit's copy of its job repeats of the `others` still comes from them."""
    return others[0] if merge.copy.is_copy and others and layer.source == JOB_SOURCE else layer


def _derive(merge: Merge, table: str, model: type[Model]) -> None:
    """Fill what follows from the table's other keys."""
    known = {key: merge.values[f"{table}.{key}"] for key in KEYS[table] if f"{table}.{key}" in merge.values}
    for key, value in model.derived(known).items():
        name = f"{table}.{key}"
        if name not in merge.values and name not in merge.bad:
            merge.put(name, value, DEFAULT_SOURCE, merge.file)


def _miss(merge: Merge, table: str, keys: Mapping[str, FieldType]) -> None:
    hint = "" if table == "job" else f", in [{table}] or in a preset it names"
    for key, kind in keys.items():
        name = f"{table}.{key}"
        if name in merge.values or name in merge.bad:
            continue
        merge.bad.add(name)
        if key == "heel_width_at_cap":  # follows from heel_width, whose own fault says enough
            continue
        merge.faults.append(Fault(merge.file, name, "nothing", kind.allowed + hint))


def _merge_whole(merge: Merge, name: str, layers: Sequence[SourceLayer | None]) -> None:
    for layer in layers:
        if layer is None or name in layer.bad or name.partition(".")[0] in layer.bad:
            merge.bad.add(name)
            return
        if name in layer.whole:
            value = layer.whole[name]
            others = [one for one in layers[1:] if one and one.whole.get(name) == value]
            origin = _origin(merge, layer, others)
            merge.put(name, value, origin.source, origin.file)
            return
    merge.bad.add(name)
    keys = ", ".join(WHOLE_KEYS[name])
    merge.faults.append(Fault(merge.file, name, "nothing", f"a table [{name}] with keys of {keys}"))
