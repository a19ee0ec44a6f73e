"""The pictures that go with a kit's proof: the joint as its written plate cuts it, and what makes its gap uncertain."""

from __future__ import annotations

from pathlib import Path

from generator.formats.svg.write import write_svg
from generator.jig.results import results_dict
from generator.joint.solution import Solution
from generator.proof.cut.cut_picture import cut_picture
from generator.proof.cut.gap_spread import picture_of
from generator.proof.cut.template_checks import TemplateProof

#: Folder of a kit's pictures of the proof.
PICTURES_OF_PROOF = "proof"


def write_proof_pictures(folder: Path, solution: Solution, template: TemplateProof | None) -> None:
    """Write `folder`/proof/cut.svg, where the plate's cutting file was cut virtually, and `folder`/proof/gap.svg."""
    pictures = folder / PICTURES_OF_PROOF
    pictures.mkdir()
    if template is not None and template.cuts:
        write_svg(cut_picture(template, results_dict(solution), solution.job.name), pictures / "cut.svg")
    write_svg(picture_of(solution), pictures / "gap.svg")
