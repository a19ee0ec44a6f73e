"""The shop file: what this shop's printer, laser, routers, stock and jigs really measure, kept in shop.toml.

    [printer]                      x_factor, y_factor
    [stock.<stock preset>]         kerf, measured_thickness
    [router.<router preset>]       edge_offset, eccentricity
    [jig.<jig preset>]             stand_off, stand_off_upper_rest

Each table may also carry `measured`, a table of the readings the values were found from, and `date` and `note` for
whoever reads the file; where several measurements share a table each value may have its own date, such as `kerf_date`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any

from generator.base.errors import Fault, InputError
from generator.base.plain_text import WRITTEN
from generator.base.toml_file import read_toml
from generator.job.model.field_types import FieldType, NotAllowed, TextType, length, shown
from generator.job.model.jig import STAND_OFF
from generator.job.model.job import Printer
from generator.job.model.router import Router
from generator.job.model.stock import Stock
from generator.job.tables import field_types_of, suggestion

#: Name of the shop file.
SHOP_FILE = "shop.toml"

#: A reading behind a correction, mm.
_READING = length(-5000, 5000)
#: Keys of an entry that are no numbers, each to what it may hold.
_REMARKS: dict[str, FieldType] = {
    "date": TextType(pattern=r"\d{4}-\d{2}-\d{2}", form='a date such as "2024-05-31"'),
    "note": TextType(pattern=WRITTEN + "{0,200}", form="one line of text of up to 200 signs, none of them unseen"),
}


def _some_keys(kinds: Mapping[str, FieldType], *keys: str) -> dict[str, FieldType]:
    return {key: kinds[key] for key in keys}


#: Keys of each kind of table that correct something.
CORRECTIONS: dict[str, dict[str, FieldType]] = {
    "printer": field_types_of(Printer),
    "stock": _some_keys(field_types_of(Stock), "kerf", "measured_thickness"),
    "router": _some_keys(field_types_of(Router), "edge_offset", "eccentricity"),
    "jig": {"stand_off": length(*STAND_OFF), "stand_off_upper_rest": length(*STAND_OFF)},
}
#: Version of the shop file.
SCHEMA = 1


@dataclass(frozen=True)
class ShopEntry:
    """One table of the shop file: corrections by key (mm or factor), and the readings behind them, mm."""

    values: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    measured: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True)
class Shop:
    """Everything the shop file says; an empty one corrects nothing."""

    printer: ShopEntry = ShopEntry()
    stock: Mapping[str, ShopEntry] = field(default_factory=lambda: MappingProxyType({}))
    router: Mapping[str, ShopEntry] = field(default_factory=lambda: MappingProxyType({}))
    jig: Mapping[str, ShopEntry] = field(default_factory=lambda: MappingProxyType({}))
    path: Path | None = None

    @property
    def name(self) -> str:
        """The file's name without its folder, for what is printed and kept."""
        return SHOP_FILE if self.path is None else self.path.name


def find_shop_file(beside: Path | None) -> Path | None:
    """The shop file beside the job, else the one in the working folder, else None."""
    folders = ([beside] if beside is not None else []) + [Path(".")]
    return next((folder / SHOP_FILE for folder in folders if (folder / SHOP_FILE).is_file()), None)


def read_shop(path: Path) -> Shop:
    """The shop file at `path`; InputError with every fault in it."""
    raw = read_toml(path)
    file, faults = str(path), []
    if raw.pop("schema", SCHEMA) != SCHEMA:
        faults.append(Fault(file, "schema", "another schema", str(SCHEMA)))
    tables: dict[str, Any] = {}
    for name, content in raw.items():
        if name not in CORRECTIONS:
            near = suggestion("", name, tuple(CORRECTIONS))
            faults.append(Fault(file, name, f"the unknown table {shown(name)}", near))
        elif not isinstance(content, dict):
            faults.append(Fault(file, name, shown(content), f"a table, [{name}]"))
        elif name == "printer":
            tables[name] = _entry(file, name, name, content, faults)
        else:
            tables[name] = {
                preset: _entry(file, f"{name}.{preset}", name, inner, faults) for preset, inner in content.items()
            }
    if faults:
        raise InputError(faults)
    return Shop(**tables, path=path)


def _entry(file: str, where: str, kind: str, raw: object, faults: list[Fault]) -> ShopEntry:
    if not isinstance(raw, dict):
        faults.append(Fault(file, where, shown(raw), f"a table, [{where}]"))
        return ShopEntry()
    values: dict[str, float] = {}
    measured: dict[str, float] = {}
    known = CORRECTIONS[kind] | _REMARKS
    for key, content in raw.items():
        try:
            if key == "measured" and isinstance(content, dict):
                measured = {name: _READING.read(reading) for name, reading in content.items()}
            elif key in CORRECTIONS[kind]:
                values[key] = known[key].read(content)
            elif key in _REMARKS:
                known[key].read(str(content))
            elif key.endswith("_date") and key.removesuffix("_date") in CORRECTIONS[kind]:
                _REMARKS["date"].read(str(content))
            else:
                near = suggestion("", key, (*known, "measured"))
                faults.append(Fault(file, f"{where}.{key}", f"the unknown key {shown(key)}", near))
        except NotAllowed as error:
            faults.append(Fault(file, f"{where}.{key}", error.found, error.allowed))
    return ShopEntry(MappingProxyType(values), MappingProxyType(measured))
