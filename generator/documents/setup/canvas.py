"""A small picture under work: model millimetres scaled into a frame, with the strokes and words pictures need.

Pictures explain and are not to scale with the paper; a sheet in full size belongs to the paper templates.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from generator.base.annotation import Anchor
from generator.base.contours2d import Circle, Contour, Path
from generator.base.points2d import P2, Box, Transform
from generator.base.shapes2d import polygon, polyline
from generator.drawing.sheet import Fill, Label, Level, Sheet, SheetBuilder, Stroke
from generator.drawing.style import PENS, LineType, Pen, Role
from generator.drawing.symbols import arrowhead

#: Pen of what is hidden or stands elsewhere.
DASHED = Pen(0.25, LineType.DASHED)
#: Capital height of words in a picture, mm.
WORDS = 2.36
#: Grey of wood, from 0 (black) to 1 (white).
WOOD = 0.86
#: Grey of the jig, from 0 (black) to 1 (white).
JIG = 0.94
#: Grey of what is taken away, from 0 (black) to 1 (white).
GONE = 0.7
#: Length of an arrow's head, mm.
_HEAD = 2.4
#: A line to words ends this far from them, mm.
_ROOM = 0.5
#: Least distance of words from the picture's edge, mm.
_EDGE = 0.3


@dataclass
class Canvas:
    """Collects a picture `width` × `height` mm; `place` maps the model's mm onto it."""

    name: str
    title: str
    width: float
    height: float
    place: Transform

    def __post_init__(self) -> None:
        self.builder = SheetBuilder(self.name, self.title)

    def at(self, x: float, y: float) -> P2:
        return self.place.apply(P2(x, y))

    def line(self, points: Sequence[P2], role: Role = Role.VISIBLE, pen: Pen | None = None) -> None:
        """A run of straight lines through model points."""
        self.builder.stroke(polyline(points).transformed(self.place), role, pen)

    def path(self, path: Path | Circle, role: Role = Role.VISIBLE, pen: Pen | None = None) -> None:
        self.builder.stroke(path.transformed(self.place), role, pen)

    def area(self, shape: Contour | Sequence[P2], grey: float = WOOD, outlined: bool = True) -> None:
        """A grey area with its edge."""
        contour = shape if isinstance(shape, Path | Circle) else polygon(shape)
        placed = contour.transformed(self.place)
        self.builder.items.append(Fill(placed, Role.HATCH, grey))
        if outlined:
            self.builder.items.append(Stroke(placed, Role.VISIBLE, PENS[Role.EDGE]))

    def words(
        self,
        text: str,
        at: P2,
        anchor: Anchor = Anchor.LEFT,
        level: Level = Level.MIDDLE,
        height: float = WORDS,
        angle: float = 0.0,
    ) -> None:
        """One line of text at a point of the picture (not of the model)."""
        self.builder.items.append(self._pulled_in(Label(text, at, height, Role.NOTE, angle, anchor, level)))

    def lead(self, text: str, words_at: P2, to: P2, anchor: Anchor = Anchor.LEFT) -> None:
        """Words with a thin line from them to a picture point."""
        label = self._pulled_in(Label(text, words_at, WORDS, Role.NOTE, 0.0, anchor, Level.MIDDLE))
        box = label.box()
        start = _nearest(box.grown(_ROOM), to)
        self.builder.items += [label, Stroke(polyline([start, to]), Role.NOTE, PENS[Role.NOTE])]
        self.builder.items.append(Fill(Circle(to, 0.35), Role.NOTE))

    def _pulled_in(self, label: Label) -> Label:
        """The label, moved by as much as it would stick out of the picture: what is drawn decides where words land."""
        box = label.box()
        right = max(0.0, _EDGE - box.x0) - max(0.0, box.x1 - self.width + _EDGE)
        up = max(0.0, _EDGE - box.y0) - max(0.0, box.y1 - self.height + _EDGE)
        return label.transformed(Transform.move(right, up)) if right or up else label

    def arrow(self, points: Sequence[P2], role: Role = Role.NOTE, pen: Pen | None = None, head: float = _HEAD) -> None:
        """A bold run with a head at its end, through picture points."""
        tip, before = points[-1], points[-2]
        way = tip.minus(before).unit()
        shaft = [*points[:-1], tip.minus(way.times(head * 0.8))]
        self.builder.items.append(Stroke(polyline(shaft), role, pen or PENS[Role.VISIBLE]))
        self.builder.items.append(arrowhead(tip, way, head, role))

    def measure(self, a: P2, b: P2, text: str, words_at: P2, anchor: Anchor = Anchor.MIDDLE) -> None:
        """A dimension line between two picture points with a head at either end, its words where told.

        Where the points stand too close for heads between them the arrows come from outside.
        """
        way = b.minus(a).unit()
        head = 1.8
        if a.distance(b) > 3.0 * head:
            self.builder.items.append(Stroke(polyline([a, b]), Role.DIMENSION, PENS[Role.DIMENSION]))
            self.builder.items += [arrowhead(b, way, head), arrowhead(a, way.times(-1.0), head)]
        else:
            for tip, out in ((a, way.times(-1.0)), (b, way)):
                tail = tip.plus(out.times(4.5))
                self.builder.items.append(Stroke(polyline([tip, tail]), Role.DIMENSION, PENS[Role.DIMENSION]))
                self.builder.items.append(arrowhead(tip, out.times(-1.0), head))
        self.words(text, words_at, anchor)

    def sheet(self, job: str = "") -> Sheet:
        return self.builder.sheet(self.width, self.height, job)


def fitted(name: str, title: str, model: Box, frame: Box, width: float, height: float) -> Canvas:
    """A picture of `width` × `height` mm in which `model` fills `frame` as well as one scale allows, in its middle."""
    scale = min(frame.width / model.width, frame.height / model.height)
    move = Transform.move(-model.center.x, -model.center.y).then(Transform.scale(scale))
    return Canvas(name, title, width, height, move.then(Transform.move(frame.center.x, frame.center.y)))


def _nearest(box: Box, to: P2) -> P2:
    """Where the line from a box's middle to a point leaves the box."""
    way = to.minus(box.center)
    reach = [
        half / abs(part) for half, part in ((box.width / 2.0, way.x), (box.height / 2.0, way.y)) if abs(part) > 1e-9
    ]
    return box.center.plus(way.times(min([*reach, 1.0])))
