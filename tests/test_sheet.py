"""The sheet model, its pens and its font."""

from __future__ import annotations

import io
import math

import pytest
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont

from generator.base.annotation import Anchor
from generator.base.contours2d import Circle
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Transform
from generator.base.shapes2d import polygon, rectangle
from generator.drawing import font
from generator.drawing.sheet import Fill, Label, Level, Sheet, SheetBuilder, Stroke, play
from generator.drawing.style import HEIGHTS, PENS, WIDTHS, LineType, Role


class Recorder:
    """The smallest possible writer: it writes down which verb it was asked for."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def stroke(self, stroke: Stroke) -> None:
        self.said.append(f"stroke {stroke.role.value}")

    def fill(self, fill: Fill) -> None:
        self.said.append(f"fill {fill.role.value}")

    def label(self, label: Label) -> None:
        self.said.append(f"label {label.text}")


def test_any_writer_gets_every_item_in_order() -> None:
    """A writer needs three verbs and is handed the items in the order they were drawn."""
    builder = SheetBuilder("a", "A")
    builder.stroke(rectangle(10, 10, 50, 50), Role.CUT)
    builder.fill(polygon([P2(1, 1), P2(2, 1), P2(2, 2)]), Role.NOTE)
    builder.label("up", P2(20, 20), 5.0)
    recorder = Recorder()
    play(builder.sheet(100, 100).every_item(), recorder)
    assert recorder.said == ["stroke cut", "fill note", "label up"]


def test_an_empty_sheet_is_refused() -> None:
    """An empty drawing is an error, never a blank page."""
    with pytest.raises(LayoutError, match="nothing stands on it"):
        SheetBuilder("a", "A").sheet(100, 100)


@pytest.mark.parametrize("at", [P2(-1, 50), P2(50, 99.9), P2(math.nan, 5)])
def test_ink_outside_the_sheet_is_refused(at: P2) -> None:
    """Ink must lie on the sheet, half the pen included, and have a finite place."""
    builder = SheetBuilder("a", "A")
    builder.stroke(Circle(at, 1.0), Role.CUT)
    with pytest.raises(LayoutError):
        builder.sheet(100, 100)


def test_label_anchor_and_level_name_a_point_of_its_rectangle() -> None:
    """A label's middle lies where it was asked for, whichever way it is turned."""
    for angle in (0.0, 90.0, 37.0):
        label = Label("HHH", P2(40, 30), 5.0, angle=angle, anchor=Anchor.MIDDLE, level=Level.MIDDLE)
        turn = Transform.rotate(angle)
        start = label.base
        middle = start.plus(turn.apply(P2(label.width / 2, 2.5)))
        assert middle.distance(P2(40, 30)) < 1e-9


def test_moving_a_sheet_item_moves_its_letters_without_mirroring() -> None:
    """A mirrored view keeps its words readable: letters are placed, never flipped."""
    label = Label("up", P2(10, 5), 3.5, angle=0.0)
    moved = label.transformed(Transform.rotate(90).then(Transform.move(1, 2)))
    assert moved.at.distance(P2(-4, 12)) < 1e-9
    assert moved.angle == pytest.approx(90)
    assert moved.height == 3.5


def test_widths_are_the_standards() -> None:
    """Pens come from the ISO 128-2 series and none is a hairline; templates are cut along 0.25–0.35 mm."""
    assert WIDTHS == (0.18, 0.25, 0.35, 0.5, 0.7, 1.0)
    assert {pen.width for pen in PENS.values()} <= set(WIDTHS)
    assert set(PENS) == set(Role)
    assert 0.25 <= PENS[Role.CUT].width <= 0.35


def test_line_types_follow_the_standards_proportions() -> None:
    """Dashes of 12, long dashes of 24 and gaps of 3 line widths (ISO 128-2, table of line elements; from memory)."""
    assert LineType.DASHED.value == (12, 3)
    assert LineType.CHAIN.value[:2] == (24, 3)
    assert PENS[Role.HIDDEN].dashes == pytest.approx((3.0, 0.75))


def test_capitals_are_as_tall_as_asked() -> None:
    """Text height is the height of a capital (ISO 3098-1): measured on the outline of an H in the font itself."""
    face = TTFont(font.font_file())
    tall = face["glyf"]["H"].yMax / face["head"].unitsPerEm
    for height in HEIGHTS:
        assert font.font_size(height) * tall == pytest.approx(height)


def test_width_is_the_sum_of_the_fonts_advances() -> None:
    """Text width equals the advances in the font's own table: no kerning, so every reader sets it alike."""
    face = TTFont(font.font_file())
    cmap, advances = face.getBestCmap(), face["hmtx"].metrics
    text = '4× ⌀57.15 ±0.1 (2 1/4")'
    units = sum(advances[cmap[ord(c)]][0] for c in text)
    assert font.text_width(text, 3.5) == pytest.approx(units / face["head"].unitsPerEm * font.font_size(3.5))


def test_signs_a_drawing_needs_are_in_the_font() -> None:
    """⌀ ± ° × − ½ ⅛ and the apostrophes exist; a sign that does not is refused, never printed as a box."""
    assert font.text_width("⌀±°×−½⅛’“”·→", 2.5) > 0
    with pytest.raises(LayoutError, match=r"U\+5B57"):
        font.text_width("字", 2.5)


def test_subset_is_small_and_repeatable() -> None:
    """An embedded subset holds the asked signs only and has the same bytes every time."""
    once = font.subset("57.15 ⌀")
    assert once == font.subset("⌀ 51.7")
    assert len(once) < 4000


@pytest.mark.parametrize("bold", [False, True], ids=["regular", "bold"])
@pytest.mark.parametrize("text", ["Åg 57.15 ⌀ ½ →", "α 30°"], ids=["common signs", "a rare one"])
def test_subset_has_the_outlines_of_the_whole_face(text: str, bold: bool) -> None:
    """Every sign of a subset has the outline and the advance it has in the font's own file."""
    whole, part = TTFont(font.font_file(bold)), TTFont(io.BytesIO(font.subset(text, bold)))
    assert set(part.getBestCmap()) == set(map(ord, text))
    for code, name in part.getBestCmap().items():
        original = whole.getBestCmap()[code]
        assert part["hmtx"][name] == whole["hmtx"][original]
        assert _outline(part, name) == _outline(whole, original)


def _outline(face: TTFont, glyph: str) -> list[tuple[str, tuple[object, ...]]]:
    pen = DecomposingRecordingPen(face.getGlyphSet())
    face.getGlyphSet()[glyph].draw(pen)
    return list(pen.value)


def test_largest_height_fits_or_refuses() -> None:
    """Letters shrink along the ISO 3098 series until they fit; what never fits is refused."""
    assert font.largest_height("HH", 1000.0, 5.0) == 5.0
    assert font.text_width("template", font.largest_height("template", 20.0, 7.0)) <= 20.0
    with pytest.raises(LayoutError):
        font.largest_height("template", 5.0, 7.0)


def test_sheet_builder_keeps_job_and_scale() -> None:
    """A sheet knows its job and scale, so that every file can say them."""
    builder = SheetBuilder("a", "A")
    builder.label("x", P2(10, 10), 5.0)
    sheet = builder.sheet(50, 50, "orchestra-14", 0.5)
    assert isinstance(sheet, Sheet)
    assert (sheet.job, sheet.scale) == ("orchestra-14", 0.5)
