"""What the bench wrote into the setup sheet's boxes: each box once, and the file that the page exports.

The file is TOML: `job`, `checksum` of the sheet, `unit` ("mm" or "in") of its lengths, `date`, `label`, `note`, a table
[boxes] with one line a box that was filled, and a table [done] with the ticks. Angles are degrees. In
`RecordSheet` every length is mm.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from types import MappingProxyType
from typing import Any

from generator.base.errors import Fault, InputError
from generator.base.plain_text import is_plain
from generator.base.toml_file import read_toml
from generator.base.units import inches
from generator.job.model.job import Job


class BoxKind(Enum):
    """What is written into a box: a length or an angle, or one of a few words."""

    LENGTH = "length"
    ANGLE = "angle"
    FIT = "fit"


@dataclass(frozen=True)
class RecordBox:
    """A box of the sheet: the key it is exported under, what stands beside it, what is written into it."""

    key: str
    name: str
    kind: BoxKind = BoxKind.LENGTH


#: Every box that a setup sheet can hold, in the order of the work.
BOXES: tuple[RecordBox, ...] = (
    RecordBox("stand_off", "stand-off"),
    RecordBox("stand_off_turned", "turned"),
    RecordBox("rest_gap", "at the rest"),
    RecordBox("teeth_miss", "miss"),
    RecordBox("scrap_mortise_width", "mortise"),
    RecordBox("scrap_tenon_width", "tenon"),
    RecordBox("opening_width", "opening"),
    RecordBox("tongue_width", "tongue"),
    RecordBox("end_face_hollow", "hollow"),
    RecordBox("end_face_tilt", "tilt", BoxKind.ANGLE),
    RecordBox("body_depth", "depth"),
    RecordBox("block_thickness", "thick"),
    RecordBox("slot_width", "slot"),
    RecordBox("heel_angle", "angle", BoxKind.ANGLE),
    RecordBox("heel_blank", "length"),
    RecordBox("mortise_width", "width"),
    RecordBox("mortise_length", "length"),
    RecordBox("mortise_depth", "depth"),
    RecordBox("tenon_width", "width"),
    RecordBox("tenon_length", "length"),
    RecordBox("fit", "fit", BoxKind.FIT),
    RecordBox("gap_shy", "gap"),
    RecordBox("sideways_shy", "miss"),
    RecordBox("shims_used", "shims in all"),
    RecordBox("gap_final", "gap"),
    RecordBox("sideways", "miss"),
    RecordBox("tenon_projection", "stands out"),
    RecordBox("clearance", "clearance"),
    RecordBox("action", "action"),
)
#: Words for the fit of the tenon in the mortise.
FITS = ("tight", "snug", "loose")
#: Every box by its key.
_BY_KEY: Mapping[str, RecordBox] = MappingProxyType({box.key: box for box in BOXES})
#: Unit that a record's lengths are in -> its length in mm.
_UNITS: Mapping[str, float] = MappingProxyType({"mm": 1.0, "in": inches(1)})
#: Keys of a record whose values are texts.
_TEXTS = ("job", "checksum", "date", "label", "note")
#: How the file is called that the page exports: the job's name, then this.
RECORD_SUFFIX = ".record.toml"
#: Letters of the checksum that a page's notes are kept under.
_CHECKSUM = 12
#: No length or angle of a joint is larger, mm or degrees.
_MOST = 1000.0


@dataclass(frozen=True)
class RecordSheet:
    """One instrument's filled sheet. Lengths mm, angles degrees, `fit` one of FITS or empty."""

    job: str
    checksum: str
    date: str
    label: str
    note: str
    measured: Mapping[str, float]
    fit: str
    done: tuple[str, ...]


def box(key: str) -> RecordBox:
    """The box of a key; KeyError for one that no sheet has."""
    return _BY_KEY[key]


def job_checksum(job: Job) -> str:
    """A name of the effective job: the same keys and values give the same one."""
    text = json.dumps(job.inputs, sort_keys=True, default=str)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:_CHECKSUM]


def read_record(path: Path) -> RecordSheet:
    """Read a file that the setup sheet's page exported; InputError lists every fault in it."""
    raw, file = read_toml(path), str(path)
    faults: list[Fault] = []
    texts = {key: _text(raw, key, file, faults) for key in _TEXTS}
    scale = _unit(raw, file, faults)
    measured, fit = _boxes(raw.get("boxes", {}), scale, file, faults)
    done = raw.get("done", {})
    known = {*_TEXTS, "unit", "boxes", "done"}
    faults += [Fault(file, key, "an unknown key", ", ".join(sorted(known))) for key in raw if key not in known]
    if not texts["job"] and not faults:
        faults.append(Fault(file, "job", "nothing", "the name of the job the sheet is of"))
    if not isinstance(done, dict):
        faults.append(Fault(file, "done", repr(done), "a table of ticks"))
        done = {}
    if faults:
        raise InputError(faults)
    ticks = tuple(key for key, value in done.items() if value is True)
    return RecordSheet(**texts, measured=MappingProxyType(measured), fit=fit, done=ticks)


def _text(raw: Mapping[str, Any], key: str, file: str, faults: list[Fault]) -> str:
    value = raw.get(key, "")
    if isinstance(value, str) and is_plain(value):
        return value
    faults.append(Fault(file, key, repr(value), "one line of text without control characters"))
    return ""


def _unit(raw: Mapping[str, Any], file: str, faults: list[Fault]) -> float:
    unit = raw.get("unit")
    if isinstance(unit, str) and unit in _UNITS:
        return _UNITS[unit]
    faults.append(Fault(file, "unit", repr(unit), ", ".join(f'"{name}"' for name in _UNITS)))
    return 1.0


def _boxes(raw: Any, scale: float, file: str, faults: list[Fault]) -> tuple[dict[str, float], str]:
    measured, fit = {}, ""
    if not isinstance(raw, dict):
        faults.append(Fault(file, "boxes", repr(raw), "a table of boxes"))
        return {}, ""
    for key, value in raw.items():
        where, known = f"boxes.{key}", _BY_KEY.get(key)
        if known is None:
            faults.append(Fault(file, where, "an unknown box", ", ".join(_BY_KEY)))
        elif known.kind is BoxKind.FIT:
            if value in FITS:
                fit = value
            else:
                faults.append(Fault(file, where, repr(value), ", ".join(f'"{word}"' for word in FITS)))
        elif isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= _MOST:
            faults.append(Fault(file, where, repr(value), f"a number from {-_MOST:g} to {_MOST:g}"))
        else:
            measured[key] = float(value) * (scale if known.kind is BoxKind.LENGTH else 1.0)
    return measured, fit
