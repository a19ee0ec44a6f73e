"""The laser group: a cutting DXF of every part, nested sheets of every stock that a laser or CNC router cuts, coupons.

The coupon of a stock is a file of its own: it is cut first, and what it shows decides how the rest is drawn.
"""

from __future__ import annotations

from pathlib import Path

from generator.base.store import NO_STORE, Store
from generator.cutting.making import Process, cutting_parts, laser_stocks, nested_parts
from generator.cutting.nesting import nest_all
from generator.formats.dxf.write import (
    coupon_dxf,
    coupon_file_name,
    part_dxf,
    part_file_name,
    sheet_dxf,
    sheet_file_name,
)
from generator.jig.laser_coupon import laser_coupon
from generator.jig.part import Jig
from generator.joint.solution import Solution


def write_laser_files(
    solution: Solution, jig: Jig, folder: Path, *, kerf: bool = False, store: Store = NO_STORE
) -> None:
    """Write `folder`/<part>.dxf, `folder`/sheet-<stock>-<n>.dxf and `folder`/kerf-coupon-<stock>.dxf.

    All at nominal size; with `kerf` the laser's sheets are compensated for their stock's kerf and say so in their
    names. Shims have no file: shim stock is snipped.
    """
    folder.mkdir()
    job = solution.job
    parts = cutting_parts(jig.parts, job)
    for part in parts:
        (folder / part_file_name(part)).write_bytes(store.kept(part_dxf, part, job.name))
    for sheet in nest_all(nested_parts(parts, job), job.stocks):
        stock = job.stocks[sheet.stock]
        wide = stock.kerf if kerf and sheet.cut_by is Process.LASER else 0.0
        (folder / sheet_file_name(sheet, wide)).write_bytes(store.kept(sheet_dxf, sheet, stock, job.name, wide))
    for stock in laser_stocks(parts, job):
        (folder / coupon_file_name(stock.name)).write_bytes(store.kept(coupon_dxf, laser_coupon(stock), job.name))
