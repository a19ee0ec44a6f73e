"""The joint on the paper sheets: its outlines, bolts and gap, measured on the drawn lines, against the results.

These sheets carry no part of the jig: the builder lays them on the instrument and pricks the bolts through.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from shapely import LineString
from shapely.geometry.base import BaseGeometry

from generator.base.contours2d import Circle, Contour, Path
from generator.base.keyed import Table
from generator.base.points2d import P2, Box
from generator.drawing.style import Role
from generator.formats.svg.read import SvgFile
from generator.joint.joint import BoltHole, Joint
from generator.joint.neck_set import NeckSet
from generator.joint.stations import Use
from generator.proof.cut.nominal_cut import cuts_of, neck_rise_along, nominal_cut
from generator.proof.files.lines import line_of
from generator.proof.findings import Finding, Topic

#: Sheets carry four decimals; what is measured on them agrees with the results within this, mm.
EXACT = 0.005
#: An angle read from lines of some centimetres, degrees.
_EXACT_ANGLE = 0.01
#: A line of the elevation that reaches to the saddle is longer than this, mm.
_LONG = 30.0
#: At the saddle such a line's height is within this of the top's, mm.
_NEAR = 60.0
#: Half the length of an upright line that meets all of a sheet, mm.
_FAR = 1e4
#: A dome's arc is broken up this finely to be measured, mm.
_FINEST = 2e-4
#: The box of what a sheet does not show.
_NOWHERE = Box(math.nan, math.nan, math.nan, math.nan)
#: The sheet on which the body's end face is measured.
_END_FACE = "body_end_face"
#: The sheet on which the heel's bevel is measured.
_HEEL = "heel"
#: The sheet on which the heel's sawn end is measured; a kit without it has that on the heel's sheet.
_SAWN_END = "sawn_end"
#: The sheet on which the gap at the saddle is measured.
_ELEVATION = "side_elevation"


def joint_findings(sheets: Mapping[str, SvgFile], results: Mapping[str, Any]) -> Iterator[Finding]:
    """What the instrument's sheets show wrong; a sheet that is not among `sheets` is left out."""
    sawn_end = _SAWN_END if _SAWN_END in sheets else _HEEL
    looked_at = ((_END_FACE, _end_face), (sawn_end, _sawn_end), (_HEEL, _bevel), (_ELEVATION, _elevation))
    for name, measured in looked_at:
        if name in sheets:
            sheet = sheets[name]
            for what, found, wanted in measured(sheet, results):
                slack = _EXACT_ANGLE if what.endswith("angle") else EXACT
                if not abs(found - wanted) <= slack:
                    seen = "not drawn" if math.isnan(found) else f"{found:.3f}"
                    yield Finding(Topic.JOINT, sheet.name, f"{what} is {seen}; results.json has {wanted:.3f}")


#: What was measured, as found, as wanted; NaN where it is not on the sheet.
_Measured = Iterator[tuple[str, float, float]]


def _end_face(sheet: SvgFile, results: Mapping[str, Any]) -> _Measured:
    """What is cut in the body and the bolt holes, from the fold that lies on the top's edge."""
    fold = _first_box(sheet, Role.FOLD)
    bolts = [(bolt.from_top, bolt.clearance_hole) for bolt in _bolts_of(results)]
    if Use.BODY not in cuts_of(results):
        yield from _bolts(sheet, P2(fold.center.x, fold.y1), bolts)
        return
    outline = nominal_cut(results, Use.BODY).outline
    drawn = _box_like(sheet, outline.width, outline.length)
    yield f"the {outline.name}'s width", drawn.width, outline.width
    yield f"the {outline.name}'s length", drawn.height, outline.length
    yield f"the {outline.name}'s open end from the fold", fold.y1 - drawn.y1, 0.0
    yield f"the {outline.name}'s middle from the sheet's", drawn.center.x - fold.center.x, 0.0
    yield from _bolts(sheet, P2(drawn.center.x, fold.y1), bolts)


def _sawn_end(sheet: SvgFile, results: Mapping[str, Any]) -> _Measured:
    """What stands on the neck and its bolts, on the sawn end, which stands over the shoulder's own level."""
    outline = nominal_cut(results, Use.NECK).outline
    lean = math.radians(Table(NeckSet, results["neck_set"]).cradle_angle)
    rise = outline.depth * math.tan(lean)
    bolts = [(rise + bolt.from_neck_plane, bolt.pilot_hole) for bolt in _bolts_of(results)]
    if outline.contour is None:
        heel = _heel_box(sheet, results, rise)
        yield from _bolts(sheet, P2(heel.center.x, heel.y1), bolts)
        return
    drawn = _box_like(sheet, outline.width, rise + outline.length)
    yield f"the {outline.name}'s width", drawn.width, outline.width
    yield f"the {outline.name}'s length on the sawn end", drawn.height, rise + outline.length
    yield from _bolts(sheet, P2(drawn.center.x, drawn.y1), bolts)


def _bolts_of(results: Mapping[str, Any]) -> Iterator[Table]:
    return (Table(BoltHole, bolt) for bolt in results["joint"]["bolts"])


def _heel_box(sheet: SvgFile, results: Mapping[str, Any], rise: float) -> Box:
    """The box of the heel's outline on the sawn end: as wide as the heel, from the neck plane's edge to its cap."""
    instrument, joint = results["inputs"]["instrument"], Table(Joint, results["joint"])
    wide = max(float(instrument[key]["value"]) for key in ("heel_width", "heel_width_at_cap"))
    high = rise + neck_rise_along(results) + joint.heel_length + instrument["heel_cap_thickness"]["value"]
    boxes = [shape.box() for shape in sheet.shapes(Role.CUT.value)]
    return min(boxes, key=lambda box: abs(box.width - wide) + abs(box.height - high), default=_NOWHERE)


def _bevel(sheet: SvgFile, results: Mapping[str, Any]) -> _Measured:
    """The shoulder's angle against the neck plane, from the side."""
    joint, wanted = Table(Joint, results["joint"]), Table(NeckSet, results["neck_set"]).heel_angle
    angles = _shoulder_angles(sheet, joint.heel_length + neck_rise_along(results))
    yield "the heel angle", min(angles, key=lambda angle: abs(angle - wanted), default=math.nan), wanted


def _elevation(sheet: SvgFile, results: Mapping[str, Any]) -> _Measured:
    """The gap at the saddle as built: from the drawn top up to the neck plane, the lower of two long thin lines."""
    neck_set, scale = Table(NeckSet, results["neck_set"]), _scale(sheet)
    join = _rim_plane_start(sheet)
    saddle = join.x + scale * neck_set.join_to_saddle
    tops = [line_of(shape, _FINEST) for shape in _visible(sheet) if _begins_at(shape, join) and shape.box().x1 > saddle]
    planes = [line_of(shape) for shape in sheet.shapes(Role.PHANTOM.value) if shape.box().width > _LONG]
    bare = max((_height_at(line, saddle) for line in tops), default=math.nan)
    over = sorted(high for line in planes if abs((high := _height_at(line, saddle)) - bare) < _NEAR)
    yield "the gap at the saddle", (over[0] - bare) / scale if over else math.nan, neck_set.saddle_gap


def _scale(sheet: SvgFile) -> float:
    """Length on the paper of one millimetre of the instrument, as the sheet says it; NaN where it does not."""
    said = re.search(r"Scale ([1-9]\d{0,5}):([1-9]\d{0,5})\b", " ".join(sheet.texts))
    return int(said.group(1)) / int(said.group(2)) if said else math.nan


def _rim_plane_start(sheet: SvgFile) -> P2:
    """The join of the upper view: where the longest of its level axes begins."""
    axes = [s for s in sheet.shapes(Role.CENTRE.value) if isinstance(s, Path) and s.box().height < EXACT]
    box = max((shape.box() for shape in axes), key=lambda box: box.width, default=_NOWHERE)
    return P2(box.x0, box.y0)


def _begins_at(shape: Contour, at: P2) -> bool:
    return (
        isinstance(shape, Path) and not shape.closed and min(shape.start.distance(at), shape.end.distance(at)) < EXACT
    )


def _height_at(line: BaseGeometry, x: float) -> float:
    """The highest y of a line at one x; NaN where it does not come there."""
    meets = line.intersection(LineString([(x, -_FAR), (x, _FAR)]))
    return math.nan if meets.is_empty else float(meets.bounds[3])


def _bolts(sheet: SvgFile, start: P2, bolts: Sequence[tuple[float, float]]) -> _Measured:
    """Each bolt's hole straight below `start`: how far down, how far beside, how wide."""
    circles = [shape for shape in _visible(sheet) if isinstance(shape, Circle)]
    for number, (down, wide) in enumerate(bolts, start=1):
        at = P2(start.x, start.y - down)
        hole = min(circles, key=lambda circle: circle.center.distance(at), default=None)
        found = (math.nan, math.nan, math.nan) if hole is None else (*hole.center, 2.0 * hole.radius)
        yield f"bolt {number} from the upper edge", start.y - found[1], down
        yield f"bolt {number} beside the centreline", found[0] - start.x, 0.0
        yield f"bolt {number}'s hole", found[2], wide


def _visible(sheet: SvgFile) -> tuple[Contour, ...]:
    return sheet.shapes(Role.VISIBLE.value)


def _first_box(sheet: SvgFile, role: Role) -> Box:
    return next((shape.box() for shape in sheet.shapes(role.value)), _NOWHERE)


def _box_like(sheet: SvgFile, width: float, height: float) -> Box:
    """The box of the visible line that comes nearest to a size."""
    boxes = [shape.box() for shape in _visible(sheet) if isinstance(shape, Path)]
    return min(boxes, key=lambda box: abs(box.width - width) + abs(box.height - height), default=_NOWHERE)


def _shoulder_angles(sheet: SvgFile, length: float) -> Iterator[float]:
    """Angles (degrees) of the straight visible lines of a length, from their upper end, against level to the left."""
    for shape in _visible(sheet):
        if isinstance(shape, Path) and len(shape.vertices) == 2 and abs(shape.length - length) < EXACT:
            top, foot = sorted((shape.start, shape.end), key=lambda at: -at.y)
            yield math.degrees(math.acos((top.x - foot.x) / shape.length))
