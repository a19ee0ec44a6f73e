"""The setup sheet's figures against the results, and whether every group in the folder is whole."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType

from generator.errors import InputError, OutputError
from generator.proof.agree_results import claim_findings, pdf_claims
from generator.proof.findings import Finding, Kind
from generator.proof.kitfiles import LASER, Kit
from generator.proof.sheetfiles import ASSEMBLY, DRAWINGS, LASER_ONLY, PAPER
from generator.units import inches, parse_length

#: A figure of the setup sheet and the number of the results that it is, as section and key.
_FIGURES: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "set block, neck": ("cradle", "set_block_mm"),
        "set block, body": ("cradle", "body_block_mm"),
        "depth of cut": ("cradle", "depth_block_mm"),
        "join to saddle mark": ("neck_set", "join_to_saddle_mm"),
        "gap wanted there": ("neck_set", "saddle_gap_mm"),
        "heel angle": ("neck_set", "heel_angle_deg"),
        "mortise width": ("joint", "mortise_width_mm"),
        "mortise length": ("joint", "mortise_length_mm"),
        "tenon width": ("joint", "tenon_width_mm"),
        "tenon length": ("joint", "tenon_length_mm"),
    }
)
#: A printed figure is right within this: mm and degrees, and inches to the nearest 1/64.
_PRINTED, _PRINTED_INCHES = 0.005, 1.0 / 128.0
_BOOKLET = "booklet"
_SHEETS_OF_THE_INSTRUMENT = ("body_end_face", "heel", "side_elevation")


def setup_findings(kit: Kit) -> Iterator[Finding]:
    """Both forms of the setup sheet: of this job, and with the figures of the results at their head."""
    page, pdf = kit.folder / "setup_sheet.html", kit.folder / "setup_sheet.pdf"
    try:
        if page.is_file():
            text = page.read_text(encoding="utf-8")
            yield from claim_findings(kit, page.name, *_page_claims(text))
            yield from _figure_findings(kit, page.name, html.unescape(re.sub(r"<[^>]*>", " ", text)))
        if pdf.is_file():
            from generator.readers.pdf import read_pdf

            document = read_pdf(pdf)
            program = document.creator.partition(", job")[0]
            yield from claim_findings(kit, pdf.name, *pdf_claims(document.subject, program))
            yield from _figure_findings(kit, pdf.name, " ".join(line for p in document.pages for line in p.text))
    except (OutputError, OSError, UnicodeError) as error:
        yield Finding(Kind.UNREADABLE, "setup sheet", str(error))


def _page_claims(text: str) -> tuple[str, str]:
    """Job and program that the page's own description names."""
    said = re.search(r'<meta name="generator" content="([^",]*), job ([^"]*)">', text)
    return (html.unescape(said.group(2)), said.group(1)) if said else ("", "")


def _figure_findings(kit: Kit, name: str, text: str) -> Iterator[Finding]:
    """Each figure at its first place in the text, next to its name."""
    plain = " ".join(text.replace("−", "-").split())
    for figure, (section, key) in _FIGURES.items():
        wanted = float(kit.results[section][key])
        said = re.search(re.escape(figure) + r" (-?[\d./ ]*\d) ?(mm|in\b|°)", plain)
        if said is None:
            yield Finding(Kind.SETUP, name, f"says no figure for {figure}")
        elif not _says(said.group(1), said.group(2), wanted):
            words = f"{figure} {said.group(1)} {said.group(2)}; results.json has {wanted:.3f}"
            yield Finding(Kind.SETUP, name, words)


def _says(number: str, unit: str, wanted: float) -> bool:
    try:
        if unit == "in":
            return abs(parse_length(f"{number} in") - wanted) <= inches(_PRINTED_INCHES) + 1e-6
        return abs(float(number) - wanted) <= _PRINTED
    except (InputError, ValueError):
        return False


def complete_findings(kit: Kit) -> Iterator[Finding]:
    """Every group that is in the folder has a file of every part, and a sheet its page.

    Coupons measure the laser, not the joint, and may be left out of the cutting files.
    """
    parts = [part.name for part in kit.jig.parts]
    wanted: list[Path] = []
    if kit.holds(LASER):
        wanted += [Path(LASER, f"{name}.dxf") for name in parts if not name.startswith(LASER_ONLY)]
    if kit.holds("step"):
        wanted += [Path("step", f"{name}.step") for name in (ASSEMBLY, *parts)]
    if kit.holds(DRAWINGS):
        wanted += [Path(DRAWINGS, f"{name}.{kind}") for name in (ASSEMBLY, *parts) for kind in ("svg", "pdf", "dxf")]
    if kit.holds(PAPER):
        wanted += _paper_files(kit.folder)
    sheets = [kit.folder / f"setup_sheet.{kind}" for kind in ("html", "pdf")]
    if any(sheet.is_file() for sheet in sheets):
        wanted += [sheet.relative_to(kit.folder) for sheet in sheets]
    for path in wanted:
        if not (kit.folder / path).is_file():
            yield Finding(Kind.COMPLETE, path.as_posix(), "not there, where the rest of its group is")


def _paper_files(folder: Path) -> Iterator[Path]:
    """The instrument's sheets, and of every sheet the drawing and a document for each paper size that there is."""
    found = list((folder / PAPER).glob("*.pdf"))
    sizes = sorted({path.stem.rpartition(".")[2] for path in found})
    names = {path.stem for path in (folder / PAPER).glob("*.svg")} | {path.stem.rpartition(".")[0] for path in found}
    for name in sorted({*names, *_SHEETS_OF_THE_INSTRUMENT}):
        if name != _BOOKLET:
            yield Path(PAPER, f"{name}.svg")
        yield from (Path(PAPER, f"{name}.{size}.pdf") for size in sizes)
    yield from (Path(PAPER, f"{_BOOKLET}.{size}.pdf") for size in sizes)
