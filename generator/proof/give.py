"""How far tongue and plate give way under the router, with the sizes that the cutting files really have."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import shapely
from shapely import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from generator.checks.base import Check, at_most, mm
from generator.errors import GeometryError
from generator.solution import Solution
from generator.stiffness import (
    TILT_LIMITS,
    TONGUE_LIMITS,
    TONGUE_LOAD,
    plate_tilt,
    tongue_give,
)

_STATIONS = 9
_FAR = 1e4


@dataclass(frozen=True)
class Tongue:
    """The tongue as drawn, mm, jig frame: from its root at X = `root` to its end at X = `tip`, `width` at least.

    `window_half` is half the window's width.
    """

    root: float
    tip: float
    width: float
    window_half: float


def drawn_tongue(plate: BaseGeometry, window: BaseGeometry) -> Tongue:
    """Measure the tongue between the guide openings `window` of a plate (both as areas in the tenon's jig frame).

    GeometryError where nothing stands between them.
    """
    x0, y0, x1, y1 = window.bounds
    inner = plate.intersection(box(x0, y0, x1, y1))
    pieces = [piece for piece in getattr(inner, "geoms", [inner]) if isinstance(piece, Polygon) and not piece.is_empty]
    if not pieces:
        raise GeometryError("the tenon window has no tongue in it")
    tongue = max(pieces, key=lambda piece: piece.area)
    tip, long = float(tongue.bounds[2]), float(tongue.bounds[2] - x0)
    stations = [x0 + long * (0.15 + 0.7 * i / (_STATIONS - 1)) for i in range(_STATIONS)]
    widths = [_across(tongue, x) for x in stations]
    return Tongue(float(x0), tip, min(widths), (float(y1) - float(y0)) / 2.0)


def _across(area: Polygon, x: float) -> float:
    return float(shapely.intersection(area, LineString([(x, -_FAR), (x, _FAR)])).length)


def as_drawn(solution: Solution, tongue: Tongue, rail: float | None) -> Solution:
    """The solution with the sizes that decide stiffness taken from the files; `rail` is the rails' height, mm."""
    routing = replace(
        solution.routing, opening_start=tongue.root, tongue_width=tongue.width, window_half_width=tongue.window_half
    )
    # A bridged tongue runs on to the window's end; where the tenon ends on it no edge of the plate tells.
    if solution.job.jig.bridged:
        routing = replace(routing, window_end=tongue.tip)
    else:
        routing = replace(routing, tongue_length=tongue.tip)
    if rail is None:
        return replace(solution, routing=routing)
    return replace(solution, routing=routing, joint=replace(solution.joint, mortise_depth=rail))


def tongue_check(drawn: Solution) -> Check:
    """The tongue's sideways give under the side load, as drawn and as held."""
    spec, routing = drawn.job.jig, drawn.routing
    give = tongue_give(drawn.job, routing).held
    held = "bridged" if spec.bridged else "its end pinned" if spec.tip_pin else "its end free"
    words = (
        f"a tongue {mm(routing.tongue_width)} wide and {mm(routing.tongue_overhang)} long, {held}, "
        f"gives {give:.3f} mm under {TONGUE_LOAD:g} N"
    )
    return at_most("jig: tongue give", give, *TONGUE_LIMITS, words)


def sag_check(drawn: Solution, *, rails: bool) -> Check:
    """The plate's tilt with the router at the tongue's end."""
    tilt = plate_tilt(drawn.job, drawn.joint, drawn.cradle, drawn.routing, rails=rails)
    high = mm(drawn.joint.mortise_depth) + " high" if rails else "left out"
    words = f"the plate tilts {tilt:.3f}° under the router at the tongue's end, its rails {high}"
    return at_most("jig: plate sag", tilt, *TILT_LIMITS, words, "deg")


def give_checks(solution: Solution, plate: BaseGeometry, window: BaseGeometry, rail: float | None) -> Iterator[Check]:
    """Both; `plate` and `window` lie in the tenon's jig frame, `rail` is the rails' height in their file, mm."""
    drawn = as_drawn(solution, drawn_tongue(plate, window), rail)
    yield tongue_check(drawn)
    yield sag_check(drawn, rails=rail is not None)
