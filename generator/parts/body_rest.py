"""The body's rest: two faced strips at the bed's upper edge, over the neck block; they come off for the neck.

Two countersunk screws hold a strip where it is thick and large enough to take their heads; a smaller one is stuck on.
x is the jig's Y, y is v (height over the pivot).
"""

from __future__ import annotations

import math

from generator.geometry2d import P2
from generator.geometry3d import P3, Y_AXIS, Z_AXIS, Placement
from generator.parts import dims
from generator.parts.base import Carrier, Dimension, Face, Hole, Part, Requirement, Side, Tolerance, Use
from generator.parts.layout import Layout
from generator.shapes2d import rectangle

#: Least material beside a countersunk head, between two of them, and under one, mm.
_BESIDE, _BETWEEN, _UNDER = 1.0, 0.5, 0.3
#: A strip this much thicker or thinner than its sheet is worth a word, mm.
_AS_THE_SHEET = 0.05
_THICKNESS = Tolerance(-0.1, 0.1, "facing included: it places the body's join")


def has_rest(layout: Layout) -> bool:
    """False where the body lies on the bed itself: a flat top and `rest_thickness` 0."""
    return layout.spec.rest_thickness > 0.0


def rest_is_screwed(layout: Layout) -> bool:
    """True when the strips have room for their screws."""
    return has_rest(layout) and _screw_offset(layout) is not None


def rest_screw_positions(layout: Layout) -> tuple[P2, ...]:
    """Both strips' screw centres on the bed, +Y strip first and its inner screw first; none where they are stuck on.

    The −Y strip is the same part turned half round, so its screws stand off its middle just as the other's do.
    """
    offset = _screw_offset(layout) if has_rest(layout) else None
    if offset is None:
        return ()
    middle = _middle(layout)
    other = P2(-middle.x, middle.y)
    return middle.minus(offset), middle.plus(offset), other.plus(offset), other.minus(offset)


def _middle(layout: Layout) -> P2:
    """Middle of the +Y strip."""
    return P2((layout.rest_inner + layout.rest_outer) / 2.0, layout.bed_top - layout.spec.rest_height / 2.0)


def _screw_offset(layout: Layout) -> P2 | None:
    """From the strip's middle to its outer screw: side by side where it is wide, else across the corner; or no room."""
    screw = layout.strip_screw
    head = screw.head_diameter
    if layout.spec.rest_thickness < (head - screw.clearance) / 2.0 + _UNDER:
        return None
    across = (layout.rest_outer - layout.rest_inner - head) / 2.0 - _BESIDE
    up = (layout.spec.rest_height - head) / 2.0 - _BESIDE
    if across < 0.0 or up < 0.0:
        return None
    if 2.0 * across >= head + _BETWEEN:
        return P2(across, 0.0)
    return P2(across, up) if 2.0 * math.hypot(across, up) >= head + _BETWEEN else None


def body_rest(layout: Layout) -> Part:
    """One rest strip, faced; origin at its lower inner corner. Both are alike."""
    wide, high, screw = layout.rest_outer - layout.rest_inner, layout.spec.rest_height, layout.strip_screw
    holes = tuple(
        Hole(
            "rest-screw",
            P2(at.x - layout.rest_inner, at.y - layout.bed_top + high),
            screw.clearance,
            face=Face.FRONT,
            countersink_diameter=screw.head_diameter,
            why="countersunk, head below the facing",
        )
        for at in rest_screw_positions(layout)[:2]
    )
    outline = rectangle(0.0, 0.0, wide, high, min(1.0, wide / 4.0))
    return Part(
        name="body_rest",
        title="Body rest strip",
        stock=layout.spec.strip_stock,
        thickness=layout.spec.rest_thickness,
        thickness_tolerance=_THICKNESS,
        outline=outline,
        holes=holes,
        dimensions=(
            *dims.overall(outline.box(), "rest_width", "rest_height", wide, high),
            *_screw_dimensions(holes, wide, high),
        ),
        quantity=2,
        carrier=Carrier.BED,
        uses=frozenset({Use.BODY}),
        purpose="carries the body over the neck block; comes off for the neck",
        requirements=_requirements(layout),
    )


def _screw_dimensions(holes: tuple[Hole, ...], wide: float, high: float) -> tuple[Dimension, ...]:
    if not holes:
        return ()
    inner, outer = (hole.at for hole in holes)
    found = [
        dims.across("rest_screw_1", P2(0.0, high), inner, inner.x, Side.ABOVE),
        dims.across("rest_screw_2", P2(0.0, high), outer, outer.x, Side.ABOVE),
        dims.along("rest_screw_height", P2(wide, 0.0), outer, outer.y, Side.RIGHT),
    ]
    if outer.y - inner.y > 0.5:
        found.append(dims.along("rest_screw_lower", P2(wide, 0.0), inner, inner.y, Side.RIGHT))
    return tuple(found)


def _requirements(layout: Layout) -> tuple[Requirement, ...]:
    """How the strip is held, and how it comes to its thickness where the sheet has another one."""
    taped = Requirement("Stuck to the bed with thin double-sided tape: no room for screws")
    found = [] if rest_is_screwed(layout) else [taped]
    size, sheet = layout.spec.rest_thickness, layout.thick.strip
    if size > sheet + _AS_THE_SHEET:
        found.append(Requirement("Made up to {} from its sheet of {} and the facing", ((size,), (sheet,)), bare=False))
    elif size < sheet - _AS_THE_SHEET:
        found.append(Requirement("Brought down from {} to {}, facing included", ((sheet,), (size,)), bare=False))
    return tuple(found)


def rest_placements(layout: Layout) -> tuple[Placement, Placement]:
    """+Y strip first. The −Y strip is the same part turned half round, so its face stays forward."""
    z = -layout.pivot_depth + layout.bed_top
    low, high = z - layout.spec.rest_height, z
    return (
        Placement(P3(0.0, layout.rest_inner, low), Y_AXIS, Z_AXIS),
        Placement(P3(0.0, -layout.rest_inner, high), Y_AXIS.times(-1.0), Z_AXIS.times(-1.0)),
    )
