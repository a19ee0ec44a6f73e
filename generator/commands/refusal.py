"""How a command refuses: every fault on standard error, with --json one object on standard output, exit status 1."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import typer

from generator.base.errors import COMMAND_LINE, CheckFailed, Fault, HeelwrightError, InputError, refusal_of
from generator.base.plain_text import plain
from generator.base.units import UnitError, parse_length_argument

#: Exit status of a refusal: bad input, a failed check, a file that could not be written.
REFUSED = 1


@contextmanager
def refusals(as_json: bool = False) -> Iterator[None]:
    """Turn every error this program raises on purpose into a refusal that names all its faults.

    So too what the system refuses where no file of the user's is being written, such as the room for drafts.
    """
    try:
        yield
    except HeelwrightError as error:
        refuse(faults_of(error), as_json)
    except BrokenPipeError:
        raise  # who reads what is printed has heard enough
    except OSError as error:
        refuse([Fault(str(error.filename or "a file"), "", f"could not be used ({refusal_of(error)})", "")], as_json)


def faults_of(error: HeelwrightError) -> tuple[Fault, ...]:
    """The faults an error carries; one made of its text when it carries none."""
    if isinstance(error, InputError | CheckFailed):
        return error.faults
    return (Fault("", "", str(error), ""),)


def refuse(faults: Iterable[Fault], as_json: bool = False) -> None:
    """Report the faults and leave with status 1."""
    faults = tuple(faults)
    for fault in faults:
        alone = plain(f"{fault.file}: {fault.found}" if fault.file else fault.found)
        typer.echo(f"refused: {fault if fault.allowed else alone}", err=True)
    if as_json:
        errors = [
            {"file": fault.file, "key": fault.key, "found": fault.found, "allowed": fault.allowed} for fault in faults
        ]
        echo_json({"errors": errors})
    raise typer.Exit(REFUSED)


def demand_plain(name: str, path: Path) -> None:
    """Raise InputError for a path with a line end or another control character: it could stand in no file of a kit."""
    if not str(path).isprintable():
        allowed = "a name without line ends and control characters"
        raise InputError([Fault(COMMAND_LINE, name, ascii(str(path)), allowed)])


def echo_json(content: Any) -> None:
    """Print one JSON object on standard output."""
    typer.echo(json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False))


def length_option(name: str, text: str) -> float:
    """A length typed for option `name`, mm: as in the job file, a bare number being mm. InputError otherwise."""
    return _option(name, text, parse_length_argument)


def _option(name: str, text: str, read: Callable[[str], float]) -> float:
    try:
        return read(text)
    except UnitError as error:
        raise InputError([Fault(COMMAND_LINE, name, f'"{text}"', error.allowed)]) from None
