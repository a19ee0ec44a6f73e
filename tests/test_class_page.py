"""A class on the bench page: told live from its logs, every student's bench view in it, and two benches at once."""

from __future__ import annotations

import asyncio
import re
import shutil
import subprocess
import sys
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import pytest
from class_of_twelve import read_text
from made_once import THOROUGH, store
from page_server import ROOT, served

from generator.base.toml_file import read_toml
from generator.classes.folder import class_state
from generator.classes.make import ClassMaking, make_class
from generator.classes.plan import check_rows, plan_class
from generator.job.load import load_job
from generator.joint.build_log import Build, append_build, predictions, read_log
from generator.joint.readings import Measured
from generator.joint.solution import solve
from generator.kit.crew import Crew
from generator.page.classview import ClassSite, class_application
from generator.page.form import form_of_tables

#: A process that needs longer, s, has failed for another reason.
_PATIENCE = 300
_TEXT = "student,saddle_gap\nAda <b>,2.9\nBo,3.1\n"


def _made(folder: Path) -> Path:
    """A class of two, documents only."""
    good, faults = check_rows(read_text(_TEXT, folder, "orchestra-14"))
    assert faults == []
    make_class(
        plan_class("spring", good), ClassMaking(folder / "spring", (), store=store()), Crew(), lambda *told: None
    )
    return folder / "spring"


@dataclass
class _Asked:
    """The class's page asked without a server, and the folder that holds the class."""

    folder: Path

    def __call__(self, path: str = "", body: object = None, **params: str) -> httpx.Response:
        async def ask() -> httpx.Response:
            transport = httpx.ASGITransport(class_application(ClassSite(self.folder / "spring")))
            async with httpx.AsyncClient(transport=transport, base_url="http://bench") as client:
                if body is None:
                    return await client.get(f"/{path}", params=params or None)
                return await client.post(f"/{path}", json=body)

        return asyncio.run(ask())


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The class as made, of which each test has a copy."""
    return _made(tmp_path_factory.mktemp("class"))


@pytest.fixture
def page(first: Path, tmp_path: Path) -> _Asked:
    shutil.copytree(first, tmp_path / "spring")
    return _Asked(tmp_path)


def _form(folder: Path, job: str) -> dict[str, Any]:
    path = folder / "spring" / "jobs" / f"{job}.toml"
    return form_of_tables(read_toml(path, path.name)).content()


def _mark(rows: str) -> str:
    found = re.search(r'data-mark="(\w+)"', rows)
    assert found
    return found[1]


def test_the_page_tells_what_status_tells(page: _Asked) -> None:
    """Every student with state and next step, the needy first, in the words of `class --status`; names are no HTML."""
    bo = solve(load_job(page.folder / "spring" / "jobs" / "bo.toml"))
    append_build(
        page.folder / "spring" / "jobs" / "bo.log.toml", Build("2024-05-27", {Measured.GAP_SHY: 7.5}, predictions(bo))
    )
    text = page().text
    state = class_state(page.folder / "spring")
    found = re.findall(
        r'<tr(?: class="held")?><th scope="row"><a href="students/([a-z-]+)/">(.*?)</a></th><td[^>]*>(.*?)</td>', text
    )
    assert found == [("bo", "Bo", "gap read, last pass to take"), ("ada-b", "Ada &lt;b&gt;", "nothing cut")]
    assert [job for job, *_ in found] == [one.job for one in state.benches]
    for one in state.benches:
        assert one.next_step in text
        assert one.attention in text
    assert "1 need the teacher" in text


def test_rows_come_anew_only_when_something_was_written(page: _Asked) -> None:
    """A page that has the newest rows gets none; an entry made at a student's own bench view shows at the next look."""
    rows = page("rows").text
    assert "nothing cut" in rows
    again = page("rows", mark=_mark(rows))
    assert (again.status_code, again.text) == (204, "")
    bench = page("students/bo/")
    assert bench.status_code == 200
    assert 'href="../../"' in bench.text
    assert page("students/bo/static/core.js").status_code == 200
    entry = {"date": "2024-05-27", "mortise_width": "20.02", "gap_shy": "3.4"}
    told = page("students/bo/log", {**_form(page.folder, "bo"), "entry": entry})
    assert told.status_code == 200, told.text
    assert told.json() == {"file": "bo.log.toml", "builds": 1}
    (build,) = read_log(page.folder / "spring" / "jobs" / "bo.log.toml")
    assert build.measured[Measured.GAP_SHY] == 3.4
    newer = page("rows", mark=_mark(rows))
    assert newer.status_code == 200
    assert "gap read, last pass to take" in newer.text
    assert not (page.folder / "spring" / "jobs" / "ada-b.log.toml").exists()


@pytest.mark.parametrize("job", ["nobody", "%2e%2e", "%2e%2e%2fclass.toml", "jig-1", "bo.toml", "bo.log"])
def test_only_the_classs_own_jobs_have_a_bench(page: _Asked, job: str) -> None:
    """A name that no student has is no file: nothing of the disk is reached by an address."""
    assert page(f"students/{job}/").status_code in (403, 404)


def test_a_bench_view_of_a_class_makes_no_kit(page: _Asked) -> None:
    """What a phone at the bench may ask is its sheet, the dry fit and the log."""
    for path in ("make", "save", "open", "model"):
        assert page(f"students/bo/{path}", _form(page.folder, "bo")).status_code in (404, 405)


def test_a_damaged_log_is_one_benchs_trouble(page: _Asked) -> None:
    """A log that cannot be read is told in its own row; the others stand; a record that is gone is told for all."""
    (page.folder / "spring" / "jobs" / "bo.log.toml").write_text("[[build]\n")
    rows = page("rows").text
    assert "log cannot be read" in rows
    assert "nothing cut" in rows
    (page.folder / "spring" / "class.toml").unlink()
    gone = page("rows")
    assert gone.status_code == 200
    assert "heelwright class made" in gone.text


def test_benches_that_write_at_once_lose_nothing(page: _Asked, tmp_path: Path) -> None:
    """Two processes of the command and the page's own server write one log at once: every entry stands, once."""
    job = tmp_path / "spring" / "jobs" / "bo.toml"
    count = 4 if THOROUGH else 2
    command = [sys.executable, "-m", "generator", "log", str(job), "--date", "2024-05-27", "--mortise-width", "20.01"]
    entry, form = {"date": "2024-05-27", "mortise_width": "20.02"}, _form(tmp_path, "bo")
    with served(tmp_path, "spring") as server:
        running = [
            subprocess.Popen([*command, "--label", f"{bench}-{n}"], cwd=ROOT, stdout=subprocess.DEVNULL)
            for n in range(count)
            for bench in ("one", "two")
        ]
        for n in range(count):
            told = httpx.post(
                server.url + "students/bo/log",
                json={**form, "entry": entry | {"label": f"page-{n}"}},
                timeout=_PATIENCE,
            )
            assert told.status_code == 200, told.text
        assert [process.wait(timeout=_PATIENCE) for process in running] == [0] * len(running)
    wanted = sorted(f"{bench}-{n}" for bench in ("one", "two", "page") for n in range(count))
    assert sorted(build.label for build in read_log(job.with_name("bo.log.toml"))) == wanted
    assert len(tomllib.loads(job.with_name("bo.log.toml").read_text())["build"]) == len(wanted)
    assert class_state(tmp_path / "spring").jigs[0].builds == len(wanted)
