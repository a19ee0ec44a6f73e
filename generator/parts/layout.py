"""Where everything stands in the jig: one set of stations that all parts are built from.

Jig frame: X away from the bed, Y along it, Z up, origin on the plate's underside. In the X-Z plane the parts are laid
out about the *pivot* (X = 0, Z = −pivot depth), the line the bed turns about, which is also the join line: `u` is X and
`v` the height over the pivot, so what lies below it is negative.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.frame import fence_offset, plate_half_length, plate_half_width, rail_inner, rail_start
from generator.geometry2d import P2, Transform
from generator.jobrules import MIN_PIN_ANGLE
from generator.model.jig import JigSpec, Joinery
from generator.parts.joinery import EdgeJoint
from generator.parts.screws import Screw, screw
from generator.solution import Solution

#: Material left behind the tie's slots, and from the plate down to the tie where nothing else asks for more, mm.
_BACK_WALL, _BELOW_PLATE = 8.0, 10.0
#: What the rails at least lap the cheeks by, and room between parts that move past one another, mm.
_LEAST_LAP, _PASSING = 6.0, 0.5
#: Material beside a screw's hole near an edge, and beside a countersink, mm.
_SCREW_WALL, _SINK_WALL = 4.0, 1.0
#: Material between the nose's hole and what is sunk into a rib's edge above it, mm.
_NOSE_WALL = 3.0
#: Room under the ribs' swing for the spine, and the least height of the ledge over the nose that a set block hangs on.
_UNDER_RIBS, LEAST_SEAT = 1.5, 5.0
#: Countersunk machine screws that hold the thin strips (rest, key): heads sink into 3 mm.
STRIP_THREAD = "M3"


@dataclass(frozen=True)
class Thicknesses:
    """Actual sheet thickness of each group of parts, mm."""

    plate: float
    bed: float
    cheek: float
    frame: float
    rail: float
    block: float
    strip: float
    guide: float


@dataclass(frozen=True)
class Layout:
    """Every station the parts share; see the module's docstring for u and v."""

    solution: Solution
    thick: Thicknesses

    @property
    def spec(self) -> JigSpec:
        return self.solution.job.jig

    @property
    def pivot_depth(self) -> float:
        """The pivot's depth below the plate, mm."""
        return self.solution.cradle.pivot_depth

    # --- plate -------------------------------------------------------------------------------------------------

    @property
    def fence_offset(self) -> float:
        """Distance of either fence from the plate's middle; the frame's middle is at u = −fence_offset."""
        return fence_offset(self.solution.job)

    @property
    def plate_half_length(self) -> float:
        return plate_half_length(self.solution.job, self.solution.routing)

    @property
    def plate_half_width(self) -> float:
        return plate_half_width(self.solution.job, self.solution.routing)

    @property
    def rail_inner(self) -> float:
        """|Y| of the rails' inner faces: just outside the window and the cheeks."""
        return rail_inner(self.solution.job, self.solution.routing)

    @property
    def rail_start(self) -> float:
        """Jig X where the rails begin (behind the fence), tenon half over the work.

        They lap the cheeks' front; where the upper pins' wing nuts stand high enough to meet them, by less.
        """
        usual, least_lap = rail_start(self.solution.job), self.cheek_front - _LEAST_LAP
        wings = [at.plus(P2(self.wing_radius, self.wing_radius)) for at in self.swing(self.pins[0])]
        if max(at.y for at in wings) + _PASSING <= self.pivot_depth - self.rail_height:
            return usual
        return max(usual, min(least_lap, max(at.x for at in wings) + _PASSING))

    @property
    def rail_end(self) -> float:
        """Jig X where the rails end, short of the plate's edge."""
        return self.plate_half_length - self.fence_offset - self.spec.corner_radius

    @property
    def rail_height(self) -> float:
        return self.solution.joint.mortise_depth - self.spec.rail_gap

    # --- bed ---------------------------------------------------------------------------------------------------

    @property
    def bed_top(self) -> float:
        """v of the bed's upper edge (negative: below the pivot)."""
        return self.pivot_depth - self.solution.cradle.bed_top_depth

    @property
    def bed_foot(self) -> float:
        """v of the bed's lower edge."""
        return -(self.spec.sine_distance + self.spec.bed_tail)

    @property
    def rest_inner(self) -> float:
        """|Y| where a rest strip begins, beside the mortise."""
        return self.solution.joint.mortise_width / 2.0 + 6.0

    @property
    def rest_outer(self) -> float:
        """|Y| where a rest strip ends, inside the neck block and the bed."""
        block = self.solution.job.instrument.neck_block_width / 2.0 - 3.0
        return min(block, self.spec.bed_width / 2.0)

    @property
    def stud_y(self) -> float:
        """|Y| of the hold-down studs: far enough out for a nut beside the cheek behind the bed."""
        return self.cheek_outer + 1.5 * self.stud.diameter

    @property
    def hold_down_v(self) -> float:
        return -self.spec.hold_down_depth

    # --- ribs, nose, pins --------------------------------------------------------------------------------------

    @property
    def rib_inner(self) -> float:
        """|Y| of a rib's inner face."""
        return self.spec.cheek_inner - self.spec.rib_play - self.thick.cheek

    @property
    def nose(self) -> P2:
        """(u, v) of the nose's centre at bed angle zero."""
        return P2(-self.spec.nose_offset, -self.spec.sine_distance)

    @property
    def nose_radius(self) -> float:
        return self.spec.nose_diameter / 2.0

    @property
    def pins(self) -> tuple[P2, P2]:
        """(u, v) of each rib's two pins at bed angle zero, upper first.

        Where the sine distance is so short that the lower pin would leave spine and ledge no way up to the nose, it
        moves up, and the upper one with it as far as their directions ask for. Pins the job itself places stay.
        """
        back, below = self.spec.pin_back, self.spec.pin_below
        upper, lower = sorted((P2(-b, -d) for b, d in zip(back, below, strict=True)), key=lambda pin: -pin.y)
        if self.solution.job.gives("jig", "pin_below") or lower.y >= self._lowest_pin(lower.x):
            return upper, lower
        lower = P2(lower.x, float(math.ceil(self._lowest_pin(lower.x))))
        direction = math.atan2(lower.y, lower.x) - math.radians(MIN_PIN_ANGLE)
        return P2(upper.x, max(upper.y, float(math.ceil(upper.x * math.tan(direction))))), lower

    def _lowest_pin(self, back: float) -> float:
        """How low (v) the lower pin, at u `back`, may stand so that spine and ledge still reach up to the nose."""
        seat = self.nose.y + LEAST_SEAT + self.pin.washer_diameter / 2.0 + _PASSING
        turns = (math.radians(angle) for angle in (self.spec.angle_low, 0.0, self.spec.angle_high))
        under_ledge = max((seat - back * math.sin(turn)) / math.cos(turn) for turn in turns)
        return max(under_ledge, self.nose.y + self._pin_sag)

    @property
    def _pin_sag(self) -> float:
        """How far below the lower pin the spine ends, mm: the ribs' land round it and the swing, with a little room."""
        back = max(self.spec.pin_back) + self.pin_land
        return self.pin_land + back * math.sin(math.radians(self.spec.angle_high)) + _UNDER_RIBS

    @property
    def pin_hole(self) -> float:
        """Diameter of a pin's hole in the rib and width of its slot in the cheek, mm: the shank with the jig's play."""
        return self.pin.diameter + self.spec.fit_play

    @property
    def wing_radius(self) -> float:
        """Half the span of the wing nuts that lock the pins, mm (common practice: twice the thread)."""
        return 2.0 * self.pin.diameter

    def swing(self, at: P2) -> tuple[P2, ...]:
        """Where a point of the bed at (u, v) comes to lie at the lowest angle, at zero and at the highest."""
        angles = (self.spec.angle_low, 0.0, self.spec.angle_high)
        return tuple(Transform.rotate(angle).apply(at) for angle in angles)

    @property
    def pin_land(self) -> float:
        """Material round a pin's centre, mm: a washer's radius and a little."""
        return self.pin.washer_diameter / 2.0 + 5.0

    # --- frame -------------------------------------------------------------------------------------------------

    @property
    def cheek_outer(self) -> float:
        return self.spec.cheek_inner + self.thick.cheek

    @property
    def cheek_front(self) -> float:
        """u of the cheeks' front edge at the plate."""
        return -(self.thick.bed + self.spec.cheek_gap)

    def cheek_front_at(self, v: float) -> float:
        """u of the cheeks' front edge: it runs back below the pivot so that the bed may swing to its lowest angle."""
        return self.cheek_front + min(0.0, v) * math.tan(math.radians(abs(self.spec.angle_low)))

    @property
    def cheek_back(self) -> float:
        return self.cheek_front - self.spec.cheek_depth

    @property
    def cheek_foot(self) -> float:
        """v of the cheeks' lower edge, level with the bed's: this rests on the bench."""
        return self.bed_foot

    @property
    def ledge_front(self) -> float:
        """u of the ledge's face, the set blocks' datum."""
        return self.nose.x - self.nose_radius - self.spec.block_at_zero

    @property
    def spine_front(self) -> float:
        return self.ledge_front - self.thick.cheek

    @property
    def spine_back(self) -> float:
        """u of the spine's back: the front edge of the bench."""
        return self.spine_front - self.thick.frame

    @property
    def spine_top(self) -> float:
        """v of the spine's upper edge, below the swing of the ribs' pins."""
        return min(self.pins[1].y - self._pin_sag, self.nose.y + self.spec.ledge_height / 2.0 + 8.0)

    @property
    def ledge_top(self) -> float:
        """v of the ledge's upper edge, on which the set blocks hang: below the lower pins' heads at every angle."""
        lowest = min(at.y for at in self.swing(self.pins[1])) - self.pin.washer_diameter / 2.0
        return min(self.nose.y + self.spec.ledge_height / 2.0, lowest - _PASSING)

    @property
    def ledge_levels(self) -> tuple[float, float]:
        """v of the ledge's two screws, one over the other: as high as spine and ledge carry the upper one."""
        head, apart = self.screw.head_diameter, self.spec.ledge_height / 2.0
        carried = self.spine_top - self.screw.clearance / 2.0 - _SCREW_WALL
        upper = min(self.nose.y + apart / 2.0, carried, self.ledge_top - head / 2.0 - _SINK_WALL)
        return upper, upper - max(apart, head + 2.0 * _SINK_WALL)

    @property
    def ledge_foot(self) -> float:
        """v of the ledge's lower edge, below its lower screw."""
        low = self.ledge_levels[1] - self.screw.head_diameter / 2.0 - _SINK_WALL
        return min(self.nose.y - self.spec.ledge_height / 2.0, low)

    @property
    def tie_front(self) -> float:
        """u of the tie's front face, near the cheeks' back."""
        return self.cheek_back + _BACK_WALL + self.thick.frame

    @property
    def tie_top(self) -> float:
        """v of the tie's upper edge: a little below the plate, its screws below whatever holds the plate behind."""
        hold, plate = self.tie_joint, self.plate_joint
        column = self.cheek_front - self.tie_front + self.thick.frame / 2.0
        beside = min(abs(column - at) for at in plate.sunk)
        head = self.screw.head_diameter / 2.0
        if beside >= head + max(self.screw.nut_width, self.screw.clearance) / 2.0 + 2.0:
            return self.pivot_depth - _BELOW_PLATE
        highest = self.spec.tie_height - max(hold.screws) - head
        return self.pivot_depth - max(_BELOW_PLATE, plate.bite + 2.0 - highest)

    @property
    def tie_foot(self) -> float:
        return self.tie_top - self.spec.tie_height

    # --- fasteners ---------------------------------------------------------------------------------------------

    @property
    def screw(self) -> Screw:
        return screw(self.spec.screw_thread)

    @property
    def pin(self) -> Screw:
        return screw(self.spec.pin_thread)

    @property
    def stud(self) -> Screw:
        return screw(self.spec.stud_thread)

    @property
    def strip_screw(self) -> Screw:
        return screw(STRIP_THREAD)

    # --- joints between the sheets -----------------------------------------------------------------------------

    def joint(
        self, name: str, span: float, tabs: tuple[float, ...], screws: tuple[float, ...], edge: float, face: float
    ) -> EdgeJoint:
        """An edge-to-face joint in the jig's style along `span` mm, tabs and screws at shares of it.

        `edge` and `face` are the two sheets' thicknesses.
        """
        spec = self.spec
        joint = EdgeJoint(
            name,
            tuple(span * share for share in tabs),
            tuple(span * share for share in screws),
            spec.joinery,
            edge,
            face,
            spec.tab_length,
            spec.tab_sink,
            spec.fit_play,
            self.screw,
            spec.dowel_diameter,
        )
        return joint.with_fitting_tabs(span)

    @property
    def plate_joint(self) -> EdgeJoint:
        """Cheek's top edge to plate: symmetric about the cheek's middle, so the plate turns end for end."""
        ends = (1.0 / 6.0, 5.0 / 6.0)
        return self.joint("plate-cheek", self.spec.cheek_depth, (0.5,), ends, self.thick.cheek, self.thick.plate)

    @property
    def spine_joint(self) -> EdgeJoint:
        """Spine's side edge to cheek, from the cheek's foot up."""
        span = self.spine_top - self.cheek_foot
        return self.joint("spine-cheek", span, (0.3,), (0.72,), self.thick.frame, self.thick.cheek)

    @property
    def tie_joint(self) -> EdgeJoint:
        """Tie's side edge to cheek, from its foot up."""
        return self.joint("tie-cheek", self.spec.tie_height, (0.3,), (0.72,), self.thick.frame, self.thick.cheek)

    @property
    def rib_top(self) -> float:
        """v where a rib first meets the bed's back: below the nuts of the rest strips' screws."""
        return self.bed_top - self.spec.rest_height - self.spec.fit_play - 6.0

    @property
    def rib_foot(self) -> float:
        """v of the ribs' lower end: well below the nose, but never below the bed's foot."""
        return max(self.nose.y - self.nose_radius - 12.0, self.bed_foot + 1.0)

    @property
    def rib_joint(self) -> EdgeJoint:
        """Rib's front edge to bed, from the rib's foot up."""
        span = self.rib_top - self.rib_foot
        above_nose = self.nose.y + self.nose_radius + self.spec.dowel_diameter / 2.0 + _NOSE_WALL - self.rib_foot
        lower = max(0.17, above_nose / span) if self.spec.joinery is Joinery.TAPPED else 0.17
        return self.joint("rib-bed", span, (lower, 0.83), (0.5,), self.thick.cheek, self.thick.bed)


def jig_layout(solution: Solution) -> Layout:
    """The stations of the jig that serves `solution`."""
    job = solution.job
    groups = ("plate", "bed", "cheek", "frame", "rail", "block", "strip", "guide")
    return Layout(solution, Thicknesses(**{group: job.stock(group).actual_thickness for group in groups}))
