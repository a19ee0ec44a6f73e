"""What is known of a part besides its shape: plain values that its record gives and that travel with the part."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from generator.base.geometry3d import P3
from generator.joint.stations import Use

#: From so far a part comes to its place, mm.
FROM_FAR = 400.0


class Serves(Enum):
    """Whom a part that is made already serves."""

    ALIKE = "any jig that has one of its shape"
    JIG = "all who share the jig, whatever is engraved on it"
    FRAME = "all whose mortise and router agree, though it was made for another heel"
    OWN = "one instrument, even where another's is alike"


class ShopSheet(Enum):
    """Parts that share a shop drawing."""

    BRACKETS = "brackets"
    RESTS = "rests"
    PLUG_AND_BLOCKS = "plug_and_blocks"
    GUIDES = "guides"


@dataclass(frozen=True)
class Shimmed:
    """A part whose whole meaning is one `dimension` that shims can make up, laid `where`.

    `replaces_nominal`: they lie in place of the nominal shim; else they are laid for a moment and taken off again.
    """

    dimension: str
    where: str
    replaces_nominal: bool = False


@dataclass(frozen=True)
class Leg:
    """One straight stretch of a way, `length` mm along an axis, ending where the next begins or the part stands."""

    way: P3
    length: float = FROM_FAR


@dataclass(frozen=True)
class WayIn:
    """How a standing part comes to its place: with which `step` of the assembly, by which legs, held by which rows.

    `on_table`: it lies top down on a table, and the rows `turned` are driven after the jig has been turned over.
    """

    step: int
    legs: tuple[Leg, ...] = ()
    rows: tuple[str, ...] = ()
    on_table: bool = False
    turned: tuple[str, ...] = ()


@dataclass(frozen=True)
class Traits:
    """What others ask of a part.

    `decides_joint`: the joint or its proof is read off it though it may not stand in the jig. `guides_cutter`: the
    bushing runs along its openings. `shim`: it is snipped and laid behind the angle rest. `bears`: the use in which the
    work lies on it. `caption` is what pictures of the jig in use call it, `bench_note` a sentence for its template.
    """

    decides_joint: bool = False
    guides_cutter: bool = False
    shim: bool = False
    serves: Serves = Serves.ALIKE
    shimmed: Shimmed | None = None
    bears: Use | None = None
    way_in: WayIn | None = None
    shop_sheet: ShopSheet | None = None
    caption: str = ""
    bench_note: str = ""


#: Of a part of which nobody asks anything.
NO_TRAITS = Traits()
