"""Results whose values are not of the kind they should be are refused before anything is worked out of them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from generator.base.errors import Fault, InputError
from generator.proof.kit_files import Kit
from generator.proof.listing import RESULTS

#: The parts of results.json that hold what was worked out.
SECTIONS = ("neck_set", "joint", "router", "cradle", "template", "parts", "uncertainty")


def refuse_misshapen(kit: Kit) -> None:
    """Raise InputError naming every value of the results that is not of the kind it should be, or is not there.

    What the proof reads of them is then sure to be a number, a text or a list of such.
    """
    faults = [
        Fault(str(kit.folder / RESULTS), path, found, allowed)
        for section in SECTIONS
        for path, found, allowed in _misshapen(section, kit.results.get(section), kit.expected[section])
    ]
    checks = kit.results.get("checks", [])
    if not isinstance(checks, list) or not all(
        isinstance(c, Mapping) and isinstance(c.get("name"), str) for c in checks
    ):
        faults.append(
            Fault(str(kit.folder / RESULTS), "checks", _kind_of(checks), "a list of checks, each with its name")
        )
    if faults:
        raise InputError(faults)


def _misshapen(path: str, found: Any, wanted: Any) -> Iterator[tuple[str, str, str]]:
    """Path, what was found and what is allowed, of every value that is of another kind."""
    if wanted is None:
        # A value that these inputs leave open; what stands there is compared, but nothing is worked out of it.
        if not (found is None or _is_number(found)):
            yield path, _kind_of(found), "a number, or null"
    elif isinstance(wanted, bool | str):
        if type(found) is not type(wanted):
            yield path, _kind_of(found), "a text" if isinstance(wanted, str) else "true or false"
    elif isinstance(wanted, int | float):
        if not _is_number(found):
            yield path, _kind_of(found), "a number"
    elif isinstance(wanted, list):
        if not isinstance(found, list):
            yield path, _kind_of(found), "a list"
        elif wanted:
            for i, item in enumerate(found):
                yield from _misshapen(f"{path}.{i + 1}", item, wanted[min(i, len(wanted) - 1)])
    elif not isinstance(found, Mapping):
        yield path, _kind_of(found), "a table"
    else:
        for key in wanted:
            yield from _misshapen(f"{path}.{key}", found.get(key), wanted[key])


def _is_number(found: Any) -> bool:
    return isinstance(found, int | float) and not isinstance(found, bool) and math.isfinite(found)


def _kind_of(found: Any) -> str:
    return "nothing" if found is None else f"{found!r}"[:40]
