"""Paper templates of the jig's parts: drawn at the model's size, every part once, every number printed."""

from __future__ import annotations

import io
import itertools
import math
import re
from collections import Counter
from functools import lru_cache
from pathlib import Path

import pytest
from paper_jobs import JOBS, all_sheets, by_hand, jig_of, one_page, solution_of
from pdf_ink import PageInk, read
from shapely import STRtree
from svgelements import SVG, Circle, Group
from svgelements import Path as SvgPath

from generator.drawing.sheet import Sheet
from generator.drawing.style import Role
from generator.kit.paper import write_paper
from generator.model.job import Paper
from generator.parts.base import Jig, Part
from generator.writers.svg import svg_text

OWN = {
    "template_plate",
    "bed",
    "cheek_left",
    "cheek_right",
    "spine",
    "tie",
    "stop_ledge",
    "hold_down_bar",
    "rib",
    "rail",
}
PACKED = {"set_and_depth_blocks", "guides_and_strips"}


def jig() -> Jig:
    return jig_of("tilted")


def sheets() -> tuple[Sheet, ...]:
    return all_sheets("tilted")


@lru_cache(maxsize=32)
def page(sheet: Sheet) -> PageInk:
    return read(one_page(sheet))[0]


def _own() -> list[tuple[Sheet, Part]]:
    """The sheets that show one part, with the part."""
    names = {part.name: part for part in jig().parts}
    return [(sheet, names[sheet.name]) for sheet in sheets() if sheet.name in names]


def _cut(sheet: Sheet) -> list[SvgPath | Circle]:
    document = SVG.parse(io.StringIO(svg_text(sheet)), ppi=25.4)
    group = next(item for item in document if isinstance(item, Group) and item.id == "cut")
    return [shape for shape in group if isinstance(shape, SvgPath | Circle)]


def test_every_part_has_its_paper_once() -> None:
    """No two sheets share a name or title; each part is named on exactly one, the laser's coupons on none."""
    names = [sheet.name for sheet in sheets()]
    titles = [sheet.title for sheet in sheets()]
    assert names[:3] == ["side_elevation", "body_end_face", "heel"]
    assert len(set(names)) == len(names)
    assert len(set(titles)) == len(titles)
    assert set(names[3:]) == OWN | PACKED
    captions = [" ".join(label.text for label in sheet.labels()) for sheet in sheets() if sheet.name in PACKED]
    for part in jig().parts:
        if part.name.startswith("laser_coupon"):
            assert part.name not in names
        elif part.name not in names:
            title = "Trim shims" if part.name.startswith("trim_shim") else part.title
            assert sum(caption.count(f"{title}: make") for caption in captions) == 1, part.name


def test_templates_are_as_large_as_the_parts() -> None:
    """The outline's box in the SVG equals the part's, and all cut lines together are as long as its contours."""
    assert len(_own()) > 8
    for sheet, part in _own():
        shapes = _cut(sheet)
        boxes = [shape.bbox() for shape in shapes]
        wide, high = max(b[2] - b[0] for b in boxes), max(b[3] - b[1] for b in boxes)
        assert (wide, high) == pytest.approx(part.size[:2], abs=1e-3), part.name
        drawn = sum(float(shape.length(error=1e-5)) for shape in shapes)
        contours = [part.outline, *part.through_contours()]
        assert len(shapes) == len(contours)
        assert drawn == pytest.approx(sum(contour.length for contour in contours), abs=0.02), part.name


def test_every_dimension_is_printed_within_five_microns() -> None:
    """All dimensions of every part stand in its PDF; the printed number is the model's within 0.005 mm or degrees."""
    for sheet, part in _own():
        printed = Counter(text.text for text in page(sheet).texts)
        marks = {mark.name: mark for mark in sheet.dimensions if mark.name != "note"}
        for dimension in part.dimensions:
            text = marks[dimension.name].text
            assert printed[text], text
            number = float(re.match(r"(?:\d+× )?[⌀R]?(\d+(?:\.\d+)?)", text)[1])
            assert number == pytest.approx(dimension.value, abs=0.005), (part.name, dimension.name)


def test_set_block_and_openings_print_what_the_joint_asks() -> None:
    """The block is 18 + 150·sin a + 25·(1 − cos a) at a = θ − tilt; openings and tongue follow bushing and bit."""
    blocks = next(sheet for sheet in sheets() if sheet.name == "set_and_depth_blocks")
    plate = next(sheet for sheet in sheets() if sheet.name == "template_plate")
    block = next(mark for mark in blocks.dimensions if mark.name == "set_block")
    widths = {mark.name: mark.value for mark in plate.dimensions}
    angle = math.radians(by_hand("tilted")[3] - 1.37)
    setting = 18.0 + 150.0 * math.sin(angle) + 25.0 * (1.0 - math.cos(angle))
    assert block.value == pytest.approx(setting, abs=1e-6)
    assert float(block.text) == pytest.approx(setting, abs=0.005)
    # Offset (15.875 − 12.7)/2 = 1.5875 on either side of the mortise 19.31 and the tenon 19.16.
    assert widths["opening_width"] == pytest.approx(19.31 + 3.175)
    assert widths["tongue_width"] == pytest.approx(19.31 - 0.15 - 3.175)


def test_every_hole_says_how_it_is_drilled() -> None:
    """For each kind of hole a diameter stands on the sheet, as a callout, a dimension or a line of the notes."""
    for sheet, part in _own():
        words = " ".join(text.text for text in page(sheet).texts)
        for hole in part.holes:
            size = f"⌀{hole.diameter:.3f}".rstrip("0").rstrip(".")
            assert size in words, (part.name, hole.id)


@pytest.mark.parametrize("job", JOBS)
def test_no_text_is_written_over_anything_on_part_sheets(job: str) -> None:
    """In the PDF no two texts overlap and no line runs through one; engraved letters may meet a hole's centre line."""
    engraved = {text.text for part in jig_of(job).parts for text in part.engraved_texts}
    for sheet in all_sheets(job):
        ink = page(sheet)
        lines = STRtree([line.shape for line in ink.lines])
        for one, other in itertools.combinations(ink.texts, 2):
            assert one.quad.intersection(other.quad).area < 0.01, (sheet.name, one.text, other.text)
        for text in (text for text in ink.texts if text.text not in engraved):
            assert not lines.query(text.quad.buffer(-0.05), "intersects").size, (sheet.name, text.text)


@pytest.mark.parametrize("job", JOBS)
def test_svg_says_what_the_pdf_says_on_part_sheets(job: str) -> None:
    """The same texts, as often, in both files of every sheet."""
    for sheet in all_sheets(job):
        said = (
            text.replace("&quot;", '"').replace("&gt;", ">").replace("&amp;", "&").strip()
            for text in re.findall(r"<text[^>]*>([^<]*)</text>", svg_text(sheet))
        )
        # pdfium gives one blank for several.
        once_spaced = Counter(" ".join(text.split()) for text in said)
        assert once_spaced == Counter(text.text for text in page(sheet).texts), sheet.name


def test_the_two_cheeks_are_mirror_images() -> None:
    """The long arc slot lies as far to the left on the left cheek as to the right on the other; titles tell which."""
    left, right = (next(sheet for sheet in sheets() if sheet.name == f"cheek_{side}") for side in ("left", "right"))
    assert "Left cheek" in left.title
    assert "Right cheek" in right.title
    leaning = []
    for sheet in (left, right):
        boxes = sorted((shape.bbox() for shape in _cut(sheet)), key=lambda b: b[2] - b[0])
        outline = boxes[-1]
        slot = max((b for b in boxes[:-1]), key=lambda b: b[2] - b[0])
        leaning.append((slot[0] + slot[2] - outline[0] - outline[2]) / 2)
    assert leaning[0] == pytest.approx(-leaning[1], abs=0.01)
    assert leaning[0] < -1.0


def test_every_template_warns_and_names_its_job() -> None:
    """Cutting sheets carry the usual cautions and defer to manual, local rules and teaching; all carry the job."""
    for sheet in sheets():
        words = " ".join(text.text for text in page(sheet).texts)
        assert "Job tilted." in words
        if sheet.name not in ("side_elevation", "body_end_face"):
            assert "qualified teaching come first" in words, sheet.name
            assert "eye" in words.lower()


def test_every_template_says_how_many_of_what() -> None:
    """How many to make, the stock's name and its thickness stand under the title, in letters of 5 mm."""
    stocks = solution_of("tilted").job.stocks
    for sheet, part in _own():
        said = " ".join(label.text for label in sheet.labels() if label.height == 5.0 and label.role is Role.TITLE)
        count = {1: "one", 2: "2", 4: "4"}[part.quantity]
        assert f"Make {count}." in said, part.name
        assert f"{stocks[part.stock].material} {part.thickness:g} mm thick" in said, part.name


def test_paper_files_of_a_job(tmp_path: Path) -> None:
    """Each sheet as SVG and per size as PDF, one booklet a size; the same bytes twice; 100 mm square on each cover."""
    job, some = solution_of("tilted").job, sheets()[:2]
    for name in ("one", "two"):
        write_paper(some, job, tmp_path / name, (Paper.A4, Paper.LETTER))
    files = sorted(path.name for path in (tmp_path / "one").iterdir())
    stems = [sheet.name for sheet in some]
    wanted = [f"{stem}.{end}" for stem in stems for end in ("svg", "A4.pdf", "letter.pdf")]
    assert files == sorted([*wanted, "booklet.A4.pdf", "booklet.letter.pdf"])
    for name in files:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()
    for name in (n for n in files if n.endswith(".pdf")):
        pages = read((tmp_path / "one" / name).read_bytes())
        assert len({p.media for p in pages}) == 1
        cover = pages[0]
        squares = [line.shape.bounds for line in cover.lines if len(line.points) == 5]
        assert any(abs(b[2] - b[0] - 100) < 0.01 and abs(b[3] - b[1] - 100) < 0.01 for b in squares), name
        words = " ".join(text.text for text in cover.texts)
        assert "Print at 100 %, actual size" in words
        assert "Job tilted" in words


def test_captions_tell_how_many_of_each() -> None:
    """Shims share one outline on paper: its caption names every thickness and how many of each the jig lists."""
    guides = next(sheet for sheet in sheets() if sheet.name == "guides_and_strips")
    words = " ".join(label.text for label in guides.labels())
    shims = [part for part in jig().parts if part.name.startswith("trim_shim")]
    (count,) = {part.quantity for part in shims}
    assert count == 2
    assert f"Trim shims: make {count} each of" in words
