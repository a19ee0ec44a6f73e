"""The ground on which dimensions are laid out: ink that was there before, and the frame. It never moves.

What it says of a placement is therefore said once, however often that is thought of.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from generator.base.points2d import P2, Box
from generator.drawing.dimension import Candidate, Placement
from generator.drawing.gaps import TEXT_MARGIN
from generator.drawing.scene import Scene, touch
from generator.drawing.sheet import Item, Label

#: What one crossed line costs; a level costs 1.5.
CROSSING_COST = 0.5
#: What one break in an extension line costs; a level costs 1.5.
_BREAK_COST = 1.0
#: A leader's shelf keeps this far from lines that run its placement, mm.
_SHELF_CLEAR = 1.0
#: A dimension line inside the part keeps this far from them: whoever cuts along a line must not take the wrong one, mm.
_INNER_CLEAR = 4.0


@dataclass(frozen=True)
class Possible:
    """A placement that the ground allows, and what it costs there."""

    placement: Placement
    cost: float


class Ground:
    """The ink `drawn` before, which no text may touch, and the `frame` (sheet mm) that bounds all where given."""

    def __init__(self, drawn: Sequence[Item], frame: Box | None) -> None:
        self.lettering = tuple(item.corners(TEXT_MARGIN) for item in drawn if isinstance(item, Label))
        self.frame = frame
        self._scene = Scene(drawn)

    def line_at(self, point: P2) -> bool:
        """True when a line is drawn through `point`."""
        return self._scene.line_at(point)

    def judged(self, placement: Placement) -> Possible | None:
        """The placement with its cost; None where it is not clear of the ink, its own text or the frame.

        Extension lines may run over letters, where they are broken.
        """
        scene = self._scene
        if not self._in_frame(placement) or not scene.text_fits(placement.clear) or _runs_over_itself(placement):
            return None
        if any(True for a, b in placement.lines for _ in scene.texts_under(a, b)):
            return None
        if placement.shelf and scene.runs_along(*placement.shelf, _SHELF_CLEAR):
            return None
        if placement.inner and scene.runs_along(*placement.inner, _INNER_CLEAR):
            return None
        crossed = sum(scene.crossings(a, b) for a, b in (*placement.lines, *placement.witness))
        breaks = sum(1 for a, b in placement.witness for _ in scene.texts_under(a, b))
        return Possible(placement, placement.cost + CROSSING_COST * crossed + _BREAK_COST * breaks)

    def _in_frame(self, placement: Placement) -> bool:
        if self.frame is None:
            return True
        x0, y0, x1, y1 = self.frame
        for points in (placement.clear, *placement.lines, *placement.witness):
            for x, y in points:
                if not (x0 <= x <= x1 and y0 <= y <= y1):
                    return False
        return True


class Choices:
    """One request's placements that the ground allows, by rising cost before crossings; each is worked out once."""

    def __init__(self, options: Iterable[Candidate], ground: Ground) -> None:
        self._options = iter(options)
        self._next = next(self._options, None)
        self._ground = ground
        self._found: list[Possible] = []

    def at(self, i: int, limit: float) -> Possible | None:
        """Number `i` of them; None where there are fewer that cost less than `limit` before crossings."""
        while i >= len(self._found) and self._next is not None and self._next.cost < limit:
            found = self._ground.judged(self._next.work_out())
            self._next = next(self._options, None)
            if found is not None:
                self._found.append(found)
        return self._found[i] if i < len(self._found) and self._found[i].placement.cost < limit else None


def _runs_over_itself(placement: Placement) -> bool:
    """True when a leader or extension line of the mark crosses its own text."""
    own = placement.label.corners()
    return any(touch(own, pair) for pair in (*placement.lines, *placement.witness))
