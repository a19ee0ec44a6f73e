"""The jig in its two uses, seen from the side: bench, clamps, work and router, drawn from the jig's own stations.

Plate frame, mm. The cut goes through the middle, so that opening, window and tongue are seen, the bracket behind them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.base.annotation import Anchor
from generator.base.points2d import P2, Box
from generator.base.shapes2d import polygon
from generator.documents.setup.canvas import GONE, JIG, WOOD, Canvas, fitted
from generator.drawing.sheet import Sheet
from generator.drawing.style import LineType, Pen, Role
from generator.jig.layout import Layout
from generator.joint.stations import Use, caul_thickness, caul_top

#: Width of either picture, mm.
USE_WIDTH = 92.0
#: Height of either picture, mm.
USE_HEIGHT = 66.0
#: The frame that the jig fills in either picture, mm.
_FRAME = Box(1.0, 6.0, 91.0, 65.5)
#: Pen of what is cut in the work.
_CUT = Pen(0.35, LineType.DASHED)
#: Grey of the bench, from 0 (black) to 1 (white).
_BENCH = 0.74
#: Grey of clamps, router base and bushing, from 0 (black) to 1 (white).
_METAL = 0.6
#: Grey of the shims behind the angle rest and of the bit, from 0 (black) to 1 (white).
_DARK = 0.35
#: Thickness of the bench's top, mm.
_BENCH_TOP = 45.0
#: What of the work is shown below the board, mm.
_BELOW = 26.0
#: Height of a router, mm.
_ROUTER = 66.0
#: A neck's shaft with its stock, mm.
_SHAFT = 24.0


@dataclass(frozen=True)
class _Side:
    """The side view of one use: `s` is −1 for the neck, which hangs at x < 0, and +1 for the body."""

    layout: Layout
    use: Use

    @property
    def s(self) -> float:
        return -1.0 if self.use is Use.NECK else 1.0

    def x(self, jig_x: float) -> float:
        """A jig X in the plate frame."""
        return self.s * (self.layout.fence + jig_x)

    @property
    def low(self) -> float:
        return -(self.layout.board.height + _BELOW)

    @property
    def bench_level(self) -> float:
        """The bench's top: under the plate, or under the rails."""
        return 0.0 if self.use is Use.NECK else -self.layout.bracket.rail

    @property
    def router_at(self) -> float:
        """The middle of the router where it starts: its bit in the air, a full radius clear of the wood."""
        routing = self.layout.routing
        ring = routing.bushing_od / 2.0
        return self.x(routing.window_end - ring if self.use is Use.NECK else routing.opening_start + ring)

    @property
    def base_end(self) -> float:
        """How far the router's base reaches on the work's side."""
        return self.s * self.router_at + self.layout.solution.job.router.base_diameter / 2.0

    @property
    def back(self) -> float:
        """Jig X of the work's back."""
        solution = self.layout.solution
        if self.use is Use.NECK:
            return solution.joint.heel_blank
        return self.layout.cradle.body_join_x + solution.job.instrument.body_depth_at_neck


def jig_in_use(layout: Layout, use: Use) -> Sheet:
    """The jig with the neck or the body in it, from the side."""
    side = _Side(layout, use)
    idle = layout.plate_half(Use.BODY if use is Use.NECK else Use.NECK)
    far = max(abs(side.x(side.back)) + caul_thickness(layout.solution.job) + 22.0, side.base_end)
    low, high = side.low, layout.thick.plate + _ROUTER
    left, right = sorted((side.s * far, -side.s * (idle + 26.0)))
    name, title = ("use_neck", "Neck cut") if use is Use.NECK else ("use_body", "Body cut: the jig turned round")
    canvas = fitted(name, title, Box(left, low, right, high), _FRAME, USE_WIDTH, USE_HEIGHT)
    _bench(canvas, side, idle)
    _bracket(canvas, layout)
    _work(canvas, side)
    _jig(canvas, side)
    _holding(canvas, side)
    _router(canvas, side)
    _names(canvas, side)
    canvas.words(title, P2(USE_WIDTH / 2.0, 2.4), Anchor.MIDDLE)
    return canvas.sheet()


def _bench(canvas: Canvas, side: _Side, idle: float) -> None:
    edge = -side.s * (side.layout.board.face + side.layout.spec.bench_gap)
    end = -side.s * (idle + 24.0)
    level = side.bench_level
    canvas.area(_rect(edge, level - _BENCH_TOP, end, level), _BENCH)
    at, top = -side.s * (idle - 16.0), side.layout.thick.plate
    inner, outer = at + side.s * 8.0, -side.s * (idle + 15.0)
    foot = level - _BENCH_TOP
    canvas.area(_rect(inner, top, outer, top + 7.0), _METAL)
    canvas.area(_rect(outer, top + 7.0, outer + side.s * 6.0, foot - 22.0), _METAL)
    canvas.area(_rect(inner, foot - 22.0, outer, foot - 15.0), _METAL)
    canvas.area(_rect(at - 3.0, foot - 15.0, at + 3.0, foot), _METAL)


def _rect(x0: float, y0: float, x1: float, y1: float) -> list[P2]:
    low, high = sorted((x0, x1))
    down, up = sorted((y0, y1))
    return [P2(low, down), P2(high, down), P2(high, up), P2(low, up)]


def _bracket(canvas: Canvas, layout: Layout) -> None:
    face, long, deep, rail = layout.board.face, layout.bracket.length, layout.bracket.depth, layout.bracket.rail
    foot = layout.spec.bracket_foot
    corners = [(0.0, 0.0), (long, 0.0), (long, -rail), (foot, -rail), (0.4 * foot, -deep), (0.0, -deep)]
    canvas.area(polygon([P2(-face - x, y) for x, y in corners]), 0.97)


def _jig(canvas: Canvas, side: _Side) -> None:
    """Board, rests with the shim, and the plate as cut through its middle."""
    layout, cradle = side.layout, side.layout.cradle
    face, r, d1 = layout.board.face, layout.thick.rest, cradle.rest_depth
    canvas.area(_rect(-face, -layout.board.height, face, 0.0), JIG)
    canvas.area(_rect(-face - cradle.upper_rest, -d1 - r, -face, -d1), GONE)
    if layout.cuts_body:
        canvas.area(_rect(face, -d1 - r, face + cradle.upper_rest, -d1), GONE)
    low = -cradle.angle_rest_depth - r
    behind = layout.rests.behind_angle
    canvas.area(_rect(-face - cradle.angle_rest, low, -face - behind, low + r), GONE)
    canvas.area(_rect(-face - behind, low, -face, low + r + 8.0), _DARK)
    top, routing, a = layout.thick.plate, layout.routing, layout.fence
    canvas.area(_rect(-layout.plate_half(Use.NECK), 0.0, layout.plate_half(Use.BODY), top), 0.98)
    canvas.area(_rect(-layout.plate_half(Use.NECK), 0.0, -a - routing.window_end, top), JIG)
    far = routing.tongue_length if layout.has_tongue else routing.opening_start
    near = a + routing.opening_start if layout.cuts_body else layout.plate_half(Use.BODY)
    canvas.area(_rect(-a - far, 0.0, near, top), JIG)
    if layout.cuts_body:
        canvas.area(_rect(a + routing.opening_length, 0.0, layout.plate_half(Use.BODY), top), JIG)


def _work(canvas: Canvas, side: _Side) -> None:
    if side.use is Use.NECK:
        _neck(canvas, side)
    else:
        _body(canvas, side)


def _neck(canvas: Canvas, side: _Side) -> None:
    """The neck as it hangs: gluing face on both rests, what the jig leaves still in the block."""
    cradle, joint = side.layout.cradle, side.layout.solution.joint
    heel, low = joint.heel_blank, -side.low
    thick = cradle.rest_depth + side.layout.spec.caul_height + 6.0

    def face(depth: float, out: float = 0.0) -> P2:
        return P2(side.x(cradle.neck_plane_x(depth) + out), -depth)

    curve = [
        P2(side.x(heel + (_SHAFT + cradle.neck_plane_x(thick + 44.0) - heel) * (1.0 - math.cos(t * math.pi / 2.0))),
           -(thick + 44.0 * math.sin(t * math.pi / 2.0)))
        for t in (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
    ]  # fmt: skip
    canvas.area([face(0.0), P2(side.x(heel), 0.0), *curve, face(low, _SHAFT), face(low)], WOOD)
    shoulder = -joint.shoulder_depth
    end = joint.neck_outline.length + cradle.shoulder_x
    canvas.line([P2(side.x(cradle.shoulder_x), shoulder), P2(side.x(heel), shoulder)], Role.CUT, _CUT)
    if joint.stands:
        canvas.line([P2(side.x(end), 0.0), P2(side.x(end), shoulder)], Role.CUT, _CUT)


def _body(canvas: Canvas, side: _Side) -> None:
    """The body as it hangs: end face on the plate, top against the body rest; its cut dashed."""
    solution, cradle = side.layout.solution, side.layout.cradle
    joint, low = solution.joint, side.low
    lean = math.tan(math.radians(solution.job.instrument.end_face_tilt))
    join, back = cradle.body_join_x, side.back
    canvas.area(
        [P2(side.x(join), 0.0), P2(side.x(back), 0.0), P2(side.x(back - low * lean), low),
         P2(side.x(join - low * lean), low)],
        WOOD,
    )  # fmt: skip
    block = -solution.job.instrument.neck_block_thickness
    canvas.line([P2(side.x(join), block), P2(side.x(back), block)], Role.HIDDEN, Pen(0.25, LineType.DASHED))
    floor, end = -joint.cut_in_body.depth, join + joint.cut_in_body.length
    canvas.line([P2(side.x(join), floor), P2(side.x(end), floor), P2(side.x(end), 0.0)], Role.CUT, _CUT)


def _holding(canvas: Canvas, side: _Side) -> None:
    """Caul and clamp at the work, and the cord that keeps a neck on its angle rest."""
    layout, job = side.layout, side.layout.solution.job
    top = -caul_top(job, layout.cradle, side.use)
    high, thick = job.jig.caul_height, caul_thickness(job)
    back = side.x(side.back)
    out = back + side.s * thick
    canvas.area(_rect(back, top - high, out, top), GONE)
    middle = top - high / 2.0
    face = -side.s * layout.board.face
    canvas.area(_rect(face, middle - 5.0, face - side.s * 9.0, middle + 5.0), _METAL)
    canvas.area(_rect(out, middle - 5.0, out + side.s * 9.0, middle + 5.0), _METAL)
    if side.use is Use.NECK:
        level = -layout.rests.angle_level
        shaft = side.x(layout.cradle.neck_plane_x(-level) + _SHAFT)
        canvas.line(
            [P2(layout.board.face + 3.0, level + 4.0), P2(shaft - 3.0, level + 4.0), P2(shaft - 3.0, level - 4.0),
             P2(layout.board.face + 3.0, level - 4.0), P2(layout.board.face + 3.0, level + 4.0)],
            Role.NOTE,
            Pen(0.5),
        )  # fmt: skip


def _router(canvas: Canvas, side: _Side) -> None:
    """The router where it starts."""
    layout, routing, router = side.layout, side.layout.routing, side.layout.solution.job.router
    at = side.router_at
    top, half = layout.thick.plate, router.base_diameter / 2.0
    canvas.area(_rect(at - half, top, at + half, top + 7.0), _METAL)
    canvas.area(_rect(at - 0.55 * half, top + 7.0, at + 0.55 * half, top + _ROUTER - 8.0), 0.9)
    ring = routing.bushing_od / 2.0
    canvas.area(_rect(at - ring, top - router.bushing_length, at + ring, top), _METAL)
    bit = routing.bit_diameter / 2.0
    canvas.area(_rect(at - bit, -0.3 * layout.solution.joint.depth_of_cut, at + bit, top), _DARK)


def _names(canvas: Canvas, side: _Side) -> None:
    """Names beside the jig, each with a line to its piece; those of the work's side stand at the picture's edge."""
    layout, cradle, use = side.layout, side.layout.cradle, side.use
    idle = layout.plate_half(Use.BODY if use is Use.NECK else Use.NECK)
    level = side.bench_level - _BENCH_TOP / 2.0
    bench = -side.s * (layout.board.face + layout.spec.bench_gap + idle) / 2.0
    canvas.words("bench", canvas.at(bench, level), Anchor.MIDDLE)
    under = side.bench_level - _BENCH_TOP - 48.0
    rest = -cradle.rest_depth - layout.thick.rest / 2.0
    angle = -layout.rests.angle_level
    edge = USE_WIDTH - 1.5 if use is Use.NECK else 1.5
    anchor = Anchor.RIGHT if use is Use.NECK else Anchor.LEFT
    first = canvas.at(0.0, under).y
    own = (
        [("upper rest", P2(-layout.board.face - 4.0, rest)), ("angle rest", P2(-layout.board.face - 5.0, angle)),
         ("board", P2(3.0, -layout.board.height + 8.0)), ("neck", P2(side.x(_SHAFT / 2.0), side.low + 14.0))]
        if use is Use.NECK
        else [
            ("bracket", P2(-layout.board.face - 8.0, -0.7 * layout.bracket.depth)),
            ("body rest", P2(layout.board.face + 5.0, rest)),
            ("board", P2(-3.0, -layout.board.height + 20.0)),
        ]
    )  # fmt: skip
    for n, (text, to) in enumerate(own):
        canvas.lead(text, P2(edge, first - 5.2 * n), canvas.place.apply(to), anchor)
    out = side.x(side.back)
    other = P2(1.0, 0.0) if use is Use.NECK else P2(USE_WIDTH - 1.0, 0.0)
    lead = Anchor.LEFT if use is Use.NECK else Anchor.RIGHT
    caul = P2(out + side.s * 8.0, -caul_top(layout.solution.job, cradle, use) - 20.0)
    low = canvas.at(0.0, -layout.board.height * 0.72).y
    canvas.lead("caul", P2(other.x, low), canvas.place.apply(caul), lead)
    if use is Use.BODY:
        canvas.words("body", canvas.at(side.x(side.back / 2.0), side.low + 24.0), Anchor.MIDDLE)
