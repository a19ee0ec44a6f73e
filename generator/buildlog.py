"""The build log: what was measured on each instrument, kept in a file beside its job.

A log is a TOML file of [[build]] tables. Every entry also keeps what was predicted when it was written, so changing
the job later does not rewrite history. Lengths mm; an error is measured less predicted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from types import MappingProxyType
from typing import Any

from generator.cradle import REST_RANGE
from generator.errors import Fault, InputError
from generator.jobfile import LOG_SUFFIX
from generator.model.kinds import Kind, NotAllowed, TextKind, choice, length
from generator.presets import shipped_folder
from generator.shoulder import MOST_READING, gap_of_angle, rest_faults
from generator.solution import Solution
from generator.tomledit import Value, append_table, change_file
from generator.tomlfile import read_toml
from generator.units import format_mm


class Fit(Enum):
    """How the tenon went into the mortise by hand."""

    TIGHT = "tight"
    SNUG = "snug"
    LOOSE = "loose"


class Measured(Enum):
    """What can be measured on an instrument: the log's key."""

    MORTISE_WIDTH = "mortise_width"
    MORTISE_LENGTH = "mortise_length"
    MORTISE_DEPTH = "mortise_depth"
    TENON_WIDTH = "tenon_width"
    TENON_LENGTH = "tenon_length"
    GAP_SHY = "gap_shy"
    GAP_FINAL = "gap_final"
    SIDEWAYS = "sideways"

    @property
    def title(self) -> str:
        return _TITLES[self]


_TITLES: Mapping[Measured, str] = MappingProxyType(
    {
        Measured.MORTISE_WIDTH: "mortise width",
        Measured.MORTISE_LENGTH: "mortise length",
        Measured.MORTISE_DEPTH: "mortise depth",
        Measured.TENON_WIDTH: "tenon width",
        Measured.TENON_LENGTH: "tenon length",
        Measured.GAP_SHY: "gap, last pass not yet taken",
        Measured.GAP_FINAL: "gap, finished",
        Measured.SIDEWAYS: "sideways at the saddle",
    }
)

_KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        Measured.MORTISE_WIDTH.value: length(3, 70),
        Measured.MORTISE_LENGTH.value: length(10, 170),
        Measured.MORTISE_DEPTH.value: length(1, 70),
        Measured.TENON_WIDTH.value: length(3, 70),
        Measured.TENON_LENGTH.value: length(10, 170),
        Measured.GAP_SHY.value: length(-MOST_READING, MOST_READING),
        Measured.GAP_FINAL.value: length(-MOST_READING, MOST_READING),
        Measured.SIDEWAYS.value: length(-MOST_READING, MOST_READING),
        "angle_rest": length(*REST_RANGE),
    }
)
_REMARKS: Mapping[str, Kind] = MappingProxyType(
    {
        "date": TextKind(pattern=r"\d{4}-\d{2}-\d{2}", form='a date such as "2024-05-31"'),
        "label": TextKind(pattern=r"[^\n]{0,80}", form="one line of text"),
        "note": TextKind(pattern=r"[^\n]{0,200}", form="one line of text"),
        "fit": choice(Fit),
    }
)
_NUMBER = length(-1000, 1000)
#: A size or a gap further off than this is a slip of the pen or of the unit, mm.
MOST_SIZE_ERROR, MOST_GAP_ERROR = 5.0, 15.0
_MOST_ERROR: Mapping[Measured, float] = MappingProxyType(
    {Measured.GAP_SHY: MOST_GAP_ERROR, Measured.GAP_FINAL: MOST_GAP_ERROR, Measured.SIDEWAYS: MOST_GAP_ERROR}
)
OFFSET_KEY, REST_KEY = "edge_offset", "angle_rest"


@dataclass(frozen=True)
class Build:
    """One instrument: its date, what was measured (mm, by Measured), what had been predicted, the fit, label, note.

    `predicted` also holds the edge offset and the angle rest, its shims included, that the jig had been made for;
    `angle_rest` is what really stood in the jig, where it was another.
    """

    date: str
    measured: Mapping[Measured, float]
    predicted: Mapping[str, float]
    angle_rest: float | None = None
    fit: Fit | None = None
    label: str = ""
    note: str = ""

    def error(self, what: Measured) -> float | None:
        """Measured less predicted, mm; None when one of them is missing."""
        found, wanted = self.measured.get(what), self.predicted.get(what.value)
        return None if found is None or wanted is None else found - wanted


def log_file(source: Path | None, name: str) -> Path:
    """Where a job's log stands: beside the job file; for a ready job in the working folder."""
    if source is None or source.resolve().is_relative_to(shipped_folder()):
        return Path(name + LOG_SUFFIX)
    return source.with_name(source.stem + LOG_SUFFIX)


def predictions(solution: Solution, angle_rest: float | None = None) -> dict[str, float]:
    """What the job predicts for everything that can be measured, and the offset and rest it was computed with, mm.

    With another `angle_rest` (its shims included) than the job's, the gap of the first dry fit is the one that gives.
    """
    joint, gap = solution.joint, solution.neck_set.saddle_gap
    shy, cradle = gap, solution.cradle
    if angle_rest is not None:
        angle = cradle.angle_with(angle_rest - cradle.angle_rest_in_use)
        shy = gap_of_angle(solution.neck_set, angle + solution.neck_set.end_face_tilt)
    return {
        Measured.MORTISE_WIDTH.value: joint.mortise_width,
        Measured.MORTISE_LENGTH.value: joint.mortise_length,
        Measured.MORTISE_DEPTH.value: joint.mortise_depth,
        Measured.TENON_WIDTH.value: joint.tenon_width,
        Measured.TENON_LENGTH.value: joint.tenon_length,
        Measured.GAP_SHY.value: shy,
        Measured.GAP_FINAL.value: gap,
        Measured.SIDEWAYS.value: 0.0,
        OFFSET_KEY: solution.routing.edge_offset,
        REST_KEY: cradle.angle_rest_in_use,
    }


def append_build(path: Path, build: Build) -> None:
    """Add one build to the log at `path`, made new when missing; of two benches that write at once none loses a line.

    InputError for a reading so far from its prediction that it is a slip, or a log that is no TOML; OutputError when
    it cannot be written.
    """
    faults = [fault for what in Measured if (fault := _slip(build, what)) is not None]
    faults += [fault for key in ("label", "note") if (fault := _unfit(key, getattr(build, key))) is not None]
    faults += rest_faults(build.angle_rest)
    if faults:
        raise InputError(faults)
    values: dict[str, Value] = {"date": build.date}
    values |= {"label": build.label} if build.label else {}
    values |= {what.value: build.measured[what] for what in Measured if what in build.measured}
    values |= {REST_KEY: build.angle_rest} if build.angle_rest is not None else {}
    values |= {"fit": build.fit.value} if build.fit is not None else {}
    values |= {"note": build.note} if build.note else {}
    values["predicted"] = {key: round(value, 4) for key, value in build.predicted.items()}
    change_file(path, lambda text: append_table(text, "build", values, str(path)))


def _slip(build: Build, what: Measured) -> Fault | None:
    """What is wrong with a reading that cannot be of this joint."""
    error, most = build.error(what), _MOST_ERROR.get(what, MOST_SIZE_ERROR)
    if error is None or abs(error) <= most:
        return None
    option = "--" + what.value.replace("_", "-")
    found, wanted = build.measured[what], build.predicted[what.value]
    allowed = f"within {format_mm(most)} mm of the predicted {format_mm(wanted)} mm"
    return Fault("command line", option, f"{format_mm(found)} mm", allowed)


def _unfit(key: str, text: str) -> Fault | None:
    try:
        _REMARKS[key].read(text)
    except NotAllowed as error:
        return Fault("command line", f"--{key}", error.found, error.allowed)
    return None


def read_log(path: Path) -> tuple[Build, ...]:
    """The builds of a log in the order they stand; InputError with every fault in it."""
    raw = read_toml(path)
    faults: list[Fault] = []
    entries = raw.pop("build", [])
    faults += [Fault(str(path), key, "an unknown key", "[[build]] tables only") for key in raw]
    if not isinstance(entries, list):
        faults.append(Fault(str(path), "build", "something that is no list of tables", "[[build]]"))
        entries = []
    builds = [_build(str(path), f"build {i}", entry, faults) for i, entry in enumerate(entries, 1)]
    if faults:
        raise InputError(faults)
    return tuple(builds)


def _build(file: str, where: str, raw: Any, faults: list[Fault]) -> Build:
    kinds = {**_KINDS, **_REMARKS}
    values: dict[str, Any] = {"date": ""}
    predicted: dict[str, float] = {}
    entry = raw if isinstance(raw, dict) else {}
    for key, content in entry.items():
        try:
            if key == "predicted" and isinstance(content, dict):
                predicted = {name: _NUMBER.read(number) for name, number in content.items()}
            elif key in kinds:
                values[key] = kinds[key].read(str(content) if key == "date" else content)
            else:
                faults.append(Fault(file, f"{where}.{key}", "an unknown key", ", ".join([*kinds, "predicted"])))
        except NotAllowed as error:
            faults.append(Fault(file, f"{where}.{key}", error.found, error.allowed))
    if not values["date"]:
        faults.append(Fault(file, f"{where}.date", "nothing", 'a date such as "2024-05-31"'))
    measured = {what: values[what.value] for what in Measured if what.value in values}
    rest = {key: values[key] for key in (REST_KEY, "fit", "label", "note") if key in values}
    return Build(values["date"], MappingProxyType(measured), MappingProxyType(predicted), **rest)
