"""The setup sheet's pictures: drawn from the job's own numbers here and in `uses`; the rest are `sketches`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from generator.base.annotation import Anchor
from generator.base.contours2d import Circle
from generator.base.points2d import P2, Box
from generator.base.shapes2d import rectangle, rounded_polygon
from generator.documents.setup.canvas import GONE, JIG, WOOD, Canvas, fitted
from generator.documents.setup.sketches import (
    depth_fixed,
    depth_plunge,
    gap_reading,
    shoulder_taper,
    sideways_taper,
    tenon_end,
    terms,
    zero_check,
)
from generator.documents.setup.stage_picture import stage_picture
from generator.documents.setup.uses import USE_WIDTH, jig_in_use
from generator.drawing.picture import Picture
from generator.drawing.sheet import Sheet
from generator.drawing.style import LineType, Pen, Role
from generator.jig.layout import Layout
from generator.jig.part import Jig
from generator.job.model.router import RouterKind
from generator.joint.solution import Solution
from generator.joint.stations import Use, uses

#: Pen of a way on which the bit cuts.
_BOLD = Pen(0.7)
#: Pen of a way on which the bit touches nothing.
_AIR = Pen(0.5, LineType.DASHED)
#: Pen of the work's edge under the plate.
_EDGE = Pen(0.25, LineType.DASHED)
#: Plate drawn round an opening, mm of the model.
_BORDER = 14.0
#: Width of a picture of the plate from above, mm.
FEED_WIDTH = 62.0
#: Most height of the plate from above, mm.
MOST_PLAN = 33.0
#: Room under a plate from above for its caption, mm.
_UNDER = 5.0


#: Arrows of a ring keep off its corners, mm of the model.
_OFF_CORNER = 4.0
#: Most height of the pictures in space, mm.
_STAGE_HEIGHT = 56.0
#: A name's line ends on nothing narrower than this to every side in the pictures in space, mm on the paper.
_STAGE_LEAST = 0.35
#: The names that the pictures in space carry.
_STAGE_NAMES = frozenset(
    {"board", "angle rest", "body rest", "bracket", "caul", "bench", "neck blank", "body", "router"}
)


def setup_stage(solution: Solution, jig: Jig, use: Use, picture: Picture | None = None) -> Sheet:
    """The sheet's picture in space of one cut; `picture` is its `stage_seen`, where it is at hand."""
    room = USE_WIDTH, _STAGE_HEIGHT
    return stage_picture(solution, jig, use, *room, only=_STAGE_NAMES, least=_STAGE_LEAST, picture=picture)


def setup_pictures(
    solution: Solution, jig: Jig, layout: Layout, *, spaced: bool, stages: Sequence[Sheet] = ()
) -> Mapping[str, Sheet]:
    """Every picture of the sheet by the name its template calls it; `spaced` as `gap_reading` takes it.

    `stages` are the pictures in space (`setup_stage`), where they are at hand.
    """
    plunge = solution.job.router.kind is not RouterKind.FIXED
    cuts, tenon = uses(solution.joint), solution.joint.stands
    pictures = (
        *(stages or (setup_stage(solution, jig, use) for use in cuts)),
        *(jig_in_use(layout, use) for use in cuts),
        terms(tenon=tenon),
        zero_check(),
        depth_plunge() if plunge else depth_fixed(),
        *((feed_mortise(solution),) if Use.BODY in cuts else ()),
        feed_tenon(solution) if tenon else feed_shoulder(solution),
        gap_reading(spaced=spaced, rising=solution.neck_set.saddle_gap > 0.0),
        shoulder_taper(raise_gap=True, tenon=tenon),
        shoulder_taper(raise_gap=False, tenon=tenon),
        sideways_taper(tenon=tenon),
        *((tenon_end(),) if tenon else ()),
    )
    return {picture.name: picture for picture in pictures}


def feed_mortise(solution: Solution) -> Sheet:
    """The mortise opening from above: in at the open end over the backing strip, clockwise along its edge."""
    r = solution.routing
    half, start, end = r.opening_width / 2.0, r.opening_start, r.opening_length
    model = Box(start - 4.0, -half, end, half).grown(_BORDER)
    canvas = _plan("feed_mortise", "Feed in the mortise opening", model)
    canvas.area(rectangle(*model), JIG)
    corner = min(r.opening_corner_radius, half)
    if r.opening is not None:
        canvas.area(r.opening, 1.0)
    join = solution.cradle.body_join_x
    _work_edge(canvas, [P2(join, model.y0), P2(join, model.y1)])
    ring = r.bushing_od / 2.0
    at = P2(start + ring, 0.0)
    _ring(canvas, at, ring, r.bit_diameter / 2.0)
    lane = half - min(half * 0.4, 6.0)
    near, far = at.x + ring + 3.0, end - max(corner, 4.0)
    _feed(canvas, [P2(near, lane), P2(far, lane)])
    _feed(canvas, [P2(far, -lane), P2(near, -lane)])
    _under(canvas, "START at the open end; clockwise", P2(FEED_WIDTH / 2.0, 2.2))
    return canvas.sheet()


def feed_tenon(solution: Solution) -> Sheet:
    """The tenon window from above: the bushing beside the heel at START, then counter-clockwise round the tongue."""
    r, joint = solution.routing, solution.joint
    half, start, end = r.window_half_width, r.opening_start, r.window_end
    model = Box(start, -half, end, half).grown(_BORDER)
    canvas = _plan("feed_tenon", "Feed round the tongue", model)
    canvas.area(rectangle(*model), JIG)
    canvas.area(rounded_polygon(_corners(start, end, half), [r.bushing_od / 2.0] * 4), 1.0)
    blank = joint.heel_blank_width / 2.0
    canvas.area(_corners(0.0, joint.heel_blank, blank), WOOD, outlined=False)
    tongue, tip = r.tongue_width / 2.0, r.tongue_length
    bridged = solution.job.jig.bridged
    root = model.x0 + 0.01
    canvas.area(_corners(root, model.x1 - 0.01 if bridged else tip, tongue), JIG)
    _work_edge(canvas, [P2(0.0, -blank), P2(joint.heel_blank, -blank), P2(joint.heel_blank, blank), P2(0.0, blank)])
    ring, lane = r.bushing_od / 2.0, tongue + r.bushing_od / 2.0
    at = P2(end - ring, -half + ring if bridged else 0.0)
    air, first = -half + ring, start + ring
    _air(canvas, [P2(at.x, air + 1.0), P2(at.x, air), P2(first, air), P2(first, -lane - 3.0)])
    _feed(canvas, [P2(first + 2.0, -lane), P2(tip - 2.0, -lane)])
    if not bridged:
        _feed(canvas, [P2(tip + ring, -lane), P2(tip + ring, lane)])
    _feed(canvas, [P2(tip - 2.0, lane), P2(first, lane)])
    _ring(canvas, at, ring, r.bit_diameter / 2.0)
    words = "START in the air; counter-clockwise"
    _under(canvas, words, P2(FEED_WIDTH / 2.0, 2.2))
    return canvas.sheet()


def feed_shoulder(solution: Solution) -> Sheet:
    """A window without a tongue from above: from the heel's edge inwards, counter-clockwise, ring in ring."""
    r, joint = solution.routing, solution.joint
    half, start, end = r.window_half_width, r.opening_start, r.window_end
    model = Box(start, -half, end, half).grown(_BORDER)
    canvas = _plan("feed_shoulder", "Feed over the shoulder", model)
    canvas.area(rectangle(*model), JIG)
    canvas.area(r.window, 1.0)
    blank, long, ring = joint.heel_blank_width / 2.0, joint.heel_blank, r.bushing_od / 2.0
    canvas.area(_corners(0.0, long, blank), WOOD, outlined=False)
    _work_edge(canvas, [P2(0.0, -blank), P2(long, -blank), P2(long, blank), P2(0.0, blank)])
    at = P2(end - ring, -half + ring)
    for inwards in (0.0, 0.45):
        side, near, far = blank * (1.0 - inwards), blank * inwards, long - blank * inwards
        ring_of = [P2(near, -side), P2(far, -side), P2(far, side), P2(near, side)]
        for start_at, end_at in zip(ring_of, [*ring_of[1:], ring_of[0]], strict=True):
            along = end_at.minus(start_at).unit().times(_OFF_CORNER)
            _feed(canvas, [start_at.plus(along), end_at.minus(along)])
    _ring(canvas, at, ring, r.bit_diameter / 2.0)
    _under(canvas, "START in the air; then inwards", P2(FEED_WIDTH / 2.0, 2.2))
    return canvas.sheet()


def _under(canvas: Canvas, text: str, at: P2) -> None:
    canvas.words(text, at, Anchor.MIDDLE)


def _plan(name: str, title: str, model: Box) -> Canvas:
    """A picture as wide as the others and as high as its model needs, with room for a line of words below."""
    high = min(model.height * (FEED_WIDTH - 2.0) / model.width, MOST_PLAN)
    frame = Box(1.0, _UNDER, FEED_WIDTH - 1.0, _UNDER + high)
    return fitted(name, title, model, frame, FEED_WIDTH, _UNDER + high + 0.5)


def _corners(x0: float, x1: float, half: float) -> list[P2]:
    return [P2(x0, -half), P2(x1, -half), P2(x1, half), P2(x0, half)]


def _work_edge(canvas: Canvas, points: list[P2]) -> None:
    """The work's edge under the plate."""
    canvas.line(points, Role.HIDDEN, _EDGE)


def _ring(canvas: Canvas, center: P2, outer: float, inner: float) -> None:
    """The bushing and the bit in it."""
    canvas.area(Circle(center, outer), GONE)
    canvas.area(Circle(center, inner), 0.35)


def _feed(canvas: Canvas, points: list[P2]) -> None:
    canvas.arrow([canvas.place.apply(p) for p in points], pen=_BOLD, head=3.4)


def _air(canvas: Canvas, points: list[P2]) -> None:
    """A way on which the bit touches nothing yet."""
    canvas.arrow([canvas.place.apply(p) for p in points], pen=_AIR, head=2.6)
