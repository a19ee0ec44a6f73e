"""The class's laser order: every part once, whose it is, the sheets they lie on, and what to buy in all.

What a shared jig serves all its students with is made once and carries the jig's name; what is a student's own (the
angle rest always, and every part of another shape or with other values) carries the student's. Lengths mm, areas m².
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from generator.base.annotation import EngravedText
from generator.base.units import mm
from generator.classes.plan import ClassPlan, Place
from generator.cutting.making import Process, is_shim, nested_parts, process
from generator.cutting.nesting import NestedSheet, nest_all
from generator.documents.setup.bolts import neck_bolts
from generator.jig.build import build_jig
from generator.jig.compare import Verdict, compare_jigs, shared_jig
from generator.jig.lettering import settled_lettering
from generator.jig.part import Jig, Part
from generator.jig.traits import Serves
from generator.job.fasteners import boxes
from generator.job.model.job import Job
from generator.job.model.joint import BoltKind
from generator.job.model.stock import Stock

#: Parts that all students of a shared jig use whatever is engraved on them.
_SHARED = (Serves.JIG, Serves.FRAME)
#: Height of the letters of a holder's name on a part, mm.
_NAME_HEIGHT = 4.0
#: Between a holder and the part's own name, in file names and lists; neither holds it.
MARK = "."
#: Square millimetres in a square metre.
_MM2_PER_M2 = 1e6


@dataclass(frozen=True)
class ClassPart:
    """A part to make: `holder` is a job's or a jig's name, `users` the jobs that work with it.

    `part` carries the holder in its name, before the one it has in a kit. A `nested` one lies on a sheet; the others
    are a machine shop's, or snipped from shim stock.
    """

    holder: str
    users: tuple[str, ...]
    part: Part
    nested: bool


@dataclass(frozen=True)
class StockUse:
    """What the class takes of one stock: sheets of its size, the parts' area on them and the share that is waste.

    `last` is the least rectangle that would do in place of the last sheet, mm.
    """

    stock: Stock
    sheets: int
    parts: int
    area: float
    sheet_area: float
    last: tuple[float, float]

    @property
    def waste(self) -> float:
        """Share of the sheets that is no part, 0 to 1."""
        return 1.0 - self.area / self.sheet_area


@dataclass(frozen=True)
class Purchase:
    """Pieces to buy: how many, what, and for what; `boxes` are what they come in, pieces each; none: by the piece."""

    count: int
    what: str
    purpose: str
    boxes: tuple[int, ...] = ()

    @property
    def packed(self) -> str:
        """The boxes in words: "1 box of 100, 1 box of 50"."""
        counted = Counter(self.boxes)
        return ", ".join(f"{n} {'box' if n == 1 else 'boxes'} of {size}" for size, n in counted.items())


@dataclass(frozen=True)
class Order:
    """All of it: parts, sheets, every stock by its name, those that want a kerf coupon cut first, what each stock
    takes, pieces to buy.
    """

    parts: tuple[ClassPart, ...]
    sheets: tuple[NestedSheet, ...]
    by_name: Mapping[str, Stock]
    coupons: tuple[str, ...]
    stocks: tuple[StockUse, ...]
    buy: tuple[Purchase, ...]


def class_order(plan: ClassPlan) -> Order:
    """The order of a class. LayoutError naming every part that no sheet of its stock holds."""
    jigs = [build_jig(jig.solution) for jig in plan.sharing.jigs]
    parts = tuple(
        part
        for jig, made in zip(plan.sharing.jigs, jigs, strict=True)
        for part in _parts_of(made, jig.solution.job, plan.users(jig))
    )
    stocks = {name: stock for place in plan.places for name, stock in place.solution.job.stocks.items()}
    sheets = nest_all([one.part for one in parts if one.nested], stocks)
    cut_by_laser = [
        name for name in dict.fromkeys(one.stock for one in sheets) if process(stocks[name]) is Process.LASER
    ]
    return Order(
        parts,
        sheets,
        stocks,
        tuple(cut_by_laser),
        tuple(_uses(sheets, stocks)),
        (*_hardware(jigs), *_shims(parts), *_joint_bolts(plan)),
    )


# --- whose part is whose -------------------------------------------------------------------------------------------


def _parts_of(made: Jig, job: Job, users: Sequence[Place]) -> Iterator[ClassPart]:
    """The parts of one jig that several use, then of each its own."""
    if len(users) == 1:
        yield from (_held(part, users[0].solution.job, (users[0].name,)) for part in build_jig(users[0].solution).parts)
        return
    kits = {place.name: build_jig(place.solution) for place in users}
    own = {place.name: _own_parts(made, kits[place.name], place) for place in users}
    for part in made.parts:
        sharers = tuple(name for name, names in own.items() if part.name not in names)
        if len(sharers) > 1:
            yield _held(part, job, sharers)
        own |= {name: own[name] | {part.name} for name in sharers if len(sharers) == 1}
    for place in users:
        mine = (part for part in kits[place.name].parts if part.name in own[place.name])
        yield from (_held(part, place.solution.job, (place.name,)) for part in mine)


def _own_parts(made: Jig, kit: Jig, place: Place) -> frozenset[str]:
    """The parts of a student's kit that the shared jig's do not do for."""
    shared = shared_jig(place.jig.solution, place.solution)
    bare, wanted = _unnamed(made, place.jig.folder), _unnamed(kit, place.name)
    serves = {part.name: part.traits.serves for part in (*made.parts, *kit.parts)}
    return frozenset(
        one.name
        for one in compare_jigs(bare, wanted, None, None, shared)
        if one.verdict not in (Verdict.SERVES, Verdict.NOT_NEEDED)
        or serves[one.name] is Serves.OWN
        or (one.why and serves[one.name] not in _SHARED)
    )


def _unnamed(jig: Jig, name: str) -> Jig:
    """The jig without its own name engraved, so that only values tell lettering apart."""
    parts = [
        replace(part, engraved_texts=tuple(_without(text, name) for text in part.engraved_texts)) for part in jig.parts
    ]
    return replace(jig, parts=tuple(parts))


def _without(text: EngravedText, name: str) -> EngravedText:
    return replace(text, text=text.text.replace(name.upper(), "").strip())


def _held(part: Part, job: Job, users: tuple[str, ...]) -> ClassPart:
    """The part as the holder's: the job of a student, or that of a jig."""
    named = part if is_shim(part, job) else _engraved(part, job.name.upper())
    nested = bool(nested_parts((part,), job))
    return ClassPart(job.name, users, replace(named, name=f"{job.name}{MARK}{part.name}"), nested)


def _engraved(part: Part, name: str) -> Part:
    """The part with its holder's name on it, where there is room."""
    if any(name in text.text for text in part.engraved_texts):
        return part
    text = EngravedText(name, part.box.center, _NAME_HEIGHT)
    return settled_lettering(replace(part, engraved_texts=(*part.engraved_texts, text)))


# --- what it takes -------------------------------------------------------------------------------------------------


def _uses(sheets: Sequence[NestedSheet], stocks: Mapping[str, Stock]) -> Iterator[StockUse]:
    for name in dict.fromkeys(sheet.stock for sheet in sheets):
        mine = [sheet for sheet in sheets if sheet.stock == name]
        places = [place for sheet in mine for place in sheet.places]
        boxes = [place.box for place in mine[-1].places]
        yield StockUse(
            stocks[name],
            len(mine),
            len(places),
            math.fsum(place.part.profile_area for place in places) / _MM2_PER_M2,
            math.fsum(sheet.length * sheet.width for sheet in mine) / _MM2_PER_M2,
            (max(box.x1 for box in boxes), max(box.y1 for box in boxes)),
        )


def _hardware(jigs: Sequence[Jig]) -> list[Purchase]:
    """The jigs' screws and pins, equal ones together."""
    counted: Counter[tuple[str, str, float]] = Counter()
    purposes: dict[tuple[str, str, float], dict[str, None]] = {}
    for jig in jigs:
        for item in jig.hardware:
            key = (item.title, item.thread, item.length)
            counted[key] += item.count
            purposes.setdefault(key, {}).update(dict.fromkeys(item.purpose.split(", ")))
    return [
        Purchase(
            counted[key],
            f"{title} {thread} × {mm(length)}",
            ", ".join(purposes[key]),
            boxes(title, counted[key]),
        )
        for key in sorted(counted)
        for title, thread, length in [key]
    ]


def _shims(parts: Sequence[ClassPart]) -> list[Purchase]:
    """Shims to snip, equal ones together."""
    counted: Counter[str] = Counter()
    for one in parts:
        if not one.nested and one.part.traits.shim:
            counted[f"{one.part.stock}: {one.part.title.lower()}"] += one.part.quantity
    return [Purchase(counted[what], what, "behind the angle rest") for what in sorted(counted)]


def _joint_bolts(plan: ClassPlan) -> list[Purchase]:
    """Every student's bolts with what holds them, equal ones together."""
    bolts: Counter[str] = Counter()
    holders: Counter[str] = Counter()
    for place in plan.places:
        found = neck_bolts(place.solution)
        word = "hanger bolt" if found.kind is BoltKind.HANGER else "bolt"
        bolts[f"{word} {found.name}, with washer"] += found.count
        holder = {
            BoltKind.INSERT: "threaded insert",
            BoltKind.BARREL: "barrel nut",
            BoltKind.HANGER: "nut",
        }[found.kind]
        holders[f"{holder} {found.thread}"] += found.count
    return [
        *(Purchase(bolts[what], what, "the necks' joints") for what in sorted(bolts)),
        *(Purchase(holders[what], what, "the necks' joints") for what in sorted(holders)),
    ]
