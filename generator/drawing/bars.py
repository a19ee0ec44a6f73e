"""Check bars and the check square: what a user measures before trusting a print.

A bar is drawn as long as the printer correction asks for and labelled with its nominal length, so that on the paper it
measures what its label says. Paper moves with the weather, so its edge is never a datum: two bars at right angles are.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.base.annotation import Anchor
from generator.base.points2d import P2
from generator.base.shapes2d import polyline, rectangle
from generator.base.units import inches
from generator.drawing.sheet import Item, Label, Level, Stroke
from generator.drawing.style import PENS, Role

#: Nominal length of the bars on every page and side of the check square, mm.
CHECK_LENGTH = 100.0
#: Nominal length of the inch bar, inches.
INCH_BAR_COUNT = 4
#: How far a tick reaches to either side of its bar, mm.
_TICK = 1.5
#: Capital height of a bar's label, mm.
_TEXT = 2.5


@dataclass(frozen=True)
class PrinterScale:
    """How many millimetres are drawn, along the page's x and y, for one that shall be measured on the print."""

    x: float = 1.0
    y: float = 1.0


def check_square(corner: P2, correction: PrinterScale) -> list[Item]:
    """The 100 × 100 mm square, lower left corner at `corner`, its sides labelled inside."""
    width, height = CHECK_LENGTH * correction.x, CHECK_LENGTH * correction.y
    square = rectangle(corner.x, corner.y, corner.x + width, corner.y + height)
    below, left = corner.plus(P2(width / 2.0, 3.0)), corner.plus(P2(3.0, height / 2.0))
    return [
        Stroke(square, Role.CUT, PENS[Role.CUT]),
        Label("100 mm", below, 3.5, Role.MARK, anchor=Anchor.MIDDLE),
        Label("100 mm", left, 3.5, Role.MARK, 90.0, Anchor.MIDDLE, Level.TOP),
    ]


def inch_bar(start: P2, correction: PrinterScale) -> list[Item]:
    """Four inches from `start` to the right, a tick at each inch, the label after its end."""
    step = inches(1) * correction.x
    end = start.plus(P2(step * INCH_BAR_COUNT, 0.0))
    ticks = [
        polyline([start.plus(P2(step * i, -_TICK)), start.plus(P2(step * i, _TICK))]) for i in range(INCH_BAR_COUNT + 1)
    ]
    strokes = [Stroke(path, Role.MARK, PENS[Role.MARK]) for path in (polyline([start, end]), *ticks)]
    return [*strokes, Label(f"{INCH_BAR_COUNT} in", end.plus(P2(3.0, 0.0)), _TEXT, Role.MARK, level=Level.MIDDLE)]


def level_bar(start: P2, correction: PrinterScale) -> list[Item]:
    """A 100 mm bar from `start` to the right, its label after its end."""
    end = start.plus(P2(CHECK_LENGTH * correction.x, 0.0))
    label = Label("100 mm", end.plus(P2(2.5, 0.0)), _TEXT, Role.MARK, level=Level.MIDDLE)
    return [*_bar(start, end, P2(0.0, _TICK)), label]


def upright_bar(start: P2, correction: PrinterScale) -> list[Item]:
    """A 100 mm bar from `start` upwards, its label after its end."""
    end = start.plus(P2(0.0, CHECK_LENGTH * correction.y))
    label = Label("100 mm", end.plus(P2(0.0, 2.5)), _TEXT, Role.MARK, 90.0, Anchor.LEFT, Level.MIDDLE)
    return [*_bar(start, end, P2(_TICK, 0.0)), label]


def _bar(start: P2, end: P2, tick: P2) -> list[Item]:
    paths = [
        polyline([start, end]),
        polyline([start.minus(tick), start.plus(tick)]),
        polyline([end.minus(tick), end.plus(tick)]),
    ]
    return [Stroke(path, Role.MARK, PENS[Role.MARK]) for path in paths]
