"""The setup sheet's content: every number of the bench work, spelt and ready, for the one template that words it.

Nothing here decides how a sentence reads, and the template computes nothing. Lengths come as text in the job's units.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from generator import __version__
from generator.base.units import format_mm
from generator.cutting.making import Maker, maker
from generator.documents.setup.bolts import bolt_name, neck_bolts
from generator.documents.setup.butt import butt_words
from generator.documents.setup.buying import all_drills, bought_by_kind, drill_text, stocks_to_buy
from generator.documents.setup.correction import correction_rows
from generator.documents.setup.gap import gap_measured, reading_row, rows_in_pairs, spacer_height
from generator.documents.setup.hands import (
    CLOSE,
    FEELER,
    IN_LINE,
    LOWER_KEEPS_BACK,
    NOTHING,
    Block3,
    backing_strip,
    bit_length,
    body_offcut,
    caul_depths,
    layers,
    neck_offcut,
    packing,
    plug_pilot_from_top,
    rest_difference,
    tip_pilot_from_face,
)
from generator.documents.setup.record import BOXES, RECORD_SUFFIX, job_checksum
from generator.documents.setup.setup_nouns import (
    BlankWords,
    Bolt,
    Bolts,
    ButtWords,
    CheckWords,
    Commands,
    ExpectedError,
    Fact,
    JointWords,
    Pass,
    PassTable,
    ProofGroup,
    RouterWords,
    SettingWords,
    SetupSheet,
)
from generator.documents.setup.spelling import NumberFormat
from generator.jig.gauges import BUSHING_SLIP, CENTRE_SIGHT, GAP_WEDGE, STORY_STICK
from generator.jig.hardware import hang_bite, tip_bite
from generator.jig.heel_bevel import HEEL_BEVEL
from generator.jig.layout import Layout, jig_layout
from generator.jig.part import Jig
from generator.jig.template_plate import TEMPLATE_PLATE
from generator.jig.zero_square import BLOCKS, designed_room
from generator.job.command_line import (
    CALIBRATE_LASER,
    CALIBRATE_ROUTER,
    DATE,
    READING,
    calibrate_jig,
    command_line,
    kit_command,
    path_argument,
)
from generator.job.glossary import NO_BODY_CUT, ON_THE_SHEET, TERMS, WITH_BODY_CUT, WITHOUT_TENON
from generator.job.model.instrument import Handed
from generator.job.model.job import Job, Paper, UnitsChoice
from generator.job.model.router import RouterKind
from generator.joint.build_review import WEAR_LIMIT
from generator.joint.checks import Check, CheckStatus
from generator.joint.kinds.butt.joint import Butt
from generator.joint.kinds.mortise_tenon.joint import MortiseTenon
from generator.joint.router_template import NUT_ROOM
from generator.joint.solution import Solution
from generator.joint.stations import clamp_opening, clamp_throat

#: The ready job that makes a joint without an angle in two offcuts.
TEST_JOB = "scrap-test"
#: More passes than this are told in a sentence.
MOST_PASS_ROWS = 12
#: Checks of the proof whose message a builder wants to read even when they passed.
_TOLD = frozenset({"fit: saddle gap", "fit: sideways", "fit: tenon goes in", "error: gap by trials"})
#: A bolt marked this far off, mm, is marked as well as it can be.
_MARKING = 0.05
#: A free edge of the bench, at least, mm: the jig's width and a clamp beside it (common practice).
_BENCH_WIDTH = 250.0


def setup_context(
    solution: Solution,
    jig: Jig,
    paper: Paper | None = None,
    proof: Sequence[Check] | None = None,
    place: Path | None = None,
    units: UnitsChoice | None = None,
) -> SetupSheet:
    """The content of the setup sheet of a solved job.

    `paper` is the size it will be printed on, the job's first unless told; `proof` the results of the virtual cut,
    where it has been made; `place` the kit's folder as it is named from where the commands will be given; `units` are
    the job's unless told.
    """
    job, layout = solution.job, jig_layout(solution)
    spell = NumberFormat(units or job.output.units)
    names = {part.name for part in jig.parts}
    passes, spacer = solution.routing.passes, spacer_height(solution)
    eases = job.router.hold_back > NOTHING and solution.joint.stands
    readings, spaced = tuple(reading_row(row, spacer, spell) for row in correction_rows(solution)), spacer > 0.0
    return SetupSheet(
        job=job.name,
        version=__version__,
        checksum=job_checksum(job),
        instrument=job.instrument.preset or "own measurements",
        router=job.router.preset or "own kit",
        jig=job.jig.preset or "own jig",
        left_handed=job.instrument.handed is Handed.LEFT,
        unit=spell.heading,
        typed=spell.typed,
        paper=(paper or job.output.paper[0]).value,
        is_test=job.name == TEST_JOB,
        boxes={box.key: box.name for box in BOXES},
        terms=_terms(solution),
        facts=_facts(solution, spell),
        wood=_wood(solution, spell),
        kit=_kit(solution, spell),
        joint=_joint(solution, spell),
        butt=_butt(solution, spell),
        setting=_setting(solution, spell, layout, jig),
        drills=all_drills(layout, jig),
        body_passes=_passes(passes.body, False, solution, spell) if passes.body else None,
        neck_passes=_passes(passes.neck, job.router.hold_back > NOTHING, solution, spell),
        card_passes=_card_passes(passes.neck, job.router.hold_back > NOTHING, spell),
        card_body_passes=_card_passes(passes.body, False, spell),
        gap=gap_measured(solution, spell, GAP_WEDGE.name in names),
        readings=readings,
        pairs=rows_in_pairs(readings),
        eases=eases,
        low_columns=3 + spaced + eases,
        high_columns=3 + spaced,
        bolts=_bolts(solution, spell),
        sure=_sure(solution, spell),
        steps=jig.assembly_steps,
        hardware=bought_by_kind(jig.hardware),
        stocks=stocks_to_buy(layout, jig, spell),
        bevel=HEEL_BEVEL.name in names,
        sight=CENTRE_SIGHT.name in names,
        slip=BUSHING_SLIP.name in names,
        stick=STORY_STICK.name in names,
        from_shop=_from_shop(job, spell),
        to_mind=_judged((*solution.failed, *solution.warned)),
        checks_passed=sum(check.status is CheckStatus.OK for check in solution.checks),
        checks=len(solution.checks),
        proof=_proof(proof or ()),
        commands=_commands(solution, Path(job.name) if place is None else place),
    )


def _commands(solution: Solution, place: Path) -> Commands:
    job = solution.job
    out = () if place.parent == Path() else ("-o", path_argument(place.parent))
    return Commands(
        adjust=command_line("adjust", job, "--gap", READING),
        log=command_line("log", job, "--date", DATE, "--gap-final", READING),
        log_record=command_line("log", job, "--record", job.name + RECORD_SUFFIX),
        prove=kit_command("prove", place),
        make=command_line("make", job, *out),
        calibrate_router=CALIBRATE_ROUTER,
        calibrate_laser=CALIBRATE_LASER,
        calibrate_jig=calibrate_jig(job, solution.cradle.upper_rest),
    )


def _facts(solution: Solution, spell: NumberFormat) -> tuple[Fact, ...]:
    neck_set, joint, cradle = solution.neck_set, solution.joint, solution.cradle
    return (
        Fact("angle rest, cut to", spell.fine(cradle.angle_rest_drawn)),
        Fact("shim behind it", f"{format_mm(cradle.nominal_shim)} mm"),
        Fact("depth of cut", spell.length(cradle.depth_block)),
        Fact("heel angle", spell.angle(neck_set.heel_angle)),
        Fact("join to saddle mark", spell.length(neck_set.join_to_saddle)),
        Fact("gap wanted there", spell.fine(neck_set.saddle_gap)),
        *(Fact(name, spell.length(joint.results[key])) for name, key in joint.facts.items()),
    )


def _wood(solution: Solution, spell: NumberFormat) -> BlankWords:
    instrument, joint = solution.job.instrument, solution.joint
    neck, body = neck_offcut(solution), joint.body_outline
    return BlankWords(
        flatness=spell.fine(solution.job.tolerances.end_face_flatness),
        tilt=spell.angle(instrument.end_face_tilt),
        tilted=abs(instrument.end_face_tilt) > NOTHING,
        depth=spell.length(instrument.body_depth_at_neck),
        block_thickness=spell.length(instrument.neck_block_thickness),
        block_width=spell.length(instrument.neck_block_width),
        block_floor=spell.length(instrument.neck_block_thickness - (0.0 if body is None else body.depth)),
        heel_angle=spell.angle(solution.neck_set.heel_angle),
        past_join=spell.length(joint.neck_blank_overlength),
        heel_blank=spell.length(joint.heel_blank),
        heel_blank_width=spell.length(joint.heel_blank_width),
        slot=instrument.truss_rod_slot_width is not None,
        slot_width=spell.length(instrument.truss_rod_slot_width or 0.0),
        slot_depth=spell.length(instrument.truss_rod_slot_depth or 0.0),
        neck_offcut=_rough(neck, spell),
        body_offcut="" if body is None else _rough(body_offcut(solution), spell),
    )


def _rough(block: Block3, spell: NumberFormat) -> str:
    return spell.rough(block.long, block.wide, block.deep)


def _terms(solution: Solution) -> tuple[tuple[Fact, ...], ...]:
    """The words that the sheet uses of this kind of joint, a paragraph each on joint, plate and what goes on it."""
    unused = NO_BODY_CUT if solution.joint.body_outline is None else WITH_BODY_CUT
    terms = TERMS if solution.joint.stands else {**TERMS, **WITHOUT_TENON}
    return tuple(
        tuple(Fact(name.capitalize(), terms[name]) for name in names if name not in unused) for names in ON_THE_SHEET
    )


def _kit(solution: Solution, spell: NumberFormat) -> RouterWords:
    router, routing = solution.job.router, solution.routing
    return RouterWords(
        bit=spell.length(router.bit_diameter),
        bit_length=spell.about(bit_length(solution)),
        shank=spell.length(router.shank_diameter),
        bushing_od=spell.length(router.bushing_od),
        bushing_id=spell.length(router.bushing_id),
        bushing_length=spell.length(router.bushing_length),
        cutting_length=spell.length(router.cutting_length),
        reach=spell.length(router.reach),
        reach_needed=spell.length(routing.reach_needed),
        stick_out=spell.about(routing.reach_needed + NUT_ROOM),
        speed=f"{router.top_speed:.0f}",
        hold_back=spell.length(router.hold_back),
        held=router.hold_back > NOTHING,
        offset=spell.fine(routing.edge_offset),
        offset_measured=router.edge_offset is not None,
        eccentric=router.eccentricity > NOTHING,
        eccentricity=spell.fine(router.eccentricity),
        shift=spell.fine(2.0 * router.eccentricity),
        fixed=router.kind is RouterKind.FIXED,
    )


def _butt(solution: Solution, spell: NumberFormat) -> ButtWords | None:
    return butt_words(solution, solution.joint, spell) if isinstance(solution.joint, Butt) else None


def _joint(solution: Solution, spell: NumberFormat) -> JointWords | None:
    joint, routing = solution.joint, solution.routing
    if not isinstance(joint, MortiseTenon):
        return None
    needed = joint.corner_radius - joint.side_clearance / 2.0
    end_left = joint.end_clearance + solution.neck_set.neck_rise_along_face
    return JointWords(
        mortise_width=spell.length(joint.mortise_width),
        mortise_length=spell.length(joint.mortise_length),
        mortise_depth=spell.length(joint.mortise_depth),
        tenon_width=spell.length(joint.tenon_width),
        tenon_length=spell.length(joint.tenon_length),
        tenon_routed=spell.length(joint.tenon_projection_routed),
        tenon_finished=spell.length(joint.tenon_projection),
        ease_end=spell.length(joint.ease_end),
        eases_end=joint.ease_end > NOTHING,
        side_clearance=spell.length(joint.side_clearance),
        has_middle=joint.mortise_width > 2.0 * solution.job.router.bit_diameter,
        floor_clearance=spell.length(joint.floor_clearance),
        corner=spell.length(joint.corner_radius),
        tenon_corner=spell.length(needed),
        corners_need_easing=solution.job.jig.bridged or joint.tenon_corner_radius < needed - NOTHING,
        end_left=spell.length(end_left),
        end_is_off=abs(end_left - joint.end_clearance) > NOTHING,
        opening_width=spell.fine(routing.opening_width),
        tongue_width=spell.fine(routing.tongue_width),
        tongue_rounded=routing.tongue_corner_radius > NOTHING,
        tongue_corner=spell.length(routing.tongue_corner_radius),
        wear=spell.fine(WEAR_LIMIT),
    )


def _setting(solution: Solution, spell: NumberFormat, layout: Layout, jig: Jig) -> SettingWords:
    job, cradle = solution.job, solution.cradle
    apart, square = rest_difference(layout), designed_room(layout)
    strip, (upper, lower), (caul_neck, caul_body) = backing_strip(layout), layers(layout), caul_depths(layout)
    wide, narrow = ("angle rest", "upper rest") if apart >= 0.0 else ("upper rest", "angle rest")
    return SettingWords(
        angle_rest=spell.fine(cradle.angle_rest_drawn),
        full_rest=spell.fine(cradle.angle_rest),
        shim=f"{format_mm(cradle.nominal_shim)} mm",
        upper_rest=format_mm(cradle.upper_rest),
        wide_rest=wide,
        narrow_rest=narrow,
        rest_gap=spell.fine(abs(apart)),
        turned_over=cradle.angle < 0.0,
        stand_off=spell.fine(cradle.stand_off),
        measured=cradle.stand_off_measured is not None,
        depth_block=spell.length(cradle.depth_block),
        tenon_block=spell.length(cradle.second_depth_block or cradle.depth_block),
        second_block=cradle.second_depth_block is not None,
        bench_gap=spell.about(job.jig.bench_gap),
        bench_width=spell.about(_BENCH_WIDTH),
        teeth=layout.rests.tooth_width is not None,
        tip=job.jig.tip_pin and not job.jig.bridged and layout.has_tongue,
        tip_pilot=_pilot(layout, tip_bite(layout)),
        tip_from_face=spell.fine(tip_pilot_from_face(layout)),
        plug_pilot=_pilot(layout, hang_bite(layout)) if layout.cuts_body else "",
        plug_from_top=spell.fine(plug_pilot_from_top(layout)) if layout.cuts_body else "",
        caul_neck=spell.about(caul_neck),
        caul_body=spell.about(caul_body),
        caul_height=spell.about(job.jig.caul_height),
        square_rule=spell.about(square.rule + BLOCKS),
        square_blocks=spell.about(BLOCKS),
        clamp_opening=spell.about(clamp_opening(job, cradle, solution.joint)),
        throat=spell.about(clamp_throat(job, cradle, solution.routing)),
        strip=spell.rough(strip.long, strip.wide),
        strip_thick=spell.fine(strip.deep),
        bridged=job.jig.bridged,
        plate_by_hand=maker(jig.part(TEMPLATE_PLATE.name), job) is Maker.HANDS,
        upper_layer=spell.length(upper),
        lower_layer=spell.length(lower),
        keeps_back=spell.about(LOWER_KEEPS_BACK),
        packing=spell.fine(packing(layout)),
        feeler=spell.fine(FEELER),
        close=spell.fine(CLOSE),
        in_line=spell.fine(IN_LINE),
        work_below=spell.about(cradle.board_height),
    )


def _pilot(layout: Layout, deep: float) -> str:
    """A pilot for the plug's or the tip screw: metric, as its drill and its screw are sold."""
    return f"⌀ {format_mm(layout.screws.tip.pilot)} mm, {format_mm(deep)} mm deep"


def _passes(depths: Sequence[float], held: bool, solution: Solution, spell: NumberFormat) -> PassTable:
    plate = solution.job.stock("plate").actual_thickness
    even = depths[:-1] if held else depths
    rows = tuple(
        Pass(n, spell.cell(depth), spell.cell(plate + depth), held and n == len(depths))
        for n, depth in enumerate(depths, 1)
    )
    return PassTable(
        rows=rows if len(rows) <= MOST_PASS_ROWS else (),
        count=len(even),
        step=spell.fine(even[0] if even else 0.0),
        deepest=spell.length(even[-1] if even else 0.0),
        deepest_below_base=spell.length(plate + (even[-1] if even else 0.0)),
        held=held,
        last=spell.length(depths[-1]),
    )


def _card_passes(depths: Sequence[float], held: bool, spell: NumberFormat) -> str:
    """Depths of the passes before a `held` last one, in one unit; nothing where they are too many to read."""
    depths = depths[: -1 if held else None]
    return f"{spell.figures(depths)} {spell.typed}" if len(depths) <= MOST_PASS_ROWS else ""


def _bolts(solution: Solution, spell: NumberFormat) -> Bolts:
    holes, fit = solution.joint.bolts, neck_bolts(solution)
    off = abs(holes[0].on_neck_end - holes[0].from_top)
    return Bolts(
        kind=fit.kind.value,
        buy=bolt_name(fit.thread, fit.length),
        thread=fit.thread,
        count=fit.count,
        sold=fit.fits,
        depth=spell.fine(fit.drill_depth),
        sunk=spell.fine(fit.sunk),
        barrel=spell.fine(fit.barrel_from_end),
        stands_out=spell.about(fit.stands_out),
        guide_strays=off > _MARKING,
        guide_off=spell.fine(off),
        rows=tuple(
            Bolt(
                n,
                spell.fine(hole.from_top),
                spell.fine(hole.on_neck_end),
                drill_text(hole.clearance_hole, hole.thread),
                drill_text(hole.pilot_hole, hole.thread),
                drill_text(hole.cross_hole or 0.0, hole.thread),
            )
            for n, hole in enumerate(holes, 1)
        ),
    )


def _sure(solution: Solution, spell: NumberFormat) -> ExpectedError:
    found = solution.uncertainty
    return ExpectedError(
        likely=spell.fine(found.gap_likely),
        worst=spell.fine(found.gap_worst),
        dominant=found.dominant.name,
        sideways=spell.fine(found.sideways_likely),
        trimmed=spell.fine(found.trimmed_rss),
        checked=found.zero_checked,
    )


def _from_shop(job: Job, spell: NumberFormat) -> tuple[Fact, ...]:
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


def _judged(checks: Iterable[Check]) -> tuple[CheckWords, ...]:
    return tuple(CheckWords(check.name, check.status.value, check.message) for check in checks)
