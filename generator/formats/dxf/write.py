"""Cutting DXF: the lines of a part, or of a nested sheet, as a laser or a router reads them without questions.

Millimetres and metric are declared; only LINE, CIRCLE and LWPOLYLINE with true arcs (bulges) are written; every contour
is one closed polyline or a circle; nothing stands on layer 0; every line carries an explicit colour. The same lines
give the same bytes. Nominal size unless a kerf is asked for, and then name and properties of the file say so.
"""

from __future__ import annotations

import io
import math
from collections.abc import Mapping, Sequence

import ezdxf
from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

from generator import __version__
from generator.base.contours2d import Circle, Path
from generator.base.errors import OutputError
from generator.base.points2d import box_around
from generator.cutting.cut_layers import CUT_INSIDE, CUT_OUTSIDE, ENGRAVE, CutLine, cut_faults, lost_engraving
from generator.cutting.cut_lines import (
    coupon_lines,
    cut_lines,
    said_of_coupon,
    said_of_cut,
    said_of_part,
    said_of_sheet,
    sheet_mark,
)
from generator.cutting.nesting import NestedSheet
from generator.formats.dxf.metadata import fixed_metadata, settle_classes
from generator.formats.dxf.tags import MILLIMETRES
from generator.jig.part import Part
from generator.job.model.stock import Stock

#: Value of $MEASUREMENT for metric.
_METRIC = 1
#: DXF colour indices of the layers: they show on white and on black alike.
COLOURS = {CUT_OUTSIDE: 1, CUT_INSIDE: 5, ENGRAVE: 6}
#: DXF colour index of pockets: it shows on white and on black alike.
POCKET_COLOUR = 3
#: Digits of mm after the point: far below any machine's step, above the rounding noise of computers.
_DIGITS = 9
#: Digits of bulges after the point: far below any machine's step, above the rounding noise of computers.
_BULGE_DIGITS = 12


def part_file_name(part: Part, kerf: float = 0.0) -> str:
    """Name of a part's cutting file; a compensated one says the kerf (mm) it is drawn for."""
    return f"{part.name}{_kerf_suffix(kerf)}.dxf"


def sheet_file_name(sheet: NestedSheet, kerf: float = 0.0) -> str:
    """Name of a nested sheet's cutting file."""
    return f"sheet-{sheet.stock}-{sheet.number}{_kerf_suffix(kerf)}.dxf"


def part_dxf(part: Part, job: str, kerf: float = 0.0) -> bytes:
    """The cutting DXF of one part, in the part's own coordinates, as the bytes of the file.

    `kerf` (mm, 0 for nominal size) is the whole width of the cut. Raises OutputError naming every line a machine could
    not cut as drawn and all engraving over an opening, GeometryError where a feature is narrower than the kerf.
    """
    return _dxf(cut_lines(part, kerf), part.name, job, said_of_part(part), kerf)


def coupon_file_name(stock: str) -> str:
    """Name of the file with a stock's kerf coupon."""
    return f"kerf-coupon-{stock}.dxf"


def coupon_dxf(part: Part, job: str) -> bytes:
    """The kerf coupon of one stock, as often as it is cut, one over the other; never compensated."""
    return _dxf(coupon_lines(part), f"kerf-coupon-{part.stock}", job, said_of_coupon(part), 0.0)


def sheet_dxf(sheet: NestedSheet, stock: Stock, job: str, kerf: float = 0.0) -> bytes:
    """The cutting DXF of one nested sheet of `stock`: origin at the sheet's lower left corner; else as `part_dxf`.

    Its outline and what it is are engraved beside the parts.
    """
    mark = sheet_mark(stock, sheet.margin, sheet.number, sheet.count, len(sheet.places), job)
    lines = list(mark.lines())
    lines += [
        CutLine(line.layer, line.shape.transformed(place.transform))
        for place in sheet.places
        for line in cut_lines(place.part, kerf)
    ]
    # All engraving before all inner cuts before all outlines: no part may drop before it is finished.
    lines.sort(key=lambda line: (line.layer == CUT_OUTSIDE, line.layer == CUT_INSIDE))
    return _dxf(lines, f"sheet-{sheet.stock}-{sheet.number}", job, said_of_sheet(sheet), kerf)


def _kerf_suffix(kerf: float) -> str:
    return f".kerf-{kerf:.2f}" if kerf else ""


def _dxf(lines: Sequence[CutLine], name: str, job: str, about: Mapping[str, str], kerf: float) -> bytes:
    faults = (*cut_faults(lines), *lost_engraving(lines))
    if faults:
        raise OutputError("\n".join(f"cutting file {name}: {fault}" for fault in faults))
    said = {"Program": f"Heelwright {__version__}", "Job": job, **about, **said_of_cut(kerf)}
    with fixed_metadata():
        document = ezdxf.new("R2010", setup=False, units=MILLIMETRES)
        document.header["$MEASUREMENT"] = _METRIC
        document.header["$LASTSAVEDBY"] = "Heelwright"
        for tag, value in said.items():
            document.header.custom_vars.append(tag, value)
        _add_layers(document, lines)
        space = document.modelspace()
        for line in lines:
            _add_line(space, line)
        _set_view(document, lines)
        settle_classes(document)
        text = io.StringIO()
        document.write(text)
    return document.encode(text.getvalue())


def layer_colour(layer: str) -> int:
    """The colour index that lines of a layer carry."""
    return COLOURS.get(layer, POCKET_COLOUR)


def _add_layers(document: Drawing, lines: Sequence[CutLine]) -> None:
    for layer in dict.fromkeys(line.layer for line in lines):
        document.layers.add(layer, color=layer_colour(layer))


def _add_line(space: Modelspace, line: CutLine) -> None:
    look = {"layer": line.layer, "color": layer_colour(line.layer)}
    shape = _as_circle(line.shape)
    if isinstance(shape, Circle):
        space.add_circle(_point(*shape.center), _round(shape.radius), dxfattribs=look)
    elif not shape.closed and len(shape.vertices) == 2 and not shape.vertices[0].bulge:
        space.add_line(_point(*shape.start), _point(*shape.end), dxfattribs=look)
    else:
        vertices = [(*_point(v.x, v.y), round(v.bulge, _BULGE_DIGITS) + 0.0) for v in shape.vertices]
        space.add_lwpolyline(vertices, format="xyb", close=shape.closed, dxfattribs=look)


def _as_circle(shape: Path | Circle) -> Path | Circle:
    """Two half-turn arcs that close on each other are a circle, and a machine drills it better as one."""
    if isinstance(shape, Circle) or not shape.closed or len(shape.vertices) != 2:
        return shape
    first, second = shape.segments()
    if first.bulge != second.bulge or not math.isclose(abs(first.bulge), 1.0, abs_tol=1e-12):
        return shape
    return Circle(first.center, first.radius)


def _round(value: float) -> float:
    return round(value, _DIGITS) + 0.0


def _point(x: float, y: float) -> tuple[float, float]:
    return _round(x), _round(y)


def _set_view(document: Drawing, lines: Sequence[CutLine]) -> None:
    """Let a viewer open on the whole drawing."""
    box = box_around(line.shape.box() for line in lines if line.layer == CUT_OUTSIDE)
    center = box.center
    document.set_modelspace_vport(height=_round(1.1 * max(box.height, box.width / 2.0)), center=_point(*center))
    document.modelspace().reset_extents((*_point(box.x0, box.y0), 0.0), (*_point(box.x1, box.y1), 0.0))
