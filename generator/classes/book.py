"""A book of tables (XLSX, ODS) that nobody vouches for, made safe for a reader that trusts what a book says of itself.

Both are zips of XML. A few bytes can say that a cell stands in row 1,048,576 or is repeated a thousand million times,
or unpack to more than the memory holds; the reader of such books would make room for all of it and die. So the book is
unpacked within bounds, what its cells say of their places is judged, and only what was read is handed on. The places
are as ECMA-376-1 (18.3.1.4, 18.3.1.73) and OpenDocument 1.2 part 1 (9.1.3, 9.1.4) have them.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from typing import IO
from xml.parsers import expat

#: A table's cells stand in so many rows at most.
MOST_ROWS = 10_000
#: A table's cells stand in so many columns at most.
MOST_COLUMNS = 1_000
#: A book's XML unpacks to so many bytes at most.
_MOST_BYTES = 32_000_000
#: A book's XML stands in so many files at most.
_MOST_FILES = 1_000
#: A file of a book is unpacked in pieces of so many bytes.
_CHUNK = 65_536
#: What of a book says what is in its cells; pictures and the like are left out.
_SAYING = (".xml", ".rels", "mimetype")
#: Matches the beginning of a start tag of a table, row or cell, with or without a prefix; group 1 is the word.
_STARTS = re.compile(rb"<(?:[\w.-]+:)?(row|c|table|table-row|table-cell|covered-table-cell)(?=[\s/>])")
#: Matches the rest of a start tag: its attributes, and the slash of an element that is closed at once.
_REST = re.compile(rb"((?:\s+[\w:.-]+\s*=\s*(?:\"[^\"]*\"|'[^']*'))*)\s*(/?)>")
#: Matches one attribute: its name without prefix, its value in double or in single quotes.
_ATTRIBUTE = re.compile(rb"(?:[\w.-]+:)?([\w.-]+)\s*=\s*(?:\"([^\"]*)\"|'([^']*)')")
#: Matches a cell's place such as "AB12": letters of the column, number of the row.
_PLACE = re.compile(rb"\s*([A-Z]{1,3})([1-9][0-9]{0,6})\s*")
#: Matches a row's number or a count of repeated rows or cells.
_COUNT = re.compile(rb"\s*([0-9]{1,10})\s*")


def tame_book(data: bytes) -> bytes:
    """The book in `data` as a zip that holds no more than its own files say and was read here.

    ValueError saying what is wrong with it.
    """
    files = _unpacked(data)
    for name, content in files.items():
        _demand_plain_xml(name, content)
        _judge_places(content)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name), content)
    return out.getvalue()


def _unpacked(data: bytes) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    left = _MOST_BYTES
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = [entry for entry in archive.infolist() if entry.filename.lower().endswith(_SAYING)]
            if len(entries) > _MOST_FILES:
                raise ValueError(f"{len(entries)} files in the book, of which {_MOST_FILES} at most are read")
            for entry in entries:
                with archive.open(entry) as file:
                    files[entry.filename] = _bounded(file, left)
                left -= len(files[entry.filename])
    except (zipfile.BadZipFile, zlib.error, RuntimeError, NotImplementedError, EOFError, OSError) as error:
        raise ValueError(f"no book of tables: {error or 'it is cut short'}") from error
    return files


def _bounded(file: IO[bytes], most: int) -> bytes:
    found = bytearray()
    for chunk in iter(lambda: file.read(_CHUNK), b""):
        found += chunk
        if len(found) > most:
            raise ValueError(f"a book that unpacks to more than {_MOST_BYTES} bytes")
    return bytes(found)


def _demand_plain_xml(name: str, content: bytes) -> None:
    if b"\0" in content:
        raise ValueError(f"{name[:80]} is not in UTF-8")
    if b"<!DOCTYPE" in content or b"<!ENTITY" in content:
        raise ValueError(f"{name[:80]} has a DOCTYPE or entities of its own")
    if name.lower().endswith((".xml", ".rels")):  # of XML that is none the reader would look for the end without end
        try:
            expat.ParserCreate("utf-8").Parse(content, True)
        except expat.ExpatError as error:
            raise ValueError(f"{name[:80]} is no XML: {error}") from error


def _judge_places(content: bytes) -> None:
    """Raise ValueError where a cell that holds something stands, or says that it stands, beyond the bounds."""
    row = column = 0
    for word, attributes, empty in _elements(content):
        if word == b"table":
            row = 0
        elif word == b"row":
            row, column = _number(attributes.get(b"r"), row + 1), 0
        elif word == b"table-row":
            row, column = row + _number(attributes.get(b"number-rows-repeated"), 1), 0
        elif word == b"c":
            row, column = _place(attributes.get(b"r"), row, column + 1)
            _demand_near(row, column, empty)
        else:
            column += _number(attributes.get(b"number-columns-repeated"), 1)
            _demand_near(row, column, empty and not any(b"value" in key for key in attributes))


def _elements(content: bytes) -> Iterator[tuple[bytes, dict[bytes, bytes], bool]]:
    """Each row and cell in its order: the word, its attributes without prefixes, and whether it is closed at once."""
    for start in _STARTS.finditer(content):
        rest = _REST.match(content, start.end())
        if rest is None:
            raise ValueError("a row or cell that is no XML")
        pairs = {one[1]: one[2] if one[2] is not None else one[3] for one in _ATTRIBUTE.finditer(rest[1])}
        yield start[1], pairs, bool(rest[2])


def _number(text: bytes | None, usual: int) -> int:
    if text is None:
        return usual
    found = _COUNT.fullmatch(text)
    if found is None:
        raise ValueError(f"a count of {text[:20].decode('ascii', 'replace')} rows or columns")
    return int(found[1])


def _place(text: bytes | None, row: int, column: int) -> tuple[int, int]:
    if text is None:
        return row, column
    found = _PLACE.fullmatch(text)
    if found is None:
        raise ValueError(f"a cell at {text[:20].decode('ascii', 'replace')}, which is no place")
    letters = 0
    for letter in found[1]:
        letters = 26 * letters + letter - ord("A") + 1
    return int(found[2]), letters


def _demand_near(row: int, column: int, empty: bool) -> None:
    if not empty and (row > MOST_ROWS or column > MOST_COLUMNS):
        raise ValueError(
            f"a cell in row {row}, column {column}, of {MOST_ROWS} rows and {MOST_COLUMNS} columns at most"
        )
