"""The pictures that go with a kit's proof: the joint as its written plate cuts it, and what makes its gap uncertain."""

from __future__ import annotations

from pathlib import Path

from generator.formats.svg.write import write_svg
from generator.joint.solution import Solution
from generator.proof.cut.cut_picture import cut_picture
from generator.proof.cut.gap_spread import picture_of
from generator.proof.prove import prove_template_of

PICTURES_OF_PROOF = "proof"


def write_proof_pictures(folder: Path, solution: Solution) -> None:
    """Write `folder`/proof/cut.svg, where `folder` has a cutting file of the plate, and `folder`/proof/gap.svg."""
    pictures = folder / PICTURES_OF_PROOF
    pictures.mkdir()
    proof = prove_template_of(folder)
    if proof is not None and proof.cuts:
        write_svg(cut_picture(proof, solution.job.name), pictures / "cut.svg")
    write_svg(picture_of(solution), pictures / "gap.svg")
