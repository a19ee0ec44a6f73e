"""The solids of ready jobs: every part can be built, nothing in the jig occupies the space of something else."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from freecad_reader import read_by_freecad
from interference import Interference, interferences
from made_once import UNLIKE, solids, solved, unlike
from made_once import jig as jig_of

from generator.base.geometry3d import P3
from generator.formats.step.read import read_step
from generator.jig.part import Jig
from generator.kit.step import write_step_files
from generator.solid import Solids, assembly

#: The makes of jigs, and a neck whose end face leans.
JOBS = unlike("dreadnought-tilted")


def made(job: str) -> tuple[Jig, Solids]:
    return jig_of(job), solids(job)


def thread_in_pilot(job: str, pair: Interference) -> bool:
    """True for a screw in what it bites in: it shares a ring from its pilot hole to its thread, as long as it bites.

    A head drawn into its seat shares a frustum's ring at most; nothing else may be shared.
    """
    jig, _ = made(job)
    screws = {f"{line.id}_{n}": piece for line in jig.hardware for n, piece in enumerate(line.pieces, 1)}
    if pair.second not in screws:
        return False
    piece = screws[pair.second]
    ring = math.pi / 4.0 * (piece.diameter**2 - (0.6 * piece.diameter) ** 2) * piece.length
    head = math.pi / 12.0 * piece.head_height * (piece.head_diameter**2 * 2.0)
    return pair.volume <= max(ring, head)


@pytest.mark.parametrize("job", JOBS)
def test_nothing_collides(job: str) -> None:
    """No two parts share space; a screw shares with what it bites the thread's ring alone, and meets no other screw."""
    jig, solids = made(job)
    pieces = assembly(jig, solids=solids).pieces
    met = interferences(pieces)
    assert [(pair.first, pair.second, pair.volume) for pair in met if not thread_in_pilot(job, pair)] == []
    takers = {(pair.first, pair.second) for pair in met}
    screws = [piece.label for piece in pieces if piece.hardware is not None and piece.hardware.head_height > 0.0]
    # Each screw bites in one part, and lies loose in the clearance holes of all others, heads drawn in apart.
    assert {screw for _, screw in takers} == set(screws)


def test_a_part_in_anothers_place_is_found() -> None:
    """The check sees what it is for: an angle rest 1 mm nearer to the board stands in its shim."""
    jig, solids = made("orchestra-14")
    moved = [
        replace(item, placement=replace(item.placement, origin=item.placement.origin.plus(P3(0.5, 0.0, 0.0))))
        if item.label == "angle_rest"
        else item
        for item in jig.placed
    ]
    found = interferences(assembly(replace(jig, placed=tuple(moved)), solids=solids).pieces)
    assert ("angle_rest", "trim_shim_1") in {(pair.first, pair.second) for pair in found}


@pytest.mark.parametrize("job", UNLIKE)
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
