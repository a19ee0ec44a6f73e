"""What two sets of plain data differ in, in words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

#: Numbers worked out again agree within this share, or this much, mm or degrees.
_SAME = 1e-6


def differences(path: str, found: Any, wanted: Any) -> Iterator[str]:
    """In words, every value of `found` that is not the wanted one; lists of named things go by their names."""
    if isinstance(wanted, dict) and isinstance(found, Mapping):
        for key in sorted({*found, *wanted}):
            if key in wanted and key in found:
                yield from differences(f"{path}.{key}", found[key], wanted[key])
            else:
                yield f"{path}.{key} is {'strange' if key in found else 'missing'}"
    elif isinstance(wanted, list) and isinstance(found, list):
        yield from _list_differences(path, found, wanted)
    elif isinstance(wanted, int | float) and isinstance(found, int | float):
        if not _alike(float(found), float(wanted)):
            yield f"{path} is {found:.6g}, its inputs give {wanted:.6g}"
    elif found != wanted:
        yield f"{path} is {found}, its inputs give {wanted}"


def _list_differences(path: str, found: list[Any], wanted: list[Any]) -> Iterator[str]:
    a, b = by_name(found), by_name(wanted)
    odd = sorted(set(a) ^ set(b))
    if odd:
        yield f"{path}: other ones than its inputs give: {', '.join(odd)}"
    for name in a:
        if name in b:
            yield from differences(f"{path}.{name}", a[name], b[name])


def by_name(items: list[Any]) -> dict[str, Any]:
    """The items of a list by their names, or by their places from 1."""
    names = (str(item.get("name", i)) if isinstance(item, Mapping) else str(i) for i, item in enumerate(items, 1))
    return dict(zip(names, items, strict=True))


def _alike(a: float, b: float) -> bool:
    return math.isclose(a, b, rel_tol=_SAME, abs_tol=_SAME)
