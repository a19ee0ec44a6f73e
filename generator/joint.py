"""The joint: mortise in the body, tenon on the neck, and the bolts that draw them up.

Lengths mm. *Length* runs down the body's end face from its top edge, *depth* square into it, *projection* square out
of the neck's shoulder.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.fasteners import clearance_hole, tenon_thread
from generator.model.instrument import Instrument
from generator.model.joint import BoltKind, JointSpec
from generator.model.router import Router
from generator.neckset import NeckSet


@dataclass(frozen=True)
class BoltHole:
    """One bolt on the centreline. Lengths mm.

    `from_top` runs down the end face from the body's top edge, `from_neck_plane` down the shoulder from the neck plane:
    the two differ by the overstand. `on_tenon_end` runs down the finished tenon's end, parallel to the shoulder, where
    the neck plane has risen or fallen by the projection times tan(cradle angle). `clearance_hole` goes through the
    neck block, `pilot_hole` into the tenon's end, `cross_hole` (barrel nuts only) across the tenon. `grip` is what the
    bolt bridges before its thread engages.
    """

    from_top: float
    from_neck_plane: float
    on_tenon_end: float
    clearance_hole: float
    pilot_hole: float
    cross_hole: float | None
    thread: str
    kind: BoltKind
    grip: float
    engagement: float


@dataclass(frozen=True)
class Joint:
    """Mortise, tenon, heel and bolts. Lengths mm.

    `tenon_projection` is the finished one, `tenon_projection_routed` what the jig leaves; `ease_end` is their
    difference, taken off by hand. `heel_length` runs down the end face to the inner edge of the back binding, where
    the neck ends; the heel cap then laps over `heel_cap_lap` of the binding's height.
    """

    mortise_width: float
    mortise_length: float
    mortise_depth: float
    corner_radius: float
    tenon_width: float
    tenon_length: float
    tenon_projection: float
    tenon_projection_routed: float
    side_clearance: float
    end_clearance: float
    floor_clearance: float
    ease_end: float
    heel_length: float
    heel_width: float
    heel_width_at_cap: float
    heel_cap_lap: float
    heel_blank: float
    neck_blank_overlength: float
    bolts: tuple[BoltHole, ...]


def heel_length(instrument: Instrument) -> float:
    """Length of the neck's heel along the end face (mm): top edge to the inner edge of the back binding."""
    face = instrument.body_depth_at_neck - instrument.back_binding_height
    return face / math.cos(math.radians(instrument.end_face_tilt))


def mortise_corner_radius(spec: JointSpec, router: Router, edge_offset: float) -> float:
    """Radius (mm) of the mortise's inside corners: as asked, else the least that bushing and bit can rout."""
    if spec.corner_radius is not None:
        return spec.corner_radius
    return max(router.bushing_od / 2.0 - edge_offset, router.bit_diameter / 2.0)


def solve_joint(
    instrument: Instrument, spec: JointSpec, router: Router, neck_set: NeckSet, *, edge_offset: float, ease_end: bool
) -> Joint:
    """Sizes of mortise and tenon.

    With `ease_end` both cuts share one depth block and the tenon's end is eased by the floor clearance afterwards;
    without it a second block routs the tenon to its finished projection.
    """
    length = heel_length(instrument) if spec.mortise_length is None else spec.mortise_length
    projection = spec.mortise_depth - spec.floor_clearance
    routed = spec.mortise_depth if ease_end else projection
    blank = instrument.body_depth_at_neck + 2.0 if instrument.heel_blank is None else instrument.heel_blank
    return Joint(
        mortise_width=spec.mortise_width,
        mortise_length=length,
        mortise_depth=spec.mortise_depth,
        corner_radius=mortise_corner_radius(spec, router, edge_offset),
        tenon_width=spec.mortise_width - spec.side_clearance,
        tenon_length=length - spec.end_clearance,
        tenon_projection=projection,
        tenon_projection_routed=routed,
        side_clearance=spec.side_clearance,
        end_clearance=spec.end_clearance,
        floor_clearance=spec.floor_clearance,
        ease_end=routed - projection,
        heel_length=heel_length(instrument),
        heel_width=instrument.heel_width,
        heel_width_at_cap=instrument.heel_width_at_cap,
        heel_cap_lap=instrument.heel_cap_thickness,
        heel_blank=blank,
        neck_blank_overlength=routed / math.cos(math.radians(neck_set.cradle_angle)),
        bolts=_bolts(instrument, spec, neck_set),
    )


def _bolts(instrument: Instrument, spec: JointSpec, neck_set: NeckSet) -> tuple[BoltHole, ...]:
    size, kind = spec.bolts.thread, spec.bolts.kind
    holes = tenon_thread(size, kind)
    rise = (spec.mortise_depth - spec.floor_clearance) * math.tan(math.radians(neck_set.cradle_angle))
    return tuple(
        BoltHole(
            from_top=from_top,
            from_neck_plane=from_top + neck_set.overstand_along_face,
            on_tenon_end=from_top + neck_set.overstand_along_face + rise,
            clearance_hole=clearance_hole(size),
            pilot_hole=holes.pilot_hole,
            cross_hole=holes.cross_hole,
            thread=size,
            kind=kind,
            grip=instrument.neck_block_thickness - spec.mortise_depth + spec.floor_clearance,
            engagement=holes.engagement,
        )
        for from_top in sorted(spec.bolts.from_top)
    )
