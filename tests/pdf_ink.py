"""Reads a PDF with pdfium and gives back what a printer would see, in millimetres; nothing of the package is used."""

from __future__ import annotations

import math
from ctypes import c_float, c_int
from dataclasses import dataclass

import pypdfium2 as pdfium
import pypdfium2.raw as raw
from shapely import LineString, Polygon
from shapely.geometry import box

MM = 72.0 / 25.4


@dataclass(frozen=True)
class Text:
    """One run of text and the rectangle of its ink, turned with it."""

    text: str
    quad: Polygon


@dataclass(frozen=True)
class Line:
    """A stroked path, arcs as fine polylines."""

    points: tuple[tuple[float, float], ...]
    width: float

    @property
    def shape(self) -> LineString:
        return LineString(self.points)

    @property
    def length(self) -> float:
        return sum(math.dist(a, b) for a, b in zip(self.points, self.points[1:], strict=False))


@dataclass(frozen=True)
class PageInk:
    """Size of the MediaBox in points, and what stands on the page, mm from its lower left corner."""

    media: tuple[float, float, float, float]
    texts: tuple[Text, ...]
    lines: tuple[Line, ...]
    fills: tuple[Polygon, ...]


def read(data: bytes) -> list[PageInk]:
    document = pdfium.PdfDocument(data)
    return [_page(document[i]) for i in range(len(document))]


def _page(page: pdfium.PdfPage) -> PageInk:
    textpage = page.get_textpage()
    texts: list[Text] = []
    lines: list[Line] = []
    fills: list[Polygon] = []
    for item in page.get_objects(textpage=textpage):
        if item.type == raw.FPDF_PAGEOBJ_TEXT:
            texts.append(Text(item.extract().strip(), _quad(item)))
        elif item.type == raw.FPDF_PAGEOBJ_PATH:
            runs = _runs(item)
            width, mode, stroked = c_float(), c_int(), c_int()
            raw.FPDFPageObj_GetStrokeWidth(item.raw, width)
            raw.FPDFPath_GetDrawMode(item.raw, mode, stroked)
            if stroked.value:
                lines += [Line(tuple(run), width.value / MM) for run in runs]
            else:
                fills += [Polygon(run) for run in runs if len(run) > 2]
    return PageInk(page.get_mediabox(), tuple(texts), tuple(lines), tuple(fills))


def _quad(item: pdfium.PdfObject) -> Polygon:
    """The ink's rectangle; pdfium's own is upright, so text at an odd angle is boxed along its baseline instead."""
    matrix = item.get_matrix()
    if abs(matrix.b) < 1e-6 or abs(matrix.a) < 1e-6:
        x0, y0, x1, y1 = (v / MM for v in item.get_bounds())
        return box(x0, y0, x1, y1)
    angle = math.atan2(matrix.b, matrix.a)
    x0, y0, x1, y1 = (v / MM for v in item.get_bounds())
    wide, high = x1 - x0, y1 - y0
    co, si = abs(math.cos(angle)), abs(math.sin(angle))
    # An upright box around a turned rectangle (length l, height h): wide = l·co + h·si, high = l·si + h·co.
    along = (wide * co - high * si) / (co * co - si * si)
    up = (high * co - wide * si) / (co * co - si * si)
    cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
    corners = [(sx * along / 2, sy * up / 2) for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    return Polygon(
        [
            (cx + x * math.cos(angle) - y * math.sin(angle), cy + x * math.sin(angle) + y * math.cos(angle))
            for x, y in corners
        ]
    )


def _runs(item: pdfium.PdfObject) -> list[list[tuple[float, float]]]:
    runs: list[list[tuple[float, float]]] = []
    cubic: list[tuple[float, float]] = []
    for i in range(raw.FPDFPath_CountSegments(item.raw)):
        segment = raw.FPDFPath_GetPathSegment(item.raw, i)
        x, y = c_float(), c_float()
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        point = (x.value / MM, y.value / MM)
        kind = raw.FPDFPathSegment_GetType(segment)
        if kind == raw.FPDF_SEGMENT_MOVETO:
            runs.append([point])
        elif kind == raw.FPDF_SEGMENT_LINETO:
            runs[-1].append(point)
        else:
            cubic.append(point)
            if len(cubic) == 3:
                runs[-1] += _cubic(runs[-1][-1], *cubic)
                cubic = []
        if raw.FPDFPathSegment_GetClose(segment) and runs[-1][0] != point:
            runs[-1].append(runs[-1][0])
    return [run for run in runs if len(run) > 1]


def _cubic(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float], count: int = 24
) -> list[tuple[float, float]]:
    out = []
    for i in range(1, count + 1):
        t = i / count
        u = 1 - t
        out.append(tuple(u**3 * a[k] + 3 * u * u * t * b[k] + 3 * u * t * t * c[k] + t**3 * d[k] for k in (0, 1)))
    return out  # type: ignore[return-value]
