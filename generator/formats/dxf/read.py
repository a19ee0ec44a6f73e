"""Read a cutting DXF back, from any program, to contours on layers, with everything wrong in it named.

Loose lines and arcs are chained to contours, so that a file which another program has exploded is still understood.
"""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path as FilePath

from ezdxf.document import Drawing
from ezdxf.entities import Arc, DXFEntity, Line, LWPolyline
from ezdxf.entities import Circle as CircleEntity

from generator.base.contours2d import Circle, Contour, Path, Vertex
from generator.base.errors import GeometryError, OutputError
from generator.base.offset import offset_contour
from generator.base.points2d import P2
from generator.base.segments2d import Segment
from generator.base.shapes2d import arc_about
from generator.cutting.cut_layers import (
    CUT_INSIDE,
    CUT_OUTSIDE,
    ENGRAVE,
    JOINED,
    CutLine,
    FaultKind,
    LineFault,
    cut_faults,
    is_known_layer,
)
from generator.formats.dxf.tags import MILLIMETRES, UNREADABLE, open_dxf

#: Value of $MEASUREMENT for metric.
_METRIC = 1
#: Kinds of entity that a cutting file may hold.
_READABLE = ("LINE", "ARC", "CIRCLE", "LWPOLYLINE")
#: Colour indices that follow the viewer's background or resolve to nothing.
_UNSAFE_COLOURS = (0, 7, 256, 257)
#: Ends of loose lines are looked up in squares of this side, mm.
_CELL = 1e-3


@dataclass(frozen=True)
class CuttingFile:
    """A cutting file as read: its lines in mm, what it says about itself, and every fault found.

    `undone` where the kerf that it says has been taken out of its lines.
    """

    name: str
    lines: tuple[CutLine, ...]
    properties: Mapping[str, str]
    faults: tuple[LineFault, ...]
    undone: bool = False

    @property
    def kerf(self) -> float:
        """The width of cut (mm) the outlines are compensated for, as the file says; 0 for nominal size."""
        said = None if self.undone else re.match(r"\s*(\d{1,3}(?:\.\d{1,9})?)\b", self.properties.get("Kerf", "0"))
        return float(said.group(1)) if said else 0.0

    @property
    def layers(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(line.layer for line in self.lines))

    def contours(self, layer: str) -> tuple[Contour, ...]:
        """The closed contours of one layer, in the order of the file."""
        return tuple(line.shape for line in self.lines if line.layer == layer and line.closed)

    @property
    def area(self) -> float:
        """Area of the outlines less everything cut through inside them, mm²."""
        outside = math.fsum(contour.area for contour in self.contours(CUT_OUTSIDE))
        return outside - math.fsum(contour.area for contour in self.contours(CUT_INSIDE))

    def nominal(self) -> CuttingFile:
        """This file with its kerf undone: outlines shrunk and openings grown back by half of it."""
        back = {CUT_OUTSIDE: -self.kerf / 2.0, CUT_INSIDE: self.kerf / 2.0}
        lines = tuple(
            replace(line, shape=offset_contour(line.shape, back[line.layer]))
            if line.closed and back.get(line.layer)
            else line
            for line in self.lines
        )
        return replace(self, lines=lines, undone=True)


def read_dxf(path: FilePath) -> CuttingFile:
    """Read the cutting file at `path`; the answer's `faults` is empty when a machine can cut it as it is.

    Raises OutputError where the file is no readable DXF at all.
    """
    document = open_dxf(path)
    try:
        return _read(document, path.name)
    except UNREADABLE as error:  # an entity that is none, or lacks what its kind has
        raise OutputError(f"{path.name}: not a readable DXF: {error}"[:300]) from error


def _read(document: Drawing, name: str) -> CuttingFile:
    faults = [*_unit_faults(document), *_entity_faults(document)]
    reader = _Reader(faults)
    for entity in document.modelspace():
        reader.take(entity)
    lines = reader.finish()
    # Faults of single numbers make the comparison of lines meaningless, so it waits until those are mended.
    if not any(fault.kind is FaultKind.NOT_FINITE for fault in faults):
        faults += [fault for fault in cut_faults(lines) if fault not in faults]
    properties = dict(document.header.custom_vars.properties)
    return CuttingFile(name, lines, properties, tuple(faults))


def _unit_faults(document: Drawing) -> Iterator[LineFault]:
    units = document.header.get("$INSUNITS", 0)
    if units != MILLIMETRES:
        yield LineFault(FaultKind.UNITS, "", None, f"$INSUNITS is {units}, millimetres are {MILLIMETRES}")
    measurement = document.header.get("$MEASUREMENT", 0)
    if measurement != _METRIC:
        yield LineFault(FaultKind.UNITS, "", None, f"$MEASUREMENT is {measurement}, metric is {_METRIC}")


def _entity_faults(document: Drawing) -> Iterator[LineFault]:
    """Kinds of entities, layers and colours that a shop's program drops, redraws or hides."""
    odd = Counter((e.dxftype(), e.dxf.layer) for e in document.modelspace() if e.dxftype() not in _READABLE)
    for (kind, layer), count in sorted(odd.items()):
        yield LineFault(FaultKind.ENTITY, layer, None, f"{count} {kind}, allowed are {', '.join(_READABLE)}")
    elsewhere = sum(len(layout) for layout in document.layouts if layout.name != "Model")
    if elsewhere:
        yield LineFault(FaultKind.ENTITY, "", None, f"{elsewhere} entities in paper space")
    layers = Counter(e.dxf.layer for e in document.modelspace() if not is_known_layer(e.dxf.layer))
    for layer, count in sorted(layers.items()):
        yield LineFault(FaultKind.LAYER, layer, None, f"{count} entities, not a layer of a cutting file")
    colours = Counter((e.dxf.layer, _colour(document, e)) for e in document.modelspace())
    for (layer, colour), count in sorted(colours.items()):
        if colour in _UNSAFE_COLOURS:
            yield LineFault(FaultKind.COLOUR, layer, None, f"{count} entities of colour index {colour}")
    yield from _hidden_faults(document)
    yield from _wide_faults(document)


def _hidden_faults(document: Drawing) -> Iterator[LineFault]:
    """Layers switched off, frozen or not plotted, and entities made invisible: no machine cuts what it does not see."""
    for name in sorted({e.dxf.layer for e in document.modelspace()}):
        if name in document.layers:
            layer = document.layers.get(name)
            found = {"switched off": layer.is_off(), "frozen": layer.is_frozen(), "not plotted": not layer.dxf.plot}
            for state in (state for state, is_so in found.items() if is_so):
                yield LineFault(FaultKind.HIDDEN, name, None, f"the layer is {state}")
    unseen = Counter(e.dxf.layer for e in document.modelspace() if e.dxf.get("invisible", 0))
    for name, count in sorted(unseen.items()):
        yield LineFault(FaultKind.HIDDEN, name, None, f"{count} entities are invisible")


def _wide_faults(document: Drawing) -> Iterator[LineFault]:
    """Polylines with a width, and lines with a thickness: a machine cuts both their edges, or a wall."""
    wide: Counter[tuple[str, str]] = Counter()
    for entity in document.modelspace():
        if entity.dxftype() in _READABLE and entity.dxf.get("thickness", 0.0):
            wide[entity.dxf.layer, "thickness"] += 1
        if isinstance(entity, LWPolyline) and entity.has_width:
            wide[entity.dxf.layer, "width"] += 1
    for (layer, what), count in sorted(wide.items()):
        yield LineFault(FaultKind.WIDE, layer, None, f"{count} entities have a {what}")


def _colour(document: Drawing, entity: DXFEntity) -> int:
    """The colour index an entity shows in, followed through its layer."""
    by_layer = 256
    own = int(entity.dxf.get("color", by_layer))
    if own != by_layer or entity.dxf.layer not in document.layers:
        return own
    return abs(int(document.layers.get(entity.dxf.layer).color))


class _Reader:
    """Turns entities into lines; loose lines and arcs of cut layers wait to be chained."""

    def __init__(self, faults: list[LineFault]) -> None:
        self._faults = faults
        self._lines: list[CutLine] = []
        self._loose: defaultdict[str, list[Segment]] = defaultdict(list)

    def take(self, entity: DXFEntity) -> None:
        if entity.dxftype() not in _READABLE:
            return
        self._check_plane(entity)
        if isinstance(entity, LWPolyline):
            self._take_polyline(entity)
        elif isinstance(entity, Arc):
            self._take_arc(entity)
        elif isinstance(entity, CircleEntity):
            self._take_circle(entity)
        elif isinstance(entity, Line):
            start, end = (P2(point.x, point.y) for point in (entity.dxf.start, entity.dxf.end))
            self._take_segment(entity.dxf.layer, start, end, 0.0)

    def finish(self) -> tuple[CutLine, ...]:
        for layer, segments in self._loose.items():
            self._lines += [CutLine(layer, path) for path in _chained(segments)]
        return tuple(self._lines)

    def _fault(self, kind: FaultKind, layer: str, where: P2 | None, detail: str) -> None:
        self._faults.append(LineFault(kind, layer, where, detail))

    def _check_plane(self, entity: DXFEntity) -> None:
        axis = entity.dxf.get("extrusion", (0.0, 0.0, 1.0))
        if tuple(axis) != (0.0, 0.0, 1.0):
            self._fault(FaultKind.MIRRORED, entity.dxf.layer, None, f"{entity.dxftype()} extruded along {tuple(axis)}")
        heights = [entity.dxf.get("elevation", 0.0)] if isinstance(entity, LWPolyline) else []
        heights += [entity.dxf.get(name).z for name in ("start", "end", "center") if entity.dxf.hasattr(name)]
        if any(heights):
            self._fault(FaultKind.NOT_FLAT, entity.dxf.layer, None, f"{entity.dxftype()} at heights {heights}")

    def _finite(self, layer: str, *numbers: float) -> bool:
        odd = [str(number) for number in numbers if not math.isfinite(number)]
        if odd:
            self._fault(FaultKind.NOT_FINITE, layer, None, f"found {', '.join(odd)}")
        return not odd

    def _take_circle(self, entity: CircleEntity) -> None:
        layer, center, radius = entity.dxf.layer, entity.dxf.center, entity.dxf.radius
        if not self._finite(layer, center.x, center.y, radius):
            return
        if radius <= 0:
            self._fault(FaultKind.TOO_SHORT, layer, P2(center.x, center.y), f"a circle of radius {radius:g} mm")
            return
        self._lines.append(CutLine(layer, Circle(P2(center.x, center.y), radius)))

    def _take_arc(self, entity: Arc) -> None:
        layer, center, radius = entity.dxf.layer, entity.dxf.center, entity.dxf.radius
        first, last = entity.dxf.start_angle, entity.dxf.end_angle
        if not self._finite(layer, center.x, center.y, radius, first, last):
            return
        middle = P2(center.x, center.y)
        sweep = (last - first) % 360.0
        if radius <= 0 or sweep == 0.0:
            self._fault(FaultKind.TOO_SHORT, layer, middle, f"an arc of radius {radius:g} mm over {sweep:g} degrees")
            return
        turn = arc_about(middle, radius, first, sweep)
        self._take_segment(layer, turn.start, turn.end, turn.bulge)

    def _take_segment(self, layer: str, start: P2, end: P2, bulge: float) -> None:
        if not self._finite(layer, *start, *end):
            return
        if start.distance(end) < JOINED:
            self._fault(FaultKind.TOO_SHORT, layer, start, "a line of no length")
        elif layer == ENGRAVE:
            self._lines.append(CutLine(layer, Path((Vertex(*start, bulge), Vertex(*end)), closed=False)))
        else:
            self._loose[layer].append(Segment(start, end, bulge))

    def _take_polyline(self, entity: LWPolyline) -> None:
        layer, closed = entity.dxf.layer, bool(entity.closed)
        vertices = [Vertex(x, y, bulge) for x, y, bulge in entity.get_points("xyb")]
        if not self._finite(layer, *(number for vertex in vertices for number in vertex)):
            return
        kept: list[Vertex] = []
        for vertex in vertices:
            if kept and kept[-1].point.distance(vertex.point) < JOINED:
                self._fault(FaultKind.TOO_SHORT, layer, vertex.point, "two vertices in one place")
                kept.pop()
            kept.append(vertex)
        if closed and len(kept) > 1 and kept[0].point.distance(kept[-1].point) < JOINED:
            self._fault(FaultKind.REPEATED_VERTEX, layer, kept[0].point, "a closed contour repeats its first vertex")
            kept.pop()
        if len(kept) < 2:
            self._fault(FaultKind.TOO_SHORT, layer, None, f"a polyline of {len(kept)} vertices")
            return
        try:
            self._lines.append(CutLine(layer, Path(tuple(kept), closed)))
        except GeometryError as error:
            self._fault(FaultKind.TOO_SHORT, layer, kept[0].point, str(error))


def _chained(segments: Sequence[Segment]) -> Iterator[Path]:
    """Join loose segments end to end; what comes back to its start is closed."""
    left = dict(enumerate(segments))
    ends = _Ends(segments)
    while left:
        run = [left.pop(next(iter(left)))]
        while not _meet(run[-1].end, run[0].start):
            here = run[-1].end
            found = min((i for i in ends.near(here) if i in left and _touches(left[i], here)), default=None)
            if found is None:
                break
            seg = left.pop(found)
            run.append(seg if _meet(here, seg.start) else seg.reversed())
        closed = len(run) > 1 and _meet(run[-1].end, run[0].start)
        vertices = [Vertex(*seg.start, seg.bulge) for seg in run]
        yield Path(tuple(vertices if closed else [*vertices, Vertex(*run[-1].end)]), closed)


class _Ends:
    """Segments by the places of their ends, so that a file of many loose lines is chained in one pass."""

    def __init__(self, segments: Sequence[Segment]) -> None:
        self._cells: defaultdict[tuple[int, int], list[int]] = defaultdict(list)
        for i, seg in enumerate(segments):
            for end in (seg.start, seg.end):
                self._cells[round(end.x / _CELL), round(end.y / _CELL)].append(i)

    def near(self, point: P2) -> Iterator[int]:
        x, y = round(point.x / _CELL), round(point.y / _CELL)
        for i in (-1, 0, 1):
            for j in (-1, 0, 1):
                yield from self._cells.get((x + i, y + j), ())


def _touches(seg: Segment, here: P2) -> bool:
    return _meet(here, seg.start) or _meet(here, seg.end)


def _meet(one: P2, two: P2) -> bool:
    return one.distance(two) < JOINED
