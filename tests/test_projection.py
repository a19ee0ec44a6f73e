"""Views, against what descriptive geometry says each of them must show."""

from __future__ import annotations

import math

import pytest
from shown_where import owner_at
from slots import straight_slot
from solid_samples import board, small_jig

from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, Y_AXIS, Z_AXIS
from generator.base.points2d import P2
from generator.documents.scene.part import part_facets
from generator.drawing.picture import Picture, Shown, seen
from generator.drawing.projection import JigView, PartView, isometric
from generator.jig.part import Opening, Part


def plain(**more: object) -> Part:
    return board("plain", 40.7, 30.3, 18.3, **more)


def picture(part: Part, view: PartView) -> Picture:
    return seen([Shown(part.name, part_facets(part))], view.value)


@pytest.mark.parametrize(
    ("view", "box"),
    [
        (PartView.FRONT, (0.0, 0.0, 40.7, 30.3)),
        (PartView.BACK, (-40.7, 0.0, 0.0, 30.3)),
        (PartView.TOP, (0.0, -18.3, 40.7, 0.0)),
        (PartView.RIGHT, (-18.3, 0.0, 0.0, 30.3)),
        (PartView.LEFT, (0.0, 0.0, 18.3, 30.3)),
    ],
)
def test_a_block_is_a_rectangle_from_each_side(view: PartView, box: tuple[float, ...]) -> None:
    """One closed rectangle in the right place; the edges behind it are not seen."""
    found = picture(plain(), view)
    (outline,) = found.lines
    assert outline.closed
    assert len(outline.points) == 5
    assert tuple(found.box) == pytest.approx(box, abs=1e-9)


def test_isometric_shows_three_edges_alike() -> None:
    """From a corner all three directions are shortened to √(2/3), 120° apart, Z up the sheet."""
    view = isometric(P3(1.0, 1.0, 1.0), Z_AXIS)
    ends = [view.to_part(axis) for axis in (P3(1, 0, 0), Y_AXIS, Z_AXIS)]
    assert [math.hypot(p.x, p.y) for p in ends] == pytest.approx([math.sqrt(2 / 3)] * 3)
    turns = sorted(math.degrees(math.atan2(p.y, p.x)) for p in ends)
    assert turns == pytest.approx([-150.0, -30.0, 90.0])
    with pytest.raises(GeometryError, match="direction"):
        isometric(Z_AXIS, Z_AXIS)


def test_handedness_in_every_view() -> None:
    """A slot near one corner is near the right corner in both views that look through it."""
    part = plain(openings=(Opening("slot", straight_slot(P2(8.0, 22.0), P2(14.0, 22.0), 4.0)),))
    for view, middle in ((PartView.FRONT, P2(11.0, 22.0)), (PartView.BACK, P2(-11.0, 22.0))):
        found = picture(part, view)
        assert owner_at(found, middle) is None
        assert owner_at(found, P2(-middle.x * 2.0, 22.0)) is None
        assert owner_at(found, P2(middle.x * 2.0, 22.0)) == "plain"


def test_jig_views_agree_with_each_other() -> None:
    """Front and top share Y to the right, side views share Z up; the right side shows +X to the left."""
    solids = [Shown(placed.label, part_facets(placed.part, placed.placement)) for placed in small_jig().placed]
    boxes = {view: seen(solids, view.value).box for view in JigView}
    for view in (JigView.FRONT, JigView.TOP):
        assert (boxes[view].x0, boxes[view].x1) == pytest.approx((-100.0, 100.0))
    low, high = boxes[JigView.LEFT].x0, boxes[JigView.LEFT].x1
    assert (low, high) == pytest.approx((-120.0, 130.0))
    assert (boxes[JigView.RIGHT].x0, boxes[JigView.RIGHT].x1) == pytest.approx((-high, -low))
    assert (boxes[JigView.TOP].y0, boxes[JigView.TOP].y1) == pytest.approx((-high, -low))
    assert boxes[JigView.FRONT].y1 == pytest.approx(boxes[JigView.LEFT].y1)
