"""How far the plate and its tongue give way under the router: beam formulas on plain numbers, and those of one job.

Lengths mm, forces N, Young's moduli GPa, deflections mm, tilts degrees. The loads and limits are common practice, kept
here so that every check judges by the same ones.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from generator.cradle import Cradle
from generator.frame import fence_offset, plate_half_width
from generator.joint import Joint
from generator.model.job import Job
from generator.model.router import RouterKind
from generator.routing import Routing

#: Side load on the tongue, N.
TONGUE_LOAD = 30.0
#: Weight and push on the plate through the router, N.
PLATE_LOADS = {RouterKind.PLUNGE: 100.0, RouterKind.FIXED: 100.0, RouterKind.TRIM: 60.0}
#: (warn, fail) limits: the tongue's deflection in mm, the plate's tilt in degrees.
TONGUE_LIMITS = (0.1, 0.25)
TILT_LIMITS = (0.04, 0.10)
#: However stiff the rails, they are credited with bringing the bare plate's tilt down to this share and no further:
#: frame, joints and creep, which the beam leaves out, give way as well.
RAIL_CREDIT = 1.0 / 3.0

#: Cantilever with the load at its end: F·L³/(3·E·I).
_CANTILEVER = 1.0 / 3.0
#: One end fixed, the other pinned, load at the worst place, √2 − 1 of the length from the pin: a³b²(3 + b)/12.
_PROPPED = (2.0 - math.sqrt(2.0)) ** 3 * (math.sqrt(2.0) - 1.0) ** 2 * (2.0 + math.sqrt(2.0)) / 12.0
#: Both ends fixed, load in the middle.
_BRIDGED = 1.0 / 192.0


@dataclass(frozen=True)
class Stretch:
    """A stretch of beam from `start` to `end` (mm from the held end) with one bending stiffness, N·mm²."""

    start: float
    end: float
    stiffness: float


@dataclass(frozen=True)
class Plank:
    """A rectangle of a cross-section: `width` across, `height` in the direction of bending, mm; modulus GPa."""

    width: float
    height: float
    modulus: float

    @property
    def own_stiffness(self) -> float:
        """Bending stiffness about its own middle, N·mm²."""
        return 1000.0 * self.modulus * self.width * self.height**3 / 12.0

    @property
    def axial_stiffness(self) -> float:
        """Stiffness against stretching, N."""
        return 1000.0 * self.modulus * self.width * self.height


def tongue_deflection(
    width: float, length: float, thickness: float, modulus: float, *, pinned: bool = False, force: float = TONGUE_LOAD
) -> float:
    """Sideways give (mm) of a tongue `length` long from its root under the side load, load at the worst place.

    Free: a cantilever loaded at its end. `pinned`: its end held by a pin in the work.
    """
    factor = _PROPPED if pinned else _CANTILEVER
    return factor * force * length**3 / Plank(thickness, width, modulus).own_stiffness


def bridge_deflection(
    width: float, length: float, thickness: float, modulus: float, *, force: float = TONGUE_LOAD
) -> float:
    """Sideways give (mm) of a tongue joined to the window at both ends, `length` apart."""
    return _BRIDGED * force * length**3 / Plank(thickness, width, modulus).own_stiffness


def railed_stiffness(plate: Plank, rails: Plank | None) -> float:
    """Bending stiffness (N·mm²) of a strip of plate with rails glued and screwed under it: one composite section.

    Each counts with its own modulus about the common neutral axis. `rails` is both rails side by side.
    """
    if rails is None:
        return plate.own_stiffness
    apart = (plate.height + rails.height) / 2.0
    a, b = plate.axial_stiffness, rails.axial_stiffness
    return plate.own_stiffness + rails.own_stiffness + a * b / (a + b) * apart**2


def tilt_under_load(stretches: Sequence[Stretch], load_at: float, force: float) -> float:
    """Tilt (degrees) of a plate standing out from the frame, where the router stands.

    A cantilever held at 0 and loaded at `load_at` mm, of stretches of unlike stiffness; the tilt is the integral of
    moment over stiffness up to the load. The plate's own width carries: the frame is taken as rigid, and what the
    work's end face carries from below is left out, so the figure is on the safe side.
    """
    turn = 0.0
    for part in stretches:
        near, far = load_at - min(part.start, load_at), load_at - min(part.end, load_at)
        turn += force * (near**2 - far**2) / 2.0 / part.stiffness
    return math.degrees(turn)


@dataclass(frozen=True)
class TongueGive:
    """Sideways give of a job's tongue, mm: `free` from its root alone, `held` as built (pin or bridge)."""

    free: float
    held: float


def tongue_give(job: Job, routing: Routing) -> TongueGive:
    """Give of the job's tongue under the side load, run-out included, as a bare cantilever and as built."""
    plate = job.stock("plate")
    width, thick, modulus = routing.tongue_width, plate.actual_thickness, plate.youngs_modulus
    free = tongue_deflection(width, routing.tongue_overhang, thick, modulus)
    if job.jig.bridged:
        return TongueGive(free, bridge_deflection(width, routing.window_end - routing.opening_start, thick, modulus))
    return TongueGive(free, tongue_deflection(width, routing.tongue_overhang, thick, modulus, pinned=job.jig.tip_pin))


def plate_tilt(job: Job, joint: Joint, cradle: Cradle, routing: Routing, *, rails: bool = True) -> float:
    """Tilt (degrees) of the job's plate with the router standing at the end of the tongue, where it is worst.

    A beam held at the cheeks' front edge: full width up to the window, from there the strips on both sides of it, the
    rails under them as one composite section, credited as far as `RAIL_CREDIT`. 12 mm plywood without rails comes out
    at a third of a degree, 18 mm with rails at three hundredths.
    """
    bare = _beam_tilt(job, cradle, routing, None)
    if not rails:
        return bare
    rail = job.stock("bracket")
    pair = Plank(2.0 * rail.actual_thickness, joint.mortise_depth, rail.youngs_modulus)
    return max(_beam_tilt(job, cradle, routing, pair), RAIL_CREDIT * bare)


def _beam_tilt(job: Job, cradle: Cradle, routing: Routing, rails: Plank | None) -> float:
    plate = job.stock("plate")
    half, held = plate_half_width(job, routing), job.stock("board").actual_thickness / 2.0 - fence_offset(job, cradle)

    def stiffness(width: float) -> float:
        return railed_stiffness(Plank(width, plate.actual_thickness, plate.youngs_modulus), rails)

    window = max(routing.opening_start - held, 0.0)
    load_at = routing.tongue_length + routing.bushing_od / 2.0 - held
    stretches = (
        Stretch(0.0, window, stiffness(2.0 * half)),
        Stretch(window, load_at, stiffness(2.0 * (half - routing.window_half_width))),
    )
    return tilt_under_load(stretches, load_at, PLATE_LOADS[job.router.kind])
