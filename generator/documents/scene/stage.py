"""The jig in use, in the plate frame: its parts and screws, the bench, the clamps, the work, and the router."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

from generator.base.geometry3d import ORIGIN, P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.documents.scene.instrument import BodySize, NeckSize, body, neck_blank
from generator.documents.scene.part import bought_facets, part_facets
from generator.documents.scene.props import PAD_RADIUS, STEEL, Colour, Prop, bench_top, f_clamp, router
from generator.drawing.facets.build import block
from generator.jig.caul import CAUL
from generator.jig.part import Jig
from generator.job.model.instrument import DomeTop
from generator.joint import stations as frame
from generator.joint.solution import Solution
from generator.joint.stations import Use

#: What a part is painted with whose stock has no colour given: plain wood.
PLAIN: Colour = (0.82, 0.71, 0.55)
#: What the caul is painted with.
PAD_WOOD: Colour = (0.86, 0.76, 0.62)
#: Depth of the bench shown behind its edge, mm.
_BENCH_DEPTH = 230.0
#: Thickness of the bench's top, mm.
_BENCH_THICK = 50.0
#: The bench is shown this far beside the plate, mm.
_BENCH_BESIDE = 110.0
#: The jaws of the bench's clamps stand this far inside the bench's edge and the plate's, mm.
_JAW_IN = 24.0
#: The bars of the bench's clamps stand this far outside the bench's edge and the plate's, mm.
_BAR_OUT = 16.0
#: The work's back is straight this far past the caul, mm.
_PAST_CAUL = 15.0
#: The body's depth at the tail over that at the neck.
_DEEPER = 1.22
#: An instrument has six strings above this scale length, else four, mm.
_SMALL_SCALE = 560.0


def jig_props(jig: Jig, colours: Mapping[str, Colour] = MappingProxyType({})) -> tuple[Prop, ...]:
    """Every placed part, painted by its stock, and every bought piece that stands in the jig."""
    parts = [
        Prop(placed.label, part_facets(placed.part, placed.placement), colours.get(placed.part.stock, PLAIN))
        for placed in jig.placed
    ]
    return (*parts, *bought_props(jig))


def bought_props(jig: Jig) -> tuple[Prop, ...]:
    """The bought pieces by id and count: H1_1, H1_2, ..."""
    return tuple(
        Prop(f"{hardware.id}_{number}", bought_facets(piece), STEEL, metal=True)
        for hardware in jig.hardware
        for number, piece in enumerate(hardware.pieces, 1)
    )


def stage(
    solution: Solution,
    jig: Jig,
    use: Use,
    colours: Mapping[str, Colour] = MappingProxyType({}),
    *,
    with_router: bool = True,
) -> tuple[Prop, ...]:
    """The jig on the bench with the work clamped in it, for one of the two cuts; every piece under a name of its own.

    The router stands where the cut begins. The work is shown before the cut.
    """
    make = _Stage(solution, use)
    props = [*jig_props(jig, colours), *make.bench(), *make.work(), *make.caul(), *make.clamps()]
    return (*props, *make.router()) if with_router else tuple(props)


class _Stage:
    """Where the things round the jig stand, for one cut."""

    def __init__(self, solution: Solution, use: Use) -> None:
        self._s = solution
        self._use = use
        self._job = solution.job
        self._fence = frame.fence_offset(solution.job, solution.cradle)
        #: Direction of the half that is cut, along the plate.
        self._way = -1.0 if use is Use.NECK else 1.0
        self._plate = solution.job.stock("plate").actual_thickness
        self._top = 0.0 if use is Use.NECK else -solution.cradle.depth_block
        self._edge = -self._way * (solution.job.stock("board").actual_thickness / 2.0 + solution.job.jig.bench_gap)

    def _body_point(self, point: P3) -> P3:
        placed = frame.body_to_jig(point, self._s.neck_set, self._s.cradle)
        return frame.to_plate(Use.BODY, placed, self._fence)

    def _neck_point(self, point: P3) -> P3:
        placed = frame.neck_to_jig(point, self._s.neck_set, self._s.joint, self._s.cradle)
        return frame.to_plate(Use.NECK, placed, self._fence)

    def _work_frame(self) -> Placement:
        """The frame of neck or body where it hangs in the jig: the map of its origin and axes."""
        if self._use is Use.BODY:
            return _mapped(self._body_point, ORIGIN, X_AXIS, Y_AXIS)
        turn = math.radians(self._s.neck_set.set_angle)
        along = P3(math.cos(turn), 0.0, math.sin(turn))
        return _mapped(self._neck_point, P3(0.0, 0.0, self._s.neck_set.neck_rise), along, Y_AXIS)

    def bench(self) -> tuple[Prop, ...]:
        half = self._half_width() + _BENCH_BESIDE
        stand = Placement(P3(self._edge, 0.0, self._top), X_AXIS.times(-self._way), Y_AXIS.times(-self._way))
        return bench_top(stand, 2.0 * half, _BENCH_DEPTH, _BENCH_THICK)

    def work(self) -> tuple[Prop, ...]:
        instrument, s = self._job.instrument, self._s
        if self._use is Use.BODY:
            dome = instrument.top.radius if isinstance(instrument.top, DomeTop) else None
            depth = instrument.body_depth_at_neck
            size = BodySize(
                depth,
                _DEEPER * depth,
                instrument.shoulder_half_width,
                instrument.neck_block_thickness,
                self._under_caul(),
                s.neck_set.join_to_saddle,
                dome,
                instrument.end_face_tilt,
            )
            return body(self._work_frame(), size)
        slot_width, slot_depth = instrument.truss_rod_slot_width, instrument.truss_rod_slot_depth
        place = self._work_frame()
        return neck_blank(
            place,
            NeckSize(
                s.neck_set.nut_to_join,
                self._at_depth(0.0, 0.0),
                s.joint.heel_blank,
                s.joint.heel_blank_width,
                self._under_caul(),
                end_lean=-place.z_axis.z / place.x_axis.z,  # flat on the plate
                width_at_nut=0.72 * instrument.heel_width,
                width_at_join=0.93 * instrument.heel_width,
                slot=(slot_width, slot_depth) if slot_width is not None and slot_depth is not None else None,
                head_length=0.48 * s.neck_set.nut_to_join,
                head_width=1.2 * instrument.heel_width,
                tuners=6 if instrument.scale_length > _SMALL_SCALE else 4,
            ),
        )

    def _under_caul(self) -> float:
        """How far up or down the work its back is straight: past the caul."""
        foot = frame.caul_top(self._job, self._s.cradle, self._use) + self._job.jig.caul_height
        return abs(self._at_depth(foot, self._back())) + _PAST_CAUL

    def _at_depth(self, depth: float, z: float) -> float:
        """Where along the work, at `z` in its own frame, it lies `depth` below the plate's underside."""
        place = self._work_frame()
        return (-depth - place.origin.z - z * place.z_axis.z) / place.x_axis.z

    def _back(self) -> float:
        """The work's back in its own frame: the heel's, or the body's at its neck block."""
        if self._use is Use.NECK:
            return -self._s.joint.heel_blank
        return -self._job.instrument.body_depth_at_neck

    def caul(self) -> tuple[Prop, ...]:
        """The caul across the work's back, where it lies against it."""
        high, thick = self._job.jig.caul_height, frame.caul_thickness(self._job)
        half = frame.board_width(self._job, self._s.routing) / 2.0
        top = frame.caul_top(self._job, self._s.cradle, self._use)
        back = self._back()
        ends = sorted((self._at_depth(top, back), self._at_depth(top + high, back)))
        solid = block(ends[0], -half, back - thick, ends[1], half, back, self._work_frame())
        return (Prop(CAUL.name, solid, PAD_WOOD),)

    def clamps(self) -> tuple[Prop, ...]:
        return tuple(
            prop
            for side, number in ((1.0, 1), (-1.0, 2))
            for prop in (*self._work_clamp(side, number), *self._bench_clamp(side, number))
        )

    def _work_clamp(self, side: float, number: int) -> tuple[Prop, ...]:
        """Fixed jaw on the board, screw on the caul, bar outside board and body."""
        job, s = self._job, self._s
        depth = frame.caul_top(job, s.cradle, self._use) + job.jig.caul_height / 2.0
        face = -self._way * job.stock("board").actual_thickness / 2.0
        back = self._back()
        grip = max(
            abs(self._work_frame().to_space(self._at_depth(d, back), 0.0, back - frame.caul_thickness(job)).x - face)
            for d in (depth - PAD_RADIUS, depth + PAD_RADIUS)  # the caul may lean: the pad touches by an edge
        )
        jaw = P3(face, side * frame.jaw_y(job, s.routing), -depth)
        along = P3(self._way, 0.0, 0.0)
        out = P3(0.0, side, 0.0)
        return f_clamp(f"work_clamp_{number}", Placement(jaw, out, along.cross(out)), grip, self._throat())

    def _throat(self) -> float:
        return frame.clamp_throat(self._job, self._s.cradle, self._s.routing)

    def _bench_clamp(self, side: float, number: int) -> tuple[Prop, ...]:
        """Fixed jaw on the plate's corner, screw under the bench, bar past the plate's side in front of the bench."""
        half = self._half_width()
        jaw = P3(self._edge - self._way * _JAW_IN, side * (half - _JAW_IN), self._plate)
        bar = P3(self._edge + self._way * _BAR_OUT, side * (half + _BAR_OUT), self._plate)
        out = bar.minus(jaw)
        throat = out.length()
        out = out.times(1.0 / throat)
        down = Z_AXIS.times(-1.0)
        grip = self._plate - self._top + _BENCH_THICK
        return f_clamp(f"bench_clamp_{number}", Placement(jaw, out, down.cross(out)), grip, throat)

    def _half_width(self) -> float:
        return frame.plate_half_width(self._job, self._s.routing)

    def router(self) -> tuple[Prop, ...]:
        """The router where the cut begins: at the window's far end, at the opening's open end."""
        kit, r = self._job.router, self._s.routing
        half = kit.bushing_od / 2.0
        x = r.window_end - half if self._use is Use.NECK else r.opening_start + half
        stand = Placement(frame.to_plate(self._use, P3(x, 0.0, self._plate), self._fence))
        barrel = min(kit.bushing_length, self._plate - 0.5)
        return router(stand, kit.base_diameter, kit.bushing_od, barrel, kit.bit_diameter, r.reach_needed)


def _mapped(to: Callable[[P3], P3], origin: P3, x: P3, y: P3) -> Placement:
    """The frame that a rigid map makes of one at `origin` with unit axes `x` and `y`."""
    start = to(origin)
    return Placement(start, to(origin.plus(x)).minus(start), to(origin.plus(y)).minus(start))
