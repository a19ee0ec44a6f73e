"""The drawings group: the whole set as one PDF for the shop, each sheet besides as SVG and DXF."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from generator.base.store import NO_STORE, Store
from generator.documents.shop import shop_drawings
from generator.drawing.page import sheet_page
from generator.drawing.sheet import Sheet
from generator.jig.part import Jig
from generator.joint.solution import Solution

#: Name, without ending, of the file that holds all drawings.
SET = "set"


def write_drawing_files(solution: Solution, jig: Jig, folder: Path, store: Store = NO_STORE) -> None:
    """Write `folder`/set.pdf, and .svg and .dxf of every sheet of the set."""
    folder.mkdir()
    for name, data in store.kept(drawing_files, solution.unplaced, jig, store).items():
        (folder / name).write_bytes(data)


def drawing_files(solution: Solution, jig: Jig, store: Store) -> Mapping[str, bytes]:
    """The group's files by name; of sheets that the `store` has only the files are made."""
    from generator.formats.pdf.write import pdf_bytes
    from generator.formats.svg.write import svg_bytes

    sheets = shop_drawings(solution, jig, store)
    files = {f"{sheet.name}.svg": svg_bytes(sheet) for sheet in sheets}
    files |= {f"{sheet.name}.dxf": store.kept(dxf_bytes, sheet) for sheet in sheets}
    title = "Shop drawings of the neck-joint router jig"
    return files | {f"{SET}.pdf": pdf_bytes([sheet_page(sheet) for sheet in sheets], title, solution.job.name)}


def dxf_bytes(sheet: Sheet) -> bytes:
    """One drawing as DXF, which takes as long as three of its other files."""
    from generator.formats.dxf.write_drawing import drawing_dxf

    return drawing_dxf(sheet)
