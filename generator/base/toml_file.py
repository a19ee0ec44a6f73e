"""Reading one TOML file: the text, or the faults that keep it from being read. Standard library only."""

from __future__ import annotations

import contextlib
import os
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from generator.base.bounded_file import read_bounded
from generator.base.errors import Fault, InputError
from generator.base.plain_text import shortened
from generator.base.units import UnitError, parse_angle, parse_length, parse_length_argument

#: A job, shop file or log is at most this large, bytes.
LARGEST = 1_000_000
#: A whole number this large or larger is longer than TOML has them (64 bits).
_TOO_LARGE = 2**63
#: Tables and lists stand in each other at most so deep.
_DEEPEST = 20
#: Where the parser's message says the line of a fault.
_LINE = re.compile(r"at line (\d+)")
#: A line that gives a key a value.
_ASSIGNMENT = re.compile(r"\s*([A-Za-z0-9_.-]+)\s*=\s*(.*)")
#: A word that lacks nothing but its quotes.
_WORD = re.compile(r"[A-Za-z][\w./-]*", re.ASCII)


def read_toml(path: Path, shown_as: str | None = None) -> dict[str, Any]:
    """The tables of the TOML file at `path`; a fault names the file as `shown_as` (default: the path itself).

    InputError when it is missing, no file, not UTF-8 or not TOML; values typed without their quotes are
    named all at once, each with the line to write instead.
    """
    name = shown_as or str(path)
    _refuse_pipe(path, name)
    try:
        text = read_bounded(path, LARGEST, links=True).decode("utf-8").replace("\r\n", "\n")
    except UnicodeDecodeError:
        raise InputError([Fault(name, "", "text that is not UTF-8", "a TOML file in UTF-8")]) from None
    except OSError as error:
        missing = isinstance(error.__cause__, FileNotFoundError)
        raise InputError([Fault(name, "", "no such file" if missing else str(error), "a TOML file")]) from None
    return parse_toml(text, name)


def parse_toml(text: str, name: str) -> dict[str, Any]:
    """The tables of a TOML text, which a fault calls `name`. InputError as `read_toml`."""
    try:
        found = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # a TOMLDecodeError is a ValueError; so is a number too long to read
        raise InputError(syntax_faults(name, text, str(error))) from None
    faults = list(_bottomless(name, found))
    if faults:
        raise InputError(faults)
    return found


def _bottomless(name: str, tables: dict[str, Any]) -> Iterator[Fault]:
    """Whole numbers longer than TOML has them (64 bits), and tables too deep in each other, each by its key."""
    left: list[tuple[str, Any, int]] = [("", tables, 0)]
    while left:
        key, value, depth = left.pop()
        if isinstance(value, int) and abs(value) >= _TOO_LARGE:
            yield Fault(name, key, f"a whole number of {value.bit_length()} bits", "a number of 18 digits at most")
        elif depth > _DEEPEST:
            yield Fault(
                name, key[:80], f"tables or lists more than {_DEEPEST} deep", "a key of a job, shop file or log"
            )
        elif isinstance(value, dict):
            left += [(f"{key}.{word}" if key else word, inner, depth + 1) for word, inner in value.items()]
        elif isinstance(value, list):
            left += [(key, inner, depth + 1) for inner in value]


def _refuse_pipe(path: Path, name: str) -> None:
    """Raise InputError for a pipe or device, from which reading could wait for ever."""
    if os.path.exists(path) and not path.is_file() and not path.is_dir():
        raise InputError([Fault(name, "", "a pipe or device", "a TOML file")])


def syntax_faults(name: str, text: str, message: str) -> list[Fault]:
    """What keeps `text` from being TOML: every value left out or without its quotes, else the parser's `message`."""
    lines = text.splitlines()
    slips = [fault for number, line in enumerate(lines, 1) if (fault := _slip(name, number, line)) is not None]
    at = _LINE.search(message)
    number = int(at[1]) if at else len(lines)
    told = {fault.key for fault in slips}
    if slips and any(fault.startswith(f"line {number},") for fault in told):
        return slips
    line = shortened(lines[number - 1].strip()) if 0 < number <= len(lines) else ""
    allowed = f"valid TOML in {line!r}" if line else "valid TOML"
    return [*slips, Fault(name, "", shortened(message[:1].lower() + message[1:], 200), allowed)]


def _slip(name: str, number: int, line: str) -> Fault | None:
    """A line that is no TOML because its value is missing or lacks its quotes, with the line to write."""
    match = _ASSIGNMENT.fullmatch(line)
    if match is None or line.lstrip().startswith("#") or _parses(line):
        return None
    key, value = match[1], match[2].partition(" #")[0].strip()
    where, key = f"line {number}, {shortened(key)}", shortened(key)
    if not value or value.startswith("#"):
        return Fault(name, where, "no value behind the =", f"a value, or the line left out: put # before {key}")
    written = _written(value)
    if written is None:
        return None
    return Fault(name, where, f"{shortened(value)} without quotes", f"the line {key} = {shortened(written)}")


def _written(value: str) -> str | None:
    """A value as TOML has it: a number with a point, a measure or a word in quotes; None for anything else."""
    bare = value.strip("\"'").strip() if value.count('"') == 1 and value[:1] in "\"'" else value
    inch = f"{bare.removesuffix(chr(34)).strip()} in" if bare.endswith('"') else bare
    for read in (parse_length, parse_angle):
        with contextlib.suppress(UnitError):
            read(inch)
            return f'"{inch}"'
    with contextlib.suppress(UnitError):
        return f"{parse_length_argument(bare):g}"
    return f'"{bare}"' if _WORD.fullmatch(bare) else None


def _parses(line: str) -> bool:
    try:
        tomllib.loads(line)
    except (ValueError, RecursionError):
        return False
    return True
