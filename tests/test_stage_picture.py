"""The picture of the jig in use: names at what they name, lines that do not cross, room for all of it."""

from __future__ import annotations

import itertools
import math
from functools import cache

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box
from generator.documents.setup.stage_picture import stage_picture
from generator.drawing.columns import two_columns
from generator.drawing.sheet import Fill, Label, Sheet, Stroke
from generator.drawing.style import Role
from generator.formats.svg.write import svg_text
from generator.jig.build import build_jig
from generator.job.load import load_job
from generator.job.shop import Shop
from generator.joint.solution import solve
from generator.joint.stations import Use

VIEW = Box(0.0, 0.0, 100.0, 80.0)


@cache
def made(job: str, use: Use) -> Sheet:
    solution = solve(load_job(job, Shop()))
    return stage_picture(solution, build_jig(solution), use, 190.0, 140.0)


@given(
    st.dictionaries(
        st.text("abcdefgh", min_size=1, max_size=3),
        st.builds(P2, st.floats(0, 100), st.floats(0, 80)),
        min_size=1,
        max_size=12,
    ),
    st.booleans(),
)
def test_columns_keep_their_distance(targets: dict[str, P2], level: bool) -> None:
    """Every word stands once, in the column on its point's side, at least a pitch from the next."""
    placed = two_columns(targets, VIEW, 5.0, 6.0, level=level)
    assert {one.text: one.at for one in placed} == targets
    for left in (True, False):
        heights = sorted(one.stand.y for one in placed if one.left is left)
        assert all(b - a >= 6.0 - 1e-9 for a, b in itertools.pairwise(heights))
    assert {one.stand.x for one in placed} <= {-5.0, 105.0}


def test_level_words_stand_level() -> None:
    """Words with room stand level with their points; of three that crowd the middle one stays, the others give way.

    The least sum of squared moves under an order: Barlow, Bartholomew, Bremner and Brunk, Statistical inference under
    order restrictions, 1972 (cited from memory).
    """
    targets = {"a": P2(1.0, 70.0), "b": P2(2.0, 30.0), "c": P2(3.0, 30.5), "d": P2(4.0, 31.0), "e": P2(90.0, 10.0)}
    targets |= {"f": P2(91.0, 50.0), "g": P2(92.0, 70.0), "h": P2(93.0, 60.0)}
    placed = {one.text: one.stand.y for one in two_columns(targets, VIEW, 5.0, 6.0, level=True)}
    assert placed["a"] == pytest.approx(70.0)
    assert [placed[k] for k in "dcb"] == pytest.approx([36.5, 30.5, 24.5])
    assert placed["e"] == pytest.approx(10.0)


@pytest.mark.parametrize("use", list(Use))
@pytest.mark.parametrize("job", ["orchestra-14", "ukulele-tenor", "nylon-forward"])
def test_names_and_their_lines(job: str, use: Use) -> None:
    """What a builder must tell apart is named; no two names overlap, no two lines cross, each line ends in its dot."""
    sheet = made(job, use)
    names = [label for label in sheet.labels() if label.role is Role.NOTE]
    wanted = {"template plate", "caul", "bench", "router", "work clamp", "bench clamp", "board"}
    assert wanted | {"neck blank" if use is Use.NECK else "body"} <= {label.text for label in names}
    for a, b in itertools.combinations(names, 2):
        assert not a.box().overlaps(b.box())
    lines = [i.path for i in sheet.items if isinstance(i, Stroke) and i.role is Role.NOTE]
    dots = [i.contour.box().center for i in sheet.items if isinstance(i, Fill) and i.role is Role.NOTE]
    assert len(lines) == len(dots) == len(names)
    for one, dot in zip(lines, dots, strict=True):
        assert one.end.distance(dot) < 1e-9
    runs = [shapely.LineString([line.start, line.end]) for line in lines]
    assert not [1 for a, b in itertools.combinations(runs, 2) if a.crosses(b)]


@pytest.mark.parametrize("use", list(Use))
def test_a_dot_lies_on_what_it_names(use: Use) -> None:
    """Under each dot lies a fill of the colour that its piece has in the picture of nothing but itself."""
    sheet = made("orchestra-14", use)
    fills = [item for item in sheet.items if isinstance(item, Fill) and item.colour is not None]
    labels = [item for item in sheet.items if isinstance(item, Label) and item.role is Role.NOTE]
    dots = [i.contour.box().center for i in sheet.items if isinstance(i, Fill) and i.role is Role.NOTE]
    hue = {}
    for label, dot in zip(labels, dots, strict=True):
        over = [fill for fill in fills if fill.contour.contains(dot)]
        assert over, label.text
        red, green, blue = over[-1].colour or (0.0, 0.0, 0.0)
        hue[label.text] = math.degrees(math.atan2(math.sqrt(3) * (green - blue), 2 * red - green - blue)) % 360
    assert 180 < hue["router"] < 230  # blue-grey
    assert all(20 < hue[name] < 60 for name in ("template plate", "bench", "caul", "board"))


def test_without_names_the_picture_fills_the_sheet() -> None:
    """No words, the ink reaches both sides or foot and head, and the same call gives the same bytes."""
    solution = solve(load_job("orchestra-14", Shop()))
    jig = build_jig(solution)

    def plain() -> Sheet:
        return stage_picture(solution, jig, Use.NECK, 120.0, 120.0, names=False, with_router=False)

    sheet = plain()
    assert list(sheet.labels()) == []
    box = sheet.ink_box()
    assert max(box.width, box.height) == pytest.approx(118.0, abs=0.5)
    assert svg_text(sheet) == svg_text(plain())


def test_the_sheet_is_no_higher_than_its_picture() -> None:
    """A narrow sheet ends above its ink; names that cannot stand are refused with both heights."""
    solution = solve(load_job("orchestra-14", Shop()))
    jig = build_jig(solution)
    sheet = stage_picture(solution, jig, Use.NECK, 92.0, 200.0)
    assert sheet.width == 92.0
    assert sheet.height < 90.0
    assert sheet.ink_box().y1 == pytest.approx(sheet.height, abs=0.6)
    with pytest.raises(LayoutError, match="of names in 25 mm"):
        stage_picture(solution, jig, Use.NECK, 92.0, 25.0)
