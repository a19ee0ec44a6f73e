"""What a shape of the kernel is made of: its solids, faces and corner points, each once, in the kernel's own order."""

from __future__ import annotations

from OCP.BRep import BRep_Tool
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape, TopoDS_Solid
from OCP.TopTools import TopTools_IndexedMapOfShape

from generator.base.geometry3d import P3


def solids_of(shape: TopoDS_Shape) -> list[TopoDS_Solid]:
    return [TopoDS.Solid_s(one) for one in _below(shape, TopAbs_ShapeEnum.TopAbs_SOLID)]


def faces_of(shape: TopoDS_Shape) -> list[TopoDS_Face]:
    return [TopoDS.Face_s(one) for one in _below(shape, TopAbs_ShapeEnum.TopAbs_FACE)]


def corners_of(shape: TopoDS_Shape) -> list[P3]:
    """Every corner point, mm."""
    found = (BRep_Tool.Pnt_s(TopoDS.Vertex_s(one)) for one in _below(shape, TopAbs_ShapeEnum.TopAbs_VERTEX))
    return [P3(at.X(), at.Y(), at.Z()) for at in found]


def moved(solid: TopoDS_Solid, place: object) -> TopoDS_Solid:
    """The solid, carried by a location of the kernel."""
    return TopoDS.Solid_s(solid.Moved(place))


def _below(shape: TopoDS_Shape, kind: TopAbs_ShapeEnum) -> list[TopoDS_Shape]:
    found = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, kind, found)
    return list(found)
