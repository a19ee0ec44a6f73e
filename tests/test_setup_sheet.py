"""The setup sheet: its PDF read back by another library says the numbers of results.json and nothing else.

Corrections are checked against vectors turned about the join and a bed turned about its pivot, with roots found by
bisection; nothing of the package's formulas is used for them.
"""

from __future__ import annotations

import json
import math
import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pdf_ink
import pypdfium2 as pdfium
import pytest
from shapely import LineString, Polygon

from generator.bench.setup import TEST_JOB
from generator.checks import Check, CheckStatus
from generator.drawing.sheet import Label, Stroke
from generator.drawing.style import Role
from generator.load import job_from_tables, load_job
from generator.model.job import Paper
from generator.parts.base import Jig
from generator.parts.jig import build_jig
from generator.presets import PresetKind, find_preset, list_presets
from generator.results import results_dict
from generator.solution import Solution, solve
from generator.writers.dxf import layer_colour
from generator.writers.setup_sheet import setup_content, setup_sheet_html, setup_sheet_pdf, write_setup_sheet
from generator.writers.setup_sheet.words import Content, inner_text

JOBS = [preset.name for preset in list_presets(PresetKind.JOBS)]
#: ISO 216 and ASME Y14.1 sizes in points; the large ones lie on their side.
SIZES = {
    Paper.A4: (595.276, 841.890),
    Paper.LETTER: (612.0, 792.0),
    Paper.A3: (1190.551, 841.890),
    Paper.TABLOID: (1224.0, 792.0),
}


@dataclass(frozen=True)
class Made:
    """One job's sheet, and the text of its PDF as pdfium reads it, page by page."""

    solution: Solution
    jig: Jig
    content: Content
    pdf: bytes
    pages: tuple[str, ...]
    results: dict[str, Any]

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.pages).split()).replace("−", "-")

    def after(self, words: str, count: int = 1) -> list[float]:
        """The first `count` numbers after `words`; those of an inch figure in brackets are passed over."""
        start = self.text.index(words) + len(words)
        metric = re.sub(r"\([^()]*\)", "", self.text[start : start + 400])
        return [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", metric)[:count]]


@cache
def made(job: str, paper: Paper | None = None) -> Made:
    solution = solve(load_job(job))
    jig = build_jig(solution)
    content = setup_content(solution, jig, paper)
    pdf = setup_sheet_pdf(content)
    document = pdfium.PdfDocument(pdf)
    pages = tuple(document[i].get_textpage().get_text_range() for i in range(len(document)))
    return Made(solution, jig, content, pdf, pages, json.loads(json.dumps(results_dict(solution, jig))))


METRIC = [name for name in JOBS if made(name).solution.job.output.units.value != "inch"]


# --- numbers -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", METRIC)
@pytest.mark.parametrize(
    ("words", "path"),
    [
        ("set block, neck", ("cradle", "set_block_mm")),
        ("set block, body", ("cradle", "body_block_mm")),
        ("depth of cut", ("cradle", "depth_block_mm")),
        ("join to saddle mark", ("neck_set", "join_to_saddle_mm")),
        ("gap wanted there", ("neck_set", "saddle_gap_mm")),
        ("heel angle", ("neck_set", "heel_angle_deg")),
        ("mortise width", ("joint", "mortise_width_mm")),
        ("mortise length", ("joint", "mortise_length_mm")),
        ("tenon width", ("joint", "tenon_width_mm")),
        ("tenon length", ("joint", "tenon_length_mm")),
        ("the blank runs", ("joint", "neck_blank_overlength_mm")),
        ("touches nothing; reach", ("router", "reach_needed_mm")),
        ("The template's edge stands", ("router", "edge_offset_mm")),
        ("Check the plate: mortise opening", ("router", "opening_width_mm")),
        ("Expect the first reading within", ("uncertainty", "gap_rss_mm")),
        ("at worst", ("uncertainty", "gap_worst_mm")),
        ("Strung: action", ("neck_set", "action_mm")),
    ],
)
def test_numbers_read_back_from_the_pdf_are_those_of_the_results(job: str, words: str, path: tuple[str, str]) -> None:
    """Every figure printed stands within half a hundredth of the model's."""
    table, key = path
    assert made(job).after(words)[0] == pytest.approx(made(job).results[table][key], abs=0.005 + 1e-9)


@pytest.mark.parametrize("job", METRIC)
@pytest.mark.parametrize("cut", ["mortise", "tenon"])
def test_pass_tables_are_those_of_the_results(job: str, cut: str) -> None:
    """The row of depths under "mortise pass" and "tenon pass" is the cumulative list, to the last place."""
    one = made(job)
    expected = one.results["router"]["passes"][cut]
    start = one.text.index(f"{cut} pass 1")
    row = one.text.index("depth from the work's face", start)
    metric = re.sub(r"\([^()]*\)", "", one.text[row : row + 400])
    found = [float(number) for number in re.findall(r"\d+(?:\.\d+)?", metric)[: len(expected)]]
    assert found == pytest.approx(expected, abs=0.005 + 1e-9)


def test_seven_passes_of_an_eighth_of_an_inch() -> None:
    """22.225 mm in steps of 3.175 mm is seven passes (arithmetic: 7/8 in by 1/8 in), the tenon's last held back."""
    context = made("orchestra-14").content.context
    assert [row.number for row in context.mortise_passes.rows] == [1, 2, 3, 4, 5, 6, 7]
    assert context.mortise_passes.rows[-1].depth == "22.225 (7/8)"
    assert [row.held_back for row in context.tenon_passes.rows] == [False] * 6 + [True]
    assert "7, after the dry fit" in made("orchestra-14").text


def test_a_hundred_passes_are_told_in_a_sentence() -> None:
    """Steps of 0.2 mm down to 22.225 less 3.175 held back are 96 passes of 0.198 mm (arithmetic), then the last."""
    one = made("orchestra-14").solution.job
    fine = one.model_copy(update={"router": one.router.model_copy(update={"max_step": 0.2})})
    solution = solve(fine)
    content = setup_content(solution, build_jig(solution), Paper.A4)
    assert content.context.tenon_passes.rows == ()
    document = pdfium.PdfDocument(setup_sheet_pdf(content))
    text = " ".join(" ".join(document[i].get_textpage().get_text_range() for i in range(len(document))).split())
    assert "Tenon passes: 96 equal ones of 0.2 mm (0.0078 in), down to 19.05 mm (3/4 in)" in text
    assert "after the dry fit one more to 22.225 mm (7/8 in)" in text


@pytest.mark.parametrize("job", METRIC)
def test_bolts_read_back_from_the_pdf(job: str) -> None:
    """Positions and holes of each bolt stand in its row."""
    one = made(job)
    start = one.text.index("10 Bolts")
    metric = re.sub(r"\([^()]*\)", "", one.text[start:])
    for n, bolt in enumerate(one.results["joint"]["bolts"], 1):
        keys = ("from_top_mm", "from_neck_plane_mm", "on_tenon_end_mm", "clearance_hole_mm", "pilot_hole_mm")
        wanted = [bolt[key] for key in keys]
        lengths = r" +".join([r"([\d.]+) mm"] * 3 + [r"⌀ ([\d.]+) mm"] * 2)
        row = re.search(rf"\b{n} {lengths}", metric)
        assert row, metric[:400]
        assert [float(text) for text in row.groups()] == pytest.approx(wanted, abs=0.005 + 1e-9)


def bent(job: str, **tables: dict[str, Any]) -> Content:
    """The sheet of a ready job with some keys moved."""
    raw = tomllib.loads(find_preset(PresetKind.JOBS, job).path.read_text(encoding="utf-8"))
    for table, keys in tables.items():
        raw.setdefault(table, {}).update(keys)
    solution = solve(job_from_tables(raw, Path("bent.toml")))
    return setup_content(solution, build_jig(solution), Paper.A4)


def test_the_sheet_says_how_far_the_guide_would_stray() -> None:
    """Laid by its flat end on the gluing face the guide marks projection·tan(angle) off: 21.025·tan 1.6654° = 0.61."""
    assert "not its flat end on the gluing face, which marks 0.61 mm" in made("orchestra-14").text
    assert not bent("scrap-test").context.bolts.guide_strays


def test_a_sawn_tenon_is_told_with_its_corners() -> None:
    """A bridged tongue's tenon is sawn before the dry fit, its corners eased to the mortise's less half the play.

    By hand: a mortise corner of 6.35 and 0.15 of side clearance leave a radius of 6.275 on the tenon.
    """
    sheet = bent("orchestra-14", jig={"bridged": True})
    joint = sheet.context.joint
    assert joint.sawn
    assert joint.corners_need_easing
    assert joint.tenon_corner.startswith("6.275 mm")
    sawn = inner_text(sheet.body)
    saw, ease, fit = (sawn.index(words) for words in ("Saw the tenon's back end", "sawn corners to a", "7 Dry fit"))
    assert saw < ease < fit
    assert "Saw the tenon's back end" not in made("orchestra-14").text


def test_end_clearance_counts_the_overstand() -> None:
    """A neck 0.5 mm proud takes its tenon up with it: 1 mm of end clearance becomes 1.5 (by hand, square end face)."""
    joint = bent("orchestra-14", instrument={"overstand": 0.5}).context.joint
    assert joint.end_left.startswith("1.5 mm")
    assert joint.end_is_off


def test_inch_sheets_carry_decimals_and_fractions() -> None:
    """On an inch job a depth of 7/8 in reads 0.875 in (7/8), and no bare millimetres stand in the facts."""
    facts = {fact.name: fact.value for fact in made("orchestra-left").content.context.facts}
    assert facts["depth of cut"] == "0.875 in (7/8)"
    assert facts["set block, neck"].startswith("0.8766 in (nearest 7/8; 22.27 mm")


# --- corrections ---------------------------------------------------------------------------------------------------


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function is zero, by bisection."""
    for _ in range(200):
        middle = (low + high) / 2.0
        low, high = (middle, high) if function(middle) < 0.0 else (low, middle)
    return (low + high) / 2.0


def _turn(x: float, y: float, angle: float) -> tuple[float, float]:
    return x * math.cos(angle) - y * math.sin(angle), x * math.sin(angle) + y * math.cos(angle)


@dataclass(frozen=True)
class Bench:
    """An instrument and a cradle by vectors: the neck plane turns about the join, the bed about its pivot."""

    s: float
    rise: float
    overstand: float
    tilt: float
    sine: float
    nose: float
    base: float
    heel: float

    def gap(self, bed: float) -> float:
        """Height of the neck plane over the top at the saddle for a bed angle (radians)."""
        along = _turn(1.0, 0.0, bed + self.tilt)
        return self.overstand + along[1] * self.s / along[0] - self.rise

    def block(self, bed: float) -> float:
        """How far the nose stands from the ledge: its centre, behind the bed's face and below the pivot, turned."""
        zero, turned = _turn(-self.nose, -self.sine, 0.0), _turn(-self.nose, -self.sine, bed)
        return self.base + turned[0] - zero[0]

    def bed_of_gap(self, gap: float) -> float:
        return _root(lambda bed: self.gap(bed) - gap, -0.3, 0.3)

    def bed_of_block(self, block: float) -> float:
        return _root(lambda bed: self.block(bed) - block, -0.3, 0.3)


def bench(one: Made) -> Bench:
    neck_set, cradle = one.solution.neck_set, one.solution.cradle
    return Bench(
        s=one.results["neck_set"]["join_to_saddle_mm"],
        rise=one.results["neck_set"]["top_rise_at_saddle_mm"],
        overstand=neck_set.overstand,
        tilt=math.radians(neck_set.end_face_tilt),
        sine=cradle.sine_distance,
        nose=cradle.nose_offset,
        base=cradle.base,
        heel=one.solution.joint.heel_length,
    )


def _number(text: str) -> float:
    return float(re.sub(r"\(.*\)", "", text).replace("−", "-").replace("+", "") or 0.0)


@pytest.mark.parametrize("job", METRIC)
def test_rows_of_the_correction_table_land_on_the_target(job: str) -> None:
    """Apply what a row advises, as printed, and the gap comes within 0.02 mm of the wanted one: block and shoulder."""
    one = made(job)
    model = bench(one)
    wanted = one.results["neck_set"]["saddle_gap_mm"]
    in_use = one.results["cradle"]["set_block_mm"]
    rows = one.content.context.readings
    assert len(rows) >= 9
    for row in rows:
        reading = _number(row.gap)
        found = model.bed_of_gap(reading)
        if not row.wanted:
            change = _number(row.block_new) - in_use
            assert change == pytest.approx(_number(row.block_change), abs=0.011)
            fixed = model.bed_of_block(model.block(found) + change)
            assert model.gap(fixed) == pytest.approx(wanted, abs=0.02), row
        taper = _number(row.off_back_end) - _number(row.off_join)
        assert model.gap(found + math.atan(taper / model.heel)) == pytest.approx(wanted, abs=0.02), row


@pytest.mark.parametrize("job", METRIC)
def test_shims_come_as_near_as_the_thinnest_allows(job: str) -> None:
    """Laying the shims named leaves the block within half the thinnest shim of the advised change."""
    one = made(job)
    thinnest = min(one.solution.job.jig.shims)
    for row in one.content.context.readings:
        if row.shims:
            laid = sum(float(size) for size in row.shims.split(" + "))
            assert abs(laid - _number(row.block_change)) <= thinnest / 2.0 + 0.006, row


def test_the_table_steps_by_a_quarter_round_the_wanted_gap() -> None:
    """Readings stand 0.25 mm apart, the wanted one in the middle, at least 1 mm either way."""
    rows = made("orchestra-14").content.context.readings
    assert [_number(row.gap) for row in rows] == [2.5, 2.75, 3.0, 3.25, 3.5, 3.75, 4.0, 4.25, 4.5]
    assert [row.wanted for row in rows] == [False] * 4 + [True] + [False] * 4


def test_example_a_stands_in_the_table() -> None:
    """Example A at 4.25: the vectors' own figures, block 21.98 (change −0.39) or 0.24 off at the join."""
    row = next(row for row in made("orchestra-14").content.context.readings if row.gap.startswith("4.25"))
    model = bench(made("orchestra-14"))
    found, right = model.bed_of_gap(4.25), model.bed_of_gap(3.5)
    assert _number(row.block_change) == pytest.approx(model.block(right) - model.block(found), abs=0.005)
    assert (row.block_change, row.off_join, row.off_back_end) == ("−0.39 (−0.015)", "0.24 (0.009)", "")


def test_a_forward_set_is_read_over_spacers() -> None:
    """A plane that dips under the top cannot be read under a straightedge: spacers lift it, and the rule reads both."""
    one = made("nylon-forward")
    assert one.results["neck_set"]["saddle_gap_mm"] < 0.0
    gap = one.content.context.gap
    spacer = float(gap.spacer.split()[0])
    assert float(gap.rule_wanted.split()[0]) == pytest.approx(
        spacer + one.results["neck_set"]["saddle_gap_mm"], abs=0.006
    )
    assert all(_number(row.rule) >= 0.4 for row in one.content.context.readings)
    assert "lay two equal spacers" in one.text
    assert not made("orchestra-14").content.context.gap.spaced


# --- the files -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", JOBS)
def test_at_most_four_pages_of_the_jobs_paper(job: str) -> None:
    """One to four pages, all of the first paper size the job names; nothing nearer than 10 mm to a page's edge."""
    one = made(job)
    document = pdfium.PdfDocument(one.pdf)
    assert 1 <= len(document) <= 4
    width, height = SIZES[one.solution.job.output.paper[0]]
    for page, ink in zip(document, pdf_ink.read(one.pdf), strict=True):
        assert page.get_size() == pytest.approx((width, height), abs=0.01)
        for text in ink.texts:
            x0, y0, x1, y1 = text.quad.bounds
            assert min(x0, y0, width * 25.4 / 72 - x1, height * 25.4 / 72 - y1) > 10.0 or text.quad.area < 1e-9


@pytest.mark.parametrize("paper", list(Paper))
def test_every_paper_size_holds_the_longest_sheet(paper: Paper) -> None:
    """Both units, a fixed base and a second depth block: still at most four pages, on letter too."""
    assert 1 <= len(made("auditorium-measured", paper).pages) <= 4


@pytest.mark.parametrize("job", JOBS)
def test_no_words_lie_over_other_words(job: str) -> None:
    """The rectangles of all runs of text keep off each other, as pdfium measures them."""
    for page in pdf_ink.read(made(job).pdf):
        texts = [text for text in page.texts if text.text]
        for i, one in enumerate(texts):
            for other in texts[i + 1 :]:
                overlap = one.quad.intersection(other.quad).area
                assert overlap < 0.3, (one.text, other.text)


@pytest.mark.parametrize("job", JOBS)
def test_words_in_pictures_keep_off_lines_and_each_other(job: str) -> None:
    """A picture's label touches no other label and no line but its chart's grid."""
    for name, sheet in made(job).content.pictures.items():
        items = list(sheet.every_item())
        labels = [(item.text, Polygon(item.corners()).buffer(-0.25)) for item in items if isinstance(item, Label)]
        lines = [
            LineString([*item.path.flatten(0.02), item.path.flatten(0.02)[0]] if getattr(item.path, "closed", True)
                       else item.path.flatten(0.02))
            for item in items
            if isinstance(item, Stroke) and item.role is not Role.HATCH
        ]  # fmt: skip
        for i, (text, quad) in enumerate(labels):
            assert not any(quad.intersects(other) for _, other in labels[i + 1 :]), (name, text)
            assert not any(quad.intersects(line) for line in lines), (name, text)


class _Words(HTMLParser):
    """The words between the tags of the page's body, pictures and styles left out."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.skip = 0
        self.sources: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.skip += tag in ("svg", "style", "title")
        self.sources += [value or "" for key, value in attrs if key in ("src", "href")]

    def handle_endtag(self, tag: str) -> None:
        self.skip -= tag in ("svg", "style", "title")

    def handle_data(self, data: str) -> None:
        if not self.skip:
            self.words += data.split()


@pytest.mark.parametrize("job", ["orchestra-14", "nylon-forward", "orchestra-left"])
def test_page_and_pdf_say_the_same(job: str) -> None:
    """Every word of the page stands in the PDF: one rendering feeds both."""
    page = _Words()
    page.feed(setup_sheet_html(made(job).content))
    printed = set(made(job).text.replace("-", "−").split())
    missing = {word.replace("-", "−") for word in page.words} - printed
    # The PDF breaks words at hyphens nowhere, but pdfium may glue a box's name to its neighbour.
    glued = "".join(made(job).text.replace("-", "−").split())
    assert not {word for word in missing if word not in glued}


def test_the_page_stands_alone() -> None:
    """No file, address or script beside it: fonts and pictures are inside."""
    html = setup_sheet_html(made("orchestra-14").content)
    page = _Words()
    page.feed(html)
    assert not page.sources
    assert not re.search(r"url\((?!data:)", html)
    assert "<script" not in html
    assert html.count("<svg") == len(re.findall(r"<figure", html)) >= 8


def test_fonts_are_embedded() -> None:
    """The PDF carries DejaVu Sans, regular and bold, and no other face."""
    fonts = set(re.findall(rb"/BaseFont ?/([\w+-]+)", made("orchestra-14").pdf))
    assert {name.split(b"+")[-1] for name in fonts} == {b"DejaVuSans", b"DejaVuSans-Bold"}
    assert all(b"+" in name for name in fonts)


def test_same_job_same_bytes(tmp_path: Path) -> None:
    """Written twice, page and PDF are the same files, and they stand under the names the kit's list gives."""
    one = made("orchestra-14")
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        write_setup_sheet(one.solution, one.jig, tmp_path / name, Paper.A4)
    for file in ("setup_sheet.html", "setup_sheet.pdf"):
        assert (tmp_path / "a" / file).read_bytes() == (tmp_path / "b" / file).read_bytes()
    assert (tmp_path / "a" / "setup_sheet.pdf").read_bytes() == one.pdf


@pytest.mark.parametrize("job", JOBS)
def test_cautions_stand_where_they_matter(job: str) -> None:
    """The usual cautions for router, blocks, dust and laser are on every sheet, and it defers to those who know."""
    text = made(job).text.lower()
    for words in (
        "never lift the router while the bit spins",
        "unplug the router before you touch bit, bushing or collet",
        "eye, ear and dust protection",
        "clamp the work, never hold it",
        "against a stop, never freehand",
        "makers' manuals",
        "local codes",
        "a qualified teacher",
        "clockwise along the edge",
        "counter-clockwise round the tongue",
        "never put pvc or vinyl in a laser",
    ):
        assert words in text, words


def test_the_test_joint_is_a_ready_job_without_an_angle() -> None:
    """What the sheet tells a student to make first exists and sets the bed at zero for the neck."""
    assert TEST_JOB in JOBS
    assert made(TEST_JOB).results["neck_set"]["cradle_angle_deg"] == pytest.approx(0.0, abs=1e-9)
    assert made(TEST_JOB).content.context.is_test


def test_layer_colours_are_those_of_the_cutting_files() -> None:
    """Red, blue, magenta and green as the DXF colour index calls them (1, 5, 6, 3): what the DXF carries."""
    index = {"red": 1, "blue": 5, "magenta": 6, "green": 3}
    for layer in made("orchestra-left").content.context.layers:
        assert index[layer.colour] == layer_colour(layer.name.replace("…", "4"))


def test_names_with_marks_in_them_stay_text() -> None:
    """A < or & in a name is printed, not obeyed."""
    one = made("orchestra-14")
    job = one.solution.job.model_copy(update={"instrument": one.solution.job.instrument.model_copy(
        update={"preset": "a<b>&c"})})  # fmt: skip
    solution = Solution(job, *(getattr(one.solution, name) for name in
                               ("neck_set", "joint", "routing", "cradle", "uncertainty", "checks")))  # fmt: skip
    content = setup_content(solution, one.jig, Paper.A4)
    assert "a&lt;b&gt;&amp;c" in setup_sheet_html(content)
    document = pdfium.PdfDocument(setup_sheet_pdf(content))
    assert "a<b>&c" in document[0].get_textpage().get_text_range()


def test_proof_results_fill_the_last_box() -> None:
    """With a proof the box counts each group and repeats what failed; without one it says how to prove."""
    one = made("orchestra-14")
    assert "heelwright prove orchestra-14" in one.text
    checks = [
        Check("cut: mortise width", CheckStatus.OK, 19.05, 19.05, "across"),
        Check("cut: tenon width", CheckStatus.FAIL, 18.2, 18.9, "too narrow & loose"),
        Check("fit: saddle gap", CheckStatus.OK, 3.5, 3.5, "3.500 mm over the top"),
    ]
    pdf = setup_sheet_pdf(setup_content(one.solution, one.jig, Paper.A4, checks))
    document = pdfium.PdfDocument(pdf)
    text = " ".join(document[len(document) - 1].get_textpage().get_text_range().split())
    assert "cut made by the plate's file, 1 of 2 passed; joint put together, 1 of 1 passed." in text
    assert "fail: cut: tenon width: too narrow & loose." in text
    assert "fit: saddle gap: 3.500 mm over the top." in text


def test_the_template_computes_nothing() -> None:
    """Between its braces stand names, tests and filters; no sum, product or quotient."""
    folder = Path(__file__).parent.parent / "generator" / "templates"
    for name in ("setup_sheet.j2", "setup_sheet.html.j2"):
        text = re.sub(r"\{#.*?#\}", "", (folder / name).read_text(encoding="utf-8"), flags=re.DOTALL)
        for inside in re.findall(r"\{[{%]-?(.*?)-?[%}]\}", text, flags=re.DOTALL):
            bare = re.sub(r"\"[^\"]*\"", "", inside)
            assert not re.search(r"[+*/]|(?<!\w)-(?!\w*%)|\bround\b|\bint\b|\bfloat\b", bare), inside


@pytest.mark.parametrize("job", JOBS)
def test_the_shopping_list_has_the_drawings_sizes(job: str) -> None:
    """Pieces to buy are as long on the setup sheet as in the model, to the hundredth, and as many."""
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]*>", "|", setup_sheet_html(made(job).content)))
    for item in made(job).jig.hardware:
        length = f"{item.length:.2f}".rstrip("0").rstrip(".")
        assert f"{item.title} {item.thread} × {length}|" in text, item.id
