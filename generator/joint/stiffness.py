"""How far plate, tongue and board give way under the router: closed formulas on plain numbers.

Lengths mm, forces N, moduli GPa, deflections mm, tilts degrees. The loads and limits are common practice, kept here so
that every check judges by the same ones.

The forms are those of a beam that bends and shears on a seat that yields. Four factors of the plate, one of the tongue
and one of the board were fitted to solid finite elements (orthotropic plywood, board held at its back); the test
`test_stiffness_by_elements` computes those anew and holds the formulas to within 20 % of them, over plywood,
fibreboard and aluminium, 12 to 18 mm, overhangs 75 to 110 mm, with brackets and without.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from generator.job.model.router import RouterKind

#: Side load of the cutter on the tongue and of the work on the board, N.
SIDE_LOAD = 30.0
#: Weight and push on the plate through the router, N.
PLATE_LOADS = {RouterKind.PLUNGE: 100.0, RouterKind.FIXED: 100.0, RouterKind.TRIM: 60.0}
#: (warn, fail) limits in mm: the tongue's deflection.
TONGUE_LIMITS = (0.1, 0.25)
#: (warn, fail) limits in degrees: tilt of the plate, or of the board, against each other.
TILT_LIMITS = (0.04, 0.10)
#: (warn, fail) limits in degrees: tilt of one side strip that bears the whole router; its cutter is at a cheek there.
BESIDE_LIMITS = (0.08, 0.20)

#: Fitted factor of the plate: bending of the T, whose flange lags behind.
_BENDING = 1.53
#: Fitted factor of the plate: shear of the T.
_SHEAR = 0.55
#: Fitted factor of the plate: the seat behind the brackets.
_BRACKET_SEAT = 0.63
#: Fitted factor of the plate: the seat of the bare plate on the board's edge.
_PLATE_SEAT = 0.90
#: With the whole load on one side strip that strip tilts by this many times as much as both do under their halves.
_ONE_SIDE = 1.85
#: Root of the tongue: how much it turns in the plate, in units of √(E/G) · moment / (E · thickness · width²).
_TONGUE_ROOT = 2.95
#: Board: its middle strip bends more than the whole width would.
_BOARD_BENDING = 1.2
#: Shear coefficient of a rectangle.
_RECTANGLE = 1.2
#: Share of a bracket's extra depth that is gone where its deep part ends.
_TAPER = 0.85
#: Steps of the numerical integral along the brackets' deep part.
_STEPS = 40
#: One end fixed, the other pinned, load at the worst place, √2 − 1 of the length from the pin: a³b²(3 + b)/12.
_PROPPED = (2.0 - math.sqrt(2.0)) ** 3 * (math.sqrt(2.0) - 1.0) ** 2 * (2.0 + math.sqrt(2.0)) / 12.0
#: Distance of that load from one end times that from the other, over the length squared: for its shear.
_PROPPED_SHEAR = (2.0 - math.sqrt(2.0)) * (math.sqrt(2.0) - 1.0)
#: The tip screw stands this far before the tongue's end, mm.
TIP_SCREW_BACK = 10.0
#: The neck in which the tip screw stands gives this much, mm.
_NECK_GIVE = 0.015


@dataclass(frozen=True)
class PlySheet:
    """A sheet as it bends and shears: thickness mm; Young's modulus, shear modulus in the sheet's plane (`edgewise`)
    and across its thickness (`rolling`: plywood's is a small part of the other), all GPa.
    """

    thickness: float
    young: float
    edgewise: float
    rolling: float


@dataclass(frozen=True)
class PlateStand:
    """The neck's half of the plate as it stands out from the board. Lengths mm.

    `overhang` is from the board's face to the tongue's end, or the heel blank's where there is none, `strip_width` the
    plate beside the window, `half_width` half the plate; `seat` how far the plate rests on the board, along the
    overhang. `bracket` is None where none joins plate and board; else `rail_height` is its height under the plate,
    `bracket_depth` and `bracket_length` the size of its deep part next to the board.
    """

    plate: PlySheet
    overhang: float
    strip_width: float
    half_width: float
    seat: float
    bracket: PlySheet | None = None
    rail_height: float = 0.0
    bracket_depth: float = 0.0
    bracket_length: float = 50.0


@dataclass(frozen=True)
class Tongue:
    """The tongue: `width` across, `length` from its root at the window's start to its end, mm."""

    sheet: PlySheet
    width: float
    length: float


@dataclass(frozen=True)
class Board:
    """The board: `width` across, `rest_depth` from the plate to the middle of the angle rest, mm."""

    sheet: PlySheet
    width: float
    rest_depth: float


class TongueHold(Enum):
    """How the tongue's end is held."""

    FREE = "its end free"
    PINNED = "its end screwed to the tenon"
    BRIDGED = "bridged"


@dataclass(frozen=True)
class JigBody:
    """What of a jig decides its stiffness, and its router. A bridged tongue's length runs to the window's end.

    `tongue` is None where the window has none; `hold` then says nothing.
    """

    stand: PlateStand
    tongue: Tongue | None
    board: Board
    hold: TongueHold
    router: RouterKind


@dataclass(frozen=True)
class Deflection:
    """What gives, under the loads above. Tilts degrees, tongue mm.

    `plate_tilt`, `beside_tilt`, `bare_tilt`: plate against rests with the router over the tongue's end, with all of it
    on one side strip, and without brackets. The tongue is taken as bearing nothing of the router: free it takes under
    1 % where there are brackets, and screwed to a neck that hangs on the board it can only help. `board_tilt`: rests
    against plate. The tongue's own are None where there is none.
    """

    plate_tilt: float
    beside_tilt: float
    bare_tilt: float
    tongue_free: float | None
    tongue_held: float | None
    board_tilt: float


def solve_deflection(jig: JigBody) -> Deflection:
    """Every deflection of a jig under its router and the side load."""
    force = PLATE_LOADS[jig.router]
    held = {TongueHold.FREE: tongue_free, TongueHold.PINNED: tongue_pinned, TongueHold.BRIDGED: tongue_bridged}
    return Deflection(
        plate_tilt=plate_tilt(jig.stand, force),
        beside_tilt=beside_tilt(jig.stand, force),
        bare_tilt=plate_tilt(bare(jig.stand), force),
        tongue_free=None if jig.tongue is None else tongue_free(jig.tongue),
        tongue_held=None if jig.tongue is None else held[jig.hold](jig.tongue),
        board_tilt=board_tilt(jig.board, jig.stand),
    )


def plate_tilt(stand: PlateStand, force: float) -> float:
    """Tilt (degrees) of the plate against the rests, router over the tongue's end, half its load on each side strip.

    Each side is a T of strip and bracket that bends and shears, on a seat that turns under its moment.
    """
    half, long = force / 2.0, stand.overhang
    turn = _BENDING * half * _bending(stand) + _SHEAR * half / _shear_stiffness(stand)
    return math.degrees(turn + half * long / _seat_stiffness(stand))


def beside_tilt(stand: PlateStand, force: float) -> float:
    """Tilt (degrees) of a side strip that bears the whole router, as it does where the bushing runs along it."""
    return _ONE_SIDE * plate_tilt(stand, force)


def bare(stand: PlateStand) -> PlateStand:
    """The same plate without brackets."""
    return PlateStand(stand.plate, stand.overhang, stand.strip_width, stand.half_width, stand.seat)


def tongue_free(tongue: Tongue, force: float = SIDE_LOAD) -> float:
    """Sideways deflection (mm) at the free end of a tongue loaded there: bending, shear, its root turning."""
    sheet, width, long = tongue.sheet, tongue.width, tongue.length
    bending = force * long**3 / (3.0 * _sideways_stiffness(tongue))
    shear = _RECTANGLE * force * long / _sideways_shear(tongue)
    softness = math.sqrt(sheet.young / sheet.edgewise) / (1000.0 * sheet.young * sheet.thickness * width**2)
    return bending + shear + _TONGUE_ROOT * softness * force * long**2


def tongue_pinned(tongue: Tongue, force: float = SIDE_LOAD) -> float:
    """Sideways deflection (mm) of a tongue screwed to the neck, the neck included, load at the worst place."""
    long = max(tongue.length - TIP_SCREW_BACK, 0.0)
    bending = _PROPPED * force * long**3 / _sideways_stiffness(tongue)
    return bending + _RECTANGLE * _PROPPED_SHEAR * force * long / _sideways_shear(tongue) + _NECK_GIVE


def tongue_bridged(tongue: Tongue, force: float = SIDE_LOAD) -> float:
    """Sideways deflection (mm) of a tongue joined to the window at both ends, load in its middle.

    Its roots turn, so it is taken as lying on two supports, not as built in.
    """
    bending = force * tongue.length**3 / (48.0 * _sideways_stiffness(tongue))
    return bending + _RECTANGLE * force * tongue.length / (4.0 * _sideways_shear(tongue))


def board_tilt(board: Board, stand: PlateStand, force: float = SIDE_LOAD) -> float:
    """Tilt (degrees) of the line over both rests against the plate, the work pushing square to the board at the lower.

    The board bends below the brackets, and the seats of both brackets turn.
    """
    sheet, free = board.sheet, max(board.rest_depth - stand.bracket_depth, 0.0)
    bending = 1000.0 * sheet.young * board.width * sheet.thickness**3 / 12.0
    shear = 1000.0 * sheet.rolling * board.width * sheet.thickness / _RECTANGLE
    seats = force * board.rest_depth / (2.0 * _seat_stiffness(stand))
    return math.degrees(seats + _BOARD_BENDING * force * free**2 / (2.0 * bending) + force / shear)


def _bending(stand: PlateStand) -> float:
    """Slope (radians) at the end of one side for each N there: moment over stiffness along the overhang."""
    deep = min(stand.bracket_length, stand.overhang) if stand.bracket else 0.0
    turn = (stand.overhang - deep) ** 2 / 2.0 / _section(stand, stand.rail_height)
    for step in range(_STEPS if deep else 0):
        share = (step + 0.5) / _STEPS
        high = stand.rail_height + (stand.bracket_depth - stand.rail_height) * (1.0 - _TAPER * share)
        turn += (stand.overhang - deep * share) / _section(stand, high) * deep / _STEPS
    return turn


def _section(stand: PlateStand, high: float) -> float:
    """Bending stiffness (N·mm²) of a side strip and the bracket `high` under it, each with its own modulus."""
    own, axial = _plank(stand.strip_width, stand.plate.thickness, stand.plate.young)
    if stand.bracket is None:
        return own
    under, pull = _plank(stand.bracket.thickness, high, stand.bracket.young)
    apart = (stand.plate.thickness + high) / 2.0
    return own + under + axial * pull / (axial + pull) * apart**2


def _plank(width: float, high: float, modulus: float) -> tuple[float, float]:
    """Bending stiffness (N·mm²) about its own middle, and stiffness against stretching (N), of a rectangle."""
    return 1000.0 * modulus * width * high**3 / 12.0, 1000.0 * modulus * width * high


def _shear_stiffness(stand: PlateStand) -> float:
    """Force (N) for each radian of shear of one side: strip across its layers, rail along its own."""
    strip = stand.plate.rolling * stand.strip_width * stand.plate.thickness
    rail = stand.bracket.edgewise * stand.bracket.thickness * stand.rail_height if stand.bracket else 0.0
    return 1000.0 * (strip + rail)


def _seat_stiffness(stand: PlateStand) -> float:
    """Moment (N·mm) for each radian of one side's seat: the bracket's against the board, the plate's on its edge."""
    plate = _PLATE_SEAT * stand.plate.rolling * stand.half_width * stand.seat**2
    if stand.bracket is None:
        return 1000.0 * plate
    joint = _BRACKET_SEAT * stand.bracket.rolling * stand.bracket.thickness * stand.bracket_depth**2
    return 1000.0 * (plate + joint)


def _sideways_stiffness(tongue: Tongue) -> float:
    return _plank(tongue.sheet.thickness, tongue.width, tongue.sheet.young)[0]


def _sideways_shear(tongue: Tongue) -> float:
    return 1000.0 * tongue.sheet.edgewise * tongue.sheet.thickness * tongue.width
