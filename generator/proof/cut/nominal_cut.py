"""What the two cuts should be, taken from a kit's results, in the jig frame and independent of any template.

Jig frame, mm: X down the heel, Y along the board, Z up, plate's underside at Z = 0. Nothing here uses the formulas that
draw the template: only the outlines of the joint that was asked for and where neck and body come to lie.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generator.base.contours2d import Path
from generator.base.errors import GeometryError
from generator.base.keyed import Table
from generator.base.points2d import P2, Transform
from generator.jig.results import FenceEntry
from generator.joint.cradle import Cradle
from generator.joint.joint import Joint
from generator.joint.kinds.butt.joint import Butt
from generator.joint.kinds.mortise_tenon.joint import MortiseTenon
from generator.joint.neck_set import NeckSet
from generator.joint.outlines import Outline, mirrored, strip, with_mouth_at
from generator.joint.stations import Use
from generator.joint.top import furthest_out, top_line
from generator.proof.kit_files import top_of


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
class NominalCut:
    """One cut as the joint wants it, mm: its outline, and where that comes to lie in the jig frame.

    The outline's x = 0 lies at jig X `join`; the body lies in the jig as its own mirror image. The work begins at
    `edge` (its least X anywhere in the depth of the cut) and reaches to `far` and to ±`half_breadth`. What `runs_out`
    is cut on past `far`, and its end is sawn afterwards. Where nothing stays the work is cut away all over.
    """

    use: Use
    outline: Outline
    join: float
    edge: float
    far: float
    half_breadth: float
    runs_out: bool = False

    @property
    def name(self) -> str:
        """What the cut makes, in the field's term."""
        return self.outline.name

    @property
    def stays(self) -> bool:
        """Whether the cut leaves an outline, in the work or round what is cut out of it."""
        return self.outline.contour is not None

    @property
    def end(self) -> float | None:
        """Jig X of the closed end; None where the cut runs out or nothing stays."""
        return None if self.runs_out or not self.stays else self.join + self.outline.length

    def area(self, beyond: float) -> Path:
        """The outline in the jig frame, drawn on `beyond` mm past the work where it is open.

        GeometryError where nothing stays.
        """
        contour = self.outline.contour
        if contour is None:
            raise GeometryError(f"the {self.name} has no outline")
        if self.runs_out:
            contour = strip(self.outline.width, self.far + beyond - self.join, 0.0)
        if self.use is Use.BODY:
            contour = mirrored(contour)
        return with_mouth_at(contour, self.edge - beyond - self.join).moved(self.join, 0.0)

    def to_face(self, point: P2) -> P2:
        """A jig-frame point as (distance from the outline's x = 0 down the face, body Y)."""
        return P2(point.x - self.join, -point.y if self.use is Use.BODY else point.y)


#: Every cut that a kind of joint may have, by its table of the results' `template`, in the order they are cut in.
_CUTS = {"mortise": Use.BODY, "tenon": Use.NECK, "shoulder": Use.NECK}


def cuts_of(results: Mapping[str, Any]) -> dict[Use, str]:
    """The joint's cuts by the use that makes them, each by its name, as the `template` of results.json has them."""
    return {use: name for name, use in _CUTS.items() if name in results["template"]}


def fences(results: Mapping[str, Any]) -> dict[Use, Fence]:
    """Each cut's jig frame in the plate's drawing, from the `template` of results.json."""
    tables = {use: Table(FenceEntry, results["template"][name]) for use, name in cuts_of(results).items()}
    return {use: Fence(float(table.fence_x), int(table.direction)) for use, table in tables.items()}


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


def nominal_cut(results: Mapping[str, Any], use: Use) -> NominalCut:
    """One cut, from joint, cradle and instrument of the results."""
    if use is Use.BODY:
        return _nominal_on_body(results)
    return _nominal_on_neck(results, _shoulder(results) if cuts_of(results)[use] == "shoulder" else _tenon(results))


def _nominal_on_body(results: Mapping[str, Any]) -> NominalCut:
    joint, cradle = Table(MortiseTenon, results["joint"]), Table(Cradle, results["cradle"])
    corner, depth = float(joint.corner_radius), float(joint.mortise_depth)
    contour = strip(float(joint.mortise_width), float(joint.mortise_length), corner)
    outline = Outline("mortise", contour, True, depth, corner)
    join = float(cradle.body_join_x)
    # Over the cut's depth the top, which begins at the join, may come nearer to the board than the join itself.
    edge = join - _top_stands_out(results, depth)
    return NominalCut(Use.BODY, outline, join, edge, join + outline.length + outline.width, outline.width)


def _top_stands_out(results: Mapping[str, Any], depth: float) -> float:
    """How far (mm) the top comes before the join's own X between the plate and a depth below it; 0 or more."""
    instrument, neck_set = _inputs(results, "instrument"), Table(NeckSet, results["neck_set"])
    tilt = float(instrument["end_face_tilt"])
    saddle = float(neck_set.join_to_saddle)
    top = top_line(top_of(results), saddle, float(instrument["neck_rise"]), tilt)
    return furthest_out(top, tilt, 0.0, depth)


def _tenon(results: Mapping[str, Any]) -> Outline:
    joint, corner = Table(MortiseTenon, results["joint"]), _tenon_corner(results)
    contour = strip(float(joint.tenon_width), float(joint.tenon_length), corner)
    return Outline("tenon", contour, False, float(joint.tenon_projection_routed), corner)


def _shoulder(results: Mapping[str, Any]) -> Outline:
    """A butt joint's: nothing stays over it."""
    return Outline("shoulder", None, False, float(Table(Butt, results["joint"]).facing_depth), 0.0)


def _nominal_on_neck(results: Mapping[str, Any], outline: Outline) -> NominalCut:
    """What stays, with the heel round it that must be cleared."""
    joint, cradle = Table(Joint, results["joint"]), Table(Cradle, results["cradle"])
    lean = math.tan(math.radians(float(Table(NeckSet, results["neck_set"]).cradle_angle)))
    contact = float(cradle.contact_depth)
    at_plate, at_shoulder = -contact * lean, (outline.depth - contact) * lean
    return NominalCut(
        Use.NECK,
        outline,
        at_shoulder,
        min(at_plate, at_shoulder),
        float(joint.heel_blank) + max(at_plate, at_shoulder),
        float(joint.heel_blank_width) / 2.0,
        runs_out=bool(_inputs(results, "jig").get("bridged")),
    )


def _tenon_corner(results: Mapping[str, Any]) -> float:
    """Outside corner of the tenon: clear of the mortise's, and no tighter than a sharp tongue leaves it."""
    joint, cutter = Table(MortiseTenon, results["joint"]), cutter_of(results)
    play = float(joint.mortise_width) - float(joint.tenon_width)
    clear = float(joint.corner_radius) - play / 2.0
    return max(clear, (cutter.bushing_od - cutter.bit_diameter) / 2.0)


def _stated(keys: Mapping[str, Any], key: str) -> float | None:
    """The number under `key`, or None where it is left out or says `auto`."""
    value = keys.get(key)
    return float(value) if isinstance(value, int | float) else None


def _inputs(results: Mapping[str, Any], table: str) -> dict[str, Any]:
    """The effective keys of one table of the job, without their sources."""
    found = results["inputs"].get(table, {})
    return {key: item["value"] if isinstance(item, Mapping) else item for key, item in found.items()}
