"""The corner gauge of a bridged jig: what it lets through closes in the mortise's corner. Judge: shapely."""

from __future__ import annotations

import made_once
import pytest
from jobs_by_hand import changed, load
from shapely import Point, Polygon, box

from generator.documents.setup.setup import setup_context
from generator.documents.setup.words import worded
from generator.jig.build import build_jig
from generator.jig.corner_gauge import CORNER_GAUGE, tenon_corner
from generator.jig.part import Jig
from generator.joint.solution import Solution, solve


@pytest.fixture(scope="module")
def bridged() -> tuple[Solution, Jig]:
    solution = solve(load(changed(job={"name": "bridged"}, jig={"bridged": True})))
    return solution, build_jig(solution)


def names(jig: Jig) -> set[str]:
    return {part.name for part in jig.parts}


def test_only_where_hands_saw_the_corners(bridged: tuple[Solution, Jig]) -> None:
    """A tongue that stands free has its corners routed, a butt joint has none."""
    assert CORNER_GAUGE.name in names(bridged[1])
    for name in ("orchestra-14", "folk-butt"):
        assert CORNER_GAUGE.name not in names(made_once.jig(name))


def rounded(radius: float) -> Polygon:
    """The end of a tenon 40 mm long and wide, one corner at the origin eased to the radius."""
    square = box(0.0, 0.0, 40.0, 40.0)
    if radius == 0.0:
        return square
    corner = box(0.0, 0.0, radius, radius).difference(Point(radius, radius).buffer(radius, quad_segs=256))
    return square.difference(corner)


def test_it_lies_close_on_a_corner_that_is_right(bridged: tuple[Solution, Jig]) -> None:
    """On that radius it closes to 0.01 mm; a corner 1 mm tighter keeps it off, one 1 mm rounder shows light.

    By hand: the mortise's corners less half the room at the sides.
    """
    solution, jig = bridged
    joint, size = solution.joint, tenon_corner(solution)
    assert size == pytest.approx(joint.corner_radius - joint.side_clearance / 2.0)
    part = jig.part(CORNER_GAUGE.name)
    (arm,) = (one.value for one in part.shop_dimensions if one.name == "arm_width")
    gauge = Polygon([(p.x - arm, p.y - arm) for p in part.outline.flatten(0.002)])
    right, tight, loose = (rounded(size + change) for change in (0.0, -1.0, 1.0))
    assert gauge.intersection(right).area < 0.02
    assert gauge.intersection(tight).area > 0.1
    near = box(0.0, 0.0, size, size)
    assert near.difference(gauge).difference(right).area < 0.02
    assert near.difference(gauge).difference(loose).area > 0.1


def test_what_it_lets_through_closes_in_the_mortise(bridged: tuple[Solution, Jig]) -> None:
    """A tenon so eased, in the middle of the mortise's width, meets the mortise's corner nowhere."""
    solution, _ = bridged
    play = solution.joint.side_clearance / 2.0
    mortise = rounded(solution.joint.corner_radius)
    tenon = rounded(tenon_corner(solution))
    moved = Polygon([(x + play, y + play) for x, y in tenon.exterior.coords])
    assert moved.intersection(box(0.0, 0.0, 20.0, 20.0)).difference(mortise).area < 1e-3
    square = Polygon([(x + play, y + play) for x, y in rounded(0.0).exterior.coords])
    assert square.intersection(box(0.0, 0.0, 20.0, 20.0)).difference(mortise).area > 1.0


def test_the_sheet_names_it(bridged: tuple[Solution, Jig]) -> None:
    """Where the corners are eased, and on a sheet of no other jig."""
    told = worded("setup_sheet.j2", setup_context(*bridged))
    assert f"to a radius of {tenon_corner(bridged[0]):g} mm" in told
    assert "(corner gauge)" in told
    assert "corner gauge" not in worded("setup_sheet.j2", setup_context(*made_once.made("orchestra-14")))
