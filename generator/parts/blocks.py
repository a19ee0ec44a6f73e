"""The blocks that set the jig: one for the neck's angle, one for the body's, and the depth blocks.

A set block hangs on the ledge by its hook; the width between its two faces is the setting, cut in the plane of the
sheet. Its origin is on the ledge's face, level with the nose. A depth block's bar is exactly the depth of cut high.
"""

from __future__ import annotations

import math

from generator.cradle import SHIM_COPIES
from generator.geometry2d import P2, Path, Vertex
from generator.geometry3d import P3, X_AXIS, Z_AXIS, Placement
from generator.parts import dims
from generator.parts.base import Carrier, EngravedText, Part, Side, Tolerance, Use
from generator.parts.layout import Layout
from generator.shapes2d import rectangle, rounded_polygon
from generator.units import format_mm

#: Radius of a relief in an inner corner that must seat, and of an inner corner that need not, mm: cutters reach both.
_RELIEF, _INNER_RADIUS = 1.5, 3.0
_SETTING = Tolerance(-0.05, 0.05, "0.05 mm here is about 0.1 mm at the saddle")
_DEPTH = Tolerance(-0.1, 0.1, "depth of cut")


def set_block(layout: Layout) -> Part:
    """The block that gives the neck's bed angle."""
    return _angle_block(layout, "set_block", "Set block, neck", layout.solution.cradle.set_block, Use.NECK, "NECK")


def body_block(layout: Layout) -> Part:
    """The block that gives the body's bed angle."""
    return _angle_block(layout, "body_block", "Set block, body", layout.solution.cradle.body_block, Use.BODY, "BODY")


def set_block_placement(layout: Layout) -> Placement:
    """Either set block, hung on the ledge in the jig's middle; sheet normal along −Y."""
    z = -layout.pivot_depth + layout.nose.y
    return Placement(P3(layout.ledge_front, layout.thick.block / 2.0, z), X_AXIS, Z_AXIS)


def depth_block(layout: Layout) -> Part:
    """The block for the mortise, and for the tenon too unless a second one is asked for."""
    return _depth_block(layout, "depth_block", "Depth block", layout.solution.joint.mortise_depth)


def tenon_depth_block(layout: Layout) -> Part:
    """The second depth block: the tenon at its finished projection."""
    return _depth_block(
        layout, "depth_block_tenon", "Depth block, tenon", layout.solution.joint.tenon_projection_routed
    )


def _angle_block(layout: Layout, name: str, title: str, setting: float, use: Use, label: str) -> Part:
    high = layout.spec.ledge_height / 2.0
    seat = layout.ledge_top - layout.nose.y + layout.spec.fit_play
    hook = min(layout.thick.cheek, 10.0)
    head = seat + 8.0
    corners = [
        P2(0.0, -high + 4.0),
        P2(setting, -high + 4.0),
        P2(setting, head),
        P2(-hook, head),
        P2(-hook, seat),
        P2(0.0, seat),
    ]
    outline = _relieved(rounded_polygon(corners, [0.0, 0.0, 2.0, 2.0, 0.0, 0.0]), P2(0.0, seat))
    return Part(
        name=name,
        title=title,
        stock=layout.spec.block_stock,
        thickness=layout.thick.block,
        outline=outline,
        engraved_texts=(EngravedText(f"{label} {format_mm(setting)}", P2(setting / 2.0, 0.0), 2.5, 90.0),),
        points={"nose_contact": P2(setting, 0.0)},
        dimensions=(
            dims.across(name, P2(0.0, -high + 4.0), P2(setting, -high + 4.0), setting, Side.BELOW, _SETTING),
            dims.along("block_height", P2(setting, -high + 4.0), P2(setting, head), head + high - 4.0, Side.RIGHT),
            dims.across("hook_length", P2(-hook, head), P2(0.0, seat), hook, Side.ABOVE),
        ),
        carrier=Carrier.FRAME,
        uses=frozenset({use}),
        purpose=f"sets the bed for the {label.lower()}: hangs on the ledge, the nose rod bears on it",
    )


def _relieved(outline: Path, corner: P2) -> Path:
    """`outline` with a round relief about an inner corner, so that what the corner sits on touches both its walls."""
    count = len(outline.vertices)
    vertices: list[Vertex] = []
    for i, vertex in enumerate(outline.vertices):
        if vertex.point.distance(corner) > 1e-9:
            vertices.append(vertex)
            continue
        into = corner.minus(outline.vertices[i - 1].point).unit()
        out = outline.vertices[(i + 1) % count].point.minus(corner).unit()
        # Three quarters of a circle, clockwise through the material.
        vertices.append(Vertex(*corner.minus(into.times(_RELIEF)), -math.tan(math.radians(270.0) / 4.0)))
        vertices.append(Vertex(*corner.plus(out.times(_RELIEF))))
    return Path(tuple(vertices))


def _depth_block(layout: Layout, name: str, title: str, depth: float) -> Part:
    gate = layout.solution.job.router.bushing_od + 20.0
    foot, arm, notch = 14.0, 30.0, layout.thick.plate + depth
    return Part(
        name=name,
        title=title,
        stock=layout.spec.block_stock,
        thickness=layout.thick.block,
        outline=_gate(gate, foot, arm, notch, depth),
        engraved_texts=(
            EngravedText(f"DEPTH {format_mm(depth)}", P2(foot + gate / 2.0, notch + depth / 2.0 + 2.5), 3.0),
            EngravedText("BIT TOUCHES HERE", P2(foot + gate / 2.0, notch + depth / 2.0 - 2.5), 2.5),
        ),
        dimensions=(
            dims.along(
                "depth_block",
                P2(2.0 * foot + gate + arm, notch),
                P2(2.0 * foot + gate + arm, notch + depth),
                depth,
                Side.RIGHT,
                _DEPTH,
            ),
            dims.along("fixed_base_notch", P2(0.0, 0.0), P2(foot, notch), notch, Side.LEFT, _DEPTH),
            dims.across("gate_width", P2(foot, 0.0), P2(foot + gate, 0.0), gate, Side.BELOW),
            dims.across(
                "depth_block_length",
                P2(0.0, notch + depth),
                P2(2.0 * foot + gate + arm, notch + depth),
                2.0 * foot + gate + arm,
                Side.ABOVE,
            ),
        ),
        purpose="plunge stop: the bar is the depth of cut; fixed base: stands over the bit on the upturned base",
    )


def _gate(gate: float, foot: float, arm: float, notch: float, depth: float) -> Path:
    """Two feet, a bar `depth` high over them, and an arm of the same height for the plunge stop."""
    end = 2.0 * foot + gate
    corners = [
        P2(0.0, 0.0),
        P2(foot, 0.0),
        P2(foot, notch),
        P2(foot + gate, notch),
        P2(foot + gate, 0.0),
        P2(end, 0.0),
        P2(end, notch),
        P2(end + arm, notch),
        P2(end + arm, notch + depth),
        P2(0.0, notch + depth),
    ]
    inner = _INNER_RADIUS
    return rounded_polygon(corners, [0.0, 0.0, inner, inner, 0.0, 0.0, inner, 0.0, 0.0, 0.0])


def trim_shims(layout: Layout) -> tuple[Part, ...]:
    """The small stack of shims that trims a set block; one part a thickness, on a ring through their holes."""
    wide, long = max(10.0, layout.thick.block), 60.0
    return tuple(
        Part(
            name=f"trim_shim_{format_mm(size).replace('.', '_')}",
            title=f"Trim shim {format_mm(size)}",
            stock=layout.spec.shim_stock,
            thickness=size,
            outline=rectangle(0.0, 0.0, wide, long, 2.0),
            dimensions=dims.overall(rectangle(0.0, 0.0, wide, long).box(), "shim_width", "shim_length", wide, long),
            quantity=SHIM_COPIES,
            carrier=Carrier.LOOSE,
            purpose="between ledge and set block; never cut freehand",
        )
        for size in layout.spec.shims
    )
