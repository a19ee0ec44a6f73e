"""The picture of the virtual cut: a builder reads what is cut, what is left and what is wrong, and nothing else."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from itertools import pairwise
from pathlib import Path as FilePath
from typing import Any

import pytest
from joint_sample import bridged, mortise_opening, plate, results
from shapely import Polygon
from test_template_checks import SPOILT, proof

from generator.base.errors import LayoutError
from generator.base.exact import digest
from generator.base.points2d import bounding_box
from generator.base.units import format_mm, to_inches
from generator.drawing.scene import touch
from generator.drawing.sheet import Label, Sheet, Stroke
from generator.drawing.style import Role
from generator.jig.part import Part
from generator.proof.cut.cut_faults import FaultKind, cut_faults
from generator.proof.cut.cut_picture import cut_picture
from generator.proof.cut.template_checks import TemplateProof

RIGHT = "The plate's written file cuts the joint that was asked for."
WRONG = "The plate's written file does NOT cut the joint that was asked for."


#: The proof of a plate, by the plate's content; in which units it is drawn changes none.
_PROVED: dict[str, TemplateProof] = {}
#: The picture of a cut, by the plate's content and the units it is drawn in.
_DRAWN: dict[tuple[str, str], Sheet] = {}


def drawn(folder: FilePath, part: Part, units: str = "mm") -> tuple[TemplateProof, Sheet]:
    found = results()
    found["inputs"]["output"]["units"]["value"] = units
    key = digest(part)
    if key not in _PROVED:
        _PROVED[key] = proof(folder, part)
    if (key, units) not in _DRAWN:
        _DRAWN[key, units] = cut_picture(_PROVED[key], found, "sample")
    return _PROVED[key], _DRAWN[key, units]


def words(sheet: Sheet) -> str:
    return " ".join(label.text for label in sheet.labels())


def numbers(found: Mapping[str, Any], result: TemplateProof) -> Iterator[float]:
    """Every length of the results, and what the virtual cut and the mated pair measure, mm."""
    for entry in found.values():
        if isinstance(entry, Mapping):
            yield from numbers(entry, TemplateProof({}, {}, None, ()))
        elif isinstance(entry, int | float) and not isinstance(entry, bool):
            yield float(entry)
    for cut in result.cuts.values():
        yield from (cut.width, cut.length or 0.0)
        for fault in cut_faults(cut):
            yield from (fault.size, fault.down)
    if result.fit is not None:
        yield from (result.fit.side, result.fit.end, result.fit.sideways, result.fit.tightest)
        # The room at the floor: the mortise's depth less what the finished tenon stands out.
        yield found["joint"]["mortise_depth_mm"] - found["joint"]["tenon_projection_mm"]


@pytest.mark.parametrize(
    ("name", "units"),
    [
        ("good", "mm"),
        ("good", "inch"),
        ("good", "both"),
        ("opening 0.3 wide", "inch"),
        # Figures of either unit stand in these.
        ("opening 0.3 wide", "both"),
        ("tongue shifted", "both"),
        ("opening's corner too wide", "both"),
    ],
)
def test_every_printed_number_is_one_of_the_results_or_of_the_virtual_cut(
    name: str, units: str, tmp_path: FilePath
) -> None:
    """Millimetres within 0.005 of a length of results.json or of the cut, inches within half of their last digit."""
    result, sheet = drawn(tmp_path, SPOILT[name][0] if name in SPOILT else plate(), units)
    known = {abs(number) for number in numbers(results(), result)}
    printed = re.findall(r"\[?(?<![\w.])\d+(?:\.\d+)?", words(sheet))
    assert len(printed) > 10
    for figure in printed:
        in_inches = units == "inch" or figure.startswith("[")
        value = figure.lstrip("[")
        assert any(
            abs(float(value) - to_inches(number)) <= 0.00051 if in_inches else value == format_mm(number)
            for number in known
        ), figure


@pytest.mark.parametrize("units", ["mm", "both"])
def test_a_good_plate_is_told_in_one_sentence_and_its_rooms(units: str, tmp_path: FilePath) -> None:
    """The sample's joint by its written-out numbers: 19.05 × 92, 22.225 deep; 18.9 × 91; room 0.15, 1 and 1.225."""
    said = words(drawn(tmp_path, plate(), units)[1])
    assert RIGHT in said
    assert "NOT" not in said
    for mm in ("19.05", "92", "22.225", "18.9", "91", "2.5"):
        assert re.search(rf"(?<![\d.]){re.escape(mm)}(?![\d.]\d)", said), mm
    plain = re.sub(r" \[[\d.]+\]", "", said)
    assert "0.15 room in all at the sides, 1 at the end, 1.225 at the floor. Gaps drawn ten times as wide." in plain
    assert "too much" not in plain
    assert "0.000" not in plain


SAID = {
    "opening 0.3 wide": ("cut here 0.3 too wide", "The mortise is cut 0.3 too wide, at its sides."),
    "opening 0.3 narrow": ("cut here 0.3 too narrow", "0.15 too tight at the sides"),
    "opening shifted": ("cut here 0.1 off the centreline", "The neck comes to stand 0.1 beside"),
    "opening long": ("cut here 0.5 too long", "1.5 at the end"),
    "opening's corner tighter than the bushing": ("Mortise unreached: corner or passage",),
    "opening's corner too wide": ("too little cut away here", "it does NOT go in"),
    "tongue shifted": ("cut here 0.2 off the centreline", "The tenon is cut 0.2 off"),
    "tongue wide": ("cut here 0.2 too wide", "0.05 too tight at the sides"),
    "tongue's corners sharp": ("too little cut away here", "it does NOT go in"),
    "window too narrow for the heel": ("loose wood left standing here",),
    "window not over the fence": ("Tenon cut: the template has no opening",),
    "openings moved along": ("cut here 0.5 too long", "cut here 0.5 too short"),
    "bushing too large": ("Mortise cut: the bushing of 15.875 mm does not enter",),
}


@pytest.mark.parametrize("name", SPOILT)
def test_each_fault_of_the_plate_stands_in_words(name: str, tmp_path: FilePath) -> None:
    """A spoilt plate is never called right, what is wrong is written where it is, and wood is not to be cut."""
    said = words(drawn(tmp_path, SPOILT[name][0])[1])
    assert WRONG in said
    assert RIGHT not in said
    assert "Do not cut wood with this plate." in said
    for told in SAID[name]:
        assert told in said, told


def test_the_outline_asked_for_is_dashed_only_where_the_cut_misses_it(tmp_path: FilePath) -> None:
    """0.3 too wide: a dashed outline 19.05 wide within a wall drawn 3 mm wider; a good plate has no dashed line."""

    def dashed(sheet: Sheet) -> list[Stroke]:
        return [item for item in sheet.items if isinstance(item, Stroke) and item.role is Role.HIDDEN]

    assert dashed(drawn(tmp_path, plate())[1]) == []
    _, sheet = drawn(tmp_path, plate(mortise_opening(wider=0.3)))
    (wanted,) = dashed(sheet)
    assert wanted.path.box().width == pytest.approx(19.05, abs=1e-3)
    walls = [item.path.box() for item in sheet.items if isinstance(item, Stroke) and item.role is Role.VISIBLE]
    cut = max((box for box in walls if wanted.path.box().overlaps(box)), key=lambda box: box.width)
    assert cut.width == pytest.approx(19.05 + 10 * 0.3, abs=0.02)


def test_the_gaps_are_drawn_as_wide_as_it_says(tmp_path: FilePath) -> None:
    """Ten times 0.15 across and ten times 1 at the end lie between the tenon and the mortise it is laid in."""
    _, sheet = drawn(tmp_path, plate())
    rings = [item.path.box() for item in sheet.items if isinstance(item, Stroke) and item.role is Role.VISIBLE]
    hole = max(rings, key=lambda box: box.x0)
    inside = [
        item.path.box()
        for item in sheet.items
        if isinstance(item, Stroke) and item.role is Role.EDGE and hole.overlaps(item.path.box())
    ]
    (tenon,) = inside
    assert hole.width - tenon.width == pytest.approx(1.5, abs=0.01)
    assert tenon.y0 - hole.y0 == pytest.approx(10.0, abs=0.02)


@pytest.mark.parametrize("part", [plate(), bridged(), *(part for part, _ in SPOILT.values())])
def test_no_words_touch_a_line_or_other_words(part: Part, tmp_path: FilePath) -> None:
    """Letters are at least 2.5 mm tall, and nothing is written over anything."""
    _, sheet = drawn(tmp_path, part, "both")
    labels = [item for item in sheet.every_item() if isinstance(item, Label)]
    assert min(label.height for label in labels) >= 2.5
    for i, label in enumerate(labels):
        quad = label.corners()
        assert not any(Polygon(map(tuple, quad)).overlaps(Polygon(map(tuple, o.corners()))) for o in labels[:i])
        for item in sheet.every_item():
            if isinstance(item, Stroke):
                if not item.path.box().overlaps(bounding_box(quad), -1e-6):
                    continue
                runs = pairwise(item.path.flatten(0.01))
                assert not any(touch(quad, run) for run in runs if run[0] != run[1]), label.text


def test_a_tenon_that_runs_out_is_to_be_sawn(tmp_path: FilePath) -> None:
    """With a bridged tongue the picture asks for the saw and for eased corners, and gives the length that was asked."""
    found = results()
    found["inputs"]["jig"]["bridged"]["value"] = True
    said = words(cut_picture(proof(tmp_path, bridged(), found), found, "sample"))
    assert RIGHT in said
    assert "saw it off at its length" in said
    assert "Ease the sawn end's corners" in said
    assert " 91 " in said


def test_a_miss_that_a_size_explains_is_told_once(tmp_path: FilePath) -> None:
    """0.3 too wide is also 0.15 too much at either wall: one fault, not two; 0.03 is told, 0.015 is not seen."""
    kinds = {
        wider: [fault.kind for cut in drawn(tmp_path, plate(mortise_opening(wider=wider)))[0].cuts.values()
                for fault in cut_faults(cut)]
        for wider in (0.3, 0.03, 0.015)
    }  # fmt: skip
    assert kinds == {0.3: [FaultKind.WIDE], 0.03: [FaultKind.WIDE], 0.015: []}


def test_nothing_cut_is_no_picture() -> None:
    """An empty picture is never written."""
    with pytest.raises(LayoutError, match="no cut"):
        cut_picture(TemplateProof({}, {}, None, ()), results(), "sample")
