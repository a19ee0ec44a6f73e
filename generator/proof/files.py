"""All files of a kit against each other: what is in the folder is read back and compared, what is not is left out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from generator.checks.base import Check
from generator.errors import OutputError
from generator.model.job import Paper
from generator.parts.base import Use
from generator.proof.agree_cutting import (
    cutting_findings,
    drawn_by_cutting,
    drawn_by_model,
    line_findings,
    sheet_counts,
    sheet_findings,
)
from generator.proof.agree_paper import Printing, page_findings, part_findings
from generator.proof.agree_results import (
    claim_findings,
    cutting_claims,
    manifest_findings,
    pdf_claims,
    results_findings,
    svg_claims,
)
from generator.proof.agree_step import assembly_findings, solid_findings, text_findings
from generator.proof.findings import Finding, Kind, finding_checks
from generator.proof.kitfiles import LASER, Kit
from generator.proof.likeness import Drawn
from generator.readers.dxf import CuttingFile, read_dxf
from generator.readers.svg import SvgFile, read_svg

_STEP, _PAPER = "step", "paper"
_ASSEMBLY = "jig"
#: Parts that stand on no paper sheet: they measure the laser.
_LASER_ONLY = "laser_coupon"


@dataclass(frozen=True)
class FileCare:
    """Which files to look into: STEP by the kernel, printed pages, nested sheets, the manifest's list."""

    kernel: bool
    pages: bool
    nested: bool
    listed: bool


def file_checks(kit: Kit, care: FileCare) -> Iterator[Check]:
    """A check for every kind of fault that the files in the folder can have."""
    comparing = _Comparing(kit, care)
    findings = tuple(comparing.findings())
    yield from finding_checks(findings, comparing.looked_at())


@dataclass(frozen=True)
class _Comparing:
    kit: Kit
    care: FileCare

    def findings(self) -> Iterator[Finding]:
        """Everything found, cheapest first."""
        if self.care.listed:
            yield from manifest_findings(self.kit.folder)
            yield from results_findings(self.kit)
        yield from self._cutting()
        if self.care.nested:
            yield from self._nested()
        yield from self._step()
        yield from self._paper()

    def looked_at(self) -> set[Kind]:
        """The kinds of fault that were looked for."""
        kinds = {Kind.STALE, Kind.UNREADABLE}
        if self.care.listed:
            kinds |= {Kind.LISTED, Kind.RESULTS}
        if self.kit.cutting:
            kinds |= {Kind.OPEN, Kind.DOUBLED, Kind.LINES, Kind.SCALE, Kind.MIRRORED, Kind.OUTLINE, Kind.ENGRAVING}
        if self.kit.holds(_STEP):
            kinds |= {Kind.SCALE, Kind.MIRRORED, Kind.OUTLINE, Kind.THICKNESS, Kind.SOLID}
        if self.care.pages and self.kit.holds(_PAPER):
            kinds |= {Kind.SCALE, Kind.MIRRORED, Kind.OUTLINE, Kind.PRINT}
        return kinds

    @cached_property
    def drawn(self) -> Mapping[str, Drawn]:
        """Each part as its cutting file has it; as its inputs describe it where the folder has none."""
        found = {}
        for part in self.kit.jig.parts:
            file = self.kit.cutting.get(part.name)
            found[part.name] = (drawn_by_cutting(file) if file is not None else None) or drawn_by_model(part)
        return found

    def _cutting(self) -> Iterator[Finding]:
        parts = {part.name: part for part in self.kit.jig.parts}
        for name, file in self.kit.read.items():
            label = f"{LASER}/{name}.dxf"
            if isinstance(file, str):
                yield Finding(Kind.UNREADABLE, label, file)
                continue
            yield from claim_findings(self.kit, label, *cutting_claims(file.properties))
            yield from line_findings(label, file.faults)
            if name in parts:
                yield from cutting_findings(label, file, parts[name])

    def _nested(self) -> Iterator[Finding]:
        sheets: dict[str, CuttingFile] = {}
        for path in sorted((self.kit.folder / LASER).glob("sheet-*.dxf")):
            label = f"{LASER}/{path.name}"
            try:
                sheets[path.stem] = read_dxf(path)
            except OutputError as error:
                yield Finding(Kind.UNREADABLE, label, str(error))
                continue
            file = sheets[path.stem]
            yield from claim_findings(self.kit, label, *cutting_claims(file.properties))
            yield from line_findings(label, file.faults)
            stock = path.stem.removeprefix("sheet-").rpartition("-")[0]
            yield from sheet_findings(label, file, [part for part in self.kit.jig.parts if part.stock == stock])
        yield from sheet_counts(sheets, self.kit.jig.parts)

    def _step(self) -> Iterator[Finding]:
        folder = self.kit.folder / _STEP
        for part in self.kit.jig.parts:
            path = folder / f"{part.name}.step"
            if not path.is_file():
                continue
            found = tuple(text_findings(path, part, self.drawn[part.name]))
            yield from found
            yield from self._claimed_by_step(path)
            if self.care.kernel and not found:
                volume = float(self.kit.part_entries[part.name]["volume_mm3"])
                yield from solid_findings(path, part, volume, self.drawn[part.name])
        assembly = folder / f"{_ASSEMBLY}.step"
        if assembly.is_file():
            standing = frozenset(item.part.name for item in self.kit.jig.placed if Use.NECK in item.part.uses)
            yield from assembly_findings(assembly, standing)

    def _claimed_by_step(self, path: Path) -> Iterator[Finding]:
        """A STEP header names the program alone."""
        head = path.read_bytes()[:2000].decode("ascii", "replace")
        program = head.partition("'Heelwright ")[2].partition("'")[0]
        yield from claim_findings(self.kit, f"{_STEP}/{path.name}", None, f"Heelwright {program}" if program else "")

    def _paper(self) -> Iterator[Finding]:
        folder = self.kit.folder / _PAPER
        if not self.care.pages or not folder.is_dir():
            return
        sheets: dict[str, SvgFile] = {}
        for path in sorted(folder.glob("*.svg")):
            label = f"{_PAPER}/{path.name}"
            try:
                sheets[path.stem] = read_svg(path)
            except OutputError as error:
                yield Finding(Kind.UNREADABLE, label, str(error))
                continue
            yield from claim_findings(self.kit, label, *svg_claims(sheets[path.stem].description))
        yield from part_findings(sheets, {n: d for n, d in self.drawn.items() if not n.startswith(_LASER_ONLY)})
        yield from self._pages(folder, sheets)

    def _pages(self, folder: Path, sheets: Mapping[str, SvgFile]) -> Iterator[Finding]:
        from generator.readers.pdf import read_pdf

        printer = self.kit.solution.job.printer
        for path in sorted(folder.glob("*.pdf")):
            label, (stem, _, size) = f"{_PAPER}/{path.name}", path.stem.partition(".")
            try:
                document = read_pdf(path)
                printing = Printing(Paper(size), printer.x_factor, printer.y_factor)
            except (OutputError, ValueError) as error:
                yield Finding(Kind.UNREADABLE, label, str(error))
                continue
            yield from claim_findings(self.kit, label, *pdf_claims(document.subject, document.creator))
            yield from page_findings(document, sheets.get(stem), printing)
