"""What a setup sheet's page is built of beside plain paragraphs: tick squares, boxes to write in, pictures.

Together with `pdf` the only part of the setup sheet that knows reportlab; sizes are points, as its platypus wants them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_LEFT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Flowable

from generator.drawing import font
from generator.drawing.page import Layer
from generator.drawing.sheet import Sheet
from generator.writers.pdf import FONT_NAME, POINTS_PER_MM, draw_layer

BOLD_NAME = "DejaVuSans-Bold"

INK = HexColor("#111111")
SOFT = HexColor("#555555")
RULE = HexColor("#999999")
TINT = HexColor("#e9e9e9")
PALE = HexColor("#f4f4f4")


def mm(value: float) -> float:
    """Millimetres in points."""
    return value * POINTS_PER_MM


def register_fonts() -> None:
    """Make both cuts of the face known, so that <b> in a paragraph finds its bold."""
    pdfmetrics.registerFont(TTFont(FONT_NAME, str(font.font_file())))
    pdfmetrics.registerFont(TTFont(BOLD_NAME, str(font.font_file(bold=True))))
    pdfmetrics.registerFontFamily(FONT_NAME, normal=FONT_NAME, bold=BOLD_NAME, italic=FONT_NAME, boldItalic=BOLD_NAME)


@dataclass(frozen=True)
class Type:
    """The letters of the sheet and its pictures, all at one `scale`: a crowded sheet takes a smaller one."""

    scale: float

    def style(self, size: float, lead: float, **extra: Any) -> ParagraphStyle:
        """A paragraph's style; `size` and `lead` are points at full scale."""
        given = {"fontName": FONT_NAME, "textColor": INK, "alignment": TA_LEFT, "splitLongWords": 0} | extra
        return ParagraphStyle("sheet", fontSize=size * self.scale, leading=lead * self.scale, **given)

    @cached_property
    def body(self) -> ParagraphStyle:
        return self.style(8.0, 9.9)

    @cached_property
    def lead(self) -> ParagraphStyle:
        return self.style(8.4, 11.0, spaceAfter=3)

    @cached_property
    def small(self) -> ParagraphStyle:
        return self.style(6.9, 8.7)

    @cached_property
    def cell(self) -> ParagraphStyle:
        return self.style(7.4, 9.0)

    @cached_property
    def small_cell(self) -> ParagraphStyle:
        return self.style(6.6, 8.0)

    @cached_property
    def head_cell(self) -> ParagraphStyle:
        return self.style(6.9, 8.4, fontName=BOLD_NAME)

    @cached_property
    def subhead(self) -> ParagraphStyle:
        return self.style(8.4, 11.0, fontName=BOLD_NAME, spaceBefore=2, spaceAfter=1)


class Tick(Flowable):  # type: ignore[misc]  # reportlab is not typed
    """A square to tick."""

    def __init__(self, size: float = mm(2.9)) -> None:
        super().__init__()
        self.width = self.height = size

    def wrap(self, *available: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        self.canv.setLineWidth(0.8)
        self.canv.setStrokeColor(INK)
        self.canv.rect(0, -0.4, self.width, self.height, stroke=1, fill=0)


class WriteIn(Flowable):  # type: ignore[misc]  # reportlab is not typed
    """Boxes to write measured values into, side by side, each with its name in its upper left corner."""

    BOX, HEIGHT, GAP = mm(16.0), mm(5.2), mm(1.2)

    def __init__(self, names: list[str]) -> None:
        super().__init__()
        self.names = names
        self.width = len(names) * self.BOX + (len(names) - 1) * self.GAP
        self.height = self.HEIGHT

    def wrap(self, *available: float) -> tuple[float, float]:
        return self.width, self.height + mm(0.4)

    def draw(self) -> None:
        for i, name in enumerate(self.names):
            x = i * (self.BOX + self.GAP)
            self.canv.setLineWidth(0.5)
            self.canv.setStrokeColor(SOFT)
            self.canv.setFillColor(HexColor("#ffffff"))
            self.canv.rect(x, 0, self.BOX, self.HEIGHT, stroke=1, fill=1)
            self.canv.setFillColor(SOFT)
            self.canv.setFont(FONT_NAME, 5.2)
            self.canv.drawString(x + 1.6, self.HEIGHT - 5.6, name)


class Picture(Flowable):  # type: ignore[misc]  # reportlab is not typed
    """A sheet of the drawing model at `scale` times its own size."""

    def __init__(self, sheet: Sheet, scale: float) -> None:
        super().__init__()
        self.sheet, self.scale = sheet, scale
        self.width, self.height = mm(sheet.width) * scale, mm(sheet.height) * scale

    def wrap(self, *available: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        self.canv.saveState()
        self.canv.scale(self.scale, self.scale)
        draw_layer(self.canv, Layer(tuple(self.sheet.every_item())))
        self.canv.restoreState()


class Numbered(Flowable):  # type: ignore[misc]  # reportlab is not typed
    """A section's heading: its number in a dark square, its words, a rule under both."""

    def __init__(self, number: str, words: str, width: float) -> None:
        super().__init__()
        self.number, self.words, self.width = number, words, width
        self.height = mm(5.4)
        self.keepWithNext = 1

    def wrap(self, *available: float) -> tuple[float, float]:
        self.width = available[0]
        return self.width, self.height + mm(1.6)

    def draw(self) -> None:
        square, canvas = mm(5.4), self.canv
        wide = max(square, pdfmetrics.stringWidth(self.number, BOLD_NAME, 9.5) + mm(2.4))
        low = mm(1.0)
        canvas.setFillColor(INK)
        canvas.rect(0, low, wide, square, stroke=0, fill=1)
        canvas.setFillColor(HexColor("#ffffff"))
        canvas.setFont(BOLD_NAME, 9.5)
        canvas.drawCentredString(wide / 2, low + mm(1.55), self.number)
        canvas.setFillColor(INK)
        canvas.setFont(BOLD_NAME, 10.4)
        canvas.drawString(wide + mm(2.2), low + mm(1.45), self.words)
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.7)
        canvas.line(0, low, self.width, low)
