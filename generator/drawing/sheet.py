"""The sheet: what stands on a drawing, in millimetres, before any file format.

A sheet is a frozen list of strokes, fills and labels, each with a role, plus the dimensions that were laid out on it.
Origin at the lower left corner, x to the right, y up. The same sheet is written as SVG and PDF (`formats`), cut into
pages (`tiling`), and turned into a DXF drawing, so the files cannot disagree.

    builder = SheetBuilder("board", "Board: saw to the line")
    builder.stroke(part.outline, Role.CUT)
    builder.label("towards the saddle", P2(40, 12), 5.0)
    sheet = builder.sheet(210, 297, job="orchestra-14")

A writer is anything with the three verbs of `Ink`; `play(items, ink)` hands it the items in order.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from enum import Enum
from functools import lru_cache
from typing import Protocol

from generator.base.annotation import Anchor, DimKind
from generator.base.contours2d import Circle, Contour, Path
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box, Transform, bounding_box, box_around
from generator.base.shapes2d import polyline
from generator.drawing import font
from generator.drawing.style import PENS, Pen, Role

#: Ink further than this (mm) outside the sheet is a fault.
EDGE_SLACK = 1e-6


#: Which share of a text's width lies before its position.
_BACK = {Anchor.LEFT: 0.0, Anchor.MIDDLE: 0.5, Anchor.RIGHT: 1.0}


@lru_cache(maxsize=1024)
def _heading(angle: float) -> tuple[float, float]:
    """Cosine and sine of an angle in degrees, exact at quarter turns."""
    turn = Transform.rotate(angle)
    return turn.a, turn.b


class Level(Enum):
    """Which height of a text its position names: baseline, half a capital, top of a capital."""

    BASE = 0.0
    MIDDLE = 0.5
    TOP = 1.0


@dataclass(frozen=True)
class Stroke:
    """A line of lines and arcs. `phase` (mm) is how much of the dash pattern is used up at its start."""

    path: Path | Circle
    role: Role
    pen: Pen
    phase: float = 0.0

    def box(self) -> Box:
        """The ink's box: the path's, grown by half the pen."""
        return self.path.box().grown(self.pen.width / 2.0)

    def transformed(self, t: Transform) -> Stroke:
        return replace(self, path=self.path.transformed(t))


@dataclass(frozen=True)
class Fill:
    """A filled area; `grey` from 0 (black) to 1 (white).

    `colour` (red, green, blue, each 0 to 1, sRGB) is used instead by a writer that has colours.
    """

    contour: Contour
    role: Role
    grey: float = 0.0
    colour: tuple[float, float, float] | None = None

    def box(self) -> Box:
        return self.contour.box()

    def transformed(self, t: Transform) -> Fill:
        return replace(self, contour=self.contour.transformed(t))


@dataclass(frozen=True)
class Label:
    """One line of text: `height` is that of a capital in mm, `angle` in degrees counter-clockwise."""

    text: str
    at: P2
    height: float
    role: Role = Role.NOTE
    angle: float = 0.0
    anchor: Anchor = Anchor.LEFT
    level: Level = Level.BASE

    @property
    def width(self) -> float:
        return font.text_width(self.text, self.height)

    @property
    def base(self) -> P2:
        """Where the baseline starts, whatever the anchor and level."""
        co, si = _heading(self.angle)
        along = -_BACK[self.anchor] * self.width if self.anchor is not Anchor.LEFT else 0.0
        up = -self.level.value * self.height
        return P2(self.at.x + (co * along - si * up), self.at.y + (si * along + co * up))

    def corners(self, margin: float = 0.0) -> tuple[P2, P2, P2, P2]:
        """The text's own rectangle (bracket height to descender), grown by `margin` mm, turned with the text."""
        x, y = self.base
        low, high = -font.descent(self.height) - margin, font.ascent(self.height) + margin
        left, right = -margin, self.width + margin
        if not self.angle:  # as most texts stand
            return P2(x + left, y + low), P2(x + right, y + low), P2(x + right, y + high), P2(x + left, y + high)
        co, si = _heading(self.angle)
        (left_x, left_y), (right_x, right_y) = (co * left, si * left), (co * right, si * right)
        (low_x, low_y), (high_x, high_y) = (-si * low, co * low), (-si * high, co * high)
        return (
            P2(x + (left_x + low_x), y + (left_y + low_y)),
            P2(x + (right_x + low_x), y + (right_y + low_y)),
            P2(x + (right_x + high_x), y + (right_y + high_y)),
            P2(x + (left_x + high_x), y + (left_y + high_y)),
        )

    def box(self) -> Box:
        return bounding_box(self.corners())

    def transformed(self, t: Transform) -> Label:
        """Moved and turned with `t`; letters keep their height and are never mirrored."""
        origin, tip = t.apply(P2(0.0, 0.0)), t.apply(Transform.rotate(self.angle).apply(P2(1.0, 0.0)))
        angle = math.degrees(math.atan2(tip.y - origin.y, tip.x - origin.x))
        return replace(self, at=t.apply(self.at), angle=angle if abs(angle) > 1e-9 else 0.0)


Item = Stroke | Fill | Label


@dataclass(frozen=True)
class DimensionMark:
    """A dimension as laid out on a sheet: its number, where it stands, and the ink that shows it.

    `kind` is what it measures as the sheet lies: a horizontal one of a part that is drawn turned is vertical here; it
    is None for a note and an ordinate, which are ink alone. `points` are the measured points in sheet coordinates, as
    `Dimension` orders them; `line_at` is a point of the dimension line (on the arc for an angle, the leader's knee for
    a radius or diameter). `value` is the model's number in mm or degrees, `text` what is printed, `scale` the paper
    length of one model millimetre. A writer with dimensions of its own (DXF) uses these fields and leaves `items` out.
    """

    name: str
    kind: DimKind | None
    value: float
    text: str
    points: tuple[P2, ...]
    line_at: P2
    label: Label
    scale: float
    items: tuple[Item, ...]

    def transformed(self, t: Transform) -> DimensionMark:
        """Moved with `t`, or turned with its whole sheet: text was placed upright."""
        return replace(
            self,
            points=tuple(t.apply(p) for p in self.points),
            line_at=t.apply(self.line_at),
            label=self.label.transformed(t),
            items=tuple(item.transformed(t) for item in self.items),
        )


class Ink(Protocol):
    """What a writer must be able to do. Three verbs, so that a recording one is easily written for a test."""

    def stroke(self, stroke: Stroke) -> None: ...

    def fill(self, fill: Fill) -> None: ...

    def label(self, label: Label) -> None: ...


def play(items: Iterable[Item], ink: Ink) -> None:
    """Hands each item to the matching verb of `ink`, in order."""
    for item in items:
        if isinstance(item, Stroke):
            ink.stroke(item)
        elif isinstance(item, Fill):
            ink.fill(item)
        else:
            ink.label(item)


def _told(item: Item) -> str:
    """An item in words, for a message."""
    return f'the words "{item.text}"' if isinstance(item, Label) else f"a {type(item).__name__.lower()}"


@dataclass(frozen=True)
class Sheet:
    """A finished drawing of `width` × `height` mm.

    `name` is the file's stem, `title` the plain words on it, `job` the job's name. `scale` is the paper length of one
    model millimetre (1 on every paper template).
    """

    name: str
    title: str
    width: float
    height: float
    items: tuple[Item, ...]
    dimensions: tuple[DimensionMark, ...] = ()
    job: str = ""
    scale: float = 1.0

    def __post_init__(self) -> None:
        if not self.items and not self.dimensions:
            raise LayoutError(f"sheet {self.name}: nothing stands on it")
        frame = Box(0.0, 0.0, self.width, self.height).grown(EDGE_SLACK)
        for item in self.every_item():
            box = item.box()
            if not all(math.isfinite(v) for v in box):
                raise LayoutError(f"sheet {self.name}: {_told(item)} without a finite position")
            if not frame.holds(box):
                paper = f"{self.width:g} × {self.height:g}"
                raise LayoutError(f"sheet {self.name}: {_told(item)} outside the {paper} sheet")

    def every_item(self) -> Iterator[Item]:
        """All ink: the plain items, then that of each dimension."""
        yield from self.items
        for mark in self.dimensions:
            yield from mark.items

    def labels(self) -> Iterator[Label]:
        return (item for item in self.every_item() if isinstance(item, Label))

    def ink_box(self) -> Box:
        """The smallest box around all ink, mm."""
        return union_box(self.every_item())


def turned(sheet: Sheet) -> Sheet:
    """`sheet` turned by a quarter, counter-clockwise: how a wide drawing lies on an upright page."""
    turn = Transform.rotate(90.0).then(Transform.move(sheet.height, 0.0))
    return replace(
        sheet,
        width=sheet.height,
        height=sheet.width,
        items=tuple(item.transformed(turn) for item in sheet.items),
        dimensions=tuple(mark.transformed(turn) for mark in sheet.dimensions),
    )


def union_box(items: Iterable[Item]) -> Box:
    """The smallest box around the ink of `items`. Raises LayoutError when there are none."""
    boxes = [item.box() for item in items]
    if not boxes:
        raise LayoutError("no ink, so no box around it")
    return box_around(boxes)


@dataclass
class SheetBuilder:
    """Collects items and dimensions, then freezes them into a Sheet."""

    name: str
    title: str
    items: list[Item] = field(default_factory=list)
    dimensions: list[DimensionMark] = field(default_factory=list)

    def stroke(self, path: Path | Circle, role: Role, pen: Pen | None = None) -> None:
        """A line with the pen of its role, or another."""
        self.items.append(Stroke(path, role, pen or PENS[role]))

    def line(self, a: P2, b: P2, role: Role, pen: Pen | None = None) -> None:
        self.stroke(polyline([a, b]), role, pen)

    def fill(self, contour: Contour, role: Role, grey: float = 0.0) -> None:
        self.items.append(Fill(contour, role, grey))

    def label(
        self,
        text: str,
        at: P2,
        height: float,
        role: Role = Role.NOTE,
        angle: float = 0.0,
        anchor: Anchor = Anchor.LEFT,
        level: Level = Level.BASE,
    ) -> None:
        """One line of text, capitals `height` mm tall."""
        self.items.append(Label(text, at, height, role, angle, anchor, level))

    def add(self, items: Iterable[Item], move: Transform | None = None) -> None:
        """Ready items, moved by `move` when given."""
        self.items.extend(item.transformed(move) if move else item for item in items)

    def dimension(self, mark: DimensionMark, move: Transform | None = None) -> None:
        self.dimensions.append(mark.transformed(move) if move else mark)

    def sheet(self, width: float, height: float, job: str = "", scale: float = 1.0) -> Sheet:
        """The finished sheet. Raises LayoutError when it is empty or ink lies outside `width` × `height` mm."""
        return Sheet(
            self.name, self.title, width, height, tuple(self.items), tuple(self.dimensions), job=job, scale=scale
        )
