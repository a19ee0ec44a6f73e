"""Volume, bounds and validity of a solid as plain numbers."""

from __future__ import annotations

from typing import NamedTuple

from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.TopoDS import TopoDS_Shape

from generator.base.geometry3d import P3


class Bounds(NamedTuple):
    """An axis-parallel box in space, mm."""

    low: P3
    high: P3

    @property
    def size(self) -> P3:
        return self.high.minus(self.low)


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
