"""The tenon laid in the mortise with its gaps drawn larger, so that a hundredth of a millimetre can be seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely import Polygon, box

from generator.base.points2d import P2
from generator.proof.cut.fit import JointFit
from generator.proof.cut.virtual_cut import VirtualCut

#: How many times too large a gap may be drawn, the largest first.
_FACTORS = (10, 5, 2, 1)
#: A gap drawn too large takes at most this share of the mortise.
_SHARE = 1.0 / 3.0
#: Wider and longer than any joint, mm.
_FAR = 1e3


@dataclass(frozen=True)
class LaidIn:
    """Outlines in the body's end face, mm: (distance down from the join, body Y); gaps are `factor` times as wide."""

    hole: tuple[P2, ...]
    tenon: tuple[P2, ...]
    factor: int


def piece_outline(cut: VirtualCut, outline: Sequence[P2], ends: float = _FAR) -> tuple[P2, ...]:
    """An outline of a cut (jig frame) on its piece's face, from x = 0 to `ends`: (distance down, body Y), mm."""
    whole = Polygon([tuple(cut.wanted.to_face(point)) for point in outline])
    found = whole.intersection(box(0.0, -_FAR, ends, _FAR))
    parts = [part for part in getattr(found, "geoms", [found]) if isinstance(part, Polygon)]
    return tuple(P2(x, y) for x, y in max(parts, key=lambda part: part.area).exterior.coords[:-1])


def laid_in(body: VirtualCut, neck: VirtualCut, fit: JointFit, neck_rise: float) -> LaidIn:
    """The two cuts as `fit` lays them into each other; the tenon is drawn smaller, so that the gaps are seen.

    `neck_rise` (mm along the end face) is how far the neck plane stands over the join.
    """
    sawn = neck.wanted.outline.length if neck.length is None else _FAR
    hole = piece_outline(body, body.outline)
    tenon = piece_outline(neck, neck.outline, sawn)
    long = max(point.x for point in hole)
    room = _Room(body.width, long, fit)
    factor = next((one for one in _FACTORS if room.takes(one)), _FACTORS[-1])
    middle = body.wanted.to_face(P2(0.0, body.middle)).y
    own = neck.wanted.to_face(P2(0.0, neck.middle)).y
    narrower = (body.width - factor * fit.side) / neck.width
    shorter = (long - factor * fit.end) / (long - fit.end)

    def drawn(point: P2) -> P2:
        across = middle + (point.y - own) * narrower
        return P2((point.x - neck_rise) * shorter, across)

    return LaidIn(hole, tuple(drawn(point) for point in tenon), factor)


@dataclass(frozen=True)
class _Room:
    """A mortise's size, mm, and what room a tenon has in it."""

    width: float
    length: float
    fit: JointFit

    def takes(self, factor: int) -> bool:
        """Whether gaps so many times as wide still leave a tenon to be seen."""
        return abs(self.fit.side) * factor <= _SHARE * self.width and abs(self.fit.end) * factor <= _SHARE * self.length
