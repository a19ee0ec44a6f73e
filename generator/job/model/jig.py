"""The jig's proportions and the stock of each part. Lengths mm; keys of the job file's [jig]."""

from __future__ import annotations

from enum import Enum
from typing import Annotated, ClassVar

from generator.job.model.field_types import FLAG, PRESET, PRESET_NAME, Model, choice, length, listed
from generator.job.model.joint import WITH_TENON
from generator.job.model.meaning import KeyGroup, Meaning

#: Range of the stand-off and of the upper rest's width, mm.
STAND_OFF = (5, 80)


class Joinery(Enum):
    """How the flat parts join: glued and wood-screwed, or tapped edges with machine screws and dowels."""

    SCREWED = "screwed"
    TAPPED = "tapped"


class JigSpec(Model):
    """Sizes of the jig that follow from neither instrument nor router.

    `stand_off` is None until it is measured; `stand_off_upper_rest` None says that it was measured on this very jig.
    """

    GROUP: ClassVar[KeyGroup] = KeyGroup.JIG

    preset: Annotated[
        str | None,
        PRESET,
        Meaning(
            "Jig",
            "How the jig is built; heelwright presets jigs lists them",
            group=KeyGroup.START,
        ),
    ] = None
    rest_spacing: Annotated[
        float,
        length(100, 200),
        Meaning("Rest spacing", "Distance of the angle rest below the upper rest, upper edge to upper edge"),
    ]
    bench_gap: Annotated[
        float,
        length(40, 120),
        Meaning("Board before the bench's edge", "How far the board stands in front of the bench's edge"),
    ] = 60.0
    tip_pin: Annotated[
        bool,
        FLAG,
        Meaning(
            "Tip screw",
            "Whether a screw through the tongue's end holds the neck up",
            only=WITH_TENON,
        ),
    ] = True
    bridged: Annotated[
        bool,
        FLAG,
        Meaning(
            "Tongue held at both ends",
            "Whether the tongue joins the plate at both ends; the tenon's end is then sawn",
            only=WITH_TENON,
        ),
    ] = False
    second_depth_block: Annotated[
        bool,
        FLAG,
        Meaning(
            "A depth block for the tenon",
            "Whether a block of its own sets the tenon's finished length",
            only=WITH_TENON,
        ),
    ] = False
    stand_off: Annotated[
        float | None,
        length(*STAND_OFF, word="auto"),
        Meaning(
            "Stand-off",
            "What a square from the plate leaves to the board (auto: as the upper rest is wide),",
            "at the angle rest of the built jig",
        ),
    ] = None
    stand_off_upper_rest: Annotated[
        float | None,
        length(*STAND_OFF, optional=True),
        Meaning(
            "Upper rest of that jig",
            "Width of the upper rest that the stand-off was measured with; another width leaves it aside,",
            "as engraved on the rest",
        ),
    ] = None
    joinery: Annotated[
        Joinery,
        choice(Joinery),
        Meaning(
            "How its parts join",
            "Whether the flat parts are glued and wood-screwed, or tapped for machine screws and dowelled",
        ),
    ]
    plate_stock: Annotated[
        str, PRESET_NAME, Meaning("Plate", "Stock of the template plate and the plug", group=KeyGroup.STOCK)
    ]
    board_stock: Annotated[str, PRESET_NAME, Meaning("Board", "Stock of the board", group=KeyGroup.STOCK)]
    bracket_stock: Annotated[str, PRESET_NAME, Meaning("Brackets", "Stock of the two brackets", group=KeyGroup.STOCK)]
    rest_stock: Annotated[
        str,
        PRESET_NAME,
        Meaning("Rests", "Stock of the rests, the crosspiece and the depth blocks", group=KeyGroup.STOCK),
    ]
    caul_stock: Annotated[str, PRESET_NAME, Meaning("Caul", "Stock of the caul's two layers", group=KeyGroup.STOCK)]
    guide_stock: Annotated[str, PRESET_NAME, Meaning("Guides", "Stock of gauges and guides", group=KeyGroup.STOCK)]
    shim_stock: Annotated[
        str, PRESET_NAME, Meaning("Shims", "Stock of the shims behind the angle rest", group=KeyGroup.STOCK)
    ]
    margin_end: Annotated[
        float, length(15, 120), Meaning("Plate beyond the window", "Width of the plate beyond the ends of its openings")
    ]
    margin_side: Annotated[
        float, length(15, 120), Meaning("Plate beside the window", "Width of the plate beside its openings")
    ]
    bracket_foot: Annotated[
        float,
        length(25, 110),
        Meaning("Brackets along the plate", "How far the brackets' deep part runs along the plate"),
    ] = 50.0
    rest_length: Annotated[
        float, length(30, 200), Meaning("Length of the rests", "How long the rests are across the board")
    ]
    caul_height: Annotated[
        float, length(12, 60), Meaning("Height of the caul", "Width of the strip that the caul's layers are cut from")
    ]
    nominal_shim: Annotated[
        float,
        length(0.3, 3),
        Meaning(
            "Shim at the nominal setting",
            "Thickness of the shim that lies behind the angle rest at the nominal setting",
        ),
    ] = 1.0
    shims: Annotated[
        tuple[float, ...],
        listed(length(0.05, 3), 1, 8, distinct=True),
        Meaning("Shims of the kit", "Thicknesses of the shims that trim the angle"),
    ] = (0.1, 0.2, 0.5, 1.0)
