"""Slots, for the sample parts of tests: what writers, solids and pictures must also bear, though no part has one."""

from __future__ import annotations

import math

from generator.base.contours2d import Path, Vertex
from generator.base.errors import GeometryError
from generator.base.points2d import P2, polar


def straight_slot(a: P2, b: P2, width: float) -> Path:
    """A slot with round ends; `a` and `b` are the end centres."""
    side = b.minus(a).unit().left().times(width / 2.0)
    return Path(
        (
            Vertex(*a.minus(side)),
            Vertex(*b.minus(side), 1.0),
            Vertex(*b.plus(side)),
            Vertex(*a.plus(side), 1.0),
        )
    )


def arc_slot(center: P2, radius: float, start_angle: float, end_angle: float, width: float) -> Path:
    """A slot along an arc about `center` from `start_angle` up to `end_angle` (degrees), with round ends."""
    if not 0 < end_angle - start_angle < 360:
        raise GeometryError(f"an arc slot from {start_angle:g} to {end_angle:g} degrees")
    outer, inner, half = (
        radius + width / 2.0,
        radius - width / 2.0,
        math.tan(math.radians(end_angle - start_angle) / 4.0),
    )

    def at(angle: float, r: float) -> P2:
        return center.plus(polar(angle, r))

    return Path(
        (
            Vertex(*at(start_angle, outer), half),
            Vertex(*at(end_angle, outer), 1.0),
            Vertex(*at(end_angle, inner), -half),
            Vertex(*at(start_angle, inner), 1.0),
        )
    )
