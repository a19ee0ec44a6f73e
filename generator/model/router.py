"""The router kit: machine, guide bushing and bit. Lengths mm; keys of the job file's [router]."""

from __future__ import annotations

from enum import Enum
from typing import Annotated

from generator.model.kinds import PRESET, Model, choice, length, number


class RouterKind(Enum):
    """How the depth is set, and how heavy the machine bears on the plate."""

    PLUNGE = "plunge"
    FIXED = "fixed"
    TRIM = "trim"


class Router(Model):
    """One router as set up for the joint.

    `reach` is the bit's tip below the base at full plunge, `edge_offset` a measured offset that replaces
    (bushing_od - bit_diameter)/2, `eccentricity` how far the bit's axis misses the bushing's, `collet_diameter` the
    nut's outside, `top_speed` the bit's limit in rpm.
    """

    preset: Annotated[str | None, PRESET] = None
    kind: Annotated[RouterKind, choice(RouterKind)] = RouterKind.PLUNGE
    bushing_od: Annotated[float, length(6, 60)]
    bushing_id: Annotated[float, length(3, 58)]
    bushing_length: Annotated[float, length(2, 30)]
    bit_diameter: Annotated[float, length(3, 50)]
    cutting_length: Annotated[float, length(3, 120)]
    shank_diameter: Annotated[float, length(3, 25)]
    reach: Annotated[float, length(10, 120)]
    base_diameter: Annotated[float, length(60, 250)]
    collet_diameter: Annotated[float, length(8, 60)]
    max_step: Annotated[float, length(0.2, 15)] = 3.0
    hold_back: Annotated[float, length(0, 10)] = 3.0
    edge_offset: Annotated[float | None, length(0.05, 25, optional=True)] = None
    eccentricity: Annotated[float, length(0, 3)] = 0.0
    top_speed: Annotated[float, number(1000, 40000, "rpm")]
