"""A class table is read as it was meant, whatever program saved it, and every fault in it is told at once."""

from __future__ import annotations

import codecs
import datetime
from collections.abc import Callable
from pathlib import Path

import pytest
from class_books import write_ods, write_xlsx

from generator.base.errors import InputError
from generator.classes.cells import column_letter
from generator.classes.table import ClassTable, read_base, read_class, row_tables
from generator.classes.template import template_text
from generator.joint.solution import solve

_HEAD = ("student", "date", "instrument.preset", "scale_length", "saddle_gap")
_POINT = (("Ada", "2024-05-27", "orchestra-14", "645.2", "2.9"), ("Bo Ö", "", "dreadnought", "25.4 in", "3.1"))


def _lines(separator: str, rows: tuple[tuple[str, ...], ...], ends: str) -> str:
    return "".join(separator.join(row) + ends for row in rows)


def _comma(rows: tuple[tuple[str, ...], ...], quoted: bool) -> tuple[tuple[str, ...], ...]:
    """The same rows as a program of a country with decimal commas saves them."""
    changed = [[cell.replace(".", ",") if i > 2 else cell for i, cell in enumerate(row)] for row in rows]
    return tuple(tuple(f'"{cell}"' if quoted and "," in cell else cell for cell in row) for row in changed)


_DIALECTS: dict[str, bytes] = {
    "comma, no mark, line feeds": _lines(",", (_HEAD, *_POINT), "\n").encode(),
    "semicolon, mark, decimal comma": codecs.BOM_UTF8 + _lines(";", (_HEAD, *_comma(_POINT, False)), "\r\n").encode(),
    "tab, sixteen bits, decimal comma": _lines("\t", (_HEAD, *_comma(_POINT, False)), "\r\n").encode("utf-16"),
    "comma, quoted decimal comma": _lines(",", (_HEAD, *_comma(_POINT, True)), "\r\n").encode(),
    "a first line that names the separator": b"sep=;\r\n" + _lines(";", (_HEAD, *_POINT), "\r\n").encode(),
}


def _read(path: Path, base: str | None = "orchestra-14") -> ClassTable:
    return read_class(path, read_base(base, path))


def _assert_meant(table: ClassTable) -> None:
    assert table.faults == ()
    ada, bo = table.students
    assert (ada.name, ada.date, ada.job.name) == ("Ada", "2024-05-27", "ada")
    assert (bo.name, bo.date, bo.job.name) == ("Bo Ö", "", "bo-o")
    assert ada.job.instrument.scale_length == pytest.approx(645.2, abs=1e-12)
    assert bo.job.instrument.scale_length == pytest.approx(645.16, abs=1e-12)
    assert [one.job.target.saddle_gap for one in table.students] == [2.9, 3.1]


@pytest.mark.parametrize("name", _DIALECTS)
def test_every_dialect_of_csv_says_the_same(name: str, tmp_path: Path) -> None:
    """Comma, semicolon or tab, with or without a mark, decimal point or comma: the same jobs."""
    path = tmp_path / "class.csv"
    path.write_bytes(_DIALECTS[name])
    _assert_meant(_read(path))


@pytest.mark.parametrize(("suffix", "write"), [(".xlsx", write_xlsx), (".ods", write_ods)])
def test_a_book_says_what_the_text_says(suffix: str, write: Callable[..., None], tmp_path: Path) -> None:
    """Numbers, dates, texts and empty cells of XLSX and ODS come out as those of a CSV."""
    path = tmp_path / f"class{suffix}"
    ada = ("Ada", datetime.date(2024, 5, 27), "orchestra-14", 645.2, 2.9)
    write(path, [_HEAD, ada, (None, None, None, None, None), ("Bo Ö", None, "dreadnought", "25,4 in", 3.1)])
    _assert_meant(_read(path))


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        (datetime.date(2024, 7, 8), ("7/8 became 8 July", "write 7/8 in")),
        (datetime.date(2024, 3, 16), ("3/16 became 16 March", "write 3/16 in")),
        (datetime.date(2024, 4, 3), ("3/4 became 3 April", "write 3/4 in")),
        (datetime.date(2024, 5, 27), ("a date, 27 May", "7/8 in")),
    ],
)
def test_a_cell_that_became_a_date_says_so(cell: datetime.date, words: tuple[str, ...], tmp_path: Path) -> None:
    """A fraction that a spreadsheet took for a day is told with the fraction to write, in a book and in a CSV."""
    book, text = tmp_path / "class.xlsx", tmp_path / "class.csv"
    write_xlsx(book, [("student", "back_binding_height"), ("Ada", cell)])
    text.write_text(f"student,back_binding_height\nAda,{cell.day}-{cell:%b}\n")
    for path in (book, text):
        (fault,) = _read(path).faults
        assert fault.key == 'row 2, column B (instrument.back_binding_height), student "Ada"'
        assert words[0] in fault.found
        assert words[1] in fault.allowed


def test_all_faults_of_all_rows_are_told_at_once(tmp_path: Path) -> None:
    """Row, column, student, value and what is allowed, for each fault; the good rows stand beside them."""
    path = tmp_path / "class.csv"
    path.write_text(
        "student,body_depht,frets,router.preset,saddle_gap,body_fret\n"
        "Ada,98,twenty,metric-17,2.9,14\n"
        ",98,20,metric-17,2.9,14\n"
        "Cleo,98,20,metrik-17,290,14\n"
        "Ada,98,20,metric-17,2.9,22\n"
        "Dora,,20,metric-17,2.9,14\n",
        encoding="utf-8",
    )
    table = _read(path)
    assert [(fault.key, fault.found) for fault in table.faults] == [
        ("row 1, column B", 'the unknown heading "body_depht"'),
        ('row 2, column C (instrument.frets), student "Ada"', '"twenty"'),
        ("row 3, column A (student)", "nothing"),
        ('row 4, column E (target.saddle_gap), student "Cleo"', '"290"'),
        ('row 4, column D (router.preset), student "Cleo"', '"metrik-17"'),
        ('row 5, column F (instrument.body_fret), student "Ada"', '"22"'),
        ('row 5, column A (student), student "Ada"', '"Ada"'),
    ]
    assert "body_depth_at_neck" in table.faults[0].allowed
    assert "metric-17" in table.faults[4].allowed
    assert [one.name for one in table.students] == ["Dora"]


def test_rules_between_keys_are_told_by_their_row(tmp_path: Path) -> None:
    """Values that are allowed alone and not together name row and student too."""
    path = tmp_path / "class.csv"
    path.write_text("student,body_fret,frets\nAda,18,16\n", encoding="utf-8")
    table = _read(path)
    assert table.students == ()
    assert all(fault.key.startswith("row 2, column ") and '"Ada"' in fault.key for fault in table.faults)


@pytest.mark.parametrize(
    ("cells", "blamed", "word"),
    [
        (("2.5", "1,250"), [3], "most of its cells have a point"),
        (("2,5", "2,6", "2.9"), [4], "most of its cells have a comma"),
        (("2,5", "2.6", "2.9"), [2], "most of its cells have a point"),
    ],
)
def test_points_and_commas_in_one_table_are_not_guessed(
    cells: tuple[str, ...], blamed: list[int], word: str, tmp_path: Path
) -> None:
    """1,250 beside 2.5 may be either: the cells with the rarer sign are refused, never guessed."""
    path = tmp_path / "class.csv"
    rows = "".join(f"S{place};{cell}\n" for place, cell in enumerate(cells))
    path.write_text(f"student;saddle_gap\n{rows}", encoding="utf-8")
    faults = _read(path).faults
    wanted = [f'row {row}, column B (target.saddle_gap), student "S{row - 2}"' for row in blamed]
    assert [fault.key for fault in faults] == wanted
    assert all(word in fault.allowed for fault in faults)


@pytest.mark.parametrize(
    ("cell", "day"),
    [
        ("2024-05-27", "2024-05-27"),
        ("27.05.2024", "2024-05-27"),
        ("3. 6. 2024", "2024-06-03"),
        ("05/27/2024", "2024-05-27"),
        ("27/5/2024", "2024-05-27"),
        ("5/5/2024", "2024-05-05"),
    ],
)
def test_a_day_is_read_as_spreadsheets_write_it(cell: str, day: str, tmp_path: Path) -> None:
    """With points the day stands first; with slashes it is read where only one number can be the month."""
    path = tmp_path / "class.csv"
    path.write_text(f"student;date\nAda;{cell}\n", encoding="utf-8")
    table = _read(path)
    assert table.faults == ()
    assert [one.date for one in table.students] == [day]


@pytest.mark.parametrize(
    ("cell", "found", "allowed"),
    [
        ("5/6/2024", '"5/6/2024", which is 6 May or 5 June', '"2024-05-06" or "2024-06-05"'),
        ("31.2.2024", '"31.2.2024"', "year-month-day"),
        ("27.5.24", '"27.5.24"', "year-month-day"),
        ("Monday", '"Monday"', "year-month-day"),
        ("45439", '"45439"', "year-month-day"),
    ],
)
def test_a_day_that_may_be_two_is_refused(cell: str, found: str, allowed: str, tmp_path: Path) -> None:
    """A day that another country reads otherwise is told with both; what is no day is refused."""
    path = tmp_path / "class.csv"
    path.write_text(f"student;date\nAda;{cell}\n", encoding="utf-8")
    (fault,) = _read(path).faults
    assert fault.found == found
    assert allowed in fault.allowed


def test_a_missing_router_is_one_fault_a_row(tmp_path: Path) -> None:
    """Without a base job a row that names no router misses one thing, not every key of a router."""
    path = tmp_path / "class.csv"
    path.write_text("student,instrument.preset,saddle_gap\nAda,orchestra-14,2.9\n", encoding="utf-8")
    (fault,) = _read(path, None).faults
    assert fault.key == 'row 2, router.preset, student "Ada"'


def test_a_fault_of_the_base_job_is_the_base_jobs(tmp_path: Path) -> None:
    """What no row can mend is told once, of the base job."""
    base, path = tmp_path / "base.toml", tmp_path / "class.csv"
    base.write_text('schema = 2\n[instrument]\npreset = "orchestra-14"\nfrets = 99\n[router]\npreset = "metric-17"\n')
    path.write_text("student,saddle_gap\nAda,2.9\nBo,3.0\n", encoding="utf-8")
    assert [(fault.file, fault.key) for fault in _read(path, str(base)).faults] == [(str(base), "instrument.frets")]


def test_another_instrument_takes_nothing_of_the_bases_instrument() -> None:
    """A row's own preset sets the base's table of it aside, and a whole table comes from one place."""
    base = {
        "instrument": {"preset": "orchestra-14", "scale_length": 640},
        "target": {"saddle_gap": 3.0},
        "joint": {"mortise_length": 75},
    }
    same = row_tables(base, {"instrument.preset": "orchestra-14", "target.bridge_clearance": 0.8})
    other = row_tables(base, {"instrument.preset": "ukulele-tenor", "joint.mortise_depth": 18.0})
    assert same["instrument"] == {"preset": "orchestra-14", "scale_length": 640}
    assert same["target"] == {"bridge_clearance": 0.8}
    assert other["instrument"] == {"preset": "ukulele-tenor"}
    assert other["joint"] == {"mortise_length": 75, "mortise_depth": 18.0}
    assert base["instrument"]["preset"] == "orchestra-14"


def test_the_template_loads_as_it_stands(tmp_path: Path) -> None:
    """Three rows, no fault, no check that fails."""
    path = tmp_path / "class.csv"
    path.write_bytes(template_text().encode())
    table = _read(path, None)
    assert table.faults == ()
    assert [solve(one.job).failed for one in table.students] == [(), (), ()]


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("class.csv", b"student\n"),
        ("class.csv", b"student,saddle_gap\nM\xf6ller,2.9\n"),
        ("class.csv", b'student,saddle_gap\n"Ada,2.9\n'),
        ("class.csv", b""),
        ("class.xlsx", b"PK no book"),
        ("class.doc", b"student\nAda\n"),
    ],
)
def test_what_is_no_table_is_refused(name: str, data: bytes, tmp_path: Path) -> None:
    """A file without rows, in another encoding, cut short, or of another kind: refused by name."""
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(InputError, match="class"):
        _read(path)


def test_columns_are_called_as_a_spreadsheet_calls_them() -> None:
    """A to Z, then AA."""
    assert [column_letter(n) for n in (0, 25, 26, 51, 52, 701, 702)] == ["A", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]
