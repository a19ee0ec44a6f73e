"""The rendered template as a tree of marks, with the pictures it names."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from xml.etree import ElementTree

from generator import __version__
from generator.base.errors import LayoutError
from generator.documents.setup.record import job_checksum
from generator.documents.setup.setup import SetupSheet
from generator.documents.setup.words import worded
from generator.drawing.sheet import Sheet
from generator.job.model.job import Paper

Element = ElementTree.Element

#: Marks the template may use; anything else is a slip in it.
MARKS = frozenset(
    "sheet section div h2 h3 p ul ol li table tr th td aside figure span b br".split()  # noqa: SIM905
)


@dataclass(frozen=True)
class Content:
    """What the files are made from: the marks of sheet and bench card as text, and each picture by its name.

    `checksum` names the effective job: what a page has kept of another one is not taken for this one's. `unit` is that
    of figures which are written into boxes.
    """

    job: str
    made_by: str
    checksum: str
    unit: str
    paper: Paper
    sheet_marks: str
    card_marks: str
    pictures: Mapping[str, Sheet]

    @cached_property
    def body(self) -> Element:
        return ElementTree.fromstring(self.sheet_marks)

    @cached_property
    def card(self) -> Element:
        return ElementTree.fromstring(self.card_marks)

    @property
    def title(self) -> str:
        return f"Setup sheet: {self.job}"

    def text(self) -> str:
        """Every letter of the body."""
        return "".join(self.body.itertext())


def rendered(sheet: SetupSheet, card: SetupSheet, pictures: Mapping[str, Sheet]) -> Content:
    """The templates filled, the bench card's from `card`. LayoutError for marks or pictures they must not use."""
    job = sheet.solution.job
    told = {name: worded(name, one) for name, one in (("setup_sheet.j2", sheet), ("bench_card.j2", card))}
    for name, text in told.items():
        marks(name, text, pictures)
    return Content(
        job=job.name,
        made_by=f"Heelwright {__version__}, job {job.name}",
        checksum=job_checksum(job),
        unit=sheet.spell.typed,
        paper=sheet.paper,
        sheet_marks=told["setup_sheet.j2"],
        card_marks=told["bench_card.j2"],
        pictures=pictures,
    )


def marks(template: str, text: str, pictures: Mapping[str, Sheet] = MappingProxyType({})) -> Element:
    """The marks that a `template` was filled to. LayoutError for marks or pictures it must not use."""
    body = ElementTree.fromstring(text)
    for element in body.iter():
        if element.tag not in MARKS:
            raise LayoutError(f"{template}: the mark <{element.tag}> is unknown")
        if element.tag == "figure" and element.get("name") not in pictures:
            raise LayoutError(f"{template}: no picture is called {element.get('name')!r}")
    return body


def inner_text(element: Element) -> str:
    """All text of an element on one line."""
    return " ".join("".join(element.itertext()).split())


def classes(element: Element) -> frozenset[str]:
    """The words of its class."""
    return frozenset(element.get("class", "").split())


def spans(cell: Element) -> tuple[int, int]:
    """How many columns and rows a cell covers."""
    return int(cell.get("colspan", "1")), int(cell.get("rowspan", "1"))


def places(element: Element) -> Iterable[tuple[int, int, Element]]:
    """Every cell with its row and column, spans counted."""
    taken: set[tuple[int, int]] = set()
    for i, row in enumerate(element):
        column = 0
        for cell in row:
            while (i, column) in taken:
                column += 1
            wide, high = spans(cell)
            taken |= {(i + down, column + right) for down in range(high) for right in range(wide)}
            yield i, column, cell
            column += wide
