"""What a path of lines and arcs refuses, and how it moves."""

from __future__ import annotations

import math

import pytest

from generator.base.contours2d import Path, Vertex
from generator.base.errors import GeometryError
from generator.base.points2d import Transform, bounding_box
from generator.base.segments2d import Segment

SQUARE = (Vertex(0.0, 0.0), Vertex(30.0, 0.0, 0.4), Vertex(30.0, 20.0), Vertex(0.0, 20.0, -0.3))


@pytest.mark.parametrize("wrong", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("place", range(3))
@pytest.mark.parametrize("closed", [True, False])
def test_a_number_that_is_none_is_refused(wrong: float, place: int, closed: bool) -> None:
    """No coordinate and no bulge of a path is anything but a finite number."""
    spoilt = list(SQUARE[1])
    spoilt[place] = wrong
    with pytest.raises(GeometryError, match="a coordinate that is no number"):
        Path((SQUARE[0], Vertex(*spoilt), *SQUARE[2:]), closed)


def test_a_segment_of_no_length_is_refused() -> None:
    """Two neighbouring corners never share a place; first and last are neighbours in a closed path only."""
    with pytest.raises(GeometryError, match="a segment of zero length at"):
        Path((*SQUARE, SQUARE[3]), closed=False)
    with pytest.raises(GeometryError, match="a segment of zero length at"):
        Path((*SQUARE, SQUARE[0]))
    assert Path((*SQUARE, SQUARE[0]), closed=False).end == SQUARE[0].point


@pytest.mark.parametrize("move", [Transform.rotate(31.0), Transform.mirror_y(), Transform.move(3.0, -7.0)])
def test_a_moved_path_is_its_moved_points(move: Transform) -> None:
    """Each point along a path goes where the map takes it, also when the map mirrors; so does its box."""
    path = Path(SQUARE)
    moved = path.transformed(move)
    points = []
    for old, new in zip(path.segments(), moved.segments(), strict=True):
        for share in (0.0, 0.3, 0.8):
            wanted = move.apply(old.point_at(share))
            assert tuple(new.point_at(share)) == pytest.approx(tuple(wanted), abs=1e-9)
            points.append(wanted)
    box = moved.box()
    assert tuple(box) == pytest.approx(tuple(box.union(bounding_box(points))), abs=1e-9)


def test_the_box_reaches_over_the_arcs() -> None:
    """Half circles of radius 10 stand on the right and the left side of a rectangle: it reaches that much further."""
    path = Path((Vertex(0.0, 0.0), Vertex(30.0, 0.0, 1.0), Vertex(30.0, 20.0), Vertex(0.0, 20.0, 1.0)))
    assert tuple(path.box()) == pytest.approx((-10.0, 0.0, 40.0, 20.0), abs=1e-9)
    assert Segment(SQUARE[1].point, SQUARE[2].point, 1.0).radius == pytest.approx(10.0)
