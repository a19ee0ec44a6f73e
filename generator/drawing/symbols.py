"""Small drawn signs: arrowheads, centre marks, pointing arrows with words."""

from __future__ import annotations

from generator.base.annotation import Anchor
from generator.base.points2d import P2
from generator.base.shapes2d import polygon, polyline
from generator.drawing.sheet import Fill, Item, Label, Level, Stroke
from generator.drawing.style import PENS, Role

#: A narrow closed head, length to half width.
_SLENDER = 6.0


def arrowhead(tip: P2, direction: P2, length: float, role: Role = Role.DIMENSION) -> Fill:
    """A filled head with its point at `tip`, pointing along the unit vector `direction`, `length` mm long."""
    back = tip.minus(direction.times(length))
    side = direction.left().times(length / _SLENDER)
    return Fill(polygon([tip, back.plus(side), back.minus(side)]), role)


def line(a: P2, b: P2, role: Role) -> Stroke:
    return Stroke(polyline([a, b]), role, PENS[role])


def centre_cross(center: P2, reach: float) -> list[Item]:
    """Two centre lines through `center`, each reaching `reach` mm from it."""
    arms = (P2(reach, 0.0), P2(0.0, reach))
    return [line(center.minus(arm), center.plus(arm), Role.CENTRE) for arm in arms]


def pointer(tail: P2, direction: P2, length: float, text: str, height: float) -> list[Item]:
    """A bold arrow from `tail` along the unit vector `direction`, its words behind the tail, level or upright.

    The words stand where the arrow comes from, so an arrow and its words read as one in any direction.
    """
    tip = tail.plus(direction.times(length))
    head = height * 1.3
    shaft = Stroke(polyline([tail, tip.minus(direction.times(head))]), Role.NOTE, PENS[Role.VISIBLE])
    gap = tail.minus(direction.times(height * 0.5))
    if abs(direction.x) >= abs(direction.y):
        anchor = Anchor.RIGHT if direction.x > 0 else Anchor.LEFT
        label = Label(text, gap, height, Role.NOTE, anchor=anchor, level=Level.MIDDLE)
    else:
        level = Level.TOP if direction.y > 0 else Level.BASE
        label = Label(text, gap, height, Role.NOTE, anchor=Anchor.MIDDLE, level=level)
    return [shaft, arrowhead(tip, direction, head, Role.NOTE), label]
