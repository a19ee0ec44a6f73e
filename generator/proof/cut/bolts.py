"""The bolts of the assembled joint: in line through block and neck, clear of every edge, long enough.

The holes are pricked through the drilling guide, whose cutting file is measured: its flat end lies at the top's edge.
In the body they may be drilled through the plug instead, pushed to the closed end of the body's opening.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from generator.base.contours2d import Circle
from generator.base.points2d import P2
from generator.base.units import mm
from generator.cutting.cut_layers import CUT_INSIDE
from generator.formats.dxf.read import CuttingFile
from generator.jig.layout import jig_layout
from generator.jig.plug import guided_bolts
from generator.job.fasteners import thread
from generator.joint.checks.base import Check, at_least, at_most
from generator.joint.joint import BoltHole
from generator.joint.solution import Solution
from generator.proof.cut.dry_fit import Assembled
from generator.proof.cut.virtual_cut import VirtualCut
from generator.proof.jig.measured_jig import Pose

#: (warn, fail) limits of the wood between a bolt's hole and the nearer end of what stands on the neck, mm (common
#: practice).
_END = (5.0, 2.0)
#: (warn, fail) limits of the wood beside a bolt's hole in what stands on the neck, mm (common practice).
_SIDE = (3.0, 1.5)
#: (warn, fail) limits between a bolt's hole in the cut's floor and the nearest wall or edge, mm (common practice).
_WALL = (1.0, 0.0)
#: (warn, fail) limits of the wood between the holes of two bolts, mm (common practice).
_APART = (6.0, 2.0)
#: Holes of a file may miss their places by this much, mm.
_EXACT = 0.02
#: (warn, fail) limits of the same, for a plug in an opening that the body's dome may move a little, mm.
_PLUG = (0.1, 0.4)


def bare_bolt_checks(solution: Solution, guide: CuttingFile | None) -> Iterator[Check]:
    """The bolts of a joint that they alone locate: the guide marks each alike on the end face and on the shoulder."""
    bolts = solution.joint.bolts
    for number, (bolt, mark) in enumerate(zip(bolts, _marks(guide, len(bolts)), strict=False), start=1):
        yield _marked(f"fit: bolt {number}", bolt, mark)
    yield from _apart(bolts)


def bolt_checks(
    solution: Solution,
    setting: Pose,
    fit: Assembled,
    body: VirtualCut,
    neck: VirtualCut,
    guide: CuttingFile | None,
    plug: CuttingFile | None,
) -> Iterator[Check]:
    """Every bolt of the joint with the sizes the cuts really have; `guide` and `plug` are those parts' files."""
    bolts = solution.joint.bolts
    marks, guided = _marks(guide, len(bolts)), guided_bolts(jig_layout(solution))
    for number, bolt in enumerate(bolts, start=1):
        name = f"fit: bolt {number}"
        if marks:
            yield _marked(name, bolt, marks[number - 1])
        if plug is not None and bolt in guided:
            yield _through_plug(name, solution, bolt, fit, plug)
        yield _in_line(name, solution, bolt, fit, neck.wanted.name)
        yield _through_floor(name, bolt, body)
        yield from _in_neck(name, bolt, neck)
        yield _length(name, solution, setting, bolt, fit)
    yield from _apart(bolts)


def _apart(bolts: Sequence[BoltHole]) -> Iterator[Check]:
    for number, (upper, lower) in enumerate(pairwise(bolts), start=1):
        apart = lower.from_top - upper.from_top - (upper.widest_hole + lower.widest_hole) / 2.0
        words = f"{mm(apart)} of wood between the holes of bolts {number} and {number + 1}"
        yield at_least(f"fit: bolts {number} and {number + 1} apart", apart, *_APART, words)


def _marks(guide: CuttingFile | None, count: int) -> list[P2]:
    """Centres of the guide's holes, from the flat end down: (beside the centreline, from the end)."""
    if guide is None:
        return []
    circles = [shape for shape in guide.contours(CUT_INSIDE) if isinstance(shape, Circle)]
    found = sorted((P2(circle.center.x, -circle.center.y) for circle in circles), key=lambda at: at.y)
    return found if len(found) == count else [P2(0.0, -1e3)] * count


def _marked(name: str, bolt: BoltHole, mark: P2) -> Check:
    miss = mark.distance(P2(0.0, bolt.from_top))
    words = f"the drilling guide marks it {mm(mark.y)} from the top's edge, wanted {mm(bolt.from_top)}"
    return at_most(f"{name} on the drilling guide", miss, _EXACT, _EXACT, words)


def _through_plug(name: str, solution: Solution, bolt: BoltHole, fit: Assembled, plug: CuttingFile) -> Check:
    """The plug's own hole for a bolt, which the opening's closed end puts below the body's join."""
    end = solution.routing.opening_length - fit.body_join
    circles = [shape.center for shape in plug.contours(CUT_INSIDE) if isinstance(shape, Circle)]
    wanted = P2(0.0, end - bolt.from_top)
    at = min(circles, key=wanted.distance, default=P2(0.0, 0.0))
    miss = at.distance(wanted)
    words = f"the plug guides the drill {mm(end - at.y)} below the top's edge, wanted {mm(bolt.from_top)}"
    return at_most(f"{name} on the plug", miss, *_PLUG, words)


def _in_line(name: str, solution: Solution, bolt: BoltHole, fit: Assembled, on_neck: str) -> Check:
    """How far the neck's hole misses the block's axis once neck and body are together, against the bolt's own room.

    Both holes are square to the end face, so they stay in line through the whole joint.
    """
    down = bolt.from_neck_plane - solution.neck_set.neck_rise_along_face - bolt.from_top
    miss = P2(fit.shift, down).length()
    room = (bolt.clearance_hole - thread(bolt.thread).diameter) / 2.0
    words = f"the {on_neck}'s hole comes to lie {mm(miss)} off the block's, whose clearance allows {mm(room)}"
    return at_most(f"{name} in line", miss, room / 2.0, room, words)


def _through_floor(name: str, bolt: BoltHole, body: VirtualCut) -> Check:
    radius = bolt.clearance_hole / 2.0
    end = (body.length or 0.0) - bolt.from_top - radius
    wall = min(bolt.from_top - radius, end, body.narrowest / 2.0 - radius)
    words = f"its hole through the {body.wanted.name}'s floor keeps {mm(wall)} from the nearest wall or edge"
    return at_least(f"{name} in the floor", wall, *_WALL, words)


def _in_neck(name: str, bolt: BoltHole, neck: VirtualCut) -> Iterator[Check]:
    half, what = bolt.widest_hole / 2.0, neck.wanted.name
    long = neck.length if neck.length is not None else neck.wanted.outline.length
    end = min(bolt.from_neck_plane, long - bolt.from_neck_plane) - half
    side = (neck.narrowest - bolt.pilot_hole) / 2.0
    yield at_least(f"{name} to the {what}'s end", end, *_END, f"{mm(end)} from the hole to the {what}'s nearer end")
    yield at_least(f"{name} to the {what}'s side", side, *_SIDE, f"{mm(side)} of the {what} is left beside the hole")


def _length(name: str, solution: Solution, setting: Pose, bolt: BoltHole, fit: Assembled) -> Check:
    """Thread left to hold when a bolt of the stated length bridges what block and joint really leave to bridge."""
    bridged = solution.job.instrument.neck_block_thickness - setting.body_cut_depth + fit.floor
    holds, diameter = bolt.grip + bolt.engagement - bridged, thread(bolt.thread).diameter
    words = (
        f"a bolt of {mm(bolt.grip + bolt.engagement)} under the head bridges {mm(bridged)} and holds by {mm(holds)}; "
        f"its diameter is {mm(diameter)}"
    )
    return at_least(f"{name} length", holds, diameter, 0.75 * diameter, words)
