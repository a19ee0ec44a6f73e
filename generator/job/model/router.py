"""The router kit: machine, guide bushing and bit. Lengths mm; keys of the job file's [router]."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from typing import Annotated, Any

from generator.base.units import UnitError, inches, parse_length
from generator.job.model.field_types import PRESET, Model, choice, length, number


class RouterKind(Enum):
    """How the depth is set, and how heavy the machine bears on the plate."""

    PLUNGE = "plunge"
    FIXED = "fixed"
    TRIM = "trim"


#: Common collet sizes in inches: the shank of a bit that is not described.
_SHANKS = (0.5, 0.25)
#: Outside of a collet nut, mm, common practice.
_COLLETS = {RouterKind.TRIM: 20.0}
_COLLET = 34.0
#: Largest bit diameter (in) and its top speed (rpm): the usual safety table, the lower figure where tables differ.
_TOP_SPEEDS = ((1.0, 24000.0), (2.0, 18000.0), (2.5, 16000.0))
_TOP_SPEED = 12000.0


class Router(Model):
    """One router as set up for the joint.

    `reach` is the bit's tip below the base at full plunge, `edge_offset` a measured offset that replaces
    (bushing_od - bit_diameter)/2, `test_template` and `test_slot` the widths it was found from, of a template's opening
    and of the slot cut through it, `eccentricity` how far the bit's axis misses the bushing's, `collet_diameter` the
    nut's outside, `stick_out` how far the bit's tip stands out of that nut (left out, nothing is judged by it),
    `top_speed` the bit's limit in rpm.
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
    stick_out: Annotated[float | None, length(10, 150, optional=True)] = None
    max_step: Annotated[float, length(0.2, 15)] = 3.0
    hold_back: Annotated[float, length(0, 10)] = 3.0
    edge_offset: Annotated[float | None, length(0.05, 25, optional=True)] = None
    test_template: Annotated[float | None, length(6, 300, optional=True)] = None
    test_slot: Annotated[float | None, length(3, 300, optional=True)] = None
    eccentricity: Annotated[float, length(0, 3)] = 0.0
    top_speed: Annotated[float, number(1000, 40000, "rpm")]

    @classmethod
    def derived(cls, known: Mapping[str, Any]) -> dict[str, Any]:
        """Shank, collet nut and top speed as they usually come with a bit and machine of this size."""
        try:
            bit = parse_length(known.get("bit_diameter"))
        except UnitError:
            return {}
        kind = known.get("kind", RouterKind.PLUNGE)
        return {
            "shank_diameter": next((inches(size) for size in _SHANKS if bit >= inches(size)), inches(_SHANKS[-1])),
            "collet_diameter": _COLLETS.get(RouterKind.TRIM if kind == RouterKind.TRIM.value else kind, _COLLET),
            "top_speed": next((speed for size, speed in _TOP_SPEEDS if bit <= inches(size)), _TOP_SPEED),
        }
