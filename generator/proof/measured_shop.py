"""The shop's own measurements, laid beside a kit that was made before them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from generator.base.units import mm
from generator.job.model.job import JOB_SOURCE
from generator.job.shop import Shop
from generator.joint.checks.base import Check, at_most
from generator.proof.cut.nominal_cut import Cutter, cutter_of, measured_eccentricity
from generator.proof.kit_files import Kit

#: A sheet this much off the thickness its joints were drawn for wants new joints, mm (common practice).
_THICKNESS = 0.15
#: Keys of the router that leave the shop's corrections aside where the job itself gives them.
_OWN = ("bushing_od", "bit_diameter")


def cutter_now(results: Mapping[str, Any], shop: Shop) -> Cutter:
    """Bushing and bit as the shop measures them now, else as the kit was made for."""
    cutter, router = cutter_of(results), results["inputs"]["router"]
    found = replace(cutter, eccentricity=measured_eccentricity(results))
    # As when a job is loaded: another bushing or bit in the kit leaves its corrections aside.
    entry = shop.router.get(str(router["preset"]["value"]))
    if entry is None or any(router[key]["source"] == JOB_SOURCE for key in _OWN):
        return found
    offset = entry.values.get("edge_offset")
    if offset is not None:
        found = replace(found, bit_diameter=found.bushing_od - 2.0 * offset)
    return replace(found, eccentricity=entry.values.get("eccentricity", found.eccentricity))


def shop_checks(kit: Kit, shop: Shop) -> Iterator[Check]:
    """Stock that the shop has measured since, against the thickness the kit was drawn for."""
    for name, stock in kit.solution.job.stocks.items():
        measured = shop.stock[name].values.get("measured_thickness") if name in shop.stock else None
        if measured is not None:
            off = abs(measured - stock.actual_thickness)
            words = f"measures {mm(measured)}, drawn for {mm(stock.actual_thickness)}: its slots and tabs"
            yield at_most(f"jig: thickness of {name}", off, _THICKNESS, 1e3, words)
