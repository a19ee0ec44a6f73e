"""The commands that outputs show: each runs, as it is printed, from the folder in which `make` was run."""

from __future__ import annotations

import os
import re
import shlex
from pathlib import Path

from generator.job.model.job import Job
from generator.job.presets import shipped_folder

#: The program as a command line calls it.
PROGRAM = "heelwright"
#: Where the router's calibration says in its own words how it is called.
CALIBRATE_ROUTER = f"{PROGRAM} calibrate router --help"
#: Where the laser's calibration says in its own words how it is called.
CALIBRATE_LASER = f"{PROGRAM} calibrate laser --help"
#: Word that a reader replaces in a printed command by a length as read.
READING = "READING"
#: Word that a reader replaces in a printed command by a day.
DATE = "YYYY-MM-DD"
#: What takes the two readings of a printed check square.
CALIBRATE_PRINTER = f"{PROGRAM} calibrate printer --bar-x {READING} --bar-y {READING} --date {DATE}"
#: Matches a word that every shell reads as it stands, without quotes.
_PLAIN = re.compile(r"[A-Za-z0-9_./:@%+=,-]+")
#: Matches a word that every shell reads as it stands between double quotes.
_PLAIN_IN_QUOTES = re.compile(r"[^\"$`\\!%]+")


def command_line(verb: str, job: Job, *rest: str) -> str:
    """`heelwright VERB JOB ...`: the job as it was named when it was loaded, the shop file where one was."""
    shop = ("--shop", path_argument(job.shop_path)) if job.shop_path is not None else ()
    return " ".join((PROGRAM, verb, job_argument(job), *rest, *shop))


def calibrate_jig(job: Job, upper_rest: float) -> str:
    """`heelwright calibrate jig JIG ...` for the zero check of the job's jig, its upper rest `upper_rest` mm wide."""
    jig = job.jig.preset or "--help"
    readings = f"--stand-off {READING} --stand-off-turned {READING}"
    return f"{PROGRAM} calibrate jig {jig} --upper-rest {upper_rest:g} {readings} --date {DATE}"


def kit_command(verb: str, folder: Path, *rest: str) -> str:
    """`heelwright VERB FOLDER ...` for a kit's folder as it was named when it was made."""
    return " ".join((PROGRAM, verb, path_argument(folder), *rest))


def job_argument(job: Job) -> str:
    """How a command names the job: the name of a ready job, else its file."""
    path = job.source_path
    if path is None or path.resolve().is_relative_to(shipped_folder()):
        return job.name if path is None else quoted(path.stem)
    return path_argument(path)


def path_argument(path: Path) -> str:
    """The path as one word of a command line, with slashes, seen from the working folder where it lies in it."""
    if path.is_absolute() and path.is_relative_to(Path.cwd()):
        path = path.relative_to(Path.cwd())
    return quoted(path.as_posix() if os.sep == "\\" else str(path))


def quoted(text: str) -> str:
    """`text` as one word of a command line; double quotes where they serve, because every shell knows them."""
    if _PLAIN.fullmatch(text) and not text.startswith("-"):
        return text
    if text.startswith("-"):
        text = f"./{text}"
    return f'"{text}"' if _PLAIN_IN_QUOTES.fullmatch(text) else shlex.quote(text)
