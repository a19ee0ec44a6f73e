"""What one page of the job's paper shows, so that a sheet is laid out for it and nothing spills onto another page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from generator.drawing.paper import PageFormat
from generator.drawing.sheet import Sheet
from generator.drawing.tiling import page_window
from generator.job.model.job import Job, Paper

#: Ink is wider than its middle lines by this, mm.
_PEN_ROOM = 0.5
#: A table is narrower than its page by this, mm, so that its outer rules are on it.
_RULE_ROOM = 1.0


@dataclass(frozen=True)
class Room:
    """Ink that fits one page, mm."""

    width: float
    height: float

    def holds(self, width: float, height: float) -> bool:
        return width <= self.width and height <= self.height


@dataclass(frozen=True)
class Rooms:
    """A page of the smallest of the papers, and the same page with the sheet lying sideways on it."""

    upright: Room

    @property
    def sideways(self) -> Room:
        return Room(self.upright.height, self.upright.width)

    @property
    def table_width(self) -> float:
        """How wide a table may be on an upright page, mm."""
        return self.upright.width - _RULE_ROOM

    @property
    def ways(self) -> tuple[Room, Room]:
        """Upright first."""
        return self.upright, self.sideways


def page_rooms(job: Job, papers: Sequence[Paper]) -> Rooms:
    """What a page of every one of `papers` shows, the printer's correction taken off."""
    windows = [page_window(PageFormat(paper)) for paper in papers]
    width = min(window.width for window in windows) / job.printer.x_factor
    height = min(window.height for window in windows) / job.printer.y_factor
    return Rooms(Room(width - _PEN_ROOM, height - _PEN_ROOM))


def fits(rooms: Rooms, sheet: Sheet) -> bool:
    """True where one page shows the whole sheet, upright or sideways."""
    ink = sheet.ink_box()
    return any(room.holds(ink.width, ink.height) for room in rooms.ways)


def first_on_a_page(rooms: Rooms, compose: Callable[[float], Sheet], sizes: Sequence[float]) -> Sheet:
    """What `compose` makes of the first of some sizes whose sheet one page shows whole, else of the last."""
    for size in sizes[:-1]:
        sheet = compose(size)
        if fits(rooms, sheet):
            return sheet
    return compose(sizes[-1])


def on_a_page(rooms: Rooms, compose: Callable[[float], Sheet]) -> Sheet:
    """What `compose` makes of a width (mm), upright or sideways, whichever first fits a page; else the upright one."""
    tried = []
    for room in rooms.ways:
        sheet = compose(room.width)
        ink = sheet.ink_box()
        if room.holds(ink.width, ink.height):
            return sheet
        tried.append(sheet)
    return tried[0]
