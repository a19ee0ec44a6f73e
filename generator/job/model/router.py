"""The router kit: machine, guide bushing and bit. Lengths mm; keys of the job file's [router]."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from typing import Annotated, Any, ClassVar

from generator.base.units import UnitError, inches, parse_length
from generator.job.model.field_types import PRESET, Model, choice, length, number
from generator.job.model.meaning import KeyGroup, Meaning


class RouterKind(Enum):
    """How the depth is set, and how heavy the machine bears on the plate."""

    PLUNGE = "plunge"
    FIXED = "fixed"
    TRIM = "trim"


#: Common collet sizes in inches: the shank of a bit that is not described.
_SHANKS = (0.5, 0.25)
#: Outside of a collet nut by the kind of router, mm, common practice.
_COLLETS = {RouterKind.TRIM: 20.0}
#: Outside of the collet nut of every other kind of router, mm, common practice.
_COLLET = 34.0
#: Largest bit diameter (in) and its top speed (rpm): the usual safety table, the lower figure where tables differ.
_TOP_SPEEDS = ((1.0, 24000.0), (2.0, 18000.0), (2.5, 16000.0))
#: Top speed of a larger bit, rpm: the usual safety table, the lower figure where tables differ.
_TOP_SPEED = 12000.0


class Router(Model):
    """One router as set up for the joint: machine, guide bushing and bit."""

    GROUP: ClassVar[KeyGroup] = KeyGroup.ROUTER

    preset: Annotated[
        str | None,
        PRESET,
        Meaning(
            "Router kit",
            "Router, guide bushing and bit that belong together; heelwright presets routers lists them",
            group=KeyGroup.START,
        ),
    ] = None
    kind: Annotated[
        RouterKind,
        choice(RouterKind),
        Meaning("Kind of router", "How the router's depth is set, and how heavy it bears on the plate"),
    ] = RouterKind.PLUNGE
    bushing_od: Annotated[
        float,
        length(6, 60),
        Meaning("Bushing, outside", "Outside diameter of the guide bushing,", "by caliper on its barrel"),
    ]
    bushing_id: Annotated[
        float,
        length(3, 58),
        Meaning("Bushing, bore", "Inside diameter of the guide bushing,", "by caliper in its barrel"),
    ]
    bushing_length: Annotated[
        float,
        length(2, 30),
        Meaning(
            "Bushing, below the base",
            "How far the bushing's barrel stands out, less than the plate is thick,",
            "below the base",
        ),
    ]
    bit_diameter: Annotated[
        float, length(3, 50), Meaning("Bit, diameter", "Cutting diameter of the bit,", "by caliper over its edges")
    ]
    cutting_length: Annotated[
        float, length(3, 120), Meaning("Bit, length of its edges", "Length of the bit's cutting edges", "from its tip")
    ]
    shank_diameter: Annotated[float, length(3, 25), Meaning("Bit, shank", "Diameter of the bit's shank,", "by caliper")]
    reach: Annotated[
        float, length(10, 120), Meaning("Reach", "How far the bit's tip comes below the base,", "at full plunge")
    ]
    base_diameter: Annotated[
        float, length(60, 250), Meaning("Base, diameter", "Diameter of the router's base,", "across its sole")
    ]
    collet_diameter: Annotated[
        float,
        length(8, 60),
        Meaning("Collet nut, outside", "Largest diameter of the collet's nut,", "by caliper over its corners"),
    ]
    stick_out: Annotated[
        float | None,
        length(10, 150, optional=True),
        Meaning(
            "Bit's tip out of the collet nut",
            "How far the bit stands out as it is chucked (left out: not judged),",
            "from the nut's face to the tip",
        ),
    ] = None
    max_step: Annotated[
        float, length(0.2, 15), Meaning("Deepest single pass", "The most that one pass goes deeper than the last")
    ] = 3.0
    hold_back: Annotated[
        float, length(0, 10), Meaning("Held back for the dry fit", "What is left on the tenon until the first dry fit")
    ] = 3.0
    edge_offset: Annotated[
        float | None,
        length(0.05, 25, optional=True),
        Meaning(
            "Edge offset, measured",
            "Distance from the template's edge to the cut's (left out: half of bushing less bit),",
            "in a test cut",
        ),
    ] = None
    test_template: Annotated[
        float | None,
        length(6, 300, optional=True),
        Meaning(
            "Test cut: template's width",
            "Width of the template's opening that the edge offset was found with,",
            "by caliper across the opening",
        ),
    ] = None
    test_slot: Annotated[
        float | None,
        length(3, 300, optional=True),
        Meaning(
            "Test cut: slot's width",
            "Width of the slot that was cut through that opening,",
            "by caliper across the slot",
        ),
    ] = None
    eccentricity: Annotated[
        float,
        length(0, 3),
        Meaning("Bit off the bushing's axis", "How far the bit's axis misses the bushing's,", "in a test cut"),
    ] = 0.0
    top_speed: Annotated[
        float,
        number(1000, 40000, "rpm"),
        Meaning(
            "Top speed",
            "Highest speed of the bit; the usual one for its size gives way to its maker's,",
            "as printed on its shank",
        ),
    ]

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
