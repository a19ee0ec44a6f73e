"""Parts and a small jig for the tests of solids, STEP files and views; sizes are deliberately not round."""

from __future__ import annotations

from slots import arc_slot

from generator.base.geometry3d import P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.base.points2d import P2
from generator.base.shapes2d import rectangle
from generator.jig.part import Bought, EdgeHole, Face, Hardware, Hole, Jig, Opening, Part, Placed


def busy_plate() -> Part:
    """Every kind of feature once at least: window, arc slot, holes from both faces, a hole in the edge."""
    return Part(
        "busy_plate",
        "Busy plate",
        "ply",
        18.3,
        rectangle(-201.7, -93.1, 211.3, 97.7, 12.4),
        openings=(
            Opening("window", rectangle(-60.0, -40.0, 20.0, 40.0, 7.9375)),
            Opening("slot", arc_slot(P2(100.0, 0.0), 61.3, 20.0, 60.0, 6.6)),
        ),
        holes=(
            Hole("plain", P2(-180.0, 0.0), 6.6),
            Hole("bored", P2(-160.0, 0.0), 6.4, counterbore_diameter=11.0, counterbore_depth=6.3),
            Hole("sunk", P2(-140.0, 0.0), 5.5, countersink_diameter=11.2, face=Face.BACK),
            Hole("blind", P2(-120.0, 0.0), 5.0, depth=12.1, thread="M6", thread_depth=10.0),
            Hole("blind_back", P2(-100.0, 0.0), 4.2, depth=9.7, face=Face.BACK, thread="M5"),
        ),
        edge_holes=(EdgeHole("edge", P2(211.3, 3.7), 9.1, P2(-1.0, 0.0), 6.8, 20.5, thread="M8"),),
    )


def board(name: str, width: float, height: float, thickness: float, **more: object) -> Part:
    """A plain board with its lower left corner on the origin."""
    return Part(name, name.title(), "ply", thickness, rectangle(0.0, 0.0, width, height), **more)  # type: ignore[arg-type]


def small_jig() -> Jig:
    """A plate over a board with two rests, two pins and a screw: enough to see what stands where."""
    plate = Part(
        "template_plate",
        "Plate",
        "alu",
        9.7,
        rectangle(-120.0, -40.0, 130.0, 40.0),
        openings=(Opening("window", rectangle(30.0, -20.0, 90.0, 25.0, 7.9)),),
    )
    upright = board("board", 200.0, 160.0, 18.3)
    rest = board("rest", 30.0, 20.0, 3.1)
    down = Z_AXIS.times(-1.0)
    pins = Hardware(
        "pin",
        "Pin",
        "",
        20.0,
        2,
        "stands for itself",
        (
            Bought(P3(-30.0, 40.0, -60.0), X_AXIS.times(-1.0), 20.0, 6.1),
            Bought(P3(-30.0, -40.0, -60.0), X_AXIS.times(-1.0), 20.0, 6.1),
        ),
    )
    screw = Hardware("screw", "Screw", "M5", 15.0, 1, "", (Bought(P3(-20.0, 12.0, 40.0), down, 15.0, 5.0, 10.0, 2.5),))
    return Jig(
        (plate, upright, rest),
        (
            Placed(plate, Placement(), "template_plate"),
            Placed(upright, Placement(P3(-9.15, -100.0, -160.0), Y_AXIS, Z_AXIS), "board"),
            Placed(rest, Placement(P3(9.15, -80.0, -55.0), Y_AXIS, Z_AXIS), "rest_left"),
            Placed(rest, Placement(P3(9.15, 50.0, -55.0), Y_AXIS, Z_AXIS), "rest_right"),
        ),
        (pins, screw),
        (),
    )
