"""Screws with everything a part needs to know about them, read from the fastener tables."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from generator.job import fasteners

#: Lengths countersunk machine screws are sold in, mm (ISO 888 preferred lengths, from memory).
STANDARD_LENGTHS = (8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80)
#: A tapped hole is drilled deeper than its thread by this, and its thread deeper than the screw, mm (common practice).
DRILL_PAST_THREAD, THREAD_PAST_SCREW = 3.0, 1.0


@dataclass(frozen=True)
class Fastener:
    """A countersunk screw, mm: `pilot` is the hole its thread bites in, tap drill or pilot hole."""

    name: str
    title: str
    diameter: float
    head_diameter: float
    clearance: float
    pilot: float
    tapped: bool
    lengths: tuple[float, ...]

    @property
    def head_height(self) -> float:
        """Height of the 90° head, mm."""
        return (self.head_diameter - self.diameter) / 2.0

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
        found.clearance,
        found.pilot,
        False,
        found.lengths,
    )


@cache
def machine_fastener(name: str) -> Fastener:
    """The countersunk machine screw called `name`, such as "M5"; InputError lists the known sizes."""
    return Fastener(
        name,
        "Countersunk screw, hexagon socket",
        fasteners.thread(name).diameter,
        fasteners.countersunk(name).head_diameter,
        fasteners.clearance_hole(name),
        fasteners.tap_drill(name),
        True,
        tuple(map(float, STANDARD_LENGTHS)),
    )
