"""Views of solids with hidden lines, against what descriptive geometry says they must show."""

from __future__ import annotations

import math
from dataclasses import replace

import cadquery as cq
import pytest
from solid_samples import board, busy_plate, small_jig

from generator.drawing.projection import (
    JigView,
    PartView,
    isometric,
    project_assembly,
    project_part,
    project_solids,
    section_assembly,
    section_part,
)
from generator.errors import GeometryError
from generator.geometry2d import P2, Path, Segment
from generator.geometry3d import ORIGIN, P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.parts.base import EdgeHole, Face, Hole, Opening, Part, Use
from generator.shapes2d import rectangle, straight_slot
from generator.solid import assembly, part_solid
from generator.solid.hidden_lines import projected


def total(paths: tuple[Path, ...]) -> float:
    return sum(path.length for path in paths)


def segments(paths: tuple[Path, ...]) -> list[Segment]:
    return [segment for path in paths for segment in path.segments()]


def plain(width: float = 40.7, height: float = 30.3, thickness: float = 18.3, **more: object) -> Part:
    return board("plain", width, height, thickness, **more)


@pytest.mark.parametrize(
    ("view", "box"),
    [
        (PartView.FRONT, (0.0, 0.0, 40.7, 30.3)),
        (PartView.BACK, (-40.7, 0.0, 0.0, 30.3)),
        (PartView.TOP, (0.0, -18.3, 40.7, 0.0)),
        (PartView.BOTTOM, (0.0, 0.0, 40.7, 18.3)),
        (PartView.RIGHT, (-18.3, 0.0, 0.0, 30.3)),
        (PartView.LEFT, (0.0, 0.0, 18.3, 30.3)),
    ],
)
def test_a_block_is_a_rectangle_from_each_side(view: PartView, box: tuple[float, ...]) -> None:
    """One closed rectangle in the right place; the edges behind lie under it and are not drawn again."""
    found = project_part(plain(), view.value)
    (outline,) = found.visible
    assert outline.closed
    assert len(outline.vertices) == 4
    assert found.box == pytest.approx(box, abs=1e-9)
    assert found.hidden == ()
    assert found.smooth == ()


def test_isometric_view_of_a_block() -> None:
    """ISO 5456-3: all axes are foreshortened by √(2/3) and stand 120° apart; nine edges show, three hide."""
    found = project_part(plain(), isometric(P3(1.0, 1.0, 1.0), Z_AXIS))
    ratio = 0.81649658
    edges = [round(seg.length / ratio, 6) for seg in segments(found.visible)]
    assert sorted(edges) == pytest.approx([18.3] * 3 + [30.3] * 3 + [40.7] * 3, abs=1e-5)
    assert sorted(seg.length / ratio for seg in segments(found.hidden)) == pytest.approx([18.3, 30.3, 40.7], abs=1e-5)
    angles = {
        round(math.degrees(math.atan2(s.end.y - s.start.y, s.end.x - s.start.x)) % 180.0, 4)
        for s in segments(found.visible)
    }
    assert angles == {30.0, 90.0, 150.0}


def test_isometric_keeps_upright_up() -> None:
    """Whatever the direction, the model's upright axis runs up the sheet."""
    for toward in (P3(1, 2, 3), P3(-4, 1, -2), P3(0.1, -1, 0)):
        view = isometric(toward, Z_AXIS)
        local = view.to_part(Z_AXIS)
        assert local.x == pytest.approx(0.0, abs=1e-12)
        assert local.y > 0
    with pytest.raises(GeometryError, match="direction"):
        isometric(Z_AXIS, Z_AXIS)


def test_through_hole_in_three_views() -> None:
    """Face-on a true circle, edge-on two exact hidden lines one diameter apart."""
    part = plain(holes=(Hole("h", P2(13.7, 11.9), 6.6),))
    front = project_part(part, PartView.FRONT.value)
    (circle,) = [path for path in front.visible if next(path.segments()).is_arc]
    assert circle.closed
    assert {round(seg.radius, 9) for seg in circle.segments()} == {3.3}
    assert circle.box() == pytest.approx((10.4, 8.6, 17.0, 15.2), abs=1e-9)
    assert front.hidden == ()
    top = project_part(part, PartView.TOP.value)
    assert sorted(seg.start.x for seg in segments(top.hidden)) == pytest.approx([10.4, 17.0], abs=1e-9)
    assert all(seg.length == pytest.approx(18.3) and not seg.is_arc for seg in segments(top.hidden))


def test_blind_hole_from_the_back() -> None:
    """Hidden from the front, seen from the back; from above its walls and its flat bottom are dashed."""
    part = plain(holes=(Hole("h", P2(13.7, 11.9), 5.0, depth=12.1, face=Face.BACK),))
    front, back = (project_part(part, view.value) for view in (PartView.FRONT, PartView.BACK))
    assert {round(seg.radius, 9) for seg in segments(front.hidden)} == {2.5}
    assert not any(seg.is_arc for seg in segments(front.visible))
    assert back.hidden == ()
    (circle,) = [path for path in back.visible if any(seg.is_arc for seg in path.segments())]
    assert circle.box().center == pytest.approx((-13.7, 11.9))  # mirrored, as one walks round to the back
    top = project_part(part, PartView.TOP.value)
    assert sorted(round(seg.length, 6) for seg in segments(top.hidden)) == [5.0, 12.1, 12.1]


def test_edge_hole_shows_at_its_own_end() -> None:
    """A hole in the right edge is a circle from the right at its height over the back face, hidden from the left."""
    part = plain(edge_holes=(EdgeHole("e", P2(40.7, 11.9), 7.3, P2(-1.0, 0.0), 6.8, 20.5),))
    right, left = (project_part(part, view.value) for view in (PartView.RIGHT, PartView.LEFT))
    (circle,) = [path for path in right.visible if any(seg.is_arc for seg in path.segments())]
    assert circle.box().center == pytest.approx((-7.3, 11.9))
    assert {round(seg.radius, 9) for seg in segments(left.hidden)} == {3.4}
    front = project_part(part, PartView.FRONT.value)
    assert sorted(round(seg.length, 6) for seg in segments(front.hidden)) == [6.8, 20.5, 20.5]


def test_front_view_is_the_drawn_profile() -> None:
    """What is seen of the busy plate from the front is its outline, openings and the mouths of its front features."""
    part = busy_plate()
    shown = [part.outline, *(opening.contour for opening in part.openings), part.pockets[0].contour]
    circles = math.pi * (6.6 + 11.0 + 6.4 + 5.5 + 5.0)  # plain; counterbore and its bore; countersunk bore; blind
    front = project_part(part, PartView.FRONT.value)
    assert total(front.visible) == pytest.approx(sum(contour.length for contour in shown) + circles, abs=1e-5)
    assert all(path.closed for path in front.visible)
    assert len(front.visible) == 4 + 5
    # Hidden: back pocket, the countersink's mouth, the back blind hole, the edge hole's walls and bottom.
    behind = part.pockets[1].contour.length + math.pi * (11.2 + 4.2) + 2 * 20.5 + 6.8
    assert total(front.hidden) == pytest.approx(behind, abs=1e-5)


def test_slanted_circle_stays_within_the_error() -> None:
    """A circle of radius r seen isometrically is an ellipse of half axes r and r/√3; the arcs stay within the error."""
    part = plain(60.0, 60.0, 2.0, holes=(Hole("h", P2(30.0, 30.0), 40.0),))
    view = isometric(P3(1.0, 1.0, 1.0), Z_AXIS)
    middle = view.to_part(P3(30.0, 30.0, 2.0))
    counts = []
    for error in (0.1, 0.01, 0.001):
        found = project_solids({"p": part_solid(part)}, view, max_error=error)
        rim = [seg for seg in segments(found.visible) if seg.is_arc and seg.center.distance(P2(0, 0)) < 1e6]
        upper = [seg for seg in rim if on_ellipse(seg.start, middle) and on_ellipse(seg.end, middle)]
        assert upper
        for seg in upper:
            for k in range(1, 8):
                p = seg.point_at(k / 8.0)
                u, v = (p.x - middle.x) / 20.0, (p.y - middle.y) / (20.0 / math.sqrt(3.0))
                # Distance from the ellipse to first order: value over gradient.
                off = abs(u * u + v * v - 1.0) / (2.0 * math.hypot(u / 20.0, v / (20.0 / math.sqrt(3.0))))
                assert off <= error * 1.2
        counts.append(len(upper))
    assert counts[0] < counts[1] < counts[2]


def on_ellipse(p: P2, middle: P3) -> bool:
    u, v = (p.x - middle.x) / 20.0, (p.y - middle.y) / (20.0 / math.sqrt(3.0))
    return abs(u * u + v * v - 1.0) < 1e-6


@pytest.mark.parametrize(("first", "last", "seen"), [(0, 360, 14.2), (20, 130, 4.671657), (250, 300, 0.95122)])
def test_circle_seen_edge_on_is_a_line(first: float, last: float, seen: float) -> None:
    """An arc of radius 7.1 seen along its plane is as long as its outermost points are apart, however it starts."""
    edge = cq.Edge.makeCircle(7.1, cq.Vector(3, 4, 5), cq.Vector(0, 0, 1), first, last)
    lines = projected(edge, Placement(ORIGIN, Y_AXIS, Z_AXIS), 0.01)
    assert not any(line.is_arc for line in lines)
    ends = [point.x for line in lines for point in (line.start, line.end)]
    assert {round(point.y, 9) for line in lines for point in (line.start, line.end)} == {5.0}
    assert max(ends) - min(ends) == pytest.approx(seen, abs=1e-6)


def test_rounded_corner_is_a_smooth_edge() -> None:
    """Where a fillet runs into a flat side no edge is drawn, only offered as a smooth one."""
    part = replace(plain(), outline=rectangle(0.0, 0.0, 40.7, 30.3, 5.0))
    found = project_part(part, PartView.TOP.value)
    (outline,) = found.visible
    assert outline.closed
    assert sorted(seg.start.x for seg in segments(found.smooth)) == pytest.approx([5.0, 35.7])


def test_handedness_in_every_view() -> None:
    """A slot near one corner is near the right corner in every view that shows it."""
    part = plain(openings=(Opening("slot", straight_slot(P2(8.0, 22.0), P2(14.0, 22.0), 4.0)),))
    middles = {
        PartView.FRONT: (11.0, 22.0),
        PartView.BACK: (-11.0, 22.0),
    }
    for view, middle in middles.items():
        found = project_part(part, view.value)
        (slot,) = [path for path in found.visible if any(seg.is_arc for seg in path.segments())]
        assert slot.box().center == pytest.approx(middle)
    walls = [(PartView.TOP, 6.0, 16.0, "x"), (PartView.BOTTOM, 6.0, 16.0, "x"), (PartView.LEFT, 20.0, 24.0, "y")]
    for view, low, high, axis in walls:
        dashed = segments(project_part(part, view.value).hidden)
        at = sorted(getattr(seg.start, axis) for seg in dashed)
        assert (at[0], at[-1]) == pytest.approx((low, high)), view


def test_assembly_hides_what_stands_behind() -> None:
    """Seen against +X the plate lies over the bed; each piece's own visible strokes stand under its label."""
    model = assembly(small_jig(), 0.0, Use.BODY)
    front = project_assembly(model, JigView.FRONT.value)
    assert set(front.by_piece) >= {"template_plate", "bed", "rest_left", "rest_right"}
    assert "pin_1" not in front.by_piece  # behind the bed
    # Plate 80 wide, screw up to 40; bed 200 wide, from 190 below the plate.
    assert front.box == pytest.approx((-100.0, -190.0, 100.0, 40.0), abs=1e-6)
    back = project_assembly(model, JigView.BACK.value)
    assert "pin_1" in back.by_piece
    assert "rest_left" not in back.by_piece
    rest = front.by_piece["rest_left"][0].box()
    assert rest == pytest.approx((-80.0, -55.0, -50.0, -35.0), abs=1e-6)


def test_jig_views_agree_with_each_other() -> None:
    """Front and top share Y to the right, side views share Z up; the right side shows +X to the left."""
    model = assembly(small_jig(), 0.0, Use.NECK)
    boxes = {view: project_assembly(model, view.value).box for view in JigView}
    assert (boxes[JigView.FRONT].x0, boxes[JigView.FRONT].x1) == pytest.approx((-100.0, 100.0))
    assert (boxes[JigView.TOP].x0, boxes[JigView.TOP].x1) == pytest.approx((-100.0, 100.0))
    assert (boxes[JigView.LEFT].x0, boxes[JigView.LEFT].x1) == pytest.approx((-180.0, 70.0))
    assert (boxes[JigView.RIGHT].x0, boxes[JigView.RIGHT].x1) == pytest.approx((-70.0, 180.0))
    assert (boxes[JigView.TOP].y0, boxes[JigView.TOP].y1) == pytest.approx((-70.0, 180.0))
    assert (boxes[JigView.BOTTOM].y0, boxes[JigView.BOTTOM].y1) == pytest.approx((-180.0, 70.0))


def test_no_stroke_lies_on_another() -> None:
    """Neither within a layer nor across layers is a line drawn twice: sampled middles lie on one stroke only."""
    found = project_part(busy_plate(), PartView.TOP.value)
    strokes = segments(found.visible) + segments(found.smooth) + segments(found.hidden)
    for i, seg in enumerate(strokes):
        middle = seg.point_at(0.4637)
        others = [o for k, o in enumerate(strokes) if k != i and not o.is_arc and _on(o, middle) and _parallel(o, seg)]
        assert others == []


def _on(seg: Segment, p: P2) -> bool:
    along = seg.end.minus(seg.start)
    t = p.minus(seg.start).dot(along) / along.dot(along)
    return 0.0 < t < 1.0 and abs(along.unit().cross(p.minus(seg.start))) < 1e-6


def _parallel(a: Segment, b: Segment) -> bool:
    return abs(a.end.minus(a.start).unit().cross(b.end.minus(b.start).unit())) < 1e-6


def test_same_strokes_every_time() -> None:
    """Two runs give the same paths in the same order."""
    view = PartView.ISOMETRIC.value
    assert project_part(busy_plate(), view) == project_part(busy_plate(), view)


def test_an_empty_view_is_an_error() -> None:
    """Nothing to show is never an empty drawing; an error limit must be a number."""
    with pytest.raises(GeometryError, match="nothing to be seen"):
        project_solids({}, PartView.FRONT.value)
    for bad in (0.0, -1.0, math.nan):
        with pytest.raises(GeometryError, match="largest error"):
            project_part(plain(), PartView.FRONT.value, max_error=bad)


def test_section_of_a_part_shows_the_pocket() -> None:
    """Cut upright through both pockets, the plate's section lacks 40 × 4.35 on top and 40 × 7.35 below."""
    part = replace(busy_plate(), holes=())
    (region,) = section_part(part, Placement(P3(0.0, -65.0, 0.0), X_AXIS, Z_AXIS))
    assert region.area == pytest.approx(413.0 * 18.3 - 40.0 * (4.35 + 7.35), abs=1e-6)
    assert region.box() == pytest.approx((-201.7, 0.0, 211.3, 18.3), abs=1e-6)


def test_section_of_an_assembly_names_the_pieces() -> None:
    """The centre plane cuts plate and key of the small jig, and leaves out what it misses."""
    model = assembly(small_jig(), 0.0, Use.NECK)
    cut = section_assembly(model, Placement(ORIGIN, X_AXIS, Z_AXIS))
    assert set(cut) == {"template_plate", "bed", "key"}
    # The plate is 250 long less its 60 mm window.
    assert sum(region.area for region in cut["template_plate"]) == pytest.approx(190.0 * 9.7, abs=1e-6)
    with pytest.raises(GeometryError, match="misses"):
        section_assembly(model, Placement(P3(0.0, 0.0, 500.0), X_AXIS, Y_AXIS))
