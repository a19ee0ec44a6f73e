"""Where drawings and pictures are seen from.

A view is a `Placement`: its x axis points right on the sheet, its y axis up, its z axis at the eye.
"""

from __future__ import annotations

from enum import Enum

from generator.base.errors import GeometryError
from generator.base.geometry3d import ORIGIN, P3, X_AXIS, Y_AXIS, Z_AXIS, Placement


def isometric(toward: P3, upright: P3) -> Placement:
    """The view from far along `toward` in which `upright` points up the sheet (model's frame, any length)."""
    eye = _unit(toward)
    right = _unit(upright.cross(eye))
    return Placement(ORIGIN, right, eye.cross(right))


def _unit(vector: P3) -> P3:
    size = vector.length()
    if size < 1e-9:
        raise GeometryError(f"a view needs a direction, found {tuple(vector)}")
    return vector.times(1.0 / size)


_LEFT, _DOWN, _BACK = (axis.times(-1.0) for axis in (X_AXIS, Y_AXIS, Z_AXIS))


class PartView(Enum):
    """Views of a part in its own frame; FRONT looks at the front face with x to the right and y up."""

    FRONT = Placement(ORIGIN, X_AXIS, Y_AXIS)
    BACK = Placement(ORIGIN, _LEFT, Y_AXIS)
    TOP = Placement(ORIGIN, X_AXIS, _BACK)
    RIGHT = Placement(ORIGIN, _BACK, Y_AXIS)
    LEFT = Placement(ORIGIN, Z_AXIS, Y_AXIS)
    ISOMETRIC = isometric(P3(-1.0, -1.0, 1.0), Z_AXIS)


class JigView(Enum):
    """Views of the jig in the plate frame, Z up the sheet; FRONT is seen from the body's side, against +X."""

    FRONT = Placement(ORIGIN, Y_AXIS, Z_AXIS)
    BACK = Placement(ORIGIN, _DOWN, Z_AXIS)
    TOP = Placement(ORIGIN, Y_AXIS, _LEFT)
    RIGHT = Placement(ORIGIN, _LEFT, Z_AXIS)
    LEFT = Placement(ORIGIN, X_AXIS, Z_AXIS)
    ISOMETRIC_FRONT = isometric(P3(1.0, 1.0, 1.0), Z_AXIS)
    ISOMETRIC_BELOW = isometric(P3(1.0, 1.0, -1.0), Z_AXIS)
    ISOMETRIC_BEHIND = isometric(P3(-1.0, 1.0, -1.0), Z_AXIS)
