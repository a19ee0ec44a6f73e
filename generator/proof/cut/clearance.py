"""Everything the router carries below and over the plate, swept over all it can reach, against every part of the jig.

Bit, shank, bushing, collet nut and base each reach down to a level of their own over an area of their own: all
positions the bushing can take, at full depth. A part that rises over the level inside the area would be hit.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from generator.base.units import mm
from generator.job.model.router import Router
from generator.joint.checks.base import Check, at_least
from generator.joint.stations import Use
from generator.proof.cut.prism import Prism
from generator.proof.cut.virtual_cut import Sweep
from generator.proof.kit_files import PLATE

#: Room is measured up to this (mm); more is as good.
ENOUGH = 4.0
#: (warn, fail) limits of the least room, mm, common practice.
LIMITS = (2.0, 0.5)
#: How closely the room is measured, mm.
_STEP = 0.01
#: Heights this close are one height: parts that lie flush with the plate's upper face are not over it, mm.
_FLUSH = 1e-6
#: Chords in a quarter circle of the area that a part of the router sweeps.
_QUARTER = 16


@dataclass(frozen=True)
class Reach:
    """One thing the router carries: it can be anywhere in `area` (jig X and Y), down to the height `low` mm.

    What `slides` may touch but not overlap: base and collet nut run over everything that is flush with the plate. The
    nut has the bushing's flange under it and never comes lower than the base.
    """

    label: str
    area: BaseGeometry
    low: float
    slides: bool = False


@dataclass(frozen=True)
class Near:
    """The least room between a part and something of the router, mm; negative is by how much they overlap."""

    part: str
    tool: str
    room: float


def reaches(swept: Sweep, router: Router, depth: float, plate_thickness: float) -> tuple[Reach, ...]:
    """What the router sweeps with the bushing anywhere it can go, `depth` mm below the plate's underside."""

    def around(centres: BaseGeometry, diameter: float) -> BaseGeometry:
        return centres.buffer(diameter / 2.0, quad_segs=_QUARTER)

    nut = max(_FLUSH, router.reach - plate_thickness - depth)
    return (
        Reach("bit", swept.removed, -depth),
        Reach("shank", around(swept.bit_centres, router.shank_diameter), -depth + router.cutting_length),
        Reach("bushing", around(swept.centres, router.bushing_od), plate_thickness - router.bushing_length),
        Reach("collet nut", around(swept.bit_centres, router.collet_diameter), plate_thickness + nut, slides=True),
        Reach("base", around(swept.centres, router.base_diameter), plate_thickness + _FLUSH, slides=True),
    )


def nearest(standing: Iterable[Prism], tools: Iterable[Reach]) -> Near | None:
    """What of the jig and of what holds the work comes nearest to the router; None when nothing comes near.

    The plate itself guides the bushing and is left out: the virtual cut looks at it.
    """
    worst: Near | None = None
    tools = tuple(tools)
    for prism in standing:
        for tool in tools if prism.label != PLATE else ():
            limit = ENOUGH if worst is None else worst.room
            room = room_between(prism, tool, limit)
            if room < limit:
                worst = Near(prism.label, tool.label, room)
    return worst


def room_between(prism: Prism, tool: Reach, limit: float = ENOUGH) -> float:
    """How far the tool could grow down and sideways before it touches, mm, up to `limit`; negative: the overlap."""
    if not _touches(prism, tool, 0.0 if tool.slides else max(limit, 0.0)):
        return ENOUGH
    if _touches(prism, tool, 0.0):
        return -_overlap(prism, tool)
    low, high = 0.0, limit
    while high - low > _STEP:
        middle = (low + high) / 2.0
        low, high = (low, middle) if _touches(prism, tool, middle) else (middle, high)
    return low


def _touches(prism: Prism, tool: Reach, grown: float) -> bool:
    shadow = prism.shadow(tool.low - grown)
    if shadow.is_empty:
        return False
    if grown == 0.0:
        return float(shadow.intersection(tool.area).area) > 1e-6
    return float(shadow.distance(tool.area)) < grown


def _overlap(prism: Prism, tool: Reach) -> float:
    """How deep the two run into each other: upwards, or sideways where that is less, mm."""
    upwards = prism.highest_in(tool.area, tool.low) - tool.low
    shared = prism.shadow(tool.low).intersection(tool.area)
    x0, y0, x1, y1 = shared.bounds
    return min(upwards, float(x1 - x0), float(y1 - y0))


def clearance_check(use: Use, near: Near | None) -> Check:
    """The judgement on one use of the plate; a failure names the part and the overlap."""
    name = f"jig: cutter clear of the jig, {use.value}"
    if near is None:
        return at_least(name, ENOUGH, *LIMITS, f"nothing of the jig comes within {mm(ENOUGH)} of the cutter")
    if near.room < 0.0:
        words = f"the {near.tool} runs {mm(-near.room)} into {near.part}"
    else:
        words = f"{near.part} comes nearest: {mm(near.room)} from the {near.tool}"
    return at_least(name, near.room, *LIMITS, words)
