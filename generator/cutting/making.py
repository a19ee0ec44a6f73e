"""Who makes which part: a machine shop, a laser, or hands with saw and router; each gets only what they need.

A kit's paper is for hands, its shop drawings are for the shop, its nested sheets for laser and CNC router.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum

from generator.base.contours2d import Path
from generator.base.points2d import P2
from generator.jig.part import Part
from generator.job.model.jig import Joinery
from generator.job.model.job import PaperFor, PartsJob
from generator.job.model.stock import CutBy, Stock
from generator.joint.solution import Solution

#: Corner radii up to this (mm) are eased by hand: the part is still a plain rectangle to saw.
_EASED = 3.0


class Maker(Enum):
    """Who makes a part."""

    SHOP = "machine shop"
    LASER = "laser"
    HANDS = "saw, router and file"


class Process(Enum):
    """What cuts a nested sheet; one sheet, one process."""

    LASER = "laser"
    ROUTER = "CNC router"


def maker(part: Part, job: PartsJob) -> Maker:
    """Who makes `part`: a mill where its stock wants one or the jig's edges are tapped, else a laser where it can."""
    stock = job.stocks[part.stock]
    if CutBy.MILL in stock.cut_by or (job.jig.joinery is Joinery.TAPPED and part.stock == job.jig.rest_stock):
        return Maker.SHOP
    return Maker.LASER if CutBy.LASER in stock.cut_by else Maker.HANDS


def glued_by_hand(plate: Part, solution: Solution) -> bool:
    """Whether hands make a template plate whose opening and tongue make the joint: they glue it up of two layers."""
    routing = solution.routing
    return maker(plate, solution.job) is Maker.HANDS and None not in (routing.opening, routing.tongue)


def process(stock: Stock) -> Process | None:
    """What cuts the nested sheets of a stock; None for a stock that no sheet is nested of."""
    if CutBy.LASER in stock.cut_by:
        return Process.LASER
    return Process.ROUTER if CutBy.ROUTER in stock.cut_by else None


def laser_stocks(parts: Iterable[Part], job: PartsJob) -> tuple[Stock, ...]:
    """The stocks that a laser cuts parts of, in the order the parts name them."""
    names = dict.fromkeys(part.stock for part in nested_parts(parts, job))
    return tuple(job.stocks[name] for name in names if process(job.stocks[name]) is Process.LASER)


def files_for(part: Part, job: PartsJob) -> str:
    """Where who makes `part` finds it in the kit, in words: shop drawings, the laser's sheets, or paper."""
    maker_of, stock = maker(part, job), job.stocks[part.stock]
    if maker_of is Maker.SHOP:
        return "machine shop, from drawings/set.pdf"
    if maker_of is Maker.LASER:
        return f"laser, from laser/sheet-{part.stock}-*.dxf"
    on_paper = "saw, from the booklet"
    return f"{on_paper}, or CNC router, from laser/sheet-{part.stock}-*.dxf" if process(stock) else on_paper


def is_shim(part: Part, job: PartsJob) -> bool:
    """True for what is snipped from shim stock: no machine cuts it."""
    return part.stock == job.jig.shim_stock


def cutting_parts(parts: Iterable[Part], job: PartsJob) -> tuple[Part, ...]:
    """The parts that have a cutting file."""
    return tuple(part for part in parts if not is_shim(part, job))


def nested_parts(parts: Iterable[Part], job: PartsJob) -> tuple[Part, ...]:
    """The parts that lie together on sheets for a laser or a CNC router: none that the machine shop makes."""
    return tuple(
        part
        for part in cutting_parts(parts, job)
        if maker(part, job) is not Maker.SHOP and process(job.stocks[part.stock]) is not None
    )


def shop_parts(parts: Iterable[Part], job: PartsJob) -> tuple[Part, ...]:
    """The parts that have a shop drawing: what the machine shop makes."""
    return tuple(part for part in cutting_parts(parts, job) if maker(part, job) is Maker.SHOP)


def hand_parts(parts: Iterable[Part], job: PartsJob) -> tuple[Part, ...]:
    """The parts that the job's paper serves: what hands make, or all of them where `paper_for` says so."""
    everything = job.output.paper_for is PaperFor.ALL
    return tuple(part for part in parts if everything or maker(part, job) is Maker.HANDS)


def template_parts(parts: Iterable[Part], job: PartsJob) -> tuple[Part, ...]:
    """The parts that have a full-scale template: of those for hands, all but plain rectangles."""
    return tuple(part for part in hand_parts(parts, job) if not is_rectangle(part))


def listed_parts(parts: Iterable[Part], job: PartsJob) -> tuple[Part, ...]:
    """The parts that the cut list says in numbers: of those for hands, the plain rectangles."""
    return tuple(part for part in hand_parts(parts, job) if is_rectangle(part))


def is_rectangle(part: Part) -> bool:
    """True for a part that a cut list says in full: four corners square to the sheet, sharp or eased, nothing inside
    but round holes.
    """
    if part.openings:
        return False
    box = part.outline.box()
    missing = box.width * box.height - part.outline.area
    radius = _corner_radius(part.outline)
    return radius is not None and radius <= _EASED and missing <= radius * radius


def _corner_radius(outline: Path) -> float | None:
    """Radius of the outline's corners, 0 for sharp ones; None where some edge lies aslant."""
    radius = 0.0
    for segment in outline.segments():
        if segment.is_arc:
            radius = max(radius, segment.radius)
        elif not _is_square(segment.start, segment.end):
            return None
    return radius


def _is_square(a: P2, b: P2) -> bool:
    return abs(a.x - b.x) < 1e-9 or abs(a.y - b.y) < 1e-9
