"""Whether the router stands: its base over the plate at every place the bushing can take.

The base rests on what of it lies over the plate. It cannot tip while its centre stays well inside the convex hull of
that contact. The tongue counts only where the work's end carries it from below.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import Polygon, box
from shapely.geometry.base import BaseGeometry

from generator.base.points2d import P2
from generator.base.units import mm
from generator.joint.checks.base import Check, at_least
from generator.joint.checks.router_stand import TIPS
from generator.joint.router_template import stand_needed
from generator.joint.stations import Use

#: Chords in a quarter circle of the router's base.
_QUARTER = 12
#: Openings smaller than this (mm²) take nothing of the stand.
_SMALL = 500.0
#: Farther than any plate reaches, mm; also how far outside its hull a place counts that nothing carries.
_FAR = 1e4


@dataclass(frozen=True)
class BaseStand:
    """Where the router stands worst: how far its centre lies inside the hull of its contact (mm), and the place."""

    inside: float
    where: P2


def bearing(plate: BaseGeometry, guides: BaseGeometry, carried_from: float, carried_to: float) -> BaseGeometry:
    """The plate's area that carries a router (jig frame): all of it but a tongue that nothing holds from below.

    `guides` are the openings as areas. The tongue is what they surround on its sides and its end; between jig X
    `carried_from` and `carried_to` (mm) the work's end lies under it.
    """
    x0, y0, x1, y1 = guides.bounds
    whole = shapely.union_all([_without_small_holes(piece) for piece in _parts(plate)])
    around = box(x0, y0, x1, y1)
    tongue = plate.intersection(around).intersection(box(carried_from, -_FAR, carried_to, _FAR))
    return whole.difference(around).union(tongue)


def _without_small_holes(piece: Polygon) -> Polygon:
    """A base slides over screw holes and slots as if they were not there."""
    return Polygon(piece.exterior, [ring for ring in piece.interiors if Polygon(ring).area > _SMALL])


def worst_stand(carries: BaseGeometry, centres: BaseGeometry, base_diameter: float, step: float) -> BaseStand:
    """The worst place of the router's base on `carries`, its centre anywhere in `centres`, seen every `step` mm.

    Where the base just lets go of an edge its stand worsens at once, so such places are looked at as well.
    """
    places = np.concatenate([_places(centres, step), _letting_go(carries, centres, base_diameter / 2.0, step)])
    if not len(places):
        return BaseStand(-base_diameter / 2.0, P2(0.0, 0.0))
    discs = shapely.buffer(shapely.points(places), base_diameter / 2.0, quad_segs=_QUARTER)
    shapely.prepare(carries)
    hulls = shapely.convex_hull(shapely.intersection(discs, carries))
    inside = _signed(hulls, shapely.points(places))
    worst = int(np.argmin(inside))
    return BaseStand(float(inside[worst]), P2(float(places[worst][0]), float(places[worst][1])))


def _places(centres: BaseGeometry, step: float) -> Any:
    """Points along the edge of an area and in a grid over it."""
    edge = shapely.get_coordinates(shapely.segmentize(centres.boundary, step))
    x0, y0, x1, y1 = centres.bounds
    if not math.isfinite(x0):
        return edge
    grid = np.array([(x, y) for x in np.arange(x0, x1, 2 * step) for y in np.arange(y0, y1, 2 * step)])
    kept = grid[shapely.contains_xy(centres, grid)] if len(grid) else grid.reshape(0, 2)
    return np.concatenate([edge, kept])


def _letting_go(carries: BaseGeometry, centres: BaseGeometry, radius: float, step: float) -> Any:
    """Places a hair to either side of where a base leaves, or just reaches, the far side of the window round it."""
    x0, y0, x1, y1 = centres.bounds
    if not math.isfinite(x0):
        return np.empty((0, 2))
    window = shapely.union_all([Polygon(ring) for part in _parts(carries) for ring in part.interiors])
    wx0, wy0, wx1, wy1 = (centres if window.is_empty else window).bounds
    hairs = (-1e-2, 1e-2)
    across = [edge + turn * radius + hair for edge, turn in ((wy0, 1.0), (wy1, -1.0)) for hair in hairs]
    along = [edge + turn * radius + hair for edge, turn in ((wx0, 1.0), (wx1, -1.0)) for hair in hairs]
    points = [(x, y) for y in across for x in np.arange(x0, x1, step)]
    points += [(x, y) for x in along for y in np.arange(y0, y1, step)]
    found = np.array(points)
    return found[shapely.contains_xy(centres, found)]


def _parts(area: BaseGeometry) -> list[Polygon]:
    return [piece for piece in getattr(area, "geoms", [area]) if isinstance(piece, Polygon)]


def _signed(hulls: Any, points: Any) -> Any:
    """Distance of each point to its hull's edge, positive inside."""
    distance = shapely.distance(shapely.boundary(hulls), points)
    sized = shapely.area(hulls) > 0.0
    inside = np.where(sized & shapely.contains(hulls, points), distance, -shapely.distance(hulls, points))
    return np.where(np.isnan(inside), -_FAR, inside)


def support_check(use: Use, stand: BaseStand, base_diameter: float) -> Check:
    """The judgement on one use of the plate."""
    needed = stand_needed(base_diameter)
    words = (
        f"with the bushing at ({stand.where.x:.0f}, {stand.where.y:.0f}) the middle of the base, ⌀{mm(base_diameter)}, "
        f"lies {mm(stand.inside)} inside what carries it; at least {mm(needed)}"
    )
    return at_least(f"jig: router base on the plate, {use.value}", stand.inside, needed, TIPS * needed, words)


def in_jig(plate: Polygon, fence_x: float, direction: int) -> Polygon:
    """The plate's area from its own drawing into a jig frame."""
    from shapely.affinity import affine_transform

    return affine_transform(plate, [direction, 0.0, 0.0, direction, -direction * fence_x, 0.0])
