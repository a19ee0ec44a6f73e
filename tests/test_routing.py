"""Openings, tongue, run-out and passes: published bushing arithmetic, and the cut done by shapely."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import translate
from shapely.geometry import Polygon, box
from worked_examples import example_a, example_c, make_job, make_router

from generator.job.model.job import Job
from generator.joint.router_template import edge_offset, even_passes, held_back_passes
from generator.joint.solution import Solution, solve

INCH = 25.4
#: Segments a quarter circle; the chord error at 16 mm radius is 0.0001 mm.
FINE = 256


# --- published -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bushing", "bit", "offset"),
    [(0.75 * INCH, 0.5 * INCH, INCH / 8), (15.0, 9.0, 3.0), (30.0, 10.0, 10.0)],
)
def test_published_offsets(bushing: float, bit: float, offset: float) -> None:
    """Half of bushing less bit (woodworking.stackexchange question 7205; UK forum on sizing guide bushes)."""
    assert edge_offset(make_router(bushing_od=bushing, bit_diameter=bit)) == pytest.approx(offset)


def test_published_opening() -> None:
    """An 8 by 4 in cut with a 3/4 in bushing and 1/4 in bit wants an 8 1/2 by 4 1/2 in opening (router forum)."""
    o = edge_offset(make_router(bushing_od=0.75 * INCH, bit_diameter=0.25 * INCH))
    assert (8 * INCH + 2 * o, 4 * INCH + 2 * o) == pytest.approx((8.5 * INCH, 4.5 * INCH))


def test_published_inlay_hole() -> None:
    """A 65 mm opening, 30 mm bush and 10 mm cutter leave a 45 mm hole (woodworking article on inlay templates)."""
    assert 65 - 2 * edge_offset(make_router(bushing_od=30, bit_diameter=10)) == pytest.approx(45)


def test_a_measured_offset_wins() -> None:
    """An offset found from a test cut replaces the arithmetic, everywhere."""
    plain, measured = solve(make_job()), solve(make_job(router={"edge_offset": 1.55}))
    assert measured.routing.edge_offset == 1.55
    assert measured.routing.opening_width - plain.routing.opening_width == pytest.approx(2 * (1.55 - 1.5875))
    assert measured.routing.tongue_width - plain.routing.tongue_width == pytest.approx(2 * (1.5875 - 1.55))
    assert measured.routing.tongue_length - plain.routing.tongue_length == pytest.approx(1.5875 - 1.55)


# --- the cut itself ------------------------------------------------------------------------------------------------


def rounded_end(start: float, end: float, width: float, radius: float) -> Polygon:
    """A strip along x from `start`, its far corners rounded."""
    strip = box(start, -width / 2, end, width / 2)
    if radius == 0:
        return strip
    inner = box(start - 100, -width / 2 + radius, end - radius, width / 2 - radius)
    return inner.buffer(radius, quad_segs=FINE).intersection(strip)


def mortise_cut(solution: Solution) -> Polygon:
    """What the bit removes: bushing centres at least its radius inside the opening, grown by the bit's radius."""
    routing, router = solution.routing, solution.job.router
    opening = rounded_end(
        routing.opening_start, routing.opening_length, routing.opening_width, routing.opening_corner_radius
    )
    return opening.buffer(-router.bushing_od / 2, quad_segs=FINE).buffer(router.bit_diameter / 2, quad_segs=FINE)


def tenon_left(solution: Solution) -> Polygon:
    """What the bit cannot reach round the tongue, out to where the tongue's root begins."""
    routing, router = solution.routing, solution.job.router
    tongue = rounded_end(
        routing.opening_start - 50, routing.tongue_length, routing.tongue_width, routing.tongue_corner_radius
    )
    return tongue.buffer(router.bushing_od / 2, quad_segs=FINE).buffer(-router.bit_diameter / 2, quad_segs=FINE)


JOBS = [
    example_a(),
    example_c(),
    make_job(joint={"corner_radius": 8.0}),
    make_job(router={"bushing_od": 20.0, "bushing_id": 16.0, "bit_diameter": 12.0}),
]


@pytest.mark.parametrize("job", JOBS)
def test_mortise_as_cut(job: Job) -> None:
    """Eroded by the bushing and grown by the bit, the opening leaves the mortise asked for, corners and all."""
    solution = solve(job)
    joint, join = solution.joint, solution.cradle.body_join_x
    wanted = rounded_end(0.0, join + joint.mortise_length, joint.mortise_width, joint.corner_radius)
    cut = mortise_cut(solution).intersection(box(0.0, -500, 500, 500))
    assert cut.symmetric_difference(wanted).area < 0.02
    assert cut.hausdorff_distance(wanted) < 0.002


@pytest.mark.parametrize("job", JOBS)
def test_tenon_as_cut(job: Job) -> None:
    """What the bit leaves round the tongue is the tenon asked for; its corner clears the mortise's."""
    solution = solve(job)
    joint = solution.joint
    wanted = rounded_end(0.0, joint.tenon_length, joint.tenon_width, joint.tenon_corner_radius)
    left = tenon_left(solution).intersection(box(solution.cradle.shoulder_x, -500, 500, 500))
    wanted = translate(wanted, xoff=solution.cradle.shoulder_x)
    assert left.symmetric_difference(wanted).area < 0.02
    left = translate(left, xoff=-solution.cradle.shoulder_x)
    mortise = rounded_end(0.0, joint.mortise_length, joint.mortise_width, joint.corner_radius)
    assert mortise.buffer(1e-3).contains(left)


@pytest.mark.parametrize("job", JOBS)
def test_the_bit_runs_out(job: Job) -> None:
    """At the open end the bit's centre passes X = 0 by its radius and 1.5 mm."""
    solution = solve(job)
    reach = mortise_cut(solution).bounds[0]
    assert reach + job.router.bit_diameter / 2.0 == pytest.approx(-job.router.bit_diameter / 2.0 - 1.5, abs=1e-3)


def test_window_spares_the_heel_blank() -> None:
    """Round a blank of 100 by 68: beyond its end the bit stands a full radius clear, at its sides 2 mm.

    By hand: at the far end 100 + 12.7 + 15.875/2; at the sides 34 + 6.35 + 2 + 7.9375. A base under 100 mm leaves 1.5.
    """
    routing = solve(example_a()).routing
    assert routing.window_end == pytest.approx(120.6375)
    assert routing.window_half_width == pytest.approx(50.2875)
    small = solve(make_job(router={"base_diameter": 99})).routing
    assert small.window_half_width == pytest.approx(49.7875)


@settings(deadline=None)
@given(gap=st.floats(-8, 8))
def test_the_angle_hardly_moves_the_tongue(gap: float) -> None:
    """The shoulder lies 3 mm (3 and a rest's 12 for forward sets) off the contact, so an angle moves it that little."""
    base, other = solve(make_job()), solve(make_job(target={"saddle_gap": gap}))
    lever = 3.0 if other.cradle.angle >= 0 else 15.0
    moved = other.routing.tongue_length - (91.0 - 1.5875)
    assert moved == pytest.approx(-lever * math.tan(math.radians(other.cradle.angle)), abs=1e-9)
    assert other.routing.tongue_width == pytest.approx(base.routing.tongue_width, abs=1e-9)
    assert other.routing.opening_length == pytest.approx(base.routing.opening_length, abs=1e-9)


def test_reach() -> None:
    """The bit goes through the plate and the depth of cut: 18 and 22.225 mm."""
    assert solve(example_a()).routing.reach_needed == pytest.approx(40.225)


# --- passes --------------------------------------------------------------------------------------------------------


def steps(depths: tuple[float, ...]) -> list[float]:
    return [deep - shallow for shallow, deep in zip((0.0, *depths), depths, strict=False)]


def test_seven_passes() -> None:
    """22.225 mm in steps of 3.175 mm is seven passes, and the tenon keeps the seventh for after the dry fit."""
    passes = solve(example_a()).routing.passes
    assert passes.body == pytest.approx([3.175, 6.35, 9.525, 12.7, 15.875, 19.05, 22.225])
    assert passes.neck == pytest.approx(passes.body)


def test_a_remainder_is_spread() -> None:
    """14 mm in steps of at most 3.2 mm is five equal passes, not four and a sliver."""
    assert even_passes(14.0, 3.2) == pytest.approx([2.8, 5.6, 8.4, 11.2, 14.0])
    assert even_passes(9.6 + 1e-12, 3.2) == pytest.approx([3.2, 6.4, 9.6])


def test_hold_back_is_the_last_pass() -> None:
    """14 mm with 2 mm held back: even passes down to 12, then the rest. Without a hold-back: even passes."""
    assert held_back_passes(14.0, 3.2, 2.0) == pytest.approx([3.0, 6.0, 9.0, 12.0, 14.0])
    assert held_back_passes(14.0, 3.2, 0.0) == even_passes(14.0, 3.2)


@given(depth=st.floats(0.3, 60), most=st.floats(0.6, 15))
def test_passes_sum_up(depth: float, most: float) -> None:
    """Passes end at the depth exactly, are equal, none deeper than allowed and none a sliver."""
    depths = even_passes(depth, most)
    assert depths[-1] == depth
    found = steps(depths)
    assert max(found) <= most + 1e-6
    assert min(found) >= min(0.3, depth) - 1e-9
    assert max(found) - min(found) < 1e-9


@given(depth=st.floats(5, 60), most=st.floats(0.6, 10), share=st.floats(0.05, 0.9))
def test_held_back_passes_sum_up(depth: float, most: float, share: float) -> None:
    """The tenon's last pass is the hold-back; those before it are equal and within the limit."""
    held = share * depth
    found = steps(held_back_passes(depth, most, held))
    assert math.fsum(found) == pytest.approx(depth)
    assert found[-1] == pytest.approx(held)
    assert max(found[:-1]) <= most + 1e-6
