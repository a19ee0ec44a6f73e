"""Pictures of solids in space: lines and shaded areas as seen from one direction, hiding each other.

    picture = seen(solids, isometric(P3(1, 1, 1), Z_AXIS))
    builder.add(picture_items(picture, move))

Orthographic: lengths square to the line of sight are true. A view is a `Placement`, as everywhere: x right, y up, z at
the eye.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from generator.base.contours2d import Path
from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, Placement
from generator.base.points2d import P2, Box, Transform, bounding_box
from generator.base.shapes2d import polygon, polyline
from generator.drawing.facets.base import Facets
from generator.drawing.sheet import Fill, Item, Stroke
from generator.drawing.style import Pen, Role

if TYPE_CHECKING:
    from generator.drawing.visibility import Cells, Mesh, Spans

#: Red, green, blue, each 0 to 1, as on a screen (sRGB).
Colour = tuple[float, float, float]
#: White, in which solids without a colour of their own are painted.
PAPER: Colour = (1.0, 1.0, 1.0)
#: Where the light comes from, in the view's coordinates: over the left shoulder.
_LIGHT = (-0.45, 0.75, 0.48)
#: Lightness of a face in full light, 0 to 1.
_LIT = 1.0
#: Lightness of a face in the dark, 0 to 1.
_DARK = 0.58
#: Step to which a lightness is rounded.
_STEP = 0.02
#: Pen of outlines, mm.
OUTLINE = 0.35
#: Pen of edges between two faces that are both seen, mm.
INNER = 0.18
#: Neighbouring corners of a ring that lie no farther apart than this are one, mm.
_SAME = 1e-6
#: Of a solid, areas smaller than this share of its largest are not searched for its widest place.
_WORTH = 0.05
#: How near a solid's widest place is found, mm.
_SPOT = 0.1


@dataclass(frozen=True)
class Shown:
    """One solid of a scene: what it is called, what it is painted with, and its pens (mm on the paper)."""

    name: str
    facets: Facets
    colour: Colour = PAPER
    outline: float = OUTLINE
    inner: float = INNER


@dataclass(frozen=True)
class SeenLine:
    """A visible run of straight stretches of one solid; `outline` where a face turns away from the eye."""

    owner: str
    points: tuple[P2, ...]
    outline: bool

    @property
    def closed(self) -> bool:
        return len(self.points) > 3 and self.points[0] == self.points[-1]


@dataclass(frozen=True)
class SeenArea:
    """A visible area of one solid in one light (0 to 1): its outer ring and its holes."""

    owner: str
    outer: tuple[P2, ...]
    holes: tuple[tuple[P2, ...], ...]
    light: float


@dataclass(frozen=True)
class Spot:
    """The middle of the widest circle that shows nothing but one solid, and its radius, mm."""

    at: P2
    room: float


@dataclass(frozen=True)
class Picture:
    """What is seen of a scene, in the view's own coordinates, mm. `grounds` are each solid's whole visible areas."""

    solids: Mapping[str, Shown]
    lines: tuple[SeenLine, ...]
    areas: tuple[SeenArea, ...]
    grounds: tuple[SeenArea, ...]
    view: Placement

    @property
    def box(self) -> Box:
        return bounding_box(p for line in self.lines for p in line.points)

    @cached_property
    def spots(self) -> Mapping[str, Spot]:
        """By name, where each solid that is seen shows best."""
        return MappingProxyType({name: _spot(tuple(areas)) for name, areas in groupby(self.grounds, _owner)})

    def at(self, point: P3) -> P2:
        """Where a point of the scene lies in the picture."""
        seen_at = self.view.to_part(point)
        return P2(seen_at.x, seen_at.y)


def seen(solids: Sequence[Shown], view: Placement) -> Picture:
    """The solids as seen along `view`. GeometryError where two have one name or nothing is to be seen.

    Lines end where they vanish within 0.01 mm of the solids' own flats; solids that run into each other show no line
    where they do.
    """
    named = {solid.name: solid for solid in solids}
    if len(named) != len(solids):
        doubled = sorted({s.name for s in solids if sum(o.name == s.name for o in solids) > 1})
        raise GeometryError(f"a scene has more than one solid called {', '.join(doubled)}")
    if not solids:
        raise GeometryError("a scene without solids shows nothing")
    from generator.drawing import visibility

    mesh = visibility.mesh([solid.facets for solid in solids], view)
    spans = visibility.visible_spans(mesh)
    every = visibility.span_lines(mesh, spans)
    cells = visibility.cells(mesh, every)
    names = list(named)
    areas, grounds = _areas(names, mesh, cells)
    return Picture(MappingProxyType(named), _lines(names, mesh, spans, every), areas, grounds, view)


def _lines(names: Sequence[str], mesh: Mesh, spans: Spans, every: Any) -> tuple[SeenLine, ...]:
    """The drawn stretches, joined to runs, solid by solid; a stretch that two solids share is drawn for the first."""
    import shapely

    from generator.drawing.visibility import GRID

    out: list[SeenLine] = []
    drawn, owner, outline = mesh.drawn[spans.edge], mesh.edge_solid[spans.edge], mesh.outline[spans.edge]
    for number, name in enumerate(names):
        for is_outline in (True, False):
            own = every[drawn & (owner == number) & (outline == is_outline)]
            if len(own):
                runs = shapely.get_parts(shapely.line_merge(shapely.union_all(own, grid_size=GRID)))
                found = [tuple(P2(*p) for p in shapely.get_coordinates(run).tolist()) for run in runs]
                out += [SeenLine(name, points, is_outline) for points in sorted(found) if len(points) > 1]
    return tuple(out)


def _areas(names: Sequence[str], mesh: Mesh, cells: Cells) -> tuple[tuple[SeenArea, ...], tuple[SeenArea, ...]]:
    """Visible areas by solid and light where it is not the solid's main one, and each solid's whole areas."""
    import numpy as np
    import shapely

    owner = mesh.solid_of[cells.face]
    light = np.round(_lightness(mesh.normals[cells.face]) / _STEP) * _STEP
    areas: list[SeenArea] = []
    grounds: list[SeenArea] = []
    for number, name in enumerate(names):
        mine = owner == number
        if not mine.any():
            continue
        lights = np.unique(light[mine])
        weight = [float(shapely.area(cells.areas[mine & (light == one)]).sum()) for one in lights]
        base = float(lights[int(np.argmax(weight))])
        grounds += _seen_areas(name, shapely.coverage_union_all(cells.areas[mine]), base)
        for one in lights:
            if one != base:
                areas += _seen_areas(name, shapely.coverage_union_all(cells.areas[mine & (light == one)]), float(one))
    return tuple(areas), tuple(grounds)


def _lightness(normals: Any) -> Any:
    import numpy as np

    way = np.array(_LIGHT) / np.linalg.norm(_LIGHT)
    return _DARK + (_LIT - _DARK) * np.clip(0.5 + 0.5 * (normals @ way), 0.0, 1.0)


def _seen_areas(name: str, area: Any, light: float) -> list[SeenArea]:
    import shapely

    out = []
    for part in shapely.get_parts(area):
        rings = shapely.get_rings(part)
        outer, *holes = (tuple(P2(*p) for p in shapely.get_coordinates(ring).tolist()[:-1]) for ring in rings)
        out.append(SeenArea(name, outer, tuple(holes), light))
    return sorted(out, key=lambda one: one.outer)


def _owner(area: SeenArea) -> str:
    return area.owner


def _spot(areas: Sequence[SeenArea]) -> Spot:
    """The largest circle in the widest of a solid's areas."""
    import shapely

    shapes = [shapely.Polygon(area.outer, area.holes) for area in areas]
    worth = _WORTH * max(shape.area for shape in shapes)
    found = []
    for shape in shapes:
        if shape.area >= worth:
            (a, b) = shapely.get_coordinates(shapely.maximum_inscribed_circle(shape, tolerance=_SPOT)).tolist()
            found.append(Spot(P2(*a), P2(*a).distance(P2(*b))))
    return max(found, key=lambda spot: (spot.room, spot.at))


# --- ink -----------------------------------------------------------------------------------------------------------


def picture_items(picture: Picture, move: Transform, *, filled: bool = True) -> list[Item]:
    """The picture as fills and strokes on the paper: `move` maps its mm onto the sheet's.

    Fills come first, a solid's whole area before the parts of it in another light, then the lines, outlines last.
    """
    items: list[Item] = []
    if filled:
        items += [_fill(picture, area, move) for area in (*picture.grounds, *picture.areas)]
    for outline in (False, True):
        for line in picture.lines:
            if line.outline is outline:
                solid = picture.solids[line.owner]
                pen = Pen(solid.outline if outline else solid.inner)
                items.append(Stroke(_path(line).transformed(move), Role.EDGE, pen))
    return items


def _path(line: SeenLine) -> Path:
    return polygon(line.points[:-1]) if line.closed else polyline(line.points)


def _fill(picture: Picture, area: SeenArea, move: Transform) -> Fill:
    red, green, blue = (part * area.light for part in picture.solids[area.owner].colour)
    ring = polygon(_keyholed(area.outer, area.holes)).transformed(move)
    return Fill(ring, Role.EDGE, _grey(red, green, blue), (red, green, blue))


def _grey(red: float, green: float, blue: float) -> float:
    """The grey that is as light as a colour (weights of ITU-R BT.601)."""
    return 0.299 * red + 0.587 * green + 0.114 * blue


def _keyholed(outer: Sequence[P2], holes: Sequence[Sequence[P2]]) -> list[P2]:
    """One ring that runs round the area and its holes, joined by cuts of no width: a fill has one contour."""
    ring = list(outer)
    for hole in sorted(holes, key=lambda one: max((p.x, p.y) for p in one), reverse=True):
        ring = _joined(ring, list(hole))
    return [p for i, p in enumerate(ring) if p.distance(ring[i - 1]) > _SAME]


def _joined(ring: list[P2], hole: list[P2]) -> list[P2]:
    """The hole let in by a cut from its rightmost point straight to the right, to the ring's nearest stretch."""
    start = max(range(len(hole)), key=lambda i: hole[i])
    tip = hole[start]
    best: tuple[float, int, P2] | None = None
    for i, (a, b) in enumerate(zip(ring, ring[1:] + ring[:1], strict=True)):
        if (a.y <= tip.y < b.y) or (b.y <= tip.y < a.y):
            x = a.x + (tip.y - a.y) / (b.y - a.y) * (b.x - a.x)
            if x >= tip.x and (best is None or x < best[0]):
                best = (x, i, P2(x, tip.y))
    if best is None:
        raise GeometryError(f"a hole at {tuple(tip)} that lies outside its area")
    _, i, door = best
    return [*ring[: i + 1], door, *hole[start:], *hole[: start + 1], door, *ring[i + 1 :]]
