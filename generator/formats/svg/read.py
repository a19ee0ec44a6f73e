"""Reads a drawing back from its SVG: strokes with true arcs by role, and the words, in mm with y upwards.

The only user of svgelements. Lengths come out as a printer would make them, so a wrong size or view box shows.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path as FilePath
from xml.etree.ElementTree import ParseError

import svgelements

from generator.base.bounded_file import read_bounded
from generator.base.contours2d import Circle, Path, Vertex
from generator.base.errors import GeometryError, OutputError
from generator.base.points2d import P2, SAME_POINT

#: A screen dot is this part of an inch wherever SVG is drawn (CSS 2.1, section 4.3.2).
_DOTS_PER_INCH = 96.0
#: svgelements reckons in dots and takes a millimetre for 0.0393701 in; what it read as mm must come out as mm.
_MM = 1.0 / (_DOTS_PER_INCH * 0.0393701)
#: Markup that unfolds, repeats, or fetches from elsewhere.
_STRANGE = re.compile(rb"<!DOCTYPE|<!ENTITY|<use\b|<image\b|<symbol\b|<pattern\b|<script\b", re.IGNORECASE)
#: Matches the start of an opening or a whole closing tag of a group or a drawing.
_GROUPS = re.compile(rb"<(?:g|svg)\b|</(?:g|svg)>")
#: Most elements of one file: the fullest drawing of a kit has a sixth of this.
_MOST_ELEMENTS = 20_000
#: Most groups in each other: the fullest drawing of a kit has them three deep.
_DEEPEST = 30
#: An ellipse whose half axes agree within this (mm) is a circle.
_ROUND = 1e-4


@dataclass(frozen=True)
class SvgStroke:
    """One line of the drawing, in the group that its role names; `pen` is its width in mm."""

    role: str
    shape: Path | Circle
    pen: float
    dashed: bool


@dataclass(frozen=True)
class SvgFile:
    """A drawing as read: its size in mm, the words that say what it is, its strokes and its lines of text."""

    name: str
    width: float
    height: float
    title: str
    description: str
    strokes: tuple[SvgStroke, ...]
    texts: tuple[str, ...]

    def shapes(self, role: str) -> tuple[Path | Circle, ...]:
        """The strokes of one role, in the order of the file."""
        return tuple(stroke.shape for stroke in self.strokes if stroke.role == role)


def read_svg(path: FilePath) -> SvgFile:
    """Read the SVG at `path`. Raises OutputError where it is missing, no SVG, or has a curve that is no arc."""
    try:
        data = read_bounded(path)
        _demand_plain(data)
        drawing = svgelements.SVG.parse(io.BytesIO(data), ppi=_DOTS_PER_INCH, reify=True)
    except (OSError, ParseError, ValueError, TypeError, AttributeError, ArithmeticError, LookupError) as error:
        raise OutputError(f"{path.name}: not a readable SVG: {error}"[:300]) from error
    try:
        height = float(drawing.height) * _MM
        strokes = tuple(_strokes(drawing, height))
    except (GeometryError, ValueError, TypeError, AttributeError, ArithmeticError) as error:
        raise OutputError(f"{path.name}: {error}"[:300]) from error
    return SvgFile(
        path.name,
        float(drawing.width) * _MM,
        height,
        _words(drawing, svgelements.Title),
        _words(drawing, svgelements.Desc),
        strokes,
        tuple(str(text.text) for text in drawing.select(lambda item: isinstance(item, svgelements.Text))),
    )


def _demand_plain(data: bytes) -> None:
    """Refuse what a drawing of a kit has none of: entities to unfold, copies of copies, groups deep in each other."""
    strange = _STRANGE.search(data)
    if strange is not None:
        raise OutputError(f"{strange.group().decode('ascii', 'replace')} in it; a drawing of a kit has none")
    if data.count(b"<") > _MOST_ELEMENTS:
        raise OutputError(f"more than {_MOST_ELEMENTS} elements")
    depth = 0
    for mark in _GROUPS.finditer(data):
        depth += -1 if mark.group().startswith(b"</") else 1
        if depth > _DEEPEST:
            raise OutputError(f"more than {_DEEPEST} groups in each other")


def _words(drawing: svgelements.SVG, kind: type) -> str:
    for item in drawing.select(lambda item: isinstance(item, kind)):
        return str(getattr(item, "title", None) or getattr(item, "desc", None) or "")
    return ""


def _strokes(drawing: svgelements.SVG, height: float) -> Iterator[SvgStroke]:
    for group in drawing:
        if not isinstance(group, svgelements.Group):
            continue
        for item in group.select(lambda item: isinstance(item, svgelements.Shape)):
            if item.values.get("stroke") not in (None, "none"):
                pen, dashed = round(float(item.stroke_width) * _MM, 4), item.values.get("stroke-dasharray") is not None
                yield from (SvgStroke(str(group.id or ""), shape, pen, dashed) for shape in _shapes(item, height))


def _shapes(item: svgelements.Shape, height: float) -> Iterator[Path | Circle]:
    if isinstance(item, svgelements.Circle | svgelements.Ellipse):
        across, up = float(item.rx) * _MM, float(item.ry) * _MM
        if abs(across - up) > _ROUND:
            raise GeometryError(f"an ellipse of {across:g} by {up:g} mm; allowed: circles")
        yield Circle(P2(float(item.cx) * _MM, height - float(item.cy) * _MM), across)
        return
    for run in svgelements.Path(item).as_subpaths():
        shape = _path(list(svgelements.Path(run)), height)
        if shape is not None:
            yield shape


def _path(segments: list[svgelements.PathSegment], height: float) -> Path | None:
    """One run of lines and arcs, y turned up; None for a mere move."""
    vertices: list[Vertex] = []
    end: P2 | None = None
    closed = False
    for segment in segments:
        if isinstance(segment, svgelements.Move):
            continue
        start, end = _point(segment.start, height), _point(segment.end, height)
        closed = closed or isinstance(segment, svgelements.Close)
        if start.distance(end) >= SAME_POINT:
            vertices.append(Vertex(*start, _bulge(segment)))
    if end is None or not vertices:
        return None
    return Path(tuple(vertices), True) if closed else Path((*vertices, Vertex(*end)), False)


def _point(point: svgelements.Point, height: float) -> P2:
    return P2(float(point.x) * _MM, height - float(point.y) * _MM)


def _bulge(segment: svgelements.PathSegment) -> float:
    if isinstance(segment, svgelements.Line | svgelements.Close):
        return 0.0
    if not isinstance(segment, svgelements.Arc) or abs(segment.rx - segment.ry) > _ROUND:
        raise GeometryError(f"a {type(segment).__name__} at {segment.start}; allowed: lines and circular arcs")
    # SVG turns with y downwards; turning y up turns the sense of every arc.
    return -math.tan(float(segment.sweep) / 4.0)
