"""A part's exact solid in the part's own frame: the profile extruded once, every sunk feature cut away together.

Walls are planes, cylinders and cones, because the profile is made of lines and circular arcs. Nothing leaves this
module unproved: the solid must be one, valid, and hold the volume that the part states in closed form.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.gp import gp_Ax1, gp_Ax2, gp_Dir, gp_Pnt, gp_Vec
from OCP.TopoDS import TopoDS_Shape, TopoDS_Solid
from OCP.TopTools import TopTools_ListOfShape

from generator.base.contours2d import Contour
from generator.base.errors import GeometryError
from generator.jig.part import Bought, EdgeHole, Face, Hole, Opening, Part
from generator.solid.curves import face
from generator.solid.measure import is_valid, volume
from generator.solid.shapes import solids_of

#: How far a solid's volume may differ from the closed form, relative.
VOLUME_SLACK = 1e-6
#: A cutting tool reaches this far (mm) out of the face it starts from, so that no two faces coincide.
OVERSHOOT = 0.5

Feature = Opening | Hole | EdgeHole


def part_solid(part: Part) -> TopoDS_Solid:
    """The exact solid of `part`, in the part's own frame (mm; z 0 at the back face, `thickness` at the front).

    Raises GeometryError naming the part and every feature that is no number, leaves no material to stand in, or runs
    into another one.
    """
    faults = list(_impossible(part))
    if faults:
        raise GeometryError("\n".join(faults))
    shape = _shape(part)
    fault = _fault(part, shape)
    if fault:
        names = _culprits(part)
        raise GeometryError(f"part {part.name}: {', '.join(names) or 'outline'}: {fault}")
    return solids_of(shape)[0]


def bought_solid(piece: Bought) -> TopoDS_Solid:
    """A bought round piece, head and shank along +z, its length counted from its own frame's origin, mm."""
    if not all(math.isfinite(v) and v > 0 for v in (piece.length, piece.diameter)):
        raise GeometryError(f"bought piece: length {piece.length}, diameter {piece.diameter}; allowed: above 0 mm")
    if not 0.0 <= piece.head_height < piece.length:
        raise GeometryError(
            f"bought piece: head {piece.head_height} high; allowed: 0 up to its length {piece.length} mm"
        )
    polygon = BRepBuilderAPI_MakePolygon()
    for radius, depth in piece.profile:
        polygon.Add(gp_Pnt(radius, 0.0, depth))
    polygon.Close()
    axis = gp_Ax1(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(0.0, 0.0, 1.0))
    turned = BRepPrimAPI_MakeRevol(BRepBuilderAPI_MakeFace(polygon.Wire()).Face(), axis).Shape()
    return solids_of(turned)[0]


def _shape(part: Part) -> TopoDS_Shape:
    through: list[Contour] = [opening.contour for opening in part.openings]
    through += [hole.circle for hole in part.holes if _is_plain(hole)]
    blank = BRepPrimAPI_MakePrism(face(part.outline, through, 0.0), gp_Vec(0.0, 0.0, part.thickness)).Shape()
    tools = list(_tools(part))
    return _cut(blank, tools) if tools else blank


def _is_plain(hole: Hole) -> bool:
    return hole.depth is None and hole.counterbore_diameter is None and hole.countersink_diameter is None


def _cut(blank: TopoDS_Shape, tools: Sequence[TopoDS_Shape]) -> TopoDS_Shape:
    """One boolean with every tool at once: a dozen single cuts would each rebuild the whole plate."""
    arguments, cutters = TopTools_ListOfShape(), TopTools_ListOfShape()
    arguments.Append(blank)
    for tool in tools:
        cutters.Append(tool)
    operation = BRepAlgoAPI_Cut()
    operation.SetArguments(arguments)
    operation.SetTools(cutters)
    operation.SetUseOBB(True)
    operation.Build()
    return operation.Shape()


def _tools(part: Part) -> Iterator[TopoDS_Shape]:
    for hole in part.holes:
        if not _is_plain(hole):
            yield _hole_tool(hole, part.thickness)
    for edge_hole in part.edge_holes:
        yield _edge_hole_tool(edge_hole)


def _hole_tool(hole: Hole, thickness: float) -> TopoDS_Shape:
    """The hole's half profile, radius against depth below its face, turned once round the hole's axis."""
    end = thickness + OVERSHOOT if hole.depth is None else hole.depth
    profile = [(0.0, -OVERSHOOT), *_mouth(hole), (hole.diameter / 2.0, end), (0.0, end)]
    outward = 1.0 if hole.face is Face.FRONT else -1.0
    surface = thickness if hole.face is Face.FRONT else 0.0
    polygon = BRepBuilderAPI_MakePolygon()
    for radius, depth in profile:
        polygon.Add(gp_Pnt(hole.at.x + radius, hole.at.y, surface - outward * depth))
    polygon.Close()
    axis = gp_Ax1(gp_Pnt(hole.at.x, hole.at.y, surface), gp_Dir(0.0, 0.0, outward))
    return BRepPrimAPI_MakeRevol(BRepBuilderAPI_MakeFace(polygon.Wire()).Face(), axis).Shape()


def _mouth(hole: Hole) -> list[tuple[float, float]]:
    """(radius, depth) corners of the widened mouth, from outside the face down to the bore."""
    bore = hole.diameter / 2.0
    if hole.counterbore_diameter is not None and hole.counterbore_depth is not None:
        wide = hole.counterbore_diameter / 2.0
        return [(wide, -OVERSHOOT), (wide, hole.counterbore_depth), (bore, hole.counterbore_depth)]
    if hole.countersink_diameter is not None:
        flare = OVERSHOOT * math.tan(math.radians(hole.countersink_angle / 2.0))
        return [(hole.countersink_diameter / 2.0 + flare, -OVERSHOOT), (bore, hole.countersink_depth)]
    return [(bore, -OVERSHOOT)]


def _edge_hole_tool(hole: EdgeHole) -> TopoDS_Shape:
    start = hole.at.minus(hole.into.times(OVERSHOOT))
    stand = gp_Ax2(gp_Pnt(start.x, start.y, hole.z), gp_Dir(hole.into.x, hole.into.y, 0.0))
    return BRepPrimAPI_MakeCylinder(stand, hole.diameter / 2.0, hole.depth + OVERSHOOT).Shape()


def _fault(part: Part, shape: TopoDS_Shape) -> str | None:
    """What is wrong with the solid, or None."""
    solids = solids_of(shape)
    if len(solids) != 1:
        return f"found {len(solids)} solids; allowed: one"
    if not is_valid(shape):
        return "found an invalid solid; contours cross or lie outside the outline"
    found = volume(shape)
    if not (found > 0 and abs(found - part.volume) <= VOLUME_SLACK * part.volume):
        return (
            f"found a volume of {found:.6f} mm³; allowed: {part.volume:.6f} mm³ as stated by the part "
            "(features must not run into each other or over the outline)"
        )
    return None


def _features(part: Part) -> list[Feature]:
    return [*part.openings, *part.holes, *part.edge_holes]


def _with_only(part: Part, kept: Sequence[Feature]) -> Part:
    return replace(
        part,
        openings=tuple(f for f in kept if isinstance(f, Opening)),
        holes=tuple(f for f in kept if isinstance(f, Hole)),
        edge_holes=tuple(f for f in kept if isinstance(f, EdgeHole)),
    )


def _culprits(part: Part) -> list[str]:
    """Names of the features that fail alone, else of those that make the part fail when they join the ones before."""
    features = _features(part)
    alone = [feature.id for feature in features if _fails(_with_only(part, [feature]))]
    if alone or _fails(_with_only(part, [])):
        return alone
    good: list[Feature] = []
    bad: list[str] = []
    for feature in features:
        if _fails(_with_only(part, [*good, feature])):
            bad.append(feature.id)
        else:
            good.append(feature)
    return bad


def _fails(part: Part) -> bool:
    return _fault(part, _shape(part)) is not None


def _impossible(part: Part) -> Iterator[str]:
    """Sizes the kernel would silently build something odd from."""
    for hole in part.holes:
        yield from _impossible_hole(part, hole)
    for edge_hole in part.edge_holes:
        yield from _impossible_edge_hole(part, edge_hole)


def _impossible_hole(part: Part, hole: Hole) -> Iterator[str]:
    thickness = part.thickness
    reach = thickness if hole.depth is None else hole.depth
    if not (math.isfinite(hole.at.x) and math.isfinite(hole.at.y)):
        yield f"part {part.name}: {hole.id}: found centre {tuple(hole.at)}; allowed: numbers"
    if not (math.isfinite(hole.diameter) and hole.diameter > 0):
        yield _out_of_range(part, hole, "diameter", hole.diameter, math.inf)
        return
    if hole.depth is not None and not 0.0 < hole.depth < thickness:
        yield _out_of_range(part, hole, "depth", hole.depth, thickness)
    if (hole.counterbore_diameter is None) != (hole.counterbore_depth is None):
        yield f"part {part.name}: {hole.id}: a counterbore needs both a diameter and a depth"
    if hole.counterbore_diameter is not None and hole.countersink_diameter is not None:
        yield f"part {part.name}: {hole.id}: found a counterbore and a countersink; allowed: one of them"
    if hole.counterbore_diameter is not None and not hole.diameter < hole.counterbore_diameter < math.inf:
        yield _out_of_range(part, hole, "counterbore diameter", hole.counterbore_diameter, math.inf, hole.diameter)
    if hole.counterbore_depth is not None and not 0.0 < hole.counterbore_depth < reach:
        yield _out_of_range(part, hole, "counterbore depth", hole.counterbore_depth, reach)
    if hole.countersink_diameter is not None:
        if not hole.diameter < hole.countersink_diameter < math.inf:
            yield _out_of_range(part, hole, "countersink diameter", hole.countersink_diameter, math.inf, hole.diameter)
        elif not 0.0 < hole.countersink_angle < 180.0:
            yield f"part {part.name}: {hole.id}: found a countersink of {hole.countersink_angle}°; allowed: 0 to 180°"
        elif not hole.countersink_depth < reach:
            yield _out_of_range(part, hole, "countersink depth", hole.countersink_depth, reach)


def _impossible_edge_hole(part: Part, hole: EdgeHole) -> Iterator[str]:
    if not all(math.isfinite(v) for v in (*hole.at, hole.z, *hole.into)):
        yield f"part {part.name}: {hole.id}: found a position that is no number"
    elif abs(hole.into.length() - 1.0) > 1e-9:
        yield f"part {part.name}: {hole.id}: found a direction of length {hole.into.length()}; allowed: 1"
    if not (math.isfinite(hole.depth) and hole.depth > 0):
        yield _out_of_range(part, hole, "depth", hole.depth, math.inf)
    room = 2.0 * min(hole.z, part.thickness - hole.z)
    if not 0.0 < hole.diameter < room:
        yield _out_of_range(part, hole, "diameter", hole.diameter, room)


def _out_of_range(part: Part, feature: Feature, what: str, found: float, below: float, above: float = 0.0) -> str:
    most = "" if math.isinf(below) else f", below {below:g}"
    return f"part {part.name}: {feature.id}: found a {what} of {found:g} mm; allowed: above {above:g}{most} mm"
