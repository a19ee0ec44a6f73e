"""How a live picture is written: lines by what they are, and each measurement's dimension in a group of its own.

The group carries the measurement's keys, so that the page can light it up. Points are mm with y up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from generator.base.points2d import P2
from generator.page.words import catalogue

#: Margin round what a picture shows, mm.
_EDGE = 6.0
#: Half the length of the stroke across a dimension's end, mm.
_TICK = 2.2
#: A dimension too short to see gets a ring of at least this radius, mm.
_SPOT = 4.2


@dataclass(frozen=True)
class SketchMeasure:
    """One dimension of a picture: the keys it is of, and its ends."""

    keys: tuple[str, ...]
    start: P2
    end: P2


@dataclass(frozen=True)
class Shape:
    """One line of a picture: its role (as the style sheet knows it), its points, and whether it closes."""

    role: str
    points: Sequence[P2]
    closed: bool = True


@dataclass(frozen=True)
class Sketch:
    """A finished picture: which set it belongs to, the keys it shows, what it is called, and its SVG."""

    set: str
    keys: tuple[str, ...]
    title: str
    svg: str

    def content(self) -> dict[str, object]:
        """The picture as JSON carries it."""
        return {"set": self.set, "keys": list(self.keys), "title": self.title, "svg": self.svg}


def sketch(
    name: str, set_: str, shapes: Sequence[Shape], measures: Sequence[SketchMeasure], heights: float = 1.0
) -> Sketch:
    """The picture `name` of a set, heights drawn `heights` times as large as lengths."""
    ends = [
        *(point for shape in shapes for point in shape.points),
        *(end for measure in measures for end in (measure.start, measure.end)),
    ]
    x0, x1 = min(p.x for p in ends) - _EDGE, max(p.x for p in ends) + _EDGE
    y0, y1 = -heights * max(p.y for p in ends) - _EDGE, -heights * min(p.y for p in ends) + _EDGE
    drawn = [_shape(shape, heights) for shape in shapes]
    title = catalogue()["picture"][name]
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="sketch" role="img" aria-label="{escape(title)}" '
        f'viewBox="{_n(x0)} {_n(y0)} {_n(x1 - x0)} {_n(y1 - y0)}">'
        + "".join([*drawn, *(_measure(measure, heights) for measure in measures)])
        + "</svg>"
    )
    return Sketch(set_, tuple(dict.fromkeys(key for measure in measures for key in measure.keys)), title, svg)


def rectangle(role: str, x0: float, y0: float, x1: float, y1: float) -> Shape:
    """A rectangle by two opposite corners."""
    return Shape(role, (P2(x0, y0), P2(x1, y0), P2(x1, y1), P2(x0, y1)))


def _shape(shape: Shape, heights: float) -> str:
    d = "M" + "L".join(f"{_n(p.x)} {_n(-heights * p.y)}" for p in shape.points)
    return f'<path class="{shape.role}" d="{d}{"Z" if shape.closed else ""}"/>'


def _measure(measure: SketchMeasure, heights: float) -> str:
    a, b = (P2(p.x, -heights * p.y) for p in (measure.start, measure.end))
    along = b.minus(a)
    across = P2(-along.y, along.x).times(_TICK / along.length()) if along.length() > 1e-6 else P2(_TICK, 0.0)
    strokes = [(a, b), (a.minus(across), a.plus(across)), (b.minus(across), b.plus(across))]
    d = "".join(f"M{_n(p.x)} {_n(p.y)}L{_n(q.x)} {_n(q.y)}" for p, q in strokes)
    middle = a.plus(b).times(0.5)
    radius = max(_SPOT, along.length() / 2.0 + _TICK)
    ring = f'<circle class="spot" cx="{_n(middle.x)}" cy="{_n(middle.y)}" r="{_n(radius)}"/>'
    small = ring if along.length() < 2.0 * _SPOT else ""
    return f'<g class="measure" data-keys="{escape(" ".join(measure.keys))}"><path d="{d}"/>{small}</g>'


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
