"""`heelwright new`: a commented job file to start from."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Annotated, Any

import typer

from generator.commands.refusal import refusals
from generator.errors import Fault, InputError, OutputError
from generator.jobtables import JOB_NAME
from generator.load import DEFAULT_JIG, job_from_tables
from generator.model.job import OutputSpec
from generator.model.kinds import NotAllowed, toml_text
from generator.presets import PresetKind, find_preset, preset_folders

NAME = "new"
ORDER = 10

_INSTRUMENT, _ROUTER = "orchestra-14", "inch-half"
#: What stands for a key no preset gives.
_UNSET = {"instrument.heel_blank": "auto", "instrument.handed": "right"}
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
        raise InputError([Fault("command line", "NAME", error.found, error.allowed)]) from None
    folders = preset_folders(path.parent)
    preset = find_preset(PresetKind.INSTRUMENTS, instrument, folders, key="--instrument").tables()
    start = preset.get("start", {})
    chosen = start.get("router", _ROUTER) if router is None else router
    jig = start.get("jig", DEFAULT_JIG)
    given: dict[str, Any] = {
        "instrument": preset.get("instrument", {}),
        "joint": preset.get("joint", {}),
        "router": find_preset(PresetKind.ROUTERS, chosen, folders, key="--router").tables().get("router", {}),
        "jig": find_preset(PresetKind.JIGS, jig, folders).tables().get("jig", {}),
    }
    text = _rendered(name, path, (instrument, chosen, jig), given, preset)
    job_from_tables(tomllib.loads(text), path)
    return text


def _rendered(
    name: str, path: Path, presets: tuple[str, str, str], given: dict[str, Any], preset: dict[str, Any]
) -> str:
    from generator.drawing.templates import environment

    output = OutputSpec()

    def off(key: str, meaning: str) -> str:
        table, _, inner = key.partition(".")
        value = given[table].get(inner, _UNSET.get(key, ""))
        return "# " + _line(inner, value, meaning, _MEANING_AT - 2)

    text = (
        environment()
        .get_template("new_job.j2")
        .render(
            name=name,
            file=path.as_posix(),
            instrument=presets[0],
            router=presets[1],
            jig=presets[2],
            top=given["instrument"].get("top", {}),
            target=preset.get("target", {"saddle_gap": 3.5}),
            paper=[paper.value for paper in output.paper],
            units=output.units.value,
            projection=output.projection.value,
            line=_line,
            off=off,
        )
    )
    return text.rstrip("\n") + "\n"


def _line(key: str, value: Any, meaning: str, column: int = _MEANING_AT) -> str:
    text = f"{key} = {toml_text(value)}"
    return f"{text:<{column - 1}} # {meaning}" if meaning else text


def _write_new(path: Path, text: str) -> None:
    try:
        with path.open("x", encoding="utf-8", newline="\n") as handle:
            handle.write(text)
    except FileExistsError:
        raise InputError(
            [Fault(str(path), "", "a file that is there already", "a new file: choose another -o")]
        ) from None
    except OSError as error:
        raise OutputError(f"{path}: {error.strerror or error}") from None
