"""What the values of a job must be to one another: each rule names the keys it looks at and says what is wrong.

A rule runs only when every key it needs could be read, so a job with several faults hears of all of them at once.
Anything a rule refuses is impossible or dangerous to cut; what is merely unusual is left to the checks of a solution.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from generator.base.units import mm
from generator.job.limits import (
    LEAST_BORE_PLAY,
    LEAST_BUSHING_ROOM,
    LEAST_TONGUE,
    edge_offset,
    edges_needed,
    heel_length,
    longest_barrel,
    mortise_length,
    reach_needed,
)
from generator.job.model.instrument import DomeTop
from generator.job.model.joint import BoltKind, BoltSpec
from generator.job.model.stock import Stock

#: What was found, and what is allowed.
Finding = tuple[str, str]

#: Least distance of a bracket's foot from the bench's edge, mm.
MIN_FINGER = 5.0
#: Least length of a mortise that is derived from the heel, mm.
MIN_MORTISE_LENGTH = 15.0
#: How deep each kind of joint is cut; a job has one of these keys.
_DEPTHS = ("joint.mortise_depth", "joint.facing_depth")
#: A bushing and bit of the nominal sizes cut within this of half their difference, mm.
MOST_EDGE_OFFSET_ERROR = 1.5
#: An edge offset agrees within this with the test cut beside it, mm: a test cut's figures are rounded.
MOST_ROUNDING = 0.05


@dataclass(frozen=True)
class Rule:
    """One rule: the key a breach is reported on, all keys it reads in the order of the check's arguments, the check."""

    blame: str
    needs: tuple[str, ...]
    check: Callable[..., Finding | None]


#: All rules between keys, in the order they are checked and reported.
RULES: list[Rule] = []
Check = Callable[..., Finding | None]


def rule(*needs: str, blame: str | None = None) -> Callable[[Check], Check]:
    """Register a check over the keys `needs`; a breach is reported on `blame`, the first of them unless told."""

    def register(check: Check) -> Check:
        RULES.append(Rule(blame or needs[0], needs, check))
        return check

    return register


def breaches(values: Mapping[str, Any]) -> Iterator[tuple[Rule, Finding]]:
    """Every rule that the values (by "table.key", mm and degrees) break; rules with a key missing do not run."""
    for entry in RULES:
        if all(key in values for key in entry.needs):
            finding = entry.check(*(values[key] for key in entry.needs))
            if finding:
                yield entry, finding


# --- instrument ----------------------------------------------------------------------------------------------------


@rule("instrument.body_fret", "instrument.frets")
def _body_fret_is_on_the_board(body_fret: int, frets: int) -> Finding | None:
    return (f"{body_fret} with {frets} frets", f"at most frets, {frets}") if body_fret > frets else None


@rule(
    "instrument.top",
    "instrument.scale_length",
    "instrument.saddle_compensation",
    "instrument.body_fret",
    blame="instrument.top.flat_until",
)
def _flat_part_ends_before_the_crown(top: Any, scale: float, compensation: float, body_fret: int) -> Finding | None:
    if not isinstance(top, DomeTop):
        return None
    saddle = scale * 2.0 ** (-body_fret / 12.0) + compensation  # what is left of the scale behind the join
    crown = saddle if top.crown_from_join is None else top.crown_from_join
    if top.flat_until < crown:
        return None
    where = "the saddle" if top.crown_from_join is None else "crown_from_join"
    return mm(top.flat_until), f"less than {where}, {mm(crown)}"


@rule("instrument.truss_rod_slot_depth", "instrument.truss_rod_slot_width")
def _slot_has_a_depth(depth: float | None, width: float | None) -> Finding | None:
    if width is not None and depth is None:
        found = f"nothing, with truss_rod_slot_width {mm(width)}"
        return found, 'a depth from 1 to 20 mm, or truss_rod_slot_width = "none"'
    return None


@rule("joint.mortise_depth", "instrument.neck_block_thickness")
def _mortise_has_a_floor(depth: float, block: float) -> Finding | None:
    if depth < block:
        return None
    return mm(depth), f"less than instrument.neck_block_thickness, {mm(block)}"


# --- joint ---------------------------------------------------------------------------------------------------------


@rule(
    "joint.mortise_length",
    "joint.mortise_stop",
    "instrument.body_depth_at_neck",
    "instrument.back_binding_height",
    "instrument.end_face_tilt",
)
def _mortise_fits_the_end_face(
    length: float | None, stop: float, depth: float, binding: float, tilt: float
) -> Finding | None:
    if length is None:
        auto = heel_length(depth, binding, tilt) - stop
        if auto >= MIN_MORTISE_LENGTH:
            return None
        found = f'"auto", which gives {mm(auto)} from body_depth_at_neck, back_binding_height and mortise_stop'
        return found, f"at least {mm(MIN_MORTISE_LENGTH)}"
    face = heel_length(depth, 0.0, tilt)
    return (mm(length), f"at most the end face's height, {mm(face)}") if length > face else None


@rule(
    "joint.end_clearance",
    "joint.mortise_length",
    "joint.mortise_stop",
    "instrument.body_depth_at_neck",
    "instrument.back_binding_height",
    "instrument.end_face_tilt",
    "instrument.heel_blank",
    blame="instrument.heel_blank",
)
def _blank_carries_the_tenon(
    end: float, length: float | None, stop: float, depth: float, binding: float, tilt: float, blank: float | None
) -> Finding | None:
    tenon = mortise_length(length, heel_length(depth, binding, tilt), stop) - end
    if blank is None or blank >= tenon:
        return None
    return mm(blank), f"at least the tenon's length, {mm(tenon)}"


@rule("instrument.heel_blank_width", "instrument.heel_width", "instrument.heel_width_at_cap")
def _blank_is_as_wide_as_the_heel(blank: float | None, heel: float, cap: float) -> Finding | None:
    if blank is None or blank >= max(heel, cap):
        return None
    return mm(blank), f"at least the heel's greatest width, {mm(max(heel, cap))}"


@rule("joint.mortise_width", "instrument.heel_width", "instrument.heel_width_at_cap")
def _heel_covers_the_mortise(mortise: float, heel: float, cap: float) -> Finding | None:
    narrow = min(heel, cap)
    if mortise < narrow:
        return None
    key = "heel_width" if heel <= cap else "heel_width_at_cap"
    return mm(mortise), f"less than instrument.{key}, {mm(narrow)}, or the mortise shows beside the heel"


@rule("joint.mortise_width", "router.bit_diameter", "router.bushing_od", "router.edge_offset")
def _bushing_enters_the_opening(mortise: float, bit: float, bushing: float, measured: float | None) -> Finding | None:
    opening = mortise + 2.0 * edge_offset(measured, bushing, bit)
    if opening >= bushing:
        return None
    return (
        f"{mm(mortise)}, an opening of {mm(opening)} for router.bushing_od {mm(bushing)}",
        f"at least {mm(mortise + bushing - opening)} with router.bit_diameter {mm(bit)}",
    )


@rule("joint.corner_radius", "router.bit_diameter", "router.bushing_od", "router.edge_offset", "joint.mortise_width")
def _corner_is_one_the_bit_can_cut(
    radius: float | None, bit: float, bushing: float, measured: float | None, width: float
) -> Finding | None:
    least = max(bit / 2.0, bushing / 2.0 - edge_offset(measured, bushing, bit))
    if radius is None or least <= radius <= width / 2.0:
        return None
    return mm(radius), f"from what bit and bushing can rout, {mm(least)}, to half of mortise_width, {mm(width / 2.0)}"


@rule("joint.floor_clearance", "joint.mortise_depth")
def _tenon_has_a_projection(clearance: float, depth: float) -> Finding | None:
    return (mm(clearance), f"less than mortise_depth, {mm(depth)}") if clearance >= depth else None


@rule(
    "joint.bolts",
    "joint.mortise_length",
    "joint.mortise_stop",
    "instrument.body_depth_at_neck",
    "instrument.back_binding_height",
    "instrument.end_face_tilt",
    blame="joint.bolts.from_top",
)
def _bolts_stand_in_the_mortise(
    bolts: BoltSpec, length: float | None, stop: float, depth: float, binding: float, tilt: float
) -> Finding | None:
    if bolts.from_top is None:
        return None
    reach = mortise_length(length, heel_length(depth, binding, tilt), stop)
    outside = [at for at in bolts.from_top if at >= reach]
    if not outside:
        return None
    return " and ".join(mm(at) for at in outside), f"less than the mortise's length, {mm(reach)}"


@rule(
    "joint.bolts",
    "joint.facing_depth",
    "instrument.body_depth_at_neck",
    "instrument.back_binding_height",
    "instrument.end_face_tilt",
    blame="joint.bolts.from_top",
)
def _bolts_stand_in_the_heel(
    bolts: BoltSpec, facing: float, depth: float, binding: float, tilt: float
) -> Finding | None:
    reach = heel_length(depth, binding, tilt)
    outside = [at for at in bolts.from_top or () if at >= reach]
    if not outside:
        return None
    return " and ".join(mm(at) for at in outside), f"less than the heel's length, {mm(reach)}"


@rule("joint.bolts", "joint.facing_depth", blame="joint.bolts.kind")
def _heel_takes_inserts(bolts: BoltSpec, facing: float) -> Finding | None:
    if bolts.kind is BoltKind.INSERT:
        return None
    return f'"{bolts.kind.value}", with a butt joint', '"insert": nothing stands on the neck that another could hold in'


# --- router --------------------------------------------------------------------------------------------------------


@rule("router.bushing_id", "router.bushing_od")
def _bushing_has_a_wall(bore: float, outside: float) -> Finding | None:
    return (mm(bore), f"less than bushing_od, {mm(outside)}") if bore >= outside else None


@rule("router.bit_diameter", "router.bushing_id")
def _bit_turns_free_in_the_bore(bit: float, bore: float) -> Finding | None:
    if bore - bit >= LEAST_BORE_PLAY - 1e-9:
        return None
    return (
        f"{mm(bit)} in a bore (bushing_id) of {mm(bore)}, {mm(bit + LEAST_BORE_PLAY - bore)} too large",
        f"at most {mm(bore - LEAST_BORE_PLAY)}: the bit needs {mm(LEAST_BORE_PLAY)} of play on diameter",
    )


@rule("router.bushing_length", "plate")
def _bushing_stays_above_the_work(barrel: float, plate: Stock) -> Finding | None:
    limit = longest_barrel(plate.actual_thickness)
    if barrel < limit:
        return None
    return (
        f"{mm(barrel)} with jig.plate_stock {plate.name}, {mm(plate.actual_thickness)} thick: "
        f"{mm(barrel - limit)} too long",
        f"less than {mm(limit)}: the barrel must stay {mm(LEAST_BUSHING_ROOM)} short of the plate's underside",
    )


def _bit_reaches_the_floor(key: str, reach: float, depth: float, plate: Stock) -> Finding | None:
    needed = reach_needed(plate.actual_thickness, depth)
    if reach >= needed:
        return None
    return (
        f"{mm(reach)}, {mm(needed - reach)} too short",
        f"at least {mm(needed)}: jig.plate_stock {mm(plate.actual_thickness)} and {key} {mm(depth)}",
    )


def _cutter_is_long_enough(
    key: str, cutting: float, shank: float, bit: float, depth: float, step: float
) -> Finding | None:
    needed = edges_needed(shank, bit, depth, step)
    if cutting >= needed:
        return None
    why = "max_step" if shank <= bit else f"{key}, as the shank of {mm(shank)} is thicker than the bit"
    return f"{mm(cutting)}, {mm(needed - cutting)} too short", f"at least {mm(needed)}: {why}"


def _something_is_cut_before_the_last_pass(key: str, hold_back: float, depth: float) -> Finding | None:
    return (mm(hold_back), f"less than {key}, {mm(depth)}") if hold_back >= depth else None


for _depth in _DEPTHS:
    rule("router.reach", _depth, "plate")(partial(_bit_reaches_the_floor, _depth))
    _cutter = ("router.cutting_length", "router.shank_diameter", "router.bit_diameter", _depth, "router.max_step")
    rule(*_cutter)(partial(_cutter_is_long_enough, _depth))
    rule("router.hold_back", _depth)(partial(_something_is_cut_before_the_last_pass, _depth))


@rule(
    "joint.mortise_width",
    "joint.side_clearance",
    "router.bushing_od",
    "router.bit_diameter",
    "router.edge_offset",
    blame="router.bushing_od",
)
def _tongue_is_wide_enough(
    mortise: float, side: float, bushing: float, bit: float, measured: float | None
) -> Finding | None:
    tongue = mortise - side - 2.0 * edge_offset(measured, bushing, bit)
    if tongue >= LEAST_TONGUE:
        return None
    return (
        f"bushing_od {mm(bushing)} with bit_diameter {mm(bit)}: a tongue {mm(tongue)} wide",
        f"a tongue at least {mm(LEAST_TONGUE)} wide: a smaller bushing_od, a larger bit_diameter or a wider mortise",
    )


@rule(
    "router.edge_offset",
    "router.bushing_od",
    "router.bit_diameter",
    "router.test_template",
    "router.test_slot",
)
def _edge_offset_is_of_this_kit(
    measured: float | None, bushing: float, bit: float, template: float | None, slot: float | None
) -> Finding | None:
    nominal = (bushing - bit) / 2.0
    if measured is None:
        return None
    found = f"{mm(measured)}, where half of bushing_od less bit_diameter is {mm(nominal)}"
    if template is not None and slot is not None:
        shown = (template - slot) / 2.0
        if abs(measured - shown) <= MOST_ROUNDING:
            return None
        return f"{found} and test_template and test_slot give {mm(shown)}", f"{mm(shown)}, or none"
    if abs(measured - nominal) <= MOST_EDGE_OFFSET_ERROR:
        return None
    beside = "with the test cut beside it, test_template and test_slot: its template's width and the slot's"
    return found, f"within {mm(MOST_EDGE_OFFSET_ERROR)} of that, or {beside}"


# --- jig -----------------------------------------------------------------------------------------------------------


@rule("jig.bracket_foot", "jig.bench_gap")
def _brackets_stay_before_the_bench(foot: float, gap: float) -> Finding | None:
    # In the body's cut the brackets' deep parts hang between the board and the bench's edge.
    if foot <= gap - MIN_FINGER:
        return None
    return mm(foot), f"at most bench_gap less {mm(MIN_FINGER)}, {mm(gap - MIN_FINGER)}"


@rule("jig.bridged", "joint.facing_depth")
def _nothing_bridges_a_facing(bridged: bool, facing: float) -> Finding | None:
    return ("true, with a butt joint", "false: the whole of the neck's end is routed") if bridged else None


@rule("jig.second_depth_block", "joint.facing_depth")
def _one_cut_needs_one_block(second: bool, facing: float) -> Finding | None:
    return ("true, with a butt joint", "false: the neck's cut is the only one") if second else None


@rule("jig.nominal_shim", "jig.shims")
def _shims_can_be_taken_out(nominal: float, shims: tuple[float, ...]) -> Finding | None:
    if min(shims) < nominal:
        return None
    return mm(nominal), f"more than the thinnest of shims, {mm(min(shims))}: trimming down takes it out"
