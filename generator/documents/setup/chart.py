"""A plain chart on a sheet: frame, ticks, lines, bands and marks, all in mm on the paper."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from generator.base.annotation import Anchor
from generator.base.contours2d import Circle
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box, Transform
from generator.base.shapes2d import polyline, rectangle
from generator.base.units import format_mm
from generator.drawing.sheet import Fill, Label, Level, Sheet, SheetBuilder, Stroke
from generator.drawing.style import PENS, Pen, Role

#: A hyphen before a number that no word runs into is a minus sign.
_MINUS = re.compile(r"(?<!\w)-(?=\d)")
#: Capital height of the numbers at the ticks, mm.
_TICK_TEXT = 2.0
#: Capital height of the axes' names and of words in the chart, mm.
_NAME_TEXT = 2.3
#: Capital height of the heading, mm.
_TITLE_TEXT = 3.0
#: Least distance of words from the chart's edge, mm.
_EDGE = 0.3
#: Pen of the grid's lines.
_GRID = Pen(0.18, grey=0.78)
#: Pen of a curve where no other is asked for.
CURVE = Pen(0.5)


def nice_step(span: float, most: int) -> float:
    """The least step of the form 1, 2 or 5 × a power of ten that cuts `span` into `most` pieces at the most."""
    raw = span / most
    power = 10.0 ** math.floor(math.log10(raw))
    return next(power * size for size in (1.0, 2.0, 5.0, 10.0) if power * size >= raw * (1.0 - 1e-9))


def ticks(low: float, high: float, step: float) -> tuple[float, ...]:
    """Every whole multiple of `step` from `low` to `high`."""
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return tuple(n * step for n in range(first, last + 1))


@dataclass
class Chart:
    """A chart `width` × `height` mm over the ranges `x` and `y`; draw the grid first, marks last.

    The axes' numbers count in units of `unit` (1 where the values are what is printed).
    """

    name: str
    title: str
    width: float
    height: float
    x: tuple[float, float]
    y: tuple[float, float]
    frame: Box
    unit: float = 1.0

    def __post_init__(self) -> None:
        if not (self.x[0] < self.x[1] and self.y[0] < self.y[1]):
            raise LayoutError(f"chart {self.name}: nothing between {self.x} and {self.y}")
        self.builder = SheetBuilder(self.name, self.title)

    def at(self, x: float, y: float) -> P2:
        """Where a pair of values stands on the paper."""
        f = self.frame
        return P2(
            f.x0 + (x - self.x[0]) / (self.x[1] - self.x[0]) * f.width,
            f.y0 + (y - self.y[0]) / (self.y[1] - self.y[0]) * f.height,
        )

    def grid(self, x_name: str, y_name: str, x_steps: int = 8, y_steps: int = 8, whole_x: bool = False) -> None:
        """Frame, grid lines, numbers at the ticks, and what the axes carry."""
        add = self.builder.items.append
        x_step = self._step(self.x, x_steps)
        for value in ticks(*self.x, max(x_step, 1.0) if whole_x else x_step):
            low, high = self.at(value, self.y[0]), self.at(value, self.y[1])
            add(Stroke(polyline([low, high]), Role.HATCH, _GRID))
            self._put(_text(self._number(value, x_step), low.minus(P2(0.0, 1.2)), _TICK_TEXT, Anchor.MIDDLE, Level.TOP))
        y_step = self._step(self.y, y_steps)
        for value in ticks(*self.y, y_step):
            left, right = self.at(self.x[0], value), self.at(self.x[1], value)
            add(Stroke(polyline([left, right]), Role.HATCH, _GRID))
            at = left.minus(P2(1.2, 0.0))
            self._put(_text(self._number(value, y_step), at, _TICK_TEXT, Anchor.RIGHT, Level.MIDDLE))
        f = self.frame
        add(Stroke(rectangle(*f), Role.EDGE, PENS[Role.EDGE]))
        self._put(_text(x_name, P2(f.center.x, f.y0 - 5.2), _NAME_TEXT, Anchor.MIDDLE, Level.TOP))
        self._put(Label(y_name, P2(f.x0 - 9.5, f.center.y), _NAME_TEXT, Role.NOTE, 90.0, Anchor.MIDDLE, Level.BASE))

    def _put(self, label: Label) -> None:
        """The label, moved by as much as it would stick out of the chart: its values decide how long words are."""
        box = label.box()
        right = max(0.0, _EDGE - box.x0) - max(0.0, box.x1 - self.width + _EDGE)
        up = max(0.0, _EDGE - box.y0) - max(0.0, box.y1 - self.height + _EDGE)
        self.builder.items.append(label.transformed(Transform.move(right, up)) if right or up else label)

    def _step(self, span: tuple[float, float], most: int) -> float:
        return nice_step((span[1] - span[0]) / self.unit, most) * self.unit

    def _number(self, value: float, step: float) -> str:
        """A tick's number in the chart's unit, with the step's decimals where that is not the value's own."""
        if self.unit == 1.0:
            return format_mm(value)
        return format_mm(value / self.unit, max(0, -math.floor(math.log10(step / self.unit) + 1e-9)))

    def heading(self, text: str) -> None:
        self._put(_text(text, P2(self.frame.x0, self.frame.y1 + 2.5), _TITLE_TEXT))

    def band(self, low: float, high: float, grey: float = 0.9) -> None:
        """A grey band between two values of y."""
        low, high = max(low, self.y[0]), min(high, self.y[1])
        if low < high:
            a, b = self.at(self.x[0], low), self.at(self.x[1], high)
            self.builder.items.append(Fill(rectangle(*a, *b), Role.HATCH, grey))

    def curve(self, points: Sequence[tuple[float, float]], pen: Pen = CURVE) -> None:
        """A line through pairs of values; stretches outside the frame are left out."""
        run: list[P2] = []
        for x, y in points:
            if self.x[0] <= x <= self.x[1] and self.y[0] <= y <= self.y[1]:
                run.append(self.at(x, y))
            else:
                self._flush(run, pen)
                run = []
        self._flush(run, pen)

    def _flush(self, run: list[P2], pen: Pen) -> None:
        apart = [p for i, p in enumerate(run) if i == 0 or p.distance(run[i - 1]) > 1e-6]
        if len(apart) > 1:
            self.builder.items.append(Stroke(polyline(apart), Role.NOTE, pen))

    def level(self, y: float, pen: Pen) -> None:
        """A line all across at one value of y."""
        self.curve([(self.x[0], y), (self.x[1], y)], pen)

    def mark(self, x: float, y: float, filled: bool = True) -> None:
        """A dot, or a ring, at a pair of values."""
        dot = Circle(self.at(x, y), 1.0)
        self.builder.items.append(Fill(dot, Role.NOTE, 0.0 if filled else 1.0))
        self.builder.items.append(Stroke(dot, Role.NOTE, PENS[Role.VISIBLE]))

    def words(self, text: str, at: P2, anchor: Anchor = Anchor.LEFT, level: Level = Level.BASE) -> None:
        """One line of text at a point of the paper."""
        self._put(_text(text, at, _NAME_TEXT, anchor, level))

    def sheet(self, job: str = "") -> Sheet:
        return self.builder.sheet(self.width, self.height, job)


def _text(text: str, at: P2, height: float, anchor: Anchor = Anchor.LEFT, level: Level = Level.BASE) -> Label:
    return Label(_MINUS.sub("−", text), at, height, Role.NOTE, 0.0, anchor, level)
