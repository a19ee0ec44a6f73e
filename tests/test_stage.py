"""What stands round the jig: each prop is a sound solid, true to its numbers, and nothing runs into anything else."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
import shapely
from made_once import THOROUGH
from numpy.typing import NDArray

from generator.base.geometry3d import P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.base.points2d import P2
from generator.documents.scene.instrument import BodySize, NeckSize, body, body_outline, neck_blank
from generator.documents.scene.props import Prop, bench_top, f_clamp, router
from generator.documents.scene.stage import jig_props, stage
from generator.drawing.facets.base import Facets
from generator.drawing.picture import Shown, seen
from generator.drawing.projection import JigView
from generator.jig.build import build_jig
from generator.job.load import load_job
from generator.job.shop import Shop
from generator.joint import stations as frame
from generator.joint.solution import Solution, solve
from generator.joint.stations import Use

ORCHESTRA = BodySize(98.0, 120.0, 105.0, 65.0, 70.0, 290.0, 8500.0)
#: A guitar's, one tilted with a dome, a flat top set forward, a ukulele's; a short body and a strong dome are
#: like them.
JOBS = ["orchestra-14", "dreadnought-tilted", "nylon-forward", "ukulele-tenor"]
JOBS += ["parlour-12", "strong-dome"] if THOROUGH else []


def sound(prop: Prop) -> None:
    """The surface closes, encloses a positive volume, and its triangles make it up."""
    solid = prop.facets
    assert len(solid.edges) * 2 == sum(len(ring) for face in solid.faces for ring in face)
    p = solid.points
    volume = sum(p[a].dot(p[b].cross(p[c])) for a, b, c, _ in solid.triangles) / 6.0
    assert volume == pytest.approx(solid.volume, rel=1e-6)
    assert volume > 0.0
    for face, normal in zip(solid.faces, solid.normals, strict=True):
        lifts = [normal.dot(p[i].minus(p[face[0][0]])) for ring in face for i in ring]
        assert max(map(abs, lifts)) < 1e-6, prop.name


@pytest.mark.parametrize(
    "props",
    [
        bench_top(Placement(), 600.0, 250.0),
        f_clamp("c", Placement(), 181.0, 20.5),
        router(Placement(), 170.0, 15.875, 8.0, 12.7, 40.2),
        body(Placement(), ORCHESTRA),
        body(Placement(), BodySize(67.0, 75.0, 78.0, 40.0, 50.0, 195.0)),
        neck_blank(Placement(), NeckSize(358.0, 22.0, 100.0, 68.0, 45.0, 0.03, slot=(6.35, 9.5))),
        neck_blank(Placement(), NeckSize(230.0, 14.0, 72.0, 44.0, 30.0, tuners=4)),
    ],
    ids=["bench", "clamp", "router", "body", "small body", "neck", "neck without slot"],
)
def test_props_are_sound(props: tuple[Prop, ...]) -> None:
    """Every piece is a closed solid of plane faces under a name of its own, apart from the others."""
    for prop in props:
        sound(prop)
    assert len({prop.name for prop in props}) == len(props)
    assert [(a.name, b.name) for a in props for b in props if a is not b and buried(a.facets, b.facets)] == [] or {
        prop.name for prop in props
    } >= {"soundhole"}


def test_a_clamp_grips_what_it_is_told() -> None:
    """Jaw and pad are `opening` apart, the bar `throat` from their middle, and the bar reaches past the arm."""
    stand = Placement(P3(5.0, 6.0, 7.0), Y_AXIS, Z_AXIS)  # closes along +x, bar towards +y
    pieces = {prop.name: prop.facets.bounds for prop in f_clamp("c", stand, 181.0, 20.5)}
    assert pieces["c_jaw"].high.x == pytest.approx(5.0)
    assert pieces["c_screw"].low.x == pytest.approx(5.0 + 181.0)
    assert pieces["c_bar"].low.y == pytest.approx(6.0 + 20.5)
    assert pieces["c_bar"].high.x > pieces["c_arm"].high.x


def test_a_router_stands_on_its_base() -> None:
    """Base on the plate, bushing and bit as far below as told, everything else above; the base as wide as told."""
    pieces = {prop.name: prop.facets.bounds for prop in router(Placement(), 170.0, 15.875, 8.0, 12.7, 40.2)}
    assert pieces["router_base"].low.z == 0.0
    assert pieces["router_base"].high.x == pytest.approx(85.0)
    assert pieces["router_bushing"].low.z == pytest.approx(-8.0)
    assert pieces["router_bit"].low.z == pytest.approx(-40.2)
    assert pieces["router_bit"].high.x == pytest.approx(12.7 / 2)
    for name in ("router_collar", "router_case", "router_handles", "router_posts"):
        assert pieces[name].low.z > 0.0


def test_the_bodys_outline() -> None:
    """The rim passes the shoulder at the block's depth, lies behind the end face, has a waist; it is simple."""
    rim = body_outline(ORCHESTRA)
    shape = shapely.Polygon(rim)
    assert shape.is_valid
    assert shape.exterior.is_ccw
    assert min(p.x for p in rim) == pytest.approx(0.0, abs=1e-9)
    assert min(p.distance(P2(65.0, 105.0)) for p in rim) < 1e-9
    across = shapely.LineString
    widths = [shape.intersection(across([(x, -300), (x, 300)])).length for x in np.linspace(1.0, 470.0, 200)]
    peaks = [i for i in range(1, 199) if widths[i - 1] < widths[i] >= widths[i + 1]]
    assert len(peaks) == 2
    assert min(widths[peaks[0] : peaks[1]]) < 0.9 * widths[peaks[0]] < widths[peaks[1]]
    turned = [p for p in rim if p.y > 0]
    assert all(any(q.distance(P2(p.x, -p.y)) < 1e-9 for q in rim) for p in turned)


def test_a_bodys_depths_and_dome() -> None:
    """The rim is as deep as told at block and tail; a dome of radius R rises c²/8R over a chord c."""
    made = {prop.name: prop.facets for prop in body(Placement(), ORCHESTRA)}
    low = made["body"].bounds.low.z
    assert low == pytest.approx(-120.0)
    near = [p.z for p in made["body"].points if p.x <= 70.0]
    assert min(near) == pytest.approx(-98.0)
    wide = made["body_top"].bounds.high.y * 2.0
    assert made["body_top"].bounds.high.z == pytest.approx(wide**2 / 8.0 / 8500.0)
    assert made["soundhole"].bounds.high.z > made["body_top"].bounds.high.z - 0.5


def test_a_necks_section_and_length() -> None:
    """Heel, slot and shaft have the stated sizes; the head starts at the nut and tilts back."""
    size = NeckSize(358.0, 22.0, 100.0, 68.0, 45.0, slot=(6.0, 9.0))
    shaft, head = (prop.facets for prop in neck_blank(Placement(), size))
    low, high = shaft.bounds
    assert (high.x, high.y, high.z) == pytest.approx((22.0, 34.0, 0.0))
    assert low.z == pytest.approx(-100.0)
    assert min(p.x for p in shaft.points if p.z == 0.0) == pytest.approx(-358.0)
    end = [p for p in shaft.points if p.x == pytest.approx(22.0)]
    area = abs(shapely.Polygon([(p.y, p.z) for p in end]).area)
    assert area == pytest.approx(68.0 * 100.0 - 6.0 * 9.0)
    assert head.bounds.high.x < -354.0
    assert head.bounds.low.z < -358.0 * 0.1
    tilt = max(head.normals, key=lambda n: n.z)
    assert math.degrees(math.acos(tilt.z)) == pytest.approx(13.0)


# --- the stage -----------------------------------------------------------------------------------------------------


@cache
def made(job: str, use: Use) -> tuple[Solution, dict[str, Prop]]:
    solution = solve(load_job(job, Shop()))
    props = stage(solution, build_jig(solution), use)
    return solution, {prop.name: prop for prop in props}


def inside(points: NDArray[np.float64], solid: Facets) -> NDArray[np.bool_]:
    """Which points lie in a solid: a ray upwards, a little off the axis, leaves it an odd number of times."""
    corner = np.array(solid.points)[np.array([triangle[:3] for triangle in solid.triangles])]
    way = np.array([0.01234, 0.00567, 1.0])
    u, v = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    normal = np.cross(way, v)
    size = (u * normal).sum(axis=1)
    flat = np.abs(size) < 1e-12
    size[flat] = 1.0
    off = points[:, None, :] - corner[None, :, 0]
    a = (off * normal).sum(axis=2) / size
    across = np.cross(off, u[None])
    b = across @ way / size
    t = (across * v).sum(axis=2) / size
    hits = ((a >= 0) & (b >= 0) & (a + b <= 1) & (t > 0) & ~flat).sum(axis=1)
    out: NDArray[np.bool_] = hits % 2 == 1
    return out


def buried(one: Facets, other: Facets, depth: float = 0.1) -> bool:
    """Whether a place `depth` mm under the surface of one solid lies in the other, sampled over every triangle."""
    a, b = one.bounds, other.bounds
    if any(a.high[k] < b.low[k] + depth or b.high[k] < a.low[k] + depth for k in range(3)):
        return False
    corner = np.array(one.points)[np.array([triangle[:3] for triangle in one.triangles])]
    normals = np.array([one.normals[triangle[3]] for triangle in one.triangles])
    fine = 4 if len(corner) < 400 else 1
    shares = np.array([(i + 1 / 3, j + 1 / 3, fine - 2 / 3 - i - j) for i in range(fine) for j in range(fine - i)])
    points = (shares / fine @ corner - depth * normals[:, None, :]).reshape(-1, 3)
    low, high = np.array(b.low), np.array(b.high)
    near = points[((points > low) & (points < high)).all(axis=1)]
    near = near[inside(near, one)]  # a thin piece has no such place there
    return bool(len(near)) and bool(inside(near, other).any())


def test_the_witness_sees_what_is_buried() -> None:
    """Two blocks that overlap by 1 mm are found, two that touch are not."""
    from generator.drawing.facets.build import block

    one = block(0, 0, 0, 10, 10, 10)
    assert buried(one, block(9, 2, 2, 20, 8, 8))
    assert not buried(one, block(10, 2, 2, 20, 8, 8))


@pytest.mark.parametrize("use", list(Use))
@pytest.mark.parametrize("job", JOBS)
def test_nothing_on_the_stage_runs_into_anything(job: str, use: Use) -> None:
    """Bench, clamps, work, caul, router and jig stand clear of each other; only screws sit in wood."""
    _, props = made(job, use)
    solid = [prop for name, prop in props.items() if not (name.startswith("H") or name == "soundhole")]
    assert len(solid) > 20
    found = [
        (one.name, other.name)
        for i, one in enumerate(solid)
        for other in solid[i + 1 :]
        if buried(one.facets, other.facets) or buried(other.facets, one.facets)
    ]
    assert found == []


@pytest.mark.parametrize("job", JOBS)
def test_the_neck_hangs_on_both_rests(job: str) -> None:
    """The gluing face touches both rests' edges, the neck's end the plate's underside, the caul the heel's back."""
    solution, props = made(job, Use.NECK)
    neck = props["neck"].facets
    assert neck.bounds.high.z == pytest.approx(0.0, abs=1e-6)
    face = next(n for n in sorted(neck.normals, key=lambda n: -n.x))  # looks at the board, +x in the plate frame
    at = max(neck.points, key=face.dot)  # the slot's bottom looks the same way
    shim = props["trim_shim_1"].facets.bounds
    assert shim.high.x - shim.low.x == pytest.approx(solution.cradle.nominal_shim)
    for rest in ("upper_rest", "angle_rest"):
        off = [face.dot(p.minus(at)) for p in props[rest].facets.points if abs(p.y) > 8.0]
        assert min(off) == pytest.approx(0.0, abs=0.02), rest
    back = min(neck.points, key=lambda p: face.dot(p.minus(at)))
    caul = max(face.dot(p.minus(at)) for p in props["caul"].facets.points)
    assert caul == pytest.approx(face.dot(back.minus(at)), abs=1e-6)


@pytest.mark.parametrize("job", JOBS)
def test_the_body_hangs_on_its_end_face(job: str) -> None:
    """The end face lies on the plate's underside; the clamps' pads press on the caul, their jaws on the board."""
    solution, props = made(job, Use.BODY)
    assert props["body"].facets.bounds.high.z == pytest.approx(0.0, abs=1e-6)
    board = props["board"].facets.bounds
    for number in (1, 2):
        assert props[f"work_clamp_{number}_jaw"].facets.bounds.high.x == pytest.approx(board.low.x)
        bar = props[f"work_clamp_{number}_bar"].facets.bounds
        nearest = min(abs(bar.low.y), abs(bar.high.y))
        # A bar 26 high behind the body rest's middle; below its block the body is 0.6 wider for each mm.
        cradle, block = solution.cradle, solution.job.instrument.neck_block_thickness
        deeper = max(0.0, cradle.rest_depth + cradle.rest_thickness / 2.0 + 13.0 - block)
        outside = max(board.high.y, solution.job.instrument.shoulder_half_width + 0.6 * deeper)
        assert nearest == pytest.approx(outside + frame.BAR_ROOM)


@pytest.mark.parametrize("use", list(Use))
def test_the_bench_carries_the_idle_half(use: Use) -> None:
    """The bench's top lies under plate or rails, its edge `bench_gap` from the board, the cut half in front of it."""
    solution, props = made("orchestra-14", use)
    bench, board = props["bench_edge"].facets.bounds, props["board"].facets.bounds
    rail = min(p.z for p in props["bracket_left"].facets.points if p.x < -130.0)
    if use is Use.NECK:
        assert bench.high.z == pytest.approx(0.0)
        assert bench.low.x - board.high.x == pytest.approx(solution.job.jig.bench_gap)
    else:
        assert board.low.x - bench.high.x == pytest.approx(solution.job.jig.bench_gap)
        assert rail == pytest.approx(bench.high.z)


@pytest.mark.parametrize("use", list(Use))
def test_the_bit_starts_clear_of_the_work(use: Use) -> None:
    """Where the router stands, its bit goes as deep as the cut and touches neither neck nor body."""
    solution, props = made("orchestra-14", use)
    bit, work = props["router_bit"].facets, props["neck" if use is Use.NECK else "body"].facets
    assert bit.bounds.low.z == pytest.approx(-solution.cradle.depth_block)
    ring = {(round(p.x, 3), round(p.y, 3)) for p in bit.points}
    points = np.array([(x, y, z) for x, y in ring for z in (-1.0, -10.0, -20.0)])
    assert not inside(points, work).any()
    assert X_AXIS.x == 1.0


# --- balloons ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("view", [JigView.ISOMETRIC_FRONT, JigView.ISOMETRIC_BELOW, JigView.ISOMETRIC_BEHIND])
def test_a_leaders_end_lies_on_its_piece(view: JigView) -> None:
    """The kernel's ray from the eye through a piece's spot meets that piece first; so do rays half the room away."""
    from OCP.gp import gp_Dir, gp_Lin, gp_Pnt
    from OCP.IntCurvesFace import IntCurvesFace_ShapeIntersector

    from generator.solid import assembly

    jig = build_jig(solve(load_job("orchestra-14", Shop())))
    shapes = []
    for piece in assembly(jig).pieces:
        shape = IntCurvesFace_ShapeIntersector()
        shape.Load(piece.placed, 1e-6)
        shapes.append((piece.label, shape))
    picture = seen([Shown(prop.name, prop.facets) for prop in jig_props(jig)], view.value)
    eye = view.value.z_axis
    checked = 0
    for label, spot in picture.spots.items():
        if spot.room < 2.0:
            continue
        for angle in (None, 0, 90, 180, 270):
            off = 0.0 if angle is None else spot.room / 2.0
            turn = math.radians(angle or 0)
            start = view.value.to_space(spot.at.x + off * math.cos(turn), spot.at.y + off * math.sin(turn), 2000.0)
            ray = gp_Lin(gp_Pnt(*start), gp_Dir(-eye.x, -eye.y, -eye.z))
            hits = []
            for name, shape in shapes:
                shape.Perform(ray, 0.0, 1e5)
                hits += [(shape.WParameter(i), name) for i in range(1, shape.NbPnt() + 1)]
            assert min(hits)[1] == label
        checked += 1
    assert checked >= 5
