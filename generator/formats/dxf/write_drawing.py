"""A shop drawing as DXF: real text, native dimensions, a layer and line type for each kind of line.

The drawing stands in model space at the part's full size (the frame is enlarged instead), so a dimension's number is
the distance of its own points and the style's factor is 1. Cutting files are another writer's work and carry none of
this.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

import ezdxf
from ezdxf.colors import rgb2int
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts import BaseLayout, Modelspace

from generator import __version__
from generator.base.annotation import Anchor, DimKind
from generator.base.contours2d import Circle, Path
from generator.base.points2d import P2, Transform
from generator.drawing.sheet import DimensionMark, Fill, Item, Label, Level, Sheet, Stroke
from generator.drawing.style import PENS, LineType, Pen, Role
from generator.formats.dxf.metadata import fixed_metadata, settle_classes

#: Name of the text style and of the dimension style.
_STYLE = "HEELWRIGHT"
#: Digits of mm after the point in coordinates and radii.
_DIGITS = 9
#: Texts that differ by less than this from their dimension line's direction run along it, degrees.
_STRAIGHT = 1e-3
#: Characters that the code page or a plain stroke font lacks, and what stands for them.
_CODES = MappingProxyType({"⌀": "Ø", "×": "x", "−": "-", "·": "-"})
#: The colour number that means: as the layer.
_BY_LAYER = 256
#: Line type to its name and pattern in pen widths: length in all, then dashes (positive) and gaps (negative).
_LINE_TYPES: Mapping[LineType, tuple[str, tuple[float, ...]]] = MappingProxyType(
    {
        LineType.DASHED: ("DASHED", (15.0, 12.0, -3.0)),
        LineType.CHAIN: ("CHAIN", (31.0, 24.0, -3.0, 1.0, -3.0)),
        LineType.DOUBLE_CHAIN: ("DOUBLE_CHAIN", (35.0, 24.0, -3.0, 1.0, -3.0, 1.0, -3.0)),
    }
)
#: Colour number of the ink that every program turns against its ground, so that it reads on white and on black.
_INK = 7
#: Colour number of a red that reads on a white and on a black ground.
_RED = 1
#: Colour number of a blue that reads on a white and on a black ground.
_BLUE = 150
#: Colour number of a magenta that reads on a white and on a black ground.
_MAGENTA = 6
#: Role to the colour number of its layer, where that is not the ink's.
_COLOURS: Mapping[Role, int] = MappingProxyType(
    {
        Role.CENTRE: _RED,
        Role.SECTION: _MAGENTA,
        Role.ENGRAVE: _BLUE,
    }
)


def drawing_dxf(sheet: Sheet) -> bytes:
    """`sheet` as a DXF drawing (R2004, mm), the bytes of the file; the same sheet gives the same bytes.

    R2004 is the last version in a code page: each sign of Western languages is one byte, and programs that take every
    file for Latin-1 show ± and Ø as those that read the header do. Other signs stand as the format's own codes.
    """
    grow = 1.0 / sheet.scale
    with fixed_metadata():
        document = ezdxf.new("R2004", setup=False, units=4)
        document.header["$MEASUREMENT"] = 1
        document.header["$LASTSAVEDBY"] = "Heelwright"
        about = {"Program": f"Heelwright {__version__}", "Job": sheet.job, "Drawing": sheet.title}
        for tag, value in about.items():
            document.header.custom_vars.append(tag, value)
        _add_tables(document, grow)
        space = document.modelspace()
        for item in sheet.items:
            _add_item(space, item, grow)
        for mark in sheet.dimensions:
            _add_dimension(space, mark, grow)
        settle_classes(document)
        text = io.StringIO()
        document.write(text)
    return document.encode(text.getvalue())


def _add_tables(document: Drawing, grow: float) -> None:
    for line_type, (name, pattern) in _LINE_TYPES.items():
        width = next(pen.width for pen in PENS.values() if pen.line is line_type)
        document.linetypes.add(name, [part * width * grow for part in pattern], description=name.lower())
    for role in Role:
        pen = PENS[role]
        kind = _LINE_TYPES[pen.line][0] if pen.line in _LINE_TYPES else "Continuous"
        document.layers.add(
            role.value,
            color=_COLOURS.get(role, _INK),
            linetype=kind,
            lineweight=round(pen.width * 100),
        )
    document.styles.add(_STYLE, font="txt.shx")
    sizes = {
        "dimtxt": 2.5 * grow,
        "dimasz": 2.5 * grow,
        "dimexe": 2.0 * grow,
        "dimexo": 1.0 * grow,
        "dimgap": 1.0 * grow,
        "dimlfac": 1.0,
        "dimscale": 1.0,
        "dimdec": 4,
        "dimzin": 8,
        "dimtad": 1,
    }
    # Some programs draw every dimension anew by what the header says, and know no style.
    for name, value in sizes.items():
        document.header[f"${name.upper()}"] = value
    document.dimstyles.new(_STYLE, dxfattribs={"dimtxsty": _STYLE, "dimtmove": 2, "dimblk": "", **sizes})


def _add_item(space: BaseLayout, item: Item, grow: float) -> None:
    if isinstance(item, Stroke):
        _add_stroke(space, item, grow)
    elif isinstance(item, Fill):
        _add_fill(space, item, grow)
    else:
        _add_label(space, item, grow)


def _add_stroke(space: BaseLayout, stroke: Stroke, grow: float) -> None:
    look = {"layer": stroke.role.value} | _line_look(stroke.pen)
    shape: Path | Circle = stroke.path.transformed(Transform.scale(grow))
    if isinstance(shape, Circle):
        space.add_circle(_point(shape.center), round(shape.radius, _DIGITS), dxfattribs=look)
        return
    vertices = [(*_point(v.point), round(v.bulge, 12) + 0.0) for v in shape.vertices]
    if len(vertices) == 2 and not vertices[0][2] and not shape.closed:
        space.add_line(vertices[0][:2], vertices[1][:2], dxfattribs=look)
    else:
        space.add_lwpolyline(vertices, format="xyb", close=shape.closed, dxfattribs=look)


def _line_look(pen: Pen) -> dict[str, Any]:
    """A line type that is no continuous one: some programs do not take it from the layer."""
    return {"linetype": _LINE_TYPES[pen.line][0]} if pen.line in _LINE_TYPES else {}


def _add_fill(space: BaseLayout, fill: Fill, grow: float) -> None:
    """A filled area as a solid hatch, in its own colour where it has one: some programs draw a SOLID hollow."""
    look: dict[str, Any] = {"layer": fill.role.value}
    if fill.colour is not None:
        red, green, blue = (round(255 * part) for part in fill.colour)
        look["true_color"] = rgb2int((red, green, blue))
    hatch = space.add_hatch(color=_BY_LAYER, dxfattribs=look)
    hatch.paths.add_polyline_path([_point(p.times(grow)) for p in fill.contour.flatten(0.01)], is_closed=True)


#: Anchor of a label to the name of the alignment on its baseline.
_ALIGNMENT = {Anchor.LEFT: "LEFT", Anchor.MIDDLE: "CENTER", Anchor.RIGHT: "RIGHT"}


def _add_label(space: BaseLayout, label: Label, grow: float) -> None:
    look = {"layer": label.role.value, "style": _STYLE, "rotation": label.angle}
    text = space.add_text(_coded(label.text), height=label.height * grow, dxfattribs=look)
    lift = -label.level.value * label.height if label.level is not Level.BASE else 0.0
    at = label.at.plus(Transform.rotate(label.angle).apply(P2(0.0, lift)))
    text.set_placement(_point(at.times(grow)), align=TextEntityAlignment[_ALIGNMENT[label.anchor]])
    # Programs that know no alignment start every text here.
    text.dxf.insert = _point(label.base.times(grow))


def _coded(text: str) -> str:
    return "".join(_CODES.get(char, char) for char in text)


def _add_dimension(space: Modelspace, mark: DimensionMark, grow: float) -> None:
    """A native dimension where the format has one; notes and ordinates as the ink they are."""
    if mark.kind is None:
        for item in mark.items:
            _add_item(space, item, grow)
        return
    points = [P2(*_point(p.times(grow))) for p in mark.points]
    base = _point(mark.line_at.times(grow))
    common = {"text": _coded(mark.text), "dimstyle": _STYLE, "dxfattribs": {"layer": Role.DIMENSION.value}}
    _place(_NATIVE[mark.kind](space, points, base, common).dimension, mark, grow)


def _place(dimension: Any, mark: DimensionMark, grow: float) -> None:
    """The dimension's block holds the ink that was laid out, its text stays where it was found clear.

    A reader that draws dimensions anew by the style would set their texts over each other.
    """
    block = dimension.doc.blocks.new_anonymous_block(type_char="D")
    for item in mark.items:
        _add_item(block, item, grow)
    dimension.dxf.geometry = block.name
    dimension.dxf.dimtype |= dimension.USER_LOCATION_OVERRIDE
    low, _, high, _ = mark.label.corners()
    dimension.dxf.text_midpoint = _point(low.plus(high).times(grow / 2.0))
    turn = mark.label.angle - dimension.dxf.get("angle", mark.label.angle)
    if abs(turn) > _STRAIGHT:
        dimension.dxf.text_rotation = turn  # level text on a shelf beside an upright dimension line
    dimension.dxf.actual_measurement = math.radians(mark.value) if mark.kind is DimKind.ANGLE else mark.value


def _linear(angle: float) -> Callable[..., Any]:
    def add(space: Modelspace, points: list[P2], base: tuple[float, float], common: dict[str, Any]) -> Any:
        return space.add_linear_dim(base=base, p1=points[0], p2=points[1], angle=angle, **common)

    return add


def _aligned(space: Modelspace, points: list[P2], base: tuple[float, float], common: dict[str, Any]) -> Any:
    run = points[1].minus(points[0])
    angle = math.degrees(math.atan2(run.y, run.x))
    return space.add_linear_dim(base=base, p1=points[0], p2=points[1], angle=angle, **common)


def _radial(space: Modelspace, points: list[P2], base: tuple[float, float], common: dict[str, Any]) -> Any:
    return space.add_radius_dim(center=points[0], radius=points[0].distance(points[1]), location=base, **common)


def _diametral(space: Modelspace, points: list[P2], base: tuple[float, float], common: dict[str, Any]) -> Any:
    return space.add_diameter_dim(center=points[0], radius=points[0].distance(points[1]), location=base, **common)


def _angular(space: Modelspace, points: list[P2], base: tuple[float, float], common: dict[str, Any]) -> Any:
    return space.add_angular_dim_3p(base=base, center=points[0], p1=points[1], p2=points[2], **common)


#: Kind of dimension to the function that adds it as a native one.
_NATIVE: Mapping[DimKind, Callable[..., Any]] = MappingProxyType(
    {
        DimKind.HORIZONTAL: _linear(0.0),
        DimKind.VERTICAL: _linear(90.0),
        DimKind.ALIGNED: _aligned,
        DimKind.RADIUS: _radial,
        DimKind.DIAMETER: _diametral,
        DimKind.ANGLE: _angular,
    }
)


def _point(point: P2) -> tuple[float, float]:
    return round(point.x, _DIGITS) + 0.0, round(point.y, _DIGITS) + 0.0
