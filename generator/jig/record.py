"""The record of a part: its name, how it is built, when the jig has it, where it stands, and its traits.

It stands beside the part's function, in the part's own file; `catalog.py` lists all of them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from generator.base.errors import GeometryError
from generator.base.geometry3d import Placement
from generator.jig.layout import Layout
from generator.jig.part import Part
from generator.jig.traits import NO_TRAITS, Traits


def always(layout: Layout) -> bool:
    """Every jig has the part."""
    return True


def cuts_body(layout: Layout) -> bool:
    """The part serves a cut in the body."""
    return layout.cuts_body


@dataclass(frozen=True)
class Record:
    """One part, or a family of parts whose names begin with `name`.

    `stands` is None for what is used by hand and is no piece of the standing jig.
    """

    name: str
    build: Callable[[Layout], Part | tuple[Part, ...]]
    traits: Traits = NO_TRAITS
    stands: Callable[[Layout], Placement] | None = None
    when: Callable[[Layout], bool] = always

    def parts(self, layout: Layout) -> tuple[Part, ...]:
        """The parts as this jig has them, with their traits; GeometryError for one that goes by another name."""
        if not self.when(layout):
            return ()
        built = self.build(layout)
        found = built if isinstance(built, tuple) else (built,)
        for part in found:
            if not part.name.startswith(self.name):
                raise GeometryError(f"part {part.name}: its record names it {self.name}")
        return tuple(replace(part, traits=self.traits) for part in found)
