"""STEP files of parts and of the assembled jig, each read back and measured before it is handed on.

The CAD kernel loads when a function is called, never when this module is imported.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from generator import __version__
from generator.base.errors import OutputError
from generator.base.geometry3d import P3
from generator.jig.part import Hardware, Jig, Part, Placed

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Solid

    from generator.formats.step.read import StepSolid
    from generator.solid import Assembly, Bounds, Colour, Header, Piece

#: How far a volume read back may differ from the closed form, relative.
VOLUME_SLACK = 1e-6
#: How far a box read back may differ from the model's, mm.
BOX_SLACK = 1e-4
#: Stands where a STEP file wants the moment it was written: the same model is the same file on every day.
TIME_STAMP = "2000-01-01T00:00:00"


def part_step_name(part: Part) -> str:
    """The file name of a part's STEP file."""
    return f"{part.name}.step"


def part_step(part: Part, colour: Colour | None = None, solid: TopoDS_Solid | None = None) -> bytes:
    """The STEP file of one part: one solid in mm, the product named as the part, painted `colour` (sRGB, 0 to 1).

    `solid` saves building it anew. Raises GeometryError where the part cannot be built, OutputError where the file
    reads back as anything but one valid solid of the part's volume (within 1e-6) and box.
    """
    from generator.formats.step.read import read_step_bytes
    from generator.solid import part_document, part_solid, step_bytes
    from generator.solid.assembly import PLAIN

    built = part_solid(part) if solid is None else solid
    name = part_step_name(part)
    header = _header(name, f"{part.name}, a part of a neck joint jig")
    data = step_bytes(part_document(part.name, built, colour or PLAIN), header)
    found = read_step_bytes(data, name).only
    _refuse(name, _part_faults(part, found))
    return data


def jig_step(placed: tuple[Placed, ...], hardware: tuple[Hardware, ...], colours: Mapping[str, Colour]) -> bytes:
    """The STEP file of the standing jig: its placed parts, painted by stock (sRGB, 0 to 1), and its screws.

    Raises GeometryError where a part cannot be built, OutputError where the file reads back as something else.
    """
    from generator.solid import assembly

    return assembly_step(assembly(Jig((), placed, hardware, ()), colours=colours))


def assembly_step(model: Assembly) -> bytes:
    """The STEP file of the assembled jig: every piece in its place under its own label, painted, in mm.

    Raises OutputError where a piece reads back missing, doubled, or with another volume or place.
    """
    from generator.formats.step.read import read_step_bytes
    from generator.solid import assembly_document, step_bytes

    name = f"{model.name}.step"
    data = step_bytes(assembly_document(model), _header(name, "neck joint jig as it stands, plate frame"))
    _refuse(name, _assembly_faults(model, read_step_bytes(data, name).solids))
    return data


def _header(file_name: str, description: str) -> Header:
    from generator.solid import Header

    return Header(file_name, description, f"Heelwright {__version__}", TIME_STAMP)


def _refuse(name: str, faults: Iterator[str]) -> None:
    found = list(faults)
    if found:
        raise OutputError("\n".join(f"{name}, read back: {fault}" for fault in found))


def _part_faults(part: Part, found: StepSolid) -> Iterator[str]:
    box = part.box
    if found.product != part.name:
        yield f"found a product called {found.product!r}; allowed: {part.name!r}"
    if not found.valid:
        yield "the solid is not valid"
    yield from _volume_fault(part.name, found, part.volume)
    yield from _box_fault(part.name, found, P3(box.x0, box.y0, 0.0), P3(box.x1, box.y1, part.thickness))


def _assembly_faults(model: Assembly, solids: tuple[StepSolid, ...]) -> Iterator[str]:
    wanted = [piece.label for piece in model.pieces]
    if [solid.label for solid in solids] != wanted:
        yield f"found pieces {[solid.label for solid in solids]}; allowed: {wanted}"
        return
    for piece, solid in zip(model.pieces, solids, strict=True):
        if solid.product != piece.product:
            yield f"{piece.label} is a {solid.product}; allowed: {piece.product}"
        yield from _piece_faults(piece, solid)


def _piece_faults(piece: Piece, solid: StepSolid) -> Iterator[str]:
    from generator.solid import bounds, volume

    known = piece.part or piece.hardware
    closed_form = volume(piece.shape) if known is None else known.volume
    box: Bounds = bounds(piece.placed)
    yield from _volume_fault(piece.label, solid, closed_form)
    yield from _box_fault(piece.label, solid, box.low, box.high)


def _volume_fault(name: str, found: StepSolid, wanted: float) -> Iterator[str]:
    if not math.isclose(found.volume, wanted, rel_tol=VOLUME_SLACK):
        yield f"{name}: found {found.volume:.6f} mm³; allowed: {wanted:.6f} mm³"


def _box_fault(name: str, found: StepSolid, low: P3, high: P3) -> Iterator[str]:
    off = max(found.bounds.low.minus(low).length(), found.bounds.high.minus(high).length())
    if not off <= BOX_SLACK:
        yield f"{name}: found the box {found.bounds.low} to {found.bounds.high}; allowed: {low} to {high}"
