"""The measured joint is off: what to change on the cradle or take off the shoulder, and what that will give.

Lengths mm, angles degrees. At the *shy* stage the tenon's last pass still stands, and a new block under the nose puts
the shoulder right; at the *final* stage the shoulder itself is corrected by hand.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import Any

from generator.cradle import LEAST_BLOCK, shim_stack
from generator.errors import Fault, InputError
from generator.fasteners import thread
from generator.model.instrument import Handed, Instrument
from generator.shoulder import (
    Taper,
    angle_change,
    angle_of_gap,
    covered_change,
    covered_gaps,
    gap_of_angle,
    shoulder_taper,
    wedge,
)
from generator.solution import Solution
from generator.units import format_mm

#: Where a fault of a reading is reported: readings come from the command line.
_WHERE = "command line"
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

    edge: Edge
    remove: float
    nut_moves: float
    tenon_turns: float
    ease_side: float


@dataclass(frozen=True)
class Correction:
    """What to do about one reading. Lengths mm, angles degrees; changes are signed, new minus old.

    `trim_shims` lists the shims to lay under the block in use, negative ones to take out; `gap_with_shims` is what
    they give, `gap_predicted` what the exact new block or the shoulder's taper gives. `tenon_end_relief` comes off the
    back edge of the tenon's end before a second pass at a larger angle. `tenon_deeper` is how much deeper the tenon
    goes once the shoulder is corrected, `ease_floor` how much of that the floor clearance does not allow.
    """

    stage: Stage
    gap_found: float
    gap_wanted: float
    angle_change: float
    set_block_change: float
    set_block_new: float
    trim_shims: tuple[float, ...]
    screw_turns: float
    screw_thread: str
    shoulder: Taper
    sideways: SidewaysCut
    hold_back_left: float
    tenon_end_relief: float
    tenon_deeper: float
    ease_floor: float
    gap_predicted: float
    gap_with_shims: float
    string_length_change: float


def correct(
    solution: Solution, gap: float, sideways: float = 0.0, stage: Stage = Stage.SHY, block: float | None = None
) -> Correction:
    """What to do when the saddle gap reads `gap` mm and the centreline misses by `sideways` mm (body +Y positive).

    `block` is the block in use, the job's set block unless told; the reading itself says what angle it really gave.
    InputError when the reading cannot be put right at this stage; the text says what can.
    """
    neck_set, joint, cradle = solution.neck_set, solution.joint, solution.cradle
    wanted, in_use = neck_set.saddle_gap, cradle.set_block if block is None else block
    change = angle_change(neck_set, gap, wanted)
    bed_found = angle_of_gap(neck_set, gap) - neck_set.end_face_tilt
    block_change = cradle.set_block - cradle.block(bed_found)
    faults = _setting_faults(solution, gap, in_use + block_change)
    if stage is Stage.SHY:
        faults += _shy_faults(solution, gap, change)
    if faults:
        raise InputError(faults)
    taper = shoulder_taper(joint.heel_length, change)
    shims = _shims(solution, block_change)
    side = sideways_cut(solution, sideways)
    deeper = wedge(joint.tenon_length, change) if change > 0 else taper.join
    screw = thread(solution.job.jig.screw_thread)
    shy = stage is Stage.SHY
    return Correction(
        stage=stage,
        gap_found=gap,
        gap_wanted=wanted,
        angle_change=change,
        set_block_change=block_change,
        set_block_new=in_use + block_change,
        trim_shims=shims,
        screw_turns=block_change / screw.pitch,
        screw_thread=screw.name,
        shoulder=taper,
        sideways=side,
        hold_back_left=solution.job.router.hold_back - taper.most if shy else 0.0,
        tenon_end_relief=wedge(joint.tenon_length, change) if shy and change > 0 else 0.0,
        tenon_deeper=deeper,
        ease_floor=max(0.0, deeper - joint.floor_clearance),
        gap_predicted=_gap_of_bed(solution, bed_found, block_change) if shy else _gap_of_taper(solution, gap, taper),
        gap_with_shims=_gap_of_bed(solution, bed_found, math.fsum(shims)),
        string_length_change=-(side.nut_moves if shy else side.nut_moves + taper.join),
    )


def sideways_cut(solution: Solution, miss: float) -> SidewaysCut:
    """What brings the neck's centreline back over the saddle's centre when it misses by `miss` mm (body +Y positive).

    Wood comes off the shoulder's edge on the side to which the centreline misses.
    """
    instrument, joint, s = solution.job.instrument, solution.joint, solution.neck_set.join_to_saddle
    remove = instrument.heel_width * abs(miss) / s
    turns = joint.tenon_projection * abs(miss) / s
    edge = edge_towards(instrument, miss)
    return SidewaysCut(edge, remove, remove / 2.0, turns, max(0.0, turns - joint.side_clearance))


def edge_towards(instrument: Instrument, miss: float) -> Edge:
    """The edge on the side of body +Y (positive `miss`) or −Y: the treble strings lie on +Y of a right-handed neck."""
    if abs(miss) < _NOTHING:
        return Edge.NONE
    treble = (miss > 0) is (instrument.handed is Handed.RIGHT)
    return Edge.TREBLE if treble else Edge.BASS


def adjust(
    solution: Solution, gap: float, sideways: float = 0.0, stage: Stage = Stage.SHY, block: float | None = None
) -> dict[str, Any]:
    """The object of `adjust --json`: see `correct`, whose errors it shares."""
    found = correct(solution, gap, sideways, stage, block)
    return {
        "gap_found_mm": found.gap_found,
        "gap_wanted_mm": found.gap_wanted,
        "stage": found.stage.value,
        "angle_change_deg": found.angle_change,
        "set_block_change_mm": found.set_block_change,
        "set_block_new_mm": found.set_block_new,
        "trim_shims_mm": list(found.trim_shims),
        "screw_turns": found.screw_turns,
        "screw_thread": found.screw_thread,
        "shoulder": {"back_end_mm": found.shoulder.back_end, "join_mm": found.shoulder.join},
        "sideways": {
            "edge": found.sideways.edge.value,
            "remove_mm": found.sideways.remove,
            "tenon_turns_mm": found.sideways.tenon_turns,
            "ease_side_mm": found.sideways.ease_side,
        },
        "hold_back_left_mm": found.hold_back_left,
        "tenon_end_relief_mm": found.tenon_end_relief,
        "tenon_deeper_mm": found.tenon_deeper,
        "ease_floor_mm": found.ease_floor,
        "gap_predicted_mm": found.gap_predicted,
        "gap_with_shims_mm": found.gap_with_shims,
        "string_length_change_mm": found.string_length_change,
    }


def _shims(solution: Solution, change: float) -> tuple[float, ...]:
    sign = 1.0 if change >= 0 else -1.0
    return tuple(sign * shim for shim in shim_stack(abs(change), solution.job.jig.shims))


def _gap_of_bed(solution: Solution, bed_found: float, block_change: float) -> float:
    """Saddle gap (mm) after the block that really gave `bed_found` degrees is changed by `block_change` mm."""
    cradle = solution.cradle
    bed = cradle.angle(cradle.block(bed_found) + block_change)
    return gap_of_angle(solution.neck_set, bed + solution.neck_set.end_face_tilt)


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
    found = f"{format_mm(gap)} mm, which takes {format_mm(needed)} mm of the {format_mm(held)} mm held back"
    reach = format_mm(covered_change(heel, held), 3)
    allowed = (
        f"at the shy stage {format_mm(low)} to {format_mm(high)} mm ({reach} degrees either way); beyond that take the "
        "last pass as set, read the gap again and correct the shoulder with --stage final"
    )
    return [Fault(_WHERE, "--gap", found, allowed)]


def _setting_faults(solution: Solution, gap: float, new_block: float) -> list[Fault]:
    """A new block must be one that can be made and clamped."""
    if new_block >= LEAST_BLOCK - _NOTHING:
        return []
    found = f"{format_mm(gap)} mm, which asks for a block of {format_mm(new_block)} mm"
    return [
        Fault(
            _WHERE,
            "--gap",
            found,
            f"a reading that leaves the block {format_mm(LEAST_BLOCK)} mm or more; check --block and the reading, or "
            "correct the shoulder by hand and cut the next neck with a larger jig.block_at_zero",
        )
    ]
