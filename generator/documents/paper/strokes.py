"""Shapes that several instrument sheets draw: break lines, the open outline of a mortise, grey areas."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generator.base.geometry2d import P2, SAME_POINT, Circle, Path, Vertex
from generator.base.shapes2d import polygon, polyline
from generator.drawing.compose import INSTRUCTION_TEXT
from generator.drawing.sheet import Fill, Item, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import pointer

#: Grey of wood that goes away, and of the wedge or relief under the fretboard.
WASTE_GREY = 0.88
#: Length of an arrow without its words, mm.
_ARROW = 14.0
#: Bulge of a quarter turn, counter-clockwise.
_QUARTER = math.tan(math.radians(90.0 / 4.0))


def stroke(shape: Path | Circle, role: Role) -> Stroke:
    """A line with the pen of its role."""
    return Stroke(shape, role, PENS[role])


def run(points: Sequence[P2], role: Role) -> Stroke:
    """An open run of straight lines."""
    return stroke(polyline(points), role)


def ring(points: Sequence[P2], role: Role) -> Stroke:
    """A closed polygon."""
    return stroke(polygon(points), role)


def area(points: Sequence[P2], grey: float = WASTE_GREY) -> Fill:
    """A grey area under the lines."""
    return Fill(polygon(points), Role.HATCH, grey)


def pocket_outline(half_width: float, top: float, bottom: float, radius: float) -> Path:
    """An open U from (−half_width, top) down, along `bottom`, and up, its two lower corners rounded by `radius` mm."""
    r = min(radius, half_width)
    corners = [Vertex(-half_width, top)]
    if r < SAME_POINT:
        corners += [Vertex(-half_width, bottom), Vertex(half_width, bottom)]
    else:
        corners += [Vertex(-half_width, bottom + r, _QUARTER)]
        # In a round-bottomed one both arcs meet in the middle and no flat is left.
        corners += [Vertex(-half_width + r, bottom)] if half_width - r > SAME_POINT else []
        corners += [Vertex(half_width - r, bottom, _QUARTER), Vertex(half_width, bottom + r)]
    return Path((*corners, Vertex(half_width, top)), closed=False)


def arrow(text: str, tip: P2, direction: P2, height: float = INSTRUCTION_TEXT) -> list[Item]:
    """A bold arrow that ends at `tip`, its words of capital `height` mm behind it, level or upright."""
    return pointer(tip.minus(direction.times(_ARROW)), direction, _ARROW, text, height)


def break_line(a: P2, b: P2) -> Item:
    """A zigzag across a part that is drawn only this far."""
    way = b.minus(a)
    length = way.length()
    along, side = way.times(1.0 / length), way.left().times(1.0 / length)
    tooth = min(3.0, length / 6.0)
    middle = a.plus(way.times(0.5))
    points = [
        a,
        middle.minus(along.times(tooth)),
        middle.minus(along.times(tooth / 2.0)).plus(side.times(tooth)),
        middle.plus(along.times(tooth / 2.0)).minus(side.times(tooth)),
        middle.plus(along.times(tooth)),
        b,
    ]
    return run(points, Role.EDGE)
