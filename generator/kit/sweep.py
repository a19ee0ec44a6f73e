"""What if: any result of a job against one or two of its inputs, as a table and as a picture. No CAD kernel.

Every point is the whole job worked out anew. A point that the job's rules or the formulas refuse keeps its row, without
results and with the reason. Lengths mm, angles degrees.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, product
from typing import Any

from pydantic import ValidationError

from generator.base.annotation import Anchor
from generator.base.errors import COMMAND_LINE, Fault, GeometryError, InputError
from generator.base.points2d import P2, Box
from generator.base.units import format_mm
from generator.documents.setup.chart import Chart
from generator.drawing.sheet import Sheet
from generator.drawing.style import LineType, Pen
from generator.jig.results import results_dict
from generator.job.model.field_types import shown
from generator.job.model.job import Job
from generator.joint.checks import CheckStatus
from generator.joint.solution import Solution, solve, work_out
from generator.kit.crew import Crew, Task
from generator.kit.sweep_inputs import MOST_POINTS, Refused, SweepBase, Vary

#: What is tabulated unless told.
USUAL = (
    "neck_set.saddle_gap_mm", "neck_set.bridge_clearance_mm", "neck_set.action_mm", "neck_set.set_angle_deg",
    "cradle.angle_rest_drawn_mm",
)  # fmt: skip
#: How many checks fail, and of which; known only where the checks are asked for.
CHECKS = ("failing", "failed checks")
#: So many points are one piece of work.
_SHARE = 125
#: Pens of the lines of one chart, widths in mm; a chart has at most one line of each.
_FAMILY = tuple(
    Pen(width, kind) for kind in (LineType.CONTINUOUS, LineType.DASHED, LineType.CHAIN) for width in (0.5, 0.25)
)


@dataclass(frozen=True)
class Point:
    """One job of the sweep: its inputs in the order of the axes, results by name (None: none), why it has none."""

    inputs: tuple[float, ...]
    results: tuple[float | str | None, ...]
    refused: str = ""


@dataclass(frozen=True)
class Swept:
    """The whole sweep: job, axes, names of the results, points with the last axis running fastest."""

    job: str
    axes: tuple[Vary, ...]
    results: tuple[str, ...]
    points: tuple[Point, ...]

    def rows(self) -> Iterator[tuple[object, ...]]:
        """The table, headings first; numbers at full precision."""
        yield (*(axis.key for axis in self.axes), *self.results, "refused")
        for point in self.points:
            yield (*point.inputs, *("" if one is None else one for one in point.results), point.refused)


def sweep(
    job: Job, axes: Sequence[Vary], results: Sequence[str] = (), checks: bool = False, crew: Crew | None = None
) -> Swept:
    """Work the job out at every combination of the axes' values. InputError for an unknown result.

    `checks` adds how many checks fail and which; it takes three times as long. A `crew` of several processes shares
    the points; they come out in the same order.
    """
    count = count_points(axes)
    if count > MOST_POINTS:
        raise InputError([Fault(COMMAND_LINE, "--vary", f"{count} points", f"at most {MOST_POINTS}")])
    names = tuple(results) or USUAL
    _refuse_unknown(job, names)
    SweepBase(job, axes)
    tasks = [
        Task(f"points from {first + 1}", _points, (job, tuple(axes), names, checks, first))
        for first in range(0, count, _SHARE)
    ]
    points = [point for share in (crew or Crew()).do_all(tasks) for point in share]
    return Swept(job.name, tuple(axes), (*names, *(CHECKS if checks else ())), tuple(points))


def count_points(axes: Sequence[Vary]) -> int:
    """How many combinations the axes' values have."""
    return math.prod(len(axis.values) for axis in axes)


def _points(job: Job, axes: Sequence[Vary], names: Sequence[str], checks: bool, first: int) -> list[Point]:
    """The points of one share, from the place `first` on."""
    work = solve if checks else work_out
    base = SweepBase(job, axes)
    points = []
    for inputs in islice(product(*(axis.values for axis in axes)), first, first + _SHARE):
        try:
            solution = work(base.with_values({axis.key: value for axis, value in zip(axes, inputs, strict=True)}))
        except (InputError, GeometryError, Refused, ZeroDivisionError, ValidationError) as error:
            points.append(Point(inputs, (None,) * (len(names) + 2 * checks), _why(error)))
            continue
        points.append(Point(inputs, (*_read(solution, names), *(_failing(solution) if checks else ()))))
    return points


def _why(error: Exception) -> str:
    """Why a point has no result, on one line."""
    if isinstance(error, ValidationError):
        return "; ".join(f"{'.'.join(map(str, one['loc']))}: {one['msg']}" for one in error.errors())
    return str(error).replace("\n", "; ")


def _flat(content: Any, name: str = "") -> Iterator[tuple[str, float]]:
    """Every number of the results under its dotted name; a list counts from 1."""
    if isinstance(content, Mapping):
        for key, inner in content.items():
            yield from _flat(inner, f"{name}.{key}" if name else str(key))
    elif isinstance(content, list):
        for place, inner in enumerate(content, 1):
            yield from _flat(inner, f"{name}.{place}")
    elif isinstance(content, int | float) and not isinstance(content, bool):
        yield name, float(content)


def _numbers(solution: Solution) -> dict[str, float]:
    found = results_dict(solution)
    return dict(
        _flat({key: value for key, value in found.items() if key not in ("inputs", "schema", "checks", "notes")})
    )


def _read(solution: Solution, names: Sequence[str]) -> tuple[float | None, ...]:
    numbers = _numbers(solution)
    return tuple(numbers.get(name) for name in names)


def _failing(solution: Solution) -> tuple[float, str]:
    failed = [check.name for check in solution.checks if check.status is CheckStatus.FAIL]
    return float(len(failed)), ", ".join(failed)


def _refuse_unknown(job: Job, names: Sequence[str]) -> None:
    known = _numbers(work_out(job))
    faults = []
    for name in names:
        if name in known:
            continue
        near = difflib.get_close_matches(name, known, n=1, cutoff=0.4)
        hint = f"the nearest is {near[0]}; " if near else ""
        faults.append(
            Fault(COMMAND_LINE, "--result", shown(name), f"{hint}a number of results.json, such as {USUAL[0]}")
        )
    if faults:
        raise InputError(faults)


# --- the picture ---------------------------------------------------------------------------------------------------


def sweep_plot(found: Swept, width: float = 150.0, height: float = 100.0) -> Sheet:
    """The first result over the first input; with a second input one line for each of its values, at most six.

    Points that are refused leave a gap in the line. InputError where there is nothing to draw.
    """
    first, result = found.axes[0], found.results[0]
    lines = _lines(found)
    heights = [y for _, line in lines for _, y in line]
    if not heights:
        raise InputError(
            [Fault(COMMAND_LINE, "--plot", "no point with a result", "a sweep that is not refused everywhere")]
        )
    low, high = min(heights), max(heights)
    room = max((high - low) * 0.08, 1e-3)
    frame = Box(18.0, 17.0, width - (34.0 if len(lines) > 1 else 5.0), height - 9.0)
    across = (min(first.values), max(first.values))
    if across[0] == across[1]:
        raise InputError(
            [Fault(COMMAND_LINE, "--plot", f"one value of {first.key}", "two different ones at the least")]
        )
    chart = Chart("sweep", "Sweep", width, height, across, (low - room, high + room), frame)
    chart.grid(first.key, result)
    for place, (value, line) in enumerate(lines):
        chart.curve(line, _FAMILY[place % len(_FAMILY)])
        if value is not None and line:
            at = chart.at(*line[-1]).plus(P2(1.5, 0.0))
            chart.words(f"{format_mm(value)}", P2(frame.x1 + 1.5, at.y), Anchor.LEFT)
    chart.heading(f"{found.job}: {result}")
    if len(found.axes) > 1:
        chart.words(f"numbers at the lines: {found.axes[1].key}", P2(frame.center.x, 2.5), Anchor.MIDDLE)
    return chart.sheet(found.job)


def _lines(found: Swept) -> list[tuple[float | None, list[tuple[float, float]]]]:
    """The lines to draw: the value of the second input, and pairs of first input and result."""
    if len(found.axes) == 1:
        return [
            (None, [(point.inputs[0], one) for point in found.points if isinstance(one := point.results[0], float)])
        ]
    values = found.axes[1].values
    step = -(-len(values) // len(_FAMILY))
    chosen = [values[i] for i in range(0, len(values), step)]
    return [
        (
            value,
            [
                (point.inputs[0], one)
                for point in found.points
                if point.inputs[1] == value and isinstance(one := point.results[0], float)
            ],
        )
        for value in chosen
    ]
