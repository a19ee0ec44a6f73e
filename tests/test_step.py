"""STEP files: read as text, by the own reader, and by another build of the kernel."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path

import cadquery as cq
import pytest
from freecad_reader import read_by_freecad
from OCP.Interface import Interface_Static
from round_walls import cylinders
from solid_samples import board, busy_plate, small_jig

from generator.base.contours2d import Circle
from generator.base.errors import OutputError
from generator.base.points2d import P2
from generator.formats.step.read import read_step, read_step_bytes
from generator.formats.step.write import assembly_step, part_step, part_step_name
from generator.jig.part import Hole
from generator.solid import assembly, part_solid, volume

COLOUR = (0.87, 0.75, 0.55)


def text_of(data: bytes) -> str:
    """The file with its line breaks taken out, so that no entity is split."""
    return re.sub(r"\s*\n\s*", "", data.decode("ascii"))


@pytest.fixture(scope="module")
def plate_text() -> str:
    return text_of(part_step(busy_plate(), COLOUR))


def test_lengths_are_millimetres(plate_text: str) -> None:
    """ISO 10303-41: the one length unit is SI_UNIT(.MILLI.,.METRE.)."""
    assert re.findall(r"LENGTH_UNIT\(\)\s*NAMED_UNIT\(\*\)\s*SI_UNIT\(([^)]*)\)", plate_text) == [".MILLI.,.METRE."]
    assert "CONVERSION_BASED_UNIT" not in plate_text


def test_schema_is_ap214(plate_text: str) -> None:
    """ISO 10303-214 names its schema AUTOMOTIVE_DESIGN."""
    assert "FILE_SCHEMA(('AUTOMOTIVE_DESIGN" in plate_text


def test_product_is_the_part(plate_text: str) -> None:
    """One product, called as the part; no counter, no name of the kernel."""
    assert re.findall(r"PRODUCT\('([^']*)','([^']*)'", plate_text) == [("busy_plate", "busy_plate")]
    assert "translator" not in plate_text
    assert "Open CASCADE" not in plate_text


def test_header_is_our_own(plate_text: str) -> None:
    """Nothing of machine, user or clock: the header holds the file's own name, a fixed time, the program."""
    header = plate_text[: plate_text.index("ENDSEC;")]
    assert header == (
        "ISO-10303-21;HEADER;"
        "FILE_DESCRIPTION(('busy_plate, a part of a neck joint jig'),'2;1');"
        "FILE_NAME('busy_plate.step','2000-01-01T00:00:00',(''),(''),'Heelwright 0.1.0','Heelwright 0.1.0','');"
        "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));"
    )


def test_holes_are_cylinders_of_the_models_radii(plate_text: str) -> None:
    """No facets: the radii of all round walls stand in the text, read without any CAD kernel."""
    found = Counter(round(float(r), 6) for r in re.findall(r"CYLINDRICAL_SURFACE\('[^']*',#\d+,([^)]*)\)", plate_text))
    assert found == {
        12.4: 4, 7.9375: 4, 58.0: 1, 64.6: 1, 3.3: 3, 3.2: 1, 5.5: 1, 2.75: 1, 2.5: 1, 2.1: 1, 3.4: 1,
    }  # fmt: skip
    assert re.findall(r"CONICAL_SURFACE\('[^']*',#\d+,[^,]*,([^)]*)\)", plate_text) == ["0.785398163397"]
    assert "SPLINE" not in plate_text
    assert "FACETED" not in plate_text


def test_colour_is_written_as_given(plate_text: str) -> None:
    """COLOUR_RGB carries the stock's own sRGB numbers, the ones a viewer shows, not their linear light."""
    ((red, green, blue),) = re.findall(r"COLOUR_RGB\('[^']*',([^,]*),([^,]*),([^)]*)\)", plate_text)
    assert (float(red), float(green), float(blue)) == pytest.approx(COLOUR, abs=0.005)


def test_one_solid(plate_text: str) -> None:
    """One closed solid body, and no loose faces beside it."""
    assert plate_text.count("MANIFOLD_SOLID_BREP(") == 1
    assert plate_text.count("CLOSED_SHELL(") == 1
    assert "SHELL_BASED_SURFACE_MODEL" not in plate_text


def test_same_bytes_again_and_again() -> None:
    """The first and the third export of a process are one file, whatever was exported in between."""
    jig = assembly(small_jig())
    first = part_step(busy_plate(), COLOUR), assembly_step(jig)
    second = part_step(board("other", 10.0, 20.0, 3.1)), assembly_step(assembly(small_jig()))
    third = part_step(busy_plate(), COLOUR), assembly_step(jig)
    assert first == third
    assert first != second


def test_foreign_settings_do_not_leak_in() -> None:
    """Unit, schema and names are process-wide in the kernel: what another user of it left behind changes nothing."""
    before = part_step(busy_plate(), COLOUR)
    left_behind = {"write.step.unit": "INCH", "xstep.cascade.unit": "M", "write.step.schema": "AP203"}
    kept = {key: Interface_Static.CVal_s(key) for key in left_behind}
    try:
        for key, value in left_behind.items():
            assert Interface_Static.SetCVal_s(key, value)
        assert part_step(busy_plate(), COLOUR) == before
        for key, value in left_behind.items():
            assert Interface_Static.SetCVal_s(key, value)
        assert read_step_bytes(before, "x").only.volume == pytest.approx(busy_plate().volume, rel=1e-9)
    finally:
        for key, value in kept.items():
            Interface_Static.SetCVal_s(key, value)


def test_same_bytes_in_another_process(tmp_path: Path) -> None:
    """Neither hash seeds nor addresses nor the working folder reach the file."""
    script = (
        "import sys\nfrom solid_samples import busy_plate, small_jig\nfrom generator.formats.step.write import *\n"
        "from generator.solid import assembly\n"
        "sys.stdout.buffer.write(part_step(busy_plate()) + assembly_step(assembly(small_jig())))"
    )
    here = Path(__file__).parent
    paths = os.pathsep.join([str(here), str(here.parent)])
    run = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        check=True,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": paths, "PYTHONHASHSEED": "77", "TZ": "Asia/Tokyo"},
    )
    assert run.stdout == part_step(busy_plate()) + assembly_step(assembly(small_jig()))


def test_assembly_keeps_names_and_places() -> None:
    """Every piece stands in the file under its own label, each kind of piece once as a product, in its right place."""
    model = assembly(small_jig(), colours={"alu": (0.78, 0.79, 0.81)})
    data = assembly_step(model)
    text = text_of(data)
    labels = re.findall(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('(\d+)','([^']*)'", text)
    assert labels == [
        ("1", "template_plate"), ("2", "board"), ("3", "rest_left"), ("4", "rest_right"),
        ("5", "pin_1"), ("6", "pin_2"), ("7", "screw_1"),
    ]  # fmt: skip
    products = re.findall(r"PRODUCT\('([^']*)'", text)
    assert sorted(products) == ["board", "jig", "pin", "rest", "screw", "template_plate"]
    found = read_step_bytes(data, "jig.step")
    assert [solid.label for solid in found.solids] == [label for _, label in labels]
    assert found.solid("template_plate").colour == pytest.approx((0.78, 0.79, 0.81), abs=0.001)
    # The screw at x −20, y 12 goes in downwards from z 40 to 25; its head is 10 across.
    box = found.solid("screw_1").bounds
    assert box.low == pytest.approx((-25.0, 7.0, 25.0), abs=1e-5)
    assert box.high == pytest.approx((-15.0, 17.0, 40.0), abs=1e-5)


def test_reader_measures_a_part(tmp_path: Path) -> None:
    """Volume, box, round walls and a slice come back from the file as plain numbers."""
    part = busy_plate()
    path = tmp_path / part_step_name(part)
    path.write_bytes(part_step(part, COLOUR))
    found = read_step(path)
    assert found.name == "busy_plate.step"
    assert (found.only.product, found.only.valid) == ("busy_plate", True)
    assert found.only.colour == pytest.approx(COLOUR, abs=0.001)
    assert found.only.volume == pytest.approx(part.volume, rel=1e-9)
    assert found.only.bounds.size == pytest.approx((413.0, 190.8, 18.3), abs=1e-6)
    (edge_hole,) = [wall for wall in cylinders(found.only.shape) if wall.radius == pytest.approx(3.4)]
    assert abs(edge_hole.direction.x) == pytest.approx(1.0)
    assert (edge_hole.origin.y, edge_hole.origin.z) == pytest.approx((3.7, 9.1))
    (region,) = found.only.section_at(1.0)
    radii = sorted(round(hole.radius, 6) for hole in region.holes if isinstance(hole, Circle))
    assert radii == [2.1, 3.2, 3.3, 4.6]


def test_reader_gives_millimetres_of_a_file_in_inches(tmp_path: Path) -> None:
    """A block of 25.4 mm written by another program in inches reads as 25.4, not as 1."""
    path = tmp_path / "inch.step"
    cq.exporters.export(cq.Workplane().box(25.4, 50.8, 12.7), str(path), unit="MM", outputUnit="INCH")
    assert "CONVERSION_BASED_UNIT('INCH'" in text_of(path.read_bytes())
    assert read_step(path).only.bounds.size == pytest.approx((25.4, 50.8, 12.7), abs=1e-6)


def test_reader_refuses_what_is_no_step_file(tmp_path: Path) -> None:
    """A missing file, rubbish and a file without a solid are refused with the file's name."""
    with pytest.raises(OutputError, match=r"none\.step"):
        read_step(tmp_path / "none.step")
    with pytest.raises(OutputError, match=r"rubbish\.step"):
        read_step_bytes(b"solid rubbish", "rubbish.step")
    empty = part_step(busy_plate()).replace(b"SHAPE_DEFINITION_REPRESENTATION", b"SHAPE_DEFINITION_REPRESENTATIOM")
    with pytest.raises(OutputError, match=r"empty\.step"):
        read_step_bytes(empty, "empty.step").only.volume  # noqa: B018


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (replace(busy_plate(), holes=busy_plate().holes[1:]), "mm³"),
        (replace(busy_plate(), outline=busy_plate().outline.moved(0.01, 0.0)), "box"),
        (replace(busy_plate(), thickness=18.0, edge_holes=()), "mm³"),
    ],
)
def test_a_file_that_reads_back_otherwise_is_refused(wrong: object, message: str) -> None:
    """The gate is on the re-read file: another volume or place than the part's is never handed on."""
    with pytest.raises(OutputError, match=f"busy_plate.step, read back: .*{message}"):
        part_step(busy_plate(), COLOUR, part_solid(wrong))  # type: ignore[arg-type]


def test_an_assembly_with_a_foreign_solid_is_refused() -> None:
    """The gate compares every piece with the part it stands for."""
    model = assembly(small_jig())
    upright = model.piece("board")
    wrong = replace(upright, shape=part_solid(board("board", 200.0, 160.0, 17.3)))
    with pytest.raises(OutputError, match=r"jig\.step, read back: board"):
        assembly_step(replace(model, pieces=tuple(wrong if piece is upright else piece for piece in model.pieces)))


def test_another_kernel_reads_the_part(tmp_path: Path) -> None:
    """FreeCAD finds one valid solid of the stated volume and box."""
    path = tmp_path / "busy_plate.step"
    path.write_bytes(part_step(busy_plate(), COLOUR))
    (found,) = read_by_freecad(path)
    assert found.valid
    assert found.volumes == pytest.approx([busy_plate().volume], rel=1e-9)
    assert found.box == pytest.approx([-201.7, -93.1, 0.0, 211.3, 97.7, 18.3], abs=1e-5)


def test_another_kernel_reads_the_assembly(tmp_path: Path) -> None:
    """FreeCAD finds every piece, valid, of its own volume."""
    model = assembly(small_jig())
    path = tmp_path / "jig.step"
    path.write_bytes(assembly_step(model))
    (found,) = read_by_freecad(path)
    assert found.valid
    assert found.volumes == pytest.approx([volume(piece.shape) for piece in model.pieces], rel=1e-9)


def test_floor_of_a_counterbore_is_where_the_model_says() -> None:
    """In the re-read file the bore widens at the counterbore's floor, 4.35 below the front face."""
    bored = Hole("bored", P2(30.0, 25.0), 6.4, counterbore_diameter=11.0, counterbore_depth=4.35)
    solid = read_step_bytes(part_step(board("b", 60.0, 50.0, 18.3, holes=(bored,))), "b.step").only
    for depth, radius in ((4.34, 5.5), (4.36, 3.2)):
        (hole,) = solid.section_at(18.3 - depth)[0].holes
        assert isinstance(hole, Circle)
        assert hole.radius == pytest.approx(radius)
