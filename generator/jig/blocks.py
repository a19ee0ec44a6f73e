"""The depth blocks, and the shims behind the angle rest.

A depth block's bar is exactly the depth of cut high; its notch is the plate and the cut for a fixed base.
"""

from __future__ import annotations

from generator.base.annotation import EngravedText, Side, Tolerance
from generator.base.contours2d import Path
from generator.base.geometry3d import P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.base.points2d import P2
from generator.base.shapes2d import polygon, rectangle, rounded_polygon
from generator.base.units import format_mm
from generator.jig import dims
from generator.jig.fixings import board_to_angle_rest
from generator.jig.layout import Layout
from generator.jig.part import Part
from generator.jig.record import Record
from generator.jig.traits import Leg, Shimmed, ShopSheet, Traits, WayIn
from generator.joint.cradle import shim_stock

#: Radius of an inner corner, mm: cutters reach it.
_INNER_RADIUS = 3.0
#: How deep a shim's slots are, and so how far it comes down onto the screws, mm.
_SLOT = 20.0
#: A shim stands out above the rest by this, mm.
_GRIP = 10.0
#: A shim's slots are wider than the screws by this, mm.
_SLOT_PLAY = 1.0
#: Tolerance of the height of a depth block's bar and of its notch, mm.
_DEPTH = Tolerance(-0.1, 0.1, "depth of cut")


def depth_block(layout: Layout) -> Part:
    """The block for the deeper cut, and for the other too unless a second one is asked for."""
    return _depth_block(layout, DEPTH_BLOCK.name, "Depth block", layout.solution.joint.depth_of_cut)


def has_second_depth_block(layout: Layout) -> bool:
    """True where the job asks for a second one."""
    return layout.spec.second_depth_block


def second_depth_block(layout: Layout) -> Part:
    """The second depth block: what is routed on the neck, at its finished projection."""
    neck = layout.solution.joint.neck_outline
    return _depth_block(layout, SECOND_DEPTH_BLOCK.name, f"Depth block, {neck.name}", neck.depth)


def _depth_block(layout: Layout, name: str, title: str, depth: float) -> Part:
    gate = layout.solution.job.router.bushing_od + 20.0
    foot, arm, notch = 14.0, 30.0, layout.thick.plate + depth
    return Part(
        name=name,
        title=title,
        stock=layout.spec.rest_stock,
        thickness=layout.thick.rest,
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
        shop_dimensions=(
            dims.across("first_foot", P2(0.0, 0.0), P2(foot, 0.0), foot, Side.BELOW),
            dims.across("second_foot", P2(foot + gate, 0.0), P2(2.0 * foot + gate, 0.0), foot, Side.BELOW),
            dims.radius(
                "inner_radius",
                P2(foot + _INNER_RADIUS, notch - _INNER_RADIUS),
                _INNER_RADIUS,
                135.0,
                count=3,
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


def nominal_shim(layout: Layout) -> Part:
    """The shim that lies behind the angle rest at the nominal setting."""
    size = layout.spec.nominal_shim
    return _shim(layout, size, shim_stock(layout.spec.shims, size).count(size))


def trim_shims(layout: Layout) -> tuple[Part, ...]:
    """The shims that trim the angle besides, one part a thickness."""
    nominal = layout.spec.nominal_shim
    stock = shim_stock(layout.spec.shims, nominal)
    return tuple(_shim(layout, size, stock.count(size)) for size in dict.fromkeys(stock) if size != nominal)


def nominal_shim_placement(layout: Layout) -> Placement:
    """The nominal shim between board and angle rest."""
    return Placement(P3(-layout.board.face, 0.0, -layout.rests.angle_level), Y_AXIS.times(-1.0), Z_AXIS)


def shim_slot(layout: Layout) -> float:
    """Width of a shim's slot over a screw, mm: its end is drilled."""
    return layout.screws.own.diameter + _SLOT_PLAY


def _shim(layout: Layout, size: float, count: int) -> Part:
    """A shim as long as the rest, with a slot from below over each screw; its origin lies between the screws."""
    half, low = layout.spec.rest_length / 2.0, -layout.thick.rest / 2.0
    high = low + layout.thick.rest + _GRIP
    screw = abs(board_to_angle_rest(layout).heads[0].y)
    slot = shim_slot(layout) / 2.0
    top = slot
    corners = [P2(-half, low)]
    for y in (-screw, screw):
        corners += [P2(y - slot, low), P2(y - slot, top), P2(y + slot, top), P2(y + slot, low)]
    corners += [P2(half, low), P2(half, high), P2(-half, high)]
    box = rectangle(-half, low, half, high).box()
    return Part(
        name=f"{NOMINAL_SHIM.name}_{format_mm(size).replace('.', '_')}",
        title=f"Shim {format_mm(size)}",
        stock=layout.spec.shim_stock,
        thickness=size,
        outline=polygon(corners),
        dimensions=(
            *dims.overall(box, "shim_length", "shim_height", 2.0 * half, high - low),
            dims.across("slots_apart", P2(-screw, top), P2(screw, top), 2.0 * screw, Side.ABOVE),
            dims.across("slot_width", P2(screw - slot, low), P2(screw + slot, low), 2.0 * slot, Side.BELOW),
        ),
        quantity=count,
        purpose="behind the angle rest: loosen its two screws, slide it in from above",
    )


#: Both depth blocks: the joint is read off them, and shims on one of them make up a depth.
_BLOCK = Traits(
    decides_joint=True,
    shimmed=Shimmed("depth_block", "on the one at hand to set a plunge"),
    shop_sheet=ShopSheet.PLUG_AND_BLOCKS,
)
#: The block for the deeper cut, or for both cuts.
DEPTH_BLOCK = Record("depth_block", depth_block, _BLOCK)
#: The block for the other cut, where the job asks for one of its own.
SECOND_DEPTH_BLOCK = Record("depth_block_tenon", second_depth_block, _BLOCK, when=has_second_depth_block)
#: All shims: snipped to shape, slid in from above behind the angle rest in step 7.
_SHIM = Traits(
    shim=True,
    way_in=WayIn(7, (Leg(X_AXIS), Leg(Z_AXIS.times(-1.0), _SLOT))),
    shop_sheet=ShopSheet.RESTS,
)
#: The shim behind the angle rest at the nominal setting.
NOMINAL_SHIM = Record("trim_shim", nominal_shim, _SHIM, stands=nominal_shim_placement)
#: The shims of every other thickness, which trim the angle: one part a thickness.
TRIM_SHIMS = Record(NOMINAL_SHIM.name, trim_shims, _SHIM)
