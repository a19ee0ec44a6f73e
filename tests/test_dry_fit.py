"""The dry fit in space: against vectors turned by complex numbers, and against solids of the CAD kernel."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import cadquery as cq
import pytest
import shapely
from proof_kits import laser_kit, ready_kit

from generator.base.geometry3d import P3
from generator.base.points2d import P2
from generator.jig.build import build_jig
from generator.job.load import load_job
from generator.job.shop import Shop
from generator.joint.solution import solve
from generator.joint.stations import Use
from generator.proof.cut import dry_fit as dryfit
from generator.proof.cut.dry_fit import Assembled, Centring, assemble
from generator.proof.cut.fit_checks import teeth_centring
from generator.proof.cut.template_checks import prove_plate
from generator.proof.cut.virtual_cut import VirtualCut
from generator.proof.jig.measured_jig import Pose, measure_setting
from generator.proof.kit_files import Kit, open_kit

#: A tilted end face, a neck rise, a measured top and two depth blocks; and a forward set on a flat top.
JOBS = ("auditorium-measured", "nylon-forward")


class Case:
    """One kit with everything the dry fit is put together from."""

    def __init__(self, kit: Kit) -> None:
        self.kit = kit
        self.setting = measure_setting(kit)
        cuts = prove_plate(kit.cutting["template_plate"], kit.results).cuts
        self.mortise: VirtualCut = cuts[Use.BODY]
        self.tenon: VirtualCut = cuts[Use.NECK]

    def fit(self, **changes: Any) -> Assembled:
        setting = replace(self.setting, **changes)
        return assemble(self.kit.solution, setting, self.mortise, self.tenon, Centring())


@pytest.fixture(scope="module", params=JOBS)
def case(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Case:
    return Case(open_kit(ready_kit(request.param, tmp_path_factory.mktemp("fit"), sheets=False)))


def test_the_files_set_what_the_results_say(case: Case) -> None:
    """Rests, depths, rails and blocks, measured on the cutting files, are those of results.json."""
    cradle, joint, setting = case.kit.results["cradle"], case.kit.results["joint"], case.setting
    plane = setting.neck_plane
    assert (setting.upper.x, setting.body.x) == pytest.approx((0.0, 0.0), abs=1e-6)
    assert (setting.upper.top, setting.body.top) == pytest.approx((cradle["rest_depth_mm"],) * 2, abs=1e-6)
    assert setting.lower.top - setting.upper.top == pytest.approx(cradle["rest_spacing_mm"], abs=1e-6)
    assert setting.lower.x == pytest.approx(cradle["angle_rest_mm"] - cradle["upper_rest_mm"], abs=1e-6)
    assert plane.contact == pytest.approx(cradle["contact_depth_mm"], abs=1e-6)
    assert plane.angle == pytest.approx(case.kit.results["neck_set"]["cradle_angle_deg"], abs=1e-6)
    assert plane.at(joint["tenon_projection_routed_mm"]) == pytest.approx(cradle["shoulder_x_mm"], abs=1e-6)
    assert (setting.body_cut_depth, setting.rail) == pytest.approx((cradle["depth_block_mm"],) * 2, abs=1e-6)


def test_the_assembled_gap_is_the_target(case: Case) -> None:
    """Neck and body, cut where the jig holds them and put together, show the wanted gap within 0.01 mm."""
    fit, wanted = case.fit(), case.kit.results["neck_set"]
    assert fit.gap == pytest.approx(wanted["saddle_gap_mm"], abs=1e-6)
    assert fit.set_angle == pytest.approx(wanted["set_angle_deg"], abs=1e-6)
    assert fit.extension_gap == pytest.approx(wanted["extension_gap_mm"], abs=1e-6)
    assert fit.sideways == pytest.approx(0.0, abs=1e-3)


def test_the_dome_falls_away_beside_the_centreline(tmp_path: Path) -> None:
    """The body rest bears beside the mortise, where a dome of radius R stands y²/2R lower than on the centreline.

    The sphere itself is the judge: its height at (x, y) over the rim plane, both arcs through the join's level.
    """
    kit = open_kit(ready_kit("strong-dome", tmp_path, sheets=False))
    found, setting = kit.solution, measure_setting(kit)
    radius = kit.results["inputs"]["instrument.top"]["radius"]["value"]
    top = found.neck_set.top
    y = setting.body_inner
    sphere = math.sqrt(radius**2 - y**2) - radius
    bent = dryfit.body_join(setting, top, dryfit.EndFace(P3(0.0, 0.0, -1.0), P3(1.0, 0.0, 0.0)))
    plain = max(top.height(setting.body.top + i * 0.06) for i in range(201))
    assert found.neck_set.end_face_tilt == 0.0
    assert bent == pytest.approx(plain + sphere, abs=1e-3)
    assert -sphere == pytest.approx(y**2 / 2.0 / radius, rel=1e-4)
    assert -sphere > 0.02


def turned_gap(case: Case, setting: Pose) -> float:
    """The gap by another way: directions as complex numbers, the neck turned by what its two rests differ.

    Laid shoulder to end face it is turned by the end face's tilt.
    """
    lean = cmath.phase(complex(setting.lower.top - setting.upper.top, setting.lower.x - setting.upper.x))
    neck_set = case.kit.solution.neck_set
    plane = cmath.exp(1j * (lean + math.radians(neck_set.end_face_tilt)))
    s, slope = neck_set.join_to_saddle, plane.imag / plane.real
    # On a tilted end face the plane's point at the shoulder stands a little before the join.
    tilt, rise = math.radians(neck_set.end_face_tilt), neck_set.neck_rise_along_face
    over_join = rise * (math.cos(tilt) + math.sin(tilt) * slope)
    return over_join + s * slope - neck_set.top_rise_at_saddle


@pytest.mark.parametrize("off", [-1.5, -0.1, 0.05, 0.7])
def test_a_wrong_angle_rest_is_read_as_its_gap(case: Case, off: float) -> None:
    """A rest wider or narrower turns the neck plane just as the arc tangent over the rests' distance says."""
    lower = replace(case.setting.lower, x=case.setting.lower.x + off)
    expected = turned_gap(case, replace(case.setting, lower=lower))
    found = case.fit(lower=lower)
    assert found.gap == pytest.approx(expected, abs=1e-6)
    assert (found.gap > case.fit().gap) == (off > 0.0)


@pytest.mark.parametrize("lean", [-6.0, -0.4, 0.0, 0.4, 6.0])
def test_the_neck_leans_on_like_named_edges(case: Case, lean: float) -> None:
    """A straightedge against two square bars: the upper edges carry it leaning out, the lower ones leaning in.

    Judge: the convex hull of the four front corners, whose outermost long side the straightedge is.
    """
    setting = replace(case.setting, lower=replace(case.setting.lower, x=lean))
    corners = [tuple(corner) for face in (setting.upper, setting.lower) for corner in face.corners]
    hull = shapely.MultiPoint([*corners, (0.0, -100.0), (300.0, -100.0)]).convex_hull
    plane = setting.neck_plane
    middle = (setting.upper.foot + setting.lower.top) / 2.0
    assert plane.at(middle) == pytest.approx(
        hull.intersection(shapely.LineString([(middle, -50.0), (middle, 50.0)])).bounds[3], abs=1e-9
    )
    assert plane.contact == (setting.upper.top if lean >= 0.0 else setting.upper.foot)


def test_a_deeper_mortise_gives_the_tenon_more_room(case: Case) -> None:
    """The floor clearance grows with the mortise's depth block and shrinks with the tenon's, one for one."""
    plain = case.fit()
    deeper = case.fit(body_cut_depth=case.setting.body_cut_depth + 0.3)
    longer = case.fit(neck_cut_depth=case.setting.neck_cut_depth + 0.2)
    assert deeper.floor - plain.floor == pytest.approx(0.3)
    assert longer.floor - plain.floor == pytest.approx(-0.2)


def test_a_body_that_lies_elsewhere_moves_the_mortise_end(case: Case) -> None:
    """A body rest 0.5 mm too wide moves the join by as much, and the end clearance by as much the other way."""
    wider = replace(case.setting.body, x=case.setting.body.x + 0.5)
    plain, moved = case.fit(), case.fit(body=wider)
    assert moved.body_join - plain.body_join == pytest.approx(0.5, abs=1e-9)
    assert moved.end - plain.end == pytest.approx(-0.5, abs=1e-9)
    assert moved.gap == pytest.approx(plain.gap, abs=1e-9)


def test_crooked_teeth_point_past_the_saddle(case: Case) -> None:
    """Teeth that turn the neck by 0.1° miss the saddle by s·tan 0.1°; one 0.2 mm aside by as much, to the same side."""
    s = case.kit.solution.neck_set.join_to_saddle
    plain = case.fit()
    depth = case.setting.neck_cut_depth * math.tan(math.radians(0.1))
    turned = assemble(case.kit.solution, case.setting, case.mortise, case.tenon, Centring(-depth, 0.1))
    beside = assemble(case.kit.solution, case.setting, case.mortise, case.tenon, Centring(0.2, 0.0))
    assert abs(turned.sideways - plain.sideways) == pytest.approx(s * math.tan(math.radians(0.1)), rel=0.01)
    assert beside.sideways - plain.sideways == pytest.approx(0.2, abs=1e-9)
    straight = teeth_centring(case.kit, case.setting)
    assert straight == Centring(pytest.approx(0.0, abs=1e-6), pytest.approx(0.0, abs=1e-6))


# --- solids ----------------------------------------------------------------------------------------------------------


def prism(outline: tuple[P2, ...], low: float, high: float) -> cq.Workplane:
    """A solid between two heights over an outline in the jig's plane, to a thousandth: a tenth of what is asked."""
    corners = shapely.Polygon([tuple(p) for p in outline]).simplify(1e-3).exterior.coords[:-1]
    return cq.Workplane("XY", origin=(0, 0, low)).polyline(corners).close().extrude(high - low)


def carried(solid: cq.Workplane, origin: tuple[float, ...], x: tuple[float, ...], z: tuple[float, ...]) -> cq.Shape:
    """A solid of the jig frame where a frame with that origin, x and z direction stands."""
    return solid.val().moved(cq.Location(cq.Plane(origin, x, z)))


def test_solids_of_neck_and_body_agree(case: Case) -> None:
    """Block with mortise and tenon with neck plane as CAD solids: they share nothing, the tenon keeps its clearances,
    and the plane's height over the top at the saddle is the wanted gap.
    """
    solution, setting, fit = case.kit.solution, case.setting, case.fit()
    tilt = math.radians(solution.neck_set.end_face_tilt)
    depth, shoulder = setting.body_cut_depth, setting.neck_cut_depth
    # Cut in the jig: the block hangs below the plate, the tenon stands over the shoulder.
    edge = case.mortise.wanted.edge
    block = cq.Workplane("XY").box(110.0, 70.0, 45.0, centered=(False, True, False)).translate((edge, 0.0, -45.0))
    block = block.cut(prism(case.mortise.outline, -depth, 0.0))
    eased = solution.joint.ease_end
    tenon = prism(case.tenon.outline, -shoulder, -eased)
    lean = math.atan2(setting.lower.x - setting.upper.x, setting.lower.top - setting.upper.top)
    behind = cq.Workplane("XY").box(200.0, 200.0, 200.0, centered=(True, True, True)).translate((-100.0, 0.0, 0.0))
    # The neck plane: everything behind the edges it leans on is not neck.
    edge_depth = setting.upper.top if lean >= 0.0 else setting.upper.foot
    behind = behind.rotate((0, 0, 0), (0, 1, 0), -math.degrees(lean)).translate((setting.upper.x, 0.0, -edge_depth))
    tenon = tenon.cut(behind)
    # Into the body frame: down the end face, and square to it into the body; the body lies mirrored in Y.
    along, into = (math.sin(tilt), 0.0, -math.cos(tilt)), (math.cos(tilt), 0.0, math.sin(tilt))
    out = tuple(-value for value in into)
    start = tuple(-fit.body_join * value for value in along)
    body = carried(block, start, along, out)
    rise = solution.neck_set.neck_rise_along_face
    at_shoulder = setting.upper.x + (shoulder - edge_depth) * math.tan(lean)
    origin = tuple(-(rise + at_shoulder) * a + shoulder * i for a, i in zip(along, into, strict=True))
    neck = carried(tenon, origin, along, into)
    shared = body.intersect(neck).Volume()
    assert shared == pytest.approx(0.0, abs=1e-3)
    # The tenon inside the block keeps half the side clearance from the nearest wall.
    room = body.distance(neck)
    assert room == pytest.approx(solution.joint.side_clearance / 2.0, abs=0.01)
    plane = max(neck.Faces(), key=lambda face: face.normalAt().z)
    at, normal = plane.Center(), plane.normalAt()
    s = solution.neck_set.join_to_saddle
    height = at.z - (normal.x * (s - at.x) - normal.y * at.y) / normal.z
    assert height - solution.neck_set.top_rise_at_saddle == pytest.approx(solution.neck_set.saddle_gap, abs=0.01)


def test_a_kit_folder_is_read_as_it_lies(tmp_path: Path) -> None:
    """The setting comes from the files of the folder: another angle rest there is another angle, by its width."""
    kit = ready_kit("orchestra-14", tmp_path, sheets=False)
    rest, zero = kit / "laser" / "angle_rest.dxf", kit / "laser" / "zero_rest.dxf"
    assert measure_setting(open_kit(kit)).neck_plane.angle > 1.0
    rest.write_bytes(zero.read_bytes())
    assert measure_setting(open_kit(kit)).neck_plane.angle == pytest.approx(0.0, abs=1e-9)


def test_a_stand_off_measured_on_the_jig_is_made_up_by_the_rest(tmp_path: Path) -> None:
    """A board that stands 0.6 mm off true at the angle rest: the rest is drawn that much narrower, the angle stays."""
    job = load_job("orchestra-14", Shop())
    plain = solve(job)
    off = job.model_copy(update={"jig": job.jig.model_copy(update={"stand_off": plain.cradle.upper_rest - 0.6})})
    solution = solve(off)
    assert solution.cradle.angle_rest_drawn == pytest.approx(plain.cradle.angle_rest_drawn - 0.6)
    inputs = {**off.inputs, "jig": {**off.inputs["jig"], "stand_off": {"value": off.jig.stand_off, "source": "shop"}}}
    solution = solve(off.model_copy(update={"inputs": inputs}))
    kit = open_kit(laser_kit(solution, build_jig(solution), tmp_path / "kit"))
    assert measure_setting(kit).neck_plane.angle == pytest.approx(plain.cradle.angle, abs=1e-9)
