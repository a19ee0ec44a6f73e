"""A class table that nobody vouches for: no pipe is waited for, no count makes room for a thousand million cells."""

from __future__ import annotations

import io
import os
import random
import zipfile
from pathlib import Path

import pytest
from class_books import write_ods, write_xlsx

from generator.base.errors import InputError
from generator.classes.book import MOST_COLUMNS, MOST_ROWS, tame_book
from generator.classes.cells import read_rows, table_file

FUZZ = int(os.environ.get("HEELWRIGHT_FUZZ", "200"))
ROWS = [("student", "saddle_gap"), ("Ada", 2.9), ("Bo", 3.1)]
MILLIONS = 10**9


def changed(path: Path, part: str, old: str, new: str) -> None:
    """The book at `path` with `old` in one of its files exchanged for `new`."""
    with zipfile.ZipFile(path) as book:
        files = {name: book.read(name) for name in book.namelist()}
    assert old.encode() in files[part]
    files[part] = files[part].replace(old.encode(), new.encode(), 1)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as book:
        for name, data in files.items():
            book.writestr(name, data)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="a system without pipes in folders")
@pytest.mark.parametrize("suffix", [".csv", ".xlsx", ".ods"])
def test_a_table_is_a_regular_file(suffix: str, tmp_path: Path) -> None:
    """A pipe, an endless device behind a link and a folder are refused at once."""
    pipe, endless, folder = (tmp_path / f"{name}{suffix}" for name in ("pipe", "endless", "folder"))
    os.mkfifo(pipe)
    endless.symlink_to("/dev/zero")
    folder.mkdir()
    for path, words in ((pipe, "a named pipe"), (endless, "a device"), (folder, "a folder")):
        with pytest.raises(InputError, match=words):
            read_rows(table_file(path))


def test_a_table_has_a_largest_width(tmp_path: Path) -> None:
    """A million columns are a mistake in the choice of the file, told by their line."""
    path = tmp_path / "a.csv"
    path.write_text("," * MOST_COLUMNS + "\n", encoding="utf-8")
    with pytest.raises(InputError, match=f"{MOST_COLUMNS + 1} cells in line 1"):
        read_rows(table_file(path))
    path.write_text("a" + "," * 1_000_000 + "\n", encoding="utf-8")
    with pytest.raises(InputError, match="1000001 cells"):
        read_rows(table_file(path))
    path.write_text("a" + "," * (MOST_COLUMNS - 1) + "\n", encoding="utf-8")
    assert len(read_rows(table_file(path))[0].cells) == MOST_COLUMNS
    path.write_bytes(b"a" * 8_000_001)
    with pytest.raises(InputError, match="8000001 bytes"):
        read_rows(table_file(path))


@pytest.mark.parametrize("at", ["XFD1048576", "A1048576", "XFD1", "ZZZZ1", "A0", "A99999999", "a1", "1", ""])
def test_a_cell_far_away_is_refused(at: str, tmp_path: Path) -> None:
    """The last place of a sheet (common practice: XFD1048576) would make a table of 17,179,869,184 cells."""
    path = tmp_path / "a.xlsx"
    write_xlsx(path, ROWS)
    changed(path, "xl/worksheets/sheet1.xml", 'r="B3"', f'r="{at}"')
    with pytest.raises(InputError, match=r"a cell (in row|at)"):
        read_rows(table_file(path))


@pytest.mark.parametrize("word", ["table:number-columns-repeated", "table:number-rows-repeated"])
@pytest.mark.parametrize("count", [MILLIONS, 10**18, -5, "x"])
def test_a_cell_repeated_without_end_is_refused(word: str, count: object, tmp_path: Path) -> None:
    """OpenDocument repeats a cell or a row as often as it says (1.2 part 1, 9.1.3 and 9.1.4)."""
    path = tmp_path / "a.ods"
    write_ods(path, ROWS)
    element = "<table:table-cell " if "columns" in word else "<table:table-row"
    changed(path, "content.xml", element, f'{element} {word}="{count}" ')
    with pytest.raises(InputError, match=r"a cell in row|a count of"):
        read_rows(table_file(path))


def test_what_is_empty_may_reach_to_the_end_of_the_sheet(tmp_path: Path) -> None:
    """Spreadsheets fill a sheet up with empty cells and rows that only have a style: they count for nothing."""
    book, sheet = tmp_path / "a.ods", tmp_path / "a.xlsx"
    write_ods(book, ROWS)
    rest = '<table:table-cell table:number-columns-repeated="16382"/></table:table-row>'
    rows = f'<table:table-row table:number-rows-repeated="1048573">{rest}'
    changed(book, "content.xml", "</table:table-row>", rest)
    changed(book, "content.xml", "</table:table>", f"{rows}</table:table>")
    write_xlsx(sheet, ROWS)
    changed(
        sheet,
        "xl/worksheets/sheet1.xml",
        "</sheetData>",
        '<row r="1048576"><c r="XFD1048576" s="1"/></row></sheetData>',
    )
    for path in (book, sheet):
        assert [row.cells[:2] for row in read_rows(table_file(path))] == ROWS


@pytest.mark.parametrize("pad", ["<!DOCTYPE a [<!ENTITY b 'c'>]>", "\0", " " * 40_000_000])
@pytest.mark.parametrize("suffix", [".xlsx", ".ods"])
def test_a_bomb_is_not_unpacked(pad: str, suffix: str, tmp_path: Path) -> None:
    """Entities of its own, another encoding, and forty million blanks in as many thousand bytes."""
    path = tmp_path / f"a{suffix}"
    (write_xlsx if suffix == ".xlsx" else write_ods)(path, ROWS)
    part, at = ("xl/worksheets/sheet1.xml", "<worksheet") if suffix == ".xlsx" else ("content.xml", "<office:document")
    changed(path, part, at, pad + at)
    with pytest.raises(InputError, match=r"DOCTYPE|UTF-8|unpacks to more"):
        read_rows(table_file(path))


def test_only_what_was_read_is_handed_on(tmp_path: Path) -> None:
    """A zip that says of a file that it is shorter than it unpacks to is refused or cut; pictures are left out."""
    path = tmp_path / "a.ods"
    write_ods(path, ROWS)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as book:
        book.writestr("Pictures/a.png", b"0" * 40_000_000)
    with zipfile.ZipFile(io.BytesIO(tame_book(path.read_bytes()))) as tame:
        assert "content.xml" in tame.namelist()
        assert "Pictures/a.png" not in tame.namelist()
    assert len(read_rows(table_file(path))) == len(ROWS)


def test_a_cell_without_a_place_stands_behind_the_one_before(tmp_path: Path) -> None:
    """In row after row: 18.3.1.4 leaves the place out where it follows; the last row allowed is allowed."""
    path = tmp_path / "a.xlsx"
    for row, is_good in ((MOST_ROWS, True), (MOST_ROWS + 1, False)):
        write_xlsx(path, ROWS)
        changed(path, "xl/worksheets/sheet1.xml", '<row r="3"><c r="A3"', f'<row r="{row}"><c')
        changed(path, "xl/worksheets/sheet1.xml", '<c r="B3"', "<c")
        if is_good:
            assert read_rows(table_file(path))[-1].cells[:2] == ROWS[-1]
        else:
            with pytest.raises(InputError, match=f"row {row}, column 1"):
                read_rows(table_file(path))


@pytest.mark.parametrize(
    ("suffix", "part"),
    [(".xlsx", "xl/worksheets/sheet1.xml"), (".xlsx", "xl/workbook.xml"), (".ods", "content.xml")],
)
def test_a_damaged_book_is_read_or_refused(suffix: str, part: str, tmp_path: Path) -> None:
    """Runs of its XML lost, doubled or exchanged: rows, or a refusal; the reader never ends the program."""
    path = tmp_path / f"a{suffix}"
    (write_xlsx if suffix == ".xlsx" else write_ods)(path, ROWS)
    with zipfile.ZipFile(path) as book:
        files = {name: book.read(name) for name in book.namelist()}
    refused = 0
    for seed in range(FUZZ):
        lot = random.Random(seed)
        data = files[part]
        for _ in range(lot.randint(1, 3)):
            at = lot.randrange(len(data))
            end = at + lot.choice((1, 2, 20))
            data = data[:at] + lot.choice((b"", data[at:end] * 2, b"9" * 30, b"-1", b"nan", b"<", b'"')) + data[end:]
        with zipfile.ZipFile(path, "w") as book:
            for name, content in files.items():
                book.writestr(name, data if name == part else content)
        try:
            read_rows(table_file(path))
        except InputError:
            refused += 1
        except BaseException as error:
            raise AssertionError(f"seed {seed}") from error
    assert refused > 0
