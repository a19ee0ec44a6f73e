"""The joint's outlines: areas by hand, templates against shapely's buffer, and outlines that are no straight strip."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from joint_sample import BIT, OD
from shapely import Polygon, box
from worked_examples import example_a, example_b, example_c, make_job

from generator.base.contours2d import Path
from generator.base.errors import InputError
from generator.base.points2d import P2
from generator.base.segments2d import SHORTEST
from generator.base.shapes2d import rounded_polygon
from generator.job.model.job import Job
from generator.joint.kinds.mortise_tenon.joint import tenon_corner_radius
from generator.joint.outlines import Outline, end_radius, mirrored, strip, with_mouth_at
from generator.joint.router_template import solve_routing
from generator.joint.solution import solve
from generator.joint.stations import Use
from generator.proof.cut.nominal_cut import Cutter, NominalCut
from generator.proof.cut.virtual_cut import virtual_cut

#: Segments a quarter circle: the chord error at 16 mm radius is 0.0001 mm.
FINE = 256
JOBS = {
    "A": example_a(),
    "B": example_b(),
    "C": example_c(),
    "round end": make_job(joint={"corner_radius": 9.525}),
    "measured offset": make_job(router={"edge_offset": 1.7}),
}


def polygon(contour: Path) -> Polygon:
    return Polygon([tuple(point) for point in contour.flatten(1e-4)])


def test_areas_by_hand() -> None:
    """Two corners of radius r take 2·r²·(1 − π/4) off the rectangle; example A has 19.05 × 92 and 18.9 × 91."""
    joint = solve(example_a()).joint
    corner = 1.0 - math.pi / 4.0
    assert joint.body_outline.contour.area == pytest.approx(19.05 * 92.0 - 2.0 * 6.35**2 * corner, abs=1e-9)
    assert joint.neck_outline.contour.area == pytest.approx(18.9 * 91.0 - 2.0 * 6.275**2 * corner, abs=1e-9)
    assert (joint.body_outline.pocket, joint.neck_outline.pocket) == (True, False)
    assert (joint.body_outline.depth, joint.neck_outline.depth) == (22.225, 22.225)


@pytest.mark.parametrize("name", JOBS)
def test_opening_and_tongue_are_the_outlines_buffered(name: str) -> None:
    """Shapely's own buffer of the joint's outlines, out for the body and in for the neck, is what the plate has."""
    solution = solve(JOBS[name])
    joint, routing, cradle = solution.joint, solution.routing, solution.cradle
    for outline, has, at, by in (
        (joint.body_outline, routing.opening, cradle.body_join_x, routing.edge_offset),
        (joint.neck_outline, routing.tongue, cradle.shoulder_x, -routing.edge_offset),
    ):
        # Drawn on before the mouth, where the plate goes on and a buffer would end.
        long = polygon(with_mouth_at(outline.contour, -60.0).moved(at, 0.0))
        wanted = long.buffer(by, quad_segs=FINE).intersection(box(0.0, -99.0, 999.0, 99.0))
        found = polygon(has).intersection(box(0.0, -99.0, 999.0, 99.0))
        assert found.hausdorff_distance(wanted) < 0.001
        assert has.box().x0 == pytest.approx(-(routing.run_out + routing.bushing_od / 2.0), abs=1e-9)


@pytest.mark.parametrize("name", JOBS)
def test_the_window_is_a_rectangle_less_the_tongue(name: str) -> None:
    """Window and tongue together fill the rectangle but for the bushing's corners: four of it, two at the root."""
    routing = solve(JOBS[name]).routing
    long, half, r = routing.window_end - routing.opening_start, routing.window_half_width, routing.bushing_od / 2.0
    rest = long * 2.0 * half - routing.window.area - routing.tongue.area
    assert rest == pytest.approx(6.0 * r**2 * (1.0 - math.pi / 4.0), abs=1e-6)


def test_a_bridged_tongue_leaves_two_slots() -> None:
    """The slots and the strip between them fill the same rectangle, but for eight corners of the bushing's radius."""
    routing = solve(make_job(jig={"bridged": True})).routing
    one, two = routing.bridged_windows
    long, r = routing.window_end - routing.opening_start, routing.bushing_od / 2.0
    rest = long * (2.0 * routing.window_half_width - routing.tongue_width) - one.area - two.area
    assert rest == pytest.approx(8.0 * r**2 * (1.0 - math.pi / 4.0), abs=1e-6)
    assert one.box().y0 == pytest.approx(-two.box().y1, abs=1e-12)


def lopsided() -> Path:
    """An outline that is no strip and no mirror image of itself: sides that taper, each by its own angle."""
    corners = [P2(0.0, -14.0), P2(80.0, -9.0), P2(80.0, 7.0), P2(0.0, 10.0)]
    return rounded_polygon(corners, [0.0, 7.0, 7.0, 0.0])


def test_sides_are_prolonged_in_their_own_direction() -> None:
    """5 mm in 80 towards −Y and 3 mm in 80 towards +Y: 16 mm before the mouth that is 1 mm and 0.6 mm more."""
    longer = with_mouth_at(lopsided(), -16.0)
    assert longer.vertices[0][:2] == pytest.approx((-16.0, -15.0))
    assert longer.vertices[-1][:2] == pytest.approx((-16.0, 10.6))
    assert longer.area - lopsided().area == pytest.approx(16.0 * (24.0 + 25.6) / 2.0)


def test_the_mirror_image_runs_the_same_way_round() -> None:
    """Counter-clockwise again, from mouth to mouth, and every point on the other side of the centreline."""
    other = mirrored(lopsided())
    assert other.signed_area == pytest.approx(lopsided().signed_area)
    assert (other.vertices[0][:2], other.vertices[-1][:2]) == ((0.0, -10.0), (0.0, 14.0))
    for back, vertex in zip(mirrored(other).vertices, lopsided().vertices, strict=True):
        assert tuple(back) == pytest.approx(tuple(vertex))


@pytest.mark.parametrize("use", Use)
def test_any_outline_is_cut_as_wanted(use: Use) -> None:
    """The plate's openings for a lopsided outline, cut by morphology, leave that outline: no width or length is named.

    The body's lies in the jig as its mirror image; told the other way round the region misses by millimetres.
    """
    job, solution = example_a(), solve(example_a())
    joint, cradle = replace(solution.joint), solution.cradle
    outline = Outline("any", lopsided(), use is Use.BODY, 20.0, 7.0)
    # The joint's own outline of one piece gives way to one that no strip is like.
    vars(joint)["body_outline" if use is Use.BODY else "neck_outline"] = outline
    routing = solve_routing(job.router, joint, cradle, plate_thickness=18.0)
    openings = [routing.opening if use is Use.BODY else routing.window]
    join = cradle.body_join_x if use is Use.BODY else cradle.shoulder_x
    wanted = NominalCut(use, outline, join, 0.0, 100.0, 34.0)
    cut = virtual_cut(openings, Cutter(OD, BIT), wanted)
    assert max(cut.too_much.size, cut.too_little.size) < 0.002
    other = replace(wanted, outline=replace(outline, contour=mirrored(outline.contour)))
    wrong = virtual_cut(openings, Cutter(OD, BIT), other)
    assert max(wrong.too_much.size, wrong.too_little.size) > 1.0


def test_no_line_too_short_for_a_machine_is_left() -> None:
    """A corner all but round becomes round, one all but sharp sharp, on the tenon by the tongue's own corner."""
    assert end_radius(SHORTEST / 2.0, 9.0) == 0.0
    assert end_radius(9.0 - SHORTEST / 2.0, 9.0) == 9.0
    assert end_radius(4.0, 9.0) == 4.0
    assert tenon_corner_radius(6.35, 0.15, 6.27) == 6.27
    assert tenon_corner_radius(6.35, 0.15, 1.5875) == pytest.approx(6.275)
    lines = [seg for seg in strip(19.05, 92.0, 9.52).segments() if not seg.is_arc]
    assert min(seg.length for seg in lines) > SHORTEST


def test_a_bushing_that_leaves_nothing_is_refused() -> None:
    """4 mm from the cut to the template on either side of a tenon 4.85 wide: the refusal names key, cut and size."""
    router = {"bushing_od": 20.0, "bushing_id": 16.0, "bit_diameter": 12.0}
    with pytest.raises(InputError, match=r"router\.bushing_od: found 4 mm .* tenon 4\.85 × 91 × 22\.225 mm"):
        solve(make_job(joint={"mortise_width": 5.0}, router=router))


@pytest.mark.parametrize("job", JOBS.values(), ids=JOBS)
def test_the_tenon_clears_the_mortise(job: Job) -> None:
    """Laid in at the join, in the middle, the tenon's outline lies inside the mortise's everywhere."""
    joint = solve(job).joint
    assert polygon(joint.body_outline.contour).buffer(1e-3).contains(polygon(joint.neck_outline.contour))
