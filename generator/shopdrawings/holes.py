"""The tables of a part: every hole, slot, tab and corner with an id, its place from the part's datum, and its size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from generator.drawing.callout import Notation, hole_text, length_text
from generator.drawing.dimension import Tip
from generator.geometry2d import P2, Path
from generator.parts.base import Hole, NutSlot, Opening, Part, Tab
from generator.shopdrawings.contours import Corner, Oblong, RoundSlot, corners, oblong, outside, round_slot
from generator.drawing.tables import Table

#: Letters of holes; S, P, T, N and E stand for slots, pin slots, tabs, nut slots and holes in edges.
_LETTERS = "ABCDFGHJKLMQRUVWXYZ"


#: A comb of more corners than this is no table for a person: its file says it.
_MOST_CORNERS = 24


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
    """The id of a slot, tab, nut slot or hole in an edge, where on the part its leader ends, and how."""

    id: str
    at: P2
    tip: Tip = Tip.DOT


def labels(part: Part) -> tuple[Labelled, ...]:
    """Ids of everything but round holes in the face, as the tables number them."""
    found = [Labelled(id_, P2(slot.at.x + slot.width / 2.0, slot.at.y), Tip.ARROW) for id_, slot in _oblongs(part)]
    found += [Labelled(id_, slot.ends[1]) for id_, slot in _round_slots(part)]
    found += [Labelled(id_, tab.at.plus(tab.out.times(tab.height / 2.0))) for id_, tab in _tabs(part)]
    found += [
        Labelled(id_, slot.at.plus(slot.into.times((slot.nut_near + slot.nut_far) / 2.0)))
        for id_, slot in _nut_slots(part)
    ]
    found += [
        Labelled(f"E{number}", hole.at.plus(hole.into.times(hole.depth / 2.0)))
        for number, hole in enumerate(part.edge_holes, 1)
    ]
    return tuple(found)


def part_tables(part: Part, notation: Notation) -> tuple[Table, ...]:
    """The tables there are, from the foot up: corners, tabs and nut slots, slots, holes in face and edges."""
    tables = (
        _corner_table(part, notation),
        _edge_cut_table(part, notation),
        _oblong_table(part, notation),
        _round_slot_table(part, notation),
        _hole_table(part, notation),
        _edge_hole_table(part, notation),
    )
    return tuple(table for table in tables if table is not None)


def outline_radius(part: Part) -> float | None:
    """The one radius of a rectangular outline's corners; None where the outline is no rectangle, or a sharp one."""
    found = oblong(part.outline)
    return found.radius if found and found.radius > 0.0 else None


# --- what there is -------------------------------------------------------------------------------------------------


def _reading_order(at: P2) -> tuple[float, float]:
    return round(at.x, 6), -round(at.y, 6)


def _oblongs(part: Part) -> list[tuple[str, Oblong]]:
    """Rectangular openings, left to right, top to bottom."""
    found = [o for opening in part.openings if isinstance(opening.contour, Path) and (o := oblong(opening.contour))]
    found.sort(key=lambda one: _reading_order(one.at))
    return [(f"S{number}", one) for number, one in enumerate(found, 1)]


def _round_slots(part: Part) -> list[tuple[str, RoundSlot]]:
    found = [o for opening in part.openings if isinstance(opening.contour, Path) and (o := round_slot(opening.contour))]
    return [(f"P{number}", one) for number, one in enumerate(found, 1)]


def _tabs(part: Part) -> list[tuple[str, Tab]]:
    return [(f"T{n}", cut) for n, cut in enumerate((cut for cut in part.edge_cuts if isinstance(cut, Tab)), 1)]


def _nut_slots(part: Part) -> list[tuple[str, NutSlot]]:
    return [(f"N{n}", cut) for n, cut in enumerate((cut for cut in part.edge_cuts if isinstance(cut, NutSlot)), 1)]


def _cornered(part: Part) -> Iterator[tuple[str, tuple[Corner, ...]]]:
    """Contours that no other table and no overall size tells: a name, and the corners that are not a tab's or nut's."""
    if oblong(part.outline) is None:
        taken = [point for cut in part.edge_cuts for point in cut.corners]
        found = outside(corners(part.outline), taken)
        if not _is_box(found) and len(found) <= _MOST_CORNERS:
            yield "outline", found
    for opening in part.openings:
        if isinstance(opening.contour, Path) and not _tabled(opening):
            yield opening.id.replace("-", " "), corners(opening.contour)


def _tabled(opening: Opening) -> bool:
    assert isinstance(opening.contour, Path)
    return oblong(opening.contour) is not None or round_slot(opening.contour) is not None


def _is_box(found: tuple[Corner, ...]) -> bool:
    """True for four sharp corners square to the drawing: the overall sizes say it all."""
    xs, ys = {round(c.at.x, 6) for c in found}, {round(c.at.y, 6) for c in found}
    return len(found) == 4 and len(xs) == len(ys) == 2 and all(c.radius == 0.0 for c in found)


# --- tables --------------------------------------------------------------------------------------------------------


def _corner_table(part: Part, notation: Notation) -> Table | None:
    rows = [
        (name, *_place(corner.at, part, notation), _corner_words(corner, notation))
        for name, found in _cornered(part)
        for corner in found
    ]
    return (
        Table("Corners before rounding, from the datum 0,0", ("Contour", "X", "Y", "Radius"), tuple(rows))
        if rows
        else None
    )


def _corner_words(corner: Corner, notation: Notation) -> str:
    if corner.relief:
        return f"relief {length_text(corner.radius, notation, 'R')} about this point"
    return length_text(corner.radius, notation, "R") if corner.radius > 0.0 else "sharp"


def _edge_cut_table(part: Part, notation: Notation) -> Table | None:
    def size(value: float) -> str:
        return length_text(value, notation)

    rows = [
        (id_, *_place(tab.at, part, notation), f"tab {size(tab.width)} wide, {size(tab.height)} high")
        for id_, tab in _tabs(part)
    ]
    rows += [
        (
            id_,
            *_place(slot.at, part, notation),
            f"channel {size(slot.width)} wide, {size(slot.depth)} deep; nut {size(slot.nut_width)} wide, "
            f"{size(slot.nut_near)} to {size(slot.nut_far)} deep",
        )
        for id_, slot in _nut_slots(part)
    ]
    title = "Tabs and nut slots, their middles on the edge from the datum 0,0"
    return Table(title, ("Id", "X", "Y", "Size"), tuple(rows)) if rows else None


def _oblong_table(part: Part, notation: Notation) -> Table | None:
    rows = [
        (
            id_,
            *_place(slot.at, part, notation),
            length_text(slot.width, notation),
            length_text(slot.height, notation),
            length_text(slot.radius, notation, "R") if slot.radius > 0.0 else "sharp",
        )
        for id_, slot in _oblongs(part)
    ]
    heading = ("Id", "X", "Y", "Along X", "Along Y", "Corners")
    return Table("Slots, from the datum 0,0 to their centres", heading, tuple(rows)) if rows else None


def _round_slot_table(part: Part, notation: Notation) -> Table | None:
    rows = []
    for id_, slot in _round_slots(part):
        first, second = (", ".join(_place(end, part, notation)) for end in slot.ends)
        words = f"from ({first}) to ({second})"
        if slot.center is not None:
            about = ", ".join(_place(slot.center, part, notation))
            words = f"arc {length_text(slot.radius, notation, 'R')} about ({about}) {words}"
        rows.append((id_, length_text(slot.width, notation), words))
    return Table("Slots with round ends", ("Id", "Width", "Centre line, end centres"), tuple(rows)) if rows else None


def _hole_table(part: Part, notation: Notation) -> Table | None:
    numbered = numbered_holes(part)
    drills = [_drill(item.hole, notation) for item in numbered]
    rows = [
        (item.id, *_place(item.hole.at, part, notation), count, drill)
        for item, count, drill in zip(numbered, _counts(drills), drills, strict=True)
    ]
    return Table("Holes, from the datum 0,0", ("Id", "X", "Y", "Count", "Drill"), tuple(rows)) if rows else None


def _edge_hole_table(part: Part, notation: Notation) -> Table | None:
    drills = [_drill(hole.drilled, notation) for hole in part.edge_holes]
    rows = [
        (f"E{number}", *_place(hole.at, part, notation), length_text(hole.z, notation), count, drill)
        for number, (hole, count, drill) in enumerate(zip(part.edge_holes, _counts(drills), drills, strict=True), 1)
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
