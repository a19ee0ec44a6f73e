"""A butt joint: the neck's end is routed flat at the heel angle, its shoulder meets the body's end face, bolts draw up.

Nothing stands on the neck and nothing but the bolts' holes is cut in the body. Bolts go in from inside the body,
through the whole neck block, into threaded inserts in the heel's end. What holds the neck sideways and in height are
the bolts in their clearance holes and the shoulder's friction: the bench sets the neck to the centreline as they are
drawn up. Lengths mm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from generator.base.keyed import Mm
from generator.job.model.job import Job
from generator.job.model.joint import ButtSpec, JointKind
from generator.joint.joint import Joint, Size, bolt_holes, heel_length, heel_sizes
from generator.joint.neck_set import NeckSet
from generator.joint.outlines import Outline

#: The brackets' rails: a facing is too shallow to give them a height that holds screws, mm.
RAIL = 22.0


@dataclass(frozen=True)
class Butt(Joint):
    """The shoulder alone; `facing_depth` is how deep the neck's sawn end is routed, all over. Lengths mm."""

    facing_depth: Mm

    @property
    def kind(self) -> JointKind:
        return JointKind.BUTT

    @property
    def body_outline(self) -> None:
        return None

    @cached_property
    def neck_outline(self) -> Outline:
        """Nothing stays over the shoulder."""
        return Outline("shoulder", None, False, self.facing_depth, 0.0)

    @property
    def rail_height(self) -> float:
        return max(RAIL, self.facing_depth)

    @property
    def facts(self) -> Mapping[str, str]:
        return {}

    @property
    def sizes(self) -> tuple[Size, ...]:
        return (Size("facing depth", self.facing_depth, "off the neck's sawn end, down to the shoulder"),)


def solve_butt(job: Job, spec: ButtSpec, neck_set: NeckSet) -> Butt:
    """Sizes of a butt joint."""
    instrument = job.instrument
    return Butt(
        facing_depth=spec.facing_depth,
        **heel_sizes(instrument),
        neck_blank_overlength=spec.facing_depth / math.cos(math.radians(neck_set.cradle_angle)),
        bolts=bolt_holes(
            instrument,
            spec.bolts,
            neck_set,
            far_end=heel_length(instrument),
            projection=0.0,
            grip=instrument.neck_block_thickness,
        ),
    )
