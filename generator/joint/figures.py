"""What a builder looks for first in a solved job: every setup sheet begins with it, and the proof reads it back."""

from __future__ import annotations

from dataclasses import dataclass

from generator.joint.joint import Joint


@dataclass(frozen=True)
class Figure:
    """One number: its name, the noun and the field of the solution that it is, and how a sheet spells it."""

    name: str
    noun: str
    field: str
    spelt: str = "size"


def first_figures(joint: Joint) -> tuple[Figure, ...]:
    """What every setup sheet begins with, then the kind's own."""
    return (
        Figure("angle rest, cut to", "cradle", "angle_rest_drawn", "fine"),
        Figure("shim behind it", "cradle", "nominal_shim", "metric"),
        Figure("depth of cut", "cradle", "depth_block"),
        Figure("heel angle", "neck_set", "heel_angle", "angle"),
        Figure("join to saddle mark", "neck_set", "join_to_saddle"),
        Figure("gap wanted there", "neck_set", "saddle_gap", "fine"),
        *(Figure(name, "joint", field) for name, field in joint.facts.items()),
    )
