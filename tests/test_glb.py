"""The 3D model: what is written reads back with the solids' sizes, in metres with Y up, and faults are told."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import pytest
import shapely
from solid_samples import board, busy_plate, small_jig

from generator.base.errors import GeometryError, OutputError
from generator.base.geometry3d import ORIGIN, P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.documents.scene.part import part_facets
from generator.drawing.facets.base import Facets
from generator.drawing.facets.build import block, cylinder
from generator.formats.glb.read import read_glb_bytes
from generator.formats.glb.write import ModelPart, glb_bytes


def pieces() -> list[ModelPart]:
    plate = part_facets(busy_plate(), max_error=0.02)
    screw = cylinder(ORIGIN, Z_AXIS, 30.0, 6.0)
    stand = Placement(P3(-30.0, 20.0, 18.3), X_AXIS, Z_AXIS)
    return [
        ModelPart("plate", plate, colour=(0.5, 0.25, 1.0), extras={"stock": "birch"}),
        ModelPart("screw_1", screw, Placement(P3(1.0, 2.0, 3.0)), (0.7, 0.7, 0.7), 1.0, 0.4),
        ModelPart("screw_2", screw, stand, (0.7, 0.7, 0.7), 1.0, 0.4),
    ]


def document(data: bytes) -> dict[str, object]:
    size, kind = struct.unpack_from("<II", data, 12)
    assert kind == 0x4E4F534A
    found: dict[str, object] = json.loads(data[20 : 20 + size])
    return found


def test_a_block_in_metres_with_y_up() -> None:
    """1000 × 2000 × 3000 mm with Z up is 1 × 3 × 2 m with Y up; what lay at +Y lies at −Z (glTF 2.0, 3.4)."""
    data = glb_bytes("m", [ModelPart("b", block(0, 0, 0, 1000, 2000, 3000))])
    (part,) = read_glb_bytes(data, "m.glb").parts
    low, high = part.bounds
    assert tuple(low) == pytest.approx((0.0, 0.0, -2.0), abs=1e-9)
    assert tuple(high) == pytest.approx((1.0, 3.0, 0.0), abs=1e-9)
    assert part.volume == pytest.approx(6.0)


def test_parts_come_back_as_they_stood() -> None:
    """Names, extras, volumes and boxes read back are those of the placed solids; float32 holds them to a micrometre."""
    parts = pieces()
    found = read_glb_bytes(glb_bytes("jig", parts), "jig.glb")
    assert [part.name for part in found.parts] == ["plate", "screw_1", "screw_2"]
    assert found.part("plate").extras == {"stock": "birch"}
    for part, read in zip(parts, found.parts, strict=True):
        stood = part.facets.placed(part.place)
        assert read.volume * 1e9 == pytest.approx(stood.volume, rel=1e-6)
        low, high = stood.bounds
        first, last = read.bounds
        assert [v * 1000 for v in first] == pytest.approx([low.x, low.z, -high.y], abs=1e-3)
        assert [v * 1000 for v in last] == pytest.approx([high.x, high.z, -low.y], abs=1e-3)


def test_copies_share_a_mesh() -> None:
    """Two screws of one solid are two nodes and one mesh; each finish is one material."""
    found = document(glb_bytes("jig", pieces()))
    nodes, meshes, materials = (found[key] for key in ("nodes", "meshes", "materials"))
    assert isinstance(nodes, list)
    assert isinstance(meshes, list)
    assert isinstance(materials, list)
    assert (len(nodes), len(meshes), len(materials)) == (4, 2, 2)
    assert nodes[2]["mesh"] == nodes[3]["mesh"]


def test_colours_are_linear_light() -> None:
    """sRGB 0.5 is 0.214041 and 0.25 is 0.050876 of linear light (IEC 61966-2-1, worked by hand)."""
    colour = read_glb_bytes(glb_bytes("jig", pieces()), "jig.glb").part("plate").colour
    assert colour == pytest.approx((0.214041, 0.050876, 1.0, 1.0), abs=1e-6)


@pytest.mark.parametrize("part", [busy_plate(), board("b", 90.0, 40.0, 12.0)], ids=lambda part: part.name)
def test_the_kernel_agrees_with_the_file(part: object) -> None:
    """OCCT's solid of the part has the file's volume and box within what the chords' error allows."""
    import cadquery as cq

    from generator.jig.part import Part
    from generator.solid import bounds, part_solid

    assert isinstance(part, Part)
    error = 0.02
    (read,) = read_glb_bytes(glb_bytes("m", [ModelPart("p", part_facets(part, max_error=error))]), "m.glb").parts
    exact = cq.Shape.cast(part_solid(part))
    area = float(exact.Area())
    assert abs(read.volume * 1e9 - exact.Volume()) <= error * area
    box = bounds(exact.wrapped)
    low, high = read.bounds
    assert [v * 1000 for v in low] == pytest.approx([box.low.x, box.low.z, -box.high.y], abs=error)
    assert [v * 1000 for v in high] == pytest.approx([box.high.x, box.high.z, -box.low.y], abs=error)


def test_triangles_tile_the_face() -> None:
    """The triangles of a pierced face cover shapely's polygon of it and do not overlap."""
    solid = part_facets(busy_plate(), max_error=0.05)
    for number in sorted(range(len(solid.faces)), key=lambda n: -len(solid.faces[n]))[:2]:
        rings = [[(solid.points[i].x, solid.points[i].y) for i in ring] for ring in solid.faces[number]]
        face = shapely.Polygon(rings[0], rings[1:])
        tiles = [
            shapely.Polygon([(solid.points[i].x, solid.points[i].y) for i in triangle])
            for *triangle, of in solid.triangles
            if of == number
        ]
        assert len(tiles) > 100
        assert sum(tile.area for tile in tiles) == pytest.approx(face.area, rel=1e-9)
        assert shapely.union_all(tiles).symmetric_difference(face).area < 1e-6 * face.area


def test_round_surfaces_have_round_normals() -> None:
    """A cylinder's wall has normals square to its axis that point away from it; its ends keep their own."""
    data = glb_bytes("m", [ModelPart("c", cylinder(ORIGIN, Z_AXIS, 10.0, 8.0))])
    found = document(data)
    accessors = found["accessors"]
    assert isinstance(accessors, list)
    count = accessors[0]["count"]
    solid = cylinder(ORIGIN, Z_AXIS, 10.0, 8.0)
    assert count == 2 * len(solid.points)  # each rim point once for the wall, once for its end
    offset = 20 + struct.unpack_from("<I", data, 12)[0] + 8
    rows = [struct.unpack_from("<3f", data, offset + 12 * i) for i in range(2 * count)]
    wall = 0
    for p, n in zip(rows[:count], rows[count:], strict=True):
        if abs(n[2]) < 1e-6:
            assert (p[0] * n[0] + p[1] * n[1]) == pytest.approx(4.0, abs=1e-5)
            wall += 1
        else:
            assert n[2] == pytest.approx(1.0 if p[2] > 5.0 else -1.0)
    assert wall == count // 2


def test_same_bytes() -> None:
    """Two runs give one file; its length is a multiple of four."""
    one = glb_bytes("jig", pieces())
    assert one == glb_bytes("jig", pieces())
    assert len(one) % 4 == 0


def test_every_placed_part_of_a_jig() -> None:
    """A whole small jig reads back with as many parts as stand in it, each of its part's stated volume."""
    jig = small_jig()
    shapes: dict[str, Facets] = {part.name: part_facets(part, max_error=0.005) for part in jig.parts}
    parts = [ModelPart(placed.label, shapes[placed.part.name], placed.placement) for placed in jig.placed]
    found = read_glb_bytes(glb_bytes("jig", parts), "jig.glb")
    for placed in jig.placed:
        assert found.part(placed.label).volume * 1e9 == pytest.approx(placed.part.volume, rel=1e-4)


def test_no_parts_or_doubled_names_are_refused() -> None:
    """A model without parts, or with two of one name, is refused with the name."""
    with pytest.raises(GeometryError, match="no parts"):
        glb_bytes("m", [])
    cube = block(0, 0, 0, 1, 1, 1)
    with pytest.raises(GeometryError, match="doubled: a"):
        glb_bytes("m", [ModelPart("a", cube), ModelPart("a", cube.placed(Placement(ORIGIN, Y_AXIS, Z_AXIS)))])


def test_damaged_files_are_refused() -> None:
    """Cut short, another mark, another version, limits or indices that lie: each is refused with the file's name."""
    good = glb_bytes("m", [ModelPart("b", block(0, 0, 0, 10, 20, 30))])
    bad = {
        "short": good[:-4],
        "nothing": b"",
        "mark": b"XXXX" + good[4:],
        "version": good[:4] + struct.pack("<I", 1) + good[8:],
        "limits": good.replace(b'"max":[10.0', b'"max":[11.0'),
        "asset": good.replace(b'"version":"2.0"', b'"version":"3.0"'),
        "index": good[:-4] + struct.pack("<I", 99),
        "child": good.replace(b'"children":[1]', b'"children":[0]'),
        "accessor": good.replace(b'"count":24', b'"count":99'),
    }
    for name, data in bad.items():
        assert data != good, name
        with pytest.raises(OutputError, match=f"{name}.glb"):
            read_glb_bytes(data, f"{name}.glb")


def test_another_reader_agrees(tmp_path: Path) -> None:
    """VTK's glTF reader (another program) finds the solids' volume, surface and box, in metres with Y up."""
    geometry = pytest.importorskip("vtkmodules.vtkIOGeometry")
    from vtkmodules.vtkFiltersCore import vtkMassProperties, vtkTriangleFilter
    from vtkmodules.vtkFiltersGeometry import vtkCompositeDataGeometryFilter

    parts = pieces()
    (tmp_path / "jig.glb").write_bytes(glb_bytes("jig", parts))
    reader = geometry.vtkGLTFReader()
    reader.SetFileName(str(tmp_path / "jig.glb"))
    surface, triangles, measured = vtkCompositeDataGeometryFilter(), vtkTriangleFilter(), vtkMassProperties()
    surface.SetInputConnection(reader.GetOutputPort())
    triangles.SetInputConnection(surface.GetOutputPort())
    measured.SetInputConnection(triangles.GetOutputPort())
    measured.Update()
    assert measured.GetVolume() * 1e9 == pytest.approx(sum(part.facets.volume for part in parts), rel=1e-5)
    assert measured.GetSurfaceArea() * 1e6 == pytest.approx(sum(part.facets.area for part in parts), rel=1e-5)
    read = read_glb_bytes((tmp_path / "jig.glb").read_bytes(), "jig.glb")
    lows, highs = zip(*(part.bounds for part in read.parts), strict=True)
    box = [value for k in range(3) for value in (min(low[k] for low in lows), max(high[k] for high in highs))]
    assert surface.GetOutput().GetBounds() == pytest.approx(box, abs=1e-6)


# --- the jig's model -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", ["orchestra-14", "ukulele-tenor"])
def test_the_jigs_model_is_the_kernels_assembly(job: str) -> None:
    """Node by node the model has the names, volumes and boxes of OCCT's assembly, within what the chords take away."""
    import cadquery as cq

    from generator.jig.build import build_jig
    from generator.job.load import load_job
    from generator.job.shop import Shop
    from generator.joint.solution import solve
    from generator.kit.model import jig_glb
    from generator.solid import assembly, bounds

    solution = solve(load_job(job, Shop()))
    jig = build_jig(solution)
    found = read_glb_bytes(jig_glb(solution.job, jig), "jig.glb")
    exact = assembly(jig)
    assert [part.name for part in found.parts] == [piece.label for piece in exact.pieces]
    for piece in exact.pieces:
        read, solid = found.part(piece.label), cq.Shape.cast(piece.placed)
        assert abs(read.volume * 1e9 - solid.Volume()) <= 0.05 * solid.Area() * (1.0 if piece.part is None else 0.2)
        box = bounds(solid.wrapped)
        low, high = read.bounds
        assert [v * 1000 for v in low] == pytest.approx([box.low.x, box.low.z, -box.high.y], abs=0.06), piece.label
        assert [v * 1000 for v in high] == pytest.approx([box.high.x, box.high.z, -box.low.y], abs=0.06), piece.label
    board = found.part("board")
    assert board.extras["title"] == jig.part("board").title
