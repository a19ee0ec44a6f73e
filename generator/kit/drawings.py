"""The drawings group: the whole set as one PDF for the shop, each sheet besides as SVG and DXF."""

from __future__ import annotations

from pathlib import Path

from generator.documents.shop import shop_drawings
from generator.drawing.page import sheet_page
from generator.formats.dxf.write_drawing import drawing_dxf
from generator.formats.pdf.write import write_pdf
from generator.formats.svg.write import write_svg
from generator.jig.part import Jig
from generator.joint.solution import Solution

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
