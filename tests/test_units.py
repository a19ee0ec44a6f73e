"""Lengths and angles as people write them: one reader, nothing guessed, everything exact.

The inch is 25.4 mm by definition (international yard and pound agreement, 1959); sixty-fourths are exact in binary,
so the expected values below are arithmetic and not the module's own.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.base.units import (
    UnitError,
    format_inches,
    format_mm,
    inch_fraction,
    inches,
    parse_angle,
    parse_length,
    parse_length_argument,
    to_inches,
)

GOOD = [
    (22, 22.0),
    (22.25, 22.25),
    (-3.5, -3.5),
    (0, 0.0),
    ("22 mm", 22.0),
    ("22mm", 22.0),
    ("0.5 mm", 0.5),
    (".5 mm", 0.5),
    ("2.2 cm", 22.0),
    ("25.4in", 645.16),
    ("25.4 in", 645.16),
    ("0.3in", 7.62),
    ("7/8 in", 22.225),
    ("1 3/4 in", 44.45),
    ("4 1/2 in", 114.3),
    ("-1 2/3 in", -42.333333333333336),
    ("-1/64 in", -0.396875),
    ('5/8"', 15.875),
    ('5/8 "', 15.875),
    ("17/32 in", 13.49375),
    ("51/64 in", 20.240625),
    ("28 ft", 8534.4),
    ("1 1/2 ft", 457.2),
    ("  22 mm ", 22.0),
    ("+3 mm", 3.0),
    ("9/8 in", 28.575),
    ("98,5 mm", 98.5),
    (",5 mm", 0.5),
    ("0,125 in", 3.175),
    ("25,4 mm", 25.4),
    ("1234,5 mm", 1234.5),
    ("3 7/8 inch", 98.425),
    ("2 inches", 50.8),
    ("5 inch", 127.0),
    ("⅞ in", 22.225),
    ("1⅞ in", 47.625),
    ("1 ⅞ in", 47.625),
    ("-½ in", -12.7),
    ("⅓ ft", 101.6),
    ('1-3/4"', 44.45),
    ("1-3/4 in", 44.45),
    ("5/8″", 15.875),
    ("5/8”", 15.875),
    ("88mm", 88.0),
]


@pytest.mark.parametrize(("raw", "mm"), GOOD, ids=[repr(raw) for raw, _ in GOOD])
def test_every_way_to_write_a_length(raw: object, mm: float) -> None:
    """A bare number is mm, text carries its unit; the value is exact to the last bit."""
    assert parse_length(raw) == mm


BAD = [
    "22",
    "",
    " ",
    "mm",
    "in",
    "25,4",
    "1 3/4",
    "7/8",
    "1.5 3/4 in",
    "1,5 3/4 in",
    "1,234 mm",
    "12,345 in",
    "1.234,5 mm",
    "1,234.5 mm",
    "1.5⅞ in",
    "1-9/8 in",
    "½½ in",
    "1 9/8 in",
    "1 4/4 in",
    "3/0 in",
    "1 3/0 in",
    "--1 in",
    "- 1 in",
    "1/2/3 in",
    "1 2 3/4 in",
    "5 m",
    "5 MM",
    "5 In",
    "5'",
    "5 ft 3 in",
    "1e3 mm",
    "5. mm",
    "−3 mm",
    "٣ mm",
    "nan mm",
    "inf in",
    "0x10 mm",
    "1_000 mm",
    "22 mm\n",
    "22 mm x",
    "22 mm mm",
    True,
    False,
    None,
    [22],
    {"mm": 22},
    float("nan"),
    float("inf"),
    10**400,
    1j,
]


@pytest.mark.parametrize("raw", BAD, ids=repr)
def test_anything_else_is_refused(raw: object) -> None:
    """What is not one of the known forms is refused, never guessed."""
    with pytest.raises(UnitError):
        parse_length(raw)


@pytest.mark.parametrize(
    ("raw", "line"),
    [
        ("1,234 mm", 'write "1.234 mm" or "1234 mm"'),
        ("22", 'write "22 mm"'),
        ("5 MM", 'write "5 mm"'),
        ("5 In", 'write "5 in"'),
        ("−3 mm", 'write "-3 mm"'),
        ("7/8 IN.", 'write "7/8 in"'),
    ],
)
def test_a_refusal_says_what_to_write_instead(raw: str, line: str) -> None:
    """Where it is plain what was meant, or one of two was, the message has it in the form that is read."""
    with pytest.raises(UnitError) as refused:
        parse_length(raw)
    assert line in refused.value.allowed


def test_an_argument_may_have_a_decimal_comma() -> None:
    """On the command line a bare 98,5 is mm like a bare 98.5; 1,234 may be two numbers and is refused."""
    assert parse_length_argument("98,5") == 98.5
    assert parse_angle("1,5 deg") == 1.5
    with pytest.raises(UnitError, match="thousands"):
        parse_length_argument("1,234")


def test_text_without_a_unit_is_told_so() -> None:
    """A number in quotes does not silently become mm."""
    with pytest.raises(UnitError, match="no unit"):
        parse_length("22")


def test_three_tenths_of_an_inch_is_not_three_tenths() -> None:
    """A unit glued to its number counts."""
    assert parse_length("0.3in") == 7.62
    assert parse_length(0.3) == 0.3


def test_two_close_sizes_stay_two() -> None:
    """51/64 in is 20.24 mm and is not snapped to 20 mm."""
    assert parse_length("51/64 in") == 20.240625
    assert parse_length("20 mm") == 20.0


@pytest.mark.parametrize("n", range(129))
def test_every_sixty_fourth_up_to_two_inches(n: int) -> None:
    """n/64 in, written reduced, reads as n · 25.4/64 mm and prints as the same text, for n from 0 to 128."""
    whole, rest = divmod(n, 64)
    part = Fraction(rest, 64)
    text = f"{part.numerator}/{part.denominator}" if rest else ""
    text = f"{whole} {text}".strip() if whole or not rest else text
    mm = float(Decimal(n) * Decimal("0.396875"))
    assert parse_length(f"{text} in") == mm
    assert inch_fraction(mm) == text
    assert format_inches(-mm) == (f"-{text} in" if n else "0 in")


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (0.79375, "1/32"),
        (0.8, "1/32"),
        (25.15, "63/64"),
        (25.25, "1"),
        (25.35, "1"),
        (50.79, "2"),
        (0.19, "0"),
        (-0.19, "0"),
        (0.2, "1/64"),
        (-0.2, "-1/64"),
        (-44.45, "-1 3/4"),
        (645.16, "25 13/32"),
        (98.0, "3 55/64"),
    ],
)
def test_nearest_tick_once(mm: float, text: str) -> None:
    """Inches round once to the nearest 1/64, reduce, carry to the next inch, and never print −0."""
    assert inch_fraction(mm) == text


@pytest.mark.parametrize(("mm", "text"), [(12.7, "1/2"), (13.0, "1/2"), (13.5, "17/32"), (3.0, "1/8")])
def test_coarser_ticks(mm: float, text: str) -> None:
    """A rule in thirty-seconds is served as well."""
    assert inch_fraction(mm, 32) == text


@given(st.floats(-2000, 2000))
def test_fractions_are_never_further_than_half_a_tick(mm: float) -> None:
    """The printed fraction, read back, is within half of 1/64 in."""
    assert abs(parse_length(format_inches(mm)) - mm) <= 25.4 / 128 + 1e-9


@given(st.floats(-5000, 5000))
def test_printed_millimetres_are_within_five_thousandths(mm: float) -> None:
    """format_mm carries as many decimals as keep the figure within 0.005 of the value, and no −0."""
    text = format_mm(mm)
    assert abs(float(text) - mm) < 0.005
    assert text not in ("-0", "-0.0", "-0.00", "-0.000")


@pytest.mark.parametrize(
    ("value", "text"),
    [(22.0, "22"), (22.225, "22.225"), (13.55, "13.55"), (57.15, "57.15"), (15.875, "15.875"), (-0.0, "0"),
     (-0.001, "0"), (2.0 / 3.0, "0.67"), (0.5, "0.5")],
)  # fmt: skip
def test_just_enough_decimals(value: float, text: str) -> None:
    """13.55 is not printed as 13.6, and 22 not as 22.00."""
    assert format_mm(value) == text


def test_fixed_decimals() -> None:
    """Columns ask for a fixed count; −0.001 still prints without a sign."""
    assert format_mm(1.0, 2) == "1.00"
    assert format_mm(-0.001, 2) == "0.00"


@given(st.fractions(min_value=0, max_value=200, max_denominator=128))
def test_mixed_numbers_round_trip(value: Fraction) -> None:
    """Any fraction of an inch written as a mixed number reads as exactly that many 25.4ths, signed as a whole."""
    whole, rest = divmod(value, 1)
    text = f"{whole} {rest.numerator}/{rest.denominator} in"
    wanted = float(value * Fraction(254, 10))
    assert parse_length(text) == wanted
    assert parse_length(f"-{text}") == -wanted


@given(st.decimals(min_value=0, max_value=5000, places=4, allow_nan=False, allow_infinity=False))
def test_units_agree_with_one_another(value: Decimal) -> None:
    """The same length in mm, cm, in and ft is one value, by decimal arithmetic."""
    assert parse_length(f"{value:f} mm") == float(value)
    assert parse_length(f"{value:f} cm") == float(value * 10)
    assert parse_length(f"{value:f} in") == float(value * Decimal("25.4"))
    assert parse_length(f"{value:f} ft") == float(value * Decimal("304.8"))


@given(st.text(max_size=12))
def test_any_text_reads_or_is_refused(text: str) -> None:
    """No text makes the reader stumble."""
    try:
        parse_length(text)
    except UnitError:
        return
    assert any(unit in text for unit in ("mm", "cm", "in", "ft", '"'))


@pytest.mark.parametrize(
    ("raw", "degrees"), [(1.5, 1.5), (-2, -2.0), ("1.5 deg", 1.5), ("1.5 °", 1.5), ("-0,5deg", -0.5)]
)
def test_angles(raw: object, degrees: float) -> None:
    """A bare number is degrees, or text with deg."""
    assert parse_angle(raw) == degrees


@pytest.mark.parametrize("raw", ["1.5", "1,500 deg", "1 rad", "1.5 mm", True, float("nan")])
def test_other_angles_are_refused(raw: object) -> None:
    """An angle in any other form is refused."""
    with pytest.raises(UnitError):
        parse_angle(raw)


def test_command_line_takes_bare_numbers() -> None:
    """On the command line a bare number arrives as text and means mm; text with a unit works too."""
    assert parse_length_argument("2.6") == 2.6
    assert parse_length_argument("2,6") == 2.6
    assert parse_length_argument("-0.4") == -0.4
    assert parse_length_argument("3/32 in") == 2.38125
    for bad in ("2,600", "1/2", "1e3", "nan"):
        with pytest.raises(UnitError):
            parse_length_argument(bad)


def test_inch_conversions() -> None:
    """Half an inch is 12.7 mm and back."""
    assert inches(0.5) == 12.7
    assert to_inches(12.7) == 0.5
