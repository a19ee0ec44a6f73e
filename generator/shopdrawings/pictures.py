"""Pictures of the assembled jig from corners, with a balloon for each piece in the picture that shows it best."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from generator.drawing.projection import JigView, Projection, project_assembly
from generator.drawing.sheet import Item, SheetBuilder, Stroke
from generator.drawing.style import PENS, Role
from generator.geometry2d import P2, Box, Transform
from generator.shopdrawings.balloons import balloon_items

if TYPE_CHECKING:
    from generator.solid import Assembly, Piece

#: Room round a picture for its balloons, and under it for its caption, mm on the paper.
_BALLOON_ROOM = 24.0
_CAPTION_ROOM = 8.0
_CAPTION = 3.5
#: A patch of a piece smaller than this (mm of the jig to every side) cannot be pointed at.
_LEAST_PATCH = 0.7


@dataclass(frozen=True)
class Shot:
    """One picture on the sheet: the room it has, mm, and the words under it."""

    room: Box
    caption: str


@dataclass(frozen=True)
class _Target:
    """Where the piece of one number shows best: in which picture, at which point of it, with how much room."""

    seen_from: JigView
    at: P2
    room: float


def pictorials(
    builder: SheetBuilder, model: Assembly, shots: Mapping[JigView, Shot], numbers: Mapping[str, str]
) -> frozenset[str]:
    """Draw the pictures, each in its room, with balloons by product name; returns the numbers that are shown."""
    targets = _targets(model, tuple(shots), numbers)
    for seen_from, shot in shots.items():
        here = {number: target.at for number, target in targets.items() if target.seen_from is seen_from}
        _picture(builder, project_assembly(model, seen_from.value), shot, here)
    return frozenset(targets)


def inked(view: Projection, move: Transform) -> list[Item]:
    """A view's visible lines; where faces run on tangentially, thin ones."""
    return [
        Stroke(path.transformed(move), role, PENS[role])
        for paths, role in ((view.visible, Role.EDGE), (view.smooth, Role.HATCH))
        for path in paths
    ]


def _targets(model: Assembly, views: tuple[JigView, ...], numbers: Mapping[str, str]) -> dict[str, _Target]:
    """For each number the largest patch that any piece of it shows in any of the views."""
    from generator.solid import visible_spots

    found: dict[str, _Target] = {}
    for seen_from in views:
        spots = visible_spots(model.pieces, seen_from.value)
        for piece in model.pieces:
            number, spot = numbers.get(_listed_as(piece)), spots.get(piece.label)
            if number is None or spot is None or spot.room < _LEAST_PATCH:
                continue
            if number not in found or spot.room > found[number].room:
                found[number] = _Target(seen_from, spot.at, spot.room)
    return found


def _listed_as(piece: Piece) -> str:
    """The name or id under which the lists carry a piece; bought pieces are labelled by id and count."""
    return piece.label.partition("_")[0] if piece.bought else piece.product


def _picture(builder: SheetBuilder, view: Projection, shot: Shot, targets: Mapping[str, P2]) -> None:
    room = shot.room
    inner = Box(room.x0 + _BALLOON_ROOM, room.y0 + _CAPTION_ROOM, room.x1 - _BALLOON_ROOM, room.y1 - 4.0)
    # A picture measures nothing, so it may take the room there is.
    scale = min(inner.width / view.box.width, inner.height / view.box.height)
    center = view.box.center
    move = Transform.scale(scale).then(
        Transform.move(inner.center.x - center.x * scale, inner.center.y - center.y * scale)
    )
    builder.add(inked(view, move))
    low, high = move.apply(P2(view.box.x0, view.box.y0)), move.apply(P2(view.box.x1, view.box.y1))
    builder.label(shot.caption, P2(low.x, low.y - _CAPTION_ROOM + 1.0), _CAPTION)
    if targets:
        builder.add(balloon_items({n: move.apply(at) for n, at in targets.items()}, Box(low.x, low.y, high.x, high.y)))
