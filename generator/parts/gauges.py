"""The small acrylic guides: saddle-gap gauge, centre sight, bolt-drilling guide, bushing slip, story stick."""

from __future__ import annotations

from collections.abc import Iterator

from generator.errors import GeometryError
from generator.geometry2d import P2, Path
from generator.parts import dims
from generator.parts.base import Dimension, EngravedText, Hole, Part, Requirement, Side, Tolerance
from generator.parts.layout import Layout
from generator.shapes2d import polyline, rectangle, rounded_polygon
from generator.units import format_mm

#: A step lower than this (mm) would break off acrylic sheet.
_LEAST_STEP = 0.6
_STEP_LENGTH = 14.0
#: Steps lower than this (mm) carry no letters: a laser would melt them shut.
_LEAST_MARKED = 1.4
#: Engraved lines stop short of the edge by this, mm: a laser that runs off the part chars its edge.
_SHORT = 0.3
_GAUGE = Tolerance(-0.05, 0.05, "read directly as the gap")
_OFFSET = Tolerance(-0.05, 0.05, "shows where the template's edge must lie")
_MARK = Tolerance(-0.1, 0.1, "read directly as the depth of cut")


def gap_heights(layout: Layout) -> tuple[float, ...]:
    """Heights of the saddle-gap gauge's steps, lowest first: the target and equal steps on either side, mm."""
    target, spec = layout.solution.neck_set.saddle_gap, layout.spec
    around = (target + spec.gauge_step * n for n in range(-spec.gauge_steps, spec.gauge_steps + 1))
    heights = tuple(height for height in around if height >= _LEAST_STEP)
    if not heights:
        raise GeometryError(f"saddle-gap gauge: no step reaches {_LEAST_STEP} mm at a target of {target:g} mm")
    return heights


def has_gap_gauge(layout: Layout) -> bool:
    """False where the wanted gap is so low that no step of the gauge could stand."""
    return layout.solution.neck_set.saddle_gap + layout.spec.gauge_step * layout.spec.gauge_steps >= _LEAST_STEP


def gap_gauge(layout: Layout) -> Part:
    """A stair that stands on the bare top at the saddle; the straightedge on the neck plane finds its step."""
    heights = gap_heights(layout)
    handle = 30.0
    top = heights[-1] + 12.0
    corners = [P2(0.0, 0.0), P2(handle + _STEP_LENGTH * len(heights), 0.0)]
    for i, height in enumerate(heights):
        right = handle + _STEP_LENGTH * (len(heights) - i)
        corners += [P2(right, height), P2(right - _STEP_LENGTH, height)]
    corners += [P2(handle, top), P2(0.0, top)]
    outline = rounded_polygon(corners, [0.0] * (len(corners) - 2) + [3.0, 3.0])
    target = layout.solution.neck_set.saddle_gap
    return Part(
        name="gap_gauge",
        title="Saddle-gap gauge",
        stock=layout.spec.guide_stock,
        thickness=layout.thick.guide,
        outline=outline,
        engraved_lines=_step_marks(heights, handle, target),
        engraved_texts=(
            EngravedText("GAP", P2(handle / 2.0, top / 2.0 + 3.5), 3.0),
            EngravedText(format_mm(target), P2(handle / 2.0, top / 2.0 - 2.0), 3.0),
            *_step_values(heights, handle),
        ),
        dimensions=_gauge_dimensions(heights, handle, top),
        shop_dimensions=_step_dimensions(len(heights), handle, top),
        purpose="stands on the bare top at the saddle; the straightedge on the neck plane finds its step",
    )


def _step_marks(heights: tuple[float, ...], handle: float, target: float) -> tuple[Path, ...]:
    """A stroke beside the value of the target's own step, where there is room for one."""
    marks = []
    for start, height in _steps(heights, handle):
        if abs(height - target) < 1e-9 and height > _LEAST_MARKED:
            marks.append(polyline([P2(start + 8.5, height / 2.0), P2(start + 10.5, height / 2.0)]))
    return tuple(marks)


def _step_values(heights: tuple[float, ...], handle: float) -> tuple[EngravedText, ...]:
    """Each step's value, as large as the step is high; a step too low for letters is told by its neighbours."""
    return tuple(
        EngravedText(format_mm(height), P2(start + 5.0, height / 2.0), min(2.0, 0.6 * height), pinned=True)
        for start, height in _steps(heights, handle)
        if height > _LEAST_MARKED
    )


def _steps(heights: tuple[float, ...], handle: float) -> Iterator[tuple[float, float]]:
    """Where each step starts, x from the gauge's end, and its height, mm."""
    for i, height in enumerate(heights):
        yield handle + _STEP_LENGTH * (len(heights) - i - 1), height


def _gauge_dimensions(heights: tuple[float, ...], handle: float, top: float) -> tuple[Dimension, ...]:
    long = handle + _STEP_LENGTH * len(heights)
    found = [
        dims.across("gauge_length", P2(0.0, 0.0), P2(long, 0.0), long),
        dims.along("gauge_height", P2(0.0, 0.0), P2(0.0, top), top),
    ]
    for i, height in enumerate(heights):
        x = handle + _STEP_LENGTH * (len(heights) - i)
        found.append(
            dims.along(f"gap_step_{i + 1}", P2(x - 3.0, 0.0), P2(x - 3.0, height), height, Side.INSIDE, _GAUGE)
        )
    return tuple(found)


def _step_dimensions(count: int, handle: float, top: float) -> tuple[Dimension, ...]:
    """Length of the handle and of one step, the others being alike."""
    long = handle + _STEP_LENGTH * count
    return (
        dims.across("gauge_handle", P2(0.0, top), P2(handle, top), handle, Side.ABOVE),
        dims.across("step_length", P2(long - _STEP_LENGTH, 0.0), P2(long, 0.0), _STEP_LENGTH, note=f"each of {count}"),
    )


def centre_sight(layout: Layout) -> Part:
    """A clear slip that drops into the mortise opening, its line over the body's centreline."""
    play = layout.spec.fit_play
    wide = layout.solution.routing.opening_width - play
    long = min(70.0, layout.solution.routing.opening_length * 0.8)
    outline = rectangle(-wide / 2.0, 0.0, wide / 2.0, long, min(2.0, wide / 6.0))
    finger = min(8.0, wide * 0.4)
    return Part(
        name="centre_sight",
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
        purpose="drops into the mortise opening; bring its line over the body's centreline, line side down",
    )


def drill_guide(layout: Layout) -> Part:
    """A slip that lies in the mortise as the tenon will, with the bolts' pilot holes; its flat end is the top's edge.

    So its rounded end is the tenon's back end, from which it marks the tenon too, whatever the overstand. The gluing
    face is no datum for that: on the tenon's end it stands off the flat end by overstand and projection·tan(angle).
    """
    joint, play = layout.solution.joint, layout.spec.fit_play
    wide, long = joint.tenon_width - play, joint.tenon_length - layout.solution.neck_set.overstand_along_face
    radius = min(joint.corner_radius, wide / 2.0)
    corners = [P2(-wide / 2.0, -long), P2(wide / 2.0, -long), P2(wide / 2.0, 0.0), P2(-wide / 2.0, 0.0)]
    outline = rounded_polygon(corners, [radius, radius, 0.0, 0.0])
    bolts = [bolt.from_top for bolt in joint.bolts]
    pilot = layout.strip_screw.tap_drill
    holes = tuple(Hole("bolt-pilot", P2(0.0, -at), pilot, why="marks the bolt's centre") for at in bolts)
    found = [
        dims.across("guide_width", P2(-wide / 2.0, -long), P2(wide / 2.0, -long), wide),
        dims.along("guide_length", P2(-wide / 2.0, -long), P2(-wide / 2.0, 0.0), long),
    ]
    found += [
        dims.along(f"bolt_{i}_from_top", hole.at, P2(wide / 2.0, 0.0), at, Side.RIGHT)
        for i, (hole, at) in enumerate(zip(holes, bolts, strict=True), 1)
    ]
    return Part(
        name="drill_guide",
        title="Bolt-drilling guide",
        stock=layout.spec.guide_stock,
        thickness=layout.thick.guide,
        outline=outline,
        holes=holes,
        engraved_lines=(polyline([P2(-wide / 4.0, -3.0), P2(wide / 4.0, -3.0)]),),
        dimensions=tuple(found),
        purpose="marks the bolts: flat end at the top's edge in the mortise, rounded end at the tenon's back end",
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
        name="bushing_slip",
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
        purpose="long foot on the marked line: the step's edge shows where the template's edge must lie",
    )


def story_stick(layout: Layout) -> Part:
    """A stick with the depth of every pass, mortise on the left edge, tenon on the right, from the end that enters."""
    passes = layout.solution.routing.passes
    deepest = max(*passes.mortise, *passes.tenon)
    wide, long = min(16.0, layout.solution.joint.mortise_width - 1.0), deepest + 70.0
    outline = rectangle(0.0, 0.0, wide, long)
    lines = [polyline([P2(_SHORT, depth), P2(wide * 0.42, depth)]) for depth in passes.mortise]
    lines += [polyline([P2(wide * 0.58, depth), P2(wide - _SHORT, depth)]) for depth in passes.tenon]
    return Part(
        name="story_stick",
        title="Depth story stick",
        stock=layout.spec.guide_stock,
        thickness=layout.thick.guide,
        outline=outline,
        engraved_lines=tuple(lines),
        engraved_texts=(
            EngravedText("MORTISE", P2(wide * 0.22, deepest + 20.0), 2.5, 90.0),
            EngravedText("TENON", P2(wide * 0.78, deepest + 20.0), 2.5, 90.0),
        ),
        dimensions=(
            dims.across("stick_width", P2(0.0, 0.0), P2(wide, 0.0), wide),
            dims.along("stick_length", P2(0.0, 0.0), P2(0.0, long), long),
            dims.along("deepest_mark", P2(wide, 0.0), P2(wide, deepest), deepest, Side.RIGHT, _MARK),
        ),
        requirements=(
            Requirement("Mortise lines from the end: {}", (passes.mortise,), bare=False),
            Requirement("Tenon lines from the end: {}", (passes.tenon,), bare=False),
        ),
        purpose="end on the work inside the opening: each line is the depth after one pass",
    )
