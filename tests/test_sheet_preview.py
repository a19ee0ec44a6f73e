"""Previews of the nested sheets: the same parts at the same places as in the cutting files, each told by name."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from made_once import jig, solved

from generator.base.points2d import P2, Box
from generator.cutting.cut_layers import CUT_INSIDE, CUT_OUTSIDE
from generator.drawing.sheet import Label, Sheet, Stroke
from generator.drawing.style import Role
from generator.formats.dxf.read import read_dxf
from generator.formats.dxf.write import sheet_dxf
from generator.kit.sheet_preview import SheetPreview, sheet_previews

JOBS = ("orchestra-14", "ukulele-tenor", "strong-dome")


@cache
def previews(name: str) -> tuple[SheetPreview, ...]:
    return sheet_previews(solved(name), jig(name))


def boxes(sheet: Sheet, role: Role) -> list[Box]:
    """Where strokes of one role lie, in millimetres of the nested sheet from its corner."""
    paths = [item.path.box() for item in sheet.items if isinstance(item, Stroke) and item.role is role]
    return [Box(*((side - 1.0) / sheet.scale for side in box)) for box in paths]


@pytest.mark.parametrize("name", JOBS)
def test_the_preview_shows_what_the_cutting_file_cuts(name: str, tmp_path: Path) -> None:
    """Every outline and every opening of the written DXF stands on the picture at its place, and no other."""
    for preview in previews(name):
        path = tmp_path / "sheet.dxf"
        path.write_bytes(sheet_dxf(preview.sheet, solved(name).job.stocks[preview.sheet.stock], name))
        file = read_dxf(path)
        for layer, role in ((CUT_OUTSIDE, Role.CUT), (CUT_INSIDE, Role.HATCH)):
            left = [contour.box() for contour in file.contours(layer)]
            for box in boxes(preview.picture, role):
                same = [other for other in left if tuple(box) == pytest.approx(tuple(other), abs=0.01)]
                assert same, f"{role.value} {box}"
                left.remove(same[0])
            assert left == []


@pytest.mark.parametrize("name", JOBS)
def test_every_part_is_told_by_its_name_or_by_a_number_with_its_name(name: str) -> None:
    """A label on each copy of each part, on its wood, and never smaller than 2.5 mm; the key explains each number."""
    for preview in previews(name):
        labels = [item for item in preview.picture.items if isinstance(item, Label)]
        key = dict(entry.split(" ", 1) for entry in preview.key)
        told = sorted(key.get(label.text, label.text) for label in labels)
        assert told == sorted(place.part.title for place in preview.sheet.places)
        assert min(label.height for label in labels) >= 2.5
        for place in preview.sheet.places:
            on_it = [
                label
                for label in labels
                if key.get(label.text, label.text) == place.part.title
                and place.part.outline.transformed(place.transform).contains(_on_sheet(label, preview.picture))
            ]
            assert on_it, place.part.name


def _on_sheet(label: Label, sheet: Sheet) -> P2:
    return P2((label.at.x - 1.0) / sheet.scale, (label.at.y - 1.0) / sheet.scale)


@pytest.mark.parametrize("name", JOBS)
def test_a_sheet_that_is_not_drawn_to_its_end_holds_all_its_parts(name: str) -> None:
    """What is left out is empty: every part lies within the picture, and the picture never beyond the sheet."""
    for preview in previews(name):
        shown = (preview.picture.width - 2.0) / preview.picture.scale
        assert shown <= preview.sheet.length + 1e-6
        assert max(place.box.x1 for place in preview.sheet.places) < shown
