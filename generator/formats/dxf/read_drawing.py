"""Read a drawing's DXF back, from any program: its lines by layer, its words, and every dimension with its points."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path as FilePath

from ezdxf import decode_dxf_unicode
from ezdxf.document import Drawing
from ezdxf.entities import Arc, Dimension, DXFEntity, Line, LWPolyline
from ezdxf.entities import Circle as CircleEntity

from generator.base.contours2d import Circle, Contour, Path, Vertex
from generator.base.errors import OutputError
from generator.base.points2d import P2, SAME_POINT
from generator.base.shapes2d import arc_about
from generator.formats.dxf.tags import MILLIMETRES, UNREADABLE, open_dxf

#: The low bits of a dimension's type say what it measures (DXF reference, group code 70).
_KIND_BITS = 7
#: Control code in a text to the sign that it stands for.
_CODES = {"%%c": "⌀", "%%p": "±", "%%d": "°"}


class Measures(Enum):
    """What a dimension measures, by its type in the file."""

    ROTATED = 0
    ALIGNED = 1
    ANGLE = 2
    DIAMETER = 3
    RADIUS = 4
    ANGLE_BY_POINTS = 5
    ORDINATE = 6

    @property
    def is_angle(self) -> bool:
        return self in (Measures.ANGLE, Measures.ANGLE_BY_POINTS)


@dataclass(frozen=True)
class ReadDimension:
    """One dimension: `measured` is worked out from its definition points, `stated` what the file says of it.

    Millimetres, or degrees for an angle. `text` is what the file tells a program to print, `shown` what stands in the
    dimension's own picture. `stated` is NaN where the file says nothing.
    """

    measures: Measures
    measured: float
    stated: float
    text: str
    shown: tuple[str, ...]


@dataclass(frozen=True)
class DrawingFile:
    """A drawing as read: lines by layer in the file's units, its words, its dimensions, what it says of itself.

    Lines and words are those that a program shows, the pictures of the dimensions among them.
    """

    name: str
    metric: bool
    properties: Mapping[str, str]
    lines: tuple[tuple[str, Contour], ...]
    texts: tuple[str, ...]
    dimensions: tuple[ReadDimension, ...]

    def closed(self, layer: str) -> tuple[Contour, ...]:
        """The closed shapes of one layer, in the order of the file."""
        return tuple(s for name, s in self.lines if name == layer and (isinstance(s, Circle) or s.closed))


def read_dxf_drawing(path: FilePath) -> DrawingFile:
    """Read the drawing at `path`. Raises OutputError where it is no readable DXF, or has a line that is no number."""
    try:
        document = open_dxf(path)
        space = document.modelspace()
        dimensions = tuple(_dimension(document, item) for item in space.query("DIMENSION"))
        inked = (*space, *(item for dim in space.query("DIMENSION") for item in _picture(document, dim)))
        lines = tuple((item.dxf.layer, shape) for item in inked for shape in _shapes(item))
        texts = tuple(_plain(item.dxf.text) for item in inked if item.dxftype() == "TEXT")
    except UNREADABLE as error:  # a GeometryError is a ValueError
        raise OutputError(f"{path.name}: not a readable drawing: {error}") from error
    return DrawingFile(
        path.name,
        document.header.get("$INSUNITS", 0) == MILLIMETRES,
        dict(document.header.custom_vars.properties),
        lines,
        texts,
        dimensions,
    )


def _picture(document: Drawing, dimension: DXFEntity) -> Iterator[DXFEntity]:
    """What a dimension's own block shows; nothing where it has none."""
    name = dimension.dxf.get("geometry", "")
    if name in document.blocks:
        yield from document.blocks.get(name)


def _dimension(document: Drawing, item: DXFEntity) -> ReadDimension:
    assert isinstance(item, Dimension), "asked only for dimensions"
    measures = Measures(item.dxf.dimtype & _KIND_BITS)
    stated = float(item.dxf.get("actual_measurement", math.nan))
    shown = tuple(_plain(text.dxf.text) for text in _picture(document, item) if text.dxftype() == "TEXT")
    return ReadDimension(
        measures,
        float(item.get_measurement()),
        math.degrees(stated) if measures.is_angle else stated,
        _plain(item.dxf.text),
        shown,
    )


def _plain(text: str) -> str:
    """A text with the format's codes for signs written out: %%c and its like, and signs outside the file's encoding."""
    signs = decode_dxf_unicode(text)
    return re.sub(r"%%[cpd]", lambda code: _CODES[code.group().lower()], signs, flags=re.IGNORECASE)


def _shapes(item: DXFEntity) -> Iterator[Contour]:
    """A line, circle, arc or polyline; text, filled arrowheads and dimensions are no lines."""
    if isinstance(item, CircleEntity) and not isinstance(item, Arc):
        yield Circle(P2(item.dxf.center.x, item.dxf.center.y), item.dxf.radius)
    elif isinstance(item, Arc):
        middle, sweep = P2(item.dxf.center.x, item.dxf.center.y), (item.dxf.end_angle - item.dxf.start_angle) % 360.0
        turn = arc_about(middle, item.dxf.radius, item.dxf.start_angle, sweep)
        yield Path((Vertex(*turn.start, turn.bulge), Vertex(*turn.end)), closed=False)
    elif isinstance(item, Line):
        start, end = (P2(at.x, at.y) for at in (item.dxf.start, item.dxf.end))
        if start.distance(end) > SAME_POINT:
            yield Path((Vertex(*start), Vertex(*end)), closed=False)
    elif isinstance(item, LWPolyline):
        yield Path(tuple(Vertex(x, y, bulge) for x, y, bulge in item.get_points("xyb")), bool(item.closed))
