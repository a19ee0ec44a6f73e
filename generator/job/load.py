"""Loading a job: its file, the presets it names, the shop file and the defaults, merged key by key and checked.

Every value remembers where it came from, and every fault is found before anything is raised.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pydantic_core import PydanticUndefined

from generator.base.errors import Fault, InputError
from generator.base.toml_file import read_toml
from generator.job.argument import job_file
from generator.job.kit_copy import COPY_KEYS, JobCopy, read_copy
from generator.job.model.field_types import FieldType, Model, shown
from generator.job.model.instrument import Instrument
from generator.job.model.jig import JigSpec
from generator.job.model.job import JOB_SOURCE, Issue, Job, OutputSpec, Printer, Tolerances
from generator.job.model.joint import JOINTS, JointKind
from generator.job.model.router import Router
from generator.job.model.stock import Stock
from generator.job.presets import Preset, PresetKind, find_preset, preset_folders
from generator.job.rules import breaches
from generator.job.shop import Shop, ShopEntry, find_shop_file, read_shop
from generator.job.tables import (
    KEYS,
    MODELS,
    SCHEMA,
    SCHEMA_CHANGE,
    WHOLE,
    WHOLE_KEYS,
    SourceLayer,
    field_types_of,
    read_layer,
)

JOB_TABLES = ("schema", "job", "instrument", "target", "joint", "router", "jig", "output", "tolerances")
#: Which tables a preset of each kind may carry, and the table that names it in a job.
PRESET_TABLES = {
    PresetKind.INSTRUMENTS: ("instrument", "joint", "target"),
    PresetKind.ROUTERS: ("router",),
    PresetKind.JIGS: ("jig",),
}
NAMED_BY = {
    PresetKind.INSTRUMENTS: "instrument",
    PresetKind.ROUTERS: "router",
    PresetKind.JIGS: "jig",
}
DEFAULT_JIG = "plywood"
#: Tried in this order where a jig and the rest of a job do not go together: the later ones have thinner plates.
JIGS = (DEFAULT_JIG, "plywood-small", "machined")
#: Keys of a preset file beside its tables; `start` says which router and jig a new job for an instrument begins with.
PRESET_HEAD = ("schema", "title", "about", "start")

SHOP_SOURCE, DEFAULT_SOURCE = "shop", "default"
#: The readings in the shop file that an edge offset was found from, by their keys of [router].
_TEST_CUT = {"test_template": "template_width", "test_slot": "slot_width"}


@dataclass
class _Merge:
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


def load_job(job: str | os.PathLike[str], shop: Shop | str | os.PathLike[str] | None = None) -> Job:
    """The job that `job` means (see `job_file`), complete and checked.

    `shop` is a shop file or what was read from one; left out, shop.toml is looked for beside the job and in the
    working folder, but not for a kit's own copy of its job, which carries what the shop had measured. Returns the Job,
    lengths in mm and angles in degrees, each key's source in `inputs`. InputError with every fault found: in the job,
    in a preset it names, in the shop file, and between values.
    """
    path, name = job_file(job)
    return job_from_tables(read_toml(path, name), path, shop, name)


def job_from_tables(
    raw: Mapping[str, Any], path: Path, shop: Shop | str | os.PathLike[str] | None = None, shown_as: str | None = None
) -> Job:
    """The job that a file at `path`, there or still to be written, holds as `raw`; otherwise as `load_job`.

    A job that names no jig preset has the one that its instrument's preset begins with. Where that and the rest of the
    job do not go together it has the first of the others that does, and a note of the job says so.
    """
    name = shown_as or str(path)
    try:
        return _job_with(None, raw, path, shop, name)
    except InputError as error:
        faults = error.faults
    named = _jig_named(raw)
    for jig in (one for one in JIGS if one != named):
        other = {**raw, "jig": {**raw.get("jig", {}), "preset": jig}} if named else raw
        try:
            job = _job_with(jig, other, path, shop, name)
        except InputError:
            continue
        if named:
            raise InputError([replace(fault, allowed=f'{fault.allowed}, or jig.preset = "{jig}"') for fault in faults])
        why = "; ".join(f"{fault.key} {fault.found}, where it takes {fault.allowed}" for fault in faults)
        note = f'jig.preset = "{jig}" is taken, because with the usual one: {why}'
        return job.model_copy(update={"notes": (note, *job.notes)})
    raise InputError(faults)


def _jig_named(raw: Mapping[str, Any]) -> str | None:
    """The jig preset that a job names; None where it names none, or something that is no name."""
    table = raw.get("jig")
    name = table.get("preset") if isinstance(table, Mapping) else None
    return name if isinstance(name, str) else None


def _job_with(
    jig: str | None, raw: Mapping[str, Any], path: Path, shop: Shop | str | os.PathLike[str] | None, name: str
) -> Job:
    """The job, with the preset `jig` where it names none; None for the one that its instrument begins with."""
    faults: list[Fault] = []
    copy = read_copy(name, raw, faults)
    given = shop if isinstance(shop, str | os.PathLike) else None
    shop = Shop() if copy.is_copy and shop is None else _shop(shop, path, faults)
    folders = preset_folders(path.parent)
    if "schema" in raw and (raw["schema"] != SCHEMA or isinstance(raw["schema"], bool)):
        allowed = SCHEMA_CHANGE if raw["schema"] == SCHEMA - 1 else str(SCHEMA)
        faults.append(Fault(name, "schema", shown(raw["schema"]), allowed))
    own = read_layer(JOB_SOURCE, name, raw, JOB_TABLES[1:], extra=("schema", *COPY_KEYS))
    merge = _Merge(name, jig or "", faults=[*faults, *own.faults], bad=set(own.bad), copy=copy)
    presets = _preset_layers(merge, own, folders)
    _merge_tables(merge, own, presets, shop)
    stocks, stock_inputs = _stocks(merge, folders, shop)
    _check(merge, stocks)
    if merge.faults:
        raise InputError(merge.faults)
    return _job(merge, stocks, stock_inputs, shop, path).model_copy(
        update={"shop_path": None if given is None else Path(given)}
    )


def load_jobs(jobs: Sequence[str | os.PathLike[str]], shop: str | os.PathLike[str] | None = None) -> tuple[Job, ...]:
    """Several jobs for one output folder; InputError with every fault, names that would share a folder included."""
    loaded: list[Job] = []
    faults: list[Fault] = []
    for item in jobs:
        try:
            loaded.append(load_job(item, shop))
        except InputError as error:
            faults.extend(error.faults)
    taken: dict[str, Job] = {}
    for job in loaded:
        other = taken.setdefault(job.name.casefold(), job)
        if other is not job:
            same = f"another name than {shown(other.name)} in {other.source_path}; capitals do not tell folders apart"
            faults.append(Fault(str(job.source_path), "job.name", shown(job.name), same))
    if faults:
        raise InputError(faults)
    return tuple(loaded)


def _shop(shop: Shop | str | os.PathLike[str] | None, job: Path, faults: list[Fault]) -> Shop:
    if isinstance(shop, Shop):
        return shop
    path = find_shop_file(job.parent) if shop is None else Path(shop)
    if path is None:
        return Shop()
    try:
        return read_shop(path)
    except InputError as error:
        faults.extend(error.faults)
        return Shop()


def _preset_layers(merge: _Merge, own: SourceLayer, folders: Iterable[Path]) -> dict[PresetKind, SourceLayer | None]:
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


def _preset_layer(merge: _Merge, kind: PresetKind, name: str, key: str, folders: Iterable[Path]) -> SourceLayer | None:
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


def _merge_tables(
    merge: _Merge, own: SourceLayer, presets: Mapping[PresetKind, SourceLayer | None], shop: Shop
) -> None:
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


def _merge_joint(merge: _Merge, own: SourceLayer, preset: SourceLayer | None) -> None:
    """The keys of the joint's kind; what a preset says of another kind is left aside, what the job says refused."""
    kind = next((k for k in (_told_kind(own), _told_kind(preset)) if k is not None), JointKind.MORTISE_TENON)
    model = JOINTS[kind]
    allowed = f"joint.kind {shown(kind.value)} takes {', '.join(model.model_fields)}"
    for key, value in own.values.get("joint", {}).items():
        if key not in model.model_fields:
            found = f"{shown(KEYS['joint'][key].written(value))}, with a joint of another kind"
            merge.faults.append(Fault(merge.file, f"joint.{key}", found, allowed))
    _merge_table(merge, "joint", [own, preset], model)


def _told_kind(layer: SourceLayer | None) -> JointKind | None:
    return None if layer is None else layer.values.get("joint", {}).get("kind")


def _shop_router(merge: _Merge, own: SourceLayer, preset: SourceLayer | None, shop: Shop) -> SourceLayer:
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


def _shop_jig(merge: _Merge, own: SourceLayer, preset: SourceLayer | None, shop: Shop) -> SourceLayer:
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
    merge: _Merge, table: str, layers: Sequence[SourceLayer | None], model: type[Model] | None = None
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


def _origin(merge: _Merge, layer: SourceLayer, others: Sequence[SourceLayer]) -> SourceLayer:
    """Where a value came from: what a kit's copy of its job repeats of the `others` still comes from them."""
    return others[0] if merge.copy.is_copy and others and layer.source == JOB_SOURCE else layer


def _derive(merge: _Merge, table: str, model: type[Model]) -> None:
    """Fill what follows from the table's other keys."""
    known = {key: merge.values[f"{table}.{key}"] for key in KEYS[table] if f"{table}.{key}" in merge.values}
    for key, value in model.derived(known).items():
        name = f"{table}.{key}"
        if name not in merge.values and name not in merge.bad:
            merge.put(name, value, DEFAULT_SOURCE, merge.file)


def _miss(merge: _Merge, table: str, keys: Mapping[str, FieldType]) -> None:
    hint = "" if table == "job" else f", in [{table}] or in a preset it names"
    for key, kind in keys.items():
        name = f"{table}.{key}"
        if name in merge.values or name in merge.bad:
            continue
        merge.bad.add(name)
        if key == "heel_width_at_cap":  # follows from heel_width, whose own fault says enough
            continue
        merge.faults.append(Fault(merge.file, name, "nothing", kind.allowed + hint))


def _merge_whole(merge: _Merge, name: str, layers: Sequence[SourceLayer | None]) -> None:
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


def _stocks(merge: _Merge, folders: Iterable[Path], shop: Shop) -> tuple[dict[str, Stock], dict[str, Any]]:
    """Every stock the jig names, corrected by the shop, and its effective keys."""
    stocks: dict[str, Stock] = {}
    inputs: dict[str, Any] = {}
    for key in KEYS["jig"]:
        where = f"jig.{key}"
        name = merge.values.get(where)
        if not key.endswith("_stock") or name is None or name in stocks:
            continue
        own = merge.copy.stocks.get(name, {})
        try:
            preset = _stock_preset(name, folders, merge.files[where], where, own)
            layer = SourceLayer(JOB_SOURCE, merge.file) if preset is None else _stock_layer(preset)
            stocks[name], inputs[f"stock.{name}"] = _stock(name, layer, shop.stock.get(name, ShopEntry()), own)
        except InputError as error:
            merge.faults.extend(fault for fault in error.faults if fault not in merge.faults)
    return stocks, inputs


def read_stock(preset: Preset) -> Stock:
    """The stock preset as it stands in its file; InputError with every fault."""
    return _stock(preset.name, _stock_layer(preset), ShopEntry(), {})[0]


def _stock_preset(name: str, folders: Iterable[Path], file: str, where: str, own: Mapping[str, Any]) -> Preset | None:
    """The preset of that stock; None where there is none and a kit's copy of its job says all of it."""
    try:
        return find_preset(PresetKind.STOCK, name, folders, file, where)
    except InputError:
        if own:
            return None
        raise


def _stock_layer(preset: Preset) -> SourceLayer:
    return read_layer(preset.source, preset.shown_as, preset.tables(), ("stock",), PRESET_HEAD)


def _stock(name: str, layer: SourceLayer, entry: ShopEntry, own: Mapping[str, Any]) -> tuple[Stock, dict[str, Any]]:
    found = layer.values.get("stock", {})
    kinds = KEYS["stock"]
    required = (key for key in kinds if Stock.model_fields[key].is_required() and key != "name")
    missing = [
        Fault(layer.file, f"stock.{key}", "nothing", kinds[key].allowed)
        for key in required
        if key not in found and key not in own and f"stock.{key}" not in layer.bad
    ]
    if layer.faults or missing:
        raise InputError([*layer.faults, *missing])
    stock = Stock(**({"name": name} | dict(found) | dict(entry.values) | dict(own)))

    def source(key: str) -> str:
        if key in own and own[key] != found.get(key):
            return JOB_SOURCE
        if key in entry.values and key not in own:
            return SHOP_SOURCE
        return layer.source if key in found else DEFAULT_SOURCE

    effective = {
        key: {"value": kind.written(getattr(stock, key)), "source": source(key)}
        for key, kind in kinds.items()
        if key != "name"
    }
    return stock, effective


def _check(merge: _Merge, stocks: Mapping[str, Stock]) -> None:
    values = {key: value for key, value in merge.values.items() if key not in merge.bad}
    plate = stocks.get(values.get("jig.plate_stock", ""))
    if plate is not None:
        values["plate"] = plate
    for rule, (found, allowed) in breaches(values):
        # A preset that contradicts itself is that preset's fault; once the job touches one of the keys it is the job's.
        keys = ["jig.plate_stock" if key == "plate" else key for key in rule.needs]
        files = {merge.files.get(key, merge.file) for key in keys if merge.sources.get(key) != DEFAULT_SOURCE}
        file = files.pop() if len(files) == 1 else merge.file
        merge.faults.append(Fault(file, rule.blame, found, allowed))


def _job(merge: _Merge, stocks: dict[str, Stock], stock_inputs: dict[str, Any], shop: Shop, path: Path) -> Job:
    def table(name: str) -> dict[str, Any]:
        found = {key: merge.values[f"{name}.{key}"] for key in KEYS[name] if f"{name}.{key}" in merge.values}
        inner = {part.partition(".")[2]: merge.values[part] for part in WHOLE if part.startswith(f"{name}.")}
        return found | inner

    inputs = _inputs(merge, shop) | stock_inputs
    return Job(
        name=merge.values["job.name"],
        instrument=Instrument(**table("instrument")),
        target=merge.values["target"],
        joint=_joint(table("joint")),
        router=Router(**table("router")),
        jig=JigSpec(**table("jig")),
        output=OutputSpec(**table("output")),
        issue=Issue(**{key: merge.values[f"job.{key}"] for key in Issue.model_fields}),
        tolerances=Tolerances(**table("tolerances")),
        printer=Printer(**(dict(shop.printer.values) | dict(merge.copy.printer))),
        stocks=stocks,
        inputs=inputs,
        source_path=path,
        notes=(*merge.notes, *_applied(inputs, shop)),
    )


def _joint(values: dict[str, Any]) -> Any:
    return JOINTS[values["kind"]](**values)


def _applied(inputs: Mapping[str, Any], shop: Shop) -> tuple[str, ...]:
    """What the shop file changed, in words."""
    applied = [
        f"{table}.{key} = {entry['value']:g}"
        for table, keys in inputs.items()
        for key, entry in keys.items()
        if entry["source"] == SHOP_SOURCE
    ]
    return (f"{shop.name} applied: {', '.join(applied)}",) if applied else ()


def _inputs(merge: _Merge, shop: Shop) -> dict[str, Any]:
    found: dict[str, dict[str, Any]] = {}
    for table, kinds in KEYS.items():
        if table == "stock":
            continue
        found[table] = {
            key: {"value": kind.written(merge.values[f"{table}.{key}"]), "source": merge.sources[f"{table}.{key}"]}
            for key, kind in kinds.items()
            if _is_told(merge, f"{table}.{key}")
        }
    for name in WHOLE:
        content = {
            key: {"value": value, "source": merge.sources[name]} for key, value in _written(merge.values[name]).items()
        }
        table, _, key = name.partition(".")
        if name == "joint.bolts":
            found[table][key] = {"value": _written(merge.values[name]), "source": merge.sources[name]}
        else:
            found[name] = content
    found["printer"] = {key: _printer_input(key, shop, merge.copy) for key in Printer.model_fields}
    return found


def _is_told(merge: _Merge, name: str) -> bool:
    """Whether the inputs list a key: one of another kind of joint they do not, nor the kind that nobody has named."""
    return name in merge.values and not (name == "joint.kind" and merge.sources[name] == DEFAULT_SOURCE)


def _printer_input(key: str, shop: Shop, copy: JobCopy) -> dict[str, Any]:
    if key in copy.printer:
        return {"value": copy.printer[key], "source": JOB_SOURCE}
    if key in shop.printer.values:
        return {"value": shop.printer.values[key], "source": SHOP_SOURCE}
    return {"value": Printer.model_fields[key].default, "source": DEFAULT_SOURCE}


def _written(model: Model) -> dict[str, Any]:
    """A whole table's keys as a job file carries them, those left out left out."""
    kinds = field_types_of(type(model))
    return {
        key: kinds[key].written(value) if key in kinds else value
        for key, value in ((key, getattr(model, key)) for key in type(model).model_fields)
        if value is not None
    }
