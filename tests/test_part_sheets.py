"""Paper templates of the jig's parts: drawn at the model's size, every part once, every number printed."""

from __future__ import annotations

import io
import itertools
import math
import re
from collections import Counter
from functools import lru_cache

import made_once
import pytest
from jobs_by_hand import changed, load
from made_once import READY, unlike
from paper_jobs import JOBS, all_sheets, jig_of, one_page, solution_of
from pdf_ink import PageInk, read
from shapely import STRtree, box
from svgelements import SVG, Circle, Group
from svgelements import Path as SvgPath

from generator.base.annotation import DimKind
from generator.base.contours2d import Circle as Round
from generator.cutting.making import hand_parts, template_parts
from generator.documents.paper import paper_sheets
from generator.drawing.booklet import best_plans, booklet
from generator.drawing.sheet import Sheet, Stroke
from generator.drawing.strokefont import text_width
from generator.drawing.style import Role
from generator.drawing.tiling import both_plans
from generator.formats.svg.write import svg_text
from generator.jig.build import build_jig
from generator.jig.part import Face, Jig
from generator.jig.results import results_dict
from generator.job.model.job import Paper
from generator.joint import stations as frame
from generator.joint.solution import solve
from generator.kit.paper import files_of

#: Without teeth or inner cuts a rest or caul is a plain rectangle and stands in the cut list.
LISTED = {"board", "caul", "plug_crosspiece"}
LASERED = {"gap_wedge", "centre_sight", "drill_guide", "bushing_slip", "story_stick", "heel_bevel"}

#: Besides the unlike ones the longest booklets: three bolts, two depth blocks, a butt joint's parts; and one in inches.
LONG = unlike("dreadnought-tilted", "auditorium-measured", "folk-butt", "parlour-12")
#: Pages that a ready job's booklet may take, cover and all.
MOST = {name: 8 if "ukulele" in name else 12 for name in LONG}


def jig() -> Jig:
    return jig_of("tilted")


def sheets() -> tuple[Sheet, ...]:
    return all_sheets("tilted")


@lru_cache(maxsize=32)
def page(sheet: Sheet) -> PageInk:
    return read(one_page(sheet))[0]


def _cut(sheet: Sheet) -> list[SvgPath | Circle]:
    document = SVG.parse(io.StringIO(svg_text(sheet)), ppi=25.4)
    group = next(item for item in document if isinstance(item, Group) and item.id == "cut")
    return [shape for shape in group if isinstance(shape, SvgPath | Circle)]


def _shared() -> list[Sheet]:
    return [sheet for sheet in sheets() if sheet.name.startswith("parts_")]


def _words(sheet: Sheet) -> str:
    return " ".join(label.text for label in sheet.labels())


def test_every_part_for_hands_has_its_paper_once() -> None:
    """No two sheets share a name or title; what hands make is a template or in the cut list."""
    names = [sheet.name for sheet in sheets()]
    titles = [sheet.title for sheet in sheets()]
    assert names[:5] == ["side_elevation", "body_end_face", "heel", "sawn_end", "template_plate"]
    assert names[-1] == "cut_list"
    assert len(set(names)) == len(names)
    assert len(set(titles)) == len(titles)
    assert names[-2] == "plate_layers"
    captions, listed = " ".join(_words(sheet) for sheet in _shared()), _words(sheets()[-1])
    for part in jig().parts:
        shared = captions.count(f"{part.title}: make")
        if part.name in LASERED or part.name == "template_plate":
            assert shared == 0, part.name
        elif part.name in LISTED:
            assert shared == 0, part.name
            assert part.title in listed
        else:
            assert shared == 1, part.name


def _tiles_of(found: tuple[Sheet, ...]) -> int:
    return sum(len(plan.tiles) for plan in best_plans([both_plans(sheet, Paper.A4) for sheet in found]))


def test_all_paper_where_the_job_asks_for_it() -> None:
    """With paper_for = "all" the parts that a laser cuts have their templates too, on at most three pages more."""
    solution = solve(load(changed(job={"name": "orchestra"}, output={"paper_for": "all"})))
    jig = build_jig(solution)
    found = paper_sheets(solution, jig, store=made_once.store())
    captions = " ".join(_words(sheet) for sheet in found if sheet.name.startswith("parts_"))
    named = {part.name: part for part in jig.parts}
    for name in (LASERED - {"centre_sight", "story_stick"}) & set(named):  # A rectangle stands in the cut list instead.
        assert captions.count(f"{named[name].title}: make") == 1, name
    few = _tiles_of(all_sheets("orchestra"))
    assert _tiles_of(found) <= few + 3


def test_templates_are_as_large_as_the_parts() -> None:
    """Every template part's outline, a quarter turned or not, and each cut inside it, lie on its sheet at full size."""
    shapes = [shape for sheet in sheets() if sheet.name.startswith(("parts_", "template")) for shape in _cut(sheet)]
    sizes = [(b[2] - b[0], b[3] - b[1]) for b in (shape.bbox() for shape in shapes)]
    lengths = [float(shape.length(error=1e-5)) for shape in shapes]
    parts = template_parts(jig().parts, solution_of("tilted").job)
    assert len(parts) > 10
    for part in parts:
        for contour in (part.outline, *part.through_contours()):
            box = contour.box()
            found = [
                length
                for size, length in zip(sizes, lengths, strict=True)
                if sorted(size) == pytest.approx(sorted((box.width, box.height)), abs=1e-3)
            ]
            assert any(length == pytest.approx(contour.length, abs=0.02) for length in found), part.name


def test_every_dimension_is_printed_within_five_microns() -> None:
    """Each dimension of a template part stands on its page, at an arrow or in words, within 0.005 mm or degrees."""
    texts = {sheet.name: _words(sheet) for sheet in sheets()}
    everything = " ".join(texts[name] for name in texts if name.startswith(("parts_", "template")))
    numbers = {
        float(found) for found in re.findall(r"(?<![\w.])\d+(?:\.\d+)?", everything.replace("R", "").replace("⌀", ""))
    }
    tested = 0
    for part in template_parts(jig().parts, solution_of("tilted").job):
        for dimension in part.dimensions:
            tested += 1
            assert any(abs(number - dimension.value) <= 0.005 for number in numbers), (part.name, dimension.name)
    assert tested > 40


def test_openings_print_what_the_joint_asks() -> None:
    """Opening and tongue follow bushing and bit: offset (15.875 − 12.7)/2 on either side of 19.31 and 19.16."""
    plate = next(sheet for sheet in sheets() if sheet.name == "template_plate")
    widths = {mark.name: mark.value for mark in plate.dimensions}
    assert widths["opening_width"] == pytest.approx(19.31 + 3.175)
    assert widths["tongue_width"] == pytest.approx(19.31 - 0.15 - 3.175)


def test_every_hole_says_how_it_is_drilled() -> None:
    """For each kind of hole of a part for hands a diameter stands on its sheet, at a leader or in words."""
    everything = " ".join(_words(sheet) for sheet in sheets())
    for part in hand_parts(jig().parts, solution_of("tilted").job):
        for hole in (*part.holes, *part.edge_holes):
            size = f"⌀{hole.diameter:.3f}".rstrip("0").rstrip(".")
            assert size in everything, (part.name, hole.id)


def test_the_cut_list_says_what_to_saw_and_where_to_drill() -> None:
    """Board and caul: length, width and thickness as the model has them; the board's holes from two edges, by hand."""
    words = _words(sheets()[-1])
    board = jig().part("board")
    for value in board.size:
        assert f"{value:.3f}".rstrip("0").rstrip(".") in words
    hole = next(hole for hole in board.holes if hole.id == "board-upper-rest" and hole.at.x < 0)
    assert f"{board.size[0] / 2 + hole.at.x:.2f}".rstrip("0").rstrip(".") in words
    # d1 = 21.43 + 3, the rest's middle 6 lower.
    assert -hole.at.y == pytest.approx(21.43 + 3.0 + 6.0)
    assert "30.43" in words


def test_the_cut_list_says_which_face_is_seen() -> None:
    """The board is shown from the body's side, which carries the body rest and the screws' heads; both edges that holes
    count from are named on its picture with their lengths, which is at least 46 mm high or wide."""
    listed = next(sheet for sheet in sheets() if sheet.name == "cut_list")
    words = _words(listed)
    assert "The board from the body's side" in words.replace("  ", " ")
    wide, high, _ = jig().part("board").size
    named = " | ".join(label.text for label in listed.labels())
    for edge, length in (("upper edge", wide), ("left edge", high)):
        assert re.search(rf"{edge}(?: \| | ){length:g}(?: |$)", named), (edge, length, named)
    drawn = [item.path.box() for item in listed.items if isinstance(item, Stroke) and item.role is Role.EDGE]
    assert max(max(one.width, one.height) for one in drawn) >= 46.0
    heads = [hole for hole in jig().part("board").holes if hole.countersink_diameter]
    assert heads
    assert all(hole.face is Face.FRONT for hole in heads)


@pytest.mark.parametrize("name", [name for name in READY if name != "orchestra-left"])
def test_a_template_shows_where_its_sizes_are_measured(name: str) -> None:
    """All sizes of the template plate stand on its drawing, none in words alone, which do not say from where.

    Those inside it keep 4 mm from the lines that are sawn: along one of them a line would be taken for it.
    """
    jig = made_once.jig(name)
    plate = jig.part("template_plate")
    drawn = {sheet.name: sheet for sheet in made_once.paper(name)}
    sheet = drawn.get("template_plate")
    if sheet is None:
        return  # small enough to share a page with other parts, or cut by machine
    assert {one.name for one in plate.dimensions} <= {mark.name for mark in sheet.dimensions}
    assert "Sizes:" not in _words(sheet)
    cuts = [item.path for item in sheet.items if isinstance(item, Stroke) and item.role is Role.CUT]
    sides = [side for path in cuts if not isinstance(path, Round) for side in path.segments()]
    upright = [
        (side.start.x, *sorted((side.start.y, side.end.y))) for side in sides if abs(side.start.x - side.end.x) < 1e-6
    ]
    named = ("tongue_length", "neck_fence", "opening_length")
    inner = [mark for mark in sheet.dimensions if mark.name in named and mark.kind is DimKind.VERTICAL]
    assert upright
    assert inner or name != "orchestra-14"
    for mark in inner:
        low, high = sorted(point.y for point in mark.points)
        beside = [x for x, foot, head in upright if low < head and foot < high]
        assert all(abs(mark.line_at.x - x) >= 4.0 for x in beside), mark.name


@pytest.mark.parametrize("name", ["orchestra-14", "auditorium-measured", "ukulele-tenor", "folk-butt"])
def test_the_template_says_what_lies_off_its_fence_line(name: str) -> None:
    """A domed top and a leaning neck touch the rests below the plate: how far their edges lie off the lines is said.

    By hand: the top's edge from the opening's length, less mortise and edge offset; the neck's from the depth where its
    plane crosses the line, times tan(angle). What nobody would see, 0.2 mm and less, is not said.
    """
    solution, jig = made_once.solved(name), made_once.jig(name)
    results = results_dict(solution, jig)
    cradle, routing = results["cradle"], solution.routing
    neck = -cradle["contact_depth_mm"] * math.tan(math.radians(90.0 - solution.neck_set.heel_angle))
    top = 0.0
    if solution.joint.body_outline is not None:
        top = routing.opening_length - routing.edge_offset - solution.joint.cut_in_body.length
        assert top == pytest.approx(cradle["body_join_x_mm"], abs=1e-9)
    sheets = [sheet for sheet in made_once.paper(name) if sheet.name == "template_plate"]
    if not sheets:
        assert max(abs(neck), abs(top)) < 0.2
        return
    words = _words(sheets[0])
    for edge, off in (("top", top), ("gluing face", neck)):
        where = "farther from" if off > 0.0 else "nearer to"
        said = f"{edge}'s edge lies {abs(off):.2f} mm"
        assert (said in words) is (abs(off) > 0.2), (words, said)
        assert abs(off) <= 0.2 or re.search(rf"{said} (?:\([^)]*\) )?{where} the board than its line", words)


@pytest.mark.parametrize("name", READY)
def test_rests_carry_their_letters_clear_of_their_screws(name: str) -> None:
    """Each angle rest is engraved with its job, angle, width and UP; on no rest stand letters over a hole."""
    built = made_once.jig(name)
    for rest in {part.name for part in built.parts} & {"upper_rest", "angle_rest", "zero_rest", "body_rest"}:
        part = built.part(rest)
        texts = [text.text for text in part.engraved_texts]
        assert "UP" in texts, rest
        drilled = [
            box(
                hole.at.x - hole.diameter / 2,
                *sorted((hole.at.y, hole.at.y + hole.into.y * hole.depth))[:1],
                hole.at.x + hole.diameter / 2,
                max(hole.at.y, hole.at.y + hole.into.y * hole.depth),
            )
            for hole in part.edge_holes
        ]
        for text in part.engraved_texts:
            half = text_width(text.text, text.height) / 2.0
            ink = box(text.at.x - half, text.at.y - text.height / 2, text.at.x + half, text.at.y + text.height / 2)
            assert not any(ink.intersects(hole) for hole in drilled), (rest, text)
    angle = " ".join(text.text for text in built.part("angle_rest").engraved_texts)
    assert name.upper() in angle
    assert " DEG" in angle
    assert "ANGLE REST " in angle


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


def test_every_template_warns_and_names_its_job() -> None:
    """Cutting sheets carry the usual cautions and defer to manual, local rules and teaching; all carry the job."""
    for sheet in sheets():
        words = " ".join(text.text for text in page(sheet).texts)
        assert "Job tilted." in words
        if sheet.name not in ("side_elevation", "body_end_face"):
            assert "qualified teaching come first" in words, sheet.name
            assert "eye" in words.lower()


def test_the_plate_says_how_many_of_what() -> None:
    """How many to make, the stock's name and its thickness stand under the title."""
    stock = solution_of("tilted").job.stock("plate")
    plate = next(sheet for sheet in sheets() if sheet.name == "template_plate")
    said = " ".join(label.text for label in plate.labels() if label.role is Role.TITLE)
    assert "Make one." in said
    assert f"{stock.material} {stock.thickness:g} mm thick" in said


def test_paper_files_of_a_job() -> None:
    """Each sheet as SVG, one booklet a size, nothing else; the same bytes twice; 100 mm square on each cover."""
    job, some = solution_of("tilted").job, sheets()[:2]
    files, again = (files_of(some, (Paper.A4, Paper.LETTER), job.printer) for _ in range(2))
    assert sorted(files) == sorted([*(f"{sheet.name}.svg" for sheet in some), "booklet.A4.pdf", "booklet.letter.pdf"])
    assert files == again
    for name in (n for n in files if n.endswith(".pdf")):
        pages = read(files[name])
        assert len({p.media for p in pages}) == 1
        cover = pages[0]
        squares = [line.shape.bounds for line in cover.lines if len(line.points) == 5]
        assert any(abs(b[2] - b[0] - 100) < 0.01 and abs(b[3] - b[1] - 100) < 0.01 for b in squares), name
        words = " ".join(text.text for text in cover.texts)
        assert "Print at 100 %, actual size" in words
        assert "Job tilted" in words


def test_captions_tell_how_many_of_each() -> None:
    """Shims share one outline on paper: its caption names every thickness and how many of each the jig lists."""
    words = " ".join(_words(sheet) for sheet in _shared())
    shims = [part for part in jig().parts if part.name.startswith("trim_shim")]
    assert len(shims) == 4
    for shim in shims:
        assert f"{shim.title}: make {shim.quantity}, {shim.thickness:g} mm thick" in words


@pytest.mark.parametrize("paper", [Paper.A4, Paper.LETTER])
@pytest.mark.parametrize("name", LONG)
def test_a_booklet_is_twelve_pages_at_most(name: str, paper: Paper) -> None:
    """Cover and all: 12 pages for a guitar, 8 for a ukulele, on A4 as on Letter; only the plate is on two, cut close to
    the board and through none of its holes and letters, or above the plate; so no page is a map.
    """
    solution, parts = made_once.made(name)
    both = [both_plans(sheet, paper) for sheet in paper_sheets(solution, parts, (paper,), made_once.store())]
    plans = best_plans(both)
    several = {plan.sheet.name: plan for plan in plans if len(plan.tiles) > 1}
    assert set(several) <= {"template_plate"}, several.keys()
    pages = booklet(both, "Booklet")
    assert not any("page map" in page.label for page in pages)
    assert len(pages) == 1 + sum(len(plan.tiles) for plan in plans)
    assert len(pages) <= MOST[name]
    for plan in several.values():
        assert len(plan.tiles) == 2
        join = plan.tiles[0].core.y0
        cut = [item.path.box() for item in plan.sheet.items if isinstance(item, Stroke) and item.role is Role.CUT]
        outline = max(cut, key=lambda box: box.height)
        # Between the openings stands the board, half the tenon half's length from the plate's foot.
        half = frame.plate_half_length(frame.Use.NECK, solution.job, solution.cradle, solution.routing)
        # A plate of one opening is whole beyond the board: there it may be cut a little farther off, clear of letters.
        near = 20.0 if solution.joint.stands else 30.0
        assert join > outline.y1 or abs(join - (outline.y0 + half)) <= near
        holes = [item.path for item in plan.sheet.items if isinstance(item, Stroke) and isinstance(item.path, Round)]
        assert all(not hole.box().y0 < join < hole.box().y1 for hole in holes)
        assert [label.text for label in plan.sheet.labels() if label.box().y0 < join < label.box().y1] == []
