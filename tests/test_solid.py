"""Exact solids of parts: volume, walls, sections, and what is refused."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import cadquery as cq
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from round_walls import cylinders
from slots import arc_slot, straight_slot
from solid_samples import board, busy_plate

from generator.base.contours2d import Circle, Contour, Path
from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, X_AXIS, Y_AXIS, Placement
from generator.base.points2d import P2
from generator.base.segments2d import Segment
from generator.base.shapes2d import polygon, rectangle
from generator.jig.part import Bought, EdgeHole, Face, Hole, Opening, Part
from generator.solid import bought_solid, bounds, build, part_solid, section
from generator.solid.curves import contour_of_segments
from generator.solid.measure import volume


def level(z: float) -> Placement:
    return Placement(P3(0.0, 0.0, z), X_AXIS, Y_AXIS)


def rounded(width: float, height: float, radius: float) -> float:
    """Area of a rectangle whose four corners lack (1 − π/4)·r² each."""
    return width * height - (4.0 - math.pi) * radius**2


def test_volume_of_every_kind_of_feature_together() -> None:
    """The solid holds what the textbook volumes of its prism, cylinders and cone frustum add up to."""
    sheet = rounded(413.0, 190.8, 12.4) * 18.3
    # A ring sector of mean radius R, angle φ and width w has the area φ·R·w; its ends add one full circle.
    slot = (math.radians(40.0) * 61.3 * 6.6 + math.pi * 3.3**2) * 18.3
    window = rounded(80.0, 80.0, 7.9375) * 18.3
    plain = math.pi * 3.3**2 * 18.3
    bored = math.pi * (3.2**2 * (18.3 - 6.3) + 5.5**2 * 6.3)
    # 90° countersink from ⌀11.2 to ⌀5.5: its depth is the difference of the radii, 2.85.
    sunk = math.pi * 2.75**2 * (18.3 - 2.85) + math.pi * 2.85 / 3.0 * (5.6**2 + 5.6 * 2.75 + 2.75**2)
    blind = math.pi * (2.5**2 * 12.1 + 2.1**2 * 9.7)
    edge = math.pi * 3.4**2 * 20.5
    expected = sheet - slot - window - plain - bored - sunk - blind - edge
    assert volume(part_solid(busy_plate())) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("feature", "removed"),
    [
        (Hole("h", P2(31.7, 22.3), 6.6), 626.078575),  # π·3.3²·18.3
        (Hole("h", P2(31.7, 22.3), 5.0, depth=12.1), 237.582944),  # π·2.5²·12.1
        (Hole("h", P2(31.7, 22.3), 5.0, depth=12.1, face=Face.BACK), 237.582944),
        (
            Hole("h", P2(31.7, 22.3), 6.4, counterbore_diameter=11.0, counterbore_depth=6.3),
            984.747925,  # π·(3.2²·12 + 5.5²·6.3)
        ),
        (
            Hole("h", P2(31.7, 22.3), 6.4, depth=15.0, counterbore_diameter=11.0, counterbore_depth=6.3),
            878.587226,  # π·(3.2²·8.7 + 5.5²·6.3)
        ),
        (
            Hole("h", P2(31.7, 22.3), 5.0, countersink_diameter=10.4, countersink_angle=60.0),
            494.190153,  # depth 2.7/tan 30° = 4.676537; frustum π·h/3·(5.2² + 5.2·2.5 + 2.5²) + π·2.5²·13.623463
        ),
        (Opening("o", rectangle(20.0, 10.0, 52.7, 31.4, 3.2)), 12645.115330),  # (32.7·21.4 − (4 − π)·3.2²)·18.3
        (Opening("o", straight_slot(P2(20.0, 20.0), P2(50.0, 20.0), 7.3)), 4773.625787),  # (30·7.3 + π·3.65²)·18.3
        (Opening("o", arc_slot(P2(0.0, 0.0), 40.0, 20.0, 50.0, 6.0)), 2817.066132),  # (π/6·40·6 + π·9)·18.3
        (EdgeHole("e", P2(63.4, 20.0), 9.1, P2(-1.0, 0.0), 6.8, 20.5), 744.494627),  # π·3.4²·20.5
    ],
    ids=lambda value: type(value).__name__ if not isinstance(value, float) else "",
)
def test_one_feature_removes_its_textbook_volume(feature: object, removed: float) -> None:
    """Every feature alone takes away the volume of its cylinder, frustum or prism."""
    blank = board("blank", 63.4, 51.3, 18.3)
    kind = {Hole: "holes", Opening: "openings", EdgeHole: "edge_holes"}[type(feature)]
    cut = replace(blank, **{kind: (feature,)})
    before = 63.4 * 51.3 * 18.3
    assert before - volume(part_solid(cut)) == pytest.approx(removed, abs=2e-6)


def test_walls_are_planes_cylinders_and_cones_only() -> None:
    """Arcs stay arcs: no spline surface or edge anywhere, no facets."""
    solid = cq.Shape.cast(part_solid(busy_plate()))
    assert {face.geomType() for face in solid.Faces()} == {"PLANE", "CYLINDER", "CONE"}
    assert {edge.geomType() for edge in solid.Edges()} == {"LINE", "CIRCLE"}
    assert len(solid.Faces()) < 60


def test_round_walls_have_the_radii_of_the_model() -> None:
    """Corner radii, slot walls and hole radii are found again among the faces, as often as they are there."""
    found = Counter(round(wall.radius, 9) for wall in cylinders(part_solid(busy_plate())))
    assert found == {
        12.4: 4,  # the plate's corners
        7.9375: 4,  # the window's
        58.0: 1,  # slot, inner and outer wall: 61.3 ∓ 3.3
        64.6: 1,
        3.3: 3,  # the slot's two ends and the plain hole
        3.2: 1,  # the bored hole
        5.5: 1,  # counterbore
        2.75: 1,  # countersunk hole
        2.5: 1,
        2.1: 1,
        3.4: 1,  # in the edge
    }


def test_box_is_outline_and_thickness() -> None:
    """The solid stands in the part's own frame: back face at 0, front face at the thickness."""
    box = bounds(part_solid(busy_plate()))
    assert box.low == pytest.approx((-201.7, -93.1, 0.0), abs=1e-6)
    assert box.high == pytest.approx((211.3, 97.7, 18.3), abs=1e-6)


def arc_radii(contour: Contour) -> list[float]:
    if isinstance(contour, Circle):
        return [round(contour.radius, 7)]
    return sorted(round(seg.radius, 7) for seg in contour.segments() if seg.is_arc)


def test_section_at_mid_height_is_the_profile() -> None:
    """A slice of the solid is the drawn profile again: same area, same contours, same arc radii, nothing mirrored."""
    plate = replace(busy_plate(), edge_holes=(), holes=busy_plate().holes[:1])
    (region,) = section(part_solid(plate), level(9.15))
    assert region.area == pytest.approx(plate.profile_area, abs=1e-6)
    assert region.area == pytest.approx(71971.620291, abs=1e-5)
    drawn = sorted(plate.through_contours(), key=lambda contour: tuple(contour.box()))
    assert len(region.holes) == len(drawn) == 3
    for cut, wanted in zip((region.outer, *region.holes), (plate.outline, *drawn), strict=True):
        assert cut.box() == pytest.approx(wanted.box(), abs=1e-6)
        assert cut.area == pytest.approx(wanted.area, abs=1e-6)
        assert arc_radii(cut) == arc_radii(wanted)
        if isinstance(wanted, Path):
            assert isinstance(cut, Path)
            assert len(cut.vertices) == len(wanted.vertices)


@pytest.mark.parametrize(
    ("z", "circles"),
    [
        (17.3, {"plain": 3.3, "bored": 5.5, "sunk": 2.75, "blind": 2.5}),  # 1.0 below the front face
        (9.15, {"plain": 3.3, "bored": 3.2, "sunk": 2.75, "blind": 2.5, "blind_back": 2.1}),
        (1.0, {"plain": 3.3, "bored": 3.2, "sunk": 4.6, "blind_back": 2.1}),  # the cone is 1 mm narrower
    ],
)
def test_each_face_has_its_own_features(z: float, circles: dict[str, float]) -> None:
    """What is sunk from the front is not found at the back, and a cone narrows by the tangent of its half angle."""
    plate = replace(busy_plate(), edge_holes=())
    (region,) = section(part_solid(plate), level(z))
    found = {(round(c.center.x, 6), round(c.center.y, 6)): c.radius for c in region.holes if isinstance(c, Circle)}
    where = {hole.id: tuple(hole.at) for hole in plate.holes}
    assert found == pytest.approx({where[name]: radius for name, radius in circles.items()})


def test_section_along_a_hole_shows_depth() -> None:
    """An upright cut through the blind hole's axis: a 5.0 wide, 12.1 deep notch below the front face."""
    plane = Placement(P3(-120.0, 0.0, 0.0), P3(0.0, 1.0, 0.0), P3(0.0, 0.0, 1.0))
    plate = board("plate", 40.7, 30.3, 18.3, holes=(Hole("blind", P2(20.0, 15.0), 5.0, depth=12.1),))
    (region,) = section(part_solid(plate), replace(plane, origin=P3(20.0, 0.0, 0.0)))
    assert region.area == pytest.approx(30.3 * 18.3 - 5.0 * 12.1, abs=1e-6)


def test_slanted_section_of_a_bore_needs_an_error_limit() -> None:
    """A plane that cuts a cylinder at a slant gives an ellipse, so its approximation must be asked for."""
    plate = board("plate", 60.0, 60.0, 18.3, holes=(Hole("h", P2(30.0, 30.0), 10.0),))
    slanted = Placement(P3(30.0, 30.0, 9.15), P3(math.cos(0.1), 0.0, math.sin(0.1)), Y_AXIS)
    with pytest.raises(GeometryError, match="neither line nor circular arc"):
        section(part_solid(plate), slanted)
    (region,) = section(part_solid(plate), slanted, max_error=0.001)
    # An ellipse has the area π·a·b, here of half axes 5/cos 0.1 and 5.
    assert region.holes[0].area == pytest.approx(math.pi * 25.0 / math.cos(0.1), abs=0.01)


def test_section_that_misses_is_an_error() -> None:
    """A plane above the part cuts nothing, and says so."""
    with pytest.raises(GeometryError, match="misses"):
        section(part_solid(board("b", 10.0, 10.0, 3.0)), level(3.5))


NAN = math.nan


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"holes": (Hole("bad", P2(20.0, 20.0), NAN),)}, "bad.*diameter of nan"),
        ({"holes": (Hole("bad", P2(20.0, 20.0), math.inf),)}, "bad.*diameter of inf"),
        ({"holes": (Hole("bad", P2(20.0, 20.0), -3.0),)}, "bad.*diameter of -3"),
        ({"holes": (Hole("bad", P2(NAN, 20.0), 5.0),)}, "bad.*centre"),
        ({"holes": (Hole("bad", P2(20.0, 20.0), 200.0),)}, "bad"),
        ({"holes": (Hole("bad", P2(2.0, 20.0), 6.0),)}, "bad"),
        ({"holes": (Hole("bad", P2(-20.0, 20.0), 6.0),)}, "bad"),
        ({"holes": (Hole("bad", P2(20.0, 20.0), 6.0, depth=18.3),)}, "bad.*depth of 18.3"),
        ({"holes": (Hole("bad", P2(20.0, 20.0), 6.0, depth=NAN),)}, "bad.*depth of nan"),
        ({"holes": (Hole("bad", P2(20.0, 20.0), 6.0, counterbore_diameter=11.0),)}, "bad.*both"),
        (
            {"holes": (Hole("bad", P2(20.0, 20.0), 6.0, counterbore_diameter=5.0, counterbore_depth=4.0),)},
            "bad.*above 6",
        ),
        (
            {"holes": (Hole("bad", P2(20.0, 20.0), 6.0, counterbore_diameter=9.0, counterbore_depth=19.0),)},
            "bad.*depth",
        ),
        ({"holes": (Hole("bad", P2(20.0, 20.0), 6.0, countersink_diameter=NAN),)}, "bad.*countersink"),
        ({"holes": (Hole("bad", P2(20.0, 20.0), 6.0, countersink_diameter=50.0),)}, "bad.*countersink depth"),
        (
            {"holes": (Hole("bad", P2(20.0, 20.0), 6.0, countersink_diameter=9.0, countersink_angle=0.0),)},
            "bad.*0°|0.0°",
        ),
        ({"openings": (Opening("bad", rectangle(-5.0, 10.0, 20.0, 20.0)),)}, "bad"),
        ({"openings": (Opening("bad", rectangle(-80.0, -80.0, 180.0, 180.0)),)}, "bad"),
        ({"edge_holes": (EdgeHole("bad", P2(0.0, 20.0), 9.0, P2(1.0, 0.0), 19.0, 10.0),)}, "bad.*diameter"),
        ({"edge_holes": (EdgeHole("bad", P2(0.0, 20.0), 9.0, P2(1.0, 1.0), 6.0, 10.0),)}, "bad.*direction"),
        ({"edge_holes": (EdgeHole("bad", P2(3.0, 20.0), 9.0, P2(1.0, 0.0), 6.0, 10.0),)}, "bad"),
        ({"edge_holes": (EdgeHole("bad", P2(0.0, 20.0), 9.0, P2(-1.0, 0.0), 6.0, 10.0),)}, "bad"),
        (
            {"holes": (Hole("good", P2(20.0, 20.0), 6.0), Hole("bad", P2(23.0, 20.0), 6.0))},
            "part blank: bad:",
        ),
        (
            {
                "holes": (Hole("good", P2(20.0, 20.0), 6.0),),
                "edge_holes": (EdgeHole("bad", P2(0.0, 20.0), 9.1, P2(1.0, 0.0), 6.0, 30.0),),
            },
            "part blank: bad:",
        ),
    ],
)
def test_what_cannot_be_is_refused_by_name(changes: dict[str, object], named: str) -> None:
    """A size that is no number, leaves the sheet or runs into another feature names part and feature."""
    part = replace(board("blank", 63.4, 51.3, 18.3), **changes)  # type: ignore[arg-type]
    with pytest.raises(GeometryError, match=f"part blank.*{named}" if "part" not in named else named):
        part_solid(part)


def test_all_impossible_sizes_are_told_at_once() -> None:
    """Faults are collected, then raised together."""
    holes = (Hole("one", P2(20.0, 20.0), NAN), Hole("two", P2(40.0, 20.0), 5.0, depth=30.0))
    with pytest.raises(GeometryError) as caught:
        part_solid(replace(board("blank", 63.4, 51.3, 18.3), holes=holes))
    assert "one" in str(caught.value)
    assert "two" in str(caught.value)


def test_outline_that_crosses_itself_is_refused() -> None:
    """An outline that runs through itself has an area by formula, yet no solid."""
    crossed = polygon([P2(0.0, 0.0), P2(60.0, 0.0), P2(60.0, 60.0), P2(20.0, 60.0), P2(80.0, 30.0)])
    with pytest.raises(GeometryError, match="part crossed: outline"):
        part_solid(Part("crossed", "Crossed", "ply", 6.2, crossed))


def test_part_cut_in_two_is_refused() -> None:
    """An opening right across leaves two solids, though their volume is what the formula says."""
    part = replace(board("blank", 63.4, 51.3, 18.3), openings=(Opening("cut", rectangle(20.0, 0.0, 30.0, 51.3)),))
    with pytest.raises(GeometryError, match="part blank: cut"):
        part_solid(part)


def test_two_solids_are_never_one_part(monkeypatch: pytest.MonkeyPatch) -> None:
    """Valid solids of the right volume together are still no part when they are two."""
    halves = cq.Compound.makeCompound(
        [cq.Solid.makeBox(10.0, 10.0, 3.0), cq.Solid.makeBox(10.0, 10.0, 3.0, cq.Vector(20, 0, 0))]
    )
    monkeypatch.setattr(build, "_shape", lambda part: halves.wrapped)
    with pytest.raises(GeometryError, match="found 2 solids; allowed: one"):
        part_solid(board("b", 20.0, 10.0, 3.0))


def test_what_the_kernel_has_split_is_joined_again() -> None:
    """Sides cut in pieces and started in mid-arc are the contour as drawn; quarter circles are a Circle."""
    drawn = rectangle(0.0, 0.0, 33.3, 21.7, 4.1)
    pieces = []
    for seg in drawn.segments():
        middle = seg.point_at(0.37)
        bulges = [math.tan(math.radians(seg.sweep * share) / 4.0) for share in (0.37, 0.63)]
        pieces += [Segment(seg.start, middle, bulges[0]), Segment(middle, seg.end, bulges[1])]
    pieces = [*pieces[1:], pieces[0]]
    found = contour_of_segments(pieces)
    assert isinstance(found, Path)
    assert len(found.vertices) == len(drawn.vertices) == 8
    assert found.area == pytest.approx(drawn.area, abs=1e-9)
    quarter = math.tan(math.pi / 8.0)
    corners = [P2(5.0, 0.0), P2(0.0, 5.0), P2(-5.0, 0.0), P2(0.0, -5.0)]
    ring = [Segment(corners[i - 1], corners[i], quarter) for i in range(4)]
    circle = contour_of_segments(ring)
    assert isinstance(circle, Circle)
    assert (*circle.center, circle.radius) == pytest.approx((0.0, 0.0, 5.0), abs=1e-12)


def test_bought_piece_is_a_cylinder() -> None:
    """A pin ⌀6.1 × 42.7 holds π·3.05²·42.7 mm³."""
    pin = Bought(P3(1.0, 2.0, 3.0), X_AXIS, 42.7, 6.1)
    assert volume(bought_solid(pin)) == pytest.approx(1247.893224, abs=1e-5)
    with pytest.raises(GeometryError, match="bought"):
        bought_solid(replace(pin, diameter=NAN))


def test_a_flat_head_stands_before_its_seat() -> None:
    """A pan head ⌀8 × 3.1 on a ⌀4 × 20 shank holds π·(4²·3.1 + 2²·20) mm³, and ends 3.1 mm before its length begins."""
    screw = Bought(P3(0.0, 0.0, 0.0), X_AXIS, 20.0, 4.0, 8.0, 3.1, conical=False)
    solid = bought_solid(screw)
    assert volume(solid) == pytest.approx(407.150408, abs=1e-5)
    assert screw.volume == pytest.approx(407.150408, abs=1e-6)
    assert min(depth for _, depth in screw.profile) == -3.1


CELL = 30.0


@st.composite
def plates(draw: st.DrawFn) -> tuple[Part, float]:
    """A plate of cells with at most one feature each, and the volume the features take by textbook formulas."""
    columns, rows = draw(st.integers(1, 4)), draw(st.integers(1, 3))
    thickness = draw(st.floats(3.0, 25.0))
    sizes = st.floats(1.0, 9.0)
    holes: list[Hole] = []
    openings: list[Opening] = []
    removed = 0.0
    for column in range(columns):
        for row in range(rows):
            name, at = f"f{column}_{row}", P2(CELL * (column + 0.5), CELL * (row + 0.5))
            kind = draw(st.sampled_from(["none", "hole", "blind", "bored", "sunk", "opening"]))
            r, face = draw(sizes) / 2.0, draw(st.sampled_from(list(Face)))
            share = draw(st.floats(0.1, 0.9))
            depth = share * thickness
            if kind == "hole":
                holes.append(Hole(name, at, 2.0 * r))
                removed += math.pi * r**2 * thickness
            elif kind == "blind":
                holes.append(Hole(name, at, 2.0 * r, depth=depth, face=face))
                removed += math.pi * r**2 * depth
            elif kind == "bored":
                holes.append(
                    Hole(name, at, 2.0 * r, counterbore_diameter=2.0 * r + 5.0, counterbore_depth=depth, face=face)
                )
                removed += math.pi * (r**2 * (thickness - depth) + (r + 2.5) ** 2 * depth)
            elif kind == "sunk":
                wide = r + 0.9 * min(thickness, 9.0) * share
                holes.append(Hole(name, at, 2.0 * r, countersink_diameter=2.0 * wide, face=face))
                high = wide - r
                removed += math.pi * (r**2 * (thickness - high) + high / 3.0 * (wide**2 + wide * r + r**2))
            elif kind == "opening":
                half, corner = 4.0 + r, min(r, 3.0)
                contour = rectangle(at.x - half, at.y - half, at.x + half, at.y + half, corner)
                openings.append(Opening(name, contour))
                removed += (4.0 * half**2 - (4.0 - math.pi) * corner**2) * thickness
    width, height = CELL * columns, CELL * rows
    part = board("plate", width, height, thickness, holes=tuple(holes), openings=tuple(openings))
    return part, width * height * thickness - removed


@settings(max_examples=15, deadline=None, derandomize=True)
@given(plates())
def test_any_plate_holds_its_textbook_volume(made: tuple[Part, float]) -> None:
    """Whatever features stand side by side, the kernel's volume is the sum of the textbook ones."""
    part, expected = made
    assert volume(part_solid(part)) == pytest.approx(expected, rel=1e-9)
