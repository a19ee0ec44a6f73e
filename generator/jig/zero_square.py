"""The combination square of the zero check: which one has room on the built jig.

The jig lies upside down with the plate's top on a flat table. The square's rule stands beside the tongue, past both
rests' working edges; its head stands on the plate inside the window or, where the window is too short for it, on the
table, the plate lying on two equal blocks higher than the head.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from generator.jig.layout import Layout

#: Combination squares: length of the rule, length, thickness and height of the head, mm (common practice, from memory).
SQUARES = ((150.0, 70.0, 16.0, 40.0), (300.0, 100.0, 22.0, 55.0))
#: What a rule must stand out past the angle rest's working edge, mm, and its room beside tongue and window.
_PAST, _BESIDE = 3.0, 1.0
#: Blocks under the plate are higher than a square's head by this, mm.
OVER_HEAD = 5.0


@dataclass(frozen=True)
class SquareRoom:
    """What the jig leaves a square, mm.

    `rule` is how far the rule must stand over the plate's top, `along` and `across` the window beside the tongue, and
    `reach` how far past the tongue's side the rests go.
    """

    rule: float
    along: float
    across: float
    reach: float


@dataclass(frozen=True)
class SquareStand:
    """One square (by the length of its rule, mm), the height of the `blocks` under the plate (None without), and the
    least room it has, mm: negative where it does not fit."""

    rule: float
    blocks: float | None
    room: float


def square_room(plate: float, edge: float, window: tuple[float, float], tongue_width: float, rest: float) -> SquareRoom:
    """The room of a jig of these sizes, mm.

    `plate` is the plate's thickness, `edge` the depth of the angle rest's working edge, `window` its end (jig X past
    the upper rest's face) and half its width, `rest` the rests' length.
    """
    along, half = window
    return SquareRoom(
        rule=plate + edge + _PAST,
        along=along,
        across=half - tongue_width / 2.0 - 2.0 * _BESIDE,
        # The rule stands over the middle of the head's thickness, and must meet both rests, which end there.
        reach=rest / 2.0 - tongue_width / 2.0 - _BESIDE,
    )


def square_stand(there: SquareRoom) -> SquareStand:
    """The first square that fits, without blocks before with them and the smaller first; else what lacks least."""
    ways = [*_in_the_window(there), *_on_blocks(there)]
    return next((way for way in ways if way.room >= 0.0), max(ways, key=lambda way: way.room))


def _in_the_window(there: SquareRoom) -> Iterator[SquareStand]:
    for rule, head, thick, _ in SQUARES:
        yield SquareStand(rule, None, min(rule - there.rule, there.along - head, _sideways(there, thick)))


def _on_blocks(there: SquareRoom) -> Iterator[SquareStand]:
    for rule, _, thick, high in SQUARES:
        blocks = high + OVER_HEAD
        yield SquareStand(rule, blocks, min(rule - there.rule - blocks, _sideways(there, thick)))


def _sideways(there: SquareRoom, thick: float) -> float:
    """Room (mm) beside a head of this thickness, and of the rests under the rule in its middle."""
    return min(there.across - thick, there.reach - thick / 2.0)


def designed_room(layout: Layout) -> SquareRoom:
    """What the jig as designed leaves a square."""
    cradle, routing = layout.cradle, layout.routing
    edge = cradle.angle_rest_depth + (layout.thick.rest if cradle.angle < 0.0 else 0.0)
    window = routing.window_end, routing.window_half_width
    return square_room(layout.thick.plate, edge, window, beside(layout), layout.spec.rest_length)


def beside(layout: Layout) -> float:
    """Width (mm) of what the square's rule stands beside: the tongue, or the rests' teeth where there is none."""
    return layout.routing.tongue_width if layout.has_tongue else layout.rests.tooth_width or 0.0
