"""What a shop drawing says in tables and on leaders: fits, corners, slots, ids, and balloons that end on their part.

Judges: the formulas of ISO 286-1, the contours' own areas, a ray through the CAD kernel's solids.
"""

from __future__ import annotations

import math
from collections import Counter
from functools import cache

import pytest
from jobs_by_hand import changed, load
from made_once import made as made_ready
from sharp_corners import corners
from shown_where import owner_at

from generator.base.contours2d import Path
from generator.base.points2d import P2
from generator.base.shapes2d import rounded_polygon
from generator.documents.hole_callout import hole_text
from generator.documents.shop.contours import outline_radius
from generator.documents.shop.formats import SheetNumber
from generator.documents.shop.holes import labels, numbered_holes, part_tables
from generator.documents.shop.part_drawing import part_drawing
from generator.documents.shop.pictures import standing
from generator.drawing.callout import Notation
from generator.drawing.picture import seen
from generator.drawing.projection import JigView
from generator.drawing.sheet import Sheet
from generator.jig.build import build_jig
from generator.jig.part import Hole, Jig, Part
from generator.job.fasteners import hole_limits
from generator.job.model.job import UnitsChoice
from generator.joint.solution import Solution, solve

JOBS = ("orchestra-14", "ukulele-tenor", "machined")
MM = Notation(UnitsChoice.MM, bench=False)


@cache
def made(name: str) -> tuple[Solution, Jig]:
    if name != "machined":
        return made_ready(name)
    solution = solve(load(changed(jig={"preset": name})))
    return solution, build_jig(solution)


@cache
def drawn(job: str, name: str) -> Sheet:
    solution, jig = made(job)
    return part_drawing(jig.part(name), solution.job, SheetNumber(1, 1))


def all_parts() -> list[tuple[str, Part]]:
    return [(job, part) for job in JOBS for part in made(job)[1].parts]


# --- fits ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("over", "up_to"), [(3, 6), (6, 10), (10, 18), (18, 30)])
def test_limits_follow_iso_286(over: int, up_to: int) -> None:
    """ISO 286-1: IT7 is 16·i, i = 0.45·∛D + 0.001·D µm; f lies 5.5·D^0.41 µm off; D the mean of the range's ends.

    The standard rounds its tables, so 1 µm is allowed.
    """
    middle = math.sqrt(over * up_to)
    unit = 0.45 * middle ** (1 / 3) + 0.001 * middle
    for size in (over + 0.01, float(up_to)):
        h, f = hole_limits("H7", size), hole_limits("F7", size)
        assert h.lower == 0.0
        assert 1000 * h.upper == pytest.approx(16 * unit, abs=1.0)
        assert 1000 * f.lower == pytest.approx(5.5 * middle**0.41, abs=1.0)
        assert f.upper - f.lower == pytest.approx(h.upper, abs=1e-9)


def test_a_pressed_dowel_holds_and_a_sliding_one_slides() -> None:
    """A dowel pin m6 of 5 mm (ISO 2338: +4 to +12 µm) is 8 µm loose to 12 tight in H7, 2 tight to 18 loose in F7."""
    press, slide = hole_limits("H7", 5.0), hole_limits("F7", 5.0)
    assert (press.lower - 0.012, press.upper - 0.004) == pytest.approx((-0.012, 0.008))
    assert (slide.lower - 0.012, slide.upper - 0.004) == pytest.approx((-0.002, 0.018))


@pytest.mark.parametrize(
    ("units", "text"),
    [
        (UnitsChoice.MM, "⌀5 H7 (+0.012/0) through"),
        (UnitsChoice.INCH, "⌀0.1969 (5 mm) H7 (+0.0005/0) through"),
        (UnitsChoice.BOTH, "⌀5 [0.1969] H7 (+0.012/0) through"),
    ],
)
def test_a_fit_is_called_out_with_its_limits(units: UnitsChoice, text: str) -> None:
    """A fitted hole carries its class and limits, inches to a ten-thousandth; a sheet for the bench leaves both out."""
    hole = Hole("dowel", P2(0.0, 0.0), 5.0, fit="H7")
    assert hole_text(hole, Notation(units, bench=False)) == text
    assert "H7" not in hole_text(hole, Notation(units, bench=True))


def test_no_limits_beyond_the_table() -> None:
    """A diameter the table does not hold is refused, not guessed."""
    with pytest.raises(ValueError, match="30 mm"):
        hole_limits("H7", 31.0)


# --- contours --------------------------------------------------------------------------------------------------------


def test_corners_give_the_contour_back() -> None:
    """Rounding the listed corners by the listed radii encloses the contour's own area, in every part of three jigs."""
    seen = 0
    for job, part in all_parts():
        contours = [part.outline, *(o.contour for o in part.openings if isinstance(o.contour, Path))]
        for contour in contours:
            found = corners(contour)
            if not any(corner.relief for corner in found):
                seen += 1
                again = rounded_polygon([corner.at for corner in found], [corner.radius for corner in found])
                assert again.area == pytest.approx(contour.area, rel=1e-9), (job, part.name)
    assert seen > 40


def test_a_rectangle_tells_its_corner_radius() -> None:
    """The plate's four corners are 8 round; a bracket is no rectangle, a board's corners are sharp."""
    _, jig = made("orchestra-14")
    assert outline_radius(jig.part("template_plate").outline) == pytest.approx(8.0)
    assert outline_radius(jig.part("bracket_left").outline) is None
    assert outline_radius(jig.part("board").outline) is None


# --- the drawings ----------------------------------------------------------------------------------------------------


def test_every_id_of_a_table_stands_in_the_view() -> None:
    """What a table lists by an id, the view points at under that id, once; a part without tables has no ids."""
    for job, part in all_parts():
        pointed = Counter([item.id for item in numbered_holes(part)] + [item.id for item in labels(part)])
        listed = Counter(row[0] for table in part_tables(part, MM) if table.heading[0] == "Id" for row in table.rows)
        assert pointed == listed, (job, part.name)
        assert all(count == 1 for count in listed.values())


@pytest.mark.parametrize(
    ("job", "name"),
    [("machined", "board"), ("machined", "template_plate"), ("orchestra-14", "board"), ("ukulele-tenor", "plug")],
)
def test_the_sheet_carries_ids_and_tables(job: str, name: str) -> None:
    """On the drawn sheet every id stands at least twice, in the view and in its table."""
    words = Counter(label.text for label in drawn(job, name).labels())
    part = made(job)[1].part(name)
    for item in [*labels(part), *numbered_holes(part)]:
        assert words[item.id] >= 2, item.id


def test_the_hole_table_counts_each_kind_once() -> None:
    """The counts of a hole table add up to the holes there are, each with the first hole of its kind."""
    for job, part in all_parts():
        for table in part_tables(part, MM):
            if "Count" not in table.heading:
                continue
            column = table.heading.index("Count")
            counted = [(row[column], row[-1]) for row in table.rows]
            assert sum(int(count.removesuffix("×")) for count, _ in counted if count) == len(table.rows)
            kinds = Counter(drill for _, drill in counted)
            for i, (count, drill) in enumerate(counted):
                first = all(earlier != drill for _, earlier in counted[:i])
                assert count == (f"{kinds[drill]}×" if first else ""), (job, part.name)


@pytest.mark.parametrize(
    ("job", "name"), [("machined", "template_plate"), ("machined", "board"), ("ukulele-tenor", "angle_rest")]
)
def test_each_tolerance_has_its_reason_once(job: str, name: str) -> None:
    """Each reason for a tolerance is printed once, however many dimensions share it."""
    part = made(job)[1].part(name)
    text = " ".join(label.text.strip() for label in drawn(job, name).labels())
    # A hole's place is the table's; its dimension and reason stay away.
    marks = {mark.name for mark in drawn(job, name).dimensions}
    shown = [d for d in (*part.dimensions, *part.shop_dimensions) if d.tolerance and d.name in marks]
    for reason in {d.tolerance.reason for d in shown if d.tolerance}:
        assert text.count(reason) == 1, reason


# --- balloons --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("view", [JigView.ISOMETRIC_FRONT, JigView.ISOMETRIC_BELOW, JigView.ISOMETRIC_BEHIND])
def test_a_leaders_end_lies_on_its_piece(view: JigView) -> None:
    """Where a balloon may point, and half the stated room to each side, the picture shows that piece."""
    _, jig = made("machined")
    picture = seen(standing(jig), view.value)
    assert len(picture.spots) >= 7
    for name, spot in picture.spots.items():
        for dx, dy in ((0.0, 0.0), (0.5, 0.0), (-0.5, 0.0), (0.0, 0.5), (0.0, -0.5)):
            if spot.room >= 2.0:
                at = P2(spot.at.x + dx * spot.room, spot.at.y + dy * spot.room)
                assert owner_at(picture, at) == name


def test_the_assembly_shows_every_standing_part() -> None:
    """Every part that stands for neck or body has a balloon in one of the pictures; the note lists just the others."""
    from generator.documents.shop.assembly_drawing import assembly_drawing

    solution, jig = made("machined")
    sheet = assembly_drawing(solution.job, jig, SheetNumber(1, len(jig.parts) + 1))
    rings = [item.path.center for item in sheet.items if getattr(getattr(item, "path", None), "radius", None) == 4.0]
    inside = {label.text for label in sheet.labels() if any(label.at.distance(ring) < 1e-6 for ring in rings)}
    standing = {item.part.name for item in jig.placed}
    numbers = {str(number) for number, part in enumerate(jig.parts, 1) if part.name in standing}
    assert len(numbers) == 8
    assert inside >= numbers
    assert any(text.startswith("H") for text in inside)
    note = next(label.text for label in sheet.labels() if label.text.startswith("It stands alike for both cuts"))
    assert "9 to " in note


def test_overall_sizes_are_the_plates_and_the_boards() -> None:
    """The square views' overall sizes: board's width, plate's length, plate top to the board's foot."""
    from generator.documents.shop.assembly_drawing import assembly_drawing

    solution, jig = made("machined")
    sheet = assembly_drawing(solution.job, jig, SheetNumber(1, 1))
    values = sorted(mark.value for mark in sheet.dimensions if mark.name.startswith("overall"))
    plate, board = jig.part("template_plate"), jig.part("board")
    wanted = [max(board.box.width, plate.box.height), plate.box.width, plate.thickness + board.box.height]
    assert values == pytest.approx(sorted(wanted), abs=1e-6)


def test_numbers_of_labels_are_unique_texts() -> None:
    """No two labels of one part share an id, and holes in a face never take the letter of edge holes."""
    for _, part in all_parts():
        ids = [item.id for item in labels(part)] + [item.id for item in numbered_holes(part)]
        assert len(ids) == len(set(ids))
        assert not {item.id[0] for item in numbered_holes(part)} & set("E")
