"""What a drawing says about a shape besides its lines: dimensions with their tolerances, requirements, lettering."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from generator.base.errors import GeometryError
from generator.base.points2d import P2

#: A dimension must equal the geometry it stands on within this (mm or degrees).
DIMENSION_SLACK = 1e-6


class Side(Enum):
    """Where a dimension stands, seen in the part's own view."""

    ABOVE = "above"
    BELOW = "below"
    LEFT = "left"
    RIGHT = "right"
    INSIDE = "inside"


class DimKind(Enum):
    HORIZONTAL = "horizontal"
    VERTICAL = "vertical"
    ALIGNED = "aligned"
    RADIUS = "radius"
    DIAMETER = "diameter"
    ANGLE = "angle"


@dataclass(frozen=True)
class Tolerance:
    """Allowed deviation, mm or degrees: value + lower … value + upper, and why the function asks for it."""

    lower: float
    upper: float
    reason: str


@dataclass(frozen=True)
class Requirement:
    """What a drawing asks for in a sentence: form, setting, stock.

    `words` hold one {} for each entry of `lengths` (mm; an entry of several is a list), so that the drawing can say
    them in its own units. `bare` figures stand without a unit on a drawing in mm, as its dimensions do. GeometryError
    where words and lengths do not match.
    """

    words: str
    lengths: tuple[tuple[float, ...], ...] = ()
    bare: bool = True

    def __post_init__(self) -> None:
        if self.words.count("{}") != len(self.lengths) or not all(self.lengths):
            raise GeometryError(f"requirement {self.words!r}: {len(self.lengths)} lengths")


def within(words: str, limit: float) -> Requirement:
    """A requirement whose one figure, in place of {}, is a limit in mm."""
    return Requirement(words, ((limit,),))


@dataclass(frozen=True)
class Dimension:
    """A dimension a drawing must show.

    `points` by kind: HORIZONTAL, VERTICAL, ALIGNED: the two measured points; RADIUS, DIAMETER: centre and a point on
    the curve; ANGLE: apex, a point on the first leg, a point on the second. `value` is the model's own number (mm or
    degrees); GeometryError if it differs from the points by more than 1e-6.
    """

    name: str
    kind: DimKind
    points: tuple[P2, ...]
    value: float
    side: Side
    tolerance: Tolerance | None = None
    count: int = 1
    note: str = ""

    def __post_init__(self) -> None:
        if abs(self.measured() - self.value) > DIMENSION_SLACK:
            raise GeometryError(f"dimension {self.name}: says {self.value!r}, geometry gives {self.measured()!r}")

    def measured(self) -> float:
        """The length (mm) or angle (degrees, 0 to 180) between the points."""
        a, b = self.points[0], self.points[1]
        if self.kind is DimKind.HORIZONTAL:
            return abs(b.x - a.x)
        if self.kind is DimKind.VERTICAL:
            return abs(b.y - a.y)
        if self.kind is DimKind.DIAMETER:
            return 2.0 * a.distance(b)
        if self.kind is DimKind.ANGLE:
            u, v = b.minus(a), self.points[2].minus(a)
            return math.degrees(abs(math.atan2(u.cross(v), u.dot(v))))
        return a.distance(b)


class Anchor(Enum):
    """Which point of a text its position names; vertically it is the text's middle."""

    LEFT = "left"
    MIDDLE = "middle"
    RIGHT = "right"


@dataclass(frozen=True)
class EngravedText:
    """Single-stroke lettering on the front face: capital height in mm, angle in degrees counter-clockwise.

    One that is `pinned` belongs to its very place, such as a value on its step: it is neither moved nor shrunk.
    """

    text: str
    at: P2
    height: float
    angle: float = 0.0
    anchor: Anchor = Anchor.MIDDLE
    pinned: bool = False
