"""The tables of a part: every hole with an id, its place from the part's datum, and its size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from generator.base.points2d import P2
from generator.documents.hole_callout import hole_text
from generator.drawing.callout import Notation, length_text
from generator.drawing.tables import Table
from generator.jig.part import EdgeHole, Hole, Part

#: Letters of holes in a face; E stands for holes in edges.
_LETTERS = "ABCDFGHJKLMNPQRSTUVWXYZ"

#: Holes that lie this close meet, mm.
_SAME = 1e-6


@dataclass(frozen=True)
class NumberedHole:
    """A hole and the id it carries on the drawing: a letter a kind, a number within the kind."""

    id: str
    hole: Hole


def numbered_holes(part: Part) -> tuple[NumberedHole, ...]:
    """Holes of one kind (same drilling) share a letter and are numbered left to right, top to bottom."""
    kinds: dict[Hole, list[Hole]] = {}
    for hole in part.holes:
        kinds.setdefault(replace(hole, id="", at=P2(0.0, 0.0), why=""), []).append(hole)
    found = []
    for letter, holes in zip(_LETTERS, kinds.values(), strict=False):
        ordered = sorted(holes, key=lambda hole: _reading_order(hole.at))
        found += [NumberedHole(f"{letter}{number}", hole) for number, hole in enumerate(ordered, 1)]
    return tuple(found)


@dataclass(frozen=True)
class Labelled:
    """The id of a hole in an edge, and where on the part its leader ends."""

    id: str
    at: P2


@dataclass(frozen=True)
class EdgeBore:
    """A drilling into an edge: one hole, or one that a smaller hole from the opposite edge meets right through."""

    hole: EdgeHole
    meets: EdgeHole | None = None

    @property
    def drilled(self) -> Hole:
        """The drilling as a hole square to a face, for its callout."""
        if self.meets is None:
            return self.hole.drilled
        small = self.meets.drilled
        wide, deep = self.hole.diameter, self.hole.depth
        return replace(small, depth=None, counterbore_diameter=wide, counterbore_depth=deep)


def edge_bores(part: Part) -> tuple[EdgeBore, ...]:
    """The drillings into the part's edges, two holes that meet on one axis taken as one stepped bore."""
    found: list[EdgeBore] = []
    taken: set[int] = set()
    for n, hole in enumerate(part.edge_holes):
        other = next((m for m, one in enumerate(part.edge_holes) if _meet(hole, one)), None)
        if other is None:
            found.append(EdgeBore(hole))
        elif hole.diameter > part.edge_holes[other].diameter:
            found.append(EdgeBore(hole, part.edge_holes[other]))
            taken |= {n, other}
    assert len(taken) + sum(bore.meets is None for bore in found) == len(part.edge_holes), part.name
    return tuple(found)


def _meet(a: EdgeHole, b: EdgeHole) -> bool:
    """True for two holes from opposite edges whose floors are one."""
    floor = a.at.plus(a.into.times(a.depth)).distance(b.at.plus(b.into.times(b.depth)))
    return a is not b and a.into.dot(b.into) < -1.0 + _SAME and floor < _SAME and abs(a.z - b.z) < _SAME


def labels(part: Part) -> tuple[Labelled, ...]:
    """Ids of the holes in the part's edges, as their table numbers them."""
    return tuple(
        Labelled(f"E{number}", bore.hole.at.plus(bore.hole.into.times(bore.hole.depth / 2.0)))
        for number, bore in enumerate(edge_bores(part), 1)
    )


def part_tables(part: Part, notation: Notation) -> tuple[Table, ...]:
    """The tables there are, from the foot up: holes in the face, holes in the edges."""
    tables = _hole_table(part, notation), _edge_hole_table(part, notation)
    return tuple(table for table in tables if table is not None)


def _reading_order(at: P2) -> tuple[float, float]:
    return round(at.x, 6), -round(at.y, 6)


def _hole_table(part: Part, notation: Notation) -> Table | None:
    numbered = numbered_holes(part)
    drills = [_drill(item.hole, notation) for item in numbered]
    rows = [
        (item.id, *_place(item.hole.at, part, notation), count, drill)
        for item, count, drill in zip(numbered, _counts(drills), drills, strict=True)
    ]
    return Table("Holes, from the datum 0,0", ("Id", "X", "Y", "Count", "Drill"), tuple(rows)) if rows else None


def _edge_hole_table(part: Part, notation: Notation) -> Table | None:
    bores = edge_bores(part)
    drills = [_drill(bore.drilled, notation) for bore in bores]
    rows = [
        (f"E{number}", *_place(bore.hole.at, part, notation), length_text(bore.hole.z, notation), count, drill)
        for number, (bore, count, drill) in enumerate(zip(bores, _counts(drills), drills, strict=True), 1)
    ]
    heading = ("Id", "X", "Y", "Over the back", "Count", "Drill square to the edge")
    return Table("Holes in the edges, from the datum 0,0", heading, tuple(rows)) if rows else None


def _counts(drills: Sequence[str]) -> Iterator[str]:
    """How many are drilled alike, said once for each kind, in the row where it first comes."""
    seen: set[str] = set()
    for drill in drills:
        yield "" if drill in seen else f"{drills.count(drill)}×"
        seen.add(drill)


def _drill(hole: Hole, notation: Notation) -> str:
    """The callout, with what fits there where something does."""
    text = hole_text(hole, notation)
    return f"{text}, {hole.why}" if hole.fit and hole.why else text


def _place(at: P2, part: Part, notation: Notation) -> tuple[str, ...]:
    from_datum = at.minus(part.datum)
    return _numbers((from_datum.x, from_datum.y), notation)


def _numbers(values: Sequence[float], notation: Notation) -> tuple[str, ...]:
    return tuple(length_text(value if abs(value) > 5e-7 else 0.0, notation) for value in values)
