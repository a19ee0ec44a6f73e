"""Shadows of standing parts, the cutter's room between them, and the router's stand: each against another method."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, box
from worked_examples import example_a, make_job

from generator.base.geometry3d import P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.base.points2d import P2, Box, Transform
from generator.jig.build import build_jig
from generator.jig.part import Jig
from generator.job.load import load_job
from generator.job.shop import Shop
from generator.joint.checks import CheckInput, CheckStatus
from generator.joint.checks.router_stand import Plate, router_stand_checks, stands_inside
from generator.joint.solution import Solution, solve
from generator.joint.stations import Use, fence_offset
from generator.proof.cut.clearance import ENOUGH, Reach, clearance_check, nearest, reaches, room_between
from generator.proof.cut.nominal_cut import Cutter
from generator.proof.cut.prism import Prism
from generator.proof.cut.virtual_cut import sweep
from generator.proof.jig.posed_jig import Standing, area_of
from generator.proof.jig.support import bearing, worst_stand


def upright(x0: float, x1: float, low: float, high: float, y0: float, y1: float) -> Prism:
    """A board on edge: a rectangle in X and Z, thick in Y."""
    return Prism("board", box(x0, low, x1, high), y1 - y0, Placement(P3(0.0, y1, 0.0), X_AXIS, Z_AXIS))


def test_the_shadow_of_a_board_on_edge_is_its_plan() -> None:
    """A board 40 × 30 on edge, 12 thick, throws 40 × 12 as soon as its upper edge rises over the level."""
    board = upright(-40.0, 0.0, -50.0, -20.0, 5.0, 17.0)
    assert board.shadow(-19.0).is_empty
    assert board.shadow(-21.0).equals(box(-40.0, 5.0, 0.0, 17.0))
    assert board.highest_in(box(-10.0, 0.0, 10.0, 20.0), -30.0) == pytest.approx(-20.0)


def test_the_shadow_of_a_leaning_board() -> None:
    """A board leaning by 30° with its foot at the origin: over half its height only the upper half throws a shadow."""
    lean = math.radians(30.0)
    up = P3(math.sin(lean), 0.0, math.cos(lean))
    board = Prism("board", box(-5.0, 0.0, 5.0, 100.0), 2.0, Placement(P3(0.0, 0.0, 0.0), Y_AXIS, up))
    shadow = board.shadow(50.0 * math.cos(lean))
    x0, y0, x1, y1 = shadow.bounds
    # The face towards +X rises from 50 along the board; the back face, 2 mm behind, reaches less far.
    assert (y0, y1) == pytest.approx((-5.0, 5.0))
    thick = 2.0 * math.cos(lean)
    assert x1 == pytest.approx(100.0 * math.sin(lean) + max(0.0, thick), abs=1e-6) or x1 == pytest.approx(50.0, abs=2.0)
    assert x0 > 50.0 * math.sin(lean) - 2.5
    assert shadow.area == pytest.approx((x1 - x0) * 10.0)


@given(st.floats(-40.0, 40.0), st.floats(0.0, 360.0), st.floats(-20.0, 20.0), st.integers(0, 10_000))
def test_shadows_hold_every_point_of_the_part_over_the_level(tilt: float, turn: float, level: float, seed: int) -> None:
    """Points drawn at random in a plate with a hole: those over the level lie in the shadow, and the shadow's points
    have such a point above them.
    """
    draw = random.Random(seed)
    profile = Polygon([(0, 0), (60, 0), (60, 20), (25, 40), (0, 40)], [[(10, 10), (20, 10), (20, 20), (10, 20)]])
    a, b = math.radians(turn), math.radians(tilt)
    x_axis = P3(math.cos(a), math.sin(a), 0.0)
    y_axis = P3(-math.sin(a) * math.cos(b), math.cos(a) * math.cos(b), math.sin(b))
    prism = Prism("plate", profile, 9.0, Placement(P3(3.0, -4.0, 1.0), x_axis, y_axis))
    shadow = prism.shadow(level).buffer(1e-6)
    for _ in range(60):
        x, y, z = draw.uniform(0, 60), draw.uniform(0, 40), draw.uniform(0, 9)
        if profile.contains(shapely.Point(x, y)):
            at = prism.placement.to_space(x, y, z)
            if at.z > level + 1e-6:
                assert shadow.contains(shapely.Point(at.x, at.y))
                assert prism.highest_in(shapely.Point(at.x, at.y).buffer(1e-3), level) > at.z - 0.01


def test_room_is_the_lesser_way_out() -> None:
    """A board 2 mm below the bit has that room; one beside it has its distance; one that rises into it overlaps."""
    bit = Reach("bit", box(-20.0, -30.0, 90.0, 30.0), -22.0)
    assert room_between(upright(-15.0, 0.0, -100.0, -24.0, -60.0, 60.0), bit) == pytest.approx(2.0, abs=0.02)
    assert room_between(upright(0.0, 80.0, -20.0, 0.0, 31.2, 43.2), bit) == pytest.approx(1.2, abs=0.02)
    assert room_between(upright(0.0, 80.0, -100.0, -30.0, -60.0, 60.0), bit) == ENOUGH
    assert room_between(upright(-15.0, 0.0, -100.0, -19.5, -60.0, 60.0), bit) == pytest.approx(-2.5)
    assert room_between(upright(0.0, 80.0, -20.0, 0.0, 29.6, 43.2), bit) == pytest.approx(-0.4)


def test_what_slides_may_touch() -> None:
    """The base runs over what is flush with the plate and is hit by what stands over it."""
    base = Reach("base", box(-80.0, -80.0, 80.0, 80.0), 18.0 + 1e-6, slides=True)
    assert room_between(upright(0.0, 25.0, 0.0, 18.0, 0.0, 12.0), base) == ENOUGH
    assert room_between(upright(0.0, 25.0, 0.0, 18.5, 0.0, 12.0), base) == pytest.approx(-0.5, abs=1e-3)


def over_the_tenon(solution: Solution) -> tuple[Polygon, Polygon, object]:
    """Plate, window and bushing centres in the tenon's jig frame, from the model's contours."""
    plate = build_jig(solution).part("template_plate")
    turn = Transform.move(plate.points["body_fence"].x, 0.0).then(Transform.rotate(180.0))
    windows = [o.contour.transformed(turn) for o in plate.openings if o.id.startswith("tenon-window")]
    gone = [area_of(contour.transformed(turn)) for contour in plate.through_contours()]
    area = area_of(plate.outline.transformed(turn)).difference(shapely.union_all(gone))
    router = solution.job.router
    swept = sweep(windows, Cutter(router.bushing_od, router.bit_diameter))
    return area, shapely.union_all([area_of(window) for window in windows]), swept


def standing_round(solution: Solution, jig: Jig, use: Use) -> list[Prism]:
    shapes = {part.name: area_of(part.outline) for part in jig.parts}
    return list(Standing(jig, shapes, fence_offset(solution.job, solution.cradle)).at(use))


def test_the_board_comes_as_near_as_the_rests_width_says() -> None:
    """Nothing is nearer to the bit than the board, which stands w less the bit's whole run-out in front of it."""
    solution = solve(example_a())
    _, _, swept = over_the_tenon(solution)
    depth = solution.joint.tenon_projection_routed
    tools = reaches(swept, solution.job.router, depth, solution.job.stock("plate").actual_thickness)
    near = nearest(standing_round(solution, build_jig(solution), Use.NECK), tools)
    assert near is not None
    assert (near.part, near.tool) == ("board", "bit")
    # w 17, run 6.35 + 1.5, and half the bit besides.
    assert near.room == pytest.approx(17.0 - 7.85 - 6.35, abs=0.02)


def test_a_deeper_cut_meets_the_rest() -> None:
    """The rests begin 3 mm under the deepest cut: one 2 mm deeper leaves 1, one 4 mm deeper runs 1 into the rest."""
    solution = solve(example_a())
    _, _, swept = over_the_tenon(solution)
    plate, standing = (
        solution.job.stock("plate").actual_thickness,
        standing_round(solution, build_jig(solution), Use.NECK),
    )
    rooms = []
    for deeper in (2.0, 4.0):
        depth = solution.joint.tenon_projection_routed + deeper
        near = nearest(standing, reaches(swept, solution.job.router, depth, plate))
        assert near is not None
        assert (near.part, near.tool) == ("upper_rest", "bit")
        rooms.append(near.room)
    assert rooms == pytest.approx([1.0, -1.0], abs=0.02)
    assert clearance_check(Use.NECK, near).status is CheckStatus.FAIL


# --- the router's stand -----------------------------------------------------------------------------------------------


def test_a_base_over_an_edge_stands_as_far_inside_as_its_middle() -> None:
    """On a half plane the hull of the contact ends at the edge: a middle 9 mm from it stands 9 mm inside."""
    half_plane = box(-500.0, -500.0, 0.0, 500.0)
    stand = worst_stand(half_plane, box(-30.0, -20.0, -9.0, 20.0), 150.0, 3.0)
    assert stand.inside == pytest.approx(9.0, abs=1e-6)
    assert stand.where.x == pytest.approx(-9.0)


def test_a_base_between_two_strips_stands_as_on_a_table() -> None:
    """Over a gap narrower than the base both banks carry it: its hull spans the gap."""
    banks = box(-200.0, -200.0, 200.0, -30.0).union(box(-200.0, 30.0, 200.0, 200.0))
    assert worst_stand(banks, box(-10.0, -1.0, 10.0, 1.0), 150.0, 2.0).inside > 60.0
    lost = worst_stand(banks, box(-10.0, -1.0, 10.0, 1.0), 50.0, 2.0)
    assert lost.inside < 0.0


def test_the_tongue_carries_only_over_the_work() -> None:
    """Of the tongue only what lies over the heel's end counts; the rest of the window is a hole."""
    window = box(-16.0, -45.0, 118.0, 45.0).difference(box(-16.0, -7.9, 91.0, 7.9))
    plate = box(-150.0, -90.0, 160.0, 90.0).difference(window)
    carries = bearing(plate, window, 0.0, 100.0)
    assert carries.area == pytest.approx(plate.area - 16.0 * 15.8)


@pytest.mark.parametrize("seed", range(6))
def test_the_stand_is_that_of_the_contacts_hull(seed: int) -> None:
    """Bases of any size anywhere over plates of any size: as far inside as inside shapely's hull of the true area."""
    draw = random.Random(seed)
    for _ in range(40):
        long, half = draw.uniform(60, 130), draw.uniform(5, 12)
        window = Box(-15.0, -draw.uniform(30, 55), long + 25.0, draw.uniform(30, 55))
        nose = draw.choice([0.0, draw.uniform(1.0, half)])
        carried = Box(0.0, -half, draw.uniform(0.6, 1.0) * long, half)
        edge = draw.choice([20.0, 60.0, 200.0])
        outside = Box(-edge - 15.0, -70.0 - edge, long + 25.0 + edge, 70.0 + edge)
        plate = Plate(outside, window, Box(-15.0, -half, long, half), carried, nose, 8.0)
        at, radius = P2(draw.uniform(-10, long + 20), draw.uniform(-30, 30)), draw.uniform(20, 100)
        tongue = box(carried.x0, -half, carried.x1, half)
        if nose:
            corners = box(carried.x1 - nose, -half, carried.x1, half)
            round_end = [shapely.Point(carried.x1 - nose, side * (half - nose)).buffer(nose, 64) for side in (1, -1)]
            tongue = tongue.difference(corners).union(shapely.union_all(round_end).convex_hull)
        area = box(*outside).difference(box(*window)).union(tongue)
        contact = area.intersection(shapely.Point(at.x, at.y).buffer(radius, 180)).convex_hull
        middle = shapely.Point(at.x, at.y)
        away = contact.boundary.distance(middle) if contact.contains(middle) else -contact.distance(middle)
        found = stands_inside(plate, at, radius)
        assert found == pytest.approx(away, abs=0.2) if away > 0.0 else found < 0.2


@pytest.mark.parametrize(
    "make", [example_a, lambda: load_job("ukulele-tenor", Shop()), lambda: make_job(jig={"bridged": True})]
)
def test_two_methods_agree_on_the_stand(make: object) -> None:
    """Hulls of plain points, as solve looks at it, and areas by shapely give one figure within 0.3 mm."""
    solution = solve(make())  # type: ignore[operator]
    work = CheckInput(
        solution.job,
        solution.neck_set,
        solution.joint,
        solution.routing,
        solution.cradle,
        solution.uncertainty,
    )
    (plain,) = router_stand_checks(work)
    area, window, swept = over_the_tenon(solution)
    carries = bearing(area, window, 0.0, solution.joint.heel_blank)
    stand = worst_stand(carries, swept.centres, solution.job.router.base_diameter, 1.0)  # type: ignore[attr-defined]
    assert plain.value == pytest.approx(stand.inside, abs=0.3)
    assert plain.value >= plain.limit
    assert np.isfinite(stand.inside)
