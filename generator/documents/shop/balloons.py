"""Balloons: a number in a ring whose leader ends in a dot on the piece, in two columns beside a view."""

from __future__ import annotations

from collections.abc import Mapping

from generator.base.annotation import Anchor
from generator.base.contours2d import Circle
from generator.base.points2d import P2, Box
from generator.drawing.columns import two_columns
from generator.drawing.font import largest_height
from generator.drawing.sheet import Fill, Item, Label, Level, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import line

#: Radius of a balloon's ring, mm.
_RING = 4.0
#: Largest capital height of a balloon's number, mm.
_TEXT = 3.5
#: From the view's edge to the middles of the balloons beside it, mm.
_AWAY = 14.0
#: Radius of the dot at the leader's end, mm.
_DOT = 0.6
#: Room for the number inside its ring, mm.
_WIDEST = 6.4


def balloon_items(targets: Mapping[str, P2], view: Box) -> list[Item]:
    """The balloons of every number beside `view`: those of the left half in a column on the left, the rest right."""
    items: list[Item] = []
    for one in two_columns(targets, view, _AWAY, 2.5 * _RING):
        start = one.stand.plus(one.at.minus(one.stand).unit().times(_RING))
        items += [
            Stroke(Circle(one.stand, _RING), Role.NOTE, PENS[Role.EDGE]),
            _number(one.text, one.stand),
            line(start, one.at, Role.NOTE),
            Fill(Circle(one.at, _DOT).as_path(), Role.NOTE),
        ]
    return items


def _number(text: str, center: P2) -> Label:
    """The number in its ring, smaller where it would touch it."""
    height = largest_height(text, _WIDEST, _TEXT)
    return Label(text, center, height, Role.NOTE, anchor=Anchor.MIDDLE, level=Level.MIDDLE)
