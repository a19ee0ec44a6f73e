"""Whether the wood carries the joint, whatever its kind: heel and bolts."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from generator.base.units import mm
from generator.joint.checks.base import Check, CheckInput, CheckStatus, at_least
from generator.joint.joint import BoltHole, Joint

#: (warn, fail) limits in mm, common practice: wood from a bolt's hole to the nearer end of what it stands in.
_BOLT_END = (5.0, 2.0)
#: (warn, fail) limits in mm, common practice: wood on either side of a bolt's hole.
_BOLT_SIDE = (3.0, 1.5)
#: (warn, fail) limits in mm, common practice: wood between the holes of two bolts.
_BOLT_APART = (6.0, 2.0)
#: (warn, fail) limits in mm, common practice: wood between a bolt's hole and the truss-rod slot.
_BOLT_SLOT = (3.0, 0.0)


def heel_checks(work: CheckInput, least: float) -> tuple[Check, ...]:
    """Heel blank and heel cap; a blank shorter than `least` mm does not carry the joint."""
    joint, binding = work.joint, work.job.instrument.back_binding_height
    return (
        at_least(
            "heel blank",
            joint.heel_blank,
            joint.heel_length,
            least,
            f"the neck's end is {mm(joint.heel_blank)} long, the heel needs {mm(joint.heel_length)}",
        ),
        Check(
            "heel cap",
            CheckStatus.OK if joint.heel_cap_lap <= binding else CheckStatus.WARN,
            joint.heel_cap_lap,
            binding,
            _cap_words(joint, binding),
        ),
    )


def _cap_words(joint: Joint, binding: float) -> str:
    left = binding - joint.heel_cap_lap
    if left >= 0:
        return f"the heel cap laps {mm(joint.heel_cap_lap)} over the back binding and leaves {mm(left)} of it"
    return f"the heel cap is {mm(-left)} thicker than the back binding is high and stands proud of the back"


def bolts_apart(bolts: tuple[BoltHole, ...]) -> Iterator[Check]:
    """Wood between two bolts' holes."""
    for number, (upper, lower) in enumerate(pairwise(bolts), start=1):
        apart = lower.from_top - upper.from_top - upper.widest_hole
        words = f"{mm(apart)} of wood between the holes of bolts {number} and {number + 1}"
        yield at_least(f"bolts {number} and {number + 1}", apart, *_BOLT_APART, words)


def bolt_in_neck(work: CheckInput, name: str, bolt: BoltHole, what: str, long: float, wide: float) -> Iterator[Check]:
    """Wood round a bolt's hole in `what` of the neck, `long` from the neck plane and `wide` across it, mm."""
    half, slot = bolt.widest_hole / 2.0, work.job.instrument.truss_rod_slot_depth
    end = min(bolt.from_neck_plane, long - bolt.from_neck_plane) - half
    side = (wide - bolt.pilot_hole) / 2.0
    yield at_least(f"{name} end distance", end, *_BOLT_END, f"{mm(end)} from the hole to the {what}'s nearer end")
    yield at_least(f"{name} side wall", side, *_BOLT_SIDE, f"{mm(side)} of the {what} is left beside the hole")
    if work.job.instrument.truss_rod_slot_width is not None and slot is not None:
        clear = bolt.from_neck_plane - half - slot
        words = f"{mm(clear)} of wood between the hole and the truss-rod slot"
        yield at_least(f"{name} and truss rod", clear, *_BOLT_SLOT, words)
