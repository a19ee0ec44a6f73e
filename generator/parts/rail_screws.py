"""How the rails hang on the plate: screws from above where a rail is high and thick enough, else glue alone."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.model.jig import Joinery
from generator.parts.layout import Layout
from generator.parts.screws import STANDARD_LENGTHS, Screw, screw

#: Sizes that may stand in for the jig's own screw where a rail is too thin for it, largest first.
_SIZES = ("M10", "M8", "M6", "M5", "M4", "M3")
#: Pilot hole of a wood screw as a share of its diameter (common practice for hardwood and plywood).
_PILOT = 0.7
#: Wood left under a hole, a head's distance from the window, and from a rail's end to its first screw, mm.
_UNDER, _WALL, _FROM_END = 2.0, 1.0, 12.0
#: About the distance between two screws, mm.
_PITCH = 60.0
#: A head overhangs its rail towards the window by no more than this: the rail stands 2 mm off it.
_OVERHANG = 2.0 - _WALL


@dataclass(frozen=True)
class RailScrew:
    """The screw between plate and rail and the hole it wants in the rail's upper edge, mm."""

    screw: Screw
    tapped: bool
    length: float
    drill: float
    depth: float
    thread_depth: float | None


def rail_screw(layout: Layout) -> RailScrew | None:
    """The screw that holds the rails; None where they are too low for one and are glued only."""
    tapped, thick = layout.spec.joinery is Joinery.TAPPED, layout.thick.rail
    for size in _SIZES[_SIZES.index(layout.spec.screw_thread) :]:
        found = screw(size)
        if found.head_diameter > thick + 2.0 * _OVERHANG or found.diameter > thick / 2.0:
            continue
        return _longest_fitting(found, tapped, layout)
    return None


def _longest_fitting(found: Screw, tapped: bool, layout: Layout) -> RailScrew | None:
    """The screw that reaches two diameters (three in wood) into the rail, or as far as the rail is high."""
    run_out = found.diameter / 2.0
    deepest = layout.rail_height - _UNDER - run_out
    wanted = layout.thick.plate + (2.0 if tapped else 3.0) * found.diameter
    lengths = [float(size) for size in STANDARD_LENGTHS if size - layout.thick.plate <= deepest]
    long = next((size for size in lengths if size >= wanted), max(lengths, default=0.0))
    into = long - layout.thick.plate
    if into < found.diameter:
        return None
    drill = found.tap_drill if tapped else _PILOT * found.diameter
    return RailScrew(found, tapped, long, drill, into + run_out, into + run_out / 2.0 if tapped else None)


def rail_screw_stations(layout: Layout) -> tuple[float, ...]:
    """Jig X of the screws that hold each rail, tenon half over the work; none where the rails are glued only."""
    found = rail_screw(layout)
    if found is None:
        return ()
    first, last = _first_station(layout, found), layout.rail_end - _FROM_END
    count = max(2, round((last - first) / _PITCH) + 1)
    return tuple(first + i * (last - first) / (count - 1) for i in range(count))


def _first_station(layout: Layout, found: RailScrew) -> float:
    """Jig X of the first screw: near the rail's end, but clear of the heads that hold the plate on the cheeks."""
    first = layout.rail_start + _FROM_END
    clear = (found.screw.head_diameter + layout.screw.head_diameter) / 2.0 + _WALL
    beside = layout.rail_inner + layout.thick.rail / 2.0 - layout.spec.cheek_inner - layout.thick.cheek / 2.0
    if beside >= clear:
        return first
    along = math.sqrt(clear**2 - beside**2)
    for head in sorted(layout.cheek_front - at for at in layout.plate_joint.screws):
        if abs(first - head) < along:
            first = head + along
    return first
