"""A table file as rows of plain cells: CSV as three kinds of program write it, XLSX and ODS.

What a cell holds is not judged here; a text stays a text, a spreadsheet's number a number and its date a date.
"""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath

from generator.base.bounded_file import read_bounded
from generator.base.errors import Fault, InputError, OutputError
from generator.classes.book import MOST_COLUMNS, tame_book
from generator.job.model.field_types import shown

#: What a cell may hold; an empty one is an empty text.
Cell = str | float | int | bool | datetime.date
#: Endings of tables in plain text.
TEXT_SUFFIXES = (".csv", ".tsv", ".txt")
#: Endings of spreadsheet books.
BOOK_SUFFIXES = (".xlsx", ".ods")
#: Which files are read as a table, for errors.
ALLOWED = "a table: " + ", ".join((*TEXT_SUFFIXES, *BOOK_SUFFIXES))
#: Signs that may part the cells of a line of text.
_SEPARATORS = ",;\t"
#: A first line that some spreadsheets write, and read, to tell the separator.
_SEPARATOR_LINE = "sep="


@dataclass(frozen=True)
class TableFile:
    """A table as it was saved: the name that messages give it, whose ending says its kind, and its bytes."""

    name: str
    data: bytes


@dataclass(frozen=True)
class TableRow:
    """One row that is not blank: its number as the spreadsheet counts it, and its cells."""

    number: int
    cells: tuple[Cell, ...]

    def cell(self, column: int) -> Cell:
        """The cell of a column, empty past the row's end."""
        return self.cells[column] if column < len(self.cells) else ""


def table_file(path: Path) -> TableFile:
    """The table at `path`. InputError for a file that is none by its name, or cannot be read."""
    _demand_table(str(path))
    try:
        return TableFile(str(path), read_bounded(path, links=True))
    except OutputError as error:
        raise InputError([Fault(str(path), "", str(error), ALLOWED)]) from None


def read_rows(file: TableFile) -> tuple[TableRow, ...]:
    """The rows of the file's first sheet, blank ones left out. InputError for a file that is no table."""
    raw = _book_rows(file) if _demand_table(file.name) in BOOK_SUFFIXES else _text_rows(file)
    rows = [TableRow(number, tuple(_tidy(cell) for cell in cells)) for number, cells in raw]
    return tuple(row for row in rows if any(cell != "" for cell in row.cells))


def _demand_table(name: str) -> str:
    """The ending of a table's name. InputError for another."""
    suffix = PurePath(name).suffix.lower()
    if suffix not in (*BOOK_SUFFIXES, *TEXT_SUFFIXES):
        raise InputError([Fault(name, "", shown(PurePath(name).name), ALLOWED)])
    return suffix


def column_letter(column: int) -> str:
    """How spreadsheets call a column counted from 0: A, B, ... Z, AA."""
    letters = ""
    column += 1
    while column:
        column, digit = divmod(column - 1, 26)
        letters = chr(ord("A") + digit) + letters
    return letters


def _tidy(cell: Cell) -> Cell:
    """Texts without the blanks, hard ones too, that copying leaves round them; a moment as its day."""
    if isinstance(cell, str):
        return cell.replace("\u00a0", " ").strip()
    return cell.date() if isinstance(cell, datetime.datetime) else cell


# --- CSV -----------------------------------------------------------------------------------------------------------


def _text_rows(file: TableFile) -> list[tuple[int, Sequence[Cell]]]:
    text = _decoded(file)
    first = text.split("\n", 1)[0].strip()
    lead = 0
    if first.lower().startswith(_SEPARATOR_LINE) and len(first) == len(_SEPARATOR_LINE) + 1:
        separator, lead = first[-1], 1
        text = text.split("\n", 1)[1] if "\n" in text else ""
    else:
        separator = _separator(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows: list[tuple[int, Sequence[Cell]]] = []
    try:
        for number, cells in enumerate(reader, 1 + lead):
            if len(cells) > MOST_COLUMNS:
                found = f"{len(cells)} cells in line {reader.line_num + lead}"
                raise InputError([Fault(file.name, "", found, f"at most {MOST_COLUMNS}")])
            rows.append((number, cells))
    except csv.Error as error:
        where = f"line {reader.line_num + lead}"
        raise InputError([Fault(file.name, where, str(error), "a table whose quoted cells are closed")]) from None
    return rows


def _decoded(file: TableFile) -> str:
    """The file's text: UTF-8 with or without a byte order mark, or UTF-16 with one."""
    data = file.data
    code = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        text = data.decode(code)
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        wrong = f"a letter on line {line} that is not UTF-8"
        raise InputError([Fault(file.name, "", wrong, 'a table saved as "CSV UTF-8", or as XLSX or ODS')]) from None
    if "\0" in text:
        raise InputError([Fault(file.name, "", "a file that is no text", ALLOWED)])
    return text


def _separator(text: str) -> str:
    """The separator of the headings, which hold no other of the three outside of quotes."""
    heading = next((line for line in text.splitlines() if line.strip()), "")
    bare = "".join(part for i, part in enumerate(heading.split('"')) if i % 2 == 0)
    return max(_SEPARATORS, key=bare.count)


# --- XLSX and ODS --------------------------------------------------------------------------------------------------


def _book_rows(file: TableFile) -> list[tuple[int, Sequence[Cell]]]:
    from python_calamine import CalamineError, CalamineWorkbook

    try:
        with CalamineWorkbook.from_filelike(io.BytesIO(tame_book(file.data))) as book:
            sheet = book.get_sheet_by_index(0)
            found = sheet.to_python(skip_empty_area=False)
    except (CalamineError, OSError, IndexError, ValueError) as error:
        raise InputError([Fault(file.name, "", str(error) or "an unreadable file", ALLOWED)]) from None
    return [(number, [_plain(cell) for cell in cells]) for number, cells in enumerate(found, 1)]


def _plain(cell: object) -> Cell:
    if isinstance(cell, str | bool | int | float | datetime.date):
        return cell
    if isinstance(cell, datetime.timedelta | datetime.time):  # "1:30" typed into a cell
        return str(cell)
    return "" if cell is None else str(cell)
