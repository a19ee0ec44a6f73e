"""Reads pages back from a PDF: every stroked line in mm with its pen, the words, and what the file says it is.

The only user of pypdfium2. Curves come back as points within a given distance of them.
"""

from __future__ import annotations

import ctypes
import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path as FilePath

import pypdfium2
import pypdfium2.raw as raw

from generator.base.bounded_file import read_bounded
from generator.base.errors import OutputError
from generator.base.points2d import P2, Transform
from generator.base.units import MM_PER_INCH
from generator.formats.pdf.streams import demand_small

#: Length of a point, 1/72 in, in mm.
MM_PER_POINT = MM_PER_INCH / 72.0
#: Points put along one Bézier: those of a quarter turn of 50 mm radius stay within 0.1 mm of it, its ends are exact.
_PIECES = 16
#: Most pages of one file.
_MOST_PAGES = 200


@dataclass(frozen=True)
class PdfStroke:
    """One run of a stroked path: corner points in page mm, and which of them are ends of a line or curve.

    `pen` is the line's width in mm, `grey` from 0 (black) to 1 (white).
    """

    points: tuple[P2, ...]
    ends: tuple[P2, ...]
    closed: bool
    pen: float
    grey: float
    dashed: bool


@dataclass(frozen=True)
class PdfPage:
    """One page: its size in mm, its strokes, and its words line by line."""

    width: float
    height: float
    strokes: tuple[PdfStroke, ...]
    text: tuple[str, ...]


@dataclass(frozen=True)
class PdfFile:
    """A document as read: what it says it is, and its pages."""

    name: str
    title: str
    subject: str
    creator: str
    pages: tuple[PdfPage, ...]


def read_pdf(path: FilePath) -> PdfFile:
    """Read the PDF at `path`. Raises OutputError where it is missing or no PDF."""
    try:
        data = read_bounded(path)
        demand_small(data)
        document = pypdfium2.PdfDocument(data)
    except (OSError, pypdfium2.PdfiumError) as error:
        raise OutputError(f"{path.name}: not a readable PDF: {error}") from error
    try:
        about = document.get_metadata_dict()
        if len(document) > _MOST_PAGES:
            raise OutputError(f"{path.name}: {len(document)} pages, of which {_MOST_PAGES} at most are read")
        pages = tuple(_page(document[number]) for number in range(len(document)))
    except pypdfium2.PdfiumError as error:
        raise OutputError(f"{path.name}: not a readable PDF: {error}") from error
    finally:
        document.close()
    return PdfFile(path.name, about["Title"], about["Subject"], about["Creator"], pages)


def _page(page: pypdfium2.PdfPage) -> PdfPage:
    width, height = page.get_size()
    words = page.get_textpage().get_text_bounded()
    strokes = tuple(stroke for item in page.get_objects() for stroke in _strokes(item))
    return PdfPage(width * MM_PER_POINT, height * MM_PER_POINT, strokes, tuple(words.splitlines()))


def _strokes(item: pypdfium2.PdfObject) -> Iterator[PdfStroke]:
    if item.type != raw.FPDF_PAGEOBJ_PATH:
        return
    filled, stroked = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(item.raw, ctypes.byref(filled), ctypes.byref(stroked))
    if not stroked.value:
        return
    width = ctypes.c_float()
    raw.FPDFPageObj_GetStrokeWidth(item.raw, ctypes.byref(width))
    red, green, blue, alpha = (ctypes.c_uint() for _ in range(4))
    raw.FPDFPageObj_GetStrokeColor(item.raw, red, green, blue, alpha)
    dashed = raw.FPDFPageObj_GetDashCount(item.raw) > 0
    for run in _runs(item):
        pen = round(width.value * MM_PER_POINT, 4)
        yield PdfStroke(tuple(run.points), tuple(run.ends), run.closed, pen, red.value / 255.0, dashed)


@dataclass
class _Run:
    points: list[P2]
    ends: list[P2]
    closed: bool = False


def _runs(item: pypdfium2.PdfObject) -> Iterator[_Run]:
    """The runs of a path: each begins with a move; three points of a Bézier make one curve."""
    a, b, c, d, e, f = item.get_matrix().get()
    to_page = Transform(a, b, c, d, e, f).then(Transform.scale(MM_PER_POINT))
    run: _Run | None = None
    controls: list[P2] = []
    for number in range(raw.FPDFPath_CountSegments(item.raw)):
        segment = raw.FPDFPath_GetPathSegment(item.raw, number)
        x, y = ctypes.c_float(), ctypes.c_float()
        raw.FPDFPathSegment_GetPoint(segment, ctypes.byref(x), ctypes.byref(y))
        at = to_page.apply(P2(x.value, y.value))
        kind = raw.FPDFPathSegment_GetType(segment)
        if kind == raw.FPDF_SEGMENT_MOVETO or run is None:
            if run is not None:
                yield run
            run, controls = _Run([at], [at]), []
        elif kind == raw.FPDF_SEGMENT_BEZIERTO and len(controls) < 2:
            controls.append(at)
        else:
            run.points += _curve(run.points[-1], controls[0], controls[-1], at) if controls else [at]
            run.ends.append(at)
            controls = []
        run.closed = run.closed or bool(raw.FPDFPathSegment_GetClose(segment))
    if run is not None:
        yield run


def _curve(p0: P2, p1: P2, p2: P2, p3: P2) -> Iterator[P2]:
    """Points along a cubic Bézier, without its start."""
    count = max(1, math.ceil(_PIECES * min(1.0, (p0.distance(p1) + p1.distance(p2) + p2.distance(p3)) / 4.0)))
    for i in range(1, count + 1):
        t = i / count
        u = 1.0 - t
        yield p0.times(u**3).plus(p1.times(3 * u * u * t)).plus(p2.times(3 * u * t * t)).plus(p3.times(t**3))
