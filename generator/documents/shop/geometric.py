"""Geometrical tolerances as ISO 1101 draws them, and datums as ISO 5459: frames on leaders, letters on triangles."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from generator.base.annotation import Anchor
from generator.base.errors import LayoutError
from generator.base.geometry2d import P2, Box
from generator.base.shapes2d import polygon, rectangle
from generator.drawing.callout import Notation, length_text
from generator.drawing.compose import Block
from generator.drawing.font import text_width
from generator.drawing.scene import Scene
from generator.drawing.sheet import Fill, Item, Label, Level, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import arrowhead, line

_TEXT = 2.5
#: ISO 1101: a frame is twice as high as its letters, mm on the paper.
_HIGH = 2.0 * _TEXT
_PAD = 1.2
_ARROW = 2.5
#: Frames and letters keep this clear of other ink, mm.
_CLEAR = 1.0
#: How far from its feature a frame is tried, and in what steps, mm on the paper.
_NEAR, _FAR, _STEP = 8.0, 60.0, 3.0


class Characteristic(Enum):
    """The characteristics that the jig's function asks for."""

    FLATNESS = "flatness"
    PERPENDICULARITY = "perpendicularity"
    PARALLELISM = "parallelism"


@dataclass(frozen=True)
class Control:
    """A tolerance of form or orientation: `tolerance` mm (over `per` mm where given) against `datums`.

    `at` is a point of the feature in the view's model coordinates, `out` the unit direction away from the material.
    """

    characteristic: Characteristic
    tolerance: float
    at: P2
    out: P2
    datums: tuple[str, ...] = ()
    per: float | None = None


@dataclass(frozen=True)
class Datum:
    """A datum feature: its letter, a point on it in the view's model coordinates, the direction off the material.

    Within `slide` mm of that point any other on the feature will do.
    """

    letter: str
    at: P2
    out: P2
    slide: float = 0.0


def with_geometry(
    block: Block, controls: Sequence[Control], datums: Sequence[Datum], scale: float, notation: Notation
) -> Block:
    """`block` with datums and frames, each at the nearest clear place off its feature. LayoutError where none is."""
    items: list[Item] = list(block.items)
    scene = Scene([*items, *(item for mark in block.marks for item in mark.items)])
    tries = [(f"datum {one.letter}", list(_datum_ways(one, scale))) for one in datums]
    tries += [(one.characteristic.value, list(_frame_ways(one, scale, notation))) for one in controls]
    for name, ways in tries:
        placed = next((way for way in ways if _is_clear(way, scene)), None)
        if placed is None:
            raise LayoutError(f"no clear place for {name}")
        scene.add(placed.ink)
        items += placed.ink
    return Block(tuple(items), block.marks, block.scale)


@dataclass(frozen=True)
class _Way:
    """Ink, the box that must be clear, and the leader that may cross no text."""

    ink: tuple[Item, ...]
    box: Box
    leader: tuple[P2, P2]


def _is_clear(way: _Way, scene: Scene) -> bool:
    box = way.box.grown(_CLEAR)
    corners = P2(box.x0, box.y0), P2(box.x1, box.y0), P2(box.x1, box.y1), P2(box.x0, box.y1)
    return scene.text_fits(corners) and not any(True for _ in scene.texts_under(*way.leader))


def _places(at: P2, out: P2) -> Iterator[P2]:
    """Points off a feature, nearest first: straight out, then aside as well."""
    side = out.left()
    far = _NEAR
    while far <= _FAR:
        for aside in (0.0, 12.0, -12.0, 24.0, -24.0):
            yield at.plus(out.times(far)).plus(side.times(aside))
        far += _STEP


def _datum_ways(datum: Datum, scale: float) -> Iterator[_Way]:
    """Filled triangle on the feature, a stub straight off it, the letter in its box."""
    out, half, steps = datum.out, _HIGH / 2.0, int(datum.slide * scale / _STEP)
    foot = out.left().times(1.6)
    for far in (_NEAR + _STEP * n for n in range(int((_FAR - _NEAR) / _STEP))):
        for aside in sorted((_STEP * n for n in range(-steps, steps + 1)), key=abs):
            at = datum.at.times(scale).plus(out.left().times(aside))
            center = at.plus(out.times(far + half))
            box = Box(center.x - half, center.y - half, center.x + half, center.y + half)
            end = center.minus(out.times(half))
            triangle = Fill(polygon([at.plus(foot), at.minus(foot), at.plus(out.times(2.8))]), Role.DIMENSION)
            ink = (triangle, line(at, end, Role.DIMENSION), *_cell(box, datum.letter))
            yield _Way(ink, box, (at.plus(out.times(3.0)), end))


def _frame_ways(control: Control, scale: float, notation: Notation) -> Iterator[_Way]:
    """Frame of characteristic, tolerance and datums; its leader ends in an arrow on the feature."""
    at, out = control.at.times(scale), control.out
    figure = length_text(control.tolerance, notation)
    figure += f"/{length_text(control.per, notation)}" if control.per else ""
    widths = [_HIGH + 1.0, *(text_width(text, _TEXT) + 2.0 * _PAD for text in (figure, *control.datums))]
    widths[2:] = [max(width, _HIGH) for width in widths[2:]]
    for place in _places(at, out):
        # Beside a feature the frame's near end, over or under it its middle, keeps the distance.
        x0 = place.x + (out.x - 1.0) * sum(widths) / 2.0
        y0 = place.y - _HIGH / 2.0
        box = Box(x0, y0, x0 + sum(widths), y0 + _HIGH)
        end = P2(min(max(at.x, box.x0), box.x1), box.y0 if at.y < box.y0 else box.y1)
        if not abs(out.y) > 0.5:
            end = P2(box.x0 if at.x < box.x0 else box.x1, box.center.y)
        way = at.minus(end).unit()
        ink: list[Item] = [line(end, at.minus(way.times(_ARROW)), Role.DIMENSION), arrowhead(at, way, _ARROW)]
        x = box.x0
        for n, (width, text) in enumerate(zip(widths, ("", figure, *control.datums), strict=True)):
            cell = Box(x, box.y0, x + width, box.y1)
            ink += _cell(cell, text) if n else [*_cell(cell, ""), *_sign(control.characteristic, cell.center)]
            x += width
        yield _Way(tuple(ink), box, (end, at.minus(way.times(_ARROW))))


def _cell(box: Box, text: str) -> list[Item]:
    items: list[Item] = [Stroke(rectangle(*box), Role.DIMENSION, PENS[Role.DIMENSION])]
    if text:
        items.append(Label(text, box.center, _TEXT, Role.NOTE, anchor=Anchor.MIDDLE, level=Level.MIDDLE))
    return items


def _sign(characteristic: Characteristic, c: P2) -> list[Item]:
    """The characteristic's sign, drawn about the middle of its cell."""
    if characteristic is Characteristic.FLATNESS:
        corners = [P2(-2.0, -1.1), P2(1.0, -1.1), P2(2.0, 1.1), P2(-1.0, 1.1)]
        return [Stroke(polygon([c.plus(p) for p in corners]), Role.DIMENSION, PENS[Role.DIMENSION])]
    if characteristic is Characteristic.PERPENDICULARITY:
        runs = [(P2(-1.8, -1.5), P2(1.8, -1.5)), (P2(0.0, -1.5), P2(0.0, 1.6))]
    else:
        runs = [(P2(-1.6, -1.5), P2(0.2, 1.5)), (P2(-0.2, -1.5), P2(1.6, 1.5))]
    return [line(c.plus(a), c.plus(b), Role.DIMENSION) for a, b in runs]
