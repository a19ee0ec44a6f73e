"""Proof of the template plate from its written file: a good one passes, each spoilt one fails by the right name."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

import ezdxf
import pytest
from joint_sample import BIT, OD, bridged, mortise_opening, plate, results, tenon_window

from generator.base.contours2d import Path
from generator.base.points2d import Transform
from generator.formats.dxf.read import read_dxf
from generator.formats.dxf.write import part_dxf
from generator.jig.part import Opening, Part
from generator.joint.checks import CheckStatus
from generator.joint.stations import Use
from generator.proof.cut.nominal_cut import Cutter
from generator.proof.cut.template_checks import TemplateProof, prove_plate


def proof(folder: FilePath, part: Part, found: dict[str, Any] | None = None, kerf: float = 0.0) -> TemplateProof:
    path = folder / "template_plate.dxf"
    path.write_bytes(part_dxf(part, "sample", kerf))
    return prove_plate(read_dxf(path), found or results())


def failed(result: TemplateProof) -> set[str]:
    return {check.name for check in result.checks if check.status is CheckStatus.FAIL}


def test_a_good_plate_proves_clean(tmp_path: FilePath) -> None:
    """Every check of the sample plate is ok, and the joint fits: 0.15 across, 1.0 at the end, 0.075 all round."""
    result = proof(tmp_path, plate())
    assert {check.status for check in result.checks} == {CheckStatus.OK}
    assert result.ok
    assert result.fit is not None
    assert (result.fit.side, result.fit.end) == pytest.approx((0.15, 1.0), abs=0.001)
    assert (result.fit.sideways, result.fit.tightest) == pytest.approx((0.0, 0.075), abs=0.001)
    assert len({check.name for check in result.checks}) == len(result.checks)


def test_a_kerf_compensated_plate_is_judged_by_its_nominal_size(tmp_path: FilePath) -> None:
    """What the laser takes away is given back before the cut is judged."""
    assert proof(tmp_path, plate(), kerf=0.22).ok


def bent(part: Part, t: Transform) -> Part:
    """The openings moved, outline and holes left."""
    return replace(part, openings=tuple(replace(o, contour=o.contour.transformed(t)) for o in part.openings))


SPOILT: dict[str, tuple[Part, set[str]]] = {
    "opening 0.3 wide": (plate(mortise_opening(wider=0.3)), {"mortise_too_much", "fit_side"}),
    "opening 0.3 narrow": (plate(mortise_opening(wider=-0.3)), {"mortise_too_little", "fit_clear"}),
    "opening shifted": (plate(mortise_opening(shift=0.1)), {"mortise_too_much", "mortise_too_little", "fit_sideways"}),
    "opening long": (plate(mortise_opening(longer=0.5)), {"mortise_too_much", "fit_end"}),
    "opening's corner tighter than the bushing": (plate(mortise_opening(corner=4.0)), {"mortise_unreached"}),
    "opening's corner too wide": (
        plate(mortise_opening(corner=9.9)),
        {"mortise_too_little", "fit_clear"},
    ),
    "tongue shifted": (plate(tenon=tenon_window(shift=0.2)), {"tenon_too_much", "tenon_too_little", "fit_sideways"}),
    "tongue wide": (plate(tenon=tenon_window(wider=0.2)), {"tenon_too_little", "fit_clear"}),
    "tongue's corners sharp": (plate(tenon=tenon_window(corner=0.0)), {"tenon_too_little", "fit_clear"}),
    "window too narrow for the heel": (plate(tenon=tenon_window(breadth=14.0)), {"tenon_slivers"}),
    "window not over the fence": (plate(tenon=tenon_window().moved(20.0, 0.0)), {"tenon_cut"}),
    "openings moved along": (bent(plate(), Transform.move(0.5, 0.0)), {"mortise_too_much", "tenon_too_much"}),
    "bushing too large": (plate(mortise_opening(wider=-6.5, corner=2.0)), {"mortise_cut"}),
}


@pytest.mark.parametrize("name", SPOILT)
def test_each_fault_of_the_plate_is_named(name: str, tmp_path: FilePath) -> None:
    """A plate with one thing wrong fails, and among the failed checks are those that name it."""
    part, expected = SPOILT[name]
    result = proof(tmp_path, part)
    assert not result.ok
    assert expected <= failed(result)


def test_a_shift_is_mirrored_between_body_and_neck(tmp_path: FilePath) -> None:
    """Both openings off to the same side of the plate: seen from the guitar the errors cancel or add.

    The plate is turned by half a turn and the body lies mirrored, so +0.1 on the plate is jig +0.1 and body −0.1 for
    the mortise, jig −0.1 and body −0.1 for the tenon: the neck still meets the centreline of the mortise.
    """
    together = proof(tmp_path, plate(mortise_opening(shift=0.1), tenon_window(shift=-0.1)))
    apart = proof(tmp_path, plate(mortise_opening(shift=0.1), tenon_window(shift=0.1)))
    assert together.fit is not None
    assert apart.fit is not None
    assert together.fit.sideways == pytest.approx(0.0, abs=0.001)
    assert apart.fit.sideways == pytest.approx(-0.2, abs=0.001)


def test_a_short_run_out_warns_and_none_fails(tmp_path: FilePath) -> None:
    """The bit's centre must pass the neck plane by 1.5 mm: 7.85 − 0.73 as drawn; a window begun later leaves less."""

    def begun(start: float) -> Path:
        box = tenon_window().box()
        window = tenon_window().transformed(Transform.move(0, 0))
        cut = [v._replace(x=v.x + start) if v.x < box.x0 + OD / 2 + 1 else v for v in window.vertices]
        return Path(tuple(cut))

    def status(start: float) -> CheckStatus:
        checks = proof(tmp_path, plate(tenon=begun(start))).checks
        return next(check.status for check in checks if check.name == "tenon_run_out")

    assert [status(0.0), status(6.3), status(7.0)] == [CheckStatus.OK, CheckStatus.WARN, CheckStatus.FAIL]


def test_a_mirrored_plate_is_named(tmp_path: FilePath) -> None:
    """Mirrored end for end the openings lie over the wrong fences."""
    mirrored = replace(
        plate(),
        outline=plate().outline.transformed(Transform.mirror_x()).reversed(),
        openings=tuple(Opening(o.id, o.contour.transformed(Transform.mirror_x())) for o in plate().openings),
        holes=(),
    )
    assert not proof(tmp_path, mirrored).ok


def test_a_file_of_another_scale_or_with_an_open_contour_is_named(tmp_path: FilePath) -> None:
    """The file's own faults come first: units, open contours and doubled lines are told by name."""
    path = tmp_path / "template_plate.dxf"
    for change, words in ((_inches, "units wrong"), (_open, "open contour"), (_twice, "doubled line")):
        path.write_bytes(part_dxf(plate(), "sample"))
        document = ezdxf.readfile(path)
        change(document)
        document.saveas(path)
        result = prove_plate(read_dxf(path), results())
        assert failed(result) == {"template_file"}
        assert words in result.checks[0].message


def _inches(document: ezdxf.document.Drawing) -> None:
    document.header["$INSUNITS"] = 1


def _open(document: ezdxf.document.Drawing) -> None:
    document.modelspace().query("LWPOLYLINE")[0].closed = False


def _twice(document: ezdxf.document.Drawing) -> None:
    space = document.modelspace()
    space.add_entity(space.query("LWPOLYLINE")[0].copy())


@pytest.mark.parametrize(("off", "status"), [(0.03, CheckStatus.OK), (0.1, CheckStatus.WARN), (0.8, CheckStatus.FAIL)])
def test_a_measured_eccentricity_is_judged_apart(off: float, status: CheckStatus, tmp_path: FilePath) -> None:
    """0.8 mm was seen on the bench: the file stays right, the bushing is what fails; both cuts move by it."""
    result = proof(tmp_path, plate(), results(eccentricity=off))
    verdicts = {check.name: check.status for check in result.checks}
    assert verdicts.pop("bushing_eccentric") is status
    assert verdicts["mortise_width_as_measured"] is CheckStatus.OK
    assert set(verdicts.values()) == {CheckStatus.OK}
    for cut in result.measured.values():
        assert abs(cut.middle) == pytest.approx(off, abs=0.001)
        assert cut.width == pytest.approx(result.cuts[cut.use].width, abs=0.001)


def test_a_bushing_measured_after_the_kit_was_made(tmp_path: FilePath) -> None:
    """20.24 in place of 20.00 was reported: the file is right, and the widths it now cuts are 0.24 off."""
    good = proof(tmp_path, plate())
    result = prove_plate(read_dxf(tmp_path / "template_plate.dxf"), results(), Cutter(OD + 0.24, BIT))
    verdicts = {check.name: check for check in result.checks}
    assert failed(result) == {"mortise_width_as_measured", "tenon_width_as_measured"}
    assert verdicts["mortise_width_as_measured"].value == pytest.approx(-0.24, abs=0.001)
    assert verdicts["tenon_width_as_measured"].value == pytest.approx(0.24, abs=0.001)
    assert result.cuts[Use.BODY] == good.cuts[Use.BODY]
    assert not good.measured


def test_a_measured_edge_offset_stands_for_the_real_pair(tmp_path: FilePath) -> None:
    """A plate drawn for an offset of 1.55 found by a test cut proves with that offset and fails without it."""
    narrower = 2 * (1.55 - 1.5875)
    tongue = tenon_window(wider=-narrower, longer=-narrower / 2, corner=4.7625)
    part = plate(mortise_opening(wider=narrower, longer=narrower / 2), tongue)
    found = results(edge_offset=1.55)
    # What the bushing leaves in a corner of its own radius, by that offset: 7.9375 − 1.55.
    found["joint"]["corner_radius_mm"] = 6.3875
    assert [check for check in proof(tmp_path, part, found).checks if check.status is not CheckStatus.OK] == []
    assert {"mortise_too_little", "tenon_too_little"} <= failed(proof(tmp_path, part))


def test_a_tenon_that_is_sawn_fits_by_its_wanted_length(tmp_path: FilePath) -> None:
    """With a bridged tongue the tenon has no end of its own: its length is where it is sawn."""
    found = results()
    found["inputs"]["jig"]["bridged"]["value"] = True
    result = proof(tmp_path, bridged(), found)
    assert result.ok
    assert result.cuts[Use.NECK].end is None
    assert result.fit is not None
    assert result.fit.end == pytest.approx(1.0, abs=0.001)
    # A square corner in a round one: 6.35 − 0.075 and 6.35 − 1 off its centre, so 8.246 − 6.35 too far out.
    assert result.fit.tightest == pytest.approx(-1.896, abs=0.002)
    clear = next(check for check in result.checks if check.name == "fit_clear")
    assert clear.status is CheckStatus.WARN
    assert "ease the sawn end" in clear.message
