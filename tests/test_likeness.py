"""Two drawings of one part: what differs is called by its name."""

from __future__ import annotations

import pytest

from generator.base.contours2d import Circle
from generator.base.points2d import P2, Transform
from generator.base.shapes2d import polygon, rectangle
from generator.proof.files.outline_compare import Drawn, Likeness, compare, scale_words

#: An L with one hole: no mirror image and no turn of it is itself.
PART = Drawn(
    polygon([P2(0, 0), P2(60, 0), P2(60, 20), P2(20, 20), P2(20, 45), P2(0, 45)]),
    (Circle(P2(50, 10), 3.2), rectangle(4, 30, 14, 36)),
)


def changed(t: Transform) -> Drawn:
    return PART.transformed(t)


@pytest.mark.parametrize(
    ("drawn", "likeness", "words"),
    [
        (PART, Likeness.SAME, ""),
        (changed(Transform.mirror_x()), Likeness.MIRRORED, "mirrored left to right"),
        (changed(Transform.mirror_y()), Likeness.MIRRORED, "mirrored top to bottom"),
        (changed(Transform.rotate(90.0)), Likeness.TURNED, "turned by 90 degrees"),
        (changed(Transform.rotate(180.0)), Likeness.TURNED, "turned by 180 degrees"),
        (changed(Transform.scale(25.4)), Likeness.SCALED, "25.4 times too large: inches"),
        (changed(Transform.scale(1.0 / 25.4)), Likeness.SCALED, "25.4 times too small"),
        (changed(Transform.scale(1000.0)), Likeness.SCALED, "1000 times too large: metres"),
        (changed(Transform.move(3.0, -1.0)), Likeness.MOVED, "moved by (3.000, -1.000) mm"),
        (Drawn(PART.outline, PART.inside[:1]), Likeness.DIFFERENT, "1 cuts inside, where 2 belong"),
        (Drawn(PART.outline, (Circle(P2(50, 10), 3.25), PART.inside[1])), Likeness.DIFFERENT, "misses by 0.050 mm"),
        (Drawn(PART.outline, (Circle(P2(50.3, 10), 3.2), PART.inside[1])), Likeness.DIFFERENT, "misses by 0.300 mm"),
    ],
)
def test_each_difference_has_its_name(drawn: Drawn, likeness: Likeness, words: str) -> None:
    """Scale, hand, turn, place and shape are told apart."""
    found = compare(PART, drawn, 0.003)
    assert found.likeness is likeness
    assert words in found.words


def test_a_drawing_may_lie_elsewhere_on_a_sheet_but_not_mirrored() -> None:
    """Without a common origin the middles are laid on each other; the hand still counts."""
    assert compare(PART, changed(Transform.move(80.0, 40.0)), 0.003, anchored=False).likeness is Likeness.SAME
    mirrored = changed(Transform.mirror_x().then(Transform.move(80.0, 40.0)))
    assert compare(PART, mirrored, 0.003, anchored=False).likeness is Likeness.MIRRORED


def test_scales_of_screens_and_points_are_named() -> None:
    """72, 96 and 25.4 parts to the inch are the usual wrong units; any other factor is told as it is."""
    assert "points" in scale_words(72.0 / 25.4)
    assert "screen dots where millimetres" in scale_words(96.0 / 25.4)
    assert "screen dots where points" in scale_words(0.75)
    assert scale_words(1.12) == "1.12 times its size"
