"""What the jig's files really set: where the rests stand and how wide they are, measured on the cutting files.

A chain of parts gives the neck its angle: the plate's screws stand over the board's middle, the board's screws carry
the rests at their depths, and the rests stand out of the board by their widths, the angle rest on its nominal shim.
Each link is read from its file; the model only tells which of a part's holes is which.

Jig frame, mm: X from where the results have the upper rest's face, Z up, the plate's underside at 0.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

import shapely
from shapely import LineString, Polygon

from generator.base.contours2d import Circle, Contour, Path
from generator.base.errors import GeometryError
from generator.base.points2d import P2
from generator.cutting.cut_layers import CUT_INSIDE, CUT_OUTSIDE, POCKET
from generator.formats.dxf.read import CuttingFile
from generator.jig.blocks import DEPTH_BLOCK, SECOND_DEPTH_BLOCK
from generator.jig.board import BOARD
from generator.jig.bracket import BRACKET_LEFT
from generator.jig.part import Jig
from generator.jig.rests import ANGLE_REST, BODY_REST, UPPER_REST
from generator.jig.template_plate import TEMPLATE_PLATE
from generator.joint.stations import Use
from generator.proof.cut.nominal_cut import Fence, fences
from generator.proof.kit_files import Kit

#: A hole is taken for the model's when it lies within this of it, mm: enough for any fault that still makes a jig.
_NEAR = 8.0
#: Half the length of a line that reaches past any part, mm.
_FAR = 1e4
#: A rest's front edge is read this far inside its outer corners, mm.
_INSIDE = 2.0


@dataclass(frozen=True)
class RestFace:
    """One rest as it stands: its front face's X, and the depths of its upper and lower edge, mm."""

    x: float
    top: float
    foot: float

    @property
    def corners(self) -> tuple[P2, P2]:
        """(depth, X) of both front edges."""
        return P2(self.top, self.x), P2(self.foot, self.x)


@dataclass(frozen=True)
class NeckPlane:
    """The plane that lies on both rests: X = (depth − `contact`)·`slope` + `x`, mm; the slope as rise over run."""

    contact: float
    x: float
    slope: float

    def at(self, depth: float) -> float:
        """X (mm) at a depth below the plate."""
        return self.x + (depth - self.contact) * self.slope

    @property
    def angle(self) -> float:
        """Degrees from the plate's normal."""
        return math.degrees(math.atan(self.slope))


@dataclass(frozen=True)
class Pose:
    """What the cutting files set, mm.

    `upper` and `lower` are the neck's two rests in the neck's jig frame, `body` the body rest in the body's, its
    bearing from |Y| `body_inner` to `body_outer`; None and 0 in a jig that cuts nothing in the body.
    """

    upper: RestFace
    lower: RestFace
    body: RestFace | None
    body_inner: float
    body_outer: float
    rail: float
    body_cut_depth: float
    neck_cut_depth: float
    gate_depth: float

    @property
    def body_rest(self) -> RestFace:
        """`body`, for who needs it. GeometryError in a jig that cuts nothing in the body."""
        if self.body is None:
            raise GeometryError("the jig has no body rest")
        return self.body

    def cut_depth(self, use: Use) -> float:
        """How deep a cut goes with the block that sets it, mm."""
        return self.neck_cut_depth if use is Use.NECK else self.body_cut_depth

    @property
    def neck_plane(self) -> NeckPlane:
        """The plane on both rests: of all lines through an edge of each, the one that no edge stands in front of."""
        corners = (*self.upper.corners, *self.lower.corners)
        found: list[tuple[float, NeckPlane]] = []
        for a, b in product(self.upper.corners, self.lower.corners):
            plane = NeckPlane(a.x, a.y, (b.y - a.y) / (b.x - a.x))
            found.append((max(corner.y - plane.at(corner.x) for corner in corners), plane))
        # Square to the plate both pairs of like-named edges give one line; the upper ones are then the contact.
        return min(found, key=lambda one: (round(one[0], 9), one[1].contact))[1]


#: The parts whose files the setting is read from, where the jig has them.
NEEDED = tuple(
    record.name for record in (TEMPLATE_PLATE, BOARD, BRACKET_LEFT, UPPER_REST, ANGLE_REST, BODY_REST, DEPTH_BLOCK)
)


def measure_setting(kit: Kit) -> Pose:
    """Read the setting from the kit's cutting files.

    GeometryError names the file and the feature that is not there.
    """
    has = {part.name for part in kit.jig.parts}
    missing = [name for name in NEEDED if name in has and name not in kit.cutting]
    if missing:
        raise GeometryError(f"no cutting file of {', '.join(missing)}")
    files, board = kit.cutting, kit.solution.job.stock("board").actual_thickness
    middle, places = _board_middle(kit), fences(kit.results)
    upper, lower = rest_width(files[UPPER_REST.name]), rest_width(files[ANGLE_REST.name])
    thick = kit.solution.job.stock("rest").actual_thickness
    # What a square leaves at the angle rest counts where it was measured: it holds all that the board stands off true.
    lean = upper - kit.solution.cradle.stand_off if kit.solution.cradle.stand_off_measured is not None else 0.0
    behind = _nominal_shim(kit) + lean
    neck_face = _off_fence(places[Use.NECK], middle, board / 2.0)
    second = files.get(SECOND_DEPTH_BLOCK.name)
    body, inner, outer = _body(kit, thick, middle) if BODY_REST.name in has else (None, 0.0, 0.0)
    return Pose(
        upper=_face(kit, "board-upper-rest", neck_face + upper, thick),
        lower=_face(kit, "board-angle-rest", neck_face + lower + behind, thick),
        body=body,
        body_inner=inner,
        body_outer=outer,
        rail=_rail(files[BRACKET_LEFT.name]),
        body_cut_depth=bar_height(files[DEPTH_BLOCK.name]),
        neck_cut_depth=bar_height(second if second is not None else files[DEPTH_BLOCK.name]),
        gate_depth=_gate_depth(files[DEPTH_BLOCK.name]),
    )


def _body(kit: Kit, thick: float, middle: float) -> tuple[RestFace, float, float]:
    """The body rest's face, and from and to |Y| of its bearing."""
    file, board = kit.cutting[BODY_REST.name], kit.solution.job.stock("board").actual_thickness
    x = _off_fence(fences(kit.results)[Use.BODY], middle, board / 2.0) + rest_width(file)
    return _face(kit, "body-rest-board", x, thick), *_bearing(file)


def _nominal_shim(kit: Kit) -> float:
    """Thickness (mm) of the shim that stands behind the angle rest: its sheet's, which no line of a file shows."""
    found = [item.part.name for item in kit.jig.placed if item.part.traits.shim]
    if not found:
        raise GeometryError("no shim stands behind the angle rest")
    return float(kit.part_entries[found[0]].thickness)


def _board_middle(kit: Kit) -> float:
    """X in the plate's drawing of the board's mid-plane: that of the plate's screws into it."""
    found = list(nearest_holes(kit, kit.jig, TEMPLATE_PLATE.name, ("plate-board",)))
    if not found:
        raise GeometryError(f"{kit.cutting[TEMPLATE_PLATE.name].name}: no holes over the board")
    return _mean(at.x for at in found)


def _off_fence(fence: Fence, middle: float, face: float) -> float:
    """Jig X of the board's face on a cut's own side of the plate, where the results have that cut's X = 0."""
    return fence.to_jig.apply(P2(middle + fence.direction * face, 0.0)).x


def _face(kit: Kit, holes: str, x: float, thick: float) -> RestFace:
    """A rest at the level of its screws in the board's file, whose upper edge lies on the plate."""
    file = kit.cutting[BOARD.name]
    found = list(nearest_holes(kit, kit.jig, BOARD.name, (holes,)))
    if not found:
        raise GeometryError(f"{file.name}: no holes for {holes.replace('-', ' ')}")
    level = outline_of(file).box().y1 - _mean(at.y for at in found)
    return RestFace(x, level - thick / 2.0, level + thick / 2.0)


def rest_width(file: CuttingFile) -> float:
    """What a rest stands out of the board (mm): from its back edge to its front, beside tooth and hollow."""
    area = _area(file)
    x0, _, x1, _ = area.bounds
    return min(_span(area, P2(x, -_FAR), P2(x, _FAR)) for x in (x0 + _INSIDE, x1 - _INSIDE))


def tooth_middle(file: CuttingFile) -> float | None:
    """How far (mm) a rest's tooth stands to the right of the rest's middle in its drawing; None without one."""
    area, width = _area(file), rest_width(file)
    x0, y0, x1, y1 = area.bounds
    if y1 - y0 - width < 0.5:
        return None
    level = (y0 + width + y1) / 2.0
    meets = area.intersection(LineString([(-_FAR, level), (_FAR, level)]))
    return float(meets.bounds[0] + meets.bounds[2]) / 2.0 - float(x0 + x1) / 2.0


def _bearing(file: CuttingFile) -> tuple[float, float]:
    """From and to |Y| (mm, from the rest's middle) of the body rest's front edge; the nearer end of two counts."""
    area, width = _area(file), rest_width(file)
    x0, y0, x1, _ = area.bounds
    middle, level = (x0 + x1) / 2.0, y0 + width - 0.5
    meets = area.intersection(LineString([(-_FAR, level), (_FAR, level)]))
    pieces = [piece.bounds for piece in getattr(meets, "geoms", [meets])]
    inner = min((min(abs(b[0] - middle), abs(b[2] - middle)) for b in pieces), default=0.0)
    if any(b[0] < middle < b[2] for b in pieces):
        inner = 0.0
    return float(inner), float(x1 - middle)


def _rail(file: CuttingFile) -> float:
    """Height (mm) of a bracket's rail, near its far end."""
    area = _area(file)
    x = area.bounds[2] - 5.0
    return _span(area, P2(x, -_FAR), P2(x, _FAR))


def bar_height(file: CuttingFile) -> float:
    """Height (mm) of a depth block's bar, read on the arm."""
    area = _area(file)
    x = area.bounds[2] - 5.0
    return _span(area, P2(x, -_FAR), P2(x, _FAR))


def _gate_depth(file: CuttingFile) -> float:
    """From the feet of a depth block up to its bar, mm: plate and depth of cut together."""
    area = _area(file)
    low, high = area.bounds[1], area.bounds[3]
    return float(high - low) - bar_height(file)


def _area(file: CuttingFile) -> Polygon:
    return Polygon([(p.x, p.y) for p in outline_of(file).flatten(1e-3)])


def _span(area: Polygon, a: P2, b: P2) -> float:
    return float(shapely.intersection(area, LineString([a, b])).length)


def outline_of(file: CuttingFile) -> Path:
    """The one outline of a part's file. GeometryError where there is none or more than one."""
    outlines = [contour for contour in file.contours(CUT_OUTSIDE) if isinstance(contour, Path)]
    if len(outlines) != 1:
        raise GeometryError(f"{file.name}: found {len(outlines)} outlines; allowed: one")
    return outlines[0]


def nearest_holes(kit: Kit, jig: Jig, part: str, ids: Sequence[str]) -> Iterator[P2]:
    """Centres, as drawn in the file, of the part's holes whose id is among `ids`."""
    for hole in jig.part(part).holes:
        if hole.id in ids:
            yield _center(_nearest(kit.cutting[part], hole.at))


def _nearest(file: CuttingFile, at: P2) -> Contour:
    """What is cut through or sunk in a file, nearest to a place. GeometryError where there is none near."""
    layers = (layer for layer in file.layers if layer == CUT_INSIDE or layer.startswith(POCKET))
    contours = [contour for layer in layers for contour in file.contours(layer)]
    found = min(contours, key=lambda contour: _center(contour).distance(at), default=None)
    if found is None or _center(found).distance(at) > _NEAR:
        raise GeometryError(f"{file.name}: no opening near ({at.x:.2f}, {at.y:.2f})")
    return found


def _center(contour: Contour) -> P2:
    return contour.center if isinstance(contour, Circle) else contour.box().center


def _mean(values: Iterable[float]) -> float:
    found = list(values)
    return math.fsum(found) / len(found)
