"""Every check with hands, in the order of the work: assembly, zero check, depth, then each use."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from shapely import Polygon
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from generator.joint.checks.base import Check
from generator.joint.stations import Use
from generator.proof.cut.nominal_cut import nominal_cut
from generator.proof.cut.virtual_cut import Sweep
from generator.proof.jig.holding import holding_checks
from generator.proof.jig.motions import motion_checks
from generator.proof.jig.pieces import Pieces
from generator.proof.jig.reach import (
    plug_check,
    square_check,
    start_checks,
    stop_check,
    tip_check,
    top_check,
    zero_checks,
)
from generator.proof.jig.solids import Solid

#: Chords in a quarter circle of the area that the router's base covers.
_QUARTER = 16


def hand_checks(pieces: Pieces, sweeps: Mapping[Use, Sweep], opening: Polygon, plug: Polygon | None) -> Iterator[Check]:
    """All of them; `sweeps` are what the bushing and bit can reach in each use, in that cut's jig frame.

    `opening` is the body's in its jig frame, `plug` the plug's profile, None where it has no file.
    """
    yield from _before_the_work(pieces)
    yield top_check(pieces)
    spec = pieces.kit.solution.job.jig
    if spec.tip_pin and not spec.bridged:
        yield tip_check(pieces)
    if plug is not None:
        yield plug_check(opening, plug)
    for use, swept in sweeps.items():
        yield from _use_checks(pieces, use, swept)


def bare_hand_checks(
    pieces: Pieces, sweeps: Mapping[Use, Sweep], window: Polygon, stop: Polygon | None
) -> Iterator[Check]:
    """As `hand_checks`, of a jig that cuts the neck alone: `window` is the neck's, `stop` the heel stop's profile."""
    yield from _before_the_work(pieces)
    if stop is not None:
        yield stop_check(pieces, window, stop)
    for use, swept in sweeps.items():
        yield from _use_checks(pieces, use, swept)


def _before_the_work(pieces: Pieces) -> Iterator[Check]:
    yield from motion_checks(pieces)
    yield square_check(pieces)
    yield from zero_checks(pieces)


def _use_checks(pieces: Pieces, use: Use, swept: Sweep) -> Iterator[Check]:
    router, results = pieces.kit.solution.job.router, pieces.kit.results
    depth = pieces.setting.cut_depth(use)
    yield start_checks(swept, nominal_cut(results, use), router.bit_diameter, use)
    base = _on_plate(swept.centres.buffer(router.base_diameter / 2.0, quad_segs=_QUARTER), use, pieces.fence)
    bit = Solid("the bit", "z", _on_plate(swept.removed, use, pieces.fence), -depth, 0.0)
    yield from holding_checks(pieces, base, bit, use)


def _on_plate(area: BaseGeometry, use: Use, fence: float) -> BaseGeometry:
    """An area of a cut's jig frame in the plate frame."""
    sign = -1.0 if use is Use.NECK else 1.0
    return affine_transform(area, [sign, 0.0, 0.0, sign, sign * fence, 0.0])
