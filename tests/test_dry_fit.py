"""The dry fit in space: against vectors turned by complex numbers, and against solids of the CAD kernel."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace
from pathlib import Path

import cadquery as cq
import pytest
from proof_kits import ready_kit

from generator.geometry2d import P2
from generator.proof.dryfit import Assembled, Centring, assemble
from generator.proof.fitchecks import key_centring
from generator.proof.kitfiles import Kit, open_kit
from generator.proof.measured import Setting, measure_setting
from generator.proof.template_checks import prove_plate
from generator.proof.virtual_cut import VirtualCut
from generator.proof.wanted import Cut

#: A tilted end face, an overstand, a measured top and two depth blocks; and a forward set on a flat top.
JOBS = ("auditorium-measured", "nylon-forward")


class Case:
    """One kit with everything the dry fit is put together from."""

    def __init__(self, kit: Kit) -> None:
        self.kit = kit
        self.setting = measure_setting(kit)
        cuts = prove_plate(kit.cutting["template_plate"], kit.results).cuts
        self.mortise: VirtualCut = cuts[Cut.MORTISE]
        self.tenon: VirtualCut = cuts[Cut.TENON]

    def fit(self, **changes: float) -> Assembled:
        setting = replace(self.setting, **changes)
        return assemble(self.kit.solution, setting, self.mortise, self.tenon, Centring())


@pytest.fixture(scope="module", params=JOBS)
def case(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Case:
    return Case(open_kit(ready_kit(request.param, tmp_path_factory.mktemp("fit"))))


def test_the_files_set_what_the_results_say(case: Case) -> None:
    """Pivot, sine setting, blocks and depths, measured on the cutting files, are those of results.json."""
    cradle, setting = case.kit.results["cradle"], case.setting
    assert setting.pivot.x == pytest.approx(0.0, abs=1e-6)
    assert -setting.pivot.y == pytest.approx(cradle["pivot_depth_mm"], abs=1e-6)
    assert setting.sine_distance == pytest.approx(cradle["sine_distance_mm"], abs=1e-6)
    assert setting.nose_offset == pytest.approx(cradle["nose_offset_mm"], abs=1e-6)
    assert setting.base == pytest.approx(cradle["base_mm"], abs=1e-6)
    assert setting.neck_block == pytest.approx(cradle["set_block_mm"], abs=1e-6)
    assert setting.body_block == pytest.approx(cradle["body_block_mm"], abs=1e-6)
    assert setting.mortise_depth == pytest.approx(cradle["depth_block_mm"], abs=1e-6)


def test_the_assembled_gap_is_the_target(case: Case) -> None:
    """Neck and body, cut where the jig holds them and put together, show the wanted gap within 0.01 mm."""
    fit, wanted = case.fit(), case.kit.results["neck_set"]
    assert fit.gap == pytest.approx(wanted["saddle_gap_mm"], abs=1e-6)
    assert fit.set_angle == pytest.approx(wanted["set_angle_deg"], abs=1e-6)
    assert fit.extension_gap == pytest.approx(wanted["extension_gap_mm"], abs=1e-6)
    assert fit.sideways == pytest.approx(0.0, abs=1e-3)


def turned_gap(case: Case, setting: Setting) -> float:
    """The gap by another way: the nose rod's centre found on its circle, directions as complex numbers.

    The rod's centre stands on a circle about the pivot; the block's width says how far its X is from the ledge. The
    neck plane is the bed's face; laid shoulder to end face it is turned by the end face's tilt.
    """
    reach = math.hypot(setting.sine_distance, setting.nose_offset)
    rod_x = -setting.nose_offset + (setting.neck_block - setting.base)
    down = cmath.phase(complex(rod_x, -math.sqrt(reach**2 - rod_x**2)))
    at_rest = cmath.phase(complex(-setting.nose_offset, -setting.sine_distance))
    neck_set = case.kit.solution.neck_set
    # Turning in the jig's X-Z plane, counter-clockwise with Z up, tips the plane the same way in the body frame.
    plane = cmath.exp(1j * (down - at_rest + math.radians(neck_set.end_face_tilt)))
    s, slope = neck_set.join_to_saddle, plane.imag / plane.real
    # On a tilted end face the plane's point at the shoulder stands a little before the join.
    tilt, rise = math.radians(neck_set.end_face_tilt), neck_set.overstand_along_face
    over_join = rise * (math.cos(tilt) + math.sin(tilt) * slope)
    return over_join + s * slope - neck_set.top_rise_at_saddle


@pytest.mark.parametrize("off", [-1.5, -0.1, 0.05, 0.7])
def test_a_wrong_set_block_is_read_as_its_gap(case: Case, off: float) -> None:
    """A block wider or narrower turns the neck plane just as the nose rod's circle says."""
    block = case.setting.neck_block + off
    expected = turned_gap(case, replace(case.setting, neck_block=block))
    found = case.fit(neck_block=block)
    # The pivot lies on the shoulder's level, so the join stays where it is.
    assert found.gap == pytest.approx(expected, abs=1e-6)
    assert (found.gap > case.fit().gap) == (off > 0.0)


def test_a_deeper_mortise_gives_the_tenon_more_room(case: Case) -> None:
    """The floor clearance grows with the mortise's depth block and shrinks with the tenon's, one for one."""
    plain = case.fit()
    deeper = case.fit(mortise_depth=case.setting.mortise_depth + 0.3)
    longer = case.fit(tenon_depth=case.setting.tenon_depth + 0.2)
    assert deeper.floor - plain.floor == pytest.approx(0.3)
    assert longer.floor - plain.floor == pytest.approx(-0.2)


def test_a_body_that_lies_elsewhere_moves_the_mortise_end(case: Case) -> None:
    """A wrong body block turns the rest about the pivot: the end clearance changes by as much as the join moves."""
    plain, moved = case.fit(), case.fit(body_block=case.setting.body_block + 0.5)
    assert moved.body_join - plain.body_join == pytest.approx(-(moved.end - plain.end), abs=1e-9)
    # The top then bears on the rest between its middle and its lower edge, so that much below the pivot.
    middle = case.kit.results["cradle"]["rest_depth_mm"] - case.kit.results["cradle"]["pivot_depth_mm"]
    turn = 0.5 / case.setting.sine_distance
    low_edge = middle + case.kit.solution.job.jig.rest_height / 2.0
    assert middle * turn < moved.body_join - plain.body_join < 1.05 * low_edge * turn


def test_a_crooked_key_points_past_the_saddle(case: Case) -> None:
    """A key turned by 0.1° misses the saddle by s·tan 0.1°; one 0.2 mm aside by as much, towards the same side."""
    s = case.kit.solution.neck_set.join_to_saddle
    plain = case.fit()
    turned = assemble(case.kit.solution, case.setting, case.mortise, case.tenon, Centring(0.0, 0.1))
    beside = assemble(case.kit.solution, case.setting, case.mortise, case.tenon, Centring(0.2, 0.0))
    assert abs(turned.sideways - plain.sideways) == pytest.approx(s * math.tan(math.radians(0.1)), rel=0.01)
    assert beside.sideways - plain.sideways == pytest.approx(0.2, abs=1e-9)
    assert key_centring(case.kit) == Centring(pytest.approx(0.0, abs=1e-6), pytest.approx(0.0, abs=1e-6))


# --- solids ----------------------------------------------------------------------------------------------------------


def prism(outline: tuple[P2, ...], low: float, high: float) -> cq.Workplane:
    """A solid between two heights over an outline in the jig's plane."""
    return cq.Workplane("XY", origin=(0, 0, low)).polyline([tuple(p) for p in outline]).close().extrude(high - low)


def carried(solid: cq.Workplane, origin: tuple[float, ...], x: tuple[float, ...], z: tuple[float, ...]) -> cq.Shape:
    """A solid of the jig frame where a frame with that origin, x and z direction stands."""
    return solid.val().moved(cq.Location(cq.Plane(origin, x, z)))


def test_solids_of_neck_and_body_agree(case: Case) -> None:
    """Block with mortise and tenon with neck plane as CAD solids: they share nothing, the tenon keeps its clearances,
    and the plane's height over the top at the saddle is the wanted gap.
    """
    solution, setting, fit = case.kit.solution, case.setting, case.fit()
    tilt = math.radians(solution.neck_set.end_face_tilt)
    depth, shoulder = setting.mortise_depth, setting.tenon_depth
    # Cut in the jig: the block hangs below the plate, the tenon stands over the shoulder.
    edge = case.mortise.wanted.edge
    block = cq.Workplane("XY").box(110.0, 70.0, 45.0, centered=(False, True, False)).translate((edge, 0.0, -45.0))
    block = block.cut(prism(case.mortise.outline, -depth, 0.0))
    eased = solution.joint.ease_end
    tenon = prism(case.tenon.outline, -shoulder, -eased)
    lean = math.radians(setting.neck_angle)
    behind = cq.Workplane("XY").box(200.0, 200.0, 200.0, centered=(True, True, True)).translate((-100.0, 0.0, 0.0))
    # The bed's face: everything behind it, turned about the pivot, is not neck.
    behind = behind.rotate((0, 0, 0), (0, 1, 0), -math.degrees(lean)).translate((0.0, 0.0, setting.pivot.y))
    tenon = tenon.cut(behind)
    # Into the body frame: down the end face, and square to it into the body; the body lies mirrored in Y.
    along, into = (math.sin(tilt), 0.0, -math.cos(tilt)), (math.cos(tilt), 0.0, math.sin(tilt))
    out = tuple(-value for value in into)
    start = tuple(-fit.body_join * value for value in along)
    body = carried(block, start, along, out)
    rise = solution.neck_set.overstand_along_face
    join = -shoulder
    origin = tuple(-rise * a - join * i for a, i in zip(along, into, strict=True))
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
    """The setting comes from the files of the folder: another set block there is another setting."""
    kit = ready_kit("orchestra-14", tmp_path)
    block = kit / "laser" / "set_block.dxf"
    body = kit / "laser" / "body_block.dxf"
    plain = measure_setting(open_kit(kit))
    block.write_bytes(body.read_bytes())
    assert measure_setting(open_kit(kit)).neck_block == pytest.approx(plain.body_block)
