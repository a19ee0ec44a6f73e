"""Which pieces of an assembly occupy the same space."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from OCP.BRepAlgoAPI import BRepAlgoAPI_Common

from generator.base.geometry3d import P3
from generator.solid.assembly import Piece
from generator.solid.measure import Bounds, bounds, volume

#: Boxes that overlap by less than this (mm) only touch.
TOUCH = 1e-4


@dataclass(frozen=True)
class Interference:
    """Two pieces that share `volume` mm³, inside `where` (plate frame)."""

    first: str
    second: str
    volume: float
    where: Bounds


def interferences(pieces: Iterable[Piece], tolerance: float = 1e-3) -> tuple[Interference, ...]:
    """Every pair of pieces that share more than `tolerance` mm³; pieces that only touch share nothing."""
    boxed = [_Boxed.of(piece) for piece in pieces]
    return tuple(_found(boxed, tolerance))


def _found(boxed: Sequence[_Boxed], tolerance: float) -> Iterator[Interference]:
    for one, other in combinations(boxed, 2):
        if not one.may_meet(other):
            continue
        common = BRepAlgoAPI_Common(one.piece.placed, other.piece.placed).Shape()
        shared = volume(common)
        if shared > tolerance:
            yield Interference(one.piece.label, other.piece.label, shared, bounds(common))


@dataclass(frozen=True)
class _Boxed:
    """A piece with the tight box of its own frame as it stands in space: centre, axis directions, half sizes."""

    piece: Piece
    center: P3
    axes: tuple[P3, P3, P3]
    half: tuple[float, float, float]

    @staticmethod
    def of(piece: Piece) -> _Boxed:
        box, stand = bounds(piece.shape), piece.placement
        middle = box.low.plus(box.high).times(0.5)
        return _Boxed(
            piece,
            stand.to_space(middle.x, middle.y, middle.z),
            (stand.x_axis, stand.y_axis, stand.z_axis),
            ((box.high.x - box.low.x) / 2.0, (box.high.y - box.low.y) / 2.0, (box.high.z - box.low.z) / 2.0),
        )

    def may_meet(self, other: _Boxed) -> bool:
        """False when some plane parts the two boxes: square to an axis of either, or to an axis of both."""
        crossed = [a.cross(b) for a in self.axes for b in other.axes]
        planes = [*self.axes, *other.axes, *(c.times(1.0 / c.length()) for c in crossed if c.length() > 1e-6)]
        apart = other.center.minus(self.center)
        return all(abs(apart.dot(n)) < self._radius(n) + other._radius(n) - TOUCH for n in planes)

    def _radius(self, normal: P3) -> float:
        return sum(half * abs(axis.dot(normal)) for half, axis in zip(self.half, self.axes, strict=True))
