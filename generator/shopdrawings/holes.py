"""The tables of a part: every hole and square slot with an id, its place from the part's datum, and its size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from generator.drawing.callout import Notation, hole_text, length_text
from generator.geometry2d import P2, Path
from generator.parts.base import EdgeHole, Hole, Part
from generator.shopdrawings.tables import Table


@dataclass(frozen=True)
class NumberedHole:
    """A hole and the id it carries on the drawing: a letter a kind, a number within the kind."""

    id: str
    hole: Hole


def numbered_holes(part: Part) -> tuple[NumberedHole, ...]:
    """Holes of one kind (same drilling) share a letter and are numbered left to right, top to bottom."""
    kinds: dict[tuple[object, ...], list[Hole]] = {}
    for hole in part.holes:
        kinds.setdefault(_kind(hole), []).append(hole)
    found = []
    for index, holes in enumerate(kinds.values()):
        letter = chr(ord("A") + index)
        ordered = sorted(holes, key=lambda hole: (round(hole.at.x, 6), -round(hole.at.y, 6)))
        found += [NumberedHole(f"{letter}{number}", hole) for number, hole in enumerate(ordered, 1)]
    return tuple(found)


@dataclass(frozen=True)
class NumberedSlot:
    """A rectangular slot square to the drawing, its id, centre and size, mm."""

    id: str
    at: P2
    width: float
    height: float


def numbered_slots(part: Part) -> tuple[NumberedSlot, ...]:
    """The slots that take tabs, left to right, top to bottom; other openings carry dimensions of their own."""
    boxes = [o.contour.box() for o in part.openings if isinstance(o.contour, Path) and _is_rectangle(o.contour)]
    boxes.sort(key=lambda box: (round(box.center.x, 6), -round(box.center.y, 6)))
    return tuple(NumberedSlot(f"S{i}", box.center, box.width, box.height) for i, box in enumerate(boxes, 1))


def _is_rectangle(contour: Path) -> bool:
    return len(contour.vertices) == 4 and abs(contour.box().width * contour.box().height - contour.area) < 1e-6


def part_tables(part: Part, notation: Notation) -> tuple[Table, ...]:
    """The tables of slots, of holes in the face, and of holes in the edges: those there are, from the foot up."""
    tables = []
    slots = numbered_slots(part)
    if slots:
        rows = tuple((slot.id, *_place(slot.at, notation), *_size(slot, notation)) for slot in slots)
        tables.append(Table("Slots, from the datum 0,0 to their centres", ("Id", "X", "Y", "Width", "Height"), rows))
    holes = numbered_holes(part)
    if holes:
        rows = tuple(_face_row(item, notation) for item in holes)
        tables.append(Table("Holes, from the datum 0,0", ("Id", "X", "Y", "Drill"), rows))
    if part.edge_holes:
        rows = tuple(_edge_row(number, hole, notation) for number, hole in enumerate(part.edge_holes, 1))
        heading = ("Id", "X", "Y", "Over the back", "Drill square to the edge")
        tables.append(Table("Holes in the edges, from the datum 0,0", heading, rows))
    return tuple(tables)


def plain_hole(hole: EdgeHole) -> Hole:
    """An edge hole as a hole square to a face, for its callout."""
    return Hole(
        hole.id, hole.at, hole.diameter, hole.depth, thread=hole.thread, thread_depth=hole.thread_depth, why=hole.why
    )


def _kind(hole: Hole) -> tuple[object, ...]:
    return (
        hole.diameter,
        hole.depth,
        hole.face,
        hole.thread,
        hole.thread_depth,
        hole.counterbore_diameter,
        hole.counterbore_depth,
        hole.countersink_diameter,
    )


def _face_row(item: NumberedHole, notation: Notation) -> tuple[str, ...]:
    at = item.hole.at
    return item.id, *_place((at.x, at.y), notation), hole_text(item.hole, notation)


def _edge_row(number: int, hole: EdgeHole, notation: Notation) -> tuple[str, ...]:
    place = _place((hole.at.x, hole.at.y, hole.z), notation)
    return f"E{number}", *place, hole_text(plain_hole(hole), notation)


def _size(slot: NumberedSlot, notation: Notation) -> tuple[str, str]:
    return length_text(slot.width, notation), length_text(slot.height, notation)


def _place(values: Sequence[float], notation: Notation) -> tuple[str, ...]:
    return tuple(length_text(value if abs(value) > 5e-7 else 0.0, notation) for value in values)
