"""The folder of a class: which files are the program's own, whose jobs stand in it, which kits are as they should be.

class.toml                     # whose jobs these are, who shares which jig, what was written
index.html summary.pdf summary.csv
order/sheet-<stock>-<n>.dxf    order/sheets.csv order/buy.csv
handouts/<job>.pdf
jobs/<job>.toml                # the effective jobs; their logs stand beside them
kits/<job>/  kits/jig-<n>/
"""

from __future__ import annotations

import contextlib
import datetime
import hashlib
import os
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path
from typing import Any

from generator.base.atomic_file import clear_drafts, is_leftover, write_atomically, write_together
from generator.base.errors import Fault, InputError, OutputError, refusal_of
from generator.base.plain_text import is_plain
from generator.base.toml_file import read_toml
from generator.classes.status import BenchState, JigState, Progress, bench_state, in_need, jig_states, read_bench
from generator.job.load import load_job
from generator.job.model.field_types import JOB_NAME, PRINTED_TEXT, toml_text
from generator.joint.solution import solve
from generator.kit.folder import recover
from generator.kit.manifest import read_manifest
from generator.proof.listing import is_inside

#: File name of a class's record.
RECORD = "class.toml"
#: Number of the record's format.
SCHEMA = 1
#: Folder of the students' job files.
JOBS = "jobs"
#: Folder of the kits.
KITS = "kits"
#: Folder of what to buy and of the sheets to cut.
ORDER = "order"
#: Folder of the students' hand-outs.
HANDOUTS = "handouts"
#: So many strange files are named in a refusal.
_NAMED = 5


@dataclass(frozen=True)
class Pupil:
    """A student as the record has it: the job's name, the student's, the day, the jig's folder name."""

    job: str
    student: str
    date: str
    jig: str


@dataclass(frozen=True)
class ClassRecord:
    """What class.toml says: the class's name, its students, the files written with their SHA-256, marks of the kits.

    `made` holds for each kit the mark of the job that each of its groups was made of. `before` is there while the files
    change over: the SHA-256 of those that were there, so that after a kill in between either is known as its own.
    """

    name: str = ""
    pupils: tuple[Pupil, ...] = ()
    files: Mapping[str, str] = field(default_factory=dict)
    made: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    before: Mapping[str, str] = field(default_factory=dict)

    def owns(self, name: str, mark: str) -> bool:
        """True for a file's path and SHA-256 as this program wrote it."""
        return mark in (self.files.get(name), self.before.get(name))


def read_record(folder: Path) -> ClassRecord | None:
    """The record in `folder`, None where there is none. InputError for one that this program did not write."""
    path = folder / RECORD
    if not path.is_file():
        return None
    raw = read_toml(path)
    try:
        if raw["schema"] != SCHEMA:
            raise ValueError
        pupils = tuple(
            Pupil(*(str(one[key]) for key in ("job", "student", "date", "jig"))) for one in raw.get("student", [])
        )
        for one in pupils:
            for name in (one.job, one.jig):
                JOB_NAME.read(name)
            PRINTED_TEXT.read(one.student)
            if one.date:
                datetime.date.fromisoformat(one.date)
        files, before = ({str(k): str(v) for k, v in raw.get(key, {}).items()} for key in ("files", "before"))
        if not all(map(is_inside, (*files, *before))) or not is_plain(str(raw["name"])):
            raise ValueError
        marked = raw.get("made", {})
        made = {JOB_NAME.read(name): {str(k): str(v) for k, v in marks.items()} for name, marks in marked.items()}
        return ClassRecord(str(raw["name"]), pupils, files, made, before)
    except (KeyError, TypeError, ValueError, AttributeError):
        found = "a file that is no record of a class"
        raise InputError([Fault(str(path), "", found, "what heelwright class writes: choose another -o")]) from None


def record_text(record: ClassRecord) -> str:
    """The record as TOML."""
    lines = [
        "# Written by heelwright class, and written anew by it: change the table instead.",
        f"schema = {SCHEMA}",
        f"name = {toml_text(record.name)}",
    ]
    for pupil in record.pupils:
        pairs = {"job": pupil.job, "student": pupil.student, "date": pupil.date, "jig": pupil.jig}
        lines += ["", "[[student]]", *(f"{key} = {toml_text(value)}" for key, value in pairs.items())]
    lines += ["", "[files]", *_pairs(record.files)]
    if record.before:
        lines += ["", "[before]", *_pairs(record.before)]
    for name in sorted(record.made):
        lines += ["", f"[made.{toml_text(name)}]", *_pairs(record.made[name])]
    return "\n".join(lines) + "\n"


def _pairs(entries: Mapping[str, str]) -> list[str]:
    return [f"{toml_text(key)} = {toml_text(entries[key])}" for key in sorted(entries)]


def mark_of(data: bytes | str) -> str:
    """The SHA-256 of a file's content."""
    return hashlib.sha256(data.encode("utf-8") if isinstance(data, str) else data).hexdigest()


def held_at(folder: Path) -> ClassRecord:
    """What the program owns in `folder`; InputError for a folder that holds files and no class, naming some."""
    record = read_record(folder) if folder.is_dir() else None
    if record is not None:
        return record
    names = list(islice(_others(folder), _NAMED)) if folder.is_dir() else []
    if names or (folder.exists() and not folder.is_dir()):
        found = f"a folder that is no class and holds {', '.join(names)}" if names else "no folder"
        raise InputError([Fault(str(folder), "", found, "a class, an empty folder, or none: choose another -o")])
    return ClassRecord()


def _others(folder: Path) -> Iterator[str]:
    """Files at any depth by their path under `folder`, but for what a killed run of this program leaves."""
    for where, folders, names in os.walk(folder):
        folders.sort()
        yield from (str((Path(where) / name).relative_to(folder)) for name in sorted(names) if not is_leftover(name))


def refuse_changed(folder: Path, held: ClassRecord, documents: Mapping[str, bytes]) -> None:
    """InputError naming every file that would be written over and that somebody changed by hand, or put there."""
    faults = []
    for name, data in documents.items():
        path = folder / name
        if not path.is_file() or name == RECORD:
            continue
        there = mark_of(path.read_bytes())
        if there != mark_of(data) and not held.owns(name, there):
            allowed = "the file as it was written: put the change into the table, then move this file away"
            faults.append(Fault(str(path), "", "a file changed by hand, or somebody's own", allowed))
    if faults:
        raise InputError(faults)


def write_documents(folder: Path, held: ClassRecord, record: ClassRecord, documents: Mapping[str, bytes]) -> None:
    """Write the documents and the record, all or none of them; a document that is there as it should be stays.

    OutputError when the system refuses; what stood there before then still stands, and no folder is left that was not.
    """
    changed = [(folder / name, data) for name, data in documents.items() if not _is_file_of(folder / name, data)]
    first = replace(record, before={**held.before, **held.files})
    made: list[Path] = []
    try:
        for path in (folder / RECORD, *(path for path, _ in changed)):
            _make_folder(path.parent, made)
        write_together([(folder / RECORD, record_text(first)), *changed, (folder / RECORD, record_text(record))])
    except BaseException:
        for path in reversed(made):
            with contextlib.suppress(OSError):
                path.rmdir()
        raise


def write_record(folder: Path, record: ClassRecord) -> None:
    """Write the record alone. OutputError when the system refuses."""
    write_atomically(folder / RECORD, record_text(record))


def clear_former(folder: Path, held: ClassRecord, documents: Collection[str]) -> None:
    """Take away documents of an earlier run that are no longer made, but what somebody changed."""
    for name in {*held.files, *held.before} - {*documents}:
        path = folder / name
        if path.is_file() and held.owns(name, mark_of(path.read_bytes())):
            path.unlink()


def clear_left(folder: Path, held: ClassRecord) -> None:
    """Take away what killed runs left of the record's own documents and kits, also of such as the class has no longer;
    whatever else lies in the folder is the user's.
    """
    for name in (*held.files, *held.before):
        with contextlib.suppress(OSError):  # what cannot be cleared now the next run clears
            clear_drafts(folder / name)
    for name in held.made:
        with contextlib.suppress(OSError):
            recover(folder / KITS / name)


def _is_file_of(path: Path, data: bytes) -> bool:
    return path.is_file() and path.read_bytes() == data


def _make_folder(path: Path, made: list[Path]) -> None:
    """Make a folder and those above it that are missing; `made` gets each, the upper ones first."""
    try:
        for one in (*reversed(path.parents), path):
            if not one.is_dir():
                one.mkdir()
                made.append(one)
    except OSError as error:
        raise OutputError(f"{path}: could not be made ({refusal_of(error)})") from error


def kit_is_whole(kit: Path, groups: Sequence[str]) -> bool:
    """True where the kit's manifest lists all these groups and every file it lists is there in its size."""
    try:
        manifest = read_manifest(kit)
        if manifest is None or not set(groups) <= set(manifest.groups):
            return False
        return all((kit / entry.path).stat().st_size == entry.size for entry in manifest.files.values())
    except (InputError, OSError):
        return False


@dataclass(frozen=True)
class ClassState:
    """How far a class is: a state a bench, sorted by who needs the teacher, and what the logs say of each jig."""

    name: str
    benches: tuple[BenchState, ...]
    jigs: tuple[JigState, ...]

    @property
    def finished(self) -> int:
        """How many have read the finished gap."""
        return sum(one.progress is Progress.FINISHED for one in self.benches)

    @property
    def troubled(self) -> int:
        """How many need the teacher."""
        return sum(bool(one.attention) for one in self.benches)

    def content(self) -> dict[str, Any]:
        """For --json and for the page."""
        return {
            "class": self.name,
            "students": [
                {
                    "job": one.job,
                    "student": one.student,
                    "progress": one.progress.value,
                    "gap_wanted_mm": one.gap_wanted,
                    "gap_shy_mm": one.gap_shy,
                    "gap_final_mm": one.gap_final,
                    "sideways_mm": one.aside,
                    "last_day": one.last_day,
                    "next": one.next_step,
                    "attention": one.attention,
                }
                for one in self.benches
            ],
            "jigs": [{"jig": one.jig, "builds": one.builds, "advice": list(one.advice)} for one in self.jigs],
        }


def class_state(folder: Path) -> ClassState:
    """How far the class in `folder` is, from the logs beside its jobs. InputError for a folder that is no class."""
    record = read_record(folder)
    if record is None:
        found = "no class.toml in it" if folder.is_dir() else "no such folder"
        raise InputError([Fault(str(folder), "", found, "a folder that heelwright class made")])
    benches = [
        read_bench(one.student, one.jig, solve(load_job(folder / JOBS / f"{one.job}.toml"))) for one in record.pupils
    ]
    return ClassState(record.name, tuple(in_need([bench_state(one) for one in benches])), jig_states(benches))
