"""Ruled tables on a drawing: hole table, parts list, hardware list."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from generator.base.errors import LayoutError
from generator.base.points2d import P2
from generator.drawing.font import text_width, wrapped
from generator.drawing.sheet import Item, Label, Level
from generator.drawing.style import Role
from generator.drawing.symbols import line

#: Capital height in a table's cells, mm.
TEXT = 2.5
#: Height of a row of one line, mm.
_ROW = 5.0
#: Distance from a cell's text to the rules beside it, mm.
_PAD = 1.2
#: Capital height of a table's title, mm.
_TITLE = 3.5


@dataclass(frozen=True)
class Table:
    """A table with a title over its heading row; the last column takes what width is left and wraps."""

    title: str
    heading: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def items(self, left: float, foot: float, width: float) -> tuple[list[Item], float]:
        """The table's ink with its lower left corner at (left, foot), and the height it takes, mm.

        Raises LayoutError when the fixed columns leave no room for the last one.
        """
        lines: list[list[tuple[str, ...]]] = [[(cell,) for cell in self.heading]]
        columns = self._columns(width)
        for row in self.rows:
            lines.append(
                [wrapped(cell, TEXT, room - 2.0 * _PAD) or ("",) for cell, room in zip(row, columns, strict=True)]
            )
        heights = [max(len(cell) for cell in row) * 0.8 * _ROW + 0.2 * _ROW for row in lines]
        total = math.fsum(heights)
        top = foot + total
        items: list[Item] = [Label(self.title, P2(left, top + 1.6), _TITLE, Role.TITLE)]
        y = top
        for cells, high in zip(lines, heights, strict=True):
            items.append(line(P2(left, y), P2(left + width, y), Role.TITLE))
            items += _row(cells, columns, left, y)
            y -= high
        items.append(line(P2(left, y), P2(left + width, y), Role.TITLE))
        x = left
        for room in (*columns, 0.0):
            items.append(line(P2(x, foot), P2(x, top), Role.TITLE))
            x += room
        return items, total + 2.0 * _TITLE

    def _columns(self, width: float) -> list[float]:
        cells = [self.heading, *self.rows]
        fixed = [
            max(text_width(row[i], TEXT) for row in cells) + 2.0 * _PAD + 0.2 for i in range(len(self.heading) - 1)
        ]
        rest = width - math.fsum(fixed)
        if rest < 25.0:
            raise LayoutError(f"table {self.title}: {width:g} mm leave no room for the column {self.heading[-1]!r}")
        return [*fixed, rest]


def _row(row: Sequence[Sequence[str]], columns: Sequence[float], left: float, top: float) -> list[Item]:
    items: list[Item] = []
    x = left
    for cell, room in zip(row, columns, strict=True):
        for i, text in enumerate(cell):
            if text:
                at = P2(x + _PAD, top - (0.8 * i + 0.5) * _ROW)
                items.append(Label(text, at, TEXT, Role.NOTE, level=Level.MIDDLE))
        x += room
    return items
