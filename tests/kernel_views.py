"""What the CAD kernel sees of solids from a direction: its hidden-line removal as a witness for pictures."""

from __future__ import annotations

from collections.abc import Mapping

import cadquery as cq
import shapely
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape, HLRBRep_TypeOfResultingEdge
from OCP.TopoDS import TopoDS_Shape

from generator.base.geometry3d import P3, Placement

#: Points along a curve: a quarter turn of 20 mm radius stays within 0.001 mm.
_PIECES = 128
#: Lines shorter than this (mm) are the kernel's crumbs.
_CRUMB = 1e-4


def visible_lines(solids: Mapping[str, TopoDS_Shape], view: Placement) -> shapely.MultiLineString:
    """Sharp edges and outlines that are seen of the solids, hiding each other, in the view's x and y, mm."""
    algorithm = HLRBRep_Algo()
    for solid in solids.values():
        algorithm.Add(solid)
    eye = gp_Ax2(gp_Pnt(*view.origin), gp_Dir(*view.z_axis), gp_Dir(*view.x_axis))
    algorithm.Projector(HLRAlgo_Projector(eye))
    algorithm.Update()
    algorithm.Hide()
    answer = HLRBRep_HLRToShape(algorithm)
    kinds = HLRBRep_TypeOfResultingEdge
    lines = []
    for solid in solids.values():
        for kind in (kinds.HLRBRep_Sharp, kinds.HLRBRep_OutLine):
            found = answer.CompoundOfEdges(solid, kind, True, True)
            if found is not None and not found.IsNull():
                lines += [_line(edge, view) for edge in cq.Shape.cast(found).Edges()]
    return shapely.union_all([line for line in lines if line.length > _CRUMB])


def _line(edge: cq.Edge, view: Placement) -> shapely.LineString:
    curve = BRepAdaptor_Curve(edge.wrapped)
    first, last = curve.FirstParameter(), curve.LastParameter()
    pieces = 1 if curve.GetType() == GeomAbs_CurveType.GeomAbs_Line else _PIECES
    points = []
    for i in range(pieces + 1):
        at = curve.Value(first + (last - first) * i / pieces)
        points.append(view.to_part(P3(at.X(), at.Y(), at.Z()))[:2])
    return shapely.LineString(points)
