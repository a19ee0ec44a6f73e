"""A page: what a printer gets. Layers of items, each with the map from its own millimetres to the page's.

A sheet that is one page has one layer with the identity; a tiled one has the clipped pattern, stretched by the
printer's correction, and the page's own marks.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box
from generator.drawing.sheet import Item, Sheet

#: PDF readers may refuse a side longer than 14 400 units (ISO 32000-1 annex C), 200 in; mm.
LONGEST_SIDE = 5080.0


@dataclass(frozen=True)
class Placing:
    """x -> x_factor·x + dx and y -> y_factor·y + dy, mm. Letters and pen widths keep their size."""

    x_factor: float = 1.0
    y_factor: float = 1.0
    dx: float = 0.0
    dy: float = 0.0

    def apply(self, point: P2) -> P2:
        return P2(self.x_factor * point.x + self.dx, self.y_factor * point.y + self.dy)

    def back(self, point: P2) -> P2:
        return P2((point.x - self.dx) / self.x_factor, (point.y - self.dy) / self.y_factor)


@dataclass(frozen=True)
class PageLayer:
    """Items and where they stand. `window` (page mm) hides the letters of a label that reaches past it."""

    items: tuple[Item, ...]
    placing: Placing = Placing()
    window: Box | None = None


@dataclass(frozen=True)
class Page:
    """One page of `width` × `height` mm, at most 200 in a side. `label` names it, for instance in a list of pages."""

    width: float
    height: float
    layers: tuple[PageLayer, ...]
    label: str = ""

    def __post_init__(self) -> None:
        if max(self.width, self.height) > LONGEST_SIDE:
            raise LayoutError(
                f"a page of {self.width:g} × {self.height:g} mm; allowed: sides up to {LONGEST_SIDE:g} mm, tile it"
            )


def sheet_page(sheet: Sheet) -> Page:
    """The whole sheet as one page of its own size."""
    return Page(sheet.width, sheet.height, (PageLayer(tuple(sheet.every_item())),), label=sheet.title)
