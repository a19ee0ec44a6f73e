"""The cylindrical walls of a solid, asked of the CAD kernel."""

from __future__ import annotations

from dataclasses import dataclass

from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.TopoDS import TopoDS_Shape

from generator.base.geometry3d import P3
from generator.solid.shapes import faces_of


@dataclass(frozen=True)
class Cylinder:
    """A cylindrical wall: radius in mm, a point on its axis and the axis' unit direction."""

    radius: float
    origin: P3
    direction: P3


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
