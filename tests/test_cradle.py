"""The cradle against handbook sine settings, turned vectors, and a body laid on the rest step by step."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from worked_examples import example_a, example_b, example_c, example_d, make_jig_spec, make_job

from generator.cradle import angle_of_block, bed_top_below_pivot, block_height, shim_stack
from generator.frame import body_to_jig, fence_offset, neck_to_jig
from generator.geometry3d import P3
from generator.model.job import Job
from generator.solution import Solution, solve
from generator.top import DomeLine, seat

INCH = 25.4
EXAMPLES = [example_a, example_b, example_c, example_d]


def turned(x: float, z: float, angle: float) -> tuple[float, float]:
    """(x, z) turned so that what lies below the pivot moves towards +X for a positive angle (degrees)."""
    turn = complex(math.cos(math.radians(angle)), math.sin(math.radians(angle)))
    spun = complex(x, z) * turn
    return spun.real, spun.imag


# --- sine setting --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("angle", "height", "digits"),
    [
        (23 + 41 / 60, 2.0084, 4),
        (27, 2.270, 3),
        (18, 1.545, 3),
        (34 + 25 / 60, 2.826, 3),
        (1, 0.08726, 5),
        (1.5, 0.13088, 5),
        (2, 0.17450, 5),
    ],
)
def test_handbook_sine_bar(angle: float, height: float, digits: int) -> None:
    """A 5 in sine bar: H = L·sin a (US Army TC 9-524, app. C; two machining handbooks; small angles by arithmetic)."""
    found = block_height(angle, 0.0, 5 * INCH, 0.0) / INCH
    assert found == pytest.approx(height, abs=0.51 * 10**-digits)


@given(angle=st.floats(-8, 10), p=st.floats(60, 300), c=st.floats(0, 60), radius=st.floats(2, 12))
def test_block_by_turning_the_nose(angle: float, p: float, c: float, radius: float) -> None:
    """The block fills what is left between a fixed ledge and the nose rod once the bed has turned.

    Reference: the nose's centre turned as a vector; the rod's radius must cancel.
    """
    base = 18.0
    ledge = -c - radius - base
    x, _ = turned(-c, -p, angle)
    assert block_height(angle, base, p, c) == pytest.approx(x - radius - ledge, abs=1e-9)


@given(angle=st.floats(-8, 10), p=st.floats(60, 300), c=st.floats(0, 60))
def test_angle_of_a_block(angle: float, p: float, c: float) -> None:
    """The angle read back off a block is the one it was made for."""
    assert angle_of_block(block_height(angle, 18, p, c), 18, p, c) == pytest.approx(angle, abs=1e-9)


def test_lever_by_differences() -> None:
    """The lever is what a small turn does to the block."""
    cradle = solve(example_a()).cradle
    step = cradle.block(cradle.neck_bed_angle + 1e-4) - cradle.block(cradle.neck_bed_angle - 1e-4)
    assert cradle.block_lever == pytest.approx(step / math.radians(2e-4), rel=1e-7)


@pytest.mark.parametrize(
    ("change", "stack"), [(0.0, ()), (0.4, (0.2, 0.2)), (0.9, (0.5, 0.2, 0.2)), (0.46, (0.5,)), (9.0, None)]
)
def test_shim_stack(change: float, stack: tuple[float, ...] | None) -> None:
    """Fewest shims nearest to the change; more than all of them is all of them."""
    shims = (0.1, 0.2, 0.5, 1.0)
    assert shim_stack(change, shims) == (tuple(sorted(shims * 2, reverse=True)) if stack is None else stack)


def test_every_tenth_can_be_laid() -> None:
    """With two of each shim every tenth up to their sum of 3.6 mm is at hand."""
    for tenths in range(37):
        assert math.fsum(shim_stack(tenths / 10, (0.1, 0.2, 0.5, 1.0))) == pytest.approx(tenths / 10)


# --- bed -----------------------------------------------------------------------------------------------------------


def test_bed_stays_below_the_cut() -> None:
    """At every angle of the range the bed's upper edge and the rest stay 2 mm below the cut, and at one only just."""
    for low, cut, thick in ((-40, 0.0, 18.0), (-40, 1.2, 18.0), (-40, 0.0, 10.0), (0, 0.0, 18.0)):
        spec = make_jig_spec(angle_low=low / 10)
        down = bed_top_below_pivot(spec, cut, thick)
        rooms = []
        for tenth in range(low, 61):
            corners = [(0.0, -down), (-thick, -down), (spec.rest_thickness, -down)]
            rooms.append(-cut - max(turned(x, z, tenth / 10)[1] for x, z in corners))
        assert min(rooms) == pytest.approx(2.0, abs=1e-9)


# --- body ----------------------------------------------------------------------------------------------------------


def laid_body(solution: Solution) -> float:
    """Jig X of the join of a body slid along the plate until its top touches the rest strip, by bisection.

    The top is drawn as points, turned by the end face's tilt; the rest is a strip standing off the bed.
    """
    cradle, neck_set, spec = solution.cradle, solution.neck_set, solution.job.jig
    tilt = math.radians(neck_set.end_face_tilt)
    top = []
    for step in range(4001):
        x = 80.0 * step / 4000
        z = neck_set.top.height(x)
        top.append((x * math.sin(tilt) - z * math.cos(tilt), -(x * math.cos(tilt) + z * math.sin(tilt))))
    lean = math.radians(cradle.body_bed_angle)
    along, out = (math.sin(lean), -math.cos(lean)), (math.cos(lean), math.sin(lean))
    first = cradle.bed_top_depth - cradle.pivot_depth
    last = first + spec.rest_height

    def room(join: float) -> float:
        """Least distance from the strip's face to the top where the strip is."""
        least = math.inf
        for x, z in top:
            x, z = x + join, z + cradle.pivot_depth
            if first <= x * along[0] + z * along[1] <= last:
                least = min(least, x * out[0] + z * out[1] - spec.rest_thickness)
        return least

    low, high = -20.0, 20.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if room(middle) < 0 else (low, middle)
    return low


@pytest.mark.parametrize("make", EXAMPLES)
def test_body_laid_on_the_rest(make: Callable[[], Job]) -> None:
    """Slid along the plate until it touches, the body's join comes to lie where the formula says, within 0.01 mm."""
    solution = solve(make())
    assert solution.cradle.body_join_x == pytest.approx(laid_body(solution), abs=0.01)


@pytest.mark.parametrize(("tilt", "slack"), [(-2.0, 0.01), (2.0, 0.01), (-5.0, 0.03), (5.0, 0.03)])
@pytest.mark.parametrize("feet", [15, 28])
def test_tilted_bodies_on_the_rest(tilt: float, slack: float, feet: int) -> None:
    """Tilted end faces on strongly domed tops stay as near as the formula says."""
    dome = {"form": "dome", "radius": feet * 304.8, "crown_from_join": 290}
    solution = solve(make_job(instrument={"end_face_tilt": tilt, "top": dome}))
    assert solution.cradle.body_join_x == pytest.approx(laid_body(solution), abs=slack)


@pytest.mark.parametrize("until", [25.6, 27.0, 32.0, 36.0, 39.4])
@pytest.mark.parametrize(("radius", "tilt"), [(8534.4, 0.0), (4572.0, -2.0), (4572.0, 2.0), (2500.0, 0.0)])
def test_body_on_a_rest_over_the_end_of_the_flat(until: float, radius: float, tilt: float) -> None:
    """Where a dome's flat part ends under the rest, the strip bears on both sides of the valley, within 0.01 mm."""
    top = {"form": "dome", "radius": radius, "crown_from_join": 200, "flat_until": until}
    solution = solve(make_job(instrument={"end_face_tilt": tilt, "top": top}))
    first = solution.cradle.bed_top_depth
    assert first < until < first + 14.0
    assert solution.cradle.body_join_x == pytest.approx(laid_body(solution), abs=0.01)


def test_the_seat_over_a_valley_by_hand() -> None:
    """On 28 ft, crown at 290 and flat until 32, a strip from 25.5 to 39.5 bears at its two ends.

    By hand: the arc climbs from 32 to 39.5 by sqrt(8534.4² − 250.5²) − sqrt(8534.4² − 258²) = 0.2236, over 14 mm
    0.915 degrees; the plain slope at 32.5 would be 1.73 degrees.
    """
    bears = seat(DomeLine(8534.4, 290.0, 32.0), 25.5, 39.5)
    assert bears.slope * 14.0 == pytest.approx(0.2236, abs=1e-4)
    assert bears.height == pytest.approx(0.1118, abs=1e-4)
    assert math.degrees(math.atan(bears.slope)) == pytest.approx(0.915, abs=5e-4)


def test_a_seat_touches_a_small_dome_before_its_end() -> None:
    """Just past the kink of a small dome the strip touches on the arc, not with its end: nothing of the arc is over it.

    Judge: the arc's height over the strip's line at 14 000 stations.
    """
    top = DomeLine(1500.0, 60.0, 25.6)
    bears = seat(top, 25.5, 39.5)
    over = [top.height(x) - bears.slope * (x - 25.5) for x in (25.5 + step / 1000 for step in range(14001))]
    assert max(over) == pytest.approx(0.0, abs=1e-7)
    assert bears.slope > top.height(39.5) / 14.0


def test_flat_top_on_the_rest() -> None:
    """A square, flat body lies parallel to the bed, its join just the rest's thickness in front of the face."""
    cradle = solve(example_c()).cradle
    assert cradle.body_bed_angle == 0.0
    assert cradle.body_block == 13.0
    assert cradle.body_join_x == pytest.approx(3.0)


def test_flat_top_without_a_rest() -> None:
    """A flat body straight on the bed turns about the pivot: X = −depth of the pivot · tan(tilt)."""
    job = make_job(instrument={"top": {"form": "flat"}, "end_face_tilt": 2.0}, jig={"rest_thickness": 0})
    cradle = solve(job).cradle
    assert cradle.body_bed_angle == 2.0
    assert cradle.body_join_x == pytest.approx(-22.225 * math.tan(math.radians(2.0)), abs=1e-9)


def test_a_flat_bed_without_rest_would_push_a_dome_away() -> None:
    """Why there is a rest: a flat bed 185 mm long meets a 28 ft dome near its crown, its join millimetres off.

    Reference: the dome dropped on the bed by its own points, square to the plate.
    """
    heights = [math.sqrt(8534.4**2 - (x - 290) ** 2) - math.sqrt(8534.4**2 - 290**2) for x in range(26, 211)]
    assert max(heights) == pytest.approx(4.5, abs=0.15)
    assert abs(solve(example_a()).cradle.body_join_x - 3.0) < 0.8


# --- work in the jig -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("make", EXAMPLES)
def test_body_in_the_jig(make: Callable[[], Job]) -> None:
    """The end face lies on the plate, the back side hangs down, the bass side changes sides."""
    solution = solve(make())
    tilt = math.radians(solution.neck_set.end_face_tilt)
    for down in (0.0, 30.0, 90.0):
        spot = body_to_jig(P3(down * math.sin(tilt), 7.0, -down * math.cos(tilt)), solution.neck_set, solution.cradle)
        assert spot.z == pytest.approx(0.0, abs=1e-9)
        assert spot.x == pytest.approx(solution.cradle.body_join_x + down)
        assert spot.y == -7.0
    tail = body_to_jig(P3(200.0, 0.0, 0.0), solution.neck_set, solution.cradle)
    assert tail.z < -190


@pytest.mark.parametrize("make", EXAMPLES)
def test_neck_in_the_jig(make: Callable[[], Job]) -> None:
    """The neck plane lies on the bed turned by the cradle angle, the shoulder at the depth of cut, Y unchanged."""
    solution = solve(make())
    neck_set, cradle = solution.neck_set, solution.cradle
    slope = math.tan(math.radians(neck_set.set_angle))
    for x in (-150.0, -40.0, -5.0):
        spot = neck_to_jig(P3(x, 4.0, neck_set.overstand + x * slope), neck_set, solution.joint, cradle)
        back_x, back_z = turned(spot.x, spot.z + cradle.pivot_depth, -cradle.neck_bed_angle)
        assert back_x == pytest.approx(0.0, abs=1e-9)
        assert back_z < 0
        assert spot.y == 4.0
    tilt = math.radians(neck_set.end_face_tilt)
    heel = neck_to_jig(P3(60 * math.sin(tilt), 0.0, -60 * math.cos(tilt)), neck_set, solution.joint, cradle)
    assert heel.z == pytest.approx(-solution.joint.tenon_projection_routed)
    assert heel.x == pytest.approx(60.0 + neck_set.overstand_along_face)


@given(
    a=st.tuples(st.floats(-200, 300), st.floats(-60, 60), st.floats(-100, 20)),
    b=st.tuples(st.floats(-200, 300), st.floats(-60, 60), st.floats(-100, 20)),
)
def test_both_maps_are_rigid_and_unlike_in_y(a: tuple[float, ...], b: tuple[float, ...]) -> None:
    """Neither map stretches or mirrors the work; what is on body +Y is on jig +Y for the neck and −Y for the body."""
    solution = solve(example_b())
    p, q = P3(*a), P3(*b)
    for mapped, side in (
        (lambda v: body_to_jig(v, solution.neck_set, solution.cradle), -1.0),
        (lambda v: neck_to_jig(v, solution.neck_set, solution.joint, solution.cradle), 1.0),
    ):
        assert math.dist(mapped(p), mapped(q)) == pytest.approx(math.dist(p, q), abs=1e-9)
        origin = mapped(P3(0, 0, 0))
        x, y, z = (mapped(P3(*unit)).minus(origin) for unit in ((1, 0, 0), (0, 1, 0), (0, 0, 1)))
        assert x.cross(y).dot(z) == pytest.approx(1.0)
        assert y.y == pytest.approx(side)


def test_fences() -> None:
    """Both fences stand off the plate's middle by the bed, the gap and half the cheeks' depth: 18 + 3 + 45 mm."""
    assert fence_offset(example_a()) == 66.0


def test_second_block_moves_the_pivot_with_the_shoulder() -> None:
    """The pivot follows the routed shoulder, the bed's edge still clears the deeper mortise."""
    cradle = solve(make_job(jig={"second_depth_block": True})).cradle
    assert cradle.bed_top_depth - 22.225 > 2.0


def with_top(**top: Any) -> Solution:
    return solve(make_job(instrument={"top": top}))


def test_body_angle_follows_the_top() -> None:
    """The bed lies parallel to the top at the rest: it turns away from a rising dome, and with a tilted end face."""
    assert with_top(form="flat").cradle.body_bed_angle == 0.0
    rising = with_top(form="dome", radius=8534.4, crown_from_join=290)
    rest = rising.cradle.rest_depth
    assert rising.cradle.body_bed_angle == pytest.approx(-math.degrees(math.asin((290 - rest) / 8534.4)))
