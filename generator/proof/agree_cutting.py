"""The cutting files against each other and against the part that the kit's inputs describe."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from generator.cutting import cut_lines
from generator.geometry2d import P2, Contour, Path, Transform
from generator.linework import CUT_INSIDE, CUT_OUTSIDE, CutLine, FaultKind, LineFault
from generator.parts.base import Part
from generator.proof.findings import Finding, Kind
from generator.proof.likeness import Compared, Drawn, Likeness, compare, contained, scale_words
from generator.readers.dxf import CuttingFile

#: Cutting files carry nine decimals; two of one part agree within this, mm.
EXACT = 1e-3
_KIND_OF_FAULT = {
    FaultKind.OPEN_CONTOUR: Kind.OPEN,
    FaultKind.VERTEX_DEGREE: Kind.OPEN,
    FaultKind.DOUBLED: Kind.DOUBLED,
    FaultKind.OVERLAP: Kind.DOUBLED,
    FaultKind.UNITS: Kind.SCALE,
    FaultKind.MIRRORED: Kind.MIRRORED,
}
_KIND_OF_LIKENESS = {
    Likeness.SCALED: Kind.SCALE,
    Likeness.MIRRORED: Kind.MIRRORED,
    Likeness.TURNED: Kind.MIRRORED,
    Likeness.MOVED: Kind.OUTLINE,
    Likeness.DIFFERENT: Kind.OUTLINE,
}


def line_findings(name: str, faults: Sequence[LineFault]) -> Iterator[Finding]:
    """What the reader found wrong with the lines of one cutting file, kind by kind."""
    for fault in faults:
        yield Finding(_KIND_OF_FAULT.get(fault.kind, Kind.LINES), name, str(fault))


def drawn_by_cutting(file: CuttingFile) -> Drawn | None:
    """The part as a cutting file has it; None without exactly one closed outline."""
    outlines = file.contours(CUT_OUTSIDE)
    return Drawn(outlines[0], file.contours(CUT_INSIDE)) if len(outlines) == 1 else None


def drawn_by_model(part: Part) -> Drawn:
    """The part as the kit's inputs describe it."""
    return Drawn(part.outline, tuple(part.through_contours()))


def likeness_finding(name: str, compared: Compared, against: str) -> Iterator[Finding]:
    """A difference between two drawings of a part, under the name of its kind."""
    if compared.likeness is not Likeness.SAME:
        yield Finding(_KIND_OF_LIKENESS[compared.likeness], name, f"{compared.words}, against {against}")


def cutting_findings(name: str, file: CuttingFile, part: Part) -> Iterator[Finding]:
    """One cutting file against its part: size, handedness, every cut, every engraved line."""
    found = drawn_by_cutting(file)
    if found is None:
        count = len(file.contours(CUT_OUTSIDE))
        yield Finding(Kind.OPEN if not count else Kind.OUTLINE, name, f"{count} closed outlines; allowed: one")
        return
    compared = compare(drawn_by_model(part), found, EXACT)
    yield from likeness_finding(name, compared, "the part in results.json")
    if compared.likeness is Likeness.SAME:
        yield from _engraving_findings(name, file, part)


def _engraving_findings(name: str, file: CuttingFile, part: Part) -> Iterator[Finding]:
    """Lettering tells the hand of a part whose outline is its own mirror image."""
    wanted = _Strokes.of(cut_lines(part))
    found = _Strokes.of(file.lines)
    missing = wanted.without(found)
    if not missing:
        return
    for likeness, change in (("left to right", Transform.mirror_x()), ("top to bottom", Transform.mirror_y())):
        if not wanted.without(found.transformed(change)):
            yield Finding(Kind.MIRRORED, name, f"mirrored {likeness}: its lettering reads backwards")
            return
    at = missing[0].middle
    words = f"{len(missing)} lines are not where they belong, the first at ({at.x:.2f}, {at.y:.2f})"
    yield Finding(Kind.ENGRAVING, name, words)


@dataclass(frozen=True)
class _Stroke:
    """One engraved or sunk line: its layer, length, middle, and both ends; a closed one ends in its middle."""

    layer: str
    length: float
    middle: P2
    ends: tuple[P2, P2]

    def like(self, other: _Stroke) -> bool:
        same = self.layer == other.layer and abs(self.length - other.length) < EXACT
        return same and self.middle.distance(other.middle) < EXACT and self._ends_meet(other)

    def _ends_meet(self, other: _Stroke) -> bool:
        (a, b), (c, d) = self.ends, other.ends
        return (a.distance(c) < EXACT and b.distance(d) < EXACT) or (a.distance(d) < EXACT and b.distance(c) < EXACT)


@dataclass(frozen=True)
class _Strokes:
    strokes: tuple[_Stroke, ...]

    @staticmethod
    def of(lines: Sequence[CutLine]) -> _Strokes:
        return _Strokes(tuple(_stroke(line) for line in lines if line.layer not in (CUT_INSIDE, CUT_OUTSIDE)))

    def transformed(self, t: Transform) -> _Strokes:
        moved = (
            replace(s, middle=t.apply(s.middle), ends=(t.apply(s.ends[0]), t.apply(s.ends[1]))) for s in self.strokes
        )
        return _Strokes(tuple(moved))

    def without(self, other: _Strokes) -> list[_Stroke]:
        """The strokes that `other` has none like."""
        cells: dict[tuple[int, int], list[_Stroke]] = {}
        for stroke in other.strokes:
            cells.setdefault(_cell(stroke.middle), []).append(stroke)
        return [stroke for stroke in self.strokes if not any(stroke.like(near) for near in _near(cells, stroke.middle))]


def _stroke(line: CutLine) -> _Stroke:
    box = line.shape.box()
    if line.closed or not isinstance(line.shape, Path):
        return _Stroke(line.layer, line.shape.length, box.center, (box.center, box.center))
    return _Stroke(line.layer, line.shape.length, box.center, (line.shape.start, line.shape.end))


def _cell(at: P2) -> tuple[int, int]:
    return round(at.x), round(at.y)


def _near(cells: dict[tuple[int, int], list[_Stroke]], at: P2) -> Iterator[_Stroke]:
    x, y = _cell(at)
    for i in (-1, 0, 1):
        for j in (-1, 0, 1):
            yield from cells.get((x + i, y + j), ())


def sheet_findings(name: str, file: CuttingFile, parts: Sequence[Part]) -> Iterator[Finding]:
    """A nested sheet against the parts of its stock: every outline is one of them, laid any way round, not mirrored."""
    strays = []
    for outline in file.contours(CUT_OUTSIDE):
        found = Drawn(outline, tuple(contained(outline, file.contours(CUT_INSIDE))))
        likes = {_likeness(part, found) for part in parts}
        if likes & {Likeness.SAME, Likeness.TURNED}:
            continue
        if Likeness.MIRRORED in likes:
            at = found.center
            yield Finding(Kind.MIRRORED, name, f"the part at ({at.x:.0f}, {at.y:.0f}) lies mirrored")
        else:
            strays.append(found)
    if strays:
        yield _stray_finding(name, strays, parts)


def sheet_counts(files: Mapping[str, CuttingFile], parts: Sequence[Part]) -> Iterator[Finding]:
    """All sheets together against the quantities: each part as often as the jig needs it."""
    for part in parts:
        want, name = part.quantity, f"sheet-{part.stock}"
        sheets = [file for key, file in files.items() if key.startswith(f"{name}-")]
        areas = [outline for file in sheets for outline in file.contours(CUT_OUTSIDE)]
        count = sum(_same_outline(part, outline) for outline in areas)
        twins = sum(
            other.quantity for other in parts if other.stock == part.stock and _same_outline(part, other.outline)
        )
        if sheets and count != max(want, twins):
            yield Finding(Kind.OUTLINE, name, f"{part.name} lies there {count} times; wanted: {max(want, twins)}")


def _same_outline(part: Part, outline: Contour) -> bool:
    a, b = part.outline.box(), outline.box()
    sizes = zip(sorted((a.width, a.height)), sorted((b.width, b.height)), strict=True)
    return all(abs(p - q) < EXACT for p, q in sizes) and abs(part.outline.area - outline.area) < 1.0


def _likeness(part: Part, found: Drawn) -> Likeness:
    if not _same_outline(part, found.outline):
        return Likeness.DIFFERENT
    return compare(drawn_by_model(part), found, 2.0 * EXACT, anchored=False).likeness


def _stray_finding(name: str, strays: Sequence[Drawn], parts: Sequence[Part]) -> Finding:
    """An outline that is no part's: of another scale where its proportions are a part's."""
    found = strays[0].outline.box()
    for part in parts:
        scale = math.sqrt(strays[0].outline.area / part.outline.area)
        box = part.outline.box()
        sizes = zip(sorted((found.width, found.height)), sorted((box.width, box.height)), strict=True)
        if all(math.isclose(p, q * scale, rel_tol=1e-4) for p, q in sizes):
            return Finding(Kind.SCALE, name, f"{part.name} is drawn {scale_words(scale)}")
    at = strays[0].center
    words = f"{len(strays)} outlines that are no part's, the first at ({at.x:.0f}, {at.y:.0f})"
    return Finding(Kind.OUTLINE, name, words)
