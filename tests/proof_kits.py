"""Kits for the proof's tests: written by the program, spoilt by hand with other tools, listed anew.

A spoilt kit gets a fresh manifest, so that only the fault itself is there to be found.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ezdxf
from ezdxf.entities import Circle, LWPolyline
from made_once import jig as jig_of
from made_once import made, store

from generator.cutting.making import cutting_parts, laser_stocks, nested_parts
from generator.cutting.nesting import nest_all
from generator.formats.dxf.read import CuttingFile
from generator.formats.dxf.write import coupon_dxf, coupon_file_name, part_dxf, sheet_dxf, sheet_file_name
from generator.formats.step.write import part_step
from generator.jig.buildability import with_standing
from generator.jig.laser_coupon import laser_coupon
from generator.jig.part import Jig
from generator.jig.results import results_dict
from generator.job.shop import Shop
from generator.joint.checks import CheckStatus
from generator.joint.solution import Solution
from generator.kit.manifest import write_json, write_manifest
from generator.proof import prove
from generator.proof.files.agree import FileCare, file_checks
from generator.proof.kit_files import open_kit
from generator.proof.verdict import Proof

Vertices = list[tuple[float, float, float]]


@dataclass(frozen=True)
class Plan:
    """What `make` hands to the proof."""

    solution: Solution
    jig: Jig


#: Spoils a kit that lies in a folder.
Fault = Callable[[Path], None]


def dxf(path: str, change: Callable[[Any], None]) -> Fault:
    """The fault of one cutting file, changed as ezdxf's document."""

    def fault(folder: Path) -> None:
        document = ezdxf.readfile(folder / path)
        change(document)
        document.saveas(folder / path)

    return fault


def laser_kit(solution: Solution, jig: Jig, folder: Path, *, sheets: bool = False) -> Path:
    """A kit of the cutting files of the parts that have one, of the coupons and, with `sheets`, of nested sheets."""
    (folder / "laser").mkdir(parents=True)
    job = solution.job
    parts = cutting_parts(jig.parts, job)
    for part in parts:
        (folder / "laser" / f"{part.name}.dxf").write_bytes(store().kept(part_dxf, part, job.name))
    for stock in laser_stocks(parts, job):
        data = store().kept(coupon_dxf, laser_coupon(stock), job.name)
        (folder / "laser" / coupon_file_name(stock.name)).write_bytes(data)
    for sheet in nest_all(nested_parts(parts, job), job.stocks) if sheets else ():
        data = store().kept(sheet_dxf, sheet, job.stocks[sheet.stock], job.name, 0.0)
        (folder / "laser" / sheet_file_name(sheet)).write_bytes(data)
    write_json(folder / "results.json", results_dict(with_standing(solution), jig))
    write_manifest(folder)
    return folder


def ready_kit(name: str, folder: Path, *, sheets: bool = True) -> Path:
    """The cutting files of a ready job, those of its nested sheets with `sheets`."""
    return laser_kit(*made(name), folder / name, sheets=sheets)


def add_step(folder: Path, name: str, *parts: str) -> None:
    """STEP files of some parts of a ready job, beside the rest of its kit."""
    (folder / "step").mkdir(exist_ok=True)
    for part in parts:
        (folder / "step" / f"{part}.step").write_bytes(store().kept(part_step, jig_of(name).part(part)))
    write_manifest(folder)


def spoilt(kit: Path, folder: Path, *faults: Callable[[Path], None]) -> Path:
    """A copy of a kit with something wrong in it, and a manifest that lists it so."""
    copy = folder / kit.name
    shutil.copytree(kit, copy)
    for fault in faults:
        fault(copy)
    write_manifest(copy)
    return copy


def failed(proof: Proof) -> set[str]:
    """Names of the checks that failed."""
    return {check.name for check in proof.checks if check.status is CheckStatus.FAIL}


def words_of(proof: Proof, name: str) -> str:
    """What a check says."""
    return next(check.message for check in proof.checks if check.name == name)


def proved(kit: Path, shop: Shop | None = None) -> Proof:
    return prove.prove_folder(kit, shop)  # asked of its module, where `proved_once` stands in for it


def clean(file: CuttingFile) -> CuttingFile:
    """The file, which must be without fault."""
    assert not file.faults, [str(fault) for fault in file.faults]
    return file


def compared(kit: Path, *, kernel: bool = False, pages: bool = False, nested: bool = False) -> Proof:
    """The files of a kit against its list and each other, of the proof this alone; what is asked for besides."""
    care = FileCare(kernel=kernel, pages=pages, nested=nested, listed=True)
    return Proof(tuple(file_checks(open_kit(kit), care)))


def reshape(part: str, change: Callable[[Vertices], Vertices], layer: str = "cut-inside") -> Callable[[Path], None]:
    """A fault: every polyline of a layer of a part's cutting file with its vertices changed."""

    def spoil(folder: Path) -> None:
        path = folder / "laser" / f"{part}.dxf"
        document = ezdxf.readfile(path)
        for entity in document.modelspace().query("LWPOLYLINE"):
            assert isinstance(entity, LWPolyline)
            if entity.dxf.layer == layer:
                entity.set_points(change(list(entity.get_points("xyb"))), format="xyb")
        document.saveas(path)

    return spoil


def map_file(
    part: str, to: Callable[[float, float], tuple[float, float]], *, flips: bool = False
) -> Callable[[Path], None]:
    """A fault: everything in a part's cutting file carried elsewhere; `flips` turns arcs round."""

    def spoil(folder: Path) -> None:
        path = folder / "laser" / f"{part}.dxf"
        document = ezdxf.readfile(path)
        sense = -1.0 if flips else 1.0
        for entity in document.modelspace():
            if isinstance(entity, LWPolyline):
                points = [(*to(x, y), sense * bulge) for x, y, bulge in entity.get_points("xyb")]
                entity.set_points(points, format="xyb")
            elif isinstance(entity, Circle):
                grown = to(entity.dxf.center.x + entity.dxf.radius, entity.dxf.center.y)
                entity.dxf.center = (*to(entity.dxf.center.x, entity.dxf.center.y), 0.0)
                entity.dxf.radius = abs(grown[0] - entity.dxf.center.x)
            else:
                entity.dxf.start = (*to(entity.dxf.start.x, entity.dxf.start.y), 0.0)
                entity.dxf.end = (*to(entity.dxf.end.x, entity.dxf.end.y), 0.0)
        document.saveas(path)

    return spoil


def open_one(part: str) -> Callable[[Path], None]:
    """A fault: the outline's closing flag taken off."""

    def spoil(folder: Path) -> None:
        path = folder / "laser" / f"{part}.dxf"
        document = ezdxf.readfile(path)
        outline = next(e for e in document.modelspace().query("LWPOLYLINE") if e.dxf.layer == "cut-outside")
        assert isinstance(outline, LWPolyline)
        outline.closed = False
        document.saveas(path)

    return spoil


def double_one(part: str) -> Callable[[Path], None]:
    """A fault: the outline drawn twice."""

    def spoil(folder: Path) -> None:
        path = folder / "laser" / f"{part}.dxf"
        document = ezdxf.readfile(path)
        outline = next(e for e in document.modelspace().query("LWPOLYLINE") if e.dxf.layer == "cut-outside")
        document.modelspace().add_entity(outline.copy())
        document.saveas(path)

    return spoil


def edit_results(change: Callable[[dict[str, Any]], None]) -> Callable[[Path], None]:
    """A fault: a number of results.json changed."""

    def spoil(folder: Path) -> None:
        path = folder / "results.json"
        results = json.loads(path.read_text(encoding="utf-8"))
        change(results)
        path.write_text(json.dumps(results), encoding="utf-8")

    return spoil


def put(source: Path, name: str) -> Callable[[Path], None]:
    """A fault: one file taken from another kit."""

    def spoil(folder: Path) -> None:
        shutil.copyfile(source / name, folder / name)

    return spoil
