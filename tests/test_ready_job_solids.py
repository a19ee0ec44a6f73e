"""The solids of the ready jobs: every part can be built, nothing in the jig occupies the space of something else."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from freecad_reader import read_by_freecad

from generator.kit.step import write_step_files
from generator.load import load_job
from generator.parts.base import Jig, Use
from generator.parts.jig import build_jig
from generator.readers.step import read_step
from generator.solid import Solids, assembly, interferences, jig_solids
from generator.solution import Solution, solve

JOBS = sorted(path.stem for path in (Path(__file__).parent.parent / "presets" / "jobs").glob("*.toml"))
#: One of each make: plywood with tabs, machined with tapped edges, and the small one.
MAKES = ("orchestra-14", "orchestra-left", "ukulele-tenor")


@cache
def solved(job: str) -> Solution:
    return solve(load_job(job))


@cache
def made(job: str) -> tuple[Jig, Solids]:
    jig = build_jig(solved(job))
    return jig, jig_solids(jig)


def set_to(job: str, angle: float) -> Jig:
    """The job's jig with both set blocks made for `angle`."""
    cradle = solved(job).cradle
    block = cradle.block(angle)
    return build_jig(replace(solved(job), cradle=replace(cradle, set_block=block, body_block=block)))


@pytest.mark.parametrize("job", JOBS)
def test_nothing_collides_at_the_jobs_own_settings(job: str) -> None:
    """With the blocks of the job in place no two pieces share space, for the neck or for the body."""
    jig, solids = made(job)
    cradle = solved(job).cradle
    assert interferences(assembly(jig, cradle.neck_bed_angle, Use.NECK, solids=solids).pieces) == ()
    assert interferences(assembly(jig, cradle.body_bed_angle, Use.BODY, solids=solids).pieces) == ()


@pytest.mark.parametrize("angle", [-4.0, 0.0, 1.7, 6.0])
@pytest.mark.parametrize("job", MAKES)
def test_nothing_collides_over_the_range(job: str, angle: float) -> None:
    """From one end of the bed's range to the other no two pieces share space, in either use of the plate."""
    jig = set_to(job, angle)
    solids = jig_solids(jig)
    for use in Use:
        assert interferences(assembly(jig, angle, use, solids=solids).pieces) == ()


def test_a_wrong_block_is_found() -> None:
    """The check sees what it is for: the block of 1.67° under a bed at −4° stands in the nose rod's place."""
    jig, solids = made("orchestra-14")
    found = interferences(assembly(jig, -4.0, Use.NECK, solids=solids).pieces)
    assert "set_block" in {name for pair in found for name in (pair.first, pair.second)}


@pytest.mark.parametrize("job", MAKES)
def test_the_nose_bears_on_the_block(job: str) -> None:
    """At the job's angle the nose rod touches the set block without entering it: 0.01 mm more block would."""
    jig, _ = made(job)
    cradle = solved(job).cradle
    thicker = build_jig(replace(solved(job), cradle=replace(cradle, set_block=cradle.set_block + 0.01)))
    for one, hits in ((jig, 0), (thicker, 1)):
        model = assembly(one, cradle.neck_bed_angle, Use.NECK)
        nose_and_block = [
            piece
            for piece in model.pieces
            if piece.label == "set_block" or (piece.bought and piece.carrier.value == "bed")
        ]
        assert len(interferences(nose_and_block, tolerance=1e-4)) == hits


@pytest.mark.parametrize("job", MAKES)
def test_step_group_in_another_kernel(job: str, tmp_path: Path) -> None:
    """Every STEP file of a kit opens in FreeCAD: a part as one valid solid of its volume and size, the jig whole."""
    jig, _ = made(job)
    folder = tmp_path / "step"
    write_step_files(solved(job), jig, folder)
    paths = sorted(folder.iterdir())
    assert [path.name for path in paths] == sorted([*(f"{part.name}.step" for part in jig.parts), "jig.step"])
    whole = read_step(folder / "jig.step")
    assert all(solid.valid for solid in whole.solids)
    for path, found in zip(paths, read_by_freecad(*paths), strict=True):
        assert found.valid, path.name
        if path.name == "jig.step":
            assert found.volumes == pytest.approx([solid.volume for solid in whole.solids], rel=1e-6)
            continue
        part = jig.part(path.stem)
        assert found.volumes == pytest.approx([part.volume], rel=1e-6), path.name
        size = [high - low for low, high in zip(found.box[:3], found.box[3:], strict=True)]
        assert size == pytest.approx(part.size, abs=1e-4), path.name
