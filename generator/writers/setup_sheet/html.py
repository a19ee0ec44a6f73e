"""The setup sheet as one self-contained page: marks as they are, pictures inline, the font's used signs embedded."""

from __future__ import annotations

import base64
from copy import deepcopy
from xml.etree import ElementTree

from markupsafe import Markup

from generator.drawing import font
from generator.drawing.sheet import Sheet
from generator.drawing.templates import environment
from generator.model.job import Paper
from generator.writers.setup_sheet.words import Content, Element, classes
from generator.writers.svg import svg_text

#: How style sheets call the paper sizes; the large ones lie on their side.
_PAGE_SIZES = {Paper.A4: "A4", Paper.LETTER: "letter", Paper.A3: "A3 landscape", Paper.TABLOID: "17in 11in"}


def html_page(content: Content) -> str:
    """The page as text; the same content gives the same text."""
    body = deepcopy(content.body)
    for figure in body.iter("figure"):
        sheet = content.pictures[figure.attrib.pop("name")]
        figure.append(_picture(sheet))
    for heading in body.iter("h2"):
        _number(heading)
    for item in body.iter("li"):
        _boxes_first(item)
    signs = content.text() + "".join(label.text for sheet in content.pictures.values() for label in sheet.labels())
    signs += content.title + content.made_by + "makers' manuals, local codes and a qualified teacher come first"
    return (
        environment(escaped=True)
        .get_template("setup_sheet.html.j2")
        .render(
            title=content.title,
            job=content.context.job,
            made_by=content.made_by,
            page_size=_PAGE_SIZES[content.paper],
            regular=_base64(font.subset(signs)),
            bold=_base64(font.subset(signs, bold=True)),
            body=Markup("\n".join(_html(section) for section in body)),
        )
        + "\n"
    )


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


def _number(heading: Element) -> None:
    """The section's number in a mark of its own."""
    number, _, words = (heading.text or "").partition(" ")
    mark = ElementTree.Element("span", {"class": "number"})
    mark.text, mark.tail = number, words
    heading.text = ""
    heading.insert(0, mark)


def _boxes_first(item: Element) -> None:
    """Boxes before the words: they float to the right of the item's first line."""
    boxes = [span for span in item if "box" in classes(span)]
    for box in boxes:
        item.remove(box)
        box.tail = ""
    for box in boxes:
        item.insert(0, box)
    if boxes:
        boxes[0].tail, item.text = item.text, ""


def _html(element: Element) -> str:
    return ElementTree.tostring(element, encoding="unicode", method="html").strip()


def _base64(data: bytes) -> str:
    return base64.b64encode(data).decode("ascii")
