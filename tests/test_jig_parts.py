"""The jig's parts: they fit each other, move without touching, and set what the formulas say.

Expected values come from the requirements of the jig, worked with plain trigonometry and the CAD kernel, not from the
parts' own functions.
"""

from __future__ import annotations

import itertools
import math
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from generator.cutting import cut_lines
from generator.geometry2d import P2, Circle, Contour
from generator.geometry2d import Path as Outline
from generator.load import job_from_tables, load_job
from generator.parts.base import Carrier, Jig, Part, Use
from generator.parts.jig import build_jig
from generator.presets import PresetKind, list_presets
from generator.solution import Solution, solve

READY = [preset.name for preset in list_presets(PresetKind.JOBS)]
#: The small worked example of the formulas on the guitar's jig: pins of a jig 150 mm long on a sine distance of 100.
SHORT: dict[str, Any] = {
    "schema": 1,
    "job": {"name": "short-sine"},
    "instrument": {"preset": "ukulele-tenor", "scale_length": 432, "saddle_projection": 2.5},
    "target": {"bridge_clearance": 1.2},
    "router": {"preset": "trim-metric-10"},
    "jig": {
        "preset": "sheet",
        "sine_distance": 100,
        "nose_offset": 18,
        "block_at_zero": 13,
        "bed_stock": "birch-ply-12",
    },
}
JOBS = [*READY, "short-sine"]
ALWAYS = {"template_plate", "bed", "cheek_left", "cheek_right", "set_block", "body_block", "depth_block"}


@cache
def made(name: str) -> tuple[Solution, Jig]:
    solution = solve(job_from_tables(SHORT, Path("short-sine.toml")) if name == "short-sine" else load_job(name))
    return solution, build_jig(solution)


def turned(x: float, y: float, angle: float) -> tuple[float, float]:
    co, si = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    return x * co - y * si, x * si + y * co


def opening(part: Part, name: str) -> Contour:
    return next(item.contour for item in part.openings if item.id == name)


@pytest.mark.parametrize("name", JOBS)
def test_the_parts_every_jig_has(name: str) -> None:
    """Every jig has the seven parts the output folder promises, each cut from stock the job names."""
    solution, jig = made(name)
    names = [part.name for part in jig.parts]
    assert set(names) >= ALWAYS
    assert len(names) == len(set(names))
    assert {part.stock for part in jig.parts} <= set(solution.job.stocks)


def test_worked_example_openings() -> None:
    """Orchestra model, 22.225 deep, 19.05 wide: opening 22.225 wide, tongue 15.725 wide and 89.4125 long.

    Arithmetic on (5/8 in − 1/2 in)/2 = 1.5875 mm: 19.05 + 3.175, 18.9 − 3.175, 91 − 1.5875.
    """
    solution, jig = made("orchestra-14")
    plate = jig.part("template_plate")
    fence = 18.0 + 3.0 + 45.0
    mortise = opening(plate, "mortise-opening").box()
    assert mortise.height == pytest.approx(22.225, abs=1e-9)
    assert mortise.x1 - fence == pytest.approx(92.0 + 1.5875 + solution.cradle.body_join_x, abs=1e-9)
    window = opening(plate, "tenon-window")
    assert isinstance(window, Outline)
    tongue = [v for v in window.vertices if abs(-fence - v.x - 89.4125) < 1e-9]
    assert max(v.y for v in tongue) <= 15.725 / 2 + 1e-9
    assert min(v.y for v in tongue) >= -15.725 / 2 - 1e-9
    sides = [v.y for v in window.vertices if -fence - 89.4 < v.x < -fence and abs(v.y) < 9]
    assert max(sides) - min(sides) == pytest.approx(15.725, abs=1e-9)


@pytest.mark.parametrize("name", JOBS)
def test_plate_turns_end_for_end(name: str) -> None:
    """The slots and screws over the cheeks are their own image under half a turn about the plate's centre."""
    plate = made(name)[1].part("template_plate")
    spots = [(h.at.x, h.at.y, h.diameter) for h in plate.holes if h.id.startswith("plate-cheek")]
    spots += [
        (o.contour.box().center.x, o.contour.box().center.y, o.contour.area)
        for o in plate.openings
        if o.id.startswith("plate-cheek")
    ]
    assert len(spots) >= 6
    for x, y, size in spots:
        assert any(math.dist((-x, -y, size), other) < 1e-9 for other in spots)


@pytest.mark.parametrize("name", JOBS)
def test_pins_stay_in_their_slots_about_the_join_line(name: str) -> None:
    """Over the whole range each pin's centre runs along its cheek slot's middle, at one distance from the join line."""
    solution, jig = made(name)
    spec = solution.job.jig
    cheek = jig.part("cheek_right")
    slots = [opening(cheek, "upper-pin-slot"), opening(cheek, "lower-pin-slot")]
    pins = sorted(((-h.at.x, -h.at.y) for h in jig.part("rib").holes if h.id == "pin"), key=lambda pin: pin[1])
    if name in READY:
        assert sorted(pins) == sorted(zip(spec.pin_back, spec.pin_below, strict=True))
    first, second = (math.degrees(math.atan2(below, back)) for back, below in pins)
    assert abs(first - second) >= 45.0, (
        "two pins in nearly one direction from the pivot would let the bed slip along it"
    )
    for slot, (back, below) in zip(slots, pins, strict=True):
        corners = slot.flatten(1e-4)
        width = next(h.diameter for h in jig.part("rib").holes if h.id == "pin")
        for step in range(11):
            angle = spec.angle_low + (spec.angle_high - spec.angle_low) * step / 10
            x, y = turned(-back, -below, angle)
            nearest = min(math.hypot(x - p.x, y - p.y) for p in corners)
            assert slot.contains(P2(x, y))
            assert nearest == pytest.approx(width / 2, abs=1e-2)


def test_pins_follow_a_short_sine_distance() -> None:
    """On a sine distance of 100 the preset's lower pin, 105 below the pivot, moves up over spine and ledge.

    By hand: washers of M6 are 12 across, so the ribs' back stands 60 + 11 behind the pivot and sinks by 71·sin 6° at
    the highest angle; the spine ends 1.5 below that and 11 of land, and must reach the nose at 100. The two pins'
    directions stay 45 degrees apart.
    """
    solution, jig = made("short-sine")
    upper, lower = (hole.at for hole in jig.part("rib").holes if hole.id == "pin")
    assert (upper.x, lower.x) == (-60.0, -52.0)
    assert lower.y == math.ceil(-100.0 + 11.0 + 71.0 * math.sin(math.radians(6.0)) + 1.5) == -80.0
    assert upper.y == -12.0
    apart = math.degrees(math.atan2(80.0, 52.0) - math.atan2(12.0, 60.0))
    assert 45.0 <= apart < 46.0
    assert solution.cradle.set_block == pytest.approx(14.2872, abs=5e-5)


@pytest.mark.parametrize("name", JOBS)
@pytest.mark.parametrize("block", ["set_block", "body_block"])
def test_block_fills_the_way_from_ledge_to_nose(name: str, block: str) -> None:
    """With the bed turned to its angle the nose rod stands off the ledge's face by the block's width, to 1e-9 mm."""
    solution, jig = made(name)
    angle = solution.neck_set.cradle_angle if block == "set_block" else solution.cradle.body_bed_angle
    nose = next(h.at for h in jig.part("rib").holes if h.id == "nose")
    rod = turned(nose.x, nose.y, angle)[0] - solution.job.jig.nose_diameter / 2
    ledge = next(item for item in jig.placed if item.part.name == "stop_ledge")
    face = ledge.placement.to_space(0, 0, ledge.part.thickness).x
    width = jig.part(block).points["nose_contact"].x
    assert rod - face == pytest.approx(width, abs=1e-9)
    assert width >= 5.0


@pytest.mark.parametrize("name", JOBS)
def test_bed_stays_below_the_cut(name: str) -> None:
    """At every angle of the range nothing the bed carries comes nearer to the cut than 1 mm below its floor."""
    solution, jig = made(name)
    spec, pivot = solution.job.jig, solution.cradle.pivot_depth
    floor = -solution.joint.mortise_depth
    reach = solution.routing.opening_start + (solution.routing.bushing_od - solution.routing.bit_diameter) / 2
    for item in (p for p in jig.placed if p.part.carrier is Carrier.BED):
        for angle in (spec.angle_low, 0.0, spec.angle_high):
            stand = item.placement.turned_by_bed(angle, -pivot)
            for corner in item.part.outline.flatten(0.5):
                for z in (0.0, item.part.thickness):
                    at = stand.to_space(corner.x, corner.y, z)
                    assert at.z < floor - 1.0 or at.x < reach - 0.5, (item.label, angle, at)


@pytest.mark.parametrize("name", JOBS)
def test_nothing_collides(name: str) -> None:
    """No two pieces of the jig share material, at either working angle or at the ends of the range.

    Judge: the CAD kernel's common volume. Away from its own angle a set block is left out.
    """
    from generator.solid import assembly, interferences, jig_solids

    solution, jig = made(name)
    spec, solids = solution.job.jig, jig_solids(jig)
    working = {Use.NECK: solution.neck_set.cradle_angle, Use.BODY: solution.cradle.body_bed_angle}
    for use in Use:
        for angle in (spec.angle_low, 0.0, working[use], spec.angle_high):
            pieces = [
                piece
                for piece in assembly(jig, angle, use, solids=solids).pieces
                if angle == working[use] or not piece.label.endswith("block")
            ]
            assert interferences(pieces) == (), (use, angle)


@pytest.mark.parametrize("name", JOBS)
def test_solid_is_the_profile(name: str) -> None:
    """Each solid has the part's closed-form volume within 1e-6, and its mid-height slice the profile's area."""
    from generator.solid import part_solid
    from generator.solid.measure import volume

    for part in made(name)[1].parts:
        assert volume(part_solid(part).wrapped) == pytest.approx(part.volume, rel=1e-6), part.name


@pytest.mark.parametrize("name", JOBS)
def test_every_part_can_be_cut(name: str) -> None:
    """Every part yields cut lines, its outline on the outside layer, and engraving on material only."""
    from generator.writers.dxf import part_dxf

    for part in made(name)[1].parts:
        assert sum(line.layer == "cut-outside" for line in cut_lines(part)) == 1
        assert part_dxf(part, name)


def test_left_and_right_cheek_mirror_each_other() -> None:
    """Seen from their own outsides the cheeks are mirror images: every opening of one stands mirrored in the other."""
    jig = made("orchestra-14")[1]
    left, right = jig.part("cheek_left"), jig.part("cheek_right")
    assert left.volume == pytest.approx(right.volume, rel=1e-12)
    for one, other in zip(left.openings, right.openings, strict=True):
        a, b = one.contour.box(), other.contour.box()
        assert (a.x0, a.y0, a.x1, a.y1) == pytest.approx((-b.x1, b.y0, -b.x0, b.y1))


def test_neck_without_a_slot_gets_side_stops() -> None:
    """A neck with a truss-rod slot is centred by it; one without gets two equal side stops in its place."""
    for name in READY:
        solution, jig = made(name)
        names = {part.name for part in jig.parts}
        pins = any("Pin, push fit" in item.title for item in jig.hardware)
        if solution.job.instrument.truss_rod_slot_width is None:
            assert "side_stop" in names
            assert not pins
        else:
            assert "side_stop" not in names
            assert pins or "truss_key" in names


@pytest.mark.parametrize("name", JOBS)
def test_tip_pin_clears_the_bolts(name: str) -> None:
    """The tip pin's hole in the tenon's end keeps at least 4 mm of wood to every bolt hole's edge."""
    solution, jig = made(name)
    if not solution.job.jig.tip_pin or solution.job.jig.bridged:
        pytest.skip("no tip pin in this job")
    pin = next(h for h in jig.part("template_plate").holes if h.id == "tip-pin")
    x = -pin.at.x - (
        solution.job.stock("bed").actual_thickness + solution.job.jig.cheek_gap + solution.job.jig.cheek_depth / 2
    )
    assert 0 < x < solution.routing.tongue_length - pin.diameter / 2
    for bolt in solution.joint.bolts:
        assert abs(x - bolt.from_top) - pin.diameter / 2 - bolt.pilot_hole / 2 >= 4.0 - 1e-9


def test_circles_are_circles() -> None:
    """Round holes reach the cut lines as circles, not as chains of arcs."""
    plate = made("orchestra-14")[1].part("template_plate")
    rounds = [line for line in cut_lines(plate) if isinstance(line.shape, Circle)]
    assert len(rounds) >= 9


@pytest.mark.parametrize("overstand", [0.0, 0.7, -0.4])
def test_the_drill_guide_marks_block_and_tenon_alike(overstand: float) -> None:
    """Flat end at the top's edge, the guide marks the block; rounded end at the tenon's back end, the tenon.

    Judge: vectors in the body frame with a square end face. The tenon's back end is as far below the gluing face as it
    is long, the face `overstand` over the join; there the guide's hole must be the block's, whatever the end clearance.
    """
    raw = SHORT | {"instrument": SHORT["instrument"] | {"overstand": overstand}}
    solution = solve(job_from_tables(raw, Path("guide.toml")))
    (guide,) = (part for part in build_jig(solution).parts if part.name == "drill_guide")
    (hole,) = guide.holes
    assert guide.box.y1 - hole.at.y == pytest.approx(33.0, abs=1e-9)
    back_end = overstand - solution.joint.tenon_length
    assert back_end + (hole.at.y - guide.box.y0) == pytest.approx(-33.0, abs=1e-9)
    assert guide.box.height < solution.joint.mortise_length


@pytest.mark.parametrize("job", ["orchestra-14", "ukulele-tenor", "dreadnought-tilted"])
def test_each_step_of_the_gap_gauge_carries_its_value(job: str) -> None:
    """Every step high enough for letters is engraved with its own height, within its own outline."""
    gauge = build_jig(solve(load_job(job))).part("gap_gauge")
    corners = [v.point for v in gauge.outline.vertices]
    steps = {round(p.y, 6) for p in corners if p.x > 30.0 + 1e-6 and p.y > 1.4}
    engraved = {}
    for text in gauge.engraved_texts:
        if text.at.x > 30.0:
            above = {round(a.y, 6) for a, b in itertools.pairwise(corners) if b.x < text.at.x < a.x and a.y == b.y}
            assert above == {round(2.0 * text.at.y, 6)}
            assert text.height < 0.7 * 2.0 * text.at.y
            engraved[round(2.0 * text.at.y, 6)] = float(text.text)
    assert set(engraved) == steps
    assert all(value == pytest.approx(height, abs=0.005) for height, value in engraved.items())
