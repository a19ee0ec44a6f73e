"""Geometrical tolerances as ISO 1101 draws them, and datums as ISO 5459: frames on leaders, letters on triangles."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from generator.base.annotation import Anchor
from generator.base.contours2d import Circle
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box
from generator.base.shapes2d import polygon, rectangle
from generator.drawing.callout import Notation, length_text
from generator.drawing.compose import Block
from generator.drawing.font import text_width
from generator.drawing.scene import Scene
from generator.drawing.sheet import DimensionMark, Fill, Item, Label, Level, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import arrowhead, line

#: Capital height of the letters in a frame, mm on the paper.
_TEXT = 2.5
#: ISO 1101: a frame is twice as high as its letters, mm on the paper.
_HIGH = 2.0 * _TEXT
#: Room on either side of the letters in a frame, mm on the paper.
_PAD = 1.2
#: Length of a leader's arrowhead, mm on the paper.
_ARROW = 2.5
#: Words stand this far over their frame, mm.
_OVER = 1.2
#: Frames and letters keep this clear of other ink, mm.
_CLEAR = 1.0
#: A frame is tried this far from its feature first, mm on the paper.
_NEAR = 8.0
#: A frame is tried this far from its feature at most, mm on the paper.
_FAR = 90.0
#: The steps in which a frame is tried farther from its feature, mm on the paper.
_STEP = 3.0
#: A leader is in line with its dimension line within this, mm on the paper.
_STRAIGHT = 1e-6
#: The steps in which a frame is tried aside of its feature, mm on the paper.
_ASIDE = 4.0
#: A frame is tried at most so many steps aside of its feature.
_MOST_ASIDE = 14


class Characteristic(Enum):
    """The characteristics that the jig's function asks for."""

    FLATNESS = "flatness"
    PERPENDICULARITY = "perpendicularity"
    PARALLELISM = "parallelism"
    POSITION = "position"


@dataclass(frozen=True)
class Control:
    """A tolerance of form, orientation or place: `tolerance` mm (over `per` mm where given) against `datums`.

    `at` is a point of the feature in the view's model coordinates, `out` the unit direction away from the material; or
    `at` is the name of a dimension whose middle plane is meant: the leader then goes on from its dimension line.
    `over` stands over the frame: to how many features it applies, and which.
    """

    characteristic: Characteristic
    tolerance: float
    at: P2 | str
    out: P2
    datums: tuple[str, ...] = ()
    per: float | None = None
    over: str = ""


@dataclass(frozen=True)
class Datum:
    """A datum feature: its letter, a point on it in the view's model coordinates, the direction off the material.

    Within `slide` mm of that point any other on the feature will do. `at` may name a dimension, as a control's.
    """

    letter: str
    at: P2 | str
    out: P2
    slide: float = 0.0


def with_geometry(
    block: Block, controls: Sequence[Control], datums: Sequence[Datum], scale: float, notation: Notation
) -> Block:
    """`block` with datums and frames, each at the nearest clear place off its feature. LayoutError where none is."""
    items: list[Item] = list(block.items)
    marks = {mark.name: mark for mark in block.marks}
    scene = Scene([*items, *(item for mark in block.marks for item in mark.items)])
    tries = [(f"datum {one.letter}", list(_datum_ways(one, _foot(one, marks, scale), scale))) for one in datums]
    for one in controls:
        # A leader from a dimension line may go on from either of its ends.
        ends = (one, replace(one, out=one.out.times(-1.0))) if isinstance(one.at, str) else (one,)
        ways = [way for end in ends for way in _frame_ways(end, _foot(end, marks, scale), notation)]
        tries.append((one.characteristic.value, ways))
    for name, ways in tries:
        placed = next((way for way in ways if _is_clear(way, scene)), None)
        if placed is None:
            raise LayoutError(f"no clear place for {name}")
        scene.add(placed.ink)
        items += placed.ink
    return Block(tuple(items), block.marks, block.scale)


def _foot(one: Control | Datum, marks: Mapping[str, DimensionMark], scale: float) -> P2:
    """Where the leader or triangle stands on the sheet: on the feature, or at the dimension line's end towards `out`.

    LayoutError where no such dimension is drawn.
    """
    if isinstance(one.at, P2):
        return one.at.times(scale)
    mark = marks.get(one.at)
    if mark is None:
        raise LayoutError(f"the dimension {one.at} is not drawn")
    ends = [point.dot(one.out) for point in mark.points[:2]]
    return mark.line_at.plus(one.out.times(max(ends) - mark.line_at.dot(one.out)))


@dataclass(frozen=True)
class _Way:
    """Ink, the box that must be clear, and the leader that may cross no text, not even its own frame's."""

    ink: tuple[Item, ...]
    box: Box
    leader: tuple[P2, P2]


def _is_clear(way: _Way, scene: Scene) -> bool:
    box = way.box.grown(_CLEAR)
    corners = P2(box.x0, box.y0), P2(box.x1, box.y0), P2(box.x1, box.y1), P2(box.x0, box.y1)
    own = Scene(item for item in way.ink if isinstance(item, Label))
    crossed = any(True for scene_ in (scene, own) for _ in scene_.texts_under(*way.leader))
    return scene.text_fits(corners) and not crossed


def _places(at: P2, out: P2) -> Iterator[P2]:
    """Points off a feature, nearest first: straight out, then aside as well."""
    side = out.left()
    fars = [_NEAR + _STEP * n for n in range(int((_FAR - _NEAR) / _STEP) + 1)]
    asides = [_ASIDE * n for n in range(-_MOST_ASIDE, _MOST_ASIDE + 1)]
    for far, aside in sorted(itertools.product(fars, asides), key=lambda one: one[0] + abs(one[1])):
        yield at.plus(out.times(far)).plus(side.times(aside))


def _datum_ways(datum: Datum, foot_at: P2, scale: float) -> Iterator[_Way]:
    """Filled triangle on the feature, a stub straight off it, the letter in its box."""
    out, half, steps = datum.out, _HIGH / 2.0, int(datum.slide * scale / _STEP)
    foot = out.left().times(1.6)
    for far in (_NEAR + _STEP * n for n in range(int((_FAR - _NEAR) / _STEP))):
        for aside in sorted((_STEP * n for n in range(-steps, steps + 1)), key=abs):
            at = foot_at.plus(out.left().times(aside))
            center = at.plus(out.times(far + half))
            box = Box(center.x - half, center.y - half, center.x + half, center.y + half)
            end = center.minus(out.times(half))
            triangle = Fill(polygon([at.plus(foot), at.minus(foot), at.plus(out.times(2.8))]), Role.DIMENSION)
            ink = (triangle, line(at, end, Role.DIMENSION), *_cell(box, datum.letter))
            yield _Way(ink, box, (at.plus(out.times(3.0)), end))


def _frame_ways(control: Control, at: P2, notation: Notation) -> Iterator[_Way]:
    """Frame of characteristic, tolerance and datums; its leader ends in an arrow on the feature."""
    out = control.out
    figure = length_text(control.tolerance, notation)
    figure += f"/{length_text(control.per, notation)}" if control.per else ""
    widths = [_HIGH + 1.0, *(text_width(text, _TEXT) + 2.0 * _PAD for text in (figure, *control.datums))]
    widths[2:] = [max(width, _HIGH) for width in widths[2:]]
    for place in _places(at, out):
        # Beside a feature the frame's near end, over or under it its middle, keeps the distance.
        x0 = place.x + (out.x - 1.0) * math.fsum(widths) / 2.0
        y0 = place.y - _HIGH / 2.0
        frame = Box(x0, y0, x0 + math.fsum(widths), y0 + _HIGH)
        words = [Label(control.over, P2(x0, frame.y1 + _OVER), _TEXT, Role.NOTE)] if control.over else []
        wide, high = (max(frame.x1, x0 + words[0].width), frame.y1 + _OVER + _TEXT) if words else (frame.x1, frame.y1)
        box = Box(x0, y0, wide, high)
        end = P2(min(max(at.x, frame.x0), frame.x1), box.y0 if at.y < box.y0 else box.y1)
        if isinstance(control.at, str) and abs(end.x - at.x) > _STRAIGHT:
            continue  # the leader runs on in line with the dimension line
        if not abs(out.y) > 0.5:
            end = P2(frame.x0 if at.x < frame.x0 else frame.x1, frame.center.y)
        elif words and at.y > box.y1:
            # A leader from above comes in at the frame's end: the words stand between.
            end = P2(frame.x0 if at.x < frame.center.x else frame.x1, frame.center.y)
        way = at.minus(end).unit()
        ink: list[Item] = [line(end, at.minus(way.times(_ARROW)), Role.DIMENSION), arrowhead(at, way, _ARROW), *words]
        x = frame.x0
        for n, (width, text) in enumerate(zip(widths, ("", figure, *control.datums), strict=True)):
            cell = Box(x, frame.y0, x + width, frame.y1)
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
    if characteristic is Characteristic.POSITION:
        arms = ((c.plus(P2(-2.0, 0.0)), c.plus(P2(2.0, 0.0))), (c.plus(P2(0.0, -2.0)), c.plus(P2(0.0, 2.0))))
        ring = Stroke(Circle(c, 1.2), Role.DIMENSION, PENS[Role.DIMENSION])
        return [ring, *(line(a, b, Role.DIMENSION) for a, b in arms)]
    if characteristic is Characteristic.PERPENDICULARITY:
        runs = [(P2(-1.8, -1.5), P2(1.8, -1.5)), (P2(0.0, -1.5), P2(0.0, 1.6))]
    else:
        runs = [(P2(-1.6, -1.5), P2(0.2, 1.5)), (P2(-0.2, -1.5), P2(1.6, 1.5))]
    return [line(c.plus(a), c.plus(b), Role.DIMENSION) for a, b in runs]
