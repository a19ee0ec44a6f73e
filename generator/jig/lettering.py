"""Puts engraved lettering where there is room for it: on the part, clear of every cut, line and other word."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from generator.base.annotation import Anchor, EngravedText
from generator.base.contours2d import Area
from generator.base.points2d import P2, Box, Transform, bounding_box
from generator.jig.part import EdgeHole, Hole, Part

#: What a wide single-stroke character runs, with the space after it, as a share of the capital height.
_CHARACTER = 0.95
#: What a narrow single-stroke character runs, with the space after it, as a share of the capital height.
_SLIM = 0.5
#: Characters that run as narrow ones.
_SLIM_ONES = frozenset(" .,:;'!I|")
#: Lettering smaller than this cannot be read, mm.
_LEAST_HEIGHT = 2.0
#: Room round lettering, mm.
_ROOM = 0.8
#: Distance from one ring of places round a text's own place to the next, mm.
_STEP = 1.5
#: The search ends before half as many rings of places.
_REACH = 60


def settled_lettering(part: Part) -> Part:
    """`part` with each text at its place, or at the nearest place with room, smaller where it must be.

    Room is clear also of holes into the edge, which drawings show dashed; over them only where no other place is left.
    A text for which there is no room at the least legible height (2 mm) is left out: the part's files name it anyway.
    A pinned one stays as it is.
    """
    if not part.engraved_texts:
        return part
    taken = [_grown(box) for box in _cut_boxes(part)]
    drilled = [_grown(_edge_hole_box(hole)) for hole in part.edge_holes]
    outline = Area.of(part.outline, 0.1)
    placed: list[EngravedText] = []
    for wish in part.engraved_texts:
        found = wish if wish.pinned else _settled(wish, outline, [taken + drilled, taken])
        if found is not None:
            placed.append(found)
            taken.append(_grown(_box(found)))
    return replace(part, engraved_texts=tuple(placed))


def _settled(wish: EngravedText, outline: Area, kept_off: Sequence[list[Box]]) -> EngravedText | None:
    """The first place that keeps off the first of these sets of boxes, else off the next one; None without room."""
    found = (_placed(wish, outline, taken) for taken in kept_off)
    return next((text for text in found if text is not None), None)


def _placed(wish: EngravedText, outline: Area, taken: list[Box]) -> EngravedText | None:
    """The wish itself, else ever farther from its place, else the same in smaller lettering; None without room."""
    height = wish.height
    while height >= _LEAST_HEIGHT:
        size = _box(replace(wish, at=P2(0.0, 0.0), height=height))
        for at in _around(wish.at):
            if _fits(Box(size.x0 + at.x, size.y0 + at.y, size.x1 + at.x, size.y1 + at.y), outline, taken):
                return replace(wish, at=at, height=height)
        height -= 0.5
    return None


def carries_figures(part: Part, job: str) -> bool:
    """True where figures, which are always millimetres, are engraved on a part; the job's own name is none."""
    words = (text.text for text in part.engraved_texts if text.text != job.upper())
    return any(sign.isdigit() for word in words for sign in word)


def _around(start: P2) -> Iterator[P2]:
    """Points of a grid about `start`, nearest first, in a fixed order."""
    yield start
    for ring in range(1, _REACH // 2):
        size = ring * _STEP
        yield from (start.plus(P2(*step)) for step in ((0.0, size), (0.0, -size), (size, 0.0), (-size, 0.0)))
        yield from (start.plus(P2(x, y)) for x in (size, -size) for y in (size, -size))


def _box(text: EngravedText) -> Box:
    """An upright box that surely holds the text."""
    wide = math.fsum(_SLIM if sign in _SLIM_ONES else _CHARACTER for sign in text.text) * text.height
    high = text.height
    left = {Anchor.LEFT: 0.0, Anchor.MIDDLE: -wide / 2.0, Anchor.RIGHT: -wide}[text.anchor]
    corners = [P2(left, -high / 2.0), P2(left + wide, -high / 2.0), P2(left + wide, high / 2.0), P2(left, high / 2.0)]
    turn = Transform.rotate(text.angle).then(Transform.move(*text.at))
    return bounding_box(turn.apply(corner) for corner in corners)


def _cut_boxes(part: Part) -> Iterator[Box]:
    yield from (opening.contour.box() for opening in part.openings)
    yield from (_hole_box(hole) for hole in part.holes)
    yield from (line.box() for line in part.engraved_lines)


def _hole_box(hole: Hole) -> Box:
    radius = hole.rim
    return Box(hole.at.x - radius, hole.at.y - radius, hole.at.x + radius, hole.at.y + radius)


def _edge_hole_box(hole: EdgeHole) -> Box:
    side = hole.into.left().times(hole.diameter / 2.0)
    end = hole.at.plus(hole.into.times(hole.depth))
    return bounding_box((hole.at.plus(side), hole.at.minus(side), end.plus(side), end.minus(side)))


def _grown(box: Box) -> Box:
    return box.grown(_ROOM)


def _fits(box: Box, outline: Area, taken: list[Box]) -> bool:
    if any(box.overlaps(other) for other in taken):
        return False
    roomy = box.grown(_ROOM)
    if any(roomy.contains(corner) for corner, _ in outline.edges):
        return False
    edge = [P2(roomy.x0, roomy.y0), P2(roomy.x1, roomy.y0), P2(roomy.x1, roomy.y1), P2(roomy.x0, roomy.y1)]
    return all(outline.holds(point) for point in _rim(edge))


def _rim(corners: list[P2]) -> Iterator[P2]:
    """Points along a rectangle no farther apart than 2 mm: no thin slot of the outline passes between them."""
    for here, there in zip(corners, [*corners[1:], corners[0]], strict=True):
        count = max(1, math.ceil(here.distance(there) / 2.0))
        yield from (here.plus(there.minus(here).times(i / count)) for i in range(count))
