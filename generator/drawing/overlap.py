"""Draws every stroke once: joins segments that overlap, takes away what another set already shows, chains the rest.

A projection yields the same line many times over, from the front edge, the back edge and every edge between. Printed
that way a dashed line turns solid and a plotter inks or cuts it again.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from generator.geometry2d import P2, Path, Segment, Vertex, polar

#: Carriers (lines, circles) closer than this in place (mm) and direction (per mm) are one.
SAME_CARRIER = 1e-5
#: What is left of a stroke below this length (mm) is dropped.
CRUMB = 1e-3

Span = tuple[float, float]


@dataclass(frozen=True)
class _Line:
    """An endless line: direction (unit, x > 0 or straight up) and signed distance of the origin."""

    along: P2
    offset: float

    @property
    def key(self) -> tuple[float, ...]:
        return self.along.x, self.along.y, self.offset

    def spans(self, segment: Segment) -> list[Span]:
        a, b = self.along.dot(segment.start), self.along.dot(segment.end)
        return [(min(a, b), max(a, b))]

    def segment(self, span: Span) -> list[Segment]:
        foot = self.along.left().times(self.offset)
        return [Segment(foot.plus(self.along.times(span[0])), foot.plus(self.along.times(span[1])))]

    def closed(self, spans: list[Span]) -> list[Span]:
        return spans


@dataclass(frozen=True)
class _Ring:
    """A full circle; spans are lengths along it, counter-clockwise from the +x direction, mm."""

    center: P2
    radius: float

    @property
    def key(self) -> tuple[float, ...]:
        return self.center.x, self.center.y, self.radius

    @property
    def around(self) -> float:
        return 2.0 * math.pi * self.radius

    def spans(self, segment: Segment) -> list[Span]:
        ccw = segment if segment.bulge > 0 else segment.reversed()
        start = math.radians(ccw.start_angle % 360.0) * self.radius
        end = start + ccw.length
        if end <= self.around + CRUMB:
            return [(start, min(end, self.around))]
        return [(start, self.around), (0.0, end - self.around)]

    def segment(self, span: Span) -> list[Segment]:
        """One arc, or two where it turns by more than half."""
        count = 1 if span[1] - span[0] <= self.around / 2.0 + CRUMB else 2
        step = (span[1] - span[0]) / count
        bulge = math.tan(step / self.radius / 4.0)
        cuts = [self._at(span[0] + i * step) for i in range(count)] + [self._at(span[1])]
        return [Segment(cuts[i], cuts[i + 1], bulge) for i in range(count)]

    def closed(self, spans: list[Span]) -> list[Span]:
        """Joins a run that ends where the circle closes with the one that starts there."""
        if len(spans) > 1 and spans[0][0] < CRUMB and spans[-1][1] > self.around - CRUMB:
            return [*spans[1:-1], (spans[-1][0], spans[0][1] + self.around)]
        return spans

    def _at(self, along: float) -> P2:
        return self.center.plus(polar(math.degrees(along / self.radius), self.radius))


_Carrier = _Line | _Ring


class _Carriers:
    """Finds the carrier of a segment again although no two computed ones agree to the last digit."""

    def __init__(self) -> None:
        self._cells: dict[tuple[object, ...], list[_Carrier]] = defaultdict(list)

    def of(self, segment: Segment) -> _Carrier:
        fresh = _carrier(segment)
        for cell in product((type(fresh),), *(_near(v, SAME_CARRIER) for v in fresh.key)):
            for known in self._cells.get(cell, ()):
                if max(abs(a - b) for a, b in zip(known.key, fresh.key, strict=True)) < SAME_CARRIER:
                    return known
        self._cells[(type(fresh), *(_cell(v, SAME_CARRIER) for v in fresh.key))].append(fresh)
        return fresh


#: Cells are so much wider than what they tell apart: few values lie near a neighbour's.
_WIDTH = 64.0


def _cell(value: float, same: float) -> int:
    return math.floor(value / (_WIDTH * same))


def _near(value: float, same: float) -> range:
    """The cells in which a value closer than `same` may lie."""
    return range(_cell(value - same, same), _cell(value + same, same) + 1)


def _carrier(segment: Segment) -> _Carrier:
    if segment.is_arc:
        return _Ring(segment.center, segment.radius)
    along = segment.end.minus(segment.start).unit()
    if along.x < -SAME_CARRIER or (along.x < SAME_CARRIER and along.y < 0):
        along = along.times(-1.0)
    return _Line(along, along.left().dot(segment.start))


def without_overlap(*layers: Iterable[Segment]) -> tuple[tuple[Segment, ...], ...]:
    """Each layer's segments joined where they overlap, less whatever an earlier layer already shows."""
    carriers = _Carriers()
    taken: dict[_Carrier, list[Span]] = defaultdict(list)
    out = []
    for layer in layers:
        own: dict[_Carrier, list[Span]] = defaultdict(list)
        for segment in layer:
            carrier = carriers.of(segment)
            own[carrier] += carrier.spans(segment)
        kept: list[Segment] = []
        for carrier, spans in own.items():
            joined = _union(spans)
            left = carrier.closed(_minus(joined, taken[carrier]))
            for span in left:
                if span[1] - span[0] > CRUMB:
                    kept += carrier.segment(span)
            taken[carrier] = _union([*taken[carrier], *joined])
        out.append(tuple(kept))
    return tuple(out)


def _union(spans: Iterable[Span]) -> list[Span]:
    out: list[Span] = []
    for low, high in sorted(spans):
        if out and low <= out[-1][1] + CRUMB:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return out


def _minus(spans: Sequence[Span], taken: Sequence[Span]) -> list[Span]:
    out: list[Span] = []
    for low, high in spans:
        at = low
        for start, end in taken:
            if end <= at or start >= high:
                continue
            if start > at:
                out.append((at, start))
            at = max(at, end)
        if at < high:
            out.append((at, high))
    return out


def chained(segments: Sequence[Segment]) -> tuple[Path, ...]:
    """The segments as paths: run on through every end that exactly two share, closed where the run comes home."""
    nodes = _Nodes()
    ends = [(nodes.of(seg.start), nodes.of(seg.end)) for seg in segments]
    at: dict[int, list[int]] = defaultdict(list)
    for index, (start, end) in enumerate(ends):
        at[start].append(index)
        at[end].append(index)
    free = set(range(len(segments)))
    order = sorted(range(len(segments)), key=lambda i: _inner(at, ends[i]))
    return tuple(_walk(first, segments, ends, at, free) for first in order if first in free)


def _inner(at: dict[int, list[int]], pair: tuple[int, int]) -> bool:
    """True for a segment both of whose ends run on: a run must not start there unless it is a ring."""
    return all(len(at[node]) == 2 for node in pair)


def _walk(
    first: int, segments: Sequence[Segment], ends: Sequence[tuple[int, int]], at: dict[int, list[int]], free: set[int]
) -> Path:
    free.discard(first)
    backwards = len(at[ends[first][0]]) == 2 and len(at[ends[first][1]]) != 2
    run = [segments[first].reversed() if backwards else segments[first]]
    home, here = reversed(ends[first]) if backwards else ends[first]
    while here != home and len(at[here]) == 2:
        following = [i for i in at[here] if i in free]
        if not following:
            break
        index = following[0]
        free.discard(index)
        forwards = ends[index][0] == here
        run.append(segments[index] if forwards else segments[index].reversed())
        here = ends[index][1] if forwards else ends[index][0]
    vertices = tuple(Vertex(*seg.start, seg.bulge) for seg in run)
    if here == home and len(run) > 1:
        return Path(vertices)
    return Path((*vertices, Vertex(*run[-1].end)), closed=False)


class _Nodes:
    """Numbers points so that points closer than `CRUMB` share a number."""

    def __init__(self) -> None:
        self._cells: dict[tuple[int, int], list[tuple[P2, int]]] = defaultdict(list)
        self._count = 0

    def of(self, point: P2) -> int:
        for cell in product(_near(point.x, CRUMB), _near(point.y, CRUMB)):
            for known, number in self._cells.get(cell, ()):
                if known.distance(point) < CRUMB:
                    return number
        self._cells[_cell(point.x, CRUMB), _cell(point.y, CRUMB)].append((point, self._count))
        self._count += 1
        return self._count - 1


def segments_of(paths: Iterable[Path]) -> Iterator[Segment]:
    """All segments of all paths."""
    for path in paths:
        yield from path.segments()
