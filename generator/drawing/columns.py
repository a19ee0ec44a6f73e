"""Words or numbers in two columns beside a view, each with a line to its point, in an order in which no lines cross."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from generator.base.points2d import P2, Box


@dataclass(frozen=True)
class Pointed:
    """A word or number, the point it belongs to, and where in its column it stands, all on the paper."""

    text: str
    at: P2
    stand: P2
    left: bool


def two_columns(
    targets: Mapping[str, P2], view: Box, away: float, pitch: float, *, level: bool = False
) -> tuple[Pointed, ...]:
    """Where each word stands: those of the left half in a column `away` mm left of `view`, the rest on its right.

    Neighbours in a column are at least `pitch` mm apart. They are spread over the view's height, or, with `level`, each
    stands as nearly level with its point as the others let it. A column may be longer than the view.
    """
    if not targets:
        return ()
    middle = _median([at.x for at in targets.values()])
    out: list[Pointed] = []
    for left in (True, False):
        side = [(text, at) for text, at in targets.items() if (at.x < middle) is left]
        x = view.x0 - away if left else view.x1 + away
        heights = _level([at.y for _, at in side], pitch) if level else _spread(len(side), view, pitch)
        stands = [P2(x, y) for y in heights]
        ordered = zip(_uncrossed(side, stands), stands, strict=True)
        out += [Pointed(text, at, stand, left) for (text, at), stand in ordered]
    return tuple(out)


def _spread(count: int, view: Box, pitch: float) -> list[float]:
    step = max(pitch, view.height / max(1, count))
    return [view.center.y + step * ((count - 1) / 2.0 - i) for i in range(count)]


def _level(wanted: Sequence[float], pitch: float) -> list[float]:
    """Heights from high to low, `pitch` apart or more, with the least sum of squared moves from those wanted.

    Neighbours that would stand too close are pooled and keep their mean (pool adjacent violators).
    """
    pools: list[tuple[float, int]] = []
    for i, y in enumerate(sorted(wanted, reverse=True)):
        mean, count = y + i * pitch, 1
        while pools and pools[-1][0] < mean:
            above, many = pools.pop()
            mean, count = (mean * count + above * many) / (count + many), count + many
        pools.append((mean, count))
    free = [mean for mean, count in pools for _ in range(count)]
    return [y - i * pitch for i, y in enumerate(free)]


def _median(values: Sequence[float]) -> float:
    ordered = sorted(values)
    return ordered[len(ordered) // 2]


def _uncrossed(side: Sequence[tuple[str, P2]], stands: Sequence[P2]) -> list[tuple[str, P2]]:
    """From high to low, then exchanged where two lines cross: each exchange makes the lines shorter together."""
    order = sorted(side, key=lambda one: (-one[1].y, one[0]))
    again = True
    while again:
        again = False
        for i in range(len(order)):
            for j in range(i + 1, len(order)):
                kept = stands[i].distance(order[i][1]) + stands[j].distance(order[j][1])
                changed = stands[i].distance(order[j][1]) + stands[j].distance(order[i][1])
                if changed < kept - 1e-9:
                    order[i], order[j] = order[j], order[i]
                    again = True
    return order
