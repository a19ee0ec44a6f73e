"""Shop drawings: every number true, nothing over anything else, views where the projection puts them.

Judges: pdfium's text boxes, ezdxf's reading of the native dimensions, the CAD kernel's section of the solid.
"""

from __future__ import annotations

import io
import math
import re
from functools import cache

import ezdxf
import pytest
from jobs_by_hand import changed, load
from made_once import made, shop_sheets
from pdf_ink import read

from generator.base.contours2d import Circle
from generator.base.points2d import P2
from generator.documents.shop.formats import SheetNumber
from generator.documents.shop.part_drawing import part_drawing
from generator.drawing.page import sheet_page
from generator.drawing.sheet import Label, Sheet, Stroke
from generator.drawing.style import Role
from generator.formats.dxf.write import part_dxf
from generator.formats.dxf.write_drawing import drawing_dxf
from generator.formats.pdf.write import pdf_bytes
from generator.formats.svg.write import svg_text
from generator.jig.build import build_jig
from generator.jig.part import Part
from generator.joint.solution import solve

JOBS = ("orchestra-14", "dreadnought-tilted")
PARTS = ("template_plate", "board", "bracket_left", "upper_rest", "depth_block", "plug")


@cache
def drawn(job: str, name: str) -> Sheet:
    solution, jig = made(job)
    return part_drawing(jig.part(name), solution.job, SheetNumber(1, 1))


def part_of(job: str, name: str) -> Part:
    return made(job)[1].part(name)


@pytest.mark.parametrize("name", PARTS)
@pytest.mark.parametrize("job", JOBS)
def test_no_text_over_text(job: str, name: str) -> None:
    """In the written PDF no text's rectangle meets another text's."""
    (page,) = read(pdf_bytes([sheet_page(drawn(job, name))], "t", job))
    assert len(page.texts) > 20
    for i, one in enumerate(page.texts):
        for other in page.texts[i + 1 :]:
            assert one.quad.intersection(other.quad).area < 0.05, (one.text, other.text)


@pytest.mark.parametrize("name", PARTS)
@pytest.mark.parametrize("job", JOBS)
def test_native_dimensions_say_their_own_distance(job: str, name: str) -> None:
    """Each DIMENSION's text is the distance of its definition points within 0.005 mm, and the style's factor is 1."""
    document = ezdxf.read(io.StringIO(drawing_dxf(drawn(job, name)).decode("cp1252")))
    dimensions = document.modelspace().query("DIMENSION")
    assert len(dimensions) >= 2
    for dimension in dimensions:
        assert document.dimstyles.get(dimension.dxf.dimstyle).dxf.dimlfac == 1.0
        kind = dimension.dimtype
        if kind in (0, 1):
            a, b = dimension.dxf.defpoint2, dimension.dxf.defpoint3
            turn = math.radians(dimension.dxf.angle)
            found = abs((b.x - a.x) * math.cos(turn) + (b.y - a.y) * math.sin(turn))
        elif kind == 4 or kind == 3:
            found = dimension.dxf.defpoint.distance(dimension.dxf.defpoint4)
        else:
            continue
        printed = re.search(r"(?:Ø|R)?(\d+(?:\.\d+)?)(?: |$)", re.sub(r"^\d+x ", "", dimension.dxf.text))
        assert printed, dimension.dxf.text
        assert float(printed[1]) == pytest.approx(found, abs=0.005), dimension.dxf.text


def test_a_drawing_has_what_a_cutting_file_must_not() -> None:
    """The drawing's DXF has native dimensions and text on named layers; the same part's cutting DXF has neither."""
    drawing = ezdxf.read(io.StringIO(drawing_dxf(drawn("orchestra-14", "board")).decode("cp1252"))).modelspace()
    cutting = ezdxf.read(io.StringIO(part_dxf(part_of("orchestra-14", "board"), "orchestra-14").decode())).modelspace()
    assert len(drawing.query("DIMENSION"))
    assert len(drawing.query("TEXT"))
    assert not any(entity.dxf.layer == "0" for entity in drawing)
    assert {entity.dxftype() for entity in cutting} <= {"LINE", "ARC", "CIRCLE", "LWPOLYLINE"}


def test_same_part_same_bytes() -> None:
    """Drawing a part twice gives the same DXF and PDF, byte for byte."""
    solution, jig = made("orchestra-14")
    twice = [part_drawing(jig.part("bracket_left"), solution.job, SheetNumber(1, 1)) for _ in range(2)]
    assert drawing_dxf(twice[0]) == drawing_dxf(twice[1])
    assert pdf_bytes([sheet_page(twice[0])], "t", "j") == pdf_bytes([sheet_page(twice[1])], "t", "j")


@pytest.mark.parametrize(("job", "below"), [("orchestra-14", True), ("dreadnought-tilted", False)])
def test_projection_puts_the_second_view(job: str, below: bool) -> None:
    """ISO 5456-2: first angle puts what is seen from above below the front view, third angle above it.

    The upper edge is where the thickness is dimensioned; the front view is where the board's height is.
    """
    marks = {mark.name: mark for mark in drawn(job, "board").dimensions}
    assert (marks["thickness"].points[0].y < marks["board_height"].points[0].y) is below


def test_plate_drawing_is_the_section_of_its_solid() -> None:
    """The plate's drawn outline and openings enclose the area of the solid's mid-height section, within 0.01 mm²."""
    from generator.base.geometry3d import P3, Placement
    from generator.solid import part_solid, section

    plate = part_of("orchestra-14", "template_plate")
    cut = section(part_solid(plate), Placement(P3(0.0, 0.0, plate.thickness / 2.0)))
    sheet = drawn("orchestra-14", "template_plate")
    closed = [
        item.path
        for item in sheet.items
        if isinstance(item, Stroke)
        and item.role is Role.VISIBLE
        and (isinstance(item.path, Circle) or item.path.closed)
        and item.path.box().height > 1.0
    ]
    front = max(closed, key=lambda path: path.area)
    inner = [path for path in closed if path is not front and front.box().contains(P2(*path.box().center))]
    drawn_area = (front.area - sum(path.area for path in inner)) / sheet.scale**2
    assert drawn_area == pytest.approx(sum(region.area for region in cut), abs=0.01)


def test_the_set_holds_what_the_shop_makes() -> None:
    """A machined jig: assembly, plate, board, brackets, rests, plug and blocks, 5 to 7 sheets of one size, numbered."""
    solution, jig = made("orchestra-left")
    sheets = shop_sheets(solution, jig)
    names = [sheet.name for sheet in sheets]
    assert names == ["jig", "template_plate", "board", "brackets", "rests", "plug_and_blocks"]
    assert 5 <= len(sheets) <= 7
    assert len({(sheet.width, sheet.height) for sheet in sheets}) == 1
    for number, sheet in enumerate(sheets, 1):
        assert f"{number} of {len(sheets)}" in [label.text for label in sheet.labels()]
    rests = " ".join(label.text for label in sheets[4].labels())
    assert all(title in rests for title in ("Upper rest", "Angle rest", "Body rest", "Zero rest", "Shims behind"))


def test_a_wooden_jig_has_the_assembly_alone() -> None:
    """What hands and a laser make has no shop drawing; every standing part carries its balloon."""
    solution, jig = made("ukulele-tenor")
    (sheet,) = shop_sheets(solution, jig)
    balloons = {label.text for label in sheet.labels() if label.text.isdigit() and label.height == 3.5}
    standing = {str(n) for n, part in enumerate(jig.parts, 1) if any(place.part == part for place in jig.placed)}
    assert balloons == standing


@pytest.mark.parametrize("name", ["orchestra-14", "folk-butt", "ukulele-tenor"])
def test_a_lone_assembly_refers_to_no_other_paper(name: str) -> None:
    """It says finish and edges itself, and lists the sizes that must be accurate with their tolerances of 0.05 mm.

    By hand: opening 20 + 2·2.5, tongue 19.85 − 2·2.5 for a mortise of 20, a bushing of 17 and a bit of 12.
    """
    solution, jig = made(name)
    (sheet,) = shop_sheets(solution, jig)
    texts = [label.text for label in sheet.labels()]
    words = " ".join(texts)
    for refers in ("see the booklet", "see each part"):
        assert refers not in words
    assert {"planed, clean", "free of burrs"} <= set(texts)
    rest = next(part for part in jig.parts if part.name == "angle_rest").size[1]
    assert "flat within 0.05" in words
    assert ("tongue" in words) is solution.joint.stands
    if name == "orchestra-14":
        assert "opening width 25 ±0.05" in words
        assert "tongue width 14.85 ±0.05" in words
        assert f"width {rest - 6.0:.2f} ±0.05" in words
    if not solution.joint.stands:
        assert "opening width" not in words


def test_sheets_of_parts_ask_for_themselves() -> None:
    """Where the set has them the assembly lists no sizes, and refers to them."""
    first, *_ = shop_sheets(*made("orchestra-left"))
    words = " ".join(label.text for label in first.labels())
    assert "must be accurate" not in words
    assert "see each part" in words


def test_frames_ask_for_what_the_function_asks() -> None:
    """Datums A, B, C; plate's top flat within 0.05; the board square to it within 0.05 over 150; a wooden jig has none.

    ISO 1101 writes a frame as characteristic, tolerance, datums. R13 of the jig's requirements gives the figures.
    """
    solution, jig = made("orchestra-left")
    sheets = {sheet.name: [label.text for label in sheet.labels()] for sheet in shop_sheets(solution, jig)}
    inch = {0.05: "0.002", 0.1: "0.004", 0.2: "0.008", 150.0: "5.9055"}
    assert "A" in sheets["template_plate"]
    assert "C" in sheets["template_plate"]
    assert "B" in sheets["board"]
    # Flat top; walls and cheeks square to it and along the middle; opening and tongue in their places.
    assert sheets["template_plate"].count(inch[0.05]) == 3
    assert sheets["template_plate"].count(inch[0.2]) == 2
    assert f"{inch[0.05]}/{inch[150.0]}" in sheets["jig"]
    wooden, plain = made("orchestra-14")
    assert "A" not in [label.text for sheet in shop_sheets(wooden, plain) for label in sheet.labels()]


def test_ink_of_a_drawing_reads_on_white_and_on_black() -> None:
    """Every layer's ink has three times the contrast of either ground, WCAG 2.1's bound for graphics (1.4.11).

    Colour 7 is the one that programs turn against their ground (DXF reference), so it has the most there is.
    """
    document = ezdxf.read(io.StringIO(drawing_dxf(drawn("orchestra-14", "board")).decode("cp1252")))
    seen = 0
    for layer in document.layers:
        if layer.dxf.name not in ("0", "Defpoints") and layer.dxf.color != 7:
            light = luminance(*ezdxf.colors.aci2rgb(layer.dxf.color))
            assert 1.05 / (light + 0.05) >= 3.0, layer.dxf.name
            assert (light + 0.05) / 0.05 >= 3.0, layer.dxf.name
            seen += 1
    assert seen >= 2
    assert luminance(255, 255, 0) > 0.9  # yellow, which the bound refuses


def luminance(*rgb: int) -> float:
    """Relative luminance of an sRGB colour, 0 to 1 (WCAG 2.1)."""
    parts = (c / 255.0 for c in rgb)
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_signs_and_arrows_survive_plain_readers() -> None:
    """± stands as a reader sees it that takes every file for Latin-1, as common drawing programs do by default.

    Arrowheads are solid hatches, in the dimensions' own pictures too: SOLID comes out hollow there. Dashes are said on
    the line itself, and each text starts where its insertion point says, for readers that know neither layers' line
    types nor alignment. (Found by opening the files in two such programs.)
    """
    sheet = drawn("orchestra-left", "template_plate")
    data = drawing_dxf(sheet)
    assert "±" in data.decode("latin-1")
    assert "\\U+00B1" not in data.decode("latin-1")
    document = ezdxf.read(io.StringIO(data.decode("cp1252")))
    space = document.modelspace()
    blocks = [block for block in document.blocks if block.name.startswith("*D")]
    everything = [*space, *(entity for block in blocks for entity in block)]
    assert not [entity for entity in everything if entity.dxftype() == "SOLID"]
    heads = [e for block in blocks for e in block if e.dxftype() == "HATCH" and e.dxf.solid_fill]
    assert len(heads) >= 2 * len(blocks) - 6
    dashed = [e for e in space if e.dxf.layer in ("centre", "hidden") and e.dxftype() == "LINE"]
    assert dashed
    assert all(entity.dxf.get("linetype", "BYLAYER") in ("CHAIN", "DASHED") for entity in dashed)
    starts = {(round(t.dxf.insert.x, 3), round(t.dxf.insert.y, 3)) for t in space.query("TEXT")}
    for label in (item for item in sheet.items if isinstance(item, Label)):
        base = label.base.times(1.0 / sheet.scale)
        assert (round(base.x, 3), round(base.y, 3)) in starts, label.text
    assert document.header["$DIMTXT"] == document.dimstyles.get("HEELWRIGHT").dxf.dimtxt


def test_arrowheads_of_an_svg_are_plain_filled_paths() -> None:
    """No marker, no copy by reference, no clip: a group that is copied elsewhere keeps its arrowheads."""
    text = svg_text(drawn("orchestra-left", "template_plate"))
    for word in ("<marker", "marker-", "<use", "<symbol", "clip-path"):
        assert word not in text
    heads = re.findall(r'<path [^>]*d="M [^A"]+Z"[^>]*fill="#000000"[^>]*/>', text)
    assert len(heads) >= 20
    assert all('stroke="none"' in head or "stroke=" not in head for head in heads)


def test_every_sheet_carries_the_jobs_date_and_revision() -> None:
    """Both stand in each title block; a job that leaves them out leaves a line to write on, and reads no clock."""
    dated = solve(
        load(changed(job={"name": "dated", "date": "2026-03-01", "revision": "B"}, jig={"preset": "machined"}))
    )
    for sheet in shop_sheets(dated, build_jig(dated)):
        texts = [label.text for label in sheet.labels()]
        assert texts.count("2026-03-01") == 1
        assert texts.count("B") >= 1
    plain = [label.text for label in drawn("orchestra-left", "template_plate").labels()]
    assert "Date of issue" in plain
    assert "Revision" in plain
    assert not any(re.fullmatch(r"\d{4}-\d\d-\d\d", text) for text in plain)


def test_no_size_is_said_twice() -> None:
    """On a part's sheet no dimension ends at a hole's middle: the hole table has its place."""
    for name in ("template_plate", "board", "plug"):
        part = part_of("orchestra-left", name)
        shown = {mark.name for mark in drawn("orchestra-left", name).dimensions}
        at_holes = {
            one.name
            for one in part.dimensions
            if one.kind.value in ("horizontal", "vertical")
            and any(point.distance(hole.at) < 1e-6 for point in one.points for hole in part.holes)
        }
        assert not shown & at_holes
