"""A value's content as text, exactly: two values have one text only where no function could tell them apart.

Standard library only. Floats stand with every digit, enum members and dataclasses under their own names, mappings in
their order, because a function sees that order. What it does not know it refuses: the `repr` of an object may hold an
address, or leave out what matters.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from types import MappingProxyType
from typing import Any, NamedTuple


def digest(value: Any) -> str:
    """SHA-256 of `value`'s exact content, in hexadecimal. TypeError for a kind of value that is not known."""
    words: list[str] = []
    _tell(value, words.append)
    return hashlib.sha256("\n".join(words).encode("utf-8", "surrogatepass")).hexdigest()


def _tell(value: Any, say: Callable[[str], None]) -> None:
    """The content word by word; each says how much follows it, so that no two contents run into one text."""
    kind: Any = type(value)
    plain = _PLAIN.get(kind)
    if plain is not None:
        say(plain(value))
        return
    form = _form(kind)
    if form.content is _Content.MEMBER:
        say(f"{form.name} {value.name}")
    elif form.content is _Content.ROW:
        say(f"{form.name} {len(value)}")
        for item in value:
            _tell(item, say)
    elif form.content is _Content.FIELDS:
        say(form.name)
        for name in form.fields:
            say(name)
            _tell(getattr(value, name), say)
    else:
        say(f"{form.name} {len(value)}")
        for key, item in value.items():
            _tell(key, say)
            _tell(item, say)


#: Each type without parts to what writes a value of it as exact text.
_PLAIN: Mapping[type, Callable[[Any], str]] = MappingProxyType(
    {
        float: float.__repr__,
        str: lambda value: f"text {len(value)}:{value}",
        type(None): repr,
        bool: repr,
        int: repr,
        bytes: lambda value: f"bytes {len(value)}:{value.hex()}",
    }
)


class _Content(Enum):
    """What a value of some kind holds."""

    MEMBER, ROW, FIELDS, MAPPING = range(4)


class _Form(NamedTuple):
    """How values of one kind are told: what they hold, the words before it, the names of the fields."""

    content: _Content
    name: str
    fields: tuple[str, ...] = ()


@cache
def _form(kind: type[Any]) -> _Form:
    """How values of this kind are told. TypeError for a kind that is not known."""
    if issubclass(kind, Enum):
        return _Form(_Content.MEMBER, f"member {_name(kind)}")
    if kind in (tuple, list) or (issubclass(kind, tuple) and hasattr(kind, "_fields")):
        return _Form(_Content.ROW, f"row {_name(kind)}")
    if is_dataclass(kind):
        return _of_fields(kind, tuple(field.name for field in fields(kind)))
    if hasattr(kind, "model_fields"):  # a pydantic model, which the ground does not import
        return _of_fields(kind, tuple(kind.model_fields))
    if issubclass(kind, Mapping):
        return _Form(_Content.MAPPING, "mapping")
    raise TypeError(f"{_name(kind)} has no exact content that is known")


def _of_fields(kind: type, names: tuple[str, ...]) -> _Form:
    return _Form(_Content.FIELDS, f"object {_name(kind)} {len(names)}", names)


def _name(kind: type) -> str:
    return f"{kind.__module__}.{kind.__qualname__}"
