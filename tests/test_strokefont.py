"""Single-stroke lettering: sizes of ISO 3098 proportions, arcs where letters are round, nothing drawn twice."""

from __future__ import annotations

import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.base.annotation import Anchor, EngravedText
from generator.base.contours2d import Path
from generator.base.errors import GeometryError
from generator.base.points2d import P2, Box
from generator.cutting.cut_layers import overlap
from generator.drawing.strokefont import known_characters, placed_text, text_strokes, text_width
from generator.drawing.strokeglyphs import GLYPHS, SAME_AS

#: What engraving on a jig needs, whatever else there is.
NEEDED = string.ascii_letters + string.digits + " .,:;-+−±/°×⌀½¼⅛¾⅜⅝⅞()='\"&#%<>→←"
DRAWN = sorted(set(GLYPHS) - {" "})


def box_of(strokes: tuple[Path, ...]) -> Box:
    out = strokes[0].box()
    for stroke in strokes[1:]:
        out = out.union(stroke.box())
    return out


def test_every_needed_character_is_drawn() -> None:
    """Letters, figures and the signs of dimensions and notes all have strokes."""
    assert [char for char in NEEDED if char not in known_characters()] == []


@pytest.mark.parametrize("char", string.ascii_uppercase + string.digits)
def test_capitals_and_figures_are_exactly_as_tall_as_asked(char: str) -> None:
    """The height of lettering is the height of its capitals (ISO 3098): 5 mm means 5.000 mm above the baseline."""
    box = box_of(text_strokes(char, 5.0))
    assert (box.y0, box.y1) == pytest.approx((0.0, 5.0), abs=2e-4)


@pytest.mark.parametrize("char", "acemnorsuvwxz")
def test_small_letters_have_two_thirds_of_the_height(char: str) -> None:
    """Small letters without stems stand two thirds of a capital tall."""
    box = box_of(text_strokes(char, 6.0))
    assert (box.y0, box.y1) == pytest.approx((0.0, 4.0), abs=2e-4)


@pytest.mark.parametrize("char", "gjpqy")
def test_descenders_reach_a_third_below(char: str) -> None:
    """Descenders go a third of the capital height below the baseline."""
    assert box_of(text_strokes(char, 6.0)).y0 == pytest.approx(-2.0, abs=2e-4)


@pytest.mark.parametrize("char", DRAWN)
def test_ink_fills_the_declared_width(char: str) -> None:
    """A letter's ink runs from 0 to its width, so that spacing and centring are true."""
    box = box_of(text_strokes(char, 12.0))
    # Figures share one width, so a 1 stands inside it; the dot of the i is a little wider than its stem.
    slack = 1.01 if char in string.digits else 0.35
    assert box.x0 == pytest.approx(0.0, abs=slack)
    assert box.x1 == pytest.approx(text_width(char, 12.0), abs=slack)


@pytest.mark.parametrize("char", "BCDGJOPQRSUabcdeghmnopqrsu0235689°⌀&%")
def test_round_letters_are_made_of_arcs(char: str) -> None:
    """Curves are true arcs, so a laser gets no polygon."""
    assert any(seg.is_arc for stroke in text_strokes(char, 3.0) for seg in stroke.segments())


@pytest.mark.parametrize("char", "EFHILTVWXYZ")
def test_straight_letters_are_made_of_lines(char: str) -> None:
    """No stray curve in a letter of straight strokes."""
    assert not any(seg.is_arc for stroke in text_strokes(char, 3.0) for seg in stroke.segments())


@pytest.mark.parametrize("char", sorted(known_characters() - {" ", "\u00a0", "\u202f"}))
def test_no_stroke_is_burnt_twice(char: str) -> None:
    """No two strokes of a letter lie on each other, and none is too short to engrave at 3 mm."""
    segments = [seg for stroke in text_strokes(char, 3.0) for seg in stroke.segments()]
    assert min(seg.length for seg in segments) > 0.05
    for i, one in enumerate(segments):
        for two in segments[i + 1 :]:
            assert overlap(one, two) < 0.01


def test_figures_stand_in_columns() -> None:
    """All figures are equally wide: a table of numbers lines up."""
    assert {text_width(figure, 3.0) for figure in string.digits} == {text_width("0", 3.0)}


@pytest.mark.parametrize("pair", ["Il", "I1", "l1", "O0", "S5", "B8", "Z2", "−+", "→←", "6b", "9q"])
def test_look_alikes_differ(pair: str) -> None:
    """Letters that are easily confused are drawn differently."""
    first, second = (text_strokes(char, 3.0) for char in pair)
    assert first != second


def test_a_character_without_a_letter_is_refused() -> None:
    """An unknown character is named, never silently left out."""
    with pytest.raises(GeometryError, match="漆"):
        text_strokes("A漆B", 3.0)
    with pytest.raises(GeometryError, match="height"):
        text_strokes("A", 0.0)


@pytest.mark.parametrize(("anchor", "left"), [(Anchor.LEFT, 10.0), (Anchor.MIDDLE, -2.0), (Anchor.RIGHT, -14.0)])
def test_anchor_and_angle_place_the_text(anchor: Anchor, left: float) -> None:
    """The anchor names a point of the text's middle line; turned by 90° the text reads upwards."""
    width = text_width("HH", 9.0)
    scale = 24.0 / width
    flat = box_of(placed_text(EngravedText("HH", P2(10, 20), 9.0 * scale, 0.0, anchor)))
    assert (flat.x0, flat.width) == pytest.approx((left, 24.0), abs=1e-9)
    assert flat.center.y == pytest.approx(20.0, abs=1e-9)
    turned = box_of(placed_text(EngravedText("HH", P2(10, 20), 9.0 * scale, 90.0, anchor)))
    assert (turned.y0 - 20.0, turned.center.x) == pytest.approx((left - 10.0, 10.0), abs=1e-9)


@settings(deadline=None, max_examples=60)
@given(
    text=st.text(alphabet=sorted(known_characters() - {"\u00a0", "\u202f"}), min_size=1, max_size=12),
    height=st.floats(1.5, 20),
)
def test_text_scales_and_adds_up(text: str, height: float) -> None:
    """Twice the height is twice the text; ink never leaves the width by more than a letter's own overhang."""
    small, large = text_strokes(text, height), text_strokes(text, 2 * height)
    assert len(small) == len(large)
    for one, two in zip(small, large, strict=True):
        assert two.length == pytest.approx(2 * one.length, rel=1e-9)
    if small:
        box = box_of(small)
        assert -0.04 * height < box.x0
        assert box.x1 < text_width(text, height) + 0.04 * height
    assert text_width(text + text, height) == pytest.approx(2 * text_width(text, height) + height / 4, rel=1e-9)


def test_aliases_lead_to_drawn_letters() -> None:
    """Every character that borrows a letter borrows one that exists."""
    assert [char for char, other in SAME_AS.items() if other not in GLYPHS] == []
