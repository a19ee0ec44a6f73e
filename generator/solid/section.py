"""What a plane meets of a solid, as contours with true arcs."""

from __future__ import annotations

from collections.abc import Iterator

from OCP.Bnd import Bnd_Box
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.BRepTools import BRepTools
from OCP.gp import gp_Pln
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape

from generator.base.contours2d import Region
from generator.base.errors import GeometryError
from generator.base.geometry3d import Placement
from generator.solid.curves import axes, contour_of_wire


def section(shape: TopoDS_Shape, plane: Placement, max_error: float | None = None) -> tuple[Region, ...]:
    """The areas in which the plane through `plane.origin`, along its x and y axes, cuts the solid.

    Contours are in the plane's own coordinates, mm, counter-clockwise. A round wall cut at a slant becomes arcs within
    `max_error` mm of the ellipse. Raises GeometryError where the plane misses the solid, and for a slanted cut when
    `max_error` is None.
    """
    regions = _regions(shape, plane, max_error)
    if not regions:
        raise GeometryError(f"the section plane at {tuple(plane.origin)} misses the solid")
    return regions


def _regions(shape: TopoDS_Shape, plane: Placement, max_error: float | None) -> tuple[Region, ...]:
    half = 2.0 * _reach(shape, plane)
    sheet = BRepBuilderAPI_MakeFace(gp_Pln(axes(plane)), -half, half, -half, half).Face()
    cut = BRepAlgoAPI_Common(shape, sheet).Shape()
    regions = (_region(face, plane, max_error) for face in _faces(cut))
    return tuple(sorted(regions, key=lambda region: tuple(region.box())))


def _reach(shape: TopoDS_Shape, plane: Placement) -> float:
    """No point of the solid is further than this from the plane's origin, mm."""
    box = Bnd_Box()
    BRepBndLib.Add_s(shape, box)
    far = box.CornerMax().XYZ().Modulus() + box.CornerMin().XYZ().Modulus()
    return float(far) + plane.origin.length() + 1.0


def _faces(cut: object) -> Iterator[TopoDS_Face]:
    walk = TopExp_Explorer(cut, TopAbs_ShapeEnum.TopAbs_FACE)
    while walk.More():
        yield TopoDS.Face_s(walk.Current())
        walk.Next()


def _region(face: TopoDS_Face, plane: Placement, max_error: float | None) -> Region:
    outer = BRepTools.OuterWire_s(face)
    holes = []
    walk = TopExp_Explorer(face, TopAbs_ShapeEnum.TopAbs_WIRE)
    while walk.More():
        wire = TopoDS.Wire_s(walk.Current())
        if not wire.IsSame(outer):
            holes.append(contour_of_wire(wire, face, plane, max_error))
        walk.Next()
    holes.sort(key=lambda contour: tuple(contour.box()))
    return Region(contour_of_wire(outer, face, plane, max_error), tuple(holes))
