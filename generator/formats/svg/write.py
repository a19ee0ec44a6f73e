"""A sheet as SVG: millimetres one to one, true arcs, real text in the embedded font. The only user of svgwrite."""

from __future__ import annotations

import base64
import itertools
import math
from pathlib import Path as FilePath
from typing import Any

from generator import __version__
from generator.base.contours2d import Circle, Path
from generator.base.points2d import P2
from generator.base.segments2d import Segment
from generator.drawing import font
from generator.drawing.sheet import Fill, Item, Label, Sheet, Stroke, play
from generator.drawing.style import Pen, Role

#: Decimals of a coordinate: a ten-thousandth of a millimetre.
DECIMALS = 4


def svg_text(sheet: Sheet) -> str:
    """The sheet as an SVG document: width and height in mm, user unit 1 mm, y down as SVG has it.

    One group a role (`id` = the role's value), in the order the roles first appear. The same sheet gives the same text.
    """
    import svgwrite

    size = (f"{_number(sheet.width)}mm", f"{_number(sheet.height)}mm")
    view_box = f"0 0 {_number(sheet.width)} {_number(sheet.height)}"
    drawing = svgwrite.Drawing(size=size, viewBox=view_box, debug=False)
    made_by = f"Heelwright {__version__}, job {sheet.job}, sheet {sheet.name}"
    size_words = f"Millimetres; drawn at {sheet.scale:g} of full size."
    drawing.set_desc(title=f"{sheet.title} ({sheet.job})", desc=f"{made_by}. {size_words}")
    drawing.embed_stylesheet(_stylesheet("".join(label.text for label in sheet.labels())))
    ink = _SvgInk(drawing, sheet.height)
    play(_by_role(sheet), ink)
    for group in ink.groups.values():
        drawing.add(group)
    return '<?xml version="1.0" encoding="utf-8"?>\n' + str(drawing.tostring()) + "\n"


def svg_bytes(sheet: Sheet) -> bytes:
    """`svg_text(sheet)` as its file holds it: UTF-8 with plain line ends."""
    return svg_text(sheet).encode("utf-8")


def write_svg(sheet: Sheet, path: FilePath) -> None:
    """Writes `svg_bytes(sheet)` to `path`."""
    path.write_bytes(svg_bytes(sheet))


def _by_role(sheet: Sheet) -> list[Item]:
    """All ink sorted by role: areas first, then lines, letters last, so that nothing is painted over."""
    rank: dict[Role, int] = {}
    kinds = {Fill: 0, Stroke: 1, Label: 2}
    items = list(sheet.every_item())
    for item in items:
        rank.setdefault(item.role, len(rank))
    return sorted(items, key=lambda item: (rank[item.role], kinds[type(item)]))


def _stylesheet(text: str) -> str:
    data = base64.b64encode(font.subset(text)).decode("ascii")
    return (
        f"@font-face{{font-family:'{font.FAMILY}';src:url(data:font/ttf;base64,{data}) format('truetype')}}"
        f"text{{font-family:'{font.FAMILY}',sans-serif;font-kerning:none;font-variant-ligatures:none;white-space:pre}}"
    )


def _number(value: float) -> str:
    text = f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _grey(level: float) -> str:
    return _colour(level, level, level)


def _colour(red: float, green: float, blue: float) -> str:
    return "#" + "".join(f"{round(255 * part):02x}" for part in (red, green, blue))


def _well_posed(segment: Segment) -> list[Segment]:
    """The segment, an arc in parts of at most a quarter turn.

    SVG gives an arc by its ends and radius; near half a turn the last decimal of either would move its crown by
    hundredths of a millimetre.
    """
    count = math.ceil(abs(segment.sweep) / 90.0 - 1e-9)
    if count < 2:
        return [segment]
    bulge = math.tan(math.radians(segment.sweep / count) / 4.0)
    stops = [segment.point_at(i / count) for i in range(count)] + [segment.end]
    return [Segment(a, b, bulge) for a, b in itertools.pairwise(stops)]


class _SvgInk:
    """Maps strokes, fills and labels to elements, y turned down."""

    def __init__(self, drawing: Any, height: float) -> None:
        self._drawing = drawing
        self._height = height
        self.groups: dict[Role, Any] = {}

    def stroke(self, stroke: Stroke) -> None:
        element = self._shape(stroke.path)
        element.update(self._pen(stroke.pen, stroke.phase))
        self._add(stroke.role, element)

    def fill(self, fill: Fill) -> None:
        element = self._shape(fill.contour)
        paint = _grey(fill.grey) if fill.colour is None else _colour(*fill.colour)
        element.update({"fill": paint, "stroke": "none"})
        self._add(fill.role, element)

    def label(self, label: Label) -> None:
        base = self._point(label.base)
        extra: dict[str, Any] = {"font_size": _number(font.font_size(label.height)), "fill": "#000000"}
        if label.angle:
            extra["transform"] = f"rotate({_number(-label.angle)} {base[0]} {base[1]})"
        element = self._drawing.text(label.text, insert=base, **extra)
        self._add(label.role, element)

    def _add(self, role: Role, element: Any) -> None:
        if role not in self.groups:
            self.groups[role] = self._drawing.g(id=role.value)
        self.groups[role].add(element)

    def _pen(self, pen: Pen, phase: float) -> dict[str, str]:
        out = {
            "fill": "none",
            "stroke": _grey(pen.grey),
            "stroke-width": _number(pen.width),
            "stroke-linejoin": "round",
        }
        if pen.dashes:
            out["stroke-dasharray"] = " ".join(_number(part) for part in pen.dashes)
        if pen.dashes and phase:
            out["stroke-dashoffset"] = _number(phase)
        return out

    def _point(self, point: P2) -> tuple[str, str]:
        return _number(point.x), _number(self._height - point.y)

    def _shape(self, path: Path | Circle) -> Any:
        if isinstance(path, Circle):
            return self._drawing.circle(center=self._point(path.center), r=_number(path.radius))
        commands = ["M {} {}".format(*self._point(path.start))]
        segments = list(path.segments())
        if path.closed and not segments[-1].is_arc:
            segments.pop()
        commands += [self._command(part) for segment in segments for part in _well_posed(segment)]
        return self._drawing.path(d=" ".join([*commands, "Z"] if path.closed else commands))

    def _command(self, segment: Segment) -> str:
        end = "{} {}".format(*self._point(segment.end))
        if not segment.is_arc:
            return f"L {end}"
        radius = _number(segment.radius)
        # Turning y down turns counter-clockwise into SVG's negative direction.
        return f"A {radius} {radius} 0 0 {int(segment.sweep < 0)} {end}"
