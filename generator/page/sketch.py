"""The live pictures of the guitar: the set from the side, the saddle with its heights drawn larger, the end face.

They are drawn of the same lines as the side elevation, and show where each of the guitar's measurements is taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from generator.base.contours2d import Circle
from generator.base.points2d import P2, Transform
from generator.documents.paper.elevation import Elevation
from generator.documents.paper.side_elevation import BodyEnd
from generator.documents.paper.strokes import run
from generator.drawing.sheet import Fill, Item, Stroke
from generator.drawing.style import Role
from generator.job.model.instrument import DomeTop
from generator.joint.joint import Joint
from generator.joint.kinds.butt.joint import Butt
from generator.joint.kinds.mortise_tenon.joint import MortiseTenon
from generator.joint.outlines import mirrored
from generator.joint.solution import Solution
from generator.page.sketchink import Shape, Sketch, SketchMeasure, sketch

#: Arcs are drawn of lines that miss them by no more, mm.
_ARC_ERROR = 0.02
#: Round the saddle heights are drawn so many times as large as lengths.
HEIGHTS = 4.0
#: Length of the set that is shown before the saddle, mm.
_BEFORE = 46.0
#: Length of the set that is shown behind the saddle, mm.
_AFTER = 34.0
#: The set of pictures that these are.
_SET = "guitar"
#: Width and depth of the slot that is shown where the neck has none, mm: it says where one would be measured.
_SLOT = (6.0, 9.0)
#: A bolt's hole has so many corners.
_ROUND = 24


def side_sketch(solution: Solution) -> Sketch:
    """The set from the side, true to scale, strings on."""
    set_ = Elevation(solution.job.instrument, solution.neck_set, solution.job.instrument.string_pull_up)
    body = BodyEnd(solution, set_)
    items = [*_lines(set_), *body.ink()]
    return sketch("side", _SET, _shapes(items), list(_side_measures(solution, set_, body)))


def saddle_sketch(solution: Solution) -> Sketch:
    """The set round the saddle with its heights `HEIGHTS` times as large."""
    set_ = Elevation(solution.job.instrument, solution.neck_set, solution.job.instrument.string_pull_up)
    low, high = set_.saddle - _BEFORE, set_.saddle + _AFTER
    plane = set_.level(set_.plane, low, high, Role.PHANTOM)
    items = [
        set_.level(set_.top, low, set_.saddle, Role.VISIBLE),
        set_.level(set_.top, set_.saddle, high, Role.VISIBLE),
        *set_.bridge_ink(Role.VISIBLE),
        set_.level(set_.frets, low, high, Role.PHANTOM),
        set_.level(set_.string, low, set_.saddle, Role.EDGE),
        run([P2(set_.saddle, set_.string(set_.saddle)), _hole(set_)], Role.EDGE),
        plane,
    ]
    return sketch("saddle", _SET, _shapes(items), list(_saddle_measures(set_)), HEIGHTS)


def end_face_sketch(solution: Solution) -> Sketch:
    """The body's end face as one looks at it: block, heel and what the joint cuts."""
    i, joint = solution.job.instrument, solution.joint
    depth, heel = i.body_depth_at_neck, joint.heel_length
    shapes = [
        Shape("visible", _band(i.shoulder_half_width, i.shoulder_half_width, depth)),
        Shape("hidden", _band(i.neck_block_width / 2.0, i.neck_block_width / 2.0, depth)),
        Shape("phantom", _band(i.heel_width / 2.0, i.heel_width_at_cap / 2.0, heel)),
        *_cut_in_body(joint),
        *(Shape("edge", _round(P2(0.0, -bolt.from_top), bolt.clearance_hole / 2.0)) for bolt in joint.bolts),
    ]
    return sketch("face", _SET, shapes, list(_face_measures(solution)))


def _cut_in_body(joint: Joint) -> list[Shape]:
    """Seen from the neck, body +Y lies to the left; down the face is down the picture."""
    body = joint.body_outline
    if body is None or body.contour is None:
        return []
    return [Shape("edge", mirrored(body.contour).transformed(Transform.rotate(270.0)).flatten(_ARC_ERROR))]


def _round(center: P2, radius: float) -> list[P2]:
    turns = (2.0 * math.pi * i / _ROUND for i in range(_ROUND))
    return [center.plus(P2(math.cos(turn), math.sin(turn)).times(radius)) for turn in turns]


def _face_measures(solution: Solution) -> Iterator[SketchMeasure]:
    i, joint = solution.job.instrument, solution.joint
    depth, half, heel = i.body_depth_at_neck, i.shoulder_half_width, joint.heel_length
    yield _across("instrument.heel_width", i.heel_width / 2.0, 4.0)
    yield _across("instrument.heel_width_at_cap", i.heel_width_at_cap / 2.0, -heel - 4.0)
    yield _across("instrument.neck_block_width", i.neck_block_width / 2.0, 6.0 - depth)
    yield SketchMeasure(("instrument.shoulder_half_width",), P2(0.0, -depth / 2.0), P2(half, -depth / 2.0))
    yield SketchMeasure(("instrument.body_depth_at_neck",), P2(8.0 - half, 0.0), P2(8.0 - half, -depth))
    yield SketchMeasure(("instrument.back_binding_height",), P2(half - 8.0, -depth), P2(half - 8.0, -heel))
    blank, bottom = joint.heel_blank_width / 2.0, -depth - 8.0
    yield SketchMeasure(("instrument.heel_blank_width",), P2(-blank, bottom), P2(blank, bottom))
    if isinstance(joint, MortiseTenon):
        yield from _mortise_measures(joint)
    slot, low = (i.truss_rod_slot_width or _SLOT[0]) / 2.0, -(i.truss_rod_slot_depth or _SLOT[1])
    yield SketchMeasure(("instrument.truss_rod_slot_width",), P2(-slot, 2.0), P2(slot, 2.0))
    yield SketchMeasure(("instrument.truss_rod_slot_depth",), P2(slot + 2.0, 0.0), P2(slot + 2.0, low))
    for bolt in joint.bolts:
        beside = -(joint.body_outline.width if joint.body_outline else i.heel_width_at_cap) / 2.0 - 3.0
        yield SketchMeasure(("joint.bolts.from_top", "joint.bolts.count"), P2(beside, 0.0), P2(beside, -bolt.from_top))


def _mortise_measures(joint: MortiseTenon) -> Iterator[SketchMeasure]:
    mortise, deep, r = joint.mortise_width / 2.0, joint.mortise_length, joint.corner_radius
    yield _across("joint.mortise_width", mortise, -deep / 2.0)
    yield SketchMeasure(("joint.mortise_length",), P2(mortise + 4.0, 0.0), P2(mortise + 4.0, -deep))
    yield SketchMeasure(("joint.mortise_stop",), P2(mortise + 4.0, -deep), P2(mortise + 4.0, -joint.heel_length))
    yield SketchMeasure(
        ("joint.side_clearance",), P2(-mortise, -deep / 3.0), P2(-mortise + joint.side_clearance, -deep / 3.0)
    )
    yield SketchMeasure(("joint.corner_radius",), P2(mortise - r, r - deep), P2(mortise - 0.293 * r, 0.293 * r - deep))


def _across(key: str, half: float, height: float) -> SketchMeasure:
    return SketchMeasure((key,), P2(-half, height), P2(half, height))


def _band(top: float, bottom: float, depth: float) -> list[P2]:
    """Corners of a band on the centreline, from the top edge down: half its width there and at `depth`."""
    return [P2(-top, 0.0), P2(top, 0.0), P2(bottom, -depth), P2(-bottom, -depth)]


def _lines(set_: Elevation) -> list[Item]:
    return [
        *set_.board_ink(),
        *set_.top_ink(),
        *set_.bridge_ink(Role.VISIBLE),
        set_.level(set_.frets, set_.fret(set_.instrument.frets), set_.saddle + 24.0, Role.PHANTOM),
        set_.level(set_.string, set_.start, set_.saddle, Role.EDGE),
        run([P2(set_.saddle, set_.string(set_.saddle)), _hole(set_)], Role.EDGE),
    ]


def _hole(set_: Elevation) -> P2:
    """The edge that the string bends over behind the saddle."""
    x = set_.saddle + set_.instrument.saddle_to_string_hole
    return P2(x, set_.top(x) + set_.instrument.bridge_thickness - set_.instrument.string_hole_depth)


def _side_measures(solution: Solution, set_: Elevation, body: BodyEnd) -> Iterator[SketchMeasure]:
    i, joint, s = solution.job.instrument, solution.joint, set_.saddle
    left, low = set_.start + 8.0, -i.body_depth_at_neck
    yield SketchMeasure(
        ("instrument.scale_length", "instrument.saddle_compensation"), P2(set_.start, 30.0), P2(s, 30.0)
    )
    yield SketchMeasure(("instrument.body_fret",), P2(0.0, low - 6.0), P2(0.0, 24.0))
    last = set_.fret(i.frets)
    yield SketchMeasure(("instrument.frets",), P2(last, set_.top(last)), P2(last, 26.0))
    yield SketchMeasure(("instrument.fretboard_thickness",), P2(left, set_.plane(left)), P2(left, set_.board(left)))
    yield SketchMeasure(("instrument.fret_height",), P2(left, set_.board(left)), P2(left, set_.frets(left)))
    yield SketchMeasure(
        ("instrument.nut_string_height", "instrument.relief"), P2(left, set_.frets(left)), P2(left, set_.string(left))
    )
    twelve = set_.fret(12)
    action = ("target.action_bass", "target.action_treble")
    yield SketchMeasure(action, P2(twelve, set_.frets(twelve)), P2(twelve, set_.string(twelve)))
    yield SketchMeasure(("instrument.neck_rise",), P2(0.0, 0.0), P2(0.0, set_.plane(0.0)))
    yield SketchMeasure(("instrument.body_depth_at_neck", "instrument.end_face_tilt"), body.at(0.0), body.at(body.face))
    yield SketchMeasure(("instrument.back_binding_height",), body.at(body.heel_end), body.at(body.face))
    yield SketchMeasure(("instrument.heel_cap_thickness",), body.at(body.heel_end, -10.0), body.at(body.cap_end, -10.0))
    yield SketchMeasure(("instrument.heel_blank",), body.at(0.0, -14.0), body.at(joint.heel_blank, -14.0))
    if isinstance(joint, MortiseTenon):
        yield from _depth_measures(joint, body)
    if isinstance(joint, Butt):
        middle = body.heel_end / 2.0
        yield SketchMeasure(("joint.facing_depth",), body.at(middle), body.at(middle, joint.facing_depth))
    yield SketchMeasure(
        ("instrument.neck_block_thickness",), body.at(body.face - 8.0), body.at(body.face - 8.0, i.neck_block_thickness)
    )
    if isinstance(i.top, DomeTop):
        crown = s if i.top.crown_from_join is None else i.top.crown_from_join
        keys = ("instrument.top.crown_from_join", "instrument.top.radius")
        yield SketchMeasure(keys, P2(0.0, -8.0), P2(crown, -8.0))
        yield SketchMeasure(("instrument.top.flat_until",), P2(0.0, -4.0), P2(i.top.flat_until, -4.0))
    yield from _saddle_measures(set_)


def _depth_measures(joint: MortiseTenon, body: BodyEnd) -> Iterator[SketchMeasure]:
    deep, long = joint.mortise_length / 2.0, joint.mortise_length
    yield SketchMeasure(("joint.mortise_depth",), body.at(deep), body.at(deep, joint.mortise_depth))
    yield SketchMeasure(("joint.mortise_length",), body.at(0.0, 8.0), body.at(long, 8.0))
    yield SketchMeasure(("joint.mortise_stop",), body.at(long, 4.0), body.at(body.heel_end, 4.0))
    yield SketchMeasure(("joint.end_clearance",), body.at(joint.tenon_length, 6.0), body.at(long, 6.0))
    yield SketchMeasure(
        ("joint.floor_clearance",), body.at(deep, joint.tenon_projection), body.at(deep, joint.mortise_depth)
    )


def _saddle_measures(set_: Elevation) -> Iterator[SketchMeasure]:
    s = set_.saddle
    bench = Elevation(set_.instrument, set_.neck_set)
    yield SketchMeasure(("instrument.bridge_thickness",), P2(s + 10.0, set_.top(s)), P2(s + 10.0, set_.bridge_top))
    yield SketchMeasure(("instrument.saddle_projection",), P2(s + 4.0, set_.bridge_top), P2(s + 4.0, set_.string(s)))
    hole = _hole(set_)
    yield SketchMeasure(("instrument.saddle_to_string_hole",), P2(s, hole.y), hole)
    yield SketchMeasure(("instrument.string_hole_depth",), P2(hole.x, set_.bridge_top), hole)
    yield SketchMeasure(("instrument.string_pull_up",), P2(s - 4.0, set_.plane(s)), P2(s - 4.0, bench.plane(s)))
    gap = ("target.saddle_gap", "instrument.top.zero_angle_gap")
    yield SketchMeasure(gap, P2(s - 18.0, set_.top(s)), P2(s - 18.0, bench.plane(s)))
    yield SketchMeasure(("target.bridge_clearance",), P2(s + 22.0, set_.bridge_top), P2(s + 22.0, set_.frets(s)))


def _shapes(items: Iterable[Item]) -> list[Shape]:
    """The elevation's strokes and areas as a picture's lines."""
    found = []
    for item in items:
        shape = item.path if isinstance(item, Stroke) else item.contour if isinstance(item, Fill) else None
        if shape is not None and not isinstance(shape, Circle):
            role = item.role.value if isinstance(item, Stroke) else "area"
            found.append(Shape(role, shape.flatten(_ARC_ERROR), shape.closed))
    return found
