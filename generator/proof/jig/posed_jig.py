"""Where every part and screw of a jig stands, with the outline its cutting file gives it.

Places come from the jig that the kit's inputs build; shapes come from the files. Nothing in the jig moves, so it stands
alike for both cuts; each is looked at in that cut's own jig frame.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import shapely
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from generator.base.contours2d import Contour
from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, Placement
from generator.cutting.cut_layers import CUT_INSIDE, CUT_OUTSIDE
from generator.formats.dxf.read import CuttingFile
from generator.jig.part import Jig
from generator.joint.stations import Use
from generator.proof.cut.prism import Prism

#: Largest distance of an arc from the chords that stand for it, mm: far below any clearance that is judged.
ARC_ERROR = 0.005


def area_of(contour: Contour, max_error: float = ARC_ERROR) -> Polygon:
    """The area inside a contour, arcs broken up within `max_error` mm."""
    return Polygon([(p.x, p.y) for p in contour.flatten(max_error)])


def material(file: CuttingFile, max_error: float = ARC_ERROR) -> Polygon:
    """What is left of the sheet when the file has been cut. GeometryError where there is not one outline."""
    outlines = file.contours(CUT_OUTSIDE)
    if len(outlines) != 1:
        raise GeometryError(f"{file.name}: found {len(outlines)} outlines; allowed: one")
    gone = shapely.union_all([_valid(contour, max_error) for contour in file.contours(CUT_INSIDE)])
    left = _valid(outlines[0], max_error).difference(gone)
    pieces = [piece for piece in getattr(left, "geoms", [left]) if isinstance(piece, Polygon) and not piece.is_empty]
    if not pieces:
        raise GeometryError(f"{file.name}: nothing is left of the part")
    return max(pieces, key=lambda piece: piece.area)


def _valid(contour: Contour, max_error: float) -> BaseGeometry:
    """The area of a contour that may cross itself: a mutilated file is still to be judged, not to end in a fault."""
    return shapely.make_valid(area_of(contour, max_error))


def seen_from(use: Use, place: Placement, fence: float) -> Placement:
    """A placement of the plate frame in a cut's jig frame; `fence` (mm) lies from the board's middle to X = 0.

    Half a turn for the neck, a move alone for the body: never a mirror image.
    """
    if use is Use.BODY:
        return Placement(place.origin.minus(P3(fence, 0.0, 0.0)), place.x_axis, place.y_axis)
    origin = P3(-place.origin.x - fence, -place.origin.y, place.origin.z)
    return Placement(origin, *(P3(-axis.x, -axis.y, axis.z) for axis in (place.x_axis, place.y_axis)))


@dataclass(frozen=True)
class Standing:
    """The jig's parts and screws with their shapes, ready to be seen in either cut's jig frame; `fence` as above."""

    jig: Jig
    shapes: Mapping[str, Polygon]
    fence: float

    def at(self, use: Use) -> Iterator[Prism]:
        """Everything that stands in the jig. A screw is its shank; its head lies in the part under it."""
        for item in self.jig.placed:
            if item.part.name in self.shapes:
                place = seen_from(use, item.placement, self.fence)
                yield Prism(item.label, self.shapes[item.part.name], item.part.thickness, place)
        for line in self.jig.hardware:
            for number, piece in enumerate(line.pieces, start=1):
                place = seen_from(use, piece.frame, self.fence)
                round_ = Point(0.0, 0.0).buffer(piece.diameter / 2.0)
                yield Prism(f"{line.title.lower()} {line.id}.{number}", round_, piece.length, place)
