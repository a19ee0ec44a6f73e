"""What the setup sheet says to buy and to have at hand: drills, screws and sheet stock."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from generator.bench.hands import bolt_drills, jig_drills, sawn_stock
from generator.bench.setup_nouns import Bought, BoughtKind, Sheetstock
from generator.bench.spelling import Speller
from generator.fasteners import is_metric
from generator.model.job import UnitsChoice
from generator.model.stock import CutBy
from generator.parts.base import Hardware, Jig
from generator.parts.layout import Layout
from generator.units import format_mm, inch_fraction


def drill_text(mm: float, thread: str) -> str:
    """A drill in the unit its thread is sold by: "⌀ 6.6 mm", "⌀ 0.375 in (3/8)"."""
    unit = UnitsChoice.MM if is_metric(thread) else UnitsChoice.INCH
    return f"⌀ {Speller(unit).length(mm)}"


def all_drills(layout: Layout) -> str:
    """All drills: the jig's are metric, the bolts' in the unit their thread is sold by."""
    solution = layout.solution
    jig, bolts, thread = jig_drills(layout), bolt_drills(solution), solution.joint.bolts[0].thread
    if is_metric(thread):
        return f"{', '.join(map(format_mm, sorted({*jig, *bolts})))} mm"
    return f"{', '.join(map(format_mm, jig))} mm and {', '.join(map(inch_fraction, bolts))} in"


def bought_by_kind(hardware: Iterable[Hardware]) -> tuple[BoughtKind, ...]:
    """The hardware list by kind, and under it by length; all of it is metric."""
    kinds: dict[str, list[Hardware]] = {}
    for item in hardware:
        kinds.setdefault(f"{item.title.lower()} {item.thread}", []).append(item)
    return tuple(
        BoughtKind(title, tuple(Bought(format_mm(item.length), item.count, item.purpose) for item in items))
        for title, items in kinds.items()
    )


def stocks_to_buy(layout: Layout, jig: Jig, spell: Speller) -> tuple[Sheetstock, ...]:
    """Every stock the jig's parts are of, with its pieces."""
    job, rows = layout.solution.job, []
    for sawn in sawn_stock(layout, jig):
        stock, given = job.stocks[sawn.stock], job.inputs.get(f"stock.{sawn.stock}", {})
        thick = f"{spell.length(sawn.thickness)}, {_known(given, 'measured_thickness')}"
        lasered = "by laser or saw from the files in laser/"
        guides = sawn.stock == job.jig.guide_stock and CutBy.LASER in stock.cut_by
        pieces = lasered if guides else "; ".join(_piece(piece, spell) for piece in sawn.pieces)
        buy = spell.rough(sawn.long, sawn.wide)
        if sawn.sheets > 1:
            buy = f"{sawn.sheets - 1} of {spell.rough(stock.sheet_length, stock.sheet_width)} and {buy}"
        rows.append(Sheetstock(sawn.stock, thick, pieces, buy))
    return tuple(rows)


def _piece(piece: tuple[str, int, float, float], spell: Speller) -> str:
    title, count, long, wide = piece
    return f"{title.lower()} {f'{count} × ' if count > 1 else ''}{spell.area(long, wide)}"


def _known(given: Mapping[str, Mapping[str, object]], key: str) -> str:
    """How a value of a stock is known."""
    return "measured" if given.get(key, {}).get("source") == "shop" else "nominal"
