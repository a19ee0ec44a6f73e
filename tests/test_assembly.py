"""The jig's solids in their places, and which of them occupy the same space."""

from __future__ import annotations

import math
from dataclasses import replace

import cadquery as cq
import pytest
from interference import interferences
from solid_samples import board, small_jig

from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, X_AXIS, Y_AXIS, Placement
from generator.jig.part import Jig, Part
from generator.solid import Piece, assembly, bounds, jig_solids, part_solid, volume
from generator.solid.assembly import PLAIN, STEEL


def center(piece: Piece) -> P3:
    found = cq.Shape.cast(piece.placed).Center()
    return P3(found.x, found.y, found.z)


def test_every_piece_stands_where_it_is_placed() -> None:
    """Parts by their labels, bought pieces numbered; boxes by hand from the placements."""
    model = assembly(small_jig())
    assert [piece.label for piece in model.pieces] == [
        "template_plate",
        "board",
        "rest_left",
        "rest_right",
        "pin_1",
        "pin_2",
        "screw_1",
    ]
    box = bounds(model.piece("board").placed)
    assert (*box.low, *box.high) == pytest.approx((-9.15, -100.0, -160.0, 9.15, 100.0, 0.0), abs=1e-6)
    box = bounds(model.piece("rest_right").placed)
    assert (*box.low, *box.high) == pytest.approx((9.15, 50.0, -55.0, 12.25, 80.0, -35.0), abs=1e-6)
    box = bounds(model.piece("pin_1").placed)
    assert (*box.low, *box.high) == pytest.approx((-50.0, 36.95, -63.05, -30.0, 43.05, -56.95), abs=1e-6)


def test_a_screw_has_its_conical_head() -> None:
    """A 90° head of ⌀10 on a ⌀5 shank 15 long: the textbook frustum and cylinder, head up where it starts."""
    screw = assembly(small_jig()).piece("screw_1")
    frustum = math.pi * 2.5 / 3.0 * (5.0**2 + 5.0 * 2.5 + 2.5**2)
    expected = frustum + math.pi * 2.5**2 * 12.5
    assert volume(screw.placed) == pytest.approx(expected, rel=1e-9)
    assert screw.hardware is not None
    assert screw.hardware.volume == pytest.approx(expected, rel=1e-12)
    box = bounds(screw.placed)
    assert (*box.low, *box.high) == pytest.approx((-25.0, 7.0, 25.0, -15.0, 17.0, 40.0), abs=1e-6)
    assert center(screw).z > 40.0 - 7.5


def test_colours_come_from_the_stock() -> None:
    """Parts are painted as their stock, parts of unknown stock plain, bought pieces steel."""
    model = assembly(small_jig(), colours={"alu": (0.78, 0.79, 0.81)})
    assert model.piece("template_plate").colour == (0.78, 0.79, 0.81)
    assert model.piece("board").colour == PLAIN
    assert model.piece("pin_1").colour == STEEL
    assert model.piece("pin_1").bought
    assert not model.piece("board").bought


def test_bought_pieces_of_two_sizes_are_two_products() -> None:
    """Pieces under one entry share a product as long as they are alike."""
    jig = small_jig()
    pins = jig.hardware[0]
    longer = replace(pins.pieces[0], length=31.3)
    jig = replace(jig, hardware=(replace(pins, pieces=(*pins.pieces, longer)),))
    pieces = [piece for piece in assembly(jig).pieces if piece.bought]
    assert [piece.product for piece in pieces] == ["pin", "pin", "pin_2"]
    assert bounds(pieces[2].shape).size.z == pytest.approx(31.3, abs=1e-6)


def test_copies_share_one_solid() -> None:
    """Two rests are one product placed twice."""
    model = assembly(small_jig())
    left, right = model.piece("rest_left"), model.piece("rest_right")
    assert left.shape is right.shape
    assert left.product == right.product == "rest"


def test_doubled_labels_are_refused() -> None:
    """Two pieces of one name could not be told apart in the STEP file."""
    jig = small_jig()
    with pytest.raises(GeometryError, match="more than one piece called board"):
        assembly(replace(jig, placed=(*jig.placed, jig.placed[1])))


def test_every_unbuildable_part_is_named() -> None:
    """The faults of all parts are told together."""
    jig = small_jig()
    thin = tuple(
        Part(name, name, "ply", 5.0, board(name, 10.0, 10.0, 5.0).outline, openings=(crossing,))
        for name, crossing in (("one", jig.parts[0].openings[0]), ("two", jig.parts[0].openings[0]))
    )
    with pytest.raises(GeometryError) as caught:
        jig_solids(Jig(thin, (), (), ()))
    assert "part one: window" in str(caught.value)
    assert "part two: window" in str(caught.value)


def standing(label: str, size: tuple[float, float, float], place: Placement) -> Piece:
    part = board(label, *size)
    return Piece(label, label, part_solid(part), place, PLAIN, part)


def at(x: float, y: float, z: float) -> Placement:
    return Placement(P3(x, y, z), X_AXIS, Y_AXIS)


def test_shared_space_is_measured() -> None:
    """Two blocks 3 × 4 × 5 mm into each other share 60 mm³, and the place is told."""
    pieces = [standing("a", (20.0, 20.0, 20.0), at(0, 0, 0)), standing("b", (20.0, 20.0, 20.0), at(17, 16, 15))]
    (found,) = interferences(pieces)
    assert (found.first, found.second) == ("a", "b")
    assert found.volume == pytest.approx(60.0, rel=1e-9)
    assert found.where.low == pytest.approx((17.0, 16.0, 15.0), abs=1e-6)
    assert found.where.high == pytest.approx((20.0, 20.0, 20.0), abs=1e-6)


def test_touching_is_not_interfering() -> None:
    """Faces that lie on each other share no space, square or turned."""
    turned = Placement(
        P3(0.0, 0.0, 20.0), P3(math.cos(0.3), math.sin(0.3), 0.0), P3(-math.sin(0.3), math.cos(0.3), 0.0)
    )
    blocks = [standing("a", (20.0, 20.0, 20.0), at(0, 0, 0)), standing("b", (20.0, 20.0, 5.0), turned)]
    assert interferences(blocks) == ()
    tilted = replace(blocks[1], placement=replace(turned, origin=P3(0.0, 0.0, 19.99)))
    assert len(interferences([blocks[0], tilted])) == 1


def test_a_piece_inside_another_is_found() -> None:
    """A block wholly inside another shares all of its volume."""
    pieces = [standing("a", (20.0, 20.0, 20.0), at(0, 0, 0)), standing("b", (3.1, 4.3, 5.7), at(8, 8, 8))]
    (found,) = interferences(pieces)
    assert found.volume == pytest.approx(3.1 * 4.3 * 5.7, rel=1e-9)


def test_boards_crossed_in_the_air_do_not_meet() -> None:
    """Boards whose upright boxes overlap though they pass each other at a slant are free."""
    slant = Placement(P3(0.0, 0.0, 12.0), P3(math.cos(0.5), 0.0, math.sin(0.5)), Y_AXIS)
    pieces = [standing("a", (100.0, 20.0, 3.0), at(0, 0, 0)), standing("b", (100.0, 20.0, 3.0), slant)]
    assert interferences(pieces) == ()


def test_a_solid_can_be_fetched_by_label_only() -> None:
    """A label that is not there is an error."""
    model = assembly(small_jig())
    assert model.piece("board").part is not None
    with pytest.raises(KeyError):
        model.piece("no such piece")
