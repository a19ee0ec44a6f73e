"""The jig's proportions and the stock of each part. Lengths mm, angles degrees; keys of the job file's [jig]."""

from __future__ import annotations

from enum import Enum
from typing import Annotated

from generator.model.kinds import FLAG, PRESET, PRESET_NAME, Model, TextKind, angle, choice, length, listed, whole


class Joinery(Enum):
    """How the flat parts join: tabs in slots with captive nuts, or tapped edges with dowels."""

    TABS = "tabs"
    TAPPED = "tapped"


_THREAD = TextKind(pattern=r"M(?:3|4|5|6|8|10)", form='"M3", "M4", "M5", "M6", "M8" or "M10"')


class JigSpec(Model):
    """Sizes of the jig that follow from neither instrument nor router.

    `pin_back` and `pin_below` place the two pins of each rib behind the bed's face and below the pivot, `nose_offset`
    the nose's centre behind the bed's face, `sine_distance` that centre below the pivot; a preset's pins move up where
    a job's sine distance is too short for them. `fit_play` is the whole play of tabs, keys and guides in their slots;
    `hold_down_depth` lies below the pivot, `hold_down_lift` in front of the bed; the saddle-gap gauge has
    `gauge_steps` steps of `gauge_step` on either side of the target.
    """

    preset: Annotated[str | None, PRESET] = None
    sine_distance: Annotated[float, length(60, 300)]
    nose_offset: Annotated[float, length(0, 60)]
    nose_diameter: Annotated[float, length(4, 25)]
    block_at_zero: Annotated[float, length(5, 60)]
    angle_low: Annotated[float, angle(-8, 0)]
    angle_high: Annotated[float, angle(0, 10)]
    rest_thickness: Annotated[float, length(0, 12)]
    rest_height: Annotated[float, length(5, 60)]
    tip_pin: Annotated[bool, FLAG]
    bridged: Annotated[bool, FLAG]
    second_depth_block: Annotated[bool, FLAG]
    joinery: Annotated[Joinery, choice(Joinery)]
    plate_stock: Annotated[str, PRESET_NAME]
    bed_stock: Annotated[str, PRESET_NAME]
    cheek_stock: Annotated[str, PRESET_NAME]
    frame_stock: Annotated[str, PRESET_NAME]
    rail_stock: Annotated[str, PRESET_NAME]
    block_stock: Annotated[str, PRESET_NAME]
    strip_stock: Annotated[str, PRESET_NAME]
    guide_stock: Annotated[str, PRESET_NAME]
    shim_stock: Annotated[str, PRESET_NAME] = "brass-shim"
    margin_end: Annotated[float, length(10, 120)]
    margin_side: Annotated[float, length(10, 120)]
    bed_width: Annotated[float, length(60, 400)]
    bed_tail: Annotated[float, length(5, 150)]
    bed_clearance: Annotated[float, length(0.5, 20)]
    cheek_inner: Annotated[float, length(10, 150)]
    cheek_depth: Annotated[float, length(30, 200)]
    cheek_gap: Annotated[float, length(0.5, 20)]
    rib_play: Annotated[float, length(0.05, 2)]
    pin_back: Annotated[tuple[float, float], listed(length(5, 150), 2, 2)]
    pin_below: Annotated[tuple[float, float], listed(length(0, 250), 2, 2)]
    pin_thread: Annotated[str, _THREAD]
    screw_thread: Annotated[str, _THREAD]
    stud_thread: Annotated[str, _THREAD]
    rail_gap: Annotated[float, length(0.5, 30)]
    tab_length: Annotated[float, length(5, 80)]
    tab_sink: Annotated[float, length(0, 5)]
    key_length: Annotated[float, length(40, 400)]
    window_clearance: Annotated[float, length(0, 30)]
    fit_play: Annotated[float, length(0, 1)] = 0.1
    dowel_diameter: Annotated[float, length(3, 10)] = 5.0
    corner_radius: Annotated[float, length(0, 25)] = 6.0
    ledge_height: Annotated[float, length(16, 80)] = 36.0
    tie_height: Annotated[float, length(40, 120)] = 60.0
    vise_tongue: Annotated[float, length(40, 200)] = 90.0
    hold_down_depth: Annotated[float, length(50, 250)] = 110.0
    hold_down_lift: Annotated[float, length(10, 60)] = 30.0
    hold_down_height: Annotated[float, length(20, 80)] = 30.0
    shims: Annotated[tuple[float, ...], listed(length(0.05, 3), 1, 8, distinct=True)] = (0.1, 0.2, 0.5, 1.0)
    gauge_step: Annotated[float, length(0.1, 2)] = 0.5
    gauge_steps: Annotated[int, whole(1, 8)] = 4

    @property
    def stock_names(self) -> tuple[str, ...]:
        """Every stock the jig names, once each, in the order of the parts."""
        names = [getattr(self, key) for key in type(self).model_fields if key.endswith("_stock")]
        return tuple(dict.fromkeys(names))
