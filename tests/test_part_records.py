"""A part is known by its record: one more record, and everything that lists, draws, cuts or judges parts has it."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, X_AXIS, Z_AXIS, Placement
from generator.base.points2d import P2
from generator.base.shapes2d import polygon
from generator.cutting.making import nested_parts
from generator.cutting.nesting import nest_all
from generator.documents.paper import paper_sheets
from generator.documents.setup.stage_picture import stage_picture
from generator.documents.shop.assembly_drawing import assembly_drawing
from generator.documents.shop.drawing_set import sheet_parts
from generator.documents.shop.formats import SheetNumber
from generator.drawing.sheet import Label, Sheet
from generator.formats.dxf.read import read_dxf
from generator.formats.dxf.write import part_dxf
from generator.formats.step.read import read_step_bytes
from generator.formats.step.write import jig_step, part_step
from generator.jig import dims
from generator.jig.build import build_jig
from generator.jig.catalog import CATALOG
from generator.jig.compare import Verdict, compare_jigs, shared_jig
from generator.jig.layout import Layout
from generator.jig.part import Hole, Jig, Part
from generator.jig.record import Record
from generator.jig.results import results_dict
from generator.jig.traits import Leg, Serves, ShopSheet, Traits, WayIn
from generator.job.load import load_job
from generator.job.model.job import PaperFor
from generator.joint.solution import Solution, solve
from generator.joint.stations import Use

PACKAGE = Path(__file__).parent.parent / "generator"
#: A triangle of 60 by 40 mm with a 6 mm hole.
VOLUME_MM2 = 60.0 * 40.0 / 2.0 - 3.141592653589793 * 9.0


def stand(layout: Layout) -> Part:
    """What a new part's file would hold: the function."""
    return Part(
        name=STAND.name,
        title="Pencil stand",
        stock=layout.spec.plate_stock,
        thickness=layout.thick.plate,
        outline=polygon([P2(0.0, 0.0), P2(60.0, 0.0), P2(0.0, 40.0)]),
        holes=(Hole("pencil", P2(12.0, 12.0), 6.0),),
        dimensions=(dims.across("stand_length", P2(0.0, 0.0), P2(60.0, 0.0), 60.0),),
        purpose="holds the pencil",
    )


def stand_placement(layout: Layout) -> Placement:
    """On the plate, far from both openings."""
    return Placement(P3(-20.0, layout.plate_half_width - 30.0, layout.thick.plate), X_AXIS, Z_AXIS)


#: And its record.
STAND = Record(
    "pencil_stand",
    stand,
    Traits(
        serves=Serves.FRAME,
        way_in=WayIn(8, (Leg(Z_AXIS.times(-1.0)),)),
        shop_sheet=ShopSheet.GUIDES,
        caption="pencil stand",
        bench_note="This edge down.",
    ),
    stands=stand_placement,
)


@pytest.fixture(scope="module")
def solution() -> Solution:
    return solve(load_job("orchestra-14"))


@pytest.fixture(scope="module")
def jig(solution: Solution) -> Jig:
    return build_jig(solution, (*CATALOG, STAND))


def texts(sheets: tuple[Sheet, ...]) -> str:
    return " ".join(item.text for sheet in sheets for item in sheet.items if isinstance(item, Label))


def test_the_new_part_is_the_only_difference(solution: Solution, jig: Jig) -> None:
    """One record more is one part and one piece of the standing jig more."""
    plain = build_jig(solution)
    assert jig.parts[:-1] == plain.parts
    assert jig.placed[:-1] == plain.placed
    assert (jig.parts[-1].name, jig.placed[-1].label) == ("pencil_stand", "pencil_stand")
    assert jig.parts[-1].traits is STAND.traits


def test_it_is_a_solid_alone_and_in_the_assembly(solution: Solution, jig: Jig) -> None:
    """STEP files read back have the triangle less its hole, 1171.7 mm² by the sheet's thickness."""
    part = jig.part("pencil_stand")
    (alone,) = read_step_bytes(part_step(part), "pencil_stand.step").solids
    assert alone.volume == pytest.approx(VOLUME_MM2 * part.thickness, rel=1e-6)
    pair = tuple(item for item in jig.placed if item.label in ("template_plate", "pencil_stand"))
    colours = {name: stock.colour for name, stock in solution.job.stocks.items()}
    found = {solid.label: solid for solid in read_step_bytes(jig_step(pair, (), colours), "jig.step").solids}
    assert found["pencil_stand"].volume == pytest.approx(VOLUME_MM2 * part.thickness, rel=1e-6)


def test_it_has_a_cutting_file_and_lies_on_a_sheet(solution: Solution, jig: Jig, tmp_path: Path) -> None:
    """Its DXF has outline and hole; the nested sheets of its stock hold it once."""
    part = jig.part("pencil_stand")
    (tmp_path / "pencil_stand.dxf").write_bytes(part_dxf(part, solution.job.name))
    file = read_dxf(tmp_path / "pencil_stand.dxf")
    (outside,) = file.contours("cut-outside")
    (hole,) = file.contours("cut-inside")
    assert (outside.box().width, outside.box().height) == pytest.approx((60.0, 40.0), abs=1e-6)
    assert hole.box().width == pytest.approx(6.0, abs=1e-6)
    sheets = nest_all(nested_parts(jig.parts, solution.job), solution.job.stocks)
    assert [place.part.name for sheet in sheets for place in sheet.places].count("pencil_stand") == 1


def test_results_list_it(solution: Solution, jig: Jig) -> None:
    """results.json has its name, stock and volume after the others."""
    entry = results_dict(solution, jig)["parts"][-1]
    assert (entry["name"], entry["stock"]) == ("pencil_stand", solution.job.jig.plate_stock)
    assert entry["volume_mm3"] == pytest.approx(VOLUME_MM2 * jig.parts[-1].thickness, rel=1e-9)


def test_sheets_and_drawings_show_it(solution: Solution, jig: Jig) -> None:
    """The paper has its template, the assembly's parts list its line, the shop's set puts it on the guides' sheet."""
    assert "Pencil stand" in texts(paper_sheets(solution, jig))
    assert "Pencil stand" in texts((assembly_drawing(solution.job, jig, SheetNumber(1, 1)),))
    output = replace_output(solution)
    assert "pencil_stand" in {part.name for part in sheet_parts(output, jig)["guides"]}


def test_the_picture_of_the_jig_names_it(solution: Solution, jig: Jig) -> None:
    """What its record calls it stands beside the picture."""
    found = stage_picture(solution, jig, Use.NECK, 180.0, 150.0, with_router=False)
    assert "pencil stand" in texts((found,))


def replace_output(solution: Solution) -> Solution:
    """The same job with paper and drawings of every part."""
    output = solution.job.output.model_copy(update={"paper_for": PaperFor.ALL})
    return replace(solution, job=solution.job.model_copy(update={"output": output}))


def test_it_serves_whom_its_record_says(solution: Solution, jig: Jig) -> None:
    """A part of the frame serves another heel though its shape differs; with no such trait it is made new."""
    shared = shared_jig(solution, solution)
    wider = replace(jig.parts[-1], outline=polygon([P2(0.0, 0.0), P2(61.0, 0.0), P2(0.0, 40.0)]))
    for traits, verdict in ((STAND.traits, Verdict.SERVES), (Traits(), Verdict.MAKE_NEW)):
        wanted = replace(jig, parts=(*jig.parts[:-1], replace(wider, traits=traits)))
        assert compare_jigs(jig, wanted, None, None, shared)[-1].verdict is verdict


def test_a_part_that_comes_and_goes() -> None:
    """`when` decides whether a jig has the part."""
    record = replace(STAND, when=lambda layout: layout.screws.tapped)
    solution = solve(load_job("orchestra-14"))
    assert "pencil_stand" not in {part.name for part in build_jig(solution, (*CATALOG, record)).parts}


def test_a_record_and_its_part_go_by_one_name(solution: Solution) -> None:
    """A part that calls itself otherwise than its record is refused."""
    with pytest.raises(GeometryError, match="its record names it other"):
        build_jig(solution, (*CATALOG, replace(STAND, name="other")))


@pytest.mark.parametrize("record", CATALOG, ids=lambda record: record.name)
def test_a_standing_part_says_how_it_comes_in(record: Record) -> None:
    """Every piece of the standing jig has its step of the assembly, and no other part has one."""
    assert (record.stands is None) == (record.traits.way_in is None) or record.name == "trim_shim"


def literals() -> Iterator[tuple[str, str]]:
    """Every text of the package that is a part's name, outside the room that owns the parts."""
    names = {record.name for record in CATALOG} - {"board", "caul", "plug"}
    for path in sorted(PACKAGE.rglob("*.py")):
        room = path.relative_to(PACKAGE).parts[0]
        if room in ("jig", "joint", "job"):
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in names:
                yield str(path.relative_to(PACKAGE)), node.value


def test_no_other_room_keeps_a_list_of_parts() -> None:
    """Whoever means a part asks its record: outside jig/ no part is spelt by its name."""
    assert list(literals()) == []
