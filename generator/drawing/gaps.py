"""Lines that leave room for lettering: where a text lies in its way, a line is broken."""

from __future__ import annotations

from collections.abc import Iterable

from generator.base.points2d import P2
from generator.drawing.scene import Quad

#: Kept clear round every text, mm.
TEXT_MARGIN = 0.4


def broken(a: P2, b: P2, texts: Iterable[Quad]) -> list[tuple[P2, P2]]:
    """The line from `a` to `b` without the parts that run over `texts`."""
    length = a.distance(b)
    unit = b.minus(a).times(1.0 / length)
    gaps = sorted(gap for text in texts if (gap := _overrun(a, unit, length, text)))
    out: list[tuple[P2, P2]] = []
    start = 0.0
    for low, high in gaps:
        if low > start:
            out.append((a.plus(unit.times(start)), a.plus(unit.times(low))))
        start = max(start, high)
    if start < length:
        out.append((a.plus(unit.times(start)), b))
    return out


def _overrun(a: P2, unit: P2, length: float, text: Quad) -> tuple[float, float] | None:
    """From where to where along the line it lies in a rectangle, mm; None where it passes by."""
    low, high = 0.0, length
    for i in range(4):
        edge = text[(i + 1) % 4].minus(text[i])
        outside = edge.cross(a.minus(text[i]))  # negative outside: corners run counter-clockwise
        rate = edge.cross(unit)
        if abs(rate) < 1e-12:
            if outside < 0:
                return None
        elif rate > 0:
            low = max(low, -outside / rate)
        else:
            high = min(high, -outside / rate)
    return (low, high) if high - low > 1e-6 else None
