"""Where board, brackets, rests and screws stand, each by its own noun; plate frame, mm (see `layout.py`)."""

from __future__ import annotations

from dataclasses import dataclass

from generator.jig.screws import Fastener, cap_fastener, machine_fastener, pan_fastener, wood_fastener
from generator.job.fasteners import wood_screw
from generator.job.model.jig import Joinery
from generator.joint import stations as frame
from generator.joint.solution import Solution

#: Thread of the jig's wood screws, mm.
_WOOD = "4"
#: Thread of the jig's machine screws, where edges are tapped.
_MACHINE = "M5"
#: Machine screws whose heads lie in the body rest's edge are smaller: a bar of 12 mm must keep wood beside them.
_MACHINE_IN_REST = "M4"
#: A tongue narrower than this takes the smaller tip screw, mm.
_NARROW_TONGUE = 12.0
#: Whole play of a tooth in the truss-rod slot, mm.
TOOTH_PLAY = 0.1
#: Least distance of the tip screw from the tongue's end, mm.
_TIP_FROM_END = 10.0
#: Least wood between the tip screw's thread and a bolt's hole, mm.
_TIP_TO_BOLT = 1.5
#: Least jig X of the tip screw, mm.
_TIP_FROM_TOP = 8.0


@dataclass(frozen=True)
class BoardPlace:
    """The board under the plate's middle."""

    solution: Solution
    thick: float

    @property
    def face(self) -> float:
        """|x| of its two faces."""
        return self.thick / 2.0

    @property
    def width(self) -> float:
        return frame.board_width(self.solution.job, self.solution.routing)

    @property
    def height(self) -> float:
        return self.solution.cradle.board_height


@dataclass(frozen=True)
class BracketPlace:
    """Either bracket, on the neck's side of the board."""

    solution: Solution
    thick: float

    @property
    def inner(self) -> float:
        """|y| of its inner face."""
        return frame.bracket_inner(self.solution.routing)

    @property
    def middle(self) -> float:
        """|y| of the middle of its thickness."""
        return self.inner + self.thick / 2.0

    @property
    def length(self) -> float:
        return frame.bracket_length(self.solution.job, self.solution.cradle, self.solution.routing)

    @property
    def depth(self) -> float:
        return frame.bracket_depth(self.solution.cradle)

    @property
    def rail(self) -> float:
        """Height of its rail: the depth of the deeper cut, where it gauges that on the bench."""
        return self.solution.joint.rail_height


@dataclass(frozen=True)
class RestPlace:
    """The rests on the board's two faces."""

    solution: Solution
    thick: float

    @property
    def upper_level(self) -> float:
        """Depth of the middle of the upper and the body rest's thickness."""
        return self.solution.cradle.rest_depth + self.thick / 2.0

    @property
    def angle_level(self) -> float:
        """Depth of the middle of the angle rest's thickness."""
        return self.solution.cradle.angle_rest_depth + self.thick / 2.0

    @property
    def behind_angle(self) -> float:
        """Room between the board and the angle rest: the nominal shim.

        What the built board stands off true is made up by the rest's width; the rest still lies on its shim.
        """
        return self.solution.cradle.nominal_shim

    @property
    def body_end(self) -> float:
        """|y| of the body rest's ends."""
        return frame.body_rest_end(self.solution.job)

    @property
    def tooth_width(self) -> float | None:
        """Width of the teeth that stand in the truss-rod slot; None where the neck has no slot."""
        slot = self.solution.job.instrument.truss_rod_slot_width
        return None if slot is None else slot - TOOTH_PLAY


@dataclass(frozen=True)
class ScrewPlace:
    """What screws there are, and where the tip screw goes."""

    solution: Solution

    @property
    def tapped(self) -> bool:
        """True where edges are tapped for machine screws."""
        return self.solution.job.jig.joinery is Joinery.TAPPED

    @property
    def own(self) -> Fastener:
        """The screw that holds the jig together."""
        return machine_fastener(_MACHINE) if self.tapped else wood_fastener(_WOOD)

    @property
    def in_rest(self) -> Fastener:
        """The screw whose head lies in the body rest's edge, in a bore whose floor is flat: a cone would split it."""
        return cap_fastener(_MACHINE_IN_REST) if self.tapped else pan_fastener(_WOOD)

    @property
    def tip(self) -> Fastener:
        """The wood screw through the tongue's end into the tenon's end, or through the heel stop into the heel."""
        if self.solution.routing.tongue is None:
            return pan_fastener("4")
        return pan_fastener("3" if self.solution.routing.tongue_width < _NARROW_TONGUE else "4")

    @property
    def tip_x(self) -> float:
        """Jig X of the tip screw: near the tongue's end, clear of the joint's bolts in the tenon.

        Through a heel stop it goes where the first bolt's hole will swallow its own.
        """
        if self.solution.routing.tongue is None:
            return self.solution.cradle.shoulder_x + self.solution.joint.bolts[0].from_neck_plane
        farthest = self.solution.routing.tongue_length - _TIP_FROM_END
        screw = wood_screw(self.tip.name).diameter / 2.0 + _TIP_TO_BOLT
        bolts = [(bolt.on_neck_end, screw + bolt.widest_metal / 2.0) for bolt in self.solution.joint.bolts]
        tries = [farthest - 0.5 * step for step in range(int(2.0 * (farthest - _TIP_FROM_TOP)))]
        return next((x for x in tries if all(abs(x - at) >= apart for at, apart in bolts)), farthest)
