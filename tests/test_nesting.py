"""Nested sheets: every copy placed once, nothing overlapping, nothing outside, nothing mirrored."""

from __future__ import annotations

import math

import plaindxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs_by_hand import changed, load
from shapely import Polygon

from generator.base.annotation import EngravedText
from generator.base.errors import CheckFailed, LayoutError, OutputError
from generator.base.points2d import P2
from generator.base.shapes2d import polygon, polyline, rectangle
from generator.cutting.nesting import LASER_SPACING, ROUTER_SPACING, NestedSheet, nest, nest_all, refuse_oversize
from generator.formats.dxf.write import part_dxf, sheet_dxf, sheet_file_name
from generator.jig.build import build_jig
from generator.jig.part import Hole, Part
from generator.job.model.stock import CutBy, Stock
from generator.joint.solution import solve


def stock(
    width: float = 300.0, length: float = 400.0, cut_by: tuple[CutBy, ...] = (CutBy.LASER,), name: str = "ply"
) -> Stock:
    return Stock(
        name=name,
        material="birch plywood",
        thickness=6,
        kerf=0.2,
        sheet_width=width,
        sheet_length=length,
        youngs_modulus=9,
        shear_modulus=0.65,
        rolling_shear_modulus=0.2,
        density=680,
        thickness_tolerance=0.3,
        cut_by=cut_by,
        colour=(0.9, 0.8, 0.6),
    )


def board(name: str, width: float, height: float, quantity: int = 1, of: str = "ply") -> Part:
    return Part(name, name, of, 6.0, rectangle(0, 0, width, height), quantity=quantity)


def boxes(sheet: NestedSheet) -> list[tuple[float, float, float, float]]:
    return [place.box for place in sheet.places]


def apart(one: tuple[float, ...], two: tuple[float, ...]) -> float:
    """Clear distance between two boxes along the axis that separates them."""
    return max(one[0] - two[2], two[0] - one[2], one[1] - two[3], two[1] - one[3])


def check_sheets(sheets: tuple[NestedSheet, ...], parts: list[Part], margin: float, gap: float) -> None:
    placed = [(place.part.name, place.copy) for sheet in sheets for place in sheet.places]
    assert sorted(placed) == sorted((p.name, copy) for p in parts for copy in range(1, p.quantity + 1))
    assert [sheet.number for sheet in sheets] == list(range(1, len(sheets) + 1))
    for sheet in sheets:
        found = boxes(sheet)
        for x0, y0, x1, y1 in found:
            assert min(x0, y0) >= margin - 1e-6
            assert x1 <= sheet.length - margin + 1e-6
            assert y1 <= sheet.width - margin + 1e-6
        for i, one in enumerate(found):
            assert all(apart(one, two) >= gap - 1e-6 for two in found[i + 1 :])
        assert not any(place.transform.mirrors for place in sheet.places)


def test_copies_are_placed_with_margin_and_gap() -> None:
    """Quantities are respected; the margin stays clear and the gap lies between any two parts."""
    parts = [board("a", 120, 80, 3), board("b", 60, 200), board("c", 33, 44, 5)]
    sheets = nest(parts, stock(), margin=7, gap=5)
    assert len(sheets) == 1
    check_sheets(sheets, parts, 7, 5)


def test_a_part_that_fits_only_turned_is_turned() -> None:
    """A board longer than the sheet is wide lies along the sheet."""
    (sheet,) = nest([board("long", 20, 380)], stock(), margin=5, gap=3)
    (box,) = boxes(sheet)
    assert (box[2] - box[0], box[3] - box[1]) == pytest.approx((380, 20))
    x, y = sheet.places[0].transform.apply(P2(0, 380))
    assert (x, y) == pytest.approx((5, 5))


def test_a_part_exactly_as_large_as_the_room_fits() -> None:
    """The margin is the only loss: no part is refused for a gap it does not need."""
    check_sheets(nest([board("all", 390, 290)], stock(), 5, 10), [board("all", 390, 290)], 5, 10)


def test_too_large_a_part_is_named_with_its_sheet() -> None:
    """Every part that cannot fit is named, with the stock and both sizes."""
    parts = [board("plate", 500, 100), board("ok", 50, 50), board("bed", 320, 310)]
    with pytest.raises(LayoutError) as caught:
        nest(parts, stock(), 5, 3)
    lines = str(caught.value).splitlines()
    assert len(lines) == 2
    assert lines[0].startswith("part plate: 500.0 × 100.0 mm does not fit a sheet of ply: 400 × 300 mm")
    assert lines[1].startswith("part bed: 320.0 × 310.0 mm does not fit a sheet of ply")


def test_more_than_one_sheet() -> None:
    """What does not fit on one sheet goes to the next, and each sheet knows how many there are."""
    parts = [board("tile", 180, 130, 9)]
    sheets = nest(parts, stock(), 5, 5)
    check_sheets(sheets, parts, 5, 5)
    assert [len(sheet.places) for sheet in sheets] == [4, 4, 1]
    assert {sheet.count for sheet in sheets} == {3}
    assert [sheet_file_name(sheet) for sheet in sheets] == ["sheet-ply-1.dxf", "sheet-ply-2.dxf", "sheet-ply-3.dxf"]
    assert sheet_file_name(sheets[0], 0.2) == "sheet-ply-1.kerf-0.20.dxf"


def test_the_rest_of_a_sheet_stays_one_piece() -> None:
    """Packing fills the width first, so the offcut is a whole strip of the sheet's length."""
    (sheet,) = nest([board("strip", 40, 90, 3)], stock(), 5, 5)
    assert max(box[2] for box in boxes(sheet)) <= 5 + 90


def test_spacing_follows_the_tool() -> None:
    """A laser needs little room between parts, a router its cutter (common practice)."""
    parts = [board("a", 50, 50, 4)]
    check_sheets(nest(parts, stock()), parts, *LASER_SPACING)
    check_sheets(nest(parts, stock(cut_by=(CutBy.ROUTER, CutBy.SAW))), parts, *ROUTER_SPACING)


def test_all_stocks_but_only_those_that_are_cut_from_sheets() -> None:
    """Laser and router stock is nested by name; what a saw or a mill makes is not."""
    stocks = {
        "ply": stock(),
        "acrylic": stock(name="acrylic"),
        "bar": stock(cut_by=(CutBy.MILL,), name="bar"),
    }
    parts = [board("a", 50, 50), board("b", 40, 30, 2, "acrylic"), board("c", 999, 10, 1, "bar")]
    sheets = nest_all(parts, stocks)
    assert [(sheet.stock, len(sheet.places)) for sheet in sheets] == [("ply", 1), ("acrylic", 2)]
    with pytest.raises(LayoutError, match=r"part x(.|\n)*part y"):
        nest_all([board("x", 999, 10), board("y", 999, 10, 1, "acrylic")], stocks)


@settings(deadline=None, max_examples=40)
@given(
    sizes=st.lists(st.tuples(st.floats(5, 280), st.floats(5, 280), st.integers(1, 3)), min_size=1, max_size=12),
    gap=st.floats(0, 12),
)
def test_any_parts_are_laid_out_apart(sizes: list[tuple[float, float, int]], gap: float) -> None:
    """Whatever the sizes: each copy once, inside the margin, apart by the gap; and twice the same."""
    parts = [board(f"p{i}", w, h, n) for i, (w, h, n) in enumerate(sizes)]
    sheets = nest(parts, stock(), 8, gap)
    check_sheets(sheets, parts, 8, gap)
    assert nest(parts, stock(), 8, gap) == sheets
    area = sum(p.outline.area * p.quantity for p in parts)
    assert len(sheets) >= math.ceil(area / (384 * 284) - 1e-9)


def hooked(name: str, quantity: int = 1) -> Part:
    """A chiral part: mirrored it would not lie on itself."""
    outline = polygon([P2(0, 0), P2(90, 0), P2(90, 20), P2(30, 20), P2(30, 60), P2(0, 60)])
    return Part(
        name,
        name,
        "ply",
        6.0,
        outline,
        holes=(Hole("h", P2(15, 45), 8.0),),
        engraved_lines=(polyline([P2(5, 5), P2(60, 5)]),),
        engraved_texts=(EngravedText("UP", P2(60, 12), 4.0),),
        quantity=quantity,
    )


def test_the_sheets_file_holds_every_part_unmirrored() -> None:
    """Areas add up, each outline is a turned copy of the part's, and nothing is cut before it is engraved."""
    parts = [hooked("hook", 3), board("strip", 280, 15)]
    (sheet,) = nest(parts, stock())
    plain = plaindxf.read(sheet_dxf(sheet, stock(), "job"))
    assert plain.area() == pytest.approx(3 * hooked("x").profile_area + 280 * 15, abs=0.01)
    outlines = [entity.polygon() for entity in plain.on("cut-outside")]
    hooks = [outline for outline in outlines if len(outline.exterior.coords) == 7]
    assert len(hooks) == 3
    own = Polygon([(p.x, p.y) for p in hooked("x").outline.flatten(0.01)])
    for hook in hooks:
        assert any(hook.symmetric_difference(_laid_on(own, quarter, hook)).area < 1e-6 for quarter in (0, 90, 180, 270))
    order = [entity.layer for entity in plain.entities]
    assert order == sorted(order, key=["engrave", "cut-inside", "cut-outside"].index)
    assert sorted(plain.custom["Parts"].split(", ")) == ["hook", "hook", "hook", "strip"]
    assert plain.custom["Sheet"] == "1 of 1"
    assert sheet_dxf(sheet, stock(), "job") == sheet_dxf(nest(parts, stock())[0], stock(), "job")


def _laid_on(own: Polygon, quarter: float, target: Polygon) -> Polygon:
    from shapely.affinity import rotate, translate

    turned = rotate(own, quarter, origin=(0, 0))
    return translate(turned, target.bounds[0] - turned.bounds[0], target.bounds[1] - turned.bounds[1])


def test_a_sheet_with_parts_too_close_for_their_kerf_is_not_written() -> None:
    """Two outlines that share a line would be burnt twice: the writer refuses the sheet."""
    (sheet,) = nest([board("a", 50, 50, 2)], stock(), margin=5, gap=0)
    with pytest.raises(OutputError, match="cutting file sheet-ply-1: "):
        sheet_dxf(sheet, stock(), "job")


def test_a_part_keeps_its_own_coordinates_in_its_own_file() -> None:
    """Only the sheet moves parts: the part's file stays where the part is drawn."""
    part = hooked("hook")
    nest([part], stock())
    assert plaindxf.read(part_dxf(part, "job")).on("cut-outside")[0].polygon().bounds == (0, 0, 90, 60)


def test_a_part_larger_than_its_sheet_refuses_the_job_before_a_file_is_written() -> None:
    """A depth block 77 mm wide on strips of 100 less 12 at either edge: refused by part, size, stock and the jig's key.

    The mortise is 41 mm deep, so the block's notch and bar are 2·41 + 18 mm high.
    """
    raw = changed(
        joint={"mortise_depth": 41, "bolts": {"thread": "M5", "kind": "insert", "from_top": [30]}},
        instrument={"neck_block_thickness": 60},
        router={"reach": 70, "cutting_length": 45},
    )
    job = load(raw)
    jig = build_jig(solve(job))
    with pytest.raises(CheckFailed) as caught:
        refuse_oversize(jig.parts, job)
    (fault,) = caught.value.faults
    assert fault.key == "part depth_block"
    assert "100.0 mm" in fault.found
    assert "876 × 76 mm" in fault.allowed
    assert "maple-12" in fault.allowed
    assert "jig.rest_stock" in fault.allowed
    refuse_oversize([part for part in jig.parts if part.name != "depth_block"], job)
