"""Judge the jig's setting as its files give it, and the joint as it comes together."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.checks.base import Bound, Check, CheckStatus, at_most, degrees, mm
from generator.proof.dryfit import Assembled, Centring
from generator.proof.kitfiles import Kit
from generator.proof.measured import Setting, nearest_holes
from generator.solution import Solution

#: Files must give lengths and the saddle's gap within these, mm: far below what hands can hold.
EXACT, EXACT_GAP = 0.02, 0.01
#: (warn, fail) limits of the centreline's miss at the saddle with a bushing that runs true, mm.
_SIDEWAYS = (0.01, 0.02)
#: The tenon's end may have this much more or less room than wanted, mm: warn, fail (common practice).
_END = (0.1, 0.4)
_KEY_HOLES = ("key-screw", "key-pin")
_STOP_HOLES = ("side-stop-screw",)


def key_centring(kit: Kit) -> Centring:
    """How the bed's file holds the neck's centreline: by its key's holes, or half-way between its side stops'."""
    if "bed" not in kit.cutting:
        return Centring()
    key = list(nearest_holes(kit, kit.jig, "bed", _KEY_HOLES))
    if len(key) == 2:
        upper, lower = sorted(key, key=lambda at: -at.y)
        lean = (lower.x - upper.x) / (upper.y - lower.y)
        return Centring(upper.x + lean * upper.y, math.degrees(math.atan(lean)))
    stops = list(nearest_holes(kit, kit.jig, "bed", _STOP_HOLES))
    return Centring(sum(at.x for at in stops) / len(stops)) if stops else Centring()


def setting_checks(solution: Solution, setting: Setting) -> Iterator[Check]:
    """The chain that sets the jig: pivot, sine setting, blocks, depths, bed angles."""
    cradle, plate = solution.cradle, solution.job.stock("plate").actual_thickness
    off = max(abs(setting.pivot.x), abs(setting.pivot.y + cradle.pivot_depth), abs(setting.face))
    yield _near(
        "jig: pivot on the join line",
        off,
        f"the bed turns {mm(off)} off the line where its face meets the shoulder's level",
    )
    yield _near(
        "jig: pins in their slots",
        setting.slot_miss,
        f"the ribs' pins put the pivot {mm(setting.slot_miss)} off where the cheeks' slots have it",
    )
    yield _same("jig: sine distance", setting.sine_distance, cradle.sine_distance, "from pivot to nose along the bed")
    yield _same("jig: nose offset", setting.nose_offset, cradle.nose_offset, "from the bed's face back to the nose")
    yield _same("jig: block at zero angle", setting.base, cradle.base, "between ledge and nose")
    yield _same("jig: set block, neck", setting.neck_block, cradle.set_block, "between the block's faces")
    yield _same("jig: set block, body", setting.body_block, cradle.body_block, "between the block's faces")
    yield _same("jig: depth block", setting.mortise_depth, cradle.depth_block, "height of the bar")
    routed = solution.joint.tenon_projection_routed
    yield _same("jig: depth block for the tenon", setting.tenon_depth, routed, "height of the bar")
    notch = plate + solution.joint.mortise_depth
    yield _same("jig: fixed-base notch", setting.gate_depth, notch, "plate and depth together")
    for name, found, wanted in (
        ("neck", setting.neck_angle, cradle.neck_bed_angle),
        ("body", setting.body_angle, cradle.body_bed_angle),
    ):
        slack = math.degrees(EXACT_GAP / solution.neck_set.join_to_saddle)
        yield _same(f"jig: bed angle, {name}", found, wanted, "is what the files set the bed to", slack, "deg")


def assembled_checks(solution: Solution, fit: Assembled) -> Iterator[Check]:
    """The joint put together: what the player gets, and the room round the tenon."""
    neck_set, joint = solution.neck_set, solution.joint
    gap = neck_set.saddle_gap
    yield _same("fit: saddle gap", fit.gap, gap, "neck plane over the bare top at the saddle", EXACT_GAP)
    words = f"the neck's centreline passes the saddle {mm(abs(fit.sideways))} beside its middle"
    yield at_most("fit: sideways", abs(fit.sideways), *_SIDEWAYS, words)
    under = "under the fretboard at the last fret"
    yield _same("fit: fretboard extension", fit.extension_gap, neck_set.extension_gap, under, EXACT_GAP)
    yield _same("fit: side clearance", fit.side, joint.side_clearance, "both sides together")
    yield _end_clearance(fit.end, joint.end_clearance + neck_set.overstand_along_face)
    yield _same("fit: floor clearance", fit.floor, joint.floor_clearance, "under the tenon, its end eased")
    least = min(fit.side / 2.0, fit.end, fit.floor)
    status = CheckStatus.OK if least > -EXACT else CheckStatus.FAIL
    words = f"the tenon goes in with {mm(least)} to spare" if least >= 0 else f"the tenon is {mm(-least)} too large"
    yield Check("fit: tenon goes in", status, least, 0.0, words, bound=Bound.AT_LEAST)


def _end_clearance(found: float, wanted: float) -> Check:
    """The room at the tenon's back end, which also shows where the body really came to lie against the rest.

    A top that bends under the rest lies a little off; that moves the mortise's end and nothing else.
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


def _near(name: str, miss: float, words: str) -> Check:
    return at_most(name, miss, EXACT, EXACT, words)
