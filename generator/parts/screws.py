"""One machine screw with everything a part needs to know about it, read from the fastener tables."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from generator import fasteners
from generator.errors import GeometryError

#: Lengths machine screws are sold in, mm (ISO 888 preferred lengths, from memory).
STANDARD_LENGTHS = (6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100, 110, 120, 130, 140, 150)


@dataclass(frozen=True)
class Screw:
    """A metric machine screw and its nut and washer, mm."""

    name: str
    diameter: float
    clearance: float
    tap_drill: float
    head_diameter: float
    nut_width: float
    nut_height: float
    washer_diameter: float

    def length_at_least(self, length: float) -> float:
        """The shortest standard length that is no shorter than `length` mm."""
        for size in STANDARD_LENGTHS:
            if size >= length:
                return float(size)
        raise GeometryError(f"{self.name}: no standard screw is {length:g} mm long; longest {STANDARD_LENGTHS[-1]} mm")


@cache
def screw(name: str) -> Screw:
    """The screw called `name`, such as "M5"; InputError lists the known sizes."""
    nut = fasteners.hex_nut(name)
    return Screw(
        name,
        fasteners.thread(name).diameter,
        fasteners.clearance_hole(name),
        fasteners.tap_drill(name),
        fasteners.countersunk(name).head_diameter,
        nut.across_flats,
        nut.height,
        fasteners.washer(name).diameter,
    )
