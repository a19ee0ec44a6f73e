"""Which file a job argument means: a file, a folder with a job or a kit in it, or a name."""

from __future__ import annotations

import difflib
import os
from pathlib import Path

from generator.base.errors import Fault, InputError
from generator.job.model.field_types import shown
from generator.job.presets import PresetKind, list_presets
from generator.job.shop import SHOP_FILE

#: The effective job that a kit carries.
KIT_COPY = "job.toml"
#: Ending of a build log, which stands beside its job file.
LOG_SUFFIX = ".log.toml"
#: Ending of a job file.
_SUFFIX = ".toml"


def job_file(job: str | os.PathLike[str]) -> tuple[Path, str]:
    """The file a job argument means, and how a message names it.

    A file is itself. A NAME is NAME.toml in the working folder, else the ready job of that name, else the job in the
    folder NAME; with a folder in front, NAME.toml there, else the job in the folder. In a folder it is the file of the
    folder's own name, else the kit's copy job.toml, else the one job file. InputError where none of these is there, or
    several are.
    """
    text = os.fspath(job)
    path = Path(text)
    if os.path.isfile(path):  # unlike the path's own question it has an answer for a name that no system takes
        return path, text
    named = text != "" and path.suffix != _SUFFIX and path.name != ""
    beside = path.with_name(path.name + _SUFFIX) if named else path
    if named and os.path.isfile(beside):
        return beside, str(beside)
    bare = named and not isinstance(job, Path) and len(path.parts) == 1 and not text.endswith(("/", os.sep))
    for preset in list_presets(PresetKind.JOBS) if bare else ():
        if preset.name == text:
            return preset.path, preset.shown_as
    if text and os.path.isdir(path):
        return _in_folder(path, text)
    if not bare:
        raise InputError([Fault(text or '""', "", "no such file", f"a job file, or {_ready_names()}")])
    near = difflib.get_close_matches(text, [preset.name for preset in list_presets(PresetKind.JOBS)], n=1, cutoff=0.6)
    lead = f"the nearest ready job is {shown(near[0])}; " if near else ""
    found = f"no {beside} here and no ready job of that name"
    raise InputError([Fault(text, "", found, f"{lead}a job file, or {_ready_names()}")])


def _in_folder(folder: Path, text: str) -> tuple[Path, str]:
    for name in (folder.resolve().name + _SUFFIX, KIT_COPY):
        if (folder / name).is_file():
            return folder / name, str(folder / name)
    known = [
        path
        for path in sorted(folder.glob(f"*{_SUFFIX}"))
        if path.is_file() and path.name != SHOP_FILE and not path.name.endswith(LOG_SUFFIX)
    ]
    if len(known) == 1:
        return known[0], str(known[0])
    found = f"a folder with {', '.join(path.name for path in known)}" if known else "a folder without a job file"
    allowed = "one of these files" if known else "a job file, or a folder with one job file or a kit"
    raise InputError([Fault(text, "", found, allowed)])


def _ready_names() -> str:
    return "the name of a ready job: " + ", ".join(preset.name for preset in list_presets(PresetKind.JOBS))
