"""A machine shop can make each part from its sheet alone: each feature has one size and one place, and can be cut.

Judges: the rank of the system of equations that the dimensions are, numpy's; shapely's mirror image; ISO 261's pitches,
from memory; ezdxf's reading of the cutting files.
"""

from __future__ import annotations

import io
import math
import re
from collections import Counter
from functools import cache
from itertools import pairwise
from pathlib import Path as Path_

import ezdxf
import numpy as np
import pytest
from jobs_by_hand import changed, load
from made_once import READY, THOROUGH, shop_sheets
from made_once import made as made_ready
from shapely import Polygon, affinity
from sharp_corners import corners

from generator.base.annotation import Dimension, DimKind
from generator.base.contours2d import Path
from generator.base.points2d import P2
from generator.cutting.making import is_shim, shop_parts
from generator.documents.shop.contours import contours, outline_radius
from generator.documents.shop.drawing_set import sheet_parts
from generator.documents.shop.symmetry import is_symmetric
from generator.drawing.sheet import Sheet
from generator.formats.dxf.write import part_dxf
from generator.jig.build import build_jig
from generator.jig.part import Jig, Part
from generator.jig.results import results_dict
from generator.job.model.stock import CutBy
from generator.joint.solution import Solution, solve
from generator.kit.bundle import HelperBundle, helper_paths

#: In millimetres and the first projection; in inches and the third, for the left hand. A thorough run has the latter
#: for the right hand too.
MACHINED = ("machined", "orchestra-left", *(("machined-inch",) if THOROUGH else ()))
#: Coarse pitches of ISO 261, mm, from memory.
PITCH = {"M3": 0.5, "M4": 0.7, "M5": 0.8, "M6": 1.0}


@cache
def made(name: str) -> tuple[Solution, Jig]:
    jobs = {
        "machined": {"jig": {"preset": "machined"}, "output": {"units": "mm"}},
        "machined-inch": {"jig": {"preset": "machined"}, "output": {"units": "inch", "projection": "third"}},
    }
    if name not in jobs:
        return made_ready(name)
    solution = solve(load(changed(**jobs[name])))
    return solution, build_jig(solution)


@cache
def sheets(job: str) -> dict[str, Sheet]:
    return {sheet.name: sheet for sheet in shop_sheets(*made(job))}


def parts_of(job: str) -> list[Part]:
    solution, jig = made(job)
    return list(shop_parts(jig.parts, solution.job))


def dimensions(part: Part, kind: DimKind) -> list[Dimension]:
    """Those on the part's view: a hole's place is the table's."""
    holes = [*(hole.at for hole in part.holes), *(hole.at for hole in part.edge_holes)]
    found = [one for one in (*part.dimensions, *part.shop_dimensions) if one.kind is kind]
    return [one for one in found if not any(p.distance(at) < 1e-6 for p in one.points for at in holes)]


# --- size and place --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", MACHINED)
@pytest.mark.parametrize("across", [True, False])
def test_each_corner_has_its_place_once(job: str, across: bool) -> None:
    """Solved for the places of all corners, the dimensions give one answer, and none of them can be left out.

    Unknowns are the corners' places from the datum (from a corner where no table needs one); across a part that mirrors
    about its datum, and shows the sign for it, half of them.
    """
    for part in parts_of(job):
        kind = DimKind.HORIZONTAL if across else DimKind.VERTICAL
        shown = dimensions(part, kind)
        mirrors = is_symmetric(part, across=across)
        zero = pick(part.datum, across)
        places = [pick(corner.at, across) - zero for path in contours(part) for corner in corners(path)]
        places += [pick(point, across) - zero for one in shown for point in one.points]
        fixed = zero if mirrors or part.holes or part.edge_holes else min(places) + zero
        unknown = sorted({key(place + zero - fixed, mirrors) for place in places} - {0.0})
        rows = np.zeros((len(shown), len(unknown)))
        for row, one in zip(rows, shown, strict=True):
            for sign, point in zip((-1.0, 1.0), one.points, strict=True):
                place = pick(point, across) - fixed
                if key(place, mirrors):
                    row[unknown.index(key(place, mirrors))] += sign * (math.copysign(1.0, place) if mirrors else 1.0)
        assert np.linalg.matrix_rank(rows) == len(unknown) == len(shown), (part.name, [one.name for one in shown])


def pick(point: P2, across: bool) -> float:
    return point.x if across else point.y


def key(place: float, mirrors: bool) -> float:
    return round(abs(place) if mirrors else place, 5) + 0.0


@pytest.mark.parametrize("job", MACHINED)
def test_symmetry_is_true_and_its_sign_is_drawn(job: str) -> None:
    """A part said to mirror about its datum is its own mirror image; its view has two short strokes at each end."""
    for part in parts_of(job):
        shape = Polygon(part.outline.flatten(0.01), [o.contour.flatten(0.01) for o in part.openings])
        for across in (True, False):
            scale = {"xfact": -1.0} if across else {"yfact": -1.0}
            mirror = affinity.scale(shape, origin=tuple(part.datum), **scale)
            alike = mirror.symmetric_difference(shape).area < 1e-3 * shape.length
            assert alike == is_symmetric(part, across=across), (part.name, across)


@pytest.mark.parametrize("job", MACHINED)
def test_each_radius_is_said_with_its_count(job: str) -> None:
    """The counts of the radius callouts add up to the rounded corners there are; a plate's four have a note."""
    for part in parts_of(job):
        there: Counter[float] = Counter()
        noted = outline_radius(part.outline) is not None
        for path in contours(part)[1 if noted else 0 :]:
            there.update(round(c.radius, 4) for c in corners(path) if c.radius and not c.relief)
        said: Counter[float] = Counter()
        for one in (*part.dimensions, *part.shop_dimensions):
            if one.kind is DimKind.RADIUS:
                said[round(one.value, 4)] += one.count
                tip = one.points[1]
                assert min(off(path, tip) for path in contours(part)) < 1e-6, (part.name, one.name)
        assert said == there, part.name


def off(path: Path, tip: P2) -> float:
    """How far a point lies from a contour's arcs, within their sweep."""
    found = [math.inf]
    for arc in path.segments():
        if arc.is_arc and min(tip.distance(arc.point_at(n / 64.0)) for n in range(65)) < arc.radius / 8.0:
            found.append(abs(tip.distance(arc.center) - arc.radius))
    return min(found)


@pytest.mark.parametrize("job", MACHINED)
def test_each_dimension_of_a_part_is_drawn(job: str) -> None:
    """Every dimension that the test above counts on stands on the part's sheet."""
    solution, jig = made(job)
    for name, parts in sheet_parts(solution, jig).items():
        drawn = Counter(mark.name for mark in sheets(job)[name].dimensions)
        for part in parts:
            for kind in (DimKind.HORIZONTAL, DimKind.VERTICAL, DimKind.RADIUS):
                assert all(drawn[one.name] for one in dimensions(part, kind)), (name, part.name)


@pytest.mark.parametrize("job", MACHINED)
def test_each_sheet_says_stock_count_surface_edges(job: str) -> None:
    """Count, material, finish, general tolerance and edges stand on each part's sheet, in the sheet's own unit."""
    solution, jig = made(job)
    inch = solution.job.output.units.value == "inch"
    for name, parts in sheet_parts(solution, jig).items():
        labels = [label.text for label in sheets(job)[name].labels()]
        text = " ".join(labels)
        for part in parts:
            assert part.title in text
            assert solution.job.stocks[part.stock].material.split(",")[0].split()[0] in text
        assert text.count("Make ") >= 1
        assert ("0.012 in" if inch else "0.3 mm") in text
        assert "ISO 2768-m" in text
        assert ("µin" in text or "planed" in text) if inch else ("µm" in text or "planed" in text)
        assert not (inch and re.search(r"broken [\d.]+ mm|Ra [\d.]+ µm", text))


def test_edges_are_broken_no_further_than_the_part_bears() -> None:
    """A shim of 0.1 cannot lose 0.3 at its edges: shims and thin guides are only freed of burrs."""
    edges = " ".join(label.text for label in sheets("machined")["rests"].labels())
    assert "shims only free of burrs" in edges
    job = changed(jig={"preset": "machined"}, output={"paper_for": "all", "units": "mm"})
    job["jig"]["guide_stock"] = "phenolic-3"
    solution = solve(load(job))
    jig = build_jig(solution)
    for sheet in shop_sheets(solution, jig):
        parts = sheet_parts(solution, jig).get(sheet.name, ())
        words = " ".join(label.text for label in sheet.labels())
        if parts and min(part.thickness for part in parts) < 3.0:
            assert "broken" not in words, sheet.name


# --- can be cut ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", MACHINED)
def test_a_tap_has_its_run_out(job: str) -> None:
    """Under a blind thread the drill goes on by three pitches at least, so that a plug tap reaches it.

    (Thread run-out, short, of common handbooks: about three pitches; from memory.)
    """
    seen = 0
    for part in parts_of(job):
        for hole in (*part.holes, *part.edge_holes):
            if hole.thread and hole.depth is not None and hole.thread_depth is not None:
                seen += 1
                assert hole.depth - hole.thread_depth >= 3.0 * PITCH[hole.thread] - 1e-9, (part.name, hole.id)
    assert seen > 10


@pytest.mark.parametrize("job", [*READY, "machined"])
def test_a_round_cutter_reaches_each_inner_corner(job: str) -> None:
    """No inner corner of what a mill, router or drill cuts is sharp: it is round or has a relief.

    A cutter reaches four times as deep as it is wide (common practice), so the radius is an eighth of the thickness.
    """
    solution, jig = made(job)
    for part in jig.parts:
        if is_shim(part, solution.job) or CutBy.LASER in solution.job.stocks[part.stock].cut_by:
            continue
        for path, inside in ((part.outline, False), *((o.contour, True) for o in part.openings)):
            if not isinstance(path, Path):
                continue
            segments = list(path.segments())
            turn = -1.0 if inside == (path.signed_area > 0.0) else 1.0
            for before, here in pairwise([segments[-1], *segments]):
                bend = before.tangent_at(1.0).cross(here.tangent_at(0.0)) * turn
                relief = any(one.is_arc and one.sweep * turn <= -180.0 + 1e-6 for one in (before, here))
                assert bend > -1e-6 or relief, (part.name, here.start)
                if here.is_arc and here.sweep * turn < 0.0:
                    assert here.radius >= part.thickness / 8.0 - 1e-9, (part.name, here.radius)


def test_reliefs_stand_in_the_cutting_file_and_their_cutter_on_the_sheet() -> None:
    """The rests' cutting file has two half circles of 3 mm through the tooth's roots; the sheet names the cutter."""
    solution, jig = made("machined")
    rest = jig.part("angle_rest")
    document = ezdxf.read(io.StringIO(part_dxf(rest, "job").decode()))
    (outline,) = [e for e in document.modelspace().query("LWPOLYLINE") if e.dxf.layer == "cut-outside"]
    points = list(outline.get_points("xyb"))
    arcs = [(a, b) for a, b in pairwise([*points, points[0]]) if a[2]]
    assert len(arcs) == 2
    width = solution.cradle.angle_rest_drawn
    tooth = solution.job.instrument.truss_rod_slot_width - 0.1
    for (x0, y0, bulge), (x1, y1, _) in arcs:
        assert abs(bulge) == pytest.approx(1.0)
        assert math.dist((x0, y0), (x1, y1)) == pytest.approx(3.0)
        root = (math.copysign(tooth / 2.0, x0), width)
        assert math.dist(((x0 + x1) / 2.0, (y0 + y1) / 2.0), root) == pytest.approx(1.5)
    words = " ".join(label.text for label in sheets("machined")["rests"].labels())
    assert "cutter or drill of ⌀3" in words


def test_a_laser_cuts_the_roots_sharp() -> None:
    """Rests of a stock that a laser cuts have no reliefs."""
    solution = solve(load(changed(jig={"preset": "plywood", "rest_stock": "birch-ply-12"})))
    rest = build_jig(solution).part("upper_rest")
    assert not any(segment.is_arc for segment in rest.outline.segments())
    assert not any("elief" in one.words for one in rest.requirements)


# --- the assembly ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", MACHINED)
def test_the_board_is_set_to_the_ends_of_tongue_and_opening(job: str) -> None:
    """From the board's faces to the tongue's end w + X_t, to the opening's w + X_m, each ±0.1 (R2, R13)."""
    solution, jig = made(job)
    found = {mark.name: mark for mark in sheets(job)["jig"].dimensions}
    results = results_dict(solution, jig)
    rest = results["cradle"]["upper_rest_mm"]
    for name, at in (("tongue_to_board", "tongue_length_mm"), ("opening_to_board", "opening_length_mm")):
        assert found[name].value == pytest.approx(rest + results["router"][at], abs=1e-6)
        assert re.search(r"±0\.1\b|±0\.0039\b|±0\.004\b", found[name].text)
    steps = " ".join(jig.assembly_steps)
    assert "drill and ream the dowel holes" in steps


def test_sizes_of_parts_are_for_information_on_the_assembly() -> None:
    """What a part's own sheet says stands in brackets on the assembly (ISO 129-1, auxiliary dimensions)."""
    for mark in sheets("machined")["jig"].dimensions:
        assert (mark.text[0] == "(") == mark.name.startswith("overall"), mark.text


def test_the_shops_bundle_holds_the_files_that_its_sheets_name(tmp_path: Path_) -> None:
    """Each cutting file that a sheet names goes with it, and no cutting file of what others make."""
    solution, jig = made("machined")
    for part in jig.parts:
        for folder, end in (("laser", "dxf"), ("step", "step")):
            (tmp_path / folder).mkdir(exist_ok=True)
            (tmp_path / folder / f"{part.name}.{end}").write_text("x")
    sent = helper_paths(solution, jig, tmp_path, HelperBundle.SHOP)
    words = " ".join(label.text.strip() for sheet in sheets("machined").values() for label in sheet.labels())
    named = set(re.findall(r"laser/\w+\.dxf", words))
    assert named == {path for path in sent if path.startswith("laser/")}
    assert len(named) == len(parts_of("machined")) == 11
