"""The lines of a cutting file and what can be wrong with them, whoever wrote the file.

A cutting file is a flat list of lines, each on a layer that says what the machine does there. The layer names are the
contract with the shop: `cut-outside`, `cut-inside`, `pocket-<depth>`, `engrave`.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from generator.base.contours2d import Area, Circle, Path
from generator.base.offset import segments_meet
from generator.base.points2d import P2, Box
from generator.base.segments2d import SHORTEST, Segment

#: Layer of a part's outline, cut through on the line's outside.
CUT_OUTSIDE = "cut-outside"
#: Layer of a part's openings, cut through on the line's inside.
CUT_INSIDE = "cut-inside"
#: Layer of engraved lines and letters.
ENGRAVE = "engrave"
#: Beginning of a pocket layer's name; the depth in mm follows (`pocket_layer`).
POCKET = "pocket-"

#: Two lines nearer than this (mm) along a stretch are one line cut twice.
SAME_LINE = 0.005
#: Ends nearer than this (mm) are joined.
JOINED = 1e-6
#: A mark may end this near an edge (mm) and still stand on the part.
_UP_TO_EDGE = 0.1
#: How fine curves are broken up to find what lies inside what, mm.
_INSIDE_ERROR = 0.02
#: Pairs of neighbouring lines that are held against each other before a file is given up: a sheet of seven parts asks
#: for 1,200.
_MOST_PAIRS = 50_000
#: Places that are held against outlines before a file is given up: a sheet of seven parts asks for 4,000.
_MOST_PLACES = 1_000_000


class FaultKind(Enum):
    """Everything that a cutting file can get wrong, by the name a report gives it."""

    UNITS = "units wrong"
    ENTITY = "entity no laser reads"
    MIRRORED = "mirrored extrusion"
    NOT_FLAT = "not in the plane"
    LAYER = "unknown layer"
    COLOUR = "colour that may not show"
    HIDDEN = "hidden from the machine"
    WIDE = "line with a width or a thickness"
    NOT_FINITE = "not a number"
    TOO_SHORT = "too short"
    REPEATED_VERTEX = "repeated vertex"
    OPEN_CONTOUR = "open contour"
    VERTEX_DEGREE = "vertex degree"
    DOUBLED = "doubled line"
    OVERLAP = "overlapping line"
    CROSSING = "crossing cuts"
    STRAY = "off the part"
    EMPTY = "nothing to cut"
    CROWDED = "too crowded to be looked through"


@dataclass(frozen=True)
class LineFault:
    """One fault: its kind, the layer and place (mm) where it was found, and what was found."""

    kind: FaultKind
    layer: str
    where: P2 | None
    detail: str

    def __str__(self) -> str:
        place = f" at ({self.where.x:.3f}, {self.where.y:.3f})" if self.where is not None else ""
        layer = f" on {self.layer}" if self.layer else ""
        return f"{self.kind.value}{layer}{place}: {self.detail}"


@dataclass(frozen=True)
class CutLine:
    """One line of a cutting file: a contour, an engraved stroke or a full circle, on its layer."""

    layer: str
    shape: Path | Circle

    @property
    def closed(self) -> bool:
        return isinstance(self.shape, Circle) or self.shape.closed

    def segments(self) -> Iterator[Segment]:
        path = self.shape.as_path() if isinstance(self.shape, Circle) else self.shape
        return path.segments()


def pocket_layer(depth: float, from_back: bool = False) -> str:
    """The layer of a pocket `depth` mm deep; one sunk from the back says so, lest it be milled from the front."""
    return f"{POCKET}{depth:.3f}".rstrip("0").rstrip(".") + ("-back" if from_back else "")


def is_cut(layer: str) -> bool:
    """True for the layers that go right through the sheet."""
    return layer in (CUT_OUTSIDE, CUT_INSIDE)


def is_known_layer(layer: str) -> bool:
    return is_cut(layer) or layer == ENGRAVE or layer.startswith(POCKET)


def cut_faults(lines: Sequence[CutLine]) -> tuple[LineFault, ...]:
    """Every fault of a set of lines in mm, in the order of the lines: empty when a machine can cut them as they are."""
    if not any(line.layer == CUT_OUTSIDE for line in lines):
        return (LineFault(FaultKind.EMPTY, CUT_OUTSIDE, None, "no outline"),)
    outlines = sum(line.closed and line.layer == CUT_OUTSIDE for line in lines)
    if outlines * len(lines) > _MOST_PLACES:
        detail = f"{outlines} outlines among {len(lines)} lines"
        return (LineFault(FaultKind.CROWDED, CUT_OUTSIDE, None, detail),)
    faults: list[LineFault] = []
    for line in lines:
        faults += _shape_faults(line)
    faults += _degree_faults(lines)
    faults += _pair_faults(lines)
    faults += _stray_faults(lines)
    return tuple(faults)


def _shape_faults(line: CutLine) -> Iterator[LineFault]:
    if not is_known_layer(line.layer):
        yield LineFault(FaultKind.LAYER, line.layer, None, "not a layer of a cutting file")
    if not line.closed and line.layer != ENGRAVE:
        assert isinstance(line.shape, Path)
        gap = line.shape.start.distance(line.shape.end)
        yield LineFault(FaultKind.OPEN_CONTOUR, line.layer, line.shape.end, f"its ends stand {gap:.6f} mm apart")
    for seg in line.segments():
        numbers = (*seg.start, *seg.end, seg.bulge)
        if not all(math.isfinite(number) for number in numbers):
            yield LineFault(FaultKind.NOT_FINITE, line.layer, None, f"{seg.start} to {seg.end}, bulge {seg.bulge}")
        elif seg.length <= SHORTEST:
            yield LineFault(FaultKind.TOO_SHORT, line.layer, seg.start, f"{seg.length:.6f} mm long")


def _degree_faults(lines: Sequence[CutLine]) -> Iterator[LineFault]:
    """In closed contours that keep clear of each other every vertex joins exactly two segments."""
    degree: Counter[tuple[float, float]] = Counter()
    layer_of: dict[tuple[float, float], str] = {}
    for line in lines:
        if is_cut(line.layer):
            for seg in line.segments():
                for end in (seg.start, seg.end):
                    key = (round(end.x / JOINED) * JOINED, round(end.y / JOINED) * JOINED)
                    degree[key] += 1
                    layer_of[key] = line.layer
    for key, count in degree.items():
        if count > 2:
            yield LineFault(FaultKind.VERTEX_DEGREE, layer_of[key], P2(*key), f"{count} lines meet, 2 are allowed")


class _Piece(NamedTuple):
    owner: int
    seg: Segment
    box: Box


def _pair_faults(lines: Sequence[CutLine]) -> list[LineFault]:
    """Lines drawn twice, wholly or in part, and cuts that run into each other."""
    pieces = sorted(
        (_Piece(i, seg, seg.box().grown(SAME_LINE)) for i, line in enumerate(lines) for seg in line.segments()),
        key=lambda piece: (piece.box, piece.owner),
    )
    shared: dict[tuple[int, int], float] = {}
    places: dict[tuple[int, int], P2] = {}
    crossings: dict[tuple[int, int], P2] = {}
    for count, (one, two) in enumerate(_near(pieces)):
        if count > _MOST_PAIRS:
            at, detail = two.seg.start, f"more than {_MOST_PAIRS} pairs of lines lie close to each other"
            return [LineFault(FaultKind.CROWDED, lines[two.owner].layer, at, detail)]
        pair = (min(one.owner, two.owner), max(one.owner, two.owner))
        length = overlap(one.seg, two.seg)
        if length > SHORTEST:
            shared[pair] = shared.get(pair, 0.0) + length
            places.setdefault(pair, two.seg.point_at(0.5))
        elif (
            is_cut(lines[one.owner].layer)
            and is_cut(lines[two.owner].layer)
            and not (one.owner == two.owner and _joined(one.seg, two.seg))
            and segments_meet(one.seg, two.seg)
        ):
            crossings.setdefault(pair, two.seg.point_at(0.5))
    faults = [_overlap_fault(lines, pair, shared[pair], places[pair]) for pair in sorted(shared)]
    for pair in sorted(set(crossings) - set(shared)):
        detail = "two cuts run into each other" if pair[0] != pair[1] else "a cut runs into itself"
        faults.append(LineFault(FaultKind.CROSSING, lines[pair[1]].layer, crossings[pair], detail))
    return faults


def _joined(one: Segment, two: Segment) -> bool:
    """True where an end of the one is an end of the other, as of neighbours in a contour."""
    return any(a.distance(b) < JOINED for a in (one.start, one.end) for b in (two.start, two.end))


def _near(pieces: Sequence[_Piece]) -> Iterator[tuple[_Piece, _Piece]]:
    """All pairs whose boxes overlap; the pieces come sorted by their left edge."""
    active: list[_Piece] = []
    for piece in pieces:
        active = [other for other in active if other.box.x1 >= piece.box.x0]
        for other in active:
            if other.box.y0 <= piece.box.y1 and piece.box.y0 <= other.box.y1:
                yield other, piece
        active.append(piece)


def _overlap_fault(lines: Sequence[CutLine], pair: tuple[int, int], length: float, where: P2) -> LineFault:
    one, two = lines[pair[0]], lines[pair[1]]
    whole = pair[0] != pair[1] and all(abs(length - line.shape.length) < SHORTEST for line in (one, two))
    both = two.layer if one.layer == two.layer else f"{one.layer} and {two.layer}"
    if whole:
        return LineFault(FaultKind.DOUBLED, both, where, f"a line of {length:.3f} mm stands there twice")
    return LineFault(FaultKind.OVERLAP, both, where, f"{length:.3f} mm would be cut twice")


def overlap(one: Segment, two: Segment) -> float:
    """Length in mm along which two lines or arcs lie on each other, 0 where they merely meet or cross."""
    if one.is_arc != two.is_arc:
        return 0.0
    return _arc_overlap(one, two) if one.is_arc else _line_overlap(one, two)


def _line_overlap(one: Segment, two: Segment) -> float:
    base, other = (one, two) if one.length >= two.length else (two, one)
    along = base.tangent_at(0.0)
    starts, ends = other.start.minus(base.start), other.end.minus(base.start)
    t0, t1, h0, h1 = starts.dot(along), ends.dot(along), along.cross(starts), along.cross(ends)
    low, high = max(0.0, min(t0, t1)), min(base.length, max(t0, t1))
    if high <= low:
        return 0.0
    heights = [h0 + (h1 - h0) * (t - t0) / (t1 - t0) for t in (low, high)]
    return high - low if max(abs(h) for h in heights) < SAME_LINE else 0.0


def _arc_overlap(one: Segment, two: Segment) -> float:
    radius = one.radius
    if abs(radius - two.radius) > SAME_LINE or one.center.distance(two.center) > SAME_LINE:
        return 0.0
    (a0, a1), (b0, b1) = _span(one), _span(two)
    shared = math.fsum(max(0.0, min(a1, b1 + turn) - max(a0, b0 + turn)) for turn in (-360.0, 0.0, 360.0))
    return math.radians(shared) * radius


def _span(arc: Segment) -> tuple[float, float]:
    """From and to angle of an arc in degrees, the first within 0 to 360, the second above it."""
    low = (arc.start_angle if arc.sweep > 0 else arc.start_angle + arc.sweep) % 360.0
    return low, low + abs(arc.sweep)


def _stray_faults(lines: Sequence[CutLine]) -> Iterator[LineFault]:
    """Cuts and engraving that lie outside every outline: they would mark the part beside it, or the machine's bed.

    Inside the engraved outline of a whole sheet, marks may stand beside the parts, but none may run off one.
    """
    outlines = [Area.of(line.shape, _INSIDE_ERROR) for line in lines if line.closed and line.layer == CUT_OUTSIDE]
    frame = _sheet_frame(lines, outlines)
    for line in lines:
        if line.layer == CUT_OUTSIDE or line is frame:
            continue
        near = [area for area in outlines if area.box.overlaps(line.shape.box(), -JOINED)]
        places = list(_samples(line))
        outside = [p for p in places if not any(area.holds(p) for area in near)]
        beside = (
            frame is not None
            and line.layer == ENGRAVE
            and len(outside) == len(places)
            and all(frame.shape.box().contains(p) for p in outside)
        )
        if outside and not beside:
            yield LineFault(FaultKind.STRAY, line.layer, outside[0], "lies outside the outline")


def _sheet_frame(lines: Sequence[CutLine], outlines: Sequence[Area]) -> CutLine | None:
    """The engraved outline of the sheet that all parts lie on; None in the file of a single part."""
    for line in lines:
        if line.layer == ENGRAVE and line.closed:
            box = line.shape.box()
            if all(box.holds(area.box) for area in outlines):
                return line
    return None


def lost_engraving(lines: Sequence[CutLine]) -> Iterator[LineFault]:
    """Engraving over an opening: what should stand there is lost, so no such part is written.

    Kept apart from `cut_faults`, because a machine cuts such a file as it is: one that is read is not refused for it.
    """
    marks = [(line, line.shape.box()) for line in lines if line.layer == ENGRAVE]
    for opening in (line.shape for line in lines if line.closed and line.layer == CUT_INSIDE):
        box = opening.box()
        near = [mark for mark, around in marks if around.overlaps(box, -JOINED)]
        if not near:
            continue
        area = Area.of(opening, _INSIDE_ERROR)
        for mark in near:
            lost = next(filter(area.holds, _samples(mark)), None)
            if lost is not None:
                yield LineFault(FaultKind.STRAY, ENGRAVE, lost, "engraved over an opening")


def _samples(line: CutLine) -> Iterator[P2]:
    """Places along a line, a little in from its ends: a mark may run right up to an edge."""
    for seg in line.segments():
        inset = min(0.5, _UP_TO_EDGE / seg.length)
        for fraction in (inset, 0.5, 1.0 - inset):
            yield seg.point_at(fraction)
