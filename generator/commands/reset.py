"""`heelwright reset`: the neck reset of an old instrument; what to take off the heel's shoulder."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from generator.base.units import format_mm, in_both
from generator.commands.pictures import picture_path, write_picture
from generator.commands.refusal import echo_json, length_option, refusals
from generator.job.load import load_job
from generator.joint.reset import Reset, reset, solve_reset
from generator.joint.solution import Solution, solve

NAME = "reset"
ORDER = 60
EXAMPLE = "heelwright reset orchestra-14 --clearance-now 0.3"


def run(
    job: Annotated[str, typer.Argument(help="A job file that describes the instrument as it should be.")],
    clearance_now: Annotated[
        str | None,
        typer.Option(
            "--clearance-now", help="Straightedge on the frets over the bridge, strings on; negative: into it."
        ),
    ] = None,
    action_now: Annotated[
        str | None, typer.Option("--action-now", help="Action over the 12th fret, mean of bass and treble.")
    ] = None,
    template: Annotated[
        Path | None,
        typer.Option("--template", metavar="FILE", help="Write the taper as a full-scale template, .svg or .pdf."),
    ] = None,
    shop: Annotated[str | None, typer.Option("--shop", help="Shop file with the workshop's corrections.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Say what to take off the shoulder of an old instrument's heel."""
    with refusals(as_json):
        clearance = None if clearance_now is None else length_option("--clearance-now", clearance_now)
        action = None if action_now is None else length_option("--action-now", action_now)
        paper = picture_path("--template", template)
        solution = solve(load_job(job, shop))
        if paper is not None:
            _draw(solution, solve_reset(solution, clearance_now=clearance, action_now=action), paper)
        if as_json:
            echo_json(reset(solution, clearance_now=clearance, action_now=action))
        else:
            found = solve_reset(solution, clearance_now=clearance, action_now=action)
            typer.echo("\n".join(advice(solution, found)))


def _draw(solution: Solution, found: Reset, path: Path) -> None:
    from generator.documents.setup.reset_sheet import reset_sheet

    write_picture(reset_sheet(solution, found), path, solution.job, full_size=True)


def advice(solution: Solution, found: Reset) -> list[str]:
    """The reset in words, one step a line."""
    lines = [
        f"{solution.job.name}: clearance {in_both(found.clearance_now)} now, {in_both(found.clearance_wanted)} wanted; "
        f"action {in_both(found.action_now)} now, {in_both(found.action_wanted)} wanted",
        f"  The set angle must change by {found.angle_change:+.3f}°.",
        f"  Off the shoulder: {in_both(found.shoulder.back_end)} at the heel's back end, "
        f"{in_both(found.shoulder.join)} at the join, straight in between:",
    ]
    lines += [f"    {format_mm(item.from_join, 1):>7} mm from the join  {in_both(item.remove)}" for item in found.taper]
    lines.append(
        f"  The saddle then stands {in_both(found.saddle_left)} over the bridge; lowering the saddle alone would leave "
        f"{in_both(found.saddle_without_reset)}."
    )
    wants = "a wedge" if found.extension_wedge > 0 else "a relief"
    lines.append(f"  Under the last fret the fretboard's end wants {wants} of {in_both(abs(found.extension_wedge))}.")
    if found.string_length_change < 0:
        lines.append(f"  The string length grows shorter by {in_both(-found.string_length_change)}.")
    return lines
