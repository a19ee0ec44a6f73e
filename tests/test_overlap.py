"""Every stroke once: joined where strokes overlap, taken away where an earlier layer shows it, chained end to end."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.drawing.overlap import chained, segments_of, without_overlap
from generator.geometry2d import P2, Circle, Segment, polar
from generator.shapes2d import rectangle


def line(x0: float, y0: float, x1: float, y1: float) -> Segment:
    return Segment(P2(x0, y0), P2(x1, y1))


CENTER = P2(3.0, -2.0)


def arc(start: float, end: float, radius: float = 10.0, center: P2 = CENTER) -> Segment:
    """The counter-clockwise arc from `start` to `end` degrees, at most half a turn."""
    bulge = math.tan(math.radians(end - start) / 4.0)
    return Segment(center.plus(polar(start, radius)), center.plus(polar(end, radius)), bulge)


def total(segments: tuple[Segment, ...]) -> float:
    return sum(segment.length for segment in segments)


def test_lines_that_overlap_become_one() -> None:
    """Three pieces of one line, one of them backwards, are one stroke from end to end."""
    ((found,),) = without_overlap([line(0, 0, 6, 8), line(9, 12, 3, 4), line(8.9, 11.8666666666667, 12, 16)])
    assert sorted([found.start, found.end]) == [pytest.approx((0.0, 0.0)), pytest.approx((12.0, 16.0))]


def test_parallel_lines_stay_two() -> None:
    """Lines a hundredth of a millimetre apart are two lines."""
    (found,) = without_overlap([line(0, 0, 10, 0), line(0, 0.01, 10, 0.01)])
    assert len(found) == 2


def test_crossing_lines_stay_whole() -> None:
    """Only what lies on one line is joined; a crossing changes nothing."""
    (found,) = without_overlap([line(0, 0, 10, 10), line(0, 10, 10, 0)])
    assert total(found) == pytest.approx(2 * 14.142136, abs=1e-6)


def test_a_later_layer_gives_way() -> None:
    """Of a hidden line 0 to 20 under visible ones 3 to 5 and 12 to 30, 0 to 3 and 5 to 12 remain."""
    visible, hidden = without_overlap([line(3, 0, 5, 0), line(30, 0, 12, 0)], [line(20, 0, 0, 0)])
    assert total(visible) == pytest.approx(20.0)
    spans = sorted(tuple(sorted((seg.start.x, seg.end.x))) for seg in hidden)
    assert spans == [pytest.approx((0.0, 3.0)), pytest.approx((5.0, 12.0))]


def test_arcs_of_one_circle_are_joined() -> None:
    """10° to 100°, 90° to 150° and a backwards 160° to 140° are one arc of 150°: 26.1799 mm on radius 10."""
    ((found,),) = without_overlap([arc(10, 100), arc(90, 150), arc(140, 160).reversed()])
    assert found.is_arc
    assert found.length == pytest.approx(26.179939, abs=1e-6)
    assert found.radius == pytest.approx(10.0)


def test_arc_across_the_start_of_the_circle_is_one() -> None:
    """An arc that runs over 0° is not cut there."""
    ((found,),) = without_overlap([arc(-30, 20)])
    assert found.sweep == pytest.approx(50.0)
    ((found,),) = without_overlap([arc(-30, 0), arc(0, 20)])
    assert found.sweep == pytest.approx(50.0)


def test_a_full_circle_is_two_half_turns() -> None:
    """A circle in quarters becomes a closed path of two arcs."""
    (found,) = without_overlap([arc(a, a + 90) for a in (0, 90, 180, 270)])
    assert [seg.sweep for seg in found] == pytest.approx([180.0, 180.0])
    (path,) = chained(found)
    assert path.closed
    assert path.area == pytest.approx(314.159265, abs=1e-6)


def test_hidden_part_of_a_circle() -> None:
    """Of a hidden full circle under a visible half, the other half remains."""
    circle = list(Circle(P2(3.0, -2.0), 10.0).as_path().segments())
    visible, hidden = without_overlap([arc(40, 220)], circle)
    assert total(visible) == pytest.approx(31.415927, abs=1e-6)
    assert total(hidden) == pytest.approx(31.415927, abs=1e-6)
    assert hidden[0].point_at(0.5) == pytest.approx(P2(3.0, -2.0).plus(polar(310.0, 10.0)), abs=1e-6)


def test_chain_closes_a_rectangle_given_in_any_order() -> None:
    """Sides of a rounded rectangle, shuffled and half of them turned, are one closed path of the same area."""
    outline = rectangle(0.0, 0.0, 33.3, 21.7, 4.1)
    sides = list(outline.segments())
    mixed = [side.reversed() if i % 2 else side for i, side in enumerate(sides[::3] + sides[1::3] + sides[2::3])]
    (path,) = chained(mixed)
    assert path.closed
    assert path.area == pytest.approx(outline.area, abs=1e-9)


def test_chain_stops_where_three_meet() -> None:
    """At a branch no one can say which way the line goes on."""
    paths = chained([line(0, 0, 5, 0), line(5, 0, 10, 0), line(10, 0, 15, 5), line(10, 0, 15, -5)])
    assert sorted(path.length for path in paths) == pytest.approx([7.071068, 7.071068, 10.0], abs=1e-6)


def test_chain_starts_at_a_loose_end() -> None:
    """A run given from the middle outwards is still one path from end to end."""
    (path,) = chained([line(5, 0, 10, 0), line(5, 0, 0, 0), line(10, 0, 10, 7)])
    assert {tuple(path.start), tuple(path.end)} == {(0, 0), (10, 7)}
    assert not path.closed


spans = st.lists(st.tuples(st.integers(0, 40), st.integers(1, 12)), min_size=1, max_size=8)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(spans, spans, st.floats(0.0, 360.0), st.booleans())
def test_layers_cover_what_was_given_once(
    first: list[tuple[int, int]], second: list[tuple[int, int]], turn: float, round_: bool
) -> None:
    """Whole steps along a line or circle: each step that a layer covers is drawn by exactly one layer, once."""
    radius = 90.0

    def piece(start: int, count: int) -> Segment:
        if round_:
            step = 180.0 / math.pi / radius
            return arc(turn + start * step * 6.0, turn + (start + count) * step * 6.0, radius)
        along = polar(turn)
        return Segment(along.times(start * 6.0).plus(P2(5, 7)), along.times((start + count) * 6.0).plus(P2(5, 7)))

    one = {i for start, count in first for i in range(start, start + count)}
    two = {i for start, count in second for i in range(start, start + count)}
    drawn, under = without_overlap([piece(*s) for s in first], [piece(*s) for s in second])
    assert total(drawn) == pytest.approx(6.0 * len(one), abs=1e-6)
    assert total(under) == pytest.approx(6.0 * len(two - one), abs=1e-6)
    assert sum(seg.length for seg in segments_of(chained(drawn))) == pytest.approx(total(drawn))
