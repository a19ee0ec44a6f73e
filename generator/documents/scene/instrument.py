"""Neck blank and body of an acoustic guitar as solids for pictures, from the job's numbers and a plain outline.

What the joint is cut by is true: depths, heel, shoulder, slot, length to the nut. What no job says (bouts, headstock)
is of our own invention, in proportion to what it says. Lengths are mm, angles degrees.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from generator.base.contours2d import Circle, Contour
from generator.base.geometry3d import P3, Placement
from generator.base.points2d import P2
from generator.base.shapes2d import rounded_polygon
from generator.documents.scene.props import Colour, Prop
from generator.drawing.facets.base import Facets, Ring, Shell, eased, turned
from generator.drawing.facets.build import cylinder, loft, prism

#: Colour of a body's sides and back.
SIDES: Colour = (0.68, 0.44, 0.28)
#: Colour of a body's top.
TOP: Colour = (0.96, 0.86, 0.64)
#: Colour of the soundhole.
HOLE: Colour = (0.25, 0.19, 0.15)
#: Colour of neck and headstock.
NECK: Colour = (0.80, 0.56, 0.36)
#: Thickness of the top, mm.
_TOP = 3.0
#: Points along each piece of the outline's curve.
_STEPS = 14
#: The upper bout's widest place: its station from the join as a share of join to saddle; its half width as a share of
#: the body's length, but at least so many of the shoulder's half widths.
_UPPER = (0.38, 0.298, 1.1)
#: The waist: station and half widths in the upper bout's shares.
_WAIST = (0.68, 0.248, 0.9)
#: The lower bout's widest place: station and half widths in the upper bout's shares.
_LOWER = (1.22, 0.398, 1.3)
#: The tail's station from the join, which is the body's length, as a share of join to saddle.
_TAIL = 1.66
#: Half width of the outline at the end face, as a share of the shoulder's half width.
_FLAT = 0.3
#: How far a piece of the curve follows its end's direction, as a share of its chord: 1.17 makes a quarter round.
_BOW = 1.17
#: Edges are smooth whose faces turn by less than this, degrees.
_CREASE = 30.0


@dataclass(frozen=True)
class BodySize:
    """A body: the rim's depth at neck and tail, half the width at the neck block's depth, the top's dome (None: flat).

    `block` is that depth, from the end face; the back runs level to `level` or a little less. `join_to_saddle` gives
    the length. `tilt` is the end face's, degrees, positive where the body is shorter at its back.
    """

    depth_at_neck: float
    depth_at_tail: float
    shoulder_half_width: float
    block: float
    level: float
    join_to_saddle: float
    dome: float | None = None
    tilt: float = 0.0


def body_outline(size: BodySize) -> tuple[P2, ...]:
    """The rim seen from the top, counter-clockwise: x from the end face to the tail, y across."""
    s, w = size.join_to_saddle, size.shoulder_half_width
    upper, waist, lower = (P2(at * s, max(wide * _TAIL * s, least * w)) for at, wide, least in (_UPPER, _WAIST, _LOWER))
    upper = P2(max(upper.x, size.block + 0.12 * s), upper.y)
    waist = P2(max(waist.x, upper.x + 0.2 * s), waist.y)
    points = [P2(0.0, _FLAT * w), P2(size.block, w), upper, waist, lower, P2(_TAIL * s, 0.0)]
    level = P2(1.0, 0.0)
    ways = [P2(0.0, 1.0), upper.minus(points[0]).unit(), level, level, level, P2(0.0, -1.0)]
    half = [points[0]]
    for (a, b), (u, v) in zip(pairwise(points), pairwise(ways), strict=True):
        half += [_between(a, b, u, v, i / _STEPS) for i in range(1, _STEPS + 1)]
    far = [P2(p.x, -p.y) for p in half[:-1]]
    return (*far, *half[::-1])


def _between(a: P2, b: P2, u: P2, v: P2, t: float) -> P2:
    """A point of the cubic from `a` in direction `u` to `b` in direction `v` (Hermite's form)."""
    bow = _BOW * a.distance(b)
    start, end = 2 * t**3 - 3 * t**2 + 1, 3 * t**2 - 2 * t**3
    leave, reach = (t**3 - 2 * t**2 + t) * bow, (t**3 - t**2) * bow
    return a.times(start).plus(b.times(end)).plus(u.times(leave)).plus(v.times(reach))


def body(place: Placement, size: BodySize) -> tuple[Prop, ...]:
    """The body where `place` puts its own frame: origin at the join, x to the tail, y across, z out of the top."""
    rim = body_outline(size)
    end = _TAIL * size.join_to_saddle
    start = max(p.x for p in rim if p.x <= size.level)  # the back's edge runs from a corner of the rim to a corner
    fall = (size.depth_at_tail - size.depth_at_neck) / (end - start)
    shell = Shell()
    lean = math.tan(math.radians(size.tilt))
    high = shell.ring(P3(p.x + lean * _TOP, p.y, -_TOP) for p in rim)
    depths = [size.depth_at_neck + fall * max(0.0, p.x - start) for p in rim]
    low = shell.ring(P3(p.x + lean * depth, p.y, -depth) for p, depth in zip(rim, depths, strict=True))
    shell.band(low, high, [False] * len(rim))
    shell.face(high)
    _back(shell, low, [p.x <= start for p in rim])
    hole = P2(0.5 * size.join_to_saddle, 0.0)
    radius = 0.17 * size.join_to_saddle
    crown = _bulge(size, rim, hole)
    return (
        Prop("body", eased(shell.facets(place), _CREASE), SIDES),
        Prop("body_top", _top(rim, size).placed(place), TOP),
        Prop("soundhole", cylinder(place.to_space(*hole, crown - 0.5), place.z_axis, 1.0, 2.0 * radius), HOLE),
    )


def _back(shell: Shell, low: Ring, level: Sequence[bool]) -> None:
    """The back: level first, then falling; two plane faces that share an edge."""
    first, last = level.index(False) - 1, len(level) - 1 - level[::-1].index(False) + 1
    rise = low[first : last + 1]
    flat = (*low[last:], *low[: first + 1])
    shell.face(turned(flat))
    shell.face(turned(rise))


def _top(rim: Sequence[P2], size: BodySize) -> Facets:
    """The top: a plate whose upper side rises from the rim to its middle as the dome asks."""
    shell = Shell()
    lean = math.tan(math.radians(size.tilt))
    low = shell.ring(P3(p.x + lean * _TOP, p.y, -_TOP) for p in rim)
    edge = shell.ring(P3(p.x, p.y, 0.0) for p in rim)
    shell.face(turned(low))
    shell.band(low, edge, [False] * len(rim))
    if size.dome is None:
        shell.face(edge)
        return eased(shell.facets(), _CREASE)
    middle, rise = _middle(size), _rise(size, rim)
    for share in (0.7, 0.35):
        inner = shell.ring(
            P3(middle.x + share * (p.x - middle.x), share * p.y, rise * (1.0 - share * share)) for p in rim
        )
        for i in range(len(rim)):
            j = i + 1 - len(rim)
            shell.face((edge[i], edge[j], inner[j]))
            shell.face((edge[i], inner[j], inner[i]))
        edge = inner
    (peak,) = shell.ring([P3(middle.x, 0.0, rise)])
    for i in range(len(rim)):
        shell.face((edge[i], edge[i + 1 - len(rim)], peak))
    return eased(shell.facets(), _CREASE)


def _middle(size: BodySize) -> P2:
    """From the waist's middle the whole rim is seen."""
    return P2(_WAIST[0] * size.join_to_saddle, 0.0)


def _rise(size: BodySize, rim: Sequence[P2]) -> float:
    """How far a dome of the stated radius rises over the widest bout: c²/8R, nearly."""
    if size.dome is None:
        return 0.0
    return float(max(p.y for p in rim)) ** 2 / (2.0 * size.dome)


def _bulge(size: BodySize, rim: Sequence[P2], at: P2) -> float:
    """Height of the top's upper side on the centreline."""
    middle = _middle(size)
    end = _TAIL * size.join_to_saddle if at.x > middle.x else 0.0
    share = (at.x - middle.x) / (end - middle.x)
    return _rise(size, rim) * (1.0 - share * share)


# --- neck ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class NeckSize:
    """A neck blank: from the join its heel reaches `projection` into the body and `heel_flat` up the neck.

    `heel_depth` × `heel_width` is the blank's end; it is sawn so that it gains `end_lean` along the neck for each mm
    out of the gluing face, 0 for square. `slot` is the truss rod's slot, width and depth, None without one.
    """

    nut_to_join: float
    projection: float
    heel_depth: float
    heel_width: float
    heel_flat: float
    end_lean: float = 0.0
    width_at_nut: float = 46.0
    width_at_join: float = 58.0
    shaft: float = 22.0
    slot: tuple[float, float] | None = None
    head_angle: float = 13.0
    head_length: float = 175.0
    head_width: float = 74.0
    tuners: int = 6


def neck_blank(place: Placement, size: NeckSize) -> tuple[Prop, ...]:
    """The blank where `place` puts its frame: origin at the join on the gluing face, x to the tail, z out of that face.

    The neck lies at x < `projection` and z < 0.
    """
    return (
        Prop("neck", _shaft(size).placed(place), NECK),
        Prop("headstock", _head(size).placed(place), NECK),
    )


def _shaft(size: NeckSize) -> Facets:
    """Heel and shaft as one loft along the neck, the heel falling away to the shaft in a quarter round."""
    foot = -size.heel_flat
    cove = min(0.7 * (size.heel_depth - size.shaft), 55.0)
    stations = [(foot, size.heel_width, size.heel_depth)]
    for i in range(1, 9):
        turn = math.radians(90.0 * i / 8.0)
        narrow = size.heel_width + (_width(size, foot - cove) - size.heel_width) * (1.0 - math.cos(turn))
        drop = size.heel_depth - (size.heel_depth - size.shaft) * math.sin(turn)
        stations.append((foot - cove * (1.0 - math.cos(turn)), narrow, drop))
    end = _section(size, size.heel_width, size.heel_depth)
    sections = [[P3(size.projection + size.end_lean * p.y, p.x, p.y) for p in end]]
    sections += [[P3(x, p.x, p.y) for p in _section(size, wide, deep)] for x, wide, deep in stations]
    lean = math.tan(math.radians(size.head_angle))
    nut = _section(size, size.width_at_nut, size.shaft)
    sections.append([P3(-size.nut_to_join - lean * p.y, p.x, p.y) for p in nut])
    return loft(sections)


def _width(size: NeckSize, x: float) -> float:
    return size.width_at_join + (size.width_at_nut - size.width_at_join) * -x / size.nut_to_join


def _section(size: NeckSize, wide: float, deep: float) -> list[P2]:
    """Across the neck: y and z of the corners, with the slot in the gluing face."""
    half = wide / 2.0
    slot: list[P2] = []
    if size.slot is not None:
        s, d = size.slot[0] / 2.0, size.slot[1]
        slot = [P2(s, 0.0), P2(s, -d), P2(-s, -d), P2(-s, 0.0)]
    return [P2(-half, -deep), P2(half, -deep), P2(half, 0.0), *slot, P2(-half, 0.0)]


def _head(size: NeckSize) -> Facets:
    """The headstock, tilted back from the nut, with its tuners' holes."""
    nut, head, long = size.width_at_nut / 2.0, size.head_width / 2.0, size.head_length
    corners = [
        P2(0.0, -nut),
        P2(0.2 * long, -0.92 * head),
        P2(long, -head),
        P2(1.05 * long, 0.0),
        P2(long, head),
        P2(0.2 * long, 0.92 * head),
        P2(0.0, nut),
    ]
    outline = rounded_polygon(corners, [0.0, 12.0, 6.0, 30.0, 6.0, 12.0, 0.0])
    rows = size.tuners // 2
    holes: list[Contour] = [
        Circle(P2(long * (0.28 + 0.56 * i / max(1, rows - 1)), side * 0.66 * head), 5.0)
        for i in range(rows)
        for side in (-1.0, 1.0)
    ]
    co, si = math.cos(math.radians(size.head_angle)), math.sin(math.radians(size.head_angle))
    stand = Placement(P3(-size.nut_to_join, 0.0, 0.0), P3(-co, 0.0, -si), P3(0.0, -1.0, 0.0))
    return prism(outline, -0.72 * size.shaft, 0.0, stand, holes)
