"""The small guides: gap wedge, centre sight, bolt-drilling guide, bushing slip, story stick."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from generator.base.annotation import Dimension, EngravedText, Requirement, Side, Tolerance
from generator.base.contours2d import Path
from generator.base.errors import GeometryError
from generator.base.points2d import P2
from generator.base.shapes2d import polyline, rectangle, rounded_polygon
from generator.base.units import format_mm, inches, to_inches
from generator.jig import dims
from generator.jig.layout import Layout
from generator.jig.part import Hole, Part
from generator.jig.record import Record, cuts_body
from generator.jig.traits import ShopSheet, Traits
from generator.job.model.job import UnitsChoice
from generator.joint.gap_reading import spacer_height

#: Whole play of a guide in what it drops into, mm.
GUIDE_PLAY = 0.1
#: Diameter of the pilot hole that a guide marks with, mm.
PILOT = 2.5
#: Half the flat between a guide's round corners, at least, mm.
_LEAST_FLAT = 0.25
#: How far below and above the target the gap wedge reads, mm.
_WEDGE_REACH = 2.0
#: Least height of the gap wedge's thin end, mm.
_THIN_END = 0.8
#: Taper of the gap wedge: length over rise.
_TAPER = 10.0
#: Length of the gap wedge's handle, mm.
_HANDLE = 56.0
#: The wedge's thinnest part carries no mark: a stroke there would run from edge to edge, mm.
_UNMARKED = 0.5
#: Length over which the gap wedge slopes up from the taper to its handle, mm.
_SLOPE = 8.0
#: Pitch of the lines of words on the gap wedge's handle, mm.
_WEDGE_LINE = 4.2
#: Width of a drilling guide for a bare face, mm: less on a narrow heel.
_FACE_GUIDE = 40.0
#: A drilling guide for a bare face is at least this much narrower than the heel at its cap, mm.
_FACE_GUIDE_IN = 6.0
#: The line on a drilling guide for a bare face stops this far from a pilot's middle, mm.
_OFF_PILOT = 4.0
#: A story stick stands out over its highest line by this, mm.
_STICK_HANDLE = 52.0
#: Engraved lines stop short of the edge by this, mm: a laser that runs off the part chars its edge.
_SHORT = 0.3
#: Tolerance of the gap wedge's heights at both ends of its taper, mm.
_GAUGE = Tolerance(-0.05, 0.05, "read directly as the gap")
#: Tolerance of the bushing slip's step, mm.
_OFFSET = Tolerance(-0.05, 0.05, "shows where the cut's edge will lie")
#: Tolerance of the height of the story stick's deepest line, mm.
_MARK = Tolerance(-0.1, 0.1, "read directly as the depth of cut")


def wedge_heights(layout: Layout) -> tuple[float, float]:
    """Heights (mm) of the gap wedge's thin and thick end: as far as readings are put right, round what it shows."""
    target = _shown(layout)
    return max(_THIN_END, target - _WEDGE_REACH), target + _WEDGE_REACH


def _shown(layout: Layout) -> float:
    """What the wedge shows at the wanted gap, mm: the spacers under the straightedge are counted."""
    return layout.solution.neck_set.saddle_gap + spacer_height(layout.solution)


def has_gap_wedge(layout: Layout) -> bool:
    """False where the wanted gap is so low that no wedge could be slid into it."""
    return layout.solution.neck_set.saddle_gap >= _THIN_END


def gap_wedge(layout: Layout) -> Part:
    """A taper of 1 in 10 that stands on the bare top at the saddle; the straightedge over the neck plane stops it.

    One millimetre along it is a tenth of a millimetre of gap. It is marked in the job's own unit.
    """
    thin, thick = wedge_heights(layout)
    if not has_gap_wedge(layout):
        raise GeometryError(f"gap wedge: no taper reaches from {thin:g} to {thick:g} mm")
    long = _TAPER * (thick - thin)
    end, high = long + _HANDLE, max(thick + 6.0, 20.0)
    corners = [P2(0.0, 0.0), P2(end, 0.0), P2(end, high), P2(long + _SLOPE, high), P2(long, thick), P2(0.0, thin)]
    marks = _wedge_marks(layout, thin, thick)
    middle = long + _SLOPE + (_HANDLE - _SLOPE) / 2.0
    lines = _wedge_words(layout, marks)
    return Part(
        name=GAP_WEDGE.name,
        title="Gap wedge",
        stock=layout.spec.guide_stock,
        thickness=layout.thick.guide,
        outline=rounded_polygon(corners, [0.0, 3.0, 3.0, 3.0, 0.0, 0.0]),
        engraved_lines=tuple(
            polyline([P2(mark.x, mark.height - _SHORT), P2(mark.x, mark.height - mark.stroke)]) for mark in marks
        ),
        engraved_texts=tuple(
            EngravedText(words, P2(middle, high - 4.0 - _WEDGE_LINE * row), 2.2) for row, words in enumerate(lines)
        ),
        dimensions=(
            dims.across("wedge_length", P2(0.0, 0.0), P2(end, 0.0), end),
            dims.across("wedge_taper", P2(0.0, thin), P2(long, thick), long, Side.ABOVE),
            dims.along("wedge_thin_end", P2(0.0, 0.0), P2(0.0, thin), thin, Side.LEFT, _GAUGE),
            dims.along("wedge_thick_end", P2(long, 0.0), P2(long, thick), thick, Side.INSIDE, _GAUGE),
        ),
        shop_dimensions=(dims.along("wedge_height", P2(end, 0.0), P2(end, high), high, Side.RIGHT),),
        purpose="slides on the bare top at the saddle until the straightedge stops it: read the gap, spacers counted",
    )


@dataclass(frozen=True)
class _Mark:
    """A mark of the wedge: x from its thin end, the wedge's height there, the stroke's lower end below it, mm."""

    x: float
    height: float
    stroke: float
    long: bool


def _in_inches(layout: Layout) -> bool:
    return layout.solution.job.output.units is UnitsChoice.INCH


def _wedge_marks(layout: Layout, thin: float, thick: float) -> tuple[_Mark, ...]:
    """A mark each tenth of a millimetre (five thousandths of an inch), every fifth (fourth) of them long."""
    step, per_long = (inches(0.005), 4) if _in_inches(layout) else (0.1, 5)
    found = []
    for n in range(math.ceil((thin + _UNMARKED) / step - 1e-9), math.floor(thick / step + 1e-9) + 1):
        height, long = n * step, n % per_long == 0
        stroke = min(1.9 if long else 1.1, height - _SHORT)
        found.append(_Mark(_TAPER * (height - thin), height, stroke, long))
    return tuple(found)


def _wedge_words(layout: Layout, marks: tuple[_Mark, ...]) -> tuple[str, ...]:
    """What the handle says: the unit, what the marks are, and what it shows at the gap that the job wants."""
    first = next(mark.height for mark in marks if mark.long)
    target, spacer = _shown(layout), spacer_height(layout.solution)
    if _in_inches(layout):
        return (
            f"GAP{f'+{to_inches(spacer):.3f}' if spacer else ''} IN - EACH 0.005",
            f"FIRST LONG {to_inches(first):.2f}",
            "NEXT LONG 0.02 ON",
            f"WANTED {to_inches(target):.3f}",
        )
    return (
        f"GAP{f'+{spacer:g}' if spacer else ''} MM - EACH 0.1",
        f"FIRST LONG {first:.1f}",
        "NEXT LONG 0.5 ON",
        f"WANTED {target:.2f}",
    )


def centre_sight(layout: Layout) -> Part:
    """A clear slip that drops into the body's opening, its line over the body's centreline."""
    play = GUIDE_PLAY
    wide, cut = layout.solution.routing.opening_width - play, layout.solution.joint.cut_in_body.name
    long = min(70.0, layout.solution.routing.opening_length * 0.8)
    outline = rectangle(-wide / 2.0, 0.0, wide / 2.0, long, min(2.0, wide / 6.0))
    finger = min(8.0, wide * 0.4)
    return Part(
        name=CENTRE_SIGHT.name,
        title="Centre sight",
        stock=layout.spec.guide_stock,
        thickness=layout.thick.guide,
        outline=outline,
        holes=(Hole("finger", P2(0.0, long - finger - 3.0), finger, why="lifts the sight out"),),
        engraved_lines=(polyline([P2(0.0, 0.5), P2(0.0, long - 1.6 * finger - 4.0)]),),
        dimensions=(
            dims.across(
                "sight_width",
                P2(-wide / 2.0, 0.0),
                P2(wide / 2.0, 0.0),
                wide,
                Side.BELOW,
                Tolerance(-0.05, 0.0, "its play is the sighting error"),
            ),
            dims.along("sight_length", P2(-wide / 2.0, 0.0), P2(-wide / 2.0, long), long),
        ),
        purpose=f"drops into the {cut} opening; bring its line over the body's centreline, line side down",
    )


def drill_guide(layout: Layout) -> Part:
    """A slip that lies in the body's cut as the neck will, with the bolts' pilot holes; its flat end is the top's edge.

    So its rounded end is the neck outline's back end, from which it marks the neck too, whatever the neck rise. The
    gluing face is no datum for that: there it stands off the flat end by neck rise and projection·tan(angle).
    """
    if not layout.cuts_body:
        return _face_guide(layout)
    joint, play = layout.solution.joint, GUIDE_PLAY
    body, neck = joint.cut_in_body, joint.neck_outline
    wide, long = neck.width - play, neck.length - layout.solution.neck_set.neck_rise_along_face
    half = wide / 2.0  # with hardly a flat left between the corners the end is one half round
    radius = body.corner_radius if half - body.corner_radius >= _LEAST_FLAT else half
    corners = [P2(-wide / 2.0, -long), P2(wide / 2.0, -long), P2(wide / 2.0, 0.0), P2(-wide / 2.0, 0.0)]
    outline = rounded_polygon(corners, [radius, radius, 0.0, 0.0])
    guide = _guide(layout, outline, wide, long)
    return replace(
        guide,
        engraved_lines=(polyline([P2(-wide / 4.0, -3.0), P2(wide / 4.0, -3.0)]),),
        purpose=(
            f"marks the bolts: flat end at the top's edge in the {body.name}, rounded end at the {neck.name}'s back end"
        ),
    )


def _guide(layout: Layout, outline: Path, wide: float, long: float) -> Part:
    """A guide of any outline with its pilots, its flat end at y = 0."""
    holes = _pilots(layout)
    return Part(
        name=DRILL_GUIDE.name,
        title="Bolt-drilling guide",
        stock=layout.spec.guide_stock,
        thickness=layout.thick.guide,
        outline=outline,
        holes=holes,
        dimensions=(
            dims.across("guide_width", P2(-wide / 2.0, -long), P2(wide / 2.0, -long), wide),
            dims.along("guide_length", P2(-wide / 2.0, -long), P2(-wide / 2.0, 0.0), long),
            *_pilots_down(holes, wide / 2.0),
        ),
    )


def _pilots(layout: Layout) -> tuple[Hole, ...]:
    """A pilot hole for each bolt, straight below the flat end."""
    bolts = layout.solution.joint.bolts
    return tuple(Hole("bolt-pilot", P2(0.0, -bolt.from_top), PILOT, why="marks the bolt's centre") for bolt in bolts)


def _pilots_down(holes: tuple[Hole, ...], half: float) -> list[Dimension]:
    corner = P2(half, 0.0)
    return [
        dims.along(f"bolt_{i}_from_top", hole.at, corner, -hole.at.y, Side.RIGHT) for i, hole in enumerate(holes, 1)
    ]


def _face_guide(layout: Layout) -> Part:
    """The guide where nothing locates it but a line: on the body's end face and on the neck's shoulder alike.

    Its engraved line lies on the centreline, its flat end at the body's top edge, its other end where the heel ends.
    """
    joint = layout.solution.joint
    wide = min(_FACE_GUIDE, joint.heel_width_at_cap - _FACE_GUIDE_IN)
    long = joint.heel_length
    guide = _guide(layout, rectangle(-wide / 2.0, -long, wide / 2.0, 0.0), wide, long)
    ends = [0.0, *(y for hole in guide.holes for y in (hole.at.y + _OFF_PILOT, hole.at.y - _OFF_PILOT)), -long]
    lines = zip(ends[::2], ends[1::2], strict=True)
    return replace(
        guide,
        engraved_lines=tuple(
            polyline([P2(0.0, min(-_SHORT, high)), P2(0.0, max(_SHORT - long, low))]) for high, low in lines
        ),
        engraved_texts=(EngravedText("TOP", P2(-wide / 4.0, -6.0), 3.0),),
        purpose="marks the bolts: line on the centreline, TOP end at the top's edge; on the shoulder alike",
    )


def bushing_slip(layout: Layout) -> Part:
    """A stepped slip: its step is the distance from the template's edge to the cut's edge."""
    step, long, high = layout.solution.routing.edge_offset, 80.0, 20.0
    corners = [
        P2(0.0, 0.0),
        P2(long / 2.0, 0.0),
        P2(long / 2.0, step),
        P2(long, step),
        P2(long, high + step),
        P2(0.0, high + step),
    ]
    outline = rounded_polygon(corners, [0.0, 0.0, 0.0, 0.0, 3.0, 3.0])
    return Part(
        name=BUSHING_SLIP.name,
        title="Bushing slip",
        stock=layout.spec.guide_stock,
        thickness=layout.thick.guide,
        outline=outline,
        engraved_texts=(
            EngravedText("EDGE OFFSET", P2(long * 0.28, high * 0.72), 3.0),
            EngravedText(format_mm(step), P2(long * 0.28, high * 0.4), 3.0),
        ),
        dimensions=(
            dims.along("edge_offset", P2(long / 2.0, 0.0), P2(long, step), step, Side.RIGHT, _OFFSET),
            dims.across("slip_length", P2(0.0, high + step), P2(long, high + step), long, Side.ABOVE),
        ),
        purpose="step against the opening's edge: the foot's edge shows where the edge of the cut will lie",
    )


def story_stick(layout: Layout) -> Part:
    """A stick with a line for every pass, read level with the plate's upper face: the body's left, the neck's right.

    What is cut lies under the plate, where no eye comes level with it.
    """
    joint, passes, plate = layout.solution.joint, layout.solution.routing.passes, layout.thick.plate
    left, right = joint.cut_in_body.name, joint.neck_outline.name
    on_body, on_neck = (tuple(plate + depth for depth in cut) for cut in (passes.body, passes.neck))
    highest = max(*on_body, *on_neck)
    wide, long = min(16.0, joint.cut_in_body.width - 1.0), highest + _STICK_HANDLE
    outline = rectangle(0.0, 0.0, wide, long)
    lines = [polyline([P2(_SHORT, up), P2(wide * 0.42, up)]) for up in on_body]
    lines += [polyline([P2(wide * 0.58, up), P2(wide - _SHORT, up)]) for up in on_neck]
    return Part(
        name=STORY_STICK.name,
        title="Depth story stick",
        stock=layout.spec.guide_stock,
        thickness=layout.thick.guide,
        outline=outline,
        engraved_lines=tuple(lines),
        engraved_texts=(
            EngravedText(left.upper(), P2(wide * 0.22, highest + 20.0), 2.5, 90.0),
            EngravedText(right.upper(), P2(wide * 0.78, highest + 20.0), 2.5, 90.0),
        ),
        dimensions=(
            dims.across("stick_width", P2(0.0, 0.0), P2(wide, 0.0), wide),
            dims.along("stick_length", P2(0.0, 0.0), P2(0.0, long), long),
            dims.along("deepest_mark", P2(wide, 0.0), P2(wide, highest), highest, Side.RIGHT, _MARK),
        ),
        requirements=(
            Requirement(f"{left.capitalize()} lines from the end, the plate counted: {{}}", (on_body,), bare=False),
            Requirement(f"{right.capitalize()} lines from the end, the plate counted: {{}}", (on_neck,), bare=False),
        ),
        purpose="stands in the cut: level with the plate's upper face, each line is the depth after one pass",
    )


#: Guides off which no joint is read: they share the guides' shop drawing.
_GUIDE = Traits(shop_sheet=ShopSheet.GUIDES)
#: The taper that reads the gap between straightedge and top at the saddle.
GAP_WEDGE = Record("gap_wedge", gap_wedge, _GUIDE, when=has_gap_wedge)
#: The clear slip that shows the opening's middle over the body's centreline.
CENTRE_SIGHT = Record("centre_sight", centre_sight, _GUIDE, when=cuts_body)
#: The slip that marks the bolts' centres on body and neck; the joint is read off it.
DRILL_GUIDE = Record("drill_guide", drill_guide, Traits(decides_joint=True, shop_sheet=ShopSheet.GUIDES))
#: The stepped slip that shows where the edge of a cut will lie.
BUSHING_SLIP = Record("bushing_slip", bushing_slip, _GUIDE, when=cuts_body)
#: The stick with a line for the depth after each pass.
STORY_STICK = Record("story_stick", story_stick, _GUIDE, when=cuts_body)
