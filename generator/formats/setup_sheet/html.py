"""The setup sheet as one self-contained page: marks as they are, pictures inline, the font's used signs embedded.

Ticks and boxes are live: the page's own script keeps them in the browser under the job and its checksum, and exports
them as the file that `bench.record` reads. On a narrow screen tables become lists.
"""

from __future__ import annotations

import base64
import json
from copy import deepcopy
from xml.etree import ElementTree

from markupsafe import Markup

from generator.documents.setup.record import FITS, BoxKind, box
from generator.drawing import font
from generator.drawing.sheet import Sheet
from generator.drawing.templates import environment
from generator.formats.setup_sheet.words import Content, Element, classes, inner_text, places
from generator.formats.svg.write import svg_text
from generator.job.model.job import Paper

#: How style sheets call the paper sizes; the large ones lie on their side.
_PAGE_SIZES = {Paper.A4: "A4", Paper.LETTER: "letter", Paper.A3: "A3 landscape", Paper.TABLOID: "17in 11in"}
#: Words of the page that the sheet has not; the font's subset holds their signs.
_OWN_WORDS = "makers' manuals, local codes and a qualified teacher come first Date, label and note of this instrument"


def html_page(content: Content) -> str:
    """The page as text; the same content gives the same text."""
    body = deepcopy(content.body)
    for section in body:
        for short in [part for part in section if "brief" in classes(part)]:
            section.remove(short)
    for figure in body.iter("figure"):
        figure.append(_picture(content.pictures[figure.attrib.pop("name")]))
    jumps = [_number(heading) for heading in body.iter("h2")]
    for table in body.iter("table"):
        _name_cells(table)
    for place, item in enumerate(_ticked(body), 1):
        _live(item, place, content.unit)
    signs = content.text() + "".join(label.text for sheet in content.pictures.values() for label in sheet.labels())
    signs += content.title + content.made_by + _OWN_WORDS
    return (
        environment(escaped=True)
        .get_template("setup_sheet.html.j2")
        .render(
            title=content.title,
            job=content.job,
            made_by=content.made_by,
            page_size=_PAGE_SIZES[content.paper],
            regular=_base64(font.subset(signs)),
            bold=_base64(font.subset(signs, bold=True)),
            jumps=jumps,
            body=Markup("\n".join(_html(section) for section in body)),
            sheet=Markup(_script_text({"job": content.job, "checksum": content.checksum, "unit": content.unit})),
        )
        + "\n"
    )


def _script_text(data: dict[str, str]) -> str:
    """Data as a script may hold it: no end of the script in it."""
    return json.dumps(data).replace("<", "\\u003c")


def _picture(sheet: Sheet) -> Element:
    """The sheet's SVG to stand inside the page: names without a namespace, groups as classes, the page's own font."""
    svg = ElementTree.fromstring(svg_text(sheet).split("\n", 1)[1])
    for element in svg.iter():
        element.tag = element.tag.rpartition("}")[2]
        if "id" in element.attrib:
            element.set("class", element.attrib.pop("id"))
    for child in [child for child in svg if child.tag in {"defs", "title", "desc"}]:
        svg.remove(child)
    svg.attrib = {key: value for key, value in svg.attrib.items() if key in {"width", "height", "viewBox"}}
    svg.set("role", "img")
    svg.set("aria-label", sheet.title)
    return svg


def _number(heading: Element) -> tuple[str, str]:
    """The section's number in a mark of its own, which is the target of the jump list; number and words."""
    number, _, words = (heading.text or "").partition(" ")
    mark = ElementTree.Element("span", {"class": "number"})
    mark.text, mark.tail = number, words
    heading.set("id", f"s{number}")
    heading.text = ""
    heading.insert(0, mark)
    return number, words


def _name_cells(table: Element) -> None:
    """Each cell learns the words of its column's heading, for a screen that shows the table as a list."""
    heads: dict[int, str] = {}
    above = [all(cell.tag == "th" for cell in row) for row in table].index(False)
    for row, column, cell in places(table):
        if row < above:
            heads[column] = inner_text(cell)
        elif cell.tag == "td" and column in heads:
            cell.set("data-head", heads[column])
    for heading in table[:above]:
        heading.set("class", "heads")


def _ticked(body: Element) -> list[Element]:
    return [item for part in body.iter("ul") if "ticks" in classes(part) for item in part]


def _live(item: Element, place: int, unit: str) -> None:
    """A tick that can be set before the item's words, and its boxes as fields after them."""
    boxes = [span for span in item if "box" in classes(span)]
    for span in boxes:
        item.remove(span)
    tick = ElementTree.Element("input", {"type": "checkbox", "data-tick": str(place), "aria-label": "done"})
    words = ElementTree.Element("span", {"class": "words"})
    words.text, item.text = item.text, ""
    for child in list(item):
        item.remove(child)
        words.append(child)
    item.append(tick)
    item.append(words)
    if boxes:
        fields = ElementTree.SubElement(item, "span", {"class": "fields"})
        fields.extend(_field(span.get("data-key", ""), unit) for span in boxes)


def _field(key: str, unit: str) -> Element:
    """A box with its name: a field for a number, or a choice."""
    about = box(key)
    label = ElementTree.Element("label", {"class": "box"})
    label.text = about.name + " "
    if about.kind is BoxKind.FIT:
        choice = ElementTree.SubElement(label, "select", {"data-box": key})
        for word in ("", *FITS):
            ElementTree.SubElement(choice, "option", {"value": word}).text = word
        return label
    shown = "°" if about.kind is BoxKind.ANGLE else unit
    ElementTree.SubElement(
        label, "input", {"type": "text", "inputmode": "decimal", "size": "7", "data-box": key, "placeholder": shown}
    )
    return label


def _html(element: Element) -> str:
    return ElementTree.tostring(element, encoding="unicode", method="html").strip()


def _base64(data: bytes) -> str:
    return base64.b64encode(data).decode("ascii")
