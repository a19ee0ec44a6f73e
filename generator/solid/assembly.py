"""The whole jig as solids in their places, in the plate frame: parts, and the screws that hold them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from OCP.gp import gp_Trsf
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Solid

from generator.base.errors import GeometryError
from generator.base.geometry3d import Placement
from generator.jig.part import Bought, Hardware, Jig, Part
from generator.solid.build import bought_solid, part_solid
from generator.solid.curves import axes
from generator.solid.shapes import moved

#: Red, green, blue, each 0 to 1, gamma-encoded as on a screen (sRGB).
Colour = tuple[float, float, float]

#: What a part is painted with whose stock has no colour given: plain wood.
PLAIN = (0.82, 0.71, 0.55)
#: Bought pieces: steel.
STEEL = (0.66, 0.68, 0.71)


@dataclass(frozen=True)
class Piece:
    """One solid in its place. `shape` is in the piece's own frame and shared by all copies of one `product`."""

    label: str
    product: str
    shape: TopoDS_Solid
    placement: Placement
    colour: Colour
    part: Part | None = None
    hardware: Bought | None = None

    @property
    def bought(self) -> bool:
        return self.part is None

    @property
    def placed(self) -> TopoDS_Solid:
        """The solid moved into the plate frame."""
        return moved(self.shape, location(self.placement))


@dataclass(frozen=True)
class Assembly:
    """A jig's solids where they stand, in the plate frame. Nothing moves: it stands alike for both cuts."""

    name: str
    pieces: tuple[Piece, ...]

    def piece(self, label: str) -> Piece:
        for piece in self.pieces:
            if piece.label == label:
                return piece
        raise KeyError(label)


@dataclass(frozen=True)
class Solids:
    """The solid of every part of a jig by name: built once, placed as often as wanted."""

    by_name: Mapping[str, TopoDS_Solid] = field(default_factory=lambda: MappingProxyType({}))


def jig_solids(jig: Jig) -> Solids:
    """The solids of all parts. Raises one GeometryError that lists every part that cannot be built."""
    built: dict[str, TopoDS_Solid] = {}
    faults: list[str] = []
    for part in {part.name: part for part in (*jig.parts, *(placed.part for placed in jig.placed))}.values():
        try:
            built[part.name] = part_solid(part)
        except GeometryError as fault:
            faults.append(str(fault))
    if faults:
        raise GeometryError("\n".join(faults))
    return Solids(MappingProxyType(built))


def assembly(
    jig: Jig,
    *,
    colours: Mapping[str, Colour] = MappingProxyType({}),
    solids: Solids | None = None,
    name: str = "jig",
) -> Assembly:
    """The standing jig's solids: every part in its place and every screw, in the plate frame, mm.

    `colours` are sRGB by stock name; `solids` saves building them anew.
    """
    built = solids if solids is not None else jig_solids(jig)
    pieces = [
        Piece(
            placed.label,
            placed.part.name,
            built.by_name[placed.part.name],
            placed.placement,
            colours.get(placed.part.stock, PLAIN),
            placed.part,
        )
        for placed in jig.placed
    ]
    for hardware in jig.hardware:
        pieces += _bought(hardware)
    _refuse_doubled([piece.label for piece in pieces])
    return Assembly(name, tuple(pieces))


def _refuse_doubled(labels: list[str]) -> None:
    doubled = sorted({label for label in labels if labels.count(label) > 1})
    if doubled:
        raise GeometryError(f"the assembly has more than one piece called {', '.join(doubled)}")


def _bought(hardware: Hardware) -> Iterator[Piece]:
    shapes: dict[tuple[tuple[float, float], ...], tuple[str, TopoDS_Solid]] = {}
    for number, piece in enumerate(hardware.pieces, start=1):
        size = piece.profile
        if size not in shapes:
            product = hardware.id if not shapes else f"{hardware.id}_{len(shapes) + 1}"
            shapes[size] = (product, bought_solid(piece))
        product, shape = shapes[size]
        yield Piece(f"{hardware.id}_{number}", product, shape, piece.frame, STEEL, hardware=piece)


def location(place: Placement) -> TopLoc_Location:
    """The kernel's location that carries a shape from its own frame to where `place` stands."""
    move = gp_Trsf()
    move.SetTransformation(axes(place))
    return TopLoc_Location(move.Inverted())
