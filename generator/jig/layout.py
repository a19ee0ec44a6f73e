"""Where everything stands in the jig: one set of stations that all parts are built from.

Plate frame, mm: x along the plate with the body's half at x > 0, y along the board, z up; origin at the board's
mid-plane on the plate's underside. The neck hangs at x < 0, the body at x > 0; see `joint/stations.py`.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.base.geometry2d import P2, Transform
from generator.jig.screws import Fastener, machine_fastener, wood_fastener
from generator.job.fasteners import wood_screw
from generator.job.model.jig import JigSpec, Joinery
from generator.joint import stations as frame
from generator.joint.cradle import Cradle
from generator.joint.router_template import Routing
from generator.joint.solution import Solution
from generator.joint.stations import Use

#: The thread of the jig's screws: wood screws, or machine screws where edges are tapped.
_WOOD, _MACHINE = "4", "M5"
#: A tongue narrower than this takes the smaller tip screw, mm.
_NARROW_TONGUE = 12.0


@dataclass(frozen=True)
class Thicknesses:
    """Actual sheet thickness of each group of parts, mm."""

    plate: float
    board: float
    bracket: float
    rest: float
    caul: float
    guide: float


@dataclass(frozen=True)
class Layout:
    """Every station the parts share, mm; see the module's docstring for the frame."""

    solution: Solution
    thick: Thicknesses

    @property
    def spec(self) -> JigSpec:
        return self.solution.job.jig

    @property
    def cradle(self) -> Cradle:
        return self.solution.cradle

    @property
    def routing(self) -> Routing:
        return self.solution.routing

    @property
    def tapped(self) -> bool:
        """True where edges are tapped for machine screws."""
        return self.spec.joinery is Joinery.TAPPED

    # --- plate -------------------------------------------------------------------------------------------------

    @property
    def fence(self) -> float:
        """Distance a of each cut's X = 0 from the board's mid-plane."""
        return frame.fence_offset(self.solution.job, self.cradle)

    def plate_half(self, use: Use) -> float:
        """Length of the plate's half for one cut, from the board's mid-plane."""
        return frame.plate_half_length(use, self.solution.job, self.cradle, self.routing)

    @property
    def plate_half_width(self) -> float:
        return frame.plate_half_width(self.solution.job, self.routing)

    def to_plate(self, use: Use) -> Transform:
        """From a cut's jig frame to the plate's drawing: a move for the body, half a turn and a move for the neck."""
        if use is Use.NECK:
            return Transform.rotate(180.0).then(Transform.move(-self.fence, 0.0))
        return Transform.move(self.fence, 0.0)

    def on_plate(self, use: Use, jig_x: float, jig_y: float) -> P2:
        """A point of a cut's jig frame, in the plate's drawing."""
        return self.to_plate(use).apply(P2(jig_x, jig_y))

    # --- board and brackets ------------------------------------------------------------------------------------

    @property
    def board_face(self) -> float:
        """|x| of the board's two faces."""
        return self.thick.board / 2.0

    @property
    def board_width(self) -> float:
        return frame.board_width(self.solution.job, self.routing)

    @property
    def board_height(self) -> float:
        return self.cradle.board_height

    @property
    def bracket_inner(self) -> float:
        return frame.bracket_inner(self.routing)

    @property
    def bracket_middle(self) -> float:
        """|y| of the middle of a bracket's thickness."""
        return self.bracket_inner + self.thick.bracket / 2.0

    @property
    def bracket_length(self) -> float:
        return frame.bracket_length(self.solution.job, self.cradle, self.routing)

    @property
    def bracket_depth(self) -> float:
        return frame.bracket_depth(self.cradle)

    @property
    def rail_height(self) -> float:
        """Height of the brackets' rails: exactly the depth of the deeper cut, so that they gauge it on the bench."""
        return self.solution.joint.depth_of_cut

    # --- rests -------------------------------------------------------------------------------------------------

    @property
    def upper_rest_level(self) -> float:
        """Depth of the middle of the upper and the body rest's thickness."""
        return self.cradle.rest_depth + self.thick.rest / 2.0

    @property
    def angle_rest_level(self) -> float:
        """Depth of the middle of the angle rest's thickness."""
        return self.cradle.angle_rest_depth + self.thick.rest / 2.0

    @property
    def behind_angle_rest(self) -> float:
        """Room between the board and the angle rest: the nominal shim.

        What the built board stands off true is made up by the rest's width; the rest still lies on its shim.
        """
        return self.cradle.nominal_shim

    @property
    def body_rest_end(self) -> float:
        return frame.body_rest_end(self.solution.job)

    @property
    def tooth_width(self) -> float | None:
        """Width of the teeth that stand in the truss-rod slot; None where the neck has no slot."""
        slot = self.solution.job.instrument.truss_rod_slot_width
        return None if slot is None else slot - TOOTH_PLAY

    # --- fasteners ---------------------------------------------------------------------------------------------

    @property
    def screw(self) -> Fastener:
        """The screw that holds the jig together."""
        return machine_fastener(_MACHINE) if self.tapped else wood_fastener(_WOOD)

    @property
    def tip_screw(self) -> Fastener:
        """The wood screw through the tongue's end into what it covers."""
        return wood_fastener("3" if self.routing.tongue_width < _NARROW_TONGUE else "4")

    @property
    def tip_x(self) -> float:
        """Jig X of the tip screw: near the tongue's end, clear of the joint's bolts in the neck."""
        farthest = self.routing.tongue_length - _TIP_FROM_END
        screw = wood_screw(self.tip_screw.name).diameter / 2.0 + _TIP_TO_BOLT
        bolts = [
            (bolt.on_neck_end, screw + max(bolt.pilot_hole, bolt.cross_hole or 0.0) / 2.0)
            for bolt in self.solution.joint.bolts
        ]
        tries = [farthest - 0.5 * step for step in range(int(2.0 * (farthest - _TIP_FROM_TOP)))]
        return next((x for x in tries if all(abs(x - at) >= apart for at, apart in bolts)), farthest)


#: Whole play of a tooth in the truss-rod slot, mm.
TOOTH_PLAY = 0.1
#: The tip screw's distance from the tongue's end, wood between its thread and a bolt's hole, its least jig X, mm.
_TIP_FROM_END, _TIP_TO_BOLT, _TIP_FROM_TOP = 10.0, 1.5, 8.0


def jig_layout(solution: Solution) -> Layout:
    """The stations of the jig that serves `solution`."""
    job = solution.job
    groups = ("plate", "board", "bracket", "rest", "caul", "guide")
    return Layout(solution, Thicknesses(**{group: job.stock(group).actual_thickness for group in groups}))
