"""Parallel offsets against shapely's mitred buffer of a finely broken-up contour, and against plain arithmetic."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon
from slots import arc_slot, straight_slot

from generator.base.contours2d import Circle, Contour, Path, Vertex
from generator.base.errors import GeometryError
from generator.base.offset import offset_contour
from generator.base.points2d import P2
from generator.base.shapes2d import polygon, rectangle, rounded_polygon

LETTER_U = [P2(0, 0), P2(60, 0), P2(60, 50), P2(40, 50), P2(40, 20), P2(20, 20), P2(20, 50), P2(0, 50)]
CONTOURS: dict[str, Contour] = {
    "square": rectangle(0, 0, 40, 30),
    "rounded": rectangle(0, 0, 40, 30, 6.0),
    "full round": rectangle(0, 0, 60, 20, 10.0),
    "U with mixed corners": rounded_polygon(LETTER_U, [4, 0, 9, 0, 3, 0, 5, 9]),
    "slot": straight_slot(P2(3, 4), P2(43, 34), 6.35),
    "arc slot": arc_slot(P2(0, 0), 61.7, 20.0, 75.0, 6.6),
    "bumped": Path((Vertex(0, 0), Vertex(30, 0), Vertex(50, 0, -0.3), Vertex(50, 40), Vertex(0, 40, 0.2))),
    "acute": polygon([P2(0, 0), P2(80, 10), P2(0, 20)]),
}


def as_shapely(contour: Contour, error: float = 1e-6) -> Polygon:
    return Polygon([(p.x, p.y) for p in contour.flatten(error)])


@pytest.mark.parametrize("distance", [0.1, -0.1, 0.9, -0.9])
@pytest.mark.parametrize("name", CONTOURS)
def test_offset_equals_a_mitred_buffer(name: str, distance: float) -> None:
    """An offset covers what an independent library's mitred buffer of the broken-up contour covers."""
    contour = CONTOURS[name]
    ours = as_shapely(offset_contour(contour, distance), 1e-5)
    theirs = as_shapely(contour, 1e-5).buffer(distance, join_style="mitre", mitre_limit=100)
    # At a corner beside an arc we prolong the arc, the buffer its tangent: they part by less than the offset squared.
    corners = 0.05 * distance**2 if name == "bumped" else 0.0
    assert ours.symmetric_difference(theirs).area < 2e-4 * contour.length + corners


def test_published_kerf_example() -> None:
    """Kerf 0.2: a drawn 2 × 4 leaves a part 1.8 × 3.8, an opening 2.2 × 4.2 (published by laser services)."""
    part = offset_contour(rectangle(0, 0, 2, 4), -0.1).box()
    opening = offset_contour(rectangle(0, 0, 2, 4), 0.1).box()
    assert (part.width, part.height) == pytest.approx((1.8, 3.8), abs=1e-12)
    assert (opening.width, opening.height) == pytest.approx((2.2, 4.2), abs=1e-12)


@pytest.mark.parametrize("distance", [0.25, -0.25])
def test_arcs_stay_arcs_and_corners_stay_sharp(distance: float) -> None:
    """Outside fillets change by the offset, inside ones the other way, and the number of corners stays the same."""
    before = CONTOURS["U with mixed corners"]
    after = offset_contour(before, distance)
    assert isinstance(before, Path)
    assert isinstance(after, Path)
    radii = [(seg.radius, seg.bulge > 0) for seg in before.segments() if seg.is_arc]
    grown = [seg.radius for seg in after.segments() if seg.is_arc]
    assert grown == pytest.approx([r + distance if convex else r - distance for r, convex in radii], abs=1e-9)
    assert len(after.vertices) == len(before.vertices)


def test_direction_of_travel_does_not_matter() -> None:
    """A contour drawn clockwise grows outward as well, and still runs clockwise."""
    forth = rectangle(0, 0, 40, 30, 6)
    back = offset_contour(forth.reversed(), 0.5)
    assert isinstance(back, Path)
    assert back.signed_area == pytest.approx(-offset_contour(forth, 0.5).area, abs=1e-9)


def test_circle_grows_by_its_radius() -> None:
    """A round hole of 5.5 mm cut with a kerf of 0.2 is drawn 5.3 mm wide."""
    assert offset_contour(Circle(P2(1, 2), 2.75), -0.1) == Circle(P2(1, 2), 2.65)


def test_small_inside_fillet_vanishes_into_a_sharp_corner() -> None:
    """A fillet no larger than the offset is swallowed; its neighbours are prolonged to a corner."""
    after = offset_contour(rectangle(0, 0, 40, 30, 0.1), -0.1)
    assert after.area == pytest.approx(39.8 * 29.8, abs=1e-9)


def test_short_edge_is_swallowed() -> None:
    """A step shorter than the offset disappears instead of running backwards."""
    step = polygon([P2(0, 0), P2(40, 0), P2(40, 20), P2(20.1, 20), P2(20, 20.1), P2(0, 20.1)])
    ours = as_shapely(offset_contour(step, -0.4))
    theirs = as_shapely(step).buffer(-0.4, join_style="mitre", mitre_limit=100)
    assert ours.symmetric_difference(theirs).area < 1e-6


@pytest.mark.parametrize(
    ("contour", "distance"),
    [
        (Circle(P2(0, 0), 0.1), -0.1),
        (rectangle(0, 0, 40, 0.2), -0.1),
        (straight_slot(P2(0, 0), P2(10, 0), 0.3), -0.2),
        (rounded_polygon(LETTER_U, [0] * 8), 10.0),
        (rounded_polygon(LETTER_U, [0] * 8), -10.1),
    ],
    ids=["hole gone", "strip gone", "slot gone", "legs meet", "legs gone"],
)
def test_what_pinches_off_is_refused(contour: Contour, distance: float) -> None:
    """Nothing is clipped silently: an offset that leaves no simple contour is an error."""
    with pytest.raises(GeometryError):
        offset_contour(contour, distance)


def test_an_open_path_has_no_offset() -> None:
    """Only what encloses something has an inside and an outside."""
    with pytest.raises(GeometryError, match="open path"):
        offset_contour(Path((Vertex(0, 0), Vertex(10, 0)), closed=False), 0.1)


@settings(deadline=None, max_examples=80)
@given(
    points=st.lists(st.tuples(st.floats(20, 60), st.floats(0.7, 1.3)), min_size=3, max_size=9),
    radius=st.one_of(st.just(0.0), st.floats(0.4, 2)),
    distance=st.floats(-0.3, 0.3).filter(lambda d: abs(d) > 0.01),
)
def test_there_and_back_is_where_it_was(points: list[tuple[float, float]], radius: float, distance: float) -> None:
    """Growing and shrinking again by the same distance gives the old contour; areas follow Steiner's formula."""
    step = 2 * math.pi / len(points)
    corners = [
        P2(r * math.cos(step * (i + 0.2 * w)), r * math.sin(step * (i + 0.2 * w))) for i, (r, w) in enumerate(points)
    ]
    contour = rounded_polygon(corners, [radius] * len(corners))
    there = offset_contour(contour, distance)
    back = offset_contour(there, -distance)
    assert isinstance(back, Path)
    assert back.area == pytest.approx(contour.area, abs=1e-6)
    assert len(back.vertices) == len(contour.vertices)
    if radius > abs(distance) + 0.1:
        # For a smooth contour the area changes by exactly length × d + π d² (Steiner).
        assert there.area == pytest.approx(contour.area + contour.length * distance + math.pi * distance**2, abs=1e-6)
