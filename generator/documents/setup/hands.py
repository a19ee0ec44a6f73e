"""Sizes that hands need beside the joint's own: what to buy, to saw from scrap, to hold up and to drill. Lengths mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.cutting.nesting import nest
from generator.jig.layout import Layout
from generator.jig.part import Jig
from generator.jig.plug import hang_from_top
from generator.joint.router_template import NUT_ROOM
from generator.joint.solution import Solution
from generator.joint.stations import Use, caul_top

#: Shank held in the collet, at least (common practice).
_IN_COLLET = 25.0
#: Offcuts of the scrap joint are longer than what they must reach by this.
_OFFCUT_MORE = 10.0
#: A backing strip is thinner than its room by this, and the card behind it takes the rest up.
_STRIP_PLAY = 1.0
#: The lower layer of a hand-made plate keeps back from the upper one's edges by this.
LOWER_KEEPS_BACK = 2.0
#: The upper layer is thicker than the bushing's barrel is long by this.
_PAST_BARREL = 0.5
#: A piece to buy is larger than what is cut out of it by this, every way.
_SAW_ROOM = 10.0
#: Angles and clearances smaller than this are nothing at the bench, degrees and mm.
NOTHING = 0.005
#: The feeler that must not enter at the rests; what widths and flatness must hold, and the teeth in line.
FEELER, CLOSE, IN_LINE = 0.05, 0.05, 0.1


@dataclass(frozen=True)
class Block3:
    """A squared piece of wood: along the neck or body, across it, and through it from top to back."""

    long: float
    wide: float
    deep: float


def bit_length(solution: Solution) -> float:
    """Least overall length (mm) of the bit to buy: reach, room under the nut, and the shank in the collet."""
    return solution.routing.reach_needed + NUT_ROOM + _IN_COLLET


def neck_offcut(solution: Solution) -> Block3:
    """The offcut that plays the neck: it lies on both rests and carries the whole joint."""
    cradle, joint = solution.cradle, solution.joint
    long = cradle.angle_rest_depth + cradle.rest_thickness + _OFFCUT_MORE
    deep = joint.neck_outline.length + _OFFCUT_MORE if joint.stands else joint.heel_blank
    return Block3(long, joint.heel_width, min(deep, joint.heel_blank))


def body_offcut(solution: Solution) -> Block3:
    """The offcut that plays the body: its top on the body rest, its end face under the whole opening."""
    cradle, joint = solution.cradle, solution.joint
    return Block3(
        cradle.rest_depth + cradle.rest_thickness + solution.job.jig.caul_height + _OFFCUT_MORE,
        solution.job.instrument.neck_block_width,
        joint.cut_in_body.length + _OFFCUT_MORE,
    )


def backing_strip(layout: Layout) -> Block3:
    """Scrap between board and work, standing on the rest: length across, height, thickness. It takes the bit's exit."""
    cradle = layout.cradle
    room = cradle.upper_rest + min(0.0, cradle.neck_plane_x(0.0))
    thick = math.floor((room - _STRIP_PLAY) * 10.0 + 1e-9) / 10.0
    long = min(layout.solution.joint.heel_blank_width + _OFFCUT_MORE, 2.0 * layout.bracket.inner - 1.0)
    return Block3(long, cradle.rest_depth, thick)


def tip_pilot_from_face(layout: Layout) -> float:
    """Where the tip screw's, or the heel stop's, pilot goes on the sawn end, mm from the gluing face."""
    return layout.screws.tip_x - layout.cradle.neck_plane_x(0.0)


def plug_pilot_from_top(layout: Layout) -> float:
    """Where the plug's screw goes on the body's end face, mm below its top edge."""
    return hang_from_top(layout)


def rest_difference(layout: Layout) -> float:
    """What a square's blade on one rest leaves at the other's working edge, mm: p·tan of the angle."""
    return layout.cradle.angle_rest - layout.cradle.upper_rest


def caul_depths(layout: Layout) -> tuple[float, float]:
    """Depth of the caul's upper edge below the plate behind a neck and behind a body, mm."""
    job, cradle = layout.solution.job, layout.cradle
    return caul_top(job, cradle, Use.NECK), caul_top(job, cradle, Use.BODY)


# --- a plate made by hand ------------------------------------------------------------------------------------------


def layers(layout: Layout) -> tuple[float, float]:
    """Thickness (mm) of the upper and the lower layer of a hand-made plate; the upper one is as thick as the barrel."""
    whole = layout.thick.plate
    upper = max(whole / 2.0, layout.solution.job.router.bushing_length + _PAST_BARREL)
    return upper, whole - upper


def packing(layout: Layout) -> float:
    """Thickness (mm) of the packing that centres the tongue's strip between the window's sides."""
    return layout.routing.window_half_width - layout.routing.tongue_width / 2.0


# --- what to drill with, and of what to saw ------------------------------------------------------------------------


@dataclass(frozen=True)
class Drills:
    """What the jig's holes are drilled with, mm, smallest first: bores, seats of heads with a flat floor, and cones."""

    bores: tuple[float, ...]
    flats: tuple[float, ...]
    cones: tuple[float, ...]


def jig_drills(layout: Layout, jig: Jig) -> Drills:
    """What drills the jig's own parts and the pilot of the tip screw; guides and shims come with their holes."""
    job = layout.solution.job
    parts = [part for part in jig.parts if part.stock not in (job.jig.guide_stock, job.jig.shim_stock)]
    holes = [hole for part in parts for hole in (*part.holes, *(edge.drilled for edge in part.edge_holes))]
    bolts = set(bolt_drills(layout.solution))
    blind = {hole.diameter for hole in holes if hole.depth is not None and hole.diameter > layout.screws.own.clearance}
    bores = {hole.diameter for hole in holes} - bolts - blind | {layout.screws.tip.pilot}
    flats = blind | {hole.counterbore_diameter for hole in holes if hole.counterbore_diameter}
    cones = {hole.countersink_diameter for hole in holes if hole.countersink_diameter}
    return Drills(*(tuple(sorted(found)) for found in (bores, flats, cones)))


def bolt_drills(solution: Solution) -> tuple[float, ...]:
    """Every drill the joint's bolts ask for, mm, thinnest first."""
    found = {size for bolt in solution.joint.bolts for size in (bolt.clearance_hole, bolt.pilot_hole, bolt.cross_hole)}
    return tuple(sorted(size for size in found if size))


@dataclass(frozen=True)
class Sawn:
    """A stock with its pieces: title, count and sawn size, and the least rectangle that holds them all, mm."""

    stock: str
    thickness: float
    pieces: tuple[tuple[str, int, float, float], ...]
    sheets: int
    long: float
    wide: float


def sawn_stock(layout: Layout, jig: Jig) -> tuple[Sawn, ...]:
    """Every stock of the jig but the shims', its pieces as the cutting files lay them out."""
    job = layout.solution.job
    found = []
    for name in dict.fromkeys(part.stock for part in jig.parts if part.stock != job.jig.shim_stock):
        parts = [part for part in jig.parts if part.stock == name]
        stock = job.stocks[name]
        sheets = nest(parts, stock)
        boxes = [place.part.outline.transformed(place.transform).box() for place in sheets[-1].places]
        found.append(
            Sawn(
                name,
                stock.actual_thickness,
                tuple((part.title, part.quantity, max(part.size[:2]), min(part.size[:2])) for part in parts),
                len(sheets),
                _up(max(box.x1 for box in boxes) + _SAW_ROOM),
                _up(max(box.y1 for box in boxes) + _SAW_ROOM),
            )
        )
    return tuple(found)


def _up(length: float) -> float:
    """To the next whole centimetre."""
    return 10.0 * math.ceil(length / 10.0 - 1e-9)
