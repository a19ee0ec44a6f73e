"""The jig's solids in their places, and which of them occupy the same space."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from solid_samples import board, small_jig

from generator.errors import GeometryError
from generator.geometry3d import P3, X_AXIS, Y_AXIS, Z_AXIS, Placement
from generator.parts.base import Carrier, Jig, Part, Placed, Use
from generator.solid import Piece, assembly, bounds, interferences, jig_solids, part_solid
from generator.solid.assembly import PLAIN, STEEL

#: How deep below the plate the small jig's pivot lies.
PIVOT = P3(0.0, 0.0, -22.225)


def center(piece: Piece) -> P3:
    found = piece.placed.Center()
    return P3(found.x, found.y, found.z)


def test_uses_choose_the_pieces() -> None:
    """The key is there for the neck only, the two rests for the body only; bought pieces are numbered."""
    neck = [piece.label for piece in assembly(small_jig(), 0.0, Use.NECK).pieces]
    body = [piece.label for piece in assembly(small_jig(), 0.0, Use.BODY).pieces]
    assert neck == ["template_plate", "bed", "key", "pin_1", "pin_2", "screw_1"]
    assert body == ["template_plate", "bed", "rest_left", "rest_right", "pin_1", "pin_2", "screw_1"]


@pytest.mark.parametrize("angle", [-4.0, 1.7, 6.0])
def test_bed_turns_about_the_pivot(angle: float) -> None:
    """What the bed carries keeps its distance from the pivot and turns by the angle, lower end towards +X."""
    still, turned = (assembly(small_jig(), a, Use.NECK) for a in (0.0, angle))
    for label in ("bed", "key", "pin_1"):
        before, after = (center(model.piece(label)).minus(PIVOT) for model in (still, turned))
        assert after.y == pytest.approx(before.y, abs=1e-9)
        assert math.hypot(after.x, after.z) == pytest.approx(math.hypot(before.x, before.z), abs=1e-9)
        swung = math.degrees(math.atan2(after.z, after.x) - math.atan2(before.z, before.x))
        assert swung == pytest.approx(angle, abs=1e-9)
    assert math.copysign(1.0, angle) == math.copysign(1.0, center(turned.piece("key")).x - center(still.piece("key")).x)


def test_plate_stands_still_when_the_bed_turns() -> None:
    """The plate and what is screwed to it do not move with the bed."""
    still, turned = (assembly(small_jig(), a, Use.NECK) for a in (0.0, 5.0))
    for label in ("template_plate", "screw_1"):
        assert center(turned.piece(label)) == pytest.approx(center(still.piece(label)), abs=1e-12)


def test_plate_turns_end_for_end_for_the_body() -> None:
    """Half a turn about the vertical through the plate's own centre (jig X −50): numbers by hand."""
    neck, body = (assembly(small_jig(), 1.7, use) for use in (Use.NECK, Use.BODY))
    # In the plate's drawing: x −120 to 130, y ±40. Neck: jig X = −50 − x, Y = −y. Body: jig X = −50 + x, Y = y.
    box = bounds(neck.piece("template_plate").placed)
    assert (box.low.x, box.high.x) == pytest.approx((-180.0, 70.0), abs=1e-6)
    box = bounds(body.piece("template_plate").placed)
    assert (box.low.x, box.high.x) == pytest.approx((-170.0, 80.0), abs=1e-6)
    assert (box.low.z, box.high.z) == pytest.approx((0.0, 9.7), abs=1e-6)
    # A screw at X −20, Y 12 comes to X −80, Y −12.
    assert center(neck.piece("screw_1")) == pytest.approx((-20.0, 12.0, 32.5), abs=1e-9)
    assert center(body.piece("screw_1")) == pytest.approx((-80.0, -12.0, 32.5), abs=1e-9)


def test_window_is_turned_and_not_mirrored() -> None:
    """The window's own middle (60, 2.5 as drawn) comes to jig (−110, −2.5), for the body to (10, 2.5)."""
    hole = P3(60.0, 2.5, 4.85)
    for use, where in ((Use.NECK, (-110.0, -2.5)), (Use.BODY, (10.0, 2.5))):
        plate = assembly(small_jig(), 0.0, use).piece("template_plate")
        at = plate.placement.to_space(*hole)
        assert (at.x, at.y) == pytest.approx(where, abs=1e-9)
        probe = Piece(
            "probe",
            "probe",
            part_solid(board("p", 40.0, 30.0, 2.0)),
            Placement(P3(at.x - 20.0, at.y - 15.0, 3.0), X_AXIS, Y_AXIS),
            PLAIN,
            Carrier.LOOSE,
        )
        assert interferences([plate, probe]) == ()


def test_colours_come_from_the_stock() -> None:
    """Parts are painted as their stock, parts of unknown stock plain, bought pieces steel."""
    model = assembly(small_jig(), 0.0, Use.NECK, colours={"alu": (0.78, 0.79, 0.81)})
    assert model.piece("template_plate").colour == (0.78, 0.79, 0.81)
    assert model.piece("bed").colour == PLAIN
    assert model.piece("pin_1").colour == STEEL
    assert model.piece("pin_1").bought
    assert not model.piece("bed").bought


def test_bought_pieces_come_and_go_with_their_use() -> None:
    """A stud that holds the neck only is gone for the body; the numbers of the others stay."""
    jig = small_jig()
    pins = jig.hardware[0]
    stud = replace(pins.pieces[0], uses=frozenset({Use.NECK}))
    jig = replace(jig, hardware=(replace(pins, pieces=(stud, pins.pieces[1])),))
    bought = {use: [p.label for p in assembly(jig, 0.0, use).pieces if p.bought] for use in Use}
    assert bought == {Use.NECK: ["pin_1", "pin_2"], Use.BODY: ["pin_2"]}


def test_bought_pieces_of_two_sizes_are_two_products() -> None:
    """Pieces under one entry share a product as long as they are alike."""
    jig = small_jig()
    pins = jig.hardware[0]
    longer = replace(pins.pieces[0], length=31.3)
    jig = replace(jig, hardware=(replace(pins, pieces=(*pins.pieces, longer)),))
    pieces = [piece for piece in assembly(jig, 0.0, Use.NECK).pieces if piece.bought]
    assert [piece.product for piece in pieces] == ["pin", "pin", "pin_2"]
    assert bounds(pieces[2].shape).size.z == pytest.approx(31.3, abs=1e-6)


def test_copies_share_one_solid() -> None:
    """Two rests are one product placed twice."""
    model = assembly(small_jig(), 0.0, Use.BODY)
    left, right = model.piece("rest_left"), model.piece("rest_right")
    assert left.shape is right.shape
    assert left.product == right.product == "rest"


def test_doubled_labels_are_refused() -> None:
    """Two pieces of one name could not be told apart in the STEP file."""
    jig = small_jig()
    with pytest.raises(GeometryError, match="more than one piece called bed"):
        assembly(replace(jig, placed=(*jig.placed, jig.placed[1])), 0.0, Use.NECK)


def test_every_unbuildable_part_is_named() -> None:
    """The faults of all parts are told together."""
    jig = small_jig()
    thin = tuple(
        Part(name, name, "ply", 5.0, board(name, 10.0, 10.0, 5.0).outline, openings=(crossing,))
        for name, crossing in (("one", jig.parts[0].openings[0]), ("two", jig.parts[0].openings[0]))
    )
    with pytest.raises(GeometryError) as caught:
        jig_solids(Jig(thin, (), (), (), 20.0))
    assert "part one: window" in str(caught.value)
    assert "part two: window" in str(caught.value)


def standing(label: str, size: tuple[float, float, float], place: Placement) -> Piece:
    part = board(label, *size)
    return Piece(label, label, part_solid(part), place, PLAIN, Carrier.LOOSE, part)


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
    model = assembly(small_jig(), 0.0, Use.NECK)
    assert model.piece("bed").part is not None
    with pytest.raises(KeyError):
        model.piece("no such piece")


def test_body_use_needs_a_plate() -> None:
    """Without a plate there is nothing to turn end for end."""
    jig = small_jig()
    loose = Placed(
        replace(jig.parts[1], name="other", carrier=Carrier.PLATE), Placement(P3(0, 0, 0), X_AXIS, Z_AXIS), "o"
    )
    bare = replace(jig, placed=(loose,), hardware=())
    assert assembly(bare, 0.0, Use.NECK).piece("o")
    with pytest.raises(GeometryError, match="template_plate"):
        assembly(bare, 0.0, Use.BODY)
