"""Frame, title block and projection symbol of shop drawings."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from pdf_ink import read
from shapely import Polygon

from generator.base.contours2d import Circle
from generator.base.errors import LayoutError
from generator.base.points2d import P2
from generator.drawing.page import sheet_page
from generator.drawing.sheet import Label, SheetBuilder, Stroke
from generator.drawing.style import Role
from generator.drawing.titleblock import (
    TitleBlock,
    frame_items,
    projection_symbol,
    scale_text,
    title_block_items,
)
from generator.formats.pdf.write import pdf_bytes
from generator.job.model.job import Projection, UnitsChoice

PAPERS = [(210.0, 297.0), (420.0, 297.0), (215.9, 279.4), (431.8, 279.4)]


def _block(title: str = "Template plate") -> TitleBlock:
    return TitleBlock(title, "HW-orchestra-14-01", "birch plywood 18", "1:2", "A3", Projection.FIRST, UnitsChoice.BOTH)


@pytest.mark.parametrize(("width", "height"), PAPERS)
def test_border_keeps_the_standards_margins(width: float, height: float) -> None:
    """The border's ink starts 20 mm from the left edge and 10 mm from the others (ISO 5457)."""
    builder = SheetBuilder("f", "F")
    builder.add(frame_items(width, height))
    box = builder.sheet(width, height).ink_box()
    assert (box.x0, box.y0) == (pytest.approx(20), pytest.approx(10))
    assert (width - box.x1, height - box.y1) == (pytest.approx(10), pytest.approx(10))


def test_the_block_has_the_standards_fields() -> None:
    """Every field ISO 7200 asks for is there by name: owner, number, date, sheet, title, approval …"""
    captions = {i.text for i in title_block_items(_block(), 420, 297) if isinstance(i, Label)}
    assert {
        "Legal owner",
        "Identification number",
        "Date of issue",
        "Revision",
        "Sheet",
        "Title",
        "Approved by",
        "Created by",
        "Document type",
    } <= captions
    assert {"Template plate", "HW-orchestra-14-01", "1 of 1", "1:2", "mm [inch]", "ISO 2768-m, ISO 8015"} <= captions


@pytest.mark.parametrize(("width", "height"), PAPERS)
def test_the_block_is_legible(width: float, height: float) -> None:
    """On every paper nothing in the block overlaps, no line runs through a word (read from the PDF)."""
    builder = SheetBuilder("t", "T")
    builder.add(frame_items(width, height))
    builder.add(title_block_items(_block("Template plate, upper half, with both openings"), width, height))
    (page,) = read(pdf_bytes([sheet_page(builder.sheet(width, height, "job"))], "T", "job"))
    for one, two in combinations(page.texts, 2):
        assert one.quad.intersection(two.quad).area < 1e-3, (one.text, two.text)
    for text in page.texts:
        assert not any(line.shape.intersects(text.quad) for line in page.lines), text.text


@pytest.mark.parametrize(
    ("key", "value", "lines"),
    [
        ("identification", "spring-2026-dreadnought-for-bench-four / laser_coupon_birch_ply_12", 2),
        ("identification", "W" * 64 + " / template_plate", 2),
        ("title", "plate " * 60, 2),
        ("title", "W" * 100, 1),
        ("material", "birch plywood, exterior glue, seven layers, from the rack by the window, offcuts", 2),
    ],
)
def test_a_long_text_stays_in_its_cell(key: str, value: str, lines: int) -> None:
    """A name too long for its cell stands on two small lines; still too long, its middle gives way to "…".

    Nothing is clipped or runs out of its cell, and a part's name is never shortened for its job's.
    """
    block = replace(_block(), **{key: value})
    builder = SheetBuilder("f", "F")
    builder.add(title_block_items(block, 420, 297))
    (page,) = read(pdf_bytes([sheet_page(builder.sheet(420, 297))], "t", "j"))
    for text in page.texts:
        assert not any(line.shape.intersects(text.quad) for line in page.lines), text.text
    for one, two in combinations(page.texts, 2):
        assert one.quad.intersection(two.quad).area < 1e-3, (one.text, two.text)
    words = [text.text for text in page.texts]
    parts = [word for word in words if word in value or "…" in word or word.rstrip(" /") in value]
    shown = [word for word in parts if word[:3] in value and len(word) > 12]
    assert len(shown) == lines
    if key == "identification":
        assert value.rpartition(" / ")[2] in words


@pytest.mark.parametrize(("projection", "rings_right"), [(Projection.FIRST, True), (Projection.THIRD, False)])
def test_symbol_matches_the_projection(projection: Projection, rings_right: bool) -> None:
    """First angle: cone left, rings right; third angle: rings left, cone right; the small end points left in both.

    (ISO 5456-2, the symbols; from memory. The rings are the view onto the small end, from the left: in first angle such
    a view is drawn on the right, in third angle on the left.)
    """
    strokes = [i for i in projection_symbol(projection, P2(0, 0)) if isinstance(i, Stroke)]
    rings = [i.path for i in strokes if isinstance(i.path, Circle)]
    cone = next(i.path for i in strokes if not isinstance(i.path, Circle) and i.path.closed)
    middle = Polygon(cone.flatten(0.1)).centroid
    assert (rings[0].center.x > middle.x) is rings_right
    assert not any(Polygon(ring.flatten(0.1)).intersects(Polygon(cone.flatten(0.1))) for ring in rings)
    left = [v for v in cone.vertices if v.x < cone.box().center.x]
    right = [v for v in cone.vertices if v.x > cone.box().center.x]
    assert abs(left[0].y - left[1].y) == pytest.approx(abs(right[0].y - right[1].y) / 2)
    assert sorted(ring.diameter for ring in rings) == pytest.approx([4, 8])


def test_scales_are_the_standards() -> None:
    """Scales come from ISO 5455; any other number is no scale."""
    assert [scale_text(scale) for scale in (2.0, 1.0, 0.5, 0.2, 0.1)] == ["2:1", "1:1", "1:2", "1:5", "1:10"]
    with pytest.raises(LayoutError):
        scale_text(0.3)


def test_what_nobody_said_leaves_a_line_to_write_on() -> None:
    """An empty cell has a rule at its foot; a filled one has its text and none."""

    def rules(block: TitleBlock) -> int:
        items = title_block_items(block, 420, 297)
        return sum(isinstance(i, Stroke) and i.role is Role.DIMENSION for i in items)

    empty = _block()
    filled = replace(empty, date="2026-03-01", revision="B")
    assert rules(empty) - rules(filled) == 2
    texts = {i.text for i in title_block_items(filled, 420, 297) if isinstance(i, Label)}
    assert {"2026-03-01", "B"} <= texts
