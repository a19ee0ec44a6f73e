"""A part as its template lies on the page: turned by a quarter where it is longer than it is high."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from generator.base.annotation import Dimension, DimKind, EngravedText, Side
from generator.base.points2d import P2, Transform
from generator.jig.part import EdgeHole, Part

#: A quarter turn counter-clockwise.
_TURN = Transform.rotate(90.0)
#: Kind of a dimension before the turn -> after it; every other kind stays.
_KIND: Mapping[DimKind, DimKind] = MappingProxyType(
    {DimKind.HORIZONTAL: DimKind.VERTICAL, DimKind.VERTICAL: DimKind.HORIZONTAL}
)
#: Side that a dimension stands on before the turn -> after it; every other side stays.
_SIDE: Mapping[Side, Side] = MappingProxyType(
    {Side.ABOVE: Side.LEFT, Side.LEFT: Side.BELOW, Side.BELOW: Side.RIGHT, Side.RIGHT: Side.ABOVE}
)


def turned_part(part: Part) -> Part:
    """`part` turned by a quarter, counter-clockwise, with everything on it; its lettering turns along."""
    return replace(
        part,
        outline=part.outline.transformed(_TURN),
        openings=tuple(replace(one, contour=one.contour.transformed(_TURN)) for one in part.openings),
        holes=tuple(replace(hole, at=_TURN.apply(hole.at)) for hole in part.holes),
        edge_holes=tuple(_edge_hole(hole) for hole in part.edge_holes),
        engraved_lines=tuple(line.transformed(_TURN) for line in part.engraved_lines),
        engraved_texts=tuple(_text(text) for text in part.engraved_texts),
        points=MappingProxyType({name: _TURN.apply(at) for name, at in part.points.items()}),
        dimensions=tuple(_dimension(one) for one in part.dimensions),
        shop_dimensions=tuple(_dimension(one) for one in part.shop_dimensions),
        datum=_TURN.apply(part.datum),
    )


def _edge_hole(hole: EdgeHole) -> EdgeHole:
    return replace(hole, at=_TURN.apply(hole.at), into=_TURN.apply(hole.into))


def _text(text: EngravedText) -> EngravedText:
    return replace(text, at=_TURN.apply(text.at), angle=text.angle + 90.0)


def _dimension(one: Dimension) -> Dimension:
    points: tuple[P2, ...] = tuple(_TURN.apply(point) for point in one.points)
    return replace(one, kind=_KIND.get(one.kind, one.kind), points=points, side=_SIDE.get(one.side, one.side))
