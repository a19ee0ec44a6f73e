"""`heelwright new`: a commented job file to start from."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Annotated, Any

import typer

from generator.base.atomic_file import write_new
from generator.base.errors import COMMAND_LINE, Fault, InputError
from generator.commands.refusal import demand_plain, refusals
from generator.job.command_line import command_line
from generator.job.keys import Key, job_keys
from generator.job.load import job_from_tables
from generator.job.model.field_types import JOB_NAME, FlagType, NotAllowed, TextType, toml_text
from generator.job.model.job import Job, OutputSpec
from generator.job.presets import PresetKind, find_preset, preset_folders
from generator.job.tables import SCHEMA
from generator.joint.router_template import NUT_ROOM
from generator.joint.solution import Solution, solve

NAME = "new"
ORDER = 10
EXAMPLE = "heelwright new my-guitar --instrument dreadnought --router inch-half"

#: Instrument preset of a new job where the command names none.
_INSTRUMENT = "orchestra-14"
#: Router preset of a new job where neither the command nor the instrument preset names one.
_ROUTER = "inch-half"
#: Half of the usual difference between the actions of the outer strings, mm (common practice).
_HALF_APART = 0.3
#: Column at which a commented key's meaning begins.
_MEANING_AT = 33


def run(
    name: Annotated[str, typer.Argument(help="Name of the job, and of the folder its files go into.")],
    instrument: Annotated[str, typer.Option(metavar="P", help="Instrument preset to start from.")] = _INSTRUMENT,
    router: Annotated[str | None, typer.Option(metavar="P", help="Router preset; else one that suits.")] = None,
    output: Annotated[Path | None, typer.Option("-o", metavar="FILE", help="File to write; else NAME.toml.")] = None,
) -> None:
    """Write a commented job file to start from."""
    with refusals():
        path = Path(f"{name}.toml") if output is None else output
        demand_plain("-o", path)
        text = new_job_text(name, instrument, router, path)
        _write_new(path, text)
        typer.echo(f"wrote {path}")


def new_job_text(name: str, instrument: str, router: str | None, path: Path) -> str:
    """The text of a new job file that is to stand at `path` and loads as it is.

    InputError for an unsafe name, an unknown preset, or presets that do not go together.
    """
    try:
        JOB_NAME.read(name)
    except NotAllowed as error:
        raise InputError([Fault(COMMAND_LINE, "NAME", error.found, error.allowed)]) from None
    folders = preset_folders(path.parent)
    preset = find_preset(PresetKind.INSTRUMENTS, instrument, folders, key="--instrument").tables()
    start = preset.get("start", {})
    chosen = start.get("router", _ROUTER) if router is None else router
    given: dict[str, Any] = {
        "instrument": preset.get("instrument", {}),
        "joint": preset.get("joint", {}),
        "router": find_preset(PresetKind.ROUTERS, chosen, folders, key="--router").tables().get("router", {}),
    }
    target = preset.get("target", {"saddle_gap": 3.5})
    bare = {
        "schema": SCHEMA,
        "job": {"name": name},
        "instrument": {"preset": instrument},
        "target": target,
        "router": {"preset": chosen},
    }
    solution = solve(job_from_tables(bare, path))
    given["jig"] = find_preset(PresetKind.JIGS, str(solution.job.jig.preset), folders).tables().get("jig", {})
    text = _rendered(path, solution, given, target)
    job_from_tables(tomllib.loads(text), path)
    return text


def _rendered(path: Path, solution: Solution, given: dict[str, Any], target: dict[str, Any]) -> str:
    from generator.drawing.templates import environment

    job, output = solution.job, OutputSpec()
    written = {
        "paper": [paper.value for paper in output.paper],
        "units": output.units.value,
        "projection": output.projection.value,
    }
    examples = _examples(solution)

    def rest(table: str) -> str:
        """Every other key of a table: the job's value behind a #, or an example where it has none."""
        keys = [key for key in job_keys().values() if key.table == table and key.bare not in ("preset", *written)]
        keys = [key for key in keys if key.only in ("", job.joint.kind.value)]
        return "\n".join(_behind(key, given.get(table, {}), job, examples) for key in keys)

    text = (
        environment()
        .get_template("new_job.j2")
        .render(
            name=job.name,
            schema=SCHEMA,
            command=command_line("solve", job),
            instrument=job.instrument.preset,
            router=job.router.preset,
            jig=job.jig.preset,
            top=given["instrument"].get("top", {}),
            target=target,
            other_targets=_targets(solution),
            bolts="# " + _line("bolts", given["joint"].get("bolts", job.inputs["joint"]["bolts"]["value"]), ""),
            line=_told,
            example=_example,
            rest=rest,
            **written,
        )
    )
    return text.rstrip("\n") + "\n"


def _targets(solution: Solution) -> dict[str, float]:
    """What the job's target comes to in every way of saying it, mm."""
    neck_set = solution.neck_set
    return {
        "saddle_gap": neck_set.saddle_gap,
        "bridge_clearance": neck_set.bridge_clearance,
        "action_bass": neck_set.action + _HALF_APART,
        "action_treble": neck_set.action - _HALF_APART,
    }


def _examples(solution: Solution) -> dict[str, float]:
    """What a measurement that nobody has made yet would be if everything were as computed, mm."""
    router, routing = solution.job.router, solution.routing
    across = router.bushing_od - router.bit_diameter
    return {
        "router.stick_out": routing.reach_needed + NUT_ROOM,
        "router.edge_offset": across / 2.0,
        "router.test_template": routing.opening_width,
        "router.test_slot": routing.opening_width - across,
        "jig.stand_off_upper_rest": solution.cradle.upper_rest,
    }


def _behind(key: Key, given: dict[str, Any], job: Job, examples: dict[str, float]) -> str:
    """A value of this job behind a #: as its preset writes it, else as the program takes it."""
    told = job.inputs[key.table].get(key.bare, {"value": key.default})
    value = given.get(key.bare, told["value"])
    if value is None:
        return _example(key.name, examples[key.name])
    return "# " + _line(key.bare, value, _comment(key), _MEANING_AT - 2)


def _told(name: str, value: Any) -> str:
    key = job_keys()[name]
    return _line(key.bare, value, _comment(key))


def _example(name: str, value: float | str) -> str:
    """What nobody has measured or said yet: marked, and no TOML until the mark is taken away."""
    key = job_keys()[name]
    shown = value if isinstance(value, str) else round(value, 4)
    return "# example: " + _line(key.bare, shown, _comment(key), _MEANING_AT - 11)


def _comment(key: Key) -> str:
    """What a key allows, where that is short, and what it means."""
    allowed = "" if isinstance(key.kind, TextType | FlagType) else f"{key.kind.allowed}. "
    return f"{allowed}{key.meaning.sentence}"


def _line(key: str, value: Any, meaning: str, column: int = _MEANING_AT) -> str:
    text = f"{key} = {toml_text(value)}"
    return f"{text:<{column - 1}} # {meaning}" if meaning else text


def _write_new(path: Path, text: str) -> None:
    try:
        write_new(path, text)
    except FileExistsError:
        raise InputError(
            [Fault(str(path), "", "a file that is there already", "a new file: choose another -o")]
        ) from None
