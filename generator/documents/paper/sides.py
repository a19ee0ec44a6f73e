"""Which side of the instrument is which: bass and treble in every view, for either hand.

With the top up and the tail ahead, the body's +Y points to the left. A right-handed instrument carries its bass strings
on the right from there (the −Y side); a left-handed one carries them on the left.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from generator.base.points2d import P2
from generator.documents.paper.strokes import arrow
from generator.drawing.compose import INSTRUCTION_TEXT
from generator.drawing.sheet import Item
from generator.job.model.instrument import Handed


class Look(Enum):
    """Where an end view is looked at from, top up: its right-hand side is −Y or +Y of the body frame."""

    TOWARDS_TAIL = -1.0
    TOWARDS_NUT = 1.0


@dataclass(frozen=True)
class EndSides:
    """The words at the left and right of an end view."""

    left: str
    right: str

    def arrows(self, reach: float, level: float, height: float = INSTRUCTION_TEXT) -> list[Item]:
        """An arrow to either side, its tip `reach` mm from the middle at `level`, its words `height` mm tall."""
        return [
            *arrow(self.left, P2(-reach, level), P2(-1.0, 0.0), height),
            *arrow(self.right, P2(reach, level), P2(1.0, 0.0), height),
        ]


def side_name(y_sign: float, handed: Handed) -> str:
    """ "bass side" or "treble side" of the body frame's +Y (`y_sign` > 0) or −Y side."""
    bass_sign = -1.0 if handed is Handed.RIGHT else 1.0
    return "bass side" if y_sign * bass_sign > 0 else "treble side"


def end_sides(look: Look, handed: Handed) -> EndSides:
    """What stands left and right when one looks along the neck, top up."""
    return EndSides(left=side_name(-look.value, handed), right=side_name(look.value, handed))
