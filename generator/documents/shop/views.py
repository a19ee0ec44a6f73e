"""Views of one part that are drawn from its flats: what is seen of its upper edge, and a picture from a corner."""

from __future__ import annotations

from dataclasses import replace

from generator.base.contours2d import Circle
from generator.base.points2d import P2, Box, Transform
from generator.documents.scene.part import part_facets
from generator.drawing.picture import Shown, picture_items, seen
from generator.drawing.projection import PartView
from generator.drawing.sheet import Item, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import centre_cross
from generator.jig.part import EdgeHole, Part

#: Arcs of the flats stray from the part's by no more than this, mm.
_ERROR = 0.02
#: Centre lines reach past a hole by this, mm on the paper.
_PAST = 1.5
#: A hole goes into the upper edge when it runs down within this of straight.
_STRAIGHT = 1e-9
#: A small part is not blown up further than this in its picture.
_MOST = 2.0


def upper_edge(part: Part, scale: float) -> list[Item]:
    """The part seen from above, x to the right, its front face at the foot; holes into that edge as circles."""
    bare = replace(part, edge_holes=(), holes=())
    picture = seen([Shown(part.name, part_facets(bare, max_error=_ERROR))], PartView.TOP.value)
    items: list[Item] = [
        replace(item, role=Role.VISIBLE, pen=PENS[Role.VISIBLE])
        for item in picture_items(picture, Transform.scale(scale), filled=False)
        if isinstance(item, Stroke)
    ]
    for hole in part.edge_holes:
        if hole.into.y < _STRAIGHT - 1.0:
            items += _bore(hole, scale)
    return items


def _bore(hole: EdgeHole, scale: float) -> list[Item]:
    at, radius = P2(hole.at.x * scale, -hole.z * scale), hole.diameter / 2.0 * scale
    return [Stroke(Circle(at, radius), Role.EDGE, PENS[Role.EDGE]), *centre_cross(at, radius + _PAST)]


def corner_picture(part: Part, room: Box) -> list[Item]:
    """The part from a corner, as large as `room` allows and its size is worth; it measures nothing."""
    picture = seen([Shown(part.name, part_facets(part))], PartView.ISOMETRIC.value)
    box = picture.box
    scale = min(room.width / box.width, room.height / box.height, _MOST)
    middle, center = room.center, box.center
    move = Transform.scale(scale).then(Transform.move(middle.x - center.x * scale, middle.y - center.y * scale))
    return picture_items(picture, move, filled=False)
