"""Which solid a picture shows at a place, asked of shapely."""

from __future__ import annotations

import shapely

from generator.base.points2d import P2
from generator.drawing.picture import Picture


def owner_at(picture: Picture, at: P2) -> str | None:
    """The solid whose ground holds the place; None where none does."""
    place = shapely.Point(at)
    return next((a.owner for a in picture.grounds if shapely.Polygon(a.outer, a.holes).contains(place)), None)
