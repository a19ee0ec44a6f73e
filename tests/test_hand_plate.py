"""A template plate of two layers: the pieces laid together are the plate that a machine would cut."""

from __future__ import annotations

import math
import re

import pytest
from made_once import READY, made, paper
from shapely import Polygon, box, get_parts, set_precision, unary_union

from generator.cutting.making import glued_by_hand
from generator.documents.paper import sheet_names
from generator.drawing.sheet import Label
from generator.jig.hand_plate import HandPlate
from generator.jig.layout import jig_layout
from generator.jig.part import Part
from generator.jig.template_plate import TEMPLATE_PLATE

#: Rounded corners are flattened to within this, mm.
_FLAT = 0.01


def _by_hand() -> list[str]:
    return [name for name in READY if glued_by_hand(made(name)[1].part(TEMPLATE_PLATE.name), made(name)[0])]


def _shape(part: Part) -> Polygon:
    """The plate's material without its screw holes."""
    holes = [[(at.x, at.y) for at in opening.contour.flatten(_FLAT)] for opening in part.openings]
    return Polygon([(at.x, at.y) for at in part.outline.flatten(_FLAT)], holes)


@pytest.mark.parametrize("job", _by_hand())
def test_the_pieces_laid_together_are_the_plate(job: str) -> None:
    """shapely's union of the pieces differs from the cut plate in rounded corners alone: nowhere by more than one
    corner's piece of (1 − π/4) r², and not at all along an edge."""
    solution, jig = made(job)
    plate, part = HandPlate(jig_layout(solution)), jig.part(TEMPLATE_PLATE.name)
    boxes = [box(*place) for piece in plate.pieces for place in piece.places]
    assert sum(one.area for one in boxes) == pytest.approx(unary_union(boxes).area), "no two pieces overlap"
    radius = max(solution.routing.bushing_od / 2.0, 8.0)
    for left in get_parts(set_precision(unary_union(boxes).symmetric_difference(_shape(part)), 1e-6)):
        assert left.area <= (1.0 - math.pi / 4.0) * radius**2 + 2.0 * radius * _FLAT
        x0, y0, x1, y1 = left.bounds
        assert max(x1 - x0, y1 - y0) <= radius + _FLAT


@pytest.mark.parametrize("job", _by_hand())
def test_packings_hold_opening_and_tongue(job: str) -> None:
    """The offcut is as wide as the opening; both packings are alike and reach from the tongue to the window's sides."""
    solution, _ = made(job)
    plate, routing = HandPlate(jig_layout(solution)), solution.routing
    offcut, beside = plate.packings
    assert offcut.places[0].height == pytest.approx(routing.opening_width)
    low, high = sorted(beside.places, key=lambda place: place.y0)
    assert low.height == pytest.approx(high.height)
    assert high.y0 - low.y1 == pytest.approx(routing.tongue_width)
    assert (low.y0, high.y1) == pytest.approx((-routing.window_half_width, routing.window_half_width))
    assert plate.upper + plate.lower == pytest.approx(solution.job.stock("plate").actual_thickness)
    assert plate.upper > solution.job.router.bushing_length


def test_the_page_tells_the_widths_that_make_the_joint() -> None:
    """The page stands in the booklet of a plate for hands alone; its table has both widths to the hundredth."""
    solution, jig = made("orchestra-14")
    sheet = next(one for one in paper("orchestra-14") if one.name == "plate_layers")
    told = [item.text for item in sheet.every_item() if isinstance(item, Label)]
    for width in (solution.routing.opening_width, solution.routing.tongue_width):
        assert any(re.fullmatch(rf"{width:g} \[[\d.]+\]", text) for text in told)
    assert "plate_layers" in sheet_names(solution, jig)
    assert "plate_layers" not in sheet_names(*made("ukulele-tenor"))
