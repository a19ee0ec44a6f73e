"""What only a kit's own copy of its job carries: the stocks and the printer as they were when the kit was made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from generator.base.errors import Fault
from generator.job.model.field_types import FieldType, NotAllowed, shown
from generator.job.model.job import Printer
from generator.job.tables import KEYS, field_types_of, suggestion

#: The key that marks a job file as such a copy.
EFFECTIVE = "effective"
#: The table of the stocks, each by its name.
_STOCK = "stock"
#: The table of the printer.
_PRINTER = "printer"
#: Top-level keys of a job file that are read here.
COPY_KEYS = (EFFECTIVE, _STOCK, _PRINTER)


@dataclass(frozen=True)
class JobCopy:
    """The values of each stock by its name, and of the printer; `is_copy` False for a job file of the usual kind."""

    is_copy: bool = False
    stocks: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    printer: Mapping[str, float] = field(default_factory=dict)


def read_copy(file: str, raw: Mapping[str, Any], faults: list[Fault]) -> JobCopy:
    """The copy's own tables of a parsed job file; whatever is wrong with them goes into `faults`."""
    mark = raw.get(EFFECTIVE, False)
    if not isinstance(mark, bool):
        faults.append(Fault(file, EFFECTIVE, shown(mark), "true, in a kit's own copy of its job"))
    if mark is not True:
        strange = [key for key in (_STOCK, _PRINTER) if key in raw]
        where = "shop.toml; in a job only a kit's own copy has it"
        faults.extend(
            Fault(file, key, f"the unknown table {shown(key)}", f"[{key}] stands in {where}") for key in strange
        )
        return JobCopy()
    stocks = raw.get(_STOCK, {})
    found = {
        name: _table(file, f"{_STOCK}.{name}", content, KEYS["stock"], faults)
        for name, content in (stocks.items() if isinstance(stocks, dict) else ())
    }
    return JobCopy(True, found, _table(file, _PRINTER, raw.get(_PRINTER, {}), field_types_of(Printer), faults))


def _table(file: str, where: str, raw: object, kinds: Mapping[str, FieldType], faults: list[Fault]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, content in raw.items() if isinstance(raw, dict) else ():
        if key not in kinds:
            faults.append(
                Fault(file, f"{where}.{key}", f"the unknown key {shown(key)}", suggestion("", key, (*kinds,)))
            )
            continue
        try:
            found[key] = kinds[key].read(content)
        except NotAllowed as error:
            faults.append(Fault(file, f"{where}.{key}", error.found, error.allowed))
    return found
