"""Which geometrical tolerances the jig's function asks of its machined parts, and from which datums.

A is the plate's top, on which the router rides; B the board's neck face, on which the rests stand; C the middle of the
plate's width, which both cuts run along and the tables count from. A bracket's corner counts from its own edge under
the plate, D.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from generator.base.annotation import Dimension, Side, Tolerance
from generator.base.points2d import P2
from generator.documents.shop.geometric import Characteristic, Control, Datum
from generator.jig import dims
from generator.jig.board import BOARD
from generator.jig.bracket import BRACKET_LEFT, BRACKET_RIGHT
from generator.jig.part import Part
from generator.jig.template_plate import TEMPLATE_PLATE
from generator.job.model.jig import Joinery
from generator.job.model.job import PartsJob

#: Out of a feature upwards on the drawing.
_UP = P2(0.0, 1.0)
#: Out of a feature downwards on the drawing.
_DOWN = P2(0.0, -1.0)
#: Out of a feature to the left on the drawing.
_LEFT = P2(-1.0, 0.0)
#: Flatness of the plate's top, mm.
_TOP = 0.05
#: Perpendicularity of the openings' walls to the plate's top, mm.
_WALL = 0.05
#: Parallelism of the openings' walls with the cuts' direction, mm.
_ALONG = 0.05
#: Flatness of the board's face, mm.
_FACE = 0.1
#: Perpendicularity of the edges at the corners of board and brackets, mm.
_CORNER = 0.1
#: mm: opening and tongue off the plate's middle. Each cut is set by its own width, so that this may be wide.
_MIDDLE = 0.2
#: Perpendicularity of the board to the plate's top, mm over SQUARE_PER.
SQUARE = 0.05
#: The board's height over which SQUARE is asked, mm.
SQUARE_PER = 150.0
#: Perpendicularity of the board, in plan, to the plate's length, mm.
_PLAN = 0.1


#: Both long walls of the opening and both cheeks of the tongue.
_WALLS = "4× walls, cheeks"
#: The widths that make the joint; a plate without them has a window in which the bit only clears a face.
_MEASURES = {"opening_width", "tongue_width"}
#: Tolerance of the board's distances from the ends of opening and tongue, mm.
_SET = Tolerance(-0.1, 0.1, "set before the dowels are drilled")


@dataclass(frozen=True)
class Geometry:
    """What stands at one part's front view and at its upper edge."""

    front: tuple[Control, ...] = ()
    front_datums: tuple[Datum, ...] = ()
    edge: tuple[Control, ...] = ()
    edge_datums: tuple[Datum, ...] = ()


def part_geometry(part: Part, job: PartsJob) -> Geometry:
    """Frames and datums of a part; none for parts of a jig that is glued and screwed, which is measured as built."""
    found = _GEOMETRY.get(part.name)
    return found(part) if found and job.jig.joinery is Joinery.TAPPED else Geometry()


def is_controlled(part: Part, job: PartsJob) -> bool:
    """True where frames say what the part's requirements say in words."""
    return job.jig.joinery is Joinery.TAPPED and part.name in _GEOMETRY


def assembled(board: Part, plate: Part) -> tuple[tuple[Control, ...], tuple[Datum, ...]]:
    """For the assembled jig seen from the left, in the plate frame: the board's neck face against the plate's top."""
    high = board.box.height
    neck_face = P2(-board.thickness / 2.0, -0.66 * high)
    controls = (
        Control(Characteristic.PERPENDICULARITY, SQUARE, neck_face, _LEFT, ("A",), SQUARE_PER),
        Control(Characteristic.PERPENDICULARITY, _PLAN, neck_face.minus(P2(0.0, 0.16 * high)), _LEFT, ("C",)),
    )
    return controls, (Datum("A", P2(0.6 * plate.box.x1, plate.thickness), _UP, 0.35 * plate.box.x1),)


def board_settings(board: Part, plate: Part) -> tuple[Dimension, ...]:
    """How far the ends of tongue and opening lie from the board's faces, in the plate frame seen from the left.

    Where there is no tongue it is the window's near end.

    The board is set to them before its dowels are drilled (R13 of the jig's requirements: within 0.1 mm).
    """
    half, top = board.thickness / 2.0, plate.thickness
    found = []
    for point, name, face in (
        ("tongue_end", "tongue_to_board", -half),
        ("opening_end", "opening_to_board", half),
        ("window_start", "window_to_board", -half),
    ):
        if point not in plate.points:
            continue
        end = plate.points[point].x
        found.append(dims.across(name, P2(end, top), P2(face, top), abs(end - face), Side.ABOVE, _SET))
    return tuple(found)


def _plate(part: Part) -> Geometry:
    """The top is the lower line of the edge view; openings are square to it, along the middle and about it.

    A window that only clears a face asks for nothing.
    """
    box, high = part.box, -part.thickness
    edge = (Control(Characteristic.FLATNESS, _TOP, P2(box.x0 + 0.3 * box.width, high), _DOWN),)
    edge_datums = (Datum("A", P2(box.x0 + 0.8 * box.width, high), _DOWN),)
    if not _MEASURES & {one.name for one in part.dimensions}:
        return Geometry(edge=edge, edge_datums=edge_datums)
    opening = part.openings[0].contour.box()
    upper, lower = opening.y1, opening.y0
    wall, other = (P2(opening.x0 + share * opening.width, y) for share, y in ((0.35, upper), (0.65, lower)))
    return Geometry(
        front=(
            Control(Characteristic.PERPENDICULARITY, _WALL, wall, _UP, ("A",), over=_WALLS),
            Control(Characteristic.PARALLELISM, _ALONG, other, _DOWN, ("C",), over=_WALLS),
            Control(Characteristic.POSITION, _MIDDLE, "opening_width", _DOWN, ("A", "C")),
            Control(Characteristic.POSITION, _MIDDLE, "tongue_width", _DOWN, ("A", "C")),
        ),
        front_datums=(Datum("C", "plate_width", _UP),),
        edge=edge,
        edge_datums=edge_datums,
    )


def _board(part: Part) -> Geometry:
    """Its back is the neck face, the upper line of the edge view; its upper edge carries the plate."""
    box = part.box
    return Geometry(
        front=(Control(Characteristic.PERPENDICULARITY, _CORNER, P2(box.x0 + 0.12 * box.width, box.y1), _UP, ("B",)),),
        edge=(Control(Characteristic.FLATNESS, _FACE, P2(box.x0 + 0.25 * box.width, 0.0), _UP),),
        edge_datums=(Datum("B", P2(box.x0 + 0.8 * box.width, 0.0), _UP),),
    )


def _bracket(part: Part) -> Geometry:
    box = part.box
    return Geometry(
        front=(
            Control(Characteristic.PERPENDICULARITY, _CORNER, P2(box.x0, box.y0 + 0.3 * box.height), _LEFT, ("D",)),
        ),
        front_datums=(Datum("D", P2(box.x0 + 0.6 * box.width, box.y1), _UP, 0.3 * box.width),),
    )


#: Part, by its name, -> what gives its frames and datums.
_GEOMETRY: Mapping[str, Callable[[Part], Geometry]] = MappingProxyType(
    {TEMPLATE_PLATE.name: _plate, BOARD.name: _board, BRACKET_LEFT.name: _bracket, BRACKET_RIGHT.name: _bracket}
)
