"""Balloons: a number in a ring at the end of a leader, in two columns beside a view, so that no leaders cross."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from generator.drawing.sheet import Item, Label, Level, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import arrowhead, line
from generator.geometry2d import P2, Box, Circle, Path
from generator.parts.base import Anchor

_RING = 4.0
_TEXT = 3.5
_AWAY = 14.0


@dataclass(frozen=True)
class Pointed:
    """What a balloon points at: its number and a point on the paper."""

    number: int
    at: P2


def target_on(paths: Sequence[Path]) -> P2:
    """A point on a piece's longest visible line: what a leader can show without doubt."""
    longest = max(paths, key=lambda path: path.length)
    segments = sorted(longest.segments(), key=lambda segment: -segment.length)
    return segments[0].point_at(0.5)


def balloon_items(targets: Mapping[int, P2], view: Box) -> list[Item]:
    """The balloons of every number beside `view`: those of the left half in a column on the left, the rest right."""
    middle = _median([at.x for at in targets.values()])
    items: list[Item] = []
    for left in (True, False):
        side = [Pointed(number, at) for number, at in targets.items() if (at.x < middle) is left]
        x = view.x0 - _AWAY if left else view.x1 + _AWAY
        items += _column(sorted(side, key=lambda one: -one.at.y), x, view, left)
    return items


def _median(values: Sequence[float]) -> float:
    ordered = sorted(values)
    return ordered[len(ordered) // 2]


def _column(pointed: Sequence[Pointed], x: float, view: Box, left: bool) -> list[Item]:
    items: list[Item] = []
    pitch = max(2.5 * _RING, view.height / max(1, len(pointed)))
    top = view.center.y + pitch * (len(pointed) - 1) / 2.0
    for i, one in enumerate(pointed):
        center = P2(x, top - i * pitch)
        toward = one.at.minus(center).unit()
        start = center.plus(toward.times(_RING))
        items += [
            Stroke(Circle(center, _RING), Role.NOTE, PENS[Role.EDGE]),
            Label(str(one.number), center, _TEXT, Role.NOTE, anchor=Anchor.MIDDLE, level=Level.MIDDLE),
            line(start, one.at, Role.NOTE),
            arrowhead(one.at, toward, 2.5, Role.NOTE),
        ]
    return items
