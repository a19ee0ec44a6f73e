"""The presets that come with the program and the user's own: where they live, what they hold, what they rest on.

A preset is a TOML file `<folder>/<kind>/<name>.toml`. Every number in one stands on a line of its own whose comment
gives its source: `ref 7` keys into references.toml, or "common practice".
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Any

from generator.base.errors import COMMAND_LINE, Fault, InputError
from generator.base.toml_file import read_toml
from generator.base.units import UnitError, parse_angle, parse_length
from generator.job.model.field_types import PRESET_NAME, shown

#: Words by which a preset's comment marks a number as common practice.
COMMON_PRACTICE = "common practice"


class PresetKind(Enum):
    """The folders of the preset library."""

    INSTRUMENTS = "instruments"
    ROUTERS = "routers"
    STOCK = "stock"
    JIGS = "jigs"
    JOBS = "jobs"


@dataclass(frozen=True)
class Preset:
    """One preset as found: `shown_as` is how a message names its file."""

    kind: PresetKind
    name: str
    path: Path
    shown_as: str

    @property
    def source(self) -> str:
        """How `inputs` names it: "preset <kind>/<name>"."""
        return f"preset {self.kind.value}/{self.name}"

    def tables(self) -> dict[str, Any]:
        """Its content; InputError when it is no TOML."""
        return read_toml(self.path, self.shown_as)


@dataclass(frozen=True)
class Reference:
    """One entry of the reference list."""

    key: int
    author: str
    title: str
    year: str

    def __str__(self) -> str:
        return f"ref {self.key}: {self.author}, {self.title} ({self.year})"


@dataclass(frozen=True)
class Sourced:
    """One line of a preset that carries a number: its table and key, its text, its references or common practice."""

    key: str
    text: str
    refs: tuple[int, ...]
    common: bool
    note: str


def shipped_folder() -> Path:
    """The library that comes with the program: inside the package when installed, beside it in a checkout."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "_presets"
    return inside if inside.is_dir() else package.parent / "presets"


def preset_folders(beside: Path | None = None) -> tuple[Path, ...]:
    """Where presets are looked for: `presets` beside the job, then in the working folder, then the shipped library."""
    own = [beside / "presets"] if beside is not None else []
    own.append(Path("presets"))
    shipped = shipped_folder()
    found: dict[Path, Path] = {}
    for folder in own:
        if folder.is_dir() and folder.resolve() != shipped:
            found.setdefault(folder.resolve(), folder)
    return (*found.values(), shipped)


def list_presets(kind: PresetKind, folders: Iterable[Path] | None = None) -> tuple[Preset, ...]:
    """Every preset of a kind by name; a user's own hides a shipped one of the same name."""
    shipped = shipped_folder()
    found: dict[str, Preset] = {}
    for folder in preset_folders() if folders is None else folders:
        for path in sorted((folder / kind.value).glob("*.toml")):
            label = f"presets/{kind.value}/{path.name}" if folder == shipped else str(path)
            found.setdefault(path.stem, Preset(kind, path.stem, path, label))
    return tuple(found[name] for name in sorted(found))


def find_preset(
    kind: PresetKind, name: str, folders: Iterable[Path] | None = None, asked_in: str = COMMAND_LINE, key: str = ""
) -> Preset:
    """The preset of that kind and name; InputError naming `asked_in`, `key` and the nearest name when there is none."""
    known = list_presets(kind, folders)
    for preset in known:
        if preset.name == name and re.fullmatch(PRESET_NAME.pattern, name):
            return preset
    raise InputError([Fault(asked_in, key or kind.value, shown(name), _names(name, tuple(p.name for p in known)))])


def _names(wanted: str, known: tuple[str, ...]) -> str:
    import difflib

    near = difflib.get_close_matches(wanted, known, n=1, cutoff=0.6)
    lead = f"{shown(near[0])} is the nearest; " if near else ""
    return lead + "one of " + ", ".join(known)


def references(folder: Path | None = None) -> Mapping[int, Reference]:
    """The one reference list, by key."""
    raw = read_toml((folder or shipped_folder()) / "references.toml", "presets/references.toml")
    entries = (
        Reference(int(item["key"]), item["author"], item["title"], str(item["year"])) for item in raw["reference"]
    )
    return {entry.key: entry for entry in entries}


def read_text(preset: Preset) -> str:
    """The preset's file as text, comments and all."""
    return preset.path.read_text(encoding="utf-8")


#: Matches a table's heading in TOML, with or without a comment; group 1 is the table's name.
_TABLE = re.compile(r"\[([\w.-]+)\]\s*(?:#.*)?")
#: Matches an entry in TOML: its key, its value, its comment where there is one.
_ENTRY = re.compile(r"([\w.-]+)\s*=\s*((?:\"[^\"]*\"|[^#\"])*?)\s*(?:#\s*(.*))?")
#: Matches a reference in a comment; group 1 is its number in the reference list.
_REF = re.compile(r"\bref (\d+)\b")


def sourced_lines(text: str) -> tuple[Sourced, ...]:
    """Every line of a preset's text that holds a number, with what its comment says the number rests on.

    `schema` is a format's number, not a measured one, and needs no source; a date or a name with a digit is no number.
    """
    found = []
    table = ""
    for line in text.splitlines():
        heading = _TABLE.fullmatch(line.strip())
        if heading:
            table = heading[1] + "."
            continue
        entry = _ENTRY.fullmatch(line.strip())
        if entry is None or entry[1] == "schema" or not holds_number(entry[2]):
            continue
        note = (entry[3] or "").strip()
        refs = tuple(int(key) for key in _REF.findall(note))
        found.append(Sourced(table + entry[1], entry[2], refs, COMMON_PRACTICE in note, note))
    return tuple(found)


def holds_number(value: str) -> bool:
    """True for a TOML value that is, or holds, a number: bare, in a list, or as a text with a unit."""
    bare = re.sub(r'"[^"]*"', "", value)
    if re.search(r"(?<![\w-])[+-]?\.?\d", bare):
        return True
    return any(_is_measure(text) for text in re.findall(r'"([^"]*)"', value))


def _is_measure(text: str) -> bool:
    for read in (parse_length, parse_angle):
        with contextlib.suppress(UnitError):
            read(text)
            return True
    return False
