"""The second view of a flat part: a section where holes are countersunk or blind, else the view from above."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable

from generator.drawing.projection import PartView, project_part, section_part
from generator.drawing.sheet import Item, Label, Stroke
from generator.drawing.style import PENS, Role
from generator.drawing.symbols import arrowhead, line
from generator.geometry2d import P2, Box, Contour, Transform
from generator.geometry3d import P3, X_AXIS, Z_AXIS, Placement
from generator.parts.base import Anchor, Part

#: Between hatch lines on the paper, mm.
_HATCH = 2.5
_FLAT = 0.01
#: How far the cutting plane's ends reach out: they stay well inside the first dimension line, 8 mm off.
_STUB = 4.5
#: Length of the arrow that shows the way a section is looked at, mm on the paper.
_SIGHT = 7.0
SECTION_LETTER = "A"


def section_height(part: Part) -> float | None:
    """y of the row with most countersinks, counterbores, blind holes and pockets; None where there are none."""
    rows = [round(hole.at.y, 6) for hole in part.holes if hole.countersink_diameter or hole.counterbore_diameter]
    rows += [round(hole.at.y, 6) for hole in part.holes if hole.depth is not None]
    rows += [round(pocket.contour.box().center.y, 6) for pocket in part.pockets]
    if not rows:
        return None
    counted = Counter(rows)
    return max(counted, key=lambda y: (counted[y], -abs(y), y))


def section_items(part: Part, height: float, scale: float) -> list[Item]:
    """The cut at y = `height` seen from above, x to the right, the front face at the foot; hatched."""
    plane = Placement(P3(0.0, height, 0.0), X_AXIS, Z_AXIS.times(-1.0))
    to_sheet = Transform.scale(scale)
    items: list[Item] = []
    for region in section_part(part, plane):
        contours = [contour.transformed(to_sheet) for contour in region.contours]
        items += [Stroke(contour, Role.VISIBLE, PENS[Role.VISIBLE]) for contour in contours]
        items += hatch(contours)
    return items


def top_items(part: Part, scale: float) -> list[Item]:
    """The view from above with its hidden edges; x to the right, the front face at the foot."""
    seen = project_part(part, PartView.TOP.value)
    to_sheet = Transform.scale(scale)
    items: list[Item] = [Stroke(path.transformed(to_sheet), Role.VISIBLE, PENS[Role.VISIBLE]) for path in seen.visible]
    items += [Stroke(path.transformed(to_sheet), Role.EDGE, PENS[Role.EDGE]) for path in seen.smooth]
    items += [Stroke(path.transformed(to_sheet), Role.HIDDEN, PENS[Role.HIDDEN]) for path in seen.hidden]
    return items


def cutting_line(y: float, box: Box) -> list[Item]:
    """The cutting plane at height `y` of the front view: its ends beside `box`, arrows along the sight, its letter."""
    items: list[Item] = []
    for edge, out in ((box.x0, -1.0), (box.x1, 1.0)):
        near, far = P2(edge + out, y), P2(edge + _STUB * out, y)
        foot = far.minus(P2(0.0, _SIGHT))
        items += [
            line(near, far, Role.SECTION),
            line(far, foot, Role.DIMENSION),
            arrowhead(foot, P2(0.0, -1.0), 3.0),
            Label(SECTION_LETTER, far.plus(P2(0.0, 1.5)), 3.5, Role.NOTE, anchor=Anchor.MIDDLE),
        ]
    return items


def hatch(contours: Iterable[Contour]) -> list[Item]:
    """Lines at 45° through the even-odd inside of `contours`, on the paper."""
    turn, back = Transform.rotate(-45.0), Transform.rotate(45.0)
    rings = [contour.transformed(turn).flatten(_FLAT) for contour in contours]
    low = min(p.y for ring in rings for p in ring)
    high = max(p.y for ring in rings for p in ring)
    items: list[Item] = []
    for number in range(math.ceil(low / _HATCH), math.floor(high / _HATCH) + 1):
        # A hair off the grid, so that no hatch line runs exactly through a corner.
        y = number * _HATCH + 1e-4
        cuts = sorted(x for ring in rings for x in _crossings(ring, y))
        for a, b in zip(cuts[::2], cuts[1::2], strict=False):
            if b - a > 0.2:
                items.append(line(back.apply(P2(a, y)), back.apply(P2(b, y)), Role.HATCH))
    return items


def _crossings(ring: list[P2], y: float) -> Iterable[float]:
    before = ring[-1]
    for here in ring:
        if (here.y > y) != (before.y > y):
            yield here.x + (y - here.y) / (before.y - here.y) * (before.x - here.x)
        before = here
