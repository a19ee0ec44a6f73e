"""The setup sheet as PDF: the marks set in columns on the job's paper, page by page, the same bytes each time."""

from __future__ import annotations

import io
import math
from bisect import bisect_left
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any
from xml.etree import ElementTree

from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    FrameBreak,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)
from reportlab.platypus.doctemplate import LayoutError as TooTall

from generator.base.errors import LayoutError
from generator.drawing.paper import INK_MARGIN, PAPER_SIZES
from generator.drawing.sheet import Sheet
from generator.formats.pdf.write import FONT_NAME
from generator.formats.setup_sheet.flowables import (
    BOLD_NAME,
    INK,
    SOFT,
    Numbered,
    PictureFlowable,
    Tick,
    Type,
    WriteIn,
    mm,
    register_fonts,
)
from generator.formats.setup_sheet.tables import bare, boxed, figures_table, inline
from generator.formats.setup_sheet.words import Content, Element, classes, inner_text
from generator.job.model.job import Paper

#: Most pages of a setup sheet; a page of two columns counts as two.
MOST_PAGES = 4
#: Letters are never smaller than this, points.
LEAST_LETTERS = 9.0
#: What a crowded sheet gives up, step by step: pictures, room between its lines, the long words of its warnings, and
#: last the pictures of the jig in use, which the kit's first page shows.
TYPES = tuple(
    Type(LEAST_LETTERS, spread, frozenset(without))
    for spread, without in (
        (1.0, ("brief",)),
        (0.96, ("brief",)),
        (1.0, ("brief", "extra")),
        (0.96, ("brief", "extra")),
        (0.93, ("brief", "extra")),
        (0.93, ("brief", "extra", "spare")),
        (0.9, ("brief", "extra", "spare")),
        (0.9, ("long", "extra", "spare")),
        (0.9, ("long", "extra", "spare", "stage")),
        (0.87, ("long", "extra", "spare", "stage")),
    )
)
#: Large papers lie on their side and carry two columns, each a page of the small ones.
_TWO_COLUMNS = frozenset({Paper.A3, Paper.TABLOID})
#: Height of a page's head, points.
_HEAD = mm(7.4)
#: Height of a page's foot, points.
_FOOT = mm(5.0)
#: Gap between two columns, points.
_GUTTER = mm(10.0)
#: Width of the column of boxes to tick, points.
_TICK_COLUMN = mm(5.2)
#: A heading moves to the next page when less than this of what follows would stand under it.
_WITH_HEADING = mm(18.0)
#: Gap between words and the picture beside them, points.
_BESIDE = mm(3.5)
#: Words start beside a picture only while more than this of its height is free, points.
_OVERHANG = mm(2.0)
#: Height of a frame without end, points.
_ENDLESS = 1e6
#: Words beside their boxes keep at least this much.
_LEAST_WORDS = mm(72.0)


#: Letters of the bench card, points: it is read from a stand.
CARD_LETTERS = 14.0
#: What a long card gives up.
_CARD_TYPES = (Type(CARD_LETTERS), Type(CARD_LETTERS, 0.94), Type(CARD_LETTERS, 0.88))
#: The bench card is never larger than a sheet of paper that stands.
_CARD_PAPER = {Paper.A3: Paper.A4, Paper.TABLOID: Paper.LETTER}


@dataclass(frozen=True)
class _Print:
    """One document to set: its marks and pictures, title and name over every page, what made it, paper, most pages."""

    body: Element
    pictures: Mapping[str, Sheet]
    title: str
    name: str
    made_by: str
    paper: Paper
    most: int


def pdf_document(content: Content) -> bytes:
    """The setup sheet. LayoutError when it takes more than MOST_PAGES pages even in its closest setting."""
    most = MOST_PAGES // _columns_of(content.paper)
    return _set(_of_sheet(content, content.body, "Setup sheet", content.paper, most), TYPES)


def card_document(content: Content) -> bytes:
    """The bench card, one page. LayoutError when it takes more even in its closest setting."""
    paper = _CARD_PAPER.get(content.paper, content.paper)
    return _set(_of_sheet(content, content.card, "Bench card", paper, 1), _CARD_TYPES)


def marks_document(
    body: Element,
    pictures: Mapping[str, Sheet],
    title: str,
    name: str,
    made_by: str,
    paper: Paper,
    most: int,
    letters: float = LEAST_LETTERS,
) -> bytes:
    """Any document of the same marks, in letters of that many points where they fit.

    LayoutError when it takes more than `most` pages even in its closest setting.
    """
    types = (Type(letters), Type(letters, 0.94), *TYPES)
    return _set(_Print(body, pictures, title, name, made_by, paper, most), types)


def _of_sheet(content: Content, body: Element, title: str, paper: Paper, most: int) -> _Print:
    return _Print(body, content.pictures, title, content.job, content.made_by, paper, most)


def _set(job: _Print, types: tuple[Type, ...]) -> bytes:
    """The document in the widest setting that keeps to its pages.

    Each setting takes less room than the one before it, so the widest is found by halving.
    """
    register_fonts()
    counted: dict[int, int | None] = {}

    def fits(place: int) -> bool:
        counted[place] = _pages(job, types[place])
        return counted[place] is not None

    widest = bisect_left(range(len(types)), True, key=fits)
    if widest == len(types):
        raise LayoutError(f"{job.title.lower()} of {job.name}: more than {job.most} pages of {job.paper.value}")
    out = io.BytesIO()
    _build(job, out, counted[widest] or 0, types[widest])
    return out.getvalue()


def _pages(job: _Print, letters: Type) -> int | None:
    """How many pages the document takes; None where it takes more than it may, or a box is higher than a page."""
    try:
        return _build(job, io.BytesIO(), 0, letters)
    except (TooTall, _TooMany):
        return None


def _columns_of(paper: Paper) -> int:
    return 2 if paper in _TWO_COLUMNS else 1


def _build(job: _Print, out: io.BytesIO, total: int, letters: Type) -> int:
    """Set the document; `total` is the number of pages named on each, found by an earlier run. Returns that number.

    A run without it only counts and draws nothing.
    """
    width, height = (mm(side) for side in PAPER_SIZES[job.paper])
    count = _columns_of(job.paper)
    if count > 1:
        width, height = height, width
    margin = mm(INK_MARGIN + 1.0)
    column = (width - 2 * margin - (count - 1) * _GUTTER) / count
    frame = Frame if total else _CountingFrame
    frames = [
        frame(margin + i * (column + _GUTTER), margin + _FOOT, column, height - 2 * margin - _HEAD - _FOOT, 0, 0, 0, 0)
        for i in range(count)
    ]
    document = BaseDocTemplate(
        out,
        pagesize=(width, height),
        invariant=1,
        title=f"{job.title}: {job.name}",
        subject=f"job {job.name}",
        author="Heelwright",
        creator=job.made_by,
        producer=job.made_by,
        initialFontName=FONT_NAME,
    )
    around = _running_lines(job, width, height, margin, total)
    document.addPageTemplates([PageTemplate("sheet", frames, onPage=around)])
    document.build(_Setter(job, column, letters).story())
    return int(document.page)


def _running_lines(job: _Print, width: float, height: float, margin: float, total: int) -> Callable[[Any, Any], None]:
    """What stands over and under every page."""

    def draw(canvas: Any, document: Any) -> None:
        if document.page > job.most:
            raise _TooMany
        canvas.saveState()
        top = height - margin - mm(4.4)
        canvas.setFillColor(INK)
        canvas.setFont(BOLD_NAME, 12.0)
        canvas.drawString(margin, top, job.title)
        canvas.setFont(FONT_NAME, 12.0)
        canvas.drawString(
            margin + max(mm(30.0), canvas.stringWidth(job.title, BOLD_NAME, 12.0) + mm(4.0)), top, job.name
        )
        canvas.setFont(FONT_NAME, 9.0)
        canvas.drawRightString(width - margin, top, f"page {document.page} of {total}")
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(1.2)
        canvas.line(margin, top - mm(1.6), width - margin, top - mm(1.6))
        canvas.setFillColor(SOFT)
        canvas.setFont(FONT_NAME, 9.0)
        canvas.drawString(margin, margin + mm(0.6), job.made_by)
        canvas.drawRightString(
            width - margin, margin + mm(0.6), "makers' manuals, local codes and a qualified teacher come first"
        )
        canvas.restoreState()

    return draw


class _TooMany(Exception):
    """A document has begun a page more than it may have."""


class _CountingFrame(Frame):  # type: ignore[misc]
    """A frame that gives what it holds its room and does not draw it."""

    def add(self, flowable: Flowable, canvas: Any, trySplit: int = 0) -> int:  # noqa: N803
        flowable.drawOn = _undrawn
        return int(super().add(flowable, canvas, trySplit))


def _undrawn(*_place: object, **_more: object) -> None:
    """What drawing leaves on the page where a run only counts."""


class _Setter:
    """Turns marks into flowables for a column `width` points wide."""

    def __init__(self, job: _Print, width: float, letters: Type) -> None:
        self._pictures, self._body = job.pictures, job.body
        self._width = width
        self._letters = letters

    def story(self) -> list[Flowable]:
        out: list[Flowable] = []
        for section in self._body:
            if "page" in classes(section):
                out.append(FrameBreak())
            out += self._kept(self._blocks(section, self._width))
            out.append(Spacer(1, mm(1.2)))
        while out and isinstance(out[-1], Spacer):  # it would begin a page of its own
            out.pop()
        return out

    def _kept(self, blocks: list[Flowable]) -> list[Flowable]:
        """A section's blocks; its heading moves on together with a first block that no page can divide."""
        if len(blocks) < 3 or not isinstance(blocks[0], CondPageBreak):
            return blocks
        heading = blocks[1].wrap(self._width, _ENDLESS)[1]
        first = blocks[2].wrap(self._width, _ENDLESS)[1]
        whole = isinstance(blocks[2], Table) and (len(blocks[2]._cellvalues) == 1 or not blocks[2].splitByRow)
        return [CondPageBreak(heading + (first if whole else min(first, _WITH_HEADING))), *blocks[1:]]

    def _blocks(self, parent: Element, width: float) -> list[Flowable]:
        out: list[Flowable] = []
        for element in parent:
            if not classes(element) & self._letters.without:
                out += self._block(element, width)
        return out

    def _block(self, element: Element, width: float) -> list[Flowable]:
        kind = classes(element)
        if element.tag == "h2":
            number, _, words = inner_text(element).partition(" ")
            return [CondPageBreak(_WITH_HEADING), Numbered(number, words, width)]
        if element.tag == "h3":
            return [Paragraph(inline(element), self._letters.subhead)]
        if element.tag == "p":
            letters = self._letters
            style = letters.lead if "lead" in kind else letters.body
            return [Paragraph(inline(element), style), Spacer(1, mm(0.8))]
        if element.tag == "ul":
            return self._ticks(element, width)
        if element.tag == "ol":
            return self._steps(element, width)
        if element.tag == "aside":
            return [boxed(element, width, self._letters), Spacer(1, mm(1.0))]
        if element.tag == "table":
            return [figures_table(element, width, self._letters), Spacer(1, mm(1.0))]
        if element.tag == "figure":
            return [PictureFlowable(self._pictures[element.get("name", "")])]
        return self._columns(element, width)

    def _columns(self, element: Element, width: float) -> list[Flowable]:
        """Children side by side; words beside a picture go on below it over the whole width."""
        children = [one for one in element if not classes(one) & self._letters.without]
        if len(children) == 1:
            only = children[0]
            return self._block(only, width) if only.tag == "figure" else self._blocks(only, width)
        if children[0].tag == "div" and all(child.tag == "figure" for child in children[1:]):
            return self._beside(children[0], children[1:], width)
        return [self._abreast(children, width)]

    def _abreast(self, children: list[Element], width: float) -> Flowable:
        """Children side by side, their blocks row by row, so that a page may end between two rows.

        One that holds pictures takes their width, the rest share what is left.
        """
        fixed = [self._picture_width(child) for child in children]
        free = width - math.fsum(one for one in fixed if one) - _BESIDE * (len(children) - 1)
        shares = sum(1 for one in fixed if not one)
        widths = [one or free / shares for one in fixed]
        columns = [
            [self._block(child, own)]
            if child.tag == "figure"
            else [self._block(block, own) for block in _pieces(child)]
            for child, own in zip(children, widths, strict=True)
        ]
        padded = [own + (_BESIDE if i < len(widths) - 1 else 0.0) for i, own in enumerate(widths)]
        table = Table(list(zip_longest(*columns, fillvalue="")), colWidths=padded, hAlign="LEFT")
        table.setStyle(bare())
        return table

    def _beside(self, words: Element, figures: list[Element], width: float) -> list[Flowable]:
        """As many blocks and items as the pictures are high stand beside them, the rest below over the whole width."""
        pictures = [self._block(figure, width)[0] for figure in figures]
        high = max(picture.height for picture in pictures)
        narrow = width - math.fsum(picture.width + _BESIDE for picture in pictures)
        left: list[Flowable] = []
        below: list[Flowable] = []
        used = 0.0
        for block in _pieces(words):
            room = used < high - _OVERHANG
            made = self._block(block, narrow if room else width)
            if room:
                left += made
                used += math.fsum(one.wrap(narrow, _ENDLESS)[1] for one in made)
            else:
                below += made
        widths = [narrow + _BESIDE, *(picture.width + _BESIDE for picture in pictures)]
        table = Table([[left, *pictures]], colWidths=widths, hAlign="LEFT")
        table.setStyle(bare())
        return [table, *below]

    def _picture_width(self, element: Element) -> float:
        names = [figure.get("name", "") for figure in element.iter("figure")]
        widths = (mm(self._pictures[name].width) for name in names)
        return max(widths, default=0.0)

    def _ticks(self, element: Element, width: float) -> list[Flowable]:
        """A row an item: square, words, and the boxes to write in, beside the words where these keep room enough."""
        rows: list[Flowable] = []
        for item in element:
            names = [inner_text(span) for span in item.iter("span") if "box" in classes(span)]
            boxes = WriteIn(names, self._letters.body.fontSize) if names else None
            words: list[Flowable] = [Paragraph(inline(item), self._letters.body)]
            beside = boxes.width + mm(2.2) if boxes else 0.0
            if boxes and width - _TICK_COLUMN - beside < _LEAST_WORDS:
                words.append(boxes)
                boxes, beside = None, 0.0
            cells = [Tick(), words, boxes] if boxes else [Tick(), words]
            widths = [_TICK_COLUMN, width - _TICK_COLUMN - beside, beside][: len(cells)]
            row = Table([cells], colWidths=widths, hAlign="LEFT")
            row.setStyle(
                TableStyle(
                    [
                        *bare().getCommands(),
                        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.0),
                        ("ALIGN", (2, 0), (2, 0), "RIGHT"),
                    ]
                )
            )
            rows.append(row)
        return rows

    def _steps(self, element: Element, width: float) -> list[Flowable]:
        style, first = self._letters.body, int(element.get("start", "1"))
        rows = [[Paragraph(f"{i}", style), Paragraph(inline(item), style)] for i, item in enumerate(element, first)]
        table = Table(rows, colWidths=[_TICK_COLUMN, width - _TICK_COLUMN], hAlign="LEFT")
        table.setStyle(TableStyle([*bare().getCommands(), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.0)]))
        return [table]


def _pieces(words: Element) -> Iterable[Element]:
    """Blocks as they are, lists item by item: where a column beside a picture may end."""
    for block in words:
        if block.tag not in {"ul", "ol"}:
            yield block
            continue
        for number, item in enumerate(block, 1):
            piece = ElementTree.Element(block.tag, {**block.attrib, "start": str(number)})
            piece.append(item)
            yield piece
