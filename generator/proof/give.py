"""How far tongue, plate and bed give way under the router, with the sizes that the cutting files really have."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import shapely
from shapely import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from generator.checks.base import Check, at_most, mm
from generator.errors import GeometryError
from generator.frame import rail_height
from generator.model.job import Job
from generator.solution import Solution
from generator.stiffness import (
    TILT_LIMITS,
    TONGUE_LIMITS,
    TONGUE_LOAD,
    Plank,
    plate_tilt,
    tongue_give,
)

#: (warn, fail) limits of the bed's give at its upper edge, mm: it turns into an error of the angle (common practice).
BED_LIMITS = (0.03, 0.1)
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


def as_drawn(solution: Solution, tongue: Tongue, rail: Polygon | None) -> Solution:
    """The solution with the sizes that decide stiffness taken from the files."""
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
    high = float(rail.bounds[3] - rail.bounds[1])
    joint = replace(solution.joint, mortise_depth=high + solution.job.jig.rail_gap)
    return replace(solution, routing=routing, joint=joint)


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
    tilt = plate_tilt(drawn.job, drawn.joint, drawn.routing, rails=rails)
    high = mm(rail_height(drawn.job, drawn.joint)) + " high" if rails else "left out"
    words = f"the plate tilts {tilt:.3f}° under the router at the tongue's end, its rails {high}"
    return at_most("jig: plate sag", tilt, *TILT_LIMITS, words, "deg")


def bed_check(job: Job, bed: Polygon, rib: Polygon) -> Check:
    """The bed's give at its upper edge, which stands free over the ribs, under the cutter's side load.

    Both outlines are drawn with their y as height over the pivot, which is where the side load acts.
    """
    stock, back = job.stock("bed"), -job.stock("bed").actual_thickness
    meets = rib.intersection(LineString([(back - 0.5, -_FAR), (back - 0.5, _FAR)]))
    free = float(bed.bounds[3] - meets.bounds[3])
    lever = -float(meets.bounds[3])
    carries = min(job.instrument.heel_width, float(bed.bounds[2] - bed.bounds[0]))
    strip = Plank(carries, stock.actual_thickness, stock.youngs_modulus).own_stiffness
    # A cantilever of length `free`, loaded at its end by the force and by the moment of its longer arm.
    give = TONGUE_LOAD * free**2 * (free / 3.0 + (lever - free) / 2.0) / strip
    words = f"the bed's upper edge stands {mm(free)} over the ribs and gives {give:.3f} mm under {TONGUE_LOAD:g} N"
    return at_most("jig: bed give", give, *BED_LIMITS, words)


def give_checks(
    solution: Solution, plate: BaseGeometry, window: BaseGeometry, shapes: Mapping[str, Polygon]
) -> Iterator[Check]:
    """All three; `plate` and `window` lie in the tenon's jig frame, `shapes` are the parts' outlines by name."""
    rail = shapes.get("rail")
    drawn = as_drawn(solution, drawn_tongue(plate, window), rail)
    yield tongue_check(drawn)
    yield sag_check(drawn, rails=rail is not None)
    if "bed" in shapes and "rib" in shapes:
        yield bed_check(solution.job, shapes["bed"], shapes["rib"])
