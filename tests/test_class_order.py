"""The class's order: every part on the sheets is the part of its student, made once, and everything is counted."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from class_of_twelve import twelve

from generator.classes.order import MARK, ClassPart, Order, class_order
from generator.classes.plan import ClassPlan, check_rows, plan_class
from generator.cutting.making import Process
from generator.jig.build import build_jig
from generator.jig.compare import Verdict, compare_jigs
from generator.jig.part import Jig, Part
from generator.job.fasteners import boxes
from generator.joint.solution import solve


@cache
def _ordered(folder: Path) -> tuple[ClassPlan, Order]:
    table, _ = twelve(folder)
    good, faults = check_rows(table)
    assert faults == []
    plan = plan_class("spring", good)
    return plan, class_order(plan)


@pytest.fixture
def ordered(tmp_path_factory: pytest.TempPathFactory) -> tuple[ClassPlan, Order]:
    return _ordered(tmp_path_factory.getbasetemp())


def test_every_student_has_every_part_once(ordered: tuple[ClassPlan, Order]) -> None:
    """For every part of a student's own kit there is just one that serves him: his own or a shared jig's."""
    plan, order = ordered
    for place in plan.places:
        wanted = {part.name for part in build_jig(place.solution).parts}
        given = Counter(_made_as(one) for one in order.parts if place.name in one.users)
        assert set(given) == wanted
        assert set(given.values()) == {1}
        (rest,) = (one for one in order.parts if place.name in one.users and _made_as(one) == "angle_rest")
        assert rest.users == (place.name,)


def test_a_part_on_a_sheet_is_the_part_of_its_student(ordered: tuple[ClassPlan, Order]) -> None:
    """Shape for shape, each own part is the one that a kit of the student's job alone has, and carries the name."""
    plan, order = ordered
    kits = {place.name: build_jig(place.solution) for place in plan.places}
    for one in order.parts:
        if one.holder not in kits:
            continue
        kit = kits[one.holder]
        alone = Jig((kit.part(_made_as(one)),), (), (), ())
        (verdict,) = compare_jigs(Jig((_as_made(one),), (), (), ()), alone)
        assert verdict.verdict is Verdict.SERVES, verdict
    named = [one for one in order.parts if _made_as(one) in ("angle_rest", "plug", "template_plate", "board")]
    for one in named:
        assert any(one.holder.upper() in text.text for text in one.part.engraved_texts), one.part.name


def test_a_shared_part_is_the_part_of_its_jig(ordered: tuple[ClassPlan, Order]) -> None:
    """What a jig's students share is of the jig as it is made for all of them, and each of them works with it."""
    plan, order = ordered
    jigs = {jig.folder: (jig, build_jig(solve(jig.solution.job))) for jig in plan.sharing.jigs}
    shared = [one for one in order.parts if one.holder in jigs]
    assert {"template_plate", "board", "bracket_left", "upper_rest"} <= {_made_as(one) for one in shared}
    for one in shared:
        jig, made = jigs[one.holder]
        (verdict,) = compare_jigs(Jig((_as_made(one),), (), (), ()), Jig((made.part(_made_as(one)),), (), (), ()))
        assert verdict.verdict is Verdict.SERVES, verdict
        assert set(one.users) <= {plan.places[member].name for member in jig.members}
        assert len(one.users) > 1


def _made_as(one: ClassPart) -> str:
    """The part's name in a kit, that of its holder taken off."""
    held = f"{one.holder}{MARK}"
    assert one.part.name.startswith(held)
    return one.part.name.removeprefix(held)


def _as_made(one: ClassPart) -> Part:
    return replace(one.part, name=_made_as(one))


def test_every_part_lies_once_on_a_sheet_of_its_stock(ordered: tuple[ClassPlan, Order]) -> None:
    """Copies counted, none lost and none twice; inside the sheet; no two boxes overlap; far fewer sheets than alone."""
    _, order = ordered
    wanted = Counter({one.part.name: one.part.quantity for one in order.parts if one.nested})
    assert {one.part.stock for one in order.parts if not one.nested} == {"brass-shim"}
    assert Counter(place.part.name for sheet in order.sheets for place in sheet.places) == wanted
    for sheet in order.sheets:
        boxes = [place.box for place in sheet.places]
        assert all(place.part.stock == sheet.stock for place in sheet.places)
        assert all(box.x0 >= 0 and box.y0 >= 0 and box.x1 <= sheet.length and box.y1 <= sheet.width for box in boxes)
        assert not any(a.overlaps(b, 1e-6) for i, a in enumerate(boxes) for b in boxes[:i])
    assert len(order.sheets) < 12
    assert order.coupons == tuple(dict.fromkeys(sheet.stock for sheet in order.sheets if sheet.cut_by is Process.LASER))


def test_what_is_bought_is_counted(ordered: tuple[ClassPlan, Order]) -> None:
    """Screws as the jigs' own lists sum up, two bolts and their inserts a neck, and areas that add up."""
    plan, order = ordered
    jigs = [build_jig(jig.solution) for jig in plan.sharing.jigs]
    screws = sum(item.count for jig in jigs for item in jig.hardware)
    bolts = sum(len(place.solution.joint.bolts) for place in plan.places)
    necks = [one for one in order.buy if one.purpose == "the necks' joints"]
    shims = sum(one.part.quantity for one in order.parts if not one.nested)
    assert sum(one.count for one in order.buy) == screws + shims + 2 * bolts
    assert sum(one.count for one in necks if "bolt" in one.what) == bolts
    for use in order.stocks:
        mine = [one.part for one in order.parts if one.part.stock == use.stock.name]
        assert use.parts == sum(part.quantity for part in mine)
        assert use.area == pytest.approx(sum(part.profile_area * part.quantity for part in mine) / 1e6)
        assert use.sheet_area == pytest.approx(use.sheets * use.stock.sheet_length * use.stock.sheet_width / 1e6)
        assert 0.0 < use.waste < 1.0


@pytest.mark.parametrize(
    ("count", "wanted"),
    [(1, (50,)), (50, (50,)), (51, (100,)), (130, (100, 50)), (150, (100, 50)), (151, (200,)), (430, (200, 200, 50))],
)
def test_screws_come_in_boxes(count: int, wanted: tuple[int, ...]) -> None:
    """As few pieces as do, then as few boxes; boxes of 50, 100 and 200 are common practice."""
    assert boxes("Countersunk wood screw", count) == wanted
    assert boxes("bolt M6 × 40, with washer", count) == ()


def test_every_screw_of_a_class_has_its_boxes(ordered: tuple[ClassPlan, Order]) -> None:
    """Screws come in boxes that hold them all, none in more than the least box too many; bolts by the piece."""
    _, order = ordered
    screws = [one for one in order.buy if "screw" in one.what]
    assert screws
    for one in screws:
        assert one.count <= sum(one.boxes) < one.count + 50
        assert one.packed.startswith(("1 box of", "2 boxes of", "3 boxes of", "4 boxes of"))
    assert all(one.packed == "" for one in order.buy if one.purpose == "the necks' joints")
