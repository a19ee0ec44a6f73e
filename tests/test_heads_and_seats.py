"""Every screw's head and the seat it lies in belong together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from made_once import READY, solved
from made_once import jig as jig_of

from generator.jig.fixings import fixings
from generator.jig.layout import jig_layout
from generator.jig.loose_screws import loose_screws
from generator.jig.part import Jig, Part
from generator.jig.screws import Fastener
from generator.job.fasteners import Washer, washer


def holes_of(part: Part, named: str) -> list[tuple[float, float | None, float | None, float | None, float | None]]:
    """Bore, counterbore and its depth, countersink and its angle of the holes called `named`, in face or edge.

    Two holes from opposite edges that meet are one stepped bore, and its wider half a counterbore.
    """
    found = [
        (h.diameter, h.counterbore_diameter, h.counterbore_depth, h.countersink_diameter, h.countersink_angle)
        for h in part.holes
        if h.id == named
    ]
    for hole in part.edge_holes:
        floor = hole.at.plus(hole.into.times(hole.depth))
        for other in part.edge_holes:
            end = other.at.plus(other.into.times(other.depth))
            if other.diameter < hole.diameter and floor.distance(end) < 1e-6 and other.id == named:
                found.append((other.diameter, hole.diameter, hole.depth, None, None))
    return found


def seat_faults(screw: Fastener, disc: Washer | None, part: Part, named: str, *, flush: bool) -> Iterator[str]:
    """What is wrong between a head, its washer and the holes they lie over; `flush` where nothing may stand out."""
    holes = holes_of(part, named)
    if not holes:
        yield f"{part.name} has no hole {named}"
    wide = screw.head_diameter if disc is None else disc.diameter
    high = screw.head_height + (0.0 if disc is None else disc.thickness)
    for bore, counterbore, depth, cone, angle in holes:
        if not bore > screw.diameter:
            yield f"{named}: the thread does not pass"
        if screw.conical:
            if cone is None or angle != 90.0 or cone < screw.head_diameter or counterbore is not None or disc:
                yield f"{named}: a countersunk head on a flat seat"
            continue
        if cone is not None:
            yield f"{named}: a flat head in a cone"
        if wide < bore + 1.2:
            yield f"{named}: the head bears on nothing"
        if counterbore is not None and counterbore < wide + 0.3:
            yield f"{named}: the head does not go in its counterbore"
        if flush and (depth is None or depth < high):
            yield f"{named}: the head stands out"


def all_faults(name: str, jig: Jig) -> list[str]:
    """Of every screw of a jig, standing or loose; and lines of the hardware list that no screw was found for."""
    layout, seen, faults = jig_layout(solved(name)), set(), []
    for row in fixings(layout):
        part = jig.part("bracket_left" if row.under == "bracket" else row.under)
        seen |= {(row.fastener.title, row.fastener.thread, row.length)}
        # A head must be under its face wherever something passes over it: the router, the body, the rest's own face.
        faults += seat_faults(row.fastener, None, part, _named(row.id), flush=True)
    for one in loose_screws(layout):
        seen |= {(one.fastener.title, one.fastener.thread, one.length)}
        flush = one.under == "template_plate"
        faults += seat_faults(one.fastener, one.washer, jig.part(one.under), one.hole, flush=flush)
    listed = {(item.title, item.thread, item.length) for item in jig.hardware if item.title != "Dowel pin"}
    return faults + [f"{item} has no seat" for item in sorted(listed ^ seen)]


def _named(row: str) -> str:
    return {"body-rest-board": "body-rest-screw"}.get(row, row)


@pytest.mark.parametrize("name", READY)
def test_every_head_has_the_seat_it_wants(name: str) -> None:
    """A countersunk head lies in a cone of 90°, all others on a flat seat wider than they are, deep enough for them."""
    assert all_faults(name, jig_of(name)) == []


def test_a_head_on_a_wrong_seat_is_told() -> None:
    """The rule above sees a cone under a pan head, a flat seat under a countersunk one, and one too small."""
    jig, layout = jig_of("orchestra-14"), jig_layout(solved("orchestra-14"))
    plate, rest = jig.part("template_plate"), jig.part("body_rest")
    own, pan = layout.screws.own, layout.screws.in_rest
    assert (
        list(seat_faults(own, None, rest, "body-rest-screw", flush=True))
        == ["body-rest-screw: a countersunk head on a flat seat"] * 2
    )
    assert "plate-board: a flat head in a cone" in list(seat_faults(pan, None, plate, "plate-board", flush=False))
    assert (
        list(seat_faults(pan, washer("M4"), rest, "body-rest-screw", flush=True))
        == ["body-rest-screw: the head does not go in its counterbore"] * 2
    )
    high = replace(pan, head_height=9.0)
    assert (
        list(seat_faults(high, None, rest, "body-rest-screw", flush=True))
        == ["body-rest-screw: the head stands out"] * 2
    )
    assert list(seat_faults(replace(pan, head_diameter=5.0), None, plate, "tip-screw", flush=False)) == [
        "tip-screw: the head bears on nothing"
    ]
    assert list(seat_faults(pan, None, rest, "tip-screw", flush=False)) == ["body_rest has no hole tip-screw"]


def test_a_wide_hole_takes_a_large_washer() -> None:
    """The heel stop's screw of 4 mm passes a hole for M6 or M8 (ISO 273: 6.6 and 9 mm): 9 mm of washer fall through."""
    layout = jig_layout(solved("folk-butt"))
    (screw,) = [one for one in loose_screws(layout) if one.under == "heel_stop"]
    assert screw.use == "heel stop to neck's end + washer"
    joint = layout.solution.joint
    wide = replace(joint, bolts=tuple(replace(bolt, clearance_hole=9.0) for bolt in joint.bolts))
    other = replace(layout, solution=replace(layout.solution, joint=wide))
    (screw,) = [one for one in loose_screws(other) if one.under == "heel_stop"]
    assert screw.use == "heel stop to neck's end + large washer"


@pytest.mark.parametrize("name", ["orchestra-14", "orchestra-left"])
def test_flat_heads_stand_in_their_bore(name: str) -> None:
    """The body rest's heads, as the assembly has them, end under the hollow, and their seats bear all of the pull.

    By hand: a bore 8 mm deep less a head of 3.1 mm (⌀4 pan-head) or 4 mm (M4 cap screw, ISO 4762, from memory).
    """
    jig = jig_of(name)
    rest = next(item for item in jig.placed if item.part.name == "body_rest")
    bores = [hole for hole in rest.part.edge_holes if hole.id == "body-rest-head"]
    pieces = [piece for item in jig.hardware for piece in item.pieces if not piece.conical and piece.head_height]
    assert len(pieces) == len(bores) == 2
    left = {"orchestra-14": 4.9, "orchestra-left": 4.0}[name]
    for piece in pieces:
        seat = rest.placement.to_part(piece.start)
        top = rest.placement.to_part(piece.start.plus(piece.direction.times(min(z for _, z in piece.profile))))
        bore = min(bores, key=lambda hole: abs(hole.at.x - seat.x))
        assert bore.at.y - seat.y == pytest.approx(8.0, abs=1e-9)
        assert bore.at.y - top.y == pytest.approx(left, abs=1e-9)
        assert seat.z == pytest.approx(bore.z, abs=1e-9)
