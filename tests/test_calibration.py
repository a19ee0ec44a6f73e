"""What a measurement in the shop turns into, and what is refused.

The references are physical: a printed bar, a tab in a slot, a cut in a template, each simulated from the true value.
"""

from __future__ import annotations

import cmath
import math
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.base.errors import InputError
from generator.job.model.job import Printer
from generator.job.model.stock import Stock
from generator.job.presets import Preset, PresetKind, find_preset
from generator.job.shop import read_shop
from generator.job.stocks import read_stock
from generator.joint.calibration import (
    COUPON_KERFS,
    COUPON_STEP,
    COUPON_TAB,
    Calibrated,
    RoutedSlot,
    ZeroCheck,
    checked_date,
    jig_finding,
    laser_finding,
    nominal_edge_offset,
    printer_finding,
    record,
    router_finding,
    stock_finding,
)


def stock(name: str = "birch-ply-18") -> Stock:
    return read_stock(find_preset(PresetKind.STOCK, name))


# --- printer -------------------------------------------------------------------------------------------------------


def test_printer_factor_makes_the_next_print_true() -> None:
    """A printer that shrinks x by 0.5 % and stretches y by 0.3 % prints 99.5 and 100.3: factors 1/0.995 and 1/1.003."""
    found = printer_finding(99.5, 100.3, Printer())
    assert found.values == pytest.approx({"x_factor": 1.0050251, "y_factor": 0.9970090}, abs=1e-6)


@given(st.floats(0.985, 1.015), st.floats(0.985, 1.015), st.floats(0.99, 1.01))
def test_measuring_a_corrected_print_again_does_not_undo_it(x: float, y: float, first: float) -> None:
    """Whatever factors the measured page was drawn with, the new ones make a 100 mm bar measure 100 mm."""
    before = Printer(x_factor=first, y_factor=1.0 / first)
    found = printer_finding(100.0 * before.x_factor * x, 100.0 * before.y_factor * y, before)
    assert 100.0 * found.values["x_factor"] * x == pytest.approx(100.0, abs=1e-9)
    assert 100.0 * found.values["y_factor"] * y == pytest.approx(100.0, abs=1e-9)


def test_a_page_scaled_by_the_print_dialog_is_no_calibration() -> None:
    """94 mm is "fit to page", not a printer's fault; both bars are named."""
    with pytest.raises(InputError, match="actual size") as refused:
        printer_finding(94.0, 94.0, Printer())
    assert [fault.key for fault in refused.value.faults] == ["--bar-x", "--bar-y"]


# --- laser ---------------------------------------------------------------------------------------------------------


@given(st.floats(COUPON_KERFS[0], COUPON_KERFS[-1] - 1e-6))
def test_the_coupon_finds_the_kerf_within_half_a_step(true_kerf: float) -> None:
    """The laser takes half a kerf off each side of its line: tab − kerf enters a slot drawn tab − 2k, cut + kerf."""
    tab = COUPON_TAB - true_kerf
    enters = [k for k in COUPON_KERFS if tab <= COUPON_TAB - 2.0 * k + true_kerf + 1e-12]
    found = laser_finding(stock(), slot=max(enters))
    assert abs(found.values["kerf"] - true_kerf) <= COUPON_STEP / 2.0 + 1e-9


def test_the_caliper_finds_the_kerf_directly() -> None:
    """A kerf of 0.2 leaves a drawn 6 mm tab 5.8 wide, as a drawn 2 × 4 leaves a part 1.8 × 3.8 (arithmetic)."""
    assert laser_finding(stock(), tab_width=5.8).values["kerf"] == pytest.approx(0.2)


@pytest.mark.parametrize(
    "reading",
    [{}, {"slot": 0.1, "tab_width": 5.8}, {"slot": 0.11}, {"slot": 0.4}, {"tab_width": 6.1}, {"tab_width": 4.0}],
)
def test_impossible_coupon_readings_are_refused(reading: dict[str, float]) -> None:
    """No reading, two, a number that is not on the coupon, its last slot, a tab too wide or too thin."""
    with pytest.raises(InputError):
        laser_finding(stock(), **reading)


# --- router --------------------------------------------------------------------------------------------------------


@given(st.floats(1.2, 2.0), st.floats(0.0, 0.7), st.floats(0.0, 360.0), st.floats(18.0, 40.0))
def test_two_cuts_give_offset_and_eccentricity(offset: float, off: float, turn: float, template: float) -> None:
    """An eccentric bit shifts the cut and leaves its width: simulated with the bit's axis anywhere in the bushing."""
    x, y = off * math.cos(math.radians(turn)), off * math.sin(math.radians(turn))
    cuts = [RoutedSlot(template, template - 2 * offset, offset + shift, offset - shift) for shift in (x, y)]
    found = router_finding("kit", 1.5875, cuts[0], cuts[1])
    assert found.values["edge_offset"] == pytest.approx(offset, abs=1e-9)
    assert found.values["eccentricity"] == pytest.approx(off, abs=1e-9)


def test_an_eccentric_bushing_is_explained() -> None:
    """Gaps of 1.2 and 2.0: the cut lies 0.4 to the left, and mirrored cuts would put the neck 0.8 off."""
    found = router_finding("kit", 1.5875, RoutedSlot(22.225, 19.025, 1.2, 2.0))
    assert found.values == pytest.approx({"edge_offset": 1.6, "eccentricity": 0.4})
    text = " ".join(found.advice)
    assert "same side of the base to you" in text
    assert "0.4 mm to the left" in text
    assert "0.8 mm off sideways" in text


def test_mirrored_cuts_double_a_shift_and_half_a_turn_cancels_it() -> None:
    """Body and neck are presented as mirror images, so a shift +e in the jig is −e in the body and +e in the neck."""
    shift = 0.4
    mortise_in_body = -shift
    assert shift - mortise_in_body == pytest.approx(0.8)
    assert -shift - mortise_in_body == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("cut", "key"),
    [
        (RoutedSlot(22.2, 22.5, 1.0, 1.0), "--slot-width"),
        (RoutedSlot(22.2, 19.0, -0.1, 1.6), "--gap-left"),
        (RoutedSlot(22.2, 19.0, 1.6, 2.2), "--gap-left"),
        (RoutedSlot(22.2, 14.0, 4.1, 4.1), "--slot-width"),
        (RoutedSlot(22.2, 19.0, 0.01, 3.19), "--gap-left, --gap-right"),
    ],
)
def test_readings_that_contradict_each_other_are_refused(cut: RoutedSlot, key: str) -> None:
    """Wider than its template; no gap; gaps that do not add up; another bit's offset; a bushing that was not seated."""
    with pytest.raises(InputError) as refused:
        router_finding("kit", 1.5875, cut)
    assert key in [fault.key for fault in refused.value.faults]


def test_nominal_offset_is_half_of_bushing_less_bit() -> None:
    """A 3/4 in bushing with a 1/2 in bit stands 1/8 in off, 3.175 mm (arithmetic)."""
    assert nominal_edge_offset(find_preset(PresetKind.ROUTERS, "inch-half")) == pytest.approx(3.175)


# --- stock ---------------------------------------------------------------------------------------------------------


def test_stock_thickness_is_the_mean_of_its_readings() -> None:
    """Readings at the four edges are averaged; a spread over 0.3 mm is remarked on."""
    found = stock_finding(stock(), [17.6, 17.7, 17.9, 18.0])
    assert found.values["measured_thickness"] == pytest.approx(17.8)
    assert any("0.4 mm apart" in line for line in found.advice)


@pytest.mark.parametrize("readings", [[], [1.78], [17.8, 25.4]])
def test_absurd_thickness_is_refused(readings: list[float]) -> None:
    """Nothing, a slipped decimal point, another sheet."""
    with pytest.raises(InputError, match="THICKNESS"):
        stock_finding(stock(), readings)


# --- jig -----------------------------------------------------------------------------------------------------------


def plywood() -> Preset:
    return find_preset(PresetKind.JIGS, "plywood")


@given(lean=st.floats(-0.3, 0.3), square=st.floats(-0.15, 0.15), bow=st.floats(-0.2, 0.2), out=st.floats(-1, 1))
def test_a_square_turned_round_finds_the_jig_and_not_itself(lean: float, square: float, bow: float, out: float) -> None:
    """A board that leans, a rest that is off and a square that is no square: the mean of both turns is the jig's own.

    Reference: points. The blade touches the upper rest's edge and runs down the rest spacing, leaning by the square's
    own error, which turning it round reverses; the board's face leans by its own.
    """
    p, rest = 150.0, 17.0 + bow
    board = complex(0.0, -p) * cmath.rect(1.0, math.radians(lean))
    blades = [complex(rest, 0.0) + complex(0.0, -p) * cmath.rect(1.0, math.radians(sign * square)) for sign in (1, -1)]
    reads = tuple((blade - board).real for blade in blades)
    teeth = tuple(out + sign * p * math.tan(math.radians(square)) for sign in (1, -1))
    found = jig_finding(plywood(), ZeroCheck(17.0, reads, teeth))
    assert found.table == ("jig", "plywood")
    assert found.values["stand_off"] == pytest.approx(rest - board.real, abs=1e-6)
    assert found.values["stand_off_upper_rest"] == 17.0
    assert found.measured["sideways_2"] == teeth[1]
    word = "in line within" if abs(out) <= 0.1 - 1e-9 else "to the right" if out > 0 else "to the left"
    assert any(word in line for line in found.advice) or abs(abs(out) - 0.1) < 1e-6


def test_teeth_out_of_line_miss_the_saddle_on_the_other_side() -> None:
    """The line through both teeth, 0.3 to the right 150 below the upper one, passes 0.58 to the left 290 above it."""
    lower, upper = complex(0.3, -150.0), 0j
    assert (upper + (upper - lower) * 290.0 / 150.0).real == pytest.approx(-0.58)
    (line,) = (one for one in jig_finding(plywood(), ZeroCheck(17, (17,), (0.3,))).advice if "tooth" in one)
    assert "0.3 mm to the right" in line
    assert "about twice that on the other side" in line


def test_one_reading_carries_the_squares_error_and_says_so() -> None:
    """Read once, the finding asks for the turned reading; a square 0.3 out over the distance is named as such."""
    assert any("--stand-off-turned" in line for line in jig_finding(plywood(), ZeroCheck(17, (17.1,))).advice)
    advice = jig_finding(plywood(), ZeroCheck(17, (17.4, 16.8))).advice
    assert any("square itself is 0.3 mm out" in line for line in advice)
    assert any("One that was cut for 17 mm wants +0.10 mm of shims" in line for line in advice)


@pytest.mark.parametrize(
    ("read", "keys"),
    [
        (ZeroCheck(17, (21.4,)), ["--stand-off"]),
        (ZeroCheck(17, (17.0, 13.9)), ["--stand-off-turned", "--stand-off, --stand-off-turned"]),
        (ZeroCheck(17, (17.0, 18.6)), ["--stand-off, --stand-off-turned"]),
        (ZeroCheck(17, (17.0,), (0.2, -9.0)), ["--sideways-turned", "--sideways, --sideways-turned"]),
    ],
)
def test_readings_of_no_jig_are_refused(read: ZeroCheck, keys: list[str]) -> None:
    """At another edge or depth, or on another jig: every reading that cannot be is named."""
    with pytest.raises(InputError) as refused:
        jig_finding(plywood(), read)
    assert [fault.key for fault in refused.value.faults] == keys


# --- the shop file -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["2024-02-30", "31.5.2024", "2024-5-31", "20240531", "", "2024-05-31 "])
def test_a_date_that_is_none_is_refused(text: str) -> None:
    """Only real calendar dates, written one way."""
    with pytest.raises(InputError, match="year-month-day"):
        checked_date(text)


def test_recording_writes_readings_date_and_value_and_the_shop_reads_them(tmp_path: Path) -> None:
    """What is written is what the loader applies, and a hand-kept remark in the file stays."""
    path = tmp_path / "shop.toml"
    path.write_text("# our shop\n[printer]\nx_factor = 1.1 # guess\n")
    record(path, printer_finding(99.5, 100.0, Printer()), "2024-05-31")
    record(path, router_finding("inch-half", 1.5875, RoutedSlot(22.225, 19.025, 1.6, 1.6)), "2024-06-01")
    shop = read_shop(path)
    assert shop.printer.values == pytest.approx({"x_factor": 1.00503, "y_factor": 1.0})
    assert tomllib.loads(path.read_text())["printer"]["date"] == "2024-05-31"
    assert shop.printer.measured == {"bar_x": 99.5, "bar_y": 100.0}
    assert shop.router["inch-half"].values == pytest.approx({"edge_offset": 1.6, "eccentricity": 0.0})
    assert "# our shop\n" in path.read_text()
    assert "# guess\n" in path.read_text()


def test_kerf_and_thickness_of_one_sheet_keep_each_others_readings_and_dates(tmp_path: Path) -> None:
    """Two measurements of one stock stand in one table; measuring one again replaces only its own."""
    path = tmp_path / "shop.toml"
    record(path, stock_finding(stock(), [17.7, 17.8, 17.9]), "2024-05-01")
    record(path, laser_finding(stock(), slot=0.2), "2024-05-02")
    record(path, stock_finding(stock(), [17.6, 17.8]), "2024-05-03")
    entry = read_shop(path).stock["birch-ply-18"]
    assert entry.values == pytest.approx({"measured_thickness": 17.7, "kerf": 0.2125})
    assert entry.measured == {"thickness_1": 17.6, "thickness_2": 17.8, "coupon_slot": 0.2}
    told = tomllib.loads(path.read_text())["stock"]["birch-ply-18"]
    assert (told["kerf_date"], told["measured_thickness_date"]) == ("2024-05-02", "2024-05-03")


def test_a_remark_in_the_shop_file_shows_all_it_holds(tmp_path: Path) -> None:
    """A note with an order to the terminal in it is refused by its key; accents and markup stay."""
    path = tmp_path / "shop.toml"
    path.write_text('[printer]\nx_factor = 1.1\nnote = "a\\u001b[2J"\n', encoding="utf-8")
    with pytest.raises(InputError, match=r"printer\.note"):
        read_shop(path)
    path.write_text('[printer]\nx_factor = 1.1\nnote = "Zoë <b>"\n', encoding="utf-8")
    assert read_shop(path).printer.values["x_factor"] == 1.1


def test_a_bad_date_writes_nothing(tmp_path: Path) -> None:
    """The refusal comes before the file is touched."""
    path = tmp_path / "shop.toml"
    with pytest.raises(InputError):
        record(path, printer_finding(99.5, 100.0, Printer()), "yesterday")
    assert not path.exists()


def test_values_are_rounded_once_to_a_hundred_thousandth(tmp_path: Path) -> None:
    """The file stays readable: 1/0.995 is written 1.00503."""
    path = tmp_path / "shop.toml"
    record(path, Calibrated(("printer",), {"x_factor": 1 / 0.995}, {"bar_x": 99.5}, ()), "2024-05-31")
    assert tomllib.loads(path.read_text())["printer"]["x_factor"] == 1.00503
