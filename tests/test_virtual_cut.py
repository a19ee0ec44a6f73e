"""The virtual cut against published examples of bushing arithmetic and against a brute-force raster."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from joint_sample import (
    BIT,
    EDGE,
    FENCE,
    JOIN_X,
    OD,
    OFFSET,
    SHOULDER,
    START,
    mortise_opening,
    plate,
    results,
    tenon_window,
)
from shapely import Point

from generator.base.contours2d import Circle, Path
from generator.base.errors import GeometryError
from generator.base.points2d import P2, Transform
from generator.base.shapes2d import rectangle, rounded_polygon
from generator.joint.outlines import Outline, strip
from generator.joint.stations import Use
from generator.proof.cut.nominal_cut import Cutter, Fence, NominalCut, fences, nominal_cut
from generator.proof.cut.virtual_cut import VirtualCut, guides, sweep, virtual_cut

INCH = 25.4
CUTTER = Cutter(OD, BIT)
MORTISE = nominal_cut(results(), Use.BODY)
TENON = nominal_cut(results(), Use.NECK)


def pocket(width: float, length: float, corner: float, far: float, half_breadth: float) -> NominalCut:
    """A straight pocket from jig X = 0 on."""
    outline = Outline("mortise", strip(width, length, corner), True, 22.0, corner)
    return NominalCut(Use.BODY, outline, 0.0, 0.0, far, half_breadth)


def cut_mortise(opening: Path, cutter: Cutter = CUTTER) -> VirtualCut:
    return virtual_cut([opening], cutter, MORTISE)


def cut_tenon(window: Path, cutter: Cutter = CUTTER) -> VirtualCut:
    return virtual_cut([window], cutter, TENON)


def test_published_opening_for_a_cut_of_8_by_4_inches() -> None:
    """3/4 in bushing, 1/4 in bit: an opening of 8 1/2 × 4 1/2 in cuts 8 × 4 in (router forum, "bushings and bits")."""
    swept = sweep([rectangle(0, 0, 8.5 * INCH, 4.5 * INCH)], Cutter(0.75 * INCH, 0.25 * INCH))
    x0, y0, x1, y1 = swept.removed.bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((8 * INCH, 4 * INCH), abs=0.001)


def test_published_inlay_hole() -> None:
    """A 65 mm opening, 30 mm bush and 10 mm cutter make a 45 mm hole (woodworking article on inlay templates)."""
    removed = sweep([Circle(P2(5, -3), 32.5)], Cutter(30, 10)).removed
    assert removed.area == pytest.approx(math.pi * 22.5**2, abs=0.001 * 2 * math.pi * 22.5)
    x0, y0, x1, y1 = removed.bounds
    assert (x1 - x0, (x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((45, 5, -3), abs=0.001)


def test_published_offset_of_nine_in_fifteen() -> None:
    """A 15 mm bushing with a 9 mm bit keeps 3 mm from the template's edge (a published answer on woodworking)."""
    swept = sweep([rectangle(0, 0, 100, 60)], Cutter(15, 9))
    assert swept.removed.bounds == pytest.approx((3, 3, 97, 57), abs=0.001)


@pytest.mark.parametrize(
    ("corner", "od", "bit", "routed"),
    [(10.0, 17.0, 10.0, 6.5), (5.0, 17.0, 10.0, 5.0), (8.5, 17.0, 10.0, 5.0), (0.0, OD, BIT, 6.35)],
)
def test_routed_inside_corner(corner: float, od: float, bit: float, routed: float) -> None:
    """max(template corner, bushing/2) − offset, never below the bit: corner 10, bushing 17, bit 10 gives 6.5."""
    end, half = 80.0, 20.0
    wanted = pocket(40.0, end, routed, 110.0, 60.0)
    offset = (od - bit) / 2
    opening = rectangle(-30, -half - offset, end + offset, half + offset, corner)
    cut = virtual_cut([opening], Cutter(od, bit), wanted)
    assert cut.corner_radii == pytest.approx((routed, routed), abs=0.002)
    assert cut.too_much.size < 0.001
    assert cut.too_little.size < 0.001
    assert cut.unreached.size == pytest.approx(max(0.0, (od / 2 - corner) * (math.sqrt(2) - 1)), abs=0.001)


def test_the_sample_mortise_is_cut_as_wanted() -> None:
    """19.05 wide, closed 92 from the join, corners of the bit, and nowhere a thousandth off."""
    cut = cut_mortise(mortise_opening())
    assert (cut.narrowest, cut.widest, cut.middle) == pytest.approx((19.05, 19.05, 0.0), abs=0.001)
    assert cut.length == pytest.approx(92.0, abs=0.001)
    assert cut.corner_radii == pytest.approx((6.35, 6.35), abs=0.001)
    assert max(cut.too_much.size, cut.too_little.size, cut.unreached.size) < 0.001
    assert max(abs(point.deviation) for point in cut.trace) < 0.001
    assert cut.slivers == ()
    # The opening begins at START; the bushing's centre comes within half its width of that.
    assert cut.run_out == pytest.approx(MORTISE.edge - (START + OD / 2), abs=0.001)
    assert cut.play == pytest.approx(19.05 - 12.7, abs=0.001)


def test_the_sample_tenon_is_left_as_wanted() -> None:
    """18.9 wide, 91 long, corners of 6.275, the heel round it cleared."""
    cut = cut_tenon(tenon_window())
    assert (cut.narrowest, cut.widest, cut.middle) == pytest.approx((18.9, 18.9, 0.0), abs=0.001)
    assert cut.length == pytest.approx(91.0, abs=0.001)
    assert cut.end == pytest.approx(SHOULDER + 91.0, abs=0.001)
    assert cut.corner_radii == pytest.approx((6.275, 6.275), abs=0.001)
    assert max(cut.too_much.size, cut.too_little.size, cut.unreached.size) < 0.001
    assert cut.slivers == ()
    assert TENON.edge == pytest.approx(EDGE, abs=1e-4)
    assert cut.run_out == pytest.approx(EDGE - (START + OD / 2), abs=0.001)


def test_a_bridged_tongue_leaves_a_rib_down_the_whole_heel() -> None:
    """Two slots cut the tenon's cheeks; it has no end of its own and is sawn."""
    wanted = NominalCut(
        Use.NECK, Outline("tenon", strip(18.9, 91.0, 0.0), False, 22.0, 0.0), 0.0, -0.65, 100.0, 30.0, runs_out=True
    )
    half, tongue, end = 30 + 6.35 + 1.5 + OD / 2, 18.9 / 2 - OFFSET, 100 + 6.35 + 1.5 + OD / 2
    slots = [rectangle(START, *side, OD / 2) for side in ((-half, end, -tongue), (tongue, end, half))]
    cut = virtual_cut(slots, CUTTER, wanted)
    assert (cut.end, cut.corner_radii) == (None, None)
    assert (cut.narrowest, cut.widest) == pytest.approx((18.9, 18.9), abs=0.001)
    assert max(cut.too_much.size, cut.too_little.size) < 0.001


@pytest.mark.parametrize("towards", [0.0, 35.0, 90.0, 215.0])
def test_an_eccentric_bushing_shifts_the_cut_and_keeps_its_width(towards: float) -> None:
    """With one side of the base kept to the operator, eccentricity e moves the cut by e and changes no size."""
    cutter = Cutter(OD, BIT, 0.3, towards)
    dx, dy = 0.3 * math.cos(math.radians(towards)), 0.3 * math.sin(math.radians(towards))
    mortise, tenon = cut_mortise(mortise_opening(), cutter), cut_tenon(tenon_window(), cutter)
    assert (mortise.middle, tenon.middle) == pytest.approx((dy, dy), abs=0.001)
    assert (mortise.end, tenon.end) == pytest.approx((JOIN_X + 92 + dx, SHOULDER + 91 + dx), abs=0.001)
    assert (mortise.width, tenon.width) == pytest.approx((19.05, 18.9), abs=0.001)
    assert mortise.corner_radii == pytest.approx((6.35, 6.35), abs=0.002)


def test_measured_diameters_are_not_snapped() -> None:
    """51/64 in is 20.24 mm, not 20.00: the mortise comes out 0.24 narrower (reported from the bench)."""
    opening = mortise_opening()
    wide, narrow = (cut_mortise(opening, Cutter(od, BIT)).width for od in (20.00, 51 / 64 * INCH))
    assert wide - narrow == pytest.approx(51 / 64 * INCH - 20.0, abs=0.001)


def test_the_largest_miss_and_its_place_are_found() -> None:
    """An opening 0.3 too wide cuts 0.15 too much on either side; a tongue 0.2 too narrow takes 0.1 off each cheek."""
    mortise, tenon = cut_mortise(mortise_opening(wider=0.3)), cut_tenon(tenon_window(wider=-0.2))
    assert mortise.too_much.size == pytest.approx(0.15, abs=0.001)
    assert mortise.too_much.where is not None
    assert abs(mortise.too_much.where.y) == pytest.approx(19.05 / 2 + 0.15, abs=0.001)
    assert tenon.too_much.size == pytest.approx(0.1, abs=0.001)
    assert cut_tenon(tenon_window(wider=0.2)).too_little.size == pytest.approx(0.1, abs=0.001)


def test_the_sign_of_the_trace() -> None:
    """Positive is wood lost, negative wood left, on mortise and tenon alike."""
    for cut, sign in (
        (cut_mortise(mortise_opening(wider=0.2)), 1),
        (cut_mortise(mortise_opening(wider=-0.2)), -1),
        (cut_tenon(tenon_window(wider=-0.2)), 1),
        (cut_tenon(tenon_window(wider=0.2)), -1),
    ):
        worst = max((point.deviation for point in cut.trace), key=abs)
        assert worst == pytest.approx(0.1 * sign, abs=0.001)


@pytest.mark.parametrize(("breadth", "pieces"), [(19.0, 0), (14.0, 2)])
def test_wood_outside_a_narrow_window_is_a_sliver(breadth: float, pieces: int) -> None:
    """A window too narrow for a heel of 60 leaves a strip on either side, named with its thickness."""
    cut = cut_tenon(tenon_window(breadth=breadth))
    # The window's half width less half the bushing, plus half the bit, is where the bit's edge comes to.
    reach = breadth + 6.35 + 1.5 + 6.35
    assert len(cut.slivers) == pieces
    assert all(sliver.thickness == pytest.approx(30 - reach, rel=0.05) for sliver in cut.slivers)
    assert {math.copysign(1, sliver.where.y) for sliver in cut.slivers} == ({1.0, -1.0} if pieces else set())


def test_a_passage_too_tight_for_the_bushing_is_unreached() -> None:
    """The router stays in one chamber; what lies past a neck narrower than the bushing is not cut."""
    half, pinch = 19.05 / 2 + OFFSET, 7.0
    end = JOIN_X + 92 + OFFSET
    waist = [P2(START, -half), P2(70, -half), P2(72, -pinch), P2(74, -half), P2(end, -half)]
    opening = rounded_polygon([*waist, *(P2(p.x, -p.y) for p in reversed(waist))], [0.0] * 10)
    cut = cut_mortise(opening)
    assert cut.unreached.size > 5
    assert cut.end is not None
    assert cut.end < 75


def test_a_bushing_that_does_not_enter_is_an_error() -> None:
    """An opening narrower than the bushing cuts nothing, and the error says so."""
    with pytest.raises(GeometryError, match=r"bushing of 15\.875 mm does not enter"):
        cut_mortise(mortise_opening(wider=-6.5, corner=2.0))


def test_a_slot_exactly_as_wide_as_the_bushing_still_lets_it_pass() -> None:
    """No play clogs, but cuts: the slot is as wide as the bit."""
    wanted = pocket(BIT, 92.0, BIT / 2, 110.0, 20.0)
    cut = virtual_cut([rectangle(START, -OD / 2, 92 + OFFSET, OD / 2, OD / 2)], CUTTER, wanted)
    assert cut.width == pytest.approx(BIT, abs=0.001)
    assert cut.play == pytest.approx(0.0, abs=0.001)
    assert cut.too_little.size < 0.001


def test_which_openings_guide_which_cut() -> None:
    """The openings across X = 0 guide; slots, the tip screw and the other opening do not."""
    contours = list(plate().through_contours())
    for wanted, expected in ((MORTISE, mortise_opening()), (TENON, tenon_window())):
        (found,) = guides(contours, fences(results())[wanted.use], wanted)
        assert found.area == pytest.approx(expected.area, abs=1e-6)
        assert found.box() == pytest.approx(expected.box(), abs=1e-9)
    with pytest.raises(GeometryError, match="no opening over the mortise"):
        guides([Circle(P2(150, 60), 3)], Fence(FENCE, 1), MORTISE)


def test_the_fences_turn_the_plate_and_never_mirror_it() -> None:
    """jig X = direction · (x − fence), Y = direction · y: a half turn, whose determinant is +1."""
    both = fences(results())
    assert both[Use.BODY].to_jig.apply(P2(70, 5)) == P2(10, 5)
    assert both[Use.NECK].to_jig.apply(P2(-70, 5)) == pytest.approx(P2(10, -5))
    assert not any(fence.to_jig.mirrors for fence in both.values())


def test_body_and_neck_are_mirror_images() -> None:
    """Both are presented end-on: jig Y is body Y for the neck and − body Y for the body."""
    assert TENON.to_face(P2(10, 2)) == pytest.approx(P2(10 - SHOULDER, 2), abs=1e-4)
    assert MORTISE.to_face(P2(10, 2)) == P2(10 - JOIN_X, -2)


def raster(opening: Path, cutter: Cutter, box: tuple[float, float, float, float], step: float) -> np.ndarray:
    """Which cells of a fine grid the bit reaches, straight from the definition: no buffers, no polygons' union."""
    pad = cutter.bushing_od
    xs = np.arange(box[0] - pad, box[2] + pad, step)
    ys = np.arange(box[1] - pad, box[3] + pad, step)
    gx, gy = np.meshgrid(xs, ys)
    points = np.column_stack([gx.ravel(), gy.ravel()])
    corners = np.array([(p.x, p.y) for p in opening.flatten(0.001)])
    following = np.roll(corners, -1, axis=0)
    inside = np.zeros(len(points), bool)
    nearest = np.full(len(points), np.inf)
    for (ax, ay), (bx, by) in zip(corners, following, strict=True):
        crosses = (ay > points[:, 1]) != (by > points[:, 1])
        if by != ay:
            inside ^= crosses & (points[:, 0] < ax + (points[:, 1] - ay) / (by - ay) * (bx - ax))
        along = np.array([bx - ax, by - ay])
        t = np.clip(((points - (ax, ay)) @ along) / (along @ along), 0, 1)
        nearest = np.minimum(nearest, np.hypot(*(points - (ax, ay) - t[:, None] * along).T))
    centres = points[inside & (nearest >= cutter.bushing_od / 2)]
    cells = points[(gx.ravel() >= box[0]) & (gx.ravel() <= box[2]) & (gy.ravel() >= box[1]) & (gy.ravel() <= box[3])]
    reached = np.zeros(len(cells), bool)
    for start in range(0, len(cells), 500):
        chunk = cells[start : start + 500]
        gaps = (chunk[:, None, 0] - centres[None, :, 0]) ** 2 + (chunk[:, None, 1] - centres[None, :, 1]) ** 2
        reached[start : start + 500] = gaps.min(axis=1) <= (cutter.bit_diameter / 2) ** 2
    return np.column_stack([cells, reached])


def test_a_raster_agrees_at_the_mortises_end_and_the_tongues_tip() -> None:
    """Cell by cell the bit reaches what the virtual cut says, but for cells within a step of the edge."""
    step = 0.25
    for opening, box in (
        (mortise_opening(corner=9.0), (84.0, -12.0, 98.0, -2.0)),
        (tenon_window(), (82.0, 2.0, 96.0, 14.0)),
    ):
        removed = sweep([opening], CUTTER).removed
        for x, y, reached in raster(opening, CUTTER, box, step):
            if removed.boundary.distance(Point(x, y)) > step:
                assert removed.contains(Point(x, y)) == bool(reached)


@settings(deadline=None, max_examples=25)
@given(
    width=st.floats(8, 40),
    length=st.floats(40, 120),
    bit=st.floats(4, 8),
    wall=st.floats(1.0, 8.0),
    extra=st.floats(0, 6),
    turn=st.sampled_from([1, -1]),
)
def test_any_opening_drawn_by_the_offset_law_cuts_what_was_wanted(
    width: float, length: float, bit: float, wall: float, extra: float, turn: int
) -> None:
    """Edge of the template = edge of the cut + (bushing − bit)/2, for any sizes and either way round of the plate."""
    width = max(width, bit)
    od, corner = bit + 2 * wall, min(bit / 2 + extra, width / 2)
    run = bit / 2 + 1.5
    wanted = pocket(width, length, corner, length + 30, width)
    opening = rectangle(
        -(run + od / 2) - corner, -width / 2 - wall, length + wall, width / 2 + wall, max(corner + wall, od / 2)
    )
    fence = Fence(turn * 70.0, turn)
    drawn = opening.transformed(Transform.rotate(0 if turn > 0 else 180)).moved(fence.x, 0)
    cut = virtual_cut(guides([drawn], fence, wanted), Cutter(od, bit), wanted)
    assert (cut.width, cut.end) == pytest.approx((width, length), abs=0.001)
    assert cut.corner_radii == pytest.approx((max(corner, bit / 2),) * 2, abs=0.002)
    assert max(cut.too_much.size, cut.too_little.size) < 0.001
    assert cut.run_out >= run - 0.001
