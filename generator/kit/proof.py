"""The picture that goes with a kit's proof: the joint as the written plate cuts it, against the joint wanted."""

from __future__ import annotations

from pathlib import Path

from generator.proof.cut_picture import cut_picture
from generator.proof.prove import prove_template_of
from generator.writers.svg import write_svg


def write_cut_picture(folder: Path, job: str) -> None:
    """Write `folder`/proof/cut.svg from the plate's cutting file in `folder`; nothing where there is none."""
    proof = prove_template_of(folder)
    if proof is not None:
        (folder / "proof").mkdir()
        write_svg(cut_picture(proof, job), folder / "proof" / "cut.svg")
