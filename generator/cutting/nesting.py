"""Lay the parts of one stock out on sheets of its size: rectangles on a skyline, turned by 90° where that helps.

Parts are packed by their bounding boxes, never mirrored, each in its quantity. The packing grows along the sheet's
length, so that what is left over stays one piece. Same parts, same layout.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum

from generator.base.errors import CheckFailed, Fault, LayoutError
from generator.base.points2d import Box, Transform
from generator.cutting.making import Process, process
from generator.jig.part import Part
from generator.job.model.job import Job
from generator.job.model.stock import CutBy, Stock

#: Clear edge of a sheet that a laser cuts, and space between its parts, mm (common practice: room for the kerf and for
#: the heat).
LASER_SPACING = (6.0, 4.0)
#: Clear edge of a sheet that a router cuts, and space between its parts, mm (common practice: room for the cutter and
#: for tabs).
ROUTER_SPACING = (12.0, 12.0)


@dataclass(frozen=True)
class NestedPart:
    """One copy of a part on a sheet: `transform` takes the part's own coordinates to the sheet's."""

    part: Part
    copy: int
    transform: Transform

    @property
    def box(self) -> Box:
        """Where the part's outline lies on the sheet, mm."""
        return self.part.outline.transformed(self.transform).box()


@dataclass(frozen=True)
class NestedSheet:
    """One laid-out sheet; x runs along the sheet's length, y along its width, from the lower left corner, mm.

    `margin` mm along its edges are clear of parts.
    """

    stock: str
    number: int
    count: int
    length: float
    width: float
    places: tuple[NestedPart, ...]
    cut_by: Process = Process.ROUTER
    margin: float = ROUTER_SPACING[0]


def nest(
    parts: Sequence[Part], stock: Stock, margin: float | None = None, gap: float | None = None
) -> tuple[NestedSheet, ...]:
    """Lay every copy of `parts` out on as few sheets of `stock` as the packing finds.

    `margin` (mm) stays clear along the sheet's edges and `gap` (mm) between parts; left out, they follow the tool the
    stock is cut with. Raises LayoutError naming every part that is larger than the sheet.
    """
    usual_margin, usual_gap = usual_spacing(stock)
    margin, gap = usual_margin if margin is None else margin, usual_gap if gap is None else gap
    along, across = stock.sheet_length - 2.0 * margin, stock.sheet_width - 2.0 * margin
    items = [_Item(part, copy, *part.size[:2]) for part in parts for copy in range(1, part.quantity + 1)]
    _demand_fit(parts, stock, along, across)
    # A strip of one gap beyond the last part costs nothing, so every item simply carries its gap with it.
    room = _Room(along + gap, across + gap, gap)
    layouts = [_pack(sorted(items, key=order), room, lie) for order in _ORDERS for lie in _Lie]
    best = min(layouts, key=lambda bins: (len(bins), bins[-1].used if bins else 0.0))
    return tuple(
        NestedSheet(
            stock.name,
            number,
            len(best),
            stock.sheet_length,
            stock.sheet_width,
            tuple(_placed(spot, margin) for spot in shelf.spots),
            process(stock) or Process.ROUTER,
            margin,
        )
        for number, shelf in enumerate(best, start=1)
    )


def nest_all(parts: Sequence[Part], stocks: Mapping[str, Stock]) -> tuple[NestedSheet, ...]:
    """Sheets for every stock that a laser or a router cuts, the laser's first, each in the order the parts name them.

    Raises LayoutError naming every part, of any stock, that is larger than its sheet.
    """
    sheets: list[NestedSheet] = []
    troubles: list[str] = []
    names = dict.fromkeys(part.stock for part in parts)
    for cut_by in Process:
        for name in (name for name in names if process(stocks[name]) is cut_by):
            try:
                sheets += nest([part for part in parts if part.stock == name], stocks[name])
            except LayoutError as error:
                troubles.append(str(error))
    if troubles:
        raise LayoutError("\n".join(troubles))
    return tuple(sheets)


def refuse_oversize(parts: Sequence[Part], job: Job) -> None:
    """Raise CheckFailed naming every part that no sheet of its stock holds, and the keys to change."""
    faults = []
    for part in parts:
        stock = job.stocks[part.stock]
        margin = usual_spacing(stock)[0] if is_nested(stock) else 0.0
        along, across = stock.sheet_length - 2.0 * margin, stock.sheet_width - 2.0 * margin
        if not _fits(part, along, across):
            keys = [key for key in type(job.jig).model_fields if getattr(job.jig, key) == part.stock]
            change = ", ".join(["sheet_length or sheet_width of the stock", *(f"jig.{key}" for key in keys)])
            found = f"{part.box.width:.1f} × {part.box.height:.1f} mm"
            limit = f"at most {along:g} × {across:g} mm, what a sheet of {part.stock} takes; change {change}"
            faults.append(Fault(job.name, f"part {part.name}", found, limit))
    if faults:
        raise CheckFailed(faults)


def _fits(part: Part, along: float, across: float) -> bool:
    """True when the part's box lies inside along × across, mm, either way round."""
    long, short = max(part.box.width, part.box.height), min(part.box.width, part.box.height)
    return long <= max(along, across) and short <= min(along, across)


def is_nested(stock: Stock) -> bool:
    """True for a stock that a laser or a router cuts: its parts lie together on sheets."""
    return process(stock) is not None


def usual_spacing(stock: Stock) -> tuple[float, float]:
    """Clear edge of the sheet and space between parts, mm."""
    return LASER_SPACING if CutBy.LASER in stock.cut_by else ROUTER_SPACING


def _demand_fit(parts: Sequence[Part], stock: Stock, along: float, across: float) -> None:
    room = max(along, across), min(along, across)
    troubles = []
    for part in parts:
        if not _fits(part, along, across):
            long, short = max(part.box.width, part.box.height), min(part.box.width, part.box.height)
            troubles.append(
                f"part {part.name}: {long:.1f} × {short:.1f} mm does not fit a sheet of {stock.name}: "
                f"{stock.sheet_length:g} × {stock.sheet_width:g} mm, inside its margin {room[0]:.1f} × {room[1]:.1f} mm"
            )
    if troubles:
        raise LayoutError("\n".join(troubles))


class _Lie(Enum):
    """Which way round a part is tried: whichever ends soonest, or one way first and the other only if it must be."""

    EITHER = "either"
    ALONG = "long side along the sheet first"
    ACROSS = "long side across the sheet first"


@dataclass(frozen=True)
class _Room:
    """What a sheet offers to parts that carry one gap with them, mm."""

    along: float
    across: float
    gap: float


@dataclass(frozen=True)
class _Item:
    """One copy of a part and the size of its box, measured once."""

    part: Part
    copy: int
    width: float
    height: float

    @property
    def name(self) -> tuple[str, int]:
        return self.part.name, self.copy


@dataclass(frozen=True)
class _Spot:
    """Where an item's corner comes to lie: x along the sheet's length, y across."""

    item: _Item
    x: float
    y: float
    turned: bool


@dataclass
class _Shelf:
    """One sheet being filled; the skyline is the front of the packed area, from y = 0 upwards: (y, x, width)."""

    across: float
    spots: list[_Spot] = field(default_factory=list)
    skyline: list[tuple[float, float, float]] = field(default_factory=list)
    used: float = 0.0

    def __post_init__(self) -> None:
        self.skyline = [(0.0, 0.0, self.across)]

    def best_place(self, long: float, wide: float, limit: float) -> tuple[float, float, float] | None:
        """The place where an item of `long` × `wide` ends soonest: (its far end, y, x)."""
        found = []
        for i, (y, _, _) in enumerate(self.skyline):
            if y + wide <= self.across + 1e-9:
                x = self._front(i, wide)
                if x + long <= limit + 1e-9:
                    found.append((x + long, y, x))
        return min(found, default=None)

    def _front(self, first: int, wide: float) -> float:
        """How far out the skyline stands over `wide` mm from step `first` on."""
        front, left = 0.0, wide
        for _, x, width in self.skyline[first:]:
            front = max(front, x)
            left -= width
            if left <= 1e-9:
                break
        return front

    def put(self, spot: _Spot, long: float, wide: float) -> None:
        self.spots.append(spot)
        self.used = max(self.used, spot.x + long)
        fresh = [(spot.y, spot.x + long, wide)]
        for y, x, width in self.skyline:
            low, high = max(y, spot.y), min(y + width, spot.y + wide)
            if high <= low:
                fresh.append((y, x, width))
                continue
            if y < low:
                fresh.append((y, x, low - y))
            if y + width > high:
                fresh.append((high, x, y + width - high))
        self.skyline = sorted(step for step in fresh if step[2] > 1e-9)


def _pack(items: Sequence[_Item], room: _Room, lie: _Lie) -> list[_Shelf]:
    shelves: list[_Shelf] = []
    for item in items:
        if not any(_try(shelf, item, room, lie) for shelf in shelves):
            shelves.append(_Shelf(room.across))
            _try(shelves[-1], item, room, lie)
    return shelves


def _try(shelf: _Shelf, item: _Item, room: _Room, lie: _Lie) -> bool:
    long_turned = item.height > item.width
    ways = [(False, item.width, item.height), (True, item.height, item.width)]
    if lie is not _Lie.EITHER:
        ways.sort(key=lambda way: way[0] is not (long_turned == (lie is _Lie.ALONG)))
    found = []
    for turned, along, across in ways:
        place = shelf.best_place(along + room.gap, across + room.gap, room.along)
        if place is not None:
            found.append((place, turned, along + room.gap, across + room.gap))
            if lie is not _Lie.EITHER:
                break
    if not found:
        return False
    (_, y, x), turned, long, wide = min(found)
    shelf.put(_Spot(item, x, y, turned), long, wide)
    return True


def _placed(spot: _Spot, margin: float) -> NestedPart:
    part = spot.item.part
    turn = Transform.rotate(90.0 if spot.turned else 0.0)
    corner = part.outline.transformed(turn).box()
    move = Transform.move(margin + spot.x - corner.x0, margin + spot.y - corner.y0)
    return NestedPart(part, spot.item.copy, turn.then(move))


_Key = Callable[[_Item], tuple[float, tuple[str, int]]]
#: Orders worth trying, largest first; names settle ties.
_ORDERS: tuple[_Key, ...] = (
    lambda item: (-max(item.width, item.height), item.name),
    lambda item: (-min(item.width, item.height), item.name),
    lambda item: (-item.width * item.height, item.name),
    lambda item: (-item.width - item.height, item.name),
)
