"""A template plate that hands glue up of two layers: straight pieces above, which guide the bushing, one sheet below.

The upper layer is laid of rectangles, so that planed strips hold the widths that make the joint and no inside edge is
sawn to a line. Lengths mm; places as on the plate's own drawing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from generator.base.points2d import Box
from generator.jig.layout import Layout
from generator.joint.stations import Use

#: The lower layer keeps back from the upper one's edges by this.
KEEPS_BACK = 2.0
#: The upper layer is thicker than the bushing's barrel is long by this.
_PAST_BARREL = 0.5


@dataclass(frozen=True)
class Piece:
    """A straight piece of the upper layer, or a packing that is taken out: where it lies, each of its copies.

    `makes_joint` where its width does.
    """

    letter: str
    title: str
    places: tuple[Box, ...]
    makes_joint: bool = False

    @property
    def long(self) -> float:
        return max(self.places[0].width, self.places[0].height)

    @property
    def wide(self) -> float:
        return min(self.places[0].width, self.places[0].height)


@dataclass(frozen=True)
class HandPlate:
    """A plate with an opening and a tongue, of two layers; `layout` places them."""

    layout: Layout

    @property
    def upper(self) -> float:
        """Thickness of the upper layer: as thick as the barrel is long, and a little."""
        return max(self.layout.thick.plate / 2.0, self.layout.solution.job.router.bushing_length + _PAST_BARREL)

    @property
    def lower(self) -> float:
        return self.layout.thick.plate - self.upper

    @property
    def length(self) -> float:
        return self._ends[1] - self._ends[0]

    @property
    def width(self) -> float:
        return 2.0 * self._half

    @property
    def between(self) -> float:
        """How far B stands from A: the opening's length, which sets that of the cut in the body."""
        return self._opening.width

    @property
    def free(self) -> float:
        """How far the tongue reaches from A, which sets the length of what stays on the neck."""
        return self._tongue.width

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """What stays in the plate, in the order of gluing."""
        opening, window, tongue, half = self._opening, self._window, self._tongue, self._half
        low, high = self._ends
        return (
            Piece("A", "across, over the board", (Box(window.x1, -half, opening.x0, half),)),
            Piece("B", "closes the opening", (Box(opening.x1, opening.y0, high, opening.y1),), makes_joint=True),
            Piece("C", "beside the opening", tuple(_both_sides(opening.x0, high, opening.y1, half))),
            Piece("D", "tongue", (Box(tongue.x0, tongue.y0, window.x1, tongue.y1),), makes_joint=True),
            Piece("E", "beside the window", tuple(_both_sides(window.x0, window.x1, window.y1, half))),
            Piece("F", "closes the window", (Box(low, -half, window.x0, half),)),
        )

    @cached_property
    def packings(self) -> tuple[Piece, ...]:
        """What is pushed between while the glue sets, and taken out: an offcut of B, and two equal strips."""
        opening, window, tongue = self._opening, self._window, self._tongue
        offcut = Box(opening.x0, opening.y0, opening.x0 + opening.height, opening.y1)
        beside = tuple(_both_sides(window.x1 - opening.height, window.x1, tongue.y1, window.y1))
        return Piece("b", "offcut of B, taken out", (offcut,)), Piece("g", "two equal packings, taken out", beside)

    @property
    def _ends(self) -> tuple[float, float]:
        return -self.layout.plate_half(Use.NECK), self.layout.plate_half(Use.BODY)

    @property
    def _half(self) -> float:
        return self.layout.plate_half_width

    @property
    def _opening(self) -> Box:
        routing = self.layout.routing
        return self._on_plate(Use.BODY, routing.opening_length, routing.opening_width / 2.0)

    @property
    def _window(self) -> Box:
        routing = self.layout.routing
        return self._on_plate(Use.NECK, routing.window_end, routing.window_half_width)

    @property
    def _tongue(self) -> Box:
        """To the window's far end where it is bridged."""
        routing = self.layout.routing
        end = routing.window_end if self.layout.spec.bridged else routing.tongue_length
        return self._on_plate(Use.NECK, end, routing.tongue_width / 2.0)

    def _on_plate(self, use: Use, end: float, half: float) -> Box:
        """From where the openings begin to jig X `end`, `half` to either side."""
        start, far = (self.layout.on_plate(use, x, 0.0).x for x in (self.layout.routing.opening_start, end))
        return Box(min(start, far), -half, max(start, far), half)


def _both_sides(x0: float, x1: float, inner: float, outer: float) -> Iterator[Box]:
    yield Box(x0, inner, x1, outer)
    yield Box(x0, -outer, x1, -inner)
