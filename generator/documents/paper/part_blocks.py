"""One part's view on paper, kept to the width of its page: what finds no room beside it is said in words instead."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from generator.base.annotation import Dimension, DimKind, Side
from generator.base.errors import LayoutError
from generator.base.points2d import Box, bounding_box
from generator.documents.paper.holes import hole_list, hole_notes
from generator.documents.paper.words import CalloutFormat, words
from generator.documents.part_view import part_block
from generator.drawing.callout import dimension_text
from generator.drawing.compose import Block
from generator.jig.part import Part

#: Dimensions beside a view need at least this much of a page's width, mm.
_LEAST_BESIDE = 20.0
#: More than any page is high, mm: a page's width alone bounds the dimensions.
_ANY = 1000.0


@dataclass(frozen=True)
class ShownPart:
    """A part's view, and what of it is said in lines of text."""

    block: Block
    said: tuple[str, ...] = ()


def shown_part(part: Part, spell: CalloutFormat, width: float, identity: str = "") -> ShownPart:
    """The first of `shown_ways`. Raises LayoutError where the part itself is wider than `width` mm."""
    for shown in shown_ways(part, spell, width, identity, inside=True):
        return shown
    raise LayoutError(f"part {part.name}: {part.box.width:.1f} mm wide, a page shows {width:.1f}")


def shown_ways(
    part: Part, spell: CalloutFormat, width: float, identity: str = "", *, inside: bool = False
) -> Iterator[ShownPart]:
    """Views of `part` at full scale, at most `width` mm wide with their dimensions, those that show more first.

    What they do not show, upright dimensions and callouts of holes, comes as lines of text; `identity` is written
    inside the outline, and `inside` it too stand the upright dimensions that find no room beside it.
    """
    # Paper grows with the weather: the figures are checked with a caliper, tolerances stand on the shop drawing.
    bare = replace(part, dimensions=tuple(replace(one, tolerance=None) for one in part.dimensions))
    for shown, said, with_holes in _ways(bare, spell, width, inside=inside):
        notes = hole_notes(part, spell.notation) if with_holes else ()
        frame = _column(_shown_box(shown), width)
        try:
            block = part_block(shown, spell.notation, extra=notes, identity=identity, frame=frame)
        except LayoutError:
            continue
        if block.box.width <= width + 1e-6:
            yield ShownPart(block, said)


def _ways(
    part: Part, spell: CalloutFormat, width: float, *, inside: bool
) -> Iterator[tuple[Part, tuple[str, ...], bool]]:
    """The part with fewer and fewer dimensions round it, what is said instead, and whether holes have callouts."""
    upright = [one for one in part.dimensions if one.kind is DimKind.VERTICAL]
    level = replace(part, dimensions=tuple(one for one in part.dimensions if one.kind is not DimKind.VERTICAL))
    sizes, holes = _sizes(upright, spell), tuple(hole_list(part, spell.notation))
    if width - part.box.width >= _LEAST_BESIDE:
        yield part, (), True
        if holes:
            yield part, holes, False
    if upright and inside:
        turned_in = (replace(one, side=Side.INSIDE) if one in upright else one for one in part.dimensions)
        within = replace(part, dimensions=tuple(turned_in))
        yield within, (), True
        yield within, holes, False
    if upright:
        yield level, sizes, True
        yield level, (*sizes, *holes), False
    yield replace(part, dimensions=()), (*_sizes(part.dimensions, spell), *holes), False


def _sizes(dimensions: Sequence[Dimension], spell: CalloutFormat) -> tuple[str, ...]:
    """Dimensions as one line of text; nothing without any."""
    if not dimensions:
        return ()
    said = [f"{one.name.replace('_', ' ')} {dimension_text(one, spell.notation)}" for one in dimensions]
    return (words("sizes", sizes=said),)


def _shown_box(part: Part) -> Box:
    """The part, with every point its dimensions measure from."""
    points = [point for dimension in part.dimensions for point in dimension.points]
    return part.box.union(bounding_box(points)) if points else part.box


def _column(box: Box, width: float) -> Box:
    """A column of `width` mm with `box` in its middle."""
    left = box.center.x - width / 2.0
    return Box(left, box.y0 - _ANY, left + width, box.y1 + _ANY)
