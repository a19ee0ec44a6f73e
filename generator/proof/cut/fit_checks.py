"""Judge the jig's setting as its files give it, and the joint as it comes together."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.base.points2d import P2
from generator.base.units import degrees, mm
from generator.jig.rests import ANGLE_REST, UPPER_REST
from generator.joint.checks.base import Bound, Check, CheckStatus, at_most
from generator.joint.solution import Solution
from generator.proof.cut.dry_fit import Assembled, Centring, Shouldered
from generator.proof.jig.measured_jig import Pose, tooth_middle
from generator.proof.kit_files import Kit

#: Files must give lengths within this, mm: far below what hands can hold.
EXACT = 0.02
#: Files must give the saddle's gap within this, mm: far below what hands can hold.
EXACT_GAP = 0.01
#: (warn, fail) limits of the centreline's miss at the saddle with a bushing that runs true, mm.
_SIDEWAYS = (0.01, 0.02)
#: The end may have this much more or less room than wanted, mm: warn, fail (common practice).
_END = (0.1, 0.4)


def teeth_centring(kit: Kit, setting: Pose) -> Centring:
    """How the rests' teeth hold the neck's centreline; without teeth it lies on the board's scribed line.

    A rest's drawing has its x along the plate's y, which is the neck's −Y.
    """
    upper, lower = (
        tooth_middle(kit.cutting[name]) if name in kit.cutting else None for name in (UPPER_REST.name, ANGLE_REST.name)
    )
    if upper is None or lower is None:
        return Centring()
    return Centring.through(P2(setting.upper.top, -upper), P2(setting.lower.top, -lower))


def setting_checks(solution: Solution, setting: Pose) -> Iterator[Check]:
    """The chain that sets the jig: rests, their depths and widths, rails and depth blocks, the neck plane's angle."""
    cradle, joint, plate = solution.cradle, solution.joint, solution.job.stock("plate").actual_thickness
    plane = setting.neck_plane
    off = max(abs(setting.upper.x), 0.0 if setting.body is None else abs(setting.body.x))
    words = f"the rests' faces stand {mm(off)} off where the template's cuts have them"
    yield at_most("jig: rests on the fence lines", off, EXACT, EXACT, words)
    spacing = setting.lower.top - setting.upper.top
    yield _same("jig: rest spacing", spacing, cradle.rest_spacing, "between the rests' upper edges")
    yield _same("jig: rest depth", setting.upper.top, cradle.rest_depth, "from the plate to the upper rest")
    if setting.body is not None:
        yield _same("jig: body rest depth", setting.body.top, cradle.rest_depth, "from the plate to the body rest")
    lean = cradle.rest_spacing * math.tan(math.radians(cradle.angle))
    found = setting.lower.x - setting.upper.x
    yield _same("jig: angle rest", found, lean, "the angle rest on its shim stands out past the upper one")
    yield _same("jig: contact depth", plane.contact, cradle.contact_depth, "from the plate to where the neck leans")
    if setting.body is not None:
        yield _same("jig: body rest hollow", setting.body_inner, cradle.rest_beside, "from the middle to its bearing")
    yield _same("jig: depth block", setting.body_cut_depth, cradle.depth_block, "height of the bar")
    routed = joint.shoulder_depth
    yield _same(
        f"jig: depth block for the {joint.neck_outline.name}", setting.neck_cut_depth, routed, "height of the bar"
    )
    notch = plate + joint.depth_of_cut
    yield _same("jig: fixed-base notch", setting.gate_depth, notch, "plate and depth together")
    gauge = ", the depth of the cut" if joint.rail_height == joint.depth_of_cut else ""
    yield _same("jig: rails", setting.rail, joint.rail_height, f"height of the brackets' rails{gauge}")
    slack = math.degrees(EXACT_GAP / solution.neck_set.join_to_saddle)
    yield _same("jig: neck angle", plane.angle, cradle.angle, "is what the files lean the neck by", slack, "deg")


def assembled_checks(solution: Solution, fit: Shouldered) -> Iterator[Check]:
    """The joint put together: what the player gets, and the room round what stands on the neck, if anything does."""
    neck_set = solution.neck_set
    gap = neck_set.saddle_gap
    yield _same("fit: saddle gap", fit.gap, gap, "neck plane over the bare top at the saddle", EXACT_GAP)
    words = f"the neck's centreline passes the saddle {mm(abs(fit.sideways))} beside its middle"
    yield at_most("fit: sideways", abs(fit.sideways), *_SIDEWAYS, words)
    under = "under the fretboard at the last fret"
    yield _same("fit: fretboard extension", fit.extension_gap, neck_set.extension_gap, under, EXACT_GAP)
    if isinstance(fit, Assembled):
        yield from _room_checks(solution, fit)


def _room_checks(solution: Solution, fit: Assembled) -> Iterator[Check]:
    neck_set, joint = solution.neck_set, solution.joint
    yield _same("fit: side clearance", fit.side, joint.side_room, "both sides together")
    yield _end_clearance(fit.end, joint.end_room + neck_set.neck_rise_along_face)
    yield _same("fit: floor clearance", fit.floor, joint.floor_room, "under the tenon, its end eased")
    least = min(fit.side / 2.0, fit.end, fit.floor)
    status = CheckStatus.OK if least > -EXACT else CheckStatus.FAIL
    what = joint.neck_outline.name
    words = f"the {what} goes in with {mm(least)} to spare" if least >= 0 else f"the {what} is {mm(-least)} too large"
    yield Check(f"fit: {what} goes in", status, least, 0.0, words, bound=Bound.AT_LEAST)


def _end_clearance(found: float, wanted: float) -> Check:
    """The room at the back end, which also shows where the body really came to lie against the rest.

    A top that bends under the rest lies a little off; that moves the end of the body's cut and nothing else.
    """
    off = abs(found - wanted)
    status = CheckStatus.OK if off <= _END[0] else CheckStatus.WARN if off <= _END[1] else CheckStatus.FAIL
    words = f"{found:.3f} mm at the back end, wanted {wanted:.3f} mm"
    most = _END[1] if status is CheckStatus.FAIL else _END[0]
    return _between("fit: end clearance", status, found, wanted, most, words)


def _same(name: str, found: float, wanted: float, what: str, slack: float = EXACT, unit: str = "mm") -> Check:
    """Found and wanted side by side; it fails where they differ by more than `slack`."""
    status = CheckStatus.OK if abs(found - wanted) <= slack else CheckStatus.FAIL
    size = degrees(found) if unit == "deg" else f"{found:.3f} mm"
    asked = degrees(wanted) if unit == "deg" else f"{wanted:.3f} mm"
    return _between(name, status, found, wanted, slack, f"{size} {what}, wanted {asked}", unit)


def _between(
    name: str, status: CheckStatus, found: float, wanted: float, slack: float, words: str, unit: str = "mm"
) -> Check:
    return Check(name, status, found, wanted - slack, words, unit, Bound.BETWEEN, wanted + slack)
