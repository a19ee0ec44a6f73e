"""What the router needs: template openings for the bushing, run-out, reach and passes.

Jig frame, mm: X from the upper rest's face down the heel, origin on the plate's underside. The *opening* cuts what goes
from the body, the *window* leaves on the neck what its *tongue* covers. Both are the joint's own outlines moved by the
edge offset, their mouths prolonged to where the bit runs out in front of the board. Where nothing is cut in the body
there is no opening, where nothing stays on the neck no tongue.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache

from generator.base.contours2d import Path
from generator.base.errors import Fault, GeometryError, InputError
from generator.base.offset import offset_path
from generator.base.points2d import P2
from generator.base.shapes2d import polygon, rectangle, rounded_corners
from generator.base.units import mm
from generator.job import limits
from generator.job.model.router import Router
from generator.joint.cradle import Cradle, run_out
from generator.joint.joint import Joint
from generator.joint.outlines import Outline, end_radius, mirrored, with_mouth_at

#: A pass thinner than this only rubs, mm.
SLIVER = 0.3
#: The middle of the router's base stays this far inside its contact, mm, or STAND_SHARE of its diameter where less.
STAND_INSIDE = 25.0
#: The middle of the router's base stays this share of its diameter inside its contact where that is less.
STAND_SHARE = 0.2
#: The collet nut stays this far above the base at full depth, mm: the bushing's flange lies there (common practice).
NUT_ROOM = 3.0
#: Bit's edge to the heel blank's side at the window's side, mm.
_SIDE_ROOM = 2.0
#: Bit's edge to the heel blank's side at the window's side under a small base, mm.
_SIDE_ROOM_SMALL = 1.5
#: A base smaller than this across is a small one, mm.
_SMALL_BASE = 100.0
#: How far the bit's centre passes the heel blank's side where the whole of its end is faced, mm.
_FACING_ROOM = 1.0
#: Lengths that agree within this are one length, mm.
_SAME = 1e-9


@dataclass(frozen=True)
class Passes:
    """Cumulative depths of cut, mm; the neck's last pass is the held-back one where there is a hold-back.

    `body` is empty where nothing is cut in the body.
    """

    body: tuple[float, ...]
    neck: tuple[float, ...]


@dataclass(frozen=True)
class Routing:
    """The template's two openings and the router's depths. Lengths mm, X in the jig frame.

    `opening` guides the cut in the body, `tongue` covers what stays on the neck; None where there is no such thing, and
    their sizes are then 0. `edge_offset` lies between the edge of
    the cut and the edge of the template. `opening_start` (X0) is where both openings begin, `window_end` (X1) the far
    end of the neck's window, `window_half_width` half its width. `run_out` is how far the bit's centre passes the work.
    """

    edge_offset: float
    bushing_od: float
    bit_diameter: float
    opening: Path | None
    tongue: Path | None
    opening_corner_radius: float
    tongue_corner_radius: float
    run_out: float
    opening_start: float
    window_half_width: float
    window_end: float
    heel_blank: float
    reach_needed: float
    passes: Passes

    @property
    def opening_width(self) -> float:
        """Across the body's opening, mm."""
        return 0.0 if self.opening is None else self.opening.box().height

    @property
    def opening_length(self) -> float:
        """X_m, the closed end of the body's opening, mm."""
        return 0.0 if self.opening is None else self.opening.box().x1

    @property
    def tongue_width(self) -> float:
        """Across the tongue, mm."""
        return 0.0 if self.tongue is None else self.tongue.box().height

    @property
    def tongue_length(self) -> float:
        """X_t, the tongue's end, mm."""
        return 0.0 if self.tongue is None else self.tongue.box().x1

    @property
    def guided_to(self) -> float:
        """Jig X of the farthest end that the router must come to: the tongue's, else the heel blank's, mm."""
        return self.heel_blank if self.tongue is None else self.tongue_length

    @cached_property
    def window(self) -> Path:
        """The neck's window with the tongue standing into it from its start; its own corners are the bushing's."""
        half, corner = self.window_half_width, self.bushing_od / 2.0
        if self.tongue is None:
            return rectangle(self.opening_start, -half, self.window_end, half, corner)
        around = [(self.opening_start, -half), (self.window_end, -half), (self.window_end, half)]
        around.append((self.opening_start, half))
        root, *tongue = self.tongue.reversed().vertices
        sharp = Path((*polygon([P2(*at) for at in around]).vertices, *tongue, root))
        return rounded_corners(sharp, [corner] * 5 + [0.0] * (len(tongue) - 1) + [corner])

    @cached_property
    def bridged_windows(self) -> tuple[Path, Path]:
        """The two slots beside a tongue that goes on to the window's far end, at +Y and at −Y."""
        half, side, corner = self.window_half_width, self.tongue_width / 2.0, self.bushing_od / 2.0
        start, end = self.opening_start, self.window_end
        return rectangle(start, side, end, half, corner), rectangle(start, -half, end, -side, corner)


def edge_offset(router: Router) -> float:
    """Edge of the cut to edge of the template, mm: as found from a test cut, else half of bushing less bit."""
    return limits.edge_offset(router.edge_offset, router.bushing_od, router.bit_diameter)


def even_passes(depth: float, max_step: float) -> tuple[float, ...]:
    """Cumulative depths (mm) of the fewest equal passes down to `depth`, none deeper than `max_step`; none for 0."""
    if depth <= _SAME:
        return ()
    count = max(1, math.ceil(depth / max_step - _SAME))
    return (*(depth * step / count for step in range(1, count)), depth)


def held_back_passes(depth: float, max_step: float, hold_back: float) -> tuple[float, ...]:
    """Even passes down to the hold-back, then the held-back rest as one last pass. Cumulative depths, mm."""
    if hold_back <= _SAME:
        return even_passes(depth, max_step)
    return (*even_passes(depth - hold_back, max_step), depth)


def solve_routing(
    router: Router,
    joint: Joint,
    cradle: Cradle,
    *,
    plate_thickness: float,
) -> Routing:
    """Openings, reach and passes for a joint. InputError where the bushing leaves nothing of an outline."""
    o, od, bit = edge_offset(router), router.bushing_od, router.bit_diameter
    run = run_out(bit, cradle.body_join_x)
    start = -(run + od / 2.0)
    body, neck = joint.body_outline, joint.neck_outline
    tongue = _template_edge(neck, neck.contour, -o, start - cradle.shoulder_x)
    return Routing(
        edge_offset=o,
        bushing_od=od,
        bit_diameter=bit,
        opening=None if body is None else _opening(body, o, start, cradle.body_join_x, od / 2.0),
        tongue=None if tongue is None else tongue.moved(cradle.shoulder_x, 0.0),
        opening_corner_radius=0.0 if body is None else body.corner_radius + o,
        tongue_corner_radius=0.0 if tongue is None else neck.corner_radius - o,
        run_out=run,
        opening_start=start,
        window_half_width=joint.heel_blank_width / 2.0 + _past_side(router, joint) + od / 2.0,
        window_end=joint.heel_blank + bit + od / 2.0,
        heel_blank=joint.heel_blank,
        reach_needed=limits.reach_needed(plate_thickness, joint.depth_of_cut),
        passes=Passes(
            () if body is None else even_passes(body.depth, router.max_step),
            held_back_passes(neck.depth, router.max_step, router.hold_back),
        ),
    )


def _opening(body: Outline, offset: float, start: float, join: float, bushing: float) -> Path | None:
    """Opening with its mouth at `start`: the body lies in the jig as its own mirror image, its join at `join`."""
    contour = None if body.contour is None else mirrored(body.contour)
    found = _template_edge(body, contour, offset, start - join)
    return None if found is None else _mouth_rounded(found.moved(join, 0.0), bushing)


def _template_edge(outline: Outline, contour: Path | None, offset: float, mouth: float) -> Path | None:
    """The edge of opening or tongue in its piece's own frame; None without a contour."""
    if contour is None:
        return None
    try:
        return guide(contour, offset, mouth)
    except GeometryError:
        found = f"{mm(abs(offset))} from edge of cut to template, on a {outline.called}"
        allowed = "a bushing_od and bit_diameter that leave something of it"
        raise InputError([Fault("job", "router.bushing_od", found, allowed)]) from None


def guide(contour: Path, offset: float, mouth: float) -> Path:
    """The template's edge for a cut along `contour`: `offset` mm outside it (negative: inside), its mouth at `mouth`.

    GeometryError where the contour has no such offset.
    """
    return with_mouth_at(_offset(contour, offset), mouth)


@lru_cache(maxsize=256)
def _offset(contour: Path, offset: float) -> Path:
    """`contour` offset, its mouth anywhere: jobs that are compared differ in where it lies and share the rest."""
    # Drawn on before the mouth, so that a short tongue is not swallowed from there.
    return offset_path(with_mouth_at(contour, -2.0 * abs(offset) - 1.0), offset)


def _mouth_rounded(opening: Path, bushing: float) -> Path:
    """The opening with the bushing's radius in its mouth's corners.

    Larger corners there would keep the bit from the cut's full width at the top's edge.
    """
    *_, mouth = opening.segments()
    corner = end_radius(bushing, mouth.length / 2.0)
    return rounded_corners(opening, [corner, *[0.0] * (len(opening.vertices) - 2), corner])


def _past_side(router: Router, joint: Joint) -> float:
    """How far (mm) the bit's centre passes the heel blank's side: all of the bit beside what stays, half of it where
    nothing does, so that the first bite is half the bit and the window no wider than that asks.
    """
    return router.bit_diameter / 2.0 + side_room(router) if joint.stands else _FACING_ROOM


def side_room(router: Router) -> float:
    """Room (mm) from the bit's edge to the heel blank's side when the bushing runs along the window's side.

    A small base is given less, so that it still stands on the plate beside the window.
    """
    return _SIDE_ROOM if router.base_diameter >= _SMALL_BASE else _SIDE_ROOM_SMALL


def stand_needed(base_diameter: float) -> float:
    """How far (mm) inside what carries it the middle of a router's base must stay, so that it cannot tip."""
    return min(STAND_INSIDE, STAND_SHARE * base_diameter)
