"""Mortise in the body, tenon on the neck, and the bolts that draw them up. Lengths mm."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from generator.base.keyed import Mm
from generator.base.units import mm
from generator.job import limits
from generator.job.model.instrument import Instrument
from generator.job.model.job import Job
from generator.job.model.joint import JointKind, MortiseTenonSpec
from generator.job.model.router import Router
from generator.joint.joint import Joint, Size, bolt_holes, heel_length, heel_sizes
from generator.joint.neck_set import NeckSet
from generator.joint.outlines import Outline, end_radius, strip


@dataclass(frozen=True)
class MortiseTenon(Joint):
    """Mortise and tenon. Lengths mm.

    `tenon_projection` is the finished one, `tenon_projection_routed` what the jig leaves; `ease_end` is their
    difference, taken off by hand. `tenon_corner_radius` is that of the tenon's end: clear of the mortise's corners, and
    no tighter than what a sharp corner of the tongue leaves.
    """

    mortise_width: Mm
    mortise_length: Mm
    mortise_depth: Mm
    corner_radius: Mm
    tenon_width: Mm
    tenon_length: Mm
    tenon_projection: Mm
    tenon_projection_routed: Mm
    tenon_corner_radius: float
    side_clearance: float
    end_clearance: float
    floor_clearance: float
    ease_end: Mm

    @property
    def kind(self) -> JointKind:
        return JointKind.MORTISE_TENON

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

    @property
    def finished_projection(self) -> float:
        return self.tenon_projection

    @property
    def eased(self) -> float:
        return self.ease_end

    @property
    def side_room(self) -> float:
        return self.side_clearance

    @property
    def end_room(self) -> float:
        return self.end_clearance

    @property
    def floor_room(self) -> float:
        return self.floor_clearance

    @property
    def facts(self) -> Mapping[str, str]:
        return {
            "mortise width": "mortise_width",
            "mortise length": "mortise_length",
            "tenon width": "tenon_width",
            "tenon length": "tenon_length",
        }

    @property
    def sizes(self) -> tuple[Size, ...]:
        eased = f"ease the end by {mm(self.ease_end)}"
        return (
            Size("mortise width", self.mortise_width),
            Size("mortise length", self.mortise_length, "down the end face from the top edge"),
            Size("mortise depth", self.mortise_depth),
            Size("mortise corner radius", self.corner_radius),
            Size("tenon width", self.tenon_width),
            Size("tenon length", self.tenon_length),
            Size("tenon projection, routed", self.tenon_projection_routed),
            Size("tenon projection, finished", self.tenon_projection, eased),
        )


def mortise_corner_radius(spec: MortiseTenonSpec, router: Router, edge_offset: float) -> float:
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


def mortise_length(instrument: Instrument, spec: MortiseTenonSpec) -> float:
    """Length of the mortise (mm): as asked, else the heel's length less `mortise_stop`."""
    return limits.mortise_length(spec.mortise_length, heel_length(instrument), spec.mortise_stop)


def solve_mortise_tenon(job: Job, spec: MortiseTenonSpec, neck_set: NeckSet, edge_offset: float) -> MortiseTenon:
    """Sizes of mortise and tenon; `edge_offset` (mm) lies between the cut's edge and the template's.

    With one depth block for both cuts the tenon's end is eased by the floor clearance afterwards; a second block routs
    the tenon to its finished projection.
    """
    instrument = job.instrument
    length = mortise_length(instrument, spec)
    projection = spec.mortise_depth - spec.floor_clearance
    routed = projection if job.jig.second_depth_block else spec.mortise_depth
    corner = mortise_corner_radius(spec, job.router, edge_offset)
    return MortiseTenon(
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
        **heel_sizes(instrument),
        neck_blank_overlength=routed / math.cos(math.radians(neck_set.cradle_angle)),
        bolts=bolt_holes(
            instrument,
            spec.bolts,
            neck_set,
            far_end=length - spec.end_clearance,
            projection=routed,
            grip=instrument.neck_block_thickness - spec.mortise_depth + spec.floor_clearance,
        ),
    )
