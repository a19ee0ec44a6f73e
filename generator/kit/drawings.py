"""The drawings group: the whole set as one PDF for the shop, each sheet besides as SVG and DXF."""

from __future__ import annotations

from pathlib import Path

from generator.drawing.page import sheet_page
from generator.parts.base import Jig
from generator.shopdrawings import shop_drawings
from generator.solution import Solution
from generator.writers.dxf_drawing import drawing_dxf
from generator.writers.pdf import write_pdf
from generator.writers.svg import write_svg

SET = "set"


def write_drawing_files(solution: Solution, jig: Jig, folder: Path) -> None:
    """Write `folder`/set.pdf, and .svg and .dxf of every sheet of the set."""
    folder.mkdir()
    sheets = tuple(shop_drawings(solution, jig))
    for sheet in sheets:
        write_svg(sheet, folder / f"{sheet.name}.svg")
        (folder / f"{sheet.name}.dxf").write_bytes(drawing_dxf(sheet))
    title = "Shop drawings of the neck-joint router jig"
    write_pdf([sheet_page(sheet) for sheet in sheets], folder / f"{SET}.pdf", title, solution.job.name)
