"""How the jig is set: where an angle of the bed and a use of the plate carry what stands in it.

The parts are placed at bed angle zero with the plate lying for the neck; everything that looks at another setting,
solids and proof alike, goes through here.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from generator.errors import GeometryError
from generator.geometry3d import P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.parts.base import Bought, Carrier, Jig, Use

#: The part whose own origin is the plate's centre, about which the half turn between the two uses goes.
PLATE = "template_plate"


@dataclass(frozen=True)
class Setting:
    """The bed at `angle` degrees and the plate lying for `use`."""

    jig: Jig
    angle: float
    use: Use

    def placement(self, stand: Placement, carrier: Carrier) -> Placement:
        """Where `stand` comes to lie, carried by the bed, the plate or nothing."""
        if carrier is Carrier.BED:
            return stand.turned_by_bed(self.angle, -self.jig.pivot_depth)
        if carrier is Carrier.PLATE and self.use is Use.BODY:
            return half_turn(stand, self._plate_center)
        return stand

    @cached_property
    def _plate_center(self) -> P3:
        for placed in self.jig.placed:
            if placed.part.name == PLATE:
                return placed.placement.origin
        raise GeometryError(f"the jig has no {PLATE}, so nothing to turn end for end")


def half_turn(stand: Placement, about: P3) -> Placement:
    """The placement turned by 180° about the vertical through `about`: the plate turned end for end."""
    return Placement(
        P3(2.0 * about.x - stand.origin.x, 2.0 * about.y - stand.origin.y, stand.origin.z),
        P3(-stand.x_axis.x, -stand.x_axis.y, stand.x_axis.z),
        P3(-stand.y_axis.x, -stand.y_axis.y, stand.y_axis.z),
    )


def rod_frame(piece: Bought) -> Placement:
    """A frame on a bought piece's start whose z axis runs along it; which way x points is of no matter, but fixed."""
    along = piece.direction
    helper = min((X_AXIS, Y_AXIS, Z_AXIS), key=lambda axis: abs(axis.dot(along)))
    across = helper.cross(along)
    x_axis = across.times(1.0 / across.length())
    return Placement(piece.start, x_axis, along.cross(x_axis))
