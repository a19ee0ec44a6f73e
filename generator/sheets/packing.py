"""In which order small parts share a sheet: rows well filled, and as few rows as can be torn between two pages."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from generator.drawing.compose import ALONG_GAP, ROW_GAP, TEXT_WIDTH, Block

T = TypeVar("T")

#: What a page between two others has of its own, upright, on A4 and on letter, mm.
_PAGE_HEIGHT = 230.0
#: What the title takes of the first page, mm.
_HEAD = 55.0


def packed(blocks: Sequence[Block]) -> list[Block]:
    """`blocks` in the order in which rows and pages fill best.

    Beside the first of a row stands what fits and is nearest to it in height; under the first row of a page stands
    whatever row still fits on it.
    """
    width = max(TEXT_WIDTH, *(block.box.width for block in blocks))
    rows: list[list[Block]] = []
    left = list(blocks)
    while left:
        first = left[0].box.height
        left.sort(key=lambda block: abs(block.box.height - first))
        row, left = _filled(left, [block.box.width for block in left], width, ALONG_GAP)
        left.sort(key=blocks.index)
        rows.append(row)
    found: list[Block] = []
    room = _PAGE_HEIGHT - _HEAD
    while rows:
        page, rows = _filled(rows, [max(block.box.height for block in row) for row in rows], room, ROW_GAP)
        found += [block for row in page for block in row]
        room = _PAGE_HEIGHT
    return found


def _filled(things: list[T], sizes: list[float], room: float, gap: float) -> tuple[list[T], list[T]]:
    """The first of `things` with all others, in their order, that still fit into `room` mm; and those that do not."""
    taken: list[T] = []
    left: list[T] = []
    for thing, size in zip(things, sizes, strict=True):
        if not taken or size <= room:
            taken.append(thing)
            room -= size + gap
        else:
            left.append(thing)
    return taken, left
