"""Whether a point lies inside a contour, against another library's answer."""

from __future__ import annotations

import random

import pytest
import shapely
from made_once import jig

from generator.base.contours2d import Area, Path, Vertex
from generator.base.points2d import P2

_FLAT = 1e-4
#: A star with 40 corners, so that level lines cross it often and corners stand at many heights.
STAR = Path(tuple(Vertex((20.0 + 15.0 * (k % 2)) * x, (20.0 + 15.0 * (k % 2)) * y) for k, (x, y) in enumerate(
    shapely.get_coordinates(shapely.Point(0.0, 0.0).buffer(1.0, quad_segs=10))[:-1].tolist()
)))  # fmt: skip


@pytest.mark.parametrize("outline", [STAR, *(part.outline for part in jig("orchestra-14").parts)])
def test_points_inside_are_those_that_shapely_has_inside(outline: Path) -> None:
    """Over the whole box and beside it, at the heights of the corners too; what lies on the line itself is left out."""
    area, box = Area.of(outline, _FLAT), outline.box().grown(1.0)
    corners = outline.flatten(_FLAT)
    polygon = shapely.Polygon([(p.x, p.y) for p in corners])
    seeded = random.Random(3)
    heights = [seeded.uniform(box.y0, box.y1) for _ in range(200)] + [corner.y for corner in corners]
    places = [P2(seeded.uniform(box.x0, box.x1), y) for y in heights]
    clear = [p for p in places if polygon.boundary.distance(shapely.Point(p.x, p.y)) > 1e-9]
    assert len(clear) > 150
    assert [area.holds(p) for p in clear] == [polygon.contains(shapely.Point(p.x, p.y)) for p in clear]


def test_what_has_no_height_holds_nothing() -> None:
    """A contour that runs back on itself along a level line, as a hostile file may have it."""
    there_and_back = Path((Vertex(0.0, 1.0), Vertex(5.0, 1.0), Vertex(9.0, 1.0)))
    assert not Area.of(there_and_back, _FLAT).holds(P2(4.0, 1.0))
