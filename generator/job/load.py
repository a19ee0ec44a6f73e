"""Loading a job: its file, the presets it names, the shop file and the defaults, merged key by key and checked.

Every value remembers where it came from, and every fault is found before anything is raised.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from generator.base.errors import Fault, InputError
from generator.base.toml_file import read_toml
from generator.job.argument import job_file
from generator.job.keys import job_keys
from generator.job.kit_copy import COPY_KEYS, JobCopy, read_copy
from generator.job.merge import (
    DEFAULT_SOURCE,
    JIGS,
    JOB_TABLES,
    SHOP_SOURCE,
    Merge,
    merge_tables,
    preset_layers,
)
from generator.job.model.field_types import Model, shown
from generator.job.model.instrument import Instrument
from generator.job.model.jig import JigSpec
from generator.job.model.job import JOB_SOURCE, Issue, Job, OutputSpec, Printer, Tolerances
from generator.job.model.joint import JOINTS
from generator.job.model.router import Router
from generator.job.model.stock import Stock
from generator.job.presets import preset_folders
from generator.job.rules import breaches
from generator.job.shop import Shop, find_shop_file, read_shop
from generator.job.stocks import stocks_of
from generator.job.tables import (
    KEYS,
    SCHEMA,
    SCHEMA_CHANGE,
    WHOLE,
    field_types_of,
    read_layer,
)


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
    merge = Merge(name, jig or "", faults=[*faults, *own.faults], bad=set(own.bad), copy=copy)
    presets = preset_layers(merge, own, folders)
    merge_tables(merge, own, presets, shop)
    stocks, stock_inputs = stocks_of(merge, folders, shop)
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


def _check(merge: Merge, stocks: Mapping[str, Stock]) -> None:
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


def _job(merge: Merge, stocks: dict[str, Stock], stock_inputs: dict[str, Any], shop: Shop, path: Path) -> Job:
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


def _inputs(merge: Merge, shop: Shop) -> dict[str, Any]:
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


def _is_told(merge: Merge, name: str) -> bool:
    """Whether the inputs list a key: one of another kind of joint they do not, nor the kind that nobody has named."""
    if name not in merge.values or (name == "joint.kind" and merge.sources[name] == DEFAULT_SOURCE):
        return False
    return job_keys()[name].only in ("", merge.values["joint.kind"].value)


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
