"""The build log: what was measured on each instrument, kept in a file beside its job.

A log is a TOML file of [[build]] tables. Every entry also keeps what was predicted when it was written, so changing
the job later does not rewrite history. Lengths mm, angles degrees; an error is measured less predicted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from types import MappingProxyType
from typing import Any

from generator.base.errors import COMMAND_LINE, Fault, InputError
from generator.base.plain_text import WRITTEN
from generator.base.toml_file import parse_toml, read_toml
from generator.base.units import format_mm
from generator.job.argument import LOG_SUFFIX
from generator.job.model.field_types import FieldType, NotAllowed, TextType, choice, length
from generator.job.presets import shipped_folder
from generator.job.toml_edit import Value, append_table, change_file
from generator.joint.cradle import REST_RANGE
from generator.joint.readings import Measured
from generator.joint.shoulder import gap_of_angle, rest_faults
from generator.joint.solution import Solution


class DryFit(Enum):
    """How the tenon went into the mortise by hand."""

    TIGHT = "tight"
    SNUG = "snug"
    LOOSE = "loose"


#: The log's numbers by their keys.
_KINDS: Mapping[str, FieldType] = MappingProxyType(
    {**{what.value: what.kind for what in Measured}, "angle_rest": length(*REST_RANGE)}
)
#: What a label or a note may be, for errors.
_LINE = "one line of text without control characters"
#: Keys of a build that are no numbers, each to what it may hold.
_REMARKS: Mapping[str, FieldType] = MappingProxyType(
    {
        "date": TextType(pattern=r"\d{4}-\d{2}-\d{2}", form='a date such as "2024-05-31"'),
        "label": TextType(pattern=WRITTEN + "{0,80}", form=_LINE),
        "note": TextType(pattern=WRITTEN + "{0,200}", form=_LINE),
        "fit": choice(DryFit),
    }
)
#: A predicted value in a log, mm or degrees.
_NUMBER = length(-1000, 1000)
#: A size further off than this (mm, degrees) is a slip of the pen or of the unit.
MOST_SIZE_ERROR = 5.0
#: A gap further off than this (mm) is a slip of the pen or of the unit.
MOST_GAP_ERROR = 15.0
#: The readings that are judged as gaps are.
_MOST_ERROR: Mapping[Measured, float] = MappingProxyType(
    dict.fromkeys(
        (
            Measured.GAP_SHY,
            Measured.GAP_FINAL,
            Measured.SIDEWAYS_SHY,
            Measured.SIDEWAYS,
            Measured.CLEARANCE,
            Measured.ACTION,
        ),
        MOST_GAP_ERROR,
    )
)
#: The log's key of the edge offset.
OFFSET_KEY = "edge_offset"
#: The log's key of the angle rest.
REST_KEY = "angle_rest"


@dataclass(frozen=True)
class Build:
    """One instrument: its date, what was measured (by Measured), what had been predicted, the fit, label, note.

    `predicted` also holds the edge offset and the angle rest, its shims included, that the jig had been made for;
    `angle_rest` is what really stood in the jig, where it was another.
    """

    date: str
    measured: Mapping[Measured, float]
    predicted: Mapping[str, float]
    angle_rest: float | None = None
    fit: DryFit | None = None
    label: str = ""
    note: str = ""

    def error(self, what: Measured) -> float | None:
        """Measured less predicted, mm or degrees; None when one of them is missing."""
        found, wanted = self.measured.get(what), self.predicted.get(what.value)
        return None if found is None or wanted is None else found - wanted


def log_file(source: Path | None, name: str) -> Path:
    """Where a job's log stands: beside the job file; for a ready job in the working folder."""
    if source is None or source.resolve().is_relative_to(shipped_folder()):
        return Path(name + LOG_SUFFIX)
    return source.with_name(source.stem + LOG_SUFFIX)


def predictions(solution: Solution, angle_rest: float | None = None) -> dict[str, float]:
    """What the job predicts for each reading that it wants a size of, and the offset and rest it was computed with.

    Nothing is predicted for the gap at the narrow rest, the blank's length, the shims used, and for what this kind of
    joint does not have. With another `angle_rest` (its shims included) than the job's, the gap of the first dry fit is
    the one that gives. Lengths mm, angles degrees.
    """
    sizes, gap, instrument = vars(solution.joint), solution.neck_set.saddle_gap, solution.job.instrument
    shy, cradle, routing = gap, solution.cradle, solution.routing
    if angle_rest is not None:
        angle = cradle.angle_with(angle_rest - cradle.angle_rest_in_use)
        shy = gap_of_angle(solution.neck_set, angle + solution.neck_set.end_face_tilt)
    slot = instrument.truss_rod_slot_width
    found: dict[Measured, float | None] = {
        Measured.STAND_OFF: cradle.stand_off,
        Measured.STAND_OFF_TURNED: cradle.stand_off,
        Measured.TEETH_MISS: 0.0,
        Measured.SCRAP_MORTISE_WIDTH: sizes.get("mortise_width"),
        Measured.SCRAP_TENON_WIDTH: sizes.get("tenon_width"),
        Measured.OPENING_WIDTH: routing.opening_width or None,
        Measured.TONGUE_WIDTH: routing.tongue_width or None,
        Measured.END_FACE_HOLLOW: 0.0,
        Measured.END_FACE_TILT: instrument.end_face_tilt,
        Measured.BODY_DEPTH: instrument.body_depth_at_neck,
        Measured.BLOCK_THICKNESS: instrument.neck_block_thickness,
        Measured.SLOT_WIDTH: slot,
        Measured.HEEL_ANGLE: solution.neck_set.heel_angle,
        Measured.MORTISE_WIDTH: sizes.get("mortise_width"),
        Measured.MORTISE_LENGTH: sizes.get("mortise_length"),
        Measured.MORTISE_DEPTH: sizes.get("mortise_depth"),
        Measured.TENON_WIDTH: sizes.get("tenon_width"),
        Measured.TENON_LENGTH: sizes.get("tenon_length"),
        Measured.GAP_SHY: shy,
        Measured.SIDEWAYS_SHY: 0.0,
        Measured.GAP_FINAL: gap,
        Measured.SIDEWAYS: 0.0,
        Measured.TENON_PROJECTION: sizes.get("tenon_projection"),
        Measured.CLEARANCE: solution.neck_set.clearance_before_stringing,
        Measured.ACTION: solution.neck_set.action,
    }
    own = {OFFSET_KEY: routing.edge_offset, REST_KEY: cradle.angle_rest_in_use}
    return {what.value: value for what, value in found.items() if value is not None} | own


def append_build(path: Path, build: Build, record: Path | None = None) -> int | None:
    """Add one build to the log at `path`, made new when missing; of two benches that write at once none loses a line.

    What came in a `record` is added once: where the log holds the same day, words and readings already, nothing is
    written, and the number of that build, from 1, comes back; else None. InputError for a reading so far from its
    prediction that it is a slip, or a log that is no TOML; OutputError when it cannot be written. The faults name
    `record`, the file the readings stand in, where they came in one.
    """
    faults = [fault for what in Measured if (fault := _slip(build, what, record)) is not None]
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
    known: list[int] = []

    def added(text: str) -> str:
        known[:] = _alike(parse_toml(text, str(path)), values) if record is not None else []
        return text if known else append_table(text, "build", values, str(path))

    change_file(path, added)
    return known[0] if known else None


def _alike(log: Mapping[str, Any], values: Mapping[str, Value]) -> list[int]:
    """Numbers of the log's builds that say what `values` say; what was predicted does not count."""
    builds, said = log.get("build", []), _said(values)
    entries = enumerate(builds if isinstance(builds, list) else (), 1)
    return [n for n, entry in entries if isinstance(entry, dict) and _said(entry) == said]


def _said(entry: Mapping[str, Any]) -> dict[str, Any]:
    """A build's day, words and readings, these to the last figure that a log keeps."""
    own = {key: value for key, value in entry.items() if key != "predicted"}
    return {key: round(value, 6) if isinstance(value, float) else value for key, value in own.items()}


def _slip(build: Build, what: Measured, record: Path | None) -> Fault | None:
    """What is wrong with a reading that cannot be of this joint."""
    if what not in build.measured:
        return None
    found, unit, allowed = build.measured[what], "degrees" if what.is_angle else "mm", ""
    if what.of_tenon and what.value not in build.predicted:
        allowed = "no such reading: this kind of joint has no mortise and tenon"
    error, most = build.error(what), _MOST_ERROR.get(what, MOST_SIZE_ERROR)
    if error is not None and abs(error) > most:
        allowed = f"within {format_mm(most)} {unit} of the predicted {format_mm(build.predicted[what.value])} {unit}"
    try:
        what.kind.read(found)
    except NotAllowed as refused:
        allowed = allowed or refused.allowed
    return Fault(*_place(what.value, record), f"{format_mm(found)} {unit}", allowed) if allowed else None


def _place(key: str, record: Path | None) -> tuple[str, str]:
    """File and key of a reading for an error: the exported record's box, else the command's option."""
    return (COMMAND_LINE, "--" + key.replace("_", "-")) if record is None else (str(record), f"boxes.{key}")


def _unfit(key: str, text: str) -> Fault | None:
    try:
        _REMARKS[key].read(text)
    except NotAllowed as error:
        return Fault(COMMAND_LINE, f"--{key}", error.found, error.allowed)
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
