"""Between `contours2d` and the CAD kernel's edges, wires and faces: lines and arcs, never splines."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeVertex,
    BRepBuilderAPI_MakeWire,
)
from OCP.BRepTools import BRepTools_WireExplorer
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Ax2, gp_Ax3, gp_Circ, gp_Dir, gp_Pln, gp_Pnt
from OCP.TopAbs import TopAbs_Orientation
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Vertex, TopoDS_Wire

from generator.base.contours2d import Circle, Contour, Path, Vertex
from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, Placement
from generator.base.points2d import P2
from generator.base.segments2d import Segment
from generator.solid.fit import fitted_arcs

#: Two arcs whose centres and radii agree within this (mm) lie on one circle.
SAME_CIRCLE = 1e-6


def point(p: P3) -> gp_Pnt:
    return gp_Pnt(p.x, p.y, p.z)


def direction(p: P3) -> gp_Dir:
    return gp_Dir(p.x, p.y, p.z)


def axes(place: Placement) -> gp_Ax3:
    """The placement as the kernel's right-handed axes."""
    return gp_Ax3(point(place.origin), direction(place.z_axis), direction(place.x_axis))


def wire(contour: Contour, z: float) -> TopoDS_Wire:
    """The contour as a closed wire at height `z` mm, running the way the contour runs."""
    maker = BRepBuilderAPI_MakeWire()
    for edge in _circle_edges(contour, z) if isinstance(contour, Circle) else _path_edges(contour, z):
        maker.Add(edge)
    return maker.Wire()


def _circle_edges(circle: Circle, z: float) -> Iterable[TopoDS_Edge]:
    yield BRepBuilderAPI_MakeEdge(_kernel_circle(circle.center, circle.radius, z, 1.0)).Edge()


def _path_edges(path: Path, z: float) -> Iterable[TopoDS_Edge]:
    """Neighbouring edges share one vertex object, so the wire is closed by construction and not by a tolerance."""
    corners = [BRepBuilderAPI_MakeVertex(gp_Pnt(v.x, v.y, z)).Vertex() for v in path.vertices]
    for i, segment in enumerate(path.segments()):
        yield _segment_edge(segment, z, corners[i], corners[(i + 1) % len(corners)])


def _segment_edge(segment: Segment, z: float, start: TopoDS_Vertex, end: TopoDS_Vertex) -> TopoDS_Edge:
    if not segment.is_arc:
        return BRepBuilderAPI_MakeEdge(start, end).Edge()
    circle = _kernel_circle(segment.center, segment.radius, z, segment.bulge)
    return BRepBuilderAPI_MakeEdge(circle, start, end).Edge()


def _kernel_circle(center: P2, radius: float, z: float, sense: float) -> gp_Circ:
    up = gp_Dir(0.0, 0.0, 1.0 if sense > 0 else -1.0)
    return gp_Circ(gp_Ax2(gp_Pnt(center.x, center.y, z), up), radius)


def face(outer: Contour, inner: Iterable[Contour], z: float) -> TopoDS_Face:
    """The flat face at height `z` mm, facing up, bounded by `outer` less the areas of `inner`."""
    maker = BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(0.0, 0.0, z), gp_Dir(0.0, 0.0, 1.0)), wire(outer, z))
    for contour in inner:
        backwards = wire(contour, z).Reversed()
        maker.Add(TopoDS.Wire_s(backwards))
    return maker.Face()


def contour_of_wire(closed: TopoDS_Wire, on: TopoDS_Face, place: Placement, max_error: float | None) -> Contour:
    """The closed wire of a flat face as a counter-clockwise contour in the plane of `place`.

    A curve that is neither line nor circle becomes arcs within `max_error` mm of it; None refuses it (GeometryError).
    """
    segments: list[Segment] = []
    walk = BRepTools_WireExplorer(closed, on)
    while walk.More():
        segments += edge_segments(walk.Current(), place, max_error)
        walk.Next()
    return contour_of_segments(segments)


def contour_of_segments(segments: Sequence[Segment]) -> Contour:
    """A closed run of segments as one contour: what the kernel has split is joined again; a full turn is a Circle."""
    joined = _joined(segments)
    if all(seg.is_arc for seg in joined) and all(_one_circle(joined[0], seg) for seg in joined[1:]):
        return Circle(joined[0].center, joined[0].radius)
    return Path(tuple(Vertex(*seg.start, seg.bulge) for seg in joined)).counter_clockwise()


def edge_segments(edge: TopoDS_Edge, place: Placement, max_error: float | None) -> list[Segment]:
    """An edge that lies in the plane of `place` as segments, in the edge's own sense; see `contour_of_wire`."""
    curve = BRepAdaptor_Curve(edge)
    first, last = curve.FirstParameter(), curve.LastParameter()

    def at(t: float) -> P2:
        return _in_plane(curve.Value(t), place)

    if curve.GetType() == GeomAbs_CurveType.GeomAbs_Line:
        segments = [Segment(at(first), at(last))]
    elif curve.GetType() == GeomAbs_CurveType.GeomAbs_Circle:
        segments = _arcs(curve, at, place, first, last)
    elif max_error is not None:
        segments = list(fitted_arcs(at, first, last, max_error))
    else:
        raise GeometryError(f"a flat contour holds a curve that is neither line nor circular arc: {curve.GetType()}")
    if edge.Orientation() == TopAbs_Orientation.TopAbs_REVERSED:
        segments = [segment.reversed() for segment in reversed(segments)]
    return segments


def _arcs(
    curve: BRepAdaptor_Curve, at: Callable[[float], P2], place: Placement, first: float, last: float
) -> list[Segment]:
    """A circular edge facing the plane; no arc turns by more than half."""
    normal = curve.Circle().Axis().Direction()
    count = 1 if last - first <= math.pi + SAME_CIRCLE else 2
    step = (last - first) / count
    bulge = math.copysign(math.tan(step / 4.0), normal.Dot(direction(place.z_axis)))
    return [Segment(at(first + i * step), at(first + (i + 1) * step), bulge) for i in range(count)]


def _in_plane(at: gp_Pnt, place: Placement) -> P2:
    local = place.to_part(P3(at.X(), at.Y(), at.Z()))
    return P2(local.x, local.y)


def _one_circle(a: Segment, b: Segment) -> bool:
    return (
        a.is_arc
        and b.is_arc
        and a.bulge * b.bulge > 0
        and abs(a.radius - b.radius) < SAME_CIRCLE
        and a.center.distance(b.center) < SAME_CIRCLE
    )


def _joined(segments: Sequence[Segment]) -> list[Segment]:
    """Neighbours on one line or one circle as one segment, as long as an arc stays within a half turn."""
    out: list[Segment] = []
    for segment in segments:
        both = _join(out[-1], segment) if out else None
        if both is None:
            out.append(segment)
        else:
            out[-1] = both
    if len(out) > 2 and (both := _join(out[-1], out[0])) is not None:
        out = [both, *out[1:-1]]
    return out


def _join(a: Segment, b: Segment) -> Segment | None:
    if not a.is_arc and not b.is_arc:
        u, v = a.end.minus(a.start), b.end.minus(b.start)
        straight = abs(u.cross(v)) <= SAME_CIRCLE * (u.length() + v.length()) and u.dot(v) > 0
        return Segment(a.start, b.end) if straight else None
    if not _one_circle(a, b) or abs(a.sweep + b.sweep) > 180.0 + 1e-9:
        return None
    return Segment(a.start, b.end, math.tan(math.radians(a.sweep + b.sweep) / 4.0))
