"""A part as strokes, and the bench sheets composed of it."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
from pdf_ink import read
from sample_plate import JOB, plate, plate_sheet
from shapely import Polygon

from generator.base.annotation import Dimension, DimKind, Side
from generator.base.contours2d import Circle
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Transform
from generator.base.shapes2d import rectangle
from generator.documents.part_view import part_block, part_view
from generator.drawing.callout import Notation
from generator.drawing.compose import compose_sheet
from generator.drawing.page import sheet_page
from generator.drawing.sheet import Label, Stroke
from generator.drawing.style import Role
from generator.formats.pdf.write import pdf_bytes
from generator.jig.part import Part
from generator.job.model.job import UnitsChoice

NOTATION = Notation(UnitsChoice.BOTH)


def _contours(part: Part, to_sheet: Transform, role: Role) -> list[Polygon]:
    return [
        Polygon(item.path.flatten(1e-4))
        for item in part_view(part, to_sheet)
        if isinstance(item, Stroke) and item.role is role
    ]


def test_what_is_cut_is_what_the_part_says() -> None:
    """Cut lines enclose the part's profile area: outline less everything that goes right through (shapely as judge)."""
    part = plate()
    shapes = _contours(part, Transform(), Role.CUT)
    outer = max(shapes, key=lambda shape: shape.area)
    inner = [shape for shape in shapes if shape is not outer]
    assert outer.area - sum(s.area for s in inner) == pytest.approx(part.profile_area, rel=1e-6)
    for one, two in combinations(inner, 2):
        assert not one.overlaps(two)


def test_front_and_back_features_change_places_in_a_mirrored_view() -> None:
    """From the front the back counterbore is hidden and the front one an edge; from behind the other way round."""
    part, behind = plate(), Transform.mirror_x()
    front, back = 25.0 * math.pi, 30.25 * math.pi  # of ⌀10 and ⌀11
    for to_sheet, at_edge, hidden in ((Transform(), front, back), (behind, back, front)):
        for role, area in ((Role.EDGE, at_edge), (Role.HIDDEN, hidden)):
            assert any(abs(found - area) < 0.1 for found in _closed(part, to_sheet, role))
            assert not any(abs(found - front - back + area) < 0.1 for found in _closed(part, to_sheet, role))


def _closed(part: Part, to_sheet: Transform, role: Role) -> list[float]:
    return [
        Polygon(item.path.flatten(1e-3)).area
        for item in part_view(part, to_sheet)
        if isinstance(item, Stroke) and item.role is role and getattr(item.path, "closed", True)
    ]


def test_an_asymmetric_part_shows_its_hand() -> None:
    """The chamfered corner is at the upper right from the front and at the upper left from behind."""
    part = plate()
    corner = P2(166.65, 71.4375)

    def material_at(to_sheet: Transform, point: P2) -> bool:
        outline = max(_contours(part, to_sheet, Role.CUT), key=lambda s: s.area)
        from shapely import Point

        return outline.contains(Point(point.x - 4 * (1 if point.x > 0 else -1), point.y - 4))

    assert not material_at(Transform(), corner)
    assert material_at(Transform.mirror_x(), corner)
    assert not material_at(Transform.mirror_x(), P2(-corner.x, corner.y))


def test_every_hole_has_its_centre_lines() -> None:
    """Two centre lines cross at each hole's centre and reach 2 mm past its largest circle."""
    part = plate()
    centre_lines = [i.path for i in part_view(part, Transform()) if isinstance(i, Stroke) and i.role is Role.CENTRE]
    for hole in part.holes:
        mouth = max(hole.countersink_diameter or 0, hole.counterbore_diameter or 0)
        largest = max(hole.diameter, mouth, 6.0 if hole.thread else 0)
        through = [
            line
            for line in centre_lines
            if P2((line.start.x + line.end.x) / 2, (line.start.y + line.end.y) / 2).distance(hole.at) < 1e-9
        ]
        assert len(through) == 2
        assert all(line.length == pytest.approx(largest + 2 * 2.0) for line in through)


def test_threads_are_three_quarter_circles_of_the_major_diameter() -> None:
    """An M6 tapping hole is drawn as its 5 mm bore and an open 270° arc of 6 mm (ISO 6410-1; from memory)."""
    part = plate()
    arcs = [
        seg
        for item in part_view(part, Transform())
        if isinstance(item, Stroke) and not isinstance(item.path, Circle) and not item.path.closed
        for seg in item.path.segments()
        if seg.is_arc
    ]
    assert sorted({round(seg.radius * 2, 6) for seg in arcs}) == [6.0]
    assert all(abs(seg.sweep) == pytest.approx(270) for seg in arcs)


def test_a_mirrored_view_carries_no_lettering() -> None:
    """Lettering is engraved on the front face; seen from behind there is none to read backwards."""
    labels = [i for i in part_view(plate(), Transform.mirror_x()) if isinstance(i, Label)]
    assert labels == []


def test_the_sheet_says_what_to_do_with_it() -> None:
    """Title, instruction, job, cutting rule, arrows and hand are on the sheet in plain words."""
    words = " ".join(label.text for label in plate_sheet().labels())
    for needed in (
        "Template plate",
        "Glue to 18 mm birch plywood, drill, saw, file to the line",
        JOB,
        "Cut on the middle of the line.",
        "up",
        "towards the saddle",
        "bass side",
        "Right-handed",
    ):
        assert needed in words


def test_the_template_itself_says_what_it_is() -> None:
    """The part's name and job stand on its material, so that a cut-out template cannot be confused with another."""
    sheet = plate_sheet()
    name = next(label for label in sheet.labels() if label.text == f"Template plate · {JOB}")
    cuts = [Polygon(i.path.flatten(1e-3)) for i in sheet.items if isinstance(i, Stroke) and i.role is Role.CUT]
    outer = max(cuts, key=lambda s: s.area)
    box = Polygon(name.corners())
    assert outer.contains(box)
    assert not any(cut.intersects(box) for cut in cuts if cut is not outer)


def _strip(name: str, width: float, height: float) -> Part:
    length = Dimension("length", DimKind.HORIZONTAL, (P2(0, 0), P2(width, 0)), width, Side.BELOW)
    return Part(
        name, name.replace("_", " ").title(), "acrylic", 3.0, rectangle(0, 0, width, height), dimensions=(length,)
    )


def test_strip_parts_share_a_sheet_without_touching() -> None:
    """Small parts are packed on one sheet, each over its caption, none over another."""
    parts = [_strip("story_stick", 92.2, 16), _strip("gap_gauge", 156, 17.5), _strip("slip", 80, 21.6)]
    blocks = [part_block(part, NOTATION, part.title) for part in parts]
    sheet = compose_sheet("strips", "Gauges", "Glue to 3 mm acrylic, saw, file to the line", JOB, blocks, [], NOTATION)
    cuts = [Polygon(i.path.flatten(1e-3)) for i in sheet.items if isinstance(i, Stroke) and i.role is Role.CUT]
    assert sorted(round(c.area, 6) for c in cuts) == sorted(round(p.outline.area, 6) for p in parts)
    assert all(one.distance(two) > 5 for one, two in combinations(cuts, 2))
    words = " ".join(label.text for label in sheet.labels())
    assert all(part.title in words for part in parts)
    (page,) = read(pdf_bytes([sheet_page(sheet)], "Gauges", JOB))
    for one, two in combinations(page.texts, 2):
        assert one.quad.intersection(two.quad).area < 1e-3


def test_a_sheet_without_a_view_is_refused() -> None:
    """Nothing to show is an error."""
    with pytest.raises(LayoutError, match="no view"):
        compose_sheet("x", "X", "do", JOB, [], [], NOTATION)
