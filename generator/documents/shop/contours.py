"""The contours of a part, and whether its outline is a rectangle with rounded corners."""

from __future__ import annotations

import math

from generator.base.contours2d import Path
from generator.jig.part import Part

#: Radii and areas that agree within this are one, mm and mm².
_SAME = 1e-6


def contours(part: Part) -> tuple[Path, ...]:
    """The outline of a part and what is cut into it, round holes left out."""
    return part.outline, *(one.contour for one in part.openings if isinstance(one.contour, Path))


def outline_radius(path: Path) -> float | None:
    """The one radius of a rectangle's four corners; None where the contour is no rectangle, or a sharp one."""
    radii, box = [segment.radius for segment in path.segments() if segment.is_arc], path.box()
    if len(radii) != 4 or max(radii) - min(radii) > _SAME:
        return None
    missing = box.width * box.height - path.area
    return radii[0] if abs(missing - (4.0 - math.pi) * radii[0] ** 2) < _SAME else None
