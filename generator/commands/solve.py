"""`heelwright solve`: every number of the joint and the jig, checked; writes nothing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from generator.commands.refusal import REFUSED, echo_json, refusals
from generator.job.load import load_job

if TYPE_CHECKING:
    from generator.joint.solution import Solution
    from generator.kit.reuse import Having

NAME = "solve"
ORDER = 30
EXAMPLE = "heelwright solve orchestra-14"


def run(
    job: Annotated[str, typer.Argument(metavar="JOB", help="A job file, or the name of a ready job.")],
    as_json: Annotated[bool, typer.Option("--json", help="Print the results as one JSON object.")] = False,
    every_check: Annotated[bool, typer.Option("--all", help="List every check, not only what to mind.")] = False,
    have: Annotated[
        Path | None, typer.Option(metavar="FOLDER", help="A kit already made: say which of its parts serve.")
    ] = None,
    shop: Annotated[Path | None, typer.Option(metavar="FILE", help="The shop file; else shop.toml.")] = None,
) -> None:
    """Compute and check everything; write nothing."""
    with refusals(as_json):
        # Imported here, so that the help of a command loads no formulas.
        from generator.jig.buildability import with_standing
        from generator.jig.results import results_dict
        from generator.joint.solution import solve
        from generator.kit.report import report

        solution = with_standing(solve(load_job(job, shop)))
        kit = None if have is None else _having(have, solution)
        if as_json:
            echo_json(results_dict(solution) | ({} if kit is None else {"have": kit.content()}))
            for check in solution.failed:
                typer.echo(f"failed: {check.name}: {check.message}", err=True)
        else:
            typer.echo(report(solution, every_check=every_check).rstrip("\n"))
            if kit is not None:
                typer.echo("\n".join(["", *kit.lines()]))
        if solution.failed:
            raise typer.Exit(REFUSED)


def _having(folder: Path, solution: Solution) -> Having:
    """The comparison with a kit already made; imported here, because it reads cutting files and builds parts."""
    from generator.kit.reuse import Having

    return Having(folder, solution)
