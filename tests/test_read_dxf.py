"""Reading cutting DXFs back: what was written comes back, and every kind of damage is called by its name."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path as FilePath

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace
from proof_kits import clean
from shapely import Polygon

from generator.base.annotation import EngravedText
from generator.base.contours2d import Circle, Path
from generator.base.errors import OutputError
from generator.base.points2d import P2
from generator.base.shapes2d import rectangle
from generator.cutting.cut_layers import CUT_INSIDE, CUT_OUTSIDE, FaultKind
from generator.formats.dxf.read import CuttingFile, read_dxf
from generator.formats.dxf.write import part_dxf
from generator.jig.part import Hole, Opening, Part

PART = Part(
    name="bed",
    title="Bed",
    stock="birch-ply-12",
    thickness=12.0,
    outline=rectangle(-60, -40, 60, 40, 6),
    openings=(Opening("window", rectangle(-30, -15, 25, 15, 7.9375)),),
    holes=(Hole("pin", P2(45, 20), 6.0),),
    engraved_texts=(EngravedText("BED", P2(0, 28), 5.0),),
)


INSIDE = {"layer": CUT_INSIDE, "color": 5}
OUTSIDE = {"layer": CUT_OUTSIDE, "color": 1}
ENGRAVED = {"layer": "engrave", "color": 6}


def written(folder: FilePath, kerf: float = 0.0) -> FilePath:
    path = folder / "bed.dxf"
    path.write_bytes(part_dxf(PART, "orchestra-14", kerf))
    return path


def same_shape(one: Path | Circle, two: Path | Circle) -> bool:
    a, b = (Polygon([(p.x, p.y) for p in shape.flatten(1e-5)]) for shape in (one, two))
    return bool(a.symmetric_difference(b).area < 1e-3)


def test_what_was_written_comes_back(tmp_path: FilePath) -> None:
    """Contours, layers and properties return as they were, arcs as arcs, without a fault."""
    file = clean(read_dxf(written(tmp_path)))
    assert file.layers == ("engrave", "cut-inside", "cut-outside")
    (outline,) = file.contours(CUT_OUTSIDE)
    window, pin = file.contours(CUT_INSIDE)
    assert same_shape(outline, PART.outline)
    assert same_shape(window, PART.openings[0].contour)
    assert pin == Circle(P2(45, 20), 3.0)
    assert isinstance(window, Path)
    assert [seg.radius for seg in window.segments() if seg.is_arc] == pytest.approx([7.9375] * 4, abs=1e-9)
    assert file.area == pytest.approx(PART.profile_area, abs=1e-6)
    assert file.properties["Part"] == "bed"
    assert file.kerf == 0.0


def test_a_kerf_is_read_and_undone(tmp_path: FilePath) -> None:
    """A compensated file says so, and undone it is the nominal part again."""
    file = clean(read_dxf(written(tmp_path, 0.2)))
    assert file.kerf == 0.2
    assert file.area > PART.profile_area + 10
    nominal = file.nominal()
    assert nominal.area == pytest.approx(PART.profile_area, abs=1e-6)
    assert nominal.kerf == 0.0
    assert nominal.nominal().area == pytest.approx(PART.profile_area, abs=1e-6)


def test_a_file_that_is_no_dxf_is_refused(tmp_path: FilePath) -> None:
    """Rubbish, an empty file and a missing one are errors that name the file."""
    (tmp_path / "rubbish.dxf").write_text("not a drawing\n")
    (tmp_path / "empty.dxf").write_bytes(b"")
    for name in ("rubbish.dxf", "empty.dxf", "missing.dxf"):
        with pytest.raises(OutputError, match=name):
            read_dxf(tmp_path / name)


def polylines(space: Modelspace, layer: str) -> list[ezdxf.entities.LWPolyline]:
    return list(space.query(f'LWPOLYLINE[layer=="{layer}"]'))


def inches(document: Drawing, space: Modelspace) -> None:
    document.header["$INSUNITS"] = 1


def imperial(document: Drawing, space: Modelspace) -> None:
    document.header["$MEASUREMENT"] = 0


def opened(document: Drawing, space: Modelspace) -> None:
    polylines(space, CUT_INSIDE)[0].closed = False


def gap(document: Drawing, space: Modelspace) -> None:
    space.delete_entity(polylines(space, CUT_OUTSIDE)[0])
    corners = [(-60, -40), (60, -40), (60, 40), (-60, 40), (-60, -39.99)]
    for start, end in pairwise(corners):
        space.add_line(start, end, dxfattribs=OUTSIDE)


def doubled(document: Drawing, space: Modelspace) -> None:
    entity = polylines(space, CUT_INSIDE)[0]
    space.add_lwpolyline(entity.get_points("xyb"), format="xyb", close=True, dxfattribs=INSIDE)


def doubled_backwards(document: Drawing, space: Modelspace) -> None:
    points = [(-30, -7.0625), (-30, 7.0625)]
    space.add_line(points[1], points[0], dxfattribs=ENGRAVED)


def doubled_circle(document: Drawing, space: Modelspace) -> None:
    space.add_circle((45, 20), 3.001, dxfattribs=INSIDE)


def overlapping_arc(document: Drawing, space: Modelspace) -> None:
    space.add_arc((45, 20), 3.0, 30, 80, dxfattribs=ENGRAVED)


def spline(document: Drawing, space: Modelspace) -> None:
    space.add_spline([(0, 0), (5, 5), (9, 0)], dxfattribs=ENGRAVED)


def ellipse(document: Drawing, space: Modelspace) -> None:
    space.add_ellipse((40, -20), (5, 0), 0.5, dxfattribs=INSIDE)


def text(document: Drawing, space: Modelspace) -> None:
    space.add_text("BED", dxfattribs=ENGRAVED)


def block(document: Drawing, space: Modelspace) -> None:
    document.blocks.new("hole").add_circle((0, 0), 2)
    space.add_blockref("hole", (40, -20), dxfattribs=INSIDE)


def mirrored(document: Drawing, space: Modelspace) -> None:
    polylines(space, CUT_INSIDE)[0].dxf.extrusion = (0, 0, -1)


def lifted(document: Drawing, space: Modelspace) -> None:
    polylines(space, CUT_INSIDE)[0].dxf.elevation = 3.0


def shared_vertex(document: Drawing, space: Modelspace) -> None:
    for x, y in ((30, -25), (40, -20)):
        points = [(x, y), (x + 10, y), (x + 10, y + 5), (x, y + 5)]
        space.add_lwpolyline(points, close=True, dxfattribs=INSIDE)


def repeated(document: Drawing, space: Modelspace) -> None:
    entity = polylines(space, CUT_INSIDE)[0]
    points = list(entity.get_points("xyb"))
    entity.set_points([*points, (*points[0][:2], 0)], format="xyb")


def dirt(document: Drawing, space: Modelspace) -> None:
    space.add_line((0, 0), (0, 0), dxfattribs=INSIDE)


def short(document: Drawing, space: Modelspace) -> None:
    space.add_line((0, -30), (0.005, -30), dxfattribs=ENGRAVED)


def no_radius(document: Drawing, space: Modelspace) -> None:
    space.add_circle((40, -20), 0.0, dxfattribs=INSIDE)


def not_a_number(document: Drawing, space: Modelspace) -> None:
    entity = polylines(space, CUT_INSIDE)[0]
    points = list(entity.get_points("xyb"))
    entity.set_points([(math.nan, points[0][1], 0), *points[1:]], format="xyb")


def layer_zero(document: Drawing, space: Modelspace) -> None:
    space.add_circle((40, -20), 2.0, dxfattribs={"layer": "0", "color": 1})


def white(document: Drawing, space: Modelspace) -> None:
    polylines(space, CUT_OUTSIDE)[0].dxf.color = 7


def white_by_layer(document: Drawing, space: Modelspace) -> None:
    document.layers.get(CUT_OUTSIDE).color = 7
    polylines(space, CUT_OUTSIDE)[0].dxf.color = 256


def crossing(document: Drawing, space: Modelspace) -> None:
    space.add_circle((25, 0), 4.0, dxfattribs=INSIDE)


def looped(document: Drawing, space: Modelspace) -> None:
    points = [(30, -25), (40, -15), (40, -25), (30, -15)]
    space.add_lwpolyline(points, close=True, dxfattribs=INSIDE)


def outside(document: Drawing, space: Modelspace) -> None:
    space.add_circle((90, 0), 4.0, dxfattribs=INSIDE)


def no_outline(document: Drawing, space: Modelspace) -> None:
    for entity in polylines(space, CUT_OUTSIDE):
        space.delete_entity(entity)


Damage = Callable[[Drawing, Modelspace], None]
DAMAGE: list[tuple[Damage, FaultKind]] = [
    (inches, FaultKind.UNITS),
    (imperial, FaultKind.UNITS),
    (opened, FaultKind.OPEN_CONTOUR),
    (gap, FaultKind.OPEN_CONTOUR),
    (doubled, FaultKind.DOUBLED),
    (doubled_circle, FaultKind.DOUBLED),
    (doubled_backwards, FaultKind.OVERLAP),
    (overlapping_arc, FaultKind.OVERLAP),
    (spline, FaultKind.ENTITY),
    (ellipse, FaultKind.ENTITY),
    (text, FaultKind.ENTITY),
    (block, FaultKind.ENTITY),
    (mirrored, FaultKind.MIRRORED),
    (lifted, FaultKind.NOT_FLAT),
    (shared_vertex, FaultKind.VERTEX_DEGREE),
    (repeated, FaultKind.REPEATED_VERTEX),
    (dirt, FaultKind.TOO_SHORT),
    (short, FaultKind.TOO_SHORT),
    (no_radius, FaultKind.TOO_SHORT),
    (not_a_number, FaultKind.NOT_FINITE),
    (layer_zero, FaultKind.LAYER),
    (white, FaultKind.COLOUR),
    (white_by_layer, FaultKind.COLOUR),
    (crossing, FaultKind.CROSSING),
    (looped, FaultKind.CROSSING),
    (outside, FaultKind.STRAY),
    (no_outline, FaultKind.EMPTY),
]


def damaged(folder: FilePath, damage: Damage) -> CuttingFile:
    path = written(folder)
    document = ezdxf.readfile(path)
    damage(document, document.modelspace())
    document.saveas(path)
    return read_dxf(path)


@pytest.mark.parametrize(("damage", "kind"), DAMAGE, ids=[damage.__name__ for damage, _ in DAMAGE])
def test_each_damage_is_named(damage: Damage, kind: FaultKind, tmp_path: FilePath) -> None:
    """A good file with one thing spoilt is refused, and the fault has that thing's name."""
    file = damaged(tmp_path, damage)
    assert kind in {fault.kind for fault in file.faults}
    assert any(kind.value in str(fault) for fault in file.faults)


def test_all_faults_are_named_at_once(tmp_path: FilePath) -> None:
    """One reading finds every fault, not only the first."""

    def everything(document: Drawing, space: Modelspace) -> None:
        for damage in (inches, doubled, text, white, outside):
            damage(document, space)

    kinds = {fault.kind for fault in damaged(tmp_path, everything).faults}
    assert {FaultKind.UNITS, FaultKind.DOUBLED, FaultKind.ENTITY, FaultKind.COLOUR, FaultKind.STRAY} <= kinds


def test_an_exploded_file_is_chained_again(tmp_path: FilePath) -> None:
    """Loose lines and arcs, in any order and direction, become the contours they came from."""

    def explode(document: Drawing, space: Modelspace) -> None:
        for entity in polylines(space, CUT_INSIDE) + polylines(space, CUT_OUTSIDE):
            layer, colour = entity.dxf.layer, entity.dxf.color
            pieces = list(entity.virtual_entities())
            space.delete_entity(entity)
            for piece in reversed(pieces):
                piece.dxf.layer, piece.dxf.color = layer, colour
                space.add_entity(piece)

    file = clean(damaged(tmp_path, explode))
    assert file.area == pytest.approx(PART.profile_area, abs=1e-6)


def test_a_copy_scaled_by_an_inch_has_the_wrong_area(tmp_path: FilePath) -> None:
    """A file scaled by 25.4 still reads, but its area gives it away."""

    def scale(document: Drawing, space: Modelspace) -> None:
        for entity in space:
            entity.scale_uniform(25.4) if hasattr(entity, "scale_uniform") else entity.scale(25.4, 25.4, 25.4)

    file = damaged(tmp_path, scale)
    assert file.area == pytest.approx(PART.profile_area * 25.4**2, rel=1e-9)
