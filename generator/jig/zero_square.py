"""The combination square of the zero check: which one has room on the built jig.

The jig lies upside down, the plate's top on two equal blocks over a flat table. The square's head stands on the table
under the plate; its rule goes up through the window beside the tongue, past both rests' working edges. So it can be
turned round, which a head inside the window could not: the plate begins at the board.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.jig.layout import Layout

#: Combination squares: length and thickness of the rule, height of the head, mm (common practice, from memory).
SQUARES = ((300.0, 2.5, 55.0), (400.0, 2.5, 55.0))
#: What a rule must stand out past the angle rest's working edge, mm.
_PAST = 3.0
#: A rule's room beside tongue and window, mm.
_BESIDE = 1.0
#: The blocks under the plate, mm: 5 higher than any square's head.
BLOCKS = max(high for *_, high in SQUARES) + 5.0


@dataclass(frozen=True)
class SquareRoom:
    """What the jig leaves a square, mm.

    `rule` is how far the rule must stand over the plate's top, `across` the window beside the tongue, and `reach` how
    far past the tongue's side the rests go.
    """

    rule: float
    across: float
    reach: float


@dataclass(frozen=True)
class SquareStand:
    """One square (by the length of its rule, mm) and the least room it has, mm: negative where it does not fit."""

    rule: float
    room: float


def square_room(plate: float, edge: float, window: float, tongue_width: float, rest: float) -> SquareRoom:
    """The room of a jig of these sizes, mm.

    `plate` is the plate's thickness, `edge` the depth of the angle rest's working edge, `window` half the window's
    width, `rest` the rests' length.
    """
    return SquareRoom(
        rule=plate + edge + _PAST,
        across=window - tongue_width / 2.0 - 2.0 * _BESIDE,
        # The rule must meet both rests, which end there.
        reach=rest / 2.0 - tongue_width / 2.0 - _BESIDE,
    )


def square_stand(there: SquareRoom) -> SquareStand:
    """The shortest square that fits; else the one that lacks least."""
    ways = [SquareStand(rule, min(rule - there.rule - BLOCKS, _sideways(there, thick))) for rule, thick, _ in SQUARES]
    return next((way for way in ways if way.room >= 0.0), max(ways, key=lambda way: way.room))


def _sideways(there: SquareRoom, thick: float) -> float:
    """Room (mm) beside a rule of this thickness in the window, and of the rests under the middle of it."""
    return min(there.across - thick, there.reach - thick / 2.0)


def designed_room(layout: Layout) -> SquareRoom:
    """What the jig as designed leaves a square."""
    cradle, routing = layout.cradle, layout.routing
    edge = cradle.angle_rest_depth + (layout.thick.rest if cradle.angle < 0.0 else 0.0)
    return square_room(layout.thick.plate, edge, routing.window_half_width, beside(layout), layout.spec.rest_length)


def beside(layout: Layout) -> float:
    """Width (mm) of what the square's rule stands beside: the tongue, or the rests' teeth where there is none."""
    return layout.routing.tongue_width if layout.has_tongue else layout.rests.tooth_width or 0.0
