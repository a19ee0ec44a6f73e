"""What cutting files say of themselves, which a shop acts on: part, stock, thickness, quantity, kerf; file names."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from generator.cutting.cut_lines import said_of_cut, said_of_sheet
from generator.cutting.making import Process
from generator.cutting.nesting import NestedSheet
from generator.job.model.stock import Stock
from generator.proof.findings import Finding, Topic

#: What stands before the width of cut (mm) in the name of a nested sheet's file.
_KERF = ".kerf-"


def said_findings(name: str, properties: Mapping[str, str], wanted: Mapping[str, str]) -> Iterator[Finding]:
    """Every property of a cutting file that is not the wanted one; job and program are told elsewhere."""
    for key, value in wanted.items():
        found = properties.get(key)
        if found != value:
            said = "nothing" if found is None else f'"{found[:60]}"'
            yield Finding(Topic.SAID, name, f'says {said} for {key}; it is "{value}"')


def sheet_said_findings(
    name: str, stem: str, properties: Mapping[str, str], sheets: Sequence[NestedSheet], stocks: Mapping[str, Stock]
) -> Iterator[Finding]:
    """As `said_findings`, for the file `stem` of one of the nested `sheets` of a job."""
    for sheet in sheets:
        for kerf in kerfs_of(sheet, stocks[sheet.stock]):
            if stem == sheet_stem(sheet, kerf):
                yield from said_findings(name, properties, said_of_sheet(sheet) | said_of_cut(kerf))
                return
    yield Finding(Topic.SAID, name, "a name that no sheet of this job has")


def kerfs_of(sheet: NestedSheet, stock: Stock) -> tuple[float, ...]:
    """The widths of cut (mm) that a sheet may be drawn for: none, and on a laser that of its stock."""
    return (0.0, stock.kerf) if sheet.cut_by is Process.LASER and stock.kerf else (0.0,)


def sheet_stem(sheet: NestedSheet, kerf: float) -> str:
    """Name of a nested sheet's file, without its ending."""
    return f"sheet-{sheet.stock}-{sheet.number}" + (f"{_KERF}{kerf:.2f}" if kerf else "")
