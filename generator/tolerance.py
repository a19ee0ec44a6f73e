"""How far the saddle gap may come out from what was asked: each cause, the worst case and the likely one.

Lengths mm, angles degrees. Every tolerance is a half range (±).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from generator.cradle import Cradle
from generator.joint import Joint
from generator.model.job import Tolerances
from generator.neckset import NeckSet


@dataclass(frozen=True)
class Contribution:
    """One cause and what it alone can do to the saddle gap, ± mm."""

    name: str
    gap: float


@dataclass(frozen=True)
class Uncertainty:
    """What to expect of the first dry fit. Lengths mm.

    `gap_worst` adds all contributions, `gap_rss` is their root-sum-square; `gap_per_degree` is how much a degree of set
    angle moves the gap; `sideways` is what the play of the truss-rod key (or the side stops) does at the saddle.
    """

    contributions: tuple[Contribution, ...]
    gap_worst: float
    gap_rss: float
    gap_per_degree: float
    sideways: float

    @property
    def dominant(self) -> Contribution:
        """The largest contribution."""
        return max(self.contributions, key=lambda item: item.gap)


def worst_case(sizes: Iterable[float]) -> float:
    """Sum of the absolute sizes: everything at its limit, all the same way."""
    return math.fsum(abs(size) for size in sizes)


def root_sum_square(sizes: Iterable[float]) -> float:
    """Root of the sum of squares: independent causes, seldom all at their limit at once."""
    return math.hypot(*sizes)


def gap_per_radian(neck_set: NeckSet) -> float:
    """Change of the saddle gap with the set angle, mm per radian: s / cos² of the set angle."""
    return neck_set.join_to_saddle / math.cos(math.radians(neck_set.set_angle)) ** 2


def solve_uncertainty(
    tolerances: Tolerances,
    neck_set: NeckSet,
    joint: Joint,
    cradle: Cradle,
    *,
    eccentricity: float,
    plate_tilt: float,
) -> Uncertainty:
    """Every contribution to the saddle gap, summed both ways.

    `eccentricity` (mm) of the router's bushing and `plate_tilt` (degrees) of the sagging plate are what is known of
    this job; each counts where it is more than the tolerance says. Block and pivot errors turn the bed through the
    sine setting's lever, flatness and hold-back the neck over the heel's length; eccentricity shifts the neck bodily.
    """
    slope = gap_per_radian(neck_set)
    lever, heel = cradle.rest_spacing, joint.heel_length
    contributions = (
        Contribution("set block height", slope * tolerances.block_height / lever),
        Contribution("pivot play", slope * tolerances.pivot_play / lever),
        Contribution("plate sag", slope * math.radians(max(tolerances.plate_sag, plate_tilt))),
        Contribution("flatness of the end face", slope * tolerances.end_face_flatness / heel),
        Contribution("reading of the gap", tolerances.gap_reading),
        Contribution("bushing eccentricity", max(tolerances.bushing_eccentricity, eccentricity)),
        Contribution("evenness of the last pass", slope * tolerances.hold_back / heel),
    )
    sizes = [item.gap for item in contributions]
    return Uncertainty(
        contributions=contributions,
        gap_worst=worst_case(sizes),
        gap_rss=root_sum_square(sizes),
        gap_per_degree=math.radians(slope),
        sideways=neck_set.join_to_saddle * tolerances.key_play / cradle.rest_spacing,
    )
