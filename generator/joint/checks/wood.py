"""Whether the wood carries the joint: neck block, heel, tenon and bolts."""

from __future__ import annotations

from itertools import pairwise

from generator.joint.checks.base import Check, CheckInput, CheckStatus, at_least, at_most, mm
from generator.joint.mortise_tenon import BoltHole, Joint

#: (warn, fail) limits in mm, common practice.
_FLOOR = (10.0, 5.0)
_BLOCK_SIDE = (12.0, 6.0)
_SHOULDER = (3.0, 1.0)
_CAP_SHOULDER = (1.5, 0.0)
_TENON_END = (0.2, 0.0)
_BOLT_END = (5.0, 2.0)
_BOLT_SIDE = (3.0, 1.5)
_BOLT_APART = (6.0, 2.0)
_BOLT_SLOT = (3.0, 0.0)


def wood_checks(work: CheckInput) -> tuple[Check, ...]:
    """Mortise in the neck block, tenon in the heel, bolts in the tenon."""
    return (*_mortise(work), *_tenon(work), *_bolts(work))


def _mortise(work: CheckInput) -> tuple[Check, ...]:
    joint, instrument = work.joint, work.job.instrument
    floor = instrument.neck_block_thickness - joint.mortise_depth
    side = (instrument.neck_block_width - joint.mortise_width) / 2.0
    return (
        at_most(
            "mortise length",
            joint.mortise_length,
            joint.heel_length,
            joint.heel_length + joint.heel_cap_lap,
            f"the mortise ends {mm(joint.mortise_length)} below the top edge, the heel {mm(joint.heel_length)}; "
            "what a longer mortise shows the heel cap must hide",
        ),
        at_least("mortise floor", floor, *_FLOOR, f"{mm(floor)} of the neck block is left behind the mortise"),
        at_least("mortise sides", side, *_BLOCK_SIDE, f"{mm(side)} of the neck block is left beside the mortise"),
        at_most(
            "mortise corners",
            joint.corner_radius,
            joint.mortise_width / 2.0,
            joint.mortise_width / 2.0,
            f"corner radius {mm(joint.corner_radius)} in a mortise {mm(joint.mortise_width)} wide",
        ),
    )


def _tenon(work: CheckInput) -> tuple[Check, ...]:
    joint, neck_set = work.joint, work.neck_set
    end = joint.end_clearance + neck_set.neck_rise_along_face
    shoulder = (joint.heel_width - joint.tenon_width) / 2.0
    cap = (joint.heel_width_at_cap - joint.tenon_width) / 2.0
    return (
        at_least(
            "tenon end",
            end,
            *_TENON_END,
            f"{mm(end)} between the tenon's end and the mortise's, the neck standing "
            f"{mm(neck_set.neck_rise)} over the top",
        ),
        at_least("heel shoulder", shoulder, *_SHOULDER, f"the heel's shoulder is {mm(shoulder)} wide on either side"),
        at_least("heel shoulder at the cap", cap, *_CAP_SHOULDER, f"{mm(cap)} on either side of the tenon at the cap"),
        at_least(
            "heel blank",
            joint.heel_blank,
            joint.heel_length,
            joint.tenon_length,
            f"the neck's end is {mm(joint.heel_blank)} long, the heel needs {mm(joint.heel_length)}",
        ),
        Check(
            "heel cap",
            CheckStatus.OK if joint.heel_cap_lap <= work.job.instrument.back_binding_height else CheckStatus.WARN,
            joint.heel_cap_lap,
            work.job.instrument.back_binding_height,
            _cap_words(joint, work.job.instrument.back_binding_height),
        ),
    )


def _cap_words(joint: Joint, binding: float) -> str:
    left = binding - joint.heel_cap_lap
    if left >= 0:
        return f"the heel cap laps {mm(joint.heel_cap_lap)} over the back binding and leaves {mm(left)} of it"
    return f"the heel cap is {mm(-left)} thicker than the back binding is high and stands proud of the back"


def _bolts(work: CheckInput) -> tuple[Check, ...]:
    found: list[Check] = []
    bolts = work.joint.bolts
    for number, bolt in enumerate(bolts, start=1):
        found += _one_bolt(work, f"bolt {number}", bolt)
    for number, (upper, lower) in enumerate(pairwise(bolts), start=1):
        apart = lower.from_top - upper.from_top - _hole(upper)
        words = f"{mm(apart)} of wood between the holes of bolts {number} and {number + 1}"
        found.append(at_least(f"bolts {number} and {number + 1}", apart, *_BOLT_APART, words))
    return tuple(found)


def _one_bolt(work: CheckInput, name: str, bolt: BoltHole) -> list[Check]:
    joint, slot = work.joint, work.job.instrument.truss_rod_slot_depth
    half = _hole(bolt) / 2.0
    end = min(bolt.from_neck_plane, joint.tenon_length - bolt.from_neck_plane) - half
    side = (joint.tenon_width - bolt.pilot_hole) / 2.0
    found = [
        at_least(f"{name} end distance", end, *_BOLT_END, f"{mm(end)} from the hole to the tenon's nearer end"),
        at_least(f"{name} side wall", side, *_BOLT_SIDE, f"{mm(side)} of the tenon is left beside the hole"),
    ]
    if work.job.instrument.truss_rod_slot_width is not None and slot is not None:
        clear = bolt.from_neck_plane - half - slot
        words = f"{mm(clear)} of wood between the hole and the truss-rod slot"
        found.append(at_least(f"{name} and truss rod", clear, *_BOLT_SLOT, words))
    return found


def _hole(bolt: BoltHole) -> float:
    """The widest hole (mm) this bolt wants in the tenon, seen along its length."""
    return max(bolt.pilot_hole, bolt.cross_hole or 0.0)
