"""What the setup sheet says to buy and to have at hand: drills, screws and sheet stock."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from generator.base.units import format_mm, inch_fraction, mm
from generator.cutting.making import Maker, files_for, is_shim, maker
from generator.documents.setup.hands import bolt_drills, coupon_piece, jig_drills, sawn_stock
from generator.documents.setup.spelling import NumberFormat
from generator.jig.layout import Layout
from generator.jig.part import Hardware, Jig
from generator.job.fasteners import is_metric


@dataclass(frozen=True)
class Sheetstock:
    """A stock of the jig: its pieces as they are sawn, the size to buy, the thickness built for, and who cuts it."""

    name: str
    thickness: str
    pieces: str
    buy: str
    way: str


#: How shims are made.
_SNIPPED = "snips, by its paper; drill the slots' ends between scrap, flatten, no burr, peel the paper off"


def all_drills(layout: Layout, jig: Jig) -> str:
    """All drills: the jig's are metric, the bolts' in the unit their thread is sold by; then what seats heads."""
    drills, bolts = jig_drills(layout, jig), bolt_drills(layout.solution)
    if is_metric(layout.solution.joint.bolts[0].thread):
        bores = f"{_sizes(sorted({*drills.bores, *bolts}))} mm"
    else:
        bores = f"{_sizes(drills.bores)} mm and {', '.join(map(inch_fraction, bolts))} in"
    flat = f", flat-bottomed {_sizes(drills.flats)} mm" if drills.flats else ""
    cone = f", a 90° countersink up to {mm(drills.cones[-1])}" if drills.cones else ""
    return f"{bores}{flat}{cone}"


def _sizes(found: Iterable[float]) -> str:
    return ", ".join(map(format_mm, found))


def bought_by_kind(hardware: Iterable[Hardware]) -> Mapping[str, Sequence[Hardware]]:
    """The hardware list by kind, such as "countersunk wood screw ⌀4", and under it by length; all of it is metric."""
    kinds: dict[str, list[Hardware]] = {}
    for item in hardware:
        kinds.setdefault(f"{item.title.lower()} {item.thread}", []).append(item)
    return kinds


def stocks_to_buy(layout: Layout, jig: Jig, spell: NumberFormat) -> tuple[Sheetstock, ...]:
    """Every stock the jig's parts are of, with its pieces."""
    job, rows = layout.solution.job, []
    for sawn in sawn_stock(layout, jig):
        stock, given = job.stocks[sawn.stock], job.inputs.get(f"stock.{sawn.stock}", {})
        thick = f"{spell.size(sawn.thickness)}, {_known(given, 'measured_thickness')}"
        own = next(part for part in jig.parts if part.stock == sawn.stock)
        pieces = "; ".join(f"{title} ({count})" if count > 1 else title for title, count in sawn.pieces)
        buy = spell.rough(sawn.long, sawn.wide)
        if sawn.sheets > 1:
            buy = f"{sawn.sheets - 1} of {spell.rough(stock.sheet_length, stock.sheet_width)} and {buy}"
        if maker(own, job) is Maker.LASER:
            buy += f", and {spell.rough(*coupon_piece(stock))} for its kerf coupons"
        rows.append(Sheetstock(sawn.stock, thick, pieces, buy, files_for(own, job)))
    return (*rows, *_shims(layout, jig, spell))


def _shims(layout: Layout, jig: Jig, spell: NumberFormat) -> Iterator[Sheetstock]:
    """Shim stock is bought by its thicknesses and snipped."""
    shims = [part for part in jig.parts if is_shim(part, layout.solution.job)]
    if shims:
        size = spell.area(max(shims[0].size[:2]), min(shims[0].size[:2]))
        sheets = ", ".join(f"{part.quantity} of {mm(part.thickness)}" for part in shims)
        buy = f"{size} for each shim"
        yield Sheetstock(shims[0].stock, "in the thicknesses named", sheets, buy, _SNIPPED)


def _known(given: Mapping[str, Mapping[str, object]], key: str) -> str:
    """How a value of a stock is known."""
    return "measured" if given.get(key, {}).get("source") == "shop" else "nominal"
