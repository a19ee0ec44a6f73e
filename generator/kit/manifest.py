"""The list of a kit's files: what `make` owns in a folder, and of which solved job each group is."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from generator.base.bounded_file import read_bounded
from generator.base.errors import Fault, InputError, OutputError
from generator.base.store import library_version
from generator.proof.listing import GROUP_OF, MANIFEST, SCHEMA, read_listing

#: Group of the results; the job's copy, front page, pictures and bundles belong to it too.
RESULTS_GROUP = "results"
#: Group of the paper sheets.
PAPER_GROUP = "paper"

#: What of the results is the solved job; the checks judge it, and the notes say how it was loaded.
_SOLVED = ("version", "job", "neck_set", "joint", "router", "cradle", "template", "parts", "uncertainty")
#: Libraries that write a kit's files, or whose fonts and figures stand in them.
_WRITING = (
    "cadquery",
    "cadquery-ocp",
    "ezdxf",
    "fonttools",
    "jinja2",
    "matplotlib",
    "reportlab",
    "shapely",
    "svgwrite",
)


@dataclass(frozen=True)
class ManifestFile:
    """One file that `make` wrote: its path under the kit's folder, size, SHA-256 and group."""

    path: str
    size: int
    sha256: str
    group: str

    def content(self) -> dict[str, Any]:
        """As the manifest has it."""
        return {"path": self.path, "bytes": self.size, "sha256": self.sha256, "group": self.group}

    def unchanged(self, folder: Path) -> bool:
        """True where the file still has the bytes that were written."""
        try:
            data = read_bounded(folder / self.path)
        except OutputError:
            return False
        return len(data) == self.size and hashlib.sha256(data).hexdigest() == self.sha256


@dataclass(frozen=True)
class Manifest:
    """What a folder's manifest says: its files by path, and by group of which solved job and with which libraries."""

    files: Mapping[str, ManifestFile] = field(default_factory=dict)
    solved: Mapping[str, str] = field(default_factory=dict)
    libraries: Mapping[str, str] = field(default_factory=dict)

    @property
    def groups(self) -> tuple[str, ...]:
        """The groups that have files, results aside, by name."""
        return tuple(sorted({entry.group for entry in self.files.values()} - {RESULTS_GROUP}))

    def of_group(self, group: str) -> tuple[ManifestFile, ...]:
        return tuple(entry for entry in self.files.values() if entry.group == group)


def write_json(path: Path, data: Mapping[str, Any]) -> None:
    """Write `data` as UTF-8 JSON at full precision; a number that is none is an error, not a NaN in the file."""
    path.write_text(
        json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) + "\n", encoding="utf-8", newline="\n"
    )


def read_manifest(folder: Path) -> Manifest | None:
    """The manifest in `folder`, None where there is none. InputError for one that `make` did not write."""
    if not os.path.lexists(folder / MANIFEST):
        return None
    try:
        listing = read_listing(folder)
        if listing.schema != SCHEMA:
            raise OutputError("another schema")
    except OutputError as error:
        found = f"a file that is not the list of a kit's files ({error})"
        allowed = "a manifest as `make` writes it: choose another folder with -o, or move this one away"
        raise InputError([Fault(str(folder / MANIFEST), "", found, allowed)]) from None
    files = {path: ManifestFile(path, one.size, one.sha256, one.group) for path, one in listing.files.items()}
    return Manifest(files, listing.solved, listing.libraries)


def write_manifest(
    folder: Path,
    kept: Iterable[ManifestFile] = (),
    solved: Mapping[str, str] | None = None,
    stale: Collection[str] = (),
    libraries: Mapping[str, str] | None = None,
) -> None:
    """Write manifest.json: every other file of the folder with its size, SHA-256 and group, sorted by path.

    `kept` are files of an earlier run, listed as they were, written with the `libraries` by group; `solved` the mark of
    the solved job by group, `stale` the groups that are of another job than the results.
    """
    files = {entry.path: entry for entry in kept}
    written_with = {entry.group: (libraries or {}).get(entry.group, "") for entry in files.values()}
    for path in sorted(p for p in folder.rglob("*") if p.is_file() and p.name != MANIFEST):
        name = path.relative_to(folder).as_posix()
        if name not in files:
            data = path.read_bytes()
            files[name] = ManifestFile(name, len(data), hashlib.sha256(data).hexdigest(), GROUP_OF[name.split("/")[0]])
    groups = sorted({entry.group for entry in files.values()})
    content = {
        "schema": SCHEMA,
        "files": [files[name].content() for name in sorted(files)],
        "solved": dict(sorted((solved or {}).items())),
        "stale": sorted(stale),
        "libraries": {group: written_with.get(group, libraries_now()) for group in groups},
    }
    write_json(folder / MANIFEST, content)


def libraries_now() -> str:
    """The libraries that decide how a file is written, each with its version; one that is not there is left out."""
    return ", ".join(f"{name} {found}" for name in _WRITING if (found := library_version(name)))


def solved_mark(results: Mapping[str, Any], group: str) -> str:
    """A mark of the solved job as far as the files of `group` depend on it: SHA-256 of its values.

    Where a value came from does not count, nor the paper's size; the printer's factors and the side elevation's size
    count on paper alone.
    """
    inputs = {
        f"{table}.{key}": entry["value"]
        for table, keys in results["inputs"].items()
        for key, entry in keys.items()
        if key != "preset" and _counts(f"{table}.{key}", group)
    }
    content = {key: results[key] for key in _SOLVED} | {"inputs": inputs}
    return hashlib.sha256(json.dumps(content, sort_keys=True).encode("utf-8")).hexdigest()


def _counts(key: str, group: str) -> bool:
    """True for a key of the job on which files of `group` depend."""
    paper_alone = key.startswith("printer.") or key == "output.full_size"
    return key != "output.paper" and (group == PAPER_GROUP or not paper_alone)
