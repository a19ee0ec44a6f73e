"""How numbers and callouts read."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.base.annotation import Dimension, DimKind, Requirement, Side, Tolerance, within
from generator.base.errors import GeometryError
from generator.base.points2d import P2
from generator.documents.hole_callout import hole_text
from generator.drawing.callout import Notation, angle_text, dimension_text, length_text, length_words, requirement_text
from generator.jig.build import build_jig
from generator.jig.part import Face, Hole
from generator.job.load import load_job
from generator.job.model.job import UnitsChoice
from generator.joint.solution import solve

MM = Notation(UnitsChoice.MM)
INCH_SHOP = Notation(UnitsChoice.INCH, bench=False)
INCH_BENCH = Notation(UnitsChoice.INCH, bench=True)
BOTH_SHOP = Notation(UnitsChoice.BOTH, bench=False)
BOTH_BENCH = Notation(UnitsChoice.BOTH, bench=True)


@pytest.mark.parametrize(
    ("value", "text"),
    [(57.15, "57.15"), (15.875, "15.875"), (22.225, "22.225"), (40.0, "40"), (13.55, "13.55"), (89.4125, "89.41")],
)
def test_millimetres_carry_enough_decimals(value: float, text: str) -> None:
    """57.15 stays 57.15 and 15.875 stays 15.875: no number is rounded to where it could mislead."""
    assert length_text(value, MM) == text


@given(st.floats(0.001, 2000))
def test_printed_millimetres_are_within_five_thousandths(value: float) -> None:
    """|printed − model| < 0.005 mm for any length."""
    assert abs(float(length_text(value, MM)) - value) < 0.005


@given(st.floats(0.001, 2000))
def test_printed_inches_are_the_nearest_of_their_kind(value: float) -> None:
    """Shop inches have three or four decimals, so that they stay within 0.005 mm standing alone; beside millimetres

    three do. Bench inches are the nearest 1/64. All worked out here from 25.4 mm.
    """
    shop = length_text(value, INCH_SHOP)
    assert re.fullmatch(r"\d+\.\d{3,4}", shop)
    assert abs(float(shop) * 25.4 - value) <= 0.005 + 1e-9
    beside = re.fullmatch(r".* \[(\d+\.\d{3})\]", length_text(value, BOTH_SHOP))
    assert abs(float(beside[1]) - value / 25.4) <= 0.0005 + 1e-9
    bench = length_text(value, INCH_BENCH)
    whole, top, bottom = re.fullmatch(r'(?:(\d+) ?)??(?:(\d+)/(\d+))?"', bench).groups()
    inches = int(whole or 0) + (int(top) / int(bottom) if top else 0)
    assert abs(inches - value / 25.4) <= 1 / 128 + 1e-9


@pytest.mark.parametrize(
    ("notation", "text"),
    [
        (MM, "4× ⌀57.15 ±0.1 pins"),
        (INCH_SHOP, "4× ⌀2.250 ±0.004 pins"),
        (INCH_BENCH, '4× ⌀2 1/4" pins'),
        (BOTH_SHOP, "4× ⌀57.15 ±0.1 [2.250 ±0.004] pins"),
        (BOTH_BENCH, '4× ⌀57.15 ±0.1 (2 1/4") pins'),
    ],
)
def test_a_whole_callout_in_every_notation(notation: Notation, text: str) -> None:
    """Count, sign, number, tolerance, the other unit and the note, in that order."""
    tolerance = Tolerance(-0.1, 0.1, "fit")
    assert length_text(57.15, notation, "⌀", tolerance, 4, "pins") == text


@pytest.mark.parametrize(
    ("even", "text"),
    [(0.01, "[0.0039 ±0.0004]"), (0.02, "[0.0039 ±0.0008]"), (0.05, "[0.004 ±0.002]"), (0.1, "[0.004 ±0.004]")],
)
def test_no_tolerance_is_rounded_away(even: float, text: str) -> None:
    """A tolerance that three decimals of an inch would change by more than a tenth brings a fourth."""
    assert length_text(0.1, BOTH_SHOP, tolerance=Tolerance(-even, even, "fit")).endswith(text)


@pytest.mark.parametrize(
    ("lower", "upper", "text"),
    [(-0.05, 0.05, "10 ±0.05"), (0, 0.1, "10 +0.1/0"), (-0.1, 0, "10 0/−0.1"), (-0.2, 0.1, "10 +0.1/−0.2")],
)
def test_tolerances_read_upper_over_lower(lower: float, upper: float, text: str) -> None:
    """Even tolerances read ±; uneven ones upper first; nought carries no sign."""
    assert length_text(10, MM, tolerance=Tolerance(lower, upper, "fit")) == text


def test_angles_carry_their_sign_and_precision() -> None:
    """88.3346° prints as 88.33°, within 0.005 of the model."""
    assert angle_text(88.3346) == "88.33°"
    assert angle_text(1.5, Tolerance(-0.1, 0.1, "seat")) == "1.5° ±0.1°"


def test_radius_and_diameter_get_their_signs() -> None:
    """R before a radius, ⌀ (never a box) before a diameter."""
    radius = Dimension("r", DimKind.RADIUS, (P2(0, 0), P2(7.9375, 0)), 7.9375, Side.INSIDE)
    diameter = Dimension("d", DimKind.DIAMETER, (P2(0, 0), P2(3.25, 0)), 6.5, Side.INSIDE)
    assert dimension_text(radius, MM) == "R7.938" or dimension_text(radius, MM) == "R7.94"
    assert dimension_text(diameter, MM) == "⌀6.5"


def test_holes_say_thread_depth_and_seat() -> None:
    """A threaded hole gives thread, its depth, drill and drill depth; a counterbore its own diameter and depth."""
    thread = Hole("t", P2(0, 0), 5.0, depth=15.0, thread="M6", thread_depth=12.0)
    assert hole_text(thread, MM, 4) == "4× M6 12 deep, drill ⌀5 15 deep"
    sunk = Hole("s", P2(0, 0), 5.5, countersink_diameter=10.4)
    assert hole_text(sunk, MM) == "⌀5.5 through, countersink ⌀10.4 90°"
    bored = Hole("b", P2(0, 0), 5.5, counterbore_diameter=10.0, counterbore_depth=5.4)
    assert hole_text(bored, MM) == "⌀5.5 through, counterbore ⌀10 5.4 deep"
    back = Hole("d", P2(0, 0), 6.0, depth=8.0, face=Face.BACK)
    assert hole_text(back, MM) == "⌀6 8 deep, from the back"


def test_a_tap_drill_is_never_rounded_to_a_sixty_fourth() -> None:
    """13/64 in is 5.16 mm: too large for an M6 tap drill of 5.0, so a drill keeps decimals on bench sheets too."""
    thread = Hole("t", P2(0, 0), 5.0, thread="M6")
    assert "13/64" not in hole_text(thread, BOTH_BENCH)
    assert "13/64" not in hole_text(thread, INCH_BENCH)


def test_words_carry_their_unit() -> None:
    """In a sentence a length has its unit."""
    assert length_words(18.0, MM) == "18 mm"
    assert length_words(19.05, INCH_BENCH) == '3/4"'
    assert length_words(19.05, BOTH_BENCH) == '19.05 mm (3/4")'


FLAT = within("Face flat within {}: it guides", 0.1)
LINES = Requirement("Lines from the end: {}", ((3.175, 22.225),), bare=False)


@pytest.mark.parametrize(
    ("notation", "flat", "lines"),
    [
        (MM, "0.1", "3.175, 22.225 mm"),
        (INCH_SHOP, "0.004 in", "0.125, 0.875 in"),
        (INCH_BENCH, "0.004 in", "0.125, 0.875 in"),
        (BOTH_SHOP, "0.1 mm (0.004 in)", "3.175, 22.225 mm (0.125, 0.875 in)"),
        (BOTH_BENCH, "0.1 mm (0.004 in)", "3.175, 22.225 mm (0.125, 0.875 in)"),
    ],
)
def test_a_requirement_speaks_the_drawings_units(notation: Notation, flat: str, lines: str) -> None:
    """A figure within a sentence is converted like a dimension, and says its unit wherever inches are in use."""
    assert requirement_text(FLAT, notation) == f"Face flat within {flat}: it guides"
    assert requirement_text(LINES, notation) == f"Lines from the end: {lines}"


@pytest.mark.parametrize(("words", "lengths"), [("flat within {}", ()), ("flat", ((0.1,),)), ("flat within {}", ((),))])
def test_a_requirement_without_its_figure_is_refused(words: str, lengths: tuple[tuple[float, ...], ...]) -> None:
    """Words and lengths must match: a place without a figure, or a figure without a place, is no requirement."""
    with pytest.raises(GeometryError, match="requirement 'flat"):
        Requirement(words, lengths)


@pytest.mark.parametrize("job", ["orchestra-14", "ukulele-tenor"])
def test_no_requirement_carries_a_figure_in_its_words(job: str) -> None:
    """Every figure of a part's requirements is a length the drawing can convert: the words hold no digit."""
    words = [item.words for part in build_jig(solve(load_job(job))).parts for item in part.requirements]
    assert len(words) >= 8
    assert not [text for text in words if re.search(r"\d", text)]
