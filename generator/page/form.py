"""The form as a request carries it: a text for each key that differs from the presets, and the job it stands for.

    {"fields": {"job.name": "my-guitar", "instrument.preset": "orchestra-14", "instrument.heel_width": "2 3/8 in"},
     "kept": {}}

`kept` holds what a job file has and the page does not show, so that nothing of an opened job is lost.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from generator.base.errors import Fault, InputError
from generator.base.strict_json import parse_json
from generator.base.toml_file import parse_toml
from generator.job.keys import TARGET, TOP, job_keys
from generator.job.kit_copy import COPY_KEYS
from generator.job.load import job_from_tables
from generator.job.merge import DEFAULT_JIG
from generator.job.model.field_types import shown
from generator.job.model.job import JOB_SOURCE, Job
from generator.job.presets import PresetKind, find_preset
from generator.job.tables import KEYS, OLD_NAMES, SCHEMA, SCHEMA_CHANGE, WHOLE
from generator.page.fields import PRESET_OF, all_fields
from generator.page.typed import text_of, typed_value

#: How a fault names the form.
PAGE = "this page"
#: A form has at most so many fields.
_MOST_KEYS = 400
#: The longest key of a field, in characters.
_MOST_KEY = 100
#: The longest text typed into a field, in characters.
_MOST_TEXT = 2000


@dataclass(frozen=True)
class Form:
    """What was typed, by key, and the tables that the page carries along."""

    fields: Mapping[str, str]
    kept: Mapping[str, Any] = field(default_factory=dict)

    def content(self) -> dict[str, Any]:
        """The form as JSON carries it."""
        return {"fields": dict(self.fields), "kept": dict(self.kept)}


@dataclass(frozen=True)
class Opened:
    """What the command was given: the job's path and its tables as they stood, None and none where there was no job;
    and the shop file, None where it is to be looked for."""

    path: Path | None = None
    tables: Mapping[str, Any] = field(default_factory=dict)
    shop: Path | None = None


def read_form(raw: object) -> Form:
    """The form in a request's JSON; InputError for anything that no page of ours sends."""
    fields, kept = (raw.get("fields"), raw.get("kept", {})) if isinstance(raw, dict) else (None, None)
    if not isinstance(fields, dict) or not isinstance(kept, dict) or len(fields) > _MOST_KEYS or not _texts(fields):
        raise InputError([Fault(PAGE, "", "something that is no form", "the page's own form")])
    return Form(dict(fields), {key: kept[key] for key in COPY_KEYS if key in kept})


def _texts(fields: Mapping[str, Any]) -> bool:
    return all(
        len(key) <= _MOST_KEY and isinstance(text, str) and len(text) <= _MOST_TEXT for key, text in fields.items()
    )


def job_of(form: Form, opened: Opened) -> Job:
    """The job the form stands for, complete and checked; InputError with every fault at its field.

    The opened job, as long as nothing differs from it; otherwise one as if saved here under its name.
    """
    tables, faults = tables_of(form)
    try:
        job = job_from_tables(tables, job_place(form, opened, tables), opened.shop, PAGE)
    except InputError as error:
        empty = {fault.key for fault in faults}
        raise InputError([*faults, *(fault for fault in error.faults if fault.key not in empty)]) from None
    if faults:
        raise InputError(faults)
    return job


def job_place(form: Form, opened: Opened, tables: Mapping[str, Any]) -> Path:
    """Where the form's job stands: the opened job's file as long as nothing differs from it, else its own name here."""
    return opened.path if opened.path is not None and tables == opened.tables else saved_path(form)


def saved_path(form: Form) -> Path:
    """Where the form's job would stand as a file in the working folder. A name that cannot be one is the loader's to
    refuse, and no path comes of it."""
    name = form.fields.get("job.name", "")
    known = all_fields()["job.name"].kind
    try:
        return Path(f"{known.read(name)}.toml")
    except ValueError:
        return Path("job.toml")


def tables_of(form: Form) -> tuple[dict[str, Any], list[Fault]]:
    """The tables of a job file, and a fault for every emptied field that a job must have."""
    tables: dict[str, Any] = {"schema": SCHEMA, **form.kept}
    faults = []
    fields = all_fields()
    for key, text in form.fields.items():
        known = fields.get(key)
        if text.strip() == "":
            if known is not None and not known.may_be_empty:
                faults.append(Fault(PAGE, key, "nothing", known.kind.allowed))
            continue
        inner = tables
        *path, last = key.split(".")
        for part in path:
            inner = inner.setdefault(part, {})
            if not isinstance(inner, dict):
                raise InputError([Fault(PAGE, key, shown(text), "one key, once")])
        inner[last] = text if known is None else typed_value(known.kind, text)
    return tables, faults


def form_of_tables(tables: Mapping[str, Any]) -> Form:
    """The form of a job file's tables; whatever is wrong in them is shown, and refused, at its field."""
    if tables.get("schema", SCHEMA) != SCHEMA:
        allowed = SCHEMA_CHANGE if tables["schema"] == SCHEMA - 1 else str(SCHEMA)
        raise InputError([Fault(PAGE, "schema", shown(tables["schema"]), allowed)])
    fields: dict[str, str] = {}
    kept = {key: tables[key] for key in COPY_KEYS if key in tables}
    for table, content in tables.items():
        if table in COPY_KEYS or table == "schema":
            continue
        fields |= dict(_flat(table, content))
    for table, names in OLD_NAMES.items():
        for old, new in names.items():
            if f"{table}.{old}" in fields and f"{table}.{new}" not in fields:
                fields[f"{table}.{new}"] = fields.pop(f"{table}.{old}")
    return Form(fields, kept)


def form_of_results(results: Mapping[str, Any]) -> Form:
    """The form of a results.json: its presets, and what job or shop said beside them."""
    inputs = results.get("inputs")
    if not isinstance(inputs, dict) or not isinstance(results.get("job"), str):
        allowed = "results.json of a kit, or a job file"
        raise InputError([Fault(PAGE, "", "a file without a job's inputs", allowed)])
    fields = {"job.name": results["job"]}
    for table, entries in inputs.items():
        if (table not in KEYS and table not in WHOLE) or not isinstance(entries, dict):
            continue
        for key, entry in entries.items():
            name = f"{table}.{key}"
            if not isinstance(entry, dict):
                raise InputError([Fault(PAGE, name, "an input that is no table", "results.json of a kit")])
            if name in PRESET_OF or entry.get("source") in (JOB_SOURCE, "shop"):
                fields |= {inner: text for inner, text in _flat(name, entry.get("value")) if text}
    return Form(fields)


def opened_form(text: str) -> Form:
    """The form of a dropped file: a job file, a kit's copy of one, or a kit's results. InputError for anything else."""
    try:
        if text.lstrip().startswith("{"):
            found = parse_json(text.encode("utf-8"))
            if isinstance(found, dict) and "fields" in found:
                return read_form(found)
            return form_of_results(found if isinstance(found, dict) else {})
        return form_of_tables(parse_toml(text, PAGE))
    except ValueError as error:
        if isinstance(error, InputError):
            raise
        raise InputError(
            [Fault(PAGE, "", f"a file that does not read: {error}", "a job file or results.json")]
        ) from None


def _flat(name: str, content: Any) -> Iterator[tuple[str, str]]:
    if isinstance(content, dict):
        for key, inner in content.items():
            yield from _flat(f"{name}.{key}", inner)
    else:
        yield name, text_of(content)


def base_texts(form: Form) -> dict[str, str]:
    """The text of every field that the form leaves alone: what its presets say, else the default, else nothing."""
    preset = {name: form.fields.get(name, "") for name in PRESET_OF}
    start = _preset_tables(PresetKind.INSTRUMENTS, preset["instrument.preset"]).get("start", {})
    preset["jig.preset"] = preset["jig.preset"] or start.get("jig", DEFAULT_JIG)
    found = {
        name: "" if key.only and key.table in (TOP, TARGET) else text_of(key.default)
        for name, key in job_keys().items()
    }
    found["jig.preset"] = preset["jig.preset"]
    for key, kind in PRESET_OF.items():
        tables = _preset_tables(kind, preset[key])
        whole = [table for table in (TOP, TARGET) if _has(tables, table)]
        found |= {name: "" for name in found if any(name.startswith(f"{table}.") for table in whole)}
        found |= {name: text for table in KEYS if table in tables for name, text in _flat(table, tables[table])}
        if TARGET in tables:
            found |= dict(_flat(TARGET, tables[TARGET]))
    return {key: text for key, text in found.items() if key in all_fields()}


def _has(tables: Mapping[str, Any], name: str) -> bool:
    inner: Any = tables
    for part in name.split("."):
        inner = inner.get(part) if isinstance(inner, dict) else None
    return inner is not None


def _preset_tables(kind: PresetKind, name: str) -> Mapping[str, Any]:
    try:
        return find_preset(kind, name).tables()
    except InputError:
        return {}
