"""A noun's fields under the keys of results: a field's type says its unit, and with it its key.

A field `gap: Mm` is told as "gap_mm", `lean: Deg` as "lean_deg". `InMm[...]` is for what else is counted in mm,
`Told[...]` for what has no unit or keys of its own; a `Key` beside a type names another key. A field of any other type
is not told. Whoever reads such a table back asks for the fields, not for the keys. Standard library only.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from functools import cache
from typing import Annotated, Any, TypeVar, get_args, get_type_hints

#: Type of a field whose key an annotation states.
T = TypeVar("T")


@dataclass(frozen=True)
class Key:
    """The key of a field, its braces filled with the field's name; with an empty one a noun's own keys stand there."""

    form: str = ""


Told = Annotated[T, Key("{}")]
InMm = Annotated[T, Key("{}_mm")]
Inline = Annotated[T, Key()]
Mm = InMm[float]
Deg = Annotated[float, Key("{}_deg")]


@cache
def keys_of(kind: Any) -> Mapping[str, str]:
    """The key of every field of a dataclass that is told, in the order of the fields."""
    hints = get_type_hints(kind, include_extras=True)
    found = {field.name: _key(hints[field.name]) for field in fields(kind)}
    return {name: key.form.format(name) for name, key in found.items() if key is not None}


def _key(hint: Any) -> Key | None:
    """The last key given: one beside `Mm` names another key than the unit alone would."""
    return next((one for one in reversed(get_args(hint)[1:]) if isinstance(one, Key)), None)


def keyed(
    noun: Any, of: Any = None, *, only: Iterable[str] | None = None, without: Collection[str] = ()
) -> dict[str, Any]:
    """The told fields of a dataclass as plain values, nouns in it too; those named `only`, those not `without`.

    With `of`, another dataclass, those that it has: of a base of the noun's, or of one that says how what the noun has
    is told, properties too. KeyError for the name of a field that is not told.
    """
    kind: Any = of or type(noun)
    keys, found = keys_of(kind), dict[str, Any]()
    for name in keys if only is None else only:
        if name in without:
            continue
        value = _plain(getattr(noun, name))
        found |= {keys[name]: value} if keys[name] else value
    return found


def _plain(value: Any) -> Any:
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    return keyed(value) if is_dataclass(value) else value


class Table:
    """A table of written results under the field names of the noun of which it tells.

    KeyError where the table lacks what is asked for, AttributeError where the noun tells no such field.
    """

    def __init__(self, kind: Any, table: Mapping[str, Any]) -> None:
        self._keys, self._table = keys_of(kind), table

    def __getattr__(self, name: str) -> Any:
        if name not in self._keys:
            raise AttributeError(f"nothing is told of {name}")
        return self._table[self._keys[name]]
