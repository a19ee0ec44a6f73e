"""Spreadsheet files written by hand, cell by cell, as two kinds of program save them: no writer of ours is involved."""

from __future__ import annotations

import datetime
import zipfile
from collections.abc import Sequence
from pathlib import Path
from xml.sax.saxutils import escape

Cell = str | float | datetime.date | None
#: Day zero of a workbook's dates (ECMA-376 part 1, 18.17.4.1, the 1900 system counted past its false leap day).
_DAY_ZERO = datetime.date(1899, 12, 30)
_SHEET = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"


def write_xlsx(path: Path, rows: Sequence[Sequence[Cell]]) -> None:
    """Shared strings, dates as day numbers under a date format, empty cells left out (ECMA-376 part 1, 18.3)."""
    words = list(dict.fromkeys(cell for row in rows for cell in row if isinstance(cell, str)))
    lines = []
    for y, row in enumerate(rows, 1):
        cells = "".join(_xlsx_cell(f"{chr(65 + x)}{y}", cell, words) for x, cell in enumerate(row) if cell is not None)
        lines.append(f'<row r="{y}">{cells}</row>')
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    files = {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{kind}.sheet.main+xml"/>'
        f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{kind}.worksheet+xml"/>'
        f'<Override PartName="/xl/styles.xml" ContentType="{kind}.styles+xml"/>'
        f'<Override PartName="/xl/sharedStrings.xml" ContentType="{kind}.sharedStrings+xml"/></Types>',
        "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="r1" '
        f'Type="{_LINKS}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{_SHEET}" xmlns:r="{_LINKS}"><sheets>'
        '<sheet name="Class" sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">'
        f'<Relationship Id="r1" Type="{_LINKS}/worksheet" Target="worksheets/sheet1.xml"/>'
        f'<Relationship Id="r2" Type="{_LINKS}/styles" Target="styles.xml"/>'
        f'<Relationship Id="r3" Type="{_LINKS}/sharedStrings" Target="sharedStrings.xml"/></Relationships>',
        "xl/styles.xml": f'<styleSheet xmlns="{_SHEET}"><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="14" '
        'applyNumberFormat="1"/></cellXfs></styleSheet>',
        "xl/sharedStrings.xml": f'<sst xmlns="{_SHEET}">{"".join(f"<si><t>{escape(w)}</t></si>" for w in words)}</sst>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{_SHEET}"><sheetData>{"".join(lines)}</sheetData></worksheet>',
    }
    _zipped(path, files)


def _xlsx_cell(at: str, cell: Cell, words: list[str]) -> str:
    if isinstance(cell, str):
        return f'<c r="{at}" t="s"><v>{words.index(cell)}</v></c>'
    if isinstance(cell, datetime.date):
        return f'<c r="{at}" s="1"><v>{(cell - _DAY_ZERO).days}</v></c>'
    return f'<c r="{at}"><v>{cell}</v></c>'


def write_ods(path: Path, rows: Sequence[Sequence[Cell]]) -> None:
    """Typed cells, a run of empty ones as one repeated cell (OpenDocument 1.2 part 1, 9.1.4 and 19.385)."""
    name = "urn:oasis:names:tc:opendocument:xmlns"
    lines = "".join(f"<table:table-row>{''.join(map(_ods_cell, row))}</table:table-row>" for row in rows)
    content = (
        f'<office:document-content xmlns:office="{name}:office:1.0" xmlns:table="{name}:table:1.0" '
        f'xmlns:text="{name}:text:1.0" office:version="1.2"><office:body><office:spreadsheet>'
        f'<table:table table:name="Class">{lines}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    manifest = (
        f'<manifest:manifest xmlns:manifest="{name}:manifest:1.0"><manifest:file-entry manifest:full-path="/" '
        'manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/></manifest:manifest>'
    )
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    _zipped(path, {"mimetype": kind, "content.xml": content, "META-INF/manifest.xml": manifest})


def _ods_cell(cell: Cell) -> str:
    if cell is None:
        return '<table:table-cell table:number-columns-repeated="1"/>'
    if isinstance(cell, str):
        return f'<table:table-cell office:value-type="string"><text:p>{escape(cell)}</text:p></table:table-cell>'
    if isinstance(cell, datetime.date):
        return f'<table:table-cell office:value-type="date" office:date-value="{cell.isoformat()}"/>'
    return f'<table:table-cell office:value-type="float" office:value="{cell}"/>'


def _zipped(path: Path, files: dict[str, str]) -> None:
    with zipfile.ZipFile(path, "w") as out:
        for name, text in files.items():
            out.writestr(name, text if name == "mimetype" else f'<?xml version="1.0" encoding="UTF-8"?>{text}')
