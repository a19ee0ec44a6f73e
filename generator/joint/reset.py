"""Neck reset of an old instrument: what to take off the heel's shoulder so that it plays as wanted again.

Lengths mm, angles degrees. The instrument as it should be is the job's; how it is now is one reading.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from generator.base.errors import COMMAND_LINE, Fault, InputError
from generator.base.keyed import Deg, Mm, Told, keyed
from generator.joint.neck_set import (
    action_from_gap,
    clearance_from_gap,
    gap_from_action,
    gap_from_clearance,
)
from generator.joint.shoulder import Taper, angle_change, reading_faults, shoulder_taper
from generator.joint.solution import Solution

#: Stations of the taper along the heel, from the join to the heel's end.
_STATIONS = 4


@dataclass(frozen=True)
class TaperStation:
    """How much comes off the shoulder at one distance from the join, mm."""

    from_join: Mm
    remove: Mm


@dataclass(frozen=True)
class Reset:
    """A neck reset. Lengths mm, angles degrees; `now` before, `wanted` after.

    `saddle_left` is the saddle over the bridge after the reset, `saddle_without_reset` what would be left of it if the
    saddle alone were lowered to the wanted action. `extension_wedge` is what the fretboard's end then wants under the
    last fret, beyond what is there now (positive: a wedge).
    """

    gap_now: Mm
    gap_wanted: Mm
    clearance_now: Mm
    clearance_wanted: Mm
    action_now: Mm
    action_wanted: Mm
    angle_change: Deg
    shoulder: Told[Taper]
    taper: Told[tuple[TaperStation, ...]]
    saddle_left: Mm
    saddle_without_reset: Mm
    extension_wedge: Mm
    string_length_change: Mm


def solve_reset(solution: Solution, *, clearance_now: float | None = None, action_now: float | None = None) -> Reset:
    """The reset that brings the instrument from one reading (mm, strings on, exactly one given) to the job's target.

    `clearance_now` is a straightedge on the frets over the bridge (negative: into it), `action_now` the mean action
    over the 12th fret with the saddle the job describes. InputError unless exactly one is given and can be.
    """
    instrument, neck_set, joint = solution.job.instrument, solution.neck_set, solution.joint
    now = _gap_now(solution, clearance_now, action_now)
    wanted = neck_set.saddle_gap
    change = angle_change(neck_set, now, wanted)
    taper = shoulder_taper(joint.heel_length, change)
    shift = (wanted - now) / neck_set.join_to_saddle
    return Reset(
        gap_now=now,
        gap_wanted=wanted,
        clearance_now=clearance_from_gap(instrument, now),
        clearance_wanted=neck_set.bridge_clearance,
        action_now=action_from_gap(instrument, now),
        action_wanted=neck_set.action,
        angle_change=change,
        shoulder=taper,
        taper=_stations(joint.heel_length, taper),
        saddle_left=instrument.saddle_projection,
        saddle_without_reset=instrument.saddle_projection + now - wanted,
        extension_wedge=neck_set.extension_length * shift,
        string_length_change=-taper.join,
    )


def _gap_now(solution: Solution, clearance: float | None, action: float | None) -> float:
    given = {"--clearance-now": clearance, "--action-now": action}
    faults = reading_faults({option: reading for option, reading in given.items() if reading is not None})
    if faults:
        raise InputError(faults)
    if clearance is not None and action is None:
        return gap_from_clearance(solution.job.instrument, clearance)
    if action is not None and clearance is None:
        return gap_from_action(solution.job.instrument, action)
    found = "neither" if action is None else "both"
    raise InputError([Fault(COMMAND_LINE, "--clearance-now, --action-now", found, "exactly one of the two")])


def _stations(heel_length: float, taper: Taper) -> tuple[TaperStation, ...]:
    """Straight from nothing at one end of the heel to the full removal at the other."""
    shares = [step / _STATIONS for step in range(_STATIONS + 1)]
    return tuple(
        TaperStation(heel_length * share, math.fsum((taper.join * (1.0 - share), taper.back_end * share)))
        for share in shares
    )


def reset(solution: Solution, *, clearance_now: float | None = None, action_now: float | None = None) -> dict[str, Any]:
    """The object of `reset --json`: see `solve_reset`, whose errors it shares."""
    return keyed(solve_reset(solution, clearance_now=clearance_now, action_now=action_now))
