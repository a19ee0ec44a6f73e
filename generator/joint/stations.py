"""Where things stand in the jig: the stations that formulas and parts share, and how the work maps into it.

Two frames, mm. The *plate frame* is the jig's own: origin at the board's mid-plane on the plate's underside, x along
the plate (the body's half at x > 0), z up. The *jig frame* of a cut: X from the upper rest's (the body rest's) face
towards the back of the guitar, Y along the board, Z up. Neck and body are both presented end-on, so one is the mirror
image of the other in Y: anything off the centreline goes through the maps here and is never copied. Body frame: origin
at the join, x towards the tail in the rim plane, z out of the top, y completes it.
"""

from __future__ import annotations

import math
from enum import Enum

from generator.base.geometry3d import P3
from generator.job.fasteners import thread
from generator.job.model.job import Job
from generator.job.model.stock import Stock
from generator.joint.cradle import REST_INSIDE_BLOCK, Cradle
from generator.joint.joint import Joint
from generator.joint.neck_set import NeckSet
from generator.joint.router_template import Routing
from generator.joint.stiffness import Board, JigBody, PlateStand, PlySheet, Tongue, TongueHold
from generator.joint.tolerance import ErrorChain

#: Room between the window and a bracket, mm.
_BRACKET_ROOM = 2.0
#: A clamp's jaw beside the bracket is this wide, mm.
_JAW = 30.0
#: The board's width is a multiple of this, mm.
_BOARD_STEP = 5.0
#: The brackets' rails end this far before the plate's end, mm.
RAIL_SHORT = 12.0
#: Plate on the bench, at least, mm: two clamps outside the reach of the router's base.
PLATE_ON_BENCH = 80.0
#: Share of the rest spacing that the brackets' deep part covers below the upper rest's edge.
_FOOT_SHARE = 0.46
#: The jaws on the board's edges stand this far inside them, mm.
_JAW_MIDDLE = 15.0
#: A clamp's bar passes outside board and body by this, mm.
BAR_ROOM = 3.0
#: Height of a clamp's bar, mm (common practice, from memory).
_BAR_HIGH = 26.0
#: How fast a body's outline widens on either side below its neck block, mm per mm (common practice, from memory).
_WIDENS = 0.6
#: Pads and the clamp's own pad, mm.
_PADS = 10.0


class Use(Enum):
    """The two cuts, and with them the two ways round the jig stands on the bench."""

    NECK = "neck"
    BODY = "body"


def uses(joint: Joint) -> tuple[Use, ...]:
    """The cuts that a joint's jig makes: always the neck's, the body's where something is cut in it."""
    return (Use.NECK,) if joint.body_outline is None else tuple(Use)


def fence_offset(job: Job, cradle: Cradle) -> float:
    """Distance a (mm) of each cut's X = 0 from the board's mid-plane: half the board, and the rest in front of it."""
    return job.stock("board").actual_thickness / 2.0 + cradle.upper_rest


def plate_half_length(use: Use, job: Job, cradle: Cradle, routing: Routing) -> float:
    """The plate's length (mm) from the board's mid-plane to its end on the side of one cut."""
    far = routing.window_end if use is Use.NECK else routing.opening_length
    return max(fence_offset(job, cradle) + far + job.jig.margin_end, _least_half(job))


def _least_half(job: Job) -> float:
    return job.stock("board").actual_thickness / 2.0 + job.jig.bench_gap + PLATE_ON_BENCH


def plate_half_width(job: Job, routing: Routing) -> float:
    """Half the plate's width (mm): the window and its side margin."""
    return routing.window_half_width + job.jig.margin_side


def bracket_inner(routing: Routing) -> float:
    """|Y| (mm) of the brackets' inner faces: just outside the window."""
    return routing.window_half_width + _BRACKET_ROOM


def bracket_outer(job: Job, routing: Routing) -> float:
    """|Y| (mm) of the brackets' outer faces."""
    return bracket_inner(routing) + job.stock("bracket").actual_thickness


def bracket_length(job: Job, cradle: Cradle, routing: Routing) -> float:
    """Length (mm) of a bracket along the plate, from the board's face."""
    return plate_half_length(Use.NECK, job, cradle, routing) - job.stock("board").actual_thickness / 2.0 - RAIL_SHORT


def bracket_depth(cradle: Cradle) -> float:
    """Height (mm) of a bracket's deep part against the board."""
    return cradle.rest_depth + _FOOT_SHARE * cradle.rest_spacing


def board_width(job: Job, routing: Routing) -> float:
    """The board's width (mm): brackets and a clamp's jaw beside each, to the next multiple of 5."""
    needed = 2.0 * (bracket_outer(job, routing) + _JAW)
    return _BOARD_STEP * math.ceil(needed / _BOARD_STEP - 1e-9)


def jaw_y(job: Job, routing: Routing) -> float:
    """|Y| (mm) at which the clamps' jaws bite on board and caul."""
    return board_width(job, routing) / 2.0 - _JAW_MIDDLE


def body_rest_end(job: Job) -> float:
    """|Y| (mm) where the body rest ends, inside the neck block."""
    return job.instrument.neck_block_width / 2.0 - REST_INSIDE_BLOCK


def caul_top(job: Job, cradle: Cradle, use: Use) -> float:
    """Depth (mm) of the caul's upper edge: level with the upper rest behind a neck, centred on the body rest else.

    Between the rests the clamps would bend the neck and turn the heel against the plate.
    """
    if use is Use.NECK:
        return cradle.rest_depth
    return cradle.rest_depth + (cradle.rest_thickness - job.jig.caul_height) / 2.0


def caul_thickness(job: Job) -> float:
    """Thickness (mm) of the caul: two layers of its stock."""
    return 2.0 * job.stock("caul").actual_thickness


def clamp_opening(job: Job, cradle: Cradle, joint: Joint) -> float:
    """What the clamps at the work must open (mm): board, rest, the deeper of neck and body, caul and pads."""
    work = joint.heel_blank
    if Use.BODY in uses(joint):
        work = max(work, job.instrument.body_depth_at_neck)
    return job.stock("board").actual_thickness + cradle.upper_rest + work + caul_thickness(job) + _PADS


def clamp_throat(job: Job, cradle: Cradle, routing: Routing) -> float:
    """Jaw's middle to the clamp's bar (mm): the bar passes outside the board, and the shoulder of a body that is cut.

    The shoulder is known down to the neck block's depth; where the bar reaches deeper the body is wider.
    """
    if routing.opening is None:
        return board_width(job, routing) / 2.0 + BAR_ROOM - jaw_y(job, routing)
    foot = caul_top(job, cradle, Use.BODY) + (job.jig.caul_height + _BAR_HIGH) / 2.0
    widened = _WIDENS * max(0.0, foot - job.instrument.neck_block_thickness)
    outside = max(board_width(job, routing) / 2.0, job.instrument.shoulder_half_width + widened) + BAR_ROOM
    return outside - jaw_y(job, routing)


def to_plate(use: Use, point: P3, fence: float) -> P3:
    """A point of a cut's jig frame in the plate frame; `fence` is `fence_offset`, mm."""
    if use is Use.NECK:
        return P3(-fence - point.x, -point.y, point.z)
    return P3(fence + point.x, point.y, point.z)


def sheet_of(stock: Stock) -> PlySheet:
    """A stock as the stiffness formulas take it."""
    return PlySheet(stock.actual_thickness, stock.youngs_modulus, stock.shear_modulus, stock.rolling_shear_modulus)


def jig_body(job: Job, joint: Joint, cradle: Cradle, routing: Routing) -> JigBody:
    """What of the job's jig decides its stiffness."""
    plate, spec = job.stock("plate"), job.jig
    half, board = plate_half_width(job, routing), job.stock("board").actual_thickness
    end = routing.window_end if spec.bridged else routing.tongue_length
    tongue = Tongue(sheet_of(plate), routing.tongue_width, end - routing.opening_start)
    hold = TongueHold.BRIDGED if spec.bridged else TongueHold.PINNED if spec.tip_pin else TongueHold.FREE
    return JigBody(
        stand=PlateStand(
            plate=sheet_of(plate),
            overhang=fence_offset(job, cradle) - board / 2.0 + routing.guided_to,
            strip_width=half - routing.window_half_width,
            half_width=half,
            seat=board,
            bracket=sheet_of(job.stock("bracket")),
            rail_height=joint.rail_height,
            bracket_depth=bracket_depth(cradle),
            bracket_length=spec.bracket_foot,
        ),
        tongue=None if routing.tongue is None else tongue,
        board=Board(
            sheet_of(job.stock("board")),
            board_width(job, routing),
            cradle.angle_rest_depth + cradle.rest_thickness / 2.0,
        ),
        hold=hold,
        router=job.router.kind,
    )


def error_chain(job: Job, neck_set: NeckSet, joint: Joint, cradle: Cradle, plate_give: float) -> ErrorChain:
    """What carries the jig's errors to the saddle; `plate_give` in degrees, as worked out of the jig's stiffness."""
    return ErrorChain(
        join_to_saddle=neck_set.join_to_saddle,
        set_angle=neck_set.set_angle,
        cradle_angle=neck_set.cradle_angle,
        rest_spacing=cradle.rest_spacing,
        heel_length=joint.heel_length,
        heel_width=joint.heel_width,
        plate_give=plate_give,
        eccentricity=job.router.eccentricity,
        stand_off=cradle.stand_off_measured,
        bolt_room=None if joint.body_outline is not None else bolt_room(joint),
    )


def bolt_room(joint: Joint) -> float:
    """How far (mm) a bolt can stand off the middle of its hole in the neck block, every way."""
    bolt = joint.bolts[0]
    return (bolt.clearance_hole - thread(bolt.thread).diameter) / 2.0


def body_to_jig(point: P3, neck_set: NeckSet, cradle: Cradle) -> P3:
    """A point of the body (body frame) where it lies in the jig: end face on the plate, top against the body rest."""
    along, into = _end_face(neck_set)
    return P3(cradle.body_join_x + point.dot(along), -point.y, -point.dot(into))


def neck_to_jig(point: P3, neck_set: NeckSet, joint: Joint, cradle: Cradle) -> P3:
    """A point of the neck, given in the body frame as it stands once fitted, where it lies in the jig to be cut.

    The neck plane lies on both rests, and the finished shoulder `shoulder_depth` below the plate.
    """
    along, into = _end_face(neck_set)
    top = neck_set.neck_rise_along_face
    on_shoulder = point.minus(P3(-along.x * top, 0.0, -along.z * top))
    depth = joint.shoulder_depth
    return P3(cradle.shoulder_x + on_shoulder.dot(along), point.y, on_shoulder.dot(into) - depth)


def _end_face(neck_set: NeckSet) -> tuple[P3, P3]:
    """Unit directions in the body frame: down the end face, and square to it into the body."""
    tilt = math.radians(neck_set.end_face_tilt)
    return P3(math.sin(tilt), 0.0, -math.cos(tilt)), P3(math.cos(tilt), 0.0, math.sin(tilt))
