"""The cradle: two rests that carry the neck's gluing face, and one that the body's top touches.

Lengths mm, angles degrees. *Depth* is measured below the plate's underside, *width* of a rest is what of it stands out
of the board. Jig X = 0 is the face of the upper rest (for the body: of the body rest).
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Annotated

from generator.base.keyed import InMm, Key, Mm
from generator.base.units import format_mm
from generator.job.model.instrument import Instrument
from generator.job.model.jig import JigSpec
from generator.job.model.router import Router
from generator.joint.joint import Joint
from generator.joint.neck_set import NeckSet
from generator.joint.top import furthest_out

#: The rests begin this far below the rails, and so below the deepest cut, mm.
REST_BELOW_CUT = 3.0
#: How far the bit's edge passes the work where it runs out, mm.
_RUN_OUT_ROOM = 1.5
#: How far the bit's edge passes the work at least in front of a top that stands back, mm.
_LEAST_ROOM = 1.0
#: The body rest begins this far beside the cut in the body, mm.
REST_BESIDE_CUT = 6.0
#: The body rest ends this far inside the neck block, mm.
REST_INSIDE_BLOCK = 3.0
#: No angle rest may be narrower than this without its shim, mm: its screws would not hold.
LEAST_REST = 12.0
#: No angle rest with its shims stands out less or more, mm.
REST_RANGE = (5.0, 100.0)
#: The board goes on this far below the angle rest, mm.
_BOARD_BELOW = 10.0
#: Nothing of the board comes nearer to any top than this, mm.
TOP_ROOM = 1.0
#: Bit to board where the bit runs out, beyond its run-out, mm.
_BIT_TO_BOARD = 2.0
#: Bushing to the plate's middle at the openings' closed start, beyond the bit's run-out, mm.
_BUSHING_WEB = 6.0
#: The narrowest upper rest that wood screws hold, mm.
_LEAST_UPPER = 16.0
#: The narrowest angle rest with its shim that wood screws hold, mm.
_LEAST_ANGLE = 13.0
#: How many of each trim shim the kit holds; of the one that is nominally in use there is one more.
SHIM_COPIES = 2
#: A size is rounded up to whole mm after so much is taken off for rounding errors, mm.
_SAME = 1e-9
#: Stacks whose sums agree within this are alike, mm: the fewer shims are laid then.
_SAME_STACK = 2e-9
#: Upper rests whose widths as drawn agree within this are one, mm.
_SAME_REST = 0.05


@dataclass(frozen=True)
class Cradle:
    """Rests, contact and depth blocks of one job. Lengths mm, angles degrees.

    `upper_rest` is w, `angle_rest` the width that gives the angle, shim included (w + p·tan α), `angle_rest_drawn` what
    is cut: stand-off + p·tan α − nominal shim, the stand-off being measured on the built jig or else w.
    `contact_depth` is where the neck plane crosses X = 0, `shoulder_x` its X at the shoulder's level; `body_join_x` is
    the X of the body's join; `bulge` how far the top reaches past the body rest's face towards the board. `rest_beside`
    is |Y| where the body rest begins; these three are 0 where nothing is cut in the body.
    `second_depth_block` exists only where a second block is asked for.
    """

    angle: float
    rest_spacing: Mm
    rest_depth: Mm
    rest_thickness: Mm
    upper_rest: Mm
    angle_rest: Mm
    angle_rest_drawn: Mm
    stand_off: float
    stand_off_measured: InMm[float | None]
    nominal_shim: Mm
    contact_depth: Mm
    shoulder_x: Mm
    body_join_x: Mm
    rest_beside: float
    bulge: float
    depth_block: Mm
    board_height: Mm
    second_depth_block: Annotated[float | None, Key("tenon_depth_block_mm")]

    @property
    def angle_rest_in_use(self) -> float:
        """What the angle rest of this job, cut as drawn, stands out with the nominal shim behind it, mm."""
        return self.angle_rest_drawn + self.nominal_shim

    @property
    def angle_rest_depth(self) -> float:
        """Depth of the angle rest's upper edge, mm."""
        return self.rest_depth + self.rest_spacing

    def neck_plane_x(self, depth: float) -> float:
        """Jig X (mm) of the neck plane at a depth below the plate."""
        return (depth - self.contact_depth) * math.tan(math.radians(self.angle))

    def angle_with(self, shim: float) -> float:
        """The neck plane's angle (degrees) once `shim` mm more than the nominal lies behind the angle rest."""
        return math.degrees(math.atan(math.tan(math.radians(self.angle)) + shim / self.rest_spacing))


def contact_depth(angle: float, rest_depth: float, rest_thickness: float) -> float:
    """Depth (mm) at which the neck plane crosses X = 0.

    The gluing face touches both rests at the like-named edge: the upper ones for an angle of 0 and more, the lower
    ones below 0.
    """
    return rest_depth if angle >= 0.0 else rest_depth + rest_thickness


def rest_width(angle: float, rest_spacing: float, upper_rest: float) -> float:
    """What the angle rest stands out (mm) to turn the neck plane by `angle` degrees: w + p·tan α, exactly."""
    return upper_rest + rest_spacing * math.tan(math.radians(angle))


def shim_change(rest_spacing: float, end_face_tilt: float, found: float, wanted: float) -> float:
    """Change of the angle rest (mm, positive: thicker) that takes the set angle from `found` to `wanted` degrees."""
    wanted_lean, found_lean = (math.tan(math.radians(angle - end_face_tilt)) for angle in (wanted, found))
    return rest_spacing * (wanted_lean - found_lean)


def stack_words(shims: Iterable[float]) -> str:
    """Shims that lie one behind another, "0.5 + 0.2"; metric, as they are sold."""
    return " + ".join(map(format_mm, shims))


def shim_stack(total: float, shims: tuple[float, ...], nominal: float) -> tuple[float, ...]:
    """The fewest shims (mm, thickest first) whose sum comes nearest to `total` mm, from those of the kit."""
    sums, stacks = _every_stack(shims, nominal)
    place = bisect_left(sums, total)
    off = min(abs(one - total) for one in sums[max(0, place - 1) : place + 1])
    alike = slice(bisect_left(sums, total - off - _SAME_STACK), bisect_right(sums, total + off + _SAME_STACK))
    return min(stacks[alike], key=lambda stack: (round(abs(math.fsum(stack) - total), 9), len(stack), stack))


@lru_cache(maxsize=16)
def _every_stack(shims: tuple[float, ...], nominal: float) -> tuple[tuple[float, ...], tuple[tuple[float, ...], ...]]:
    """Every stack that can be laid from the kit's shims, thickest shim first, after its sum; the least sum first."""
    stock = shim_stock(shims, nominal)
    sizes = sorted(set(stock), reverse=True)
    counts = product(*(range(stock.count(size) + 1) for size in sizes))
    stacks = [tuple(size for size, count in zip(sizes, row, strict=True) for _ in range(count)) for row in counts]
    stacks.sort(key=math.fsum)
    return tuple(map(math.fsum, stacks)), tuple(stacks)


def shim_stock(shims: tuple[float, ...], nominal: float) -> tuple[float, ...]:
    """Every shim of the kit, mm, thinnest first: two of each, and the one of the nominal setting besides."""
    return tuple(sorted([*(size for size in shims for _ in range(SHIM_COPIES)), nominal]))


def run_out(bit: float, body_join_x: float) -> float:
    """How far (mm) the bit's centre passes X = 0 towards the board where both openings begin.

    The body's top begins at `body_join_x`: below 0 the bit goes as much further.
    """
    return bit / 2.0 + max(_RUN_OUT_ROOM, _LEAST_ROOM - body_join_x)


def upper_rest_width(
    angle: float, rest_spacing: float, bulge: float, *, board: float, bushing_od: float, bit: float, run: float
) -> float:
    """Width w (mm) that both the upper rest and the body rest stand out of a board `board` mm thick.

    Whole millimetres, and at least: the bit's `run` out and 2 mm in front of the board; the openings' start 6 mm off
    the plate's middle; what wood screws hold; an angle rest that screws hold; 1 mm between board and top.
    """
    lean = rest_spacing * math.tan(math.radians(angle))
    needed = max(
        bit / 2.0 + run + _BIT_TO_BOARD,
        run + bushing_od / 2.0 + _BUSHING_WEB - board / 2.0,
        _LEAST_UPPER,
        _LEAST_ANGLE - lean,
        bulge + TOP_ROOM,
    )
    return float(math.ceil(needed - _SAME))


def _body(
    instrument: Instrument, neck_set: NeckSet, joint: Joint, rest: tuple[float, float], height: float
) -> tuple[float, float, float]:
    """|Y| where the body rest begins, X of the body's join, how far the top reaches past the rest's face, mm.

    All 0 where no cut in the body brings it to the jig. The body rest lies from one depth of `rest` to the other.
    """
    if joint.body_outline is None:
        return 0.0, 0.0, 0.0
    beside, tilt = joint.body_outline.width / 2.0 + REST_BESIDE_CUT, instrument.end_face_tilt
    join_x = furthest_out(neck_set.top, tilt, *rest) - neck_set.top.falls_beside(beside)
    return beside, join_x, furthest_out(neck_set.top, tilt, 0.0, height) - join_x


def stand_off_counts(spec: JigSpec, upper_rest: float) -> bool:
    """Whether the stand-off in `spec` was measured on a jig whose upper rest is `upper_rest` mm wide."""
    of = spec.stand_off_upper_rest
    return spec.stand_off is not None and (of is None or abs(of - upper_rest) <= _SAME_REST)


def solve_cradle(
    spec: JigSpec, instrument: Instrument, neck_set: NeckSet, joint: Joint, router: Router, *, board: float, rest: float
) -> Cradle:
    """The rests' widths and places for a neck set; `board` and `rest` are the stocks' thicknesses, mm."""
    angle, p = neck_set.cradle_angle, spec.rest_spacing
    depth = joint.rail_height + REST_BELOW_CUT
    height = float(math.ceil(depth + p + rest + _BOARD_BELOW - _SAME))
    beside, join_x, bulge = _body(instrument, neck_set, joint, (depth, depth + rest), height)
    bit = router.bit_diameter
    run = run_out(bit, join_x)
    w = upper_rest_width(angle, p, bulge, board=board, bushing_od=router.bushing_od, bit=bit, run=run)
    measured = spec.stand_off if stand_off_counts(spec, w) else None
    stand_off = w if measured is None else measured
    contact = contact_depth(angle, depth, rest)
    routed = joint.shoulder_depth
    return Cradle(
        angle=angle,
        rest_spacing=p,
        rest_depth=depth,
        rest_thickness=rest,
        upper_rest=w,
        angle_rest=rest_width(angle, p, w),
        angle_rest_drawn=rest_width(angle, p, stand_off) - spec.nominal_shim,
        stand_off=stand_off,
        stand_off_measured=measured,
        nominal_shim=spec.nominal_shim,
        contact_depth=contact,
        shoulder_x=(routed - contact) * math.tan(math.radians(angle)),
        body_join_x=join_x,
        rest_beside=beside,
        bulge=bulge,
        board_height=height,
        depth_block=joint.depth_of_cut,
        second_depth_block=routed if spec.second_depth_block else None,
    )
