"""Where every part of a jig stands at one bed angle and use of the plate, with the outline its cutting file gives it.

Places come from the jig that the kit's inputs build; shapes come from the files.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import shapely
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from generator.errors import GeometryError
from generator.geometry2d import Contour
from generator.linework import CUT_INSIDE, CUT_OUTSIDE
from generator.parts.base import Carrier, Jig, Use
from generator.parts.setting import Setting, rod_frame
from generator.proof.prism import Prism
from generator.readers.dxf import CuttingFile

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


@dataclass(frozen=True)
class Standing:
    """The jig's parts and rods, shapes once each, ready to be set to any angle and use."""

    jig: Jig
    shapes: Mapping[str, Polygon]

    @cached_property
    def fixed(self) -> frozenset[str]:
        """Labels of what does not move with the bed."""
        return frozenset(item.label for item in self.jig.placed if item.part.carrier is not Carrier.BED)

    def at(self, angle: float, use: Use) -> Iterator[Prism]:
        """Everything that stands in the jig with the bed at `angle` degrees and the plate lying for `use`."""
        setting = Setting(self.jig, angle, use)
        for item in self.jig.placed:
            if use in item.part.uses and item.part.name in self.shapes:
                place = setting.placement(item.placement, item.part.carrier)
                yield Prism(item.label, self.shapes[item.part.name], item.part.thickness, place)
        for line in self.jig.hardware:
            for number, piece in enumerate(line.pieces, start=1):
                if use in piece.uses:
                    place = setting.placement(rod_frame(piece), piece.carrier)
                    round_ = Point(0.0, 0.0).buffer(piece.diameter / 2.0)
                    yield Prism(f"{line.title.lower()} {line.id}.{number}", round_, piece.length, place)
