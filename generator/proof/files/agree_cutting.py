"""The cutting files against each other and against the part that the kit's inputs describe."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.base.points2d import Transform
from generator.cutting.cut_layers import CUT_INSIDE, CUT_OUTSIDE, FaultKind, LineFault
from generator.cutting.cut_lines import cut_lines
from generator.formats.dxf.read import CuttingFile
from generator.jig.part import Part
from generator.proof.files.outline_compare import Compared, Drawn, Likeness, compare
from generator.proof.files.strokes import CutStroke, Strokes
from generator.proof.findings import Finding, Topic

#: Cutting files carry nine decimals; two of one part agree within this, mm.
EXACT = 1e-3
#: Check under which a fault of the lines is told; every other kind of fault goes to the clean cutting lines.
_KIND_OF_FAULT = {
    FaultKind.OPEN_CONTOUR: Topic.OPEN,
    FaultKind.VERTEX_DEGREE: Topic.OPEN,
    FaultKind.DOUBLED: Topic.DOUBLED,
    FaultKind.OVERLAP: Topic.DOUBLED,
    FaultKind.UNITS: Topic.SCALE,
    FaultKind.MIRRORED: Topic.MIRRORED,
}
#: Check under which a difference between two drawings of a part is told.
_KIND_OF_LIKENESS = {
    Likeness.SCALED: Topic.SCALE,
    Likeness.MIRRORED: Topic.MIRRORED,
    Likeness.TURNED: Topic.MIRRORED,
    Likeness.MOVED: Topic.OUTLINE,
    Likeness.DIFFERENT: Topic.OUTLINE,
}


def line_findings(name: str, faults: Sequence[LineFault]) -> Iterator[Finding]:
    """What the reader found wrong with the lines of one cutting file, kind by kind."""
    for fault in faults:
        yield Finding(_KIND_OF_FAULT.get(fault.kind, Topic.LINES), name, str(fault))


def drawn_by_cutting(file: CuttingFile) -> Drawn | None:
    """The part as a cutting file has it; None without exactly one closed outline."""
    outlines = file.contours(CUT_OUTSIDE)
    return Drawn(outlines[0], file.contours(CUT_INSIDE)) if len(outlines) == 1 else None


def drawn_by_model(part: Part) -> Drawn:
    """The part as the kit's inputs describe it."""
    return Drawn(part.outline, tuple(part.through_contours()))


def outline_finding(name: str, compared: Compared, against: str) -> Iterator[Finding]:
    """A difference between two drawings of a part, under the name of its kind."""
    if compared.likeness is not Likeness.SAME:
        yield Finding(_KIND_OF_LIKENESS[compared.likeness], name, f"{compared.words}, against {against}")


def cutting_findings(name: str, file: CuttingFile, part: Part) -> Iterator[Finding]:
    """One cutting file against its part: size, handedness, every cut, every engraved line."""
    found = drawn_by_cutting(file)
    if found is None:
        count = len(file.contours(CUT_OUTSIDE))
        yield Finding(Topic.OPEN if not count else Topic.OUTLINE, name, f"{count} closed outlines; allowed: one")
        return
    compared = compare(drawn_by_model(part), found, EXACT)
    yield from outline_finding(name, compared, "the part in results.json")
    if compared.likeness is Likeness.SAME:
        yield from _engraving_findings(name, file, part)


def _engraving_findings(name: str, file: CuttingFile, part: Part) -> Iterator[Finding]:
    """Lettering tells the hand of a part whose outline is its own mirror image."""
    wanted, found = Strokes.of(cut_lines(part)), Strokes.of(file.lines)
    missing, strange = wanted.without(found), found.without(wanted)
    if not missing and not strange:
        return
    for likeness, change in (("left to right", Transform.mirror_x()), ("top to bottom", Transform.mirror_y())):
        if missing and not wanted.without(found.transformed(change)):
            yield Finding(Topic.MIRRORED, name, f"mirrored {likeness}: its lettering reads backwards")
            return
    yield odd_strokes(name, (missing or strange), "are not where they belong" if missing else "do not belong there")


def odd_strokes(name: str, odd: Sequence[CutStroke], what: str) -> Finding:
    """Engraved lines that are missing or too many, and where the first is."""
    at = odd[0].middle
    return Finding(Topic.ENGRAVING, name, f"{len(odd)} lines {what}, the first at ({at.x:.2f}, {at.y:.2f})")
