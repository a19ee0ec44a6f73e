"""Dimensions placed so that nothing is written over anything else, judged on the written PDF."""

from __future__ import annotations

import math
import pickle
import re
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pdf_ink import PageInk, read
from sample_plate import D, G, H, R, V, plate, plate_sheet
from shapely import LineString

from generator.base.annotation import Dimension, DimKind, Side
from generator.base.contours2d import Circle
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box, Transform, polar
from generator.base.shapes2d import polyline, rectangle
from generator.documents.part_view import part_view
from generator.drawing.callout import Notation, dimension_text
from generator.drawing.dimension import DimensionChain, DimensionStyle, Note, Ordinates, Show, View
from generator.drawing.layout import lay_out
from generator.drawing.leaders import spread
from generator.drawing.page import sheet_page
from generator.drawing.scene import Scene
from generator.drawing.sheet import DimensionMark, Item, Label, SheetBuilder, Stroke
from generator.drawing.style import PENS, Role
from generator.formats.pdf.write import pdf_bytes
from generator.job.model.job import UnitsChoice

SHOP = Notation(UnitsChoice.MM, bench=False)
SHOP_STYLE = DimensionStyle(text=2.5)


def show(name: str, kind: DimKind, side: Side, *points: P2, value: float | None = None, text: str = "") -> Show:
    measured = Dimension.measured
    probe = object.__new__(Dimension)
    object.__setattr__(probe, "kind", kind)
    object.__setattr__(probe, "points", points)
    dimension = Dimension(name, kind, points, measured(probe) if value is None else value, side)
    return Show(dimension, text or dimension_text(dimension, SHOP))


def board(width: float, height: float) -> tuple[list[Item], View]:
    path = rectangle(0, 0, width, height)
    return [Stroke(path, Role.VISIBLE, PENS[Role.VISIBLE])], View(Transform(), path.box())


def written(drawn: list[Item], marks: tuple[DimensionMark, ...]) -> PageInk:
    """The drawing as another program reads it from the PDF, moved onto a large page."""
    move = Transform.move(400, 400)
    builder = SheetBuilder("t", "T")
    builder.add(drawn, move)
    for mark in marks:
        builder.dimension(mark, move)
    (page,) = read(pdf_bytes([sheet_page(builder.sheet(1200, 1200, "job"))], "T", "job"))
    return page


def assert_clear(page: PageInk) -> None:
    """No text's ink overlaps another's, and no stroke runs through a text's ink (boxes and paths from the PDF)."""
    for one, two in combinations(page.texts, 2):
        assert one.quad.intersection(two.quad).area < 1e-3, (one.text, two.text)
    for text in page.texts:
        for line in page.lines:
            assert not line.shape.intersects(text.quad), (text.text, line)


def test_the_plate_is_clear_at_full_scale() -> None:
    """On the plate's bench sheet no label lies over a label or a line."""
    sheet = plate_sheet()
    (page,) = read(pdf_bytes([sheet_page(sheet)], sheet.title, sheet.job))
    assert len(page.texts) > 25
    assert_clear(page)


@pytest.mark.parametrize("units", list(UnitsChoice))
@pytest.mark.parametrize("scale", [1.0, 0.5])
def test_the_plate_is_clear_on_a_shop_drawing(units: UnitsChoice, scale: float) -> None:
    """With shop letters, in every choice of units, at 1:1 and at 1:2, nothing overlaps."""
    part = plate()
    move = Transform.scale(scale)
    drawn = part_view(part, move, Role.VISIBLE)
    requests = [Show(d, dimension_text(d, Notation(units, bench=False))) for d in part.dimensions]
    marks = lay_out(requests, View(move, part.outline.transformed(move).box()), drawn, SHOP_STYLE)
    assert len(marks) == len(part.dimensions)
    assert_clear(written(drawn, marks))


@settings(max_examples=15, deadline=None)
@given(st.data())
def test_random_boards_are_clear_or_refused(data: st.DataObject) -> None:
    """Random holes with positions and diameters: the drawing is clear, or a LayoutError; never a bad drawing."""
    width, height = data.draw(st.floats(60, 250)), data.draw(st.floats(40, 160))
    drawn, view = board(width, height)
    requests = [
        show("width", H, Side.BELOW, P2(0, 0), P2(width, 0)),
        show("height", V, Side.LEFT, P2(0, 0), P2(0, height)),
    ]
    for i in range(data.draw(st.integers(1, 4))):
        at = P2(data.draw(st.floats(8, width - 8)), data.draw(st.floats(8, height - 8)))
        drawn.append(Stroke(Circle(at, 2.75), Role.VISIBLE, PENS[Role.VISIBLE]))
        requests += [
            show(f"x{i}", H, data.draw(st.sampled_from([Side.ABOVE, Side.BELOW])), P2(0, 0), at),
            show(f"y{i}", V, data.draw(st.sampled_from([Side.LEFT, Side.RIGHT])), P2(0, 0), at),
            show(f"d{i}", D, Side.INSIDE, at, at.plus(polar(30, 2.75))),
        ]
    try:
        marks = lay_out(requests, view, drawn, SHOP_STYLE)
    except LayoutError:
        return
    assert_clear(written(drawn, marks))


def test_spacing_follows_the_practice() -> None:
    """First dimension line 8 mm off the outline, the next at least 5 mm on, extension lines 2 mm past the line.

    (Teaching text on ISO 129-1: 8, 5 and 2 mm.)
    """
    drawn, view = board(120, 60)
    marks = lay_out(
        [
            show("long", H, Side.BELOW, P2(0, 0), P2(120, 0)),
            show("short", H, Side.BELOW, P2(20, 0), P2(90, 0)),
        ],
        view,
        drawn,
        SHOP_STYLE,
    )
    by_name = {mark.name: mark for mark in marks}
    assert by_name["short"].line_at.y == pytest.approx(-8.0)
    assert -8.0 - by_name["long"].line_at.y >= 5.0
    low = min(p.y for item in by_name["short"].items if isinstance(item, Stroke) for p in item.path.flatten(0.1))
    assert low == pytest.approx(-8.0 - 2.0)


def test_short_stands_inside_long() -> None:
    """The shorter of two dimensions is nearer the outline, so that no extension line crosses a dimension line."""
    drawn, view = board(150, 60)
    requests = [show(f"d{x}", H, Side.ABOVE, P2(0, 60), P2(x, 60)) for x in (150, 110, 70)]
    marks = {mark.name: mark.line_at.y for mark in lay_out(requests, view, drawn, SHOP_STYLE)}
    assert marks["d70"] < marks["d110"] < marks["d150"]


def test_chain_stands_on_one_line() -> None:
    """Dimensions that follow each other share one level and meet end to end."""
    drawn, view = board(150, 60)
    stops = [P2(0, 60), P2(31.2, 60), P2(77.7, 60), P2(150, 60)]
    chain = DimensionChain(tuple(show(f"c{i}", H, Side.ABOVE, a, b) for i, (a, b) in enumerate(pairwise(stops))))
    marks = lay_out([chain], view, drawn, SHOP_STYLE)
    assert len({round(mark.line_at.y, 6) for mark in marks}) == 1
    assert sum(mark.value for mark in marks) == pytest.approx(150)
    assert_clear(written(drawn, marks))


def test_ordinates_spread_and_keep_their_values() -> None:
    """Close ordinates are spread so that the numbers stay apart; each keeps its own distance from the datum."""
    drawn, view = board(150, 60)
    xs = (10.0, 12.0, 13.5, 15.875, 80.0, 81.0)
    request = Ordinates("x", P2(0, 0), tuple(P2(x, 30) for x in xs), tuple(f"{x:g}" for x in xs), Side.BELOW)
    marks = lay_out([request], view, drawn, SHOP_STYLE)
    assert [mark.value for mark in marks] == pytest.approx(sorted(xs))
    assert all(mark.kind is None for mark in marks)
    assert_clear(written(drawn, marks))


@given(st.lists(st.floats(0, 100), min_size=1, max_size=12), st.floats(0.5, 9))
def test_spread_keeps_order_and_distance(wanted: list[float], least: float) -> None:
    """Seats are in order, at least `least` apart, and one that nobody crowds stays where it was wanted."""
    wanted = sorted(wanted)
    seats = spread(wanted, least)
    assert all(b - a >= least - 1e-9 for a, b in pairwise(seats))
    gaps = [b - a for a, b in pairwise(wanted)]
    if all(gap >= least for gap in gaps):
        assert seats == pytest.approx(wanted)
    # Least squares: the mean of all seats is the mean of what was wanted.
    assert sum(seats) == pytest.approx(sum(wanted), abs=1e-6)


def test_frame_is_kept_or_the_drawing_refused() -> None:
    """Nothing leaves the frame; a frame without room for a dimension is an error that names it."""
    drawn, view = board(100, 50)
    requests = [show("overall_width", H, Side.BELOW, P2(0, 0), P2(100, 0))]
    frame = Box(-20, -20, 120, 70)
    (mark,) = lay_out(requests, view, drawn, SHOP_STYLE, frame)
    for item in mark.items:
        box = item.box()
        assert frame.contains(P2(box.x0, box.y0))
        assert frame.contains(P2(box.x1, box.y1))
    with pytest.raises(LayoutError, match="overall_width"):
        lay_out(requests, view, drawn, SHOP_STYLE, Box(-3, -3, 103, 53))


def test_a_text_over_everything_is_refused() -> None:
    """Where lines leave no clear place at all, the layout refuses instead of writing over them."""
    drawn, view = board(100, 50)
    hatch = [Stroke(rectangle(x, -400, x + 1, 450), Role.HATCH, PENS[Role.HATCH]) for x in range(-400, 500, 2)]
    with pytest.raises(LayoutError, match="no clear place"):
        lay_out([show("w", H, Side.BELOW, P2(0, 0), P2(100, 0))], view, [*drawn, *hatch], SHOP_STYLE)


def test_a_refusal_survives_the_way_to_another_process() -> None:
    """Kits are made by several processes: a refused layout arrives at the first one with its words whole."""
    drawn, view = board(100, 50)
    with pytest.raises(LayoutError) as caught:
        lay_out([show("w", H, Side.BELOW, P2(0, 0), P2(100, 0))], view, drawn, SHOP_STYLE, Box(-3, -3, 103, 53))
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)


def test_a_foreshortened_length_is_refused() -> None:
    """A dimension may only stand where its length is true: a view squeezed along x refuses it."""
    drawn, _ = board(100, 50)
    squeezed = Transform(a=math.cos(math.radians(5)))
    view = View(squeezed, Box(0, 0, 100, 50))
    with pytest.raises(LayoutError, match="true length"):
        lay_out([show("w", V, Side.LEFT, P2(0, 0), P2(0, 50))], view, drawn, SHOP_STYLE)


def test_sides_turn_with_the_view() -> None:
    """In a view turned by a quarter a dimension above the part stands at its left, and is still the same length."""
    quarter = Transform.rotate(90)
    path = rectangle(0, 0, 100, 50).transformed(quarter)
    drawn: list[Item] = [Stroke(path, Role.VISIBLE, PENS[Role.VISIBLE])]
    (mark,) = lay_out([show("w", H, Side.ABOVE, P2(0, 50), P2(100, 50))], View(quarter, path.box()), drawn, SHOP_STYLE)
    assert mark.kind is DimKind.VERTICAL
    assert mark.line_at.x == pytest.approx(path.box().x0 - 8.0)
    assert mark.points[0].distance(mark.points[1]) == pytest.approx(100)


def test_extension_lines_break_at_lettering() -> None:
    """Letters engraved on the part stay legible: an extension line that would run over them is left open there."""
    drawn, view = board(100, 60)
    drawn.append(Label("ENGRAVED", P2(30, 40), 5.0, Role.ENGRAVE))
    marks = lay_out([show("place", H, Side.ABOVE, P2(0, 60), P2(40, 10))], view, drawn, SHOP_STYLE)
    assert_clear(written(drawn, marks))


def test_notes_point_at_their_target() -> None:
    """A note's leader ends at its target, and its words are clear of everything."""
    drawn, view = board(100, 60)
    (mark,) = lay_out([Note("glue face", P2(50, 60))], view, drawn, SHOP_STYLE)
    leader = next(item for item in mark.items if isinstance(item, Stroke))
    assert leader.path.start == P2(50, 60)
    assert mark.kind is None


def test_radius_leader_is_in_line_with_the_centre() -> None:
    """A radius is shown by a leader whose first leg, produced, runs through the centre."""
    centre = P2(80, 40)
    path = rectangle(0, 0, 100, 60, 20)
    drawn: list[Item] = [Stroke(path, Role.VISIBLE, PENS[Role.VISIBLE])]
    (mark,) = lay_out(
        [show("r", R, Side.INSIDE, centre, centre.plus(polar(45, 20)))], View(Transform(), path.box()), drawn
    )
    leader = next(item for item in mark.items if isinstance(item, Stroke))
    tip, knee = leader.path.vertices[0].point, leader.path.vertices[1].point
    assert tip.distance(centre) == pytest.approx(20)
    assert abs(knee.minus(tip).cross(tip.minus(centre))) < 1e-9


@pytest.mark.parametrize("sweep", [1.6654, 12.0, 45.0, 88.3346, 139.7])
def test_angles_are_drawn_about_their_apex(sweep: float) -> None:
    """From under two degrees to an obtuse angle, the arc is centred on the apex and the number is the model's."""
    drawn, view = board(300, 200)
    apex = P2(40, 60)
    ends = [apex.plus(polar(10, 90)), apex.plus(polar(10 + sweep, 90))]
    drawn += [Stroke(polyline([apex, end]), Role.VISIBLE, PENS[Role.VISIBLE]) for end in ends]
    (mark,) = lay_out([show("a", G, Side.INSIDE, apex, *ends)], view, drawn, SHOP_STYLE)
    arc = next(s for item in mark.items if isinstance(item, Stroke) for s in item.path.segments() if s.is_arc)
    assert arc.center.distance(apex) < 1e-6
    assert abs(float(mark.text.rstrip("°")) - sweep) < 0.005
    assert_clear(written(drawn, (mark,)))


@pytest.mark.parametrize("bench", [True, False])
@pytest.mark.parametrize("units", [UnitsChoice.MM, UnitsChoice.BOTH])
def test_printed_numbers_equal_the_model(units: UnitsChoice, bench: bool) -> None:
    """Every number read back from the PDF lies within 0.005 of the model's (57.15, 15.875 and other odd ones)."""
    part = plate()
    drawn = part_view(part, Transform())
    extra = [
        show("fifty-seven", H, Side.ABOVE, P2(-57.15, 71.4375), P2(0, 71.4375)),
        show("bushing", V, Side.RIGHT, P2(166.65, -71.4375), P2(166.65, -71.4375 + 15.875)),
    ]
    notation = Notation(units, bench)
    dimensions = [*part.dimensions, *(request.dimension for request in extra)]
    requests = [Show(d, dimension_text(d, notation)) for d in dimensions]
    marks = lay_out(requests, View(Transform(), part.box), drawn, DimensionStyle(text=3.5 if bench else 2.5))
    printed = [t.text for t in written(drawn, marks).texts]
    found = [re.match(r"(?:\d+× )?[⌀R]?(\d+(?:\.\d+)?)", text) for text in printed]
    numbers = [float(match[1]) for match in found if match]
    for dimension in dimensions:
        assert min(abs(number - dimension.value) for number in numbers) < 0.005, dimension.name
    assert "57.15" in " ".join(printed)
    assert "15.875" in " ".join(printed)


def test_marks_equal_the_geometry() -> None:
    """A mark's measured points are its value apart, within 1e-6 mm (angles in degrees), by plain vector arithmetic."""
    for mark in plate_sheet().dimensions:
        a, b = mark.points[:2]
        lengths = {
            DimKind.HORIZONTAL: abs(a.x - b.x),
            DimKind.VERTICAL: abs(a.y - b.y),
            DimKind.ALIGNED: a.distance(b),
            DimKind.RADIUS: a.distance(b),
            DimKind.DIAMETER: 2 * a.distance(b),
        }
        if mark.kind is DimKind.ANGLE:
            u, v = b.minus(a), mark.points[2].minus(a)
            cosine = u.dot(v) / u.length() / v.length()
            assert math.degrees(math.acos(cosine)) == pytest.approx(mark.value, abs=1e-6)
        else:
            assert lengths[mark.kind] == pytest.approx(mark.value, abs=1e-6)


def test_dimension_line_spans_its_points() -> None:
    """The dimension line of a level dimension ends exactly under its two points."""
    drawn, view = board(120, 60)
    (mark,) = lay_out([show("w", H, Side.BELOW, P2(10, 0), P2(103.3, 0))], view, drawn, SHOP_STYLE)
    level = [
        LineString(item.path.flatten(0.1))
        for item in mark.items
        if isinstance(item, Stroke) and abs(item.path.start.y - item.path.end.y) < 1e-9
    ]
    assert any(line.bounds[0] == pytest.approx(10) and line.bounds[2] == pytest.approx(103.3) for line in level)


def test_layout_is_repeatable() -> None:
    """The same requests give the same drawing."""
    part = plate()
    drawn = part_view(part, Transform())
    requests = [Show(d, dimension_text(d, SHOP)) for d in part.dimensions]
    view = View(Transform(), part.box)
    assert lay_out(requests, view, drawn) == lay_out(requests, view, drawn)


def test_no_shelf_runs_along_an_edge() -> None:
    """A leader's level shelf never lies on or just beside a level edge, where it would be read as the part's own."""
    edge = Stroke(polyline([P2(0.0, 20.0), P2(60.0, 20.0)]), Role.VISIBLE, PENS[Role.VISIBLE])
    scene = Scene([edge])
    assert scene.runs_along(P2(40.0, 20.5), P2(90.0, 20.5), 1.0)
    assert not scene.runs_along(P2(40.0, 21.5), P2(90.0, 21.5), 1.0)
    assert not scene.runs_along(P2(61.5, 20.5), P2(90.0, 20.5), 1.0)
    assert not scene.runs_along(P2(30.0, 10.0), P2(30.0, 40.0), 1.0)
    for height in (8.0, 12.0, 14.5, 15.0, 15.5, 16.0):
        view = View(Transform(), Box(0.0, 0.0, 60.0, 20.0))
        (mark,) = lay_out([Note("2× ⌀5.5 through, countersink", P2(30.0, height))], view, [edge])
        shelf = next(item.path for item in mark.items if isinstance(item, Stroke))
        assert abs(shelf.vertices[-1].point.y - 20.0) > 1.0
