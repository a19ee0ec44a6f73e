"""Values of the program as bytes, and back as the same values. Standard library only.

Only the program's own nouns and plain values come back: bytes that name anything else are refused, so that reading a
file never runs what somebody else wrote into it.
"""

from __future__ import annotations

import copyreg
import io
import pickle
from enum import Enum
from types import MappingProxyType
from typing import Any

#: The program's own package; nothing outside it is unpacked.
_PACKAGE = __name__.partition(".")[0]


def pack(value: Any) -> bytes:
    """`value` as bytes. TypeError for what cannot be packed."""
    out = io.BytesIO()
    try:
        _Packer(out, protocol=5).dump(value)
    except (pickle.PicklingError, AttributeError) as error:
        raise TypeError(f"{type(value).__name__} cannot be packed: {error}") from error
    return out.getvalue()


def unpack(data: bytes) -> Any:
    """What `pack` was given. ValueError for bytes that it did not make."""
    try:
        return _Unpacker(io.BytesIO(data)).load()
    except Exception as error:  # spoilt bytes make the reader stumble in any way
        raise ValueError(f"nothing that was packed: {error}") from error


def read_only(items: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    """A read-only mapping of `items`, by a name that a reader finds."""
    return MappingProxyType(items)


class _Packer(pickle.Pickler):
    dispatch_table = copyreg.dispatch_table | {MappingProxyType: lambda value: (read_only, (dict(value),))}


class _Unpacker(pickle.Unpickler):
    def find_class(self, module: str, name: str) -> Any:
        found = super().find_class(module, name) if module.partition(".")[0] == _PACKAGE else None
        if found is read_only or _is_noun(found):
            return found
        raise pickle.UnpicklingError(f"{module}.{name} is no noun of the program")


def _is_noun(found: Any) -> bool:
    """True for a class that only holds values: a dataclass, a named tuple, an enumeration, a pydantic model."""
    if not isinstance(found, type):
        return False
    marks = ("__dataclass_fields__", "_fields", "model_fields")
    return issubclass(found, Enum) or any(hasattr(found, mark) for mark in marks)
