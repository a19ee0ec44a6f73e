"""The bench page in a real browser: Debian's chromium, driven by playwright; skipped where there is none."""

from __future__ import annotations

import io
import json
import re
import tomllib
import zipfile
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote

import pdfplumber
import pytest
from made_once import write
from page_server import Served, served
from typer.testing import CliRunner

from generator.commands.cli import program
from generator.formats.setup_sheet import setup_content, setup_sheet_html
from generator.formats.svg.write import svg_text
from generator.jig.build import build_jig
from generator.jig.results import results_dict
from generator.job.keys import job_keys
from generator.job.load import load_job
from generator.job.model.joint import JointKind
from generator.joint.solution import solve
from generator.joint.stations import Use
from generator.kit.front_page import use_picture

CHROMIUM = Path("/usr/bin/chromium")
#: The form's first job, and the one student of a class: whole kits of it are in the run's store.
JOB = "orchestra-14"
playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no bench page tried")
pytestmark = pytest.mark.skipif(
    not CHROMIUM.exists(), reason=f"no {CHROMIUM}: the bench page is NOT tried in a browser"
)

#: Pages are painted by the processor, and WebGL alone by its stand-in for a graphics card, which costs more. Every name
#: but this computer's own leads nowhere, so a request to anywhere else fails and is seen.
_ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--use-angle=swiftshader-webgl",
    "--enable-unsafe-swiftshader",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
]
#: A user waits this long, ms; a test that needs longer has failed for another reason.
_PATIENCE = 400_000
#: A desk's window, px.
WIDE = {"width": 1400, "height": 1000}
#: A phone's window, px.
PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(tmp_path_factory.mktemp("bench"), JOB) as found:
        yield found


@pytest.fixture(scope="module")
def driver() -> Iterator[playwright.Playwright]:
    with playwright.sync_playwright() as found:
        yield found


@pytest.fixture(scope="module")
def browser(driver: playwright.Playwright) -> Iterator[playwright.Browser]:
    found = driver.chromium.launch(executable_path=str(CHROMIUM), args=_ARGUMENTS)
    yield found
    found.close()


@pytest.fixture
def page(browser: playwright.Browser, server: Served) -> Iterator[playwright.Page]:
    """A page of its own that has its first numbers; whatever it complains of, or asks elsewhere, fails the test."""
    context = browser.new_context(viewport=WIDE, accept_downloads=True)
    context.set_default_timeout(_PATIENCE)
    found = context.new_page()
    wrong: list[str] = []
    found.on("pageerror", lambda error: wrong.append(str(error)))
    found.on("request", lambda asked: wrong.append(asked.url) if not _own(asked.url, server) else None)
    found.goto(server.url)
    found.wait_for_selector("#pictures svg")
    yield found
    context.close()
    assert not wrong


def _own(url: str, server: Served) -> bool:
    return url.startswith((server.url, "blob:", "data:"))


def typed(page: playwright.Page, key: str, text: str) -> None:
    """Type over a field as a person does, and wait for what follows."""
    field = page.locator(f'[data-key="{key}"]')
    field.evaluate("field => field.closest('details')?.setAttribute('open', '')")
    field.click()
    field.press("Control+a")
    field.press_sequentially(text)
    settled(page)


def until(page: playwright.Page, expression: str) -> None:
    """Wait until JavaScript is true; asked from outside, because the page's policy lets no text become a program."""
    for _ in range(_PATIENCE // 100):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(100)
    raise AssertionError(expression)


def settled(page: playwright.Page) -> None:
    """Wait until the newest key has its answer."""
    until(page, "document.querySelector('#result').getAttribute('aria-busy') === 'false'")


def number(page: playwright.Page, name: str) -> str:
    return str(page.locator("#numbers tr", has_text=name).locator("td").inner_text())


def test_a_wrong_field_keeps_the_last_good_numbers_and_a_right_one_moves_them(page: playwright.Page) -> None:
    """A fault stands at its field while the last good result greys; each way of typing a length is taken."""
    key = "instrument.body_depth_at_neck"
    before = number(page, "Mortise, length")
    typed(page, key, "many furlongs")
    assert page.locator('[id="instrument-body_depth_at_neck-fault"]').is_visible()
    assert "stale" in page.locator("#result").get_attribute("class")
    assert number(page, "Mortise, length") == before
    for text, length, echo in (
        ("98,5", "82.50 mm", "3 7/8 in"),
        ('3 7/8"', "82.42 mm", "98.425 mm"),
        ("3⅞ in", "82.42", "98.4"),
    ):
        typed(page, key, text)
        assert number(page, "Mortise, length").startswith(length)
        assert echo in page.locator('[id="instrument-body_depth_at_neck-echo"]').inner_text()
    assert "stale" not in (page.locator("#result").get_attribute("class") or "")


def test_typing_keeps_focus_and_caret_and_the_way_back(page: playwright.Page) -> None:
    """Answers never move focus or caret; a changed field is marked, and its way back is the preset's own text."""
    typed(page, "instrument.heel_width", "62")
    field = page.locator('[data-key="instrument.heel_width"]')
    field.press("ArrowLeft")
    page.keyboard.type("1")
    settled(page)
    assert field.input_value() == "612"
    assert field.evaluate("field => document.activeElement === field && field.selectionStart") == 2
    entry = page.locator('[data-entry="instrument.heel_width"]')
    assert "changed" in entry.get_attribute("class")
    entry.locator(".back").click()
    settled(page)
    assert field.input_value() == "60"
    assert "changed" not in entry.get_attribute("class")


def test_zero_is_kept_and_an_emptied_field_is_asked_for(page: playwright.Page) -> None:
    """Zero is a value; nothing is a fault where a job needs something."""
    typed(page, "instrument.relief", "0")
    assert "changed" in page.locator('[data-entry="instrument.relief"]').get_attribute("class")
    assert not page.locator('[id="instrument-relief-fault"]').is_visible()
    page.locator('[data-key="instrument.heel_width"]').fill("")
    settled(page)
    assert "nothing" in page.locator('[id="instrument-heel_width-fault"]').inner_text()


def test_answers_out_of_order_leave_the_newest(page: playwright.Page) -> None:
    """The answer to an earlier key never takes the place of a later one's, however late it comes."""
    held = []

    def slow(route: playwright.Route) -> None:
        held.append(route)
        if len(held) > 1:
            route.continue_()

    page.route("**/numbers", slow)
    field = page.locator('[data-key="joint.mortise_depth"]')
    field.evaluate("field => field.closest('details').setAttribute('open', '')")
    field.fill("22")
    field.fill("23")
    field.fill("24")
    page.wait_for_timeout(200)
    held[0].continue_()
    until(page, "document.querySelector('#numbers').innerText.includes('24.00 mm')")
    settled(page)
    assert number(page, "Mortise, depth").startswith("24.00 mm")


def test_another_instrument_takes_its_own_and_leaves_what_was_typed(page: playwright.Page) -> None:
    """Picking an instrument moves the fields left alone; those typed into stay, and the numbers are solve's."""
    typed(page, "instrument.bridge_thickness", "8.5")
    page.locator('[data-key="instrument.preset"]').select_option("parlour-12")
    until(page, "document.querySelector('[data-key=\"instrument.body_fret\"]').value === '12'")
    settled(page)
    assert page.locator('[data-key="instrument.bridge_thickness"]').input_value() == "8.5"
    with page.expect_download() as download:
        page.click("#save")
    saved = Path(download.value.path()).read_text(encoding="utf-8")
    assert tomllib.loads(saved)["instrument"] == {"preset": "parlour-12", "bridge_thickness": 8.5}


def test_back_and_reload_keep_the_form(page: playwright.Page) -> None:
    """The address carries the form: a reload brings it again, and the back button what stood before a pick."""
    start = page.url
    typed(page, "instrument.bridge_thickness", "8.5")
    until(page, f"location.href !== {json.dumps(start)}")
    typed_at = page.url
    page.locator('[data-key="instrument.preset"]').select_option("parlour-12")
    until(page, f"location.href !== {json.dumps(typed_at)}")
    page.reload()
    until(page, "document.querySelector('[data-key=\"instrument.body_fret\"]').value === '12'")
    assert page.locator('[data-key="instrument.bridge_thickness"]').input_value() == "8.5"
    page.go_back()
    until(page, "document.querySelector('[data-key=\"instrument.body_fret\"]').value === '14'")
    assert page.locator('[data-key="instrument.bridge_thickness"]').input_value() == "8.5"


def test_focus_lights_the_dimension(page: playwright.Page) -> None:
    """The field in hand has its dimension lit in the pictures, and no other."""
    page.focus('[data-key="instrument.bridge_thickness"]')
    lit = page.eval_on_selector_all("#pictures .lit", "found => found.map(one => one.dataset.keys)")
    assert set(lit) == {"instrument.bridge_thickness"}


def test_focus_turns_to_the_pictures_of_its_field(page: playwright.Page) -> None:
    """A router's or the jig's field brings its own set of pictures; they can be picked by hand as well."""
    for key, set_ in {"router.reach": "router", "jig.rest_spacing": "jig", "instrument.heel_width": "guitar"}.items():
        page.locator(f'[data-key="{key}"]').evaluate("field => field.closest('details')?.setAttribute('open', '')")
        page.focus(f'[data-key="{key}"]')
        lit = page.eval_on_selector_all("#pictures .lit", "found => found.map(one => one.dataset.keys)")
        assert lit == [key]
        assert page.locator(f"input[name=set][value={set_}]").is_checked()
    page.check("input[name=set][value=jig]")
    assert page.locator("#pictures svg").count() == 2


def test_a_phone_sees_where_the_field_in_hand_is_measured(page: playwright.Page) -> None:
    """At 390 px the picture with the lit dimension stands at the top and covers neither the field nor its label."""
    page.set_viewport_size(PHONE)
    for key in ("instrument.bridge_thickness", "router.bushing_od"):
        page.locator(f'[data-key="{key}"]').evaluate("field => field.closest('details')?.setAttribute('open', '')")
        page.locator(f'[data-key="{key}"]').tap() if page.evaluate("'ontouchstart' in window") else page.focus(
            f'[data-key="{key}"]'
        )
        assert page.locator("#near .lit").first.get_attribute("data-keys") == key
        page.wait_for_timeout(100)
        low = page.locator("#near").bounding_box()
        entry = page.locator(f'[data-entry="{key}"]').bounding_box()
        assert entry["y"] >= low["y"] + low["height"]
        assert entry["y"] + entry["height"] <= PHONE["height"]
    page.locator('[data-key="router.kind"]').focus()
    assert not page.locator("#near").is_visible()


def test_results_dropped_give_their_form(page: playwright.Page, tmp_path: Path) -> None:
    """A kit's results.json, or a job file, becomes the form again, changed fields marked."""
    job = load_job("dreadnought-tilted")
    path = tmp_path / "results.json"
    path.write_text(json.dumps(results_dict(solve(job))), encoding="utf-8")
    page.set_input_files("#load", path)
    until(page, "document.querySelector('#job-title').textContent === 'dreadnought-tilted'")
    settled(page)
    gap = solve(job).neck_set.saddle_gap
    assert number(page, "Gap at the saddle").startswith(f"{gap:.2f} mm")
    assert page.locator(".entry.changed").count() > 0


def test_the_form_shows_the_keys_of_the_kind_chosen(page: playwright.Page) -> None:
    """Of every table: with a butt joint no size of a tenon, no tolerance of one and no tongue stand in the form."""
    own = [key.name for key in job_keys().values() if key.only == JointKind.MORTISE_TENON.value]
    assert {name.partition(".")[0] for name in own} == {"joint", "jig", "tolerances"}
    for kind in (JointKind.BUTT, JointKind.MORTISE_TENON):
        page.locator('[data-key="joint.kind"]').select_option(kind.value, force=True)
        settled(page)
        hidden = {name: page.locator(f'[data-entry="{name}"]').evaluate("line => line.hidden") for name in own}
        assert set(hidden.values()) == {kind is JointKind.BUTT}, hidden
        assert page.locator('[data-entry="joint.facing_depth"]').evaluate("line => line.hidden") is not (
            kind is JointKind.BUTT
        )
        assert page.locator('[data-entry="instrument.top.form"]').evaluate("line => line.hidden") is False


#: Share of inked pixels, number of colours, and a sum that another picture changes.
_INK = """() => {
    const gl = document.querySelector('#canvas').getContext('webgl2');
    const width = gl.drawingBufferWidth, height = gl.drawingBufferHeight, ink = new Uint8Array(4 * width * height);
    gl.readPixels(0, 0, width, height, gl.RGBA, gl.UNSIGNED_BYTE, ink);
    const colours = new Set();
    let inked = 0, sum = 7;
    for (let i = 0; i < ink.length; i += 4) {
        if (!ink[i + 3]) continue;
        const colour = ink[i] << 16 | ink[i + 1] << 8 | ink[i + 2];
        inked += 1;
        colours.add(colour);
        sum = (sum * 31 + colour + i) % 1000003;
    }
    return [inked / (width * height), colours.size, sum];
}"""


def test_three_dimensions_have_ink(page: playwright.Page) -> None:
    """The view shows the jig in both uses: over 2 % of its pixels and more than 100 colours; keys turn it."""
    page.click("#tab-3d")
    page.wait_for_selector("#parts input")
    until(page, f"({_INK})()[0] > 0.02")
    share, colours, neck = page.evaluate(_INK)
    assert share > 0.02
    assert colours > 100
    page.focus("#canvas")
    page.keyboard.press("ArrowLeft")
    until(page, f"({_INK})()[2] !== {neck}")
    page.check("input[name=use][value=body]")
    page.wait_for_selector('[data-part="body"]')
    page.click("#jig-alone")
    assert not page.locator('[data-part="body"]').is_checked()
    assert page.locator('[data-part="board"]').is_checked()


def test_the_bench_keeps_ticks_and_its_dry_fit_is_adjust(page: playwright.Page) -> None:
    """Ticks and boxes outlive a reload; a gap in a step's box gives what `adjust --json` prints."""
    page.click("#tab-bench")
    page.click("#steps-load")
    page.locator("[data-tick]").first.check()
    page.locator('[data-box="gap_shy"]').fill("3,4")
    page.wait_for_selector("#dry img")
    outcome = CliRunner().invoke(program("adjust"), ["adjust", "orchestra-14", "--gap", "3.4", "--json"])
    assert json.loads(page.locator("#dry").get_attribute("data-adjust")) == json.loads(outcome.stdout)
    page.reload()
    page.click("#tab-bench")
    page.click("#steps-load")
    page.wait_for_selector("[data-tick]")
    assert page.locator("[data-tick]").first.is_checked()
    assert page.locator('[data-box="gap_shy"]').input_value() == "3,4"


def test_finishing_on_a_phone_writes_the_log(browser: playwright.Browser, tmp_path: Path) -> None:
    """At 390 px by touch: a name, a reading in the sheet's box, finish; the log beside the job then holds the build."""
    with served(tmp_path) as own:
        context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
        context.set_default_timeout(_PATIENCE)
        page = context.new_page()
        page.goto(own.url)
        page.wait_for_selector("#pictures svg")
        page.fill('[data-key="job.name"]', "walnut-1")
        settled(page)
        page.tap("#tab-bench")
        page.tap("#steps-load")
        page.locator('[data-box="gap_final"]').fill("2,7")
        page.fill("#log-label", "No. 12")
        page.tap("#log")
        until(page, "document.querySelector('#logged').textContent !== ''")
        (build,) = tomllib.loads((tmp_path / "walnut-1.log.toml").read_text(encoding="utf-8"))["build"]
        assert (build["label"], build["gap_final"]) == ("No. 12", 2.7)
        assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
        context.close()


def test_from_this_guitar_fills_the_form(page: playwright.Page) -> None:
    """The guided form turns bar, bridge and wish into measured top and target, and says the gap that serves them."""
    page.locator("#guided summary").click()
    for name, text in {"join": "6", "saddle": "1", "bridge": "9", "projection": "3", "bass": "2.4"}.items():
        page.fill(f"#guided-{name}", text)
    page.fill("#guided-treble", "2")
    page.click("#guided-use")
    until(page, "document.querySelector('#guided-done').textContent !== ''")
    settled(page)
    assert page.locator('[data-key="instrument.top.zero_angle_gap"]').input_value() == "-5 mm"
    assert number(page, "Top's rise at the saddle").startswith("5.00 mm")
    assert page.locator("#player tr", has_text="Action").first.locator("td").inner_text().startswith("2.20 mm")
    assert number(page, "Gap at the saddle") in page.locator("#guided-done").inner_text()


def _wrong_table(folder: Path) -> Path:
    """A class with a row that is right, one that is wrong, and a heading that nothing knows."""
    path = folder / "class.csv"
    path.write_text(
        "student,instrument.preset,router.preset,body_depht\nAda,orchestra-14,metric-17,\nBo,orchestra-14,metrik-17,\n",
        encoding="utf-8",
    )
    return path


def test_a_phone_scrolls_down_only(page: playwright.Page, tmp_path: Path) -> None:
    """At 390 px every view fits its width, with every group unfolded."""
    page.set_viewport_size(PHONE)
    for tab in ("set", "3d", "make", "bench", "class"):
        page.click(f"#tab-{tab}")
        if tab == "bench":
            page.click("#steps-load")
            page.wait_for_selector("#steps section")
        if tab == "class":
            page.set_input_files("#load-table", _wrong_table(tmp_path))
            page.wait_for_selector("#class-plan .faults")
        page.eval_on_selector_all("details", "found => found.forEach(one => one.open = true)")
        settled(page)
        assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"], tab


#: The rules of axe-core that colours decide.
_COLOURS = ("color-contrast", "link-in-text-block")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(page: playwright.Page, scheme: str, tmp_path: Path) -> None:
    """No view breaks a rule of axe-core (names, contrast, structure, focus), all groups unfolded; in the dark, none of
    the two that colours decide.
    """
    axe = pytest.importorskip("axe_playwright_python", reason="axe-playwright-python is not installed")
    rules = (Path(axe.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
    page.emulate_media(color_scheme=scheme)
    page.evaluate(rules)
    page.eval_on_selector_all("details", "found => found.forEach(one => one.open = true)")
    views = {"set": "#drawing img", "3d": "#parts input", "make": "#make", "bench": "#steps section"}
    for tab, shows in {**views, "class": "#class-plan .faults"}.items():
        page.click(f"#tab-{tab}")
        if tab == "class":
            page.set_input_files("#load-table", _wrong_table(tmp_path))
            page.wait_for_selector("#class-plan .faults")
            page.check("#class-good")
            page.wait_for_selector("#class-make")
        if tab == "bench":
            page.click("#steps-load")
        page.wait_for_selector(shows)
        light = scheme == "light"
        found = page.evaluate("axe.run()" if light else f"axe.run({{ runOnly: {[*_COLOURS]} }})")
        assert len(found["passes"]) > (20 if light else 0)
        assert [(rule["id"], rule["nodes"][0]["html"]) for rule in found["violations"]] == [], tab


def test_the_zip_is_what_make_writes(page: playwright.Page, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the button gives is, byte for byte, the folder that `make` writes of the saved job; one can stop it."""
    typed(page, "instrument.heel_width", "61")  # not in the run's store, so that there is something to stop
    page.click("#tab-make")
    page.click("#make")
    until(page, "document.querySelector('#make-told').textContent.includes('writing')")
    until(page, "document.querySelector('#make-progress').value > 0")
    assert "% done" in page.locator("#make-left").inner_text()
    page.click("#make-cancel")
    until(page, "document.querySelector('#make-told').textContent.startsWith('Stopped')")
    # The ready job in a file of the user's own, so that most of its kit is in the store.
    text = f'schema = 2\n[job]\nname = "{JOB}"\n[instrument]\npreset = "orchestra-14"\n[target]\nsaddle_gap = 2.9\n'
    text += '[router]\npreset = "metric-17"\n[jig]\npreset = "plywood"\n'
    (tmp_path / f"{JOB}.toml").write_text(text, encoding="utf-8")
    page.set_input_files("#load", tmp_path / f"{JOB}.toml")
    until(page, "document.querySelector('[data-key=\"instrument.heel_width\"]').value === '60'")
    settled(page)
    page.click("#tab-make")
    page.click("#make")
    page.wait_for_selector("#zip")
    until(page, "[...document.querySelectorAll('#kit img')].filter((one) => one.naturalWidth > 300).length === 2")
    assert page.locator("#kit li", has_text="setup_sheet.pdf").get_by_role("button").count() == 2
    with page.expect_download() as download:
        page.click("#zip")
    monkeypatch.chdir(tmp_path)
    folder = write(load_job(f"{JOB}.toml"), Path()).folder  # a store changes no byte: test_store_kits
    with zipfile.ZipFile(io.BytesIO(Path(download.value.path()).read_bytes())) as archive:
        found = {name: archive.read(name) for name in archive.namelist()}
    made = {path.as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    assert sorted(found) == sorted(made)
    assert [name for name in made if made[name] != found[name]] == []


_DROPPED = """([name, text]) => {
    const files = new DataTransfer();
    files.items.add(new File([text], name));
    dispatchEvent(new DragEvent("drop", { dataTransfer: files, cancelable: true }));
}"""


def test_a_class_is_made_from_a_dropped_table(
    page: playwright.Page, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A table dropped anywhere shows its faults; the good row alone has a plan, and what the button gives is, byte for
    byte, what `heelwright class` writes; one can stop it."""
    text = "student,instrument.preset,router.preset,jig.preset,saddle_gap\n"
    text += f"{JOB},orchestra-14,metric-17,plywood,2.9\nBo,orchestra-14,metric-17,plywood,290\n"
    page.evaluate(_DROPPED, ["spring.csv", text])
    page.wait_for_selector("#class-plan .faults")
    assert page.locator("#class-plan td", has_text="290").count() == 1
    assert not page.locator("#class-make").is_visible()
    page.check("#class-good")
    page.wait_for_selector("#class-make")
    page.click("#class-make")
    until(page, "document.querySelector('#class-make-told').textContent.includes('hand-outs')")
    page.click("#class-make-cancel")
    until(page, "document.querySelector('#class-make-told').textContent.startsWith('Stopped')")
    page.click("#class-make")
    until(page, "document.querySelector('#class-make-progress').value > 0")
    assert "% done" in page.locator("#class-make-left").inner_text()
    page.wait_for_selector("#class-zip")
    assert "Bo" in page.locator("#class-make-faults").inner_text()
    with page.expect_download() as download:
        page.click("#class-zip")
    monkeypatch.chdir(tmp_path)
    Path("spring.csv").write_text(text, encoding="utf-8")
    outcome = CliRunner().invoke(program("class"), ["class", "spring.csv", "--good-only", "--workers", "1"])
    assert "290" in outcome.stderr
    with zipfile.ZipFile(io.BytesIO(Path(download.value.path()).read_bytes())) as archive:
        found = {name: archive.read(name) for name in archive.namelist()}
    made = {path.as_posix(): path.read_bytes() for path in Path("spring").rglob("*") if path.is_file()}
    assert sorted(found) == sorted(made)
    assert [name for name in made if made[name] != found[name]] == []


def test_printing_gives_the_setup_sheet(page: playwright.Page, tmp_path: Path) -> None:
    """Whatever is on the screen, paper gets the sheet of the form as it stands, with what was written into its boxes,
    as the sheet's own page prints it; a form that makes no sheet is printed itself."""

    def printed() -> str:
        page.pdf(path=tmp_path / "page.pdf", prefer_css_page_size=True)
        with pdfplumber.open(tmp_path / "page.pdf") as pdf:
            return " ".join(" ".join(part.extract_text() for part in pdf.pages).split())

    typed(page, "instrument.heel_width", "61")
    bare = printed()
    solution = solve(load_job("orchestra-14"))
    page.click("#tab-bench")
    page.click("#steps-load")
    page.locator('[data-box="gap_shy"]').fill("3,4")
    page.click("#tab-make")
    filled = printed()
    assert "Setup sheet orchestra-14" in bare
    assert "Begin with" not in bare + filled
    assert ("3,4" in bare, "3,4" in filled) == (False, True)
    for number in re.findall(r'class="number">(\d+)<', setup_sheet_html(setup_content(solution, build_jig(solution)))):
        assert re.search(rf"\b{number} [A-Z]", bare), number
    assert page.locator("#paper").count() == 0
    page.click("#tab-set")
    typed(page, "instrument.heel_width", "many")
    wrong = printed()
    assert "Setup sheet" not in wrong
    assert "a field is wrong" in wrong


def test_a_server_that_is_gone_is_said_and_the_text_stays(browser: playwright.Browser, tmp_path: Path) -> None:
    """When the server is killed the page says so and keeps what was typed; the form can still be kept as a file."""
    with served(tmp_path) as gone:
        page = browser.new_page()
        page.set_default_timeout(_PATIENCE)
        page.goto(gone.url)
        page.wait_for_selector("#pictures svg")
        gone.process.kill()
        gone.process.wait()
        field = page.locator('[data-key="instrument.heel_width"]')
        field.fill("61.5")
        page.wait_for_selector("#lost", state="visible")
        assert field.input_value() == "61.5"
        with page.expect_download() as download:
            page.click("#save-form")
        kept = json.loads(Path(download.value.path()).read_text(encoding="utf-8"))
        assert kept["fields"]["instrument.heel_width"] == "61.5"
        page.close()


def test_without_webgl_the_drawing_of_the_jig_stands_there(server: Served, driver: playwright.Playwright) -> None:
    """A browser without WebGL gets the picture of the kit's front page for either use, and a wrong field greys it."""
    plain = driver.chromium.launch(
        executable_path=str(CHROMIUM), args=["--no-sandbox", "--disable-gpu", "--disable-3d-apis"]
    )
    page = plain.new_page(viewport=WIDE)
    page.set_default_timeout(_PATIENCE)
    page.goto(server.url)
    page.wait_for_selector("#pictures svg")
    assert page.evaluate("document.createElement('canvas').getContext('webgl2')") is None
    page.click("#tab-3d")
    solution = solve(load_job("orchestra-14"))
    jig = build_jig(solution)
    for use in Use:
        page.check(f"input[name=use][value={use.value}]")
        until(page, f"document.querySelector('#flat img')?.alt.startsWith('The {use.value}')")
        until(page, "document.querySelector('#flat img').naturalWidth > 400")
        found = unquote(str(page.locator("#flat img").get_attribute("src")))
        assert found.partition(",")[2] == svg_text(use_picture(solution, jig, use))
    assert not page.locator("#canvas").is_visible()
    assert not page.locator("#apart").is_visible()
    page.evaluate("document.querySelector('[data-key=\"router.reach\"]').value = 'far'")
    page.evaluate(
        "document.querySelector('[data-key=\"router.reach\"]').dispatchEvent(new Event('input', {bubbles: true}))"
    )
    until(page, "document.querySelector('#flat').classList.contains('stale')")
    assert page.locator("#model-status").inner_text() != ""
    plain.close()
