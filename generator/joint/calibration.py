"""From a measurement in the shop to a correction in shop.toml: printer, laser, router, stock, jig. Lengths mm.

Each finding names the shop file's table, the derived values, the readings they came from, and what to do with them.
A reading that cannot be true is refused, because a wrong correction spoils every later jig without a word.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generator.base.errors import COMMAND_LINE, Fault, InputError
from generator.base.toml_file import parse_toml
from generator.base.units import format_mm, mm
from generator.job.limits import MOST_STAND_OFF_ERROR, TEETH_IN_LINE
from generator.job.merge import PRESET_HEAD, PRESET_TABLES
from generator.job.model.job import Printer
from generator.job.model.stock import Stock
from generator.job.presets import Preset, PresetKind
from generator.job.tables import read_layer
from generator.job.toml_edit import Value, change_file, change_table
from generator.joint.checks.measured import MOST_STOCK_ERROR, MOST_STRETCH

#: Length of the check bars on every printed page.
BAR_LENGTH = 100.0

#: Width of the laser coupon's one tab as drawn, mm.
COUPON_TAB = 6.0
#: Step from kerf to kerf of the laser coupon's slots, mm.
COUPON_STEP = 0.025
#: Kerfs that the laser coupon can show, mm, a slot for each: the slot numbered k is drawn COUPON_TAB − 2k wide.
COUPON_KERFS = tuple(round(0.05 + COUPON_STEP * n, 3) for n in range(15))
#: A laser's cut is not wider than this; a larger figure is a slip of the caliper.
MOST_KERF = 1.0

#: Width of the cut and both gaps must add up to the template's width within this.
SUM_SLACK = 0.3
#: An effective offset further than this from the nominal one belongs to another bushing or bit.
MOST_OFFSET_ERROR = 1.0
#: Bushings further out of centre than this were not seated; the shop file's own limit is wider.
MOST_ECCENTRICITY = 1.5
#: Below this an eccentric bushing is not worth turning the router for.
SMALL_ECCENTRICITY = 0.03

#: Readings of one sheet further apart than this: the sheet is not flat enough for a template.
MOST_STOCK_SPREAD = 0.3

#: Two readings of one jig, the square turned round in between, that differ by more: no square, or two edges.
MOST_TURN_DIFFERENCE = 1.5
#: A square further out than this over the rest spacing is worth another one.
_SQUARE_OUT = 0.2
#: Teeth further out of line than this are.
MOST_SIDEWAYS = 5.0


@dataclass(frozen=True)
class Calibrated:
    """What one measurement gives: the shop file's table, derived values, readings (mm), and advice in words.

    With `shares_table` other measurements keep their readings and dates in the same table: a sheet's kerf and
    thickness are measured on different days. Readings of one kind then share the first word of their names.
    """

    table: tuple[str, ...]
    values: Mapping[str, float]
    measured: Mapping[str, float]
    advice: tuple[str, ...]
    shares_table: bool = False


def checked_date(text: str) -> str:
    """`text` when it is a calendar date written YYYY-MM-DD; InputError otherwise."""
    try:
        if datetime.date.fromisoformat(text).isoformat() == text:
            return text
    except ValueError:
        pass
    raise InputError([_fault("--date", f'"{text}"', 'a calendar date written year-month-day, such as "2024-05-31"')])


def record(path: Path, finding: Calibrated, date: str) -> None:
    """Set the finding's table in the shop file at `path`, made new when missing; everything else in it stays.

    InputError for a bad date or a file that is no TOML, OutputError when it cannot be written.
    """
    date = checked_date(date)
    values: dict[str, Value] = {key: round(value, 5) for key, value in finding.values.items()}
    values |= {f"{key}_date": date for key in finding.values} if finding.shares_table else {"date": date}

    def changed(text: str) -> str:
        values["measured"] = _older_readings(parse_toml(text, str(path)), finding) | dict(finding.measured)
        return change_table(text, finding.table, values, str(path))

    change_file(path, changed)


def _older_readings(content: Any, finding: Calibrated) -> dict[str, float]:
    """What the table already holds of other measurements than this one."""
    inner = content
    for part in finding.table:
        inner = inner.get(part, {}) if isinstance(inner, dict) else {}
    held = inner.get("measured", {}) if isinstance(inner, dict) else {}
    kind = next(iter(finding.measured)).partition("_")[0]
    return {key: value for key, value in held.items() if finding.shares_table and not key.startswith(f"{kind}_")}


def printer_finding(bar_x: float, bar_y: float, printed_with: Printer) -> Calibrated:
    """Factors of the printer from the two check bars, measured along the page's x (across) and y (up), mm.

    `printed_with` are the factors the measured page was drawn with, so that measuring again after a correction does
    not undo it. InputError for a page that was scaled on its way to the printer.
    """
    drawn = {"x": BAR_LENGTH * printed_with.x_factor, "y": BAR_LENGTH * printed_with.y_factor}
    bars = {"x": bar_x, "y": bar_y}
    faults = [
        _fault(
            f"--bar-{axis}",
            f"{mm(bar)} on a bar drawn {mm(drawn[axis])} long",
            f"within {MOST_STRETCH * 100:g} % of it: a print further off was scaled; "
            'print at 100 %, "actual size", and measure again',
        )
        for axis, bar in bars.items()
        if abs(bar / drawn[axis] - 1.0) > MOST_STRETCH
    ]
    _raise(faults)
    factors = {f"{axis}_factor": drawn[axis] / bars[axis] for axis in bars}
    advice = [
        "Every paper sheet written from now on is stretched by these factors; its bars must then measure "
        f"{mm(BAR_LENGTH)} both ways. Print one page and measure again."
    ]
    if all(abs(bars[axis] / drawn[axis] - 1.0) > MOST_STRETCH / 2.0 for axis in bars):
        advice.append('Both bars are off alike: make sure the print dialog says 100 %, "actual size", not "fit".')
    return Calibrated(("printer",), factors, {"bar_x": bar_x, "bar_y": bar_y}, tuple(advice))


def laser_finding(stock: Stock, slot: float | None = None, tab_width: float | None = None) -> Calibrated:
    """The whole kerf in `stock` from a laser coupon cut of it, uncompensated.

    Either `slot`, the highest number whose slot the tab enters by hand, or `tab_width`, the tab measured with a
    caliper, mm. In slot number k, drawn tab − 2k wide, the tab (tab − kerf) enters while kerf ≥ k, so the kerf lies
    between that number and the next; the middle is kept. InputError for a reading no coupon can give.
    """
    if (slot is None) == (tab_width is None):
        found = "neither" if slot is None else "both"
        raise InputError([_fault("--slot, --tab-width", found, "exactly one of them")])
    if slot is not None:
        if not any(abs(slot - number) < 1e-9 for number in COUPON_KERFS[:-1]):
            known = ", ".join(format_mm(number, 3) for number in COUPON_KERFS[:-1])
            why = f"a number on the coupon: {known}; when the tab enters the last slot too, give --tab-width"
            raise InputError([_fault("--slot", format_mm(slot, 3), why)])
        kerf, measured = slot + COUPON_STEP / 2.0, {"coupon_slot": slot}
        sure = f"kerf {kerf:.3f} mm, sure within {COUPON_STEP / 2.0:.3f} mm"
    else:
        assert tab_width is not None
        kerf, measured = COUPON_TAB - tab_width, {"coupon_tab": tab_width}
        if not 0.0 < kerf <= MOST_KERF:
            low, high = format_mm(COUPON_TAB - MOST_KERF), format_mm(COUPON_TAB)
            raise InputError([_fault("--tab-width", mm(tab_width), f"{low} to {high} mm, below {high}")])
        sure = f"kerf {kerf:.3f} mm"
    advice = (
        f"{sure}. It holds for this sheet, lens, power and speed: cut a coupon again when one of them changes.",
        "Cutting files stay at nominal size unless a compensated one is asked for; have the kerf taken into account "
        "once, by the file or by the laser's own software, never by both.",
    )
    return Calibrated(("stock", stock.name), {"kerf": kerf}, measured, advice, shares_table=True)


@dataclass(frozen=True)
class RoutedSlot:
    """A straight cut through a template: the template's width, the cut's, and the gaps from template edge to cut, mm.

    Left and right as seen by the person who routes, one side of the router's base always towards them.
    """

    template_width: float
    slot_width: float
    gap_left: float
    gap_right: float


def router_finding(name: str, nominal_offset: float, cut: RoutedSlot, quarter: RoutedSlot | None = None) -> Calibrated:
    """Effective edge offset and eccentricity of a router kit from a test cut.

    The offset is half of what the cut is narrower than its template. The bit's axis misses the bushing's by half the
    difference of the gaps; one cut shows only what lies across it, so a second one, the router held a `quarter` turn
    round, completes it. InputError when the readings contradict each other or the kit.
    """
    faults = _cut_faults(cut, "")
    if quarter is not None:
        faults += _cut_faults(quarter, "-quarter")
    _raise(faults)
    cuts = [cut] if quarter is None else [cut, quarter]
    offset = math.fsum(item.template_width - item.slot_width for item in cuts) / (2.0 * len(cuts))
    shifts = [(item.gap_right - item.gap_left) / 2.0 for item in cuts]
    eccentricity = math.hypot(*shifts)
    if abs(offset - nominal_offset) > MOST_OFFSET_ERROR:
        found = f"{mm(cut.slot_width)} in a template of {mm(cut.template_width)}, an offset of {mm(offset)}"
        near = f"within {MOST_OFFSET_ERROR:g} mm of the {mm(nominal_offset)} of {name}"
        faults.append(_fault("--slot-width", found, f"{near}: another bushing or bit?"))
    if eccentricity > MOST_ECCENTRICITY:
        found = f"gaps that differ by {mm(2.0 * abs(shifts[0]))}"
        why = f"an eccentricity up to {MOST_ECCENTRICITY:g} mm: seat the bushing with a centring cone"
        faults.append(_fault("--gap-left, --gap-right", found, why))
    _raise(faults)
    measured = _readings(cut, "") | (_readings(quarter, "quarter_") if quarter is not None else {})
    values = {"edge_offset": offset, "eccentricity": eccentricity}
    return Calibrated(("router", name), values, measured, _router_advice(shifts, eccentricity, quarter is not None))


def _router_advice(shifts: Sequence[float], eccentricity: float, complete: bool) -> tuple[str, ...]:
    advice = ["Keep the same side of the base to you through the whole of a cut."]
    if eccentricity < SMALL_ECCENTRICITY:
        advice.append("Bit and bushing run true; no more needs doing.")
    else:
        side = "left" if shifts[0] > 0 else "right"
        off = abs(shifts[0])
        advice.append(
            f"The cut lies {mm(off)} to the {side} of the template's middle. Mortise and tenon are cut as "
            f"mirror images, so it would put the neck {mm(2.0 * off)} off sideways: give the router half a "
            "turn between the two cuts and the shift cancels. Better still, centre the bushing with a cone."
        )
    if not complete:
        advice.append(
            "Only what lies across this cut was measured: a second cut, the router turned a quarter, shows the rest."
        )
    return tuple(advice)


def _cut_faults(cut: RoutedSlot, suffix: str) -> list[Fault]:
    faults = []
    if cut.slot_width >= cut.template_width:
        found, most = mm(cut.slot_width), f"less than the template's {mm(cut.template_width)}"
        faults.append(_fault(f"--slot-width{suffix}", found, most))
    for side, gap in (("left", cut.gap_left), ("right", cut.gap_right)):
        if gap <= 0.0:
            faults.append(_fault(f"--gap-{side}{suffix}", mm(gap), "a gap above 0 mm"))
    total = cut.slot_width + cut.gap_left + cut.gap_right
    if not faults and abs(total - cut.template_width) > SUM_SLACK:
        found = f"cut and both gaps together {mm(total)}"
        allowed = f"the template's width, {mm(cut.template_width)}, within {SUM_SLACK:g} mm: measure again"
        faults.append(_fault(f"--gap-left{suffix}", found, allowed))
    return faults


def _readings(cut: RoutedSlot, prefix: str) -> dict[str, float]:
    return {
        f"{prefix}template_width": cut.template_width,
        f"{prefix}slot_width": cut.slot_width,
        f"{prefix}gap_left": cut.gap_left,
        f"{prefix}gap_right": cut.gap_right,
    }


def nominal_edge_offset(preset: Preset) -> float:
    """(bushing outside diameter − bit diameter)/2 of a router preset, mm. InputError when it lacks either."""
    layer = read_layer(preset.source, preset.shown_as, preset.tables(), PRESET_TABLES[PresetKind.ROUTERS], PRESET_HEAD)
    values = layer.values.get("router", {})
    faults = list(layer.faults)
    missing = [key for key in ("bushing_od", "bit_diameter") if key not in values]
    faults += [Fault(preset.shown_as, f"router.{key}", "nothing", "a length") for key in missing]
    _raise(faults)
    offset: float = (values["bushing_od"] - values["bit_diameter"]) / 2.0
    return offset


def stock_finding(stock: Stock, readings: Sequence[float]) -> Calibrated:
    """The measured thickness of a sheet: the mean of readings round its edges, mm. InputError for absurd ones."""
    most = max(stock.thickness * MOST_STOCK_ERROR, stock.thickness_tolerance)
    low, high = stock.thickness - most, stock.thickness + most
    _raise(
        [
            _fault("THICKNESS", mm(one), f"{format_mm(low)} to {mm(high)} for {stock.name}")
            for one in readings
            if not low <= one <= high
        ]
    )
    if not readings:
        raise InputError([_fault("THICKNESS", "nothing", "one reading or more, in mm")])
    mean = math.fsum(readings) / len(readings)
    spread = max(readings) - min(readings)
    advice = ["Slots, tabs, the fixed base's notch and the reach are built for this thickness from now on."]
    if len(readings) < 4:
        advice.append("Measure at four places or more, well apart: sheets are thinner at their edges.")
    if spread > MOST_STOCK_SPREAD:
        advice.append(
            f"The readings lie {mm(spread)} apart: take the template plate from another sheet, because its "
            "thickness carries the depth of cut with a fixed base."
        )
    measured = {f"thickness_{i}": one for i, one in enumerate(readings, 1)}
    return Calibrated(("stock", stock.name), {"measured_thickness": mean}, measured, tuple(advice), shares_table=True)


@dataclass(frozen=True)
class ZeroCheck:
    """Readings on the built jig, its plate's top down on a flat table, mm.

    `stand_offs`: a square's blade against the upper rest's working edge, from blade to board at the angle rest's.
    `sideways`: the blade against a flank of the upper tooth, how far the same flank of the angle rest's tooth stands to
    the right of it, seen from the neck's side with the plate above (negative: to the left). Two of each where the
    square was turned round. `upper_rest` is that rest's width as drawn.
    """

    upper_rest: float
    stand_offs: tuple[float, ...]
    sideways: tuple[float, ...] = ()


def jig_finding(preset: Preset, read: ZeroCheck) -> Calibrated:
    """The stand-off of a built jig: to that width, not to the drawn one, its angle rests are cut from then on.

    A square turned round errs the other way, so the mean of both readings is free of its error. InputError for a jig
    that differs more from its drawing than a jig can.
    """
    rest, c = read.upper_rest, math.fsum(read.stand_offs) / len(read.stand_offs)
    faults = [
        _fault(option, mm(one), f"within {MOST_STAND_OFF_ERROR:g} mm of --upper-rest, {mm(rest)}")
        for option, one in zip(("--stand-off", "--stand-off-turned"), read.stand_offs, strict=False)
        if abs(one - rest) > MOST_STAND_OFF_ERROR
    ]
    faults += [
        _fault(option, mm(one), f"{-MOST_SIDEWAYS:g} to {MOST_SIDEWAYS:g} mm")
        for option, one in zip(("--sideways", "--sideways-turned"), read.sideways, strict=False)
        if abs(one) > MOST_SIDEWAYS
    ]
    faults += [
        _fault(f"{option}, {option}-turned", f"readings {mm(spread)} apart", _TURN_ALLOWED)
        for option, pair in (("--stand-off", read.stand_offs), ("--sideways", read.sideways))
        if pair and (spread := max(pair) - min(pair)) > MOST_TURN_DIFFERENCE
    ]
    _raise(faults)
    measured = {f"stand_off_{i}": one for i, one in enumerate(read.stand_offs, 1)}
    measured |= {f"sideways_{i}": one for i, one in enumerate(read.sideways, 1)}
    values = {"stand_off": c, "stand_off_upper_rest": rest}
    return Calibrated(("jig", preset.name), values, measured, tuple(_jig_advice(read, c)))


#: How far readings with the square turned round may differ from the first ones, for errors.
_TURN_ALLOWED = f"within {MOST_TURN_DIFFERENCE:g} mm of each other: same edge, same depth, the square only turned round"


def _jig_advice(read: ZeroCheck, c: float) -> Iterator[str]:
    off = c - read.upper_rest
    yield (
        f"Angle rests for this jig are cut for a stand-off of {mm(c)} from now on: take their width from "
        f"solve or make. One that was cut for {mm(read.upper_rest)} wants {off:+.2f} mm of shims behind it."
    )
    yield "Check it with the square against the angle rest: the gap at the upper rest is the figure that solve prints."
    if len(read.stand_offs) < 2:
        yield "Turn the square round and read again, --stand-off-turned: one reading carries the square's own error."
    elif abs(read.stand_offs[0] - read.stand_offs[1]) > 2.0 * _SQUARE_OUT:
        out = abs(read.stand_offs[0] - read.stand_offs[1]) / 2.0
        yield f"The square itself is {mm(out)} out over the rests' distance; the mean is free of it."
    if read.sideways:
        yield from _teeth_advice(math.fsum(read.sideways) / len(read.sideways))


def _teeth_advice(out: float) -> Iterator[str]:
    if abs(out) <= TEETH_IN_LINE:
        yield f"The teeth are in line within {mm(TEETH_IN_LINE)}."
        return
    side = "right" if out > 0 else "left"
    yield (
        f"The angle rest's tooth stands {mm(abs(out))} to the {side}: necks would miss the saddle by about "
        "twice that on the other side. Shift the angle rest in its screw holes, or pare its tooth and pack the other "
        "flank."
    )


def _fault(option: str, found: str, allowed: str) -> Fault:
    return Fault(COMMAND_LINE, option, found, allowed)


def _raise(faults: Sequence[Fault]) -> None:
    if faults:
        raise InputError(faults)
