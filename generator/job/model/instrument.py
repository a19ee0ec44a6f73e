"""The instrument: what a builder measures on it, and what the finished neck set must give.

Lengths mm, angles degrees. Field names are the keys of the job file's [instrument], [instrument.top] and [target].
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from typing import Annotated, Any, Literal

from pydantic import model_validator

from generator.job.model.field_types import PRESET, Model, angle, choice, length, whole


class Handed(Enum):
    """Which way round the instrument is strung."""

    RIGHT = "right"
    LEFT = "left"


class FlatTop(Model):
    """A top that is flat along the centreline between the join and the saddle."""

    form: Literal["flat"] = "flat"


class DomeTop(Model):
    """A top that is part of a sphere, flat up to `flat_until`; `crown_from_join` None puts the crown at the saddle."""

    form: Literal["dome"] = "dome"
    radius: Annotated[float, length(1500, 60000)]
    crown_from_join: Annotated[float | None, length(50, 600, optional=True)] = None
    flat_until: Annotated[float, length(0, 600)] = 0.0


class MeasuredTop(Model):
    """A top known by one reading: the gap at the saddle with a neck cut, or a bar held, at cradle angle zero."""

    form: Literal["measured"] = "measured"
    zero_angle_gap: Annotated[float, length(-50, 50)]


Top = FlatTop | DomeTop | MeasuredTop


class Instrument(Model):
    """Everything about the instrument that decides its neck joint.

    `heel_blank` and `heel_blank_width` are the length and width of the neck's end before routing and carving,
    `shoulder_half_width` the body's outline from the centreline at the depth of the neck block.
    """

    preset: Annotated[str | None, PRESET] = None
    scale_length: Annotated[float, length(250, 900)]
    body_fret: Annotated[int, whole(12, 20)]
    frets: Annotated[int, whole(12, 30)]
    saddle_compensation: Annotated[float, length(-5, 15)] = 2.5
    fretboard_thickness: Annotated[float, length(2, 12)] = 6.35
    fret_height: Annotated[float, length(0, 2.5)] = 1.1
    nut_string_height: Annotated[float, length(0, 5)] = 0.5
    relief: Annotated[float, length(0, 1.5)] = 0.15
    bridge_thickness: Annotated[float, length(3, 20)]
    saddle_projection: Annotated[float, length(0, 20)]
    string_pull_up: Annotated[float, length(0, 6)] = 0.0
    neck_rise: Annotated[float, length(-5, 10)] = 0.0
    end_face_tilt: Annotated[float, angle(-5, 5)] = 0.0
    body_depth_at_neck: Annotated[float, length(30, 160)]
    back_binding_height: Annotated[float, length(0, 25)] = 0.0
    heel_cap_thickness: Annotated[float, length(0, 20)] = 3.0
    heel_width: Annotated[float, length(20, 120)]
    heel_width_at_cap: Annotated[float, length(5, 120)]
    heel_blank: Annotated[float | None, length(30, 200, word="auto")] = None
    heel_blank_width: Annotated[float | None, length(20, 150, word="auto")] = None
    shoulder_half_width: Annotated[float, length(30, 250)] = 105.0
    handed: Annotated[Handed, choice(Handed)] = Handed.RIGHT
    neck_block_thickness: Annotated[float, length(15, 120)]
    neck_block_width: Annotated[float, length(30, 200)]
    truss_rod_slot_width: Annotated[float | None, length(1, 20, word="none")] = None
    truss_rod_slot_depth: Annotated[float | None, length(1, 20, word="none")] = None
    top: FlatTop | DomeTop | MeasuredTop

    @classmethod
    def derived(cls, known: Mapping[str, Any]) -> dict[str, Any]:
        """A heel is as wide at its cap as at the join unless the job says otherwise."""
        return {"heel_width_at_cap": known["heel_width"]} if "heel_width" in known else {}


class Target(Model):
    """What the neck set must give, said in exactly one of three ways; the other two are reported."""

    saddle_gap: Annotated[float | None, length(-50, 50, optional=True)] = None
    bridge_clearance: Annotated[float | None, length(-50, 50, optional=True)] = None
    action_bass: Annotated[float | None, length(-50, 50, optional=True)] = None
    action_treble: Annotated[float | None, length(-50, 50, optional=True)] = None

    @model_validator(mode="after")
    def _one_way(self) -> Target:
        fault = target_fault({name for name in type(self).model_fields if getattr(self, name) is not None})
        if fault:
            raise ValueError(f"found {fault}; allowed: {ONE_TARGET}")
        return self


ONE_TARGET = "exactly one of saddle_gap, bridge_clearance, or action_bass together with action_treble"


def target_fault(given: set[str]) -> str | None:
    """What is wrong with a target that gives these keys, in words; None when they are one way."""
    if given in ({"saddle_gap"}, {"bridge_clearance"}, {"action_bass", "action_treble"}):
        return None
    return " and ".join(sorted(given)) if given else "none of them"
