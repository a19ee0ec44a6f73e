"""Pictures of the assembled jig, with a balloon for each piece in the picture that shows it best."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from generator.base.geometry3d import Placement
from generator.base.points2d import P2, Box, Transform
from generator.documents.scene.part import bought_facets, part_facets
from generator.documents.shop.balloons import balloon_items
from generator.drawing.picture import Picture, Shown, picture_items, seen
from generator.drawing.sheet import SheetBuilder
from generator.jig.part import Jig

#: Room beside a picture for its balloons, mm on the paper.
_BALLOON_ROOM = 24.0
#: Room under a picture for its caption, mm on the paper.
_CAPTION_ROOM = 8.0
#: Capital height of a caption, mm on the paper.
_CAPTION = 3.5
#: A patch of a piece smaller than this (mm of the jig to every side) cannot be pointed at.
_LEAST_PATCH = 0.7
#: Tells copies of one piece apart.
_COPY = "#"


@dataclass(frozen=True)
class Shot:
    """One picture on the sheet: where it is seen from, the room it has, mm, and the words under it."""

    view: Placement
    room: Box
    caption: str


@dataclass(frozen=True)
class _Target:
    """Where the piece of one number shows best: in which picture, at which point of it, with how much room."""

    shot: int
    at: P2
    room: float


def standing(jig: Jig) -> tuple[Shown, ...]:
    """The standing jig's pieces in the plate frame, called as the lists call them, copies told apart."""
    return tuple(_pieces(jig))


def _pieces(jig: Jig) -> Iterator[Shown]:
    for number, place in enumerate(jig.placed):
        yield Shown(f"{place.part.name}{_COPY}{number}", part_facets(place.part, place.placement))
    for item in jig.hardware:
        for number, bought in enumerate(item.pieces):
            yield Shown(f"{item.id}{_COPY}{number}", bought_facets(bought))


def pictorials(
    builder: SheetBuilder, pieces: Sequence[Shown], shots: Sequence[Shot], numbers: Mapping[str, str]
) -> frozenset[str]:
    """Draw the pictures, each in its room, with a balloon for each number; returns the numbers that are shown."""
    pictures = [seen(pieces, shot.view) for shot in shots]
    targets = _targets(pictures, numbers)
    for n, (shot, picture) in enumerate(zip(shots, pictures, strict=True)):
        here = {number: target.at for number, target in targets.items() if target.shot == n}
        _draw(builder, picture, shot, here)
    return frozenset(targets)


def _targets(pictures: Sequence[Picture], numbers: Mapping[str, str]) -> dict[str, _Target]:
    """For each number the largest patch that any piece of it shows in any of the pictures."""
    found: dict[str, _Target] = {}
    for n, picture in enumerate(pictures):
        for name, spot in picture.spots.items():
            number = numbers.get(name.partition(_COPY)[0])
            if number is None or spot.room < _LEAST_PATCH:
                continue
            if number not in found or spot.room > found[number].room:
                found[number] = _Target(n, spot.at, spot.room)
    return found


def _draw(builder: SheetBuilder, picture: Picture, shot: Shot, targets: Mapping[str, P2]) -> None:
    room, box = shot.room, picture.box
    inner = Box(room.x0 + _BALLOON_ROOM, room.y0 + _CAPTION_ROOM, room.x1 - _BALLOON_ROOM, room.y1 - 4.0)
    # A picture measures nothing, so it may take the room there is.
    scale = min(inner.width / box.width, inner.height / box.height)
    middle, center = inner.center, box.center
    move = Transform.scale(scale).then(Transform.move(middle.x - center.x * scale, middle.y - center.y * scale))
    builder.add(picture_items(picture, move, filled=False))
    low, high = move.apply(P2(box.x0, box.y0)), move.apply(P2(box.x1, box.y1))
    builder.label(shot.caption, P2(low.x, low.y - _CAPTION_ROOM + 1.0), _CAPTION)
    if targets:
        builder.add(balloon_items({n: move.apply(at) for n, at in targets.items()}, Box(low.x, low.y, high.x, high.y)))
