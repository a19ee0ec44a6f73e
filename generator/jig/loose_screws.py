"""The screws that come and go with the work: the tip screw, those of plug and heel stop, and their crosspieces' own.

A head and its seat belong together: under a flat head lies a flat seat, with a washer where the hole is wide for it;
a conical head lies in a countersink.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.jig.crosspiece import crosspiece_screw_length
from generator.jig.layout import Layout
from generator.jig.screws import Fastener
from generator.jig.template_plate import tip_counterbore
from generator.job.fasteners import Washer, large_washer, washer

#: How far the tip screw reaches into the neck's end, mm.
_TIP_BITE = 20.0
#: How far the plug's screw reaches into the end face, mm.
_HANG_BITE = 20.0
#: Wood left between the point of the plug's screw and the floor that is routed, mm.
_SHORT_OF_FLOOR = 1.0
#: A washer bears at least this much wider than the hole under it, all round, mm (common practice).
_BEARS = 0.8


@dataclass(frozen=True)
class LooseScrew:
    """Equal screws that no row of the standing jig has; `under` is the part under their heads, `hole` its hole there.

    A flat head's length counts from its seat (mm), a washer between them or none.
    """

    fastener: Fastener
    length: float
    count: int
    purpose: str
    under: str
    hole: str
    washer: Washer | None = None

    @property
    def use(self) -> str:
        """What a list says it is for, and the washer that goes with it."""
        if self.washer is None:
            return self.purpose
        large = self.washer == large_washer(_metric(self.fastener))
        return f"{self.purpose} + {'large ' if large else ''}washer"


def loose_screws(layout: Layout) -> tuple[LooseScrew, ...]:
    """All of them, in the order of the hardware list."""
    found: list[LooseScrew] = []
    if layout.spec.tip_pin and not layout.spec.bridged and layout.has_tongue:
        found.append(_tip(layout))
    if layout.cuts_body:
        found += [_crosspiece(layout, "plug"), _hang(layout)]
    if not layout.has_tongue:
        found += [_crosspiece(layout, "heel_stop"), _stop(layout)]
    return tuple(found)


def _tip(layout: Layout) -> LooseScrew:
    """Its seat is in the tongue: in a narrow one there is room for the head alone."""
    screw, seat = layout.screws.tip, tip_counterbore(layout)[0]
    normal = washer(_metric(screw))
    words = f"tongue's end to {layout.solution.joint.neck_outline.name}'s end"
    fits = normal if normal.diameter < seat else None
    return LooseScrew(screw, tip_length(layout), 1, words, "template_plate", "tip-screw", fits)


def _hang(layout: Layout) -> LooseScrew:
    screw, bore = layout.screws.tip, layout.screws.own.clearance
    return LooseScrew(
        screw, hang_length(layout), 1, "plug to body's end face", "plug", "hang", _washer_over(screw, bore)
    )


def _stop(layout: Layout) -> LooseScrew:
    screw, bore = layout.screws.tip, layout.solution.joint.bolts[0].clearance_hole
    return LooseScrew(
        screw, tip_length(layout), 1, "heel stop to neck's end", "heel_stop", "hang", _washer_over(screw, bore)
    )


def _crosspiece(layout: Layout, of: str) -> LooseScrew:
    words = f"crosspiece to {of.replace('_', ' ')}"
    return LooseScrew(layout.screws.own, crosspiece_screw_length(layout), 2, words, f"{of}_crosspiece", "crosspiece")


def _washer_over(screw: Fastener, bore: float) -> Washer:
    """The smaller of the two washers of a screw that bears round a hole of `bore` mm."""
    normal = washer(_metric(screw))
    return normal if normal.diameter >= bore + 2.0 * _BEARS else large_washer(_metric(screw))


def _metric(screw: Fastener) -> str:
    """The size whose washers a wood screw takes."""
    return f"M{screw.name}"


def tip_from_face(layout: Layout) -> float:
    """Where the tip screw's, or the heel stop's, pilot goes on the sawn end, mm from the gluing face."""
    return layout.screws.tip_x - layout.cradle.neck_plane_x(0.0)


def tip_length(layout: Layout) -> float:
    """Length of the tip screw, or of the heel stop's, under its head, mm."""
    return layout.screws.tip.longest_within(under_tip_head(layout) + _TIP_BITE)


def under_tip_head(layout: Layout) -> float:
    """What of the tongue, or of the heel stop, the tip screw passes through, mm."""
    if not layout.has_tongue:
        return layout.thick.plate
    return layout.thick.plate - tip_counterbore(layout)[1]


def hang_length(layout: Layout) -> float:
    """Length of the plug's screw under its head, mm: its hole is routed away, it ends short of the mortise's floor."""
    waste = layout.solution.joint.depth_of_cut - _SHORT_OF_FLOOR
    return layout.screws.tip.longest_within(layout.thick.plate + min(_HANG_BITE, waste))
