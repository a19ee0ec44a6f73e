"""Whether the wood carries mortise and tenon, and whether the template guides their cuts."""

from __future__ import annotations

from collections.abc import Iterator

from generator.base.units import mm
from generator.joint.checks.base import Check, CheckInput, at_least, at_most
from generator.joint.checks.wood import bolt_in_neck, bolts_apart, heel_checks
from generator.joint.kinds.mortise_tenon.joint import MortiseTenon

#: (warn, fail) limits in mm, common practice: neck block left behind the mortise.
_FLOOR = (10.0, 5.0)
#: (warn, fail) limits in mm, common practice: neck block left on either side of the mortise.
_BLOCK_SIDE = (12.0, 6.0)
#: (warn, fail) limits in mm, common practice: width of the heel's shoulder on either side.
_SHOULDER = (3.0, 1.0)
#: (warn, fail) limits in mm, common practice: width of the heel's shoulder at the cap, on either side of the tenon.
_CAP_SHOULDER = (1.5, 0.0)
#: (warn, fail) limits in mm, common practice: room between the tenon's end and the mortise's.
_TENON_END = (0.2, 0.0)


def mortise_tenon_checks(work: CheckInput, joint: MortiseTenon) -> tuple[Check, ...]:
    """Mortise in the neck block, tenon in the heel, bolts in the tenon."""
    return (*_mortise(work, joint), *_tenon(work, joint), *heel_checks(work, joint.tenon_length), *_bolts(work, joint))


def _mortise(work: CheckInput, joint: MortiseTenon) -> tuple[Check, ...]:
    instrument = work.job.instrument
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


def _tenon(work: CheckInput, joint: MortiseTenon) -> tuple[Check, ...]:
    neck_set = work.neck_set
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
    )


def _bolts(work: CheckInput, joint: MortiseTenon) -> Iterator[Check]:
    for number, bolt in enumerate(joint.bolts, start=1):
        yield from bolt_in_neck(work, f"bolt {number}", bolt, "tenon", joint.tenon_length, joint.tenon_width)
    yield from bolts_apart(joint.bolts)
