"""The jig's proportions and the stock of each part. Lengths mm; keys of the job file's [jig]."""

from __future__ import annotations

from enum import Enum
from typing import Annotated

from generator.job.model.field_types import FLAG, PRESET, PRESET_NAME, Model, choice, length, listed

#: Range of the stand-off and of the upper rest's width, mm.
STAND_OFF = (5, 80)


class Joinery(Enum):
    """How the flat parts join: glued and wood-screwed, or tapped edges with machine screws and dowels."""

    SCREWED = "screwed"
    TAPPED = "tapped"


class JigSpec(Model):
    """Sizes of the jig that follow from neither instrument nor router.

    `rest_spacing` p lies between the like-named edges of upper rest and angle rest; `bench_gap` is how far the board
    stands in front of the bench's edge. `stand_off` is what a square from the plate leaves to the board at the angle
    rest, measured once on the built jig; None until it is measured, and the upper rest's width is then taken.
    `stand_off_upper_rest` is the upper rest's width as drawn on the jig that was measured; a job whose upper rest has
    another width has another jig, and leaves the stand-off aside. None: measured on this jig.
    `nominal_shim` lies behind the angle rest at the nominal setting. `bracket_foot` is how far the brackets' deep part
    runs along the plate. Margins are plate beside and beyond the window, `rest_length` lies across the board.
    """

    preset: Annotated[str | None, PRESET] = None
    rest_spacing: Annotated[float, length(100, 200)]
    bench_gap: Annotated[float, length(40, 120)] = 60.0
    tip_pin: Annotated[bool, FLAG] = True
    bridged: Annotated[bool, FLAG] = False
    second_depth_block: Annotated[bool, FLAG] = False
    stand_off: Annotated[float | None, length(*STAND_OFF, word="auto")] = None
    stand_off_upper_rest: Annotated[float | None, length(*STAND_OFF, optional=True)] = None
    joinery: Annotated[Joinery, choice(Joinery)]
    plate_stock: Annotated[str, PRESET_NAME]
    board_stock: Annotated[str, PRESET_NAME]
    bracket_stock: Annotated[str, PRESET_NAME]
    rest_stock: Annotated[str, PRESET_NAME]
    caul_stock: Annotated[str, PRESET_NAME]
    guide_stock: Annotated[str, PRESET_NAME]
    shim_stock: Annotated[str, PRESET_NAME]
    margin_end: Annotated[float, length(15, 120)]
    margin_side: Annotated[float, length(15, 120)]
    bracket_foot: Annotated[float, length(25, 110)] = 50.0
    rest_length: Annotated[float, length(30, 200)]
    caul_height: Annotated[float, length(12, 60)]
    nominal_shim: Annotated[float, length(0.3, 3)] = 1.0
    shims: Annotated[tuple[float, ...], listed(length(0.05, 3), 1, 8, distinct=True)] = (0.1, 0.2, 0.5, 1.0)

    @property
    def stock_names(self) -> tuple[str, ...]:
        """Every stock the jig names, once each, in the order of the parts."""
        names = [getattr(self, key) for key in type(self).model_fields if key.endswith("_stock")]
        return tuple(dict.fromkeys(names))
