"""The kinds of value a key of a job, preset or shop file can hold: how each is read, and what it allows.

A kind stands as metadata on a model's field. Pydantic reads through it, and so does the loader, key by key, so that
a job file, a preset and a constructor in code obey one rule.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any, ClassVar

from pydantic import BaseModel, ConfigDict, model_validator
from pydantic_core import CoreSchema, core_schema

from generator.base.plain_text import plain
from generator.base.units import UnitError, format_mm, parse_angle, parse_length
from generator.job.model.meaning import KeyGroup

#: The unit of a number that has none.
RATIO = "ratio"


class NotAllowed(ValueError):
    """A value its key does not allow: `found` as it stood in the file, `allowed` in words, `at` inside the key."""

    def __init__(self, found: str, allowed: str, at: str = "") -> None:
        self.found, self.allowed, self.at = found, allowed, at
        super().__init__(f"found {found}; allowed: {allowed}")


def shown(raw: object) -> str:
    """`raw` as it would stand in a TOML file, for an error text."""
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, str):
        return '"' + plain(raw.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")) + '"'
    if isinstance(raw, float):
        return repr(raw)
    if isinstance(raw, Enum):
        return shown(raw.value)
    if isinstance(raw, list | tuple):
        return "[" + ", ".join(shown(item) for item in raw) + "]"
    if isinstance(raw, dict):
        return "a table"
    return str(raw)


def toml_text(value: Any) -> str:
    """`value` as TOML writes it on one line."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {toml_text(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_text(item) for item in value) + "]"
    return shown(value)


class Model(BaseModel):
    """Base of every noun of a job: frozen, and a stranger key is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)

    #: The group of every key whose own meaning names no other.
    GROUP: ClassVar[KeyGroup]

    @classmethod
    def derived(cls, known: Mapping[str, Any]) -> dict[str, Any]:
        """Values that follow from other keys where they are left out; `known` may still hold values as written."""
        return {}

    @model_validator(mode="before")
    @classmethod
    def _fill_in(cls, raw: Any) -> Any:
        if not isinstance(raw, dict):
            return raw
        follows = cls.derived(raw)
        return follows | {key: value for key, value in raw.items() if value is not None or key not in follows}


@dataclass(frozen=True)
class FieldType:
    """How one key's value is read: `word` is a text that stands for None, `optional` lets a constructor pass None."""

    word: str | None = None
    optional: bool = False

    @property
    def allowed(self) -> str:
        """What the key allows, in words."""
        return f'{self._plain_allowed()}, or "{self.word}"' if self.word else self._plain_allowed()

    def read(self, raw: object) -> Any:
        """The value of `raw` (mm, degrees, enum member, ...); NotAllowed when the key does not allow it."""
        if self.word is not None and raw == self.word:
            return None
        if raw is None and (self.optional or self.word is not None):
            return None
        return self._read_plain(raw)

    def written(self, value: Any) -> Any:
        """`value` in the form a job file carries it: enum values as text, None as the kind's word."""
        return self.word if value is None else value

    def _plain_allowed(self) -> str:
        raise NotImplementedError

    def _read_plain(self, raw: object) -> Any:
        raise NotImplementedError

    def _refuse(self, raw: object, allowed: str | None = None) -> NotAllowed:
        return NotAllowed(shown(raw), allowed or self.allowed)

    def __get_pydantic_core_schema__(self, source: object, handler: object) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)


@dataclass(frozen=True)
class RangedType(FieldType):
    """A number of any kind between `low` and `high`: a length, an angle, a bare or a whole one, counted in `unit`."""

    low: float = 0.0
    high: float = 0.0
    unit: str = ""

    def _within(self, value: float, raw: object, sign: str) -> float:
        if self.low <= value <= self.high:
            return value
        found = shown(raw) if not isinstance(raw, str) else f"{shown(raw)} ({format_mm(value)}{sign})"
        raise NotAllowed(found, self.allowed)


@dataclass(frozen=True)
class LengthType(RangedType):
    """A length between `low` and `high` mm."""

    unit: str = "mm"

    def _plain_allowed(self) -> str:
        return f"{self.low:g} to {self.high:g} mm"

    def _read_plain(self, raw: object) -> float:
        try:
            value = parse_length(raw)
        except UnitError as error:
            raise self._refuse(raw, f"{self.allowed}: {error.allowed}") from None
        return self._within(value, raw, " mm")


@dataclass(frozen=True)
class AngleType(RangedType):
    """An angle between `low` and `high` degrees."""

    unit: str = "degrees"

    def _plain_allowed(self) -> str:
        return f"{self.low:g} to {self.high:g} degrees"

    def _read_plain(self, raw: object) -> float:
        try:
            value = parse_angle(raw)
        except UnitError as error:
            raise self._refuse(raw, f"{self.allowed}: {error.allowed}") from None
        return self._within(value, raw, "°")


def _plain_number(kind: FieldType, raw: object) -> float:
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not abs(raw) < 1e15:
        raise NotAllowed(shown(raw), kind.allowed)
    return float(raw)


@dataclass(frozen=True)
class NumberType(RangedType):
    """A bare number between `low` and `high`; its unit only names it."""

    def _plain_allowed(self) -> str:
        if self.unit == RATIO:
            return f"a number from {self.low:g} to {self.high:g}"
        return f"a number from {self.low:g} to {self.high:g} {self.unit}"

    def _read_plain(self, raw: object) -> float:
        return self._within(_plain_number(self, raw), raw, "")


@dataclass(frozen=True)
class WholeType(RangedType):
    """A whole number between `low` and `high`."""

    def _plain_allowed(self) -> str:
        return f"a whole number from {self.low:g} to {self.high:g}"

    def _read_plain(self, raw: object) -> int:
        value = _plain_number(self, raw)
        if not value.is_integer():
            raise self._refuse(raw)
        return int(self._within(value, raw, ""))


@dataclass(frozen=True)
class FlagType(FieldType):
    """true or false."""

    def _plain_allowed(self) -> str:
        return "true or false"

    def _read_plain(self, raw: object) -> bool:
        if not isinstance(raw, bool):
            raise self._refuse(raw)
        return raw


@dataclass(frozen=True)
class TextType(FieldType):
    """Text that matches `pattern` as a whole; `form` says so in words."""

    pattern: str = r".*"
    form: str = "text"

    def _plain_allowed(self) -> str:
        return self.form

    def _read_plain(self, raw: object) -> str:
        if not isinstance(raw, str) or not re.fullmatch(self.pattern, raw):
            raise self._refuse(raw)
        return raw


@dataclass(frozen=True)
class DateType(FieldType):
    """A day of the calendar, kept as ISO 8601 writes it: "2026-03-01"; TOML's own dates are read too."""

    def _plain_allowed(self) -> str:
        return 'a day of the calendar as year, month and day, such as "2026-03-01"'

    def _read_plain(self, raw: object) -> str:
        if isinstance(raw, datetime.date) and not isinstance(raw, datetime.datetime):
            return raw.isoformat()
        try:
            if isinstance(raw, str) and re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", raw):
                return datetime.date.fromisoformat(raw).isoformat()
        except ValueError:
            pass  # the 30th of February and its like
        raise self._refuse(raw)


@dataclass(frozen=True)
class ChoiceType(FieldType):
    """One member of an enum, written as its value."""

    choices: type[Enum] = Enum

    def _plain_allowed(self) -> str:
        return ", ".join(shown(choice.value) for choice in self.choices)

    def _read_plain(self, raw: object) -> Enum:
        if isinstance(raw, self.choices):
            return raw
        for choice in self.choices:
            if isinstance(raw, str) and choice.value == raw:
                return choice
        raise self._refuse(raw)

    def written(self, value: Any) -> Any:
        return value.value if isinstance(value, Enum) else super().written(value)


@dataclass(frozen=True)
class ListType(FieldType):
    """A list of `least` to `most` values of one kind; read as a tuple."""

    item: FieldType = FieldType()
    least: int = 1
    most: int = 1
    distinct: bool = False

    def _plain_allowed(self) -> str:
        count = f"{self.least}" if self.least == self.most else f"{self.least} to {self.most}"
        return f"a list of {count}{' different' if self.distinct else ''}, each {self.item.allowed}"

    def _read_plain(self, raw: object) -> tuple[Any, ...]:
        if isinstance(raw, str) or not isinstance(raw, Sequence) or not self.least <= len(raw) <= self.most:
            raise self._refuse(raw)
        values = tuple(self.item.read(item) for item in raw)
        if self.distinct and len(set(values)) != len(values):
            raise self._refuse(raw)
        return values

    def written(self, value: Any) -> Any:
        return super().written(value) if value is None else [self.item.written(item) for item in value]


def length(low: float, high: float, *, word: str | None = None, optional: bool = False) -> LengthType:
    """A length from `low` to `high` mm; `word` may stand in its place and reads as None."""
    return LengthType(word, optional, low, high)


def angle(low: float, high: float) -> AngleType:
    """An angle from `low` to `high` degrees."""
    return AngleType(None, False, low, high)


def number(low: float, high: float, unit: str) -> NumberType:
    """A bare number from `low` to `high`, in `unit`."""
    return NumberType(None, False, low, high, unit)


def whole(low: int, high: int, unit: str) -> WholeType:
    """A whole number from `low` to `high` of what `unit` names."""
    return WholeType(None, False, low, high, unit)


def choice(choices: type[Enum]) -> ChoiceType:
    """One of an enum's values."""
    return ChoiceType(None, False, choices)


def listed(item: FieldType, least: int, most: int, *, distinct: bool = False, word: str | None = None) -> ListType:
    """A list of `least` to `most` of `item`; `word` may stand in its place and reads as None."""
    return ListType(word, False, item, least, most, distinct)


#: Matches a device name that Windows keeps for itself.
_RESERVED = "con|prn|aux|nul|conin\\$|conout\\$|com[0-9]|lpt[0-9]"

#: A job's name is a folder's name on every system: no dots in a row, no device names, nothing a shell would read.
JOB_NAME = TextType(
    pattern=rf"(?!(?i:{_RESERVED})(?:\..*)?$)(?!.*\.\.)[A-Za-z0-9](?:[A-Za-z0-9._-]{{0,62}}[A-Za-z0-9_-])?",
    form=(
        "a folder name of up to 64 letters, digits, '-', '_' and single '.', starting with a letter or digit "
        'and free of device names such as "con" or "nul"'
    ),
)
#: A name that is safe as a folder, a file and a preset: lower-case words joined by hyphens.
PRESET_NAME = TextType(pattern=r"[a-z0-9]+(?:[-_.][a-z0-9]+)*", form='a preset\'s name, such as "orchestra-14"')
#: Name of a preset, or none.
PRESET = TextType(None, True, PRESET_NAME.pattern, PRESET_NAME.form)
#: True or false.
FLAG = FlagType()
#: A day of the calendar, or none.
DATE = DateType(None, True)
#: A revision fits its cell of a title block.
REVISION = TextType(
    None,
    True,
    r"[A-Za-z0-9](?:[A-Za-z0-9._-]{0,6}[A-Za-z0-9])?",
    'a letter, a number or both, up to 8 signs, such as "B" or "1.2"',
)
#: Signs of every alphabet and mark that both faces of the embedded font hold; combining ones cannot be placed.
PRINTED_SIGNS = "!-~¡-¬®-ɏΆ-ΊΌΎ-ΡΣ-ϿЀ-҂Ҋ-ӿ‐-‧‰-⁞€⅛-⅞−⌀"


def _printed(most: int) -> TextType:
    return TextType(
        pattern=rf"[{PRINTED_SIGNS}](?:[ {PRINTED_SIGNS}]{{0,{most - 1}}})",
        form=(
            f"one line of up to {most} Latin, Greek or Cyrillic letters (accents as part of their letter), digits and "
            "usual signs: what the printed font holds"
        ),
    )


#: Text that sheets print: so many of the widest letters fit the cells of every drawing and list.
PRINTED_TEXT = _printed(80)
#: A short text that sheets print: so many of the widest letters fit the cells of every drawing and list.
PRINTED_WORDS = _printed(32)
