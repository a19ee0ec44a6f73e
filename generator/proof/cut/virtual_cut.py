"""Cut a joint virtually: from a template's contours, bushing and bit to the wood that is left.

What a guided router cuts is a fact of plane morphology: the bushing's centre can be anywhere at least half the bushing
from the template's material, and the bit removes everything within half its diameter of such a place. Arcs are broken
up so finely that every length here is right within 0.001 mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely import LineString, Point, Polygon, box
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from generator.base.contours2d import Contour
from generator.base.errors import GeometryError
from generator.base.points2d import P2, polar
from generator.joint.stations import Use
from generator.proof.cut.nominal_cut import Cutter, Fence, NominalCut

#: Largest distance between an arc and the chords that stand for it, mm.
_ARC_ERROR = 1e-4
#: A slot exactly as wide as the bushing still lets it pass: both radii are drawn this much smaller, mm.
_SLACK = 1e-4
#: Spacing of the points at which outlines are compared, mm.
_STEP = 0.25
#: Wood thinner than this is noise of the broken-up arcs, mm.
_NOISE = 0.004
#: How many places along its sides a cut is measured across.
_STATIONS = 9
#: How far the wanted outline is drawn past the open end of the cut, mm.
_BEYOND = 40.0


@dataclass(frozen=True)
class Miss:
    """The largest distance of some kind, mm, and where it was found (jig frame); `where` None when there is none."""

    size: float
    where: P2 | None = None


@dataclass(frozen=True)
class Sliver:
    """A piece of wood left standing where everything should be gone: area (mm²), thickness (mm), a point on it."""

    area: float
    thickness: float
    where: P2


@dataclass(frozen=True)
class TracePoint:
    """A point of the cut's outline and how far it misses the wanted one, mm: positive where too much wood is gone."""

    at: P2
    deviation: float


@dataclass(frozen=True)
class VirtualCut:
    """One cut as the files would make it, mm, jig frame.

    `outline` is the pocket cut in the body, or what is left on the heel, clipped to the work; `wanted_outline` the
    same as wanted. `middle` is the Y of its centreline, `end` the X of its closed end (None where it runs out),
    `corner_radii` those of its closed end at −Y and +Y, `run_out` how far the bit's centre passes the work's edge.
    `too_much` is wood cut that should stay, `too_little` wood left on the wanted outline, `unreached` how deep the
    places are that the bushing cannot touch. Where nothing should stay there is no outline and no size of one: what
    stands all the same is `too_little`, and each piece of it a sliver.
    """

    wanted: NominalCut
    cutter: Cutter
    outline: tuple[P2, ...]
    wanted_outline: tuple[P2, ...]
    narrowest: float
    widest: float
    middle: float
    end: float | None
    corner_radii: tuple[float, float] | None
    run_out: float
    too_much: Miss
    too_little: Miss
    slivers: tuple[Sliver, ...]
    unreached: Miss
    play: float
    trace: tuple[TracePoint, ...]

    @property
    def use(self) -> Use:
        return self.wanted.use

    @property
    def width(self) -> float:
        return (self.narrowest + self.widest) / 2.0

    @property
    def length(self) -> float | None:
        """From the join to the closed end, mm."""
        return None if self.end is None else self.end - self.wanted.join


@dataclass(frozen=True)
class Sweep:
    """What a cutter can do inside template openings: `centres` of the bushing and of the bit, `removed` wood, and how
    deep the corners are that the bushing cannot touch."""

    centres: BaseGeometry
    bit_centres: BaseGeometry
    removed: BaseGeometry
    unreached: Miss


def guides(contours: Sequence[Contour], fence: Fence, wanted: NominalCut) -> tuple[Contour, ...]:
    """The openings, among all that go through the plate, that guide one cut, in its jig frame.

    They reach across X = 0 near the centreline: the openings that let the bit run out towards the board. Raises
    GeometryError where there is none.
    """
    moved = [contour.transformed(fence.to_jig) for contour in contours]
    reach = max(wanted.outline.width, wanted.half_breadth)
    found = tuple(
        contour
        for contour, b in ((contour, contour.box()) for contour in moved)
        if b.x0 < 0.0 < b.x1 and b.y0 < reach and b.y1 > -reach
    )
    if not found:
        raise GeometryError(f"the template has no opening over the {wanted.name}'s join")
    return found


def sweep(openings: Iterable[Contour], cutter: Cutter) -> Sweep:
    """Everything the cutter can reach and remove inside `openings`.

    In each opening the router is plunged once and stays in: of chambers joined by a passage too narrow for the bushing
    only the largest counts, and the others are reported as unreached.
    """
    radius = cutter.bushing_od / 2.0
    centres, lost = [], Miss(0.0)
    for opening in openings:
        area = _polygon(opening)
        reachable = max(_polygons(_grown(area, -(radius - _SLACK))), key=lambda p: p.area, default=Polygon())
        if reachable.is_empty:
            raise GeometryError(f"the bushing of {cutter.bushing_od:g} mm does not enter an opening of the template")
        centres.append(reachable)
        touched = _grown(reachable, radius - _SLACK)
        lost = max(lost, farthest(area.difference(touched), touched), key=lambda miss: miss.size)
    free = shapely.union_all(centres)
    off = polar(cutter.towards, cutter.eccentricity)
    bit = translate(free, off.x, off.y)
    return Sweep(free, bit, _grown(bit, cutter.bit_diameter / 2.0 - _SLACK), lost)


def virtual_cut(openings: Sequence[Contour], cutter: Cutter, wanted: NominalCut) -> VirtualCut:
    """Cut with `cutter` along template `openings` (jig frame) and compare with what is wanted.

    Raises GeometryError where the bushing enters no opening or nothing of the cut is left to measure.
    """
    swept = sweep(openings, cutter)
    work = box(wanted.edge, -wanted.half_breadth, wanted.far, wanted.half_breadth)
    if not wanted.stays:
        return _faced(swept, cutter, wanted, work)
    keep, go = _wanted_areas(wanted)
    removed, left = swept.removed.intersection(work), work.difference(swept.removed)
    pocket = wanted.outline.pocket
    goal = (go if pocket else keep).intersection(work)
    shape = _matching(removed if pocket else left, goal, wanted)
    body = _matching(left, keep.intersection(work), wanted)
    sizes = _measure(shape, wanted)
    return VirtualCut(
        wanted=wanted,
        cutter=cutter,
        outline=_corners(shape),
        wanted_outline=_corners(_matching(goal, goal, wanted)),
        narrowest=min(sizes.widths),
        widest=max(sizes.widths),
        middle=sizes.middle,
        end=sizes.end,
        corner_radii=sizes.corner_radii,
        run_out=_run_out(swept, wanted),
        too_much=farthest(removed.difference(go), go),
        too_little=farthest(body.intersection(go), keep),
        slivers=tuple(_slivers(left, body)),
        unreached=swept.unreached,
        play=_play(swept, wanted),
        trace=tuple(_trace(shape, keep, go, wanted)),
    )


def _faced(swept: Sweep, cutter: Cutter, wanted: NominalCut, work: Polygon) -> VirtualCut:
    """A cut that takes all of the work's face away."""
    left = work.difference(swept.removed)
    return VirtualCut(
        wanted=wanted,
        cutter=cutter,
        outline=(),
        wanted_outline=(),
        narrowest=0.0,
        widest=0.0,
        middle=0.0,
        end=None,
        corner_radii=None,
        run_out=_run_out(swept, wanted),
        too_much=Miss(0.0),
        too_little=farthest(left, swept.removed),
        slivers=tuple(_slivers(left, Polygon())),
        unreached=swept.unreached,
        play=_play(swept, wanted),
        trace=(),
    )


def _wanted_areas(wanted: NominalCut) -> tuple[BaseGeometry, BaseGeometry]:
    """The plane divided into wood to keep and wood to go, drawn well past the work where the cut is open."""
    inner = _polygon(wanted.area(_BEYOND))
    breadth = max(wanted.half_breadth, wanted.outline.width / 2.0) + _BEYOND
    outer = box(wanted.edge - _BEYOND, -breadth, wanted.far + _BEYOND, breadth).difference(inner)
    return (outer, inner) if wanted.outline.pocket else (inner, outer)


@dataclass(frozen=True)
class _Sizes:
    widths: tuple[float, ...]
    middle: float
    end: float | None
    corner_radii: tuple[float, float] | None


def _measure(shape: Polygon, wanted: NominalCut) -> _Sizes:
    """Widths at stations along the straight sides, the closed end and its corners, read off an outline."""
    first, last = wanted.edge + 0.5, wanted.far
    if wanted.end is not None:
        # A cut may end short of what is wanted: its sides are straight only up to its own corners.
        last = min(wanted.end, _reach(shape, first, 0.0, wanted)) - wanted.outline.corner_radius
    last = max(first, last - 1.0)
    spans = [_span(shape, first + (last - first) * i / (_STATIONS - 1)) for i in range(_STATIONS)]
    low, high = (math.fsum(side) / _STATIONS for side in zip(*spans, strict=True))
    middle = (low + high) / 2.0
    if wanted.end is None:
        return _Sizes(tuple(b - a for a, b in spans), middle, None, None)
    end = _reach(shape, first, middle, wanted)
    corners = tuple(Point(end, y).distance(shape.exterior) / (math.sqrt(2.0) - 1.0) for y in (low, high))
    return _Sizes(tuple(b - a for a, b in spans), middle, end, (corners[0], corners[1]))


def _reach(shape: Polygon, first: float, y: float, wanted: NominalCut) -> float:
    """How far in X an outline reaches along one Y."""
    along = shape.intersection(LineString([(first, y), (wanted.far + _BEYOND, y)]))
    return first if along.is_empty else float(along.bounds[2])


def _span(shape: Polygon, x: float) -> tuple[float, float]:
    """From and to Y of the longest stretch of an outline across one X."""
    _, y0, _, y1 = shape.bounds
    across = shape.intersection(LineString([(x, y0 - 1.0), (x, y1 + 1.0)]))
    pieces = [piece for piece in getattr(across, "geoms", [across]) if not piece.is_empty]
    if not pieces:
        return 0.0, 0.0
    _, low, _, high = max(pieces, key=lambda piece: piece.length).bounds
    return low, high


def _run_out(swept: Sweep, wanted: NominalCut) -> float:
    """How far the bit's centre passes the work's edge on the side where it passes it least; negative: not at all."""
    x0, y0, x1, y1 = swept.bit_centres.bounds
    halves = box(x0, y0, x1, 0.0), box(x0, 0.0, x1, y1)
    sides = [swept.bit_centres.intersection(half) for half in halves]
    return wanted.edge - float(max(x1 if side.is_empty else side.bounds[0] for side in sides))


def _play(swept: Sweep, wanted: NominalCut) -> float:
    """Room (mm) the bushing has across its channel, half-way down the cut; the tighter one beside a tongue."""
    x = (wanted.edge + (wanted.far if wanted.end is None else wanted.end)) / 2.0
    _, y0, _, y1 = swept.centres.bounds
    across = swept.centres.intersection(LineString([(x, y0 - 1.0), (x, y1 + 1.0)]))
    return min((piece.length for piece in getattr(across, "geoms", [across])), default=0.0)


def farthest(area: BaseGeometry, other: BaseGeometry) -> Miss:
    """The point of `area` farthest from `other`."""
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(area, _STEP)))
    if not len(points):
        return Miss(0.0)
    shapely.prepare(other)
    distances = shapely.distance(points, other)
    worst = int(distances.argmax())
    return Miss(float(distances[worst]), P2(points[worst].x, points[worst].y))


def _slivers(left: BaseGeometry, body: Polygon) -> Iterator[Sliver]:
    """Pieces of wood that stand free of the one that should be left."""
    for piece in _polygons(left):
        if not piece.equals(body) and not piece.buffer(-_NOISE / 2.0).is_empty:
            inside = piece.representative_point()
            yield Sliver(piece.area, 2.0 * piece.area / piece.length, P2(inside.x, inside.y))


def _trace(shape: Polygon, keep: BaseGeometry, go: BaseGeometry, wanted: NominalCut) -> Iterator[TracePoint]:
    """The outline point by point, without the edges where the work itself ends."""
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(shape.exterior, _STEP)))
    for geometry in (keep, go):
        shapely.prepare(geometry)
    misses = shapely.distance(points, go) - shapely.distance(points, keep)
    inner = box(wanted.edge, -wanted.half_breadth, wanted.far, wanted.half_breadth).buffer(-1e-6)
    for point, miss, kept in zip(points, misses, shapely.contains(inner, points), strict=True):
        if kept:
            yield TracePoint(P2(point.x, point.y), float(miss))


def _matching(area: BaseGeometry, goal: BaseGeometry, wanted: NominalCut) -> Polygon:
    """The one connected piece of `area` that covers most of `goal`."""
    pieces = _polygons(area)
    if not pieces:
        raise GeometryError(f"nothing is left of the {wanted.name} to measure")
    return max(pieces, key=lambda piece: piece.intersection(goal).area)


def _grown(area: BaseGeometry, by: float) -> BaseGeometry:
    """`area` grown (or shrunk, by a negative amount) by `by` mm with round corners, right within the arc error."""
    step = 2.0 * math.acos(1.0 - _ARC_ERROR / max(abs(by), 1.0))
    return area.buffer(by, quad_segs=math.ceil(math.pi / 2.0 / step))


def _polygon(contour: Contour) -> Polygon:
    return Polygon([(p.x, p.y) for p in contour.flatten(_ARC_ERROR)])


def _polygons(area: BaseGeometry) -> list[Polygon]:
    pieces = getattr(area, "geoms", [area])
    return [piece for piece in pieces if isinstance(piece, Polygon) and not piece.is_empty]


def _corners(shape: Polygon) -> tuple[P2, ...]:
    return tuple(P2(x, y) for x, y in shape.exterior.coords[:-1])
