"""The command line: finds the commands, and loads only the one that is asked for."""

from __future__ import annotations

import gc
import importlib
import pkgutil
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType, ModuleType
from typing import Annotated

import typer

import generator.commands
from generator import __version__
from generator.commands.examples import example

#: What the help says of the whole program.
_ABOUT = (
    "Computes the bolted mortise-and-tenon neck joint of an acoustic guitar, designs the router jig that cuts it, and "
    "proves from the written files that it will fit. JOB is a job file, a folder with one or with a kit, or the name "
    "of a ready job."
)
#: New objects after which Python looks for cycles among them. Sheets and parts are many small objects that live to the
#: end: looking as often as it does by itself takes a tenth of all time.
COLLECT_AFTER = 50_000
#: Signals that ask a program to end, and what Python does with each by itself; where it does not, somebody chose so.
_STOPS = {"SIGINT": signal.default_int_handler, "SIGTERM": signal.SIG_DFL, "SIGHUP": signal.SIG_DFL}
#: Command line that the help of the whole program shows.
_EXAMPLE = "heelwright make orchestra-14 -o kits"
#: Commands that show how far they are (`commands.progress`).
_WITH_A_BAR = ("make", "class")


def command_modules(only: str | None = None) -> list[ModuleType]:
    """The command modules in the order of the help; just the one called `only` when there is one of that name."""
    names = [module.name for module in pkgutil.iter_modules(generator.commands.__path__)]
    for name in (only, f"{only}_"):  # a command called as a word of Python has its file called so with a stroke
        found = _commands([name]) if name in names else []
        if found and only == found[0].NAME:
            return found
    return sorted(_commands(names), key=lambda module: (module.ORDER, module.NAME))


def _commands(names: list[str]) -> list[ModuleType]:
    modules = [importlib.import_module(f"generator.commands.{name}") for name in names]
    return [module for module in modules if hasattr(module, "NAME")]


def program(only: str | None = None) -> typer.Typer:
    """The application with all commands, or with the one called `only`."""
    app = typer.Typer(
        name="heelwright",
        help=_ABOUT,
        epilog=example(_EXAMPLE),
        no_args_is_help=True,
        add_completion=False,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"]},
    )
    app.callback()(_common)
    for module in command_modules(only):
        if hasattr(module, "group"):
            app.add_typer(module.group, name=module.NAME)
        else:
            app.command(module.NAME, epilog=example(module.EXAMPLE))(module.run)
    return app


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"heelwright {__version__}")
        raise typer.Exit


def _common(
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version and leave.")
    ] = False,
) -> None:
    pass


class _Stop:
    """A request to end, the keyboard's or the system's; of the system's the first counts, so that what is being cleared
    away is not given up again."""

    def __init__(self) -> None:
        self.asked = False
        for name, usual in _STOPS.items():
            number = getattr(signal, name, None)
            if number is not None and signal.getsignal(number) is usual:
                signal.signal(number, self._heard)

    def _heard(self, number: int, frame: FrameType | None) -> None:
        self.asked = True
        if number != signal.SIGINT:
            signal.signal(number, signal.SIG_IGN)
        raise KeyboardInterrupt


def main() -> None:
    """Entry point of `heelwright` and of `python -m generator`."""
    gc.set_threshold(COLLECT_AFTER)
    stop = _Stop()
    for stream in (sys.stdout, sys.stderr):
        # A terminal that cannot show ⌀ or ° gets a question mark, not a traceback.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    command = sys.argv[1] if len(sys.argv) > 1 else None
    try:
        with _sign_of_life(command, sys.argv[2:]):
            app = program(command)
        app(prog_name="heelwright")
    except (Exception, KeyboardInterrupt):
        if not stop.asked:  # a library that is stopped while it loads makes another error of it
            raise
        sys.exit("Aborted.")


@contextmanager
def _sign_of_life(command: str | None, options: list[str]) -> Iterator[None]:
    """A word on a terminal while a command that has a bar is being loaded, which takes longer than an eye waits."""
    shown = command in _WITH_A_BAR and "--json" not in options and sys.stderr.isatty()
    if shown:
        sys.stderr.write(f"{command}: loading")
        sys.stderr.flush()
    try:
        yield
    finally:
        if shown:
            sys.stderr.write("\r\x1b[2K")
            sys.stderr.flush()
