"""Pictures of solids: what is seen, by exact small cases, by rays, by shapely and by the CAD kernel's own answer."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Sequence

import pytest
import shapely
from shown_where import owner_at
from solid_samples import board, busy_plate

from generator.base.contours2d import Circle
from generator.base.errors import GeometryError
from generator.base.geometry3d import ORIGIN, P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.base.points2d import P2, Transform
from generator.base.shapes2d import rectangle
from generator.documents.scene.part import part_facets
from generator.drawing.facets.base import Facets
from generator.drawing.facets.build import block, cylinder, prism, round_count
from generator.drawing.picture import Picture, Shown, picture_items, seen
from generator.drawing.projection import JigView, PartView, isometric
from generator.drawing.sheet import Fill, SheetBuilder, Stroke
from generator.formats.svg.write import svg_text

ABOVE = Placement(ORIGIN, X_AXIS, Y_AXIS)
CORNER = isometric(P3(1.0, 1.0, 1.0), Z_AXIS)
ODD = isometric(P3(0.9, -0.37, 0.52), Z_AXIS)


def length(picture: Picture, owner: str | None = None) -> float:
    return sum(a.distance(b) for line in picture.lines if owner in (None, line.owner) for a, b in pairs(line.points))


def pairs(points: Sequence[P2]) -> list[tuple[P2, P2]]:
    return list(itertools.pairwise(points))


def ground(picture: Picture, owner: str) -> float:
    return sum(shapely.Polygon(area.outer, area.holes).area for area in picture.grounds if area.owner == owner)


def test_a_cube_from_a_corner() -> None:
    """Isometrically a cube of edge a shows 9 of its 12 edges, each √(2/3)·a long, and an area of √3·a²."""
    picture = seen([Shown("cube", block(0, 0, 0, 10, 10, 10))], CORNER)
    assert length(picture) == pytest.approx(9 * 10 * math.sqrt(2 / 3), abs=0.05)
    outline = sum(a.distance(b) for line in picture.lines if line.outline for a, b in pairs(line.points))
    assert outline == pytest.approx(6 * 10 * math.sqrt(2 / 3), abs=0.05)
    assert ground(picture, "cube") == pytest.approx(math.sqrt(3) * 100, abs=0.5)
    assert len({area.light for area in (*picture.areas, *picture.grounds)}) == 3


def test_what_lies_behind_is_cut_where_it_vanishes() -> None:
    """From above, a plate of 20 × 20 over a board of 40 × 10 leaves two ends of 10 × 10 and their edges."""
    low, high = block(-20, -5, 0, 20, 5, 2), block(-10, -10, 5, 10, 10, 6)
    picture = seen([Shown("low", low), Shown("high", high)], ABOVE)
    assert ground(picture, "high") == pytest.approx(400.0)
    assert ground(picture, "low") == pytest.approx(200.0)
    assert length(picture, "low") == pytest.approx(2 * (10 + 10 + 10))
    assert length(picture, "high") == pytest.approx(80.0)
    assert owner_at(picture, P2(-15.0, 0.0)) == "low"
    assert owner_at(picture, P2(0.0, 0.0)) == "high"
    assert owner_at(picture, P2(0.0, 15.0)) is None


def test_touching_solids_keep_the_line_between_them() -> None:
    """A board standing on a plate: the line where it stands is drawn, nothing of the plate shows through it."""
    plate, stood = block(-50, -50, -10, 50, 50, 0), block(-20, -5, 0, 20, 5, 30)
    picture = seen([Shown("plate", plate), Shown("stood", stood)], CORNER)
    foot = [picture.at(P3(20, -5, 0)), picture.at(P3(20, 5, 0)), picture.at(P3(-20, 5, 0))]
    drawn = shapely.union_all([shapely.LineString(line.points) for line in picture.lines])
    for a, b in pairs(foot):
        assert shapely.LineString([a, b]).difference(drawn.buffer(0.02)).is_empty
    hidden = shapely.LineString([picture.at(P3(-20, -5, 0)), picture.at(P3(20, -5, 0))])
    assert hidden.intersection(drawn.buffer(0.02)).length < 0.5


def test_bars_that_overlap_in_a_ring() -> None:
    """Three bars, each over the next and under the one before: no order of painting shows them, cutting edges does.

    By turning the whole by 120° each bar must show the same length and area as the others.
    """
    bars = []
    for k in range(3):
        turn = math.radians(120 * k)
        x = P3(math.cos(turn), math.sin(turn), 0.0)
        y = P3(-math.sin(turn) * 0.98, math.cos(turn) * 0.98, 0.0)
        tilt = math.asin(0.2)
        along = P3(x.x * math.cos(tilt), x.y * math.cos(tilt), math.sin(tilt))
        across = P3(y.x / 0.98, y.y / 0.98, 0.0)
        middle = across.times(-12.0)
        bars.append(Shown(f"bar{k}", block(-40, -3, -1, 40, 3, 1).placed(Placement(middle, along, across))))
    picture = seen(bars, ABOVE)
    shown = [ground(picture, f"bar{k}") for k in range(3)]
    whole = ground(seen(bars[:1], ABOVE), "bar0")
    assert shown[0] < whole - 20.0
    assert shown == pytest.approx([shown[0]] * 3, abs=0.3)
    # Each crossing is seen as a whole diamond of the upper bar: 6 wide at 60° to the other.
    assert shown[0] == pytest.approx(whole - 6 * 6 / math.sin(math.radians(60)), rel=0.03)


def rings(solid: Facets, view: Placement) -> list[tuple[shapely.Polygon, list[P3]]]:
    """Each face's flat picture by shapely, and three of its points, for the rays."""
    out = []
    for a, b, c, _ in solid.triangles:
        corner = [view.to_part(solid.points[i]) for i in (a, b, c)]
        flat = shapely.Polygon([(p.x, p.y) for p in corner])
        if flat.area > 1e-9:
            out.append((flat, corner))
    return out


def random_scene(seed: int) -> list[Shown]:
    """Blocks, rods and pierced plates at any angle, each within 27 mm of its own point of a grid of 55 mm."""
    draw = random.Random(seed)
    made: list[Shown] = []
    for k, (i, j, h) in enumerate(itertools.product((0, 1), repeat=3)):
        place = isometric(P3(*(draw.uniform(-1, 1) for _ in range(3))), P3(*(draw.uniform(-1, 1) for _ in range(3))))
        at = Placement(P3(55.0 * i, 55.0 * j, 55.0 * h), place.x_axis, place.y_axis)
        a, b, c = (draw.uniform(4, 15) for _ in range(3))
        if k % 3 == 0:
            solid = block(-a, -b, -c, a, b, c, at)
        elif k % 3 == 1:
            solid = cylinder(at.origin, at.z_axis, a, b)
        else:
            solid = prism(rectangle(-16, -14, 16, 14), 0, a / 2, at, (Circle(P2(-3, 2), 9.0),))
        made.append(Shown(f"s{k}", solid))
    return made


@pytest.mark.parametrize("seed", range(6))
def test_rays_meet_the_solid_that_is_shown(seed: int) -> None:
    """At random points the shown solid is the first that a ray meets, triangle by triangle with shapely as witness."""
    scene = random_scene(seed)
    picture = seen(scene, ODD)
    faces = [(shown.name, flat, corner) for shown in scene for flat, corner in rings(shown.facets, ODD)]
    draw = random.Random(seed + 100)
    lines = shapely.union_all([shapely.LineString(line.points) for line in picture.lines])
    box = picture.box
    checked = 0
    for _ in range(300):
        at = P2(draw.uniform(box.x0, box.x1), draw.uniform(box.y0, box.y1))
        hits = [(height(corner, at), name) for name, flat, corner in faces if flat.intersects(shapely.Point(at))]
        if lines.distance(shapely.Point(at)) < 0.05:
            continue
        assert owner_at(picture, at) == (max(hits)[1] if hits else None)
        checked += 1
    assert checked > 100
    union = shapely.union_all([flat for _, flat, _ in faces])
    assert sum(ground(picture, shown.name) for shown in scene) == pytest.approx(union.area, rel=1e-3)


def height(corner: list[P3], at: P2) -> float:
    p, q, r = corner
    area = (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x)
    s = ((at.x - p.x) * (r.y - p.y) - (at.y - p.y) * (r.x - p.x)) / area
    t = ((q.x - p.x) * (at.y - p.y) - (q.y - p.y) * (at.x - p.x)) / area
    return p.z + s * (q.z - p.z) + t * (r.z - p.z)


# --- the kernel as witness ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("view", [CORNER, ODD, PartView.FRONT.value, PartView.TOP.value, JigView.ISOMETRIC_BELOW.value])
def test_the_kernel_sees_as_much(view: Placement) -> None:
    """OCCT's hidden-line removal of three parts finds the same length of visible edges and the same box."""
    from kernel_views import visible_lines

    from generator.solid import part_solid
    from generator.solid.assembly import location

    stand = Placement(P3(-30.0, 20.0, 18.3), X_AXIS, Z_AXIS)
    over = Placement(P3(40.0, -90.0, 30.0), Y_AXIS, X_AXIS.times(-1.0))
    parts = [
        ("plate", busy_plate(), Placement()),
        ("stood", board("stood", 120.0, 60.0, 12.0), stand),
        ("over", board("over", 90.0, 70.0, 9.0), over),
    ]
    exact = {name: part_solid(part).Moved(location(place)) for name, part, place in parts}
    theirs = visible_lines(exact, view)
    ours = seen([Shown(name, part_facets(part, place, 0.002)) for name, part, place in parts], view)
    assert tuple(ours.box) == pytest.approx(theirs.bounds, abs=0.02)
    lines = shapely.union_all([shapely.LineString(line.points) for line in ours.lines], grid_size=0.01)
    assert lines.length == pytest.approx(theirs.length, rel=2e-4)
    assert theirs.difference(lines.buffer(0.05)).is_empty
    assert lines.difference(theirs.buffer(0.05)).is_empty


# --- the picture as ink ------------------------------------------------------------------------------------------


def test_ink_covers_what_is_seen() -> None:
    """Fills with their holes let in have the area that is seen; strokes are as long as the lines, to scale."""
    frame = prism(rectangle(0, 0, 60, 40), 0, 5, None, (rectangle(10, 10, 20, 30), Circle(P2(40, 20), 8.0)))
    picture = seen([Shown("frame", frame, (0.8, 0.6, 0.4), outline=0.5, inner=0.25)], ABOVE)
    items = picture_items(picture, Transform.scale(0.5))
    fills = [item for item in items if isinstance(item, Fill)]
    strokes = [item for item in items if isinstance(item, Stroke)]
    assert sum(fill.contour.area for fill in fills) == pytest.approx(frame_area() * 0.25, rel=1e-3)
    assert all(shapely.Polygon(fill.contour.flatten(0.01)).area == pytest.approx(fill.contour.area) for fill in fills)
    assert sum(stroke.path.length for stroke in strokes) == pytest.approx(length(picture) * 0.5)
    assert {stroke.pen.width for stroke in strokes} == {0.5}
    assert items.index(strokes[0]) == len(fills)
    assert picture_items(picture, Transform.scale(0.5), filled=False) == strokes


def frame_area() -> float:
    count = round_count(8.0, 0.1)
    return 60 * 40 - 200 - count / 2 * 64 * math.sin(2 * math.pi / count)  # the hole as the polygon that it is


def test_the_spot_is_the_widest_place() -> None:
    """Beside a plate that hides half of it a square board shows best in the middle of what is left."""
    low, high = block(0, 0, 0, 40, 40, 2), block(20, -5, 5, 60, 45, 6)
    spot = seen([Shown("low", low), Shown("high", high)], ABOVE).spots["low"]
    assert spot.room == pytest.approx(10.0, abs=0.2)
    assert spot.at.x == pytest.approx(10.0, abs=0.2)
    assert 9.8 < spot.at.y < 30.2


def test_a_hidden_solid_has_no_spot() -> None:
    """What nothing is seen of has no spot, no line and no area."""
    picture = seen([Shown("in", block(1, 1, 1, 2, 2, 2)), Shown("out", block(0, 0, 0, 9, 9, 9))], CORNER)
    assert set(picture.spots) == {"out"}
    assert {line.owner for line in picture.lines} == {"out"}


def test_same_bytes() -> None:
    """The same scene gives the same drawing, byte for byte."""

    def text() -> str:
        picture = seen([Shown("plate", part_facets(busy_plate()), (0.9, 0.8, 0.6))], CORNER)
        builder = SheetBuilder("p", "P")
        box = picture.box
        builder.add(picture_items(picture, Transform.move(5.0 - box.x0, 5.0 - box.y0)))
        return svg_text(builder.sheet(box.width + 10.0, box.height + 10.0))

    first = text()
    assert first == text()
    assert 'fill="#' in first


def test_faults_are_told() -> None:
    """Two solids of one name, or none at all, are no scene."""
    cube = block(0, 0, 0, 1, 1, 1)
    with pytest.raises(GeometryError, match="more than one solid called a"):
        seen([Shown("a", cube), Shown("a", cube)], ABOVE)
    with pytest.raises(GeometryError, match="without solids"):
        seen([], ABOVE)


def test_fills_reach_a_dxf_drawing() -> None:
    """Read back by ezdxf, a pierced area is one solid hatch, keyhole and all, in its own colour."""
    import io

    import ezdxf

    from generator.formats.dxf.write_drawing import drawing_dxf

    frame = prism(rectangle(0, 0, 60, 40), 0, 5, None, (rectangle(10, 10, 20, 30), Circle(P2(40, 20), 8.0)))
    picture = seen([Shown("frame", frame, (1.0, 0.5, 0.0))], ABOVE)
    builder = SheetBuilder("p", "P")
    builder.add(picture_items(picture, Transform.move(1.0, 1.0)))
    document = ezdxf.read(io.StringIO(drawing_dxf(builder.sheet(62.0, 42.0)).decode("cp1252")))
    hatches = document.modelspace().query("HATCH")
    assert all(hatch.dxf.solid_fill for hatch in hatches)
    areas = [shapely.Polygon([(x, y) for x, y, _ in path.vertices]).area for h in hatches for path in h.paths]
    assert sum(areas) == pytest.approx(frame_area(), rel=1e-3)
    (red, green, blue) = hatches[0].rgb
    assert red > green > blue == 0
