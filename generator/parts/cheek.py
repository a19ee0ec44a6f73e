"""The cheeks: the frame's two side boards behind the bed, with arc slots about the join line.

The right cheek (at −Y) is drawn from outside in u (jig X) and v (height over the pivot); the left one, seen from its
own outside, is its mirror image. Both have their origin on the pivot line.
"""

from __future__ import annotations

import math
from dataclasses import replace

from generator.geometry2d import P2, Path, Transform
from generator.geometry3d import P3, X_AXIS, Z_AXIS, Placement
from generator.parts import dims
from generator.parts.base import (
    Carrier,
    Dimension,
    DimKind,
    EdgeCut,
    EdgeHole,
    EngravedText,
    Face,
    Hole,
    Opening,
    Part,
    Side,
    Tab,
    Tolerance,
    within,
)
from generator.parts.layout import Layout
from generator.shapes2d import arc_slot, eased_polygon, polyline

_SLOT = Tolerance(0.0, 0.1, "play of the pins in the slots turns into play of the angle")
_ARC = Tolerance(-0.1, 0.1, "the slots' common centre is the join line")


def cheek_left(layout: Layout) -> Part:
    """The cheek at +Y."""
    return _cheek(layout, "cheek_left", "Left cheek", mirrored=True)


def cheek_right(layout: Layout) -> Part:
    """The cheek at −Y."""
    return _cheek(layout, "cheek_right", "Right cheek", mirrored=False)


def cheek_placements(layout: Layout) -> tuple[Placement, Placement]:
    """Left cheek, then right; each with its face outward."""
    z, inner = -layout.pivot_depth, layout.spec.cheek_inner
    return (
        Placement(P3(0.0, inner, z), X_AXIS.times(-1.0), Z_AXIS),
        Placement(P3(0.0, -inner, z), X_AXIS, Z_AXIS),
    )


def _cheek(layout: Layout, name: str, title: str, *, mirrored: bool) -> Part:
    flip = Transform.mirror_x() if mirrored else Transform()
    outline = _outline(layout).transformed(flip).counter_clockwise()
    slots, holes = _openings(layout), _holes(layout)
    return Part(
        name=name,
        title=title,
        stock=layout.spec.cheek_stock,
        thickness=layout.thick.cheek,
        outline=outline,
        openings=tuple(_flipped_opening(opening, flip) for opening in slots),
        holes=tuple(_flipped(hole, flip) for hole in holes),
        edge_holes=tuple(_flipped_edge(hole, flip) for hole in _top_holes(layout)),
        edge_cuts=tuple(_flipped_cut(cut, flip) for cut in layout.plate_joint.edge_cuts(*_top_edge(layout))),
        engraved_lines=tuple(line.transformed(flip) for line in _scale(layout)),
        engraved_texts=_texts(layout, title, flip),
        points={"pivot": P2(0.0, 0.0)},
        dimensions=_dimensions(layout, flip, outline),
        carrier=Carrier.FRAME,
        requirements=(within("Upper edge square to the face within {}: the plate lies on it", 0.1),),
        purpose="carries the plate and, in its arc slots, the bed's pins",
    )


def _flipped(hole: Hole, flip: Transform) -> Hole:
    return Hole(**{**hole.__dict__, "at": flip.apply(hole.at)})


def _flipped_opening(opening: Opening, flip: Transform) -> Opening:
    turned = opening.contour.transformed(flip)
    return Opening(opening.id, turned.counter_clockwise() if isinstance(turned, Path) else turned, opening.why)


def _flipped_edge(hole: EdgeHole, flip: Transform) -> EdgeHole:
    return EdgeHole(**{**hole.__dict__, "at": flip.apply(hole.at), "into": flip.apply(hole.into)})


def _flipped_cut(cut: EdgeCut, flip: Transform) -> EdgeCut:
    corners = tuple(flip.apply(corner) for corner in cut.corners)
    if isinstance(cut, Tab):
        return replace(cut, at=flip.apply(cut.at), out=flip.apply(cut.out), corners=corners)
    return replace(cut, at=flip.apply(cut.at), into=flip.apply(cut.into), corners=corners)


def _outline(layout: Layout) -> Path:
    foot, radius = layout.cheek_foot, layout.spec.corner_radius
    a, b = _top_edge(layout)
    edge = [(corner, 0.0) for corner in layout.plate_joint.edge_run(a, b)]
    rest = [
        (b, 0.0),
        (P2(layout.cheek_back, foot), radius),
        (P2(layout.cheek_front_at(foot), foot), radius),
        (P2(layout.cheek_front, 0.0), 0.0),
    ]
    return eased_polygon([p for p, _ in edge + rest], [r for _, r in edge + rest])


def _top_holes(layout: Layout) -> tuple[EdgeHole, ...]:
    return layout.plate_joint.edge_holes(*_top_edge(layout))


def _top_edge(layout: Layout) -> tuple[P2, P2]:
    """The edge under the plate, from the front to the back."""
    return P2(layout.cheek_front, layout.pivot_depth), P2(layout.cheek_back, layout.pivot_depth)


def _spine_line(layout: Layout) -> tuple[P2, P2]:
    u = (layout.spine_front + layout.spine_back) / 2.0
    return P2(u, layout.cheek_foot), P2(u, layout.spine_top)


def _tie_line(layout: Layout) -> tuple[P2, P2]:
    u = layout.tie_front - layout.thick.frame / 2.0
    return P2(u, layout.tie_foot), P2(u, layout.tie_top)


def pin_slot(layout: Layout, pin: P2) -> Path:
    """The arc slot in u, v that lets `pin` turn through the jig's whole range about the pivot."""
    rest = math.degrees(math.atan2(pin.y, pin.x))
    spec = layout.spec
    return arc_slot(P2(0.0, 0.0), pin.length(), rest + spec.angle_low, rest + spec.angle_high, layout.pin_hole)


def _openings(layout: Layout) -> tuple[Opening, ...]:
    arcs = [
        Opening(f"{name}-pin-slot", pin_slot(layout, pin), "lets the bed turn about the join line")
        for name, pin in zip(("upper", "lower"), layout.pins, strict=True)
    ]
    spine, tie = layout.spine_joint, layout.tie_joint
    return (*arcs, *spine.face_openings(*_spine_line(layout)), *tie.face_openings(*_tie_line(layout)))


def _holes(layout: Layout) -> tuple[Hole, ...]:
    spine, tie = layout.spine_joint, layout.tie_joint
    return (
        *spine.face_holes(*_spine_line(layout), Face.FRONT),
        *tie.face_holes(*_tie_line(layout), Face.FRONT),
    )


def _scale(layout: Layout) -> tuple[Path, ...]:
    """Degree marks outside the lower slot: a coarse reading of the bed's angle; the set block gives the fine one."""
    pin = layout.pins[1]
    rest, size = math.atan2(pin.y, pin.x), pin.length() + layout.pin.washer_diameter / 2.0 + 1.5
    marks = []
    for degree in range(math.ceil(layout.spec.angle_low), math.floor(layout.spec.angle_high) + 1):
        angle = rest + math.radians(degree)
        out = P2(math.cos(angle), math.sin(angle))
        marks.append(polyline([out.times(size), out.times(size + (5.0 if degree == 0 else 3.0))]))
    return tuple(marks)


def _texts(layout: Layout, title: str, flip: Transform) -> tuple[EngravedText, ...]:
    u = (layout.cheek_back + layout.cheek_front_at(layout.cheek_foot)) / 2.0
    return (
        EngravedText(title.upper(), flip.apply(P2(u, layout.cheek_foot + 6.0)), 4.0),
        EngravedText(
            "UP", flip.apply(P2(layout.cheek_front - layout.spec.cheek_depth / 3.0, layout.pivot_depth - 26.0)), 4.0
        ),
    )


def _dimensions(layout: Layout, flip: Transform, outline: Path) -> tuple[Dimension, ...]:
    front, back = (Side.LEFT, Side.RIGHT) if flip.mirrors else (Side.RIGHT, Side.LEFT)
    top, foot = layout.pivot_depth, layout.cheek_foot
    box = outline.box()
    found = [
        dims.across(
            "cheek_depth",
            flip.apply(P2(layout.cheek_back, foot)),
            flip.apply(P2(layout.cheek_front, 0.0)),
            layout.spec.cheek_depth,
            Side.BELOW,
        ),
        dims.along(
            "cheek_height",
            flip.apply(P2(layout.cheek_back, foot)),
            flip.apply(P2(layout.cheek_back, top)),
            top - foot,
            back,
        ),
        dims.along(
            "pivot_below_top",
            P2(0.0, 0.0),
            flip.apply(P2(layout.cheek_front, top)),
            top,
            front,
            _ARC,
            "pivot: the join line",
        ),
        dims.across(
            "pivot_before_cheek",
            flip.apply(P2(layout.cheek_front, 0.0)),
            P2(0.0, 0.0),
            -layout.cheek_front,
            Side.ABOVE,
            _ARC,
        ),
    ]
    if box.y1 > top + 0.5:
        a = layout.plate_joint.tabs[0]
        tab = flip.apply(P2(layout.cheek_front - a, box.y1))
        found.append(dims.along("tab_height", P2(tab.x, top), tab, box.y1 - top, front))
    for name, pin in zip(("upper_pin_radius", "lower_pin_radius"), layout.pins, strict=True):
        end = flip.apply(pin)
        found.append(
            Dimension(
                name, DimKind.ALIGNED, (P2(0.0, 0.0), end), pin.length(), Side.INSIDE, _ARC, note="slot centre line"
            )
        )
    return (*found, *_slot_widths(layout, flip))


def _slot_widths(layout: Layout, flip: Transform) -> tuple[Dimension, ...]:
    """The arc slots' width, across the end of each that the bed's highest angle brings the pin to."""
    found = []
    for name, pin in zip(("upper_slot_width", "lower_slot_width"), layout.pins, strict=True):
        end = Transform.rotate(layout.spec.angle_high).apply(pin)
        half = end.unit().times(layout.pin_hole / 2.0)
        points = (flip.apply(end.minus(half)), flip.apply(end.plus(half)))
        found.append(Dimension(name, DimKind.ALIGNED, points, layout.pin_hole, Side.INSIDE, _SLOT))
    return tuple(found)
