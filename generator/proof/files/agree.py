"""All files of a kit against each other: what is in the folder is read back and compared, what is not is left out."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from generator.base.bounded_file import read_bounded
from generator.base.errors import GeometryError, OutputError
from generator.cutting.cut_layers import CUT_OUTSIDE
from generator.cutting.cut_lines import said_of_coupon, said_of_cut, said_of_part, sheet_mark
from generator.cutting.making import laser_stocks, nested_parts
from generator.cutting.nesting import nest_all, usual_spacing
from generator.formats.dxf.read import CuttingFile, read_dxf
from generator.jig.laser_coupon import laser_coupon
from generator.joint.checks.base import Check
from generator.proof.files.agree_assembly import assembly_findings
from generator.proof.files.agree_claims import claim_findings, cutting_claims
from generator.proof.files.agree_cutting import cutting_findings, drawn_by_cutting, drawn_by_model, line_findings
from generator.proof.files.agree_nesting import coupon_findings, sheet_counts, sheet_findings, sheet_place
from generator.proof.files.agree_results import results_findings
from generator.proof.files.agree_said import said_findings, sheet_said_findings
from generator.proof.files.agree_setup import setup_findings
from generator.proof.files.agree_step import shared_findings, solid_findings, text_findings
from generator.proof.files.complete import complete_findings
from generator.proof.files.outline_compare import Drawn
from generator.proof.files.sheet_files import (
    ASSEMBLY,
    DRAWINGS,
    PAPER,
    drawing_file_findings,
    paper_findings,
    picture_findings,
)
from generator.proof.findings import Finding, Topic, finding_checks
from generator.proof.kit_files import LASER, Kit
from generator.proof.listing import listing_findings, stale_findings

#: Folder of a kit's STEP files, which is also the name of their group.
_STEP = "step"
#: What is looked for wherever a file draws a part.
_SHAPE = (Topic.SCALE, Topic.MIRRORED, Topic.OUTLINE)


@dataclass(frozen=True)
class FileCare:
    """Which files to look into: STEP by the kernel, everything drawn, nested sheets, the manifest's list."""

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
            yield from listing_findings(self.kit.folder, self.kit.listing)
            yield from stale_findings(self.kit.listing)
            yield from complete_findings(self.kit)
            yield from results_findings(self.kit)
        yield from self._cutting()
        if self.care.nested:
            yield from self._nested()
            yield from self._coupons()
        yield from self._step()
        if self.care.pages:
            yield from paper_findings(self.kit, self.drawn)
            yield from drawing_file_findings(self.kit, self.drawn)
            yield from setup_findings(self.kit)
            yield from picture_findings(self.kit)

    def looked_at(self) -> set[Topic]:
        """The kinds of fault that were looked for."""
        kinds = {Topic.STALE, Topic.UNREADABLE}
        if self.care.listed:
            kinds |= {Topic.LISTED, Topic.COMPLETE, Topic.RESULTS}
        if self.kit.cutting:
            kinds |= {
                Topic.OPEN,
                Topic.DOUBLED,
                Topic.LINES,
                Topic.SAID,
                Topic.ENGRAVING,
                *_SHAPE,
            }
            kinds |= {Topic.NESTING} if self.care.nested and self.kit.files(f"{LASER}/sheet-*") else set()
        if self.kit.holds(_STEP):
            kinds |= {*_SHAPE, Topic.THICKNESS, Topic.SOLID}
            kinds |= {Topic.ASSEMBLY} if self.care.kernel else set()
        if self.care.pages:
            kinds |= {*_SHAPE, Topic.PRINT, Topic.JOINT} if self.kit.holds(PAPER) else set()
            kinds |= {*_SHAPE, Topic.DIMENSIONS, Topic.PICTURE} if self.kit.holds(DRAWINGS) else set()
            kinds |= {Topic.SETUP} if self.kit.files("setup_sheet.*") else set()
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
                yield Finding(Topic.UNREADABLE, label, file)
                continue
            yield from claim_findings(self.kit, label, *cutting_claims(file.properties))
            yield from line_findings(label, file.faults)
            if name in parts:
                yield from said_findings(label, file.properties, said_of_part(parts[name]) | said_of_cut(0.0))
                yield from cutting_findings(label, file, parts[name])

    def _nested(self) -> Iterator[Finding]:
        """The sheets of every stock; a kit's folder has them all or none."""
        paths = self.kit.files(f"{LASER}/sheet-*.dxf")
        sheets: dict[str, CuttingFile] = {}
        for path in paths:
            label = f"{LASER}/{path.name}"
            try:
                sheets[path.stem] = read_dxf(path).nominal()
            except (OutputError, GeometryError) as error:
                yield Finding(Topic.UNREADABLE, label, str(error))
                continue
        count = Counter(sheet_place(stem)[0] for stem in sheets)
        job = self.kit.solution.job
        planned = nest_all(nested_parts(self.kit.jig.parts, job), job.stocks) if paths else ()
        for stem, file in sheets.items():
            label = f"{LASER}/{file.name}"
            yield from sheet_said_findings(label, stem, file.properties, planned, job.stocks)
            yield from self._sheet(label, stem, file, count[sheet_place(stem)[0]])
        if paths:
            yield from sheet_counts(sheets, nested_parts(self.kit.jig.parts, self.kit.solution.job))

    def _sheet(self, label: str, stem: str, file: CuttingFile, count: int) -> Iterator[Finding]:
        yield from claim_findings(self.kit, label, *cutting_claims(file.properties))
        yield from line_findings(label, file.faults)
        (name, number), job = sheet_place(stem), self.kit.solution.job
        stock = job.stocks.get(name)
        if stock is None:
            yield Finding(Topic.OUTLINE, label, f"of {name}, which is no stock of this job")
            return
        pieces = len(file.contours(CUT_OUTSIDE))
        mark = sheet_mark(stock, usual_spacing(stock)[0], number, count, pieces, job.name)
        parts = [part for part in nested_parts(self.kit.jig.parts, job) if part.stock == name]
        yield from sheet_findings(label, file, parts, stock, mark)

    def _coupons(self) -> Iterator[Finding]:
        """The kerf coupon of every stock that a laser cuts, as often as it is cut, at nominal size."""
        for stock in laser_stocks(self.kit.jig.parts, self.kit.solution.job):
            path = self.kit.folder / LASER / f"kerf-coupon-{stock.name}.dxf"
            if not path.is_file():
                continue
            label = f"{LASER}/{path.name}"
            try:
                file = read_dxf(path)
            except OutputError as error:
                yield Finding(Topic.UNREADABLE, label, str(error))
                continue
            yield from claim_findings(self.kit, label, *cutting_claims(file.properties))
            yield from line_findings(label, file.faults)
            yield from said_findings(label, file.properties, said_of_coupon(laser_coupon(stock)) | said_of_cut(0.0))
            yield from coupon_findings(label, file, laser_coupon(stock))

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
                yield from solid_findings(path, part, self._volumes.get(part.name, math.nan), self.drawn[part.name])
        assembly = folder / f"{ASSEMBLY}.step"
        if assembly.is_file():
            yield from self._claimed_by_step(assembly)
            standing = [folder / f"{item.part.name}.step" for item in self.kit.jig.placed]
            yield from shared_findings(assembly, [path for path in standing if path.is_file()])
            if self.care.kernel:
                yield from assembly_findings(assembly, self.kit.jig, self._volumes)

    @property
    def _volumes(self) -> Mapping[str, float]:
        """Volume of each part as results.json states it, mm³."""
        return {name: float(entry.volume) for name, entry in self.kit.part_entries.items()}

    def _claimed_by_step(self, path: Path) -> Iterator[Finding]:
        """A STEP header names the program alone."""
        try:
            head = read_bounded(path)[:2000].decode("ascii", "replace")
        except OutputError:
            return  # told by who reads the whole of it
        program = head.partition("'Heelwright ")[2].partition("'")[0]
        yield from claim_findings(self.kit, f"{_STEP}/{path.name}", None, f"Heelwright {program}" if program else "")
