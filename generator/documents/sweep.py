"""What if: any result of a job against one or two of its inputs, as a table and as a picture. No CAD kernel.

Every point is the whole job worked out anew. A point that the job's rules or the formulas refuse keeps its row, without
results and with the reason. Lengths mm, angles degrees.
"""

from __future__ import annotations

import contextlib
import difflib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

from pydantic import ValidationError

from generator.base.annotation import Anchor
from generator.base.errors import Fault, GeometryError, InputError
from generator.base.geometry2d import P2, Box
from generator.base.units import format_mm
from generator.documents.setup.chart import Chart
from generator.drawing.sheet import Sheet
from generator.drawing.style import LineType, Pen
from generator.jig.results import results_dict
from generator.job.load import DEFAULT_SOURCE
from generator.job.model.field_types import Kind, NotAllowed, RangedKind, WholeKind, shown
from generator.job.model.instrument import Target
from generator.job.model.job import Job
from generator.job.rules import breaches
from generator.job.tables import KEYS, MODELS, TOPS, WHOLE_KEYS, kinds_of
from generator.joint.checks import CheckStatus
from generator.joint.solution import Solution, solve, work_out

_WHERE = "command line"
MOST_POINTS = 100_000
#: What is tabulated unless told.
USUAL = (
    "neck_set.saddle_gap_mm", "neck_set.bridge_clearance_mm", "neck_set.action_mm", "neck_set.set_angle_deg",
    "cradle.angle_rest_drawn_mm",
)  # fmt: skip
#: How many checks fail, and of which; known only where the checks are asked for.
CHECKS = ("failing", "failed checks")
_FAMILY = tuple(
    Pen(width, kind) for kind in (LineType.CONTINUOUS, LineType.DASHED, LineType.CHAIN) for width in (0.5, 0.25)
)


@dataclass(frozen=True)
class Vary:
    """One input to vary: its dotted key and the values it takes, in mm or degrees."""

    key: str
    values: tuple[float, ...]


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


def read_vary(text: str) -> Vary:
    """KEY=FROM:TO:N as the command line has it: N values evenly from FROM to TO. InputError otherwise."""
    name, equals, span = text.partition("=")
    parts = span.split(":")
    if not equals or len(parts) != 3:
        raise InputError([Fault(_WHERE, "--vary", shown(text), "KEY=FROM:TO:N, such as bridge_thickness=8:10:21")])
    key, kind = _key(name.strip())
    low, high = (_number(key, kind, part) for part in parts[:2])
    count = int(parts[2]) if parts[2].strip().isdigit() else 0
    if not 2 <= count <= MOST_POINTS:
        raise InputError([Fault(_WHERE, "--vary", shown(parts[2]), f"a number of values from 2 to {MOST_POINTS}")])
    values = tuple(low + (high - low) * i / (count - 1) for i in range(count))
    return Vary(key, tuple(float(round(one)) for one in values) if isinstance(kind, WholeKind) else values)


def _kinds() -> dict[str, Kind]:
    """Every input that is a number, by its dotted key."""
    plain = {f"{table}.{key}": kind for table in MODELS for key, kind in KEYS[table].items()}
    target = {f"target.{key}": kind for key, kind in kinds_of(Target).items()}
    tops = {f"instrument.top.{key}": kind for model in TOPS.values() for key, kind in kinds_of(model).items()}
    return {key: kind for key, kind in (plain | target | tops).items() if isinstance(kind, RangedKind)}


def _key(name: str) -> tuple[str, Kind]:
    """The dotted key that a name means, whole or its last part."""
    known = _kinds()
    meant = [key for key in known if key == name or key.endswith(f".{name}")]
    meant = [key for key in meant if not key.startswith("tolerances.")] or meant
    if len(meant) == 1:
        return meant[0], known[meant[0]]
    near = difflib.get_close_matches(name, [*known, *(key.rpartition(".")[2] for key in known)], n=1, cutoff=0.5)
    allowed = f"one of {', '.join(meant)}" if meant else "an input that is a number"
    hint = f"; the nearest is {near[0]}" if near and not meant else ""
    raise InputError([Fault(_WHERE, "--vary", f"the unknown key {shown(name)}", allowed + hint)])


def _number(key: str, kind: Kind, text: str) -> float:
    raw: object = text.strip()
    with contextlib.suppress(ValueError):
        raw = float(text)
    try:
        return float(kind.read(raw))
    except NotAllowed as error:
        raise InputError([Fault(_WHERE, f"--vary {key}", error.found, error.allowed)]) from None


def sweep(job: Job, axes: Sequence[Vary], results: Sequence[str] = (), checks: bool = False) -> Swept:
    """Work the job out at every combination of the axes' values. InputError for an unknown result.

    `checks` adds how many checks fail and which; it takes ten times as long.
    """
    count = 1
    for axis in axes:
        count *= len(axis.values)
    if count > MOST_POINTS:
        raise InputError([Fault(_WHERE, "--vary", f"{count} points", f"at most {MOST_POINTS}")])
    names = tuple(results) or USUAL
    _refuse_unknown(job, names)
    work = solve if checks else work_out
    base = _Base(job)
    points = []
    for inputs in product(*(axis.values for axis in axes)):
        try:
            solution = work(base.with_values({axis.key: value for axis, value in zip(axes, inputs, strict=True)}))
        except (InputError, GeometryError, _Refused, ZeroDivisionError, ValidationError) as error:
            points.append(Point(inputs, (None,) * (len(names) + 2 * checks), str(error).replace("\n", "; ")))
            continue
        points.append(Point(inputs, (*_read(solution, names), *(_failing(solution) if checks else ()))))
    return Swept(job.name, tuple(axes), (*names, *(CHECKS if checks else ())), tuple(points))


class _Refused(ValueError):
    """A combination of values that the job's rules do not allow."""


class _Base:
    """The job taken apart once, so that a point only puts its own values in."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.flat = {f"{table}.{key}": getattr(getattr(job, table), key) for table in MODELS for key in KEYS[table]}

    def with_values(self, values: Mapping[str, float]) -> Job:
        """The job with these values. _Refused where a rule between keys is broken, ValidationError for a key's own."""
        tables: dict[str, dict[str, Any]] = {}
        for key, value in values.items():
            table, _, name = key.partition(".")
            tables.setdefault(table, {})[name] = value
        update = {table: self._table(table, changed) for table, changed in tables.items()}
        job = self.job.model_copy(update=update)
        flat = dict(self.flat)
        for table in update:
            if table in MODELS:
                flat |= {f"{table}.{key}": getattr(update[table], key) for key in KEYS[table]}
        wrong = [
            f"{rule.blame}: found {found}; allowed: {allowed}" for rule, (found, allowed) in breaches(self._ruled(flat))
        ]
        if wrong:
            raise _Refused("; ".join(wrong))
        return job

    def _ruled(self, flat: Mapping[str, Any]) -> dict[str, Any]:
        job = self.job
        whole = {"instrument.top": job.instrument.top, "target": job.target, "joint.bolts": job.joint.bolts}
        return {**flat, **whole, "plate": job.stock("plate")}

    def _table(self, table: str, changed: Mapping[str, float]) -> Any:
        if table == "target":
            return self._target(changed)
        model = getattr(self.job, table)
        inner = {name.partition(".")[2]: value for name, value in changed.items() if name.startswith("top.")}
        plain: dict[str, Any] = {name: value for name, value in changed.items() if not name.startswith("top.")}
        if inner:
            top = model.top
            plain["top"] = type(top).model_validate({key: getattr(top, key) for key in type(top).model_fields} | inner)
        given = {key: getattr(model, key) for key in type(model).model_fields}
        # What only followed from another key follows it again.
        sources = self.job.inputs.get(table, {})
        follows = [
            key for key in type(model).derived(given | plain) if sources.get(key, {}).get("source") == DEFAULT_SOURCE
        ]
        kept = {key: value for key, value in given.items() if key not in follows}
        return type(model).model_validate(kept | plain)

    def _target(self, changed: Mapping[str, float]) -> Target:
        """The target said in the way that is varied: a gap takes the place of a clearance."""
        old = {key: getattr(self.job.target, key) for key in WHOLE_KEYS["target"]}
        if any(old[key] is None for key in changed):
            old = {}
        return Target.model_validate({key: value for key, value in old.items() if value is not None} | dict(changed))


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
        faults.append(Fault(_WHERE, "--result", shown(name), f"{hint}a number of results.json, such as {USUAL[0]}"))
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
        raise InputError([Fault(_WHERE, "--plot", "no point with a result", "a sweep that is not refused everywhere")])
    low, high = min(heights), max(heights)
    room = max((high - low) * 0.08, 1e-3)
    frame = Box(18.0, 17.0, width - (34.0 if len(lines) > 1 else 5.0), height - 9.0)
    across = (min(first.values), max(first.values))
    if across[0] == across[1]:
        raise InputError([Fault(_WHERE, "--plot", f"one value of {first.key}", "two different ones at the least")])
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
