"""Pages as PDF: one mm-to-point factor, arcs as Béziers within 0.0005 mm, the font embedded, no clock.

The only user of reportlab. The catalog asks print dialogs not to scale (/PrintScaling /None) and no page carries a
UserUnit, because readers disagree about it.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from generator import __version__
from generator.base.contours2d import Circle, Contour
from generator.base.errors import OutputError
from generator.base.points2d import P2, Box, Transform
from generator.base.units import MM_PER_INCH
from generator.drawing import font
from generator.drawing.curves import cubics
from generator.drawing.page import Page, PageLayer, Placing
from generator.drawing.sheet import Fill, Label, Stroke, play

# Compressed streams stand in the file as they are: spelt in letters they are a quarter longer and slow to make.
rl_config.useA85 = False

#: PDF units in a millimetre; nothing else in the program turns mm into points.
POINTS_PER_MM = 72.0 / MM_PER_INCH

#: Largest distance of a written Bézier from its arc, mm.
ARC_ERROR = 0.0005

#: What the embedded face is called inside a document.
FONT_NAME = "DejaVuSans"


def pdf_bytes(pages: Sequence[Page], title: str, job: str) -> bytes:
    """All pages as one PDF document; the same pages give the same bytes.

    Raises OutputError when there is no page or the pages are not all of one size and orientation.
    """
    sizes = {(page.width, page.height) for page in pages}
    if len(sizes) != 1:
        raise OutputError(f"{title}: the pages of a PDF have one size; found {len(sizes)}: {sorted(sizes)}")
    width, height = sizes.pop()
    _know_font()
    buffer = io.BytesIO()
    canvas = Canvas(
        buffer,
        pagesize=(width * POINTS_PER_MM, height * POINTS_PER_MM),
        invariant=1,
        pageCompression=1,
        initialFontName=FONT_NAME,
    )
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setTitle(f"{title} ({job})")
    canvas.setSubject(f"job {job}")
    canvas.setAuthor("Heelwright")
    canvas.setCreator(f"Heelwright {__version__}")
    canvas.setProducer(f"Heelwright {__version__}")
    for page in pages:
        for layer in page.layers:
            draw_layer(canvas, layer)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


@lru_cache(maxsize=1)
def _know_font() -> None:
    """Tells reportlab the font, once: reading its file takes longer than writing most documents."""
    pdfmetrics.registerFont(TTFont(FONT_NAME, str(font.font_file())))


def draw_layer(canvas: Any, layer: PageLayer) -> None:
    """Draw one layer on the page under work, its millimetres from the canvas's present origin.

    The canvas's document must know the font as FONT_NAME.
    """
    play(layer.items, _PdfInk(canvas, layer))


def _points(value: float) -> float:
    return value * POINTS_PER_MM


class _PdfInk:
    """Maps strokes, fills and labels of one layer to operators."""

    def __init__(self, canvas: Any, layer: PageLayer) -> None:
        self._canvas = canvas
        self._placing: Placing = layer.placing
        self._window: Box | None = layer.window

    def stroke(self, stroke: Stroke) -> None:
        self._canvas.setLineWidth(_points(stroke.pen.width))
        self._canvas.setStrokeGray(stroke.pen.grey)
        self._canvas.setLineJoin(1)
        dashes = [_points(part) for part in stroke.pen.dashes]
        self._canvas.setDash(dashes, _points(stroke.phase) if dashes else 0)
        self._canvas.drawPath(self._path(stroke.path), stroke=1, fill=0)

    def fill(self, fill: Fill) -> None:
        if fill.colour is None:
            self._canvas.setFillGray(fill.grey)
        else:
            self._canvas.setFillColorRGB(*fill.colour)
        self._canvas.drawPath(self._path(fill.contour), stroke=0, fill=1)

    def label(self, label: Label) -> None:
        canvas = self._canvas
        cut = self._window is not None and not self._inside_window(label)
        if cut:
            canvas.saveState()
            self._clip()
        # The anchor keeps its place when the paper is stretched; letters keep their size.
        shift = self._placing.apply(label.at).minus(label.at)
        at = label.base.plus(shift)
        text = canvas.beginText()
        text.setFont(FONT_NAME, _points(font.font_size(label.height)))
        text.setFillGray(0.0)
        turn = _turn(label.angle)
        text.setTextTransform(turn.x, turn.y, -turn.y, turn.x, _points(at.x), _points(at.y))
        text.textOut(label.text)
        canvas.drawText(text)
        if cut:
            canvas.restoreState()

    def _inside_window(self, label: Label) -> bool:
        shift = self._placing.apply(label.at).minus(label.at)
        return self._window is None or all(self._window.contains(corner.plus(shift)) for corner in label.corners())

    def _clip(self) -> None:
        window = self._window
        assert window is not None
        path = self._canvas.beginPath()
        path.rect(_points(window.x0), _points(window.y0), _points(window.width), _points(window.height))
        self._canvas.clipPath(path, stroke=0, fill=0)

    def _path(self, shape: Contour) -> Any:
        """Moves, lines and cubics in points; a Bézier's image under the placing is the image's Bézier, exactly."""
        path = shape.as_path() if isinstance(shape, Circle) else shape
        out = self._canvas.beginPath()
        out.moveTo(*self._at(path.start))
        segments = list(path.segments())
        if path.closed and not segments[-1].is_arc:
            segments.pop()
        for segment in segments:
            if segment.is_arc:
                for cubic in cubics(segment, ARC_ERROR):
                    out.curveTo(*self._at(cubic.control1), *self._at(cubic.control2), *self._at(cubic.end))
            else:
                out.lineTo(*self._at(segment.end))
        if path.closed:
            out.close()
        return out

    def _at(self, point: P2) -> tuple[float, float]:
        placed = self._placing.apply(point)
        return _points(placed.x), _points(placed.y)


def _turn(angle: float) -> P2:
    return Transform.rotate(angle).apply(P2(1.0, 0.0))
