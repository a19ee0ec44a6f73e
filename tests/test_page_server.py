"""The bench page's server: whom it answers, and that it says what the commands say."""

from __future__ import annotations

import asyncio
import errno
import json
import math
import os
import re
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import anyio
import httpx
import pytest
from page_server import ROOT, Served, served
from starlette.requests import Request
from typer.testing import CliRunner

from generator.base.errors import InputError
from generator.commands.cli import program
from generator.jig.results import results_dict
from generator.job.keys import BOLTS, TARGET, TOP
from generator.job.load import job_from_tables, load_job
from generator.job.model.field_types import AngleType, LengthType
from generator.job.presets import PresetKind, list_presets
from generator.job.shop import Shop
from generator.job.tables import KEYS
from generator.joint.solution import solve
from generator.page.answers import at_once, saved_job
from generator.page.apart import told_apart
from generator.page.app import CLASS_FILES, PAGE_FILES, application
from generator.page.fields import all_fields
from generator.page.form import Form, Opened, form_of_results, form_of_tables, job_of, opened_form, tables_of
from generator.page.guard import Guard
from generator.page.handlers import _content
from generator.page.kit import make_kit_apart
from generator.page.site import Site
from generator.page.start import first_form

JOBS = [preset.name for preset in list_presets(PresetKind.JOBS)]


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One server for this module, begun with a ready job."""
    with served(tmp_path_factory.mktemp("bench"), "orchestra-14") as found:
        yield found


def command(*arguments: str) -> tuple[int, object]:
    """Exit status and JSON of a command."""
    outcome = CliRunner().invoke(program(arguments[0]), list(arguments))
    return outcome.exit_code, json.loads(outcome.stdout)


def form(**changed: str) -> dict[str, Any]:
    """The opened job's form with these keys (dots as two underscores) typed into it."""
    fields = dict(first_form("orchestra-14")[1].fields)
    return {"fields": fields | {key.replace("__", "."): text for key, text in changed.items()}, "kept": {}}


# --- who may ask ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "headers",
    [
        {"Host": "bench.example"},
        {"Host": "127.0.0.1:1"},
        {"Origin": "http://bench.example"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "cross-site"},
    ],
    ids=str,
)
def test_a_foreign_page_is_refused(server: Served, headers: dict[str, str]) -> None:
    """A Host that is not the server's, or an Origin that is not the page's, gets nothing, token or not."""
    assert httpx.get(server.url).status_code == 200
    assert httpx.get(server.url, headers=headers).status_code == 403
    assert httpx.post(server.url + "numbers", json=form(), headers=headers).status_code == 403


def test_without_the_token_nothing_answers(server: Served) -> None:
    """Every address begins with the run's token; one letter off is as good as none."""
    at = urlsplit(server.url)
    token = at.path.strip("/")
    assert len(token) >= 32
    for path in ("/", "/numbers", "/static/page.css", f"/{token[:-1]}/", f"/{token}x/", "/%2e%2e/"):
        assert httpx.get(f"{at.scheme}://{at.netloc}{path}").status_code == 403, path


def test_only_loopback_is_listened_at(server: Served) -> None:
    """The address is this computer's own, and the port is free for the same port at another of its addresses."""
    at = urlsplit(server.url)
    assert at.hostname == "127.0.0.1"
    with pytest.raises(httpx.ConnectError):
        httpx.get(f"http://127.0.0.2:{at.port}{at.path}")


@pytest.mark.parametrize(
    "path", ["static/../app.py", "static/%2e%2e/app.py", "static/app.py", "static/english.toml", "x"]
)
def test_no_request_names_a_file(server: Served, path: str) -> None:
    """What is served has a fixed name each; no other name is anything."""
    assert httpx.get(server.url + path).status_code in (403, 404)


def test_the_page_asks_nobody_else(server: Served) -> None:
    """Page, programs and styles hold no address, and the page's policy allows none but its own."""
    page = httpx.get(server.url)
    assert "default-src 'none'" in page.headers["content-security-policy"]
    names = re.findall(r'(?:src|href)="(static/[^"]+)"', page.text)
    assert names
    static = Path(__file__).parents[1] / "generator" / "page" / "static"
    assert {path.name for path in static.iterdir()} == {*PAGE_FILES, *CLASS_FILES}
    for path in static.iterdir():
        if path.name in PAGE_FILES:
            assert httpx.get(f"{server.url}static/{path.name}").text == path.read_text(encoding="utf-8")
        assert "://" not in path.read_text(encoding="utf-8").replace("http://www.w3.org", ""), path.name


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"[]",
        b'{"fields": 3}',
        b'{"fields": {"a": 1}}',
        b'{"fields": {}, "kept": 1}',
        b'{"a":' * 100_000,
        b"[" * 3_000_000,
        b'{"fields": {}, "fields": {}}',
        b'{"fields": {"job.name": "a\\ud800"}}',
        b'{"fields": {"' + b"a." * 1000 + b'a": "1"}}',
        b'{"fields": {}, "kept": NaN}',
        b'{"fields": {}, "kept": ' + b"9" * 5000 + b"}",
        b"\xff\xfe",
    ],
    ids=range(13),
)
def test_what_is_no_form_is_refused(server: Served, body: bytes) -> None:
    """A request that no page of ours sends is refused in words, never with a trace."""
    reply = httpx.post(server.url + "numbers", content=body)
    assert reply.status_code == 422
    assert reply.json()["errors"][0]["allowed"]


@pytest.mark.parametrize(
    "text",
    [
        "x = " + "[" * 5000,
        "x = " + "9" * 9000,
        "schema = 0x" + "f" * 5000,
        "a." * 2000 + "a = 1",
        '{"a":' * 5000,
        '{"job": "x", "inputs": {"instrument": {"scale_length": 3}}}',
        '{"job": "x", "inputs": {"instrument": 3}}',
        '{"fields": {"' + "a." * 1000 + 'a": "1"}}',
    ],
    ids=range(8),
)
def test_a_dropped_file_that_is_none_is_refused(text: str, server: Served) -> None:
    """Nested without end, numbers of thousands of digits, tables that are none: in words, and the server goes on."""
    reply = httpx.post(server.url + "open", json={"text": text})
    if reply.status_code == 200:  # what is no input of a job is left out
        assert reply.json()["fields"] == {"job.name": "x"}
    else:
        assert reply.status_code == 422
        assert len(reply.json()["errors"][0]["found"]) < 500
    assert httpx.get(server.url + "alive").text == "yes"


@pytest.mark.parametrize("length", ["4000001", "9" * 5000, "-1"])
def test_a_request_says_how_long_it_is(length: str) -> None:
    """What is too long, or says nothing of the kind, does not reach the page."""
    scope = {"type": "http", "path": "/t/", "headers": [(b"host", b"h"), (b"content-length", length.encode())]}
    refusal = Guard(application(Site(Opened(), Form({}))), "t", {"h"})._refusal(scope)
    assert refusal is not None
    assert refusal.status_code == 413


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (b"9" * 3_000_000, "too much at once"),
        (b'{"a": NaN}', "no number"),
        (b"[" * 3000, "in each other"),
        (b'{"a": 1, "a": 2}', "twice"),
        (b"[1]", "no form"),
        (b"\xff", "no form"),
    ],
    ids=range(6),
)
def test_what_a_request_holds_is_read_within_bounds(body: bytes, words: str) -> None:
    """Sent in pieces without a word of their length: refused by the first byte too much, or by what is no form."""
    sent = 0

    async def receive() -> dict[str, Any]:
        nonlocal sent
        sent += 1
        return {"type": "http.request", "body": body, "more_body": sent < 2}

    async def read() -> None:
        await _content(Request({"type": "http", "method": "POST", "headers": []}, receive))

    with pytest.raises(InputError, match=words):
        anyio.run(read)


def test_a_full_disk_is_told_on_the_page(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no folder can be made for the kit the page hears it as a fault, not the end of the answer."""

    def full(**_: str) -> str:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(tempfile, "mkdtemp", full)

    async def told() -> list[dict[str, Any] | bytes]:
        return [one async for one in told_apart(make_kit_apart, load_job("orchestra-14", Shop()))]

    (said,) = anyio.run(told)
    assert isinstance(said, dict)
    assert "the disk is full" in said["errors"][0]["found"]


# --- the same as the commands --------------------------------------------------------------------------------------


def test_numbers_are_those_of_solve(server: Served) -> None:
    """The page's results are the object that `solve --json` prints."""
    status, printed = command("solve", "orchestra-14", "--json")
    reply = httpx.post(server.url + "numbers", json=form())
    assert status == 0
    assert reply.json()["results"] == printed


def test_the_shop_file_named_is_the_one_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`bench --shop FILE` corrects as `solve --shop FILE` does, before a shop.toml that lies here; one that is not
    there is refused before anything is served."""
    (tmp_path / "other.toml").write_text("schema = 1\n[router.metric-17]\nedge_offset = 2.61\n", encoding="utf-8")
    (tmp_path / "shop.toml").write_text("schema = 1\n[router.metric-17]\nedge_offset = 2.4\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    _, printed = command("solve", "orchestra-14", "--shop", "other.toml", "--json")
    with served(tmp_path, "orchestra-14", "--shop", "other.toml") as found:
        told = httpx.post(found.url + "numbers", json=form()).json()
    assert told["results"] == printed
    assert told["results"]["inputs"]["router"]["edge_offset"] == {"value": 2.61, "source": "shop"}
    outcome = CliRunner().invoke(program("bench"), ["bench", "--no-browser", "--shop", "none.toml"])
    assert outcome.exit_code == 1
    assert "none.toml" in outcome.output


def test_faults_are_those_of_the_loader(server: Served) -> None:
    """Every fault comes at once with its key, what was found and what is allowed; the other fields keep their echo."""
    sent = form(instrument__heel_width="60 furlongs", instrument__frets="40", router__reach="")
    reply = httpx.post(server.url + "numbers", json=sent)
    told = reply.json()
    assert reply.status_code == 422
    assert {error["key"] for error in told["errors"]} == {"instrument.heel_width", "instrument.frets", "router.reach"}
    assert all(error["found"] and error["allowed"] for error in told["errors"])
    assert told["echo"]["instrument.scale_length"] == "645.16 mm"


@pytest.mark.parametrize(
    ("text", "mm"), [("2 3/8 in", 60.325), ("60,5", 60.5), ("60,5 mm", 60.5), ("2⅜ in", 60.325), ('2 3/8"', 60.325)]
)
def test_lengths_are_read_as_people_type_them(server: Served, text: str, mm: float) -> None:
    """Fractions, inches and decimal commas go into the same job (one inch is 25.4 mm)."""
    told = httpx.post(server.url + "numbers", json=form(instrument__heel_width=text)).json()
    assert told["results"]["inputs"]["instrument"]["heel_width"] == {"value": mm, "source": "job"}


def test_zero_is_a_value(server: Served) -> None:
    """Zero typed over a preset's 0.15 is zero, not a field that was left alone."""
    told = httpx.post(server.url + "numbers", json=form(instrument__relief="0")).json()
    assert told["base"]["instrument.relief"] == "0.15"
    assert told["results"]["inputs"]["instrument"]["relief"] == {"value": 0.0, "source": "job"}


def test_dry_fit_is_adjust(server: Served) -> None:
    """The dry-fit panel is told what `adjust --json` prints, at either stage."""
    for stage in ("shy", "final"):
        arguments = ("orchestra-14", "--gap", "3,4 mm", "--sideways", "0.3", "--stage", stage, "--json")
        status, printed = command("adjust", *arguments)
        readings = {"gap": "3,4 mm", "sideways": "0.3", "stage": stage, "rest": ""}
        reply = httpx.post(server.url + "adjust", json=form() | {"readings": readings})
        assert status == 0
        assert reply.json()["adjust"] == printed


def test_a_guitar_measured_with_a_bar_is_the_dome_it_is(server: Served) -> None:
    """A bar 1 mm over the saddle of a known dome stands its rise higher over the join; the set comes out the same."""
    sent = form(instrument__neck_rise="0.4", target__saddle_gap="2.9")
    dome = httpx.post(server.url + "numbers", json=sent).json()["results"]["neck_set"]
    readings = {
        "join": f"{dome['top_rise_at_saddle_mm'] + 1.0}",
        "saddle": "1 mm",
        "bridge": "9.5",
        "projection": "1/8 in",
    }
    fields = httpx.post(server.url + "guided", json=sent | {"readings": readings}).json()
    top = {key: text for key, text in fields.items() if key.startswith("instrument.")}
    bar = httpx.post(server.url + "numbers", json={"fields": sent["fields"] | top}).json()["results"]["neck_set"]
    assert bar["set_angle_deg"] == pytest.approx(dome["set_angle_deg"], abs=1e-4)
    assert bar["string_height_at_saddle_mm"] == pytest.approx(9.5 + 25.4 / 8)


def test_the_view_for_the_phone_makes_and_opens_nothing() -> None:
    """At the phone's address there are steps, dry fit and log only, and the loopback's name is refused there."""
    opened, first = first_form("orchestra-14")
    app = Guard(application(Site(opened, first, bench_only=True)), "secret", ["192.0.2.7:8000"])

    async def asked(host: str, path: str, **body: object) -> int:
        transport = httpx.ASGITransport(app=app)
        async with httpx.AsyncClient(transport=transport, base_url=f"http://{host}") as client:
            return (await client.post(f"/secret/{path}", json=form() | body)).status_code

    readings = {"gap": "3.4", "stage": "shy"}
    assert asyncio.run(asked("192.0.2.7:8000", "adjust", readings=readings)) == 200
    assert asyncio.run(asked("127.0.0.1:8000", "adjust", readings=readings)) == 403
    for path in (
        "make",
        "save",
        "open",
        "model",
        "drawing",
        "still",
        "numbers",
        "guided",
        "class",
        "class/make",
        "phone",
    ):
        assert asyncio.run(asked("192.0.2.7:8000", path)) == 404, path


def test_a_phone_in_the_network_is_given_the_bench_alone(tmp_path: Path) -> None:
    """--lan warns first; at the machine's own address the bench view answers, and nothing else: no foreign Host or
    Origin, no token of the other address, no page of the desk."""
    with served(tmp_path, "--lan", "orchestra-14", typed="y\n") as found:
        if not found.url:
            pytest.skip("this machine is in no network: --lan is NOT tried")
        assert "without encryption" in found.warning
        at, desk = urlsplit(found.url), urlsplit(found.further)
        assert at.hostname != "127.0.0.1"
        assert desk.hostname == "127.0.0.1"
        with httpx.Client(trust_env=False) as phone:
            page = phone.get(found.url)
            assert page.status_code == 200
            assert 'id="dry-gap"' in page.text
            assert 'id="form"' not in page.text
            for name in ("Host", "Origin"):
                assert phone.get(found.url, headers={name: "http://bench.example"}).status_code == 403
            for path in ("/", desk.path):
                assert phone.get(f"http://{at.netloc}{path}").status_code == 403
            assert phone.get(f"http://{desk.netloc}{at.path}").status_code == 403
            for path in ("static/form.js", "class.csv", "make"):
                assert phone.get(found.url + path).status_code == 404
            assert phone.post(found.url + "numbers", json=form()).status_code == 404
            told = phone.post(found.url + "adjust", json=form() | {"readings": {"gap": "3.4", "stage": "shy"}})
            assert told.json()["advice"]


def test_the_code_for_the_phone_fills_its_place() -> None:
    """The picture of the address has a box of its own and no size, so that the page sizes it."""
    opened, first = first_form("orchestra-14")
    app = application(Site(opened, first, phone="http://192.0.2.7:8000/secret/"))

    async def asked() -> httpx.Response:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://bench") as client:
            return await client.post("/phone", json=form() | {"packed": "abc"})

    told = asyncio.run(asked()).json()
    assert told["address"] == "http://192.0.2.7:8000/secret/#abc"
    head = told["picture"].partition(">")[0]
    assert "viewBox" in head
    assert "width" not in head


def test_the_log_is_written_beside_the_job(server: Served) -> None:
    """Finishing writes a build into the job's log, and refuses a day that is none without touching it."""
    entry = {"date": "2024-02-30", "gap_final": "2.9", "fit": "snug"}
    log = server.folder / "orchestra-14.log.toml"
    assert httpx.post(server.url + "log", json=form() | {"entry": entry}).status_code == 422
    assert not log.exists()
    told = httpx.post(server.url + "log", json=form() | {"entry": entry | {"date": "2024-02-29"}}).json()
    assert told == {"file": log.name, "builds": 1}
    assert tomllib.loads(log.read_text(encoding="utf-8"))["build"][0]["gap_final"] == 2.9


# --- the form ------------------------------------------------------------------------------------------------------


def test_every_key_of_a_job_is_a_field() -> None:
    """The form has each key that a job file knows."""
    keys = {f"{table}.{key}" for table, kinds in KEYS.items() if table != "stock" for key in kinds}
    fields = set(all_fields())
    assert keys <= fields
    assert {key.rpartition(".")[0] for key in fields - keys} == {TOP, TARGET, BOLTS}


@pytest.mark.parametrize("name", JOBS)
def test_a_picture_shows_where_each_measurement_is_taken(name: str) -> None:
    """Each length and angle of guitar, target, joint, router and jig stands in a picture, given in the job or not.

    Of the top those of its form; no picture names another key.
    """
    opened, shown = first_form(name)
    told = at_once(shown, opened)
    form = told["results"]["inputs"]["instrument.top"]["form"]["value"]
    drawn = {key for picture in told["pictures"] for key in picture["keys"]}
    assert drawn <= set(all_fields())
    for key, field in all_fields().items():
        own = not field.only or key.startswith("target.") or field.only == form
        if isinstance(field.kind, LengthType | AngleType) and own and not key.startswith(("output", "tolerances")):
            assert key in drawn, key


def test_pictures_are_drawn_to_the_jobs_numbers() -> None:
    """What a dimension spans is the job's value: 17 mm over the bushing, 50 mm reach, 150 mm between the rests.

    The numbers are those of the ready job's own presets, read off the lines of the pictures.
    """
    opened, shown = first_form("orchestra-14")
    told = at_once(shown, opened)
    values = told["results"]["inputs"]
    for key in ("bushing_od", "bushing_id", "bushing_length", "bit_diameter", "cutting_length", "reach",
                "base_diameter", "shank_diameter", "collet_diameter", "max_step", "hold_back"):  # fmt: skip
        assert spanned(told, f"router.{key}") == pytest.approx(values["router"][key]["value"], abs=0.011), key
    for key in ("rest_spacing", "bench_gap", "bracket_foot", "rest_length", "caul_height", "margin_side", "margin_end",
                "nominal_shim"):  # fmt: skip
        assert spanned(told, f"jig.{key}") == pytest.approx(values["jig"][key]["value"], abs=0.011), key


def spanned(told: dict[str, Any], key: str) -> float:
    """Length of a dimension's line in the picture that has it, mm."""
    svg = next(picture["svg"] for picture in told["pictures"] if key in picture["keys"])
    line = re.search(rf'data-keys="(?:[^"]* )?{re.escape(key)}(?: [^"]*)?"><path d="M(\S+) (\S+)L(\S+) (\S+?)M', svg)
    assert line, key
    x0, y0, x1, y1 = (float(value) for value in line.groups())
    return math.hypot(x1 - x0, y1 - y0)


@pytest.mark.parametrize("name", JOBS)
def test_a_job_survives_the_form(name: str) -> None:
    """A ready job opened, shown and saved again is the same job: every value, every source."""
    opened, shown = first_form(name)
    job = load_job(name)
    assert job_of(shown, opened).inputs == job.inputs
    again = form_of_tables(tomllib.loads(saved_job(shown, Opened())))
    assert again.fields == shown.fields
    assert job_from_tables(tables_of(again)[0], Path(f"{name}.toml")).inputs == job.inputs


@pytest.mark.parametrize("name", JOBS)
def test_results_give_their_form_back(name: str) -> None:
    """A kit's results.json dropped on the page gives the form that made it: the same values, solved the same."""
    solution = solve(load_job(name))
    results = json.loads(json.dumps(results_dict(solution)))
    again = solve(job_of(form_of_results(results), Opened()))
    assert results_dict(again)["neck_set"] == results["neck_set"]
    assert results_dict(again)["inputs"] == results["inputs"]


@pytest.mark.parametrize("text", ["{", "schema = ", "{}", '{"job": "x", "inputs": 3}', "schema = 1\n"])
def test_other_files_are_refused(text: str) -> None:
    """A file that is no job and no results is refused in words."""
    with pytest.raises(InputError):
        opened_form(text)


def test_a_name_is_no_path() -> None:
    """No name of a job leads out of the working folder."""
    for name in ("../x", "/etc/passwd", "a/b", "..", ""):
        with pytest.raises(InputError) as caught:
            job_of(Form({**first_form(None)[1].fields, "job.name": name}), Opened())
        assert any(fault.key == "job.name" for fault in caught.value.faults), name


def test_the_page_stands_before_what_answers_it_is_loaded() -> None:
    """To give the page nothing is loaded that draws, nests, makes or writes: that follows while the browser begins."""
    program = (
        "import asyncio, sys\n"
        "from generator.page import app, serve\n"
        "from generator.page.site import Site\n"
        "from generator.page.start import first_form\n"
        "import httpx\n"
        "site = Site(*first_form('orchestra-14'))\n"
        "async def asked():\n"
        "    transport = httpx.ASGITransport(app.application(site))\n"
        "    async with httpx.AsyncClient(transport=transport, base_url='http://bench') as client:\n"
        "        return await client.get('/')\n"
        "assert 'id=\"form\"' in asyncio.run(asked()).text\n"
        "late = ('generator.page.handlers', 'generator.page.answers', 'generator.documents.setup.setup',"
        " 'generator.kit', 'generator.proof', 'svgwrite', 'numpy')\n"
        "print([name for name in late if name in sys.modules])\n"
        "app.warm_up(site)\n"
        "print([name for name in late[:3] if name not in sys.modules])\n"
    )
    run = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert run.stdout.split("\n")[:2] == ["[]", "[]"]


def test_the_page_loads_no_kernel() -> None:
    """Numbers, pictures, dry fit and the model in three dimensions come without the CAD kernel."""
    program = (
        "import sys\n"
        "from generator.joint.stations import Use\n"
        "from generator.page import answers, app, handlers, serve\n"
        "from generator.page.start import first_form\n"
        "opened, form = first_form('orchestra-14')\n"
        "assert answers.at_once(form, opened)['results'] and answers.model(form, opened, Use.BODY)\n"
        "assert answers.dry_fit(form, opened, {'gap': '3.4', 'stage': 'shy'})['advice']\n"
        "print([name for name in ('OCP', 'cadquery', 'ezdxf') if name in sys.modules])\n"
    )
    run = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


def test_a_job_with_the_old_name_of_the_neck_rise_opens_as_the_new() -> None:
    """A job file that says overstand fills the field of neck_rise and nothing else; with both, both are shown."""
    assert opened_form("[instrument]\noverstand = 0.3\n").fields == {"instrument.neck_rise": "0.3"}
    both = opened_form("[instrument]\noverstand = 0.3\nneck_rise = 0.4\n").fields
    assert both == {"instrument.overstand": "0.3", "instrument.neck_rise": "0.4"}
