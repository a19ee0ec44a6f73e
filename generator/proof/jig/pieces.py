"""The jig's parts and screws as solids: outlines from the cutting files, places from the jig, screws by their rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from shapely import Polygon

from generator.base.geometry3d import P3
from generator.jig.fixings import Fixing, fixings
from generator.jig.layout import Layout, jig_layout
from generator.joint.stations import fence_offset
from generator.proof.jig.measured_jig import Pose
from generator.proof.jig.posed_jig import area_of
from generator.proof.jig.solids import Solid, flat_part, round_bar
from generator.proof.kit_files import Kit

#: Diameter of a screwdriver bit with its holder, mm (common practice).
DRIVER = 8.0
#: Length of a screwdriver bit with its holder, mm (common practice).
DRIVER_LONG = 100.0
#: Diameter of the hand or chuck behind a screwdriver bit, mm (common practice).
HAND = 34.0
#: Length of the hand or chuck behind a screwdriver bit, mm (common practice).
HAND_LONG = 120.0


@dataclass(frozen=True)
class Pieces:
    """One kit's standing jig: `parts` by label, `rows` of screws in the order of assembly."""

    kit: Kit
    setting: Pose
    parts: Mapping[str, Solid]
    rows: tuple[Fixing, ...]

    @staticmethod
    def of(kit: Kit, shapes: Mapping[str, Polygon], setting: Pose) -> Pieces:
        """`shapes` are the parts' profiles by name, as their cutting files have them."""
        known = {**_without_file(kit), **shapes}
        parts = {
            item.label: flat_part(item.label, known[item.part.name], item.part.thickness, item.placement)
            for item in kit.jig.placed
            if item.part.name in known
        }
        return Pieces(kit, setting, parts, fixings(jig_layout(kit.solution)))

    @property
    def layout(self) -> Layout:
        return jig_layout(self.kit.solution)

    @property
    def fence(self) -> float:
        """From the board's middle to each cut's X = 0, mm."""
        return fence_offset(self.kit.solution.job, self.kit.solution.cradle)

    def thickness(self, stock: str) -> float:
        """Actual thickness (mm) of a part's stock, such as "board"."""
        return self.kit.solution.job.stock(stock).actual_thickness

    def takers(self, row: Fixing) -> tuple[str, ...]:
        """Labels of the parts that a row's screws may bite in: "bracket" stands for both."""
        return tuple(label for label in self.parts if label.startswith(row.takes))

    @property
    def shims(self) -> tuple[str, ...]:
        """Labels of the shims that stand behind the angle rest."""
        return tuple(label for label in self.parts if self.kit.jig.part(label).traits.shim)


def _without_file(kit: Kit) -> dict[str, Polygon]:
    """Shims are snipped by their drawing, not cut from a file: their model's outline stands for them."""
    placed = (item.part for item in kit.jig.placed)
    return {part.name: area_of(part.outline) for part in placed if part.traits.shim}


def shank(row: Fixing, head: P3) -> Solid:
    """A screw in its place, head and thread as one bar of the thread's diameter."""
    start = head.plus(row.into.times(row.sunk))
    return round_bar(f"screw {row.purpose}", start, row.into, row.length, row.fastener.diameter)


def bite(row: Fixing, head: P3) -> Solid:
    """What of a screw lies in the part that takes it, past the face it enters by its own diameter."""
    skip = row.through + row.fastener.diameter
    start = head.plus(row.into.times(skip))
    return round_bar(f"screw {row.purpose}", start, row.into, row.bite - row.fastener.diameter, row.fastener.diameter)


def way_in(row: Fixing, head: P3) -> tuple[Solid, ...]:
    """What a screw's head, the driver and the hand behind it take up outside the face it goes in by."""
    out = row.into.times(-1.0)
    label = f"screw {row.purpose}"
    return (
        round_bar(f"head of a {label}", head, out, row.length + DRIVER_LONG, row.fastener.head_diameter),
        round_bar(f"driver of a {label}", head, out, row.length + DRIVER_LONG, DRIVER),
        round_bar(f"hand behind a {label}", head.plus(out.times(DRIVER_LONG)), out, row.length + HAND_LONG, HAND),
    )
