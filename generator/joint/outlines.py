"""The joint's outlines: what the router leaves of each piece, as a contour with true arcs in that piece's own frame.

Frames, mm: x runs down the face that is routed, y towards body +Y. On the body the face is its end face and x = 0 the
join; on the neck it is the shoulder and x = 0 the neck plane. Every outline has a *mouth*, where the work ends and the
bit runs out: its first and its last corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from generator.base.contours2d import Path, Vertex
from generator.base.points2d import P2, Transform
from generator.base.segments2d import SHORTEST, Segment
from generator.base.shapes2d import rounded_polygon
from generator.base.units import format_mm


@dataclass(frozen=True)
class Outline:
    """One cut of the joint: its `name` in the field's terms, its `contour`, and how deep it goes, mm.

    The contour runs counter-clockwise from one corner of its mouth to the other. Of a `pocket` the wood inside goes; of
    anything else the wood inside stays and what surrounds it goes; without a contour nothing stays, and all of the
    face is routed away. `corner_radius` is that of the contour's end.
    """

    name: str
    contour: Path | None
    pocket: bool
    depth: float
    corner_radius: float

    @property
    def width(self) -> float:
        """Greatest width across the face, mm; 0 where nothing stays."""
        return 0.0 if self.contour is None else self.contour.box().height

    @property
    def length(self) -> float:
        """From x = 0 to the closed end, mm; 0 where nothing stays."""
        return 0.0 if self.contour is None else self.contour.box().x1

    @property
    def called(self) -> str:
        """Its name and its sizes: width, length, depth, or the depth alone where nothing stays."""
        across = () if self.contour is None else (self.width, self.length)
        sizes = " × ".join(format_mm(one) for one in (*across, self.depth))
        return f"{self.name} {sizes} mm"


@lru_cache(maxsize=256)
def strip(width: float, length: float, corner_radius: float) -> Path:
    """A contour `width` wide about y = 0 and `length` long from its mouth at x = 0, its end's corners rounded, mm."""
    half = width / 2.0
    corner = end_radius(corner_radius, half)
    corners = [P2(0.0, -half), P2(length, -half), P2(length, half), P2(0.0, half)]
    return rounded_polygon(corners, [0.0, corner, corner, 0.0])


def end_radius(radius: float, half_width: float) -> float:
    """Corner radius (mm) at the end of something `half_width` wide either way.

    What is almost round becomes round and what is almost sharp sharp: else a line or arc too short for any machine
    would be left there.
    """
    if radius < SHORTEST:
        return 0.0
    return half_width if half_width - radius < SHORTEST else radius


def with_mouth_at(contour: Path, x: float) -> Path:
    """`contour` with the sides at its mouth prolonged (or cut back), each in its own direction, to the level `x` mm."""
    first, *inner, last = contour.vertices
    sides = tuple(contour.segments())
    return Path((_at_level(sides[0], x, first.bulge), *inner, _at_level(sides[-2], x, last.bulge)))


def mirrored(contour: Path) -> Path:
    """`contour` with y turned round, again counter-clockwise from one corner of its mouth to the other."""
    first, *rest = contour.transformed(Transform.mirror_y()).reversed().vertices
    return Path((*rest, first))


def _at_level(side: Segment, x: float, bulge: float) -> Vertex:
    along = side.end.minus(side.start)
    y = side.start.y + (x - side.start.x) * along.y / along.x
    return Vertex(x, y, bulge)
