"""The cradle: where the bed pivots, how its angle is set with a block, and where the body comes to lie.

Lengths mm, angles degrees. *Bed angle*: the bed against the square to the plate, positive when its lower end moves
away from the frame (jig +X). *Depth* is measured below the plate's underside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

from generator.joint import Joint
from generator.model.jig import JigSpec
from generator.neckset import NeckSet
from generator.top import seat

#: No block may be thinner than this, mm: it would not clamp flat.
LEAST_BLOCK = 5.0
#: Each trim shim is made twice, so that every tenth up to their sum can be laid.
SHIM_COPIES = 2


@dataclass(frozen=True)
class Cradle:
    """The bed's pivot, its sine setting for neck and body, and the depth blocks. Lengths mm, angles degrees.

    `base` is the block at bed angle zero, `set_block` the neck's, `body_block` the body's; `body_join_x` the jig X at
    which the body's join comes to lie, `rest_depth` the depth at which the body bears on the rest. `bed_top_depth`
    is the depth of the bed's upper edge at angle zero. `tenon_depth_block` exists only where a second block is asked.
    """

    sine_distance: float
    nose_offset: float
    base: float
    pivot_depth: float
    neck_bed_angle: float
    body_bed_angle: float
    set_block: float
    body_block: float
    thinnest_block: float
    body_join_x: float
    bed_top_depth: float
    rest_thickness: float
    rest_depth: float
    depth_block: float
    tenon_depth_block: float | None

    def block(self, bed_angle: float) -> float:
        """Height (mm) of the block that sets the bed at `bed_angle` degrees."""
        return block_height(bed_angle, self.base, self.sine_distance, self.nose_offset)

    def angle(self, block: float) -> float:
        """Bed angle (degrees) that a block of `block` mm sets."""
        return angle_of_block(block, self.base, self.sine_distance, self.nose_offset)

    @property
    def block_lever(self) -> float:
        """Block height per radian of bed angle at the neck's setting, mm."""
        turn = math.radians(self.neck_bed_angle)
        return self.sine_distance * math.cos(turn) + self.nose_offset * math.sin(turn)


def block_height(bed_angle: float, base: float, sine_distance: float, nose_offset: float) -> float:
    """Block (mm) under the nose at a bed angle (degrees): base + p·sin a + c·(1 − cos a).

    The nose's centre stands `sine_distance` p below the pivot along the bed and `nose_offset` c behind its face; its
    radius cancels.
    """
    turn = math.radians(bed_angle)
    return base + sine_distance * math.sin(turn) + nose_offset * (1.0 - math.cos(turn))


def angle_of_block(block: float, base: float, sine_distance: float, nose_offset: float) -> float:
    """Bed angle (degrees) a block (mm) sets: the inverse of `block_height`, for angles within ±90°.

    p·sin a − c·cos a is one sine of amplitude √(p² + c²), so the angle follows without iteration.
    """
    reach = math.hypot(sine_distance, nose_offset)
    rise = (block - base - nose_offset) / reach
    return math.degrees(math.asin(rise) + math.atan2(nose_offset, sine_distance))


def shim_stack(change: float, shims: tuple[float, ...]) -> tuple[float, ...]:
    """The fewest shims (mm, thickest first) whose sum comes nearest to `change` mm; `SHIM_COPIES` of each at hand."""
    stock = sorted(shims * SHIM_COPIES, reverse=True)
    if change > math.fsum(stock):
        return tuple(stock)
    stacks = (stack for count in range(len(stock) + 1) for stack in combinations(stock, count))
    return min(stacks, key=lambda stack: (round(abs(math.fsum(stack) - change), 9), len(stack)))


def bed_top_below_pivot(spec: JigSpec, cut_below_pivot: float, bed_thickness: float) -> float:
    """How far the bed's upper edge lies below the pivot along the bed, mm.

    So that at every angle of the range neither the edge's back corner nor the rest strip's front one rises nearer
    than `bed_clearance` to the floor of the deepest cut, `cut_below_pivot` mm below the pivot.
    """
    needed = 0.0
    for angle in (spec.angle_low, 0.0, spec.angle_high):
        turn = math.radians(angle)
        lift = max(0.0, -bed_thickness * math.sin(turn), spec.rest_thickness * math.sin(turn))
        needed = max(needed, (cut_below_pivot + spec.bed_clearance + lift) / math.cos(turn))
    return needed


def body_join_x(
    neck_set: NeckSet, bed_angle: float, rest_depth: float, rest_thickness: float, pivot_depth: float, height: float
) -> float:
    """Jig X (mm) of the body's join when its top bears on the rest at `rest_depth` and its end face on the plate.

    `height` is the seat's over the join there. Heights are taken square to the rim plane at the rest; on domes of 15 ft
    and more that is right within 0.01 mm for end faces tilted up to 2 degrees and within 0.03 mm up to 5 degrees.
    """
    turn, tilt = math.radians(bed_angle), math.radians(neck_set.end_face_tilt)
    return (
        (rest_depth - pivot_depth) * math.tan(turn)
        + rest_thickness / math.cos(turn)
        + height
        - rest_depth * math.tan(tilt)
    )


def solve_cradle(spec: JigSpec, neck_set: NeckSet, joint: Joint, *, bed_thickness: float) -> Cradle:
    """The cradle's settings for a neck set.

    The pivot stands at the shoulder's depth, so that changing the angle moves neither the join nor the tenon's length.
    The body's bed angle follows the slope of the strip's seat on the top.
    """
    pivot = joint.tenon_projection_routed
    bed_top = pivot + bed_top_below_pivot(spec, joint.mortise_depth - pivot, bed_thickness)
    rest_depth = bed_top + spec.rest_height / 2.0
    bears = seat(neck_set.top, bed_top, bed_top + spec.rest_height)
    body_angle = neck_set.end_face_tilt - math.degrees(math.atan(bears.slope))

    def block(angle: float) -> float:
        return block_height(angle, spec.block_at_zero, spec.sine_distance, spec.nose_offset)

    return Cradle(
        sine_distance=spec.sine_distance,
        nose_offset=spec.nose_offset,
        base=spec.block_at_zero,
        pivot_depth=pivot,
        neck_bed_angle=neck_set.cradle_angle,
        body_bed_angle=body_angle,
        set_block=block(neck_set.cradle_angle),
        body_block=block(body_angle),
        thinnest_block=min(block(spec.angle_low), block(neck_set.cradle_angle), block(body_angle)),
        body_join_x=body_join_x(neck_set, body_angle, rest_depth, spec.rest_thickness, pivot, bears.height),
        bed_top_depth=bed_top,
        rest_thickness=spec.rest_thickness,
        rest_depth=rest_depth,
        depth_block=joint.mortise_depth,
        tenon_depth_block=pivot if spec.second_depth_block else None,
    )
