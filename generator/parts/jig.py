"""The whole jig of one job: its parts, where each stands, what must be bought, and how it goes together."""

from __future__ import annotations

from dataclasses import replace

from generator.geometry3d import Placement
from generator.parts.base import Jig, Part, Placed
from generator.parts.bed import bed, bed_placement
from generator.parts.blocks import (
    body_block,
    depth_block,
    set_block,
    set_block_placement,
    tenon_depth_block,
    trim_shims,
)
from generator.parts.body_rest import body_rest, has_rest, rest_placements
from generator.parts.cheek import cheek_left, cheek_placements, cheek_right
from generator.parts.frame_boards import ledge_placement, spine, spine_placement, stop_ledge, tie, tie_placement
from generator.parts.gauges import bushing_slip, centre_sight, drill_guide, gap_gauge, has_gap_gauge, story_stick
from generator.parts.hardware import assembly_steps, hardware
from generator.parts.heel_bevel import heel_bevel
from generator.parts.holders import hold_down_bar, hold_down_placement, side_stop, side_stop_placements
from generator.parts.laser_coupon import laser_coupons
from generator.parts.layout import Layout, jig_layout
from generator.parts.lettering import settled_lettering
from generator.parts.rail import rail, rail_placements
from generator.parts.rib import rib, rib_placements
from generator.parts.standing import refuse_unbuildable
from generator.parts.template_plate import plate_placement, template_plate
from generator.parts.truss_key import truss_key, truss_key_placement, uses_key_strip
from generator.solution import Solution


def build_jig(solution: Solution) -> Jig:
    """Every part of the jig for `solution`; GeometryError names a part that cannot be made."""
    layout = jig_layout(solution)
    refuse_unbuildable(layout)
    standing = _standing(layout)
    parts: dict[str, Part] = {}
    for part in [*(item.part for item in standing), *_loose(layout)]:
        if part.name not in parts:
            parts[part.name] = settled_lettering(part)
    placed = tuple(replace(item, part=parts[item.part.name]) for item in standing)
    return Jig(tuple(parts.values()), placed, hardware(layout), assembly_steps(layout), layout.pivot_depth)


def _standing(layout: Layout) -> tuple[Placed, ...]:
    """The parts that stand together as the jig, at bed angle zero with the tenon half over the work."""
    cheeks, block = cheek_placements(layout), set_block_placement(layout)
    single: list[tuple[Part, Placement]] = [
        (template_plate(layout), plate_placement(layout)),
        (bed(layout), bed_placement(layout)),
        (cheek_left(layout), cheeks[0]),
        (cheek_right(layout), cheeks[1]),
        (spine(layout), spine_placement(layout)),
        (tie(layout), tie_placement(layout)),
        (stop_ledge(layout), ledge_placement(layout)),
        (set_block(layout), block),
        (body_block(layout), block),
        (hold_down_bar(layout), hold_down_placement(layout)),
    ]
    pairs: list[tuple[Part, tuple[Placement, Placement]]] = [
        (rib(layout), rib_placements(layout)),
        (rail(layout), rail_placements(layout)),
    ]
    if has_rest(layout):
        pairs.append((body_rest(layout), rest_placements(layout)))
    if layout.solution.job.instrument.truss_rod_slot_width is None:
        pairs.append((side_stop(layout), side_stop_placements(layout)))
    elif uses_key_strip(layout):
        single.append((truss_key(layout), truss_key_placement(layout)))
    found = [Placed(part, placement, part.name) for part, placement in single]
    for part, (left, right) in pairs:
        found += [Placed(part, left, f"{part.name}_left"), Placed(part, right, f"{part.name}_right")]
    return tuple(found)


def _loose(layout: Layout) -> tuple[Part, ...]:
    """Gauges, depth blocks, shims and the laser's coupons: used by hand, not part of the standing jig."""
    found = [depth_block(layout)]
    if layout.spec.second_depth_block:
        found.append(tenon_depth_block(layout))
    found += trim_shims(layout)
    if has_gap_gauge(layout):
        found.append(gap_gauge(layout))
    found += [centre_sight(layout), drill_guide(layout), bushing_slip(layout), story_stick(layout), heel_bevel(layout)]
    return (*found, *laser_coupons(layout))
