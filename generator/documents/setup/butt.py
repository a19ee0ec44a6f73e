"""What the setup sheet says of a butt joint alone: the facing, what holds the neck meanwhile, its inserts.

Lengths mm. The last pass takes the whole shoulder, so that the sawn end is no longer there to be held by: a packing as
thick as what has gone lies under the heel stop, and the joint's own first insert takes the stop's bolt.
"""

from __future__ import annotations

from generator.documents.setup.bolts import bolt_name, neck_bolts, washer_thickness
from generator.documents.setup.hands import NOTHING
from generator.documents.setup.setup_nouns import ButtWords
from generator.documents.setup.spelling import NumberFormat
from generator.job import fasteners
from generator.joint.kinds.butt.joint import Butt
from generator.joint.solution import Solution
from generator.joint.stations import bolt_room


def butt_words(solution: Solution, joint: Butt, spell: NumberFormat) -> ButtWords:
    """The words of a solved butt joint."""
    rise, gone = solution.neck_set.neck_rise_along_face, packing(solution, joint)
    return ButtWords(
        facing=spell.length(joint.facing_depth),
        faced_first=spell.length(gone),
        packing=spell.fine(gone),
        stop_bolt=bolt_name(joint.bolts[0].thread, stop_bolt(solution, joint)),
        rise=spell.fine(abs(rise)) if abs(rise) > NOTHING else "",
        falls=rise < 0.0,
        room=spell.fine(bolt_room(joint)),
    )


def packing(solution: Solution, joint: Butt) -> float:
    """What the passes before the last one take off the sawn end, mm."""
    return joint.facing_depth - solution.job.router.hold_back


def stop_bolt(solution: Solution, joint: Butt) -> float:
    """Length (mm) of the bolt that draws the faced neck against packing and stop: the shortest sold that holds."""
    bolt = joint.bolts[0]
    plate = solution.job.stock("plate").actual_thickness
    under = washer_thickness(bolt.thread) + plate + packing(solution, joint) + neck_bolts(solution).sunk
    sold = fasteners.bolt_lengths(bolt.thread, bolt.kind)
    needed = under + 0.8 * fasteners.thread(bolt.thread).diameter
    return next((size for size in sold if size >= needed - 1e-9), sold[-1])
