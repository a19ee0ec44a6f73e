"""Screws with everything a part needs to know about them, read from the fastener tables."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

from generator.job import fasteners

#: Lengths machine screws are sold in, mm (ISO 888 preferred lengths, from memory).
STANDARD_LENGTHS = (8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80)
#: A tapped hole is drilled deeper than its thread by this, mm (common practice).
DRILL_PAST_THREAD = 3.0
#: A tapped hole's thread goes deeper than the screw by this, mm (common practice).
THREAD_PAST_SCREW = 1.0


@dataclass(frozen=True)
class Fastener:
    """A screw, mm: `pilot` is the hole its thread bites in, tap drill or pilot hole.

    A `conical` head is countersunk at 90°, and its length counts from its outer face; another one is flat underneath,
    and its length counts from there.
    """

    name: str
    title: str
    diameter: float
    head_diameter: float
    head_height: float
    conical: bool
    clearance: float
    pilot: float
    tapped: bool
    lengths: tuple[float, ...]

    @property
    def cone(self) -> float | None:
        """Diameter (mm) of the countersink that its head lies in; None for a head that wants a flat seat."""
        return self.head_diameter if self.conical else None

    @property
    def thread(self) -> str:
        """How a list names its thread: "M5", or "⌀4"."""
        return self.name if self.tapped else f"⌀{self.name}"

    def longest_within(self, length: float) -> float:
        """The longest one sold that is no longer than `length` mm; the shortest where none is."""
        return max((size for size in self.lengths if size <= length + 1e-9), default=self.lengths[0])


@cache
def wood_fastener(name: str) -> Fastener:
    """The countersunk wood screw with a thread of `name` mm."""
    found = fasteners.wood_screw(name)
    return Fastener(
        name,
        "Countersunk wood screw",
        found.diameter,
        found.head_diameter,
        _cone_height(found.head_diameter, found.diameter),
        True,
        found.clearance,
        found.pilot,
        False,
        found.lengths,
    )


@cache
def pan_fastener(name: str) -> Fastener:
    """The pan-head wood screw with a thread of `name` mm: for a flat seat."""
    return _flat_headed(wood_fastener(name), "Pan-head wood screw", fasteners.pan_head(name))


@cache
def machine_fastener(name: str) -> Fastener:
    """The countersunk machine screw called `name`, such as "M5"; InputError lists the known sizes."""
    diameter, wide = fasteners.thread(name).diameter, fasteners.countersunk(name).head_diameter
    return Fastener(
        name,
        "Countersunk screw, hexagon socket",
        diameter,
        wide,
        _cone_height(wide, diameter),
        True,
        fasteners.clearance_hole(name),
        fasteners.tap_drill(name),
        True,
        tuple(map(float, STANDARD_LENGTHS)),
    )


@cache
def cap_fastener(name: str) -> Fastener:
    """The cap screw called `name`, such as "M4": for a flat seat."""
    return _flat_headed(machine_fastener(name), "Cap screw, hexagon socket", fasteners.socket_cap(name))


def _flat_headed(screw: Fastener, title: str, head: fasteners.FlatHead) -> Fastener:
    """The screw with another head, flat underneath."""
    wide, high = head.head_diameter, head.head_height
    return replace(screw, title=title, head_diameter=wide, head_height=high, conical=False)


def _cone_height(wide: float, narrow: float) -> float:
    """Height of a 90° cone, mm."""
    return (wide - narrow) / 2.0
