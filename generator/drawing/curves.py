"""Arcs as cubic Béziers, for formats that have no arc; the error is stated and bounded."""

from __future__ import annotations

import math
from typing import NamedTuple

from generator.base.points2d import P2
from generator.base.segments2d import Segment


class Cubic(NamedTuple):
    """A cubic Bézier's two control points and end; it starts where the one before ended."""

    control1: P2
    control2: P2
    end: P2


def radial_error(radius: float, sweep: float) -> float:
    """How far (mm) the usual cubic over `sweep` degrees of arc strays from the circle, always outwards.

    2/27 · sin⁶(sweep/4) / cos²(sweep/4) of the radius: 0.027 % of it for a quarter turn, when the control points lie
    4/3·tan(sweep/4) radii along the end tangents.
    """
    quarter = math.radians(abs(sweep)) / 4.0
    return radius * 2.0 / 27.0 * math.sin(quarter) ** 6 / math.cos(quarter) ** 2


def cubics(arc: Segment, max_error: float) -> list[Cubic]:
    """`arc` as cubics of equal sweep, none further than `max_error` mm from it. The ends are exact."""
    count = max(1, math.ceil(abs(arc.sweep) / 90.0))
    while radial_error(arc.radius, arc.sweep / count) > max_error:
        count += 1
    step = math.radians(arc.sweep) / count
    reach = 4.0 / 3.0 * math.tan(abs(step) / 4.0) * arc.radius
    out: list[Cubic] = []
    start = arc.start
    for i in range(count):
        end = arc.end if i == count - 1 else arc.point_at((i + 1) / count)
        control1 = start.plus(arc.tangent_at(i / count).times(reach))
        control2 = end.minus(arc.tangent_at((i + 1) / count).times(reach))
        out.append(Cubic(control1, control2, end))
        start = end
    return out
