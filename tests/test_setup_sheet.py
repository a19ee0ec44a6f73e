"""The setup sheet: its PDF read back by another library says the numbers of results.json and nothing else.

Corrections are checked against plain vectors: the neck plane's slope at the saddle, and what a shim adds to it over the
rests' distance; nothing of the package's formulas is used for them.
"""

from __future__ import annotations

import io
import math
import re
import tomllib
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf import bbox
from made_once import READY, solved
from setup_sheets import SHEETS, Made, made, make, read_pages
from worked_examples import example_a

from generator.documents.setup.setup import TEST_JOB, SetupSheet, setup_context
from generator.documents.setup.spelling import NumberFormat
from generator.documents.setup.words import worded
from generator.formats.dxf.write import coupon_dxf
from generator.formats.setup_sheet import setup_content, setup_sheet_html, setup_sheet_pdf
from generator.formats.setup_sheet.words import Content, inner_text, marks
from generator.jig.build import build_jig
from generator.jig.gauges import wedge_heights
from generator.jig.laser_coupon import laser_coupon
from generator.job.load import job_from_tables, load_job
from generator.job.model.job import Paper, UnitsChoice
from generator.job.model.joint import JointKind
from generator.job.presets import PresetKind, find_preset
from generator.joint.checks import Check, CheckStatus
from generator.joint.solution import solve

JOBS = SHEETS
#: Those of them that have a tenon.
WITH_TENON = [name for name in JOBS if solved(name).job.joint.kind is JointKind.MORTISE_TENON]


@cache
def example() -> Made:
    """Worked example A of the jig's requirements."""
    return make(example_a())


METRIC = [name for name in WITH_TENON if solved(name).job.output.units.value != "inch"]


# --- numbers -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", METRIC)
@pytest.mark.parametrize(
    ("words", "path"),
    [
        ("angle rest, cut to", ("cradle", "angle_rest_drawn_mm")),
        ("shim behind it", ("cradle", "nominal_shim_mm")),
        ("depth of cut", ("cradle", "depth_block_mm")),
        ("join to saddle mark", ("neck_set", "join_to_saddle_mm")),
        ("gap wanted there", ("neck_set", "saddle_gap_mm")),
        ("heel angle", ("neck_set", "heel_angle_deg")),
        ("mortise width", ("joint", "mortise_width_mm")),
        ("mortise length", ("joint", "mortise_length_mm")),
        ("tenon width", ("joint", "tenon_width_mm")),
        ("tenon length", ("joint", "tenon_length_mm")),
        ("The blank runs", ("joint", "neck_blank_overlength_mm")),
        ("no wider than", ("joint", "heel_blank_width_mm")),
        ("touches nothing. It must reach", ("router", "reach_needed_mm")),
        ("Check the plate: opening", ("router", "opening_width_mm")),
        ("wide, tongue", ("router", "tongue_width_mm")),
        ("Expect the first reading within", ("uncertainty", "gap_likely_mm")),
        ("of that, at worst", ("uncertainty", "gap_worst_mm")),
        ("Sideways expect", ("uncertainty", "sideways_likely_mm")),
        ("Strung: action", ("neck_set", "action_mm")),
    ],
)
def test_numbers_read_back_from_the_pdf_are_those_of_the_results(job: str, words: str, path: tuple[str, str]) -> None:
    """Every figure printed stands within half a hundredth of the model's."""
    table, key = path
    assert made(job).after(words)[0] == pytest.approx(made(job).results[table][key], abs=0.005 + 1e-9)


@pytest.mark.parametrize("job", METRIC)
@pytest.mark.parametrize("cut", ["mortise", "tenon"])
def test_pass_depths_are_those_of_the_results(job: str, cut: str) -> None:
    """The depths of "mortise passes" and "tenon passes" are the cumulative list: exact where the cut ends or stops for
    the dry fit, to a tenth on the way, where packing under the rod sets them."""
    one = made(job)
    expected = one.results["router"]["passes"][cut]
    if one.told.fixed:
        start = one.text.index("depth, mm", one.text.index(f"{cut} pass 1"))
    else:
        start = one.text.index(f"{cut.capitalize()} passes")
    metric = re.sub(r"\([^()]*\)", "", one.text[start : start + 400])
    words = re.findall(r"\d+(?:\.\d+)?", metric)[: len(expected)]
    exact = 2 if cut == "tenon" and one.told.held else 1
    assert [float(word) for word in words[:-exact]] == pytest.approx(expected[:-exact], abs=0.05 + 1e-9)
    assert all(len(word.partition(".")[2]) <= 1 for word in words[:-exact])
    assert [float(word) for word in words[-exact:]] == pytest.approx(expected[-exact:], abs=0.005 + 1e-9)


def test_seven_passes_of_an_eighth_of_an_inch() -> None:
    """22.225 mm in steps of 3.175 mm is seven passes (arithmetic: 7/8 in by 1/8 in), the tenon's last held back."""
    body, neck = example().told.body_passes, example().told.neck_passes
    assert (len(body.depths), body.held, body.depths[-1]) == (7, False, pytest.approx(22.225))
    assert (len(neck.depths), neck.held, len(neck.even)) == (7, True, 6)
    assert "after the dry fit 22.225 (0.875)" in example().text
    assert "Tenon passes, mm (in): 3.2 (0.126), 6.4 (0.252)" in example().text


def test_inch_passes_on_the_way_are_set_in_steps_of_five_thousandths() -> None:
    """3.175 mm is 0.125 in; 5.29 mm, 0.2083 in, is told as 0.210; the last one, 0.2083, stays 0.208 (arithmetic)."""
    inch = NumberFormat(UnitsChoice.INCH)
    assert [inch.depth(3.175, exact=False), inch.depth(5.29, exact=False)] == ["0.125", "0.210"]
    assert inch.depth(5.29, exact=True) == "0.208"


def test_a_hundred_passes_are_told_in_a_sentence() -> None:
    """Steps of 0.2 mm down to 22.225 less 3.175 held back are 96 passes of 0.198 mm (arithmetic), then the last."""
    one = example().solution.job
    text = make(one.model_copy(update={"router": one.router.model_copy(update={"max_step": 0.2})})).text
    assert "Tenon passes. Take 96 equal passes of 0.2 mm (0.008 in), down to 19.05 mm (3/4 in)." in text
    assert "After the dry fit take one more to 22.225 mm (7/8 in)" in text


@pytest.mark.parametrize("job", METRIC)
def test_bolts_read_back_from_the_pdf(job: str) -> None:
    """Positions of each bolt stand in its row, its holes in the unit its thread is sold by."""
    one = made(job)
    metric = re.sub(r"\([^()]*\)", "", one.text[one.text.index("8 Bolts") :])
    for n, bolt in enumerate(one.results["joint"]["bolts"], 1):
        unit, scale = ("mm", 1.0) if bolt["thread"].startswith("M") else ("in", 25.4)
        row = re.search(rf"\b{n} ([\d.]+) mm +([\d.]+) mm +⌀ ([\d.]+) {unit} +⌀ ([\d.]+) {unit}", metric)
        assert row, metric[:400]
        places = [float(text) for text in row.groups()[:2]]
        assert places == pytest.approx([bolt["from_top_mm"], bolt["on_tenon_end_mm"]], abs=0.005 + 1e-9)
        holes = [float(text) * scale for text in row.groups()[2:]]
        assert holes == pytest.approx([bolt["clearance_hole_mm"], bolt["pilot_hole_mm"]], abs=0.0005 * scale + 0.005)


def bent(job: str, **tables: dict[str, Any]) -> tuple[SetupSheet, Content]:
    """The sheet of a ready job with some keys moved, and what its files are made from."""
    raw = tomllib.loads(find_preset(PresetKind.JOBS, job).path.read_text(encoding="utf-8"))
    for table, keys in tables.items():
        raw.setdefault(table, {}).update(keys)
    solution = solve(job_from_tables(raw, Path("bent.toml")))
    jig = build_jig(solution)
    return setup_context(solution, jig, Paper.A4), setup_content(solution, jig, Paper.A4)


def test_the_sheet_says_how_far_the_guide_would_stray() -> None:
    """Laid by its flat end on the gluing face the guide marks projection·tan(angle) off: 22.225·tan 1.6654° = 0.646."""
    assert "its flat end on the gluing face would mark 0.65 mm" in example().text
    assert not bent("scrap-test")[0].guide_strays


def test_a_sawn_tenon_is_told_with_its_corners() -> None:
    """A bridged tongue's tenon is sawn before the dry fit, its corners eased to the mortise's less half the play.

    By hand: bushing 17 and bit 12 leave an offset of 2.5 and corners of 6; 0.15 of side clearance leave 5.925.
    """
    sheet, content = bent("orchestra-14", jig={"bridged": True})
    assert sheet.bench.corners_need_easing
    assert sheet.bench.tenon_corner == pytest.approx(5.925)
    sawn = inner_text(content.body)
    assert "to a radius of 5.925 mm" in sawn
    saw, ease, fit = (sawn.index(words) for words in ("Saw the tenon's back end", "sawn corners to a", "9 Dry fit"))
    assert saw < ease < fit
    assert "Saw the tenon's back end" not in made("orchestra-14").text


def test_end_clearance_counts_the_neck_rise() -> None:
    """A neck 0.5 mm over the top takes its tenon up with it: 1 mm of end clearance becomes 1.5 (by hand)."""
    text = inner_text(bent("orchestra-14", instrument={"neck_rise": 0.5})[1].body)
    assert "End: 1.5 mm" in text
    assert "stands 0.5 mm (0.020 in) over the top at the join (neck rise)" in text


def test_inch_sheets_carry_decimals_and_true_fractions() -> None:
    """On an inch job 7/8 in reads 0.875 in (7/8), 21 mm 0.827 in (no 64th is that), and nothing is called nearest."""
    sheet = bent("orchestra-left", joint={"mortise_depth": "7/8 in"})[0]
    facts = {fact.name: fact.value for fact in sheet.facts}
    assert facts["depth of cut"] == "0.875 in (7/8)"
    assert "depth of cut 0.827 in heel angle" in made("orchestra-left").text
    assert "nearest" not in made("orchestra-left").text


def test_an_inch_sheet_has_one_unit() -> None:
    """Millimetres stand on an inch sheet only where a thing is sold in them: hardware, shims and their drills."""
    text = made("orchestra-left").text
    for metric in re.finditer(r"[\d.]+ mm\b", text):
        before = text[max(0, metric.start() - 60) : metric.end() + 30]
        assert re.search(r"⌀|shim|drills|flat-bottomed|countersink|screw|pilot|M\d+ ×", before), before


# --- what to do for a reading --------------------------------------------------------------------------------------


def readings(sheet: SetupSheet) -> list[dict[str, str]]:
    """The bench card's table of readings as it is printed, each row by the words over its columns."""
    card = marks("bench_card.j2", worded("bench_card.j2", sheet))
    (table,) = (table for table in card.iter("table") if table.get("class") == "readings")
    heads, *rows = ([inner_text(cell).partition(",")[0] for cell in row] for row in table)
    assert all(len(row) == len(heads) for row in rows)
    return [dict(zip(heads, row, strict=True)) for row in rows]


def _number(text: str) -> float:
    return float(re.sub(r"\(.*\)|–", "", text).replace("−", "-") or 0.0)


def _gap(one: Made, slope: float) -> float:
    """Height of a neck plane of this slope (in the rim plane) over the top at the saddle."""
    neck_set = one.solution.neck_set
    return neck_set.neck_rise + slope * one.results["neck_set"]["join_to_saddle_mm"] - neck_set.top_rise_at_saddle


def _slope(one: Made, gap: float) -> float:
    neck_set = one.solution.neck_set
    return (gap - neck_set.neck_rise + neck_set.top_rise_at_saddle) / one.results["neck_set"]["join_to_saddle_mm"]


def _tilted(slope: float, turn: float) -> float:
    return math.tan(math.atan(slope) + turn)


@pytest.mark.parametrize("job", METRIC)
def test_rows_of_the_table_land_on_the_target(job: str) -> None:
    """Lay the shims a row names and the gap comes as near as half the thinnest one; taper the shoulder: within 0.02.

    A shim behind the angle rest adds its thickness over the rests' distance to the neck's slope against the plate.
    """
    one = made(job)
    cradle, tilt = one.solution.cradle, math.radians(one.solution.neck_set.end_face_tilt)
    wanted = one.results["neck_set"]["saddle_gap_mm"]
    half_shim = min(one.solution.job.jig.shims) / 2.0
    rows = readings(one.told)
    assert len(rows) >= 9
    for row in rows:
        slope, shims = _slope(one, _number(row["gap"])), row["shims"]
        if "as set" not in shims and "rest" not in shims:
            laid = sum(float(size) for size in shims.split(" + ")) if shims != "none" else 0.0
            in_jig = _tilted(slope, -tilt) + (laid - cradle.nominal_shim) / cradle.rest_spacing
            reach = one.results["neck_set"]["join_to_saddle_mm"] / cradle.rest_spacing
            assert _gap(one, _tilted(in_jig, tilt)) == pytest.approx(wanted, abs=half_shim * reach + 0.02), row
        taper = _number(row["off back end"]) - _number(row["off join"])
        turned = _tilted(slope, math.atan(taper / one.solution.joint.heel_length))
        assert _gap(one, turned) == pytest.approx(wanted, abs=0.03), row


def test_the_table_steps_by_a_quarter_round_the_wanted_gap() -> None:
    """Readings stand 0.25 mm apart, the wanted one in the middle, at least 1 mm either way."""
    rows = example().told.readings
    found = [_number(row["gap"]) for row in readings(example().told)]
    assert found == pytest.approx([3.5 + 0.25 * n for n in range(-(len(rows) // 2), len(rows) // 2 + 1)])
    assert len(rows) >= 9
    assert [row.wanted for row in rows] == [n == len(rows) // 2 for n in range(len(rows))]


def test_example_a_stands_in_the_table() -> None:
    """Example A at 4.25 by hand: 150·0.75/289.8861 = 0.388 thinner, 0.6 of the 1.0 shim stay; 0.238 off the join."""
    (row,) = (row for row in readings(example().told) if row["gap"].startswith("4.25"))
    assert (row["shims"], row["off join"], row["off back end"]) == ("0.5 + 0.1", "0.24 (0.009)", "–")


@pytest.mark.parametrize("units", UnitsChoice)
@pytest.mark.parametrize("job", JOBS)
def test_no_two_figures_of_a_column_are_printed_alike(job: str, units: UnitsChoice) -> None:
    """Different readings, and different amounts to take off, read differently in every unit."""
    rows = readings(replace(made(job).told, units=units))
    for column in ("gap", "off back end", "off join"):
        figures = [row[column] for row in rows if row[column] != "–"]
        assert len(set(figures)) == len(figures), (column, figures)


def test_a_forward_set_is_read_over_spacers() -> None:
    """A plane that dips under the top cannot be read under a straightedge: spacers lift it, and the rule reads both."""
    one = made("nylon-forward")
    assert one.results["neck_set"]["saddle_gap_mm"] < 0.0
    spacer, rule = one.after("Lay two equal spacers,")[0], one.after("Rule at the mark: wanted")[0]
    assert rule == pytest.approx(spacer + one.results["neck_set"]["saddle_gap_mm"], abs=0.006)
    assert all(_number(row["rule"]) >= 0.4 for row in readings(one.told))


@pytest.mark.parametrize("job", JOBS)
def test_a_straightedge_clears_the_top_at_every_reading(job: str) -> None:
    """Sampled every half millimetre: over the spacers told, no plane of the table's meets the top before the saddle;
    over spacers a millimetre lower one would, or could not be read."""
    one = made(job)
    neck_set, span = one.solution.neck_set, one.solution.neck_set.join_to_saddle
    assert ("equal spacers" in one.text) is (one.told.spacer > 0.0)

    def least(spacer: float) -> float:
        """Room between straightedge and top; at the saddle 0.4 more is wanted, so that a gauge goes in."""
        rooms = []
        for row in one.told.readings:
            slope = (row.reading - neck_set.neck_rise + neck_set.top.height(span)) / span
            stations = [0.5 * n for n in range(1, math.floor(span * 2.0))]
            rooms += [neck_set.neck_rise + slope * x + spacer - neck_set.top.height(x) for x in stations]
            rooms.append(row.reading + spacer - 0.4)
        return min(rooms)

    assert least(one.told.spacer) >= -0.02
    assert one.told.spacer == 0.0 or least(one.told.spacer - 1.0) < 0.1
    if "wedge" in one.told.has:
        assert max(row.shown for row in one.told.readings) <= wedge_heights(one.told.layout)[1]


# --- words ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", WITH_TENON)
def test_the_work_is_told_in_its_order(job: str) -> None:
    """Zero check, bench, scrap, mortise, tenon, bolts, dry fit, readings, last pass: as the jig's requirements say."""
    one = made(job)
    heads = [inner_text(head) for head in one.content.body.iter("h2")]
    assert [head.split()[0] for head in heads] == [str(n) for n in range(1, 13)]
    marks = ("Make the jig", "Clamp the jig", "scrap", "wood", "Mortise", "Tenon", "Bolts", "Dry fit", "each reading")
    for mark, head in zip((*marks, "learances", "Last look"), heads[1:], strict=True):
        assert mark in head
    text = one.text
    assert text.index("Zero check") < text.index("3 Clamp the jig")
    for words in ("START at the far end, the bit in the air", "The rests govern, not the sawn end", "it would bend"):
        assert words in text, words
    steps = " ".join(one.jig.assembly_steps)
    order = ("Make the template plate", "both brackets", "Lay the plate top down", "upper rest to", "the zero check")
    places = [steps.index(words) for words in (*order, "Cut the angle rest only now", "Make the scrap joint")]
    assert places == sorted(places)


@pytest.mark.parametrize("job", WITH_TENON)
def test_every_thing_a_step_takes_up_is_in_the_list_of_step_1(job: str) -> None:
    """What the steps after the first lay hand on stands among tools, screws and stock."""
    one = made(job)
    heads = [one.text.index(words) for words in ("1 Tools and stock", "2 Make the jig")]
    listed, used = one.text[slice(*heads)].lower(), one.text[heads[1] :].lower()
    things = ("caliper", "square", "feeler", "knife", "card", "cord", "wedge", "thread", "scrape", "tape", "glue",
              "hose", "cone", "straightedge", "box", "drill", "plane", "saw", "flat table", "collet")  # fmt: skip
    for thing in things:
        assert thing not in used or thing in listed, thing
    router = one.solution.job.router
    assert "router:" in listed
    unit = 25.4 if one.solution.job.output.units is UnitsChoice.INCH else 1.0
    assert f"{router.bushing_od / unit:.3f}".rstrip("0").rstrip(".") in listed


@pytest.mark.parametrize("job", WITH_TENON)
def test_screws_that_hold_the_work_have_pilots_with_depths(job: str) -> None:
    """Each pilot is as deep as its screw comes out of plate and plug, the plug's ends in the waste of the mortise.

    By hand: the plug's screw passes the plug, as thick as the plate; the tip screw the tongue less its seat.
    """
    one = made(job)
    found = [(item.purpose, item.length) for item in one.jig.hardware if "Pan-head" in item.title and not item.pieces]
    plate = one.jig.part("template_plate")
    seat = max((hole.counterbore_depth or 0.0 for hole in plate.holes), default=0.0)
    for purpose, length in found:
        deep = length - plate.thickness + (seat if "tongue" in purpose else 0.0)
        assert f"{deep:.2f}".rstrip("0").rstrip(".") + " mm deep" in one.text, purpose
        assert "tongue" in purpose or deep <= one.solution.joint.mortise_depth - 1.0
        card = one.card_text
        assert f"{deep:.2f}".rstrip("0").rstrip(".") + " mm deep" in card


@pytest.mark.parametrize("job", ["orchestra-14", "dreadnought-tilted", "folk-butt"])
def test_the_slot_is_free_where_both_rests_stand(job: str) -> None:
    """The slot is told to be open over both teeth: where the rests' parts stand below the plate's underside."""
    one = made(job)
    slot = [one.after("open to the heel's end over")[0], *one.after("for the teeth, and again", 2)]
    spans = {}
    for name in ("upper_rest", "angle_rest"):
        (rest,) = (item for item in one.jig.placed if item.part.name == name)
        corners = [(vertex.point, z) for vertex in rest.part.outline.vertices for z in (0.0, rest.part.thickness)]
        heights = [rest.placement.to_space(at.x, at.y, z).z for at, z in corners]
        spans[name] = -max(heights), -min(heights)
    assert slot[0] >= spans["upper_rest"][1] - 0.5
    assert slot[1:] == pytest.approx(spans["angle_rest"], abs=0.5)


@pytest.mark.parametrize("job", ["orchestra-14", "dreadnought-tilted", "folk-butt"])
def test_both_rests_are_told_to_one_who_has_no_computer(job: str) -> None:
    """The widths of angle rest and zero rest, before the zero check's difference, are those of the parts."""
    one = made(job)
    for name, words in (("angle_rest", "computer: angle rest"), ("zero_rest", ", zero rest")):
        (width,) = (size.value for size in one.jig.part(name).dimensions if size.name == f"{name}_width")
        assert one.after(words)[0] == pytest.approx(width, abs=0.006)


@pytest.mark.parametrize("job", ["orchestra-14", "dreadnought-tilted"])
def test_the_scraps_pilot_lies_under_the_plates_hole(job: str) -> None:
    """The scrap's gluing face comes to lie on the fence line, so its pilot is as far from it as the hole in the tongue,
    measured on the plate itself; the neck's stands off it by what the neck leans at the plate."""
    one = made(job)
    plate = one.jig.part("template_plate")
    (hole,) = (hole for hole in plate.holes if hole.id == "tip-screw")
    away = abs(hole.at.x - plate.points["neck_fence"].x)
    assert one.after("the tip screw's pilot")[0] == pytest.approx(away, abs=0.006)
    leaned = away - one.told.bench.tip_from_face
    assert leaned == pytest.approx(one.solution.cradle.neck_plane_x(0.0), abs=1e-9)


@pytest.mark.parametrize("job", WITH_TENON)
def test_the_caul_is_told_by_its_heights(job: str) -> None:
    """Its upper edge lies level with the upper rest's, d1 = depth of cut and 3 mm, and its height is said."""
    one = made(job)
    spell = one.told.spell
    edge, high = spell.near(one.solution.joint.mortise_depth + 3.0), spell.near(one.solution.job.jig.caul_height)
    assert f"{high} high, its upper edge {edge} below the plate's underside" in one.text


@pytest.mark.parametrize("job", JOBS)
def test_no_word_is_left_of_another_jig(job: str) -> None:
    """The sheet knows rests, board, plate and brackets, and uses the trade's words."""
    text = made(job).text.lower()
    for word in ("bed", "nose", "ledge", "set block", "spine", "cheeks of", "pivot", "shy", "overstand"):
        assert not re.search(rf"\b{word}\b", text), word


@pytest.mark.parametrize("job", WITH_TENON)
def test_cautions_stand_where_they_matter(job: str) -> None:
    """The usual cautions for router, small parts, dust and laser stand on every sheet; it defers to those who know."""
    text = made(job).text.lower()
    for words in (
        "never lift the router while the bit spins",
        "unplug the router before you touch bit, bushing or collet",
        "eye, ear and dust protection",
        "clamp the work, never hold it",
        "against a stop, never freehand",
        "never loosen the bench clamps while it hangs",
        "makers' manuals",
        "local codes",
        "a qualified teacher",
        "follow the edge clockwise",
        "counter-clockwise round the tongue",
        "never put pvc or vinyl in a laser",
    ):
        assert words in text, words


@pytest.mark.parametrize("job", SHEETS)
def test_what_hands_need_is_told_before_it_is_needed(job: str) -> None:
    """The collet grips no edges; scrap stands behind the block before the body is up; a straightedge passes the saddle;
    the slot is open and empty; all of it within the work's order."""
    one = made(job)
    words, router, text = one.text, one.solution.job.router, one.text.lower()
    if one.solution.job.output.units is not UnitsChoice.INCH:
        (out,) = one.after("its smooth shank only, its tip")
        assert out >= router.cutting_length - 0.5  # told to the millimetre
        (overall,) = one.after("long, overall")
        assert overall >= out + 24.5
        (straightedge,) = one.after("straightedge of")
        assert straightedge >= one.solution.neck_set.join_to_saddle + 100.0
    if one.solution.job.instrument.truss_rod_slot_width is not None:
        assert "empty and open to the heel's end" in words
    assert words.index("Straightedge".lower()) < words.index("Dry fit and reading")
    if one.solution.joint.stands:
        assert text.index("a stick from the tail block") < text.index("the plug holds the body up")
        assert text.index("the plug holds the body up") < text.index("guide the bolts' drill")
    assert "never leave a laser alone" in text
    assert text.index("first check the end face") < text.index("then cut angle rest and zero rest")


def test_the_test_joint_is_a_ready_job_without_an_angle() -> None:
    """The sheet of the ready scrap joint says that it is one, and its rests give no angle."""
    assert TEST_JOB in READY
    assert made(TEST_JOB).results["neck_set"]["cradle_angle_deg"] == pytest.approx(0.0, abs=1e-9)
    assert "This sheet is the scrap joint" in made(TEST_JOB).text


def test_names_with_marks_in_them_stay_text() -> None:
    """A < or & in a name is printed, not obeyed."""
    job = load_job("orchestra-14")
    job = job.model_copy(update={"instrument": job.instrument.model_copy(update={"preset": "a<b>&c"})})
    solution = solve(job)
    content = setup_content(solution, build_jig(solution), Paper.A4)
    assert "a&lt;b&gt;&amp;c" in setup_sheet_html(content)
    assert "a<b>&c" in read_pages(setup_sheet_pdf(content))[0]


def test_proof_results_fill_the_last_box() -> None:
    """With a proof the box counts each group and repeats what failed, on a crowded sheet that alone; without one it
    says how to prove."""
    crowded, one = made("orchestra-14"), made("folk-butt")
    assert "heelwright prove orchestra-14" in crowded.text
    checks = [
        Check("cut: mortise too much", CheckStatus.OK, 0.0, 0.01, "none"),
        Check("cut: tenon too much", CheckStatus.FAIL, 0.7, 0.01, "too narrow & loose"),
        Check("fit: saddle gap", CheckStatus.OK, 3.5, 3.5, "3.500 mm over the top"),
    ]
    for sheet in (crowded, one):
        content = setup_content(sheet.solution, sheet.jig, Paper.A4, checks)
        text = " ".join(read_pages(setup_sheet_pdf(content))[-1].split())
        assert "cut made by the plate's file, 1 of 2 passed; joint put together, 1 of 1 passed." in text
        assert "fail: cut: tenon too much: too narrow & loose." in text
        assert ("fit: saddle gap: 3.500 mm over the top." in text) is (sheet is one)


def test_a_picture_that_stands_alone_is_drawn() -> None:
    """A joint with one cut has one picture of the jig in use, where others have two side by side."""
    assert "The neck cut" in made("folk-butt").pages[0]
    assert "The body cut" not in made("folk-butt").text


#: Every template that `worded` fills.
BENCH_TEMPLATES = ("setup_sheet.j2", "setup_sheet_butt.j2", "bench_card.j2", "class_handout.j2")


def test_every_number_of_a_template_is_spelt_by_a_filter() -> None:
    """What stands between braces and is a number of the solved job passes a filter: no float prints as it is."""
    folder = Path(__file__).parent.parent / "generator" / "documents" / "templates"
    sheets = [made(job).told for job in (*WITH_TENON[:1], "folk-butt")]
    seen = 0
    for name in BENCH_TEMPLATES:
        for inside in re.findall(r"\{\{ (.*?) \}\}", (folder / name).read_text(encoding="utf-8")):
            path = re.match(r"(bench|job|instrument|router|neck_set|joint|routing|cradle|uncertainty)\.[\w.]+", inside)
            if path and "|" not in inside:
                values = [_found(sheet, path[0]) for sheet in sheets]
                assert not any(isinstance(value, float) for value in values), f"{name}: {inside}"
            seen += path is not None
    assert seen > 100


def _found(sheet: SetupSheet, path: str) -> object:
    """What a template finds under such a name; None where this kind of joint has it not."""
    first, *rest = path.split(".")
    found: object = {"bench": sheet.bench, "router": sheet.solution.job.router}.get(first)
    if found is None:
        found = getattr(sheet.solution.job if first == "instrument" else sheet.solution, first)
    for name in rest:
        found = getattr(found, name, None)
    return found


def test_the_templates_compute_nothing() -> None:
    """Between their braces stand names, tests and filters; no sum, product or quotient."""
    folder = Path(__file__).parent.parent / "generator" / "documents" / "templates"
    for name in (*BENCH_TEMPLATES, "setup_sheet.html.j2"):
        text = re.sub(r"\{#.*?#\}", "", (folder / name).read_text(encoding="utf-8"), flags=re.DOTALL)
        for inside in re.findall(r"\{[{%]-?(.*?)-?[%}]\}", text, flags=re.DOTALL):
            bare = re.sub(r"\"[^\"]*\"", "", inside)
            assert not re.search(r"[+*/]|(?<!\w)-(?!\w*%)|\bround\b|\bint\b|\bfloat\b", bare), inside


@pytest.mark.parametrize("job", JOBS)
def test_the_shopping_list_has_the_drawings_sizes(job: str) -> None:
    """Pieces to buy are as long on the setup sheet as in the model, to the hundredth, and as many."""
    text = made(job).text
    for item in made(job).jig.hardware:
        length = f"{item.length:.2f}".rstrip("0").rstrip(".")
        start = text.index(f"{item.title.lower()} {item.thread}:")
        assert f"{item.count} of {length} ({item.purpose})" in text[start:], item.id


def test_the_coupons_have_a_piece_of_their_own_to_buy() -> None:
    """The piece named for the kerf coupons is larger every way than what ezdxf measures of their cutting file."""
    job = made("orchestra-14").solution.job
    text = coupon_dxf(laser_coupon(job.stocks["acrylic-3"]), job.name).decode("utf-8")
    laid = bbox.extents(ezdxf.read(io.StringIO(text)).modelspace())
    found = re.search(r"and (\d+) × (\d+) mm for its kerf coupons", made("orchestra-14").text)
    assert found is not None
    long, wide = map(float, found.groups())
    assert laid.size.x + 5.0 <= long
    assert laid.size.y + 5.0 <= wide
