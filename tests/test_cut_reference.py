"""The virtual cut of every ready job against a reference that shares no code with it.

The plate's file is read by ezdxf alone, its arcs broken up by their own formula five times as finely, and the bushing's
room and the bit's sweep are shapely's own offsets at high resolution.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import ezdxf
import pytest
import shapely
from ezdxf.entities import LWPolyline
from made_once import unlike
from proof_kits import ready_kit, reshape
from ready_jobs import WITH_TENON
from shapely import Polygon, box
from shapely.geometry.base import BaseGeometry

from generator.joint.stations import Use
from generator.proof.cut.template_checks import prove_plate
from generator.proof.cut.virtual_cut import VirtualCut
from generator.proof.kit_files import open_kit

#: Chords stay this close to their arcs, mm.
CHORD = 2e-5
#: Pieces of a quarter turn of an offset.
PIECES = 2000
#: What both stay below an exact width, so that a slot as wide as the bushing lets it pass.
HAIR = 1e-4


def curve(start: tuple[float, float], end: tuple[float, float], bulge: float) -> list[tuple[float, float]]:
    """Points of a polyline's segment after its start; the bulge is the tangent of a quarter of its angle."""
    if not bulge:
        return [end]
    turn, chord = 4.0 * math.atan(bulge), math.dist(start, end)
    radius = chord / (2.0 * math.sin(abs(turn) / 2.0))
    along = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
    off = math.copysign(radius * math.cos(abs(turn) / 2.0), turn)
    x = (start[0] + end[0]) / 2.0 - along[1] * off
    y = (start[1] + end[1]) / 2.0 + along[0] * off
    first = math.atan2(start[1] - y, start[0] - x)
    count = max(2, math.ceil(abs(turn) / (2.0 * math.acos(1.0 - CHORD / radius))))
    angles = [first + turn * i / count for i in range(1, count + 1)]
    return [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles]


def openings(path: Path, place: dict[str, Any]) -> list[Polygon]:
    """Every opening of the plate, in the jig frame of one cut."""
    found = []
    for entity in ezdxf.readfile(path).modelspace().query("LWPOLYLINE"):
        assert isinstance(entity, LWPolyline)
        if entity.dxf.layer == "cut-inside":
            corners = list(entity.get_points("xyb"))
            ring: list[tuple[float, float]] = []
            for (x, y, bulge), (u, v, _) in zip(corners, corners[1:] + corners[:1], strict=True):
                ring += curve((x, y), (u, v), bulge)
            turned = [(place["direction"] * (x - place["fence_x_mm"]), place["direction"] * y) for x, y in ring]
            found.append(Polygon(turned))
    return found


#: The table of results.json that places a cut's openings.
_TABLE = {Use.BODY: ("mortise",), Use.NECK: ("tenon", "shoulder")}


def swept(path: Path, results: dict[str, Any], use: Use, larger: float = 0.0) -> BaseGeometry:
    """What the bit removes; `larger` makes it that much larger in radius."""
    router = results["inputs"]["router"]
    bushing, bit = router["bushing_od"]["value"] / 2.0 - HAIR, router["bit_diameter"]["value"] / 2.0 - HAIR
    # Those that guide reach from before the rest's face far down the heel; screw holes and the other cut's do not.
    (place,) = (results["template"][name] for name in _TABLE[use] if name in results["template"])
    guiding = [a for a in openings(path, place) if -60.0 < a.bounds[0] < 0.0 < a.bounds[2] - 40]
    assert guiding
    centres = shapely.union_all([area.buffer(-bushing, quad_segs=PIECES) for area in guiding])
    return centres.buffer(bit + larger, quad_segs=PIECES)


def deviation(found: VirtualCut, removed: BaseGeometry) -> float:
    """The largest distance (mm) between the outline found and that of the reference, looked at from both."""
    wanted, outline = found.wanted, Polygon([tuple(point) for point in found.outline])
    work = box(wanted.edge, -wanted.half_breadth, wanted.far, wanted.half_breadth)
    area = removed.intersection(work) if found.use is Use.BODY else work.difference(removed)
    piece = max(getattr(area, "geoms", [area]), key=lambda part: part.intersection(outline).area)
    return float(outline.boundary.hausdorff_distance(piece.boundary))


#: Besides the unlike ones a plate of a fixed base with its finished tenon, and one of a forward set.
@pytest.mark.parametrize(
    "name", [name for name in unlike("auditorium-measured", "nylon-forward") if name in WITH_TENON]
)
def test_the_cut_is_right_within_a_thousandth(name: str, tmp_path: Path) -> None:
    """Nowhere is mortise or tenon 0.001 mm off the reference; a bit 0.01 mm larger shows as 0.01 mm."""
    folder = ready_kit(name, tmp_path, sheets=False)
    plate = folder / "laser" / "template_plate.dxf"
    results = json.loads((folder / "results.json").read_text(encoding="utf-8"))
    cuts = prove_plate(open_kit(folder).cutting["template_plate"], results).cuts
    assert set(cuts) == set(Use)
    for use, found in cuts.items():
        assert deviation(found, swept(plate, results, use)) < 0.001
        assert deviation(found, swept(plate, results, use, 0.01)) == pytest.approx(0.01, abs=0.001)


@pytest.mark.parametrize(("by", "left"), [(0.0, 0.0), (6.0, 0.0), (9.0, 2.0), (13.0, 6.0)])
def test_a_facing_leaves_what_the_reference_leaves(by: float, left: float, tmp_path: Path) -> None:
    """Half a window of 42.5 lets a 12 mm bit in a 17 mm bushing reach 40 from the middle, 7 past a blank of 2 × 33.

    With its wall brought in by 9 it leaves a strip of 2, by 13 one of 6; judge: shapely's own offsets.
    """
    folder = ready_kit("folk-butt", tmp_path, sheets=False)
    reshape("template_plate", lambda points: [(x, y - by if y > 20.0 else y, b) for x, y, b in points])(folder)
    results = json.loads((folder / "results.json").read_text(encoding="utf-8"))
    found = prove_plate(open_kit(folder).cutting["template_plate"], results).cuts[Use.NECK]
    removed, wanted = swept(folder / "laser" / "template_plate.dxf", results, Use.NECK), found.wanted
    standing = box(wanted.edge, -wanted.half_breadth, wanted.far, wanted.half_breadth).difference(removed)
    deepest = max((removed.distance(shapely.Point(at)) for at in shapely.get_coordinates(standing)), default=0.0)
    assert found.too_little.size == pytest.approx(deepest, abs=0.001)
    assert found.too_little.size == pytest.approx(left, abs=0.001)
