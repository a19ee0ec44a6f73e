"""Plots and templates of the bench carry their numbers in their geometry, measured here off the ink."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon
from worked_examples import example_a

from generator.base.contours2d import Circle, Path
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Transform
from generator.cutting.making import laser_stocks
from generator.documents.setup.canvas import Canvas
from generator.documents.setup.chart import nice_step, ticks
from generator.documents.setup.correction import correction_plot, gap_of_shims, shims_of_gap
from generator.documents.setup.log_plot import log_plot
from generator.documents.setup.reset_sheet import reset_sheet
from generator.drawing.sheet import Fill, Label, Sheet, Stroke
from generator.drawing.style import Role
from generator.jig.build import build_jig
from generator.jig.heel_bevel import heel_bevel
from generator.jig.laser_coupon import laser_coupon
from generator.jig.layout import jig_layout
from generator.jig.part import Part
from generator.job.load import load_job
from generator.joint.build_log import Build, predictions
from generator.joint.calibration import COUPON_KERFS, COUPON_TAB
from generator.joint.corrections import correct
from generator.joint.readings import Measured
from generator.joint.reset import solve_reset
from generator.joint.solution import Solution, solve


@pytest.fixture(scope="module")
def solution() -> Solution:
    """Worked example A of the jig's requirements, whatever the ready jobs are."""
    return solve(example_a())


def texts(sheet: Sheet) -> list[str]:
    return [label.text for label in sheet.labels()]


# --- charts --------------------------------------------------------------------------------------------------------


def test_ticks_are_round_numbers() -> None:
    """Steps of 1, 2 or 5 times a power of ten, written out."""
    assert [nice_step(span, 8) for span in (1.0, 2.5, 7.0, 90.0)] == pytest.approx([0.2, 0.5, 1.0, 20.0])
    assert ticks(-0.7, 1.1, 0.5) == pytest.approx((-0.5, 0.0, 0.5, 1.0))


def scale(sheet: Sheet) -> tuple[tuple[float, float], tuple[float, float]]:
    """Value at the paper's origin and per mm, for x and y, from the printed tick numbers alone."""
    numbers = [
        (float(label.text.replace("−", "-")), label.at)
        for label in sheet.labels()
        if re.fullmatch(r"−?[\d.]+", label.text)
    ]
    low = min(at.y for _, at in numbers)
    across = sorted((at.x, value) for value, at in numbers if abs(at.y - low) < 1e-6)
    left = min(at.x for _, at in numbers)
    up = sorted((at.y, value) for value, at in numbers if abs(at.x - left) < 1e-6)
    found = []
    for axis in (across, up):
        (p0, v0), (p1, v1) = axis[0], axis[-1]
        per = (v1 - v0) / (p1 - p0)
        found.append((v0 - per * p0, per))
    return found[0], found[1]


def marks(sheet: Sheet) -> dict[bool, list[tuple[float, float]]]:
    """Filled dots (True) and rings (False) in the chart's own values."""
    (x0, dx), (y0, dy) = scale(sheet)
    found: dict[bool, list[tuple[float, float]]] = {True: [], False: []}
    for item in sheet.items:
        if isinstance(item, Fill) and isinstance(item.contour, Circle):
            center = item.contour.center
            found[item.grey == 0.0].append((x0 + dx * center.x, y0 + dy * center.y))
    return found


@settings(max_examples=25, deadline=None)
@given(reading=st.floats(1.0, 6.0), shims=st.floats(0.2, 2.0))
def test_the_plot_shows_reading_and_new_shims_where_they_belong(reading: float, shims: float) -> None:
    """Dot at the shims in use and the reading, ring at the corrected shims and the wanted gap, by the axes' numbers.

    By hand: a shim adds its thickness over the rests' 150 mm to the slope, which the saddle sees 289.8861 mm away.
    """
    one = solve(example_a())
    found = marks(correction_plot(one, reading, one.cradle.angle_rest_drawn + shims))
    assert found[True][0] == pytest.approx((shims, reading), abs=0.015)
    assert found[False][0] == pytest.approx((shims + 150.0 * (3.5 - reading) / 289.8861, 3.5), abs=0.015)


def test_an_inch_jobs_plot_counts_in_inches() -> None:
    """The same dot and ring, read off axes in inches: mm over 25.4; the words say inches too."""
    one = solve(load_job("orchestra-left"))
    sheet = correction_plot(one, 3.0)
    found, wanted = marks(sheet), correct(one, 3.0)
    nominal = one.cradle.nominal_shim
    assert found[True][0] == pytest.approx((nominal / 25.4, 3.0 / 25.4), abs=5e-4)
    assert found[False][0] == pytest.approx(((nominal + wanted.trim.change) / 25.4, wanted.gap_wanted / 25.4), abs=5e-4)
    assert {"shims behind the angle rest, in", "gap at the saddle mark, in", "reading 0.118"} <= set(texts(sheet))
    assert not [text for text in texts(sheet) if "mm" in text]


def test_shims_and_gap_are_each_others_inverse() -> None:
    """Example A: the nominal shim gives 3.5, and the way back is exact."""
    one = solve(example_a())
    assert gap_of_shims(one, 1.0) == pytest.approx(3.5, abs=1e-9)
    for gap in (1.0, 3.5, 6.0):
        assert gap_of_shims(one, shims_of_gap(one, gap)) == pytest.approx(gap, abs=1e-9)


def test_the_log_plot_shows_each_error_at_its_build(solution: Solution) -> None:
    """Errors of −0.4, +0.2 stand over builds 1 and 2 in the order of their dates; rings are the finished joints."""
    predicted = predictions(solution)
    builds = [
        Build("2024-05-02", {Measured.GAP_SHY: 3.7, Measured.GAP_FINAL: 3.5}, predicted),
        Build("2024-05-01", {Measured.GAP_SHY: 3.1}, predicted),
    ]
    found = marks(log_plot(builds, 0.9, "job"))
    assert found[True] == [pytest.approx((1, -0.4), abs=0.005), pytest.approx((2, 0.2), abs=0.005)]
    assert found[False] == [pytest.approx((2, 0.0), abs=0.005)]


def test_a_log_without_a_gap_cannot_be_drawn(solution: Solution) -> None:
    """An empty picture is an error."""
    with pytest.raises(LayoutError, match="no build"):
        log_plot([Build("2024-05-01", {Measured.SIDEWAYS: 0.1}, predictions(solution))], 0.9, "job")


# --- the reset template --------------------------------------------------------------------------------------------


def tapers(sheet: Sheet) -> list[tuple[Path, Path]]:
    """Paper outline and taper line of either side, left block first."""
    outlines = [
        i.path for i in sheet.items if isinstance(i, Stroke) and i.role is Role.CUT and isinstance(i.path, Path)
    ]
    lines = [
        i.path
        for i in sheet.items
        if isinstance(i, Stroke) and i.role is Role.VISIBLE and isinstance(i.path, Path) and not i.path.closed
        and i.path.box().height > 50.0
    ]  # fmt: skip
    pairs = [(paper, next(line for line in lines if paper.box().contains(line.start, 1e-6))) for paper in outlines]
    return sorted(pairs, key=lambda pair: pair[0].box().x0)


@pytest.mark.parametrize("clearance", [-3.0, 2.0])
def test_the_taper_on_paper_is_the_removal_one_to_one(solution: Solution, clearance: float) -> None:
    """On both sides the line starts and ends as far inside the paper's shoulder edge as must come off there, in mm."""
    found = solve_reset(solution, clearance_now=clearance)
    sheet = reset_sheet(solution, found)
    assert sheet.scale == 1.0
    sides = tapers(sheet)
    assert len(sides) == 2
    for (paper, line), edge in zip(sides, ("x1", "x0"), strict=True):
        shoulder = getattr(paper.box(), edge)
        top, bottom = sorted((line.start, line.end), key=lambda p: -p.y)
        assert abs(shoulder - top.x) == pytest.approx(found.shoulder.join, abs=1e-9)
        assert abs(shoulder - bottom.x) == pytest.approx(found.shoulder.back_end, abs=1e-9)
        assert top.y - bottom.y == pytest.approx(92.0, abs=1e-9)


def test_sides_of_the_heel_are_named_for_either_hand() -> None:
    """Seen from the −Y side the neck lies on the left: that is a right-handed instrument's bass side."""
    for job, left in (("orchestra-14", "bass side"), ("orchestra-left", "treble side")):
        one = solve(load_job(job))
        sheet = reset_sheet(one, solve_reset(one, action_now=3.4))
        named = sorted((label.at.x, label.text) for label in sheet.labels() if label.text.endswith(" side"))
        assert named[0][1] == left
        assert {text for _, text in named} == {"bass side", "treble side"}


def test_no_words_of_the_template_overlap(solution: Solution) -> None:
    """Every label keeps off the others and off the lines, its own tick included."""
    sheet = reset_sheet(solution, solve_reset(solution, clearance_now=-3.0))
    labels = [(label.text, Polygon(label.corners()).buffer(-0.1)) for label in sheet.labels()]
    lines = [LineString(i.path.flatten(0.05)) for i in sheet.every_item() if isinstance(i, Stroke)]
    for n, (text, quad) in enumerate(labels):
        assert not any(quad.intersects(other) for _, other in labels[n + 1 :]), text
        assert not any(quad.intersects(line) for line in lines), text


def test_nothing_to_take_off_is_no_template(solution: Solution) -> None:
    """An instrument that stands as wanted gets no empty sheet."""
    with pytest.raises(LayoutError, match="nothing is to come off"):
        reset_sheet(solution, solve_reset(solution, clearance_now=solution.neck_set.bridge_clearance))


def test_a_lowered_neck_says_what_the_strings_lose(solution: Solution) -> None:
    """Wood off at the join shortens the string by as much; the sheet says so, and only then."""
    lowered = " ".join(texts(reset_sheet(solution, solve_reset(solution, clearance_now=2.0))))
    raised = " ".join(texts(reset_sheet(solution, solve_reset(solution, clearance_now=-3.0))))
    assert "string length grows shorter" in lowered
    assert "string length" not in raised


# --- gauges --------------------------------------------------------------------------------------------------------


def spans(part: Part, at: float, across: bool) -> list[float]:
    """Lengths of the part's material along a line square to x or y."""
    shape = Polygon([tuple(p) for p in part.outline.flatten(0.001)])
    box = part.box
    line = (
        LineString([(box.x0 - 1, at), (box.x1 + 1, at)]) if across else LineString([(at, box.y0 - 1), (at, box.y1 + 1)])
    )
    cut = shape.intersection(line)
    return [piece.length for piece in getattr(cut, "geoms", [cut])]


def test_the_coupons_slots_and_tab_are_as_numbered() -> None:
    """Half-way down its slots the comb's gaps are 6 − 2k for every number k, left to right; the tab is 6 mm."""
    part = laser_coupon(load_job("orchestra-14").stocks["acrylic-3"])
    top = part.box.y1
    shape = Polygon([tuple(p) for p in part.outline.flatten(0.001)])
    row = LineString([(part.box.x0, top - 5.0), (part.box.x1, top - 5.0)])
    gaps = sorted(row.difference(shape).geoms, key=lambda gap: gap.bounds[0])
    inner = [gap.length for gap in gaps if gap.length > 0.5 and gap.bounds[2] < part.box.x1 - 1.0]
    assert inner == pytest.approx([6.0 - 2.0 * k for k in COUPON_KERFS], abs=1e-6)
    assert spans(part, part.box.x1 - 3.0, across=False) == pytest.approx([COUPON_TAB])
    engraved = [text.text for text in part.engraved_texts[: len(COUPON_KERFS)]]
    assert engraved[:4] == ["0.050", "0.075", "0.100", "0.125"]
    assert part.quantity == 2


def test_there_is_a_coupon_for_every_stock_the_laser_cuts() -> None:
    """Stocks of nested parts that name the laser among their tools, once each; shim stock and solid wood have none."""
    solution = solve(load_job("orchestra-14"))
    names = [stock.name for stock in laser_stocks(build_jig(solution).parts, solution.job)]
    assert names == [
        name
        for name, stock in solution.job.stocks.items()
        if "laser" in {tool.value for tool in stock.cut_by} and name != solution.job.jig.shim_stock
    ]


@pytest.mark.parametrize("job", ["orchestra-14", "nylon-forward", "dreadnought-tilted", "ukulele-tenor"])
def test_the_bevel_is_the_heel_angle(job: str) -> None:
    """Its two long legs meet at 90° − θ + β, and the tick stands where the blank's overlength ends."""
    one = solve(load_job(job))
    part = heel_bevel(jig_layout(one))
    corners = [vertex.point for vertex in part.outline.vertices]
    apex = P2(0.0, 0.0)
    assert corners[0] == apex
    assert corners[1].y == pytest.approx(0.0, abs=1e-9)
    expected = 90.0 - one.neck_set.set_angle + one.neck_set.end_face_tilt
    last = part.outline.vertices[-1].point
    assert math.degrees(math.atan2(last.y, last.x)) == pytest.approx(expected, abs=1e-9)
    tick = part.engraved_lines[0]
    assert tick.start.x == pytest.approx(
        one.joint.tenon_projection_routed / math.cos(math.radians(one.neck_set.cradle_angle))
    )


def test_labels_carry_their_own_sense() -> None:
    """A minus sign stands before numbers only: a job called orchestra-14 keeps its hyphen."""
    one = solve(load_job("nylon-forward"))
    words = texts(correction_plot(one))
    assert any(text.startswith("wanted gap −") for text in words)
    builds = [Build("2024-05-01", {Measured.GAP_SHY: -2.0}, predictions(one))]
    assert any("nylon-forward" in text for text in texts(log_plot(builds, 0.9, "nylon-forward")))
    assert all(isinstance(label, Label) for label in correction_plot(one).labels())


def test_words_never_leave_the_picture() -> None:
    """Words that would stick out of a picture are pulled in, whole."""
    canvas = Canvas("p", "P", 74.0, 50.0, Transform())
    canvas.words("mortise", P2(70.0, 49.5))
    canvas.lead("body rest", P2(-3.0, 20.0), P2(30.0, 20.0))
    sheet = canvas.sheet()
    for label in sheet.labels():
        box = label.box()
        assert box.x0 >= 0.0
        assert box.y0 >= 0.0
        assert box.x1 <= 74.0
        assert box.y1 <= 50.0
