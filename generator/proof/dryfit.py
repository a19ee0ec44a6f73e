"""The dry fit on assembled geometry: neck and body as the files would cut them, put together at the shoulder.

Planes and points in space go from the jig, where each piece was cut, into the body frame, where they meet. No formula
of the neck set is used: the gap at the saddle is measured between a plane and the top.

Body frame: origin at the join, x towards the tail in the rim plane, z out of the top, y completes it. Lengths mm,
angles degrees.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.cradle import Cradle
from generator.errors import GeometryError
from generator.geometry3d import P3, Placement, turned_by_bed
from generator.proof.measured import Setting
from generator.proof.virtual_cut import VirtualCut
from generator.solution import Solution
from generator.top import TopLine

#: How finely the rest is searched for the place where the top touches it.
_REST_STEPS = 200
_SETTLED = 1e-9


@dataclass(frozen=True)
class Assembled:
    """Neck and body put together, mm and degrees, in the body frame.

    `gap` is the neck plane over the bare top at the saddle, `sideways` the neck's centreline beside the body's there,
    towards body +Y, `shift` the same at the join, `extension_gap` the room under the fretboard at the last fret.
    `side` (both sides together), `end` and `floor` are the rooms round the tenon. `body_join` is the jig X at which
    the body's join came to lie, `set_angle` the neck plane against the rim plane.
    """

    gap: float
    sideways: float
    extension_gap: float
    shift: float
    side: float
    end: float
    floor: float
    body_join: float
    set_angle: float


@dataclass(frozen=True)
class Centring:
    """The neck's centreline as the bed's key or stops hold it: jig Y at the pivot, and its turn there in degrees."""

    offset: float = 0.0
    turn: float = 0.0


def assemble(
    solution: Solution, setting: Setting, mortise: VirtualCut, tenon: VirtualCut, centring: Centring
) -> Assembled:
    """Cut both pieces where the jig holds them, and put them together: tenon in the mortise's middle, shoulder closed,
    the neck plane at the overstand over the top's edge.
    """
    neck_set, joint = solution.neck_set, solution.joint
    face = _end_face(neck_set.end_face_tilt)
    rest = Rest.on_bed(solution, setting)
    join = rest.join(neck_set.top, face)
    shoulder = _shoulder_x(setting)
    mortise_end, tenon_end = _closed_end(mortise), joint.tenon_length + shoulder if tenon.end is None else tenon.end
    sideways = _body_y(mortise) - tenon.middle
    # Where the neck's origin (neck plane, shoulder, centreline) comes to lie in the body frame.
    rise = neck_set.overstand_along_face
    neck = Placement(face.along.times(-rise).plus(P3(0.0, sideways, 0.0)), face.along, P3(0.0, 1.0, 0.0))
    plane = _NeckPlane.of(setting, shoulder, centring, neck)
    saddle, last = neck_set.join_to_saddle, neck_set.extension_length
    return Assembled(
        gap=plane.height(saddle) - neck_set.top.height(saddle),
        sideways=plane.aside(saddle),
        extension_gap=plane.height(last) - neck_set.top.height(last),
        shift=sideways,
        side=mortise.narrowest - tenon.widest,
        end=(mortise_end - join) - (tenon_end - shoulder) + rise,
        floor=setting.mortise_depth - (setting.tenon_depth - joint.ease_end),
        body_join=join,
        set_angle=plane.angle,
    )


def _closed_end(cut: VirtualCut) -> float:
    if cut.end is None:
        raise GeometryError(f"the {cut.cut.value} has no closed end")
    return cut.end


def _body_y(mortise: VirtualCut) -> float:
    """The mortise's middle in the body frame: the body lies in the jig as its own mirror image."""
    return -mortise.middle


def _shoulder_x(setting: Setting) -> float:
    """Jig X at which the neck plane passes the shoulder's level: the bed's face, turned, cut by a level plane."""
    a, b = _bed_face(setting, setting.neck_angle)
    share = (-setting.tenon_depth - a.z) / (b.z - a.z)
    return a.x + (b.x - a.x) * share


def _bed_face(setting: Setting, angle: float) -> tuple[P3, P3]:
    """Two points of the bed's face on the centreline, the bed at `angle`: on the pivot's level at zero, and below."""
    pivot = setting.pivot
    points = (P3(setting.face, 0.0, pivot.y), P3(setting.face, 0.0, pivot.y - 100.0))
    a, b = (_turned(point, angle, setting) for point in points)
    return a, b


def _turned(point: P3, angle: float, setting: Setting) -> P3:
    """`point` turned with the bed about the pivot as measured."""
    shift = P3(setting.pivot.x, 0.0, 0.0)
    return turned_by_bed(point.minus(shift), angle, setting.pivot.y).plus(shift)


@dataclass(frozen=True)
class _EndFace:
    """Unit directions in the body frame: down the end face towards the back, and square to it into the body."""

    along: P3
    into: P3


def _end_face(tilt: float) -> _EndFace:
    turn = math.radians(tilt)
    return _EndFace(P3(math.sin(turn), 0.0, -math.cos(turn)), P3(math.cos(turn), 0.0, math.sin(turn)))


@dataclass(frozen=True)
class _NeckPlane:
    """The gluing face under the fretboard and the neck's centreline on it, in the body frame."""

    through: P3
    normal: P3
    along: P3

    @staticmethod
    def of(setting: Setting, shoulder: float, centring: Centring, neck: Placement) -> _NeckPlane:
        """From the bed's face in the jig; `neck` carries the jig's X and Y, from the shoulder, into the body frame."""
        a, b = _bed_face(setting, setting.neck_angle)
        down, across = b.minus(a).times(1.0 / b.minus(a).length()), P3(0.0, 1.0, 0.0)
        turn = math.radians(centring.turn)
        line = down.times(math.cos(turn)).plus(across.times(math.sin(turn)))

        def carried(vector: P3) -> P3:
            return neck.x_axis.times(vector.x).plus(neck.y_axis.times(vector.y)).plus(neck.z_axis.times(vector.z))

        start = neck.to_space(0.0, centring.offset)
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


@dataclass(frozen=True)
class Rest:
    """The face that carries the body, as a line in the jig's X-Z plane from its lower to its upper end, mm."""

    low: P3
    high: P3

    @staticmethod
    def on_bed(solution: Solution, setting: Setting) -> Rest:
        """The rest strips' face, or the bed's own where there are none, with the body's block in."""
        cradle: Cradle = solution.cradle
        face, top = setting.face + cradle.rest_thickness, -cradle.bed_top_depth
        foot = top - solution.job.jig.rest_height
        if cradle.rest_thickness == 0.0:
            foot = setting.pivot.y - cradle.sine_distance - solution.job.jig.bed_tail
        ends = (P3(face, 0.0, foot), P3(face, 0.0, top))
        low, high = (_turned(end, setting.body_angle, setting) for end in ends)
        return Rest(low, high)

    def join(self, top: TopLine, face: _EndFace) -> float:
        """Jig X of the body's join when the body, its end face on the plate, is pushed against the rest."""
        return max(self._join_at(i / _REST_STEPS, top, face) for i in range(_REST_STEPS + 1))

    def _join_at(self, share: float, top: TopLine, face: _EndFace) -> float:
        at = self.low.plus(self.high.minus(self.low).times(share))
        return at.x - _off_the_face(-at.z, top, face)


def _off_the_face(depth: float, top: TopLine, face: _EndFace) -> float:
    """How far down the end face's direction the top lies at `depth` below the plate, from the join, mm."""
    x = depth
    for _ in range(60):
        point = P3(x, 0.0, top.height(x))
        miss = depth - point.dot(face.into)
        if abs(miss) < _SETTLED:
            break
        x += miss / face.into.x
    return P3(x, 0.0, top.height(x)).dot(face.along)
