"""One helper's files of a kit in one zip, with a plain note: what, from what, how many, how exact, by which way."""

from __future__ import annotations

import zipfile
from collections.abc import Iterable
from enum import Enum
from pathlib import Path

from generator.base.errors import COMMAND_LINE, Fault, InputError
from generator.base.units import mm
from generator.cutting.making import laser_stocks, nested_parts, process, shop_parts
from generator.jig.part import Jig, Part
from generator.jig.relief import CUTTER
from generator.joint.solution import Solution

#: The note's name in every bundle.
NOTE = "READ-ME-FIRST.txt"
#: Where a kit keeps its bundles.
BUNDLES = "bundles"
#: Zip files carry a time; this one stands for none.
_NO_TIME = (1980, 1, 1, 0, 0, 0)
#: Last paragraph of the note in every bundle.
_CAUTION = (
    "Router, saw, laser and dust can injure you for life. The makers' manuals, local codes and a qualified teacher "
    "come first."
)


class HelperBundle(Enum):
    """Who a bundle is for."""

    LASER = "laser"
    PRINT = "print"
    SHOP = "shop"
    BENCH = "bench"


#: Patterns of the files that each helper gets.
_FILES: dict[HelperBundle, tuple[str, ...]] = {
    HelperBundle.LASER: ("laser/sheet-*.dxf", "laser/kerf-coupon-*.dxf"),
    HelperBundle.PRINT: ("paper/booklet.*.pdf", "bench_card.pdf"),
    HelperBundle.SHOP: ("drawings/set.pdf", "drawings/*.dxf", "step/jig.step"),
    HelperBundle.BENCH: ("setup_sheet.pdf", "setup_sheet.html", "bench_card.pdf"),
}


def bundle_path(job: str, bundle: HelperBundle) -> str:
    """Where a kit keeps a helper's zip, which carries the job's name because it travels alone."""
    return f"{BUNDLES}/{job}-{bundle.value}.zip"


def write_bundle(solution: Solution, jig: Jig, folder: Path, bundle: HelperBundle) -> None:
    """Zip one helper's files of the kit in `folder`, into the kit itself.

    InputError where the kit holds none of them. The same kit gives the same bytes.
    """
    paths = helper_paths(solution, jig, folder, bundle)
    if not paths:
        wanted = ", ".join(_FILES[bundle])
        raise InputError([Fault(COMMAND_LINE, "--bundle", bundle.value, f"a kit that holds {wanted}")])
    target = folder / bundle_path(solution.job.name, bundle)
    target.parent.mkdir(exist_ok=True)
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        _add(archive, NOTE, note_text(solution, jig, bundle, paths).encode("utf-8"))
        for path in paths:
            _add(archive, path, (folder / path).read_bytes())


def helper_paths(solution: Solution, jig: Jig, folder: Path, bundle: HelperBundle) -> list[str]:
    """What of the kit in `folder` goes to one helper; of single solids and cutting files those that the shop makes."""
    patterns = list(_FILES[bundle])
    if bundle is HelperBundle.SHOP:
        made = [part.name for part in shop_parts(jig.parts, solution.job)]
        patterns += [path for name in made for path in (f"step/{name}.step", f"laser/{name}.dxf")]
    return sorted({path.relative_to(folder).as_posix() for pattern in patterns for path in folder.glob(pattern)})


def _add(archive: zipfile.ZipFile, name: str, data: bytes) -> None:
    info = zipfile.ZipInfo(name, _NO_TIME)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.external_attr = 0o644 << 16
    archive.writestr(info, data)


def note_text(solution: Solution, jig: Jig, bundle: HelperBundle, paths: Iterable[str]) -> str:
    """The note of a bundle, in plain sentences."""
    job = solution.job
    words = {
        HelperBundle.LASER: _laser_note,
        HelperBundle.PRINT: _print_note,
        HelperBundle.SHOP: _shop_note,
        HelperBundle.BENCH: _bench_note,
    }[bundle](solution, jig)
    listed = [f"  {path}" for path in paths]
    return "\n".join([f"{job.name}: files for the {bundle.value}", "", *words, "", "Files:", *listed, "", _CAUTION, ""])


def _laser_note(solution: Solution, jig: Jig) -> list[str]:
    job = solution.job
    parts = nested_parts(jig.parts, job)
    found = [
        "Units are millimetres. Layers: cut-inside first, then cut-outside; engrave marks only.",
        "Cut each sheet once. Lines are nominal unless a file's name says kerf.",
        "Widths of openings, tongue and rests matter to 0.05 mm, everything else to 0.2 mm.",
        f"A router's cutter may be {mm(CUTTER)} thick at most: teeth have reliefs for it.",
    ]
    if laser_stocks(parts, job):
        found.append(
            "Cut the kerf coupon first, its file holds two. Tell the builder the highest slot that a tab enters."
        )
    for name in dict.fromkeys(part.stock for part in parts):
        stock, own = job.stocks[name], [part for part in parts if part.stock == name]
        way = process(stock)
        by = "" if way is None else f", by {way.value}"
        found.append(f"{name}: {stock.material}, {mm(stock.actual_thickness)}{by}: {_counted(own)}.")
    return found


def _counted(parts: Iterable[Part]) -> str:
    return ", ".join(f"{part.quantity} {part.title.lower()}" for part in parts)


def _print_note(solution: Solution, jig: Jig) -> list[str]:
    sizes = ", ".join(paper.value for paper in solution.job.output.paper)
    return [
        f"Print once, single-sided, on {sizes}, at 100 %, actual size; switch off every kind of fitting or scaling.",
        "Measure the 100 mm square on page 1 with a steel rule both ways: 0.2 mm off is too much.",
        "The bench card is for one sheet of stiff paper.",
    ]


def _shop_note(solution: Solution, jig: Jig) -> list[str]:
    job = solution.job
    parts = shop_parts(jig.parts, job)
    if not parts:
        return ["The shop makes no part of this jig; the assembly drawing shows what the parts are for."]
    found = [
        "The drawings govern; solids go with them. Units are millimetres. General tolerances: ISO 2768-m.",
        "Dowel holes between plate and board: drill and ream at assembly.",
    ]
    for name in dict.fromkeys(part.stock for part in parts):
        stock, own = job.stocks[name], [part for part in parts if part.stock == name]
        found.append(f"{stock.material}, {mm(stock.thickness)}: {_counted(own)}.")
    return found


def _bench_note(solution: Solution, jig: Jig) -> list[str]:
    return [
        "Work down the setup sheet from top to bottom. The page keeps your ticks and readings in its browser.",
        "The bench card stands beside the router.",
    ]
