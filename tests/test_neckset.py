"""The neck set against published formulas and tables, worked examples, and geometry done another way."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from worked_examples import example_a, example_b, example_c, example_d, make_instrument, make_job

from generator.base.errors import InputError
from generator.job.model.instrument import Target
from generator.job.model.job import Job
from generator.joint.neck_set import (
    action_from_gap,
    clearance_from_gap,
    fret_distance,
    gap_from_action,
    solve_neck_set,
    string_over_frets,
)
from generator.joint.solution import solve
from generator.joint.top import DomeLine

# --- worked examples, each figure found twice by other means -------------------------------------------------------

#: s, rise of the top at the saddle, gap, clearance, string over the frets at the saddle, action, set angle, heel
#: angle, cradle angle, angle rest with its shim, mortise length, X of the tongue's end.
WORKED = [
    (example_a, 289.8861, 4.9285, 3.5, -0.05, 3.25, 1.9282, 1.6654, 88.3346, 1.6654, 21.3613, 92, 89.3253),
    (example_b, 289.8861, 4.9247, 2.7535, -0.7965, 3.9965, 2.3, 1.5172, 89.6828, 0.3172, 17.8305, 96.0211, 93.4169),
    (example_c, 194.4341, 0, 2.5, 1.2, 1.3, 0.9177, 0.7367, 89.2633, 0.7367, 17.2858, 66, 62.9614),
    (example_d, 284.2289, 5.1428, 3, -0.55, 3.75, 2.1771, 1.5806, 89.9194, 0.0806, 17.2109, 89.0305, 86.4388),
]


@pytest.mark.parametrize("row", WORKED, ids=[row[0].__name__ for row in WORKED])
def test_worked_examples(row: tuple[Any, ...]) -> None:
    """A job in numbers: every figure of the set, the rest, the mortise and the tongue, to the last printed digit."""
    make, *expected = row
    solution = solve(make())
    neck_set = solution.neck_set
    found = [
        neck_set.join_to_saddle,
        neck_set.top_rise_at_saddle,
        neck_set.saddle_gap,
        neck_set.bridge_clearance,
        neck_set.string_over_frets_at_saddle,
        neck_set.action,
        neck_set.set_angle,
        neck_set.heel_angle,
        neck_set.cradle_angle,
        solution.cradle.angle_rest,
        solution.joint.mortise_length,
        solution.routing.tongue_length,
    ]
    assert found == pytest.approx(expected, abs=5.1e-5)


# --- published -----------------------------------------------------------------------------------------------------


def steel_string(**changes: Any) -> Any:
    """Bridge 3/8 in, fretboard 1/4 in, frets 0.045 in, compensation 0.15 in, flat top: read unstrung, so no pull-up."""
    return make_instrument(
        **{
            "bridge_thickness": 9.525,
            "saddle_projection": 3.175,
            "fretboard_thickness": 6.35,
            "fret_height": 1.143,
            "saddle_compensation": 3.81,
            "string_pull_up": 0,
            "top": {"form": "flat"},
            **changes,
        }
    )


@pytest.mark.parametrize(
    ("clearance", "changes", "angle"),
    [
        (0.79375, {}, 0.5560),
        (0.396875, {}, 0.4779),
        (1.5875, {}, 0.7121),
        (0.79375, {"scale_length": 632.46}, 0.5670),
        (0.79375, {"body_fret": 12}, 0.4960),
    ],
)
def test_published_neck_angle(clearance: float, changes: dict[str, Any], angle: float) -> None:
    """tan a = ((bridge + air gap) − (fretboard + fret)) / (scale + compensation − nut to body fret).

    Formula and inputs: M. Koch, "Determining the neck angle of an acoustic guitar", after Cumpiano & Natelson,
    *Guitarmaking: Tradition and Technology*; the angles are arithmetic on them.
    """
    found = solve_neck_set(steel_string(**changes), Target(bridge_clearance=clearance))
    assert found.set_angle == pytest.approx(angle, abs=5.1e-5)


def test_published_neck_angle_inputs() -> None:
    """The same source's rise and run for 25.4 in, 14 frets, 1/32 in of air: 2.8258 and 291.1961 mm."""
    found = solve_neck_set(steel_string(), Target(bridge_clearance=0.79375))
    assert found.saddle_gap == pytest.approx(2.8258, abs=5.1e-5)
    assert found.join_to_saddle == pytest.approx(291.1961, abs=5.1e-5)
    assert found.string_height_at_saddle == pytest.approx(12.7)


def test_published_forward_set() -> None:
    """A nylon-string whose fret plane stands 4.5 mm over the top is set forward, and the sign is kept.

    4 to 5 mm: K. Hill, article on setting up a classical guitar; −0.4380° is arithmetic on 4.5 mm.
    """
    nylon = make_instrument(
        scale_length=650, body_fret=12, frets=19, saddle_compensation=2, fretboard_thickness=6, fret_height=1,
        top={"form": "flat"},
    )  # fmt: skip
    found = solve_neck_set(nylon, Target(saddle_gap=4.5 - 7.0))
    assert found.join_to_saddle == pytest.approx(327.0)
    assert found.set_angle == pytest.approx(-0.4380, abs=5.1e-5)
    assert found.heel_angle == pytest.approx(90.4380, abs=5.1e-5)
    assert found.extension_gap < 0


def test_published_fret_table() -> None:
    """Distances from fret to bridge on a 635 mm scale (stuphi.co.uk, guitar page, 2006): x_n = x_0 / 2^(n/12)."""
    table = [635.0, 599.360, 565.721, 533.969, 504.0, 475.712, 449.013, 423.812, 400.025, 377.573, 356.382]
    assert [635.0 - fret_distance(635.0, fret) for fret in range(11)] == pytest.approx(table, abs=6e-4)


def test_fret_constant() -> None:
    """Scale over the first fret's distance is 17.817 (M. Koch, *Building Electric Guitars*), and not 18."""
    assert 645.16 / fret_distance(645.16, 1) == pytest.approx(17.817153745, abs=1e-8)


def test_rule_of_eighteen_is_not_used() -> None:
    """Eighteenths miss the octave of 25.4 in by 0.092 in; equal temperament halves the scale exactly."""
    left = 25.4
    for _ in range(12):
        left -= left / 18.0
    assert left - 12.7 == pytest.approx(0.092, abs=5e-4)
    assert fret_distance(645.16, 12) == pytest.approx(322.58, abs=1e-9)


@pytest.mark.parametrize(
    ("scale", "distance"), [(645.16, 357.774), (632.46, 350.731), (647.7, 359.182), (650.0, 360.458)]
)
def test_nut_to_fourteenth_fret(scale: float, distance: float) -> None:
    """Nut to fret 14 of four common scales; arithmetic on the definition."""
    assert fret_distance(scale, 14) == pytest.approx(distance, abs=5.1e-4)


def test_string_over_the_plane_for_an_action() -> None:
    """y_n + (a12 − y_n)(S + c)/(S/2) with 645.16, 3.81, 0.5 and 2.4 mm is 4.322 mm, relief left out."""
    instrument = make_instrument(saddle_compensation=3.81, relief=0)
    assert string_over_frets(instrument, 2.4) == pytest.approx(4.322, abs=5.1e-4)


def test_published_sagitta() -> None:
    """A chord of 14 in rising 1/4 in lies on a radius of 98.125 in (CRC tables, 1959, as cited).

    Cited in an article on building ukuleles.
    """
    inch = 25.4
    dome = DomeLine(radius=98.125 * inch, crown=7 * inch)
    assert dome.height(7 * inch) == pytest.approx(inch / 4, abs=1e-9)
    assert dome.height(14 * inch) == pytest.approx(0.0, abs=1e-9)


# --- string break, by trigonometry written out ----------------------------------------------------------------------


def test_string_break_on_a_flat_top() -> None:
    """In front the string falls 8.1789 mm over 648.97 mm, behind 3.175 mm over 8 mm: 0.7221° + 21.6469°.

    Neck plane: 2.8258 mm over the top at the saddle, 291.1961 mm from the join, so 0.0097041 mm a mm; at the nut,
    357.7739 mm before the join, -3.4719 mm. Fretboard 6.35, fret 1.143 and 0.5 mm over it put the string at 4.5211 mm
    there; bridge 9.525 and saddle 3.175 mm put it at 12.7 mm at the saddle.
    """
    guitar = steel_string(saddle_to_string_hole=8, nut_string_height=0.5)
    found = solve_neck_set(guitar, Target(bridge_clearance=0.79375))
    assert found.string_break == pytest.approx(22.3689, abs=5.1e-4)


@pytest.mark.parametrize(("hole", "depth", "expected"), [(8, 0, 23.4362), (9, 3, 36.1948)])
def test_string_break_on_a_dome_with_strings_on(hole: float, depth: float, expected: float) -> None:
    """In front 18.2296 over 647.66 mm (1.6123°); behind 3.2036 over 8 mm (21.8239°), or 6.2046 over 9 mm (34.5825°).

    Strings on, the neck plane stands 4.9285 + 3.5 - 1.5 = 6.9285 mm over the join's level at the saddle, 289.8861 mm
    from the join; at the nut, 357.7739 mm before it, at -8.5511, the string 7.95 mm higher. The saddle's crown stands
    at 4.9285 + 9.5 + 3.2 = 17.6285 mm. Behind it the top falls by (7.8861² - 0.1139²) / 2 · 8534.4 = 0.0036 mm to the
    pin hole, by 0.0046 mm to the tie block's face, whose hole lies 3 mm under the bridge's face.
    """
    parts = {"saddle_to_string_hole": hole, "string_hole_depth": depth}
    found = solve(make_job(instrument=parts)).neck_set
    assert found.saddle_gap == pytest.approx(3.5)
    assert found.string_break == pytest.approx(expected, abs=5.1e-4)


def test_a_string_that_lifts_off_the_saddle_breaks_less_than_nothing() -> None:
    """A saddle level with the bridge and a nut higher than both: behind 0°, in front the string rises to the nut."""
    guitar = steel_string(saddle_projection=0, nut_string_height=5)
    found = solve_neck_set(guitar, Target(saddle_gap=-12))
    rise_to_nut = -12 * -357.7739 / 291.1961 + 6.35 + 1.143 + 5 - 9.525
    assert found.string_break == pytest.approx(-math.degrees(math.atan(rise_to_nut / 648.97)), abs=1e-4)
    assert found.string_break < 0


# --- another way ---------------------------------------------------------------------------------------------------


def test_action_by_drawing_the_string() -> None:
    """The action is what a drawn string leaves over a fretboard drawn with its relief.

    Reference: the fret plane is the x axis from the nut, the fretted curve a parabola through frets 1 and 14 found by
    solving for three points, the string a straight line from nut to compensated saddle.
    """
    solution = solve(example_a())
    scale, sag = 645.16, 0.15
    first, last = (scale * (1 - 0.5 ** (n / 12)) for n in (1, 14))
    middle = (first + last) / 2
    steep = sag / ((middle - first) * (last - middle))
    fret12 = -steep * (scale / 2 - first) * (last - scale / 2)
    string = 0.5 + (3.25 - 0.5) * (scale / 2) / (scale + 2.5)
    assert solution.neck_set.action == pytest.approx(string - fret12, abs=1e-9)


def test_heights_square_to_the_rim_plane_are_good_enough() -> None:
    """Taking the stack square to the rim plane, and not to the neck plane, errs by less than 0.022 mm under 3°.

    Reference: the stack drawn as a vector square to a neck plane turned by 3°, met by the vertical at the saddle.
    """
    stack = 6.35 + 1.1 + 8.0
    turn = math.radians(3.0)
    foot = (-stack * math.sin(turn), stack * math.cos(turn))
    vertical = foot[1] - foot[0] * math.tan(turn)
    assert 0 < vertical - stack < 0.022


def test_gap_by_rotating_the_neck_plane() -> None:
    """The neck plane turned about its end at the join stands the wanted gap over the top at the saddle."""
    for make in (example_a, example_b, example_c, example_d):
        neck_set = solve(make()).neck_set
        turn = math.radians(neck_set.set_angle)
        along = neck_set.join_to_saddle / math.cos(turn)
        height = neck_set.neck_rise + along * math.sin(turn)
        assert height - neck_set.top_rise_at_saddle == pytest.approx(neck_set.saddle_gap, abs=1e-9)


def test_dome_by_its_circle() -> None:
    """Every point of a dome lies on one circle through the end of its flat part, crown where it was asked for."""
    radius, crown, start = 8534.4, 290.0, 40.0
    dome = DomeLine(radius, crown, start)
    centre = (crown, -math.sqrt(radius**2 - (crown - start) ** 2))
    for x in (start, 100.0, 200.0, 289.886, 400.0):
        assert math.dist((x, dome.height(x)), centre) == pytest.approx(radius, abs=1e-9)
    assert dome.height(39.0) == 0.0
    for y in (5.0, 15.525, 40.0):
        assert math.hypot(y, radius - dome.falls_beside(y)) == pytest.approx(radius, abs=1e-9)


def test_measured_top_takes_whatever_is_under_the_bar() -> None:
    """Asking for just the gap of the zero-angle reading asks for cradle angle zero, whatever tilt and neck rise."""
    for tilt, over in ((0.0, 0.0), (1.5, 0.3), (-2.0, -1.0)):
        instrument = make_instrument(
            end_face_tilt=tilt, neck_rise=over, top={"form": "measured", "zero_angle_gap": 2.6}
        )
        assert solve_neck_set(instrument, Target(saddle_gap=2.6)).cradle_angle == pytest.approx(0.0, abs=1e-12)


def test_measured_top_keeps_the_reading_at_the_saddle() -> None:
    """Between join and saddle the measured top is a parabola level at the saddle."""
    neck_set = solve(example_d()).neck_set
    s, rise = neck_set.join_to_saddle, neck_set.top_rise_at_saddle
    assert neck_set.top.height(0.0) == 0.0
    assert neck_set.top.height(s) == pytest.approx(rise)
    assert neck_set.top.height(s / 2) == pytest.approx(0.75 * rise)
    assert neck_set.top.turns_at(0.0) == pytest.approx((s,))


def test_extension_gap_on_a_flat_top() -> None:
    """On a flat top the fretboard's end hangs over by the plane's own rise from join to last fret."""
    neck_set = solve(example_c()).neck_set
    from_join = 432 * (0.5 ** (14 / 12) - 0.5 ** (19 / 12))
    assert neck_set.extension_length == pytest.approx(from_join)
    assert neck_set.extension_gap == pytest.approx(2.5 * from_join / 194.43412311831327, abs=1e-9)


def test_extension_gap_on_a_dome() -> None:
    """A dome rises under the fretboard's end and takes its height off the gap.

    Reference: the dome's height by its circle through the join, crown 290 mm from it.
    """
    neck_set = solve(example_a()).neck_set
    x = 645.16 * (0.5 ** (14 / 12) - 0.5 ** (20 / 12))
    centre = -math.sqrt(8534.4**2 - 290.0**2)
    dome_height = centre + math.sqrt(8534.4**2 - (x - 290.0) ** 2)
    assert dome_height > 2.0
    plane = x * (3.5 + neck_set.top_rise_at_saddle) / neck_set.join_to_saddle
    assert neck_set.extension_gap == pytest.approx(plane - dome_height, abs=1e-9)


def test_neck_rise_along_the_end_face() -> None:
    """Up the end face from the join it is as far to the neck plane as the two lines' crossing says."""
    neck_set = solve(example_d()).neck_set
    plane, face = math.radians(neck_set.set_angle), math.radians(1.5)
    up = neck_set.neck_rise_along_face
    x, z = -up * math.sin(face), up * math.cos(face)
    assert z == pytest.approx(0.3 + x * math.tan(plane), abs=1e-12)


# --- properties ----------------------------------------------------------------------------------------------------


@given(
    gap=st.floats(-8, 8),
    compensation=st.floats(-1, 6),
    relief=st.floats(0, 0.6),
    neck_rise=st.floats(-2, 4),
    tilt=st.floats(-4, 4),
    fret=st.sampled_from([12, 13, 14, 16]),
)
def test_three_ways_to_say_one_thing(
    gap: float, compensation: float, relief: float, neck_rise: float, tilt: float, fret: int
) -> None:
    """Gap, clearance and action are one statement: each reported value, asked for in its turn, gives the same set."""
    instrument = make_instrument(
        saddle_compensation=compensation, relief=relief, neck_rise=neck_rise, end_face_tilt=tilt, body_fret=fret
    )
    first = solve_neck_set(instrument, Target(saddle_gap=gap))
    by_clearance = solve_neck_set(instrument, Target(bridge_clearance=first.bridge_clearance))
    by_action = solve_neck_set(instrument, Target(action_bass=first.action + 0.3, action_treble=first.action - 0.3))
    for other in (by_clearance, by_action):
        assert other.saddle_gap == pytest.approx(gap, abs=1e-9)
        assert other.set_angle == pytest.approx(first.set_angle, abs=1e-9)
    assert clearance_from_gap(instrument, gap) == pytest.approx(first.bridge_clearance)
    assert gap_from_action(instrument, action_from_gap(instrument, gap)) == pytest.approx(gap, abs=1e-9)


@given(gap=st.floats(-5, 6), step=st.floats(0.05, 3))
def test_a_larger_gap_tips_the_headstock_back(gap: float, step: float) -> None:
    """More gap means a larger set angle, a sharper heel, a lower action: the signs hold on both sides of zero."""
    low = solve_neck_set(make_instrument(), Target(saddle_gap=gap))
    high = solve_neck_set(make_instrument(), Target(saddle_gap=gap + step))
    assert high.set_angle > low.set_angle
    assert high.heel_angle < low.heel_angle
    assert high.action < low.action
    assert high.bridge_clearance > low.bridge_clearance


def test_tilt_moves_heel_and_cradle_only() -> None:
    """The end face's tilt changes the angle between plane and shoulder, never the plane itself."""
    square = solve_neck_set(make_instrument(), Target(saddle_gap=3.5))
    tilted = solve_neck_set(make_instrument(end_face_tilt=1.2), Target(saddle_gap=3.5))
    assert tilted.set_angle == square.set_angle
    assert tilted.heel_angle - square.heel_angle == pytest.approx(1.2)
    assert tilted.cradle_angle - square.cradle_angle == pytest.approx(-1.2)


def test_bench_reading_hides_the_string_pull() -> None:
    """Before stringing, the straightedge reads the strung clearance and what the strings will later pull up."""
    neck_set = solve(example_a()).neck_set
    assert neck_set.clearance_before_stringing == pytest.approx(-0.05 + 1.5)


# --- refusals ------------------------------------------------------------------------------------------------------


def dome(**keys: float) -> Job:
    job = example_a()
    return job.model_copy(update={"instrument": make_instrument(top={"form": "dome", **keys})})


def test_a_dome_flat_to_its_crown_is_refused() -> None:
    """The flat part must end before the crown; the fault names both keys' values."""
    with pytest.raises(InputError, match=r"flat_until: found 290 mm; allowed: less than the crown's 290 mm"):
        solve(dome(radius=8534.4, crown_from_join=290, flat_until=290))
