"""Whether what the shop measured can be true: a value further from its nominal one than its kind can be is questioned.

`heelwright calibrate` refuses such readings; a shop file written by hand may still hold them.
"""

from __future__ import annotations

from collections.abc import Iterator

from generator.base.units import mm
from generator.joint.checks.base import Check, CheckInput, at_most

#: A print further off than this share was scaled by the print dialog; no printer stretches paper so much.
MOST_STRETCH = 0.02
#: Share of its nominal thickness by which a sheet may differ.
MOST_STOCK_ERROR = 0.15
#: A warning is all: no limit above which the files are stopped.
_ANY = 1e3


def measured_checks(work: CheckInput) -> tuple[Check, ...]:
    """The printer's factors and each sheet's measured thickness, where there are any."""
    return (*_printer(work), *_sheets(work))


def _printer(work: CheckInput) -> Iterator[Check]:
    printer = work.job.printer
    off = max(abs(printer.x_factor - 1.0), abs(printer.y_factor - 1.0))
    if off > 0.0:
        words = (
            f"printer.x_factor is {printer.x_factor:g}, y_factor {printer.y_factor:g}: no printer stretches paper so "
            "much; print at 100 %, actual size, and measure the bars again"
        )
        yield at_most("printer's stretch", 100.0 * off, 100.0 * MOST_STRETCH, _ANY, words, "%")


def _sheets(work: CheckInput) -> Iterator[Check]:
    for name, stock in work.job.stocks.items():
        measured = stock.measured_thickness
        if measured is None:
            continue
        most = max(stock.thickness * MOST_STOCK_ERROR, stock.thickness_tolerance)
        words = (
            f"stock.{name}.measured_thickness is {mm(measured)} of a sheet sold as {mm(stock.thickness)}: measure "
            "again, or name the stock that it is"
        )
        yield at_most(f"sheet of {name}", abs(measured - stock.thickness), most, _ANY, words)
