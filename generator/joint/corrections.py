"""The measured joint is off: how to shim the angle rest or what to take off the shoulder, and what that will give.

Lengths mm, angles degrees. Before the last pass, at the stage "shy", the tenon's last pass still stands, and shims
behind the angle rest put the shoulder right; at the *final* stage the shoulder itself is corrected by hand.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import Annotated, Any

from generator.base.errors import COMMAND_LINE, Fault, InputError
from generator.base.keyed import Deg, Inline, Key, Mm, Told, keyed
from generator.base.units import format_mm, mm
from generator.job.model.instrument import Handed, Instrument
from generator.joint.cradle import LEAST_REST, contact_depth, shim_change, shim_stack, shim_stock
from generator.joint.shoulder import (
    Taper,
    angle_change,
    angle_of_gap,
    covered_change,
    covered_gaps,
    gap_of_angle,
    reading_faults,
    rest_faults,
    shoulder_taper,
    wedge,
)
from generator.joint.solution import Solution

#: A miss smaller than this is no miss, mm and degrees.
_NOTHING = 1e-9


class Stage(Enum):
    """How far the tenon is cut: with the last pass still to take, or all the way."""

    SHY = "shy"
    FINAL = "final"


class Edge(Enum):
    """An edge of the neck's shoulder, named by the strings over it."""

    BASS = "bass"
    TREBLE = "treble"
    NONE = "none"


@dataclass(frozen=True)
class SidewaysCut:
    """What to take off one edge of the shoulder, mm.

    It tapers to nothing at the other edge; the nut moves towards the tail by `nut_moves`, the tenon's end turns by
    `tenon_turns` in the mortise, and `ease_side` of that is more than the side clearance allows.
    """

    edge: Told[Edge]
    remove: Mm
    nut_moves: float
    tenon_turns: Mm
    ease_side: Mm


@dataclass(frozen=True)
class Trim:
    """What to do at the angle rest. Lengths mm; changes are signed, new minus old.

    `in_use` is the rest with the shims behind it as it stood when the reading was taken, `new` what it must become.
    `shims` is the whole stack to lay behind it from now on, the nominal shim included, thickest first; empty: none.
    Where no stack of the kit reaches, `new_rest` is the width to plane a new angle rest to, and `shims` what then goes
    behind that one; None where the rest at hand serves. `contact_depth` is where the neck plane crosses X = 0 from now
    on, and `other_edges` says that it was on the rests' other edges before. `join_moves` is by how much the shoulder's
    line moves along jig X (positive: the tenon comes out shorter).
    """

    in_use: Annotated[Mm, Key("angle_rest_in_use_mm")]
    change: Annotated[Mm, Key("angle_rest_change_mm")]
    new: Annotated[Mm, Key("angle_rest_new_mm")]
    shims: Annotated[tuple[float, ...], Key("trim_shims_mm")]
    new_rest: Annotated[float | None, Key("plane_new_rest_mm")]
    contact_depth: Mm
    other_edges: bool
    join_moves: Mm


@dataclass(frozen=True)
class Correction:
    """What to do about one reading. Lengths mm, angles degrees; changes are signed, new minus old.

    `gap_with_shims` is what the trim's shims give, `gap_predicted` what a rest of exactly the new width or the
    shoulder's taper gives. `tenon_end_relief` comes off the back edge of the tenon's end before a second pass at a
    larger angle. `tenon_deeper` is how much deeper the tenon goes once the shoulder is corrected, `ease_floor` how much
    of that the floor clearance does not allow; all three are 0 where no tenon stands.
    """

    gap_found: Mm
    gap_wanted: Mm
    stage: Told[Stage]
    angle_change: Deg
    trim: Inline[Trim]
    shoulder: Told[Taper]
    sideways: Told[SidewaysCut]
    hold_back_left: Mm
    tenon_end_relief: Mm
    tenon_deeper: Mm
    ease_floor: Mm
    gap_predicted: Mm
    gap_with_shims: Mm
    string_length_change: Mm


def correct(
    solution: Solution, gap: float, sideways: float = 0.0, stage: Stage = Stage.SHY, rest: float | None = None
) -> Correction:
    """What to do when the saddle gap reads `gap` mm and the centreline misses by `sideways` mm (body +Y positive).

    `rest` is the angle rest in use with its shims, the job's unless told; what it is more than the rest as drawn
    counts as shims. The reading itself says what angle the jig really gave. InputError when a reading cannot be, or
    cannot be put right at this stage; the text says what can.
    """
    neck_set, joint = solution.neck_set, solution.joint
    _raise(reading_faults({"--gap": gap, "--sideways": sideways}) + rest_faults(rest))
    wanted = neck_set.saddle_gap
    change = angle_change(neck_set, gap, wanted)
    trim = trim_for(solution, gap, rest)
    shy = stage is Stage.SHY
    if shy:
        _raise(_trim_faults(gap, trim) + _shy_faults(solution, gap, change))
    taper = shoulder_taper(joint.heel_length, change)
    side = sideways_cut(solution, sideways)
    at_its_end = wedge(joint.neck_outline.length, change)
    deeper = 0.0 if not joint.stands else at_its_end if change > 0 else taper.join
    exact = _gap_of_trim(solution, gap, trim.change)
    laid = trim.change if trim.new_rest is not None else _laid(solution, trim)
    return Correction(
        stage=stage,
        gap_found=gap,
        gap_wanted=wanted,
        angle_change=change,
        trim=trim,
        shoulder=taper,
        sideways=side,
        hold_back_left=solution.job.router.hold_back - taper.most if shy else 0.0,
        tenon_end_relief=at_its_end if shy and change > 0 else 0.0,
        tenon_deeper=deeper,
        ease_floor=max(0.0, deeper - joint.floor_room),
        gap_predicted=exact if shy else _gap_of_taper(solution, gap, taper),
        gap_with_shims=_gap_of_trim(solution, gap, laid),
        string_length_change=-(side.nut_moves if shy else side.nut_moves + taper.join),
    )


def trim_for(solution: Solution, gap: float, rest: float | None = None) -> Trim:
    """How to bring a saddle gap that reads `gap` mm to the wanted one at the angle rest; `rest` as in `correct`."""
    neck_set, cradle, spec = solution.neck_set, solution.cradle, solution.job.jig
    in_use = cradle.angle_rest_in_use if rest is None else rest
    tilt, found, wanted = neck_set.end_face_tilt, angle_of_gap(neck_set, gap), neck_set.set_angle
    change = shim_change(cradle.rest_spacing, tilt, found, wanted)
    stack = in_use + change - cradle.angle_rest_drawn
    stock = shim_stock(spec.shims, spec.nominal_shim)
    slack = min(stock) / 2.0
    reached = -slack <= stack <= math.fsum(stock) + slack
    before, after = (contact_depth(a - tilt, cradle.rest_depth, cradle.rest_thickness) for a in (found, wanted))
    return Trim(
        in_use=in_use,
        change=change,
        new=in_use + change,
        shims=shim_stack(stack, spec.shims, spec.nominal_shim) if reached else (spec.nominal_shim,),
        new_rest=None if reached else in_use + change - spec.nominal_shim,
        contact_depth=after,
        other_edges=before != after,
        join_moves=_shoulder_line(solution, after, wanted) - _shoulder_line(solution, before, found),
    )


def _shoulder_line(solution: Solution, contact: float, set_angle: float) -> float:
    """Jig X (mm) at which a neck plane through X = 0 at depth `contact` passes the shoulder's level."""
    lean = math.tan(math.radians(set_angle - solution.neck_set.end_face_tilt))
    return (solution.joint.shoulder_depth - contact) * lean


def sideways_cut(solution: Solution, miss: float) -> SidewaysCut:
    """What brings the neck's centreline back over the saddle's centre when it misses by `miss` mm (body +Y positive).

    Wood comes off the shoulder's edge on the side to which the centreline misses.
    """
    instrument, joint, s = solution.job.instrument, solution.joint, solution.neck_set.join_to_saddle
    remove = instrument.heel_width * abs(miss) / s
    turns = joint.finished_projection * abs(miss) / s
    edge = edge_towards(instrument, miss)
    return SidewaysCut(edge, remove, remove / 2.0, turns, max(0.0, turns - joint.side_room))


def edge_towards(instrument: Instrument, miss: float) -> Edge:
    """The edge on the side of body +Y (positive `miss`) or −Y: the treble strings lie on +Y of a right-handed neck."""
    if abs(miss) < _NOTHING:
        return Edge.NONE
    treble = (miss > 0) is (instrument.handed is Handed.RIGHT)
    return Edge.TREBLE if treble else Edge.BASS


def adjust(
    solution: Solution, gap: float, sideways: float = 0.0, stage: Stage = Stage.SHY, rest: float | None = None
) -> dict[str, Any]:
    """The object of `adjust --json`: see `correct`, whose errors it shares."""
    return keyed(correct(solution, gap, sideways, stage, rest))


def _laid(solution: Solution, trim: Trim) -> float:
    """Change (mm) of the rest in use once the trim's shims lie behind the rest as drawn."""
    return math.fsum((solution.cradle.angle_rest_drawn, *trim.shims, -trim.in_use))


def _gap_of_trim(solution: Solution, gap: float, change: float) -> float:
    """Saddle gap (mm) once the rest that gave a reading of `gap` mm stands out by `change` mm more."""
    neck_set = solution.neck_set
    lean = math.tan(math.radians(angle_of_gap(neck_set, gap) - neck_set.end_face_tilt))
    angle = math.degrees(math.atan(lean + change / solution.cradle.rest_spacing))
    return gap_of_angle(neck_set, angle + neck_set.end_face_tilt)


def _gap_of_taper(solution: Solution, gap: float, taper: Taper) -> float:
    """Saddle gap (mm) after a taper comes off the whole shoulder."""
    turn = math.degrees(math.atan((taper.back_end - taper.join) / solution.joint.heel_length))
    return gap_of_angle(solution.neck_set, angle_of_gap(solution.neck_set, gap) + turn)


def _shy_faults(solution: Solution, gap: float, change: float) -> list[Fault]:
    """The last pass must clean up the whole shoulder at the new angle."""
    held, heel = solution.job.router.hold_back, solution.joint.heel_length
    needed = wedge(heel, change)
    if needed <= held + _NOTHING:
        return []
    low, high = covered_gaps(solution.neck_set, heel, held)
    found = f"{mm(gap)}, which takes {mm(needed)} of the {mm(held)} held back"
    reach = format_mm(covered_change(heel, held), 3)
    allowed = (
        f"before the last pass {format_mm(low)} to {mm(high)} ({reach} degrees either way); beyond that take "
        "the last pass as set, read the gap again and correct the shoulder with --stage final"
    )
    return [Fault(COMMAND_LINE, "--gap", found, allowed)]


def _trim_faults(gap: float, trim: Trim) -> list[Fault]:
    """A new angle rest must be one that its screws hold."""
    if trim.new_rest is None or trim.new_rest >= LEAST_REST - _NOTHING:
        return []
    found = f"{mm(gap)}, which asks for an angle rest of {mm(trim.new_rest)}"
    allowed = (
        f"a reading that leaves the rest {mm(LEAST_REST)} or more; check --rest and the reading, or take the "
        "last pass as set and correct the shoulder with --stage final"
    )
    return [Fault(COMMAND_LINE, "--gap", found, allowed)]


def _raise(faults: list[Fault]) -> None:
    if faults:
        raise InputError(faults)
