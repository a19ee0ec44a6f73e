"""`heelwright log`: what was measured on an instrument, kept beside its job, and what many builds say together."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import Annotated, Any

import typer

from generator.base.errors import COMMAND_LINE, Fault, InputError
from generator.base.plain_text import LINE_WIDTH
from generator.commands.pictures import picture_path, write_picture
from generator.commands.refusal import echo_json, length_option, refusals
from generator.documents.setup.record import RecordSheet, job_checksum, read_record
from generator.job.load import load_job
from generator.joint.build_log import Build, DryFit, append_build, log_file, predictions, read_log
from generator.joint.build_review import Review, review
from generator.joint.calibration import checked_date
from generator.joint.readings import Measured
from generator.joint.solution import Solution, solve

NAME = "log"
ORDER = 90
EXAMPLE = "heelwright log orchestra-14 --date 2024-05-31 --gap-final 3.4"


def run(
    job: Annotated[str, typer.Argument(help="A job file, or the name of a ready job.")],
    record: Annotated[
        Path | None,
        typer.Option(
            "--record",
            metavar="FILE",
            help="What the setup sheet's page exported; options stand above it.",
        ),
    ] = None,
    date: Annotated[str | None, typer.Option("--date", metavar="YYYY-MM-DD", help="The day; needed to record.")] = None,
    label: Annotated[str, typer.Option("--label", help="The instrument's number or name.")] = "",
    mortise_width: Annotated[str | None, typer.Option("--mortise-width")] = None,
    mortise_length: Annotated[str | None, typer.Option("--mortise-length")] = None,
    mortise_depth: Annotated[str | None, typer.Option("--mortise-depth")] = None,
    tenon_width: Annotated[str | None, typer.Option("--tenon-width")] = None,
    tenon_length: Annotated[str | None, typer.Option("--tenon-length")] = None,
    gap_shy: Annotated[str | None, typer.Option("--gap-shy", help="Gap before the last pass.")] = None,
    gap_final: Annotated[str | None, typer.Option("--gap-final", help="Gap of the finished joint.")] = None,
    sideways: Annotated[str | None, typer.Option("--sideways", help="Centreline miss at the saddle mark.")] = None,
    rest: Annotated[
        str | None, typer.Option("--rest", help="Angle rest with its shims at the first dry fit, if another.")
    ] = None,
    fit: Annotated[DryFit | None, typer.Option("--fit", help="How the tenon went in.")] = None,
    note: Annotated[str, typer.Option("--note", help="Anything else worth keeping, one line.")] = "",
    file: Annotated[Path | None, typer.Option("--file", metavar="FILE", help="The log; else beside the job.")] = None,
    also: Annotated[
        list[Path] | None,
        typer.Option(
            "--also", metavar="FILE", help="A log of another job cut with this router and plate: count it in."
        ),
    ] = None,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="FILE", help="Write the gap error as a picture, .svg or .pdf.")
    ] = None,
    shop: Annotated[str | None, typer.Option("--shop", help="Shop file with the workshop's corrections.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Record what was measured, and compare all builds with what was predicted."""
    with refusals(as_json):
        given = {
            Measured.MORTISE_WIDTH: mortise_width,
            Measured.MORTISE_LENGTH: mortise_length,
            Measured.MORTISE_DEPTH: mortise_depth,
            Measured.TENON_WIDTH: tenon_width,
            Measured.TENON_LENGTH: tenon_length,
            Measured.GAP_SHY: gap_shy,
            Measured.GAP_FINAL: gap_final,
            Measured.SIDEWAYS: sideways,
        }
        measured = {what: length_option(_option(what), text) for what, text in given.items() if text is not None}
        in_use = None if rest is None else length_option("--rest", rest)
        picture = picture_path("--plot", plot)
        solution = solve(load_job(job, shop))
        path = file or log_file(solution.job.source_path, solution.job.name)
        others = {one: _known_builds(one) for one in also or () if one.resolve() != path.resolve()}
        warned = []
        if record is not None:
            kept = read_record(record)
            warned = _stranger(kept, record, solution)
            measured = {what: kept.measured[what.value] for what in Measured if what.value in kept.measured} | measured
            date, fit = date or kept.date or None, fit or (DryFit(kept.fit) if kept.fit else None)
            label, note = label or kept.label, note or kept.note
            if not measured and fit is None:
                raise InputError([Fault(str(record), "boxes", "nothing", "at least one box that was filled")])
        if measured or fit or note or label or in_use is not None:
            if date is None:
                raise InputError([Fault(COMMAND_LINE, "--date", "nothing", "the day it was measured")])
            predicted = predictions(solution, in_use)
            build = Build(checked_date(date), measured, predicted, in_use, fit, label, note)
            if (known := append_build(path, build, record)) is not None:
                warned.append(f"{record}: its readings are build {known} of {path} already; nothing was added")
        builds = _known_builds(path)
        found = review(builds, solution, [build for log in others.values() for build in log])
        if picture is not None:
            _draw(builds, solution, picture)
        if as_json:
            echo_json(_content(path, builds, found) | {"also": [str(one) for one in others], "warnings": warned})
        else:
            counted = [f"{one}: {len(log)} counted in for mortise and tenon" for one, log in others.items()]
            typer.echo("\n".join([*_report(path, builds, found), *counted]))
            for warning in warned:
                typer.echo(f"mind: {warning}", err=True)


def _known_builds(path: Path) -> tuple[Build, ...]:
    if not path.exists():
        raise InputError([Fault(str(path), "", "no log yet", "a first build: --date and what was measured")])
    return read_log(path)


def _stranger(record: RecordSheet, path: Path, solution: Solution) -> list[str]:
    """What to mind of a record made with another state of the job; InputError for one of another job."""
    job = solution.job
    if record.job != job.name:
        raise InputError([Fault(str(path), "job", f'"{record.job}"', f'"{job.name}", the job it is logged for')])
    wanted = job_checksum(job)
    if record.checksum == wanted:
        return []
    return [
        f'{path}: its sheet was made of another state of {job.name} (checksum "{record.checksum}", now "{wanted}"): '
        "the readings are kept beside what the job predicts now"
    ]


def _option(what: Measured) -> str:
    return "--" + what.value.replace("_", "-")


def _draw(builds: tuple[Build, ...], solution: Solution, path: Path) -> None:
    from generator.documents.setup.log_plot import log_plot

    sheet = log_plot(builds, solution.uncertainty.gap_worst, solution.job.name)
    write_picture(sheet, path, solution.job, full_size=False)


def _content(path: Path, builds: tuple[Build, ...], found: Review) -> dict[str, Any]:
    return {
        "file": str(path),
        "builds": len(builds),
        "trends": [
            {
                "quantity": trend.what.value,
                "count": trend.count,
                f"mean_error_{_unit(trend.what)}": trend.mean,
                f"spread_{_unit(trend.what)}": trend.spread,
                f"drift_{_unit(trend.what)}_per_build": trend.drift,
                "drifting": trend.drifting,
            }
            for trend in found.trends
        ],
        "suggested_edge_offset_mm": found.edge_offset,
        "suggested_angle_rest_change_mm": found.angle_rest_change,
        "advice": list(found.advice),
    }


def _unit(what: Measured) -> str:
    return "deg" if what.is_angle else "mm"


def _report(path: Path, builds: tuple[Build, ...], found: Review) -> list[str]:
    """The builds one by one, then each quantity over all of them, then advice; at most 100 columns."""
    lines = [f"{path}: {len(builds)} build{'' if len(builds) == 1 else 's'}", ""]
    for build in sorted(builds, key=lambda one: one.date):
        lines += _build_lines(build)
    if found.trends:
        lines += ["", f"  {'measured less predicted, mm':<32}{'count':>6}{'mean':>9}{'spread':>9}{'drift a build':>15}"]
    for trend in found.trends:
        figures = f"{trend.count:>6}{trend.mean:>+9.3f}{trend.spread:>9.3f}{trend.drift:>+15.4f}"
        lines.append(f"  {trend.what.title:<32}{figures}{'  drifts' if trend.drifting else ''}")
    lines += [""] if found.advice else []
    for advice in found.advice:
        lines += textwrap.wrap(advice, LINE_WIDTH, initial_indent="  ", subsequent_indent="    ")
    return lines


def _build_lines(build: Build) -> list[str]:
    facts = [f"{what.title} {value:.3f}{_against(build, what)}" for what, value in build.measured.items()]
    facts += [f"fit {build.fit.value}"] if build.fit else []
    facts += [build.note] if build.note else []
    head = f"{build.date} {build.label}".strip()
    return textwrap.wrap(f"{head}: {'; '.join(facts)}", LINE_WIDTH, initial_indent="  ", subsequent_indent="    ")


def _against(build: Build, what: Measured) -> str:
    error = build.error(what)
    return "" if error is None else f" ({error:+.3f})"
