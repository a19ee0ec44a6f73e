"""Where things stand in the jig frame: the stations that formulas and parts share, and how the work maps into it.

Jig frame, mm: X from the bed's face towards the back of the guitar, Y along the bed, Z up, origin on the plate's
underside. Body frame: origin at the join, x towards the tail in the rim plane, z out of the top, y completes it.
Neck and body are both presented end-on, so one is the mirror image of the other in Y: anything off the centreline
goes through the maps here and is never copied.
"""

from __future__ import annotations

import math

from generator.cradle import Cradle
from generator.geometry3d import P3
from generator.joint import Joint
from generator.model.job import Job
from generator.model.stock import Stock
from generator.neckset import NeckSet
from generator.routing import Routing
from generator.stiffness import Board, JigBody, PlateStand, Sheet, Tongue, TongueHold
from generator.tolerance import Chain

#: Room between the window and a rail, and between a cheek and a rail beside it, mm.
_RAIL_ROOM = 2.0
#: How far behind the cheeks' front edge the rails reach: short of the pins' wing nuts.
_RAIL_LAP = 24.0


def fence_offset(job: Job) -> float:
    """Distance (mm) of each fence line (jig X = 0) from the plate's middle: the frame's middle lies there."""
    return job.stock("bed").actual_thickness + job.jig.cheek_gap + job.jig.cheek_depth / 2.0


def rail_inner(job: Job, routing: Routing) -> float:
    """|Y| (mm) of the rails' inner faces: outside the window and outside the cheeks."""
    cheeks = job.jig.cheek_inner + job.stock("cheek").actual_thickness
    return max(routing.window_half_width, cheeks) + _RAIL_ROOM


def rail_start(job: Job) -> float:
    """Jig X (mm) where the rails begin, tenon half over the work: they lap the cheeks' front."""
    return -(job.stock("bed").actual_thickness + job.jig.cheek_gap + _RAIL_LAP)


def plate_half_length(job: Job, routing: Routing) -> float:
    """Half the plate's length (mm): the longer of the two openings, and the end margin."""
    return fence_offset(job) + max(routing.opening_length, routing.window_end) + job.jig.margin_end


def plate_half_width(job: Job, routing: Routing) -> float:
    """Half the plate's width (mm): the window with its side margin, or the rails."""
    rails = rail_inner(job, routing) + job.stock("rail").actual_thickness + job.jig.corner_radius
    return max(routing.window_half_width + job.jig.margin_side, rails)


def cheek_front(job: Job) -> float:
    """Jig X (mm) of the cheeks' front edge at the plate, behind the bed."""
    return -(job.stock("bed").actual_thickness + job.jig.cheek_gap)


def rail_height(job: Job, joint: Joint) -> float:
    """Height (mm) of the rails under the plate: a little less than the cut is deep."""
    return joint.mortise_depth - job.jig.rail_gap


def sheet_of(stock: Stock) -> Sheet:
    """A stock as the stiffness formulas take it."""
    return Sheet(stock.actual_thickness, stock.youngs_modulus, stock.shear_modulus, stock.rolling_shear_modulus)


def jig_body(job: Job, joint: Joint, routing: Routing) -> JigBody:
    """What of the job's jig decides its stiffness. The rails do not reach into the frame, so they are no brackets."""
    plate, spec = job.stock("plate"), job.jig
    half, held = plate_half_width(job, routing), cheek_front(job)
    end = routing.window_end if spec.bridged else routing.tongue_length
    hold = TongueHold.BRIDGED if spec.bridged else TongueHold.PINNED if spec.tip_pin else TongueHold.FREE
    return JigBody(
        stand=PlateStand(
            plate=sheet_of(plate),
            overhang=routing.tongue_length - held,
            strip_width=half - routing.window_half_width,
            half_width=half,
            seat=spec.cheek_depth,
        ),
        tongue=Tongue(sheet_of(plate), routing.tongue_width, end - routing.opening_start),
        board=Board(sheet_of(job.stock("bed")), spec.bed_width, joint.mortise_depth + spec.sine_distance),
        hold=hold,
        router=job.router.kind,
    )


def error_chain(job: Job, neck_set: NeckSet, joint: Joint, cradle: Cradle, plate_give: float) -> Chain:
    """What carries the jig's errors to the saddle; `plate_give` in degrees, as worked out of the jig's stiffness."""
    return Chain(
        join_to_saddle=neck_set.join_to_saddle,
        set_angle=neck_set.set_angle,
        cradle_angle=neck_set.cradle_angle,
        rest_spacing=cradle.block_lever,
        heel_length=joint.heel_length,
        heel_width=joint.heel_width,
        plate_give=plate_give,
        eccentricity=job.router.eccentricity,
    )


def body_to_jig(point: P3, neck_set: NeckSet, cradle: Cradle) -> P3:
    """A point of the body (body frame) where it lies in the jig: end face on the plate, top against the rest."""
    along, into = _end_face(neck_set)
    return P3(cradle.body_join_x + point.dot(along), -point.y, -point.dot(into))


def neck_to_jig(point: P3, neck_set: NeckSet, joint: Joint, cradle: Cradle) -> P3:
    """A point of the neck, given in the body frame as it stands once fitted, where it lies in the jig to be cut.

    The neck plane lies on the bed, and the finished shoulder `tenon_projection_routed` below the plate.
    """
    along, into = _end_face(neck_set)
    top = neck_set.overstand_along_face
    on_shoulder = point.minus(P3(-along.x * top, 0.0, -along.z * top))
    depth = joint.tenon_projection_routed
    shift = (depth - cradle.pivot_depth) * math.tan(math.radians(neck_set.cradle_angle))
    return P3(shift + on_shoulder.dot(along), point.y, on_shoulder.dot(into) - depth)


def _end_face(neck_set: NeckSet) -> tuple[P3, P3]:
    """Unit directions in the body frame: down the end face, and square to it into the body."""
    tilt = math.radians(neck_set.end_face_tilt)
    return P3(math.sin(tilt), 0.0, -math.cos(tilt)), P3(math.cos(tilt), 0.0, math.sin(tilt))
