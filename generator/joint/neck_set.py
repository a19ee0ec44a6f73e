"""The neck set: what the target asks of the neck plane, and the angle that gives it.

The *neck plane* is the gluing face under the fretboard, the *rim plane* the flat plane through the top edge of the
rim. Lengths mm, angles degrees; the set angle is positive when the headstock tips back, negative for a forward set.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.base.keyed import Deg, Mm
from generator.job.model.instrument import Instrument, Target
from generator.joint.top import TopLine, top_line


@dataclass(frozen=True)
class NeckSet:
    """The angle of the neck on the body and what the player gets from it. Lengths mm, angles degrees.

    `saddle_gap`: neck plane over the bare top at the saddle, no fretboard on the neck; `bridge_clearance`: a
    straightedge on the frets over the bridge, strings on; `clearance_before_stringing`: the same on the bench;
    `action`: string over the 12th fret, mean of bass and treble, strings on; `string_over_frets_at_saddle`: string
    over the fret plane at the saddle; `string_height_at_saddle`: string over the bare top; `string_break`: by how much
    the string turns down over the saddle (see `string_break`); `extension_gap`: under the fretboard at the last fret,
    `extension_length` from the join (positive wants a wedge, negative a relief).
    """

    join_to_saddle: Mm
    nut_to_join: Mm
    saddle_gap: Mm
    bridge_clearance: Mm
    action: Mm
    set_angle: Deg
    heel_angle: Deg
    cradle_angle: Deg
    clearance_before_stringing: Mm
    top_rise_at_saddle: Mm
    string_over_frets_at_saddle: Mm
    string_height_at_saddle: Mm
    string_break: Deg
    relief_at_12th: Mm
    extension_length: Mm
    extension_gap: Mm
    scale_length: float
    neck_rise: float
    end_face_tilt: float
    top: TopLine

    @property
    def neck_rise_along_face(self) -> float:
        """Join to neck plane measured along the body's end face, mm, positive out of the top."""
        turn, tilt = math.radians(self.set_angle), math.radians(self.end_face_tilt)
        return self.neck_rise / (1.0 + math.tan(turn) * math.tan(tilt)) / math.cos(tilt)


def fret_distance(scale_length: float, fret: int) -> float:
    """Nut to `fret`: scale·(1 − 2^(−fret/12)), mm. Equal temperament; the 12th fret halves the scale exactly."""
    return scale_length * (1.0 - math.pow(2.0, -fret / 12.0))


def relief_at(instrument: Instrument, fret: int) -> float:
    """Drop of the fret under the straight line over fret 1 and the body fret, mm: a parabola, deepest half-way."""
    first = fret_distance(instrument.scale_length, 1)
    along = (fret_distance(instrument.scale_length, fret) - first) / (
        fret_distance(instrument.scale_length, instrument.body_fret) - first
    )
    return 4.0 * instrument.relief * along * (1.0 - along)


def gap_at_angle(set_angle: float, join_to_saddle: float, neck_rise: float, top_rise: float) -> float:
    """Saddle gap (mm) that a set angle (degrees) gives: neck_rise + s·tan(angle) − rise of the top at the saddle."""
    return neck_rise + join_to_saddle * math.tan(math.radians(set_angle)) - top_rise


def angle_for_gap(gap: float, join_to_saddle: float, neck_rise: float, top_rise: float) -> float:
    """Set angle (degrees) that gives a saddle gap (mm): the inverse of `gap_at_angle`."""
    return math.degrees(math.atan((gap - neck_rise + top_rise) / join_to_saddle))


def gap_from_clearance(instrument: Instrument, clearance: float) -> float:
    """Saddle gap (mm) under which a straightedge on the frets passes `clearance` mm over the bridge, strings on."""
    return (
        instrument.bridge_thickness
        + clearance
        - instrument.fretboard_thickness
        - instrument.fret_height
        + instrument.string_pull_up
    )


def clearance_from_gap(instrument: Instrument, gap: float) -> float:
    """Straightedge clearance over the bridge (mm, strings on) that a saddle gap gives."""
    return gap - gap_from_clearance(instrument, 0.0)


def string_over_frets(instrument: Instrument, action: float) -> float:
    """String over the fret plane at the saddle (mm) for an action over the 12th fret, relief included."""
    rest = action - relief_at(instrument, 12) - instrument.nut_string_height
    return instrument.nut_string_height + rest * _string_ratio(instrument)


def action_from_string(instrument: Instrument, over_frets: float) -> float:
    """Action over the 12th fret (mm) for a string height over the fret plane at the saddle."""
    rest = (over_frets - instrument.nut_string_height) / _string_ratio(instrument)
    return instrument.nut_string_height + rest + relief_at(instrument, 12)


def _string_ratio(instrument: Instrument) -> float:
    # From nut to saddle the string climbs over the compensated length, to the 12th fret over half the scale.
    return (instrument.scale_length + instrument.saddle_compensation) / (instrument.scale_length / 2.0)


def gap_from_action(instrument: Instrument, action: float) -> float:
    """Saddle gap (mm) that gives `action` over the 12th fret, strings on, with the job's saddle."""
    return gap_from_clearance(instrument, 0.0) + instrument.saddle_projection - string_over_frets(instrument, action)


def action_from_gap(instrument: Instrument, gap: float) -> float:
    """Action over the 12th fret (mm, strings on) that a saddle gap gives with the job's saddle."""
    over_frets = gap_from_clearance(instrument, 0.0) + instrument.saddle_projection - gap
    return action_from_string(instrument, over_frets)


def string_break(instrument: Instrument, gap: float, top: TopLine, join_to_saddle: float) -> float:
    """How far the string turns down over the saddle (degrees, strings on) with a saddle gap (mm).

    The sum of two slopes from the saddle's crown: down to the nut in front, down to the string's hole behind. The
    bridge is as thick at the hole as at the saddle, on a top that goes on behind it. 0 is a straight string; less than
    0 lifts off the saddle.
    """
    nut = join_to_saddle - (instrument.scale_length + instrument.saddle_compensation)
    plane = instrument.neck_rise + nut * (top.height(join_to_saddle) + gap - instrument.neck_rise) / join_to_saddle
    # The pull of the strings turns the neck plane about the join: what falls at the saddle rises at the nut.
    strung = plane - instrument.string_pull_up * nut / join_to_saddle
    at_nut = strung + instrument.fretboard_thickness + instrument.fret_height + instrument.nut_string_height
    crown = top.height(join_to_saddle) + instrument.bridge_thickness + instrument.saddle_projection
    behind = instrument.saddle_to_string_hole
    hole = top.height(join_to_saddle + behind) + instrument.bridge_thickness - instrument.string_hole_depth
    return math.degrees(math.atan2(crown - at_nut, join_to_saddle - nut) + math.atan2(crown - hole, behind))


def target_gap(instrument: Instrument, target: Target) -> float:
    """The saddle gap (mm) the target asks for, whichever of the three ways it was given."""
    if target.saddle_gap is not None:
        return target.saddle_gap
    if target.bridge_clearance is not None:
        return gap_from_clearance(instrument, target.bridge_clearance)
    assert target.action_bass is not None
    assert target.action_treble is not None
    return gap_from_action(instrument, (target.action_bass + target.action_treble) / 2.0)


def solve_neck_set(instrument: Instrument, target: Target) -> NeckSet:
    """The neck set that gives the target; every other way of saying it is reported beside it.

    Stack heights are taken square to the rim plane, which is right within 0.022 mm for set angles under 3 degrees.
    InputError when the top cannot exist (see `top_line`).
    """
    scale = instrument.scale_length
    nut_to_join = fret_distance(scale, instrument.body_fret)
    s = scale + instrument.saddle_compensation - nut_to_join
    top = top_line(instrument.top, s, instrument.neck_rise, instrument.end_face_tilt)
    rise = top.height(s)
    gap = target_gap(instrument, target)
    angle = angle_for_gap(gap, s, instrument.neck_rise, rise)
    clearance = clearance_from_gap(instrument, gap)
    action = action_from_gap(instrument, gap)
    extension = fret_distance(scale, instrument.frets) - nut_to_join
    return NeckSet(
        scale_length=scale,
        nut_to_join=nut_to_join,
        join_to_saddle=s,
        saddle_gap=gap,
        bridge_clearance=clearance,
        clearance_before_stringing=clearance + instrument.string_pull_up,
        action=action,
        relief_at_12th=relief_at(instrument, 12),
        string_over_frets_at_saddle=string_over_frets(instrument, action),
        string_height_at_saddle=instrument.bridge_thickness + instrument.saddle_projection,
        string_break=string_break(instrument, gap, top, s),
        set_angle=angle,
        heel_angle=90.0 - angle + instrument.end_face_tilt,
        cradle_angle=angle - instrument.end_face_tilt,
        neck_rise=instrument.neck_rise,
        end_face_tilt=instrument.end_face_tilt,
        top=top,
        top_rise_at_saddle=rise,
        extension_length=extension,
        extension_gap=instrument.neck_rise + extension * math.tan(math.radians(angle)) - top.height(extension),
    )
