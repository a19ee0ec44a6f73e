"""Lay the tenon into the mortise as both would be cut, in the plane of the body's end face.

Body and neck are presented to the jig end-on, so one is the mirror image of the other in Y: each outline goes through
its own map to the body frame, and an error off the centreline shows as what it does to the guitar.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapely import Polygon, box
from shapely.affinity import translate

from generator.base.geometry2d import P2
from generator.proof.cut.virtual_cut import VirtualCut, farthest

#: How far the mortise is prolonged past its open end before the two are compared, mm.
_BEYOND = 20.0
#: Wider than any neck, mm.
_ASIDE = 1e3
#: An overlap below this is rounding, mm.
_ROUNDING = 1e-6


@dataclass(frozen=True)
class JointFit:
    """How the tenon sits in the mortise, mm, in the body frame, with the tenon in the mortise's middle.

    `side` is the room across, on both sides together, `end` the room at the closed end, `tightest` the least distance
    from the tenon to the mortise's wall anywhere, corners included: negative where the tenon meets wood, by that much
    and at `where` (distance from the join, body Y). `sideways` is how far the neck's centreline comes to lie beside the
    body's, towards body +Y. A `sawn` tenon has square corners, which are eased by hand.
    """

    side: float
    end: float
    sideways: float
    tightest: float
    where: P2 | None
    sawn: bool = False


def mate(mortise: VirtualCut, tenon: VirtualCut, neck_rise: float = 0.0) -> JointFit:
    """Mate the two cuts at the join.

    A tenon whose cut runs out is sawn where its outline ends. `neck_rise` (mm along the end face) is how far the neck
    plane stands over the body's top edge.
    """
    hole = _in_body(mortise)
    start, low, _, high = hole.bounds
    room = hole.union(box(start - _BEYOND, low, start + _ROUNDING, high))
    length = (tenon.wanted.outline.length if tenon.length is None else tenon.length) - neck_rise
    sideways = mortise.wanted.to_face(P2(0.0, mortise.middle)).y - tenon.wanted.to_face(P2(0.0, tenon.middle)).y
    limit = length if tenon.length is None else length + _BEYOND
    plug = translate(_in_body(tenon), -neck_rise, sideways).intersection(box(start, -_ASIDE, limit, _ASIDE))
    walls = room.exterior.difference(box(start - 2 * _BEYOND, -_ASIDE, start - _BEYOND + _ROUNDING, _ASIDE))
    meets = farthest(plug.difference(room), room)
    return JointFit(
        side=mortise.width - tenon.width,
        end=(mortise.length if mortise.length is not None else limit) - length,
        sideways=sideways,
        tightest=-meets.size if meets.size > _ROUNDING else float(plug.distance(walls)),
        where=meets.where,
        sawn=tenon.length is None,
    )


def _in_body(cut: VirtualCut) -> Polygon:
    return Polygon([tuple(cut.wanted.to_face(point)) for point in cut.outline])
