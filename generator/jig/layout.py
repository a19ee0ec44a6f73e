"""Where everything stands in the jig: one set of stations that all parts are built from.

Plate frame, mm: x along the plate with the body's half at x > 0, y along the board, z up; origin at the board's
mid-plane on the plate's underside. The neck hangs at x < 0, the body at x > 0; see `joint/stations.py`.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.base.points2d import P2, Transform
from generator.jig.places import BoardPlace, BracketPlace, RestPlace, ScrewPlace
from generator.job.model.jig import JigSpec
from generator.joint import stations as frame
from generator.joint.cradle import Cradle
from generator.joint.router_template import Routing
from generator.joint.solution import Solution
from generator.joint.stations import Use


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
    def cuts_body(self) -> bool:
        """Whether the jig makes a cut in the body, and so has a half for it."""
        return self.solution.joint.body_outline is not None

    @property
    def has_tongue(self) -> bool:
        """Whether a tongue stands in the neck's window."""
        return self.routing.tongue is not None

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

    # --- what stands under it ----------------------------------------------------------------------------------

    @property
    def board(self) -> BoardPlace:
        return BoardPlace(self.solution, self.thick.board)

    @property
    def bracket(self) -> BracketPlace:
        return BracketPlace(self.solution, self.thick.bracket)

    @property
    def rests(self) -> RestPlace:
        return RestPlace(self.solution, self.thick.rest)

    @property
    def screws(self) -> ScrewPlace:
        return ScrewPlace(self.solution)


def jig_layout(solution: Solution) -> Layout:
    """The stations of the jig that serves `solution`."""
    job = solution.job
    groups = ("plate", "board", "bracket", "rest", "caul", "guide")
    return Layout(solution, Thicknesses(**{group: job.stock(group).actual_thickness for group in groups}))
