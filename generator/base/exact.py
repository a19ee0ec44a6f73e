"""A value's content as text, exactly: two values have one text only where no function could tell them apart.

Standard library only. Floats stand with every digit, enum members and dataclasses under their own names, mappings in
their order, because a function sees that order. What it does not know it refuses: the `repr` of an object may hold an
address, or leave out what matters.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any


def digest(value: Any) -> str:
    """SHA-256 of `value`'s exact content, in hexadecimal. TypeError for a kind of value that is not known."""
    content = hashlib.sha256()
    content.update("\n".join(_words(value)).encode("utf-8", "surrogatepass"))
    return content.hexdigest()


def _words(value: Any) -> Iterator[str]:
    """The content word by word; each says how much follows it, so that no two contents run into one text."""
    kind = type(value)
    if kind is float:
        yield float.__repr__(value)
    elif kind is str:
        yield f"text {len(value)}:{value}"
    elif value is None or kind in (bool, int):
        yield repr(value)
    elif kind is bytes:
        yield f"bytes {len(value)}:{value.hex()}"
    elif isinstance(value, Enum):
        yield f"member {_name(kind)} {value.name}"
    elif kind in (tuple, list) or _is_named_tuple(value):
        yield f"row {_name(kind)} {len(value)}"
        for item in value:
            yield from _words(item)
    elif is_dataclass(value) and not isinstance(value, type):
        yield from _fields(value, [field.name for field in fields(value)])
    elif hasattr(kind, "model_fields"):  # a pydantic model, which the ground does not import
        yield from _fields(value, list(kind.model_fields))
    elif isinstance(value, Mapping):
        yield f"mapping {len(value)}"
        for key, item in value.items():
            yield from _words(key)
            yield from _words(item)
    else:
        raise TypeError(f"{_name(kind)} has no exact content that is known")


def _fields(value: Any, names: list[str]) -> Iterator[str]:
    yield f"object {_name(type(value))} {len(names)}"
    for name in names:
        yield name
        yield from _words(getattr(value, name))


def _is_named_tuple(value: Any) -> bool:
    return isinstance(value, tuple) and hasattr(type(value), "_fields")


def _name(kind: type) -> str:
    return f"{kind.__module__}.{kind.__qualname__}"
