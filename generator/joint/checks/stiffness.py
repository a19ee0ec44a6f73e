"""Whether plate, tongue and board are stiff enough under the router."""

from __future__ import annotations

import math

from generator.base.units import mm
from generator.joint.checks.base import Check, at_most
from generator.joint.stiffness import BESIDE_LIMITS, SIDE_LOAD, TILT_LIMITS, TONGUE_LIMITS, Deflection, TongueHold


def stiffness_checks(deflection: Deflection, hold: TongueHold, join_to_saddle: float) -> tuple[Check, ...]:
    """Tongue, plate over its end (else the heel blank's) and beside it, board.

    `join_to_saddle`, mm, is to say what a tilt does.
    """

    def at_saddle(tilt: float) -> str:
        return f"{mm(math.radians(tilt) * join_to_saddle)} at the saddle"

    end = "heel blank" if deflection.tongue_held is None else "tongue"
    return (
        *_tongue(deflection, hold),
        at_most(
            "plate tilt",
            deflection.plate_tilt,
            *TILT_LIMITS,
            f"the plate tilts {deflection.plate_tilt:.3f}° under the router over the {end}'s end, "
            f"{at_saddle(deflection.plate_tilt)}; without brackets {deflection.bare_tilt:.3f}°",
            "deg",
        ),
        at_most(
            f"plate tilt beside the {end}",
            deflection.beside_tilt,
            *BESIDE_LIMITS,
            f"one side of the plate tilts {deflection.beside_tilt:.3f}° where it bears the whole router",
            "deg",
        ),
        at_most(
            "board stiffness",
            deflection.board_tilt,
            *TILT_LIMITS,
            f"the rests tilt {deflection.board_tilt:.3f}° against the plate with {SIDE_LOAD:g} N on the board at the "
            f"angle rest, {at_saddle(deflection.board_tilt)}",
            "deg",
        ),
    )


def _tongue(deflection: Deflection, hold: TongueHold) -> tuple[Check, ...]:
    if deflection.tongue_held is None or deflection.tongue_free is None:
        return ()
    words = (
        f"the tongue gives {deflection.tongue_held:.3f} mm sideways under {SIDE_LOAD:g} N with {hold.value}, "
        f"{deflection.tongue_free:.3f} mm with it free"
    )
    return (at_most("tongue stiffness", deflection.tongue_held, *TONGUE_LIMITS, words),)
