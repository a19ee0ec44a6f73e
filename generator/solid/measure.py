"""Volume, bounds, validity and round walls of a solid as plain numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from OCP.Bnd import Bnd_Box
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.GProp import GProp_GProps
from OCP.TopoDS import TopoDS_Shape

from generator.base.geometry3d import P3
from generator.solid.shapes import faces_of


class Bounds(NamedTuple):
    """An axis-parallel box in space, mm."""

    low: P3
    high: P3

    @property
    def size(self) -> P3:
        return self.high.minus(self.low)


@dataclass(frozen=True)
class Cylinder:
    """A cylindrical wall: radius in mm, a point on its axis and the axis' unit direction."""

    radius: float
    origin: P3
    direction: P3


def volume(shape: TopoDS_Shape) -> float:
    """Enclosed volume, mm³."""
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties)
    return float(properties.Mass())


def is_valid(shape: TopoDS_Shape) -> bool:
    return bool(BRepCheck_Analyzer(shape).IsValid())


def bounds(shape: TopoDS_Shape) -> Bounds:
    """The tightest axis-parallel box, mm; the kernel's tolerance gap taken off."""
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    return Bounds(P3(low.X(), low.Y(), low.Z()), P3(high.X(), high.Y(), high.Z()))


def cylinders(shape: TopoDS_Shape) -> tuple[Cylinder, ...]:
    """Every cylindrical face, in a fixed order."""
    found = []
    for face in faces_of(shape):
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() == GeomAbs_SurfaceType.GeomAbs_Cylinder:
            wall = surface.Cylinder()
            at, along = wall.Axis().Location(), wall.Axis().Direction()
            found.append(Cylinder(wall.Radius(), P3(at.X(), at.Y(), at.Z()), P3(along.X(), along.Y(), along.Z())))
    return tuple(sorted(found, key=lambda c: (c.radius, *c.origin, *c.direction)))
