"""The order of assembly as motions: each part and screw has a straight way in, past everything that stands by then.

A way is one or more straight legs that end in the part's place; the first comes from far away. A screw's way is that of
its head, driver and hand. While the plate lies top down on the table, nothing comes from there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from generator.base.geometry3d import P3
from generator.base.units import mm
from generator.jig.fixings import Fixing
from generator.jig.template_plate import TEMPLATE_PLATE
from generator.jig.traits import Leg, WayIn
from generator.joint.checks.base import Check, at_least
from generator.proof.jig.pieces import Pieces, bite, shank, way_in
from generator.proof.jig.solids import Solid, block, left_round, meet, room_between

#: (warn, fail) limits of the least room between two screws, mm.
SCREWS_APART = (1.0, 0.2)
#: (warn, fail) limits of the least of a part that is left round a screw that bites in it, mm.
LEFT_ROUND = (1.5, 0.5)
#: Rooms between screws and what is left round them are told up to this, mm.
_ENOUGH = 4.0


@dataclass(frozen=True)
class AssemblyStep:
    """Labels of the parts that come in together, their legs, and the rows of screws driven then; on the table or not.

    A plate that lies top down on the table comes to the board in words as the board comes to it.
    """

    parts: tuple[str, ...]
    legs: tuple[Leg, ...]
    rows: tuple[str, ...]
    on_table: bool = False


def steps(pieces: Pieces) -> tuple[AssemblyStep, ...]:
    """The order of `jig.hardware.assembly_steps`: screws through the plate's top wait until it is turned."""
    coming: dict[int, list[tuple[str, WayIn]]] = {}
    for item in pieces.kit.jig.placed:
        if item.part.traits.way_in is not None:
            coming.setdefault(item.part.traits.way_in.step, []).append((item.label, item.part.traits.way_in))
    found: list[AssemblyStep] = []
    for _, alike in sorted(coming.items()):
        way = alike[0][1]
        found.append(AssemblyStep(tuple(label for label, _ in alike), way.legs, way.rows, way.on_table))
        if way.turned:
            found.append(AssemblyStep((), (), way.turned))
    return tuple(found)


def motion_checks(pieces: Pieces) -> Iterator[Check]:
    """One check each: parts' ways, screws' ways, what screws end in, screws among themselves."""
    blocked = list(blocked_parts(pieces))
    yield _judged("jig: parts go in", blocked, "every part has a straight way into its place")
    blocked = list(blocked_screws(pieces))
    yield _judged("jig: screws go in", blocked, "every screw, with driver and hand, has a straight way in")
    yield held_check(pieces)
    yield apart_check(pieces)


def _judged(name: str, faults: list[str], good: str) -> Check:
    words = "; ".join(dict.fromkeys(faults)) or good
    return at_least(name, -float(len(faults)), 0.0, 0.0, words, "faults")


def blocked_parts(pieces: Pieces) -> Iterator[str]:
    """In words, every part that meets something on its way in."""
    there: list[Solid] = []
    for step in steps(pieces):
        coming = [pieces.parts[label] for label in step.parts if label in pieces.parts]
        for solid in coming:
            for way in _ways(solid, step.legs):
                yield from (f"{solid.label} meets {other.label} on its way in" for other in there if meet(way, other))
        there += coming


def _ways(solid: Solid, legs: tuple[Leg, ...]) -> Iterator[Solid]:
    """What a solid passes through, leg by leg from the last back to the first."""
    here = solid
    for leg in reversed(legs):
        yield here.swept(leg.way, leg.length)
        here = _moved(here, leg.way.times(-leg.length))


def _moved(solid: Solid, by: P3) -> Solid:
    from shapely.affinity import translate

    planes = {"x": (by.y, by.z, by.x), "y": (by.x, by.z, by.y), "z": (by.x, by.y, by.z)}
    first, second, along = planes[solid.axis]
    outline = translate(solid.outline, first, second)
    return Solid(solid.label, solid.axis, outline, solid.low + along, solid.high + along)


def blocked_screws(pieces: Pieces, order: Sequence[AssemblyStep] | None = None) -> Iterator[str]:
    """In words, every row whose screws, driver or hand meet something that stands when they are driven.

    `order` replaces the steps of the assembly.
    """
    there: list[Solid] = []
    rows = {row.id: row for row in pieces.rows}
    for step in order or steps(pieces):
        there += [pieces.parts[label] for label in step.parts if label in pieces.parts]
        around = [*there, table(pieces)] if step.on_table else there
        for row in (rows[name] for name in step.rows):
            for head in row.heads:
                for solid in (*way_in(row, head), *_in_the_way_of(row, head, there)):
                    yield from (f"{solid.label} meets {other.label}" for other in around if meet(solid, other))


def _in_the_way_of(row: Fixing, head: P3, there: Iterable[Solid]) -> Iterator[Solid]:
    """The shank through the part under its head, whose hole must be there; a hole in an edge is not on the file."""
    for other in there:
        if other.label == row.under and other.axis == shank(row, head).axis:
            start = head.plus(row.into.times(row.sunk))
            thin = shank(row, head)
            low, high = sorted(
                getattr(point, thin.axis) for point in (start, head.plus(row.into.times(row.through - 1e-3)))
            )
            yield Solid(f"shank of a screw {row.purpose}", thin.axis, thin.outline, low, high)


def held_check(pieces: Pieces) -> Check:
    """Every screw ends inside the part that takes it, with material left round it and before its point."""
    least, where = _ENOUGH, "none"
    for row in pieces.rows:
        for head in row.heads:
            found = [left_round(bite(row, head), pieces.parts[label]) for label in pieces.takers(row)]
            if not found:
                continue
            if max(found) < least:
                least, where = max(found), row.purpose
    words = f"the screws {where} have {mm(least)} of their part left round them" if where != "none" else "all are held"
    return at_least("jig: screws end inside", least, *LEFT_ROUND, words)


def apart_check(pieces: Pieces) -> Check:
    """The least room between any two screws."""
    bars = [(row, shank(row, head)) for row in pieces.rows for head in row.heads]
    least, words = _ENOUGH, "no screw comes near another"
    for number, (row, bar) in enumerate(bars):
        for other_row, other in bars[number + 1 :]:
            room = room_between(bar, other, _ENOUGH)
            if room < least:
                least, words = room, f"a screw {row.purpose} passes one {other_row.purpose} by {mm(room)}"
    return at_least("jig: screws clear of each other", least, *SCREWS_APART, words)


def table(pieces: Pieces) -> Solid:
    """The flat table that the plate lies on, top down."""
    top = pieces.parts[TEMPLATE_PLATE.name].high
    return block("the table", P3(-1e3, -1e3, top), P3(1e3, 1e3, top + 50.0))
