"""Reading one TOML file: the text, or the faults that keep it from being read. Standard library only."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from generator.errors import Fault, InputError

_DECIMAL_COMMA = re.compile(r"=\s*[+-]?\d+,\d")
_LINE = re.compile(r"at line (\d+)")


def read_toml(path: Path, shown_as: str | None = None) -> dict[str, Any]:
    """The tables of the TOML file at `path`; a fault names the file as `shown_as` (default: the path itself).

    InputError when it is missing, no file, not UTF-8 or not TOML; a decimal comma gets its own hint.
    """
    name = shown_as or str(path)
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise InputError([Fault(name, "", "no such file", "a TOML file")]) from None
    except UnicodeDecodeError:
        raise InputError([Fault(name, "", "text that is not UTF-8", "a TOML file in UTF-8")]) from None
    except OSError as error:
        raise InputError([Fault(name, "", error.strerror or "an unreadable file", "a TOML file")]) from None
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # a TOMLDecodeError is a ValueError; so is a number too long to read
        raise InputError([_syntax_fault(name, text, str(error))]) from None


def _syntax_fault(name: str, text: str, message: str) -> Fault:
    at = _LINE.search(message)
    lines = text.split("\n")
    line = lines[int(at[1]) - 1] if at and int(at[1]) <= len(lines) else ""
    allowed = "valid TOML"
    if _DECIMAL_COMMA.search(line):
        allowed = f"a number with a decimal point, not a comma, in {line.strip()!r}"
    elif line.strip():
        allowed = f"valid TOML in {line.strip()!r} (text stands in quotes)"
    return Fault(name, "", message[:1].lower() + message[1:], allowed)
