"""`heelwright adjust`: the measured joint is off; what to change, and by how much."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from generator.commands.pictures import picture_path, write_picture
from generator.commands.refusal import echo_json, length_option, refusals
from generator.documents.setup.advice import advice
from generator.job.load import load_job
from generator.joint.corrections import Stage, adjust, correct
from generator.joint.solution import Solution, solve

NAME = "adjust"
ORDER = 50
EXAMPLE = "heelwright adjust orchestra-14 --gap 3.1"


def run(
    job: Annotated[str, typer.Argument(help="A job file, or the name of a ready job.")],
    gap: Annotated[str, typer.Option("--gap", help="Saddle gap as measured: neck plane over the bare top.")],
    sideways: Annotated[
        str, typer.Option("--sideways", help="Miss of the centreline at the saddle; positive towards body +Y.")
    ] = "0",
    stage: Annotated[
        Stage, typer.Option("--stage", help="shy: before the last pass. final: all passes are taken.")
    ] = Stage.SHY,
    rest: Annotated[
        str | None,
        typer.Option("--rest", help="Angle rest in use with its shims; as drawn with the nominal one unless told."),
    ] = None,
    plot: Annotated[
        Path | None,
        typer.Option("--plot", metavar="FILE", help="Draw gap against shims with the reading in it, .svg or .pdf."),
    ] = None,
    shop: Annotated[str | None, typer.Option("--shop", help="Shop file with the workshop's corrections.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Say what to change when the measured joint is off."""
    with refusals(as_json):
        found, miss = length_option("--gap", gap), length_option("--sideways", sideways)
        in_use = None if rest is None else length_option("--rest", rest)
        picture = picture_path("--plot", plot)
        solution = solve(load_job(job, shop))
        correction = correct(solution, found, miss, stage, in_use)
        if picture is not None:
            _draw(solution, found, in_use, picture)
        if as_json:
            echo_json(adjust(solution, found, miss, stage, in_use))
        else:
            typer.echo("\n".join(advice(solution, correction)))


def _draw(solution: Solution, gap: float, rest: float | None, path: Path) -> None:
    from generator.documents.setup.correction import correction_plot

    write_picture(correction_plot(solution, gap, rest), path, solution.job, full_size=False)
