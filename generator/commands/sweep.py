"""`heelwright sweep`: any result of a job against one or two inputs, as a table and a picture."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from generator.base.atomic_file import write_atomically
from generator.base.csv_text import csv_text
from generator.base.errors import COMMAND_LINE, Fault, InputError
from generator.commands.pictures import picture_path, write_picture
from generator.commands.refusal import refusals
from generator.job.load import load_job
from generator.kit.crew import crew_of, processors
from generator.kit.sweep import USUAL, count_points, sweep, sweep_plot
from generator.kit.sweep_inputs import read_vary

NAME = "sweep"
ORDER = 35
EXAMPLE = "heelwright sweep orchestra-14 --vary bridge_thickness=8:10:21 --plot bridge.svg"
#: With the checks, so many points are shared by several processes.
_SHARED_FROM = 600


def run(
    job: Annotated[str, typer.Argument(help="A job file, or the name of a ready job.")],
    vary: Annotated[
        list[str], typer.Option(metavar="KEY=FROM:TO:N", help="N values of an input, evenly; once or twice.")
    ],
    result: Annotated[
        list[str] | None,
        typer.Option(metavar="KEY", help=f"A number of results.json (may be repeated); else {', '.join(USUAL)}."),
    ] = None,
    checks: Annotated[bool, typer.Option("--checks", help="Also how many checks fail, and which; slower.")] = False,
    out: Annotated[Path | None, typer.Option("-o", metavar="FILE", help="The table as CSV; else printed.")] = None,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="FILE", help="The first result as a picture, .svg or .pdf.")
    ] = None,
    shop: Annotated[str | None, typer.Option("--shop", help="Shop file with the workshop's corrections.")] = None,
) -> None:
    """Tabulate results against one or two inputs."""
    with refusals():
        if len(vary) > 2:
            raise InputError([Fault(COMMAND_LINE, "--vary", f"{len(vary)} inputs", "one or two")])
        picture = picture_path("--plot", plot)
        axes = [read_vary(text) for text in vary]
        loaded = load_job(job, shop)
        # Starting another process takes as long as a few hundred points.
        many = checks and count_points(axes) >= _SHARED_FROM
        with crew_of(processors() if many else 1) as crew:
            found = sweep(loaded, axes, tuple(result or ()), checks, crew)
        text = csv_text(found.rows())
        if picture is not None:
            write_picture(sweep_plot(found), picture, loaded, full_size=False)
        if out is None:
            typer.echo(text.replace("\r\n", "\n"), nl=False)
        else:
            write_atomically(out, text)
            typer.echo(f"wrote {out}: {len(found.points)} points")
