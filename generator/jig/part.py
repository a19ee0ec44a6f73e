"""What a part is: one flat profile with true arcs, the features cut into it, its thickness, points and dimensions.

Every other file of a part (solid, cutting DXF, paper sheet, shop drawing) is read off this one description. A part's
own frame: x and y in the plane of the sheet, z from 0 at the back face to `thickness` at the front face; drawings look
at the front face with x to the right.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType

from generator.base.annotation import Dimension, EngravedText, Requirement, Tolerance
from generator.base.contours2d import Circle, Contour, Path
from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.base.points2d import P2, Box
from generator.jig.traits import NO_TRAITS, Traits

#: Origin of a part's own frame, mm.
_ORIGIN = P2(0.0, 0.0)


class Face(Enum):
    """Which face of the sheet a feature starts from."""

    FRONT = "front"
    BACK = "back"


@dataclass(frozen=True)
class Opening:
    """A contour cut right through the sheet."""

    id: str
    contour: Contour
    why: str = ""


@dataclass(frozen=True)
class Hole:
    """A round hole square to the sheet, mm. `depth` None goes right through.

    `thread` (for instance "M6") means `diameter` is the tap drill. A counterbore or a countersink starts at `face`;
    `countersink_diameter` is measured at the face, its included angle is `countersink_angle` degrees. `fit` is the
    tolerance class of a hole that something fits ("H7").
    """

    id: str
    at: P2
    diameter: float
    depth: float | None = None
    face: Face = Face.FRONT
    thread: str | None = None
    thread_depth: float | None = None
    counterbore_diameter: float | None = None
    counterbore_depth: float | None = None
    countersink_diameter: float | None = None
    countersink_angle: float = 90.0
    why: str = ""
    fit: str | None = None

    @property
    def circle(self) -> Circle:
        return Circle(self.at, self.diameter / 2.0)

    @property
    def rim(self) -> float:
        """Radius of the largest circle that is drawn for the hole, mm."""
        return max(self.diameter, self.countersink_diameter or 0.0, self.counterbore_diameter or 0.0) / 2.0

    @property
    def countersink_depth(self) -> float:
        """Depth of the cone below the face, mm; 0 without a countersink."""
        if self.countersink_diameter is None:
            return 0.0
        return (self.countersink_diameter - self.diameter) / 2.0 / math.tan(math.radians(self.countersink_angle / 2.0))

    def volume(self, thickness: float) -> float:
        """Material removed from a sheet of `thickness` mm, in mm³."""
        r = self.diameter / 2.0
        total = math.pi * r**2 * (thickness if self.depth is None else self.depth)
        if self.counterbore_diameter is not None and self.counterbore_depth is not None:
            total += math.pi * ((self.counterbore_diameter / 2.0) ** 2 - r**2) * self.counterbore_depth
        if self.countersink_diameter is not None:
            big, high = self.countersink_diameter / 2.0, self.countersink_depth
            total += math.pi * high / 3.0 * (big**2 + big * r + r**2) - math.pi * r**2 * high
        return total


@dataclass(frozen=True)
class EdgeHole:
    """A flat-bottomed hole into a straight edge of the sheet (machined parts), mm.

    `at` lies on the edge, `z` over the back face; `into` is the unit direction into the material; `fit` as of a hole.
    """

    id: str
    at: P2
    z: float
    into: P2
    diameter: float
    depth: float
    thread: str | None = None
    thread_depth: float | None = None
    why: str = ""
    fit: str | None = None

    @property
    def drilled(self) -> Hole:
        """The same drilling as a hole square to a face, for its callout."""
        return Hole(
            self.id,
            self.at,
            self.diameter,
            self.depth,
            thread=self.thread,
            thread_depth=self.thread_depth,
            why=self.why,
            fit=self.fit,
        )

    @property
    def volume(self) -> float:
        return math.pi * (self.diameter / 2.0) ** 2 * self.depth


@dataclass(frozen=True)
class Part:
    """One flat part of the jig, or a gauge.

    `shop_dimensions` are those a machine shop needs besides, kept off the bench's paper. Hole tables count from
    `datum`. `requirements` ask for form (flat, square) with their reason. `thickness_tolerance` is for a part whose
    thickness works; without it the thickness is the sheet's, as it comes. `traits` are its record's.
    """

    name: str
    title: str
    stock: str
    thickness: float
    outline: Path
    openings: tuple[Opening, ...] = ()
    holes: tuple[Hole, ...] = ()
    edge_holes: tuple[EdgeHole, ...] = ()
    engraved_lines: tuple[Path, ...] = ()
    engraved_texts: tuple[EngravedText, ...] = ()
    points: Mapping[str, P2] = field(default_factory=lambda: MappingProxyType({}))
    dimensions: tuple[Dimension, ...] = ()
    quantity: int = 1
    purpose: str = ""
    requirements: tuple[Requirement, ...] = ()
    thickness_tolerance: Tolerance | None = None
    shop_dimensions: tuple[Dimension, ...] = ()
    datum: P2 = _ORIGIN
    traits: Traits = NO_TRAITS

    def __post_init__(self) -> None:
        if not (math.isfinite(self.thickness) and self.thickness > 0):
            raise GeometryError(f"part {self.name}: thickness {self.thickness}")
        if not self.outline.closed or self.outline.signed_area <= 0:
            raise GeometryError(f"part {self.name}: the outline must be closed and run counter-clockwise")

    @property
    def box(self) -> Box:
        return self.outline.box()

    @property
    def size(self) -> tuple[float, float, float]:
        box = self.box
        return box.width, box.height, self.thickness

    def through_contours(self) -> Iterator[Contour]:
        """Everything a laser cuts inside the outline: openings and plain bores of through holes."""
        yield from (opening.contour for opening in self.openings)
        yield from (hole.circle for hole in self.holes if hole.depth is None)

    @property
    def profile_area(self) -> float:
        """Area of the cut profile (outline less what goes right through), mm²."""
        return self.outline.area - math.fsum(contour.area for contour in self.through_contours())

    @property
    def volume(self) -> float:
        """Closed-form volume in mm³; features must not run into each other."""
        total = (self.outline.area - math.fsum(opening.contour.area for opening in self.openings)) * self.thickness
        total -= math.fsum(hole.volume(self.thickness) for hole in self.holes)
        return total - math.fsum(hole.volume for hole in self.edge_holes)


@dataclass(frozen=True)
class Bought:
    """A bought round piece (screw, dowel) as it stands in the plate frame, mm.

    `start` is where its length counts from, on its axis; `direction` the unit direction it goes in by. A `conical` head
    runs from `head_diameter` at `start` down to `diameter` over `head_height`; another one is a flat cylinder that ends
    at `start`; `head_height` 0 is a plain pin.
    """

    start: P3
    direction: P3
    length: float
    diameter: float
    head_diameter: float = 0.0
    head_height: float = 0.0
    conical: bool = True

    @property
    def frame(self) -> Placement:
        """A frame on `start` whose z axis runs along the piece; which way x points is of no matter, but fixed."""
        along = self.direction
        helper = min((X_AXIS, Y_AXIS, Z_AXIS), key=lambda axis: abs(axis.dot(along)))
        across = helper.cross(along)
        x_axis = across.times(1.0 / across.length())
        return Placement(self.start, x_axis, along.cross(x_axis))

    @property
    def profile(self) -> tuple[tuple[float, float], ...]:
        """(radius, depth below `start`) of its corners, from the axis at the head to the axis at the point, mm."""
        shank, high, tip = self.diameter / 2.0, self.head_height, (self.diameter / 2.0, self.length)
        head, end = self.head_diameter / 2.0, (0.0, self.length)
        if high <= 0.0:
            return (0.0, 0.0), (shank, 0.0), tip, end
        if self.conical:
            return (0.0, 0.0), (head, 0.0), (shank, high), tip, end
        return (0.0, -high), (head, -high), (head, 0.0), (shank, 0.0), tip, end

    @property
    def volume(self) -> float:
        """Closed-form volume, mm³: a frustum or a cylinder for the head, and a cylinder."""
        small, big, high = self.diameter / 2.0, self.head_diameter / 2.0, self.head_height
        if not self.conical:
            return math.pi * (big**2 * high + small**2 * self.length)
        cone = math.pi * high / 3.0 * (big**2 + big * small + small**2) if high > 0.0 else 0.0
        return cone + math.pi * small**2 * (self.length - max(high, 0.0))


@dataclass(frozen=True)
class Hardware:
    """One line of the hardware list, with the pieces that stand for it in the assembly."""

    id: str
    title: str
    thread: str
    length: float
    count: int
    purpose: str
    pieces: tuple[Bought, ...] = ()


@dataclass(frozen=True)
class Placed:
    """A part as it stands in the jig, in the plate frame; several of one part are several of these."""

    part: Part
    placement: Placement
    label: str


@dataclass(frozen=True)
class Jig:
    """The whole jig of one job: parts once each, every placed copy, the hardware and the order of assembly."""

    parts: tuple[Part, ...]
    placed: tuple[Placed, ...]
    hardware: tuple[Hardware, ...]
    assembly_steps: tuple[str, ...]

    def part(self, name: str) -> Part:
        for part in self.parts:
            if part.name == name:
                return part
        raise KeyError(name)
