"""Cutting ink at a rectangle, and arcs as Béziers."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon
from shapely.geometry import box as shapely_box

from generator.base.contours2d import Circle, Path
from generator.base.points2d import P2, Box
from generator.base.segments2d import Segment
from generator.base.shapes2d import polygon, polyline, rectangle
from generator.drawing.clip import clip_fill, clip_stroke
from generator.drawing.curves import cubics, radial_error
from generator.drawing.sheet import Fill, Stroke
from generator.drawing.style import PENS, Role

coordinate = st.floats(-60, 160)
#: Never on a side of the rectangle, where in or out is a matter of rounding.
off_edge = st.integers(-120, 320).map(lambda n: n * 0.5 + 0.013)
EDGES = (-1000.0, 13.7, 61.2, 1000.0)


def _stroke(path: Path | Circle, role: Role = Role.CUT) -> Stroke:
    return Stroke(path, role, PENS[role])


def _tiles() -> list[Box]:
    return [Box(EDGES[i], EDGES[j], EDGES[i + 1], EDGES[j + 1]) for i in range(3) for j in range(3)]


@settings(max_examples=60, deadline=None)
@given(coordinate, coordinate, st.floats(20, 90), st.floats(20, 90), st.floats(0, 9), st.booleans())
def test_pieces_add_up_to_the_whole(x: float, y: float, wide: float, high: float, radius: float, back: bool) -> None:
    """The pieces in adjoining rectangles have together the length of the whole line, arcs included."""
    path = rectangle(x, y, x + wide, y + high, radius)
    path = path.reversed() if back else path
    total = sum(piece.path.length for tile in _tiles() for piece in clip_stroke(_stroke(path), tile))
    assert total == pytest.approx(path.length, abs=1e-5)


@settings(max_examples=40, deadline=None)
@given(coordinate, coordinate, st.floats(1, 70))
def test_arcs_stay_arcs_of_their_own_circle(x: float, y: float, radius: float) -> None:
    """What is left of a circle is arcs of the same centre and radius, inside the rectangle."""
    tile = Box(0, 0, 50, 40)
    for piece in clip_stroke(_stroke(Circle(P2(x, y), radius)), tile):
        path = piece.path.as_path() if isinstance(piece.path, Circle) else piece.path
        for segment in path.segments():
            assert segment.is_arc
            assert segment.radius == pytest.approx(radius, rel=1e-6)
            assert segment.center.distance(P2(x, y)) < 1e-6 * max(1.0, radius)
            assert tile.contains(segment.point_at(0.5), 1e-6)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(off_edge, off_edge), min_size=3, max_size=6, unique=True))
def test_lines_agree_with_another_library(points: list[tuple[float, float]]) -> None:
    """The clipped length of an open polyline equals what shapely's intersection says."""
    corners = [P2(*p) for p in points]
    if any(a.distance(b) < 1e-3 for a, b in pairwise(corners)):
        return
    tile = Box(0, 0, 50, 40)
    ours = sum(piece.path.length for piece in clip_stroke(_stroke(polyline(corners)), tile))
    # Summed by segment: shapely would merge places where the line runs twice.
    theirs = sum(LineString([a, b]).intersection(shapely_box(*tile)).length for a, b in pairwise(points))
    assert ours == pytest.approx(theirs, abs=1e-5)


def test_dashes_keep_their_rhythm_across_the_cut() -> None:
    """A piece starts at the dash phase the whole line has there, so dashes do not jump at a page border."""
    line = _stroke(polyline([P2(0, 5), P2(100, 5)]), Role.HIDDEN)
    (piece,) = clip_stroke(line, Box(37.5, 0, 90, 10))
    assert piece.phase == pytest.approx(37.5)


def test_a_corner_on_the_page_stays_joined() -> None:
    """A closed outline that starts inside the page is not broken at its start."""
    pieces = clip_stroke(_stroke(rectangle(0, 0, 100, 50)), Box(-10, -10, 40, 60))
    assert len(pieces) == 1
    assert pieces[0].path.length == pytest.approx(40 + 50 + 40)


def test_fill_is_cut_to_the_same_area() -> None:
    """A filled triangle cut in two keeps its area (shapely as the judge)."""
    corners = [P2(0, 0), P2(30, 10), P2(5, 40)]
    fill = Fill(polygon(corners), Role.NOTE)
    (left,) = clip_fill(fill, Box(-5, -5, 12, 60))
    (right,) = clip_fill(fill, Box(12, -5, 50, 60))
    whole = Polygon(corners)
    assert left.contour.area == pytest.approx(whole.intersection(shapely_box(-5, -5, 12, 60)).area)
    assert left.contour.area + right.contour.area == pytest.approx(whole.area)


@pytest.mark.parametrize(("radius", "sweep"), [(8.0, 90.0), (7.9375, -180.0), (500.0, 359.0), (8534.4, 3.0)])
def test_cubics_keep_to_the_arc(radius: float, sweep: float) -> None:
    """Sampled densely, no point of the cubics lies further from the circle than the stated 0.0005 mm."""
    start = P2(radius, 0.0)
    end = P2(radius * math.cos(math.radians(sweep)), radius * math.sin(math.radians(sweep)))
    arc = Segment(start, end, math.tan(math.radians(sweep) / 4))
    here, worst = start, 0.0
    for c1, c2, stop in cubics(arc, 0.0005):
        for i in range(101):
            t, u = i / 100, 1 - i / 100
            x = u**3 * here.x + 3 * u * u * t * c1.x + 3 * u * t * t * c2.x + t**3 * stop.x
            y = u**3 * here.y + 3 * u * u * t * c1.y + 3 * u * t * t * c2.y + t**3 * stop.y
            worst = max(worst, abs(math.hypot(x, y) - radius))
        here = stop
    assert here.distance(end) < 1e-9
    assert worst <= 0.0005


def test_quarter_turn_error_is_the_well_known_one() -> None:
    """One cubic over a quarter of a circle is off by 0.0273 % of the radius (textbook figure, from memory)."""
    assert radial_error(1.0, 90.0) == pytest.approx(2.73e-4, rel=0.01)
