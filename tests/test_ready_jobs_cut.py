"""Ready jobs, from preset to cutting files: clean to cut, nested whole, and proved from the plate's file."""

from __future__ import annotations

from pathlib import Path as FilePath

import plaindxf
import pytest
from made_once import made as built
from made_once import unlike
from proof_kits import clean

from generator.cutting.making import nested_parts
from generator.cutting.nesting import nest_all
from generator.formats.dxf.read import read_dxf
from generator.formats.dxf.write import part_dxf, sheet_dxf, sheet_file_name
from generator.jig.results import results_dict
from generator.job.model.stock import CutBy
from generator.joint.checks import CheckStatus
from generator.proof.cut.template_checks import prove_plate

#: Unlike jigs: test_prove has every ready job's files, sheets and joint proved, so here a few are read by other means.
JOBS = unlike()


@pytest.mark.parametrize("name", JOBS)
def test_every_part_can_be_cut_as_written(name: str, tmp_path: FilePath) -> None:
    """Each part's file reads back without a fault and with the profile's area, by our reader and by a plain one."""
    for part in built(name)[1].parts:
        path = tmp_path / f"{part.name}.dxf"
        path.write_bytes(part_dxf(part, name))
        assert clean(read_dxf(path)).area == pytest.approx(part.profile_area, abs=1e-4)
        assert plaindxf.read(path.read_bytes()).area() == pytest.approx(part.profile_area, abs=0.01)


@pytest.mark.parametrize("name", JOBS)
def test_every_sheet_holds_all_its_parts(name: str, tmp_path: FilePath) -> None:
    """The nested sheets of a stock hold every copy of its parts: their areas add up."""
    solution, jig = built(name)
    areas: dict[str, float] = {}
    parts = nested_parts(jig.parts, solution.job)
    for sheet in nest_all(parts, solution.job.stocks):
        path = tmp_path / sheet_file_name(sheet)
        path.write_bytes(sheet_dxf(sheet, solution.job.stocks[sheet.stock], name))
        areas[sheet.stock] = areas.get(sheet.stock, 0.0) + clean(read_dxf(path)).area
    expected: dict[str, float] = {}
    for part in parts:
        if {CutBy.LASER, CutBy.ROUTER} & set(solution.job.stocks[part.stock].cut_by):
            expected[part.stock] = expected.get(part.stock, 0.0) + part.profile_area * part.quantity
    assert areas == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize("name", JOBS)
def test_the_template_cuts_the_joint_that_was_asked_for(name: str, tmp_path: FilePath) -> None:
    """Bushing and bit, led along the plate's written contours, make mortise and tenon within 0.001 mm."""
    solution, jig = built(name)
    path = tmp_path / "template_plate.dxf"
    path.write_bytes(part_dxf(jig.part("template_plate"), name))
    proof = prove_plate(read_dxf(path), results_dict(solution, jig))
    assert [check.name for check in proof.checks if check.status is not CheckStatus.OK] == []
    for cut in proof.cuts.values():
        assert max(cut.too_much.size, cut.too_little.size, cut.unreached.size) < 0.001
    assert proof.fit is not None
    assert proof.fit.side == pytest.approx(solution.joint.side_clearance, abs=0.001)
    assert proof.fit.tightest > 0


@pytest.mark.parametrize("name", JOBS[:2])
def test_kerf_compensated_files_prove_as_well(name: str, tmp_path: FilePath) -> None:
    """Drawn for the laser's kerf and undone again, every part has its nominal area."""
    solution, jig = built(name)
    for part in jig.parts:
        kerf = solution.job.stocks[part.stock].kerf
        if not 0 < kerf < 0.6:
            continue
        path = tmp_path / f"{part.name}.dxf"
        path.write_bytes(part_dxf(part, name, kerf))
        assert read_dxf(path).nominal().area == pytest.approx(part.profile_area, abs=1e-4)
