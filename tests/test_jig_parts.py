"""The jig's parts: they fit each other, nothing collides, and they set what the formulas say.

Expected values come from the requirements of the jig, worked with plain trigonometry and the CAD kernel, not from the
parts' own functions.
"""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import pytest
from made_once import made
from ready_jobs import WITH_TENON

from generator.base.contours2d import Circle, Contour
from generator.base.contours2d import Path as Outline
from generator.base.geometry3d import P3
from generator.base.points2d import P2
from generator.cutting.cut_lines import cut_lines
from generator.jig.build import build_jig
from generator.jig.layout import jig_layout
from generator.jig.part import Jig, Part, Placed
from generator.job.load import job_from_tables
from generator.job.presets import PresetKind, list_presets
from generator.joint.solution import solve
from generator.joint.stations import Use, to_plate

READY = [preset.name for preset in list_presets(PresetKind.JOBS)]
ALWAYS = {
    "template_plate",
    "board",
    "bracket_left",
    "bracket_right",
    "upper_rest",
    "angle_rest",
    "zero_rest",
    "body_rest",
    "caul",
    "plug",
    "depth_block",
}
UKULELE: dict[str, Any] = {
    "schema": 2,
    "job": {"name": "guide"},
    "instrument": {"preset": "ukulele-tenor", "scale_length": 432},
    "router": {"preset": "trim-metric-10"},
    "jig": {"preset": "plywood-small"},
}


def opening(part: Part, name: str) -> Contour:
    return next(item.contour for item in part.openings if item.id == name)


def standing(jig: Jig, name: str) -> Placed:
    return next(item for item in jig.placed if item.label == name)


def corners(item: Placed) -> list[P3]:
    """Every corner of a standing part's prism, in the plate's frame."""
    at, part = item.placement, item.part
    return [at.to_space(v.point.x, v.point.y, z) for v in part.outline.vertices for z in (0.0, part.thickness)]


@pytest.mark.parametrize("name", WITH_TENON)
def test_the_parts_every_jig_has(name: str) -> None:
    """Every jig has the parts that the output folder promises, each cut from stock the job names."""
    solution, jig = made(name)
    names = [part.name for part in jig.parts]
    assert set(names) >= ALWAYS
    assert len(names) == len(set(names))
    assert {part.stock for part in jig.parts} <= set(solution.job.stocks)


@pytest.mark.parametrize("name", READY)
def test_a_jig_of_few_pieces(name: str) -> None:
    """At most 13 pieces of sheet without guides and shims, 14 with a second depth block; three stocks; 40 bought."""
    solution, jig = made(name)
    spec = solution.job.jig
    own = [p for p in jig.parts if p.stock not in (spec.guide_stock, spec.shim_stock) and "coupon" not in p.name]
    assert sum(part.quantity for part in own) <= 13 + spec.second_depth_block
    assert len({part.stock for part in own}) <= 3
    assert sum(item.count for item in jig.hardware) <= 40


def test_openings_by_hand() -> None:
    """Orchestra model, 17 mm bushing, 12 mm bit: 20 wide wants an opening of 25 and a tongue of 14.85.

    Fences stand 9 + 16 mm off the board's middle; the tongue ends at 70 − 1 − 2.5 − 3·tan α, its end square to x.
    """
    solution, jig = made("orchestra-14")
    plate = jig.part("template_plate")
    mortise = opening(plate, "mortise-opening").box()
    assert mortise.height == pytest.approx(25.0, abs=1e-9)
    assert mortise.x1 - 25.0 == pytest.approx(70.0 + 2.5 + solution.cradle.body_join_x, abs=1e-9)
    assert mortise.x0 - 25.0 == pytest.approx(-(7.5 + 8.5), abs=1e-9)
    window = opening(plate, "tenon-window")
    assert isinstance(window, Outline)
    end = 66.5 - 3.0 * math.tan(math.radians(solution.cradle.angle))
    tip = [v for v in window.vertices if abs(-25.0 - v.x - end) < 1e-9]
    assert len(tip) >= 2
    sides = [v.y for v in window.vertices if -25.0 - end + 0.1 < v.x < -25.0 and abs(v.y) < 9]
    assert max(sides) - min(sides) == pytest.approx(14.85, abs=1e-9)


@pytest.mark.parametrize("name", READY)
def test_the_rests_set_the_angle(name: str) -> None:
    """Read off the standing parts: the like-named front edges of both rests lie on a line at the cradle angle.

    Upper edges for angles of 0 and more, lower edges below; judge: the corners of the placed prisms.
    """
    solution, jig = made(name)
    upper, lower = (corners(standing(jig, rest)) for rest in ("upper_rest", "angle_rest"))
    tooth = jig_layout(solution).rests.tooth_width or 0.0

    def edge(points: list[P3]) -> tuple[float, float]:
        """Depth of the working edge and how far the rest stands out beside its tooth."""
        out = max(-point.x for point in points if abs(point.y) > tooth / 2.0 + 1e-6)
        high, low = max(p.z for p in points), min(p.z for p in points)
        return -(high if solution.cradle.angle >= 0 else low), out

    (d1, x1), (d2, x2) = edge(upper), edge(lower)
    assert math.degrees(math.atan2(x2 - x1, d2 - d1)) == pytest.approx(solution.neck_set.cradle_angle, abs=1e-9)
    fence = next(p for p in [jig.part("template_plate").points["neck_fence"]])
    assert x1 == pytest.approx(-fence.x, abs=1e-9)
    assert d2 - d1 == pytest.approx(solution.job.jig.rest_spacing)


@pytest.mark.parametrize("name", WITH_TENON)
def test_the_rests_stay_below_the_cut(name: str) -> None:
    """Rests begin 3 mm below the deepest cut, and the bit's sweep passes in front of the board by 2 mm and more."""
    solution, jig = made(name)
    depth = solution.joint.mortise_depth
    for rest in ("upper_rest", "angle_rest", "body_rest"):
        assert max(point.z for point in corners(standing(jig, rest))) <= -depth - 3.0 + 1e-9
    plate = jig.part("template_plate")
    board = solution.job.stock("board").actual_thickness / 2.0
    router = solution.job.router
    for name_of in ("mortise-opening", "tenon-window", "tenon-window-a"):
        for item in (o for o in plate.openings if o.id == name_of):
            box = item.contour.box()
            nearest = min(abs(box.x0), abs(box.x1))
            bit = nearest + router.bushing_od / 2.0 - router.bit_diameter / 2.0
            assert bit - board >= 2.0 - 1e-9


@pytest.mark.parametrize("name", WITH_TENON)
def test_the_body_rest_bears_beside_the_mortise(name: str) -> None:
    """It touches the top only from 6 mm beside the mortise to 3 mm inside the block, level with the fence line."""
    solution, jig = made(name)
    points = corners(standing(jig, "body_rest"))
    fence = jig.part("template_plate").points["body_fence"].x
    front = [point for point in points if point.x == pytest.approx(fence, abs=1e-9)]
    assert {round(abs(point.y), 6) for point in front} == {
        round(solution.joint.mortise_width / 2.0 + 6.0, 6),
        round(solution.job.instrument.neck_block_width / 2.0 - 3.0, 6),
    }
    assert max(point.x for point in points) == pytest.approx(fence, abs=1e-9)


@pytest.mark.parametrize("name", READY)
def test_screws_meet_their_holes(name: str) -> None:
    """Every screw of the hardware list stands on the axis of a hole in the part under its head and in what takes it."""
    _, jig = made(name)
    for item in jig.hardware:
        for piece in item.pieces:
            through = [_on_axis(placed, piece.start, piece.direction) for placed in jig.placed]
            assert sum(through) >= 2, (item.purpose, piece.start)


def _on_axis(placed: Placed, start: P3, direction: P3) -> bool:
    """True where a hole of a placed part, square to its face or into its edge, lies on a line."""
    at, part = placed.placement, placed.part
    line = at.to_part(start)
    tip = at.to_part(start.plus(direction))
    way = tip.minus(line)
    spots = [(P3(h.at.x, h.at.y, 0.0), P3(0.0, 0.0, 1.0)) for h in part.holes]
    spots += [(P3(h.at.x, h.at.y, h.z), P3(h.into.x, h.into.y, 0.0)) for h in part.edge_holes]
    return any(
        abs(abs(axis.dot(way)) - 1.0) < 1e-9 and spot.minus(line).cross(way).length() < 1e-6 for spot, axis in spots
    )


def test_both_brackets_are_one_part() -> None:
    """Left and right brackets are equal: the same profile, the same holes, on either side of the plate."""
    jig = made("orchestra-14")[1]
    left, right = jig.part("bracket_left"), jig.part("bracket_right")
    assert left.outline == right.outline
    assert [(h.at, h.diameter, h.depth) for h in left.edge_holes] == [
        (h.at, h.diameter, h.depth) for h in right.edge_holes
    ]
    assert min(abs(point.y) for point in corners(standing(jig, "bracket_right"))) == pytest.approx(
        min(abs(point.y) for point in corners(standing(jig, "bracket_left")))
    )


@pytest.mark.parametrize("name", WITH_TENON)
def test_the_rails_gauge_the_depth(name: str) -> None:
    """The brackets' rails are exactly as high as the cut is deep, and their feet stay 10 mm before the bench."""
    solution, jig = made(name)
    points = corners(standing(jig, "bracket_left"))
    far = min(point.x for point in points)
    assert min(p.z for p in points if p.x == pytest.approx(far)) == pytest.approx(-solution.joint.mortise_depth)
    board = solution.job.stock("board").actual_thickness / 2.0
    deep = [-p.x for p in points if p.z < -solution.joint.mortise_depth - 1e-6]
    assert max(deep) <= board + solution.job.jig.bench_gap - 10.0 + 1e-9


def test_teeth_only_where_there_is_a_slot() -> None:
    """Both rests carry a tooth a tenth narrower than the truss-rod slot; a neck without one gets none."""
    for name in READY:
        solution, jig = made(name)
        slot = solution.job.instrument.truss_rod_slot_width
        for rest in ("upper_rest", "angle_rest", "zero_rest"):
            part = jig.part(rest)
            width = next(d.value for d in part.dimensions if d.name == f"{rest}_width")
            proud = [v.point for v in part.outline.vertices if v.point.y > width + 1e-9]
            if slot is None:
                assert not proud
            else:
                assert max(p.x for p in proud) - min(p.x for p in proud) == pytest.approx(slot - 0.1)


@pytest.mark.parametrize("name", WITH_TENON)
def test_tip_screw_clears_the_bolts(name: str) -> None:
    """The tip screw enters the tenon's end within the tongue, its thread at least 1.5 mm of wood from every
    bolt's hole; the plate's hole is 1 mm wider than the thread.
    """
    solution, jig = made(name)
    screw = next(h for h in jig.part("template_plate").holes if h.id == "tip-screw")
    fence = jig.part("template_plate").points["neck_fence"].x
    x = fence - screw.at.x
    assert 0 < x < solution.routing.tongue_length - screw.diameter / 2
    for bolt in solution.joint.bolts:
        assert abs(x - bolt.on_neck_end) - (screw.diameter - 1) / 2 - bolt.pilot_hole / 2 >= 1.5


def test_circles_are_circles() -> None:
    """Round holes reach the cut lines as circles, not as chains of arcs."""
    plate = made("orchestra-14")[1].part("template_plate")
    rounds = [line for line in cut_lines(plate) if isinstance(line.shape, Circle)]
    assert len(rounds) >= 11


@pytest.mark.parametrize("name", WITH_TENON)
def test_the_plug_guides_the_bolts(name: str) -> None:
    """Pushed to the opening's closed end, the plug's holes lie over the bolts' places on the end face, to 1e-9 mm."""
    solution, jig = made(name)
    plug = jig.part("plug")
    closed = opening(jig.part("template_plate"), "mortise-opening").box().x1
    fence = jig.part("template_plate").points["body_fence"].x
    found = sorted(closed - hole.at.y - fence - solution.cradle.body_join_x for hole in plug.holes if hole.id == "bolt")
    assert found == pytest.approx([bolt.from_top for bolt in solution.joint.bolts], abs=1e-9)
    wide = opening(jig.part("template_plate"), "mortise-opening").box().height
    assert 0.05 <= wide - plug.box.width <= 0.2


@pytest.mark.parametrize("rise", [0.0, 0.7, -0.4])
def test_the_drill_guide_marks_block_and_tenon_alike(rise: float) -> None:
    """Flat end at the top's edge, the guide marks the block; rounded end at the tenon's back end, the tenon.

    Judge: vectors in the body frame with a square end face. The tenon's back end is as far below the gluing face as it
    is long, the face `rise` over the join; there the guide's hole must be the block's, whatever the end clearance.
    """
    raw = UKULELE | {"instrument": UKULELE["instrument"] | {"neck_rise": rise}}
    solution = solve(job_from_tables(raw, Path("guide.toml")))
    (guide,) = (part for part in build_jig(solution).parts if part.name == "drill_guide")
    (hole,) = guide.holes
    assert guide.box.y1 - hole.at.y == pytest.approx(33.0, abs=1e-9)
    back_end = rise - solution.joint.tenon_length
    assert back_end + (hole.at.y - guide.box.y0) == pytest.approx(-33.0, abs=1e-9)
    assert guide.box.height < solution.joint.mortise_length


@pytest.mark.parametrize("job", ["orchestra-14", "ukulele-tenor", "parlour-12"])
def test_the_gap_wedge_reads_the_gap(job: str) -> None:
    """One in ten: from the first long mark, whose value the handle names, each mark is a tenth (0.005 in) more. What is
    wanted counts the spacers that the handle names too.

    Judge: the wedge's own edge, read off its outline at each mark.
    """
    solution, jig = made(job)
    wedge = jig.part("gap_wedge")
    inch = solution.job.output.units.value == "inch"
    unit, step, per_long = (25.4, 0.005, 4) if inch else (1.0, 0.1, 5)
    depth = [line.box().height for line in wedge.engraved_lines]
    thin = max(v.point.y for v in wedge.outline.vertices if v.point.x == 0.0)
    words = [text.text for text in wedge.engraved_texts]
    first = next(float(text.removeprefix("FIRST LONG ")) for text in words if text.startswith("FIRST LONG "))
    marks = [line.box() for line in wedge.engraved_lines]
    long = next(i for i, box in enumerate(marks) if abs(thin + box.x0 / 10.0 - first * unit) < 0.05 * unit * step)
    for i, box in enumerate(marks):
        value = first + (i - long) * step
        assert thin + box.x0 / 10.0 == pytest.approx(value * unit, abs=1e-6), i
        assert 0.0 < box.y0 < box.y1 < thin + box.x0 / 10.0
    wanted = next(text for text in words if text.startswith("WANTED"))
    spacer = re.match(r"GAP(?:\+([\d.]+))? ", words[0])
    assert spacer is not None
    gap = float(wanted.split()[1]) - float(spacer[1] or 0.0)
    assert gap * unit == pytest.approx(solution.neck_set.saddle_gap, abs=0.006 * unit)
    assert len(words) == 4
    assert all(depth[i] > depth[i + 1] for i in range(long + per_long, len(marks) - 1, per_long))


def test_both_uses_meet_in_the_plate() -> None:
    """The fence points engraved on the plate are the two cuts' X = 0, and directions are opposite."""
    jig = made("orchestra-14")[1]
    plate = jig.part("template_plate")
    fence = plate.points["body_fence"].x
    assert to_plate(Use.BODY, P3(10.0, 2.0, -5.0), fence) == P3(fence + 10.0, 2.0, -5.0)
    assert to_plate(Use.NECK, P3(10.0, 2.0, -5.0), fence) == P3(-fence - 10.0, -2.0, -5.0)
    assert plate.points["neck_fence"] == P2(-fence, 0.0)
