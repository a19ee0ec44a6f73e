"""The joint: mortise in the body, tenon on the neck, and the bolts that draw them up.

Lengths mm. *Length* runs down the body's end face from its top edge, *depth* square into it, *projection* square out
of the neck's shoulder.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from generator.job.fasteners import clearance_hole, tenon_thread
from generator.job.model.instrument import Instrument
from generator.job.model.joint import BoltKind, JointSpec
from generator.job.model.router import Router
from generator.joint.neck_set import NeckSet
from generator.joint.outlines import Outline, end_radius, strip

#: Wood beside a bolt's widest hole, to the truss-rod slot and to the tenon's end, that the rule for bolts keeps, mm.
BOLT_CLEAR = 5.5
#: Where the rule puts one, two or three bolts: shares of the heel's length from the body's top edge.
_BOLT_SHARES = {1: (0.5,), 2: (1.0 / 3.0, 0.7), 3: (0.3, 0.5, 0.7)}


@dataclass(frozen=True)
class BoltHole:
    """One bolt on the centreline. Lengths mm.

    `from_top` runs down the end face from the body's top edge, `from_neck_plane` down the shoulder from the neck plane:
    the two differ by the neck rise. `on_neck_end` runs down the finished tenon's end, parallel to the shoulder, where
    the neck plane has risen or fallen by the projection times tan(cradle angle). `clearance_hole` goes through the
    neck block, `pilot_hole` into the tenon's end, `cross_hole` (barrel nuts only) across the tenon. `grip` is what the
    bolt bridges before its thread engages.
    """

    from_top: float
    from_neck_plane: float
    on_neck_end: float
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
    difference, taken off by hand. `tenon_corner_radius` is that of the tenon's end: clear of the mortise's corners, and
    no tighter than what a sharp corner of the tongue leaves. `heel_length` runs down the end face to the inner edge of
    the back binding, where the neck ends; the heel cap then laps over `heel_cap_lap` of the binding's height.
    `heel_blank` and `heel_blank_width` are what of the neck's end lies under the plate while the tenon is routed: the
    blank, before carving.
    """

    mortise_width: float
    mortise_length: float
    mortise_depth: float
    corner_radius: float
    tenon_width: float
    tenon_length: float
    tenon_projection: float
    tenon_projection_routed: float
    tenon_corner_radius: float
    side_clearance: float
    end_clearance: float
    floor_clearance: float
    ease_end: float
    heel_length: float
    heel_width: float
    heel_width_at_cap: float
    heel_cap_lap: float
    heel_blank: float
    heel_blank_width: float
    neck_blank_overlength: float
    bolts: tuple[BoltHole, ...]

    @property
    def depth_of_cut(self) -> float:
        """How deep the deeper of the two cuts goes, mm: what rails, depth block and rests are set by."""
        return max(self.body_outline.depth, self.neck_outline.depth)

    @property
    def shoulder_depth(self) -> float:
        """How far below the plate the shoulder is routed, mm."""
        return self.neck_outline.depth

    @property
    def finished_projection(self) -> float:
        """How far what is left on the neck stands out of the finished shoulder, mm."""
        return self.tenon_projection

    @cached_property
    def body_outline(self) -> Outline:
        """The mortise in the body's end face."""
        contour = strip(self.mortise_width, self.mortise_length, self.corner_radius)
        return Outline("mortise", contour, True, self.mortise_depth, self.corner_radius)

    @cached_property
    def neck_outline(self) -> Outline:
        """The tenon as it is routed on the neck's shoulder."""
        contour = strip(self.tenon_width, self.tenon_length, self.tenon_corner_radius)
        return Outline("tenon", contour, False, self.tenon_projection_routed, self.tenon_corner_radius)


def heel_length(instrument: Instrument) -> float:
    """Length of the neck's heel along the end face (mm): top edge to the inner edge of the back binding."""
    face = instrument.body_depth_at_neck - instrument.back_binding_height
    return face / math.cos(math.radians(instrument.end_face_tilt))


def mortise_corner_radius(spec: JointSpec, router: Router, edge_offset: float) -> float:
    """Radius (mm) of the mortise's inside corners: as asked, else the least that bushing and bit can rout."""
    if spec.corner_radius is not None:
        return spec.corner_radius
    return max(router.bushing_od / 2.0 - edge_offset, router.bit_diameter / 2.0)


def tenon_corner_radius(corner_radius: float, side_clearance: float, edge_offset: float) -> float:
    """Radius (mm) of the tenon's outside corners in a mortise whose corners have `corner_radius`.

    The tongue's own corner is that much tighter by the edge offset; one too small to be made is left sharp.
    """
    tongue = end_radius(corner_radius - side_clearance / 2.0 - edge_offset, math.inf)
    return tongue + edge_offset


def solve_joint(
    instrument: Instrument, spec: JointSpec, router: Router, neck_set: NeckSet, *, edge_offset: float, ease_end: bool
) -> Joint:
    """Sizes of mortise and tenon.

    With `ease_end` both cuts share one depth block and the tenon's end is eased by the floor clearance afterwards;
    without it a second block routs the tenon to its finished projection.
    """
    length = mortise_length(instrument, spec)
    projection = spec.mortise_depth - spec.floor_clearance
    routed = spec.mortise_depth if ease_end else projection
    blank = instrument.body_depth_at_neck + 2.0 if instrument.heel_blank is None else instrument.heel_blank
    corner = mortise_corner_radius(spec, router, edge_offset)
    return Joint(
        mortise_width=spec.mortise_width,
        mortise_length=length,
        mortise_depth=spec.mortise_depth,
        corner_radius=corner,
        tenon_width=spec.mortise_width - spec.side_clearance,
        tenon_length=length - spec.end_clearance,
        tenon_projection=projection,
        tenon_projection_routed=routed,
        tenon_corner_radius=tenon_corner_radius(corner, spec.side_clearance, edge_offset),
        side_clearance=spec.side_clearance,
        end_clearance=spec.end_clearance,
        floor_clearance=spec.floor_clearance,
        ease_end=routed - projection,
        heel_length=heel_length(instrument),
        heel_width=instrument.heel_width,
        heel_width_at_cap=instrument.heel_width_at_cap,
        heel_cap_lap=instrument.heel_cap_thickness,
        heel_blank=blank,
        heel_blank_width=heel_blank_width(instrument),
        neck_blank_overlength=routed / math.cos(math.radians(neck_set.cradle_angle)),
        bolts=_bolts(instrument, spec, neck_set),
    )


def mortise_length(instrument: Instrument, spec: JointSpec) -> float:
    """Length of the mortise (mm): as asked, else the heel's length less `mortise_stop`."""
    return heel_length(instrument) - spec.mortise_stop if spec.mortise_length is None else spec.mortise_length


def heel_blank_width(instrument: Instrument) -> float:
    """Width of the neck's end before carving (mm): as told, else the heel's greatest width and 4 mm on either side."""
    if instrument.heel_blank_width is not None:
        return instrument.heel_blank_width
    return max(instrument.heel_width, instrument.heel_width_at_cap) + 8.0


def bolt_places(instrument: Instrument, spec: JointSpec) -> tuple[float, ...]:
    """Centres of the bolts below the body's top edge, mm: as told, else by a rule over the heel's length.

    One bolt stands half-way down the heel; of two the upper stands a third of the way down and the lower seven tenths
    (common practice); a third one stands between them. The upper one keeps clear of the truss-rod slot, the lower one
    of the tenon's end, each by `BOLT_CLEAR` beside its widest hole. Places are whole half millimetres.
    """
    bolts = spec.bolts
    if bolts.from_top is not None:
        return tuple(sorted(bolts.from_top))
    holes = tenon_thread(bolts.thread, bolts.kind)
    clear = max(holes.pilot_hole, holes.cross_hole or 0.0) / 2.0 + BOLT_CLEAR
    slot = instrument.truss_rod_slot_depth if instrument.truss_rod_slot_width is not None else None
    highest = clear + (slot or 0.0)
    lowest = mortise_length(instrument, spec) - spec.end_clearance - clear
    whole = heel_length(instrument)
    return tuple(round(2.0 * min(max(share * whole, highest), lowest)) / 2.0 for share in _BOLT_SHARES[bolts.count])


def _bolts(instrument: Instrument, spec: JointSpec, neck_set: NeckSet) -> tuple[BoltHole, ...]:
    size, kind = spec.bolts.thread, spec.bolts.kind
    holes = tenon_thread(size, kind)
    rise = (spec.mortise_depth - spec.floor_clearance) * math.tan(math.radians(neck_set.cradle_angle))
    return tuple(
        BoltHole(
            from_top=from_top,
            from_neck_plane=from_top + neck_set.neck_rise_along_face,
            on_neck_end=from_top + neck_set.neck_rise_along_face + rise,
            clearance_hole=clearance_hole(size),
            pilot_hole=holes.pilot_hole,
            cross_hole=holes.cross_hole,
            thread=size,
            kind=kind,
            grip=instrument.neck_block_thickness - spec.mortise_depth + spec.floor_clearance,
            engagement=holes.engagement,
        )
        for from_top in bolt_places(instrument, spec)
    )
