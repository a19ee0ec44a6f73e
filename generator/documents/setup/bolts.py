"""The joint's bolts as a builder buys and fits them: a length that shops sell, how deep to drill, where a nut lies.

Lengths mm. One length serves both the dry fit, while the last pass still stands, and the finished joint.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.base.units import format_inches, mm
from generator.job import fasteners
from generator.job.model.joint import BoltKind
from generator.joint.solution import Solution

#: Thickness of the washer of a thread that no table holds, mm (common practice).
_WASHER = 1.6
#: A nut's height in diameters of its thread (common practice).
_NUT = 0.9
#: A hole is drilled this much deeper than its bolt reaches, mm.
_PAST_BOLT = 2.0
#: An insert lies this far under the tenon's end, mm.
_UNDER_END = 0.5
#: In a shoulder that is routed once more an insert lies this far under a whole facing: no pass can meet it, mm.
_UNDER_FACING = 1.0
#: Least wood between a barrel nut and the tenon's end, mm (common practice).
_BARREL_WOOD = 3.0
#: Least wood between a barrel nut and the shoulder, mm.
_BARREL_TO_SHOULDER = 0.5


@dataclass(frozen=True)
class NeckBolts:
    """What to buy and how to fit it. Lengths mm.

    `length` is sold: under the head, or a hanger bolt's whole length. `bite` is what of a bolt reaches past the
    finished tenon's end, or past the finished shoulder where nothing stands. `drill_depth` runs in from the end as
    routed for the dry fit. `sunk` is how far under that end an insert's rim lies, `barrel_from_end` the barrel nut's
    middle from it. `stands_out` is what of a hanger bolt must stand out of it. `fits` is False where no length that is
    sold serves both fits.
    """

    thread: str
    kind: BoltKind
    count: int
    length: float
    bite: float
    drill_depth: float
    sunk: float
    barrel_from_end: float
    stands_out: float
    fits: bool

    @property
    def longest_insert(self) -> float:
        """Length of an insert to buy, at most: what the pilot leaves under its rim."""
        return self.drill_depth - self.sunk

    @property
    def name(self) -> str:
        """ "M6 × 45 mm", or "1/4-20 × 1 1/2 in"."""
        return bolt_name(self.thread, self.length)


def neck_bolts(solution: Solution) -> NeckBolts:
    """Bolts for the dry fit and the finished joint of a solved job."""
    hole, held, ease = solution.joint.bolts[0], solution.job.router.hold_back, solution.joint.eased
    size = fasteners.thread(hole.thread).diameter
    washer = washer_thickness(hole.thread)
    bridged = hole.grip + washer
    if not solution.joint.stands:
        return _in_shoulder(solution, bridged)
    sold = fasteners.bolt_lengths(hole.thread, hole.kind)
    if hole.kind is BoltKind.HANGER:
        out = bridged + held + _NUT * size
        length = _shortest(sold, hole.engagement + out)
        bite = length - out
        least, most = hole.engagement + out, sold[-1]
    elif hole.kind is BoltKind.BARREL:
        radius = (hole.cross_hole or 0.0) / 2.0
        least = bridged + held + 2.0 * radius + _BARREL_WOOD
        most = bridged + held + solution.joint.finished_projection - _BARREL_TO_SHOULDER
        out, length = 0.0, _shortest(sold, least)
        bite = length - bridged
    else:
        least, most = bridged + held + _UNDER_END + size, sold[-1]
        out, length = 0.0, _shortest(sold, least)
        bite = length - bridged
    barrel = bite - held - (hole.cross_hole or 0.0) / 2.0 + ease if hole.kind is BoltKind.BARREL else 0.0
    return NeckBolts(
        thread=hole.thread,
        kind=hole.kind,
        count=len(solution.joint.bolts),
        length=length,
        bite=bite,
        drill_depth=max(bite, hole.engagement + _UNDER_END) + ease + _PAST_BOLT,
        sunk=ease + _UNDER_END,
        barrel_from_end=barrel,
        stands_out=out,
        fits=least <= length <= most,
    )


def _in_shoulder(solution: Solution, bridged: float) -> NeckBolts:
    """Inserts in a shoulder that the last pass routs once more, all over: they lie deeper than it can ever go.

    `bite` and `drill_depth` as of any joint; both fits draw up by the same bolt.
    """
    joint, held = solution.joint, solution.job.router.hold_back
    hole, size = joint.bolts[0], fasteners.thread(joint.bolts[0].thread).diameter
    sunk = joint.depth_of_cut + _UNDER_FACING
    least, sold = bridged + sunk + size, fasteners.bolt_lengths(hole.thread, hole.kind)
    length = _shortest(sold, least)
    return NeckBolts(
        thread=hole.thread,
        kind=hole.kind,
        count=len(joint.bolts),
        length=length,
        bite=length - bridged,
        drill_depth=max(length - bridged + held, sunk + hole.engagement) + _PAST_BOLT,
        sunk=sunk,
        barrel_from_end=0.0,
        stands_out=0.0,
        fits=least <= length <= sold[-1],
    )


def _shortest(sold: tuple[float, ...], needed: float) -> float:
    return next((size for size in sold if size >= needed - 1e-9), sold[-1])


def washer_thickness(thread: str) -> float:
    """Thickness (mm) of a plain washer under a bolt of that thread."""
    return fasteners.washer(thread).thickness if fasteners.is_metric(thread) else _WASHER


def bolt_name(thread: str, length: float) -> str:
    """ "M6 × 45 mm", or "1/4-20 × 1 1/2 in": each thread in the unit it is sold by."""

    return f"{thread} × {mm(length)}" if fasteners.is_metric(thread) else f"{thread} × {format_inches(length)}"
