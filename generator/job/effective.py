"""The kit's own copy of its job: job.toml, the effective job, from which everything in the kit can be made again.

Every value stands in it, whether it came from the job, the shop file or a preset; a default that nobody set stands
behind a #. So it needs no shop file, and no preset but those that come with the program.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from generator.job.kit_copy import EFFECTIVE
from generator.job.merge import DEFAULT_SOURCE
from generator.job.model.field_types import toml_text
from generator.job.model.job import Job
from generator.job.presets import PresetKind, list_presets, shipped_folder
from generator.job.tables import SCHEMA

#: The tables of `inputs` in the order of a job file; those of the stocks follow.
_TABLES = (
    "instrument", "instrument.top", "target", "joint", "router", "jig", "output", "tolerances", "printer"
)  # fmt: skip
#: Each table that names a preset to the preset's kind.
_KIND_OF = {"instrument": PresetKind.INSTRUMENTS, "router": PresetKind.ROUTERS, "jig": PresetKind.JIGS}
#: A key and its value are filled up to this many characters; the comment with the source follows.
_COMMENT_AT = 40


#: How the line begins that says how the kit was made, seen from the folder it was made in.
MADE_WITH = "# It was made with: "
#: How the line begins that says where the kit was put, seen from the folder it was made in.
PUT_AT = "# It was put at: "


def job_copy(job: Job, command: str, place: str = "") -> str:
    """The text of job.toml; `command` is the line that made the kit, `place` its folder as a word of a command."""
    lines = [
        f"# {job.name}: the job as this kit was made of it, every value with where it came from.",
        f"{MADE_WITH}{command}",
        *([f"{PUT_AT}{place}"] if place else []),
        "# This copy is written anew with the kit: to change something, copy it out of the folder first.",
        "",
        f"schema = {SCHEMA}",
        f"{EFFECTIVE} = true",
        "",
        "[job]",
        f"name = {toml_text(job.name)}",
        *_issue(job),
    ]
    stocks = [table for table in job.inputs if table.startswith("stock.")]
    for table in (*_TABLES, *stocks):
        lines += ["", f"[{table}]", *_lines(table, job.inputs.get(table, {}))]
    return "\n".join(lines) + "\n"


def _issue(job: Job) -> Iterator[str]:
    for key, value in job.issue.model_dump().items():
        if value is not None:
            yield f"{key} = {toml_text(value)}"


def _lines(table: str, entries: Mapping[str, Mapping[str, Any]]) -> Iterator[str]:
    for key, entry in entries.items():
        value, source = entry["value"], entry["source"]
        if value is None or (key == "preset" and not _is_shipped(table, value)):
            continue
        off = "# " if source == DEFAULT_SOURCE and key != "preset" else ""
        yield f"{off + key + ' = ' + toml_text(value):<{_COMMENT_AT}} # {source}"


def _is_shipped(table: str, name: str) -> bool:
    """True for a preset that comes with the program; the values of a shop's own stand in the copy without its name."""
    folders = (shipped_folder(),)
    return name in {preset.name for preset in list_presets(_KIND_OF[table], folders)}
