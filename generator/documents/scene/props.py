"""What stands round the jig in a picture, built from plain numbers: bench, clamps, router.

Shapes are plain and our own: they show what a thing is and where it stands, not how it is made. Each builder takes the
frame in which the thing stands and gives its pieces, which touch but do not run into each other. Lengths are mm.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from generator.base.geometry3d import Placement
from generator.base.points2d import P2
from generator.base.shapes2d import rounded_polygon
from generator.drawing.facets.base import Facets, joined
from generator.drawing.facets.build import block, cylinder, prism, turned_piece

#: Red, green, blue, each 0 to 1, as on a screen (sRGB).
Colour = tuple[float, float, float]

#: Colour of the bench top.
BENCH: Colour = (0.80, 0.70, 0.56)
#: Colour of the strip along the bench's front edge.
BENCH_EDGE: Colour = (0.72, 0.60, 0.45)
#: Colour of bright steel: clamp bars, the router's posts and bushing, screws and other bought pieces.
STEEL: Colour = (0.74, 0.76, 0.79)
#: Colour of dark steel: clamp screws, the router's base, collar and bit.
DARK_STEEL: Colour = (0.50, 0.53, 0.57)
#: Colour of the clamps' jaws and arms.
IRON: Colour = (0.42, 0.47, 0.55)
#: Colour of the clamps' and the router's handles.
HANDLE: Colour = (0.80, 0.42, 0.24)
#: Colour of the router's motor case.
CASE: Colour = (0.55, 0.66, 0.74)


@dataclass(frozen=True)
class Prop:
    """One solid of a scene: its name, its shape where it stands, its colour, and whether it shines like metal."""

    name: str
    facets: Facets
    colour: Colour
    metal: bool = False


def _placed(props: tuple[Prop, ...], place: Placement, before: str) -> tuple[Prop, ...]:
    """Props of one frame where `place` stands, their names with `before` in front."""
    return tuple(replace(prop, name=before + prop.name, facets=prop.facets.placed(place)) for prop in props)


def bench_top(place: Placement, width: float, depth: float, thickness: float = 60.0) -> tuple[Prop, ...]:
    """A bench top: origin at the middle of its front edge on the top, x into the bench, y along the edge, z up."""
    lip = min(30.0, depth / 4.0)
    half = width / 2.0
    return (
        Prop("bench", block(lip, -half, -thickness, depth, half, 0.0, place), BENCH),
        Prop("bench_edge", block(0.0, -half, -thickness, lip, half, 0.0, place), BENCH_EDGE),
    )


# --- F-clamp -------------------------------------------------------------------------------------------------------

#: Width and thickness of the clamp's bar, mm.
_BAR = (22.0, 7.0)
#: Thickness of the clamp's arms, mm.
_ARM = 13.0
#: The clamp's jaws and its pad reach this far round their middle, mm.
PAD_RADIUS = 13.0
#: Thickness of the pad at the screw's end, mm.
_PAD = 4.0
#: Diameter of the clamp's screw, mm.
_SCREW = 11.0


def f_clamp(name: str, place: Placement, opening: float, throat: float, spare: float = 60.0) -> tuple[Prop, ...]:
    """An F-clamp: origin at the middle of the fixed jaw's face, z towards the screw, x towards the bar.

    `opening` is what it grips, `throat` from the jaws' middle to the bar's near side; `spare` of the bar stands out
    beyond the sliding arm. The work lies between z = 0 and `opening`.
    """
    return _placed(_clamp(opening, throat, spare), place, f"{name}_")


@lru_cache(maxsize=8)
def _clamp(opening: float, throat: float, spare: float) -> tuple[Prop, ...]:
    """The clamp in its own frame: a stage holds pairs of them, and the next one the same again."""
    place = Placement()
    side = Placement(place.origin, place.x_axis, place.z_axis)  # the plane of the clamp: its x along, its y up the bar
    wide, thick = _BAR
    travel = opening + _PAD + 16.0
    arm = travel + 30.0
    bars = [
        block(throat, -thick / 2.0, 0.0, throat + wide, thick / 2.0, travel, place),
        block(throat, -thick / 2.0, arm, throat + wide, thick / 2.0, arm + spare, place),
    ]
    screw = cylinder(place.to_space(0, 0, opening + _PAD), place.z_axis, travel - opening - _PAD, _SCREW)
    head = cylinder(place.to_space(0, 0, arm), place.z_axis, 14.0, _SCREW)
    grip = turned_piece(
        place.to_space(0.0, 0.0, arm + 14.0),
        place.z_axis,
        ((9.0, 0.0), (13.0, 5.0), (15.0, 30.0), (14.0, 70.0), (15.5, 92.0), (12.0, 104.0), (7.0, 108.0)),
    )
    pad = cylinder(place.to_space(0, 0, opening), place.z_axis, _PAD, 2.0 * PAD_RADIUS)
    return (
        Prop("bar", joined(bars), STEEL, True),
        Prop("jaw", _arm(side, throat, -24.0, 0.0, 8.0), IRON),
        Prop("arm", _arm(side, throat, travel, arm, 0.0), IRON),
        Prop("screw", joined([screw, head, pad]), DARK_STEEL, True),
        Prop("handle", grip, HANDLE),
    )


def _arm(side: Placement, throat: float, low: float, high: float, taper: float) -> Facets:
    """One arm of the clamp, from under its jaw to the far side of its bar; at the jaw `taper` lower than at the bar."""
    end = throat + _BAR[0] + 7.0
    corners = [P2(-PAD_RADIUS, low + taper), P2(end, low), P2(end, high), P2(-PAD_RADIUS, high)]
    return prism(rounded_polygon(corners, [2.0] * 4), -_ARM / 2.0, _ARM / 2.0, side)


# --- router --------------------------------------------------------------------------------------------------------


def router(
    place: Placement,
    base_diameter: float,
    bushing_od: float,
    bushing_reach: float,
    bit_diameter: float,
    bit_reach: float,
) -> tuple[Prop, ...]:
    """A router on the plate: origin under the middle of its base, z up along its axis, its handles along y.

    `bushing_reach` and `bit_reach` are how far guide bushing and bit stand out below the base.
    """
    return _placed(_router(base_diameter, bushing_od, bushing_reach, bit_diameter, bit_reach), place, "router_")


@lru_cache(maxsize=8)
def _router(
    base_diameter: float, bushing_od: float, bushing_reach: float, bit_diameter: float, bit_reach: float
) -> tuple[Prop, ...]:
    """The router in its own frame."""
    place = Placement()
    r = base_diameter / 2.0
    body = min(0.62 * r, 46.0)
    post = 0.72 * r
    lift = 0.42 * base_diameter
    top = lift + 1.05 * base_diameter
    up, down = place.z_axis, place.z_axis.times(-1.0)
    base = turned_piece(place.origin, up, ((r - 1.5, 0.0), (r, 1.5), (r, 9.0), (r - 3.0, 12.0)))
    posts = [cylinder(place.to_space(0.0, y, 12.0), up, lift - 12.0, 13.0) for y in (post, -post)]
    collar = turned_piece(
        place.to_space(0.0, 0.0, lift),
        up,
        ((post + 9.0, 0.0), (post + 11.0, 3.0), (post + 11.0, 22.0), (post + 8.0, 26.0)),
    )
    case = turned_piece(
        place.to_space(0.0, 0.0, lift + 26.0),
        up,
        (
            (body, 0.0),
            (body, 0.62 * (top - lift)),
            (0.93 * body, 0.62 * (top - lift)),
            (0.93 * body, 0.80 * (top - lift)),
            (0.72 * body, 0.90 * (top - lift)),
        ),
    )
    knobs = [
        turned_piece(
            place.to_space(0.0, way * (post + 11.0), lift + 12.5),
            place.y_axis.times(way),
            ((6.0, 0.0), (6.0, 6.0), (15.0, 9.0), (18.0, 24.0), (16.0, 38.0), (9.0, 43.0)),
        )
        for way in (1.0, -1.0)
    ]
    chuck = turned_piece(place.to_space(0.0, 0.0, 13.0), up, ((9.0, 0.0), (12.0, 6.0), (12.0, lift - 13.0)))
    bushing = cylinder(place.origin, down, bushing_reach, bushing_od)
    bit = cylinder(place.to_space(0.0, 0.0, -bushing_reach), down, bit_reach - bushing_reach, bit_diameter)
    return (
        Prop("base", base, DARK_STEEL),
        Prop("posts", joined([*posts, chuck]), STEEL, True),
        Prop("collar", collar, DARK_STEEL),
        Prop("case", case, CASE),
        Prop("handles", joined(knobs), HANDLE),
        Prop("bushing", bushing, STEEL, True),
        Prop("bit", bit, DARK_STEEL, True),
    )
