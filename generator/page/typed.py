"""Between what people type and what a job file carries: the same readers, and each value said in the other unit."""

from __future__ import annotations

import re
from typing import Any

from generator.base.units import bare_number, format_inches, format_mm, is_fraction, to_inches
from generator.job.model.field_types import (
    FieldType,
    FlagType,
    LengthType,
    ListType,
    NotAllowed,
    RangedType,
    shown,
)

#: What parts the items of a list: a semicolon, or a comma that no digit follows at once.
_PARTING = re.compile(r"\s*;\s*|\s*,\s+")
#: Matches a unit of inches or feet.
_INCH_TEXT = re.compile(r"in|ft|[\"″”]")
#: Below this (mm) a fraction of an inch says too little.
_FRACTIONS_FROM = 3.0


def typed_value(kind: FieldType, text: str) -> Any:
    """What a job file would carry for `text` typed into a field of this kind; what it cannot be stays text."""
    text = text.strip()
    if kind.word is not None and text == kind.word:
        return text
    if isinstance(kind, ListType):
        return [typed_value(kind.item, item) for item in _PARTING.split(text) if item]
    if isinstance(kind, FlagType):
        return {"true": True, "false": False}.get(text, text)
    if isinstance(kind, RangedType):
        value = bare_number(text)
        return int(value) if isinstance(value, float) and value.is_integer() else value
    return text


def text_of(raw: Any) -> str:
    """The text that stands in a field for a value as a job file carries it; nothing for a key that is left out."""
    if raw is None:
        return ""
    if isinstance(raw, str):
        return raw
    if isinstance(raw, float) and raw.is_integer() and abs(raw) < 1e15:
        return str(int(raw))
    if isinstance(raw, list | tuple):
        return "; ".join(text_of(item) for item in raw)
    return shown(raw)


def other_unit(kind: FieldType, text: str) -> str:
    """What `text` means, in inches where it was typed in millimetres, else in millimetres; empty for what is none."""
    try:
        value = kind.read(typed_value(kind, text))
    except NotAllowed:
        return ""
    if isinstance(kind, ListType) and isinstance(kind.item, LengthType) and value is not None:
        return ", ".join(_other(item, text) for item in value)
    if not isinstance(kind, LengthType) or value is None:
        return ""
    return _other(value, text)


def _other(mm: float, text: str) -> str:
    if _INCH_TEXT.search(text):
        return f"{format_mm(mm, 3).rstrip('0').rstrip('.')} mm"
    decimal = f"{to_inches(mm):.3f}".rstrip("0").rstrip(".")
    decimal = "0" if decimal == "-0" else decimal
    if abs(mm) < _FRACTIONS_FROM:
        return f"{decimal} in"
    fraction = format_inches(mm)
    return f"{fraction} ({decimal})" if is_fraction(mm) else f"{decimal} in, about {fraction}"
