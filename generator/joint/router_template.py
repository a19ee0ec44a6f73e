"""What the router needs: template openings for the bushing, run-out, reach and passes.

Jig frame, mm: X from the upper rest's face down the heel, origin on the plate's underside. The *opening* cuts the
mortise, the *window* with its *tongue* cuts the tenon; both begin in front of the board, where the bit runs out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.job.model.router import Router
from generator.joint.cradle import RUN_OUT_ROOM, Cradle
from generator.joint.mortise_tenon import Joint

#: A pass thinner than this only rubs, mm.
SLIVER = 0.3
#: The middle of the router's base stays this far inside its contact, mm, or this share of its diameter where less.
STAND_INSIDE, STAND_SHARE = 25.0, 0.2
#: The collet nut stays this far above the base at full depth, mm: the bushing's flange lies there (common practice).
NUT_ROOM = 3.0
#: Bit's edge to the heel blank's side at the window's side, mm; less under a base smaller than this across.
_SIDE_ROOM, _SIDE_ROOM_SMALL, _SMALL_BASE = 2.0, 1.5, 100.0
#: Lengths that agree within this are one length, mm.
_SAME = 1e-9


@dataclass(frozen=True)
class Passes:
    """Cumulative depths of cut, mm; the tenon's last pass is the held-back one where there is a hold-back."""

    mortise: tuple[float, ...]
    tenon: tuple[float, ...]


@dataclass(frozen=True)
class Routing:
    """The template's two openings and the router's depths. Lengths mm, X in the jig frame.

    `edge_offset` lies between the edge of the cut and the edge of the template. `opening_start` (X0) is where both
    openings begin, `opening_length` (X_m) and `tongue_length` (X_t) their closed ends, `window_end` (X1) the far end
    of the tenon window, `window_half_width` half its width. `run_out` is how far the bit's centre passes the work.
    `routed_corner_radius` is the mortise's inside corner and `tenon_corner_radius` the tenon's outside corner as cut.
    """

    edge_offset: float
    bushing_od: float
    bit_diameter: float
    opening_width: float
    opening_length: float
    opening_corner_radius: float
    routed_corner_radius: float
    tongue_width: float
    tongue_length: float
    tongue_corner_radius: float
    tenon_corner_radius: float
    run_out: float
    opening_start: float
    window_half_width: float
    window_end: float
    heel_blank: float
    reach_needed: float
    passes: Passes

    @property
    def tongue_overhang(self) -> float:
        """The tongue's free length from its root at the window's start, mm."""
        return self.tongue_length - self.opening_start

    @property
    def sweep_start(self) -> float:
        """Least jig X the bit's edge can reach, mm (negative: towards the board)."""
        return self.opening_start + self.bushing_od / 2.0 - self.bit_diameter / 2.0


def edge_offset(router: Router) -> float:
    """Edge of the cut to edge of the template, mm: as found from a test cut, else half of bushing less bit."""
    if router.edge_offset is not None:
        return router.edge_offset
    return (router.bushing_od - router.bit_diameter) / 2.0


def routed_inside_radius(template_radius: float, router: Router) -> float:
    """Radius (mm) of the inside corner a template corner leaves: the larger of corner and bushing, less the offset.

    Never below the bit's own radius.
    """
    followed = max(template_radius, router.bushing_od / 2.0) - edge_offset(router)
    return max(followed, router.bit_diameter / 2.0)


def even_passes(depth: float, max_step: float) -> tuple[float, ...]:
    """Cumulative depths (mm) of the fewest equal passes down to `depth`, none deeper than `max_step`; none for 0."""
    if depth <= _SAME:
        return ()
    count = max(1, math.ceil(depth / max_step - _SAME))
    return (*(depth * step / count for step in range(1, count)), depth)


def tenon_passes(depth: float, max_step: float, hold_back: float) -> tuple[float, ...]:
    """Even passes down to the hold-back, then the held-back rest as one last pass. Cumulative depths, mm."""
    if hold_back <= _SAME:
        return even_passes(depth, max_step)
    return (*even_passes(depth - hold_back, max_step), depth)


def solve_routing(
    router: Router,
    joint: Joint,
    cradle: Cradle,
    *,
    plate_thickness: float,
) -> Routing:
    """Openings, reach and passes for a joint."""
    o, od, bit = edge_offset(router), router.bushing_od, router.bit_diameter
    run = bit / 2.0 + RUN_OUT_ROOM
    opening_corner = max(joint.corner_radius + o, od / 2.0)
    tongue_corner = max(0.0, joint.corner_radius - joint.side_clearance / 2.0 - o)
    return Routing(
        edge_offset=o,
        bushing_od=od,
        bit_diameter=bit,
        opening_width=joint.mortise_width + 2.0 * o,
        opening_length=joint.mortise_length + o + cradle.body_join_x,
        opening_corner_radius=opening_corner,
        routed_corner_radius=routed_inside_radius(opening_corner, router),
        tongue_width=joint.tenon_width - 2.0 * o,
        tongue_length=joint.tenon_length - o + cradle.shoulder_x,
        tongue_corner_radius=tongue_corner,
        tenon_corner_radius=tongue_corner + o,
        run_out=run,
        opening_start=-(run + od / 2.0),
        window_half_width=joint.heel_blank_width / 2.0 + bit / 2.0 + side_room(router) + od / 2.0,
        window_end=joint.heel_blank + bit + od / 2.0,
        heel_blank=joint.heel_blank,
        reach_needed=plate_thickness + joint.mortise_depth,
        passes=Passes(
            even_passes(joint.mortise_depth, router.max_step),
            tenon_passes(joint.tenon_projection_routed, router.max_step, router.hold_back),
        ),
    )


def side_room(router: Router) -> float:
    """Room (mm) from the bit's edge to the heel blank's side when the bushing runs along the window's side.

    A small base is given less, so that it still stands on the plate beside the window.
    """
    return _SIDE_ROOM if router.base_diameter >= _SMALL_BASE else _SIDE_ROOM_SMALL


def stand_needed(base_diameter: float) -> float:
    """How far (mm) inside what carries it the middle of a router's base must stay, so that it cannot tip."""
    return min(STAND_INSIDE, STAND_SHARE * base_diameter)
