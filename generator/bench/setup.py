"""The setup sheet's content: every number of the bench work, spelt and ready, for the one template that words it.

Nothing here decides how a sentence reads, and the template computes nothing. Lengths come as text in the job's units.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path

from generator import __version__
from generator.bench.correction import Row, correction_rows
from generator.bench.setup_nouns import (
    Bolt,
    Bolts,
    Bought,
    Commands,
    Fact,
    Gap,
    Joint,
    Judged,
    Kit,
    Layer,
    Pass,
    Passes,
    ProofGroup,
    Reading,
    Setting,
    SetupSheet,
    Sheetstock,
    Sure,
    Wood,
)
from generator.bench.spelling import Speller
from generator.buildreview import WEAR_LIMIT
from generator.checks import Check, CheckStatus
from generator.commandline import CALIBRATE_LASER, CALIBRATE_ROUTER, DATE, READING, command_line, kit_command
from generator.corrections import Correction
from generator.cutting import cut_lines
from generator.frame import plate_half_width
from generator.linework import CUT_INSIDE, CUT_OUTSIDE, ENGRAVE
from generator.model.instrument import Handed
from generator.model.job import Job, Paper
from generator.model.joint import BoltKind
from generator.model.router import RouterKind
from generator.model.stock import CutBy
from generator.parts.base import Hardware, Jig
from generator.parts.layout import Layout, jig_layout
from generator.routing import NUT_ROOM
from generator.solution import Solution
from generator.units import format_mm

#: The ready job that makes a joint without an angle in two offcuts.
TEST_JOB = "scrap-test"
#: More passes than this are told in a sentence.
MOST_PASS_ROWS = 30
#: Where along the body, below its end face, its clamps bear, mm: over the neck block.
CLAMP_DEPTHS = (26.0, 45.0)
#: Room for caul and pad when a clamp's opening is worked out, and half a clamp bar, mm.
_CAUL, _HALF_BAR = 25.0, 12.0
_COLOURS = {CUT_OUTSIDE: "red", CUT_INSIDE: "blue", ENGRAVE: "magenta"}
_POCKET_COLOUR = "green"
#: Checks of the proof whose message a builder wants to read even when they passed.
_TOLD = frozenset({"fit: saddle gap", "fit: sideways", "fit: tenon goes in", "error: gap by trials"})
#: A gap lower than this cannot be read under a straightedge, mm.
_LEAST_READ = 0.4
#: A wedge or relief under the fretboard's end thinner than paper is none, mm.
_PAPER_THIN = 0.1
#: A bolt marked this far off, mm, is marked as well as it can be.
_MARKING = 0.05
#: Angles and clearances smaller than this are nothing at the bench, degrees and mm.
_NOTHING = 0.005


def setup_context(
    solution: Solution,
    jig: Jig,
    paper: Paper | None = None,
    proof: Sequence[Check] | None = None,
    place: Path | None = None,
) -> SetupSheet:
    """The content of the setup sheet of a solved job.

    `paper` is the size it will be printed on, the job's first unless told; `proof` the results of the virtual cut,
    where it has been made; `place` the kit's folder as it is named from where the commands will be given.
    """
    job, spell, layout = solution.job, Speller(solution.job.output.units), jig_layout(solution)
    names = {part.name for part in jig.parts}
    passes = solution.routing.passes
    return SetupSheet(
        job=job.name,
        version=__version__,
        instrument=job.instrument.preset or "own measurements",
        router=job.router.preset or "own kit",
        jig=job.jig.preset or "own jig",
        left_handed=job.instrument.handed is Handed.LEFT,
        unit=spell.heading,
        paper=(paper or job.output.paper[0]).value,
        test_job=TEST_JOB,
        is_test=job.name == TEST_JOB,
        facts=_facts(solution, spell),
        wood=_wood(solution, spell),
        kit=_kit(solution, spell),
        joint=_joint(solution, spell),
        setting=_setting(solution, spell, layout),
        mortise_passes=_passes(passes.mortise, False, solution, spell),
        tenon_passes=_passes(passes.tenon, job.router.hold_back > _NOTHING, solution, spell),
        gap=_gap(solution, spell, "gap_gauge" in names),
        readings=tuple(_reading(row, spacer_height(solution), spell) for row in correction_rows(solution)),
        bolts=_bolts(solution, spell),
        sure=_sure(solution, spell),
        steps=jig.assembly_steps,
        hardware=_bought(jig.hardware),
        layers=_layers(jig),
        stocks=_stocks(job, jig, spell),
        coupon=any(name.startswith("laser_coupon") for name in names),
        bevel="heel_bevel" in names,
        from_shop=_from_shop(job, spell),
        to_mind=_judged((*solution.failed, *solution.warned)),
        checks_passed=sum(check.status is CheckStatus.OK for check in solution.checks),
        checks=len(solution.checks),
        proof=_proof(proof or ()),
        commands=_commands(job, Path(job.name) if place is None else place),
    )


def _commands(job: Job, place: Path) -> Commands:
    return Commands(
        adjust=command_line("adjust", job, "--gap", READING),
        log=command_line("log", job, "--date", DATE, "--gap-final", READING),
        prove=kit_command("prove", place),
        calibrate_router=CALIBRATE_ROUTER,
        calibrate_laser=CALIBRATE_LASER,
    )


def _facts(solution: Solution, spell: Speller) -> tuple[Fact, ...]:
    neck_set, joint, cradle = solution.neck_set, solution.joint, solution.cradle
    return (
        Fact("set block, neck", spell.fine(cradle.set_block)),
        Fact("set block, body", spell.fine(cradle.body_block)),
        Fact("depth of cut", spell.length(cradle.depth_block)),
        Fact("join to saddle mark", spell.length(neck_set.join_to_saddle)),
        Fact("gap wanted there", spell.fine(neck_set.saddle_gap)),
        Fact("heel angle", spell.angle(neck_set.heel_angle)),
        Fact("mortise width", spell.length(joint.mortise_width)),
        Fact("mortise length", spell.length(joint.mortise_length)),
        Fact("tenon width", spell.length(joint.tenon_width)),
        Fact("tenon length", spell.length(joint.tenon_length)),
    )


def _wood(solution: Solution, spell: Speller) -> Wood:
    instrument, joint = solution.job.instrument, solution.joint
    return Wood(
        flatness=spell.fine(solution.job.tolerances.end_face_flatness),
        tilt=spell.angle(instrument.end_face_tilt),
        tilted=abs(instrument.end_face_tilt) > _NOTHING,
        depth=spell.length(instrument.body_depth_at_neck),
        heel_width=spell.length(joint.heel_width),
        heel_width_at_cap=spell.length(joint.heel_width_at_cap),
        heel_tapers=abs(joint.heel_width - joint.heel_width_at_cap) > _NOTHING,
        block_thickness=spell.length(instrument.neck_block_thickness),
        block_width=spell.length(instrument.neck_block_width),
        block_floor=spell.length(instrument.neck_block_thickness - joint.mortise_depth),
        heel_angle=spell.angle(solution.neck_set.heel_angle),
        past_join=spell.length(joint.neck_blank_overlength),
        heel_blank=spell.length(joint.heel_blank),
        slot_width=spell.length(instrument.truss_rod_slot_width or 0.0),
        slot_depth=spell.length(instrument.truss_rod_slot_depth or 0.0),
        back_binding=spell.length(instrument.back_binding_height),
        has_back_binding=instrument.back_binding_height > _NOTHING,
    )


def _kit(solution: Solution, spell: Speller) -> Kit:
    router, routing = solution.job.router, solution.routing
    return Kit(
        bit=spell.length(router.bit_diameter),
        bushing_od=spell.length(router.bushing_od),
        bushing_id=spell.length(router.bushing_id),
        bushing_length=spell.length(router.bushing_length),
        cutting_length=spell.length(router.cutting_length),
        reach=spell.length(router.reach),
        reach_needed=spell.length(routing.reach_needed),
        stick_out=spell.length(routing.reach_needed + NUT_ROOM),
        speed=f"{router.top_speed:.0f}",
        step=spell.length(router.max_step),
        hold_back=spell.length(router.hold_back),
        held=router.hold_back > _NOTHING,
        offset=spell.fine(routing.edge_offset),
        offset_measured=router.edge_offset is not None,
        eccentric=router.eccentricity > _NOTHING,
        eccentricity=spell.fine(router.eccentricity),
        shift=spell.fine(2.0 * router.eccentricity),
        fixed=router.kind is not RouterKind.PLUNGE,
    )


def _joint(solution: Solution, spell: Speller) -> Joint:
    joint, routing = solution.joint, solution.routing
    needed = joint.corner_radius - joint.side_clearance / 2.0
    end_left = joint.end_clearance + solution.neck_set.overstand_along_face
    return Joint(
        mortise_width=spell.length(joint.mortise_width),
        mortise_length=spell.length(joint.mortise_length),
        mortise_depth=spell.length(joint.mortise_depth),
        tenon_width=spell.length(joint.tenon_width),
        tenon_length=spell.length(joint.tenon_length),
        tenon_routed=spell.length(joint.tenon_projection_routed),
        tenon_finished=spell.length(joint.tenon_projection),
        ease_end=spell.length(joint.ease_end),
        eases_end=joint.ease_end > _NOTHING,
        side_clearance=spell.length(joint.side_clearance),
        end_clearance=spell.length(joint.end_clearance),
        floor_clearance=spell.length(joint.floor_clearance),
        corner=spell.length(joint.corner_radius),
        tenon_corner=spell.length(needed),
        corners_need_easing=solution.job.jig.bridged or routing.tenon_corner_radius < needed - _NOTHING,
        end_left=spell.length(end_left),
        end_is_off=abs(end_left - joint.end_clearance) > _NOTHING,
        sawn=solution.job.jig.bridged,
        opening_width=spell.fine(routing.opening_width),
        tongue_width=spell.fine(routing.tongue_width),
        wear=spell.fine(WEAR_LIMIT),
    )


def _setting(solution: Solution, spell: Speller, layout: Layout) -> Setting:
    job, cradle = solution.job, solution.cradle
    opening = job.instrument.body_depth_at_neck + layout.thick.bed + job.jig.rest_thickness + _CAUL
    wing = (layout.cheek_outer + job.jig.bed_width / 2.0) / 2.0
    throat = plate_half_width(job, solution.routing) - wing + _HALF_BAR
    return Setting(
        set_block=spell.fine(cradle.set_block),
        body_block=spell.fine(cradle.body_block),
        body_angle=spell.angle(cradle.body_bed_angle),
        neck_angle=spell.angle(cradle.neck_bed_angle),
        depth_block=spell.length(cradle.depth_block),
        tenon_block=spell.length(cradle.tenon_depth_block or cradle.depth_block),
        second_block=cradle.tenon_depth_block is not None,
        zero_block=spell.length(cradle.base),
        plate=spell.length(layout.thick.plate),
        clamp_from=spell.length(CLAMP_DEPTHS[0]),
        clamp_to=spell.length(min(CLAMP_DEPTHS[1], job.instrument.neck_block_thickness)),
        clamp_opening=spell.length(math.ceil(opening)),
        throat=spell.length(math.ceil(throat)),
        key=job.instrument.truss_rod_slot_width is not None,
        tip_pin=job.jig.tip_pin and not job.jig.bridged,
        bridged=job.jig.bridged,
        rest=job.jig.rest_thickness > 0.0,
        shims=", ".join(format_mm(size) for size in job.jig.shims),
    )


def _passes(depths: Sequence[float], held: bool, solution: Solution, spell: Speller) -> Passes:
    plate = solution.job.stock("plate").actual_thickness
    even = depths[:-1] if held else depths
    rows = tuple(
        Pass(n, spell.cell(depth), spell.cell(plate + depth), held and n == len(depths))
        for n, depth in enumerate(depths, 1)
    )
    return Passes(
        rows=rows if len(rows) <= MOST_PASS_ROWS else (),
        count=len(even),
        step=spell.fine(even[0] if even else 0.0),
        deepest=spell.length(even[-1] if even else 0.0),
        deepest_below_base=spell.length(plate + (even[-1] if even else 0.0)),
        held=held,
        last=spell.length(depths[-1]),
    )


def spacer_height(solution: Solution) -> float:
    """How high (mm) the straightedge must be lifted so that every row's gap can be read; 0 where it needs no spacers.

    A straightedge on the neck plane of a level or forward set would run into the top.
    """
    lowest = correction_rows(solution)[0].reading
    return 0.0 if lowest >= _LEAST_READ else math.ceil(_LEAST_READ - lowest)


def _gap(solution: Solution, spell: Speller, gauge: bool) -> Gap:
    neck_set, joint = solution.neck_set, solution.joint
    spacer = spacer_height(solution)
    return Gap(
        saddle=spell.length(neck_set.join_to_saddle),
        wanted=spell.fine(neck_set.saddle_gap),
        overstand=spell.fine(abs(neck_set.overstand)),
        proud=neck_set.overstand > _NOTHING,
        below=neck_set.overstand < -_NOTHING,
        gauge=gauge and not spacer,
        spaced=spacer > 0.0,
        spacer=spell.fine(spacer),
        rule_wanted=spell.fine(neck_set.saddle_gap + spacer),
        per_degree=spell.length(solution.uncertainty.gap_per_degree),
        sideways_share=format_mm(joint.heel_width / neck_set.join_to_saddle, 3),
        extension=spell.fine(abs(neck_set.extension_gap)),
        wedge=neck_set.extension_gap > _PAPER_THIN,
        relief=neck_set.extension_gap < -_PAPER_THIN,
        clearance_below=neck_set.clearance_before_stringing < 0.0,
        clearance_size=spell.fine(abs(neck_set.clearance_before_stringing)),
        action=spell.fine(neck_set.action),
        string_height=spell.length(neck_set.string_height_at_saddle),
    )


def _reading(row: Row, spacer: float, spell: Speller) -> Reading:
    return Reading(
        gap=spell.cell(row.reading),
        rule=spell.cell(row.reading + spacer),
        wanted=row.wanted,
        shy=row.shy is not None,
        block_change=_size(row.shy, lambda c: c.set_block_change, spell, signed=True),
        block_new="" if row.shy is None else spell.cell(row.shy.set_block_new, fine=True),
        shims=_shims(row.shy),
        stock_left=_size(row.shy, lambda c: c.hold_back_left, spell),
        ease_first=_size(row.shy, lambda c: c.tenon_end_relief, spell),
        final=row.final is not None,
        off_back_end=_size(row.final, lambda c: c.shoulder.back_end, spell),
        off_join=_size(row.final, lambda c: c.shoulder.join, spell),
    )


def _size(found: Correction | None, pick: Callable[[Correction], float], spell: Speller, signed: bool = False) -> str:
    value = 0.0 if found is None else pick(found)
    return spell.cell(value, signed) if abs(value) > _NOTHING else ""


def _shims(found: Correction | None) -> str:
    if found is None or not found.trim_shims or found.trim_shims[0] < 0:
        return ""
    return " + ".join(format_mm(shim) for shim in found.trim_shims)


def _bolts(solution: Solution, spell: Speller) -> Bolts:
    holes = solution.joint.bolts
    first = holes[0]
    length = first.grip if first.kind is BoltKind.HANGER else first.grip + first.engagement
    off = abs(first.on_tenon_end - first.from_top)
    return Bolts(
        thread=first.thread,
        kind=first.kind.value,
        length=spell.length(length),
        engagement=spell.length(first.engagement),
        crossed=first.cross_hole is not None,
        guide_strays=off > _MARKING,
        guide_off=spell.fine(off),
        rows=tuple(
            Bolt(
                n,
                spell.length(hole.from_top),
                spell.length(hole.from_neck_plane),
                spell.length(hole.on_tenon_end),
                spell.length(hole.clearance_hole),
                spell.length(hole.pilot_hole),
                spell.length(hole.cross_hole or 0.0),
            )
            for n, hole in enumerate(holes, 1)
        ),
    )


def _sure(solution: Solution, spell: Speller) -> Sure:
    found = solution.uncertainty
    return Sure(spell.fine(found.gap_rss), spell.fine(found.gap_worst), found.dominant.name, spell.fine(found.sideways))


def _bought(hardware: Iterable[Hardware]) -> tuple[Bought, ...]:
    """The hardware list with pieces of one kind and size on one line."""
    alike: dict[str, list[Hardware]] = {}
    for item in hardware:
        alike.setdefault(f"{item.title} {item.thread} × {format_mm(item.length)}", []).append(item)
    return tuple(
        Bought(
            ", ".join(item.id for item in items),
            what,
            sum(item.count for item in items),
            "; ".join(dict.fromkeys(item.purpose for item in items)),
        )
        for what, items in alike.items()
    )


def _layers(jig: Jig) -> tuple[Layer, ...]:
    """The layers the jig's cutting files use, in the order to cut them."""
    used = {line.layer for part in jig.parts for line in cut_lines(part)}
    known = (
        (ENGRAVE, "engrave: lines and letters"),
        (CUT_INSIDE, "cut through, inside the outline"),
        (CUT_OUTSIDE, "cut through, the outline, last"),
    )
    rows = [Layer(name, _COLOURS[name], means) for name, means in known if name in used]
    pockets = sorted(used - set(_COLOURS))
    if pockets:
        rows.insert(1, Layer("pocket-…", _POCKET_COLOUR, "not cut through: sink to the depth in the name, mm"))
    return tuple(rows)


def _stocks(job: Job, jig: Jig, spell: Speller) -> tuple[Sheetstock, ...]:
    """Every stock the jig's parts are of."""
    names = dict.fromkeys(part.stock for part in jig.parts if part.stock != job.jig.shim_stock)
    rows = []
    for name in names:
        stock, given = job.stocks[name], job.inputs.get(f"stock.{name}", {})
        kerf = f"{spell.fine(stock.kerf)}, {_known(given, 'kerf')}" if CutBy.LASER in stock.cut_by else ""
        thick = f"{spell.length(stock.actual_thickness)}, {_known(given, 'measured_thickness')}"
        rows.append(Sheetstock(name, thick, kerf))
    return tuple(rows)


def _known(given: Mapping[str, Mapping[str, object]], key: str) -> str:
    """How a value of a stock is known."""
    return "measured" if given.get(key, {}).get("source") == "shop" else "usual"


def _from_shop(job: Job, spell: Speller) -> tuple[Fact, ...]:
    """What the shop file corrected in this job."""
    found = []
    for table, keys in job.inputs.items():
        for key, entry in keys.items():
            if entry.get("source") == "shop":
                value = entry["value"]
                text = f"{value:.5f}" if key.endswith("_factor") else spell.fine(value)
                found.append(Fact(f"{table}.{key}", text))
    return tuple(found)


def _proof(checks: Sequence[Check]) -> tuple[ProofGroup, ...]:
    """The proof's checks by what stands before their colon, in their own order."""
    groups: dict[str, list[Check]] = {}
    for check in checks:
        groups.setdefault(check.name.partition(": ")[0], []).append(check)
    return tuple(
        ProofGroup(
            name,
            sum(check.status is CheckStatus.OK for check in group),
            len(group),
            _judged(check for check in group if check.status is not CheckStatus.OK or check.name in _TOLD),
        )
        for name, group in groups.items()
    )


def _judged(checks: Iterable[Check]) -> tuple[Judged, ...]:
    return tuple(Judged(check.name, check.status.value, check.message) for check in checks)
