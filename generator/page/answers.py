"""What the page is told: for a form the very numbers, files and words that the commands give for its job."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from generator.base.errors import Fault, HeelwrightError, InputError
from generator.base.keyed import keyed
from generator.base.units import UnitError, bare_number, parse_angle, parse_length_argument
from generator.documents.paper.rooms import page_rooms
from generator.documents.paper.side_elevation import side_elevation
from generator.documents.scene.stage import stage
from generator.documents.setup.advice import advice
from generator.documents.setup.correction import correction_plot
from generator.formats.glb.write import ModelPart, glb_bytes
from generator.formats.setup_sheet import setup_content, setup_sheet_html
from generator.formats.svg.write import svg_text
from generator.jig.build import build_jig
from generator.jig.buildability import with_standing
from generator.jig.results import results_dict
from generator.job.model.instrument import Target
from generator.joint.build_log import Build, DryFit, append_build, log_file, predictions, read_log
from generator.joint.calibration import checked_date
from generator.joint.corrections import Stage, adjust, correct
from generator.joint.neck_set import fret_distance, solve_neck_set
from generator.joint.readings import Measured
from generator.joint.solution import Solution, solve
from generator.joint.stations import Use, uses
from generator.kit.front_page import use_picture
from generator.page.fields import PRESET_OF, all_fields
from generator.page.form import Form, Opened, base_texts, job_of, tables_of
from generator.page.jigsketch import cut_sketch, plan_of_jig, router_sketch, side_of_jig
from generator.page.jobtext import job_text
from generator.page.refusals import errors, faults_of
from generator.page.sketch import end_face_sketch, saddle_sketch, side_sketch
from generator.page.typed import other_unit, text_of

#: How far to either side of the gap the table of alternatives goes, mm.
_REACH = 1.5
#: Step from gap to gap of the table of alternatives, mm.
_STEP = 0.5
#: The pictures beside the form, set by set.
_PICTURES = (side_sketch, saddle_sketch, end_face_sketch, router_sketch, cut_sketch, side_of_jig, plan_of_jig)
#: The things round the jig, each by how the names of its pieces begin.
_AROUND = {
    "work_clamps": ("work_clamp",),
    "bench_clamps": ("bench_clamp",),
    "bench": ("bench",),
    "router": ("router",),
    "neck": ("neck", "headstock"),
    "body": ("body", "soundhole"),
}
#: A file dropped on the page is no larger.
MOST_TEXT = 2_000_000


def solved(form: Form, opened: Opened) -> Solution:
    """The form's job, solved and checked as `solve` does it."""
    return with_standing(solve(job_of(form, opened)))


def at_once(form: Form, opened: Opened) -> dict[str, Any]:
    """All that follows a key: `results` as `solve --json` prints them, or `errors`; `base`, the text of each field that
    is left alone; `echo`, each length in the other unit; the pictures and what the player gets."""
    base = base_texts(form)
    told: dict[str, Any] = {"base": base, "echo": _echoes(form, base)}
    try:
        solution = solved(form, opened)
    except HeelwrightError as error:
        return told | errors(faults_of(error))
    return told | {
        "results": results_dict(solution),
        "follows": _follows(solution, form, base),
        "pictures": [draw(solution).content() for draw in _PICTURES],
        "player": _player(solution),
        "alternatives": _alternatives(solution),
    }


def _echoes(form: Form, base: Mapping[str, str]) -> dict[str, str]:
    found = {}
    for key, field in all_fields().items():
        text = form.fields.get(key, base.get(key, ""))
        echo = other_unit(field.kind, text) if text else ""
        if echo:
            found[key] = echo
    return found


def _follows(solution: Solution, form: Form, base: Mapping[str, str]) -> dict[str, dict[str, str]]:
    """For each empty field the value that the job has there, and for each that the shop file sets, that value."""
    found, known = {}, all_fields()
    for table, entries in solution.job.inputs.items():
        for key, entry in entries.items():
            name = f"{table}.{key}"
            value = entry["value"]
            if name in PRESET_OF or name not in known or value is None:
                continue
            if name not in form.fields and (not base.get(name) or entry["source"] == "shop"):
                found[name] = {"value": text_of(value), "source": str(entry["source"])}
    return found


def _player(solution: Solution) -> dict[str, float]:
    """What the neck set means for the player, mm and degrees; `action_per_saddle`: taken off by 1 mm off the saddle."""
    n, i = solution.neck_set, solution.job.instrument
    share = fret_distance(n.scale_length, 12) / (n.nut_to_join + n.join_to_saddle)
    return {
        **keyed(n, only=("action", "bridge_clearance", "clearance_before_stringing")),
        "saddle_left_mm": i.saddle_projection,
        "action_per_saddle": share,
        **keyed(n, only=("string_break", "string_height_at_saddle")),
    }


def _alternatives(solution: Solution) -> list[dict[str, float]]:
    """What other gaps round the wanted one would give: angle (degrees), action and clearance (mm)."""
    count = round(_REACH / _STEP)
    gaps = [solution.neck_set.saddle_gap + _STEP * i for i in range(-count, count + 1)]
    sets = [solve_neck_set(solution.job.instrument, Target(saddle_gap=gap)) for gap in gaps if abs(gap) <= 50.0]
    return [keyed(found, only=("saddle_gap", "set_angle", "action", "bridge_clearance")) for found in sets]


def drawing(form: Form, opened: Opened) -> str:
    """The kit's side elevation as SVG."""
    solution = solved(form, opened)
    return svg_text(side_elevation(solution, page_rooms(solution.job, solution.job.output.paper)))


def saved_job(form: Form, opened: Opened) -> str:
    """The form as a job file, once it is one; InputError otherwise."""
    job_of(form, opened)
    return job_text(tables_of(form)[0])


def setup_sheet(form: Form, opened: Opened) -> dict[str, str]:
    """The setup sheet's page, the proof not yet made, the checksum of the job it is of, and the unit of its boxes."""
    solution = solved(form, opened)
    content = setup_content(solution, build_jig(solution))
    page = setup_sheet_html(content)
    return {"job": content.job, "checksum": content.checksum, "unit": content.unit, "page": page}


def model(form: Form, opened: Opened, use: Use) -> bytes:
    """The jig on the bench with the work in it for one use, as binary glTF."""
    solution = solved(form, opened)
    use = _use_of(solution, use)
    jig = build_jig(solution)
    colours = {name: stock.colour for name, stock in solution.job.stocks.items()}
    own = {placed.label: {"of": "jig", "group": placed.label} for placed in jig.placed}
    for item in jig.hardware:
        about = {"of": "jig", "group": item.id, "title": item.title}
        own |= {f"{item.id}_{i}": about for i, _ in enumerate(item.pieces, 1)}
    parts = [
        ModelPart(
            prop.name,
            prop.facets,
            colour=prop.colour,
            metal=0.9 if prop.metal else 0.0,
            extras=own.get(prop.name) or {"of": "around", "group": _thing(prop.name)},
        )
        for prop in stage(solution, jig, use, colours)
    ]
    return glb_bytes(f"{solution.job.name}_{use.value}", parts)


def _thing(piece: str) -> str:
    """What a piece of the stage round the jig belongs to."""
    return next((thing for thing, starts in _AROUND.items() if piece.startswith(starts)), piece)


def still(form: Form, opened: Opened, use: Use) -> str:
    """The same as a drawing with its names, as the kit's front page has it: for a browser that turns no model."""
    solution = solved(form, opened)
    return svg_text(use_picture(solution, build_jig(solution), _use_of(solution, use)))


def _use_of(solution: Solution, use: Use) -> Use:
    """The use itself, or the neck's where the joint's jig has no other."""
    return use if use in uses(solution.joint) else Use.NECK


def dry_fit(form: Form, opened: Opened, readings: Mapping[str, str]) -> dict[str, Any]:
    """What `adjust --json` prints for the readings, its words, and its picture."""
    gap = _length("gap", readings.get("gap", ""))
    sideways = _length("sideways", readings.get("sideways", "") or "0")
    rest = _length("rest", readings["rest"]) if readings.get("rest") else None
    chosen = _stage(readings.get("stage", ""))
    solution = solve(job_of(form, opened))
    return {
        "adjust": adjust(solution, gap, sideways, chosen, rest),
        "advice": advice(solution, correct(solution, gap, sideways, chosen, rest)),
        "picture": svg_text(correction_plot(solution, gap, rest)),
    }


def from_guitar(form: Form, readings: Mapping[str, str]) -> dict[str, str]:
    """Fields of the form for a body that exists. A bar lies on the top, square to the end face: what it is higher over
    the top at the saddle than at the join, and the neck rise, is the gap of a neck plane at angle zero."""
    at = {name: _length(name, readings.get(name, "")) for name in ("join", "saddle")}
    neck_rise = form.fields.get("instrument.neck_rise") or base_texts(form)["instrument.neck_rise"]
    gap = at["saddle"] - at["join"] + _length("neck_rise", neck_rise)
    fields = {
        "instrument.bridge_thickness": "bridge",
        "instrument.saddle_projection": "projection",
        "target.action_bass": "bass",
        "target.action_treble": "treble",
    }
    found = {"instrument.top.form": "measured"}
    found["instrument.top.zero_angle_gap"] = f"{text_of(round(gap, 4))} mm"
    return found | {key: readings.get(name, "") for key, name in fields.items()}


def log_build(form: Form, opened: Opened, entry: Mapping[str, Any]) -> dict[str, Any]:
    """Write one build into the log beside the job, as `log` does; how many builds it then holds."""
    given = {key: text for key, text in entry.items() if isinstance(text, str) and text.strip()}
    measured = {what: _reading(what, given[what.value]) for what in Measured if what.value in given}
    rest = _length("rest", given["rest"]) if "rest" in given else None
    fit = _fit(given["fit"]) if "fit" in given else None
    if not measured and fit is None:
        raise InputError([Fault("at the bench", "measured", "nothing", "at least one reading")])
    solution = solve(job_of(form, opened))
    path = log_file(solution.job.source_path, solution.job.name)
    date = checked_date(given.get("date", ""))
    build = Build(date, measured, predictions(solution, rest), rest, fit, given.get("label", ""), given.get("note", ""))
    append_build(path, build)
    return {"file": path.name, "builds": len(read_log(path))}


def _reading(what: Measured, text: str) -> float:
    return _read(what.value, text, _angle if what.is_angle else parse_length_argument)


def _angle(text: str) -> float:
    return parse_angle(bare_number(text))


def _length(name: str, text: str) -> float:
    return _read(name, text, parse_length_argument)


def _read(name: str, text: str, read: Callable[[str], float]) -> float:
    try:
        return read(text)
    except UnitError as error:
        found = f'"{text}"' if text else "nothing"
        raise InputError([Fault("at the bench", name, found, error.allowed)]) from None


def _stage(text: str) -> Stage:
    for known in Stage:
        if known.value == text:
            return known
    raise InputError([Fault("at the bench", "stage", f'"{text}"', ", ".join(stage.value for stage in Stage))])


def _fit(text: str) -> DryFit:
    for known in DryFit:
        if known.value == text:
            return known
    raise InputError([Fault("at the bench", "fit", f'"{text}"', ", ".join(fit.value for fit in DryFit))])
