"""How far tongue, plate and board give way under the router, with the sizes that the cutting files really have."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import shapely
from shapely import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from generator.base.errors import GeometryError
from generator.joint.checks.base import Check
from generator.joint.checks.stiffness import stiffness_checks
from generator.joint.stiffness import JigBody, PlateStand, Tongue, solve_deflection

#: Places along the tongue where its width is read.
_STATIONS = 9
#: Half the length of a line across the tongue that reaches past any plate, mm.
_FAR = 1e4


@dataclass(frozen=True)
class DrawnTongue:
    """The tongue as drawn, mm, jig frame: from its root at X = `root` to its end at X = `tip`, `width` at least.

    `window_half` is half the window's width.
    """

    root: float
    tip: float
    width: float
    window_half: float


def drawn_tongue(plate: BaseGeometry, window: BaseGeometry) -> DrawnTongue:
    """Measure the tongue between the guide openings `window` of a plate (both as areas in the neck's jig frame).

    GeometryError where nothing stands between them.
    """
    x0, y0, x1, y1 = window.bounds
    inner = plate.intersection(box(x0, y0, x1, y1))
    pieces = [piece for piece in getattr(inner, "geoms", [inner]) if isinstance(piece, Polygon) and not piece.is_empty]
    if not pieces:
        raise GeometryError("the neck's window has no tongue in it")
    tongue = max(pieces, key=lambda piece: piece.area)
    tip, long = float(tongue.bounds[2]), float(tongue.bounds[2] - x0)
    stations = [x0 + long * (0.15 + 0.7 * i / (_STATIONS - 1)) for i in range(_STATIONS)]
    widths = [_across(tongue, x) for x in stations]
    return DrawnTongue(float(x0), tip, min(widths), (float(y1) - float(y0)) / 2.0)


def _across(area: Polygon, x: float) -> float:
    return float(shapely.intersection(area, LineString([(x, -_FAR), (x, _FAR)])).length)


def as_drawn(
    jig: JigBody, designed: Tongue, tongue: DrawnTongue, plate_half_width: float, rail_height: float | None
) -> JigBody:
    """The jig with the sizes that decide stiffness taken from the files; a `rail_height` of None: no bracket is cut."""
    # The board's face does not show in the plate: what lies between it and the tongue's root stays as worked out.
    shorter = designed.length - (tongue.tip - tongue.root)
    stand = _stand(jig, tongue.window_half, plate_half_width, rail_height)
    stand = replace(stand, overhang=stand.overhang - shorter)
    return replace(jig, stand=stand, tongue=replace(designed, width=tongue.width, length=tongue.tip - tongue.root))


def _stand(jig: JigBody, window_half: float, plate_half_width: float, rail_height: float | None) -> PlateStand:
    """The plate's stand with its strips and rails as the files have them."""
    return replace(
        jig.stand,
        strip_width=plate_half_width - window_half,
        half_width=plate_half_width,
        bracket=jig.stand.bracket if rail_height is not None else None,
        rail_height=rail_height or 0.0,
    )


def deflection_checks(
    jig: JigBody,
    join_to_saddle: float,
    plate: BaseGeometry,
    window: BaseGeometry,
    rail_height: float | None,
) -> Iterator[Check]:
    """Stiffness as drawn: `plate` and `window` lie in the neck's jig frame, `rail_height` (mm) is the bracket's."""
    half = (float(plate.bounds[3]) - float(plate.bounds[1])) / 2.0
    if jig.tongue is None:
        drawn = replace(jig, stand=_stand(jig, (window.bounds[3] - window.bounds[1]) / 2.0, half, rail_height))
    else:
        drawn = as_drawn(jig, jig.tongue, drawn_tongue(plate, window), half, rail_height)
    for check in stiffness_checks(solve_deflection(drawn), drawn.hold, join_to_saddle):
        yield replace(check, name=f"jig: {check.name}")
