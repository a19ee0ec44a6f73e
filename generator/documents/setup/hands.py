"""Sizes that hands need beside the joint's own: what to buy, to saw from scrap, to hold up and to drill. Lengths mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

from generator.cutting.cut_lines import coupon_lines
from generator.cutting.nesting import nest
from generator.documents.setup.spelling import NOTHING
from generator.jig.blocks import shim_slot
from generator.jig.corner_gauge import tenon_corner
from generator.jig.gauges import wedge_heights
from generator.jig.hand_plate import HandPlate
from generator.jig.hardware import hang_bite, tip_bite
from generator.jig.laser_coupon import laser_coupon
from generator.jig.layout import Layout
from generator.jig.loose_screws import tip_from_face
from generator.jig.part import Jig
from generator.jig.plug import hang_from_top
from generator.jig.rests import zero_rest_width
from generator.jig.zero_square import BLOCKS, designed_room, square_stand
from generator.job.limits import HELD_BY_HAND, TEETH_IN_LINE
from generator.job.model.stock import Stock
from generator.joint.build_review import WEAR_LIMIT
from generator.joint.router_template import NUT_ROOM
from generator.joint.solution import Solution
from generator.joint.stations import Use, caul_top, clamp_opening, clamp_throat

#: Shank held in the collet, at least (common practice).
_IN_COLLET = 25.0
#: Offcuts of the scrap joint are longer than what they must reach by this.
_OFFCUT_MORE = 10.0
#: A backing strip is thinner than its room by this, and the card behind it takes the rest up.
_STRIP_PLAY = 1.0
#: The caul bears on flat wood, this much past its edge.
_FLAT_MORE = 5.0
#: A drill comes out in scrap by this, mm (common practice).
_INTO_SCRAP = 5.0
#: A chuck holds so much of a drill, mm (common practice).
_IN_CHUCK = 25.0
#: A piece to buy is larger than what is cut out of it by this, every way.
_SAW_ROOM = 10.0
#: A straightedge lies on the gluing face over this length, mm (common practice).
_ON_THE_NECK = 150.0
#: Straightedges are sold in steps of this length, mm (common practice).
_HUNDRED = 100.0
#: How far a change of the angle rest is told by its effect.
_SHIM_TOLD = 0.1


@dataclass(frozen=True)
class Bench:
    """What hands need that follows from a solved job and its jig's layout. Lengths mm."""

    layout: Layout

    #: The feeler that must not enter at the rests; what widths and flatness must hold, and the teeth in line.
    feeler: ClassVar[float] = 0.05
    close: ClassVar[float] = HELD_BY_HAND
    in_line: ClassVar[float] = TEETH_IN_LINE
    #: A free edge of the bench, at least: the jig's width and a clamp beside it (common practice).
    width: ClassVar[float] = 250.0
    #: The blocks of the zero check, and the wear at which a plate is made anew.
    square_blocks: ClassVar[float] = BLOCKS
    wear: ClassVar[float] = WEAR_LIMIT
    #: A tilt of the end face that changes the job.
    least_tilt: ClassVar[float] = 0.25

    @property
    def solution(self) -> Solution:
        return self.layout.solution

    # --- the router ------------------------------------------------------------------------------------------------

    @property
    def stick_out(self) -> float:
        """How far the bit's tip stands out of the nut, at least; a collet grips smooth shank only, never its edges."""
        return max(self.solution.routing.reach_needed + NUT_ROOM, self.solution.job.router.cutting_length)

    @property
    def bit_length(self) -> float:
        """Least overall length of the bit to buy: reach, room under the nut, and the shank in the collet."""
        return self.stick_out + _IN_COLLET

    @property
    def swing(self) -> float:
        """How far an eccentric bit's cut moves when the base is turned half round."""
        return 2.0 * self.solution.job.router.eccentricity

    # --- the work --------------------------------------------------------------------------------------------------

    @property
    def neck_offcut(self) -> tuple[float, float, float]:
        """The offcut that plays the neck, length, width, depth: it lies on both rests and carries the whole joint."""
        cradle, joint = self.solution.cradle, self.solution.joint
        long = cradle.angle_rest_depth + cradle.rest_thickness + _OFFCUT_MORE
        deep = joint.neck_outline.length + _OFFCUT_MORE if joint.stands else joint.heel_blank
        return long, joint.heel_width, min(deep, joint.heel_blank)

    @property
    def body_offcut(self) -> tuple[float, float, float]:
        """The offcut that plays the body: its top on the body rest, its end face under the whole opening."""
        job, cradle = self.solution.job, self.solution.cradle
        long = cradle.rest_depth + cradle.rest_thickness + job.jig.caul_height + _OFFCUT_MORE
        return long, job.instrument.neck_block_width, self.solution.joint.cut_in_body.length + _OFFCUT_MORE

    @property
    def block_floor(self) -> float:
        """What stays of the neck block under the body's cut."""
        return self.solution.job.instrument.neck_block_thickness - self.solution.joint.cut_in_body.depth

    @property
    def has_middle(self) -> bool:
        """Whether passes along the mortise's walls leave wood between them."""
        return self.solution.joint.cut_in_body.width > 2.0 * self.solution.job.router.bit_diameter

    @property
    def guide_off(self) -> float:
        """How far off the drill guide's flat end on the gluing face would mark a bolt on the tenon's end."""
        bolt = self.solution.joint.bolts[0]
        return abs(bolt.on_neck_end - bolt.from_top)

    @property
    def tenon_corner(self) -> float:
        """The least radius of a tenon's corners that clear the mortise's."""
        return tenon_corner(self.solution)

    @property
    def corners_need_easing(self) -> bool:
        """Whether the tenon's corners come off the jig tighter than that."""
        routed = self.solution.joint.neck_outline.corner_radius
        return self.solution.job.jig.bridged or routed < self.tenon_corner - NOTHING

    @property
    def end_left(self) -> float:
        """Air at the tenon's back end, the neck rise counted."""
        return self.solution.joint.end_room + self.solution.neck_set.neck_rise_along_face

    # --- the jig in use --------------------------------------------------------------------------------------------

    @property
    def strip(self) -> tuple[float, float]:
        """Backing strip between board and work, standing on the rest: length across, height."""
        long = min(self.solution.joint.heel_blank_width + _OFFCUT_MORE, 2.0 * self.layout.bracket.inner - 1.0)
        return long, self.layout.cradle.rest_depth

    @property
    def strip_thickness(self) -> float:
        """How thick it is: it takes the bit's exit, and card behind it the rest of the room."""
        cradle = self.layout.cradle
        room = cradle.upper_rest + min(0.0, cradle.neck_plane_x(0.0))
        return math.floor((room - _STRIP_PLAY) * 10.0 + 1e-9) / 10.0

    @property
    def tip_from_face(self) -> float:
        """Where the tip screw's, or the heel stop's, pilot goes on the sawn end, from the gluing face."""
        return tip_from_face(self.layout)

    @property
    def tip_in_scrap(self) -> float:
        """Where it goes on the scrap: over the zero rest its gluing face lies upright on the fence line."""
        return self.layout.screws.tip_x

    @property
    def scrap_tip_differs(self) -> bool:
        """Whether the two can be told apart."""
        return abs(self.tip_in_scrap - self.tip_from_face) > NOTHING

    @property
    def tip_bite(self) -> float:
        """How deep that pilot is."""
        return tip_bite(self.layout)

    @property
    def plug_from_top(self) -> float:
        """Where the plug's screw goes on the body's end face, below its top edge."""
        return hang_from_top(self.layout)

    @property
    def plug_bite(self) -> float:
        """How deep that screw's pilot is."""
        return hang_bite(self.layout)

    @property
    def rest_gap(self) -> float:
        """What a square's blade on the wider rest leaves at the other's working edge: p·tan of the angle."""
        return abs(self._apart)

    @property
    def wide_rest(self) -> str:
        """The rest that stands further out."""
        return "angle rest" if self._apart >= 0.0 else "upper rest"

    @property
    def narrow_rest(self) -> str:
        return "upper rest" if self._apart >= 0.0 else "angle rest"

    @property
    def _apart(self) -> float:
        return self.layout.cradle.angle_rest - self.layout.cradle.upper_rest

    @property
    def caul_neck(self) -> float:
        """Depth of the caul's upper edge below the plate behind a neck."""
        return caul_top(self.solution.job, self.layout.cradle, Use.NECK)

    @property
    def caul_body(self) -> float:
        """The same behind a body."""
        return caul_top(self.solution.job, self.layout.cradle, Use.BODY)

    @property
    def square_rule(self) -> float:
        """Length of the square's blade: of those that are sold the shortest that serves."""
        return square_stand(designed_room(self.layout)).rule

    @property
    def slot_open(self) -> float:
        """How far from the heel's end the truss-rod slot must be open for the upper rest's tooth."""
        return self.solution.cradle.rest_depth + self.solution.cradle.rest_thickness

    @property
    def slot_far(self) -> tuple[float, float]:
        """Between which distances from the heel's end it must be free for the angle rest's."""
        cradle = self.solution.cradle
        return cradle.angle_rest_depth, cradle.angle_rest_depth + cradle.rest_thickness

    @property
    def heel_flat(self) -> float:
        """How far from the sawn end the heel's back must still be flat, for the caul and a little more."""
        return self.caul_neck + self.solution.job.jig.caul_height + _FLAT_MORE

    @property
    def bolt_drill(self) -> float:
        """Least length of the bolts' drill: through crosspiece, plug and block into scrap, and what the chuck holds."""
        thick, block = self.layout.thick, self.solution.job.instrument.neck_block_thickness
        return thick.rest + thick.plate + block + _INTO_SCRAP + _IN_CHUCK

    @property
    def zero_rest(self) -> float:
        """Width of the zero rest: with the nominal shim behind it the neck plane stands upright."""
        return zero_rest_width(self.layout)

    @property
    def wedge_thick(self) -> float:
        """Height of the gap wedge where its taper ends."""
        return wedge_heights(self.layout)[1]

    @property
    def straightedge(self) -> float:
        """Length of the straightedge: past the saddle mark from well back on the gluing face."""
        return _HUNDRED * math.ceil((self.solution.neck_set.join_to_saddle + _ON_THE_NECK) / _HUNDRED)

    @property
    def tilt_told(self) -> float:
        """How far an end face is off over the body's depth by the least tilt that is told to the job."""
        return self.solution.job.instrument.body_depth_at_neck * math.tan(math.radians(self.least_tilt))

    @property
    def clamp_opening(self) -> float:
        """What the clamps at the work must open."""
        return clamp_opening(self.solution.job, self.solution.cradle, self.solution.joint)

    @property
    def throat(self) -> float:
        """From their jaw's middle to their bar."""
        return clamp_throat(self.solution.job, self.solution.cradle, self.solution.routing)

    @property
    def gap_per_shim(self) -> float:
        """What 0.1 mm more or less at the angle rest does to the saddle gap."""
        per_degree, spacing = self.solution.uncertainty.gap_per_degree, self.solution.cradle.rest_spacing
        return per_degree * math.degrees(_SHIM_TOLD / spacing)

    @property
    def sideways_share(self) -> float:
        """What of a miss at the saddle comes off the shoulder's edge."""
        return self.solution.joint.heel_width / self.solution.neck_set.join_to_saddle

    # --- a plate made by hand --------------------------------------------------------------------------------------

    @property
    def plate(self) -> HandPlate:
        """The plate as hands glue it up."""
        return HandPlate(self.layout)

    @property
    def plate_piece(self) -> tuple[float, float]:
        """A sheet to buy for each of its layers."""
        return _up(self.plate.length + _SAW_ROOM), _up(self.plate.width + _SAW_ROOM)


# --- what to drill with, and of what to saw ------------------------------------------------------------------------


@dataclass(frozen=True)
class Drills:
    """What the jig's holes are drilled with, mm, smallest first: bores, seats of heads with a flat floor, and cones."""

    bores: tuple[float, ...]
    flats: tuple[float, ...]
    cones: tuple[float, ...]


def jig_drills(layout: Layout, jig: Jig) -> Drills:
    """What drills the jig's own parts, the pilot of the tip screw and the ends of the shims' slots."""
    job = layout.solution.job
    parts = [part for part in jig.parts if part.stock not in (job.jig.guide_stock, job.jig.shim_stock)]
    holes = [hole for part in parts for hole in (*part.holes, *(edge.drilled for edge in part.edge_holes))]
    bolts = set(bolt_drills(layout.solution))
    blind = {hole.diameter for hole in holes if hole.depth is not None and hole.diameter > layout.screws.own.clearance}
    bores = {hole.diameter for hole in holes} - bolts - blind | {layout.screws.tip.pilot, shim_slot(layout)}
    flats = blind | {hole.counterbore_diameter for hole in holes if hole.counterbore_diameter}
    cones = {hole.countersink_diameter for hole in holes if hole.countersink_diameter}
    return Drills(*(tuple(sorted(found)) for found in (bores, flats, cones)))


def bolt_drills(solution: Solution) -> tuple[float, ...]:
    """Every drill the joint's bolts ask for, mm, thinnest first."""
    found = {size for bolt in solution.joint.bolts for size in (bolt.clearance_hole, bolt.pilot_hole, bolt.cross_hole)}
    return tuple(sorted(size for size in found if size))


@dataclass(frozen=True)
class Sawn:
    """A stock with its pieces, title and count, and the least rectangle that holds them all, mm."""

    stock: str
    thickness: float
    pieces: tuple[tuple[str, int], ...]
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
                tuple((part.title.lower(), part.quantity) for part in parts),
                len(sheets),
                _up(max(box.x1 for box in boxes) + _SAW_ROOM),
                _up(max(box.y1 for box in boxes) + _SAW_ROOM),
            )
        )
    return tuple(found)


def coupon_piece(stock: Stock) -> tuple[float, float]:
    """The least rectangle of a stock that holds its kerf coupons, mm."""
    boxes = [line.shape.box() for line in coupon_lines(laser_coupon(stock))]
    return _up(max(box.x1 for box in boxes) + _SAW_ROOM), _up(max(box.y1 for box in boxes) + _SAW_ROOM)


def _up(length: float) -> float:
    """To the next whole centimetre."""
    return 10.0 * math.ceil(length / 10.0 - 1e-9)
