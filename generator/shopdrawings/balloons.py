"""Balloons: a number in a ring whose leader ends in a dot on the piece, in two columns beside a view."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from generator.drawing.font import largest_height
from generator.drawing.sheet import Fill, Item, Label, Level, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import line
from generator.geometry2d import P2, Box, Circle
from generator.parts.base import Anchor

_RING = 4.0
_TEXT = 3.5
_AWAY = 14.0
_DOT = 0.6
#: Room for the number inside its ring, mm.
_WIDEST = 6.4


@dataclass(frozen=True)
class Pointed:
    """What a balloon points at: its number and a point on the paper."""

    number: str
    at: P2


def balloon_items(targets: Mapping[str, P2], view: Box) -> list[Item]:
    """The balloons of every number beside `view`: those of the left half in a column on the left, the rest right."""
    middle = _median([at.x for at in targets.values()])
    items: list[Item] = []
    for left in (True, False):
        side = [Pointed(number, at) for number, at in targets.items() if (at.x < middle) is left]
        x = view.x0 - _AWAY if left else view.x1 + _AWAY
        items += _column(side, x, view)
    return items


def _median(values: Sequence[float]) -> float:
    ordered = sorted(values)
    return ordered[len(ordered) // 2]


def _column(pointed: Sequence[Pointed], x: float, view: Box) -> list[Item]:
    """One column, its balloons in an order in which no two leaders cross."""
    pitch = max(2.5 * _RING, view.height / max(1, len(pointed)))
    top = view.center.y + pitch * (len(pointed) - 1) / 2.0
    centers = [P2(x, top - i * pitch) for i in range(len(pointed))]
    items: list[Item] = []
    for center, one in zip(centers, _uncrossed(pointed, centers), strict=True):
        start = center.plus(one.at.minus(center).unit().times(_RING))
        items += [
            Stroke(Circle(center, _RING), Role.NOTE, PENS[Role.EDGE]),
            _number(one.number, center),
            line(start, one.at, Role.NOTE),
            Fill(Circle(one.at, _DOT).as_path(), Role.NOTE),
        ]
    return items


def _number(text: str, center: P2) -> Label:
    """The number in its ring, smaller where it would touch it."""
    height = largest_height(text, _WIDEST, _TEXT)
    return Label(text, center, height, Role.NOTE, anchor=Anchor.MIDDLE, level=Level.MIDDLE)


def _uncrossed(pointed: Sequence[Pointed], centers: Sequence[P2]) -> list[Pointed]:
    """From high to low, then exchanged where two leaders cross: each exchange makes the leaders shorter together."""
    order = sorted(pointed, key=lambda one: (-one.at.y, one.number))
    again = True
    while again:
        again = False
        for i in range(len(order)):
            for j in range(i + 1, len(order)):
                kept = centers[i].distance(order[i].at) + centers[j].distance(order[j].at)
                changed = centers[i].distance(order[j].at) + centers[j].distance(order[i].at)
                if changed < kept - 1e-9:
                    order[i], order[j] = order[j], order[i]
                    again = True
    return order
