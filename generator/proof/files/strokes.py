"""Engraved and sunk lines of a cutting file, compared as a set whatever their order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from generator.base.contours2d import Path
from generator.base.points2d import P2, Transform
from generator.cutting.cut_layers import CUT_INSIDE, CUT_OUTSIDE, CutLine

#: Cutting files carry nine decimals; lines within this of each other are one, mm.
_EXACT = 2e-3


@dataclass(frozen=True)
class CutStroke:
    """One engraved or sunk line: its layer, length, middle, and both ends; a closed one ends in its middle."""

    layer: str
    length: float
    middle: P2
    ends: tuple[P2, P2]

    def like(self, other: CutStroke) -> bool:
        same = self.layer == other.layer and abs(self.length - other.length) < _EXACT
        return same and self.middle.distance(other.middle) < _EXACT and self._ends_meet(other)

    def _ends_meet(self, other: CutStroke) -> bool:
        (a, b), (c, d) = self.ends, other.ends
        return (a.distance(c) < _EXACT and b.distance(d) < _EXACT) or (
            a.distance(d) < _EXACT and b.distance(c) < _EXACT
        )


@dataclass(frozen=True)
class Strokes:
    """The engraved and sunk lines of one file, or of one part laid somewhere."""

    strokes: tuple[CutStroke, ...]

    @staticmethod
    def of(lines: Sequence[CutLine]) -> Strokes:
        return Strokes(tuple(_stroke(line) for line in lines if line.layer not in (CUT_INSIDE, CUT_OUTSIDE)))

    def transformed(self, t: Transform) -> Strokes:
        moved = (
            replace(s, middle=t.apply(s.middle), ends=(t.apply(s.ends[0]), t.apply(s.ends[1]))) for s in self.strokes
        )
        return Strokes(tuple(moved))

    def without(self, other: Strokes) -> list[CutStroke]:
        """The strokes that `other` has none like."""
        cells: dict[tuple[int, int], list[CutStroke]] = {}
        for stroke in other.strokes:
            cells.setdefault(_cell(stroke.middle), []).append(stroke)
        return [stroke for stroke in self.strokes if not any(stroke.like(near) for near in _near(cells, stroke.middle))]


def _stroke(line: CutLine) -> CutStroke:
    box = line.shape.box()
    if line.closed or not isinstance(line.shape, Path):
        return CutStroke(line.layer, line.shape.length, box.center, (box.center, box.center))
    return CutStroke(line.layer, line.shape.length, box.center, (line.shape.start, line.shape.end))


def _cell(at: P2) -> tuple[int, int]:
    return round(at.x), round(at.y)


def _near(cells: dict[tuple[int, int], list[CutStroke]], at: P2) -> Iterator[CutStroke]:
    x, y = _cell(at)
    for i in (-1, 0, 1):
        for j in (-1, 0, 1):
            yield from cells.get((x + i, y + j), ())
