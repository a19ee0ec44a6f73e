"""One cell as the value of a key: decimal commas, whole numbers, lists, and what a spreadsheet made of a fraction."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Mapping

from generator.classes.cells import Cell
from generator.job.model.field_types import (
    FieldType,
    FlagType,
    ListType,
    NotAllowed,
    RangedType,
    shown,
)

#: Matches a number with a decimal point or none and without a unit.
_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)", re.ASCII)
#: A comma between digits, where it may be the decimal sign.
_COMMA = re.compile(r"\d,\d", re.ASCII)
#: A point between digits, where it may be the decimal sign.
_POINT = re.compile(r"\d\.\d", re.ASCII)
#: The months' English names.
_MONTHS = "January February March April May June July August September October November December".split()  # noqa: SIM905
#: The months' numbers by the first three letters of their names.
_SHORT = {month[:3].lower(): number for number, month in enumerate(_MONTHS, 1)}
#: Parts an inch is cut into.
_PARTS = (2, 4, 8, 16, 32, 64)
#: Dates as spreadsheets write them: 2024-05-31 with or without a time, 31.5.24, 5/31/24, 31-May, May-31.
_DATES = (
    re.compile(r"(?P<year>\d{4})-(?P<month>\d{1,2})-(?P<day>\d{1,2})(?:[ T].*)?", re.ASCII),
    re.compile(r"(?P<day>\d{1,2})\.(?P<month>\d{1,2})\.(?P<year>\d{2,4})", re.ASCII),
    re.compile(r"(?P<month>\d{1,2})/(?P<day>\d{1,2})/(?P<year>\d{2,4})", re.ASCII),
    re.compile(r"(?P<day>\d{1,2})[-. ]+(?P<word>[A-Za-z]{3,9})\.?", re.ASCII),
    re.compile(r"(?P<word>[A-Za-z]{3,9})[-. ]+(?P<day>\d{1,2})", re.ASCII),
)
#: Days that a table may name: 2024-05-31, 31.5.2024, and with slashes, where day or month may stand first.
_DAYS = (
    re.compile(r"(?P<year>\d{4})-(?P<month>\d{1,2})-(?P<day>\d{1,2})", re.ASCII),
    re.compile(r"(?P<day>\d{1,2})\.\s?(?P<month>\d{1,2})\.\s?(?P<year>\d{4})", re.ASCII),
    re.compile(r"(?P<first>\d{1,2})/(?P<second>\d{1,2})/(?P<year>\d{4})", re.ASCII),
)


def is_counted(kind: FieldType | None) -> bool:
    """True for a key that holds a number, alone or in a list."""
    return isinstance(kind.item if isinstance(kind, ListType) else kind, RangedType)


def decimal_signs(cells: Iterable[Cell]) -> frozenset[str]:
    """The decimal signs that texts among cells of numbers use: "," or "." or both."""
    texts = [cell for cell in cells if isinstance(cell, str) and _date(cell) is None]
    signs = ((_COMMA, ","), (_POINT, "."))
    return frozenset(sign for pattern, sign in signs if any(pattern.search(text) for text in texts))


def read_value(cell: Cell, kind: FieldType) -> object:
    """What a job file would hold in place of `cell`. NotAllowed where the key does not allow it."""
    day = cell if isinstance(cell, datetime.date) else _date(cell) if isinstance(cell, str) else None
    if day is not None and is_counted(kind):
        raise NotAllowed(_made_of(day), f"{kind.allowed}{_write_instead(day)}")
    value = _listed(cell, kind) if isinstance(kind, ListType) else _single(cell, kind)
    kind.read(value)
    return value


def _listed(cell: Cell, kind: ListType) -> object:
    """A list's parts stand between semicolons, or alone."""
    if cell == kind.word:
        return cell
    parts = [part.strip() for part in cell.split(";")] if isinstance(cell, str) else [cell]
    return [_single(part, kind.item) for part in parts]


def _single(cell: Cell | str, kind: FieldType) -> object:
    if isinstance(cell, datetime.date):
        return cell.isoformat()
    if isinstance(kind, FlagType) and isinstance(cell, str) and cell.lower() in ("true", "false"):
        return cell.lower() == "true"
    if isinstance(cell, bool) or not isinstance(kind, RangedType):
        return cell
    return _number(cell) if isinstance(cell, str) else cell


def _number(text: str) -> object:
    """A number without a unit as such, else the text with its decimal point; more than one sign is left to refuse."""
    plain = text.replace("\u2212", "-")
    if "." not in plain and plain.count(",") == 1 and _COMMA.search(plain):
        plain = plain.replace(",", ".")
    return float(plain) if _NUMBER.fullmatch(plain) else plain


def _date(text: str) -> datetime.date | None:
    """The date that a text is, as spreadsheets write them; a day of the year counts without its year."""
    for pattern in _DATES:
        match = pattern.fullmatch(text)
        if match is None:
            continue
        found = match.groupdict()
        month = int(found.get("month") or _SHORT.get((found.get("word") or "")[:3].lower(), 0))
        year = int(found.get("year") or 2000)
        try:
            return datetime.date(year + 2000 if year < 100 else year, month, int(found["day"]))
        except ValueError:
            return None
    return None


def read_day(cell: Cell) -> datetime.date:
    """The day in a cell: a book's date, 2024-05-31, 31.5.2024, or with slashes where day and month cannot be mistaken.

    NotAllowed for any other, and for 5/6/2024, which is another day in another country.
    """
    if isinstance(cell, datetime.datetime):
        return cell.date()
    if isinstance(cell, datetime.date):
        return cell
    text = str(cell)
    for pattern in _DAYS:
        match = pattern.fullmatch(text)
        if match is not None:
            found = {key: int(value) for key, value in match.groupdict().items()}
            days = [one for one in (_day(found), _day(_turned(found))) if one is not None]
            if "first" in found and len(set(days)) > 1:
                both = " or ".join(f"{one.day} {_MONTHS[one.month - 1]}" for one in days)
                raise NotAllowed(f"{shown_cell(cell)}, which is {both}", f'the day as "{days[0]}" or "{days[1]}"')
            if days:
                return days[0]
    raise NotAllowed(shown_cell(cell), 'a day written year-month-day, such as "2024-05-31", or "31.5.2024"')


def _day(found: Mapping[str, int]) -> datetime.date | None:
    """The day of a match; of one with slashes the first number is the month."""
    try:
        month, day = found.get("month", found.get("first", 0)), found.get("day", found.get("second", 0))
        return datetime.date(found["year"], month, day)
    except ValueError:
        return None


def _turned(found: Mapping[str, int]) -> dict[str, int]:
    """A match with slashes read day first."""
    return (
        {"year": found["year"], "first": found["second"], "second": found["first"]} if "first" in found else {**found}
    )


def _fraction(day: datetime.date) -> str:
    """The fraction of an inch that a spreadsheet took for this day, month first or day first; "" for none."""
    pairs = ((day.month, day.day), (day.day, day.month))
    return next((f"{top}/{bottom}" for top, bottom in pairs if bottom in _PARTS and top < bottom), "")


def _made_of(day: datetime.date) -> str:
    fraction = _fraction(day)
    words = f"{day.day} {_MONTHS[day.month - 1]}"
    return f"a date: {fraction} became {words}" if fraction else f"a date, {words}"


def _write_instead(day: datetime.date) -> str:
    fraction = _fraction(day)
    return f"; write {fraction} in" if fraction else '; write a fraction with its unit, such as "7/8 in"'


def shown_cell(cell: Cell) -> str:
    """A cell for an error text."""
    return cell.isoformat() if isinstance(cell, datetime.date) else shown(cell)
