"""The dry fit on assembled geometry: neck and body as the files would cut them, put together at the shoulder.

Planes and points in space go from the jig, where each piece was cut, into the body frame, where they meet. No formula
of the neck set is used: the gap at the saddle is measured between a plane and the top.

Body frame: origin at the join, x towards the tail in the rim plane, z out of the top, y completes it. Lengths mm,
angles degrees.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, Placement
from generator.base.points2d import P2
from generator.joint.solution import Solution
from generator.joint.top import TopLine
from generator.proof.cut.virtual_cut import VirtualCut
from generator.proof.jig.measured_jig import Pose

#: In so many steps down the body rest the place is searched where the top touches it.
_DOWN = 200
#: In so many steps across the body rest's bearing the place is searched where the top touches it.
_ACROSS = 8
#: The search for a place on the top ends where it misses its depth by less than this, mm.
_SETTLED = 1e-9


@dataclass(frozen=True)
class Shouldered:
    """Neck and body put together at the shoulder, mm and degrees, in the body frame.

    `gap` is the neck plane over the bare top at the saddle, `sideways` the neck's centreline beside the body's there,
    towards body +Y, `shift` the same at the join, `extension_gap` the room under the fretboard at the last fret,
    `set_angle` the neck plane against the rim plane.
    """

    gap: float
    sideways: float
    extension_gap: float
    shift: float
    set_angle: float


@dataclass(frozen=True)
class Assembled(Shouldered):
    """The same with what stands on the neck in what is cut in the body, mm.

    `side` (both sides together), `end` and `floor` are the rooms round what stands on the neck. `body_join` is the jig
    X at which the body's join came to lie.
    """

    side: float
    end: float
    floor: float
    body_join: float


@dataclass(frozen=True)
class Centring:
    """The neck's centreline as the rests' teeth hold it: jig Y on the plate's underside, and its turn in degrees."""

    offset: float = 0.0
    turn: float = 0.0

    @staticmethod
    def through(upper: P2, lower: P2) -> Centring:
        """Through two teeth, each given as (depth, jig Y), mm."""
        lean = (lower.y - upper.y) / (lower.x - upper.x)
        return Centring(upper.y - lean * upper.x, math.degrees(math.atan(lean)))


def assemble(solution: Solution, setting: Pose, body: VirtualCut, neck: VirtualCut, centring: Centring) -> Assembled:
    """Cut both pieces where the jig holds them, and put them together.

    One outline lies in the other's middle, the shoulder is closed, the neck plane at the neck rise over the top's edge.
    """
    neck_set, joint = solution.neck_set, solution.joint
    face = _end_face(neck_set.end_face_tilt)
    join = body_join(setting, neck_set.top, face)
    shoulder = setting.neck_plane.at(setting.neck_cut_depth)
    body_end = _closed_end(body)
    neck_end = neck.wanted.outline.length + shoulder if neck.end is None else neck.end
    sideways = _body_y(body) - neck.middle
    rise = neck_set.neck_rise_along_face
    plane = _placed(solution, setting, centring, sideways)
    saddle, last = neck_set.join_to_saddle, neck_set.extension_length
    return Assembled(
        gap=plane.height(saddle) - neck_set.top.height(saddle),
        sideways=plane.aside(saddle),
        extension_gap=plane.height(last) - neck_set.top.height(last),
        shift=sideways,
        side=body.narrowest - neck.widest,
        end=(body_end - join) - (neck_end - shoulder) + rise,
        floor=setting.body_cut_depth - (setting.neck_cut_depth - joint.eased),
        body_join=join,
        set_angle=plane.angle,
    )


def assemble_at_shoulder(solution: Solution, setting: Pose, centring: Centring) -> Shouldered:
    """A neck held by its shoulder and bolts alone: its own centreline, on which they are marked, lies on the body's."""
    neck_set = solution.neck_set
    aside = centring.offset + setting.neck_cut_depth * math.tan(math.radians(centring.turn))
    plane = _placed(solution, setting, centring, -aside)
    saddle, last = neck_set.join_to_saddle, neck_set.extension_length
    return Shouldered(
        gap=plane.height(saddle) - neck_set.top.height(saddle),
        sideways=plane.aside(saddle),
        extension_gap=plane.height(last) - neck_set.top.height(last),
        shift=0.0,
        set_angle=plane.angle,
    )


def _placed(solution: Solution, setting: Pose, centring: Centring, sideways: float) -> _NeckPlane:
    """The neck plane once the neck's origin (neck plane, shoulder, jig Y 0) lies `sideways` in the body frame, mm."""
    face, rise = _end_face(solution.neck_set.end_face_tilt), solution.neck_set.neck_rise_along_face
    origin = face.along.times(-rise).plus(P3(0.0, sideways, 0.0))
    return _NeckPlane.of(setting, centring, Placement(origin, face.along, P3(0.0, 1.0, 0.0)))


def _closed_end(cut: VirtualCut) -> float:
    if cut.end is None:
        raise GeometryError(f"the {cut.wanted.name} has no closed end")
    return cut.end


def _body_y(body: VirtualCut) -> float:
    """The cut's middle in the body frame: the body lies in the jig as its own mirror image."""
    return -body.middle


@dataclass(frozen=True)
class EndFace:
    """Unit directions in the body frame: down the end face towards the back, and square to it into the body."""

    along: P3
    into: P3


def _end_face(tilt: float) -> EndFace:
    turn = math.radians(tilt)
    return EndFace(P3(math.sin(turn), 0.0, -math.cos(turn)), P3(math.cos(turn), 0.0, math.sin(turn)))


@dataclass(frozen=True)
class _NeckPlane:
    """The gluing face under the fretboard and the neck's centreline on it, in the body frame."""

    through: P3
    normal: P3
    along: P3

    @staticmethod
    def of(setting: Pose, centring: Centring, neck: Placement) -> _NeckPlane:
        """From the plane on the rests; `neck` carries the jig's X and Y, from the shoulder, into the body frame."""
        lean = math.radians(setting.neck_plane.angle)
        down, across = P3(math.sin(lean), 0.0, -math.cos(lean)), P3(0.0, 1.0, 0.0)
        turn = math.radians(centring.turn)
        line = down.times(math.cos(turn)).plus(across.times(math.sin(turn)))

        def carried(vector: P3) -> P3:
            return neck.x_axis.times(vector.x).plus(neck.y_axis.times(vector.y)).plus(neck.z_axis.times(vector.z))

        at_shoulder = centring.offset + setting.neck_cut_depth * math.tan(turn)
        start = neck.to_space(0.0, at_shoulder)
        normal = carried(across.cross(down))
        return _NeckPlane(start, normal, carried(line))

    def height(self, x: float) -> float:
        """z of the plane over station x on the centreline, mm."""
        off = self.normal.x * (x - self.through.x) - self.normal.y * self.through.y
        return self.through.z - off / self.normal.z

    def aside(self, x: float) -> float:
        """y of the centreline at station x, mm."""
        return self.through.y + (x - self.through.x) * self.along.y / self.along.x

    @property
    def angle(self) -> float:
        """Against the rim plane, positive where the plane rises towards the tail."""
        return math.degrees(math.atan2(-self.normal.x, self.normal.z))


def body_plane(setting: Pose, top: TopLine, tilt: float) -> tuple[float, EndFace]:
    """Jig X of the body's join, and its end face's directions, for an end face tilted by `tilt` degrees."""
    face = _end_face(tilt)
    return body_join(setting, top, face), face


def body_join(setting: Pose, top: TopLine, face: EndFace) -> float:
    """Jig X of the body's join when the body, its end face on the plate, is pushed against the body rest.

    The rest's whole bearing is searched, down and across: a dome falls away beside the centreline, so it touches at
    the bearing's inner ends.
    """
    rest = setting.body_rest
    depths = [rest.top + (rest.foot - rest.top) * i / _DOWN for i in range(_DOWN + 1)]
    aside = [setting.body_inner + (setting.body_outer - setting.body_inner) * i / _ACROSS for i in range(_ACROSS + 1)]
    return max(rest.x - down_the_face(depth, y, top, face) for depth in depths for y in aside)


def down_the_face(depth: float, y: float, top: TopLine, face: EndFace) -> float:
    """How far down the end face's direction the top lies `depth` mm below the plate, `y` mm beside the centreline.

    Counted from the join, mm; negative where the top stands out before it.
    """
    fall = top.falls_beside(y)
    x = depth
    for _ in range(60):
        point = P3(x, 0.0, top.height(x) - fall)
        miss = depth - point.dot(face.into)
        if abs(miss) < _SETTLED:
            break
        x += miss / face.into.x
    return P3(x, 0.0, top.height(x) - fall).dot(face.along)
