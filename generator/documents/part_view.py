"""A flat part on a sheet: outline, openings, holes with centre lines, the back face's features, lettering.

The view looks at the front face unless the transform mirrors, then at the back face: what starts on the face looked at
is drawn as an edge, what starts on the other one as hidden.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from generator.base.contours2d import Area, Circle, Contour, Path, Vertex
from generator.base.points2d import P2, Box, Transform, polar
from generator.drawing import font, strokefont
from generator.drawing.callout import Notation, dimension_text
from generator.drawing.compose import Block, Identity, Pointer, view_block
from generator.drawing.dimension import Request, Show, View
from generator.drawing.gaps import TEXT_MARGIN, broken
from generator.drawing.scene import FLAT_ERROR
from generator.drawing.sheet import Item, Label, Level, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import centre_cross, line
from generator.jig.part import EdgeHole, Face, Hole, Part
from generator.job.fasteners import thread

#: How far the centre lines of a hole reach past its largest circle, mm on the paper.
CENTRE_OVERRUN = 2.0


def part_view(part: Part, to_sheet: Transform, edge: Role = Role.CUT, lettering: bool = True) -> list[Item]:
    """The ink of `part` mapped by `to_sheet` (a turn, move, mirror or even scale).

    `edge` is the role of what is cut through: CUT on a paper template, VISIBLE on a shop drawing. With `lettering`
    engraved texts are drawn in the sheet's font; a mirrored view, which looks at the back, shows no lettering.
    """
    seen = Face.BACK if to_sheet.mirrors else Face.FRONT
    items: list[Item] = [_stroke(part.outline, to_sheet, edge)]
    items += [_stroke(opening.contour, to_sheet, edge) for opening in part.openings]
    for hole in part.holes:
        items += _hole(hole, to_sheet, edge, seen)
    for edge_hole in part.edge_holes:
        items += _edge_hole(edge_hole, to_sheet)
    if seen is Face.FRONT:
        items += [_stroke(path, to_sheet, Role.ENGRAVE) for path in part.engraved_lines]
        if lettering:
            words = _lettering(part, to_sheet)
            items = [*_clear_of(words, items), *words]
    return items


def _clear_of(words: list[Label], items: list[Item]) -> Iterator[Item]:
    """The items, centre lines broken where the part's own lettering lies in their way."""
    quads = [label.corners(TEXT_MARGIN) for label in words]
    for item in items:
        if isinstance(item, Stroke) and item.role is Role.CENTRE and isinstance(item.path, Path):
            yield from (line(a, b, Role.CENTRE) for a, b in broken(item.path.start, item.path.end, quads))
        else:
            yield item


def part_block(
    part: Part,
    notation: Notation,
    caption: str = "",
    pointers: Sequence[Pointer] = (),
    extra: Sequence[Request] = (),
    identity: str = "",
    frame: Box | None = None,
) -> Block:
    """A part at full scale in its own coordinates with all its dimensions; `identity` is written inside its outline."""
    here = Transform()
    drawn = part_view(part, here)
    requests: list[Request] = [Show(dimension, dimension_text(dimension, notation)) for dimension in part.dimensions]
    name = Identity(identity, _material(part)) if identity else None
    return view_block(drawn, View(here, part.box), [*requests, *extra], caption, pointers, identity=name, frame=frame)


def _stroke(contour: Contour, to_sheet: Transform, role: Role) -> Stroke:
    return Stroke(contour.transformed(to_sheet), role, PENS[role])


def _hole(hole: Hole, to_sheet: Transform, edge: Role, seen: Face) -> list[Item]:
    """Bore, thread, counterbore and countersink as circles, and the centre cross."""
    near = Role.EDGE if hole.face is seen else Role.HIDDEN
    items: list[Item] = [_stroke(hole.circle, to_sheet, edge if hole.depth is None else near)]
    largest = hole.diameter
    for diameter in (hole.counterbore_diameter, hole.countersink_diameter):
        if diameter is not None:
            items.append(_stroke(Circle(hole.at, diameter / 2.0), to_sheet, near))
            largest = max(largest, diameter)
    if hole.thread is not None:
        crest = thread(hole.thread).diameter
        items.append(_stroke(_three_quarters(hole.at, crest / 2.0), to_sheet, near))
        largest = max(largest, crest)
    centre = to_sheet.apply(hole.at)
    reach = to_sheet.apply(hole.at.plus(P2(largest / 2.0, 0.0))).distance(centre) + CENTRE_OVERRUN
    return [*items, *centre_cross(centre, reach)]


def _three_quarters(centre: P2, radius: float) -> Path:
    """The open three-quarter circle by which drawings show a thread seen end-on (ISO 6410-1)."""
    start, end = centre.plus(polar(-10.0, radius)), centre.plus(polar(260.0, radius))
    return Path((Vertex(*start, math.tan(math.radians(270.0 / 4.0))), Vertex(*end)), closed=False)


def _edge_hole(hole: EdgeHole, to_sheet: Transform) -> list[Item]:
    """A hole in the sheet's edge: two hidden walls, its flat bottom, its axis."""
    side = hole.into.left().times(hole.diameter / 2.0)
    end = hole.at.plus(hole.into.times(hole.depth))
    corners = [hole.at.plus(side), end.plus(side), end.minus(side), hole.at.minus(side)]
    run = Path(tuple(Vertex(*corner) for corner in corners), closed=False)
    axis_start, axis_end = hole.at.minus(hole.into.times(2.0)), end.plus(hole.into.times(2.0))
    return [
        _stroke(run, to_sheet, Role.HIDDEN),
        line(to_sheet.apply(axis_start), to_sheet.apply(axis_end), Role.CENTRE),
    ]


def _lettering(part: Part, to_sheet: Transform) -> list[Label]:
    """Engraved texts in the sheet's font, no wider than the single-stroke letters they stand for."""
    scale = math.hypot(to_sheet.a, to_sheet.b)
    words: list[Label] = []
    for text in part.engraved_texts:
        widest = strokefont.text_width(text.text, text.height)
        height = text.height * min(1.0, widest / font.text_width(text.text, text.height))
        label = Label(text.text, text.at, height * scale, Role.ENGRAVE, text.angle, text.anchor, Level.MIDDLE)
        words.append(label.transformed(to_sheet))
    return words


def _material(part: Part) -> Callable[[P2], bool]:
    """Tells whether a point (of a rectangle that no line crosses) lies inside the outline and in no opening."""
    outline, *openings = (Area.of(contour, FLAT_ERROR) for contour in (part.outline, *part.through_contours()))
    return lambda point: outline.holds(point) and not any(opening.holds(point) for opening in openings)
