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
from generator.drawing.page import PageLayer
from generator.drawing.sheet import Sheet
from generator.formats.pdf.write import FONT_NAME, POINTS_PER_MM, draw_layer

#: What the bold face is called inside a document.
BOLD_NAME = "DejaVuSans-Bold"

#: Near-black of letters, tick squares, frames and headings.
INK = HexColor("#111111")
#: Dark grey of boxes to write in, their names and the pages' feet.
SOFT = HexColor("#555555")
#: Middle grey of the lines between a table's cells.
RULE = HexColor("#999999")
#: Light grey behind a table's headings and marked rows.
TINT = HexColor("#e9e9e9")
#: Lightest grey, behind framed remarks.
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
    """The letters of a sheet: `size` points, lines `spread` times their usual distance apart.

    A crowded sheet sets its lines closer, and does `without` marks of some classes; its letters stay as large.
    """

    size: float
    spread: float = 1.0
    without: frozenset[str] = frozenset()

    def style(self, size: float, lead: float, **extra: Any) -> ParagraphStyle:
        """A paragraph's style; `size` and `lead` in shares of the letters' size."""
        given = {"fontName": FONT_NAME, "textColor": INK, "alignment": TA_LEFT, "splitLongWords": 0} | extra
        points = self.size * size
        return ParagraphStyle("sheet", fontSize=points, leading=points * lead * self.spread, **given)

    @cached_property
    def body(self) -> ParagraphStyle:
        return self.style(1.0, 1.17)

    @cached_property
    def lead(self) -> ParagraphStyle:
        return self.style(1.0, 1.17)

    @cached_property
    def cell(self) -> ParagraphStyle:
        return self.style(1.0, 1.15)

    @cached_property
    def head_cell(self) -> ParagraphStyle:
        return self.style(1.0, 1.15, fontName=BOLD_NAME)

    @cached_property
    def subhead(self) -> ParagraphStyle:
        return self.style(1.06, 1.2, fontName=BOLD_NAME)


class Tick(Flowable):  # type: ignore[misc]  # reportlab is not typed
    """A square to tick."""

    def __init__(self, size: float = mm(2.8)) -> None:
        super().__init__()
        self.width = self.height = size

    def wrap(self, *available: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        self.canv.setLineWidth(0.8)
        self.canv.setStrokeColor(INK)
        self.canv.rect(0, -0.2, self.width, self.height, stroke=1, fill=0)


class WriteIn(Flowable):  # type: ignore[misc]  # reportlab is not typed
    """Boxes to write measured values into, side by side, each with its name before it."""

    #: Width of a box, points.
    BOX = mm(14.0)
    #: Height of a box, points.
    HEIGHT = mm(4.6)
    #: Distance from a box to the next name, points.
    GAP = mm(2.0)
    #: Distance from a name to its box, points.
    BESIDE = mm(1.2)

    def __init__(self, names: list[str], size: float) -> None:
        super().__init__()
        self.names, self.size = names, size
        self.starts: list[float] = []
        x = 0.0
        for name in names:
            self.starts.append(x)
            x += pdfmetrics.stringWidth(name, FONT_NAME, size) + self.BESIDE + self.BOX + self.GAP
        self.width, self.height = x - self.GAP, self.HEIGHT

    def wrap(self, *available: float) -> tuple[float, float]:
        return self.width, self.height + mm(0.4)

    def draw(self) -> None:
        for name, x in zip(self.names, self.starts, strict=True):
            wide = pdfmetrics.stringWidth(name, FONT_NAME, self.size) + self.BESIDE
            self.canv.setLineWidth(0.5)
            self.canv.setStrokeColor(SOFT)
            self.canv.setFillColor(HexColor("#ffffff"))
            self.canv.rect(x + wide, 0, self.BOX, self.HEIGHT, stroke=1, fill=1)
            self.canv.setFillColor(SOFT)
            self.canv.setFont(FONT_NAME, self.size)
            self.canv.drawString(x, self.HEIGHT * 0.28, name)


class PictureFlowable(Flowable):  # type: ignore[misc]  # reportlab is not typed
    """A sheet of the drawing model at its own size."""

    def __init__(self, sheet: Sheet) -> None:
        super().__init__()
        self.sheet = sheet
        self.width, self.height = mm(sheet.width), mm(sheet.height)

    def wrap(self, *available: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        self.canv.saveState()
        draw_layer(self.canv, PageLayer(tuple(self.sheet.every_item())))
        self.canv.restoreState()


class Numbered(Flowable):  # type: ignore[misc]  # reportlab is not typed
    """A section's heading: its number in a dark square, its words, a rule under both."""

    #: Height and least width of the number's square, points.
    SQUARE = mm(4.7)
    #: Height kept under the square, points.
    UNDER = mm(1.1)

    def __init__(self, number: str, words: str, width: float) -> None:
        super().__init__()
        self.number, self.words, self.width = number, words, width
        self.height = self.SQUARE

    def wrap(self, *available: float) -> tuple[float, float]:
        self.width = available[0]
        return self.width, self.SQUARE + self.UNDER

    def draw(self) -> None:
        canvas, low = self.canv, self.UNDER * 0.7
        wide = max(self.SQUARE, pdfmetrics.stringWidth(self.number, BOLD_NAME, 9.5) + mm(2.0))
        canvas.setFillColor(INK)
        canvas.rect(0, low, wide, self.SQUARE, stroke=0, fill=1)
        canvas.setFillColor(HexColor("#ffffff"))
        canvas.setFont(BOLD_NAME, 9.5)
        canvas.drawCentredString(wide / 2, low + mm(1.2), self.number)
        canvas.setFillColor(INK)
        canvas.setFont(BOLD_NAME, 10.4)
        canvas.drawString(wide + mm(2.0), low + mm(1.1), self.words)
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.7)
        canvas.line(0, low, self.width, low)
