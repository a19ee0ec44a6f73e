"""Views of solids: what is seen, what is hidden and what a plane cuts, as plane paths.

A view is a `Placement`: its x axis points right on the sheet, its y axis up, its z axis at the eye. The CAD kernel
loads when a function is called, never when this module is imported.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType
from typing import TYPE_CHECKING

from generator.drawing.overlap import chained, without_overlap
from generator.errors import GeometryError
from generator.geometry2d import Box, Path, Region, Segment
from generator.geometry3d import ORIGIN, P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.parts.base import Part

if TYPE_CHECKING:
    import cadquery as cq

    from generator.solid import Assembly

#: A slanted circle is drawn this close to its ellipse, mm, unless a caller says otherwise.
MAX_ERROR = 0.01


def isometric(toward: P3, upright: P3) -> Placement:
    """The view from far along `toward` in which `upright` points up the sheet (model's frame, any length)."""
    eye = _unit(toward)
    right = _unit(upright.cross(eye))
    return Placement(ORIGIN, right, eye.cross(right))


def _unit(vector: P3) -> P3:
    size = vector.length()
    if size < 1e-9:
        raise GeometryError(f"a view needs a direction, found {tuple(vector)}")
    return vector.times(1.0 / size)


_LEFT, _DOWN, _BACK = (axis.times(-1.0) for axis in (X_AXIS, Y_AXIS, Z_AXIS))


class PartView(Enum):
    """Views of a part in its own frame; FRONT looks at the front face with x to the right and y up."""

    FRONT = Placement(ORIGIN, X_AXIS, Y_AXIS)
    BACK = Placement(ORIGIN, _LEFT, Y_AXIS)
    TOP = Placement(ORIGIN, X_AXIS, _BACK)
    BOTTOM = Placement(ORIGIN, X_AXIS, Z_AXIS)
    RIGHT = Placement(ORIGIN, _BACK, Y_AXIS)
    LEFT = Placement(ORIGIN, Z_AXIS, Y_AXIS)
    ISOMETRIC = isometric(P3(-1.0, -1.0, 1.0), Z_AXIS)


class JigView(Enum):
    """Views of the jig in the jig frame, Z up the sheet; FRONT is seen from the work's side, against +X."""

    FRONT = Placement(ORIGIN, Y_AXIS, Z_AXIS)
    BACK = Placement(ORIGIN, _DOWN, Z_AXIS)
    TOP = Placement(ORIGIN, Y_AXIS, _LEFT)
    BOTTOM = Placement(ORIGIN, Y_AXIS, X_AXIS)
    RIGHT = Placement(ORIGIN, _LEFT, Z_AXIS)
    LEFT = Placement(ORIGIN, X_AXIS, Z_AXIS)
    ISOMETRIC_FRONT = isometric(P3(1.0, 1.0, 1.0), Z_AXIS)
    ISOMETRIC_BACK = isometric(P3(-1.0, -1.0, 1.0), Z_AXIS)
    ISOMETRIC_BELOW = isometric(P3(1.0, 1.0, -1.0), Z_AXIS)
    ISOMETRIC_BEHIND = isometric(P3(-1.0, 1.0, -1.0), Z_AXIS)


@dataclass(frozen=True)
class Projection:
    """A view's strokes in the view's own coordinates, mm; no stroke lies on another one.

    `visible` are edges and outlines, `hidden` the same behind something, `smooth` visible edges where one face runs on
    tangentially into the next. `by_piece` holds each piece's own visible strokes under its label.
    """

    visible: tuple[Path, ...]
    hidden: tuple[Path, ...]
    smooth: tuple[Path, ...]
    by_piece: Mapping[str, tuple[Path, ...]]

    @property
    def box(self) -> Box:
        box = self.visible[0].box()
        for path in self.visible[1:]:
            box = box.union(path.box())
        return box


def project_part(part: Part, view: Placement, max_error: float = MAX_ERROR) -> Projection:
    """The part's solid as seen along `view` (in the part's own frame); see `project_solids`."""
    from generator.solid import part_solid

    return project_solids({part.name: part_solid(part)}, view, max_error)


def project_assembly(assembly: Assembly, view: Placement, max_error: float = MAX_ERROR) -> Projection:
    """All pieces of the assembly as seen along `view` (in the jig frame); see `project_solids`."""
    return project_solids({piece.label: piece.placed for piece in assembly.pieces}, view, max_error)


def project_solids(solids: Mapping[str, cq.Solid], view: Placement, max_error: float = MAX_ERROR) -> Projection:
    """The solids, hiding each other, as seen along `view`.

    Straight edges and circles seen face-on or edge-on are exact lines and arcs; a circle seen at a slant is drawn as
    arcs no further than `max_error` mm from its ellipse. Raises GeometryError for a view that shows nothing.
    """
    from generator.solid import seen_edges

    if not (math.isfinite(max_error) and max_error > 0):
        raise GeometryError(f"a projection's largest error: found {max_error}; allowed: above 0 mm")
    seen = seen_edges(tuple(solids.values()), view, max_error)
    sharp, smooth, hidden = without_overlap(*(_all(getattr(one, kind) for one in seen) for kind in _LAYERS))
    if not sharp:
        raise GeometryError(f"nothing to be seen of {', '.join(solids) or 'no solids'}")
    own = {label: chained(without_overlap(one.sharp)[0]) for label, one in zip(solids, seen, strict=True) if one.sharp}
    return Projection(chained(sharp), chained(hidden), chained(smooth), MappingProxyType(own))


#: In the order in which one layer's strokes give way to another's.
_LAYERS = ("sharp", "smooth", "hidden")


def _all(groups: Iterable[tuple[Segment, ...]]) -> list[Segment]:
    return [segment for group in groups for segment in group]


def section_part(part: Part, plane: Placement, max_error: float = MAX_ERROR) -> tuple[Region, ...]:
    """What the plane through `plane.origin` along its x and y axes cuts of the part, in the plane's coordinates.

    Raises GeometryError where the plane misses the part.
    """
    from generator.solid import part_solid, section

    return section(part_solid(part), plane, max_error)


def section_assembly(
    assembly: Assembly, plane: Placement, max_error: float = MAX_ERROR
) -> Mapping[str, tuple[Region, ...]]:
    """What the plane cuts of each piece, by label, in the plane's coordinates; pieces it misses are left out.

    Raises GeometryError where the plane misses every piece.
    """
    from generator.solid import sections

    cut = sections({piece.label: piece.placed for piece in assembly.pieces}, plane, max_error)
    if not cut:
        raise GeometryError(f"the section plane at {tuple(plane.origin)} misses the whole assembly")
    return cut
