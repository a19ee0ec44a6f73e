"""The set of shop drawings: the assembly first, then what the shop makes, parts that belong together on one sheet."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from types import MappingProxyType

from generator.base.store import NO_STORE, Store
from generator.cutting.making import is_shim, shop_parts
from generator.documents.shop.assembly_drawing import assembly_drawing
from generator.documents.shop.formats import DrawingFormat, SheetNumber, formats_for
from generator.documents.shop.group_drawing import PartGroup, group_drawing
from generator.documents.shop.part_drawing import part_drawing
from generator.drawing.sheet import Sheet
from generator.jig.part import Jig, Part
from generator.jig.traits import ShopSheet
from generator.job.model.job import PaperFor
from generator.joint.solution import Solution

#: Titles of the sheets that parts share; a part whose record names none has a sheet of its own.
_TITLES: Mapping[str, str] = MappingProxyType(
    {
        ShopSheet.BRACKETS.value: "Brackets",
        ShopSheet.RESTS.value: "Rests",
        ShopSheet.PLUG_AND_BLOCKS.value: "{first} and depth block",
        ShopSheet.GUIDES.value: "Guides",
    }
)


def shop_drawings(solution: Solution, jig: Jig, store: Store = NO_STORE) -> tuple[Sheet, ...]:
    """Every drawing of the set, numbered through, all on sheets of the one size that the largest of them needs.

    Raises LayoutError for one that cannot be laid out. What the `store` keeps is not laid out again.
    """
    drawings = _drawings(solution, jig, store)
    sheets = [draw(()) for draw in drawings]
    largest = max(sheet.width for sheet in sheets)
    size = [one for one in formats_for(solution.job.output.paper) if one.width == largest]
    return tuple(sheet if sheet.width == largest else draw(size) for sheet, draw in zip(sheets, drawings, strict=True))


#: Draws one sheet on the smallest of the sizes given, of none given on the smallest that holds it.
_Draw = Callable[[Sequence[DrawingFormat]], Sheet]


def _drawings(solution: Solution, jig: Jig, store: Store) -> list[_Draw]:
    planned, job = sheet_parts(solution, jig), solution.job.for_makers
    count = len(planned) + 1
    drawings: list[_Draw] = [partial(store.kept, assembly_drawing, job, jig, SheetNumber(1, count))]
    for number, (name, parts) in enumerate(planned.items(), 2):
        place = SheetNumber(number, count)
        if name in _TITLES:
            group = PartGroup(name, _TITLES[name].format(first=parts[0].title), parts, _shims(solution, jig, name))
            drawings.append(partial(store.kept, group_drawing, group, job, place))
        else:
            drawings.append(partial(store.kept, part_drawing, parts[0], job, place))
    return drawings


def sheet_parts(solution: Solution, jig: Jig) -> Mapping[str, tuple[Part, ...]]:
    """The sheets of the set besides the assembly, by name, and the parts that each shows."""
    job = solution.job
    everything = job.output.paper_for is PaperFor.ALL
    drawn = [part for part in jig.parts if not is_shim(part, job)] if everything else shop_parts(jig.parts, job)
    found: dict[str, list[Part]] = {}
    for part in drawn:
        found.setdefault(_sheet_of(part), []).append(part)
    return MappingProxyType({name: tuple(parts) for name, parts in found.items()})


def _sheet_of(part: Part) -> str:
    return part.name if part.traits.shop_sheet is None else part.traits.shop_sheet.value


def _shims(solution: Solution, jig: Jig, sheet: str) -> tuple[Part, ...]:
    """The shims stand with the rests that they lie behind."""
    return tuple(part for part in jig.parts if is_shim(part, solution.job) and _sheet_of(part) == sheet)
