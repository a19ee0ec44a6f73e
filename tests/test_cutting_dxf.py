"""Cutting DXF as written, judged by a text reader of our own, by ezdxf and by shapely."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path as FilePath

import ezdxf
import plaindxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon
from shapely.ops import unary_union
from slots import straight_slot

from generator import __version__
from generator.base.annotation import EngravedText
from generator.base.contours2d import Path, Vertex
from generator.base.errors import GeometryError, OutputError
from generator.base.points2d import P2
from generator.base.shapes2d import polyline, rectangle, rounded_polygon
from generator.cutting.cut_layers import cut_faults
from generator.cutting.cut_lines import cut_lines
from generator.formats.dxf.write import part_dxf, part_file_name
from generator.jig.part import EdgeHole, Face, Hole, Opening, Part

#: Asymmetric in every direction, so that a mirrored or turned file cannot pass.
PLATE = Part(
    name="plate",
    title="Plate",
    stock="birch-ply-12",
    thickness=12.0,
    outline=rounded_polygon(
        [P2(-100, -57.15), P2(100, -57.15), P2(100, 40), P2(-60, 57.15), P2(-100, 57.15)], [6, 9, 0, 0, 12]
    ),
    openings=(
        Opening("mortise", rectangle(20, -11.1125, 80.3, 11.1125, 7.9375)),
        Opening("slot", straight_slot(P2(-80, -40), P2(-30, -20), 6.35)),
    ),
    holes=(
        Hole("screw", P2(-60, 35), 5.5, countersink_diameter=11.0),
        Hole("tapped", P2(0, -45), 4.2, thread="M5"),
        Hole("stud", P2(90, 20), 6.8, depth=10.0, thread="M8", thread_depth=8.0),
        Hole("cap", P2(-50, 10), 5.5, counterbore_diameter=10.0, counterbore_depth=5.7),
        Hole("nut", P2(60, -40), 5.5, counterbore_diameter=16.0, counterbore_depth=5.5, face=Face.BACK),
        Hole("dowel", P2(20, 30), 6.0, depth=8.0, face=Face.BACK),
    ),
    edge_holes=(EdgeHole("edge", P2(100, 0), 6.0, P2(-1, 0), 4.2, 20.0, thread="M5"),),
    engraved_lines=(polyline([P2(-20, 0), P2(15, 0)]),),
    engraved_texts=(EngravedText('MORTISE → ⌀15.875 "½" & <>', P2(-10, 45), 3.5),),
    quantity=2,
)


@pytest.fixture(scope="module")
def written() -> bytes:
    return part_dxf(PLATE, "orchestra-14")


@pytest.fixture(scope="module")
def plain(written: bytes) -> plaindxf.PlainDxf:
    return plaindxf.read(written)


def library(data: bytes, folder: FilePath) -> ezdxf.document.Drawing:
    path = folder / "part.dxf"
    path.write_bytes(data)
    return ezdxf.readfile(path)


def test_two_parsers_agree_that_it_is_millimetres(written: bytes, plain: plaindxf.PlainDxf, tmp_path: FilePath) -> None:
    """$INSUNITS 4 is millimetres, $MEASUREMENT 1 is metric (DXF reference); the library's own default is metres."""
    document = library(written, tmp_path)
    assert (plain.header["$INSUNITS"], plain.header["$MEASUREMENT"]) == ("4", "1")
    assert (document.header["$INSUNITS"], document.header["$MEASUREMENT"]) == (4, 1)
    assert plain.header["$ACADVER"] == "AC1024"


def test_only_entities_every_laser_reads(plain: plaindxf.PlainDxf) -> None:
    """Lines, circles and polylines with bulges; no spline, ellipse, text, insert, point or dimension."""
    assert {entity.kind for entity in plain.entities} == {"LINE", "CIRCLE", "LWPOLYLINE"}


def test_layers_are_the_contract_and_nothing_is_on_layer_0(plain: plaindxf.PlainDxf) -> None:
    """Through cuts, what is sunk by its depth (those from the back say so) and engraving, each on its own layer."""
    assert {entity.layer for entity in plain.entities} == {
        "cut-outside",
        "cut-inside",
        "pocket-5.5-back",
        "pocket-10",
        "pocket-5.7",
        "pocket-8-back",
        "engrave",
    }


def test_colours_are_explicit_and_visible(plain: plaindxf.PlainDxf) -> None:
    """Index 7 is white on white in half the viewers, 0 and 256 depend on something else."""
    assert {entity.layer: entity.colour for entity in plain.entities} == {
        "cut-outside": 1,
        "cut-inside": 5,
        "pocket-5.5-back": 3,
        "pocket-10": 3,
        "pocket-5.7": 3,
        "pocket-8-back": 3,
        "engrave": 6,
    }


def test_every_contour_is_closed_once(plain: plaindxf.PlainDxf) -> None:
    """Group 70 bit 1 closes a polyline (DXF reference); the first vertex is not repeated at the end."""
    cuts = [entity for entity in plain.entities if entity.layer != "engrave"]
    assert all(entity.closed for entity in cuts)
    for entity in cuts:
        if entity.kind == "LWPOLYLINE":
            assert entity.vertices()[0][:2] != entity.vertices()[-1][:2]


def test_extrusion_is_up(written: bytes, tmp_path: FilePath) -> None:
    """A negative extrusion mirrors the part in the reader; all are +1."""
    assert {tuple(entity.dxf.extrusion) for entity in library(written, tmp_path).modelspace()} == {(0.0, 0.0, 1.0)}


def test_area_by_shapely_equals_the_profile(plain: plaindxf.PlainDxf) -> None:
    """Outline less openings and bores, arcs broken up by the test, agrees with the model within 0.01 mm²."""
    assert plain.area() == pytest.approx(PLATE.profile_area, abs=0.01)


def test_area_by_the_library_equals_the_profile(written: bytes, tmp_path: FilePath) -> None:
    """The same by ezdxf's own curves: a second reader sees the same sign and order of the bulges."""
    area = 0.0
    for entity in library(written, tmp_path).modelspace():
        if entity.dxf.layer in ("cut-outside", "cut-inside"):
            path = ezdxf.path.make_path(entity)
            polygon = Polygon([(p.x, p.y) for p in path.flattening(1e-4)])
            area += polygon.area if entity.dxf.layer == "cut-outside" else -polygon.area
    assert area == pytest.approx(PLATE.profile_area, abs=0.05)


def test_written_less_model_leaves_nothing(plain: plaindxf.PlainDxf) -> None:
    """The exclusive or of file and model is empty: nothing moved, mirrored or lost."""
    outside = unary_union([entity.polygon(2000) for entity in plain.on("cut-outside")])
    inside = unary_union([entity.polygon(2000) for entity in plain.on("cut-inside")])
    solid = Polygon([(p.x, p.y) for p in PLATE.outline.flatten(1e-5)])
    for contour in PLATE.through_contours():
        solid = solid.difference(Polygon([(p.x, p.y) for p in contour.flatten(1e-5)]))
    assert outside.difference(inside).symmetric_difference(solid).area < 0.01


def test_radii_equal_the_models(plain: plaindxf.PlainDxf) -> None:
    """Arcs come through as arcs of the very radius."""
    mortise, slot = plain.on("cut-inside")[:2]
    assert mortise.radii() == pytest.approx([7.9375] * 4, abs=1e-6)
    assert slot.radii() == pytest.approx([3.175] * 2, abs=1e-6)
    assert plain.on("cut-outside")[0].radii() == pytest.approx([6, 9, 12], abs=1e-6)
    bores = [r for entity in plain.on("cut-inside")[2:] for r in entity.radii()]
    assert bores == pytest.approx([2.75, 2.1, 2.75, 2.75])


def test_same_part_same_bytes(written: bytes) -> None:
    """No clock, no random identifier, no counter that goes on from the file before."""
    assert part_dxf(replace(PLATE, name="other"), "x") != written
    assert part_dxf(PLATE, "orchestra-14") == written


def test_the_file_says_what_made_it(plain: plaindxf.PlainDxf, written: bytes) -> None:
    """Program, job, part, stock and what is not shown stand in the properties; no path of the machine does."""
    assert plain.custom == {
        "Program": f"Heelwright {__version__}",
        "Job": "orchestra-14",
        "Part": "plate",
        "Stock": "birch-ply-12",
        "Thickness": "12 mm",
        "Quantity": "2",
        "Not shown 1": "1 hole into the edge: see the shop drawing",
        "Units": "mm",
        "Outlines": "nominal, no allowance for the width of the cut",
        "Kerf": "0 mm",
    }
    assert b"/tmp" not in written
    assert b"/home" not in written


def test_blind_holes_have_a_cross_that_drilling_removes(plain: plaindxf.PlainDxf) -> None:
    """Two strokes cross in the middle of the front's blind hole and stay inside it; the back's has none."""
    near = [
        e
        for e in plain.on("engrave")
        if e.kind == "LINE" and abs(e.numbers(10)[0] - 90) < 3.4 and abs(e.numbers(20)[0] - 20) < 3.4
    ]
    assert len(near) == 2
    assert all(math.dist((e.numbers(11)[0], e.numbers(21)[0]), (90, 20)) < 3.4 for e in near)


def test_a_countersink_is_a_ring(plain: plaindxf.PlainDxf) -> None:
    """The cone's widest circle is engraved round its bore."""
    rings = [e for e in plain.on("engrave") if e.kind == "CIRCLE" and e.radii() == [5.5]]
    assert [(e.numbers(10)[0], e.numbers(20)[0]) for e in rings] == [(-60, 35)]


@pytest.mark.parametrize("kerf", [0.15, 0.2, 0.4])
def test_kerf_is_the_whole_cut_and_half_of_it_each_side(kerf: float) -> None:
    """Drawn less nominal is + kerf on outside sizes, − kerf on openings and bores; name and properties say so."""
    plain = plaindxf.read(part_dxf(PLATE, "job", kerf))
    x0, y0, x1, y1 = plain.on("cut-outside")[0].polygon().bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((200 + kerf, 114.3 + kerf), abs=1e-6)
    x0, y0, x1, y1 = plain.on("cut-inside")[0].polygon().bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((60.3 - kerf, 22.225 - kerf), abs=1e-6)
    bores = [r for entity in plain.on("cut-inside")[2:] for r in entity.radii()]
    assert bores == pytest.approx([r - kerf / 2 for r in (2.75, 2.1, 2.75, 2.75)], abs=1e-9)
    assert plain.on("pocket-5.7")[0].radii() == [5.0]
    assert plain.custom["Kerf"] == f"{kerf:g} mm"
    assert "compensated" in plain.custom["Outlines"]
    assert part_file_name(PLATE, kerf) == f"plate.kerf-{kerf:.2f}.dxf"
    assert part_file_name(PLATE) == "plate.dxf"


def test_a_kerf_wider_than_an_opening_is_refused() -> None:
    """The part and the feature that a wide cut would swallow are named."""
    with pytest.raises(GeometryError, match=r"plate.*slot"):
        part_dxf(PLATE, "job", 6.4)
    with pytest.raises(GeometryError, match="kerf of -1"):
        part_dxf(PLATE, "job", -1.0)


ALONG = rectangle(20, -11.1125, 80.3, 11.1125)
BAD_PARTS = {
    "doubled line": replace(PLATE, openings=(*PLATE.openings, PLATE.openings[0])),
    "overlapping line": replace(PLATE, engraved_lines=(polyline([P2(-50, -57.15), P2(50, -57.15)]),)),
    "crossing cuts": replace(PLATE, holes=(Hole("x", P2(80, 0), 5.0),)),
    "off the part": replace(PLATE, engraved_lines=(polyline([P2(90, 0), P2(110, 0)]),)),
    "too short": replace(PLATE, engraved_lines=(polyline([P2(0, 0), P2(0.005, 0)]),)),
    "vertex degree": replace(
        PLATE, openings=(Opening("a", rectangle(0, -20, 10, -10)), Opening("b", rectangle(10, -10, 20, 0)))
    ),
    "open contour": replace(PLATE, openings=(Opening("a", Path((Vertex(0, 0), Vertex(10, 0), Vertex(10, 5)), False)),)),
}


@pytest.mark.parametrize("fault", BAD_PARTS)
def test_what_a_machine_cannot_cut_is_not_written(fault: str) -> None:
    """The writer refuses, naming part and fault, what would stall a laser or burn a line twice."""
    with pytest.raises(OutputError, match=f"plate: {fault}"):
        part_dxf(BAD_PARTS[fault], "job")


@pytest.mark.parametrize(("start", "end", "lost"), [(-20, 24, "23.900"), (22, 24, "22.100"), (-1, 81, "40.000")])
def test_engraving_over_an_opening_is_refused(start: float, end: float, lost: str) -> None:
    """A machine would cut it, but what stands there is lost: part and place are named."""
    part = replace(PLATE, engraved_lines=(polyline([P2(start, 0), P2(end, 0)]),))
    assert cut_faults(cut_lines(part)) == ()
    with pytest.raises(OutputError) as refused:
        part_dxf(part, "job")
    assert str(refused.value) == (
        f"cutting file plate: off the part on engrave at ({lost}, 0.000): engraved over an opening"
    )


@settings(deadline=None, max_examples=30)
@given(
    width=st.floats(30, 400),
    height=st.floats(20, 300),
    corner=st.one_of(st.just(0.0), st.floats(0.1, 8)),
    hole=st.floats(1, 12),
    where=st.tuples(st.floats(0, 1), st.floats(0, 1)),
)
def test_any_plate_comes_back_with_its_area(
    width: float, height: float, corner: float, hole: float, where: tuple[float, float]
) -> None:
    """Whatever the sizes, the file holds the profile's area, read by the plain reader."""
    x = hole / 2 + 1 + where[0] * (width - hole - 2)
    y = hole / 2 + 1 + where[1] * (height - hole - 2)
    if min(x, y, width - x, height - y) < hole / 2 + corner:
        x, y = width / 2, height / 2
    part = Part("p", "P", "ply", 6.0, rectangle(0, 0, width, height, corner), holes=(Hole("h", P2(x, y), hole),))
    assert plaindxf.read(part_dxf(part, "job")).area() == pytest.approx(part.profile_area, abs=0.01)
