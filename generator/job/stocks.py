"""The stocks that a job's jig names: their presets, corrected by what the shop has measured."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from generator.base.errors import Fault, InputError
from generator.job.merge import DEFAULT_SOURCE, PRESET_HEAD, SHOP_SOURCE, Merge
from generator.job.model.job import JOB_SOURCE
from generator.job.model.stock import Stock
from generator.job.presets import Preset, PresetKind, find_preset
from generator.job.shop import Shop, ShopEntry
from generator.job.tables import KEYS, SourceLayer, read_layer


def stocks_of(merge: Merge, folders: Iterable[Path], shop: Shop) -> tuple[dict[str, Stock], dict[str, Any]]:
    """Every stock the jig names, corrected by the shop, and its effective keys."""
    stocks: dict[str, Stock] = {}
    inputs: dict[str, Any] = {}
    for key in KEYS["jig"]:
        where = f"jig.{key}"
        name = merge.values.get(where)
        if not key.endswith("_stock") or name is None or name in stocks:
            continue
        own = merge.copy.stocks.get(name, {})
        try:
            preset = _stock_preset(name, folders, merge.files[where], where, own)
            layer = SourceLayer(JOB_SOURCE, merge.file) if preset is None else _stock_layer(preset)
            stocks[name], inputs[f"stock.{name}"] = _stock(name, layer, shop.stock.get(name, ShopEntry()), own)
        except InputError as error:
            merge.faults.extend(fault for fault in error.faults if fault not in merge.faults)
    return stocks, inputs


def read_stock(preset: Preset) -> Stock:
    """The stock preset as it stands in its file; InputError with every fault."""
    return _stock(preset.name, _stock_layer(preset), ShopEntry(), {})[0]


def _stock_preset(name: str, folders: Iterable[Path], file: str, where: str, own: Mapping[str, Any]) -> Preset | None:
    """The preset of that stock; None where there is none and a kit's copy of its job says all of it."""
    try:
        return find_preset(PresetKind.STOCK, name, folders, file, where)
    except InputError:
        if own:
            return None
        raise


def _stock_layer(preset: Preset) -> SourceLayer:
    return read_layer(preset.source, preset.shown_as, preset.tables(), ("stock",), PRESET_HEAD)


def _stock(name: str, layer: SourceLayer, entry: ShopEntry, own: Mapping[str, Any]) -> tuple[Stock, dict[str, Any]]:
    found = layer.values.get("stock", {})
    kinds = KEYS["stock"]
    required = (key for key in kinds if Stock.model_fields[key].is_required() and key != "name")
    missing = [
        Fault(layer.file, f"stock.{key}", "nothing", kinds[key].allowed)
        for key in required
        if key not in found and key not in own and f"stock.{key}" not in layer.bad
    ]
    if layer.faults or missing:
        raise InputError([*layer.faults, *missing])
    stock = Stock(**({"name": name} | dict(found) | dict(entry.values) | dict(own)))

    def source(key: str) -> str:
        if key in own and own[key] != found.get(key):
            return JOB_SOURCE
        if key in entry.values and key not in own:
            return SHOP_SOURCE
        return layer.source if key in found else DEFAULT_SOURCE

    effective = {
        key: {"value": kind.written(getattr(stock, key)), "source": source(key)}
        for key, kind in kinds.items()
        if key != "name"
    }
    return stock, effective
