"""Which geometrical tolerances the jig's function asks of its machined parts, and from which datums.

A is the plate's top, on which the router rides; B the board's neck face, on which the rests stand; C the plate's long
edge, which both cuts run along. A bracket's corner counts from its own edge under the plate, D.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from generator.base.geometry2d import P2
from generator.documents.shop.geometric import Characteristic, Control, Datum
from generator.jig.board import BOARD
from generator.jig.bracket import BRACKET_LEFT, BRACKET_RIGHT
from generator.jig.part import Part
from generator.jig.template_plate import TEMPLATE_PLATE
from generator.job.model.jig import Joinery
from generator.job.model.job import Job

_UP, _DOWN, _LEFT = P2(0.0, 1.0), P2(0.0, -1.0), P2(-1.0, 0.0)
#: mm: the plate's top; walls of the openings; the cuts' direction; the board's face; corners.
_TOP, _WALL, _ALONG, _FACE, _CORNER = 0.05, 0.05, 0.05, 0.1, 0.1
#: The board against the plate's top, mm over mm of its height.
SQUARE, SQUARE_PER = 0.05, 150.0


@dataclass(frozen=True)
class Geometry:
    """What stands at one part's front view and at its upper edge."""

    front: tuple[Control, ...] = ()
    front_datums: tuple[Datum, ...] = ()
    edge: tuple[Control, ...] = ()
    edge_datums: tuple[Datum, ...] = ()


def part_geometry(part: Part, job: Job) -> Geometry:
    """Frames and datums of a part; none for parts of a jig that is glued and screwed, which is measured as built."""
    found = _GEOMETRY.get(part.name)
    return found(part) if found and job.jig.joinery is Joinery.TAPPED else Geometry()


def is_controlled(part: Part, job: Job) -> bool:
    """True where frames say what the part's requirements say in words."""
    return job.jig.joinery is Joinery.TAPPED and part.name in _GEOMETRY


def assembled(board: Part, plate: Part) -> tuple[tuple[Control, ...], tuple[Datum, ...]]:
    """For the assembled jig seen from the left, in the plate frame: the board's neck face against the plate's top."""
    neck_face = P2(-board.thickness / 2.0, -0.72 * board.box.height)
    square = Control(Characteristic.PERPENDICULARITY, SQUARE, neck_face, _LEFT, ("A",), SQUARE_PER)
    return (square,), (Datum("A", P2(0.6 * plate.box.x1, plate.thickness), _UP),)


def _plate(part: Part) -> Geometry:
    """The top is the lower line of the edge view; openings are square to it, and run along the long edge."""
    box, high = part.box, -part.thickness
    opening = part.openings[0].contour.box()
    wall = P2(opening.x0 + 0.35 * opening.width, opening.y1)
    other = P2(opening.x0 + 0.65 * opening.width, opening.y0)
    return Geometry(
        front=(
            Control(Characteristic.PERPENDICULARITY, _WALL, wall, _UP, ("A",)),
            Control(Characteristic.PARALLELISM, _ALONG, other, _DOWN, ("C",)),
        ),
        front_datums=(Datum("C", P2(box.x0 + 0.9 * box.width, box.y1), _UP, 0.3 * box.width),),
        edge=(Control(Characteristic.FLATNESS, _TOP, P2(box.x0 + 0.3 * box.width, high), _DOWN),),
        edge_datums=(Datum("A", P2(box.x0 + 0.8 * box.width, high), _DOWN),),
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


_GEOMETRY: Mapping[str, Callable[[Part], Geometry]] = MappingProxyType(
    {TEMPLATE_PLATE.name: _plate, BOARD.name: _board, BRACKET_LEFT.name: _bracket, BRACKET_RIGHT.name: _bracket}
)
