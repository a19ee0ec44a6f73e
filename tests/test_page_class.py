"""A class from a table dropped on the page: read as the command reads it, every fault shown, no path taken from it."""

from __future__ import annotations

import asyncio
import base64
import html
import re
from pathlib import Path
from typing import Any

import httpx
import pytest
from class_books import write_ods, write_xlsx
from class_of_twelve import TWELVE, read_text

from generator.base.errors import InputError
from generator.classes.faults import RowFault
from generator.classes.plan import check_rows, plan_class
from generator.classes.summary import jig_lines
from generator.classes.table import read_base, read_class
from generator.classes.template import template_text
from generator.page.app import TEMPLATE, application
from generator.page.classmake import AskedClass, asked_class, class_page
from generator.page.form import Opened
from generator.page.site import Site
from generator.page.start import first_form
from generator.page.words import catalogue

_WORDS = catalogue()["class_plan"]
_WRONG = (
    "student,body_depht,frets,router.preset,saddle_gap,instrument.preset,mortise_depth\n"
    "Ada <b>,98,twenty,metric-17,2.9,orchestra-14,\n"
    ",,20,metric-17,2.9,orchestra-14,\n"
    "Cleo,,20,metrik-17,290,orchestra-14,\n"
    "Dora,,20,metric-17,2.9,orchestra-14,\n"
    "Emil,,20,metric-17,2.9,orchestra-14,34\n"
)


def _asked(name: str, data: bytes, opened: Opened | None = None, job: str | None = None, **more: bool) -> AskedClass:
    """What the page would ask of this table, the form of `job` on it."""
    found, form = first_form(job)
    content: dict[str, Any] = {"table": {"name": name, "data": base64.b64encode(data).decode()}, **more}
    return asked_class(content, form, opened or found)


def _rows(page: str, table: str) -> list[list[str]]:
    """The cells of a table's rows, by a mark in its head."""
    body = page[page.index(table) :].partition("</table>")[0]
    lines = re.findall(r"<tr>(.*?)</tr>", body)[1:]
    return [[html.unescape(cell) for cell in re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", line)] for line in lines]


@pytest.mark.parametrize("suffix", [".csv", ".xlsx", ".ods"])
def test_a_dropped_table_is_what_the_command_reads(suffix: str, tmp_path: Path) -> None:
    """The same students, jobs and name of the class, whatever program saved the table; a folder in its name is none."""
    path = tmp_path / f"Spring class{suffix}"
    rows = [line.split(",") for line in template_text().splitlines()]
    if suffix == ".csv":
        path.write_text(template_text(), encoding="utf-8")
    else:
        {".xlsx": write_xlsx, ".ods": write_ods}[suffix](path, [[cell or None for cell in row] for row in rows])
    asked = _asked(f"C:\\desk\\../{path.name}", path.read_bytes())
    wanted = read_class(path, read_base(None, path))
    found = asked.read()
    assert wanted.faults == found.faults == ()
    assert (asked.name, asked.table.name) == ("spring-class", path.name)
    assert [(one.name, one.date, one.row, one.job.inputs) for one in found.students] == [
        (one.name, one.date, one.row, one.job.inputs) for one in wanted.students
    ]


def test_every_fault_of_every_row_stands_in_a_table(tmp_path: Path) -> None:
    """Row, where, student, what was found and what is allowed, for reading and checks alike; names are no HTML."""
    good, faults = check_rows(read_text(_WRONG, tmp_path))
    page = class_page(_asked("class.csv", _WRONG.encode()), _WORDS)
    shown = [[cell if cell != "–" else "" for cell in row] for row in _rows(page, "faults")]
    assert all(isinstance(fault, RowFault) for fault in faults)
    assert shown == [
        [str(fault.row), fault.place, fault.student, fault.found, fault.allowed]
        for fault in faults
        if isinstance(fault, RowFault)
    ]
    assert {row[0] for row in shown} == {"1", "2", "3", "4", "6"}
    assert "<b>," not in page
    assert f'data-good="{len(good)}"' in page
    assert "data-plan" not in page
    alone = class_page(_asked("class.csv", _WRONG.encode(), good_only=True), _WORDS)
    assert "data-plan" in alone
    assert [row[0] for row in _rows(alone, _WORDS["plan"])] == ["Dora"]


def test_the_plan_is_the_classs(tmp_path: Path) -> None:
    """Who shares a jig stands as the class's summary has it, and every student has a row."""
    good, _ = check_rows(read_text(TWELVE, tmp_path))
    page = html.unescape(class_page(_asked("class.csv", TWELVE.encode()), _WORDS))
    for line in jig_lines(plan_class("class", good)):
        assert f"<li>{line}</li>" in page
    assert [row[0] for row in _rows(page, _WORDS["plan"])] == [student.name for student, _ in good]


def test_the_form_supplies_what_a_row_leaves_out_when_asked(tmp_path: Path) -> None:
    """With the form as base the jobs are those of `--base`; without it a row that lacks a router says so."""
    data = b"student,saddle_gap\nAda,2.9\n"
    path = tmp_path / "class.csv"
    path.write_bytes(data)
    (wanted,) = read_class(path, read_base("orchestra-14", path)).students
    (found,) = _asked("class.csv", data, job="orchestra-14", base=True).read().students
    assert found.job.inputs == wanted.job.inputs
    bare = _asked("class.csv", data, job="orchestra-14").read()
    assert bare.students == ()
    assert any("router.preset" in fault.key for fault in bare.faults)


@pytest.mark.parametrize(
    "table",
    [
        None,
        "class.csv",
        {"name": "class.csv"},
        {"name": "class.csv", "data": "no base64!"},
        {"name": "a\nb.csv", "data": ""},
        {"name": "x" * 300, "data": ""},
    ],
)
def test_what_is_no_table_is_refused(table: object) -> None:
    """A request that no page of ours sends is refused in words."""
    opened, form = first_form(None)
    with pytest.raises(InputError, match="no table"):
        asked_class({"table": table}, form, opened)


@pytest.mark.parametrize("name", ["class.exe", "class", "class.xlsx"])
def test_a_file_that_is_no_table_is_told_on_the_page(name: str) -> None:
    """Another kind of file, or one that its ending belies, stands as a fault and there is nothing to make."""
    page = class_page(_asked(name, b"\x00\x01"), _WORDS)
    assert len(_rows(page, "faults")) == 1
    assert "data-plan" not in page


def test_the_table_to_start_from_can_be_had() -> None:
    """The page links the very table that `--template` writes."""

    async def asked(path: str) -> httpx.Response:
        transport = httpx.ASGITransport(application(Site(*first_form(None))))
        async with httpx.AsyncClient(transport=transport, base_url="http://bench") as client:
            return await client.get(f"/{path}")

    assert f'href="{TEMPLATE}" download' in asyncio.run(asked("")).text
    assert asyncio.run(asked(TEMPLATE)).content == template_text().encode()
