"""The rests against worked stations, a neck laid on them by its own points, and a body slid against its rest."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from worked_examples import example_a, example_b, example_c, example_d, example_n, make_job

from generator.base.geometry3d import P3
from generator.job.model.job import Job
from generator.joint.cradle import (
    contact_depth,
    rest_width,
    run_out,
    shim_change,
    shim_stack,
    shim_stock,
    upper_rest_width,
)
from generator.joint.shoulder import angle_of_gap, gap_of_angle
from generator.joint.solution import Solution, solve
from generator.joint.stations import (
    Use,
    board_width,
    body_to_jig,
    bracket_depth,
    bracket_length,
    clamp_throat,
    fence_offset,
    neck_to_jig,
    plate_half_length,
    plate_half_width,
    to_plate,
)
from generator.joint.top import DomeLine, FlatLine, ParabolaLine, furthest_out, station_at_depth

EXAMPLES = [example_a, example_b, example_c, example_d, example_n]
INCH = 25.4

#: Stations worked twice outside the project, by vectors and by exact sections: α, w, rest, rest as cut, a, contact
#: depth, shoulder X, tongue end, X_j on the centreline, opening end on the centreline, X_0, X_1, half window.
STATIONS = {
    "a": (1.6654, 17, 21.3613, 20.3613, 26, 25.225, -0.0872, 89.3253, 1.1843, 94.7718, -15.7875, 120.6375, 50.2875),
    "b": (0.3172, 17, 17.8305, 16.8305, 26, 25.225, -0.0166, 93.4169, 0.4038, 98.0124, -15.7875, 124.6375, 51.2875),
    "c": (0.7367, 16, 17.2858, 16.2858, 25, 17.0, -0.0386, 62.9614, 0.0, 68.0, -9.5, 83.0, 31.5),
    "d": (0.0806, 17, 17.2109, 16.2109, 26, 25.225, -0.0042, 86.4388, 0.2839, 90.9019, -15.7875, 117.6375, 50.2875),
    "n": (-0.4380, 16, 14.8532, 13.8532, 25, 37.0, 0.1147, 79.6147, 0.0, 85.5, -16.0, 109.5, 49.5),
}
#: Sizes from the same source: tenon half, body half, plate width, board width, board height, bracket length, depth.
SIZES = {
    "a": (186.6375, 160.7577, 176.575, 205, 198, 165.6375, 94.225),
    "b": (190.6375, 163.9983, 178.575, 205, 198, 169.6375, 94.225),
    "c": (149.0, 149.0, 131.0, 155, 139, 128.0, 63.0),
}


def made(letter: str) -> Solution:
    return solve({make.__name__[-1]: make for make in EXAMPLES}[letter]())


# --- worked examples -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("letter", STATIONS)
def test_worked_stations(letter: str) -> None:
    """Rests and openings of five unlike instruments come out as worked by two other methods, to the last digit."""
    solution = made(letter)
    cradle, routing = solution.cradle, solution.routing
    below = solution.neck_set.top.falls_beside(cradle.rest_beside)
    found = (
        cradle.angle,
        cradle.upper_rest,
        cradle.angle_rest,
        cradle.angle_rest_drawn,
        fence_offset(solution.job, cradle),
        cradle.contact_depth,
        cradle.shoulder_x,
        routing.tongue_length,
        cradle.body_join_x + below,
        routing.opening_length + below,
        routing.opening_start,
        routing.window_end,
        routing.window_half_width,
    )
    assert found == pytest.approx(STATIONS[letter], abs=6e-5)


def test_the_bit_starts_clear_of_a_top_that_leans_back() -> None:
    """The bit's edge begins 1.5 mm before X = 0, and 1 mm before a join that lies further back than half of that."""
    assert [run_out(12.0, x) for x in (2.0, 0.0, -0.5, -1.57)] == pytest.approx([7.5, 7.5, 7.5, 8.57])
    leaning = solve(make_job(instrument={"end_face_tilt": 4.0}))
    before = leaning.cradle.body_join_x - (leaning.job.router.bit_diameter / 2.0 - leaning.routing.run_out)
    assert leaning.cradle.body_join_x < -0.9
    assert before == pytest.approx(1.0)


@pytest.mark.parametrize("letter", SIZES)
def test_worked_sizes(letter: str) -> None:
    """Plate, board and brackets of three instruments have the sizes worked outside the project."""
    solution = made(letter)
    job, cradle, routing = solution.job, solution.cradle, solution.routing
    found = (
        plate_half_length(Use.NECK, job, cradle, routing),
        plate_half_length(Use.BODY, job, cradle, routing),
        2.0 * plate_half_width(job, routing),
        board_width(job, routing),
        cradle.board_height,
        bracket_length(job, cradle, routing),
        bracket_depth(cradle),
    )
    assert found == pytest.approx(SIZES[letter], abs=6e-5)


@pytest.mark.parametrize(
    ("letter", "gap", "change"),
    [
        ("a", 2.6, 0.4657),
        ("a", 4.3, -0.4140),
        ("b", 2.0, 0.3896),
        ("d", 2.4, 0.3164),
        ("n", -3.0, 0.2294),
        ("c", 2.1, 0.2057),
    ],
)
def test_worked_shims(letter: str, gap: float, change: float) -> None:
    """A reading asks for the shim worked outside the project, and that shim put behind the rest gives the target."""
    solution = made(letter)
    neck_set, p = solution.neck_set, solution.cradle.rest_spacing
    found = shim_change(p, neck_set.end_face_tilt, angle_of_gap(neck_set, gap), neck_set.set_angle)
    assert found == pytest.approx(change, abs=6e-5)
    lean = math.tan(math.radians(angle_of_gap(neck_set, gap) - neck_set.end_face_tilt)) + found / p
    set_angle = math.degrees(math.atan(lean)) + neck_set.end_face_tilt
    assert gap_of_angle(neck_set, set_angle) == pytest.approx(neck_set.saddle_gap, abs=1e-6)


# --- rests -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("angle", "height", "digits"),
    [(23 + 41 / 60, 2.0084, 4), (27, 2.270, 3), (18, 1.545, 3), (34 + 25 / 60, 2.826, 3), (1, 0.08726, 5)],
)
def test_handbook_sine_bar(angle: float, height: float, digits: int) -> None:
    """Over p = L·cos a a rest rises p·tan a, the height of a 5 in sine bar (US Army TC 9-524, app. C; handbooks)."""
    p = 5 * INCH * math.cos(math.radians(angle))
    assert rest_width(angle, p, 0.0) / INCH == pytest.approx(height, abs=0.51 * 10**-digits)


@given(angle=st.floats(-4, 6), p=st.floats(100, 200), w=st.floats(16, 30), r=st.floats(6, 18))
def test_a_straight_neck_laid_on_the_rests(angle: float, p: float, w: float, r: float) -> None:
    """A straight edge pushed against both rests' corners lies at the angle, and crosses X = 0 at the contact depth.

    Reference: of all lines through two of the rests' four front corners, the one with no corner in front of it.
    """
    d1 = 25.0
    out = rest_width(angle, p, w) - w
    upper, lower = [(d1, 0.0), (d1 + r, 0.0)], [(d1 + p, out), (d1 + p + r, out)]
    lines = [(a, (b[1] - a[1]) / (b[0] - a[0])) for a in upper for b in lower]
    corners = upper + lower
    (point, slope) = next((a, k) for a, k in lines if all(x <= a[1] + k * (d - a[0]) + 1e-9 for d, x in corners))
    assert math.degrees(math.atan(slope)) == pytest.approx(angle, abs=1e-9)
    crossing = point[0] - point[1] / slope if abs(slope) > 1e-6 else contact_depth(angle, d1, r)
    assert crossing == pytest.approx(contact_depth(angle, d1, r), abs=1e-5)


@pytest.mark.parametrize(
    ("total", "stack"),
    [(1.0, (1.0,)), (0.0, ()), (1.4657, (1.0, 0.5)), (0.586, (0.5, 0.1)), (0.9, (0.5, 0.2, 0.2)), (9.0, None)],
)
def test_shim_stack(total: float, stack: tuple[float, ...] | None) -> None:
    """Fewest shims nearest to the total; more than all of them is all of them, three of the nominal one included."""
    shims = (0.1, 0.2, 0.5, 1.0)
    everything = tuple(sorted(shim_stock(shims, 1.0), reverse=True))
    assert shim_stack(total, shims, 1.0) == (everything if stack is None else stack)
    assert everything == (1.0, 1.0, 1.0, 0.5, 0.5, 0.2, 0.2, 0.1, 0.1)


@given(
    st.lists(st.sampled_from([0.05, 0.1, 0.2, 0.3, 0.5, 1.0]), min_size=1, max_size=4, unique=True),
    st.sampled_from([0.5, 0.8, 1.0]),
    st.one_of(st.floats(-1.0, 5.0), st.integers(0, 400).map(lambda hundredths: hundredths / 100.0)),
)
def test_no_stack_comes_nearer_with_fewer_shims(shims: list[float], nominal: float, total: float) -> None:
    """Against every choice from the stock there is: none is nearer, and of those as near none has fewer shims."""
    stock = shim_stock(tuple(shims), nominal)
    found = shim_stack(total, tuple(shims), nominal)
    every = [one for count in range(len(stock) + 1) for one in combinations(stock, count)]
    best = min((round(abs(math.fsum(one) - total), 9), len(one)) for one in every)
    assert (round(abs(math.fsum(found) - total), 9), len(found)) == best
    assert not Counter(found) - Counter(stock)


def test_every_tenth_can_be_laid_both_ways() -> None:
    """From the nominal 1.0 every tenth down to none and up to 2.5 is at hand."""
    for tenths in range(26):
        total = math.fsum(shim_stack(tenths / 10, (0.1, 0.2, 0.5, 1.0), 1.0))
        assert total == pytest.approx(tenths / 10)


@pytest.mark.parametrize("make", EXAMPLES)
def test_both_directions_trim_from_the_kit(make: Callable[[], Job]) -> None:
    """Every gap within 1.5 mm of the target is put right from the kit's own shims, within 0.1 mm of gap."""
    solution = solve(make())
    neck_set, cradle, spec = solution.neck_set, solution.cradle, solution.job.jig
    for step in range(-30, 31):
        gap = neck_set.saddle_gap + step * 0.05
        found = angle_of_gap(neck_set, gap)
        change = shim_change(cradle.rest_spacing, neck_set.end_face_tilt, found, neck_set.set_angle)
        laid = math.fsum(shim_stack(cradle.nominal_shim + change, spec.shims, spec.nominal_shim)) - cradle.nominal_shim
        lean = math.tan(math.radians(found - neck_set.end_face_tilt)) + laid / cradle.rest_spacing
        reached = gap_of_angle(neck_set, math.degrees(math.atan(lean)) + neck_set.end_face_tilt)
        assert reached == pytest.approx(neck_set.saddle_gap, abs=0.115)


def test_the_measured_stand_off_sets_the_next_rest() -> None:
    """A jig whose board leaves 17.30 at the angle rest takes a rest 0.30 wider than one that is true; the law stays."""
    true, built = solve(make_job()).cradle, solve(make_job(jig={"stand_off": 17.3})).cradle
    assert built.angle_rest == true.angle_rest
    assert built.angle_rest_drawn - true.angle_rest_drawn == pytest.approx(0.3)
    assert (true.stand_off_measured, built.stand_off_measured) == (None, 17.3)


def test_each_term_of_the_upper_rest() -> None:
    """w grows with the bit, a fat bushing, a steep forward set and a bulging top, one term each, in whole mm."""
    usual = {"board": 18.0, "bushing_od": 15.875, "bit": 12.7, "run": 7.85}
    assert upper_rest_width(1.0, 150, 0.0, **usual) == 17.0  # 12.7 + 3.5
    assert upper_rest_width(1.0, 150, 0.0, board=18.0, bushing_od=10.0, bit=6.0, run=4.5) == 16.0
    assert upper_rest_width(1.0, 150, 0.0, board=6.0, bushing_od=30.0, bit=12.7, run=7.85) == 26.0  # 7.85 + 15 + 6 − 3
    assert upper_rest_width(-3.0, 150, 0.0, **usual) == 21.0  # 13 + 7.861
    assert upper_rest_width(1.0, 150, 17.2, **usual) == 19.0


def test_a_body_tilted_towards_the_neck_widens_the_rest() -> None:
    """On a 5° end face running forward, w = 19 keeps the dome off the board (worked example outside the project)."""
    assert solve(make_job(instrument={"end_face_tilt": -5.0})).cradle.upper_rest == 19.0


# --- body ------------------------------------------------------------------------------------------------------------


def laid_body(solution: Solution, first: float, last: float) -> float:
    """Jig X of the join of a body slid along the plate until the part of its top between two depths touches X = 0.

    The top is drawn as points, turned by the end face's tilt; 20 001 points over 260 mm.
    """
    neck_set = solution.neck_set
    tilt = math.radians(neck_set.end_face_tilt)
    reach = -math.inf
    for step in range(20001):
        x = 260.0 * step / 20000
        z = neck_set.top.height(x)
        if first <= x * math.cos(tilt) + z * math.sin(tilt) <= last:
            reach = max(reach, z * math.cos(tilt) - x * math.sin(tilt))
    return reach


@pytest.mark.parametrize("tilt", [-5.0, -2.0, 0.0, 1.2, 5.0])
@pytest.mark.parametrize("feet", [10, 12, 28])
def test_a_domed_body_against_its_rest(feet: int, tilt: float) -> None:
    """Slid along the plate until it touches, the join comes to lie where the formula says, domes down to 10 ft.

    The rest begins 15.525 mm beside the centreline, where a sphere lies y²/2R lower; within the points, 0.003 mm.
    """
    dome = {"form": "dome", "radius": feet * 304.8, "crown_from_join": 200}
    solution = solve(make_job(instrument={"end_face_tilt": tilt, "top": dome}))
    cradle = solution.cradle
    centre = laid_body(solution, cradle.rest_depth, cradle.rest_depth + cradle.rest_thickness)
    assert cradle.body_join_x == pytest.approx(centre - 15.525**2 / (2 * feet * 304.8), abs=3e-3)


@pytest.mark.parametrize("make", EXAMPLES)
def test_the_bulge_against_points(make: Callable[[], Job]) -> None:
    """Nothing of the top comes nearer to the board than the bulge says."""
    solution = solve(make())
    cradle = solution.cradle
    assert cradle.bulge == pytest.approx(laid_body(solution, 0.0, cradle.board_height) - cradle.body_join_x, abs=3e-3)
    assert cradle.upper_rest - cradle.bulge >= 1.0


@given(
    top=st.one_of(
        st.just(FlatLine()),
        st.builds(DomeLine, st.floats(1600, 20000), st.floats(100, 400), st.floats(0, 60)),
        st.builds(ParabolaLine, st.floats(-2, 8), st.floats(180, 330)),
    ),
    tilt=st.floats(-5, 5),
    first=st.floats(0, 40),
    size=st.floats(1, 170),
)
def test_furthest_out_against_a_search(top: DomeLine, tilt: float, first: float, size: float) -> None:
    """The closed form of the furthest point is never below, and within a thousandth of, a fine search's."""
    turn = math.radians(tilt)
    low, high = station_at_depth(top, tilt, first), station_at_depth(top, tilt, first + size)
    stations = [low + (high - low) * i / 2000 for i in range(2001)]
    searched = max(top.height(x) * math.cos(turn) - x * math.sin(turn) for x in stations)
    assert searched - 1e-9 <= furthest_out(top, tilt, first, first + size) <= searched + 1e-3


# --- work in the jig -------------------------------------------------------------------------------------------------


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


@pytest.mark.parametrize("make", EXAMPLES)
def test_neck_in_the_jig(make: Callable[[], Job]) -> None:
    """The neck plane passes both rests' working edges, the shoulder lies at the depth of cut, Y is unchanged."""
    solution = solve(make())
    neck_set, cradle = solution.neck_set, solution.cradle
    slope = math.tan(math.radians(neck_set.set_angle))
    for x in (-190.0, -40.0, -5.0):
        spot = neck_to_jig(P3(x, 4.0, neck_set.neck_rise + x * slope), neck_set, solution.joint, cradle)
        assert spot.x == pytest.approx((-spot.z - cradle.contact_depth) * math.tan(math.radians(cradle.angle)))
        assert spot.y == 4.0
    edge = cradle.contact_depth + cradle.rest_spacing
    assert cradle.neck_plane_x(edge) == pytest.approx(cradle.angle_rest - cradle.upper_rest)
    tilt = math.radians(neck_set.end_face_tilt)
    heel = neck_to_jig(P3(60 * math.sin(tilt), 0.0, -60 * math.cos(tilt)), neck_set, solution.joint, cradle)
    assert heel.z == pytest.approx(-solution.joint.tenon_projection_routed)
    assert heel.x == pytest.approx(cradle.shoulder_x + 60.0 + neck_set.neck_rise_along_face)


@given(
    a=st.tuples(st.floats(-200, 300), st.floats(-60, 60), st.floats(-100, 20)),
    b=st.tuples(st.floats(-200, 300), st.floats(-60, 60), st.floats(-100, 20)),
)
def test_maps_are_rigid_and_unlike_in_y(a: tuple[float, ...], b: tuple[float, ...]) -> None:
    """Neither map stretches or mirrors the work; in the plate's frame body +Y of neck and body fall on one side."""
    solution = solve(example_b())
    fence = fence_offset(solution.job, solution.cradle)
    p, q = P3(*a), P3(*b)
    for use, mapped, side in (
        (Use.BODY, lambda v: body_to_jig(v, solution.neck_set, solution.cradle), -1.0),
        (Use.NECK, lambda v: neck_to_jig(v, solution.neck_set, solution.joint, solution.cradle), 1.0),
    ):
        assert math.dist(mapped(p), mapped(q)) == pytest.approx(math.dist(p, q), abs=1e-9)
        origin = mapped(P3(0, 0, 0))
        x, y, z = (mapped(P3(*unit)).minus(origin) for unit in ((1, 0, 0), (0, 1, 0), (0, 0, 1)))
        assert x.cross(y).dot(z) == pytest.approx(1.0)
        assert y.y == pytest.approx(side)
        in_plate = to_plate(use, mapped(P3(0, 1, 0)), fence).minus(to_plate(use, mapped(P3(0, 0, 0)), fence))
        assert in_plate.y == pytest.approx(-1.0)


def test_clamps_pass_board_and_shoulder() -> None:
    """The throat is what lies between the jaw, 15 mm inside the board's edge, and a bar outside board and shoulder.

    Orchestra: board 205 wide, shoulder 105 either way: 105 + 3 − 87.5; a body 150 wide there: the board decides.
    """
    for half, wanted in ((105.0, 20.5), (150.0, 65.5), (75.0, 18.0)):
        solution = solve(make_job(instrument={"shoulder_half_width": half}))
        assert clamp_throat(solution.job, solution.cradle, solution.routing) == pytest.approx(wanted)


def test_a_bar_below_the_neck_block_keeps_off_the_wider_body() -> None:
    """A bar 26 high, its middle at d1 + r/2, ends 13 deeper; 0.6 of what lies below the block is added."""
    solution = solve(make_job(instrument={"neck_block_thickness": 40.0}))
    foot = solution.cradle.rest_depth + solution.cradle.rest_thickness / 2.0 + 13.0
    assert clamp_throat(solution.job, solution.cradle, solution.routing) == pytest.approx(20.5 + 0.6 * (foot - 40.0))
