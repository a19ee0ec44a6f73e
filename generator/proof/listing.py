"""What a kit's manifest.json lists, read as something that nobody vouches for, and held against the folder."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from types import MappingProxyType
from typing import Any

from generator.base.bounded_file import read_bounded
from generator.base.errors import OutputError
from generator.base.strict_json import read_json
from generator.proof.findings import Finding, Topic

#: File that lists a kit's files.
MANIFEST = "manifest.json"
#: File of a kit's inputs, numbers and checks.
RESULTS = "results.json"
#: File of the job that a kit was made from.
JOB_COPY = "job.toml"
#: Version of the manifest's form.
SCHEMA = 1
#: Top folder or file of a kit -> the group it belongs to.
GROUP_OF: Mapping[str, str] = MappingProxyType(
    {
        "step": "step",
        "jig.glb": "step",
        "laser": "laser",
        "paper": "paper",
        "drawings": "drawings",
        "proof": "sheet",
        "setup_sheet.pdf": "sheet",
        "setup_sheet.html": "sheet",
        "bench_card.pdf": "sheet",
        RESULTS: "results",
        "index.html": "results",
        "pictures": "results",
        "bundles": "results",
        JOB_COPY: "results",
    }
)
#: Most files that a list may hold: a kit has a third of this many.
_MOST = 300
#: Most letters that a listed path may have: a kit's have a quarter of this many.
_LONGEST = 200
#: The keys of a file's entry in the list.
_KEYS = {"path", "bytes", "sha256", "group"}


@dataclass(frozen=True)
class Listed:
    """One file of the list: its path under the kit's folder, size in bytes, SHA-256 and group."""

    path: str
    size: int
    sha256: str
    group: str


@dataclass(frozen=True)
class Listing:
    """The files by path, the groups that are of an earlier job than the results, and what is said of each group.

    By group: the solved job's mark, and the libraries that it was written with.
    """

    schema: int
    files: Mapping[str, Listed]
    stale: tuple[str, ...]
    solved: Mapping[str, str]
    libraries: Mapping[str, str]


def read_listing(folder: Path) -> Listing:
    """The list in `folder`. OutputError where there is none, or none that can be one: a path out of the folder too."""
    try:
        raw = read_json(folder / MANIFEST)
        entries = [_entry(item) for item in raw["files"]]
        stale = tuple(str(group) for group in raw.get("stale", ()))
        solved, libraries = (_by_group(raw.get(key, {})) for key in ("solved", "libraries"))
        schema = raw["schema"]
    except OutputError:
        raise
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise OutputError(f"no list of a kit's files: {error}") from error
    files = {entry.path: entry for entry in entries}
    if len(files) != len(entries):
        raise OutputError("it lists a file twice")
    if len(files) > _MOST:
        raise OutputError(f"it lists {len(files)} files, and {_MOST} at most are read")
    return Listing(schema, MappingProxyType(files), stale, solved, libraries)


def _by_group(table: Mapping[str, Any]) -> dict[str, str]:
    return {str(group): str(words) for group, words in table.items()}


def _entry(item: Mapping[str, Any]) -> Listed:
    if set(item) != _KEYS:
        raise ValueError(f"an entry with the keys {', '.join(map(str, item))}"[:200])
    path, size, digest, group = item["path"], item["bytes"], item["sha256"], item["group"]
    if type(size) is not int or not all(isinstance(text, str) for text in (path, digest, group)):
        raise ValueError(f"an entry that is no path, size, hash and group: {item}"[:200])
    if not is_inside(path):
        raise ValueError(f'the path "{path[:_LONGEST]}", which is none within the folder')
    return Listed(path, size, digest, group)


def is_inside(path: str) -> bool:
    """Whether a listed path is one in the folder on every system: no way up or out, no drive, no control character."""
    parts = PurePosixPath(path).parts
    plain = path.isprintable() and not any(sign in path for sign in '\\:*?"<>|')
    return plain and 0 < len(path) <= _LONGEST and path == "/".join(parts) and ".." not in parts and parts[0] != "/"


def listing_findings(folder: Path, listing: Listing | str) -> Iterator[Finding]:
    """Every file that the list has: there, no link, of that size and SHA-256, in the group of its place.

    `listing` in words is why there is none. Any other file is the user's own.
    """
    if isinstance(listing, str):
        yield Finding(Topic.LISTED, MANIFEST, f"cannot be read: {listing}")
        return
    if listing.schema != SCHEMA or isinstance(listing.schema, bool):
        yield Finding(Topic.LISTED, MANIFEST, f"of schema {listing.schema!r:.40}; allowed: {SCHEMA}")
    for name in (RESULTS, JOB_COPY):
        if name not in listing.files and (name == RESULTS or (folder / name).exists()):
            yield Finding(Topic.LISTED, MANIFEST, f"does not list {name}")
    for name in sorted(listing.files):
        yield from _file_findings(folder, listing.files[name])


def _file_findings(folder: Path, entry: Listed) -> Iterator[Finding]:
    group = GROUP_OF.get(entry.path.partition("/")[0])
    if entry.group != group:
        yield Finding(Topic.LISTED, entry.path, f'listed in the group "{entry.group[:40]}", not in "{group}"')
    link = link_on_the_way(folder, entry.path)
    if link is not None:
        yield Finding(Topic.LISTED, entry.path, f"{link} is a link; a kit has none")
        return
    if not (folder / entry.path).exists():
        yield Finding(Topic.LISTED, entry.path, "listed, but not there")
        return
    try:
        data = read_bounded(folder / entry.path)
    except OutputError as error:
        yield Finding(Topic.LISTED, entry.path, str(error))
        return
    if len(data) != entry.size or hashlib.sha256(data).hexdigest() != entry.sha256:
        words = f"changed since it was made: {len(data)} bytes, listed with {entry.size}"
        yield Finding(Topic.LISTED, entry.path, words)


def link_on_the_way(folder: Path, name: str) -> str | None:
    """The first part of a path under `folder` that is a link, as a path from the folder; None without one."""
    parts = PurePosixPath(name).parts
    ways = ("/".join(parts[: count + 1]) for count in range(len(parts)))
    return next((way for way in ways if (folder / way).is_symlink()), None)


def stale_findings(listing: Listing | str) -> Iterator[Finding]:
    """Every group that the list marks as made of another job than the results."""
    for group in () if isinstance(listing, str) else listing.stale:
        words = f"stale, made of an earlier job than the results: make it again with --only {group}"
        yield Finding(Topic.STALE, f"the group {group}", words)
