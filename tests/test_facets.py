"""Plane-faced solids: closed, of the right size, and as the CAD kernel builds them."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from slots import arc_slot, straight_slot
from solid_samples import board, busy_plate, small_jig

from generator.base.contours2d import Circle
from generator.base.errors import GeometryError
from generator.base.geometry3d import ORIGIN, P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.base.points2d import P2
from generator.base.shapes2d import rectangle
from generator.documents.scene.part import part_facets
from generator.drawing.facets.base import Facets, frame_along, joined
from generator.drawing.facets.build import block, corners, cylinder, loft, prism, round_count, section_at, turned_piece
from generator.jig.part import EdgeHole, Face, Hole, Opening, Part

SLANT = Placement(P3(3.0, -5.0, 7.0), P3(0.6, 0.8, 0.0), P3(0.0, 0.0, 1.0))


def triangles_area(solid: Facets) -> float:
    total = 0.0
    for a, b, c, _ in solid.triangles:
        u, v = solid.points[b].minus(solid.points[a]), solid.points[c].minus(solid.points[a])
        total += u.cross(v).length() / 2.0
    return total


def triangles_volume(solid: Facets) -> float:
    p = solid.points
    return sum(p[a].dot(p[b].cross(p[c])) for a, b, c, _ in solid.triangles) / 6.0


def sound(solid: Facets) -> None:
    """Closed (each edge has two faces, run opposite ways), and its triangles make up its faces."""
    assert len(solid.edges) * 2 == sum(len(ring) for face in solid.faces for ring in face)
    assert triangles_area(solid) == pytest.approx(solid.area, rel=1e-9)
    assert triangles_volume(solid) == pytest.approx(solid.volume, rel=1e-9)
    assert solid.smooth <= set(solid.edges)


def test_block() -> None:
    """A block has six faces, twelve sharp edges, V = abc and A = 2(ab + bc + ca)."""
    solid = block(1.0, 2.0, 3.0, 5.0, 9.0, 14.0)
    sound(solid)
    assert len(solid.faces) == 6
    assert (len(solid.edges), len(solid.smooth)) == (12, 0)
    assert solid.volume == pytest.approx(4 * 7 * 11)
    assert solid.area == pytest.approx(2 * (28 + 77 + 44))
    assert solid.bounds == (P3(1, 2, 3), P3(5, 9, 14))


@given(st.floats(0.5, 200.0), st.floats(1e-3, 1.0))
def test_chords_stay_within_the_stated_error(radius: float, error: float) -> None:
    """The sagitta of a chord over 1/n of a circle, r(1 − cos(π/n)), is at most the largest error."""
    points, soft = corners(Circle(P2(1.0, 2.0), radius), error)
    assert all(soft)
    assert radius * (1.0 - math.cos(math.pi / len(points))) <= error * (1 + 1e-9) or len(points) == 8
    assert round_count(radius, error) % 4 == 0


def test_cylinder_volume_is_that_of_its_polygon() -> None:
    """V = n/2·r²·sin(2π/n)·h for a regular n-gon (elementary), and tends to πr²h."""
    solid = cylinder(P3(1, 2, 3), P3(0, 3, 4), 30.0, 10.0, max_error=0.01)
    n = round_count(5.0, 0.01)
    sound(solid)
    assert solid.volume == pytest.approx(n / 2.0 * 25.0 * math.sin(2 * math.pi / n) * 30.0)
    assert solid.volume == pytest.approx(math.pi * 25.0 * 30.0, rel=4e-3)
    assert len(solid.smooth) == n
    end = solid.bounds.high
    assert end.z == pytest.approx(3.0 + 24.0 + 3.0, abs=0.01)  # axis rises 4/5 of 30, the rim 3/5 of 5


def test_turned_piece_with_steps_both_ways() -> None:
    """A spool: volumes of its discs and cones add up (frustum: πh/3(R² + Rr + r²)); steps face up and down."""
    profile = ((10.0, 0.0), (10.0, 4.0), (3.0, 4.0), (3.0, 20.0), (8.0, 20.0), (5.0, 26.0))
    solid = turned_piece(ORIGIN, Z_AXIS, profile, max_error=0.002)
    sound(solid)
    exact = math.pi * (100 * 4 + 9 * 16 + 6.0 / 3.0 * (64 + 40 + 25))
    assert solid.volume == pytest.approx(exact, rel=1e-3)
    assert solid.bounds.high.z == pytest.approx(26.0)


def test_prism_with_holes_and_lean() -> None:
    """A leaning prism has the area of its profile times its height (Cavalieri)."""
    hole = rectangle(10.0, 10.0, 30.0, 20.0)
    solid = prism(rectangle(0.0, 0.0, 60.0, 40.0), 2.0, 12.0, SLANT, (hole,), lean=P2(25.0, -6.0))
    sound(solid)
    assert solid.volume == pytest.approx((60 * 40 - 200) * 10.0)


def test_loft_of_a_wedge() -> None:
    """A frustum of a pyramid: V = h/3(A + √(AB) + B); a twisted one closes too and all its patches are triangles."""
    foot = section_at(Placement(), [P2(-5, -5), P2(5, -5), P2(5, 5), P2(-5, 5)])
    top = section_at(Placement(P3(0, 0, 9)), [P2(-2, -2), P2(2, -2), P2(2, 2), P2(-2, 2)])
    solid = loft([foot, top])
    sound(solid)
    assert solid.volume == pytest.approx(9.0 / 3.0 * (100 + 40 + 16))
    assert loft([top, foot]).volume == pytest.approx(solid.volume)  # whichever way it is built
    twisted = loft([foot, [*top[1:], top[0]]])
    sound(twisted)
    assert len(twisted.faces) == 8 + 2


def test_joined_and_placed_keep_size() -> None:
    """Moving keeps volume and area; two solids add up."""
    one, other = block(0, 0, 0, 2, 3, 4), cylinder(P3(10, 0, 0), X_AXIS, 5.0, 2.0)
    both = joined((one, other))
    sound(both)
    assert both.volume == pytest.approx(one.volume + other.volume)
    moved = both.placed(SLANT)
    sound(moved)
    assert (moved.volume, moved.area) == pytest.approx((both.volume, both.area))
    assert moved.points[0] == SLANT.to_space(*both.points[0])


def test_faults_are_told() -> None:
    """An open surface, a doubled face, a shape without size or a senseless error limit is no solid."""
    solid = block(0, 0, 0, 1, 1, 1)
    with pytest.raises(GeometryError, match="does not close"):
        _ = Facets(solid.points, solid.faces[1:]).edges
    with pytest.raises(GeometryError, match="same way"):
        _ = Facets(solid.points, (*solid.faces, solid.faces[0])).edges
    for wrong in (lambda: block(0, 0, 0, 1, 1, 0), lambda: turned_piece(ORIGIN, Z_AXIS, ((0.0, 0.0), (1.0, 1.0)))):
        with pytest.raises(GeometryError):
            wrong()
    with pytest.raises(GeometryError, match="largest error"):
        cylinder(ORIGIN, Z_AXIS, 1.0, 1.0, max_error=0.0)
    with pytest.raises(GeometryError, match="zero length"):
        frame_along(ORIGIN, ORIGIN)


# --- parts -----------------------------------------------------------------------------------------------------------


def many_features() -> Part:
    """Holes of every kind from both faces, openings with arcs, holes in four edges and in an opening's edge."""
    return Part(
        "many",
        "Many",
        "ply",
        18.3,
        rectangle(-100.0, -60.0, 110.0, 70.0, 9.0),
        openings=(
            Opening("slot", straight_slot(P2(-60.0, -30.0), P2(-20.0, -10.0), 12.0)),
            Opening("arc", arc_slot(P2(40.0, 0.0), 40.0, 20.0, 80.0, 6.6)),
            Opening("square", rectangle(60.0, -50.0, 95.0, -15.0)),
        ),
        holes=(
            Hole("front_sunk", P2(0.0, 50.0), 4.5, countersink_diameter=9.0),
            Hole("back_bored", P2(-30.0, 50.0), 4.5, face=Face.BACK, counterbore_diameter=9.0, counterbore_depth=6.0),
            Hole("blind_bored", P2(-50.0, 50.0), 4.0, depth=12.0, counterbore_diameter=9.0, counterbore_depth=5.0),
            Hole("blind_sunk", P2(-70.0, 50.0), 4.0, depth=12.0, face=Face.BACK, countersink_diameter=8.0),
        ),
        edge_holes=(
            EdgeHole("left", P2(-100.0, 10.0), 9.0, P2(1.0, 0.0), 5.0, 20.0),
            EdgeHole("top", P2(90.0, 70.0), 6.0, P2(0.0, -1.0), 4.2, 15.0),
            EdgeHole("top_too", P2(70.0, 70.0), 6.0, P2(0.0, -1.0), 4.2, 15.0),
            EdgeHole("inside", P2(60.0, -30.0), 9.0, P2(-1.0, 0.0), 5.0, 20.0),
        ),
    )


@pytest.mark.parametrize("part", [busy_plate(), many_features()], ids=lambda part: part.name)
def test_a_part_has_the_volume_that_it_states(part: Part) -> None:
    """Closed form of the volume (exact arcs) against the flats: the fault shrinks with the largest error."""
    faults = []
    for error in (0.5, 0.05, 0.005):
        solid = part_facets(part, max_error=error)
        sound(solid)
        rims = sum(contour.length for contour in (part.outline, *(o.contour for o in part.openings)))
        rims += sum(math.pi * hole.rim * 2 for hole in part.holes) + 400.0
        fault = abs(solid.volume - part.volume)
        assert fault <= error * rims * part.thickness
        faults.append(fault)
    assert faults[2] < faults[1] < faults[0]
    assert faults[2] < 2e-5 * part.volume


@pytest.mark.parametrize("part", [busy_plate(), many_features()], ids=lambda part: part.name)
def test_the_kernel_agrees(part: Part) -> None:
    """OCCT's exact solid (another program) has the same volume, area and box, within the chords' error."""
    import cadquery as cq

    from generator.solid import bounds, part_solid

    solid, exact = part_facets(part, max_error=0.001), cq.Shape.cast(part_solid(part))
    assert solid.volume == pytest.approx(exact.Volume(), rel=1e-5)
    assert solid.area == pytest.approx(exact.Area(), rel=2e-4)
    low, high = solid.bounds
    box = bounds(exact.wrapped)
    assert [*low, *high] == pytest.approx([*box.low, *box.high], abs=0.002)


@pytest.mark.parametrize("height", [0.01, 6.13, 9.1, 18.29])
def test_sections_agree_with_shapely(height: float) -> None:
    """The profile at a height, cut from the triangles and put together by shapely, has the profile's area there."""
    part = many_features()
    solid = part_facets(part, max_error=0.002)
    lines = []
    for a, b, c, _ in solid.triangles:
        p = [solid.points[i] for i in (a, b, c)]
        cut = []
        for u, v in ((p[0], p[1]), (p[1], p[2]), (p[2], p[0])):
            if (u.z - height) * (v.z - height) < 0:
                t = (height - u.z) / (v.z - u.z)
                cut.append((u.x + t * (v.x - u.x), u.y + t * (v.y - u.y)))
        if len(cut) == 2:
            lines.append(shapely.LineString(cut))
    net = shapely.union_all(lines, grid_size=1e-4)
    area = sum(
        cell.area
        for cell in shapely.get_parts(shapely.polygonize(list(shapely.get_parts(net))))
        if inside(solid, cell.representative_point().coords[0], height)
    )
    wanted = part.outline.area - sum(opening.contour.area for opening in part.openings)
    for hole in part.holes:
        wanted -= math.pi * radius_at(hole, height, part.thickness) ** 2
    for hole in part.edge_holes:
        half = (hole.diameter / 2.0) ** 2 - (height - hole.z) ** 2
        wanted -= 2.0 * math.sqrt(half) * hole.depth if half > 0 else 0.0
    assert area == pytest.approx(wanted, rel=1e-4)


def radius_at(hole: Hole, height: float, thickness: float) -> float:
    """The hole's radius at a height over the back face, by its definition."""
    depth = thickness - height if hole.face is Face.FRONT else height
    if hole.counterbore_depth is not None and depth < hole.counterbore_depth:
        return (hole.counterbore_diameter or 0.0) / 2.0
    if depth < hole.countersink_depth:
        return (hole.countersink_diameter or 0.0) / 2.0 - depth
    return hole.diameter / 2.0 if hole.depth is None or depth < hole.depth else 0.0


def inside(solid: Facets, at: tuple[float, ...], height: float) -> bool:
    """A ray straight up from a point in the solid leaves it an odd number of times."""
    hits = 0
    for a, b, c, _ in solid.triangles:
        p, q, r = (solid.points[i] for i in (a, b, c))
        area = (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x)
        if abs(area) < 1e-12:
            continue
        s = ((at[0] - p.x) * (r.y - p.y) - (at[1] - p.y) * (r.x - p.x)) / area
        t = ((q.x - p.x) * (at[1] - p.y) - (q.y - p.y) * (at[0] - p.x)) / area
        if s > 0 and t > 0 and s + t < 1:
            hits += p.z + s * (q.z - p.z) + t * (r.z - p.z) > height
    return hits % 2 == 1


def test_smooth_edges_are_those_of_arcs() -> None:
    """A rounded board has sharp edges only round its two faces; a board with square corners four more."""
    round_ = part_facets(Part("r", "R", "ply", 10.0, rectangle(0, 0, 50, 40, 8.0)))
    sharp = [edge for edge in round_.edges if edge not in round_.smooth]
    assert all(round_.points[a].z == round_.points[b].z for a, b in sharp)
    square = part_facets(board("s", 50.0, 40.0, 10.0))
    assert (len(square.edges), len(square.smooth)) == (12, 0)


def test_an_edge_hole_off_the_edge_is_named() -> None:
    """A hole said to be in an edge but lying off it is a fault that names part and hole."""
    part = board("b", 50.0, 40.0, 10.0, edge_holes=(EdgeHole("e1", P2(49.0, 20.0), 5.0, P2(-1.0, 0.0), 4.0, 10.0),))
    with pytest.raises(GeometryError, match="part b: e1"):
        part_facets(part)


def test_placed_parts_stand_where_the_jig_has_them() -> None:
    """A part at its placement spans what its corners span there."""
    for placed in small_jig().placed:
        solid = part_facets(placed.part, placed.placement)
        box = placed.part.box
        ends = [
            placed.placement.to_space(x, y, z)
            for x in (box.x0, box.x1)
            for y in (box.y0, box.y1)
            for z in (0.0, placed.part.thickness)
        ]
        low, high = solid.bounds
        for axis in range(3):
            assert (low[axis], high[axis]) == pytest.approx((min(e[axis] for e in ends), max(e[axis] for e in ends)))


def test_frame_along_is_right_handed() -> None:
    """The frame's z axis is the direction, its axes are unit and square."""
    for way in (X_AXIS, Y_AXIS, Z_AXIS, Z_AXIS.times(-3.0), P3(1.0, -2.0, 0.5)):
        frame = frame_along(P3(1, 2, 3), way)
        assert frame.z_axis == pytest.approx(way.times(1.0 / way.length()))
        assert frame.x_axis.dot(frame.y_axis) == pytest.approx(0.0)
        assert frame.x_axis.length() == pytest.approx(1.0)


@given(st.floats(-180.0, 180.0), st.floats(-180.0, 180.0))
def test_what_no_move_changes_is_found_once(yaw: float, pitch: float) -> None:
    """A moved solid takes edges, triangles and shared corners from where it was built, and turns its normals.

    Found anew from the moved points they are the same.
    """
    c, s, e, f = (way(math.radians(turn)) for turn in (yaw, pitch) for way in (math.cos, math.sin))
    place = Placement(P3(3.0, -5.0, 7.0), P3(c * e, s * e, f), P3(-s, c, 0.0))
    built = turned_piece(ORIGIN, Z_AXIS, ((4.0, 0.0), (6.0, 3.0), (6.0, 9.0), (2.0, 9.0), (2.0, 20.0)))
    moved = built.placed(SLANT).placed(place)
    anew = Facets(moved.points, moved.faces, moved.smooth)
    assert moved.edges == anew.edges
    assert moved.shading.corners
    assert {point for point, _ in moved.shading.corners} == {point for point, _ in anew.shading.corners}
    assert {tuple(sorted(faces)) for _, faces in moved.shading.corners} == {
        tuple(sorted(faces)) for _, faces in anew.shading.corners
    }
    for turned, found in zip(moved.normals, anew.normals, strict=True):
        assert tuple(turned) == pytest.approx(tuple(found), abs=1e-9)
    assert triangles_volume(moved) == pytest.approx(built.volume, rel=1e-9)
