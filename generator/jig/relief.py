"""Reliefs in sharp inner corners, so that a round cutter leaves room for what stands in the corner.

A laser cuts a sharp inner corner; a milling cutter, a router bit or a drill cannot. The relief is the cutter's own
circle through the corner, its middle on the corner's bisector.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from generator.base.annotation import Requirement
from generator.base.contours2d import Path, Vertex
from generator.base.points2d import P2
from generator.base.shapes2d import polygon
from generator.job.model.stock import CutBy, Stock

#: Diameter of the cutter or drill that clears a sharp inner corner, mm (common practice: four times as deep as wide).
CUTTER = 3.0
#: A corner whose turn has a sine within this of −1 is a square inner one.
_SQUARE = 1e-9
#: The circle through a square corner meets each wall once more this far from the corner, mm: a chord of a quarter turn.
_CHORD = CUTTER * math.sqrt(0.5)
#: A wall must go on by this behind the place where the circle meets it, mm.
_BEHIND = 0.1


def needs_relief(stock: Stock) -> bool:
    """True for a stock that is cut by something round: mill, router or saw and drill."""
    return CutBy.LASER not in stock.cut_by


def relief_fits(wall: float) -> bool:
    """True for a wall (mm) that is long enough for a relief at its end; a shorter one keeps its corner sharp."""
    return wall >= _CHORD + _BEHIND


def relieved(corners: Sequence[P2], stock: Stock) -> Path:
    """The polygon of `corners` (counter-clockwise, mm): each square inner corner whose walls have the room is relieved,
    where `stock` needs it."""
    if not needs_relief(stock):
        return polygon(corners)
    found: list[Vertex] = []
    for n, corner in enumerate(corners):
        into = corner.minus(corners[n - 1]).unit()
        out = corners[(n + 1) % len(corners)].minus(corner).unit()
        if into.cross(out) > -1.0 + _SQUARE:
            found.append(Vertex(*corner))
            continue
        walls = corner.distance(corners[n - 1]), corner.distance(corners[(n + 1) % len(corners)])
        if not relief_fits(min(walls)):
            found.append(Vertex(*corner))
            continue
        found += [Vertex(*corner.minus(into.times(_CHORD)), -1.0), Vertex(*corner.plus(out.times(_CHORD)))]
    return Path(tuple(found), closed=True)


def relief_note(stock: Stock) -> tuple[Requirement, ...]:
    """What a part with relieved corners says of its cutter; nothing where it has none."""
    words = "Reliefs in the inner corners: cutter or drill of ⌀{}, right through"
    return (Requirement(words, ((CUTTER,),)),) if needs_relief(stock) else ()
