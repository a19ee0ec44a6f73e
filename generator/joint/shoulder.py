"""The wedge between two set angles: what to take off the shoulder, and what the held-back pass can still cover.

Lengths mm, angles degrees. A positive change raises the saddle gap: the headstock tips further back.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from generator.base.errors import COMMAND_LINE, Fault
from generator.base.keyed import Mm
from generator.base.units import format_mm, mm
from generator.joint.cradle import REST_RANGE
from generator.joint.neck_set import NeckSet, angle_for_gap, gap_at_angle

#: No gap, clearance, action or miss is larger, mm: such a figure is a slip of the pen or of the unit.
MOST_READING = 50.0


@dataclass(frozen=True)
class Taper:
    """What to take off the neck's shoulder, mm: full at one end of the heel, nothing at the other."""

    back_end: Mm
    join: Mm

    @property
    def most(self) -> float:
        """The larger of the two, mm."""
        return max(self.back_end, self.join)


def angle_of_gap(neck_set: NeckSet, gap: float) -> float:
    """Set angle (degrees) at which this instrument would show a saddle gap (mm)."""
    return angle_for_gap(gap, neck_set.join_to_saddle, neck_set.neck_rise, neck_set.top_rise_at_saddle)


def gap_of_angle(neck_set: NeckSet, set_angle: float) -> float:
    """Saddle gap (mm) this instrument would show at a set angle (degrees)."""
    return gap_at_angle(set_angle, neck_set.join_to_saddle, neck_set.neck_rise, neck_set.top_rise_at_saddle)


def angle_change(neck_set: NeckSet, found: float, wanted: float) -> float:
    """Change of the set angle (degrees) that takes the saddle gap from `found` to `wanted` mm."""
    return angle_of_gap(neck_set, wanted) - angle_of_gap(neck_set, found)


def wedge(length: float, change: float) -> float:
    """Thick end (mm) of a wedge `length` mm long that turns by `change` degrees, either way."""
    return length * math.tan(math.radians(abs(change)))


def shoulder_taper(heel_length: float, change: float) -> Taper:
    """Raise the gap by taking wood off the heel's back end, lower it by taking wood off at the join."""
    thick = wedge(heel_length, change)
    return Taper(back_end=thick, join=0.0) if change > 0 else Taper(back_end=0.0, join=thick)


def covered_change(heel_length: float, hold_back: float) -> float:
    """Largest change of angle (degrees) for which a held-back pass of `hold_back` mm cleans up the whole shoulder."""
    return math.degrees(math.atan(hold_back / heel_length))


def covered_gaps(neck_set: NeckSet, heel_length: float, hold_back: float) -> tuple[float, float]:
    """The lowest and highest reading (mm) that the held-back pass can still bring to the wanted gap."""
    reach = covered_change(heel_length, hold_back)
    return gap_of_angle(neck_set, neck_set.set_angle - reach), gap_of_angle(neck_set, neck_set.set_angle + reach)


def reading_faults(readings: Mapping[str, float]) -> list[Fault]:
    """A fault for each reading (mm, by the option that carries it) that no instrument can show."""
    allowed = f"{format_mm(-MOST_READING)} to {mm(MOST_READING)}"
    return [
        Fault(COMMAND_LINE, option, mm(reading), allowed)
        for option, reading in readings.items()
        if not abs(reading) <= MOST_READING
    ]


def rest_faults(rest: float | None) -> list[Fault]:
    """A fault where `rest`, the angle rest in use with its shims (mm), is none that a jig can have."""
    low, high = REST_RANGE
    if rest is None or low <= rest <= high:
        return []
    return [Fault(COMMAND_LINE, "--rest", mm(rest), f"{format_mm(low)} to {mm(high)}")]
