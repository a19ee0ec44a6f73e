"""Hidden-line removal by the kernel: which edges of solids can be seen from a direction.

The kernel is asked for its answer on the solids' own curves, never for its flat picture, in which it draws a circle
seen edge-on as a spline. Projecting a straight edge or a circular arc is done here, exactly where a line or an arc
results.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import cadquery as cq
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Ax2
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape, HLRBRep_TypeOfResultingEdge

from generator.geometry2d import P2, Segment
from generator.geometry3d import P3, Placement
from generator.solid.curves import direction, point
from generator.solid.fit import fitted_arcs

#: A circle whose axis leans less than this (1 − cosine) is seen face-on.
SQUARE = 1e-9
#: Segments shorter than this (mm) are the kernel's crumbs.
CRUMB = 1e-4


@dataclass(frozen=True)
class SeenEdges:
    """The projected edges of one solid: `sharp` edges and outlines; `smooth` ones where faces run on tangentially."""

    sharp: tuple[Segment, ...]
    hidden: tuple[Segment, ...]
    smooth: tuple[Segment, ...]


def seen_edges(solids: Sequence[cq.Shape], view: Placement, max_error: float) -> tuple[SeenEdges, ...]:
    """The edges of each solid as seen from `view.z_axis`, in the view's own x and y, mm, all solids hiding each other.

    Circles seen at a slant become arcs that stay within `max_error` mm of the ellipse; everything else is exact.
    """
    algorithm = HLRBRep_Algo()
    for solid in solids:
        algorithm.Add(solid.wrapped)
    eye = gp_Ax2(point(view.origin), direction(view.z_axis), direction(view.x_axis))
    algorithm.Projector(HLRAlgo_Projector(eye))
    algorithm.Update()
    algorithm.Hide()
    answer = HLRBRep_HLRToShape(algorithm)
    return tuple(_of_one(answer, solid, view, max_error) for solid in solids)


def _of_one(answer: HLRBRep_HLRToShape, solid: cq.Shape, view: Placement, max_error: float) -> SeenEdges:
    kinds = HLRBRep_TypeOfResultingEdge

    def edges(visible: bool, *wanted: HLRBRep_TypeOfResultingEdge) -> tuple[Segment, ...]:
        out: list[Segment] = []
        for kind in wanted:
            found = answer.CompoundOfEdges(solid.wrapped, kind, visible, True)
            if found is not None and not found.IsNull():
                for edge in cq.Shape.cast(found).Edges():
                    out += projected(edge, view, max_error)
        return tuple(out)

    return SeenEdges(
        sharp=edges(True, kinds.HLRBRep_Sharp, kinds.HLRBRep_OutLine),
        hidden=edges(False, kinds.HLRBRep_Sharp, kinds.HLRBRep_OutLine),
        smooth=edges(True, kinds.HLRBRep_Rg1Line),
    )


def projected(edge: cq.Edge, view: Placement, max_error: float) -> list[Segment]:
    """One edge as segments of the view plane; empty for an edge that runs straight at the eye."""
    curve = BRepAdaptor_Curve(edge.wrapped)
    first, last = curve.FirstParameter(), curve.LastParameter()
    if curve.GetType() == GeomAbs_CurveType.GeomAbs_Line:
        at = _projector(curve, view)
        segments = [Segment(at(first), at(last))]
    elif curve.GetType() == GeomAbs_CurveType.GeomAbs_Circle:
        segments = list(_circle(curve, view, first, last, max_error))
    else:
        segments = list(fitted_arcs(_projector(curve, view), first, last, max_error))
    return [segment for segment in segments if segment.start.distance(segment.end) > CRUMB]


def _circle(curve: BRepAdaptor_Curve, view: Placement, first: float, last: float, most: float) -> Iterator[Segment]:
    circle = curve.Circle()
    normal = circle.Axis().Direction()
    facing = view.z_axis.dot(P3(normal.X(), normal.Y(), normal.Z()))
    at = _projector(curve, view)
    if abs(facing) > 1.0 - SQUARE:
        pieces = max(1, math.ceil((last - first) / math.pi - SQUARE))
        bulge = math.copysign(math.tan((last - first) / pieces / 4.0), facing)
        ts = [first + (last - first) * i / pieces for i in range(pieces + 1)]
        yield from (Segment(at(a), at(b), bulge) for a, b in pairwise(ts))
        return
    x, y = circle.XAxis().Direction(), circle.YAxis().Direction()
    lean_x = view.z_axis.dot(P3(x.X(), x.Y(), x.Z()))
    lean_y = view.z_axis.dot(P3(y.X(), y.Y(), y.Z()))
    # Seen at a slant the circle is an ellipse; its axes lie where the circle is nearest to the eye, and a quarter on.
    # Seen edge-on the ellipse is flat, its arcs are lines, and they end exactly at the outermost points.
    nearest = math.atan2(lean_y, lean_x)
    turns = [nearest + k * math.pi / 2.0 for k in range(-8, 9)]
    ts = [first, *(t for t in turns if first + SQUARE < t < last - SQUARE), last]
    for a, b in pairwise(ts):
        yield from fitted_arcs(at, a, b, most)


def _projector(curve: BRepAdaptor_Curve, view: Placement) -> Callable[[float], P2]:
    def at(t: float) -> P2:
        where = curve.Value(t)
        local = view.to_part(P3(where.X(), where.Y(), where.Z()))
        return P2(local.x, local.y)

    return at
