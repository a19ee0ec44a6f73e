"""What the two cuts should be, taken from a kit's results, in the jig frame and independent of any template.

Jig frame, mm: X down the heel, Y along the board, Z up, plate's underside at Z = 0. Nothing here uses the formulas that
draw the template: only the joint that was asked for and where neck and body come to lie.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any

from generator.base.geometry2d import P2, Transform
from generator.joint.top import furthest_out, top_line
from generator.proof.kit_files import top_of


class Cut(Enum):
    """The two cuts of the joint."""

    MORTISE = "mortise"
    TENON = "tenon"


@dataclass(frozen=True)
class Fence:
    """Where a cut's jig frame lies in the plate's drawing: jig X = direction · (x − fence_x), Y = direction · y."""

    x: float
    direction: int

    @property
    def to_jig(self) -> Transform:
        """From the plate's drawing to the jig frame: a move, and half a turn where the direction is −1."""
        return Transform.move(-self.x, 0.0).then(Transform.rotate(0.0 if self.direction > 0 else 180.0))


@dataclass(frozen=True)
class Cutter:
    """The bushing and bit that follow the template, mm.

    The bit's axis misses the bushing's by `eccentricity` towards `towards` (degrees in the jig frame), which stays put
    as long as one side of the router's base is kept to the operator.
    """

    bushing_od: float
    bit_diameter: float
    eccentricity: float = 0.0
    towards: float = 90.0


@dataclass(frozen=True)
class WantedCut:
    """One cut as the joint wants it, mm, jig frame.

    The mortise is what goes, the tenon what stays: `width` across, closed at X = `end` with corners of
    `corner_radius`; a tenon without `end` runs out at the heel's end. Lengths count from `join`, the work begins at
    `edge` (its least X anywhere in the depth of the cut) and reaches to `far` and to ±`half_breadth`.
    """

    cut: Cut
    width: float
    end: float | None
    corner_radius: float
    join: float
    edge: float
    far: float
    half_breadth: float

    @property
    def length(self) -> float | None:
        return None if self.end is None else self.end - self.join

    def to_body(self, point: P2) -> P2:
        """A jig-frame point as (distance from the join down the end face, body Y); the body lies mirrored."""
        return P2(point.x - self.join, -point.y if self.cut is Cut.MORTISE else point.y)


def fences(results: Mapping[str, Any]) -> dict[Cut, Fence]:
    """Both jig frames in the plate's drawing, from the `template` of results.json."""
    template = results["template"]
    return {cut: Fence(float(template[cut.value]["fence_x_mm"]), int(template[cut.value]["direction"])) for cut in Cut}


def cutter_of(results: Mapping[str, Any]) -> Cutter:
    """The bushing and bit the kit was made for, without eccentricity.

    An edge offset found by a test cut stands for the pair as it really cuts: the bit is as wide as that offset says.
    """
    router = _inputs(results, "router")
    od, offset = float(router["bushing_od"]), _stated(router, "edge_offset")
    return Cutter(od, float(router["bit_diameter"]) if offset is None else od - 2.0 * offset)


def measured_eccentricity(results: Mapping[str, Any]) -> float:
    """How far the bit's axis misses the bushing's (mm), as measured; 0 where nothing was measured."""
    return _stated(_inputs(results, "router"), "eccentricity") or 0.0


def neck_rise_along(results: Mapping[str, Any]) -> float:
    """How far the neck plane stands over the body's top edge, along the end face, mm."""
    instrument = _inputs(results, "instrument")
    return float(instrument["neck_rise"]) / math.cos(math.radians(float(instrument["end_face_tilt"])))


def wanted_mortise(results: Mapping[str, Any]) -> WantedCut:
    """The mortise, from joint and cradle of the results."""
    joint, cradle = results["joint"], results["cradle"]
    width, length = float(joint["mortise_width_mm"]), float(joint["mortise_length_mm"])
    join = float(cradle["body_join_x_mm"])
    # Over the cut's depth the top, which begins at the join, may come nearer to the board than the join itself.
    edge = join - _top_stands_out(results, float(joint["mortise_depth_mm"]))
    end = join + length
    return WantedCut(Cut.MORTISE, width, end, float(joint["corner_radius_mm"]), join, edge, end + width, width)


def _top_stands_out(results: Mapping[str, Any], depth: float) -> float:
    """How far (mm) the top comes before the join's own X between the plate and a depth below it; 0 or more."""
    instrument, neck_set = _inputs(results, "instrument"), results["neck_set"]
    tilt = float(instrument["end_face_tilt"])
    saddle = float(neck_set["join_to_saddle_mm"])
    top = top_line(top_of(results), saddle, float(instrument["neck_rise"]), tilt)
    return furthest_out(top, tilt, 0.0, depth)


def wanted_tenon(results: Mapping[str, Any]) -> WantedCut:
    """The tenon, with the heel round it that must be cleared, from joint, cradle and instrument of the results."""
    joint, cradle = results["joint"], results["cradle"]
    lean = math.tan(math.radians(float(results["neck_set"]["cradle_angle_deg"])))
    depth, contact = float(joint["tenon_projection_routed_mm"]), float(cradle["contact_depth_mm"])
    at_plate, at_shoulder = -contact * lean, (depth - contact) * lean
    bridged = bool(_inputs(results, "jig").get("bridged"))
    return WantedCut(
        Cut.TENON,
        float(joint["tenon_width_mm"]),
        None if bridged else at_shoulder + float(joint["tenon_length_mm"]),
        _tenon_corner(results),
        at_shoulder,
        min(at_plate, at_shoulder),
        float(joint["heel_blank_mm"]) + max(at_plate, at_shoulder),
        float(joint["heel_blank_width_mm"]) / 2.0,
    )


def _tenon_corner(results: Mapping[str, Any]) -> float:
    """Outside corner of the tenon: clear of the mortise's, and no tighter than a sharp tongue leaves it."""
    joint, cutter = results["joint"], cutter_of(results)
    play = float(joint["mortise_width_mm"]) - float(joint["tenon_width_mm"])
    clear = float(joint["corner_radius_mm"]) - play / 2.0
    return max(clear, (cutter.bushing_od - cutter.bit_diameter) / 2.0)


def _stated(keys: Mapping[str, Any], key: str) -> float | None:
    """The number under `key`, or None where it is left out or says `auto`."""
    value = keys.get(key)
    return float(value) if isinstance(value, int | float) else None


def _inputs(results: Mapping[str, Any], table: str) -> dict[str, Any]:
    """The effective keys of one table of the job, without their sources."""
    found = results["inputs"].get(table, {})
    return {key: item["value"] if isinstance(item, Mapping) else item for key, item in found.items()}
