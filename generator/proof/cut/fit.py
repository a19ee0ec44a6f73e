"""Lay what is left of the neck into what is cut in the body, as both would be cut, in the plane of the end face.

Body and neck are presented to the jig end-on, so one is the mirror image of the other in Y: each outline goes through
its own map to the body frame, and an error off the centreline shows as what it does to the guitar.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapely import Polygon, box
from shapely.affinity import translate

from generator.base.points2d import P2
from generator.proof.cut.virtual_cut import VirtualCut, farthest

#: How far the body's pocket is prolonged past its open end before the two are compared, mm.
_BEYOND = 20.0
#: Wider than any neck, mm.
_ASIDE = 1e3
#: An overlap below this is rounding, mm.
_ROUNDING = 1e-6


@dataclass(frozen=True)
class JointFit:
    """How the neck's outline sits in the body's, mm, in the body frame, each in the other's middle.

    `side` is the room across, on both sides together, `end` the room at the closed end, `tightest` the least distance
    from the one to the other's wall anywhere, corners included: negative where the neck meets wood, by that much
    and at `where` (distance from the join, body Y). `sideways` is how far the neck's centreline comes to lie beside the
    body's, towards body +Y. A `sawn` end has square corners, which are eased by hand.
    """

    side: float
    end: float
    sideways: float
    tightest: float
    where: P2 | None
    sawn: bool = False


def mate(body: VirtualCut, neck: VirtualCut, neck_rise: float = 0.0) -> JointFit:
    """Mate the two cuts at the join.

    What runs out is sawn where its outline ends. `neck_rise` (mm along the end face) is how far the neck
    plane stands over the body's top edge.
    """
    hole = _in_body(body)
    start, low, _, high = hole.bounds
    room = hole.union(box(start - _BEYOND, low, start + _ROUNDING, high))
    length = (neck.wanted.outline.length if neck.length is None else neck.length) - neck_rise
    sideways = body.wanted.to_face(P2(0.0, body.middle)).y - neck.wanted.to_face(P2(0.0, neck.middle)).y
    limit = length if neck.length is None else length + _BEYOND
    plug = translate(_in_body(neck), -neck_rise, sideways).intersection(box(start, -_ASIDE, limit, _ASIDE))
    walls = room.exterior.difference(box(start - 2 * _BEYOND, -_ASIDE, start - _BEYOND + _ROUNDING, _ASIDE))
    meets = farthest(plug.difference(room), room)
    return JointFit(
        side=body.width - neck.width,
        end=(body.length if body.length is not None else limit) - length,
        sideways=sideways,
        tightest=-meets.size if meets.size > _ROUNDING else float(plug.distance(walls)),
        where=meets.where,
        sawn=neck.length is None,
    )


def _in_body(cut: VirtualCut) -> Polygon:
    return Polygon([tuple(cut.wanted.to_face(point)) for point in cut.outline])
