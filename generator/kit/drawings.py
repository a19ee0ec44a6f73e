"""The drawings group: each shop drawing as SVG, PDF and DXF, all from one sheet."""

from __future__ import annotations

from pathlib import Path

from generator.drawing.page import sheet_page
from generator.parts.base import Jig
from generator.shopdrawings import shop_drawings
from generator.solution import Solution
from generator.writers.dxf_drawing import drawing_dxf
from generator.writers.pdf import write_pdf
from generator.writers.svg import write_svg


def write_drawing_files(solution: Solution, jig: Jig, folder: Path) -> None:
    """Write `folder`/<part>.svg, .pdf and .dxf for every part and for the assembled jig."""
    folder.mkdir()
    for sheet in shop_drawings(solution, jig):
        write_svg(sheet, folder / f"{sheet.name}.svg")
        write_pdf([sheet_page(sheet)], folder / f"{sheet.name}.pdf", sheet.title, sheet.job)
        (folder / f"{sheet.name}.dxf").write_bytes(drawing_dxf(sheet))
