"""Changing values in a TOML file a person keeps by hand: comments, order, spacing and line ends of the rest stay.

A style-preserving parser makes the change, the standard library's judges it: the changed text must parse to exactly the
old content with the new values in it, else nothing is written.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from copy import deepcopy
from pathlib import Path
from typing import TYPE_CHECKING, Any

from generator.base.atomic_file import alone, refuse_irregular, write_atomically
from generator.base.bounded_file import read_bounded
from generator.base.errors import Fault, HeelwrightError, InputError, OutputError, refusal_of
from generator.base.toml_file import LARGEST, parse_toml

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

#: What a changed value may be: a number, a text, a flag, or a table of those.
Value = float | int | str | bool | Mapping[str, "Value"]


def change_table(text: str, table: tuple[str, ...], values: Mapping[str, Value], file: str = "the file") -> str:
    """`text` with `values` set in the table of that path, which is added at the end where it is missing.

    InputError, naming `file`, when the text is no TOML or something else than a table stands there.
    """
    wanted = _changed(parse_toml(text, file), table, values, file)

    def change(document: TOMLDocument) -> None:
        from tomlkit import table as new_table

        inner: Any = document
        for depth, part in enumerate(table, start=1):
            if part not in inner:
                inner[part] = new_table(is_super_table=depth < len(table))
            inner = inner[part]
        for key, value in values.items():
            inner[key] = _item(value)

    return _edited(text, change, wanted, file, f"[{'.'.join(table)}]")


def append_table(text: str, array: str, values: Mapping[str, Value], file: str = "the file") -> str:
    """`text` with one more [[array]] table at its end. InputError as `change_table`."""
    before = parse_toml(text, file)
    held = before.get(array, [])
    if not isinstance(held, list):
        raise InputError([Fault(file, array, "something that is no list of tables", f"[[{array}]]")])

    def change(document: TOMLDocument) -> None:
        from tomlkit import aot, table

        record = table()
        for key, value in values.items():
            record[key] = _item(value)
        if array not in document:
            document[array] = aot()
        document[array].append(record)

    return _edited(text, change, {**before, array: [*held, _plain(values)]}, file, f"[[{array}]]")


def read_text(path: Path) -> str:
    """The file's text with its line ends as they are; "" when there is no such file. InputError when it is no text."""
    refuse_irregular(path)
    try:
        return read_bounded(path, LARGEST, links=True).decode("utf-8")
    except UnicodeDecodeError:
        raise InputError([Fault(str(path), "", "text that is not UTF-8", "a TOML file in UTF-8")]) from None
    except OutputError as error:
        if isinstance(error.__cause__, FileNotFoundError):
            return ""
        raise InputError([Fault(str(path), "", str(error), "a TOML file")]) from None


def change_file(path: Path, change: Callable[[str], str]) -> None:
    """Put `change` of the file's text in its place; the text is "" where there is no file.

    Nobody else writes between reading and writing: two that change the same file at once both find their change in it.
    InputError as `read_text` and `change` raise it; OutputError when the file cannot be written.
    """
    try:
        with alone(path.resolve()):
            text = change(read_text(path))
            _demand_readable(path, text)
            write_atomically(path, text)
    except HeelwrightError:
        raise
    except OSError as error:
        raise OutputError(f"{path}: could not be written ({refusal_of(error)})") from error


def _demand_readable(path: Path, text: str) -> None:
    """Raise InputError for a text so large that nobody would read it back."""
    size = len(text.encode("utf-8", "surrogatepass"))
    if size > LARGEST:
        allowed = f"{LARGEST} bytes at most: move the file away, and a new one is begun"
        raise InputError([Fault(str(path), "", f"{size} bytes with what is added", allowed)])


def _edited(text: str, change: Callable[[TOMLDocument], None], wanted: dict[str, Any], file: str, heading: str) -> str:
    """`text` with `change` made to it, which must then say `wanted`."""
    from tomlkit import dumps, parse
    from tomlkit.exceptions import TOMLKitError

    refusal = InputError([Fault(file, heading, "a form this program cannot change", f"{heading} as tables")])
    try:
        document = parse(text)
        change(document)
        out = dumps(document)
    except (TOMLKitError, TypeError, AttributeError, RecursionError):
        raise refusal from None
    if "\r\n" in text:
        out = out.replace("\r\n", "\n").replace("\n", "\r\n")
    if not _says(out, wanted):
        raise refusal
    return out


def _item(value: Value) -> Any:
    """A value as the writer takes it: a table in braces, on its key's own line."""
    if not isinstance(value, Mapping):
        return value
    from tomlkit import inline_table

    table = inline_table()
    for key, inner in value.items():
        table[key] = _item(inner)
    return table


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
