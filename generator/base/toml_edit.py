"""Changing values in a TOML file a person keeps by hand: every other character of it stays. Standard library only.

The file's own parser finds where a statement ends and judges the result: the changed text must parse to exactly the
old content with the new values in it, else nothing is written.
"""

from __future__ import annotations

import contextlib
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generator.base.atomic_file import alone, refuse_irregular, write_whole
from generator.base.errors import Fault, HeelwrightError, InputError, OutputError
from generator.base.toml_file import syntax_faults

#: What a changed value may be: a number, a text, a flag, or a table of those.
Value = float | int | str | bool | Mapping[str, "Value"]

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


@dataclass(frozen=True)
class _Statement:
    """A blank line, comment, heading or assignment, with its line ends; `content` is what it parses to alone."""

    text: str
    content: Mapping[str, Any]

    @property
    def heading(self) -> tuple[str, ...] | None:
        """The path of a [table] heading, else None; an [[array]] has none, because it holds many tables."""
        if not self.text.lstrip().startswith("[") or self.text.lstrip().startswith("[["):
            return None
        path: list[str] = []
        inner: Any = self.content
        while inner:
            key = next(iter(inner))
            path.append(key)
            inner = inner[key]
        return tuple(path)

    @property
    def opens_table(self) -> bool:
        return self.text.lstrip().startswith("[")

    @property
    def assigns(self) -> str | None:
        """The first key of an assignment, else None."""
        return None if self.opens_table or not self.content else next(iter(self.content))


def change_table(text: str, table: tuple[str, ...], values: Mapping[str, Value], file: str = "the file") -> str:
    """`text` with `values` set in the table of that path, which is added at the end where it is missing.

    Comments, order, spacing and line ends of everything else stay. InputError, naming `file`, when the text is no TOML
    or keeps the table in a form that cannot be changed line by line (for instance inline, in braces).
    """
    wanted = _changed(parsed(text, file), table, values, file)
    ends = "\r\n" if "\r\n" in text else "\n"
    out = _edited(list(_statements(text)), table, values, ends)
    if not _says(out, wanted):
        heading = f"[{'.'.join(_key(part) for part in table)}]"
        wrong = "a table in a form this program cannot change"
        raise InputError([Fault(file, heading, wrong, f"a heading {heading} over its keys")])
    return out


def append_table(text: str, array: str, values: Mapping[str, Value], file: str = "the file") -> str:
    """`text` with one more [[array]] table at its end. InputError as `change_table`."""
    before = parsed(text, file)
    held = before.get(array, [])
    if not isinstance(held, list):
        raise InputError([Fault(file, array, "something that is no list of tables", f"[[{array}]]")])
    ends = "\r\n" if "\r\n" in text else "\n"
    body = ends.join([f"[[{_key(array)}]]", *(f"{_key(k)} = {_written(v)}" for k, v in values.items()), ""])
    out = _closed(text, ends) + (ends if text.strip() else "") + body
    if not _says(out, {**before, array: [*held, _plain(values)]}):
        raise InputError([Fault(file, array, "a list in a form this program cannot add to", f"[[{array}]] tables")])
    return out


def read_text(path: Path) -> str:
    """The file's text with its line ends as they are; "" when there is no such file. InputError when it is no text."""
    refuse_irregular(path)
    try:
        return path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        return ""
    except UnicodeDecodeError:
        raise InputError([Fault(str(path), "", "text that is not UTF-8", "a TOML file in UTF-8")]) from None
    except OSError as error:
        raise InputError([Fault(str(path), "", error.strerror or "an unreadable file", "a TOML file")]) from None


def change_file(path: Path, change: Callable[[str], str]) -> None:
    """Put `change` of the file's text in its place; the text is "" where there is no file.

    Nobody else writes between reading and writing: two that change the same file at once both find their change in it.
    InputError as `read_text` and `change` raise it; OutputError when the file cannot be written.
    """
    try:
        with alone(path.resolve()):
            write_whole(path, change(read_text(path)))
    except HeelwrightError:
        raise
    except OSError as error:
        raise OutputError(f"{path}: could not be written ({error.strerror or error})") from error


def parsed(text: str, file: str) -> dict[str, Any]:
    """The tables of a TOML text; InputError naming `file` when it is none."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(syntax_faults(file, text, str(error))) from None


def _says(text: str, wanted: dict[str, Any]) -> bool:
    try:
        return tomllib.loads(text) == wanted
    except tomllib.TOMLDecodeError:
        return False


def _changed(content: dict[str, Any], table: tuple[str, ...], values: Mapping[str, Value], file: str) -> dict[str, Any]:
    out = deepcopy(content)
    inner: Any = out
    for part in table:
        inner = inner.setdefault(part, {})
        if not isinstance(inner, dict):
            raise InputError([Fault(file, ".".join(table), "something that is no table", f"[{'.'.join(table)}]")])
    inner.update(_plain(values))
    return out


def _plain(values: Mapping[str, Value]) -> dict[str, Any]:
    return {key: _plain(value) if isinstance(value, Mapping) else value for key, value in values.items()}


def _statements(text: str) -> Iterator[_Statement]:
    """The text in statements: the fewest lines that the parser accepts on their own (a list may take many)."""
    pending = ""
    for line in re.findall(r"[^\n]*\n|[^\n]+\Z", text):
        pending += line
        with contextlib.suppress(tomllib.TOMLDecodeError):
            yield _Statement(pending, tomllib.loads(pending))
            pending = ""
    if pending:
        yield _Statement(pending, {})


def _edited(found: list[_Statement], table: tuple[str, ...], values: Mapping[str, Value], ends: str) -> str:
    start = next((i for i, item in enumerate(found) if item.heading == table), None)
    if start is None:
        text = _closed("".join(item.text for item in found), ends)
        gap = ends if text.strip() else ""
        lines = [f"[{'.'.join(_key(part) for part in table)}]", *(_assignment(k, v) for k, v in values.items()), ""]
        return text + gap + ends.join(lines)
    stop = next((i for i in range(start + 1, len(found)) if found[i].opens_table), len(found))
    body = [item.text for item in found[start:stop]]
    last = len(body)
    while last > 1 and not body[last - 1].strip():
        last -= 1
    body[last - 1] = _closed(body[last - 1], ends)
    for key, value in values.items():
        at = next((i for i in range(start + 1, stop) if found[i].assigns == key), None)
        if at is None:
            body.insert(last, _assignment(key, value) + ends)
            last += 1
        else:
            body[at - start] = _assignment(key, value) + _remark(found[at]) + ends
    return "".join([*(item.text for item in found[:start]), *body, *(item.text for item in found[stop:])])


def _closed(text: str, ends: str) -> str:
    """`text` with its last line ended."""
    return text if not text or text.endswith("\n") else text + ends


def _remark(statement: _Statement) -> str:
    """The comment behind a value, with the space before it: what follows the shortest text that parses the same."""
    text = statement.text.rstrip("\r\n")
    for i, sign in enumerate(text):
        if sign == "#":
            with contextlib.suppress(tomllib.TOMLDecodeError):
                if tomllib.loads(text[:i]) == statement.content:
                    return text[len(text[:i].rstrip()) :]
    return ""


def _assignment(key: str, value: Value) -> str:
    return f"{_key(key)} = {_written(value)}"


def _key(name: str) -> str:
    return name if _BARE_KEY.fullmatch(name) else _quoted(name)


def _written(value: Value) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(k)} = {_written(v)}" for k, v in value.items()) + " }" if value else "{}"
    return repr(value)


def _quoted(text: str) -> str:
    escapes = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r"}
    plain = "".join(escapes.get(sign, sign) for sign in text)
    return '"' + "".join(s if ord(s) >= 32 and ord(s) != 127 else f"\\u{ord(s):04x}" for s in plain) + '"'
