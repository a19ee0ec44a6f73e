"""What the setup sheet says of a butt joint alone: the facing, what holds the neck meanwhile, its inserts.

Lengths mm. The last pass takes the whole shoulder, so that the sawn end is no longer there to be held by: a packing as
thick as what has gone lies under the heel stop, and the joint's own first insert takes the stop's bolt.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.documents.setup.bolts import bolt_name, neck_bolts, washer_thickness
from generator.job import fasteners
from generator.joint.kinds.butt.joint import Butt
from generator.joint.solution import Solution
from generator.joint.stations import bolt_room


@dataclass(frozen=True)
class ButtBench:
    """What hands need for a solved butt joint. Lengths mm."""

    solution: Solution
    joint: Butt

    @property
    def packing(self) -> float:
        """What the passes before the last one take off the sawn end: it then lies under the heel stop."""
        return self.joint.facing_depth - self.solution.job.router.hold_back

    @property
    def stop_bolt(self) -> float:
        """Length of the bolt that draws the faced neck against packing and stop: the shortest sold that holds."""
        bolt = self.joint.bolts[0]
        plate = self.solution.job.stock("plate").actual_thickness
        under = washer_thickness(bolt.thread) + plate + self.packing + neck_bolts(self.solution).sunk
        sold = fasteners.bolt_lengths(bolt.thread, bolt.kind)
        needed = under + 0.8 * fasteners.thread(bolt.thread).diameter
        return next((size for size in sold if size >= needed - 1e-9), sold[-1])

    @property
    def stop_bolt_name(self) -> str:
        """That bolt as it is sold."""
        return bolt_name(self.joint.bolts[0].thread, self.stop_bolt)

    @property
    def room(self) -> float:
        """How far the bolts stand off the middle of their holes, every way."""
        return bolt_room(self.joint)
