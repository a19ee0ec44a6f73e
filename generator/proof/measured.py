"""What the jig's files really set: pivot, bed angles and depths, measured on the cutting files and put together.

A chain of parts gives the bed its angle: the plate's fence, the cheeks that hang under it, their arc slots, the pins in
the ribs, the nose rod, the ledge on the spine, and the block between them. Each link is read from its file; the model
only tells which of a part's holes is which.

Jig frame, mm: X from the bed's face at zero angle, Z up, the plate's underside at 0.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely import LineString, Polygon

from generator.cradle import angle_of_block
from generator.errors import GeometryError
from generator.geometry2d import P2, Circle, Contour, Path, Segment
from generator.linework import CUT_INSIDE, CUT_OUTSIDE
from generator.parts.base import Jig
from generator.proof.kitfiles import Kit
from generator.proof.wanted import Cut, fences
from generator.readers.dxf import CuttingFile

#: A hole is taken for the model's when it lies within this of it, mm: enough for any fault that still makes a jig.
_NEAR = 8.0
#: Lines within this of each other are one edge, mm.
_ONE_EDGE = 0.02
_FAR = 1e4


@dataclass(frozen=True)
class Setting:
    """What the cutting files set, mm and degrees.

    `pivot` is the pivot's jig X and Z, `face` the jig X of the bed's face on the pivot's level at zero angle,
    `slot_miss` by how much the pins' distances from the pivot differ from the slots', `base` the block at zero angle.
    """

    pivot: P2
    face: float
    slot_miss: float
    sine_distance: float
    nose_offset: float
    base: float
    neck_block: float
    body_block: float
    mortise_depth: float
    tenon_depth: float
    gate_depth: float

    @property
    def neck_angle(self) -> float:
        """The bed's angle with the neck's block."""
        return angle_of_block(self.neck_block, self.base, self.sine_distance, self.nose_offset)

    @property
    def body_angle(self) -> float:
        """The bed's angle with the body's block."""
        return angle_of_block(self.body_block, self.base, self.sine_distance, self.nose_offset)


#: The parts whose files the setting is read from.
NEEDED = ("template_plate", "cheek_right", "rib", "set_block", "body_block", "depth_block")


def measure_setting(kit: Kit) -> Setting:
    """Read the setting from the kit's cutting files.

    GeometryError names the file and the feature that is not there.
    """
    missing = [name for name in NEEDED if name not in kit.cutting]
    if missing:
        raise GeometryError(f"no cutting file of {', '.join(missing)}")
    cheek, rib = _cheek(kit), _rib(kit)
    # The plate turns end for end, so the cheeks' middle lies under its middle.
    fence = fences(kit.results)[Cut.TENON]
    middle = fence.to_jig.apply(P2(0.0, 0.0)).x
    pivot = P2(middle + cheek.pivot.x - cheek.middle, cheek.pivot.y - cheek.top)
    ledge = pivot.x - cheek.pivot.x + cheek.ledge
    sine, offset = rib.pivot.y - rib.nose.center.y, rib.pivot.x - rib.nose.center.x
    blocks = kit.cutting
    second = blocks.get("depth_block_tenon")
    return Setting(
        pivot=pivot,
        face=pivot.x + rib.front + kit.solution.job.stock("bed").actual_thickness - rib.pivot.x,
        slot_miss=rib.miss,
        sine_distance=sine,
        nose_offset=offset,
        base=pivot.x - offset - rib.nose.radius - ledge,
        neck_block=block_width(blocks["set_block"]),
        body_block=block_width(blocks["body_block"]),
        mortise_depth=bar_height(blocks["depth_block"]),
        tenon_depth=bar_height(second if second is not None else blocks["depth_block"]),
        gate_depth=_gate_depth(blocks["depth_block"]),
    )


@dataclass(frozen=True)
class _Cheek:
    """A cheek's stations in its own drawing: slots' centre and radii, upper edge, its middle, and the ledge's face."""

    pivot: P2
    radii: tuple[float, ...]
    top: float
    middle: float
    ledge: float


def _cheek(kit: Kit) -> _Cheek:
    file = kit.cutting["cheek_right"]
    arcs = [arc for contour in file.contours(CUT_INSIDE) for arc in _slot_arcs(contour)]
    if not arcs:
        raise GeometryError(f"{file.name}: no arc slot for the bed's pins")
    centers = [arc.center for arc in arcs]
    pivot = P2(_mean(c.x for c in centers), _mean(c.y for c in centers))
    edges = _edges(_outline(file), across=True)
    # Tabs stand out over the edge and nut slots cut into it, but nothing else reaches from corner to corner.
    top, spans = max(((y, s) for y, s in edges.items() if y > pivot.y), key=lambda edge: _reach(edge[1]))
    ends = [x for span in spans for x in span]
    job = kit.solution.job
    spine = _spine_middle(kit, file)
    ledge = spine + job.stock("frame").actual_thickness / 2.0 + job.stock("cheek").actual_thickness
    radii = tuple(sorted({round(_slot_radius(arcs, i), 9) for i in range(len(arcs))}))
    return _Cheek(pivot, radii, top, (min(ends) + max(ends)) / 2.0, ledge)


def _slot_arcs(contour: Contour) -> list[Segment]:
    """The two long arcs of an arc slot, about one centre; none for any other opening."""
    if isinstance(contour, Circle):
        return []
    arcs = [segment for segment in contour.segments() if segment.is_arc]
    for i, one in enumerate(arcs):
        for other in arcs[i + 1 :]:
            if one.center.distance(other.center) < 0.05 and abs(one.radius - other.radius) > 1.0:
                return [one, other]
    return []


def _slot_radius(arcs: Sequence[Segment], i: int) -> float:
    """Radius of the middle line of the slot that the i-th arc belongs to: arcs stand in pairs."""
    pair = arcs[i - i % 2 : i - i % 2 + 2]
    return sum(arc.radius for arc in pair) / len(pair)


def _spine_middle(kit: Kit, cheek: CuttingFile) -> float:
    """X of the spine's middle in the cheek's drawing: that of the slots, or holes, that hold it."""
    part = kit.jig.part("cheek_right")
    known = [_center(opening.contour) for opening in part.openings if opening.id.startswith("spine")]
    known += [hole.at for hole in part.holes if hole.id.startswith("spine")]
    found = [_nearest(cheek, at) for at in known]
    if not found:
        raise GeometryError(f"{cheek.name}: no slot or hole for the spine")
    return _mean(_center(contour).x for contour in found)


@dataclass(frozen=True)
class _Rib:
    """A rib's stations in its own drawing; the pivot is where the pins' distances and the cheek's slots put it."""

    pivot: P2
    front: float
    nose: Circle
    miss: float


def _rib(kit: Kit) -> _Rib:
    file, part = kit.cutting["rib"], kit.jig.part("rib")
    nose = _nearest(file, part.points["nose"])
    if not isinstance(nose, Circle):
        raise GeometryError(f"{file.name}: no round hole for the nose rod")
    pins = [_center(_nearest(file, hole.at)) for hole in part.holes if hole.id == "pin"]
    radii = _cheek(kit).radii
    if len(pins) != 2 or len(radii) != 2:
        raise GeometryError(f"{file.name}: {len(pins)} pins for {len(radii)} arc slots; two of each are needed")
    expected = part.points["pivot"]
    near, far = sorted(pins, key=expected.distance)
    pivot = _meeting(near, radii[0], far, radii[1], expected)
    edges = _edges(_outline(file), across=False)
    front = max(((x, s) for x, s in edges.items() if x > nose.center.x), key=lambda edge: _reach(edge[1]))[0]
    return _Rib(pivot, front, nose, pivot.distance(expected))


def _meeting(a: P2, ra: float, b: P2, rb: float, near: P2) -> P2:
    """The point at distances ra from a and rb from b, that of two nearer to `near`."""
    apart = a.distance(b)
    along = (apart**2 + ra**2 - rb**2) / (2.0 * apart)
    square = ra**2 - along**2
    if square < 0.0:
        raise GeometryError(f"pins {apart:.3f} mm apart do not fit slots of radius {ra:.3f} and {rb:.3f} mm")
    direction = b.minus(a).unit()
    foot, side = a.plus(direction.times(along)), direction.left().times(math.sqrt(square))
    return min((foot.plus(side), foot.minus(side)), key=near.distance)


def block_width(file: CuttingFile) -> float:
    """Width (mm) of a set block between its two faces, level with the nose: its origin. The narrowest counts."""
    area = _area(file)
    return min(_span(area, P2(-_FAR, y), P2(_FAR, y)) for y in (-4.0, 0.0, 4.0))


def bar_height(file: CuttingFile) -> float:
    """Height (mm) of a depth block's bar, read on the arm."""
    area = _area(file)
    x = area.bounds[2] - 5.0
    return _span(area, P2(x, -_FAR), P2(x, _FAR))


def _gate_depth(file: CuttingFile) -> float:
    """From the feet of a depth block up to its bar, mm: plate and depth of cut together."""
    area = _area(file)
    low, high = area.bounds[1], area.bounds[3]
    return float(high - low) - bar_height(file)


def _area(file: CuttingFile) -> Polygon:
    return Polygon([(p.x, p.y) for p in _outline(file).flatten(1e-3)])


def _span(area: Polygon, a: P2, b: P2) -> float:
    return float(shapely.intersection(area, LineString([a, b])).length)


def _outline(file: CuttingFile) -> Path:
    outlines = [contour for contour in file.contours(CUT_OUTSIDE) if isinstance(contour, Path)]
    if len(outlines) != 1:
        raise GeometryError(f"{file.name}: found {len(outlines)} outlines; allowed: one")
    return outlines[0]


def _edges(outline: Path, *, across: bool) -> dict[float, list[tuple[float, float]]]:
    """Level (or upright) straight edges by their height (or X), each as the spans it covers."""
    found: defaultdict[float, list[tuple[float, float]]] = defaultdict(list)
    for segment in outline.segments():
        a, b = (segment.start, segment.end) if across else _swapped(segment)
        if not segment.is_arc and abs(a.y - b.y) < _ONE_EDGE:
            level = next((known for known in found if abs(known - a.y) < _ONE_EDGE), a.y)
            found[level].append((min(a.x, b.x), max(a.x, b.x)))
    return dict(found)


def _swapped(segment: Segment) -> tuple[P2, P2]:
    return P2(segment.start.y, segment.start.x), P2(segment.end.y, segment.end.x)


def _reach(spans: Sequence[tuple[float, float]]) -> float:
    """From the first end of all spans to the last."""
    return max(high for _, high in spans) - min(low for low, _ in spans)


def nearest_holes(kit: Kit, jig: Jig, part: str, ids: Iterable[str]) -> Iterator[P2]:
    """Centres, as drawn in the file, of the part's holes whose id is among `ids`."""
    wanted = tuple(ids)
    for hole in jig.part(part).holes:
        if hole.id in wanted:
            yield _center(_nearest(kit.cutting[part], hole.at))


def _nearest(file: CuttingFile, at: P2) -> Contour:
    """The opening of a file nearest to a place. GeometryError where there is none near."""
    contours = file.contours(CUT_INSIDE)
    found = min(contours, key=lambda contour: _center(contour).distance(at), default=None)
    if found is None or _center(found).distance(at) > _NEAR:
        raise GeometryError(f"{file.name}: no opening near ({at.x:.2f}, {at.y:.2f})")
    return found


def _center(contour: Contour) -> P2:
    return contour.center if isinstance(contour, Circle) else contour.box().center


def _mean(values: Iterable[float]) -> float:
    found = list(values)
    return sum(found) / len(found)
