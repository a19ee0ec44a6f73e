"""Whether the wood carries a butt joint: inserts in the heel, holes in the neck block, a shoulder that closes on it."""

from __future__ import annotations

from collections.abc import Iterator

from generator.base.units import mm
from generator.joint.checks.base import Check, CheckInput, at_least
from generator.joint.checks.wood import bolt_in_neck, bolts_apart, heel_checks
from generator.joint.kinds.butt.joint import Butt

#: (warn, fail) limits in mm, common practice: neck block behind the shoulder's widest place, on either side.
_BLOCK_BESIDE = (3.0, 0.0)
#: (warn, fail) limits in mm, common practice: what of the sawn end is gone by the dry fit, so that no saw mark stays in
#: the shoulder.
_FACED = (1.5, 0.5)
#: (warn, fail) limits of the number of bolts, common practice: round one alone a neck turns.
_BOLTS = (2.0, 1.0)


def butt_checks(work: CheckInput, joint: Butt) -> tuple[Check, ...]:
    """Shoulder on the neck block, heel, bolts."""
    return (*_shoulder(work, joint), *heel_checks(work, joint.heel_length), *_bolts(work, joint))


def _shoulder(work: CheckInput, joint: Butt) -> tuple[Check, ...]:
    beside = (work.job.instrument.neck_block_width - joint.heel_width) / 2.0
    block = f"the neck block reaches {mm(beside)} past the heel on either side; the bolts draw the shoulder against it"
    faced = joint.facing_depth - work.job.router.hold_back
    gone = f"{mm(faced)} come off the sawn end before the dry fit: less leaves marks of the saw in the shoulder"
    return (
        at_least("block behind the shoulder", beside, *_BLOCK_BESIDE, block),
        at_least("facing", faced, *_FACED, gone),
    )


def _bolts(work: CheckInput, joint: Butt) -> Iterator[Check]:
    count = len(joint.bolts)
    words = f"{count} bolt{'s' if count > 1 else ''}: nothing else keeps the neck from turning round a single one"
    yield at_least("bolts that hold the neck", count, *_BOLTS, words, "bolts")
    end = joint.heel_length + work.neck_set.neck_rise_along_face
    for number, bolt in enumerate(joint.bolts, start=1):
        yield from bolt_in_neck(work, f"bolt {number}", bolt, "heel", end, joint.heel_width_down(bolt.from_top))
    yield from bolts_apart(joint.bolts)
