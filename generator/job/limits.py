"""What the rules between keys and the checks of a solved job both go by: each limit and its quantity stand here once.

Lengths mm, angles degrees. A rule refuses a job by its keys alone, a check judges the solved job and tells the margin.
"""

from __future__ import annotations

import math

#: A tongue narrower than this is too weak to guide a bushing.
LEAST_TONGUE = 6.0
#: Play on diameter between the bushing's bore and what turns in it.
LEAST_BORE_PLAY = 0.6
#: The bushing's barrel stays this far short of the plate's underside.
LEAST_BUSHING_ROOM = 0.5
#: A stand-off further than this from the upper rest's width was not taken at the angle rest, or not on this jig.
MOST_STAND_OFF_ERROR = 3.0
#: Widths and flatness that make the joint are held by hand within this.
HELD_BY_HAND = 0.05
#: Teeth in line within this need nothing.
TEETH_IN_LINE = 0.1


def edge_offset(measured: float | None, bushing_od: float, bit: float) -> float:
    """Edge of the cut to edge of the template: as found from a test cut, else half of bushing less bit."""
    return (bushing_od - bit) / 2.0 if measured is None else measured


def longest_barrel(plate: float) -> float:
    """Length of a bushing's barrel in a plate of this thickness, at most."""
    return plate - LEAST_BUSHING_ROOM


def reach_needed(plate: float, depth: float) -> float:
    """How far below the base the bit must reach through a plate of this thickness."""
    return plate + depth


def edges_needed(shank: float, bit: float, depth: float, max_step: float) -> float:
    """Length of the bit's cutting edges, at least: a shank no thicker than the bit may follow it into the cut."""
    return min(max_step, depth) if shank <= bit else depth


def heel_length(body_depth: float, back_binding: float, tilt: float) -> float:
    """Length of the heel along the end face: top edge to the inner edge of the back binding."""
    return (body_depth - back_binding) / math.cos(math.radians(tilt))


def mortise_length(asked: float | None, heel: float, stop: float) -> float:
    """Length of the mortise: as asked, else the heel's less `stop`."""
    return heel - stop if asked is None else asked
