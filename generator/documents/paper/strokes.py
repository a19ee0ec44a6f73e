"""Shapes that several instrument sheets draw: break lines, what the joint cuts of a face, grey areas."""

from __future__ import annotations

from collections.abc import Sequence

from generator.base.contours2d import Circle, Path
from generator.base.points2d import P2, Transform
from generator.base.shapes2d import polygon, polyline
from generator.drawing.compose import INSTRUCTION_TEXT
from generator.drawing.sheet import Fill, Item, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import pointer
from generator.joint.outlines import with_mouth_at

#: Grey of wood that goes away, and of the wedge or relief under the fretboard.
WASTE_GREY = 0.88
#: Length of an arrow without its words, mm.
_ARROW = 14.0


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


def cut_line(contour: Path, mouth: float = 0.0) -> Stroke:
    """The line that a joint's outline leaves on a face drawn upright: its mouth at the height `mouth` mm, without it.

    The contour's x runs down the face, its y to the right.
    """
    wall = Path(with_mouth_at(contour, -mouth).vertices, closed=False)
    return stroke(wall.transformed(Transform.rotate(270.0)), Role.VISIBLE)


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
