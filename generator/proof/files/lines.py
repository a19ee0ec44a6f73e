"""Lines of two files laid on each other, whatever broke them up."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from generator.base.contours2d import Circle, Contour
from generator.base.points2d import P2

#: Curves are broken up this finely to be compared, mm.
FINE = 0.01
#: Curves of drawings are broken up less finely to be compared, mm: their outlines are compared on their own.
COARSE = 0.03
#: Points are put this far apart along a line, mm.
_APART = 2.0
#: Points are put this far apart along a drawing's lines, mm.
_APART_ON_DRAWINGS = 8.0


def line_of(shape: Contour, max_error: float = FINE) -> BaseGeometry:
    """A contour as a line of short pieces, right within `max_error` mm; a closed one ends where it begins."""
    return run_of(shape.flatten(max_error), closed=isinstance(shape, Circle) or shape.closed)


def run_of(points: Sequence[P2], *, closed: bool) -> BaseGeometry:
    """A line through points, back to its start where it is closed."""
    run = [(p.x, p.y) for p in points]
    return shapely.linestrings(run + run[:1] if closed else run)


def farthest(lines: Sequence[BaseGeometry], other: BaseGeometry, step: float = _APART) -> float:
    """The largest distance of `lines` from `other`, mm, looked at every `step` mm and at every corner."""
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(np.array(lines), step)))
    shapely.prepare(other)
    return float(shapely.distance(points, other).max())


def apart(one: Sequence[BaseGeometry], other: Sequence[BaseGeometry]) -> float:
    """The largest distance of any point of either drawing from the other drawing, mm."""
    both = shapely.multilinestrings(list(one)), shapely.multilinestrings(list(other))
    return max(farthest(one, both[1], _APART_ON_DRAWINGS), farthest(other, both[0], _APART_ON_DRAWINGS))
