"""What the setup sheet says to buy and to drill with is what the jig's parts and the joint's bolts ask for."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from generator.commands.prove import report
from generator.documents.setup.bolts import neck_bolts
from generator.documents.setup.setup import setup_context
from generator.jig.build import build_jig
from generator.jig.layout import jig_layout
from generator.job.load import load_job
from generator.job.model.joint import BoltKind
from generator.job.presets import PresetKind, list_presets
from generator.job.shop import Shop
from generator.joint.solution import solve
from generator.joint.stations import Use
from generator.proof.verdict import Proof

READY = [preset.name for preset in list_presets(PresetKind.JOBS)]


@pytest.mark.parametrize("name", READY)
def test_every_hole_of_the_jig_has_its_drill_on_the_sheet(name: str) -> None:
    """Bores, seats and countersinks of all parts that hands drill, in millimetres; none is left to be guessed."""
    solution = solve(load_job(name, Shop()))
    jig, job = build_jig(solution), solution.job
    said = setup_context(solution, jig).drills
    sizes = [float(size) for size in re.findall(r"\d+(?:\.\d+)?", said)]
    bolts = {size for hole in solution.joint.bolts for size in (hole.clearance_hole, hole.pilot_hole, hole.cross_hole)}
    for part in jig.parts:
        if part.stock in (job.jig.guide_stock, job.jig.shim_stock):
            continue
        for hole in (*part.holes, *(edge.drilled for edge in part.edge_holes)):
            for size in (hole.diameter, hole.counterbore_diameter):
                if size and size not in bolts:
                    assert any(abs(size - one) < 0.01 for one in sizes), (part.name, hole.id, size, said)
            assert (hole.countersink_diameter or 0.0) <= max(sizes)


@pytest.mark.parametrize("name", READY)
def test_shims_are_bought_too(name: str) -> None:
    """Every shim that a setting may ask for stands among the stock, by its thickness and how many."""
    solution = solve(load_job(name, Shop()))
    jig = build_jig(solution)
    (row,) = (row for row in setup_context(solution, jig).stocks if row.name == solution.job.jig.shim_stock)
    for part in jig.parts:
        if part.stock == solution.job.jig.shim_stock:
            assert f"{part.quantity} of {part.thickness:g} mm" in row.pieces


def test_a_hanger_bolt_goes_as_deep_as_it_is_long() -> None:
    """What does not stand out is in the wood, and the pilot is deeper than that."""
    found = neck_bolts(solve(load_job("ukulele-tenor", Shop())))
    assert found.kind is BoltKind.HANGER
    assert found.bite == pytest.approx(found.length - found.stands_out)
    assert found.drill_depth >= found.length - found.stands_out + 1.0


def test_start_points_from_the_opening_to_its_open_end() -> None:
    """The engraved arrow of START points towards the board, where the mortise opening is open in use."""
    solution = solve(load_job("orchestra-14", Shop()))
    layout = jig_layout(solution)
    (text,) = (
        one for one in build_jig(solution).part("template_plate").engraved_texts if "AT THE OPEN END" in one.text
    )
    assert layout.on_plate(Use.BODY, 0.0, 0.0).x < text.at.x
    assert (text.angle, "←" in text.text) == (0.0, True)


def test_nothing_is_called_proved_that_was_not_cut(tmp_path: Path) -> None:
    """Without a cut the headline says so, even where all that there is agrees."""
    assert "NOT proved" in report("kit", Proof(()))[0]
