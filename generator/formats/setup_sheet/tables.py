"""Tables of the printed setup sheet: figures in ruled columns, framed remarks, and tables that only place things."""

from __future__ import annotations

import math
from typing import Any
from xml.etree import ElementTree
from xml.sax.saxutils import escape

from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import Flowable, Paragraph, Table, TableStyle

from generator.formats.pdf.write import FONT_NAME
from generator.formats.setup_sheet.flowables import BOLD_NAME, INK, PALE, RULE, TINT, Tick, Type, mm
from generator.formats.setup_sheet.words import Element, classes, places, spans

#: Padding to the left and right in a table's cell, points.
_PAD = 3.0


def inline(element: Element) -> str:
    """The element's words in reportlab's own marks: text, <b> and <br/>; boxes are set elsewhere."""
    out = [escape(element.text or "")]
    for child in element:
        if child.tag == "b":
            out.append(f"<b>{inline(child)}</b>")
        elif child.tag == "br":
            out.append("<br/>")
        out.append(escape(child.tail or ""))
    return "".join(out).strip()


def boxed(element: Element, width: float, letters: Type) -> Flowable:
    """A framed remark; a caution has the thicker frame."""
    caution = "caution" in classes(element)
    table = Table([[Paragraph(inline(element), letters.body)]], colWidths=[width], hAlign="LEFT")
    table.setStyle(
        TableStyle(
            [
                ("FONTNAME", (0, 0), (-1, -1), FONT_NAME),
                ("BOX", (0, 0), (-1, -1), 1.6 if caution else 0.7, INK),
                ("BACKGROUND", (0, 0), (-1, -1), PALE),
                ("TOPPADDING", (0, 0), (-1, -1), 3.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 4.5),
                ("LEFTPADDING", (0, 0), (-1, -1), 6),
                ("RIGHTPADDING", (0, 0), (-1, -1), 6),
            ]
        )
    )
    return table


def bare() -> TableStyle:
    """A table that only places things."""
    return TableStyle(
        [
            ("FONTNAME", (0, 0), (-1, -1), FONT_NAME),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("TOPPADDING", (0, 0), (-1, -1), 0),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ]
    )


def figures_table(element: Element, width: float, letters: Type) -> Flowable:
    """A ruled table; columns as wide as their words want, squeezed or stretched to fit."""
    kind = classes(element)
    style = letters.cell
    rows, commands = _grid(element, style, letters.head_cell)
    stretch = "bare" not in kind
    widths = _widths(
        element, len(rows[0]), width, style.fontSize, stretch=stretch, heads=bool(kind & {"facts", "passes"})
    )
    table = Table(rows, colWidths=widths, hAlign="LEFT", splitByRow=int("list" in kind))
    table.setStyle(
        TableStyle(
            [
                ("FONTNAME", (0, 0), (-1, -1), FONT_NAME),
                ("GRID", (0, 0), (-1, -1), 0.4, RULE),
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("TOPPADDING", (0, 0), (-1, -1), 1.0),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 1.8),
                ("LEFTPADDING", (0, 0), (-1, -1), _PAD),
                ("RIGHTPADDING", (0, 0), (-1, -1), _PAD),
                *commands,
            ]
        )
    )
    return table


def _grid(element: Element, style: Any, head: Any) -> tuple[list[list[Any]], list[tuple[Any, ...]]]:
    """Cells by row and column, and the commands for spans, heads and marked rows."""
    found = list(places(element))
    columns = max(column + spans(cell)[0] for _, column, cell in found)
    rows: list[list[Any]] = [["" for _ in range(columns)] for _ in element]
    commands: list[tuple[Any, ...]] = []
    for i, column, cell in found:
        wide, high = spans(cell)
        if wide > 1 or high > 1:
            commands.append(("SPAN", (column, i), (column + wide - 1, i + high - 1)))
        if cell.tag == "th":
            commands.append(("BACKGROUND", (column, i), (column + wide - 1, i + high - 1), TINT))
        rows[i][column] = _cell(cell, style, head)
    for i, row in enumerate(element):
        if classes(row) & {"wanted", "held"}:
            commands.append(("BACKGROUND", (0, i), (-1, i), TINT))
    return rows, commands


def _cell(cell: Element, style: Any, head: Any) -> Any:
    if any("tick" in classes(span) for span in cell.iter("span")):
        return Tick(mm(2.6))
    return Paragraph(inline(cell), head if cell.tag == "th" else style)


def _widths(element: Element, columns: int, width: float, size: float, *, stretch: bool, heads: bool) -> list[float]:
    """Column widths: natural ones when they fit, else each at least its longest word and a share of the rest.

    Headings may be broken, with `heads` they are not.
    """
    natural, least = [0.0] * columns, [0.0] * columns
    for _, column, cell in places(element):
        if spans(cell)[0] > 1:
            continue
        name = BOLD_NAME if cell.tag == "th" else FONT_NAME
        head = cell.tag == "th" and not heads
        lines = ElementTree.tostring(cell, encoding="unicode", method="text").split("\n")
        for text in [" ".join(line.split()) for line in lines] or [""]:
            words = [pdfmetrics.stringWidth(word, name, size) for word in text.split()] or [0.0]
            wide = max(words) if head else pdfmetrics.stringWidth(text, name, size)
            natural[column] = max(natural[column], wide + 2 * _PAD + 1)
            whole = heads and cell.tag == "th"
            least[column] = max(least[column], natural[column] if whole else max(words))
    least = [one + 2 * _PAD + 1 for one in least]
    natural = [max(one, mm(9.0)) for one in natural]
    least = [min(low, high) for low, high in zip(least, natural, strict=True)]
    total = math.fsum(natural)
    if total <= width:
        return [one * width / total for one in natural] if stretch else natural
    room, wish = width - math.fsum(least), math.fsum(high - low for low, high in zip(least, natural, strict=True))
    return [low + (high - low) * room / wish for low, high in zip(least, natural, strict=True)]
