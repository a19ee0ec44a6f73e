"""Short ways to state the dimensions of a part; each takes the model's value and is checked against its points."""

from __future__ import annotations

from generator.base.annotation import Dimension, DimKind, Side, Tolerance
from generator.base.points2d import P2, Box, polar


def across(
    name: str, a: P2, b: P2, value: float, side: Side = Side.BELOW, tolerance: Tolerance | None = None, note: str = ""
) -> Dimension:
    """The horizontal distance from `a` to `b`, mm."""
    return Dimension(name, DimKind.HORIZONTAL, (a, b), value, side, tolerance, note=note)


def along(
    name: str, a: P2, b: P2, value: float, side: Side = Side.LEFT, tolerance: Tolerance | None = None, note: str = ""
) -> Dimension:
    """The vertical distance from `a` to `b`, mm."""
    return Dimension(name, DimKind.VERTICAL, (a, b), value, side, tolerance, note=note)


def overall(
    box: Box, width_name: str, height_name: str, width: float | None = None, height: float | None = None
) -> tuple[Dimension, Dimension]:
    """Overall width (below) and height (left) of a part; the values default to the box's own."""
    return (
        across(width_name, P2(box.x0, box.y0), P2(box.x1, box.y0), box.width if width is None else width),
        along(height_name, P2(box.x0, box.y0), P2(box.x0, box.y1), box.height if height is None else height),
    )


def radius(name: str, center: P2, size: float, angle: float, count: int = 1, note: str = "") -> Dimension:
    """A corner radius, its leader leaving at `angle` degrees from the arc's centre."""
    return Dimension(
        name, DimKind.RADIUS, (center, center.plus(polar(angle, size))), size, Side.INSIDE, count=count, note=note
    )


def diameter(
    name: str,
    center: P2,
    size: float,
    count: int = 1,
    tolerance: Tolerance | None = None,
    note: str = "",
    angle: float = 45.0,
) -> Dimension:
    """The diameter of a hole, its leader leaving at `angle` degrees."""
    return Dimension(
        name,
        DimKind.DIAMETER,
        (center, center.plus(polar(angle, size / 2.0))),
        size,
        Side.INSIDE,
        tolerance,
        count,
        note,
    )
