"""The setup sheet's and the bench card's figures against the results."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

from generator.base.bounded_file import read_bounded
from generator.base.errors import InputError, OutputError
from generator.base.keyed import Table
from generator.base.units import inches, parse_length
from generator.joint.figures import first_figures
from generator.proof.files.agree_claims import claim_findings, pdf_claims
from generator.proof.findings import Finding, Topic
from generator.proof.kit_files import Kit

#: A printed figure is right within this, mm or degrees.
_PRINTED = 0.005
#: A figure printed to 0.001 is right within this, inches.
_PRINTED_INCHES = 0.0005


def setup_findings(kit: Kit) -> Iterator[Finding]:
    """Both forms of the setup sheet, and the bench card: of this job, and with the figures of the results."""
    yield from _page_findings(kit, kit.folder / "setup_sheet.html")
    for name in ("setup_sheet.pdf", "bench_card.pdf"):
        yield from _print_findings(kit, kit.folder / name)


def _page_findings(kit: Kit, page: Path) -> Iterator[Finding]:
    try:
        if page.is_file():
            text = read_bounded(page).decode("utf-8")
            yield from claim_findings(kit, page.name, *_page_claims(text))
            yield from _figure_findings(kit, page.name, html.unescape(re.sub(r"<[^>]*>", " ", text)))
    except (OSError, UnicodeError) as error:
        yield Finding(Topic.UNREADABLE, page.name, str(error))


def _print_findings(kit: Kit, pdf: Path) -> Iterator[Finding]:
    try:
        if pdf.is_file():
            from generator.formats.pdf.read import read_pdf

            document = read_pdf(pdf)
            program = document.creator.partition(", job")[0]
            yield from claim_findings(kit, pdf.name, *pdf_claims(document.subject, program))
            yield from _figure_findings(kit, pdf.name, " ".join(line for p in document.pages for line in p.text))
    except (OutputError, OSError) as error:
        yield Finding(Topic.UNREADABLE, pdf.name, str(error))


def _page_claims(text: str) -> tuple[str, str]:
    """Job and program that the page's own description names."""
    said = re.search(r'<meta name="generator" content="([^",]*), job ([^"]*)">', text)
    return (html.unescape(said.group(2)), said.group(1)) if said else ("", "")


def _figure_findings(kit: Kit, name: str, text: str) -> Iterator[Finding]:
    """Each figure at its first place in the text, next to its name."""
    plain = " ".join(text.replace("−", "-").split())
    for figure in first_figures(kit.solution.joint):
        noun = type(getattr(kit.solution, figure.noun))
        wanted = float(getattr(Table(noun, kit.results[figure.noun]), figure.field))
        said = re.search(re.escape(figure.name) + r" (-?[\d./ ]*\d) ?(mm|in\b|°)", plain)
        if said is None:
            yield Finding(Topic.SETUP, name, f"says no figure for {figure.name}")
        elif not _says(said.group(1), said.group(2), wanted):
            words = f"{figure.name} {said.group(1)} {said.group(2)}; results.json has {wanted:.3f}"
            yield Finding(Topic.SETUP, name, words)


def _says(number: str, unit: str, wanted: float) -> bool:
    try:
        if unit == "in":
            return abs(parse_length(f"{number} in") - wanted) <= inches(_PRINTED_INCHES) + 1e-6
        return abs(float(number) - wanted) <= _PRINTED
    except (InputError, ValueError):
        return False
