"""Standard sizes of screws, nuts and the holes they want, looked up in the tables of generator/data.

Lengths mm. A size no table holds is refused with the list of those it does hold.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache
from pathlib import Path
from typing import Any

from generator.base.errors import Fault, InputError
from generator.base.units import parse_length
from generator.job.model.joint import BoltKind

#: Folder of the tables of bolts, inserts and screws.
_DATA = Path(__file__).parent / "data"


@dataclass(frozen=True)
class Limits:
    """How far a hole of a tolerance class may lie from its nominal size, mm."""

    lower: float
    upper: float


class HoleFit(Enum):
    """How freely a bolt passes its clearance hole."""

    CLOSE = "close"
    NORMAL = "normal"
    LOOSE = "loose"


@dataclass(frozen=True)
class Thread:
    """A screw thread: major diameter and pitch, mm."""

    name: str
    diameter: float
    pitch: float


@dataclass(frozen=True)
class Countersunk:
    """A countersunk head: diameter at the face (mm) and included angle (degrees)."""

    head_diameter: float
    angle: float


@dataclass(frozen=True)
class FlatHead:
    """A head that bears with a flat ring, of a pan-head or a cap screw: diameter and height, mm."""

    head_diameter: float
    head_height: float


@dataclass(frozen=True)
class Washer:
    """A plain washer: outside diameter and thickness, mm."""

    diameter: float
    thickness: float


@dataclass(frozen=True)
class WoodScrew:
    """A countersunk wood screw: head, clearance hole, pilot hole, and the lengths it is sold in, mm."""

    diameter: float
    head_diameter: float
    clearance: float
    pilot: float
    lengths: tuple[float, ...]

    def longest_within(self, length: float) -> float:
        """The longest one sold that is no longer than `length` mm; the shortest where none is."""
        return max((size for size in self.lengths if size <= length + 1e-9), default=self.lengths[0])


@dataclass(frozen=True)
class TenonThread:
    """The holes in the tenon for one kind of bolt, mm.

    `pilot_hole` runs in from the tenon's end over `engagement`; a barrel nut also wants `cross_hole` through the
    tenon from side to side, else None.
    """

    pilot_hole: float
    engagement: float
    cross_hole: float | None


@cache
def _table(file: str, table: str) -> Mapping[str, Any]:
    with (_DATA / f"{file}.toml").open("rb") as handle:
        loaded: Mapping[str, Any] = tomllib.load(handle)[table]
    return loaded


def _row(file: str, table: str, size: str) -> Any:
    rows = _table(file, table)
    if size not in rows:
        raise InputError([Fault(f"{file}.toml", table, f'"{size}"', ", ".join(f'"{name}"' for name in rows))])
    return rows[size]


def _lengths(file: str, table: str, size: str) -> dict[str, float]:
    return {key: parse_length(raw) for key, raw in _row(file, table, size).items()}


def thread(size: str) -> Thread:
    """The thread called `size`, such as "M6" or "1/4-20"."""
    return Thread(size, **_lengths("threads", "thread", size))


def clearance_hole(size: str, fit: HoleFit = HoleFit.NORMAL) -> float:
    """Diameter (mm) of the hole a bolt of `size` passes through."""
    return _lengths("clearance_holes", "hole", size)[fit.value]


def tap_drill(size: str) -> float:
    """Diameter (mm) of the hole drilled before tapping `size`."""
    return parse_length(_row("tap_drills", "drill", size))


def countersunk(size: str) -> Countersunk:
    """Head of a countersunk screw."""
    return Countersunk(**_lengths("heads", "countersunk", size))


def socket_cap(size: str) -> FlatHead:
    """Head of a hexagon socket cap screw."""
    return FlatHead(**_lengths("heads", "socket_cap", size))


def pan_head(size: str) -> FlatHead:
    """Head of the pan-head wood screw with a thread of `size` mm, such as "4"."""
    return FlatHead(**_lengths("wood_screws", "pan_head", size))


def washer(size: str) -> Washer:
    """A plain washer."""
    return Washer(**_lengths("heads", "washer", size))


def large_washer(size: str) -> Washer:
    """A plain washer of the large series."""
    return Washer(**_lengths("heads", "large_washer", size))


def wood_screw(size: str) -> WoodScrew:
    """The wood screw with a thread of `size` mm, such as "4"."""
    return WoodScrew(
        **_lengths("wood_screws", "wood_screw", size), lengths=tuple(map(float, _row("wood_screws", "lengths", size)))
    )


def tenon_thread(size: str, kind: BoltKind) -> TenonThread:
    """The holes in the tenon that take the neck bolt's thread."""
    row = _lengths("tenon_threads", kind.value, size)
    if kind is BoltKind.BARREL:
        return TenonThread(clearance_hole(size), row["diameter"], row["diameter"])
    return TenonThread(row["pilot"], row["length"], None)


def is_metric(size: str) -> bool:
    """True for a metric thread such as "M6", False for a unified one such as "1/4-20"."""
    return size.startswith("M")


def bolt_lengths(size: str, kind: BoltKind) -> tuple[float, ...]:
    """Lengths (mm, shortest first) in which neck bolts of a thread are sold; a hanger bolt's is its whole length."""
    table = "hanger" if kind is BoltKind.HANGER else "bolt"
    return tuple(parse_length(raw) for raw in _row("bolt_lengths", table, "metric" if is_metric(size) else "unified"))


def boxes(title: str, count: int) -> tuple[int, ...]:
    """The boxes to buy, largest first, for `count` pieces called `title`: as few pieces as do, then as few boxes.

    Empty for what is sold by the piece.
    """
    sizes: tuple[int, ...] = next(
        (tuple(row) for words, row in _table("boxes", "box").items() if words in title.lower()), ()
    )
    if not sizes:
        return ()
    fewest: dict[int, tuple[int, ...]] = {0: ()}
    held = 0
    while held < count or held not in fewest:
        held += 1
        ways = [(*fewest[held - size], size) for size in sizes if held - size in fewest]
        if ways:
            fewest[held] = min(ways, key=len)
    return tuple(sorted(fewest[held], reverse=True))


def hole_limits(fit: str, diameter: float) -> Limits:
    """Limits of a hole of tolerance class `fit`, such as "H7", and nominal `diameter` mm.

    KeyError for a class the table does not hold, ValueError for a diameter beyond it.
    """
    for over, up_to, lower, upper in _table("fits", "holes")[fit]:
        if over < diameter <= up_to:
            return Limits(lower / 1000.0, upper / 1000.0)
    raise ValueError(f"fit {fit}: found a diameter of {diameter:g} mm; allowed: above 0, up to 30 mm")
