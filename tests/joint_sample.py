"""A joint and its template plate for the proof's tests, drawn by hand from written-out numbers.

Instrument and router of a 25.4 in orchestra model: mortise 19.05 × 92, tenon 18.9 × 91, bushing 15.875, bit 12.7, so an
offset of 1.5875. The jig frames lie at x = +60 (mortise) and x = −60 (tenon, turned by half a turn).
"""

from __future__ import annotations

import copy
from dataclasses import replace
from typing import Any

from generator.base.contours2d import Path
from generator.base.points2d import P2, Transform
from generator.base.shapes2d import rectangle, rounded_polygon
from generator.jig.part import Hole, Opening, Part

#: Outside diameter of the bushing, mm.
OD = 15.875
#: Diameter of the bit, mm.
BIT = 12.7
#: Offset of the cut from the plate's edge, mm: half of what the bushing is wider than the bit.
OFFSET = 1.5875
#: Width of the mortise, mm.
WIDTH = 19.05
#: Length of the mortise, mm.
LENGTH = 92.0
#: Width of the tenon, mm.
TENON_WIDTH = 18.9
#: Length of the tenon, mm.
TENON_LENGTH = 91.0
#: The mortise's jig frame lies at this x of the plate, mm, and the tenon's at as much below 0.
FENCE = 60.0
#: Jig X of the body join, mm.
JOIN_X = 3.0
#: Width of the heel blank, mm.
HEEL = 60.0
#: Jig X at which the openings start, mm: the bit's centre runs 6.35 + 1.5 past X = 0.
START = -(6.35 + 1.5 + OD / 2)
#: Jig X of the neck plane's nearest edge, mm: 25.225·tan 1.6654° in front of X = 0.
EDGE = -0.7334
#: The shoulder's X: 3 mm above where the neck plane crosses X = 0.
SHOULDER = -0.0872

_RESULTS: dict[str, Any] = {
    "inputs": {
        "instrument": {
            "end_face_tilt": 0.0,
            "neck_rise": 0.0,
            "neck_block_width": 80.0,
            "body_depth_at_neck": 98.0,
            "heel_width": 58.0,
            "heel_width_at_cap": 44.0,
        },
        "instrument.top": {"form": "flat"},
        "router": {"bushing_od": OD, "bit_diameter": BIT, "edge_offset": None, "eccentricity": 0.0, "hold_back": 2.5},
        "jig": {"bridged": False},
        "output": {"units": "mm"},
    },
    "neck_set": {"cradle_angle_deg": 1.6654, "join_to_saddle_mm": 289.8861},
    "joint": {
        "mortise_width_mm": WIDTH,
        "mortise_length_mm": LENGTH,
        "mortise_depth_mm": 22.225,
        "corner_radius_mm": 6.35,
        "tenon_width_mm": TENON_WIDTH,
        "tenon_length_mm": TENON_LENGTH,
        "tenon_projection_mm": 21.0,
        "tenon_projection_routed_mm": 22.225,
        "ease_end_mm": 1.225,
        "heel_length_mm": 95.0,
        "heel_blank_mm": 100.0,
        "heel_blank_width_mm": HEEL,
    },
    "cradle": {"body_join_x_mm": JOIN_X, "contact_depth_mm": 25.225},
    "template": {
        "mortise": {"fence_x_mm": FENCE, "direction": 1},
        "tenon": {"fence_x_mm": -FENCE, "direction": -1},
    },
}


def results(**router: float) -> dict[str, Any]:
    """The object of results.json, as far as the proof reads it; `router` keys replace the sample's."""
    found = copy.deepcopy(_RESULTS)
    found["inputs"]["router"].update(router)
    found["inputs"] = {
        table: {key: {"value": value, "source": "job"} for key, value in keys.items()}
        for table, keys in found["inputs"].items()
    }
    return found


def mortise_opening(wider: float = 0.0, shift: float = 0.0, corner: float = OD / 2, longer: float = 0.0) -> Path:
    """The opening in the jig frame: closed end at X = 3 + 92 + 1.5875."""
    half = WIDTH / 2 + OFFSET + wider / 2
    return rectangle(START, shift - half, JOIN_X + LENGTH + OFFSET + longer, shift + half, corner)


def tenon_window(
    wider: float = 0.0, shift: float = 0.0, corner: float = 4.6875, breadth: float = HEEL / 2, longer: float = 0.0
) -> Path:
    """The window round its tongue, in the jig frame; the tongue's corners are 6.35 − 0.075 − 1.5875."""
    half = breadth + 6.35 + 1.5 + OD / 2
    tongue, tip = TENON_WIDTH / 2 - OFFSET + wider / 2, SHOULDER + TENON_LENGTH - OFFSET + longer
    end = 100 + 6.35 + 1.5 + OD / 2
    points = [
        P2(START, -half), P2(end, -half), P2(end, half), P2(START, half),
        P2(START, shift + tongue), P2(tip, shift + tongue), P2(tip, shift - tongue), P2(START, shift - tongue),
    ]  # fmt: skip
    return rounded_polygon(points, [OD / 2] * 5 + [corner] * 2 + [OD / 2])


def plate(mortise: Path | None = None, tenon: Path | None = None) -> Part:
    """The plate with both openings (jig frames), a tip screw's hole and two slots beside the openings."""
    mortise = mortise or mortise_opening()
    tenon = tenon or tenon_window()
    turned = Transform.rotate(180.0).then(Transform.move(-FENCE, 0.0))
    slots = tuple(Opening(f"slot-{y}", rectangle(-12.5, y - 6, 12.5, y + 6)) for y in (-40, 40))
    return Part(
        name="template_plate",
        title="Template plate",
        stock="birch-ply-18",
        thickness=18.0,
        outline=rectangle(-230, -92, 230, 92, 12),
        openings=(
            Opening("mortise-opening", mortise.moved(FENCE, 0.0)),
            Opening("tenon-window", tenon.transformed(turned)),
            *slots,
        ),
        holes=(Hole("tip-screw", P2(-FENCE - 85.0, 0.0), 3.4),),
    )


def bridged() -> Part:
    """A plate whose two slots leave the tenon running out of the heel."""
    half, tongue = HEEL / 2 + 6.35 + 1.5 + OD / 2, TENON_WIDTH / 2 - 1.5875
    box = tenon_window().box()
    turned = Transform.rotate(180.0).then(Transform.move(-FENCE, 0.0))
    slots = [rectangle(box.x0, *side, OD / 2) for side in ((-half, box.x1, -tongue), (tongue, box.x1, half))]
    base = plate()
    return replace(
        base,
        openings=(base.openings[0], *(Opening(f"w{i}", slot.transformed(turned)) for i, slot in enumerate(slots))),
    )
