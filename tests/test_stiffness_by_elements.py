"""The stiffness formulas against solid finite elements, whose results are written out beside them.

`plate_elements.py` is the witness: quadratic bricks by scikit-fem, orthotropic sheets, nothing of the package. Moduli
of plywood are common figures from memory (in the plane 9, edgewise shear 0.65, rolling shear 0.2, across 0.9 GPa).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import pytest
from made_once import THOROUGH
from plate_elements import (
    BRACKET,
    PLATE,
    Block,
    Jig,
    Material,
    build,
    strip_tilt,
    tilt_beside,
    tilt_over_tongue,
    tongue_pinned_side,
    tongue_side,
)
from plate_elements import board_tilt as board_by_elements

from generator.job.model.router import RouterKind
from generator.joint.stiffness import (
    Board,
    JigBody,
    PlateStand,
    PlySheet,
    Tongue,
    TongueHold,
    plate_tilt,
    solve_deflection,
    tongue_free,
)

PLY = Material(9000, 900, 650, 200)
MDF = Material(3500, 800, 1500, 500)
ALUMINIUM = Material(70000, 70000, 26300, 26300, 0.33)
ORCHESTRA = Jig(89.3253, 94.7718, -15.7875, 120.6375, 50.2875, 26, 22.225, 15.725, 22.225, PLY)
PARLOUR = replace(ORCHESTRA, tongue_end=76.3, opening_end=81.5, window_end=107.6)
UKULELE = Jig(
    62.9614, 68, -9.5, 83, 31.5, 25, 14, 8.55, 16.7, PLY, plate=12, bracket=12, spacing=100, side=34, end=34, force=60
)
NYLON = Jig(79.6147, 85.5, -16, 109.5, 49.5, 25, 22, 14.85, 25, PLY)


@dataclass(frozen=True)
class Found:
    """What the elements found: tilts of plate over the tongue's end and beside it and of the board, degrees; the
    tongue's give free and with its end held (the neck's own apart), mm.
    """

    over: float
    beside: float
    free: float
    pinned: float
    board: float


CASES = {
    "orchestra": (ORCHESTRA, Found(0.0244, 0.0440, 0.3535, 0.0109, 0.0205)),
    "parlour": (PARLOUR, Found(0.0200, 0.0364, 0.2524, 0.0077, 0.0204)),
    "nylon": (NYLON, Found(0.0210, 0.0380, 0.3232, 0.0094, 0.0208)),
    "ukulele": (UKULELE, Found(0.0268, 0.0513, 0.9206, 0.0204, 0.0184)),
    "all of 12 mm": (replace(ORCHESTRA, plate=12, bracket=12), Found(0.0385, 0.0746, 0.5224, 0.0158, 0.0214)),
    "plate of 12 mm": (replace(ORCHESTRA, plate=12), Found(0.0294, 0.0558, 0.5222, 0.0157, 0.0195)),
    "fibreboard": (replace(ORCHESTRA, material=MDF), Found(0.0266, 0.0444, 0.6897, 0.0148, 0.0259)),
    "aluminium": (
        replace(ORCHESTRA, material=ALUMINIUM, plate=10, bracket=10, board=10),
        Found(0.0031, 0.0057, 0.0605, 0.0012, 0.0056),
    ),
    "no brackets": (replace(ORCHESTRA, bracketed=False), Found(0.2330, 0.3632, 0.3545, 0.0111, 0.0795)),
}
#: What the finite elements behind the jig's requirements found for the plate over the tongue's end, degrees.
REQUIRED = {
    "orchestra": 0.0213,
    "parlour": 0.0205,
    "ukulele": 0.0291,
    "all of 12 mm": 0.0399,
    "plate of 12 mm": 0.0298,
    "no brackets": 0.194,
}
#: The same for the free tongue: finite elements over a cantilever that only bends.
REQUIRED_TONGUES = {"orchestra": 1.49, "parlour": 1.47, "ukulele": 1.29, "aluminium": 1.20}
NECK_GIVE = 0.015


def sheet(jig: Jig, thickness: float) -> PlySheet:
    m = jig.material
    return PlySheet(thickness, m.young / 1000, m.edgewise / 1000, m.rolling / 1000)


def body(jig: Jig) -> JigBody:
    """The witness's jig in the formulas' words."""
    return JigBody(
        stand=PlateStand(
            plate=sheet(jig, jig.plate),
            overhang=jig.tip - jig.board / 2,
            strip_width=jig.side,
            half_width=jig.width,
            seat=jig.board,
            bracket=sheet(jig, jig.bracket) if jig.bracketed else None,
            rail_height=jig.depth if jig.bracketed else 0,
            bracket_depth=jig.bracket_depth if jig.bracketed else 0,
        ),
        tongue=Tongue(sheet(jig, jig.plate), jig.tongue, jig.tongue_length),
        board=Board(sheet(jig, jig.board), jig.board_width, jig.rest_depth + jig.spacing + 6),
        hold=TongueHold.PINNED,
        router=RouterKind.PLUNGE if jig.force == 100 else RouterKind.TRIM,
    )


#: The cases whose elements are computed anew: one jig with brackets, the lightest mesh, and the one without. The rest
#: have other numbers in the same mesh.
COMPUTED = tuple(CASES) if THOROUGH else ("ukulele", "no brackets")


@pytest.mark.parametrize("name", COMPUTED)
def test_the_elements_say_so(name: str) -> None:
    """The results written out are those of the elements, computed anew."""
    jig, found = CASES[name]
    assert tilt_over_tongue(jig) == pytest.approx(found.over, rel=0.02)
    assert tilt_beside(jig) == pytest.approx(found.beside, rel=0.02)
    assert tongue_side(jig) == pytest.approx(found.free, rel=0.02)
    assert tongue_pinned_side(jig) == pytest.approx(found.pinned, rel=0.05)
    assert board_by_elements(jig) == pytest.approx(found.board, rel=0.02)


@pytest.mark.parametrize("name", CASES)
def test_formulas_within_a_fifth(name: str) -> None:
    """Plate, tongue and board come out within 20 % of the elements, or on the safe side of them where pinned.

    Aluminium's board is 1/100 of a degree either way and is held to 0.002.
    """
    jig, found = CASES[name]
    give = solve_deflection(body(jig))
    assert give.plate_tilt == pytest.approx(found.over, rel=0.2)
    if jig.bracketed:
        assert give.beside_tilt == pytest.approx(found.beside, rel=0.2)
    assert give.tongue_free == pytest.approx(found.free, rel=0.2)
    assert found.pinned * 0.8 < give.tongue_held - NECK_GIVE < max(found.pinned * 1.2, found.pinned + 0.003)
    assert give.board_tilt == pytest.approx(found.board, rel=0.2, abs=0.002)


@pytest.mark.parametrize("name", REQUIRED)
def test_formulas_against_the_requirements_own_elements(name: str) -> None:
    """Within 20 % of the figures that the requirements give for the same jigs, worked out by someone else's mesh."""
    assert solve_deflection(body(CASES[name][0])).plate_tilt == pytest.approx(REQUIRED[name], rel=0.2)


def test_aluminium_is_far_inside_the_limits() -> None:
    """The requirements say 0.0043 for aluminium of 10 mm, elements here and the formula 0.003: a tenth of the limit."""
    assert solve_deflection(body(CASES["aluminium"][0])).plate_tilt == pytest.approx(0.0043, abs=0.0012)


@pytest.mark.parametrize("name", REQUIRED_TONGUES)
def test_tongue_over_a_plain_cantilever(name: str) -> None:
    """Shear and the root make a tongue give 1.2 (aluminium) to 1.5 (plywood) times what bending alone says."""
    jig = CASES[name][0]
    plain = 30 * jig.tongue_length**3 / (3 * jig.material.young * jig.plate * jig.tongue**3 / 12)
    assert tongue_free(body(jig).tongue) / plain == pytest.approx(REQUIRED_TONGUES[name], rel=0.1)


# --- the jig with a swinging bed, which a plain beam got wrong ------------------------------------------------------

#: Overhang of the plate from the cheeks' front to the tongue's end, mm (orchestra, plate of 18 mm).
OVERHANG = 110.41
#: Width of the plate's strip beside the window, mm (orchestra, plate of 18 mm).
STRIP = 44.0
#: Half the plate's width, mm (orchestra, plate of 18 mm).
HALF = 89.8
#: Length of the plate on the cheeks, mm (orchestra, plate of 18 mm).
CHEEKS = 90.0
#: The plywood of the jig with a swinging bed.
OLD_PLY = Material(9500, 900, 650, 200)


def test_a_plain_beam_said_a_fifth_of_it() -> None:
    """0.032 degrees: a beam of strips held at the cheeks, credited with rails down to a third of its tilt.

    Reckoned as then, 9.5 GPa, 100 N at the tongue's end and half a bushing; the true tilt is 0.147 by finite elements.
    """
    long, window = OVERHANG + 15.875 / 2, 5.21
    strips, whole = 9500 * 2 * STRIP * 18**3 / 12, 9500 * 2 * HALF * 18**3 / 12
    turn = 100 * ((long**2 - (long - window) ** 2) / whole + (long - window) ** 2 / strips) / 2
    beam = math.degrees(turn) / 3
    assert beam == pytest.approx(0.032, abs=0.001)
    assert 0.147 / beam > 4


def test_the_formula_gets_the_swinging_jig_right() -> None:
    """Rails that end beside the frame are no brackets: 0.147 by the elements of who found it, 0.125 by those here."""
    cheek = Block((-111, -21), (34, 46), (-100, 0), BRACKET, OLD_PLY)
    rail = Block((-45, 165), (48, 60), (-19.2, 0), BRACKET, OLD_PLY)
    holes = ((-15.8, 89.4, 7.9, 45.8), (89.4, 130.4, -1, 45.8), (-229.3, -116.2, -1, 11.1))
    plate = Block((-303, 171), (0, HALF), (0, 18), PLATE, OLD_PLY, holes)
    solid = build([plate, cheek, rail], {0: [74.4, 104.4], 2: [-90, 9]}, lambda p: (p[2] < -90 + 1e-6) & (p[0] < 0))
    elements = strip_tilt(solid, 89.4, 18, 45.8, HALF, 50, 0)
    assert elements == pytest.approx(0.124, abs=0.003)
    formula = plate_tilt(PlateStand(PlySheet(18, 9.5, 0.65, 0.2), OVERHANG, STRIP, HALF, CHEEKS), 100)
    assert formula == pytest.approx(0.1439, abs=1e-3)
    assert formula == pytest.approx(0.147, rel=0.2)
    assert formula == pytest.approx(elements, rel=0.2)
