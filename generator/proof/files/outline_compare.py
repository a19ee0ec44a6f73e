"""Whether two files draw one part: outline and through cuts compared, and a difference called by its name."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

import shapely
from shapely import LinearRing

from generator.base.contours2d import Circle, Contour
from generator.base.points2d import P2, Box, Transform
from generator.base.units import MM_PER_INCH

#: Curves are broken up this finely to be compared, mm.
_FLAT = 0.002
#: Sizes that differ in one proportion by more than this share are at another scale.
_SCALE_SLACK = 1e-3
#: Faults of scale that have a name.
_NAMED_SCALES = (
    (MM_PER_INCH, "inches where millimetres are meant"),
    (1000.0, "metres where millimetres are meant"),
    (10.0, "centimetres where millimetres are meant"),
    (72.0 / MM_PER_INCH, "points where millimetres are meant"),
    (96.0 / MM_PER_INCH, "screen dots where millimetres are meant"),
    (96.0 / 72.0, "screen dots where points are meant"),
)


@dataclass(frozen=True)
class Drawn:
    """A part as one file draws it: outline, and what is cut through inside it, mm."""

    outline: Contour
    inside: tuple[Contour, ...] = ()

    def transformed(self, t: Transform) -> Drawn:
        return Drawn(self.outline.transformed(t), tuple(contour.transformed(t) for contour in self.inside))

    @property
    def center(self) -> P2:
        """The middle of the outline's box."""
        return self.outline.box().center


class Likeness(Enum):
    """How two drawings of a part compare."""

    SAME = "same"
    SCALED = "scaled"
    MIRRORED = "mirrored"
    TURNED = "turned"
    MOVED = "moved"
    DIFFERENT = "different"


@dataclass(frozen=True)
class Compared:
    """How a drawing compares with its reference, and what differs, in words."""

    likeness: Likeness
    words: str = ""


def compare(reference: Drawn, found: Drawn, slack: float, *, anchored: bool = True) -> Compared:
    """Compare two drawings of one part; lengths may differ by `slack` mm.

    `anchored`: both use the part's own coordinates. Otherwise the middles of their outlines are laid on each other.
    """
    wanted, has = reference.outline.box(), found.outline.box()
    scale = _scale(wanted, has)
    if scale is not None:
        return Compared(Likeness.SCALED, scale)
    if not anchored:
        found = found.transformed(_move(found.center, reference.center))
    miss = _miss(reference, found, slack)
    if miss is None:
        return Compared(Likeness.SAME)
    for likeness, words, change in _changes(reference.center):
        if _miss(reference, found.transformed(change), slack) is None:
            return Compared(likeness, words)
    moved = found.transformed(_move(found.center, reference.center))
    if _miss(reference, moved, slack) is None:
        off = found.center.minus(reference.center)
        return Compared(Likeness.MOVED, f"moved by ({off.x:.3f}, {off.y:.3f}) mm")
    for _, _, change in _changes(reference.center):
        if change.mirrors and _miss(reference, moved.transformed(change), slack) is None:
            return Compared(Likeness.MIRRORED, "mirrored and moved")
    return Compared(Likeness.DIFFERENT, miss)


def scale_words(factor: float) -> str:
    """A fault of scale in words, with its likely cause."""
    for size, cause in _NAMED_SCALES:
        if math.isclose(factor, size, rel_tol=2e-3):
            return f"{factor:.4g} times too large: {cause}"
        if math.isclose(factor, 1.0 / size, rel_tol=2e-3):
            return f"{1.0 / factor:.4g} times too small: {cause}, the other way round"
    return f"{factor:.5g} times its size"


def _scale(wanted: Box, has: Box) -> str | None:
    """The fault of scale between two boxes in words; None where they are of one size or merely differ."""
    across, up = has.width / wanted.width, has.height / wanted.height
    if math.isclose(across, up, rel_tol=_SCALE_SLACK) and abs(across - 1.0) > 2.0 * _SCALE_SLACK:
        return scale_words(math.sqrt(across * up))
    return None


def _move(start: P2, end: P2) -> Transform:
    return Transform.move(end.x - start.x, end.y - start.y)


def _changes(center: P2) -> Iterator[tuple[Likeness, str, Transform]]:
    """Ways a drawing is spoilt, each undone by its map: about the origin, and about the drawing's middle."""
    for about in dict.fromkeys((P2(0.0, 0.0), center)):
        there, back = Transform.move(-about.x, -about.y), Transform.move(about.x, about.y)
        yield Likeness.MIRRORED, "mirrored left to right", there.then(Transform.mirror_x()).then(back)
        yield Likeness.MIRRORED, "mirrored top to bottom", there.then(Transform.mirror_y()).then(back)
        for angle in (90.0, 180.0, 270.0):
            turn = there.then(Transform.rotate(angle)).then(back)
            yield Likeness.TURNED, f"turned by {360.0 - angle:g} degrees", turn


def _miss(reference: Drawn, found: Drawn, slack: float) -> str | None:
    """What keeps two drawings from being one, in words; None when nothing does."""
    off = distance(reference.outline, found.outline, slack)
    if off > slack:
        return f"its outline misses by {off:.3f} mm"
    if len(reference.inside) != len(found.inside):
        return f"{len(found.inside)} cuts inside, where {len(reference.inside)} belong"
    left = list(found.inside)
    for contour in reference.inside:
        middle = contour.box().center
        nearest = min(left, key=lambda other: other.box().center.distance(middle) + _odds(contour, other))
        left.remove(nearest)
        off = distance(contour, nearest, slack)
        if off > slack:
            return f"the cut at ({middle.x:.2f}, {middle.y:.2f}) misses by {off:.3f} mm"
    return None


def _odds(one: Contour, other: Contour) -> float:
    """Difference of size, so that concentric contours find their own kind, mm."""
    a, b = one.box(), other.box()
    return abs(a.width - b.width) + abs(a.height - b.height)


def distance(one: Contour, other: Contour, slack: float) -> float:
    """The largest distance of two closed contours from each other, mm; from their boxes alone where those differ."""
    a, b = one.box(), other.box()
    apart = max(abs(p - q) for p, q in zip(a, b, strict=True))
    if apart > slack:
        return apart
    if isinstance(one, Circle) and isinstance(other, Circle):
        return one.center.distance(other.center) + abs(one.radius - other.radius)
    return float(shapely.hausdorff_distance(_ring(one), _ring(other)))


def _ring(contour: Contour) -> LinearRing:
    return LinearRing([(p.x, p.y) for p in contour.flatten(_FLAT)])


def contained(outline: Contour, contours: Iterable[Contour]) -> Iterator[Contour]:
    """Those of `contours` whose middle lies inside `outline`'s box and which are smaller than it."""
    frame = outline.box().grown(1e-3)
    for contour in contours:
        if contour is not outline and frame.holds(contour.box()) and contour.area < outline.area:
            yield contour


def closed_shapes(shapes: Sequence[Contour]) -> tuple[Contour, ...]:
    """The closed ones."""
    return tuple(shape for shape in shapes if isinstance(shape, Circle) or shape.closed)


def same_size(one: Drawn, other: Drawn, slack: float) -> bool:
    """Whether two outlines are equally wide and high within `slack` mm."""
    a, b = one.outline.box(), other.outline.box()
    return abs(a.width - b.width) < slack and abs(a.height - b.height) < slack


def nested(shapes: Sequence[Contour]) -> list[Drawn]:
    """Each closed shape as an outline with those that really lie inside it: a small part's box may lie in a large
    one's.
    """
    return [Drawn(shape, tuple(_really_inside(shape, shapes))) for shape in shapes]


def _really_inside(outline: Contour, shapes: Sequence[Contour]) -> Iterator[Contour]:
    for shape in contained(outline, shapes):
        if outline.contains(shape.box().center):
            yield shape
