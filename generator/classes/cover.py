"""The fewest owners whose things serve everybody: a smallest set cover, found by branch and bound."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

#: Steps of the search after which the best cover found so far is taken as it is.
MOST_STEPS = 200_000


@dataclass(frozen=True)
class Cover:
    """The owners chosen, in order; `proved` is False where the search was cut short, so that fewer might do."""

    owners: tuple[int, ...]
    proved: bool


def fewest(serves: Sequence[frozenset[int]], most_steps: int = MOST_STEPS) -> Cover:
    """The fewest of the owners 0, 1, ... so that everyone is in some `serves[owner]`; each serves at least himself.

    Of equally few the first found counts, owners that serve more being tried first, then the lower number.
    """
    search = _Search([_mask(one) for one in serves], most_steps)
    search.run((1 << len(serves)) - 1, ())
    return Cover(tuple(sorted(search.best)), search.steps < most_steps)


def _mask(members: frozenset[int]) -> int:
    return sum(1 << member for member in members)


class _Search:
    def __init__(self, serves: list[int], most_steps: int) -> None:
        self.serves, self.most_steps = serves, most_steps
        self.best: tuple[int, ...] = tuple(range(len(serves)))
        self.steps = 0

    def run(self, left: int, chosen: tuple[int, ...]) -> None:
        """Serve everybody in `left`, better than the best cover known."""
        if not left:
            if len(chosen) < len(self.best):
                self.best = chosen
            return
        self.steps += 1
        if self.steps >= self.most_steps and len(self.best) < len(self.serves):
            return
        useful = self._useful(left)
        largest = max(mask.bit_count() for mask in useful.values())
        if len(chosen) + -(-left.bit_count() // largest) >= len(self.best):
            return
        # Whoever fewest can serve must be served by one of those few.
        hardest = min(_bits(left), key=lambda one: (sum(mask >> one & 1 for mask in useful.values()), one))
        able = [owner for owner, mask in useful.items() if mask >> hardest & 1]
        for owner in sorted(able, key=lambda one: (-useful[one].bit_count(), one)):
            self.run(left & ~useful[owner], (*chosen, owner))

    def _useful(self, left: int) -> dict[int, int]:
        """What each owner serves of those left, without owners whom another one's share covers."""
        found: dict[int, int] = {}
        order = sorted(range(len(self.serves)), key=lambda one: (-(self.serves[one] & left).bit_count(), one))
        for owner in order:
            mask = self.serves[owner] & left
            if mask and not any(mask & ~other == 0 for other in found.values()):
                found[owner] = mask
        return found


def _bits(mask: int) -> list[int]:
    return [i for i in range(mask.bit_length()) if mask >> i & 1]
