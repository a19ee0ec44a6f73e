"""Hole callouts on the paper templates: one leader for each kind of hole that no dimension of the part tells."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.base.annotation import DimKind
from generator.base.points2d import polar
from generator.documents.hole_callout import hole_text
from generator.documents.paper.words import words
from generator.drawing.callout import Notation
from generator.drawing.dimension import Note
from generator.jig.part import EdgeHole, Hole, Part

#: Holes within this of a dimensioned centre are that hole, mm.
_SAME_PLACE = 1e-6


def hole_notes(part: Part, notation: Notation) -> list[Note]:
    """Notes that point at one hole of each kind, with the count of all that are alike."""
    return [note for note, _ in _callouts(part, notation)]


def hole_list(part: Part, notation: Notation) -> list[str]:
    """The same callouts as lines of text, each with what the holes are for."""
    return [words("hole_line", hole=note.text, why=why) for note, why in _callouts(part, notation)]


def _callouts(part: Part, notation: Notation) -> Iterator[tuple[Note, str]]:
    """Each kind of hole: the note that points at one of them, and what they are for."""
    told = [dimension.points[0] for dimension in part.dimensions if dimension.kind is DimKind.DIAMETER]
    for alike in _kinds(part.holes):
        if any(hole.at.distance(centre) < _SAME_PLACE for hole in alike for centre in told):
            continue
        hole = max(alike, key=lambda found: (found.at.x, found.at.y))
        yield Note(hole_text(hole, notation, len(alike)), hole.at.plus(polar(45.0, hole.rim))), _whys(alike)
    for edge_holes in _edge_kinds(part.edge_holes):
        first = edge_holes[0]
        text = words("edge_hole", hole=hole_text(first.drilled, notation, len(edge_holes)))
        yield Note(text, first.at.plus(first.into.times(first.depth / 2.0))), _whys(edge_holes)


def _whys(alike: Sequence[Hole | EdgeHole]) -> str:
    """What holes of one kind are for, each use once."""
    return ", ".join(dict.fromkeys(hole.why for hole in alike if hole.why))


def _kinds(holes: tuple[Hole, ...]) -> Iterator[list[Hole]]:
    """Holes of one size and form, in the order they first appear."""
    found: dict[object, list[Hole]] = {}
    for hole in holes:
        key = (
            hole.diameter,
            hole.depth,
            hole.face,
            hole.thread,
            hole.counterbore_diameter,
            hole.countersink_diameter,
        )
        found.setdefault(key, []).append(hole)
    yield from found.values()


def _edge_kinds(holes: tuple[EdgeHole, ...]) -> Iterator[list[EdgeHole]]:
    found: dict[object, list[EdgeHole]] = {}
    for hole in holes:
        found.setdefault((hole.diameter, hole.depth, hole.thread), []).append(hole)
    yield from found.values()
