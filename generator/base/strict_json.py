"""JSON that nobody vouches for, read to plain values: every key once, numbers that are numbers, bounded in every way.

Standard library only. The library's own reader takes the last of two equal keys, NaN, and numbers of any length.
"""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from typing import Any

from generator.base.bounded_file import read_bounded

#: Tables and lists stand in each other at most so deep; a kit's results go to six.
_DEEPEST = 40
#: The longest number, in characters.
_LONGEST_NUMBER = 40
#: The longest text, in characters.
_LONGEST_TEXT = 20_000
#: A text, whose brackets count for nothing, or a bracket that opens or closes a table or list.
_BRACKETS = re.compile(r'"(?:[^"\\]|\\.)*+"?|[\[{]|[\]}]', re.DOTALL)


def read_json(path: Path) -> Any:
    """The value in the JSON file at `path`. OutputError where it is no file to read, ValueError where no such JSON."""
    return parse_json(read_bounded(path))


def parse_json(data: bytes, longest_text: int = _LONGEST_TEXT) -> Any:
    """The value of JSON text in UTF-8, no text in it longer than so many signs. ValueError says what is wrong."""
    text = data.decode("utf-8")
    _demand_shallow(text)
    found = json.loads(
        text, object_pairs_hook=_table, parse_int=_integer, parse_float=_number, parse_constant=_refuse_constant
    )
    _demand_texts(found, longest_text)
    return found


def _demand_shallow(text: str) -> None:
    depth = 0
    for found in _BRACKETS.finditer(text):
        mark = found.group()
        if mark[0] == '"':
            continue
        depth += 1 if mark in "[{" else -1
        if depth > _DEEPEST:
            raise ValueError(f"more than {_DEEPEST} tables and lists in each other")


def _table(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise ValueError(f'the key "{twice[:40]}" stands there twice')
    return found


def _integer(digits: str) -> int:
    if len(digits) > _LONGEST_NUMBER:
        raise ValueError(f"a number of {len(digits)} digits")
    return int(digits)


def _number(digits: str) -> float:
    found = float(digits) if len(digits) <= _LONGEST_NUMBER else math.inf
    if not math.isfinite(found):
        raise ValueError(f"the number {digits[:_LONGEST_NUMBER]}, which is too large or too long")
    return found


def _refuse_constant(word: str) -> float:
    raise ValueError(f"{word}, which is no number")


def _demand_texts(found: Any, longest: int) -> None:
    """Refuse half a character, which no file can hold, and texts longer than any that a kit has."""
    if isinstance(found, dict):
        for key, value in found.items():
            _demand_texts(key, longest)
            _demand_texts(value, longest)
    elif isinstance(found, list):
        for value in found:
            _demand_texts(value, longest)
    elif isinstance(found, str):
        if len(found) > longest:
            raise ValueError(f"a text of {len(found)} characters")
        if any("\ud800" <= sign <= "\udfff" for sign in found):
            raise ValueError("half a character, which stands for nothing")
