"""Reads a STEP file back as plain numbers: solids, names, volumes, boxes, round walls, and what a plane cuts."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from OCP.TopoDS import TopoDS_Solid

from generator.base.bounded_file import read_bounded
from generator.base.contours2d import Region
from generator.base.errors import OutputError
from generator.base.geometry3d import P3, X_AXIS, Y_AXIS, Placement
from generator.formats.step.text import step_entities
from generator.solid import Bounds, Colour, bounds, is_valid, read_entries, section, volume
from generator.solid.shapes import corners_of


@dataclass(frozen=True)
class StepSolid:
    """One solid as the file has it: its product's name, the name of this copy, its sRGB colour (0 to 1) if any."""

    product: str
    label: str
    colour: Colour | None
    shape: TopoDS_Solid = field(repr=False, compare=False)

    @cached_property
    def volume(self) -> float:
        """Enclosed volume, mm³."""
        return volume(self.shape)

    @cached_property
    def bounds(self) -> Bounds:
        """The tightest axis-parallel box, mm."""
        return bounds(self.shape)

    @cached_property
    def valid(self) -> bool:
        """True when the kernel finds no fault in faces, edges and closure."""
        return is_valid(self.shape)

    @cached_property
    def corners(self) -> tuple[P3, ...]:
        """Every corner point, mm."""
        return tuple(corners_of(self.shape))

    def section_at(self, z: float) -> tuple[Region, ...]:
        """What the level plane at height `z` mm cuts, seen from above, in x and y; GeometryError where it misses."""
        return section(self.shape, Placement(P3(0.0, 0.0, z), X_AXIS, Y_AXIS))


@dataclass(frozen=True)
class StepFile:
    """The solids of one STEP file, in the order of the file; lengths in mm whatever unit the file is in."""

    name: str
    solids: tuple[StepSolid, ...]

    def solid(self, label: str) -> StepSolid:
        for solid in self.solids:
            if solid.label == label:
                return solid
        raise KeyError(label)

    @property
    def only(self) -> StepSolid:
        """The one solid of a part's file. Raises OutputError where there is none or more than one."""
        if len(self.solids) != 1:
            raise OutputError(f"{self.name}: found {len(self.solids)} solids; allowed: one")
        return self.solids[0]


def read_step(path: Path) -> StepFile:
    """The STEP file at `path`. Raises OutputError where it is missing, no STEP file, or holds no model."""
    try:
        data = read_bounded(path)
    except OutputError as error:
        raise OutputError(f"{path}: cannot be read ({error})") from error
    return read_step_bytes(data, path.name)


def read_step_bytes(data: bytes, name: str) -> StepFile:
    """A STEP file's content; `name` stands for it in errors. Only what is sound as text reaches the kernel."""
    try:
        step_entities(data)
    except OutputError as error:
        raise OutputError(f"{name}: {error}") from error
    solids = tuple(StepSolid(e.product, e.label, e.colour, e.solid) for e in read_entries(data, name))
    return StepFile(name, solids)
