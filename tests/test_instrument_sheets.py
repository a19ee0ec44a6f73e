"""Side elevation, end face and heel: what is drawn and printed, measured in the written SVG and PDF.

Expected numbers come from the job's own inputs by formulas written out here; the package's are not asked.
"""

from __future__ import annotations

import io
import itertools
import math
import re
from collections import Counter
from functools import cache

import pytest
from paper_jobs import INSTRUMENT, JOBS, by_hand, half_elevation, pdf_of, sheet_of, svg_of
from pdf_ink import PageInk, read
from svgelements import SVG, Arc, Circle, Group, Line, Move
from svgelements import Path as SvgPath

from generator.drawing.booklet import best_plans
from generator.drawing.tiling import both_plans
from generator.job.model.job import Paper

ALL = [(job, name) for job in JOBS for name in INSTRUMENT]


@cache
def pages_of(job: str, name: str, handed: str | None = None) -> list[PageInk]:
    """A sheet's PDF as it is read back."""
    return read(pdf_of(job, name, handed))


@cache
def _shapes(job: str, name: str, role: str, handed: str | None = None) -> list[SvgPath | Circle]:
    """All shapes of one role of the sheet's SVG, in millimetres, y down."""
    document = SVG.parse(io.StringIO(svg_of(job, name, handed)), ppi=25.4)
    group = next(item for item in document if isinstance(item, Group) and item.id == role)
    return [shape for shape in group if isinstance(shape, SvgPath | Circle)]


def _straight(shapes: list[SvgPath | Circle]) -> list[tuple[complex, complex]]:
    """Ends of all shapes that are one straight line."""
    out = []
    for shape in shapes:
        parts = [part for part in shape if not isinstance(part, Move)] if isinstance(shape, SvgPath) else []
        if len(parts) == 1 and isinstance(parts[0], Line):
            out.append((complex(parts[0].start), complex(parts[0].end)))
    return out


def _height(ends: tuple[complex, complex], x: float) -> float:
    (a, b) = ends
    return a.imag + (b.imag - a.imag) * (x - a.real) / (b.real - a.real)


def _lines_at(job: str, role: str, x: float) -> list[float]:
    lines = _straight(_shapes(job, "side_elevation", role))
    return sorted(_height(e, x) for e in lines if min(e[0].real, e[1].real) < x < max(e[0].real, e[1].real))


def _numbers(job: str, name: str) -> dict[str, str]:
    """Callout of each dimension by its name, found again among the texts of the PDF."""
    (page,) = pages_of(job, name)
    printed = Counter(text.text for text in page.texts)
    found = {}
    for mark in sheet_of(job, name).dimensions:
        assert printed[mark.text], f"{mark.text} is not in the PDF"
        found[mark.name] = mark.text
    return found


def _mm(text: str) -> float:
    """The millimetres a callout prints: the first number behind count and sign."""
    return float(re.match(r"(?:\d+× )?[⌀R]?(\d+(?:\.\d+)?)", text)[1])


def _inches(text: str) -> float:
    """The millimetres of a callout in inches, decimal or to the nearest 1/64."""
    found = re.match(r"(?:\d+× )?[⌀R]?(?:(?:(\d+) )?(\d+)/(\d+)|(\d+(?:\.\d+)?))", text)
    whole, top, bottom, decimal = found.groups()
    return 25.4 * (float(decimal) if decimal else float(whole or 0) + float(top) / float(bottom))


def test_the_gap_drawn_at_the_saddle_is_the_wanted_gap() -> None:
    """Neck plane over the top's arc at the saddle, measured in the SVG: 3.5 mm within 0.01, and frets 7.45 higher.

    Join to saddle by equal temperament: 645.16·2^(−14/12) + 2.5 = 289.8861 mm.
    """
    arcs = [shape for shape in _shapes("orchestra", "side_elevation", "visible") if isinstance(shape[1], Arc)]
    tops = [path for path in arcs if abs(path[1].rx - 8534.4) < 0.01]
    assert len(tops) == 2
    bench = min(tops, key=lambda path: path[1].start.y)[1]
    saddle = bench.start.x + 289.8861
    # 290 mm from the join lies the crown: the centre is 8534.4 below it.
    crown = bench.start.y - (8534.4 - math.sqrt(8534.4**2 - 290.0**2))
    top = crown + 8534.4 - math.sqrt(8534.4**2 - (289.8861 - 290.0) ** 2)
    over = [top - y for y in _lines_at("orchestra", "phantom", saddle) if -1.0 < top - y < 20.0]
    assert over == pytest.approx([3.5 + 6.35 + 1.1, 3.5], abs=0.01)


def test_the_neck_plane_is_drawn_at_the_set_angle() -> None:
    """The slope of the drawn neck plane is 1.6654° (worked by hand: atan((3.5 + 4.9285)/289.8861))."""
    slopes = {
        round(math.degrees(math.atan2(a.imag - b.imag, b.real - a.real)), 3)
        for a, b in _straight(_shapes("orchestra", "side_elevation", "phantom"))
        if abs(b.real - a.real) > 100
    }
    assert any(abs(slope - 1.6654) < 0.002 for slope in slopes)


def test_strings_on_stand_at_the_action() -> None:
    """At the 12th fret the drawn string is action less relief over the drawn straight line over the frets.

    a_s = 3.2 − (−0.05) = 3.25; line at fret 12: 0.5 + (3.25 − 0.5)·(645.16/2)/(645.16 + 2.5) = 1.8697 mm.
    """
    edges = _straight(_shapes("orchestra", "side_elevation", "edge"))
    string = max((e for e in edges if abs(e[1].real - e[0].real) > 300), key=lambda e: abs(e[1].real - e[0].real))
    join = min(
        p[1].start.x
        for p in _shapes("orchestra", "side_elevation", "visible")
        if isinstance(p[1], Arc) and p[1].rx > 1000
    )
    twelve = join - 645.16 * (2 ** (-12 / 12) - 2 ** (-14 / 12))
    curved = [
        shape.bbox()
        for shape in _shapes("orchestra", "side_elevation", "edge")
        if isinstance(shape, SvgPath) and isinstance(shape[1], Arc)
    ]
    crowns = [box for box in curved if abs((box[0] + box[2]) / 2 - twelve) < 0.05]
    assert len(crowns) == 2
    assert max(box[1] for box in crowns) - _height(string, twelve) == pytest.approx(1.8697, abs=0.005)


@pytest.mark.parametrize("job", JOBS)
def test_the_heel_is_drawn_at_the_heel_angle(job: str) -> None:
    """The bevel's corner between neck plane and saw line: 90 − θ + tilt within 0.002°, θ worked out by hand.

    88.3346° for the orchestra model, over 90° for the forward set.
    """
    angle = 90.0 - by_hand(job)[3] + JOBS[job].get("instrument", {}).get("end_face_tilt", 0.0)
    assert (angle > 90.0) == (job == "forward")
    assert job != "orchestra" or angle == pytest.approx(88.3346, abs=1e-4)
    ring = next(s for s in _shapes(job, "heel", "cut") if isinstance(s, SvgPath) and len(list(s)) == 5)
    points = [complex(part.end) for part in list(ring)[:4]]
    corner = max(points, key=lambda p: p.real - p.imag)
    at = points.index(corner)
    one, other = points[at - 1] - corner, points[(at + 1) % 4] - corner
    measured = abs(math.degrees(math.atan2((one.conjugate() * other).imag, (one.conjugate() * other).real)))
    assert measured == pytest.approx(angle, abs=0.002)


@pytest.mark.parametrize("job", ["orchestra", "tilted"])
def test_numbers_printed_on_the_elevation_are_the_model_s(job: str) -> None:
    """Every length on the PDF is within 0.005 mm of the value worked out from the inputs."""
    _, s, gap, angle = by_hand(job)
    raw = {"scale_length": 645.16, "frets": 20, "body_depth_at_neck": 98} | JOBS[job].get("instrument", {})
    scale = raw["scale_length"]
    printed = _numbers(job, "side_elevation")
    bench = gap + 6.35 + 1.1 - 9.5
    expected = {
        "join_to_saddle": s,
        "saddle_gap": gap,
        "clearance_before_stringing": bench,
        "join_to_last_fret": scale * (2 ** (-14 / 12) - 2 ** (-20 / 12)),
        "fret_12_to_join": scale * (2 ** (-12 / 12) - 2 ** (-14 / 12)),
        "body_depth_at_neck": raw["body_depth_at_neck"],
    }
    for name, value in expected.items():
        assert _mm(printed[name]) == pytest.approx(value, abs=0.005), name
    texts = [text.text for text in pages_of(job, "side_elevation")[0].texts]
    strung = bench - 1.5
    noted = {
        "string over that line": 3.2 - strung,
        "clear" if strung > 0 else "into bridge": abs(strung),
        "bridge": 9.5,
        "saddle": 3.2,
    }
    for words, value in noted.items():
        found = [_mm(text) for text in texts if re.fullmatch(rf"[\d.]+(?: \[[\d.]+\])? {words}", text)]
        assert any(number == pytest.approx(value, abs=0.005) for number in found), (words, found)
    assert any(f"{angle:.2f}°" in text.text for text in pages_of(job, "side_elevation")[0].texts)


@pytest.mark.parametrize("job", ["orchestra", "tilted"])
def test_numbers_printed_on_end_face_and_heel_are_the_model_s(job: str) -> None:
    """Mortise, bolts, binding, tenon, heel and blank: printed within 0.005 mm of the arithmetic of the inputs."""
    _, _, _, angle = by_hand(job)
    raw = {
        "end_face_tilt": 0.0,
        "neck_rise": 0.0,
        "body_depth_at_neck": 98,
        "back_binding_height": 6,
        "heel_width": 60.0,
    } | JOBS[job].get("instrument", {})
    joint = {"mortise_width": 19.05, "mortise_depth": 22.225, "bolts": {"from_top": [28.5, 57.5]}} | JOBS[job].get(
        "joint", {}
    )
    tilt = math.radians(raw["end_face_tilt"])
    length = (raw["body_depth_at_neck"] - raw["back_binding_height"]) / math.cos(tilt)
    face = _numbers(job, "body_end_face")
    assert _mm(face["mortise_width"]) == pytest.approx(joint["mortise_width"], abs=0.005)
    # The mortise ends 10 short of the heel's end (the key mortise_stop's default), the tenon 1 short of the mortise.
    mortise = length - 10.0
    assert _mm(face["mortise_length"]) == pytest.approx(mortise, abs=0.005)
    assert _mm(face["binding_from_top"]) == pytest.approx(length, abs=0.005)
    assert _mm(face["body_depth_on_face"]) == pytest.approx(raw["body_depth_at_neck"] / math.cos(tilt), abs=0.005)
    assert _mm(face["neck_block_width"]) == 80
    bolts = joint["bolts"]["from_top"]
    assert [_mm(face[f"bolt_{i}_from_top"]) for i in range(1, len(bolts) + 1)] == bolts
    heel = _numbers(job, "heel")
    lean = math.radians(angle) - tilt
    deep = joint["mortise_depth"]
    above = raw["neck_rise"] * math.cos(math.radians(angle)) / math.cos(lean)
    assert _mm(heel["heel_angle"]) == pytest.approx(90 - math.degrees(lean), abs=0.005)
    assert _mm(heel["neck_blank_overlength"]) == pytest.approx(deep / math.cos(lean), abs=0.005)
    assert _mm(heel["tenon_length"]) == pytest.approx(mortise - 1.0, abs=0.005)
    assert _mm(heel["heel_length"]) == pytest.approx(length, abs=0.005)
    assert _mm(heel["tenon_projection_routed"]) == pytest.approx(deep, abs=0.005)
    assert _mm(heel["tenon_projection"]) == pytest.approx(deep - 1.2, abs=0.005)
    sawn = _numbers(job, "sawn_end")
    assert _mm(sawn["tenon_width"]) == pytest.approx(joint["mortise_width"] - 0.15, abs=0.005)
    # On the sawn end everything is measured from its upper edge, which the neck plane's lean lifts.
    rise = above + deep * math.tan(lean)
    # The tongue ends the tenon so far from the neck plane, not from the join: a neck rise adds nothing to it.
    assert _mm(sawn["tenon_on_sawn_end"]) == pytest.approx(mortise - 1.0 + rise - above, abs=0.005)
    for i, bolt in enumerate(bolts):
        assert _mm(sawn[f"bolts_on_sawn_end[{i}]"]) == pytest.approx(bolt + rise, abs=0.005)


def test_inch_jobs_print_inches() -> None:
    """Fractions to 1/64 in on end face and heel, three decimals on the elevation; no millimetre anywhere."""
    _, s, gap, _ = by_hand("forward")
    elevation = _numbers("forward", "side_elevation")
    assert _inches(elevation["join_to_saddle"]) == pytest.approx(s, abs=0.0128)
    assert _inches(elevation["saddle_gap"]) == pytest.approx(abs(gap), abs=0.0128)
    face = _numbers("forward", "body_end_face")
    assert _inches(face["bolt_1_from_top"]) == pytest.approx(41.3, abs=0.2)
    assert _inches(face["mortise_width"]) == pytest.approx(19.05, abs=1e-9)
    for name in INSTRUMENT:
        assert not any(" mm" in text.text for text in pages_of("forward", name)[0].texts)


@pytest.mark.parametrize("job", JOBS)
def test_mortise_and_bolts_lie_where_the_joint_has_them(job: str) -> None:
    """The drawn mortise is centred, starts at the fold, ends at its length; bolts sit on its centreline."""
    joint = {"mortise_width": 19.05, "bolts": {"from_top": [28.5, 57.5]}} | JOBS[job].get("joint", {})
    raw = {"body_depth_at_neck": 98, "back_binding_height": 6, "end_face_tilt": 0.0} | JOBS[job].get("instrument", {})
    shapes = _shapes(job, "body_end_face", "visible")
    mortise = next(s for s in shapes if isinstance(s, SvgPath) and sum(isinstance(p, Arc) for p in s) == 2)
    x0, y0, x1, y1 = mortise.bbox()
    fold = _straight(_shapes(job, "body_end_face", "fold"))[0]
    assert y0 == pytest.approx(fold[0].imag, abs=1e-3)
    assert x1 - x0 == pytest.approx(joint["mortise_width"], abs=2e-3)
    length = (raw["body_depth_at_neck"] - raw["back_binding_height"]) / math.cos(math.radians(raw["end_face_tilt"]))
    assert y1 - y0 == pytest.approx(length - 10.0, abs=2e-3)
    assert {round(p.rx, 3) for p in mortise if isinstance(p, Arc)} == {6.35}
    outline = next(s for s in _shapes(job, "body_end_face", "cut"))
    assert (x0 + x1) / 2 == pytest.approx(sum(outline.bbox()[::2]) / 2, abs=2e-3)
    holes = sorted((c for c in shapes if isinstance(c, Circle)), key=lambda c: c.cy)
    assert [h.cx for h in holes] == pytest.approx([(x0 + x1) / 2] * len(holes), abs=2e-3)
    assert [h.cy - y0 for h in holes] == pytest.approx(joint["bolts"]["from_top"], abs=2e-3)


@pytest.mark.parametrize("job", ["orchestra", "tilted"])
def test_bass_and_treble_change_sides_with_the_hand(job: str) -> None:
    """From the neck a right-handed body has its bass side right, from the body left; a left-handed one is mirrored."""
    for name, right_hand in (("body_end_face", 1.0), ("sawn_end", -1.0)):
        for handed, sign in (("right", right_hand), ("left", -right_hand)):
            (page,) = pages_of(job, name, handed)
            x = {t.text: t.quad.centroid.x for t in page.texts if t.text in ("bass side", "treble side")}
            assert (x["bass side"] - x["treble side"]) * sign > 20, (name, handed)
    for handed, seen in (("right", "bass"), ("left", "treble")):
        for name in ("side_elevation", "heel"):
            words = " ".join(t.text for t in pages_of(job, name, handed)[0].texts)
            assert f"from the {seen} side" in words
            assert f"{handed.capitalize()}-handed" in words


@pytest.mark.parametrize(("job", "name"), ALL)
def test_no_text_is_written_over_anything(job: str, name: str) -> None:
    """In the PDF no two texts overlap, and no line runs through a text; found from pdfium's own boxes."""
    (page,) = pages_of(job, name)
    for one, other in itertools.combinations(page.texts, 2):
        assert one.quad.intersection(other.quad).area < 0.01, (one.text, other.text)
    for text in page.texts:
        ink = text.quad.buffer(-0.05)
        for line in page.lines:
            assert not line.shape.intersects(ink), (text.text, line.points[:2])


@pytest.mark.parametrize(("job", "name"), ALL)
def test_svg_says_what_the_pdf_says(job: str, name: str) -> None:
    """The same texts, as often, in both files."""
    (page,) = pages_of(job, name)
    said = re.findall(r"<text[^>]*>([^<]*)</text>", svg_of(job, name))
    unescaped = [
        text.replace("&quot;", '"').replace("&amp;", "&").replace("&lt;", "<").replace("&gt;", ">") for text in said
    ]
    assert Counter(text.text for text in page.texts) == Counter(text.strip() for text in unescaped)


@pytest.mark.parametrize("job", JOBS)
def test_each_sheet_says_what_to_do_and_for_whom(job: str) -> None:
    """Title, job and hand on every sheet; the templates say cut, the elevation says not to."""
    titles = set()
    for name in INSTRUMENT:
        sheet = sheet_of(job, name)
        words = " ".join(label.text for label in sheet.labels())
        titles.add(sheet.title)
        assert f"Job {job}." in words
        assert "-handed" in words
        assert ("Do not cut." in words) == (name == "side_elevation")
        assert ("Cut on the middle of the line." in words) == (name != "side_elevation")
    assert len(titles) == 4
    heel = " ".join(label.text for label in sheet_of(job, "heel").labels())
    assert "eye and ear protection" in heel


@pytest.mark.parametrize("job", JOBS)
def test_the_elevation_is_half_size_on_one_page(job: str) -> None:
    """Without full_size it says 1:2, fits an A4 page one way round, and the gap measures half of what is wanted."""
    sheet = half_elevation(job)
    words = " ".join(label.text for label in sheet.labels())
    assert "Scale 1:2." in words
    assert "Lay nothing on it" in words
    full = sheet_of(job, "side_elevation")
    assert "Scale 1:1." in " ".join(label.text for label in full.labels())
    assert sheet.scale == 0.5
    marks, whole = ({m.name: m for m in one.dimensions if m.name != "note"} for one in (sheet, full))
    assert marks.keys() == whole.keys()
    for name, mark in marks.items():
        assert mark.text == whole[name].text
        a, b = (one[name].points[0].distance(one[name].points[1]) for one in (marks, whole))
        assert a == pytest.approx(b / 2, abs=1e-6)
    (plan,) = best_plans([both_plans(sheet, Paper.A4)])
    assert len(plan.tiles) == 1
